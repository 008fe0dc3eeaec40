#include "sheets/key_plan.h"

#include "facts/facts.h"

#include <math.h>

/* The rooms of a level that are drawn, and where they lie. */
struct key_level {
    VEC(const struct room *) rooms;
    struct point low, high;
};

struct key_plan {
    const struct page *p;
    const struct key_level *level;
    struct area field;
    double scale; /* micrometres for a unit of length */
};

/* On a level with more the small plan shows where they lie, not each. */
enum { MOST_ROOMS = 100 };

static void add_room(struct arena *arena, struct key_level *l, const struct room *r)
{
    bool any = l->rooms.n != 0;
    l->low.x = !any || r->low.x < l->low.x ? r->low.x : l->low.x;
    l->low.y = !any || r->low.y < l->low.y ? r->low.y : l->low.y;
    l->high.x = !any || r->high.x > l->high.x ? r->high.x : l->high.x;
    l->high.y = !any || r->high.y > l->high.y ? r->high.y : l->high.y;
    *vec_push(arena, &l->rooms) = r;
}

static bool is_drawn(const struct room *room)
{
    return room->level && room->wall_count && facts_is_built(room->unit) &&
           facts_known(room, ITS_TEXT);
}

/* All levels, looked at once for all sheets. */
static const struct key_level *level_of(struct set *set, const struct level *level)
{
    const struct model *m = set->r->model;
    if (!set->levels) {
        set->levels = arena_array(set->r->arena, struct key_level, m->levels.n);
        for (uint32_t i = 0; i < m->rooms.n; i++)
            if (is_drawn(m->rooms.at[i]))
                add_room(set->r->arena, &set->levels[m->rooms.at[i]->level->id], m->rooms.at[i]);
    }
    return &set->levels[level->id];
}

static bool measure(struct key_plan *k)
{
    double wide = (double)(k->level->high.x - k->level->low.x),
           high = (double)(k->level->high.y - k->level->low.y);
    if (wide <= 0 || high <= 0)
        return false;
    double across = (double)(k->field.right - k->field.left) / wide,
           down = (double)(k->field.bottom - k->field.top) / high;
    k->scale = across < down ? across : down;
    return true;
}

static struct spot on_field(const struct key_plan *k, struct point p)
{
    struct point lo = k->level->low, hi = k->level->high;
    double wide = (double)(hi.x - lo.x) * k->scale, high = (double)(hi.y - lo.y) * k->scale;
    return (struct spot){
        (k->field.left + k->field.right) / 2 + llround((double)(p.x - lo.x) * k->scale - wide / 2),
        (k->field.top + k->field.bottom) / 2 + llround((double)(hi.y - p.y) * k->scale - high / 2)};
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
    low.x = low.x < k->level->low.x ? k->level->low.x : low.x;
    low.y = low.y < k->level->low.y ? k->level->low.y : low.y;
    high.x = high.x > k->level->high.x ? k->level->high.x : high.x;
    high.y = high.y > k->level->high.y ? k->level->high.y : high.y;
    struct spot a = on_field(k, low), b = on_field(k, high);
    paper_rect(k->p->s, (struct area){a.x, b.y, b.x, a.y}, 0,
               (struct pen){BLACK, NO_INK, LINE_CUT, DASH_NONE});
}

static void outline_all(const struct key_plan *k)
{
    struct pen pen = {0x777777, NO_INK, LINE_FRAMING, DASH_NONE};
    struct spot a = on_field(k, k->level->low), b = on_field(k, k->level->high);
    if (k->level->rooms.n > MOST_ROOMS)
        paper_rect(k->p->s, (struct area){a.x, b.y, b.x, a.y}, 0, pen);
    for (uint32_t i = 0; i < k->level->rooms.n && k->level->rooms.n <= MOST_ROOMS; i++)
        if (k->level->rooms.at[i] != k->p->room)
            outline(k, k->level->rooms.at[i], pen);
}

void key_plan_draw(const struct page *p, struct area field)
{
    struct key_plan k = {.p = p, .field = field};
    k.level = p->level ? level_of(p->set, p->level) : NULL;
    if (!k.level || !measure(&k))
        return;
    outline_all(&k);
    part(&k);
    if (!p->room || !is_drawn(p->room) || p->room->level != p->level)
        return;
    outline(&k, p->room, (struct pen){BLACK, 0xeeeeee, LINE_EDGE, DASH_NONE});
    if (p->wall >= p->room->wall_count)
        return;
    struct spot a = on_field(&k, p->room->walls[p->wall].left),
                b = on_field(&k, p->room->walls[p->wall].right);
    paper_line(p->s, a.x, a.y, b.x, b.y, (struct pen){BLACK, NO_INK, 3 * LINE_NEW, DASH_NONE});
    arrow(&k, a, b);
}
