/* The rooms: what is left in each, its walls, and the cards of its boxes in the order in which one
 * walks along them. */
#include "book/work.h"

#include "base/sort.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "facts/facts.h"
#include "model/site.h"
#include "paper/svg.h"
#include "sheets/walls/wall.h"

#include <string.h>

enum { PIXELS_OF_MM = 5 };

const char *book_room_words(const struct book *b, const struct room *room)
{
    return words_room(b->arena, room);
}

const char *book_side_words(const struct book *b, const struct box_view *v)
{
    return !v->wall     ? "place not said"
           : v->on_wall ? arena_printf(b->arena, "%s wall", v->wall)
                        : v->wall;
}

/* --- the order of the boxes --------------------------------------------------------------- */

/* Numbers of either sign in their order. */
static uint64_t ordered(length l)
{
    return (uint64_t)l ^ (uint64_t)1 << 63;
}

/* Wall by wall from the left, then what hangs and lies there, in the order of the plan. */
static struct sort_key place_in_walk(const struct book *b, const struct box_view *v)
{
    const struct place *p = view_place_of_box(b->r, v->box);
    uint64_t room = (uint64_t)v->box->room->id << 32;
    return v->on_wall ? (struct sort_key){room | p->wall, ordered(p->from_left)}
                      : (struct sort_key){room | v->box->room->wall_count, 0};
}

/* All boxes that are built, as one walks through the rooms. */
static uint32_t order_boxes(const struct book *b, struct sorted *walk)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < b->r->model->boxes.n; i++) {
        const struct box_view *v = view_built_box(b->r, i);
        if (v)
            walk[n++] = (struct sorted){place_in_walk(b, v), v->box->room->id, i};
    }
    sort_by_key(b->arena, walk, n);
    return n;
}

/* --- walls -------------------------------------------------------------------------------- */

static void put_on_wall(const struct book *b, const struct box_view *v)
{
    const struct cell *row = b->rows[v->box->id];
    const struct grid *t = &b->places.rows;
    struct buf left = {0}, up = {0};
    uint32_t from_left = table_column(t, "from_left_ft"), high = table_column(t, "up_in");
    cell_print(&t->columns[from_left], &row[from_left], &left);
    cell_print(&t->columns[high], &row[high], &up);
    html_put(b->out, "<li><a href=\"%h\"><b>%t</b> %t from the left, up %t</a></li>\n",
             b->ids.boxes[v->box->id], v->box->name, buf_text(&left), buf_text(&up));
    buf_free(&left);
    buf_free(&up);
}

static void put_panel_on_wall(const struct book *b, const struct panel *p)
{
    const struct place *at = view_place_of_panel(b->r, p);
    html_put(b->out, "<li><a href=\"%h\"><b>%t</b> panel, %t from the left, up %t</a></li>\n",
             b->ids.panels[p->id], p->name, length_words(b->arena, at->from_left),
             length_inch_words(b->arena, at->up));
}

static const char *anchor_of(void *book, const char *anchor)
{
    const struct book *b = book;
    return map_find(&b->ids.given, 0, names_of(b->r->model->names, html_anchor(b->arena, anchor)))
               ? html_address(b->arena, anchor)
               : NULL;
}

/* A length of the drawing on the screen: its words are as large there as those round it. */
static uint32_t pixels(um length)
{
    return (uint32_t)(length * PIXELS_OF_MM / MM);
}

/* The wall to scale, in a field that scrolls by itself. */
static void put_picture(struct book *b, const struct room *room, uint32_t wall, const char *id)
{
    const struct sheet *sheet = wall_picture(b->walls, room, wall, id);
    if (!sheet)
        return;
    struct svg_use use = {.bare = true,
                          .prefix = arena_printf(b->arena, "~%s~", id),
                          .target = anchor_of,
                          .context = b};
    html_put(b->out, "<section class=\"drawing\" tabindex=\"0\" aria-label=\"drawing of %t\">\n",
             id);
    struct buf svg = {0};
    svg_write(sheet, use, &svg);
    html_put(b->out, "<svg width=\"%u\" height=\"%u\"%m", pixels(sheet->width),
             pixels(sheet->height),
             strstr(buf_text(&svg), " viewBox=")); /* a page needs no name space */
    buf_free(&svg);
    html_put(b->out, "</section>\n");
}

