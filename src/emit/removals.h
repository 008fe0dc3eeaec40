/* What goes, as people read it: what is made dead first, and what is taken out then. The one list
 * that `todo` and the inspection read. */
#ifndef STUDBAY_EMIT_REMOVALS_H
#define STUDBAY_EMIT_REMOVALS_H

#include "emit/results.h"

struct cable_def;

/* Addresses, each once. */
typedef VEC(const char *) address_list;

struct removal {
    bool dead; /* a circuit or panel that is made dead; else a thing that is taken out */
    bool done; /* by the site log: it was taken out, or all that was made dead for was */
    const struct room *room; /* NULL: in none */
    const char *thing, *detail;
    const struct box *box;         /* the box itself; NULL: another thing */
    const struct circuit *circuit; /* that is made dead; NULL: another thing */
    address_list at;     /* of that circuit: boxes in which something goes, and ends of what
                            does: they are dead before it is touched */
    address_list capped; /* and ends of its abandoned cables, which stay */
};

typedef VEC(struct removal) removal_list;

/* In the order of the plan; what is in a pattern that nothing is built from is left out. */
removal_list removals_of(const struct results *r);

typedef VEC(uint32_t) space_list;

/* Spaces of a panel that stays, in rising order, that are open when the breakers in them are out:
 * no other comes there. Each gets a filler plate. Of breakers whose space is not known none. */
space_list removals_open_spaces(const struct results *r, const struct panel *p);

/* How many of them are still to be put in, by the site log. */
uint32_t removals_fillers(const struct results *r, const struct panel *p);

/* Wire ends that get a cap and are not capped yet: those of abandoned cables, and those that a
 * device leaves alone in its box. Cables that the plan does not tell count none, and `untold` says
 * how many there are. */
uint32_t removals_caps(const struct results *r, uint32_t *untold);

#endif
