/* One wall as one stands before it, to scale: framing, openings, boxes, bores and runs. */
#include "emit/drawings/sheet.h"
#include "emit/views.h"
#include "facts/facts.h"
#include "framing/bulks.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "model/power.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Letter paper on its side. */
enum {
    PAGE_WIDTH = 792 * POINT,
    PAGE_HEIGHT = 612 * POINT,
    MARGIN = 36 * POINT,
    SIDE = 34 * POINT,
    HEAD = 52 * POINT,
    FOOT_HEIGHT = 66 * POINT,
    ROW = 10 * POINT
};

static const struct pen thin = {.stroke = "black", .width = POINT / 2};
static const struct pen heavy = {.stroke = "black", .width = 5 * POINT / 4};
static const struct pen wood = {.stroke = "#777777", .fill = "#eeeeee", .width = POINT / 4};
static const struct pen new_box = {.stroke = "black", .fill = "white", .width = POINT};
static const struct pen old_box = {
    .stroke = "black", .fill = "white", .width = POINT, .dash = "2 1.5"};
static const struct pen fixed_edge = {.stroke = "#555555", .width = POINT / 2, .dash = "4 2"};
static const struct pen guide = {.stroke = "#555555", .width = POINT / 4, .dash = "1 2"};
static const struct pen cable = {.stroke = "black", .width = 4 * POINT / 5};
static const struct pen old_cable = {.stroke = "black", .width = 4 * POINT / 5, .dash = "3 2"};
static const struct pen hole = {.stroke = "black", .fill = "white", .width = POINT / 2};

/* Part of a run's way on a line of wall. */
struct piece {
    const struct run *run;
    const struct segment *segment;
};

/* A box or a panel. */
struct thing {
    const struct box *box;
    const struct panel *panel;
    const struct place *place;
    const char *name;
};

typedef VEC(struct piece) piece_list;
typedef VEC(const struct bore *) bore_list;
typedef VEC(struct thing) thing_list;

/* What is looked up once for all walls. */
struct elevations {
    const struct results *r;
    struct stack stack;
    piece_list *pieces; /* by face of the framing: what may be seen on it */
    bore_list *bores;
    struct map panels; /* (0, room) -> thing_list of its panels */
    length gang, first_gang, box_height, round, panel_width, panel_height, door, sill;
    int64_t top_plates;
};

struct elevation {
    struct elevations *all;
    struct sheet sheet;
    const struct room *room;
    const struct wall *wall;
    const struct face *face;
    const struct line *line; /* NULL: a wall that is no line of the framing */
    thing_list things;       /* from the left */
    struct scale scale;
    coord left, floor; /* of the drawing on the sheet */
};

static uint32_t face_index(const struct elevations *all, const struct face *face)
{
    return (uint32_t)(face - all->r->routes->frame->faces);
}

static coord at_x(const struct elevation *e, length from_left)
{
    return e->left + sheet_scaled(e->scale, from_left);
}

static coord at_y(const struct elevation *e, length up)
{
    return e->floor - sheet_scaled(e->scale, up);
}

static void rect(struct elevation *e, length left, length low, length right, length high,
                 struct pen pen)
{
    if (right > left && high > low)
        canvas_rect(e->sheet.c, at_x(e, left), at_y(e, high), sheet_scaled(e->scale, right - left),
                    sheet_scaled(e->scale, high - low), 0, pen);
}

static length box_width(const struct elevations *all, const struct thing *t, length *height)
{
    if (t->panel) {
        *height = all->panel_height;
        return all->panel_width;
    }
    const struct fill *fill = &all->r->wiring->of_box[t->box->id];
    const struct box_type *type = t->box->declared ? t->box->declared : fill->type;
    unsigned gangs = type ? type->gangs : fill->gangs ? fill->gangs : t->box->gangs;
    *height = gangs ? all->box_height : all->round;
    return gangs ? all->first_gang + (length)(gangs - 1) * all->gang : all->round;
}

static bool is_round(const struct elevations *all, const struct thing *t)
{
    length height;
    return t->box && box_width(all, t, &height) == all->round && height == all->round;
}

/* --- what stands on a wall ---------------------------------------------------------------- */

static int by_left(const void *va, const void *vb)
{
    const struct thing *a = va, *b = vb;
    if (a->place->from_left != b->place->from_left)
        return a->place->from_left < b->place->from_left ? -1 : 1;
    if (a->place->up != b->place->up)
        return a->place->up < b->place->up ? -1 : 1;
    return strcmp(a->name, b->name);
}

static bool on_wall(const struct place *p, uint32_t wall)
{
    return p->where == ON_WALL && p->wall == wall;
}

