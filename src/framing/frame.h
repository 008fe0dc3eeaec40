/* The framing as a graph: walls that several rooms share, their studs, what stands in the way along
 * them, and where they meet.
 *
 * Room walls that lie along each other within a wall's thickness are faces of one line of wall. A
 * place on a line is a length from the foot of the plan's origin, growing to the east (on lines
 * that run north, to the north). Levels with one floor height are one storey. Concrete has a line
 * on each of its sides, one for the studs before it and one where it is bare. Built in n log n. */
#ifndef STUDBAY_FRAMING_FRAME_H
#define STUDBAY_FRAMING_FRAME_H

#include "model/model.h"
#include "model/site.h"

/* No wall has more studs and no space more joists than this; longer ones are slips of the pen and
 * get none. */
enum { NO_INDEX = 0xffffffff, MOST_MEMBERS = 20000 };

/* One room's side of a line of wall. */
struct face {
    const struct room *room;
    uint32_t wall; /* index in the room's walls */
    uint32_t line;
    length lo, hi; /* where it begins and ends on the line */
    length off;    /* how far it lies to the left of the line's direction from the plan's origin */
    bool forward;  /* the wall's left end is at lo */
};

enum upright_kind {
    STUD_COMMON,  /* laid out by the spacing */
    STUD_CRIPPLE, /* one of these, cut short by an opening */
    STUD_END,     /* beside a corner */
    STUD_KING,    /* beside an opening, from plate to plate */
    STUD_JACK     /* under its header */
};

struct upright {
    length at;      /* its middle, on the line */
    uint32_t index; /* STUD_COMMON, STUD_CRIPPLE: from the left end of the wall it is laid out from,
                       the first is 1 */
    uint8_t kind;   /* enum upright_kind */
    const struct face *face;
    length low, high; /* its ends above the floor */
};

/* A rough opening: what stands side by side without wood between is one. */
struct rough_opening {
    length lo, hi;
    length sill, head;              /* above the floor; 0: it goes down to the floor */
    length top;                     /* of its header; as high as the wall where it has none */
    length under;                   /* how high the bores under its sill may be; 0: none go there */
    uint32_t jacks;                 /* on each side; 0: a railing, which no wall goes on over */
    length clear_left, clear_right; /* the nearest places beside it that frame_clear_place finds */
    bool glass;                     /* a window */
    length header;                  /* how deep the plan says that it is; negative: not said */
    const struct fixture *fixture;
    const struct room *room;
};

/* A place on a line where a route may turn: a corner with another line, or the edge of what stands
 * in the way. */
struct turn {
    length at;
    uint32_t line;
    uint32_t partner; /* the joint of the other line at a corner, or NO_INDEX */
    uint32_t studs;   /* studs of the line at or before it */
    length under;     /* how high it goes on to the next joint, below a low sill; 0: at the height
                         of the bores */
    uint32_t closed_from; /* the day from which the finish is on from here to the next joint of the
                             line, facts/closed.h */
    bool open;            /* a cable may go on through the studs to the next joint of the line */
    bool but_bulks;       /* the same if no beams and ducts were there */
    bool bay;             /* a cable may leave the studs here: it stands beside wood, not in it */
};

/* An opening, a fixed thing that cannot be bored along, or a beam or duct inside the wall at any
 * height. */
struct obstacle {
    length lo, hi;
    bool bars; /* no cable goes through the studs there at the height of the bores */
    const struct fixture *fixture; /* NULL: a beam or duct */
    const struct room *room;
};

struct line {
    uint32_t storey;
    bool bare;     /* the face of concrete: it has no studs */
    double ux, uy; /* its direction */
    length off;    /* of its first face */
    length middle; /* the same of the middle of its studs; bare: of its face */
    length lo, hi;
    uint32_t first_face, face_count; /* in frame.sorted */
    uint32_t first_stud, stud_count;
    uint32_t first_joint, joint_count; /* in the order of their places */
    uint32_t first_obstacle, obstacle_count;
    uint32_t first_opening, opening_count; /* in the order of their places, apart from each other */
    uint32_t first_cripple, cripple_count;
};

