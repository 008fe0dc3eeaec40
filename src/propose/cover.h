/* The fewest places of a stretch from which all that is asked of it is reached, and among the
 * fewest those that stand most evenly. */
#ifndef STUDBAY_PROPOSE_COVER_H
#define STUDBAY_PROPOSE_COVER_H

#include "rules/space.h"

/* A stretch from 0 to `long_`, or a ring of that length. */
struct cover {
    length long_, reach;
    bool closed;
    const stretch_list *gaps; /* what must be reached; of a ring they may lie past its start */
    const point_list *places; /* where one may stand, in order, from 0 to `long_` */
};

typedef VEC(uint32_t) chosen_list;

/* What of the gaps no place reaches. */
void cover_left(struct arena *arena, const struct cover *c, stretch_list *out);

/* The places to take, by their indices: of all that reach what can be reached the fewest, and of
 * the fewest those where the farthest point is nearest. Exact: on a stretch the place that reaches
 * the first bare point from farthest on is always among the fewest; on a ring each place that
 * reaches that point is tried. In n log n for a stretch, times the places within reach of a point
 * for a ring. */
void cover_fewest(struct arena *arena, const struct cover *c, chosen_list *out);

#endif
