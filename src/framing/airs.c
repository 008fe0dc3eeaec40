/* The air that each run lies in: the hottest that it passes and the plan tells of, but for parts
 * that are too short to count (310.15(A)(2), exception). */
#include "framing/airs.h"

#include "facts/conductors.h"
#include "facts/facts.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/power.h"

#include <stdlib.h>

/* The space of a room whose air is told: its walls, and the joists over and under it, with it. */
struct zone {
    struct place3 low, high;
    const struct room *room;
};

/* A part of a run in one air. */
struct portion {
    uint32_t circuit, run;
    const struct room *room;
    double measure; /* as a length */
};

struct airs {
    struct arena scratch;
    struct model *m;
    const struct routes *routes;
    VEC(struct zone) zones; /* from the west to the east */
    length *reach;          /* how far to the east those up to here go */
    VEC(struct portion) portions;
};

static int by_west(const void *va, const void *vb)
{
    const struct zone *a = va, *b = vb;
    if (a->low.x != b->low.x)
        return a->low.x < b->low.x ? -1 : 1;
    return (a->room->id > b->room->id) - (a->room->id < b->room->id);
}

static void find_zones(struct airs *a)
{
    for (uint32_t i = 0; i < a->m->rooms.n; i++) {
        const struct room *r = a->m->rooms.at[i];
        if (!r->air.told)
            continue;
        length wall = frame_thickest_wall(r), floor = r->level->floor;
        *vec_push(&a->scratch, &a->zones) = (struct zone){
            {r->low.x - wall, r->low.y - wall, floor - r->level->floor_joists.lumber.depth},
            {r->high.x + wall, r->high.y + wall, floor + r->ceiling + r->joists.lumber.depth},
            r};
    }
    if (a->zones.n)
        qsort(a->zones.at, a->zones.n, sizeof *a->zones.at, by_west);
    a->reach = arena_array(&a->scratch, length, a->zones.n + 1);
    for (uint32_t i = 0; i < a->zones.n; i++) {
        length east = a->zones.at[i].high.x;
        a->reach[i] = i && a->reach[i - 1] > east ? a->reach[i - 1] : east;
    }
}

/* Keeps of a way from 0 to 1 what lies between two bounds; false where nothing does. */
static bool clip(length from, length to, length low, length high, double *begin, double *end)
{
    double go = (double)(to - from);
    if (go == 0)
        return from >= low && from <= high;
    double t = (double)(low - from) / go, u = (double)(high - from) / go;
    double first = t < u ? t : u, last = t < u ? u : t;
    *begin = first > *begin ? first : *begin;
    *end = last < *end ? last : *end;
    return *begin < *end;
}

static double share_inside(const struct segment *s, const struct zone *z)
{
    double begin = 0, end = 1;
    bool inside = clip(s->from.x, s->to.x, z->low.x, z->high.x, &begin, &end) &&
                  clip(s->from.y, s->to.y, z->low.y, z->high.y, &begin, &end) &&
                  clip(s->from.z, s->to.z, z->low.z, z->high.z, &begin, &end);
    return inside ? end - begin : 0;
}

