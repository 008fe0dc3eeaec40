/* Where the studs of a wall stand: every spacing from the left end of the wall, and at its two
 * ends. A wall that two rooms share has its studs from the room that is named first. */
#ifndef STUDBAY_EMIT_REPORTS_STUDS_H
#define STUDBAY_EMIT_REPORTS_STUDS_H

#include "base/length.h"
#include "base/map.h"

struct box;
struct model;

/* Walls along the compass, filed by where they stand. */
struct studs {
    struct arena *arena;
    struct map cells; /* (level, cell) -> list of walls that reach into it */
};

struct stud {
    bool known; /* false off a wall, or where the spacing is not known */
    bool left;  /* the nearest stud's centre is to the left of the box's, as one faces the wall */
    length away;
};

void studs_find(struct studs *s, struct arena *arena, const struct model *m);

/* The stud nearest to a box on a wall. */
struct stud stud_beside(const struct studs *s, const struct box *b);

#endif