struct storey {
    length floor;
    VEC(const struct level *) levels;
    struct point corner; /* the south-west corner of what is drawn on it: joists count from here */
    bool known;
    VEC(uint32_t) lines;
};

/* From the library: heights where the plan says none, and what a way keeps from wood. */
struct frame_figures {
    length window_sill, head, top_plates;
    length under_sill; /* wood left over and under a bore below a sill */
    length least_bay;  /* what is narrower between two studs is no bay */
    length clear;      /* what a way keeps from beams and ducts */
};

struct skeleton {
    struct model *m;
    struct frame_figures figures;
    struct face *faces;         /* of room r, wall w: faces[first_face[r] + w] */
    uint32_t *first_face;       /* by room id */
    const struct face **sorted; /* by line, then by room */
    const struct face *
        *placed;   /* by line, then by where they begin; of a line they stand at the same indices */
    length *reach; /* how far those of the line up to here go: what lies beyond needs no look */
    struct line *lines;
    uint32_t line_count;
    struct upright *studs;    /* those that are met at the height of the bores */
    struct upright *cripples; /* over headers, and where no bore goes */
    struct rough_opening *openings;
    struct turn *joints;
    uint32_t joint_count;
    struct obstacle *obstacles;
    struct storey *storeys; /* from the lowest up */
    uint32_t storey_count;
    uint32_t *storey_of;    /* by level id */
    bool any_closed;        /* the finish of some wall or ceiling is on */
    bool slanted;           /* some wall runs neither east nor north */
    struct bulks *bulks;    /* beams, ducts and the like, framing/bulks.h; NULL: none */
    struct point low, high; /* round all rooms that are drawn */
};

struct skeleton *frame_build(struct arena *arena, struct model *m);

/* 0 for what is built; a pattern that nothing is built from lies in a world of its own, whose walls
 * meet no others. */
uint32_t frame_world_of(const struct room *room);

/* How thick a wall of a room is, from face to face of what covers its studs. */
length frame_wall_thickness(const struct room *room, uint32_t wall);

/* The same of the thickest of its walls. */
length frame_thickest_wall(const struct room *room);

/* The wall of a face. */
static inline const struct wall *frame_wall_of(const struct face *face)
{
    return &face->room->walls[face->wall];
}

/* The face of the room on the other side of concrete, which has a line of its own; NULL: none. */
const struct face *frame_face_behind(const struct skeleton *f, const struct face *face);

/* The face of a room's wall. */
const struct face *frame_face_of(const struct skeleton *f, const struct room *room, uint32_t wall);

/* A point's place on a line, and the point of the line's first face at a place. */
length frame_line_place(const struct line *l, struct point p);
struct point frame_line_point(const struct line *l, length at);

/* A place of a line as a distance from the left end of a face. */
length frame_from_left_of(const struct face *face, length at);

/* Whether a cable may be bored through the studs all the way between two places of a line; else,
 * where `what` is not NULL, what stands there. */
bool frame_line_open(const struct skeleton *f, uint32_t line, length a, length b,
                     const struct obstacle **what);

/* Studs strictly between two places of a line: the index of the first in `first`, their count
 * returned. */
uint32_t frame_studs_between(const struct skeleton *f, const struct line *l, length a, length b,
                             uint32_t *first);

/* The face that a place of a line is laid out from: of the rooms that have a wall there the one
 * named first; NULL in a gap. */
const struct face *frame_governing_face(const struct skeleton *f, const struct line *l, length at);

/* The same, or the line's first face in a gap. */
const struct face *frame_face_at(const struct skeleton *f, const struct line *l, length at);

/* Whether the wall carries or stands to the open air: as a room says, or where a room is drawn on
 * one side of it only. */
