#include "emit/reports/rounds.h"

#include "facts/rooms.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"

#include <stdlib.h>
#include <string.h>

struct stop {
    const struct room *room;
    const char *address;
    bool outside; /* a door leads out of it */
};

typedef VEC(uint32_t) stop_list; /* ranks of stops */

struct round {
    struct stop *stops; /* in the order in which a way would begin: its ranks */
    uint32_t *rank_of;  /* by room id */
    stop_list *next;    /* by rank: rooms beyond doors and stairs, those of the same level first */
    uint32_t *place;    /* by room id, from 1; 0: not reached yet */
    uint32_t reached;
};

static length floor_of(const struct room *room)
{
    return room->level ? room->level->floor : 0;
}

static int by_place(const void *a, const void *b)
{
    const struct stop *x = a, *y = b;
    const length p[] = {floor_of(x->room), x->room->low.y, x->room->low.x},
                 q[] = {floor_of(y->room), y->room->low.y, y->room->low.x};
    if (x->outside != y->outside)
        return x->outside ? -1 : 1;
    for (size_t i = 0; i < sizeof p / sizeof *p; i++)
        if (p[i] != q[i])
            return p[i] < q[i] ? -1 : 1;
    return strcmp(x->address, y->address);
}

static void join(struct arena *a, struct round *way, const struct room *from, const struct room *to)
{
    *vec_push(a, &way->next[way->rank_of[from->id]]) = way->rank_of[to->id];
}

static void join_rooms(const struct results *r, struct round *way, const struct rooms *doors)
{
    const struct model *m = r->model;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        for (uint32_t k = 0; k < doors->of_room[i].n; k++)
            if (doors->of_room[i].at[k].other)
                join(r->arena, way, room, doors->of_room[i].at[k].other);
        for (uint32_t k = 0; k < room->stairs.n; k++) {
            const struct stairs *s = &room->stairs.at[k];
            if (!s->from || !s->to)
                continue;
            join(r->arena, way, s->from, s->to);
            join(r->arena, way, s->to, s->from);
        }
    }
}

static int by_rank(const void *a, const void *b)
{
    uint32_t x = *(const uint32_t *)a, y = *(const uint32_t *)b;
    return (x > y) - (x < y);
}

/* Of several ways on the nearest level first, then by rank: the last that is pushed is taken. */
static void push_next(const struct results *r, const struct round *way, uint32_t rank,
                      stop_list *open)
{
    const stop_list *next = &way->next[rank];
    const length floor = floor_of(way->stops[rank].room);
    if (next->n)
        qsort(next->at, next->n, sizeof *next->at, by_rank);
    for (int level = 0; level < 2; level++) /* other levels below, so that they are taken later */
        for (uint32_t i = next->n; i-- > 0;)
            if ((floor_of(way->stops[next->at[i]].room) == floor) == level)
                *vec_push(r->arena, open) = next->at[i];
}

static void walk(const struct results *r, struct round *way, uint32_t from)
{
    stop_list open = {0};
    *vec_push(r->arena, &open) = from;
    while (open.n) {
        uint32_t rank = open.at[--open.n];
        uint32_t *place = &way->place[way->stops[rank].room->id];
        if (*place)
            continue;
        *place = ++way->reached;
        push_next(r, way, rank, &open);
    }
}

const uint32_t *rounds_find(const struct results *r)
{
    const struct model *m = r->model;
    struct arena *a = r->arena;
    const struct rooms *doors = rooms_find(a, r->model);
    struct round way = {.stops = arena_array(a, struct stop, m->rooms.n + 1),
                        .rank_of = arena_array(a, uint32_t, m->rooms.n + 1),
                        .next = arena_array(a, stop_list, m->rooms.n + 1),
                        .place = arena_array(a, uint32_t, m->rooms.n + 1)};
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        way.stops[i] =
            (struct stop){m->rooms.at[i], address_of_room(a, m->rooms.at[i], false), false};
        for (uint32_t k = 0; k < doors->of_room[i].n; k++)
            way.stops[i].outside |= !doors->of_room[i].at[k].other;
    }
    if (m->rooms.n)
        qsort(way.stops, m->rooms.n, sizeof *way.stops, by_place);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        way.rank_of[way.stops[i].room->id] = i;
    join_rooms(r, &way, doors);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        walk(r, &way, i);
    return way.place;
}
