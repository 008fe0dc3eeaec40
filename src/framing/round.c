/* Ways among the joists round beams, ducts, pipes and soffits: the cheapest over the grid of their
 * edges, a little apart from these, within what is drawn. */
#include "framing/bulks.h"
#include "framing/frame.h"
#include "framing/search.h"
#include "framing/search_work.h"

#include "facts/rooms.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_NEAR = 24 }; /* pieces that one way is led round; of more it keeps to the plain way */

typedef VEC(length) length_list;

struct field {
    struct search *s;
    const struct space *space;
    const struct bulk_piece *near[MOST_NEAR];
    uint32_t count;
    length_list xs, ys;
};

/* --- what is in the way ------------------------------------------------------------------- */

/* What lies on the surface is on the underside of the joists, where things hang. */
static length lowest(const struct search *s, length z)
{
    return s->q->surface ? z - 1 : z;
}

static const struct bulk_piece *piece_between(const struct search *s, struct point p,
                                              struct point q, length low, length high, uint32_t *at)
{
    struct place3 from = {p.x < q.x ? p.x : q.x, p.y < q.y ? p.y : q.y, low},
                  to = {p.x < q.x ? q.x : p.x, p.y < q.y ? q.y : p.y, high};
    return bulks_next(s->f->bulks, from, to, s->q->world, at);
}

static bool is_free(const struct search *s, struct point p, struct point q, length low, length high)
{
    uint32_t at = 0;
    return !piece_between(s, p, q, low, high, &at);
}

bool round_bay_free(const struct search *s, const struct line *l, length t, length z0, length z1)
{
    uint32_t at = 0;
    struct bulk_stretch up = {t, t, z0 < z1 ? z0 : z1, z0 < z1 ? z1 : z0};
    if (s->q->surface)
        return round_column_free(s, frame_line_point(l, t), z0, z1);
    return !s->f->bulks || s->q->through ||
           !bulks_in_wall(s->f, l, up, s->q->world, &at, NULL, NULL);
}

bool round_column_free(const struct search *s, struct point at, length z0, length z1)
{
    return !s->f->bulks || s->q->through ||
           is_free(s, at, at, z0 < z1 ? z0 : z1, z0 < z1 ? z1 : z0);
}

bool round_step_aside(const struct search *s, const struct spot *end, length z, struct point *to)
{
    struct point p = flat(end->at);
    uint32_t at = 0;
    length best = LARGEST, clear = s->q->clear;
    const struct spot *other = end == &s->q->a ? &s->q->b : &s->q->a;
    if (end->where != OVERHEAD || !end->room->drop)
        return false;
    const struct bulk_piece *k = piece_between(s, p, p, end->at.z, z, &at);
    if (!k)
        return false;
    const struct point sides[] = {{k->low.x - clear, p.y},
                                  {k->high.x + clear, p.y},
                                  {p.x, k->low.y - clear},
                                  {p.x, k->high.y + clear}};
    for (int i = 0; i < 4; i++) {
        length far = length_abs(sides[i].x - p.x) + length_abs(sides[i].y - p.y) +
                     search_at_least(s, sides[i], flat(other->at));
        if (far < best && is_free(s, p, sides[i], end->at.z, end->at.z) &&
            round_column_free(s, sides[i], end->at.z, z)) {
            best = far;
            *to = sides[i];
        }
    }
    return best < LARGEST;
}

/* Whether the plain way with one bend is free. */
static bool plain_is_free(const struct search *s, const struct space *space, struct point a,
                          struct point b)
{
    bool east_first = !s->q->bend_at_b == space->joists.running_north;
    struct point bend = east_first ? (struct point){b.x, a.y} : (struct point){a.x, b.y};
    length low = lowest(s, space->z);
    return is_free(s, a, bend, low, space->z) && is_free(s, bend, b, low, space->z);
}

/* What is near enough to be gone round: in the rectangle of both ends, and in that of all that is
 * found so far; false where it is too much. */