bool frame_bears(const struct skeleton *f, const struct line *l, length at);

/* Whether the plan says that the wall has insulation in its bays there. */
bool frame_insulated_at(const struct skeleton *f, const struct line *l, length at);

/* The day from which the finish of a place of the line is on (facts/closed.h): on every side that
 * is drawn, but that a room which is there and left alone opens nothing. */
uint32_t frame_closed_from(const struct skeleton *f, const struct line *l, length at);

/* The room whose ceiling, closed before the day `by`, lies below a place among joists, in the world
 * of `world`; NULL where none does, or where the place is reached: from a room above that stays
 * open, as an attic does, or over the wall of a room beside it whose ceiling is open. */
const struct room *frame_closed_over(const struct skeleton *f, const struct room *world,
                                     struct place3 at, uint32_t by);

/* openings.c: what stands in the way along the lines, and the rough openings among it. */
void frame_find_obstacles(struct arena *arena, struct skeleton *f);
void frame_find_openings(struct arena *arena, struct skeleton *f);

/* The heights between which an opening is open, above the floor of its room. */
void frame_opening_heights(const struct skeleton *f, const struct room *room,
                           const struct fixture *fx, length *sill, length *head);

/* The opening that a place of a line is in, its edges left out; NULL in a wall. */
const struct rough_opening *frame_opening_at(const struct skeleton *f, const struct line *l,
                                             length at);

/* The first opening of the line that ends beyond a place; NULL where there is none. */
const struct rough_opening *frame_opening_from(const struct skeleton *f, const struct line *l,
                                               length at);

/* How far the header of an opening lies over its jacks, on each side. */
length frame_jacks_of(const struct rough_opening *r);

/* Whether a place is at the edge of an opening: who stands there is beside its jack, and in it. */
bool frame_at_edge(const struct skeleton *f, const struct line *l, length at);

/* Whether the floor at a place of the line is concrete on the ground. */
bool frame_on_slab(const struct skeleton *f, const struct line *l, length at);

/* Whether a cable at a place of the line, not in wood, has a way straight up to the top plates from
 * a height above the floor, or down to the bottom plate. */
bool frame_goes_up(const struct skeleton *f, const struct line *l, length at, length from, bool up);

/* uprights.c: the studs of all lines. */
void frame_find_uprights(struct arena *arena, struct skeleton *f);

/* The first of all cripples that is one of the line and stands at a place of it or behind. */
uint32_t frame_first_cripple(const struct skeleton *f, const struct line *l, length at);

/* Half the thickness of a line's studs. */
length frame_half_stud(const struct upright *u);

/* Whether a place of the line is inside a stud. */
bool frame_in_wood(const struct skeleton *f, const struct line *l, length at);

/* The bay of a place: between the faces of the studs on both sides, or the ends of the line; false
 * where it is inside one. */
bool frame_bay_at(const struct skeleton *f, const struct line *l, length at, length *lo,
                  length *hi);

/* From an edge of what stands at a place on to the right or left, the next place where a cable can
 * stand: beside wood, not in it, nor in an opening where `past_openings`. */
length frame_clear_place(const struct skeleton *f, const struct line *l, length at, bool right,
                         bool past_openings);

/* The last joint of the line at or before a place; NO_INDEX where there is none. */
uint32_t joint_before(const struct skeleton *f, const struct line *l, length at);

/* joints.c: the joints of all lines, for frame_build. */
void frame_find_joints(struct arena *arena, struct skeleton *f);

/* How many studs of a line lie before a place, or at it too. */
uint32_t frame_studs_before(const struct skeleton *f, const struct line *l, length at, bool with);

static inline length length_abs(length l)
{
    return l < 0 ? -l : l;
}

/* The multiples of `spacing` strictly between a and b: how many, and the number of the lowest in
 * `first`. */
uint32_t frame_multiples_between(length a, length b, length spacing, int64_t *first);

#endif
