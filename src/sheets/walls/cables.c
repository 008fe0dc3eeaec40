#include "emit/views.h"
#include "sheets/walls/wall.h"

#include <string.h>

enum {
    LANE = 800,        /* between cables that lie in one place */
    LANES = 7,         /* then they lie on each other again */
    BEYOND = 2200,     /* what is seen of a way above the ceiling and below the floor */
    HOLE_LEAST = 1500, /* what is smaller is not seen */
};

static const length lane_step = 16 * INCH;

bool wall_way_ends(const struct wall_view *v, const struct segment *s, length *a, length *b)
{
    *a = frame_from_left_of(v->face,
                            frame_line_place(v->line, (struct point){s->from.x, s->from.y}));
    *b = frame_from_left_of(v->face, frame_line_place(v->line, (struct point){s->to.x, s->to.y}));
    length lo = *a < *b ? *a : *b, hi = *a < *b ? *b : *a;
    if (hi < v->lo || lo > v->hi)
        return false;
    *a = *a < v->lo ? v->lo : *a > v->hi ? v->hi : *a;
    *b = *b < v->lo ? v->lo : *b > v->hi ? v->hi : *b;
    return true;
}

length wall_bore_at(const struct wall_view *v, const struct bore *b)
{
    struct place3 p = bore_member(v->index->r->bores, b).at;
    return frame_from_left_of(v->face, frame_line_place(v->line, (struct point){p.x, p.y}));
}

/* Above the floor; what goes further up or down is cut a little beyond the wall, before what is
 * written there. */
static length up_of(const struct wall_view *v, length z)
{
    length beyond = 4 * INCH, up = z - v->room->level->floor;
    um drawn = paper_scaled(beyond, v->ratio);
    beyond = drawn > BEYOND ? beyond * BEYOND / drawn : beyond;
    return up < -beyond ? -beyond : up > v->room->ceiling + beyond ? v->room->ceiling + beyond : up;
}

/* Cables that share their way would lie on one line: each is drawn beside those before it. */
static um lane_of(const struct wall_view *v, struct map *lanes, const struct segment *s, length a,
                  length b)
{
    bool flat = s->from.z == s->to.z;
    length key = flat ? s->from.z : a, from = flat ? a : s->from.z, to = flat ? b : s->to.z,
           lo = from < to ? from : to, hi = from < to ? to : from;
    uint32_t most = 0;
    for (length cell = lo / lane_step; cell <= hi / lane_step; cell++) {
        uint32_t **n = (uint32_t **)map_at(v->index->r->arena, lanes, (uintptr_t)(key * 2 + flat),
                                           (uintptr_t)cell);
        if (!*n)
            *n = arena_new(v->index->r->arena, uint32_t);
        most = **n > most ? **n : most;
        **n += 1;
    }
    most %= LANES;
    return (um)(most + 1) / 2 * (most % 2 ? 1 : -1) * LANE;
}

static void draw_piece(const struct wall_view *v, struct map *lanes, const struct wall_piece *p,
                       wall_stretches *stretches, struct page *page)
{
    length a, b;
    if (!wall_way_ends(v, p->segment, &a, &b))
        return;
    if (page)
        page_key_line(page, p->run->existing ? DASH_EXISTING : DASH_NONE, LINE_NEW,
                      p->run->existing ? "cable, existing" : "cable, new");
    length za = up_of(v, p->segment->from.z), zb = up_of(v, p->segment->to.z);
    um shift = lane_of(v, lanes, p->segment, a, b);
    bool level = za == zb;
    struct spot from = {wall_x(v, a) + (level ? 0 : shift), wall_y(v, za) + (level ? shift : 0)},
                to = {wall_x(v, b) + (level ? 0 : shift), wall_y(v, zb) + (level ? shift : 0)};
    const char *address = view_of_run(v->index->r, p->run)->address;
    paper_begin(v->s, ROLE_CABLE, NULL, address);
    paper_line(v->s, from.x, from.y, to.x, to.y,
               (struct pen){BLACK, NO_INK, LINE_NEW, p->run->existing ? DASH_EXISTING : DASH_NONE});
    paper_end(v->s);
    *vec_push(v->index->r->arena, stretches) = (struct wall_stretch){p->run, from, to, level};
}

static um seen(const struct wall_view *v, length l)
{
    um size = paper_scaled(l, v->ratio);
    return size > HOLE_LEAST ? size : HOLE_LEAST;
}

