/* Where boxes and panels are set: beside the studs and joists that hold them, as near as may be to
 * where the plan writes them. What judges spacing asks the plan; ways, drawings and what is marked
 * on the studs ask here. */
#ifndef STUDBAY_FRAMING_MOUNTINGS_H
#define STUDBAY_FRAMING_MOUNTINGS_H

#include "base/arena.h"
#include "facts/boxes.h"
#include "model/place.h"
#include "model/power.h"

struct model;
struct room;
struct skeleton;
struct upright;

/* A box or panel in its place. */
struct mounting {
    struct place place; /* as it is set; as the plan writes it where nothing asks for more */
    bool moved;         /* it is set elsewhere than written: wood was behind it */
    enum stand stand;   /* how it stands there, if it may stand there at all */
    const struct upright *stud; /* the nearest; NULL: it hangs or lies, or there is none */
    bool joisted;               /* `joist` is the nearest: from the corner of its storey */
    int64_t joist;
    bool north;   /* joists run north and south */
    bool after;   /* it is to the right of the stud as one faces the wall; to the east or
                     north of the joist */
    length apart; /* from its side to the wood; negative where it is in front of it */
    length width;
};

struct mountings {
    struct mounting *of_box, *of_panel; /* by id */
};

/* Sets every box and panel whose place is known. Existing ones stand where they are written. What a
 * box of a written type cannot hold to stays where it is written too, to be found (box-mount).
 * Widths are the library's: table box-space. */
struct mountings *mountings_find(struct arena *arena, struct model *m, const struct skeleton *f);

/* What is free beside what stands: asked for a box of one gang whose type is still to be chosen.
 * Reads the model while it lives. */
struct free_places;
typedef VEC(struct place) place_list;

struct free_places *mountings_free(struct arena *arena, struct model *m, const struct skeleton *f,
                                   const struct mountings *mountings);

/* The places of a wall at a height where such a box may stand: against the sides of its studs, to
 * an eighth of an inch, clear of openings, corners and what stands there; where no stud holds it,
 * on concrete or in the weather, at each whole inch. */
void mountings_places(struct arena *arena, const struct free_places *free, struct room *room,
                      uint32_t wall, length up, place_list *out);

/* A place on a wall, so far from its left end and from the floor. */
struct place mountings_place(const struct room *room, uint32_t wall, length from_left, length up);

const struct mounting *mounting_of_end(const struct mountings *mountings, struct end e);

#endif
