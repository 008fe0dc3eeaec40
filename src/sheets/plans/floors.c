/* Levels in their tiles: which rooms, boxes, legs and cables stand on which sheet. */
#include "emit/views.h"
#include "facts/devices.h"
#include "facts/facts.h"
#include "sheets/plans/plan.h"

#include <math.h>

struct maker {
    struct set *set;
    enum plan_subject subject;
    struct plan_floor *floors; /* by level id */
};

/* --- what is a matter of a subject ------------------------------------------------------------ */

static bool on_leg(const struct device *d)
{
    for (uint32_t i = 0; i < d->part_count; i++)
        if (d->parts[i].leg)
            return true;
    return false;
}

/* The light of a fan may be switched: fans stand with the lights, what else hangs on a leg too. */
static bool is_light(const struct device *d)
{
    if (d->def->sort == SORT_CONTROL || d->def->sort == SORT_LUMINAIRE || on_leg(d))
        return d->def->sort != SORT_LOW_VOLTAGE && d->def->sort != SORT_ALARM;
    for (uint32_t i = 0; i < d->part_count; i++)
        if (facts_is_light(&d->parts[i]))
            return true;
    return false;
}

bool plan_shows_device(enum plan_subject subject, const struct box *b, const struct device *d)
{
    enum device_sort sort = d->def->sort;
    switch (subject) {
    case PLAN_POWER:
        return sort == SORT_RECEPTACLE || sort == SORT_APPLIANCE ||
               (sort == SORT_EQUIPMENT && !is_light(d));
    case PLAN_LIGHTS:
        return is_light(d);
    case PLAN_ALARMS:
        return sort == SORT_ALARM || sort == SORT_LOW_VOLTAGE;
    case PLAN_CEILING:
        break;
    }
    return b->place.where == OVERHEAD;
}

/* A box without devices joins cables: a matter of power, or of low voltage. */
bool plan_shows_box(enum plan_subject subject, const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (plan_shows_device(subject, b, b->devices[i]))
            return true;
    if (b->device_count)
        return false;
    if (subject == PLAN_CEILING)
        return b->place.where == OVERHEAD;
    return subject == (b->low_voltage.n && !b->runs.n ? PLAN_ALARMS : PLAN_POWER);
}

/* --- what is drawn ---------------------------------------------------------------------------- */

static bool drawn_room(const struct results *r, const struct room *room)
{
    return room->level && room->wall_count && facts_is_built(room->unit) &&
           facts_known(room, ITS_TEXT) && (!r->only_room || r->only_room == room) &&
           (!r->only_level || r->only_level == room->level);
}

static bool on_circuit(const struct results *r, const struct box *b)
{
    bool wanted = !r->only_circuit;
    for (uint32_t i = 0; i < b->runs.n && !wanted; i++)
        wanted = b->runs.at[i]->circuit == r->only_circuit;
    return wanted;
}

static bool drawn_box(const struct results *r, const struct box *b)
{
    return drawn_room(r, b->room) && b->place.known && facts_known(b, ITS_TEXT) && on_circuit(r, b);
}

/* --- tiles ------------------------------------------------------------------------------------ */

static void measure(struct maker *k)
{
    const struct results *r = k->set->r;
    for (uint32_t i = 0; i < r->model->rooms.n; i++) {
        const struct room *room = r->model->rooms.at[i];
        if (!drawn_room(r, room))
            continue;
        struct plan_floor *f = &k->floors[room->level->id];
        length thick = frame_thickest_wall(room);
        struct point low = {room->low.x - thick, room->low.y - thick},
                     high = {room->high.x + thick, room->high.y + thick};
        f->low.x = !f->any || low.x < f->low.x ? low.x : f->low.x;
        f->low.y = !f->any || low.y < f->low.y ? low.y : f->low.y;
        f->high.x = !f->any || high.x > f->high.x ? high.x : f->high.x;
        f->high.y = !f->any || high.y > f->high.y ? high.y : f->high.y;
        f->any = true;
        f->level = room->level;
        *vec_push(r->arena, &f->rooms) = room;
    }
}

/* How much of a level fits a sheet at a scale. */
static length fitting(um paper, int ratio)
{
    return paper * (MILLIMETRE / MM) * ratio;
}