/* A hole is a circle, a notch a box over its stud. */
static void draw_bore(const struct wall_view *v, const struct bore *b, um x, um y)
{
    static const struct pen pen = {BLACK, WHITE, LINE_EDGE, DASH_NONE};
    if (!b->notch) {
        paper_circle(v->s, x, y, seen(v, b->bit) / 2, pen);
        return;
    }
    um wide = seen(v, bore_member(v->index->r->bores, b).lumber->thickness),
       high = seen(v, b->wide);
    paper_rect(v->s,
               (struct area){x - wide / 2, y - high / 2, x + wide - wide / 2, y + high - high / 2},
               0, pen);
}

static void key_hole(struct sheet *s, um x, um y, const void *what)
{
    (void)what;
    paper_circle(s, x, y, MM, (struct pen){BLACK, WHITE, LINE_EDGE, DASH_NONE});
}

static void draw_bores(const struct wall_view *v, const wall_bores *list, struct page *page)
{
    for (uint32_t i = 0; i < list->n; i++) {
        length z = bore_member(v->index->r->bores, list->at[i]).at.z,
               at = wall_bore_at(v, list->at[i]), up = z - v->room->level->floor;
        if (!wall_sees(v, at) || up < -FOOT || up > v->room->ceiling + FOOT)
            continue;
        draw_bore(v, list->at[i], wall_x(v, at), wall_y(v, up_of(v, z)));
        if (page)
            page_key(page, (struct key){.draw = key_hole, .words = "hole, to size"});
    }
}

void wall_draw_cables(const struct wall_view *v, struct page *page, wall_stretches *stretches)
{
    struct map lanes = {0};
    if (!v->line)
        return;
    uint32_t face = (uint32_t)(v->face - v->index->r->routes->frame->faces);
    const wall_pieces *pieces = &v->index->pieces[face];
    for (uint32_t i = 0; i < pieces->n; i++)
        draw_piece(v, &lanes, &pieces->at[i], stretches, page);
    paper_begin(v->s, ROLE_FRAMING, NULL, NULL);
    draw_bores(v, &v->index->bores[face], page);
    paper_end(v->s);
}

/* --- boxes ------------------------------------------------------------------------------------ */

static void draw_outline(const struct wall_view *v, const struct wall_thing *t, struct pen pen)
{
    struct area a = wall_thing_area(v, t);
    if (t->round)
        paper_circle(v->s, (a.left + a.right) / 2, (a.top + a.bottom) / 2, (a.right - a.left) / 2,
                     pen);
    else
        paper_rect(v->s, a, 0, pen);
    if (!t->goes)
        return;
    paper_line(v->s, a.left, a.top, a.right, a.bottom, pen);
    paper_line(v->s, a.right, a.top, a.left, a.bottom, pen);
}

static void key_box(struct sheet *s, um x, um y, const void *what)
{
    const struct pen *pen = what;
    paper_rect(s, (struct area){x - MM, y - 3 * MM / 2, x + MM, y + 3 * MM / 2}, 0, *pen);
}

static const struct pen new_box = {BLACK, WHITE, LINE_NEW, DASH_NONE},
                        old_box = {BLACK, WHITE, LINE_THIN, DASH_EXISTING},
                        going_box = {BLACK, WHITE, LINE_THIN, DASH_GOES},
                        other_side = {BLACK, NO_INK, LINE_THIN, DASH_BEHIND};

static void draw_thing(const struct wall_view *v, const struct wall_thing *t, struct page *page)
{
    const struct pen *pen = t->goes ? &going_box : t->existing ? &old_box : &new_box;
    const char *address = wall_thing_address(v->index, t);
    paper_begin(v->s, ROLE_BOX, address, address);
    draw_outline(v, t, *pen);
    paper_link(v->s, wall_thing_area(v, t), arena_printf(v->index->r->arena, "#%s", address));
    paper_end(v->s);
    if (page)
        page_key(page, (struct key){.draw = key_box,
                                    .what = pen,
                                    .words = t->goes       ? "box that goes"
                                             : t->existing ? "box, existing"
                                                           : "box, new"});
}

static void draw_behind(const struct wall_view *v, const struct wall_thing *t, struct page *page)
{
    paper_begin(v->s, ROLE_FIXED, NULL, wall_thing_address(v->index, t));
    draw_outline(v, t, other_side);
    paper_end(v->s);
    if (page)
        page_key(page, (struct key){
                           .draw = key_box, .what = &other_side, .words = "box on the other side"});
}

void wall_draw_things(const struct wall_view *v, struct page *page)
{
    for (uint32_t i = 0; i < v->behind.n; i++)
        draw_behind(v, &v->behind.at[i], page);
    for (uint32_t i = 0; i < v->things.n; i++)
        draw_thing(v, &v->things.at[i], page);
}
