/* The inspection report in its parts: what is counted in a plan, what its lines say, and how people
 * read it. */
#ifndef STUDBAY_EMIT_REPORTS_INSPECTION_H
#define STUDBAY_EMIT_REPORTS_INSPECTION_H

#include "base/arena.h"

#include <stdbool.h>

struct buf;
struct grid;
struct results;

typedef VEC(const char *) name_list;

/* Addresses of things to walk to, and counts of what there is. New work only. Boxes are counted
 * with what has a compartment of its own for its wires; cut_boxes without; wired_boxes are those
 * where cable of a circuit ends. */
struct tally {
    name_list metal_boxes, large_boxes, ceiling_boxes, fan_boxes, gfci_devices, afci_tests,
        recessed, alarms, near_cooking, whirlpools, whites, multiwire, unclamped, plated, notched,
        outdoor, existing_boxes, wide_finish, ringed, stairs, counters, undrawn, unfed, no_breaker,
        no_rating, trenches, abandoned;
    uint32_t boxes, cut_boxes, wired_boxes, runs, low_voltage, splices, staples, plates,
        plate_holes, holes, gfci_guarded, circuits, receptacles, two_line, openings;
};

/* Walks the plan once. Linear. */
void tally_plan(const struct results *r, struct tally *t);

/* What the plan shows of a line, what it lacks, and what to look at on site; each in words, places
 * among them as addresses. */
struct told {
    name_list shown, missing, look;
};

enum {
    INSPECTION_STAGE,
    INSPECTION_ITEM,
    INSPECTION_STATE,
    INSPECTION_EVIDENCE,
    INSPECTION_SOURCE
};

/* The states of a row; people are told of the last but in a word. */
#define STATE_SHOWN   "shown"
#define STATE_FINE    "no fault found"
#define STATE_FAULT   "fault"
#define STATE_WAIVED  "waived"
#define STATE_LET     "advice waived"
#define STATE_LOOK    "look on site"
#define STATE_MISSING "not in the plan"
#define STATE_NONE    "nothing of the kind"

/* For people, before that list: what is to be looked at in each room. */
struct report;
void inspection_rooms(const struct results *r, struct report *report);

/* The rows as a list to tick, stage by stage: each item once, with its states and their evidence
 * below it. */
struct page_text;
void inspection_text(const struct grid *rows, bool markdown, struct page_text *out);

#endif