static void find_things(struct elevation *e, uint32_t wall)
{
    struct arena *arena = e->all->r->arena;
    for (uint32_t i = 0; i < e->room->boxes.n; i++) {
        const struct box *b = e->room->boxes.at[i];
        if (facts_known(b, ITS_TEXT) && on_wall(&b->place, wall))
            *vec_push(arena, &e->things) =
                (struct thing){.box = b, .place = view_place_of_box(e->all->r, b), .name = b->name};
    }
    const thing_list *panels = map_get(&e->all->panels, 0, (uintptr_t)e->room);
    for (uint32_t i = 0; panels && i < panels->n; i++)
        if (on_wall(panels->at[i].place, wall))
            *vec_push(arena, &e->things) = panels->at[i];
    if (e->things.n)
        qsort(e->things.at, e->things.n, sizeof *e->things.at, by_left);
}

/* --- framing and openings ----------------------------------------------------------------- */

/* A fixture's lower and upper edge. The language has no height for openings: heads are those of
 * doors, by the library. */
static void fixture_height(const struct elevation *e, const struct fixture *f, length *low,
                           length *high)
{
    length ceiling = e->room->ceiling, head = e->all->door < ceiling ? e->all->door : ceiling;
    *low = f->sill >= 0 ? f->sill : f->sort == FIXTURE_WINDOW ? e->all->sill : 0;
    *high = f->top ? f->top : f->sort == FIXTURE_OTHER || *low >= head ? ceiling : head;
}

static bool is_opening(const struct fixture *f)
{
    return f->sort != FIXTURE_OTHER;
}

static void draw_plates(struct elevation *e)
{
    length thick = e->wall->framing.lumber.thickness, ceiling = e->room->ceiling;
    rect(e, 0, 0, e->wall->length, thick, wood);
    for (int64_t i = 0; i < e->all->top_plates; i++)
        rect(e, 0, ceiling - (i + 1) * thick, e->wall->length, ceiling - i * thick, wood);
}

/* A piece of wood on the line, as far as it is on this wall. */
static void draw_wood(struct elevation *e, length lo, length hi, length low, length high)
{
    length a = frame_from_left_of(e->face, lo), b = frame_from_left_of(e->face, hi);
    length left = a < b ? a : b, right = a < b ? b : a;
    left = left < 0 ? 0 : left;
    right = right > e->wall->length ? e->wall->length : right;
    rect(e, left, low, right, high, wood);
}

static void draw_upright(struct elevation *e, const struct upright *u)
{
    length half = frame_half_stud(u);
    draw_wood(e, u->at - half, u->at + half, u->low, u->high);
}

static void draw_studs(struct elevation *e)
{
    const struct skeleton *f = e->all->r->routes->frame;
    const struct line *l = e->line;
    uint32_t first = 0,
             count =
                 l ? frame_studs_between(f, l, e->face->lo - INCH, e->face->hi + INCH, &first) : 0;
    for (uint32_t i = first; i < first + count; i++)
        draw_upright(e, &f->studs[i]);
    for (uint32_t i = l ? frame_first_cripple(f, l, e->face->lo) : 0;
         l && i < l->first_cripple + l->cripple_count && f->cripples[i].at <= e->face->hi; i++)
        draw_upright(e, &f->cripples[i]);
}

/* The openings of the line on this wall, written in whichever room: headers on their jacks, rough
 * sills, and the hole between. */
static void draw_rough_openings(struct elevation *e)
{
    const struct skeleton *f = e->all->r->routes->frame;
    const struct line *l = e->line;
    const struct rough_opening *r = l ? frame_opening_from(f, l, e->face->lo) : NULL;
    length thick = e->wall->framing.lumber.thickness;
    for (; r && r < &f->openings[l->first_opening + l->opening_count] && r->lo < e->face->hi; r++) {
        length a = frame_from_left_of(e->face, r->lo), b = frame_from_left_of(e->face, r->hi);
        length jacks = r->jacks * thick, left = a < b ? a : b, right = a < b ? b : a;
        draw_wood(e, r->lo - jacks, r->hi + jacks, r->head, r->top);
        if (r->sill > thick)
            draw_wood(e, r->lo, r->hi, r->sill - thick, r->sill);
        rect(e, left < 0 ? 0 : left, r->sill, right > e->wall->length ? e->wall->length : right,
             r->head, (struct pen){.stroke = "black", .fill = "white", .width = POINT});
    }
}

/* Openings are clear of studs and, at the floor, of the bottom plate; their texts come with the
 * other texts. */
static void draw_openings(struct elevation *e, uint32_t wall)
{
    for (uint32_t i = 0; i < e->room->fixtures.n; i++) {
        const struct fixture *f = &e->room->fixtures.at[i];
        length low, high, right = f->from_left + f->wide;
        if (f->wall != wall || !is_opening(f))
            continue;
        fixture_height(e, f, &low, &high);
        rect(e, f->from_left, low, right, high,
             (struct pen){.stroke = "black", .fill = "white", .width = POINT});
        if (f->sort == FIXTURE_WINDOW)
            rect(e, f->from_left + INCH, low + INCH, right - INCH, high - INCH, thin);
    }
    for (uint32_t i = 0; i < e->room->fixtures.n; i++) {
        const struct fixture *f = &e->room->fixtures.at[i];
        length low, high;
        if (f->wall != wall || is_opening(f))
            continue;
        fixture_height(e, f, &low, &high);
        rect(e, f->from_left, low, f->from_left + f->wide, high, fixed_edge);
    }
}

