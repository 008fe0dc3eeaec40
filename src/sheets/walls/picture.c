/* A wall alone, without the border and the strip of a sheet: for the book. */
#include "emit/words/places.h"
#include "facts/facts.h"
#include "model/address.h"
#include "sheets/walls/wall.h"

enum {
    RATIO = 24,    /* 1/2" to the foot */
    TOP = 14000,   /* for call-outs over the wall */
    RIGHT = 46000, /* and beside it */
    LIST = 24000,  /* for what has a number, below */
    EDGE = 2000
};

struct wall_pictures {
    const struct wall_index *index;
    struct set set;
};

struct wall_pictures *wall_pictures_begin(const struct results *r)
{
    struct wall_pictures *p = arena_new(r->arena, struct wall_pictures);
    p->index = wall_index_make(r);
    p->set.r = r;
    p->set.paper = paper_new(r->arena, r->model->title ? r->model->title : "Plan", NULL);
    return p;
}

/* Cuts off what is empty on the right and below. */
static void crop(struct sheet *s)
{
    um right = 0, bottom = 0;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        struct area a = paper_mark_area(&s->marks.at[i]);
        right = a.right > right ? a.right : right;
        bottom = a.bottom > bottom ? a.bottom : bottom;
    }
    s->width = right + EDGE < s->width ? right + EDGE : s->width;
    s->height = bottom + EDGE < s->height ? bottom + EDGE : s->height;
}

const struct sheet *wall_picture(struct wall_pictures *pictures, const struct room *room,
                                 uint32_t wall, const char *number)
{
    struct arena *arena = pictures->set.r->arena;
    wall_stretches stretches = {0};
    if (!room->level || !facts_known(room, ITS_TEXT) ||
        !wall_has_things(pictures->index, room, wall))
        return NULL;
    struct wall_view v = wall_view_of(pictures->index, &pictures->set, room, wall);
    v.ratio = RATIO;
    v.left = EDGE + WALL_BESIDE;
    v.floor = TOP + paper_scaled(room->ceiling, RATIO);
    um width = v.left + paper_scaled(v.wall->length, RATIO) + RIGHT, below = v.floor + WALL_BELOW;
    const char *title = arena_printf(arena, "%s, %s wall", words_room(arena, room), v.wall->name);
    v.s = paper_sheet(pictures->set.paper, number, "Walls", title, width, below + LIST);
    v.words = (struct area){EDGE, EDGE, width - EDGE, v.floor};
    wall_draw_frame(&v, NULL);
    wall_draw_cables(&v, NULL, &stretches);
    wall_draw_things(&v, NULL);
    wall_draw_measures(&v);
    wall_write_words(&v, 0, &stretches,
                     (struct area){v.left, below, width - EDGE, below + LIST - EDGE});
    crop(v.s);
    return v.s;
}