static bool gather(struct field *f, struct point a, struct point b)
{
    const struct search *s = f->s;
    struct point low = {a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y},
                 high = {a.x < b.x ? b.x : a.x, a.y < b.y ? b.y : a.y};
    for (uint32_t before = MOST_NEAR; before != f->count;) {
        uint32_t at = 0;
        before = f->count;
        f->count = 0;
        struct point from = low, to = high;
        for (const struct bulk_piece *p;
             (p = piece_between(s, from, to, lowest(s, f->space->z), f->space->z, &at));) {
            length clear = s->q->clear;
            if (f->count == MOST_NEAR)
                return false;
            f->near[f->count++] = p;
            low.x = p->low.x - clear < low.x ? p->low.x - clear : low.x;
            low.y = p->low.y - clear < low.y ? p->low.y - clear : low.y;
            high.x = p->high.x + clear > high.x ? p->high.x + clear : high.x;
            high.y = p->high.y + clear > high.y ? p->high.y + clear : high.y;
        }
    }
    return true;
}

/* --- over and under ----------------------------------------------------------------------- */

/* The height at which a cable goes past a piece: in what it leaves of the joists' depth, else under
 * it where one gets there; false: it is to be gone round. */
static bool height_past(const struct search *s, const struct space *space,
                        const struct bulk_piece *p, length *z)
{
    length depth = space->joists.lumber.depth, clear = s->q->clear,
           bottom = space->z < space->face ? space->face - depth : space->face,
           top = bottom + depth;
    const struct room *room = p->bulk->room;
    bool over = space->z >= space->face, open = s->q->surface;
    if (!s->q->surface && top - p->high.z >= 2 * clear) {
        *z = (top + p->high.z) / 2;
        return true;
    }
    if (!s->q->surface && p->low.z - bottom >= 2 * clear) {
        *z = (bottom + p->low.z) / 2;
        return true;
    }
    *z = p->low.z - clear;
    if (room)
        open |= room->drop ? *z > room->level->floor + room->drop : facts_stays_open(room);
    return over && open;
}

static bool is_among_joists(const struct space *space, length z)
{
    length depth = space->joists.lumber.depth;
    return space->z < space->face ? z > space->face - depth : z >= space->face;
}

/* From one crossing of the grid to the next. */
static length along_edge(const struct field *f, struct point p, struct point q, length *z)
{
    const struct search *s = f->s;
    uint32_t at = 0;
    length cost = search_across(s->q, f->space, p, q);
    *z = f->space->z;
    const struct bulk_piece *k = piece_between(s, p, q, lowest(s, *z), *z, &at);
    if (!k)
        return cost;
    if (piece_between(s, p, q, lowest(s, *z), *z, &at) || !height_past(s, f->space, k, z) ||
        !is_free(s, p, q, *z, *z))
        return LARGEST;
    if (!is_among_joists(f->space, *z))
        cost = length_abs(p.x - q.x) + length_abs(p.y - q.y);
    return cost + 2 * length_abs(*z - f->space->z);
}

/* --- the grid ----------------------------------------------------------------------------- */

/* A place beside a piece, `way` from it; beside the joist that is there where the grid runs along
 * the joists. */
static void add_beside(struct field *f, length_list *list, length at, int way, length low,
                       length high, bool across, length corner)
{
    length spacing = f->space->joists.spacing, half = f->space->joists.lumber.thickness / 2;
    at += way * f->s->q->clear;
    if (across && spacing > 0) {
        length joist = corner + (length)llround((double)(at - corner) / (double)spacing) * spacing;
        if (length_abs(at - joist) <= half)
            at = joist + way * (half + 1);
    }
    if (low <= at && at <= high)
        *vec_push(f->s->arena, list) = at;
}

static int by_length(const void *va, const void *vb)
{
    length a = *(const length *)va, b = *(const length *)vb;
    return (a > b) - (a < b);
}

static void sort_lines(length_list *list)
{
    uint32_t n = 0;
    qsort(list->at, list->n, sizeof *list->at, by_length);
    for (uint32_t i = 0; i < list->n; i++)
        if (!n || list->at[i] != list->at[n - 1])
            list->at[n++] = list->at[i];
    list->n = n;
}

static void lay_grid(struct field *f, struct point a, struct point b)
{
    const struct skeleton *k = f->s->f;
    bool north = f->space->joists.running_north;
    const length x[] = {a.x, b.x}, y[] = {a.y, b.y};
    for (int i = 0; i < 2; i++) {
        *vec_push(f->s->arena, &f->xs) = x[i];
        *vec_push(f->s->arena, &f->ys) = y[i];
    }
    for (uint32_t i = 0; i < f->count; i++) {
        const struct bulk_piece *p = f->near[i];
        struct point c = f->space->corner;
        add_beside(f, &f->xs, p->low.x, -1, k->low.x, k->high.x, north, c.x);
        add_beside(f, &f->xs, p->high.x, 1, k->low.x, k->high.x, north, c.x);
        add_beside(f, &f->ys, p->low.y, -1, k->low.y, k->high.y, !north, c.y);
        add_beside(f, &f->ys, p->high.y, 1, k->low.y, k->high.y, !north, c.y);
    }
    sort_lines(&f->xs);
    sort_lines(&f->ys);
}

