#include "sheets/key_plan.h"

#include "facts/facts.h"

#include <math.h>

struct key_plan {
    const struct page *p;
    struct area field;
    struct point low, high; /* of the level */
    double scale;           /* micrometres for a unit of length */
};

static bool is_drawn(const struct page *p, const struct room *room)
{
    return room->level == p->level && room->wall_count && facts_is_built(room->unit) &&
           facts_known(room, ITS_TEXT);
}

static bool measure(struct key_plan *k)
{
    const struct model *m = k->p->set->r->model;
    bool any = false;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        if (!is_drawn(k->p, r))
            continue;
        k->low.x = !any || r->low.x < k->low.x ? r->low.x : k->low.x;
        k->low.y = !any || r->low.y < k->low.y ? r->low.y : k->low.y;
        k->high.x = !any || r->high.x > k->high.x ? r->high.x : k->high.x;
        k->high.y = !any || r->high.y > k->high.y ? r->high.y : k->high.y;
        any = true;
    }
    double wide = (double)(k->high.x - k->low.x), high = (double)(k->high.y - k->low.y);
    if (!any || wide <= 0 || high <= 0)
        return false;
    double across = (double)(k->field.right - k->field.left) / wide,
           down = (double)(k->field.bottom - k->field.top) / high;
    k->scale = across < down ? across : down;
    return true;
}

static struct spot on_field(const struct key_plan *k, struct point p)
{
    double wide = (double)(k->high.x - k->low.x) * k->scale,
           high = (double)(k->high.y - k->low.y) * k->scale;
    return (struct spot){(k->field.left + k->field.right) / 2 +
                             llround((double)(p.x - k->low.x) * k->scale - wide / 2),
                         (k->field.top + k->field.bottom) / 2 +
                             llround((double)(k->high.y - p.y) * k->scale - high / 2)};
}

static void outline(const struct key_plan *k, const struct room *room, struct pen pen)
{
    struct arena *arena = k->p->set->r->arena;
    struct spot *corner = arena_array(arena, struct spot, room->wall_count);
    for (uint32_t w = 0; w < room->wall_count; w++)
        corner[w] = on_field(k, room->walls[w].left);
    paper_path(k->p->s, corner, room->wall_count, true, pen);
}

/* An arrowhead in the room that points at the middle of the wall. */
static void arrow(const struct key_plan *k, struct spot a, struct spot b)
{
    double dx = (double)(b.x - a.x), dy = (double)(b.y - a.y), l = hypot(dx, dy);
    if (l < 1)
        return;
    double ux = dx / l, uy = dy / l, inx = -uy, iny = ux; /* walls are walked clockwise */
    const double tip = 1500, base = 4500, half = 1300;
    double x = (double)(a.x + b.x) / 2, y = (double)(a.y + b.y) / 2;
    struct spot head[] = {
        {llround(x + inx * tip), llround(y + iny * tip)},
        {llround(x + inx * base + ux * half), llround(y + iny * base + uy * half)},
        {llround(x + inx * base - ux * half), llround(y + iny * base - uy * half)}};
    paper_path(k->p->s, head, 3, true, (struct pen){NO_INK, BLACK, 0, DASH_NONE});
}

/* The part of the level that is on the sheet. */
static void part(const struct key_plan *k)
{
    struct point low = k->p->low, high = k->p->high;
    if (low.x >= high.x || low.y >= high.y)
        return;
    low.x = low.x < k->low.x ? k->low.x : low.x;
    low.y = low.y < k->low.y ? k->low.y : low.y;
    high.x = high.x > k->high.x ? k->high.x : high.x;
    high.y = high.y > k->high.y ? k->high.y : high.y;
    struct spot a = on_field(k, low), b = on_field(k, high);
    paper_rect(k->p->s, (struct area){a.x, b.y, b.x, a.y}, 0,
               (struct pen){BLACK, NO_INK, LINE_CUT, DASH_NONE});
}

void key_plan_draw(const struct page *p, struct area field)
{
    struct key_plan k = {.p = p, .field = field};
    const struct model *m = p->set->r->model;
    if (!p->level || !measure(&k))
        return;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (is_drawn(p, m->rooms.at[i]) && m->rooms.at[i] != p->room)
            outline(&k, m->rooms.at[i], (struct pen){0x777777, NO_INK, LINE_FRAMING, DASH_NONE});
    part(&k);
    if (!p->room || !is_drawn(p, p->room))
        return;
    outline(&k, p->room, (struct pen){BLACK, 0xeeeeee, LINE_EDGE, DASH_NONE});
    if (p->wall >= p->room->wall_count)
        return;
    struct spot a = on_field(&k, p->room->walls[p->wall].left),
                b = on_field(&k, p->room->walls[p->wall].right);
    paper_line(p->s, a.x, a.y, b.x, b.y, (struct pen){BLACK, NO_INK, 3 * LINE_NEW, DASH_NONE});
    arrow(&k, a, b);
}