/* Draws where a beam or duct meets the wall or runs along it, or names it there. */
static void show_bulk(struct elevation *e, const struct bulk_piece *p, bool named)
{
    const struct wall *w = e->wall;
    double dx = (double)(w->right.x - w->left.x), dy = (double)(w->right.y - w->left.y),
           size = hypot(dx, dy);
    length floor = e->room->level->floor, left = w->length, right = 0, ceiling = e->room->ceiling,
           high = p->high.z - floor < ceiling ? p->high.z - floor : ceiling;
    for (int i = 0; i < 4 && size > 0; i++) {
        length x = (i % 2 ? p->high.x : p->low.x) - w->left.x,
               y = (i / 2 ? p->high.y : p->low.y) - w->left.y,
               at = (length)llround(((double)x * dx + (double)y * dy) / size);
        left = at < left ? at : left;
        right = at > right ? at : right;
    }
    left = left < 0 ? 0 : left;
    right = right > w->length ? w->length : right;
    if (!named) {
        rect(e, left, p->low.z - floor, right, high, fixed_edge);
        return;
    }
    coord x = at_x(e, (left + right) / 2), y = at_y(e, (p->low.z - floor + high) / 2);
    sheet_write_near(&e->sheet, (struct area){x, y - 3 * POINT, x, y}, 40 * POINT,
                     (struct lettering){.size = 6 * POINT, .anchor = AT_MIDDLE},
                     p->bulk->title ? p->bulk->title : p->bulk->word);
}

static void show_bulks(struct elevation *e, bool named)
{
    const struct skeleton *f = e->all->r->routes->frame;
    const struct wall *w = e->wall;
    length floor = e->room->level->floor;
    struct place3 low = {(w->left.x < w->right.x ? w->left.x : w->right.x) - 1,
                         (w->left.y < w->right.y ? w->left.y : w->right.y) - 1, floor},
                  high = {(w->left.x < w->right.x ? w->right.x : w->left.x) + 1,
                          (w->left.y < w->right.y ? w->right.y : w->left.y) + 1,
                          floor + e->room->ceiling};
    const struct bulk *last = NULL;
    uint32_t at = 0;
    for (const struct bulk_piece *p;
         f->bulks && (p = bulks_next(f->bulks, low, high, frame_world_of(e->room), &at));) {
        if (!named || p->bulk != last)
            show_bulk(e, p, named);
        last = p->bulk;
    }
}

/* Lines of words one below the other, the first on y. */
struct words {
    const char *line[3];
    int count;
    coord x, row;
    struct lettering lettering;
};

/* With some air on both sides, so that two of them are told apart. */
static bool words_fit(const struct elevation *e, const struct words *w, coord y)
{
    struct area all = sheet_text_area(w->x, y, w->lettering, w->line[0]);
    for (int i = 1; i < w->count; i++) {
        struct area a = sheet_text_area(w->x, y + i * w->row, w->lettering, w->line[i]);
        all = (struct area){a.left < all.left ? a.left : all.left, all.top,
                            a.right > all.right ? a.right : all.right, a.bottom};
    }
    return sheet_is_free(
        &e->sheet, (struct area){all.left - 4 * POINT, all.top, all.right + 4 * POINT, all.bottom});
}

/* What it is, how wide and where; what is too wide for it is left out. They stay together, lower
 * where something else is written. */
static void write_opening(struct elevation *e, const struct fixture *f)
{
    struct arena *arena = e->all->r->arena;
    length low, high;
    fixture_height(e, f, &low, &high);
    coord size = 7 * POINT, width = sheet_scaled(e->scale, f->wide) - 4 * POINT;
    struct words w = {.line = {sheet_fixture_words(f)},
                      .count = 1,
                      .x = at_x(e, f->from_left + f->wide / 2),
                      .row = size * 5 / 4,
                      .lettering = {.size = size,
                                    .anchor = AT_MIDDLE,
                                    .widest = width > 24 * POINT ? width : 24 * POINT}};
    const char *more[] = {arena_printf(arena, "%s wide", length_words(arena, f->wide)),
                          arena_printf(arena, "at %s", length_words(arena, f->from_left))};
    for (int i = 0; i < 2; i++)
        if (text_width(more[i], size, false) <= width + 2 * POINT)
            w.line[w.count++] = more[i];
    coord y =
        is_opening(f) ? (at_y(e, low) + at_y(e, high)) / 2 : at_y(e, e->room->ceiling * 3 / 5);
    for (int step = 0; step < 16; step++, y += w.row)
        if (words_fit(e, &w, y)) {
            for (int i = 0; i < w.count; i++)
                sheet_write(&e->sheet, w.x, y + i * w.row, w.lettering, w.line[i]);
            return;
        }
}

