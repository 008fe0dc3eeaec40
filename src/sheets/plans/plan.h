/* The floor plans, by subject: what their parts share. A level is a sheet, or several that meet at
 * match lines where it would be drawn too small. */
#ifndef STUDBAY_SHEETS_PLANS_PLAN_H
#define STUDBAY_SHEETS_PLANS_PLAN_H

#include "framing/frame.h"
#include "framing/routes.h"
#include "sheets/plans/taken.h"
#include "sheets/sheets.h"
#include "wiring/bores.h"

enum plan_subject { PLAN_POWER, PLAN_LIGHTS, PLAN_ALARMS, PLAN_CEILING };

/* --- what is on a sheet ----------------------------------------------------------------------- */

/* A cable over the ceiling, or one that goes, between two points of the level. */
struct plan_piece {
    const struct run *run;
    struct point from, to;
};

/* A switch leg from one box to the next. */
struct plan_link {
    const struct leg *leg;
    const struct box *from, *to;
};

/* The part of a level that stands on one sheet. */
struct plan_tile {
    struct point low, high;
    VEC(const struct room *) rooms;
    VEC(const struct bulk *) bulks;
    VEC(const struct box *) boxes;
    VEC(const struct box *) gone;
    VEC(const struct panel *) panels;
    VEC(struct plan_link) links;
    VEC(struct plan_piece) over;
    VEC(struct plan_piece) going;
    VEC(const struct bore *) holes;
    uint32_t part;                    /* its number among those that are drawn, from 1 */
    struct page *page;                /* NULL before it is drawn */
    struct area field;                /* where it lies on its page */
    VEC(const struct room *) crowded; /* some sign found no place in them: they are drawn larger */
};

/* A level, or a room of one that is drawn larger, in its tiles: row by row from the north, each
 * from the west. */
struct plan_floor {
    const struct level *level;
    const struct room *room; /* drawn larger; NULL: the level */
    bool any;                /* some room of it is drawn */
    struct point low, high;
    int ratio;
    uint32_t columns, rows, parts; /* parts: tiles that are drawn */
    const length *across, *down; /* where tiles begin: columns + 1 from the west, rows + 1 from the
                                    south */
    struct plan_tile *tiles;
    VEC(const struct room *) rooms;
};

/* All levels in their tiles, for a subject. */
struct plan_floor *plan_floors(struct set *set, enum plan_subject subject, struct area field);

/* What of a room lies on a tile, which is some of it, at a larger scale than the floor's, which has
 * one: that which fits a sheet, else the next one, in tiles. */
struct plan_floor *plan_larger(struct set *set, const struct plan_floor *floor,
                               const struct plan_tile *tile, const struct room *room,
                               struct area field);

/* Whether a tile goes on over a match line, one or none to the east and south. */
struct plan_tile *plan_neighbour(const struct plan_floor *floor, const struct plan_tile *tile,
                                 int east, int south);

/* Whether nothing of a tile is drawn: a part of a level without anything of the subject is no
 * sheet; the plan of power shows the whole building. */
bool plan_is_empty(enum plan_subject subject, const struct plan_floor *floor,
                   const struct plan_tile *tile);

/* Whether a box is a matter of the subject; whether a device in it is. */
bool plan_shows_device(enum plan_subject subject, const struct box *b, const struct device *d);
bool plan_shows_box(enum plan_subject subject, const struct box *b);

/* --- signs ------------------------------------------------------------------------------------ */

enum plan_shape {
    PLAN_DUPLEX,
    PLAN_SINGLE,
    PLAN_THREE_BARS,
    PLAN_LAMP,
    PLAN_TUBE,
    PLAN_CIRCLE,
    PLAN_HEXAGON,
    PLAN_BLADES,
    PLAN_SWITCH,
    PLAN_SQUARE,
    PLAN_TRIANGLE,
    PLAN_SHAPES
};

/* How a device is drawn. */
struct plan_sign {
    enum plan_shape shape;
    const char *letters; /* in it, of a switch behind its S; "" */
    const char *words;   /* in the legend */
    const char *legs;    /* the letters of the legs that it works, above it; NULL */
    bool half;           /* one half of a receptacle is on a switch */
    bool existing, goes;
};

/* The sign of a device; of NULL that of a box without one. */
struct plan_sign plan_sign_of(const struct results *r, const struct device *d);

/* How much room it takes. */
void plan_sign_size(const struct sheet *s, const struct plan_sign *sign, um *wide, um *high);

/* Draws it about (x, y). */
void plan_sign_draw(struct sheet *s, const struct plan_sign *sign, um x, um y);

/* A line of the legend for it. */
void plan_sign_key(struct page *page, const struct plan_sign *sign);

/* --- a sheet ---------------------------------------------------------------------------------- */

