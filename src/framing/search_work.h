/* What the files of the search share. */
#ifndef STUDBAY_FRAMING_SEARCH_WORK_H
#define STUDBAY_FRAMING_SEARCH_WORK_H

#include "model/place.h"

struct line;
struct space;
struct spot;
struct way;

/* The walls seen from one end: how dear each joint is to reach. */
struct reach {
    length *cost;   /* by joint; counts where stamp is the search's */
    uint32_t *from; /* the joint before, or NO_INDEX for the end itself */
    uint32_t *stamp;
};

/* A place where a way leaves the walls for the joists. */
struct leave {
    struct point at;
    length cost;   /* up to the space, the plate included */
    uint32_t line; /* NO_INDEX: the end itself, which lies in the space */
    length t;
    uint32_t joint; /* the joint that it comes from, or NO_INDEX: straight from the end */
    bool walled;    /* it goes along the wall first, at the height of the bores */
};

typedef VEC(struct leave) leave_list;

/* A way up through a storey that is only passed. */
struct riser {
    struct point at;
    uint32_t line; /* NO_INDEX: a chase */
    length t;
    length cost;     /* from the first space to here, this storey included */
    uint32_t before; /* the riser of the storey below, or the leave */
    length near;     /* how far out of the way it lies */
};

typedef VEC(struct riser) riser_list;

struct heap_item {
    length f;
    uint32_t joint;
};

/* A corner of a way round what lies among the joists, and the height at which it is gone to. */
struct bend {
    struct point at;
    length z;
};

struct search {
    struct arena *arena;
    const struct skeleton *f;
    struct reach there, back;
    uint32_t stamp;
    VEC(struct heap_item) heap;
    VEC(struct bend) bends; /* of the way that round_across found last */
    leave_list leaves_a, leaves_b;
    riser_list *risers;  /* by storey */
    VEC(uint32_t) lines; /* that it came to: nothing of others was read */
    uint32_t *came;      /* by line: the question of which it came there last */
    uint32_t asked;      /* questions so far */
    VEC(uint32_t) order; /* joints of a way while it is written */
    /* of the question at hand */
    const struct question *q;
    length best; /* cost of the best way known; LARGEST for none */
    struct {
        uint32_t joint; /* IN_WALLS: the joint before b, NO_INDEX: none between */
        uint32_t leave_a, leave_b, riser;
        enum { NO_WAY, IN_WALLS, OVER_JOISTS, BY_RISERS } sort;
    } choice;
};

/* The floor that a line stands on, the height of the bores in its studs, and how high a cable goes
 * through them at a place: lower under a low sill. */
length search_floor(const struct skeleton *f, const struct line *l);
length search_bore_height(const struct skeleton *f, const struct line *l);
length search_height_at(const struct skeleton *f, const struct line *l, length t);

/* What a plate costs between a wall and a space: nothing where there is no wood to go through. */
length search_plate(const struct search *s, const struct line *l, const struct space *space);

/* Never more than the way from one point to another in the plan. */
length search_at_least(const struct search *s, struct point a, struct point b);

/* What it costs to go among the joists from one point to another. */
length search_across(const struct question *q, const struct space *space, struct point a,
                     struct point b);

/* The heap of the search: what costs least comes first. */
void search_push(struct search *s, length cost, uint32_t item);
struct heap_item search_pop(struct search *s);

/* round.c: what it costs to go among the joists from one point to another round beams and ducts,
 * LARGEST where there is no way; not looked for where the straight way costs `limit` already.
 * s->bends: its corners, none where it is as if they were not there. */
length round_across(struct search *s, const struct space *space, struct point a, struct point b,
                    length limit);

/* Whether nothing of that sort is in a way straight up: in the studs of a line, at a place of it;
 * before them where the cable lies on the surface. */
bool round_bay_free(const struct search *s, const struct line *l, length t, length z0, length z1);

/* The same at a place of the plan. */
bool round_column_free(const struct search *s, struct point at, length z0, length z1);

/* Beside what is right above (or below) a box in a dropped ceiling, the place on the shortest way
 * from where a cable gets to the joists; false where there is none. */
bool round_step_aside(const struct search *s, const struct spot *end, length z, struct point *to);

/* Where a line lies straight across from an end: at its easting and at its northing. How many there
 * are. */
unsigned search_straight_across(const struct line *l, const struct spot *from, length out[2]);

static inline struct point flat(struct place3 p)
{
    return (struct point){p.x, p.y};
}

/* risers.c: ways through storeys that are only passed; takes the best into s->choice. */
void route_take_risers(struct search *s);

/* hops.c: writes the way that was chosen. */
void way_write(struct search *s, struct way *way);

static const length LARGEST = (length)1 << 60;

#endif
