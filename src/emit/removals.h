/* What goes, as people read it: what is made dead first, and what is taken out then. The one list
 * that `todo` and the inspection read. */
#ifndef STUDBAY_EMIT_REMOVALS_H
#define STUDBAY_EMIT_REMOVALS_H

#include "emit/results.h"

struct cable_def;

struct removal {
    bool dead; /* a circuit or panel that is made dead; else a thing that is taken out */
    const struct room *room; /* NULL: in none */
    const char *thing, *detail;
};

typedef VEC(struct removal) removal_list;

/* In the order of the plan; what is in a pattern that nothing is built from is left out. */
removal_list removals_of(const struct results *r);

/* Wire ends that get a cap: those of abandoned cables, and those that a device leaves alone in its
 * box. Cables that the plan does not tell count none, and `untold` says how many there are. */
uint32_t removals_caps(const struct results *r, uint32_t *untold);

#endif