/* The edge of a room nearest to where an even cut would be, within a twentieth of the way. */
static length snapped(const struct plan_floor *f, bool east, length even, length part)
{
    length best = even, apart = part / 20;
    for (uint32_t i = 0; i < f->rooms.n; i++) {
        const struct room *room = f->rooms.at[i];
        length edges[] = {east ? room->low.x : room->low.y, east ? room->high.x : room->high.y};
        for (int e = 0; e < 2; e++)
            if (length_abs(edges[e] - even) < apart) {
                apart = length_abs(edges[e] - even);
                best = edges[e];
            }
    }
    return best;
}

enum { MOST_PARTS = 40 };

/* Into how many parts of `most` at most a stretch is cut, with room to move each cut to a wall. */
static length parts_of(length all, length most)
{
    return all > most ? (all * 10 + most * 9 - 1) / (most * 9) : 1;
}

static const length *cuts_of(struct arena *arena, const struct plan_floor *f, bool east,
                             length most, uint32_t *count)
{
    length low = east ? f->low.x : f->low.y, high = east ? f->high.x : f->high.y, all = high - low;
    *count = (uint32_t)parts_of(all, most);
    length *cut = arena_array(arena, length, (size_t)*count + 1);
    for (uint32_t i = 0; i <= *count; i++) {
        cut[i] = low + all * (length)i / (length)*count;
        if (i && i < *count)
            cut[i] = snapped(f, east, cut[i], all / (length)*count);
    }
    return cut;
}

static void cut_at(struct arena *arena, struct plan_floor *f, int ratio, um wide, um high)
{
    f->ratio = ratio;
    f->across = cuts_of(arena, f, true, fitting(wide, ratio), &f->columns);
    f->down = cuts_of(arena, f, false, fitting(high, ratio), &f->rows);
    f->tiles = arena_array(arena, struct plan_tile, (size_t)f->columns * f->rows);
    for (uint32_t y = 0; y < f->rows; y++)
        for (uint32_t x = 0; x < f->columns; x++) {
            struct plan_tile *t = &f->tiles[y * f->columns + x];
            uint32_t from_south = f->rows - 1 - y;
            t->low = (struct point){f->across[x], f->down[from_south]};
            t->high = (struct point){f->across[x + 1], f->down[from_south + 1]};
        }
}

/* A scale at which there are not too many parts: of what is no house any more, a smaller one. */
static int in_parts(const struct plan_floor *f, int ratio, um wide, um high)
{
    while (ratio < INT32_MAX / 2 &&
           (parts_of(f->high.x - f->low.x, fitting(wide, ratio)) > MOST_PARTS ||
            parts_of(f->high.y - f->low.y, fitting(high, ratio)) > MOST_PARTS))
        ratio *= 2;
    return ratio;
}

/* At the largest scale that fits; where that is more than `most`, at `most` in several tiles. */
static void cut_floor(const struct set *set, struct plan_floor *f, int most, struct area field)
{
    um wide = field.right - field.left - PLAN_BESIDE, high = field.bottom - field.top - PLAN_BESIDE;
    int ratio = scales_fitting(set, f->high.x - f->low.x, wide, f->high.y - f->low.y, high);
    if (ratio && ratio <= most)
        cut_at(set->r->arena, f, ratio, wide, high);
    else
        cut_at(set->r->arena, f, in_parts(f, most, wide - 2 * PLAN_MATCH, high - 2 * PLAN_MATCH),
               wide - 2 * PLAN_MATCH, high - 2 * PLAN_MATCH);
}

struct plan_tile *plan_neighbour(const struct plan_floor *f, const struct plan_tile *t, int east,
                                 int south)
{
    int at = (int)(t - f->tiles), x = at % (int)f->columns + east, y = at / (int)f->columns + south;
    if (x < 0 || y < 0 || x >= (int)f->columns || y >= (int)f->rows)
        return NULL;
    return &f->tiles[y * (int)f->columns + x];
}

bool plan_is_empty(enum plan_subject subject, const struct plan_floor *f, const struct plan_tile *t)
{
    bool all = subject == PLAN_POWER && !f->room;
    return !t->rooms.n || (!all && !t->boxes.n && !t->gone.n && !t->over.n);
}

/* The part of a row of cuts that a place lies in. */
static uint32_t part_at(const length *cut, uint32_t count, length at)
{
    uint32_t i = 0;
    while (i + 1 < count && at >= cut[i + 1])
        i++;
    return i;
}

struct span_of_tiles {
    uint32_t left, right, top, bottom; /* both ends with them */
};

