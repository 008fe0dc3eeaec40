/* Boxes by their place on the plan, so that those near a point are found without looking at all. */
#ifndef STUDBAY_FACTS_NEARBY_H
#define STUDBAY_FACTS_NEARBY_H

#include "base/length.h"
#include "base/map.h"

struct box;
struct model;
struct point;

/* A grid of squares; each holds the boxes that stand in it. */
struct nearby {
    struct map squares; /* (east, north) -> struct near_list */
    length side;
};

/* Files the boxes of the model that `wanted` accepts; those in doubt are left out. `side`: about
 * the distance that will be asked for. */
void nearby_make(struct arena *arena, struct nearby *n, const struct model *m, length side,
                 bool (*wanted)(const struct box *b));

typedef bool near_fn(const struct box *from, const struct box *b, const void *data);

/* Whether some other box no farther from the box than `within`, which is not more than the side of
 * a square, is accepted. */
bool nearby_any(const struct nearby *n, const struct box *from, length within, near_fn *accepts,
                const void *data);

/* Calls `each` for every box in the squares that a rectangle of the plan touches, widened by
 * `more`: those in it and some beside it. */
typedef void near_each_fn(const struct box *b, void *data);
void nearby_each(const struct nearby *n, struct point low, struct point high, length more,
                 near_each_fn *each, void *data);

#endif