/* --- boxes -------------------------------------------------------------------------------- */

static struct area thing_area(const struct elevation *e, const struct thing *t)
{
    length height, width = box_width(e->all, t, &height);
    coord x = at_x(e, t->place->from_left), y = at_y(e, t->place->up),
          w = sheet_scaled(e->scale, width), h = sheet_scaled(e->scale, height);
    return (struct area){x - w / 2, y - h / 2, x + w - w / 2, y + h - h / 2};
}

/* Each stands in a group of its own at its middle, which is named for it. */
static void draw_thing(struct elevation *e, const struct thing *t)
{
    struct arena *arena = e->all->r->arena;
    struct area a = thing_area(e, t);
    coord x = at_x(e, t->place->from_left), y = at_y(e, t->place->up);
    struct pen pen = (t->box ? t->box->existing : t->panel->existing) ? old_box : new_box;
    canvas_open(e->sheet.c, x, y, 0,
                t->box ? view_of_box(e->all->r, t->box)->address
                       : address_of_panel(arena, t->panel, false));
    if (is_round(e->all, t))
        canvas_circle(e->sheet.c, 0, 0, (a.right - a.left) / 2, pen);
    else
        canvas_rect(e->sheet.c, a.left - x, a.top - y, a.right - a.left, a.bottom - a.top, 0, pen);
    canvas_close(e->sheet.c);
    sheet_take(&e->sheet, a);
}

static void write_thing(struct elevation *e, const struct thing *t)
{
    struct arena *arena = e->all->r->arena;
    bool old = t->box ? t->box->existing : t->panel->existing;
    const char *up = length_words(arena, t->place->up);
    const char *text = arena_printf(arena, "%s%s %s", t->name, old ? " (E)" : "", up);
    sheet_write_near(&e->sheet, thing_area(e, t), 60 * POINT,
                     (struct lettering){.size = 7 * POINT, .bold = true}, text);
}

/* --- runs --------------------------------------------------------------------------------- */

static bool segment_ends(const struct elevation *e, const struct segment *s, length *a, length *b)
{
    *a = frame_from_left_of(e->face,
                            frame_line_place(e->line, (struct point){s->from.x, s->from.y}));
    *b = frame_from_left_of(e->face, frame_line_place(e->line, (struct point){s->to.x, s->to.y}));
    length lo = *a < *b ? *a : *b, hi = *a < *b ? *b : *a, length_of = e->wall->length;
    if (hi < 0 || lo > length_of)
        return false;
    *a = *a < 0 ? 0 : *a > length_of ? length_of : *a;
    *b = *b < 0 ? 0 : *b > length_of ? length_of : *b;
    return true;
}

static length clamp_up(const struct elevation *e, length z)
{
    length up = z - e->room->level->floor, most = e->room->ceiling + 6 * INCH, least = -6 * INCH;
    return up < least ? least : up > most ? most : up;
}

/* Cables that share their way would lie on one line: each is drawn beside those before it, up to
 * seven of them. */
static coord lane_of(struct elevation *e, struct map *lanes, const struct piece *p, length a,
                     length b)
{
    bool flat = p->segment->from.z == p->segment->to.z;
    length key = flat ? p->segment->from.z : a;
    length lo = flat                                    ? a < b ? a : b
                : p->segment->from.z < p->segment->to.z ? p->segment->from.z
                                                        : p->segment->to.z;
    uint32_t most = 0;
    length step = 16 * INCH, from = lo / step,
           hi = flat ? a < b ? b : a : p->segment->from.z + p->segment->to.z - lo;
    for (length cell = from; cell <= hi / step; cell++) {
        uint32_t **n = (uint32_t **)map_at(e->all->r->arena, lanes, (uintptr_t)(key * 2 + flat),
                                           (uintptr_t)cell);
        if (!*n)
            *n = arena_new(e->all->r->arena, uint32_t);
        most = **n > most ? **n : most;
        **n += 1;
    }
    most %= 7;
    return (coord)(most + 1) / 2 * (most % 2 ? 1 : -1) * 8 * POINT / 5;
}

static void draw_piece(struct elevation *e, struct map *lanes, const struct piece *p)
{
    length a, b;
    if (!segment_ends(e, p->segment, &a, &b))
        return;
    length za = clamp_up(e, p->segment->from.z), zb = clamp_up(e, p->segment->to.z);
    coord shift = lane_of(e, lanes, p, a, b), dx = za == zb ? 0 : shift, dy = za == zb ? shift : 0;
    canvas_line(e->sheet.c, at_x(e, a) + dx, at_y(e, za) + dy, at_x(e, b) + dx, at_y(e, zb) + dy,
                p->run->existing ? old_cable : cable);
}

/* No smaller than can be seen. */
static coord seen(const struct elevation *e, length l)
{
    coord size = sheet_scaled(e->scale, l);
    return size > 3 * POINT ? size : 3 * POINT;
}

