#include "sheets/plans/taken.h"

#include <math.h>

enum { CELL = 8000 };

struct taken_area {
    struct area a;
    unsigned by;
};

typedef VEC(struct taken_area) cell_list;

static um cell_of(um at)
{
    return at / CELL - (at % CELL < 0);
}

void plan_take(struct plan_taken *t, struct area a, enum plan_by by)
{
    for (um x = cell_of(a.left); x <= cell_of(a.right); x++)
        for (um y = cell_of(a.top); y <= cell_of(a.bottom); y++) {
            cell_list **list =
                (cell_list **)map_at(t->arena, &t->cells, (uintptr_t)x, (uintptr_t)y);
            if (!*list)
                *list = arena_new(t->arena, cell_list);
            *vec_push(t->arena, *list) = (struct taken_area){a, by};
        }
}

uint32_t plan_meets(const struct plan_taken *t, struct area a, unsigned by)
{
    uint32_t n = 0;
    for (um x = cell_of(a.left); x <= cell_of(a.right); x++)
        for (um y = cell_of(a.top); y <= cell_of(a.bottom); y++) {
            const cell_list *list = map_get(&t->cells, (uintptr_t)x, (uintptr_t)y);
            for (uint32_t i = 0; list && i < list->n; i++)
                n += list->at[i].by & by && area_meets(list->at[i].a, a);
        }
    return n;
}

bool plan_meets_elsewhere(const struct plan_taken *t, struct area a, unsigned by, struct spot place)
{
    struct area own = area_grown((struct area){place.x, place.y, place.x, place.y}, MM / 2);
    for (um x = cell_of(a.left); x <= cell_of(a.right); x++)
        for (um y = cell_of(a.top); y <= cell_of(a.bottom); y++) {
            const cell_list *list = map_get(&t->cells, (uintptr_t)x, (uintptr_t)y);
            for (uint32_t i = 0; list && i < list->n; i++)
                if (list->at[i].by & by && area_meets(list->at[i].a, a) &&
                    !area_meets(list->at[i].a, own))
                    return true;
        }
    return false;
}

/* Squares along the line, half of its width apart at most: how many beyond the first, and each. */
static int squares(struct spot a, struct spot b, um width)
{
    return (int)(hypot((double)(b.x - a.x), (double)(b.y - a.y)) / (double)width) + 1;
}

static struct area square(struct spot a, struct spot b, um width, int i)
{
    double t = (double)i / squares(a, b, width);
    um x = llround((double)a.x + t * (double)(b.x - a.x)),
       y = llround((double)a.y + t * (double)(b.y - a.y));
    return (struct area){x - width / 2, y - width / 2, x + width / 2, y + width / 2};
}

void plan_take_line(struct plan_taken *t, struct spot a, struct spot b, um width, enum plan_by by)
{
    if (a.x == b.x || a.y == b.y) {
        struct area all = {a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y, a.x < b.x ? b.x : a.x,
                           a.y < b.y ? b.y : a.y};
        plan_take(t, area_grown(all, width / 2), by);
        return;
    }
    for (int i = 0; i <= squares(a, b, width); i++)
        plan_take(t, square(a, b, width, i), by);
}

uint32_t plan_line_meets(const struct plan_taken *t, struct spot a, struct spot b, um width,
                         unsigned by)
{
    uint32_t n = 0;
    for (int i = 0; i <= squares(a, b, width); i++)
        n += plan_meets(t, square(a, b, width, i), by) != 0;
    return n;
}
