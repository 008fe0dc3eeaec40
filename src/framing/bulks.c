#include "framing/bulks.h"

#include "base/arena.h"
#include "base/buf.h"
#include "facts/rooms.h"
#include "framing/frame.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_PIECES = 200 }; /* of one bulk */

struct bulks {
    VEC(struct bulk_piece) pieces; /* from the west to the east */
    length *reach;                 /* how far to the east those up to here go */
};

static int by_west(const void *va, const void *vb)
{
    const struct bulk_piece *a = va, *b = vb;
    length apart = a->low.x != b->low.x   ? a->low.x - b->low.x
                   : a->low.y != b->low.y ? a->low.y - b->low.y
                                          : a->low.z - b->low.z;
    return (apart > 0) - (apart < 0);
}

static struct bulk_piece piece_of(const struct bulk *k, struct point from, struct point to)
{
    length half = k->wide / 2, x = from.x == to.x ? half : 0, y = from.y == to.y ? half : 0;
    struct bulk_piece p = {{from.x < to.x ? from.x : to.x, from.y < to.y ? from.y : to.y, k->low},
                           {from.x < to.x ? to.x : from.x, from.y < to.y ? to.y : from.y, k->high},
                           k,
                           k->room ? frame_world_of(k->room) : EVERY_WORLD};
    if (!x && !y) /* aslant: as much wider as its corners stand out */
        x = y = half * 3 / 4;
    p.low.x -= x;
    p.high.x += x;
    p.low.y -= y;
    p.high.y += y;
    return p;
}

/* A beam lies on the walls that it is drawn up to: its pieces go on into them. */
static void bear(const struct room *r, struct bulk_piece *p)
{
    length in = r->wall_framing.lumber.depth;
    if (p->bulk->from.y == p->bulk->to.y) {
        p->low.x -= p->low.x == r->low.x ? in : 0;
        p->high.x += p->high.x == r->high.x ? in : 0;
    } else if (p->bulk->from.x == p->bulk->to.x) {
        p->low.y -= p->low.y == r->low.y ? in : 0;
        p->high.y += p->high.y == r->high.y ? in : 0;
    }
}

static void add_pieces(struct arena *arena, struct bulks *b, const struct bulk *k)
{
    double dx = (double)(k->to.x - k->from.x), dy = (double)(k->to.y - k->from.y),
           pieces = dx == 0 || dy == 0 ? 1 : ceil(hypot(dx, dy) / (double)k->wide);
    int n = pieces > MOST_PIECES ? MOST_PIECES : (int)pieces;
    struct point before = k->from;
    for (int i = 1; i <= n; i++) {
        struct point at = {k->from.x + (length)llround(dx * i / n),
                           k->from.y + (length)llround(dy * i / n)};
        struct bulk_piece *p = vec_push(arena, &b->pieces);
        *p = piece_of(k, before, at);
        if (k->bears && k->room)
            bear(k->room, p);
        before = at;
    }
}

struct bulks *bulks_find(struct arena *arena, const struct model *m)
{
    if (!m->bulks.n)
        return NULL;
    struct bulks *b = arena_new(arena, struct bulks);
    for (uint32_t i = 0; i < m->bulks.n; i++)
        add_pieces(arena, b, &m->bulks.at[i]);
    qsort(b->pieces.at, b->pieces.n, sizeof *b->pieces.at, by_west);
    b->reach = arena_array(arena, length, b->pieces.n);
    for (uint32_t i = 0; i < b->pieces.n; i++) {
        length east = b->pieces.at[i].high.x;
        b->reach[i] = i && b->reach[i - 1] > east ? b->reach[i - 1] : east;
    }
    return b;
}

void bulks_describe(const struct bulks *b, struct buf *out)
{
    for (uint32_t i = 0; i < b->pieces.n; i++) {
        const struct bulk_piece *p = &b->pieces.at[i];
        const struct room *room = p->bulk->room;
        const length measures[] = {p->low.x,
                                   p->low.y,
                                   p->low.z,
                                   p->high.x,
                                   p->high.y,
                                   p->high.z,
                                   room ? room->level->floor : 0,
                                   room ? room->drop : 0};
        buf_add(out, measures, sizeof measures);
        buf_add(out, &p->world, sizeof p->world);
        buf_putc(out, room ? 1 + facts_stays_open(room) : 0);
    }
}