/* A hole is a circle, a notch a box over its stud. */
static void draw_bore(struct elevation *e, const struct bore *b, coord x, coord y)
{
    if (!b->notch) {
        canvas_circle(e->sheet.c, x, y, seen(e, b->bit) / 2, hole);
        return;
    }
    coord wide = seen(e, bore_member(e->all->r->bores, b).lumber->thickness),
          tall = seen(e, b->wide);
    canvas_rect(e->sheet.c, x - wide / 2, y - tall / 2, wide, tall, 0, hole);
}

static void draw_bores(struct elevation *e)
{
    const bore_list *list = e->line ? &e->all->bores[face_index(e->all, e->face)] : NULL;
    for (uint32_t i = 0; list && i < list->n; i++) {
        struct place3 p = bore_member(e->all->r->bores, list->at[i]).at;
        length at =
                   frame_from_left_of(e->face, frame_line_place(e->line, (struct point){p.x, p.y})),
               up = p.z - e->room->level->floor;
        if (at < 0 || at > e->wall->length || up < -FOOT || up > e->room->ceiling + FOOT)
            continue;
        draw_bore(e, list->at[i], at_x(e, at), at_y(e, clamp_up(e, p.z)));
    }
}

static bool ends_here(const struct elevation *e, struct end end)
{
    const struct place *p = end.box ? &end.box->place : &end.panel->place;
    const struct room *room = end.box ? end.box->room : end.panel->room;
    return room == e->room && on_wall(p, (uint32_t)(e->wall - e->room->walls));
}

static const char *end_words(struct arena *arena, const struct elevation *e, struct end end)
{
    return end.box && end.box->room == e->room ? end.box->name : address_of_end(arena, end, false);
}

/* "P.5: to lounge.R2" where one end is on the wall, else both. */
static const char *run_words(struct arena *arena, const struct elevation *e, const struct run *run)
{
    bool from = ends_here(e, run->from), to = ends_here(e, run->to);
    if (from != to)
        return arena_printf(arena, "to %s", end_words(arena, e, from ? run->to : run->from));
    return arena_printf(arena, "%s to %s", end_words(arena, e, run->from),
                        end_words(arena, e, run->to));
}

/* Above its line or a little under it, wherever along it there is room. */
static void write_run(struct elevation *e, const struct piece *p, struct map *named)
{
    struct lettering l = {.size = 6 * POINT};
    length a, b;
    if (map_get(named, 0, (uintptr_t)p->run) || !segment_ends(e, p->segment, &a, &b) ||
        p->segment->from.z != p->segment->to.z)
        return;
    const char *text = run_words(e->all->r->arena, e, p->run);
    coord left = at_x(e, a < b ? a : b) + 3 * POINT, right = at_x(e, a < b ? b : a) - 3 * POINT,
          y = at_y(e, clamp_up(e, p->segment->from.z));
    coord wide = text_width(text, l.size, false);
    for (int row = 0; row < 8; row++)
        for (coord x = left; x + wide <= right; x += 6 * POINT) {
            coord base = row % 2 ? y + (9 + row / 2 * 8) * POINT : y - (5 + row / 2 * 8) * POINT;
            if (!sheet_is_free(&e->sheet, sheet_text_area(x, base, l, text)))
                continue;
            sheet_write(&e->sheet, x, base, l, text);
            map_put(e->all->r->arena, named, 0, (uintptr_t)p->run, (void *)p->run);
            return;
        }
}

/* --- distances ---------------------------------------------------------------------------- */

/* Places from the left end, one text for all boxes of one place. */
struct mark {
    coord x;
    const char *text;
    coord width;
    uint32_t row;
};

typedef VEC(struct mark) mark_list;

static void list_marks(const struct elevation *e, mark_list *marks)
{
    struct arena *arena = e->all->r->arena;
    for (uint32_t i = 0, next; i < e->things.n; i = next) {
        const char *names = e->things.at[i].name;
        length at = e->things.at[i].place->from_left;
        for (next = i + 1; next < e->things.n && e->things.at[next].place->from_left == at; next++)
            names = arena_printf(arena, "%s, %s", names, e->things.at[next].name);
        const char *text = arena_printf(arena, "%s  %s", names, length_words(arena, at));
        *vec_push(arena, marks) =
            (struct mark){at_x(e, at), text, text_width(text, 7 * POINT, false) + 6 * POINT, 0};
    }
}

/* A text stands to the right of its line and below the texts of those whose lines would go through
 * it. Gives the count of rows. */
static uint32_t set_rows(struct arena *arena, mark_list *marks)
{
    /* marks that stand lower than all between them and the one that is set, the nearest last */
    uint32_t *lower = arena_array(arena, uint32_t, marks->n + 1), n = 0, rows = 0;
    for (uint32_t i = marks->n; i-- > 0;) {
        struct mark *m = &marks->at[i];
        uint32_t from = 0, to = n; /* the farthest of them whose line goes through the text */
        while (from < to) {
            uint32_t middle = (from + to) / 2;
            if (marks->at[lower[middle]].x <= m->x + m->width)
                to = middle;
            else
                from = middle + 1;
        }
        m->row = from < n ? marks->at[lower[from]].row + 1 : 0;
        rows = m->row + 1 > rows ? m->row + 1 : rows;
        while (n && marks->at[lower[n - 1]].row <= m->row)
            n--;
        lower[n++] = i;
    }
    return rows;
}

