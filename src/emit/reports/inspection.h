/* What the inspection report counts in a plan, and the evidence that it draws from it. */
#ifndef STUDBAY_EMIT_REPORTS_INSPECTION_H
#define STUDBAY_EMIT_REPORTS_INSPECTION_H

#include "emit/results.h"

typedef VEC(const char *) name_list;

/* Addresses of things to walk to, and counts of what there is. New work only. */
struct tally {
    name_list metal_boxes, large_boxes, ceiling_boxes, fan_boxes, gfci_devices, recessed, alarms, near_cooking, whirlpools, whites, multiwire, sub_panels, unclamped,
        plated, notched, outdoor, closets, existing_boxes, wide_finish, stairs;
    uint32_t boxes, runs, splices, staples, plates, plate_holes, stud_holes, joist_holes, notches, gfci_asked, afci_circuits, switches, circuits, receptacles, luminaires, volts_240;
};

/* Walks the plan once. Linear. */
void tally_plan(const struct results *r, struct tally *t);

#endif
