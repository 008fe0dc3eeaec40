#include "facts/nearby.h"

#include "facts/facts.h"
#include "model/model.h"
#include "model/power.h"

#include <math.h>

struct near_list {
    VEC(const struct box *) boxes;
};

/* The square of a coordinate; always rounded down. */
static uintptr_t square_of(const struct nearby *n, length at)
{
    length s = at / n->side - (at % n->side < 0);
    return (uintptr_t)s;
}

void nearby_make(struct arena *arena, struct nearby *n, const struct model *m, length side,
                 bool (*wanted)(const struct box *b))
{
    n->side = side;
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        if (!facts_known(b, ITS_TEXT | ITS_PLACE) || !wanted(b))
            continue;
        void **at =
            map_at(arena, &n->squares, square_of(n, b->place.at.x), square_of(n, b->place.at.y));
        struct near_list *list = *at;
        if (!list)
            *at = list = arena_new(arena, struct near_list);
        *vec_push(arena, &list->boxes) = b;
    }
}

static const struct near_list *square_at(const struct nearby *n, uintptr_t x, uintptr_t y)
{
    return map_get(&n->squares, x, y);
}

static bool is_near(const struct box *a, const struct box *b, length within)
{
    return hypot((double)(a->place.at.x - b->place.at.x),
                 (double)(a->place.at.y - b->place.at.y)) <= (double)within;
}

bool nearby_any(const struct nearby *n, const struct box *from, length within, near_fn *accepts,
                const void *data)
{
    uintptr_t east = square_of(n, from->place.at.x), north = square_of(n, from->place.at.y);
    for (int k = 0; k < 9; k++) {
        const struct near_list *list = square_at(n, east + (uintptr_t)(intptr_t)(k / 3 - 1),
                                                 north + (uintptr_t)(intptr_t)(k % 3 - 1));
        for (uint32_t i = 0; list && i < list->boxes.n; i++) {
            const struct box *b = list->boxes.at[i];
            if (b != from && is_near(from, b, within) && accepts(from, b, data))
                return true;
        }
    }
    return false;
}

static void each_in(const struct near_list *list, near_each_fn *each, void *data)
{
    for (uint32_t i = 0; list && i < list->boxes.n; i++)
        each(list->boxes.at[i], data);
}

void nearby_each(const struct nearby *n, struct point low, struct point high, length more,
                 near_each_fn *each, void *data)
{
    uintptr_t x0 = square_of(n, low.x - more), y0 = square_of(n, low.y - more);
    uintptr_t wide = square_of(n, high.x + more) - x0 + 1,
              deep = square_of(n, high.y + more) - y0 + 1;
    if ((double)wide * (double)deep > (double)n->squares.cap) {
        /* A rectangle larger than all that stands on the plan: the squares that hold something are
         * fewer. */
        for (uint32_t i = 0; i < n->squares.cap; i++)
            each_in(n->squares.slot[i].value, each, data);
        return;
    }
    for (uintptr_t x = 0; x < wide; x++)
        for (uintptr_t y = 0; y < deep; y++)
            each_in(square_at(n, x0 + x, y0 + y), each, data);
}
