/* The building: levels, rooms, their walls and what is fixed on these.
 *
 * Walls are walked clockwise seen from above, so a wall's left end is where one enters it. */
#ifndef STUDBAY_MODEL_SITE_H
#define STUDBAY_MODEL_SITE_H

#include "base/map.h"
#include "model/place.h"
#include "resolve/written.h"

struct box;
struct kind_def;

struct unit {
    uint32_t id;
    const char *name, *title;
    const struct node *node;
    bool built; /* false: a pattern that nothing is built from, only checked */
};

struct lumber {
    const char *name;
    length thickness, depth;
    bool engineered; /* truss, i-joist, laminated: not bored by eye */
    bool open;       /* engineered, but cables go between its webs or through its knockouts */
};

struct framing {
    struct lumber lumber;
    length spacing;
    bool running_north; /* joists: their long way */
};

/* The air that cables lie in, as the plan says. */
struct air {
    bool told;
    double at; /* C */
};

struct level {
    uint32_t id;
    const char *name, *title;
    const struct node *node;
    length floor, ceiling; /* finished floor above the datum; ceiling above the floor */
    struct framing walls, joists, floor_joists;
    length bore; /* height of the bores through studs, above the floor */
    bool below_grade;
    struct air air;
    bool slab; /* its floor is concrete on the ground */
    struct {
        bool floor, ceiling, walls, joists, bore;
        bool under;    /* what its floor is: a slab, none, or the joists under it */
    } written;         /* what its statement says; the rest is the edition's */
    uint16_t in_doubt; /* ITS_TEXT: its height */
};

struct wall {
    const char *name;           /* as it stands on site */
    const char *written;        /* as the plan's text calls it */
    const struct node *outline; /* the statement that draws it; NULL: a side of a size */
    struct point left, right;   /* on the inside face */
    length length;
    bool mirrored;                    /* `at` of the text counts from the right end */
    bool bearing, outside, insulated; /* as the plan says */
    bool closed;                      /* its finish stays on */
    bool first;                       /* the next trade wants it: what is done in it comes first */
    uint32_t closed_on;       /* the day on which it was closed, by the site log (log_note_closed):
                                 20260314; 0: it was not */
    struct framing framing;   /* its studs; all 0 where it has none */
    const struct node *words; /* the statement that tells what it is made of; NULL: what its room
                                 says of all, or what the room behind it tells */
    bool concrete;
    bool furred;               /* concrete with studs before it on this side */
    length gap;                /* between those studs and the concrete */
    const struct room *behind; /* the room on its other side, where one of the two walls has words
                                  of its own; NULL: none */
    uint32_t behind_wall;
};

/* Concrete without studs on this side: things stand on its face, and nothing is bored. */
static inline bool wall_is_bare(const struct wall *w)
{
    return w->concrete && !w->furred;
}

enum fixture_sort { FIXTURE_DOOR, FIXTURE_WINDOW, FIXTURE_OPENING, FIXTURE_OTHER };

/* A door, window, opening or fixed thing on a wall. */
struct fixture {
    enum fixture_sort sort;
    enum form_id form; /* F_DOOR, F_COUNTER, ... */
    const char *word;  /* "door", "counter": its form's, interned */
    const char *title;
    const struct node *node;
    uint32_t wall;          /* index in the room's walls */
    length from_left, wide; /* nearer edge from the wall's left end on site */
    length sill;            /* height of its lower edge above the floor; negative: not written */
    length header;          /* depth of the wood over an opening; negative: not written */
    length deep;            /* how far it stands out from the wall; 0: not written */
    length top;             /* a cabinet: its upper edge above the floor; 0: all else */
    bool hinge_right, swings_out; /* a door, on site, seen from inside its room */
    bool swing_told;              /* the plan says one of the two */
    length out;                   /* a peninsula: how far it stands out from the wall */
    bool sliding, to_outside;
    bool
        fixed_right; /* of a sliding one the right half stays, on site, seen from inside its room */
    struct room *to; /* a door or opening: the room on its other side, where the plan names it */
};

/* A counter that stands apart from the walls. */
struct island {
    const struct node *node;
    const char *name, *title; /* name: NULL where it has none */
    struct point low, high;
};

/* A stair: it stands in the statement of one room and joins two. */
struct stairs {
    const struct node *node;
    uint32_t risers;
    struct room *from, *to; /* NULL: not written, or unknown */
};

/* A part of a room with a use of its own. */
struct use_area {
    const struct node *node;
    const struct kind_def *kind;
    struct point low, high;
};

/* A hole in a room's floor or ceiling. An upright shaft: cables go from level to level in it
 * without a hole; the way into an attic. */
struct chase {
    const struct node *node;
    struct point low, high;
};

/* A beam, duct, pipe or soffit: a straight piece that cables go round and boxes keep clear of. */
struct bulk {
    const struct node *node;
    const char *word; /* "duct" */
    const char *title;
    const struct room *room; /* NULL: it is drawn on its level */
    const struct level *level;
    struct point from, to;  /* its middle line */
    bool bears;             /* it lies on the walls that it comes to */
    length wide, low, high; /* its underside and top above the datum */
};

/* A building that stands apart from the house. */
struct building {
    uint32_t id;
    const char *name, *title;
    const struct node *node; /* NULL: no statement names it, its first room is detached */
    VEC(struct room *) rooms;
    bool electrode;
    struct box *disconnect; /* NULL: not said */
    bool in_doubt;          /* a room or box that it names is not known */
};

struct room {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;
    struct level *level;
    const struct kind_def *const *kinds;
    uint32_t kind_count;
    const struct wall *walls;
    uint32_t wall_count;
    struct point low, high; /* bounding box */
    length ceiling;         /* above the floor */
    length drop;            /* height of a ceiling that hangs below it; 0: there is none */
    length finish;
    struct air air;                      /* its own, else its level's */
    struct framing wall_framing, joists; /* walls: those without words of their own */
    struct framing floor_joists;
    bool floor_told; /* the plan says what its floor is, here or of its level */
    bool unfinished, covered;
    bool by_stairs;    /* a stair leads to it, whichever room writes that */
    bool existing;     /* it is there and left alone: nothing is asked of it */
    bool kind_guessed; /* it says no kind, and is no copy that has its base's */
    uint16_t in_doubt; /* ITS_BOXES: a broken statement may have declared one; ITS_LEVEL; ITS_FEED:
                          a run names a box in it that is not there, and any may be meant;
                          ITS_KINDS; ITS_FIXED */
    VEC(struct box *) boxes;
    VEC(struct fixture) fixtures;
    VEC(struct chase) chases;
    VEC(struct chase) scuttles; /* the ways into an attic */
    VEC(struct island) islands;
    VEC(struct stairs) stairs;
    VEC(struct use_area) areas;
    uint32_t bays; /* vehicle bays of a garage; 0: not written */
    bool attached,
        detached; /* a garage that joins the dwelling, or stands apart, as the plan says */
    struct building *building; /* NULL: the house */
    bool insulated_ceiling;
    bool closed_ceiling;        /* its finish stays on */
    bool first_ceiling;         /* as `first` of a wall */
    const char *first_for;      /* what the plan says of who wants them; NULL: nothing */
    uint32_t ceiling_closed_on; /* the day on which it was closed, as of a wall */
    struct map box_names;       /* (0, name) -> struct box */
};

/* The height at which boxes overhead are, and up to which one sees: of a dropped ceiling, else of
 * the joists. */
static inline length room_overhead(const struct room *room)
{
    return room->drop ? room->drop : room->ceiling;
}

#endif
