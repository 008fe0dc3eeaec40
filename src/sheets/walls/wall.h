/* A wall as one stands before it, drawn to scale: what the wall sheets and the book share. */
#ifndef STUDBAY_SHEETS_WALLS_WALL_H
#define STUDBAY_SHEETS_WALLS_WALL_H

#include "framing/frame.h"
#include "framing/routes.h"
#include "sheets/sheets.h"
#include "wiring/bores.h"

struct placer;

/* Part of a run's way on a line of wall. */
struct wall_piece {
    const struct run *run;
    const struct segment *segment;
};

/* A box or a panel on a wall. */
struct wall_thing {
    const struct box *box;
    const struct panel *panel;
    const struct place *place; /* where it is set */
    const char *name;          /* "S1", "Landing S1" of what is behind the wall */
    length wide, high;
    bool round, existing, goes;
};

typedef VEC(struct wall_piece) wall_pieces;
typedef VEC(const struct bore *) wall_bores;
typedef VEC(struct wall_thing) wall_things;

/* What is looked up once for all walls. */
struct wall_index {
    const struct results *r;
    wall_pieces *pieces; /* by face of the framing: what may be seen on it */
    wall_bores *bores;
    struct map panels; /* (0, room) -> wall_things: its panels */
    struct map gone;   /* (0, room) -> wall_things: its boxes that are taken out */
    length gang, first_gang, box_height, round_wide, panel_wide, panel_high;
    int64_t top_plates;
};

struct wall_index *wall_index_make(const struct results *r);

/* Whether a wall has boxes or panels, or cables and holes in it. */
bool wall_has_things(const struct wall_index *index, const struct room *room, uint32_t wall);

/* One wall in its place on a sheet. */
struct wall_view {
    const struct wall_index *index;
    struct set *set;
    struct sheet *s;
    const struct room *room;
    const struct wall *wall;
    uint32_t number; /* of the wall in its room */
    const struct face *face;
    const struct line *line; /* NULL: a wall that is no line of the framing */
    wall_things things;      /* from the left */
    wall_things behind;      /* on the other side, their places as seen from this one */
    int ratio;
    length lo, hi;     /* what of it is drawn, from its left end: a long one is parted */
    um left, floor;    /* where its left end and its floor lie, or would, on the sheet */
    struct area words; /* where call-outs may stand */
};

/* A view of the wall that is not placed yet: what stands on it. */
struct wall_view wall_view_of(const struct wall_index *index, struct set *set,
                              const struct room *room, uint32_t wall);

static inline um wall_x(const struct wall_view *v, length from_left)
{
    return v->left + paper_scaled(from_left, v->ratio);
}

static inline um wall_y(const struct wall_view *v, length up)
{
    return v->floor - paper_scaled(up, v->ratio);
}

/* Whether a place of the wall belongs to what is drawn of it. */
static inline bool wall_sees(const struct wall_view *v, length from_left)
{
    return from_left >= v->lo &&
           (from_left < v->hi || (from_left == v->hi && v->hi == v->wall->length));
}

/* The ends of a way on it, from its left end and within what is drawn; false: none of it is. */
bool wall_way_ends(const struct wall_view *v, const struct segment *s, length *a, length *b);

/* Where a hole is, from the left end. */
length wall_bore_at(const struct wall_view *v, const struct bore *b);

/* The part of a whole view from `lo` to `hi`, with what stands there. */
struct wall_view wall_view_part(const struct wall_view *whole, length lo, length hi);

/* Where a thing lies on the sheet. */
struct area wall_thing_area(const struct wall_view *v, const struct wall_thing *t);

/* A part of a way as it is drawn: beside those that lie in the same place. */
struct wall_stretch {
    const struct run *run;
    struct spot from, to;
    bool level;
};

typedef VEC(struct wall_stretch) wall_stretches;

/* frame.c: studs, plates, headers, openings and what is fixed or stands before the wall. */
void wall_draw_frame(const struct wall_view *v, struct page *page);
/* The rough openings of its line, from the line's low end: the one after `o`, the first for NULL;
 * NULL: there is none. */
const struct rough_opening *wall_next_opening(const struct wall_view *v,
                                              const struct rough_opening *o);
/* Words go over headers, rough sills and the edges of openings only where nothing else is free. */
void wall_block_headers(const struct wall_view *v, struct placer *p);
/* What an opening or fixed thing takes of the wall, what is fixed as high as the plan or the table
 * fixed-things says; false: nothing of what is drawn. */
bool wall_fixture_area(const struct wall_view *v, const struct fixture *x, struct area *a);

/* cables.c: what is bored and pulled, the boxes, and those of the other side. */
void wall_draw_cables(const struct wall_view *v, struct page *page, wall_stretches *stretches);
void wall_draw_things(const struct wall_view *v, struct page *page);

/* measures.c: heights beside the wall, distances below it; what they take there. */
void wall_draw_measures(const struct wall_view *v);
enum { WALL_BELOW = 20000, WALL_BESIDE = 18000 };

/* words.c: call-outs of boxes and panels and names of cables that pass, which lie on nothing that
 * is drawn from the sheet's mark `first` on. What finds no place is a number and stands in the
 * list.
 */
void wall_write_words(const struct wall_view *v, uint32_t first, const wall_stretches *stretches,
                      struct area list);

/* What a thing is called in the whole plan. */
const char *wall_thing_address(const struct wall_index *index, const struct wall_thing *t);

/* picture.c: what draws walls alone, for a page that has its own words round them. */
struct wall_pictures *wall_pictures_begin(const struct results *r);

/* A wall on a sheet of its own, at 1/2" to the foot and no larger than what is drawn; NULL: there
 * is nothing on it or in it that could be shown. `number` is what the sheet is called. */
const struct sheet *wall_picture(struct wall_pictures *pictures, const struct room *room,
                                 uint32_t wall, const char *number);

#endif