/* The first piece that may reach beyond a place. */
static uint32_t first_beyond(const struct bulks *b, length west)
{
    uint32_t low = 0, high = b->pieces.n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (b->reach[middle] <= west)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

const struct bulk_piece *bulks_next(const struct bulks *b, struct place3 low, struct place3 high,
                                    uint32_t world, uint32_t *at)
{
    uint32_t i = *at ? *at : first_beyond(b, low.x);
    for (; i < b->pieces.n && b->pieces.at[i].low.x < high.x; i++) {
        const struct bulk_piece *p = &b->pieces.at[i];
        if (low.x < p->high.x && p->low.y < high.y && low.y < p->high.y && p->low.z < high.z &&
            low.z < p->high.z && (p->world == EVERY_WORLD || p->world == world)) {
            *at = i + 1;
            return p;
        }
    }
    return NULL;
}

/* Keeps of a part of a line, a to b, what lies between two limits; each step of 1 along it leads
 * `step` on. */
static void keep_between(double from, double step, double low, double high, double *a, double *b)
{
    if (step == 0) {
        *b = low < from && from < high ? *b : *a;
        return;
    }
    double x = (low - from) / step, y = (high - from) / step;
    *a = fmax(*a, fmin(x, y));
    *b = fmin(*b, fmax(x, y));
}

const struct bulk_piece *bulks_in_wall(const struct skeleton *f, const struct line *l,
                                       struct bulk_stretch in, uint32_t world, uint32_t *at,
                                       length *lo, length *hi)
{
    struct line middle = *l;
    middle.off = l->middle;
    struct point a = frame_line_point(&middle, in.lo), b = frame_line_point(&middle, in.hi);
    struct place3 low = {a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y, in.low},
                  high = {a.x < b.x ? b.x : a.x, a.y < b.y ? b.y : a.y, in.high};
    for (const struct bulk_piece *p;
         f->bulks && (p = bulks_next(f->bulks, low, high, world, at));) {
        double from = 0, to = (double)(in.hi - in.lo);
        if (in.hi > in.lo) {
            keep_between((double)a.x, l->ux, (double)p->low.x, (double)p->high.x, &from, &to);
            keep_between((double)a.y, l->uy, (double)p->low.y, (double)p->high.y, &from, &to);
        }
        if (in.hi > in.lo && from >= to)
            continue;
        if (lo)
            *lo = in.lo + (length)llround(from);
        if (hi)
            *hi = in.lo + (length)llround(to);
        return p;
    }
    return NULL;
}

/* On a wall what hides its face, so little as it stands out into the room. */
static void stretch_on_wall(const struct room *room, const struct place *p, length half,
                            struct place3 *low, struct place3 *high)
{
    const struct wall *w = &room->walls[p->wall];
    length dx = w->right.x - w->left.x, dy = w->right.y - w->left.y;
    low->x -= dy ? dy < 0 : half;
    high->x += dy ? dy > 0 : half;
    low->y -= dx ? dx > 0 : half;
    high->y += dx ? dx < 0 : half;
    low->z -= half;
    high->z += half;
}

const struct bulk *bulks_around(const struct skeleton *f, const struct room *room,
                                const struct place *p, length wide, length deep)
{
    struct place3 low = p->at, high = p->at;
    length half = wide > 0 ? wide / 2 : INCH;
    uint32_t at = 0;
    if (!f->bulks || !p->known || (p->where == ON_WALL && p->wall >= room->wall_count))
        return NULL;
    if (p->where == ON_WALL) {
        stretch_on_wall(room, p, half, &low, &high);
    } else {
        low.x -= half;
        high.x += half;
        low.y -= half;
        high.y += half;
        low.z -= 1;
        high.z += p->where == OVERHEAD && deep > 0 ? deep : 1;
    }
    const struct bulk_piece *piece = bulks_next(f->bulks, low, high, frame_world_of(room), &at);
    return piece ? piece->bulk : NULL;
}
