/* Walls that two rooms share: what the one says of such a wall holds for the other too, where that
 * says nothing of its own. Concrete that one room writes is concrete on its other side; the studs
 * before it are that room's alone. */
#include "model/build.h"

#include <math.h>
#include <stdlib.h>

/* A wall, its direction with the sign taken off. */
struct side {
    struct room *room;
    uint32_t wall, world;
    length dx, dy;
    bool forward; /* its left end comes first in that direction: its room lies to the right */
    length off;   /* how far it lies to the left of its direction from the plan's origin */
    length lo, hi;
    length reach; /* `hi` of those up to here that lie in one line with it */
};

static struct wall *wall_of(const struct side *s)
{
    return (struct wall *)&s->room->walls[s->wall];
}

static struct side side_of(struct room *r, uint32_t i)
{
    const struct wall *w = &r->walls[i];
    struct side s = {.room = r, .wall = i};
    s.dx = w->right.x - w->left.x;
    s.dy = w->right.y - w->left.y;
    s.forward = s.dx > 0 || (s.dx == 0 && s.dy > 0);
    s.world = r->unit && !r->unit->built ? r->unit->id + 1 : 0;
    if (!s.forward) {
        s.dx = -s.dx;
        s.dy = -s.dy;
    }
    double size = hypot((double)s.dx, (double)s.dy), ux = (double)s.dx / size,
           uy = (double)s.dy / size;
    length a = (length)llround(ux * (double)w->left.x + uy * (double)w->left.y),
           b = (length)llround(ux * (double)w->right.x + uy * (double)w->right.y);
    s.off = (length)llround(ux * (double)w->left.y - uy * (double)w->left.x);
    s.lo = a < b ? a : b;
    s.hi = a < b ? b : a;
    return s;
}

/* In one storey and of one direction: 0. */
static int by_band(const struct side *a, const struct side *b)
{
    length fa = a->room->level->floor, fb = b->room->level->floor;
    if (fa != fb)
        return fa < fb ? -1 : 1;
    if (a->world != b->world)
        return a->world < b->world ? -1 : 1;
    __int128 turn = (__int128)a->dx * b->dy - (__int128)a->dy * b->dx;
    return turn > 0 ? -1 : turn < 0 ? 1 : 0;
}

static int by_line(const struct side *a, const struct side *b)
{
    int band = by_band(a, b);
    return band               ? band
           : a->off != b->off ? a->off < b->off ? -1 : 1
                              : (int)a->forward - (int)b->forward;
}

static int by_place(const void *va, const void *vb)
{
    const struct side *a = va, *b = vb;
    int line = by_line(a, b);
    if (line)
        return line;
    if (a->lo != b->lo)
        return a->lo < b->lo ? -1 : 1;
    return a->room->id != b->room->id ? a->room->id < b->room->id ? -1 : 1
                                      : (int)a->wall - (int)b->wall;
}

/* What of a wall's thickness one side has: its studs with the finish, and the gap behind them. */
static length depth_of(const struct side *s)
{
    const struct wall *w = wall_of(s);
    return s->room->finish + (w->furred ? w->framing.lumber.depth + w->gap : 0);
}

/* Whether two walls are the two sides of one. */
static bool share(const struct side *told, const struct side *s, length concrete)
{
    const struct wall *w = wall_of(told);
    length apart = told->forward ? s->off - told->off : told->off - s->off,
           thick = w->concrete ? concrete : w->framing.lumber.depth;
    return apart >= 0 && apart <= thick + depth_of(told) + depth_of(s) && s->room != told->room;
}

/* What a wall without words of its own has from its other side. */
static void take_from(const struct side *s, const struct side *told)
{
    struct wall *w = wall_of(s);
    const struct wall *from = wall_of(told);
    w->concrete = from->concrete;
    w->framing = from->concrete ? (struct framing){0} : from->framing;
}