static struct span_of_tiles tiles_between(const struct plan_floor *f, struct point a,
                                          struct point b)
{
    length left = a.x < b.x ? a.x : b.x, right = a.x < b.x ? b.x : a.x, low = a.y < b.y ? a.y : b.y,
           high = a.y < b.y ? b.y : a.y;
    return (struct span_of_tiles){part_at(f->across, f->columns, left),
                                  part_at(f->across, f->columns, right),
                                  f->rows - 1 - part_at(f->down, f->rows, high),
                                  f->rows - 1 - part_at(f->down, f->rows, low)};
}

#define IN_TILES(f, a, b, list, thing)                                                             \
    do {                                                                                           \
        struct span_of_tiles in_ = tiles_between((f), (a), (b));                                   \
        for (uint32_t y_ = in_.top; y_ <= in_.bottom; y_++)                                        \
            for (uint32_t x_ = in_.left; x_ <= in_.right; x_++)                                    \
                *vec_push(arena, &(f)->tiles[y_ * (f)->columns + x_].list) = thing;                \
    } while (0)

static struct point flat(struct place3 p)
{
    return (struct point){p.x, p.y};
}

static struct point place_of(const struct results *r, const struct box *b)
{
    return flat(b->goes ? b->place.at : view_place_of_box(r, b)->at);
}

/* What stands on a wall is drawn beside it, in its room. */
static struct point drawn_at(const struct room *room, const struct place *p)
{
    struct point at = flat(p->at);
    if (p->where != ON_WALL || p->wall >= room->wall_count)
        return at;
    struct plan_heading h = plan_heading_of(&room->walls[p->wall]);
    return (struct point){at.x + llround(h.nx * FOOT), at.y - llround(h.ny * FOOT)};
}

static void file_rooms(struct maker *k, struct plan_floor *f)
{
    struct arena *arena = k->set->r->arena;
    for (uint32_t i = 0; i < f->rooms.n; i++)
        IN_TILES(f, f->rooms.at[i]->low, f->rooms.at[i]->high, rooms, f->rooms.at[i]);
}

static void file_boxes(struct maker *k)
{
    const struct results *r = k->set->r;
    const struct model *m = r->model;
    struct arena *arena = r->arena;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (!drawn_box(r, b) || !plan_shows_box(k->subject, b))
            continue;
        struct point p = drawn_at(b->room, view_place_of_box(r, b));
        IN_TILES(&k->floors[b->room->level->id], p, p, boxes, b);
    }
    for (uint32_t i = 0; i < m->gone.boxes.n; i++) {
        const struct box *b = m->gone.boxes.at[i];
        if (r->only_circuit || !drawn_room(r, b->room) || !b->place.known ||
            !plan_shows_box(k->subject, b))
            continue;
        struct point p = drawn_at(b->room, &b->place);
        IN_TILES(&k->floors[b->room->level->id], p, p, gone, b);
    }
    for (uint32_t i = 0; i < m->panels.n && k->subject == PLAN_POWER; i++) {
        const struct panel *p = m->panels.at[i];
        if (!p->room || !drawn_room(r, p->room) || !p->place.known || !facts_known(p, ITS_TEXT))
            continue;
        struct point at = drawn_at(p->room, view_place_of_panel(r, p));
        IN_TILES(&k->floors[p->room->level->id], at, at, panels, p);
    }
}

static void file_bulks(struct maker *k)
{
    const struct results *r = k->set->r;
    struct arena *arena = r->arena;
    for (uint32_t i = 0; i < r->model->bulks.n; i++) {
        const struct bulk *b = &r->model->bulks.at[i];
        const struct level *level = b->room ? b->room->level : b->level;
        if (!level || (b->room ? !drawn_room(r, b->room) : r->only_room != NULL))
            continue;
        struct plan_floor *f = &k->floors[level->id];
        if (f->any)
            IN_TILES(f, b->from, b->to, bulks, b);
    }
}

/* --- legs ------------------------------------------------------------------------------------- */

static bool is_shown(const struct maker *k, const struct box *b)
{
    return drawn_box(k->set->r, b) && plan_shows_box(k->subject, b);
}

static void file_link(struct maker *k, const struct leg *leg, const struct box *a,
                      const struct box *b)
{
    const struct results *r = k->set->r;
    struct arena *arena = r->arena;
    struct point from = place_of(r, a), to = place_of(r, b);
    struct plan_link link = {leg, a, b};
    if (a == b || a->room->level != b->room->level)
        return;
    IN_TILES(&k->floors[a->room->level->id], from, to, links, link);
}

