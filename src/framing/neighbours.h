/* What stands on walls and ceilings already, to be asked whether a place is free. */
#ifndef STUDBAY_FRAMING_NEIGHBOURS_H
#define STUDBAY_FRAMING_NEIGHBOURS_H

#include "base/arena.h"
#include "base/length.h"

/* A thing's place on a wall or ceiling: of one group is what can meet. */
struct occupant {
    uint32_t group;
    length at, across; /* its middle: along a wall and up; to the east and north */
    length width, height;
};

struct neighbours;

struct neighbours *neighbours_new(struct arena *arena);

void neighbours_add(struct neighbours *n, const struct occupant *o);

/* Whether something stands there; on the other face of a wall counts too. Things are less than a
 * few feet wide: each question looks at those near it alone. */
bool neighbours_in(const struct neighbours *n, const struct occupant *o);

#endif