/* The first zone that may reach as far to the east. */
static uint32_t first_zone(const struct airs *a, length west)
{
    uint32_t low = 0, high = a->zones.n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (a->reach[middle] < west)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void add_portion(struct airs *a, const struct run *run, const struct room *room, double l)
{
    if (l > 0)
        *vec_push(&a->scratch, &a->portions) = (struct portion){run->circuit->id, run->id, room, l};
}

static void cross_zones(struct airs *a, const struct run *run, const struct segment *s)
{
    length west = s->from.x < s->to.x ? s->from.x : s->to.x,
           east = s->from.x < s->to.x ? s->to.x : s->from.x;
    uint32_t world = frame_world_of(facts_room_of_end(run->from));
    for (uint32_t i = first_zone(a, west); i < a->zones.n && a->zones.at[i].low.x <= east; i++)
        if (frame_world_of(a->zones.at[i].room) == world)
            add_portion(a, run, a->zones.at[i].room,
                        share_inside(s, &a->zones.at[i]) * (double)s->length);
}

/* A run whose way is not known lies wholly where one of its ends is. */
static void take_ends(struct airs *a, const struct run *run, length whole)
{
    const struct room *rooms[] = {facts_room_of_end(run->from), facts_room_of_end(run->to)};
    for (int i = 0; i < 2; i++)
        if (rooms[i] && rooms[i]->air.told)
            add_portion(a, run, rooms[i], whole > 0 ? (double)whole : 1);
}

static void find_portions(struct airs *a, const struct run *run)
{
    const struct route *route = &a->routes->of_run[run->id];
    if (!run->circuit || !run_is_whole(run))
        return;
    if (!route->segment_count)
        take_ends(a, run, route->electrical);
    for (uint32_t i = 0; i < route->segment_count; i++)
        if (facts_room_of_end(run->from))
            cross_zones(a, run, &route->segments[i]);
}

static int by_heat(const void *va, const void *vb)
{
    const struct portion *a = va, *b = vb;
    double x = a->room->air.at, y = b->room->air.at;
    if (a->circuit != b->circuit)
        return a->circuit < b->circuit ? -1 : 1;
    if (x != y)
        return x > y ? -1 : 1;
    if (a->run != b->run)
        return a->run < b->run ? -1 : 1;
    return (a->room->id > b->room->id) - (a->room->id < b->room->id);
}

double airs_exempt(struct model *m, length whole)
{
    length up_to = code_length(&m->code, SET_MIXED_AMPACITIES_UP_TO, 0);
    double share = (double)whole * code_share(&m->code, SET_MIXED_AMPACITIES_SHARE, 0);
    return share < (double)up_to ? share : (double)up_to;
}

length airs_circuit_length(const struct routes *routes, const struct circuit *c)
{
    const length most = (length)1 << 60;
    length whole = 0;
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct route *way = &routes->of_run[c->runs.at[i]->id];
        if (!way->known && !c->runs.at[i]->existing)
            return most;
        whole += way->electrical;
    }
    return whole;
}

/* The first of the portions of one circuit, the hottest first, that counts: all that are hotter are
 * together short enough. */
static uint32_t first_that_counts(const struct portion *p, uint32_t n, double exempt)
{
    double together = 0;
    for (uint32_t from = 0, to; from < n; from = to) {
        for (to = from; to < n && p[to].room->air.at == p[from].room->air.at; to++)
            together += p[to].measure;
        if (together > exempt)
            return from;
    }
    return n;
}

static void judge(struct airs *a, const struct portion *p, uint32_t n, struct lying *of_run)
{
    double exempt =
        airs_exempt(a->m, airs_circuit_length(a->routes, a->m->circuits.at[p->circuit]));
    for (uint32_t i = first_that_counts(p, n, exempt); i < n; i++) {
        struct lying *lying = &of_run[p[i].run];
        if (!lying->where)
            *lying =
                (struct lying){1, p[i].room->air.at, address_of_room(a->m->arena, p[i].room, true)};
    }
}

struct lying *airs_find(struct arena *arena, struct model *m, const struct routes *routes)
{
    struct airs a = {.m = m, .routes = routes};
    struct lying *of_run = arena_array(arena, struct lying, m->runs.n + 1);
    a.scratch.out_of_memory = arena->out_of_memory;
    for (uint32_t i = 0; i < m->runs.n; i++)
        of_run[i].beside = 1;
    find_zones(&a);
    for (uint32_t i = 0; a.zones.n && i < m->runs.n; i++)
        find_portions(&a, m->runs.at[i]);
    if (a.portions.n)
        qsort(a.portions.at, a.portions.n, sizeof *a.portions.at, by_heat);
    for (uint32_t from = 0, to; from < a.portions.n; from = to) {
        to = from + 1;
        while (to < a.portions.n && a.portions.at[to].circuit == a.portions.at[from].circuit)
            to++;
        judge(&a, &a.portions.at[from], to - from, of_run);
    }
    arena_free(&a.scratch);
    return of_run;
}