static void draw_marks(struct elevation *e, const mark_list *marks, uint32_t rows)
{
    coord first = e->floor + 14 * POINT;
    for (uint32_t i = 0; i < marks->n; i++) {
        const struct mark *m = &marks->at[i];
        coord y = first + (coord)m->row * ROW;
        canvas_line(e->sheet.c, m->x, e->floor, m->x, y, guide);
        canvas_line(e->sheet.c, m->x - 2 * POINT, y, m->x + 2 * POINT, y - 4 * POINT, thin);
        sheet_write(&e->sheet, m->x + 3 * POINT, y, (struct lettering){.size = 7 * POINT}, m->text);
    }
    coord y = first + (coord)rows * ROW + 6 * POINT, end = at_x(e, e->wall->length);
    const char *whole = length_words(e->all->r->arena, e->wall->length);
    canvas_line(e->sheet.c, e->left, y, end, y, thin);
    canvas_line(e->sheet.c, e->left, e->floor, e->left, y + 3 * POINT, guide);
    canvas_line(e->sheet.c, end, e->floor, end, y + 3 * POINT, guide);
    canvas_line(e->sheet.c, e->left - 2 * POINT, y + 2 * POINT, e->left + 2 * POINT, y - 2 * POINT,
                heavy);
    canvas_line(e->sheet.c, end - 2 * POINT, y + 2 * POINT, end + 2 * POINT, y - 2 * POINT, heavy);
    sheet_write(&e->sheet, (e->left + end) / 2, y + 3 * POINT,
                (struct lettering){.size = 8 * POINT, .bold = true, .anchor = AT_MIDDLE}, whole);
}

/* --- a wall ------------------------------------------------------------------------------- */

/* 1/2", 3/8" or 1/4" to the foot, the largest that fits; where none does, half of the last and half
 * again. */
static struct scale fitting_scale(length wide, length high)
{
    static const struct scale usual[] = {{1, 2}, {3, 8}, {1, 4}};
    coord most_wide = PAGE_WIDTH - 2 * MARGIN - 2 * SIDE,
          most_high = PAGE_HEIGHT - 2 * MARGIN - HEAD - FOOT_HEIGHT - 8 * ROW;
    struct scale s = usual[0];
    for (int i = 0; length_inches(wide) * s.num / s.den * 6 > (double)most_wide / 1000 ||
                    length_inches(high) * s.num / s.den * 6 > (double)most_high / 1000;)
        if (++i < 3)
            s = usual[i];
        else
            s.den *= 2;
    return s;
}

static void draw_frame(struct elevation *e, uint32_t wall)
{
    struct map lanes = {0};
    const piece_list *pieces = e->line ? &e->all->pieces[face_index(e->all, e->face)] : NULL;
    coord end = at_x(e, e->wall->length), ceiling = at_y(e, e->room->ceiling);
    draw_plates(e);
    draw_studs(e);
    draw_rough_openings(e);
    draw_openings(e, wall);
    show_bulks(e, false);
    canvas_line(e->sheet.c, e->left - 10 * POINT, e->floor, end + 10 * POINT, e->floor, heavy);
    canvas_line(e->sheet.c, e->left - 10 * POINT, ceiling, end + 10 * POINT, ceiling, heavy);
    if (e->room->drop)
        canvas_line(e->sheet.c, e->left - 10 * POINT, at_y(e, e->room->drop), end + 10 * POINT,
                    at_y(e, e->room->drop), fixed_edge);
    canvas_line(e->sheet.c, e->left, e->floor, e->left, ceiling, thin);
    canvas_line(e->sheet.c, end, e->floor, end, ceiling, thin);
    for (uint32_t i = 0; pieces && i < pieces->n; i++)
        draw_piece(e, &lanes, &pieces->at[i]);
    draw_bores(e);
    for (uint32_t i = 0; i < e->things.n; i++)
        draw_thing(e, &e->things.at[i]);
}

static void write_frame(struct elevation *e, uint32_t wall)
{
    struct map named = {0};
    const piece_list *pieces = e->line ? &e->all->pieces[face_index(e->all, e->face)] : NULL;
    struct lettering small = {.size = 7 * POINT, .anchor = AT_END};
    sheet_write(&e->sheet, e->left - 12 * POINT, e->floor + 2 * POINT, small, "floor");
    sheet_write(&e->sheet, e->left - 12 * POINT, at_y(e, e->room->ceiling) + 2 * POINT, small,
                length_words(e->all->r->arena, e->room->ceiling));
    if (e->room->drop)
        sheet_write(&e->sheet, e->left - 12 * POINT, at_y(e, e->room->drop) + 2 * POINT, small,
                    length_words(e->all->r->arena, e->room->drop));
    for (uint32_t i = 0; i < e->things.n; i++)
        write_thing(e, &e->things.at[i]);
    for (uint32_t i = 0; i < e->room->fixtures.n; i++)
        if (e->room->fixtures.at[i].wall == wall)
            write_opening(e, &e->room->fixtures.at[i]);
    show_bulks(e, true);
    for (uint32_t i = 0; pieces && i < pieces->n; i++)
        write_run(e, &pieces->at[i], &named);
}

