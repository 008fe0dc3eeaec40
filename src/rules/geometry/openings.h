/* Doors, windows and openings, seen from both sides of their wall: what one room writes is there
 * for the room behind that wall too. */
#ifndef STUDBAY_RULES_OPENINGS_H
#define STUDBAY_RULES_OPENINGS_H

#include "model/site.h"

struct model;
struct skeleton;

struct opening {
    struct fixture here; /* as this room writes it, or would write it; `to` is the room on its other
                            side where one is drawn or named */
    bool beyond_known;   /* the other side is drawn: `here.to` has it at these places of its wall */
    uint32_t beyond_wall;
    length beyond_left;
};

typedef VEC(struct opening) opening_list;

struct openings {
    opening_list *of_room; /* by room id */
    bool *in_doubt;        /* by room id: a room behind one of its walls has something fixed that is
                              broken, which may be a door in that wall */
};

/* All openings of all rooms, in n log n. What two rooms write in one place is one opening in each.
 */
struct openings *openings_find(struct arena *arena, const struct model *m,
                               const struct skeleton *frame);

#endif
