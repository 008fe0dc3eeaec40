/* The small parts that the work takes beside cable, boxes and devices: what holds a cable and
 * brings it into metal, what grounds metal, what marks a white, what closes the holes of plates.
 * How many of each for what stands in the table `materials` and those beside it. */
#ifndef STUDBAY_EMIT_REPORTS_SUNDRIES_H
#define STUDBAY_EMIT_REPORTS_SUNDRIES_H

#include "emit/results.h"

struct building;

struct sundry {
    const char *name, *other; /* and what else a price may be filed under, or NULL */
    const char *unit;         /* "each", "roll" */
    const char *told;         /* as people call it; NULL: its name */
    uint64_t count;
    bool spare; /* it is bought with the spare share of staples */
};

typedef VEC(struct sundry) sundry_list;

/* What is left to buy of them; linear in the plan. */
sundry_list sundries_count(const struct results *r);

/* Whether the electrode of a building is bought: the plan says that it has one, and it is neither
 * there already nor made up by the site log. */
bool sundries_has_electrode(const struct results *r, const struct building *b);

#endif