static void tie(const struct side *s, const struct side *told)
{
    struct wall *w = wall_of(s), *other = wall_of(told);
    length middle = (s->lo + s->hi) / 2;
    if (!w->words && told->lo <= middle && middle <= told->hi)
        take_from(s, told);
    if (!w->behind) {
        w->behind = told->room;
        w->behind_wall = told->wall;
    }
    if (!other->behind) {
        other->behind = s->room;
        other->behind_wall = s->wall;
    }
}

/* Ties a wall to those with words that are behind it, which lie in one line at `from` to `to`. */
static void tie_along(const struct side *told, uint32_t from, uint32_t to, const struct side *s,
                      length concrete)
{
    uint32_t lo = from, hi = to;
    while (lo < hi) {
        uint32_t mid = lo + (hi - lo) / 2;
        if (told[mid].lo < s->hi)
            lo = mid + 1;
        else
            hi = mid;
    }
    for (uint32_t i = lo; i-- > from && told[i].reach > s->lo;)
        if (told[i].hi > s->lo && share(&told[i], s, concrete))
            tie(s, &told[i]);
}

/* The first of those with words that is in the band of a wall and not before a line, or behind
 * them. */
static uint32_t first_from(const struct side *told, uint32_t n, const struct side *s, length off)
{
    uint32_t lo = 0, hi = n;
    while (lo < hi) {
        uint32_t mid = lo + (hi - lo) / 2;
        int band = by_band(&told[mid], s);
        if (band < 0 || (!band && told[mid].off < off))
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo;
}

static void tie_side(const struct side *told, uint32_t n, const struct side *s, length widest,
                     length concrete)
{
    length reach = widest + depth_of(s);
    uint32_t i = first_from(told, n, s, s->off - reach);
    while (i < n && !by_band(&told[i], s) && told[i].off <= s->off + reach) {
        uint32_t end = i + 1;
        while (end < n && !by_line(&told[end], &told[i]))
            end++;
        if (told[i].forward != s->forward)
            tie_along(told, i, end, s, concrete);
        i = end;
    }
}

/* Puts them in order, and says how thick the thickest is. */
static length sort_told(struct side *told, uint32_t n, length concrete)
{
    length widest = 0;
    qsort(told, n, sizeof *told, by_place);
    for (uint32_t i = 0; i < n; i++) {
        const struct wall *w = wall_of(&told[i]);
        length thick = depth_of(&told[i]) + (w->concrete ? concrete : w->framing.lumber.depth);
        widest = thick > widest ? thick : widest;
        bool first = !i || by_line(&told[i - 1], &told[i]);
        told[i].reach = first || told[i].hi > told[i - 1].reach ? told[i].hi : told[i - 1].reach;
    }
    return widest;
}

void build_share_walls(struct builder *b)
{
    uint32_t n = 0, most = 0;
    for (uint32_t i = 0; i < b->m->rooms.n; i++)
        for (uint32_t k = 0; k < b->m->rooms.at[i]->wall_count; k++)
            most += b->m->rooms.at[i]->walls[k].words != NULL;
    if (!most)
        return;
    struct side *told = arena_array(b->arena, struct side, most);
    for (uint32_t i = 0; i < b->m->rooms.n; i++)
        for (uint32_t k = 0; k < b->m->rooms.at[i]->wall_count; k++) {
            const struct wall *w = &b->m->rooms.at[i]->walls[k];
            if (w->words && w->length > 0)
                told[n++] = side_of(b->m->rooms.at[i], k);
        }
    length concrete = code_length(&b->m->code, SET_PLAN_DEFAULTS_CONCRETE, 0),
           widest = n ? sort_told(told, n, concrete) : 0;
    for (uint32_t i = 0; i < b->m->rooms.n; i++)
        for (uint32_t k = 0; k < b->m->rooms.at[i]->wall_count; k++)
            if (b->m->rooms.at[i]->walls[k].length > 0) {
                struct side s = side_of(b->m->rooms.at[i], k);
                tie_side(told, n, &s, widest, concrete);
            }
}