/* Boxes in the order in which one walks along them, from `at` to `end`. */
struct walk {
    const struct sorted *at, *end;
};

/* A wall with what stands on it, from the left: the boxes at the head of the walk. */
static void put_wall(struct book *b, const struct room *room, uint32_t wall, struct walk *walk,
                     const struct panel_list *panels)
{
    const char *id = anchors_wall(b, &room->walls[wall]);
    if (!id)
        return;
    html_put(b->out,
             "<section class=\"wall\" id=\"%i\">\n"
             "<h3>%a \u00b7 %t wall</h3>\n%m",
             id, book_room_words(b, room), room->walls[wall].name, b->band);
    put_picture(b, room, wall, id);
    photos_put(b, room, &room->walls[wall]);
    html_put(b->out, "<ul class=\"links\">\n");
    for (; walk->at < walk->end; walk->at++) {
        const struct box_view *v = view_of_box(b->r, b->r->model->boxes.at[walk->at->item]);
        if (!v->on_wall || view_place_of_box(b->r, v->box)->wall != wall)
            break;
        put_on_wall(b, v);
    }
    for (uint32_t i = 0; i < panels->list.n; i++)
        put_panel_on_wall(b, panels->list.at[i]);
    html_put(b->out, "</ul>\n</section>\n");
}

static void put_walls(struct book *b, const struct room *room, struct walk walk)
{
    struct panel_list *on = arena_array(b->arena, struct panel_list, room->wall_count + 1);
    const struct panel_list *all = &b->panels_of[room->id];
    for (uint32_t i = 0; i < all->list.n; i++) {
        const struct place *p = &all->list.at[i]->place;
        if (p->where == ON_WALL && p->wall < room->wall_count)
            *vec_push(b->arena, &on[p->wall].list) = all->list.at[i];
    }
    for (uint32_t i = 0; i < room->wall_count; i++)
        put_wall(b, room, i, &walk, &on[i]);
}

/* --- rooms -------------------------------------------------------------------------------- */

/* `behind`: the first box of the next room, NULL behind the last. */
static void put_room(struct book *b, const struct room *room, struct walk walk,
                     const struct box *behind)
{
    const struct model *m = b->r->model;
    const char *id = b->ids.rooms[room->id];
    bool any = walk.at < walk.end;
    html_put(b->out,
             "<section class=\"room\" id=\"%i\">\n<h2>"
             "%a</h2>\n%m",
             id, book_room_words(b, room), b->band);
    left_put_in_room(b, room);
    photos_put(b, room, NULL);
    put_walls(b, room, walk);
    html_put(b->out, any ? "<div class=\"cards\">\n" : "");
    for (; walk.at < walk.end; walk.at++)
        card_put(b, m->boxes.at[walk.at->item],
                 walk.at + 1 < walk.end ? m->boxes.at[walk.at[1].item] : behind);
    html_put(b->out, any ? "</div>\n</section>\n" : "</section>\n");
}

void book_put_rooms(struct book *b)
{
    const struct model *m = b->r->model;
    struct sorted *walk = arena_array(b->arena, struct sorted, m->boxes.n + 1);
    const struct sorted *at = walk, *end = walk + order_boxes(b, walk);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        struct walk here = {.at = at};
        if (!b->ids.rooms[i])
            continue;
        while (at < end && at->owner == i)
            at++;
        here.end = at;
        put_room(b, m->rooms.at[i], here, at < end ? m->boxes.at[at->item] : NULL);
    }
}