/* A box or panel on the sheet, where it came to stand. */
struct plan_mark {
    const struct box *box;
    const struct panel *panel; /* one of the two */
    bool goes;
    const struct place *place;
    const struct room *room;
    const struct device **devices; /* those that are shown */
    struct plan_sign *signs;
    struct spot *spots; /* the middle of each sign */
    uint32_t count;
    struct spot at;      /* its true place */
    struct area area;    /* of its signs and bracket */
    struct spot stem[2]; /* from its place, or the sign that it hangs on, to its signs */
    bool hangs;          /* on the sign of another one at its place */
    bool told;           /* no place was found: it has no sign and is told in words */
};

/* The radius of the dot at the foot of a stem. */
enum { PLAN_DOT = 400 };

/* The arrow of a home run. */
struct plan_arrow {
    const struct run *run;
    uint32_t mark;
    struct spot from, tip;
};

/* Words that are to stand in an area where it is free. */
struct plan_wish {
    struct area area;
    const char *words;
    const struct room *room; /* of the thing that they name; NULL: of none */
};

/* The cable of a run over the ceiling: its longest stretch on the sheet, as it is drawn. */
struct plan_cable {
    const struct run *run;
    struct spot from, to;
};

/* A line of the list beside the plan. */
struct plan_line {
    bool head;
    const char *words;
};

struct plan_view {
    struct set *set;
    const struct results *r;
    enum plan_subject subject;
    const struct plan_floor *floor;
    struct plan_tile *tile;
    struct page *page;
    struct sheet *s;
    struct area field, side; /* of the plan; of the lists beside it */
    um left, top;            /* of the tile's north-west corner */
    int ratio;
    bool larger; /* rooms where signs find no place are drawn larger, on other sheets */
    struct plan_taken *taken;
    VEC(struct plan_mark) marks;
    VEC(struct plan_arrow) arrows;
    VEC(struct plan_wish) wishes;
    VEC(struct plan_cable) cables;
    VEC(struct plan_line) list;
    VEC(struct plan_line)
    unsized; /* dimensions without words, of the south side (`head`) and the
                west side */
    VEC(const struct room *) unnamed; /* whose names find no free place */
    VEC(const struct leg *) legs;     /* in the order of their letters */
    struct map mark_of;               /* (0, box) -> its place among the marks + 1 */
    struct map leg_letters;           /* (0, leg) -> const char * */
    um listed;                        /* how far down the side is written */
};

static inline um plan_x(const struct plan_view *v, length x)
{
    return v->left + paper_scaled(x - v->tile->low.x, v->ratio);
}

static inline um plan_y(const struct plan_view *v, length y)
{
    return v->top + paper_scaled(v->tile->high.y - y, v->ratio);
}

static inline struct spot plan_spot_of(const struct plan_view *v, struct point p)
{
    return (struct spot){plan_x(v, p.x), plan_y(v, p.y)};
}

/* The direction of a wall on paper, from its left end to its right, and into its room. */
struct plan_heading {
    double ux, uy, nx, ny;
};
struct plan_heading plan_heading_of(const struct wall *w);

/* A point of a wall, `in` off it into the room. */
struct spot plan_on_wall(const struct plan_view *v, const struct wall *w, length along, um in);

/* Whether it lies in the open: it has no walls to cut. */
bool plan_is_outdoors(const struct plan_view *v, const struct room *room);

/* building.c: walls, openings, doors, fixed things, stairs, beams and ducts. */
void plan_draw_building(struct plan_view *v);

/* The words of fixed things and beams, in what is left free of them. */
void plan_write_wishes(struct plan_view *v);

/* Stairs: a sign in their room, for no plan says where in it they lie. */
void plan_draw_stairs(struct plan_view *v);

/* measures.c: outside dimensions. */
enum {
    PLAN_BESIDE = 15000, /* what they take on the left and below */
    PLAN_MATCH = 5500    /* what words along a match line take */
};
void plan_draw_measures(struct plan_view *v);

/* marks.c: finds places for the signs of all boxes and panels, and draws them. */
void plan_place_marks(struct plan_view *v);
void plan_draw_marks(struct plan_view *v);

/* wires.c: switch legs, arrows of home runs, cables that go; joists, holes and cables over the
 * ceiling. */
void plan_letter_legs(struct plan_view *v);
void plan_draw_legs(struct plan_view *v);
void plan_draw_arrows(struct plan_view *v);
void plan_draw_going(struct plan_view *v);
void plan_draw_ceiling(struct plan_view *v);

/* The free place of that size in a room that is nearest to its middle, in the part that is on the
 * sheet; false: none. `by`: what it keeps clear of. */
bool plan_find_free(const struct plan_view *v, const struct room *room, um wide, um high,
                    unsigned by, struct area *found);

/* What words of a match line on that side take; 0: there is none. */
um plan_match_at(const struct plan_view *v, int east, int south);

/* Adds a line to the list beside the plan; a head stands above what was added last. */
void plan_list(struct plan_view *v, bool head, const char *words);

/* The name of a room for people, with its unit where there are several. */
const char *plan_room_name(const struct plan_view *v, const struct room *room);

/* words.c: names of rooms; what is said of boxes, panels and arrows, with the lists beside the
 * plan. */
void plan_name_rooms(struct plan_view *v);
void plan_write_words(struct plan_view *v, uint32_t first);

#endif