static void write_head(struct elevation *e, const char *title)
{
    struct model *m = e->all->r->model;
    coord width = PAGE_WIDTH - 2 * MARGIN;
    sheet_line(&e->sheet, MARGIN, MARGIN + 12 * POINT, width,
               (struct lettering){.size = 14 * POINT, .bold = true}, title);
    sheet_line(&e->sheet, MARGIN, MARGIN + 26 * POINT, width, (struct lettering){.size = 8 * POINT},
               arena_printf(e->all->r->arena,
                            "%s. Seen from inside the room. Distances from the left end of the "
                            "wall, heights above the floor to the middle of the box.",
                            m->title ? m->title : "Plan"));
}

static void write_foot(struct elevation *e)
{
    coord y = e->sheet.height - MARGIN - 40 * POINT, x = MARGIN + 4 * CANVAS_INCH + 24 * POINT,
          width = PAGE_WIDTH - MARGIN - x;
    static const char *const words[] = {
        "Dashed, (E): existing. Dashed frame: fixed, its height not known. Small circle: bore. "
        "Small box on a stud: notch.",
        "Cable without a box: it is on the other side. Cables that share a bore are drawn beside "
        "each other.",
        "Heads of openings are drawn at the usual height of a door.",
        "Caution: dead and tested before work. Local codes and the inspector decide; measure on "
        "site before boring.",
    };
    sheet_scale(&e->sheet, MARGIN, y, e->scale);
    enum { LINES = sizeof words / sizeof *words };
    for (int i = 0; i < LINES; i++)
        sheet_line(&e->sheet, x, y + (6 + 9 * i) * POINT, width,
                   (struct lettering){.size = 7 * POINT, .bold = i == LINES - 1}, words[i]);
}

static void draw_wall(struct elevations *all, const struct room *room, uint32_t wall)
{
    struct arena *arena = all->r->arena;
    const struct face *face = frame_face_of(all->r->routes->frame, room, wall);
    struct elevation e = {.all = all, .room = room, .wall = &room->walls[wall], .face = face};
    mark_list marks = {0};
    e.line = face->line == NO_INDEX ? NULL : &all->r->routes->frame->lines[face->line];
    e.scale = fitting_scale(e.wall->length, room->ceiling);
    e.left = MARGIN + SIDE;
    e.floor = MARGIN + HEAD + sheet_scaled(e.scale, room->ceiling);
    find_things(&e, wall);
    list_marks(&e, &marks);
    uint32_t rows = set_rows(arena, &marks);
    coord height = e.floor + (coord)(rows + 3) * ROW + FOOT_HEIGHT + MARGIN;
    const char *title = arena_printf(arena, "%s, %s wall, %s",
                                     room->title ? arena_printf(arena, "%s (%s)", room->title,
                                                                address_of_room(arena, room, false))
                                                 : address_of_room(arena, room, false),
                                     e.wall->name, length_words(arena, e.wall->length));
    if (e.wall->concrete)
        title = arena_printf(arena, e.wall->furred ? "%s, studs before concrete" : "%s, concrete",
                             title);
    if (!sheet_stack_open(&all->stack, &e.sheet, PAGE_WIDTH,
                          height > PAGE_HEIGHT ? height : PAGE_HEIGHT, title))
        return;
    draw_frame(&e, wall);
    draw_marks(&e, &marks, rows);
    write_frame(&e, wall);
    write_head(&e, title);
    write_foot(&e);
    sheet_stack_close(&all->stack);
}

/* --- all walls ---------------------------------------------------------------------------- */

/* The faces of a line that may show what lies between two places of it, an inch more for slanted
 * walls: the first one's index in frame.placed, and where they end. */
static uint32_t faces_along(const struct skeleton *f, const struct line *l, length a, length b,
                            uint32_t *end)
{
    length lo = (a < b ? a : b) - INCH, hi = (a < b ? b : a) + INCH;
    uint32_t low = l->first_face, high = l->first_face + l->face_count;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (f->reach[middle] >= lo)
            high = middle;
        else
            low = middle + 1;
    }
    for (*end = low; *end < l->first_face + l->face_count && f->placed[*end]->lo <= hi;)
        ++*end;
    return low;
}