/* From each switch to the first thing it works, and on from thing to thing. */
static void file_leg(struct maker *k, const struct leg *leg)
{
    const struct box *last = NULL;
    for (uint32_t i = 0; i < leg->loads.n; i++) {
        const struct box *b = leg->loads.at[i]->device->box;
        if (leg->loads.at[i]->control || !is_shown(k, b))
            continue;
        for (uint32_t c = 0; c < leg->controls.n && !last; c++) {
            const struct box *s = leg->controls.at[c]->device->box;
            if (is_shown(k, s))
                file_link(k, leg, s, b);
        }
        if (last)
            file_link(k, leg, last, b);
        last = b;
    }
}

static void file_legs(struct maker *k)
{
    const struct results *r = k->set->r;
    for (uint32_t i = 0; i < r->model->legs.n; i++) {
        const struct leg *leg = r->model->legs.at[i];
        if (facts_is_built(leg->unit) && (!r->only_circuit || leg->circuit == r->only_circuit))
            file_leg(k, leg);
    }
}

/* --- cables that go, and those over the ceiling ----------------------------------------------- */

static bool end_is_drawn(const struct results *r, struct end e, struct point *at)
{
    const struct room *room = facts_room_of_end(e);
    const struct place *p = e.box ? &e.box->place : e.panel ? &e.panel->place : NULL;
    if (!room || !p || !p->known || !drawn_room(r, room))
        return false;
    *at = flat(p->at);
    return true;
}

static void file_going(struct maker *k)
{
    const struct results *r = k->set->r;
    struct arena *arena = r->arena;
    for (uint32_t i = 0; i < r->model->gone.runs.n && !r->only_circuit; i++) {
        const struct run *run = r->model->gone.runs.at[i];
        struct plan_piece piece = {.run = run};
        if (end_is_drawn(r, run->from, &piece.from) && end_is_drawn(r, run->to, &piece.to) &&
            facts_room_of_end(run->from)->level == facts_room_of_end(run->to)->level)
            IN_TILES(&k->floors[facts_room_of_end(run->from)->level->id], piece.from, piece.to,
                     going, piece);
    }
}

/* The drawn level whose ceiling lies nearest below a height; NULL: none. */
static struct plan_floor *floor_under(struct maker *k, length z)
{
    struct plan_floor *best = NULL;
    for (uint32_t i = 0; i < k->set->r->model->levels.n; i++) {
        struct plan_floor *f = &k->floors[i];
        if (f->any && f->level->floor + f->level->ceiling / 2 < z &&
            (!best || f->level->floor > best->level->floor))
            best = f;
    }
    return best;
}

static void file_over(struct maker *k)
{
    const struct results *r = k->set->r;
    struct arena *arena = r->arena;
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct run *run = r->model->runs.at[i];
        const struct route *route = &r->routes->of_run[i];
        if (r->only_circuit && run->circuit != r->only_circuit)
            continue;
        for (uint32_t s = 0; route->known && s < route->segment_count; s++) {
            const struct segment *g = &route->segments[s];
            struct plan_piece piece = {run, flat(g->from), flat(g->to)};
            struct plan_floor *f = g->kind == ALONG_JOISTS || g->kind == ACROSS_JOISTS
                                       ? floor_under(k, g->from.z)
                                       : NULL;
            if (f)
                IN_TILES(f, piece.from, piece.to, over, piece);
        }
    }
    for (uint32_t i = 0; i < r->bores->list.n; i++) {
        const struct bore *b = &r->bores->list.at[i];
        if (b->members->member != MEMBER_JOIST)
            continue;
        struct place3 at = bore_member(r->bores, b).at;
        struct plan_floor *f = floor_under(k, at.z);
        if (f)
            IN_TILES(f, flat(at), flat(at), holes, b);
    }
}

struct plan_floor *plan_floors(struct set *set, enum plan_subject subject, struct area field)
{
    const struct results *r = set->r;
    struct maker k = {set, subject, arena_array(r->arena, struct plan_floor, r->model->levels.n)};
    measure(&k);
    for (uint32_t i = 0; i < r->model->levels.n; i++)
        if (k.floors[i].any) {
            cut_floor(set, &k.floors[i], scales_least(set), field);
            file_rooms(&k, &k.floors[i]);
        }
    file_boxes(&k);
    file_bulks(&k);
    file_going(&k);
    if (subject == PLAN_LIGHTS)
        file_legs(&k);
    if (subject == PLAN_CEILING)
        file_over(&k);
    return k.floors;
}

