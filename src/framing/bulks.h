/* Beams, ducts, pipes and soffits in the way of cables and boxes. */
#ifndef STUDBAY_FRAMING_BULKS_H
#define STUDBAY_FRAMING_BULKS_H

#include "model/place.h"

struct arena;
struct buf;
struct bulk;
struct line;
struct model;
struct room;
struct skeleton;

/* A part of one as a box on the plan's grid; of one that runs aslant several, as long as it is
 * wide. */
struct bulk_piece {
    struct place3 low, high;
    const struct bulk *bulk;
    uint32_t world; /* as of frame_world_of; EVERY_WORLD: drawn on its level */
};

/* A part of a line of wall: between two places of it, and two heights above the datum. */
struct bulk_stretch {
    length lo, hi, low, high;
};

enum { EVERY_WORLD = 0xffffffff };

struct bulks;

/* Adds all that ways are led round to a text, for comparing: equal for what is alike. */
void bulks_describe(const struct bulks *b, struct buf *out);

/* Of the whole plan; NULL where there are none. In n log n. */
struct bulks *bulks_find(struct arena *arena, const struct model *m);

/* The next piece from `at` on that lies partly inside of a box on the grid, touching left out;
 * NULL: none. `at` becomes where the next search goes on; 0 to begin. */
const struct bulk_piece *bulks_next(const struct bulks *b, struct place3 low, struct place3 high,
                                    uint32_t world, uint32_t *at);

/* The next piece that lies inside the studs of a line, between two places of it and two heights
 * above the datum, touching left out; NULL: none. `lo` and `hi`, where not NULL, become the part of
 * the line that it takes. */
const struct bulk_piece *bulks_in_wall(const struct skeleton *f, const struct line *l,
                                       struct bulk_stretch in, uint32_t world, uint32_t *at,
                                       length *lo, length *hi);

/* The one that a thing of this size stands in or behind, at a place of a room; NULL: none. `deep`:
 * how far it goes into the ceiling. */
const struct bulk *bulks_around(const struct skeleton *f, const struct room *room,
                                const struct place *p, length wide, length deep);

#endif
