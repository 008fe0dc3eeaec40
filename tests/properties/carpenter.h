/* For tests: the frame as a carpenter sets it, made from the figures of the plan and not from the
 * frame that the program has: walls that lie together, openings with their frames, studs, joists.
 * Inches throughout. */
#ifndef STUDBAY_TESTS_CARPENTER_H
#define STUDBAY_TESTS_CARPENTER_H

#include "model/model.h"
#include "model/site.h"

/* A room's wall. Walls of one group are one wall in the building. */
struct timber_side {
    const struct room *room;
    uint32_t wall;
    double floor;       /* of its storey */
    double ux, uy;      /* its direction, to the east or north */
    double lo, hi, off; /* where it begins and ends, and how far to the left it lies */
    double thick;       /* from finish to finish */
    bool forward;       /* its left end is at lo */
    bool concrete, furred;
    uint32_t group; /* the first side of the group */
};

/* A rough opening of a group, with the header over it. */
struct timber_opening {
    uint32_t group;
    double lo, hi, sill, head, top; /* above the floor */
    double jacks;                   /* on each side */
    bool railing;
    double header; /* what the plan says of its depth; negative: nothing */
};

/* A piece of wood that stands in a wall. */
struct timber {
    uint32_t group, rank; /* of two that would stand in one place the lower rank stays */
    double at, half;      /* its middle on the line, half its thickness */
    double low, high;     /* above the floor */
};

struct carpenter {
    const struct model *m;
    VEC(struct timber_side) sides;
    VEC(struct timber_opening) openings;
    VEC(struct timber) wood;
};

/* Frames all that is built of a plan; its memory is the arena's. */
void carpenter_frame(struct arena *arena, const struct model *m, struct carpenter *out);

/* The side of a room's wall; NULL for what is not built, or has no length. */
const struct timber_side *carpenter_side(const struct carpenter *c, const struct room *room,
                                         uint32_t wall);

/* A point's place on the line of a side, and how far it lies off it. */
double carpenter_place(const struct timber_side *s, double x, double y);
double carpenter_off(const struct timber_side *s, double x, double y);

/* From the south-west corner of a storey its joists are counted: its easting or northing. */
double carpenter_corner(const struct carpenter *c, double floor, bool north);

#endif