/* --- rooms that are drawn larger -------------------------------------------------------------- */

static bool overlaps(const struct plan_floor *f, struct point a, struct point b)
{
    length left = a.x < b.x ? a.x : b.x, right = a.x < b.x ? b.x : a.x, low = a.y < b.y ? a.y : b.y,
           high = a.y < b.y ? b.y : a.y;
    return left <= f->high.x && right >= f->low.x && low <= f->high.y && high >= f->low.y;
}

static void file_boxes_of(const struct results *r, struct plan_floor *f, const struct plan_tile *t)
{
    struct arena *arena = r->arena;
    for (uint32_t i = 0; i < t->boxes.n; i++)
        if (t->boxes.at[i]->room == f->room) {
            struct point p = drawn_at(f->room, view_place_of_box(r, t->boxes.at[i]));
            IN_TILES(f, p, p, boxes, t->boxes.at[i]);
        }
    for (uint32_t i = 0; i < t->gone.n; i++)
        if (t->gone.at[i]->room == f->room) {
            struct point p = drawn_at(f->room, &t->gone.at[i]->place);
            IN_TILES(f, p, p, gone, t->gone.at[i]);
        }
    for (uint32_t i = 0; i < t->panels.n; i++)
        if (t->panels.at[i]->room == f->room) {
            struct point p = drawn_at(f->room, view_place_of_panel(r, t->panels.at[i]));
            IN_TILES(f, p, p, panels, t->panels.at[i]);
        }
}

/* What passes through it as well. */
static void file_passing(const struct results *r, struct plan_floor *f, const struct plan_tile *t)
{
    struct arena *arena = r->arena;
    for (uint32_t i = 0; i < t->bulks.n; i++)
        if (overlaps(f, t->bulks.at[i]->from, t->bulks.at[i]->to))
            IN_TILES(f, t->bulks.at[i]->from, t->bulks.at[i]->to, bulks, t->bulks.at[i]);
    for (uint32_t i = 0; i < t->links.n; i++) {
        struct plan_link x = t->links.at[i];
        struct point from = place_of(r, x.from), to = place_of(r, x.to);
        if (x.from->room == f->room || x.to->room == f->room)
            IN_TILES(f, from, to, links, x);
    }
    for (uint32_t i = 0; i < t->over.n; i++)
        if (overlaps(f, t->over.at[i].from, t->over.at[i].to))
            IN_TILES(f, t->over.at[i].from, t->over.at[i].to, over, t->over.at[i]);
    for (uint32_t i = 0; i < t->going.n; i++)
        if (overlaps(f, t->going.at[i].from, t->going.at[i].to))
            IN_TILES(f, t->going.at[i].from, t->going.at[i].to, going, t->going.at[i]);
    for (uint32_t i = 0; i < t->holes.n; i++) {
        struct point at = flat(bore_member(r->bores, t->holes.at[i]).at);
        if (overlaps(f, at, at))
            IN_TILES(f, at, at, holes, t->holes.at[i]);
    }
}

/* The next larger scale. */
static int larger_than(const struct set *set, int ratio)
{
    int larger = 0;
    for (const int *s = scales_of(set); *s && *s < ratio; s++)
        larger = *s;
    return larger;
}

struct plan_floor *plan_larger(struct set *set, const struct plan_floor *floor,
                               const struct plan_tile *tile, const struct room *room,
                               struct area field)
{
    const struct results *r = set->r;
    length thick = frame_thickest_wall(room);
    struct plan_floor *f = arena_new(r->arena, struct plan_floor);
    *f = (struct plan_floor){.level = floor->level,
                             .room = room,
                             .any = true,
                             .low = {room->low.x - thick, room->low.y - thick},
                             .high = {room->high.x + thick, room->high.y + thick}};
    f->low.x = f->low.x < tile->low.x ? tile->low.x : f->low.x;
    f->low.y = f->low.y < tile->low.y ? tile->low.y : f->low.y;
    f->high.x = f->high.x > tile->high.x ? tile->high.x : f->high.x;
    f->high.y = f->high.y > tile->high.y ? tile->high.y : f->high.y;
    *vec_push(r->arena, &f->rooms) = room;
    cut_floor(set, f, larger_than(set, floor->ratio), field);
    struct maker k = {.set = set};
    file_rooms(&k, f);
    file_boxes_of(r, f, tile);
    file_passing(r, f, tile);
    return f;
}