static struct point crossing(const struct field *f, uint32_t i)
{
    return (struct point){f->xs.at[i % f->xs.n], f->ys.at[i / f->xs.n]};
}

static uint32_t crossing_at(const struct field *f, struct point p)
{
    uint32_t x = 0, y = 0;
    while (f->xs.at[x] != p.x)
        x++;
    while (f->ys.at[y] != p.y)
        y++;
    return y * f->xs.n + x;
}

/* The crossing beside one, eastward, westward, northward, southward; NO_INDEX: none. */
static uint32_t next_crossing(const struct field *f, uint32_t i, int way)
{
    uint32_t x = i % f->xs.n, y = i / f->xs.n;
    switch (way) {
    case 0:
        return x + 1 < f->xs.n ? i + 1 : NO_INDEX;
    case 1:
        return x ? i - 1 : NO_INDEX;
    case 2:
        return y + 1 < f->ys.n ? i + f->xs.n : NO_INDEX;
    default:
        return y ? i - f->xs.n : NO_INDEX;
    }
}

struct reached {
    length cost, z;
    uint32_t from;
};

/* Keeps the corners of the way that was found, from its first end on. */
static void keep_bends(const struct field *f, const struct reached *r, uint32_t end)
{
    uint32_t n = 0;
    for (uint32_t i = end; r[i].from != NO_INDEX; i = r[i].from)
        n++;
    while (f->s->bends.n < n)
        *vec_push(f->s->arena, &f->s->bends) = (struct bend){.z = 0};
    for (uint32_t i = end, k = n; k; i = r[i].from)
        f->s->bends.at[--k] = (struct bend){crossing(f, i), r[i].z};
    struct bend *b = f->s->bends.at;
    struct point before = n ? crossing(f, r[crossing_at(f, b[0].at)].from) : (struct point){0, 0};
    uint32_t kept = 0;
    for (uint32_t i = 0; i < n; i++) {
        struct point start = kept > 1 ? b[kept - 2].at : before;
        bool on = kept && b[kept - 1].z == b[i].z &&
                  ((start.x == b[kept - 1].at.x && start.x == b[i].at.x) ||
                   (start.y == b[kept - 1].at.y && start.y == b[i].at.y));
        b[on ? kept - 1 : kept] = b[i];
        kept += !on;
    }
    f->s->bends.n = kept;
}

static length find_round(struct field *f, struct point a, struct point b)
{
    struct search *s = f->s;
    uint32_t n = f->xs.n * f->ys.n, start = crossing_at(f, a), end = crossing_at(f, b);
    struct reached *r = arena_array(s->arena, struct reached, n);
    for (uint32_t i = 0; i < n; i++)
        r[i] = (struct reached){LARGEST, 0, NO_INDEX};
    r[start].cost = 0;
    s->heap.n = 0;
    search_push(s, 0, start);
    while (s->heap.n) {
        struct heap_item item = search_pop(s);
        if (item.f != r[item.joint].cost)
            continue;
        if (item.joint == end)
            break;
        for (int way = 0; way < 4; way++) {
            uint32_t next = next_crossing(f, item.joint, way);
            if (next == NO_INDEX)
                continue;
            length z, edge = along_edge(f, crossing(f, item.joint), crossing(f, next), &z);
            if (edge == LARGEST || item.f + edge >= r[next].cost)
                continue;
            r[next] = (struct reached){item.f + edge, z, item.joint};
            search_push(s, r[next].cost, next);
        }
    }
    s->heap.n = 0;
    if (r[end].cost < LARGEST)
        keep_bends(f, r, end);
    return r[end].cost;
}

length round_across(struct search *s, const struct space *space, struct point a, struct point b,
                    length limit)
{
    length plain = search_across(s->q, space, a, b);
    struct field f = {.s = s, .space = space};
    s->bends.n = 0;
    if (!s->f->bulks || s->q->through || plain >= limit || plain_is_free(s, space, a, b) ||
        !gather(&f, a, b))
        return plain;
    lay_grid(&f, a, b);
    return find_round(&f, a, b);
}