static void file_piece(struct elevations *all, const struct line *l, const struct run *run,
                       const struct segment *s)
{
    const struct skeleton *f = all->r->routes->frame;
    length from = frame_line_place(l, (struct point){s->from.x, s->from.y}),
           to = frame_line_place(l, (struct point){s->to.x, s->to.y});
    uint32_t end;
    for (uint32_t i = faces_along(f, l, from, to, &end); i < end; i++)
        *vec_push(all->r->arena, &all->pieces[face_index(all, f->placed[i])]) =
            (struct piece){run, s};
}

static void file_bore(struct elevations *all, const struct line *l, const struct bore *b)
{
    const struct skeleton *f = all->r->routes->frame;
    struct place3 p = bore_member(all->r->bores, b).at;
    length at = frame_line_place(l, (struct point){p.x, p.y});
    uint32_t end;
    for (uint32_t i = faces_along(f, l, at, at, &end); i < end; i++)
        *vec_push(all->r->arena, &all->bores[face_index(all, f->placed[i])]) = b;
}

static void file_pieces(struct elevations *all)
{
    const struct results *r = all->r;
    const struct skeleton *f = r->routes->frame;
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct run *run = r->model->runs.at[i];
        const struct route *route = &r->routes->of_run[i];
        for (uint32_t k = 0; route->known && k < route->segment_count; k++) {
            const struct segment *s = &route->segments[k];
            if ((s->kind != IN_BAY && s->kind != THROUGH_STUDS) || !s->room)
                continue;
            uint32_t line = frame_face_of(f, s->room, s->wall)->line;
            if (line != NO_INDEX)
                file_piece(all, &f->lines[line], run, s);
        }
    }
    for (uint32_t i = 0; i < r->bores->list.n; i++) {
        uint32_t line = r->bores->list.at[i].members->line;
        if (line != NO_INDEX)
            file_bore(all, &f->lines[line], &r->bores->list.at[i]);
    }
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        if (!p->room || !facts_known(p, ITS_TEXT))
            continue;
        thing_list **list = (thing_list **)map_at(r->arena, &all->panels, 0, (uintptr_t)p->room);
        if (!*list)
            *list = arena_new(r->arena, thing_list);
        *vec_push(r->arena, *list) =
            (struct thing){.panel = p, .place = view_place_of_panel(r, p), .name = p->name};
    }
}

/* Whether a wall has anything to show: all walls have studs. */
static bool has_things(const struct elevations *all, const struct room *room, uint32_t wall)
{
    const thing_list *panels = map_get(&all->panels, 0, (uintptr_t)room);
    for (uint32_t i = 0; i < room->boxes.n; i++)
        if (on_wall(&room->boxes.at[i]->place, wall))
            return true;
    for (uint32_t i = 0; panels && i < panels->n; i++)
        if (on_wall(panels->at[i].place, wall))
            return true;
    return false;
}

void draw_elevation(const struct results *r, struct buf *out)
{
    struct code *code = &r->model->code;
    uint32_t faces = 1;
    for (uint32_t i = 0; i < r->model->rooms.n; i++)
        faces += r->model->rooms.at[i]->wall_count;
    struct elevations all = {
        .r = r,
        .pieces = arena_array(r->arena, piece_list, faces),
        .bores = arena_array(r->arena, bore_list, faces),
        .gang = code_length(code, SET_BOX_SPACE_GANG_WIDTH, 0),
        .first_gang = code_length(code, SET_BOX_SPACE_FIRST_GANG_WIDTH, 0),
        .box_height = code_length(code, SET_BOX_SPACE_BOX_HEIGHT, 0),
        .round = code_length(code, SET_BOX_SPACE_ROUND_WIDTH, 0),
        .panel_width = code_length(code, SET_BOX_SPACE_PANEL_WIDTH, 0),
        .panel_height = code_length(code, SET_BOX_SPACE_PANEL_HEIGHT, 0),
        .door = code_length(code, SET_PLAN_DEFAULTS_DOOR_HEIGHT, 0),
        .sill = code_length(code, SET_PLAN_DEFAULTS_WINDOW_SILL, 0),
        .top_plates = (int64_t)code_count(code, SET_PLAN_DEFAULTS_TOP_PLATES, 1),
    };
    file_pieces(&all);
    sheet_stack_begin(&all.stack, r->arena);
    for (uint32_t i = 0; i < r->model->rooms.n; i++) {
        const struct room *room = r->model->rooms.at[i];
        if ((r->only_room && r->only_room != room) ||
            (r->only_level && r->only_level != room->level) || !facts_is_built(room->unit) ||
            !room->level || !facts_known(room, ITS_TEXT))
            continue;
        for (uint32_t w = 0; w < room->wall_count; w++)
            if (r->only_wall ? !strcmp(r->only_wall, room->walls[w].name)
                             : has_things(&all, room, w))
                draw_wall(&all, room, w);
    }
    sheet_stack_end(
        &all.stack, out,
        arena_printf(r->arena, "Walls: %s", r->model->title ? r->model->title : "plan"),
        "Walls as one stands before them, to scale, one a sheet. `report boxes` and `report "
        "bores` have the same as tables.");
}
