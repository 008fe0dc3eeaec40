/* The cheapest way of one cable over the framing.
 *
 * A way goes from its end through the studs as far as it likes, round corners, then up (or down) in
 * a stud bay through the plate into the space of the joists, across on the plan's grid, and back
 * into the studs of the other end; or it stays in the studs. Between storeys that are further apart
 * it goes up inside a wall or a chase of each storey that it passes. It turns where walls meet,
 * beside what stands in the way, and straight across from either end. */
#ifndef STUDBAY_FRAMING_SEARCH_H
#define STUDBAY_FRAMING_SEARCH_H

#include "model/site.h"

struct skeleton;

/* What a hole costs beside the length, as a length. */
struct prices {
    length hole, plate, engineered;
    length closed;    /* beside that of a hole: a stud of a wall whose finish is on */
    uint32_t hung_by; /* the day by which the cable hung, facts/closed.h */
};

/* An end of a run, set into the frame. */
struct spot {
    struct place3 at;
    const struct room *room;
    uint32_t storey;
    enum where where;
    uint32_t line; /* ON_WALL: its line and place there; else NO_INDEX */
    length t;
    bool board; /* a panel on concrete: on a board, on which cables go up */
};

/* The joists that a space between storeys has, and the height at which a cable lies there. */
struct space {
    struct framing joists;
    struct point corner; /* joists count from here */
    length face;         /* the height of the ceiling under them, or of the floor over them */
    length z;
    bool slab; /* a concrete floor: cables lie on it, under the flooring, and go through no wood */
};

enum hop_kind {
    HOP_BAY,    /* up or down in a stud bay */
    HOP_STUDS,  /* along a wall through its studs */
    HOP_CORNER, /* through the post where two walls meet */
    HOP_PLATE,  /* through a plate */
    HOP_ACROSS, /* among the joists */
    HOP_CHASE,  /* up or down in a chase */
};

struct hop {
    enum hop_kind kind;
    uint32_t line; /* BAY, STUDS, CORNER, PLATE; CORNER: the line it comes from */
    length t0, t1; /* STUDS: from, to; BAY, PLATE: t0; CORNER: t0 on `line`, t1 on `other` */
    uint32_t other;
    struct place3 from, to;
    const struct space *space; /* ACROSS */
    bool cross_first;          /* ACROSS: over the joists first, then along a bay */
    bool top;                  /* PLATE: a top plate */
};

struct way {
    bool found;
    length cost, path;
    VEC(struct hop) hops;
};

/* What is asked of a way. */
struct question {
    struct spot a, b; /* the lower storey first, else in a fixed order */
    struct prices prices;
    bool walls, across;               /* whether it may go through studs, and among joists */
    bool surface;                     /* whether it may lie on bare concrete */
    uint32_t world;                   /* which beams and ducts are in its way, framing/bulks.h */
    length clear;                     /* what it keeps from them */
    bool through;                     /* as if they were not there */
    bool bend_at_b;                   /* joists are crossed beside b, else beside a */
    uint32_t first_space, last_space; /* of a and of b: space s lies under storey s, space s + 1
                                         over it; first <= last */
    struct space *spaces;             /* indexed like that, those from first to last are set */
};

struct search;

/* Room for the searches of one plan; used for one after another. */
struct search *search_new(struct arena *arena, const struct skeleton *f);

/* The cheapest way, written into `way`, which is zero or one that was used before; `way->found` is
 * false where there is none. Ties go to the way found first, which depends on the frame alone. */
void search_way(struct search *s, const struct question *q, struct way *way);

/* Turns a way round: from b to a. */
void way_turn(struct way *way);

/* Joists crossed between two points of a space: the number of the first in `first`. None where the
 * joists are open (webs). */
uint32_t search_joists_crossed(const struct space *space, struct point a, struct point b,
                               int64_t *first);

#endif
