#include "rules/space.h"

#include "model/site.h"

#include <math.h>
#include <stdlib.h>

/* --- the line ----------------------------------------------------------------------------- */

struct floor_line space_floor_line_of(struct arena *arena, const struct room *r)
{
    struct floor_line line = {.room = r, .start = arena_array(arena, length, r->wall_count + 1)};
    for (uint32_t i = 0; i < r->wall_count; i++)
        line.start[i + 1] = line.start[i] + r->walls[i].length;
    line.whole = line.start[r->wall_count];
    return line;
}

static length kept_between(length at, length low, length high)
{
    return at < low ? low : at > high ? high : at;
}

length space_floor_place(const struct floor_line *line, uint32_t wall, length from_left)
{
    return kept_between(line->start[wall] + from_left, line->start[wall], line->start[wall + 1]);
}

uint32_t space_floor_wall(const struct floor_line *line, length at)
{
    uint32_t low = 0, high = line->room->wall_count;
    at %= line->whole;
    while (high - low > 1) {
        uint32_t middle = low + (high - low) / 2;
        if (line->start[middle] <= at)
            low = middle;
        else
            high = middle;
    }
    return low;
}

length space_floor_from_left(const struct floor_line *line, length at)
{
    return at % line->whole - line->start[space_floor_wall(line, at)];
}

struct stretch space_floor_fixture(const struct floor_line *line, const struct fixture *x)
{
    return (struct stretch){space_floor_place(line, x->wall, x->from_left),
                            space_floor_place(line, x->wall, x->from_left + x->wide)};
}

bool space_floor_square_corner(const struct room *r, uint32_t wall)
{
    const struct wall *a = &r->walls[wall], *b = &r->walls[(wall + 1) % r->wall_count];
    double ax = length_feet(a->right.x - a->left.x), ay = length_feet(a->right.y - a->left.y);
    double bx = length_feet(b->right.x - b->left.x), by = length_feet(b->right.y - b->left.y);
    /* Walked clockwise, an inner corner turns right. */
    return ax * by - ay * bx < 0 && fabs(ax * bx + ay * by) < 1e-6;
}

/* --- stretches ---------------------------------------------------------------------------- */

static int by_start(const void *a, const void *b)
{
    const struct stretch *p = a, *q = b;
    return p->from != q->from ? (p->from > q->from) - (p->from < q->from)
                              : (p->to > q->to) - (p->to < q->to);
}

void space_stretches_merge(stretch_list *list)
{
    if (list->n < 2)
        return;
    qsort(list->at, list->n, sizeof *list->at, by_start);
    uint32_t kept = 0;
    for (uint32_t i = 1; i < list->n; i++) {
        if (list->at[i].from > list->at[kept].to)
            list->at[++kept] = list->at[i];
        else if (list->at[i].to > list->at[kept].to)
            list->at[kept].to = list->at[i].to;
    }
    list->n = kept + 1;
}

static void keep(struct arena *arena, stretch_list *out, length from, length to)
{
    if (to > from)
        *vec_push(arena, out) = (struct stretch){from, to};
}

void space_stretches_without(struct arena *arena, const stretch_list *all,
                             const stretch_list *holes, stretch_list *out)
{
    uint32_t first = 0;
    for (uint32_t i = 0; i < all->n; i++) {
        length at = all->at[i].from;
        while (first < holes->n && holes->at[first].to <= at)
            first++;
        for (uint32_t k = first; k < holes->n && holes->at[k].from < all->at[i].to; k++) {
            keep(arena, out, at, holes->at[k].from);
            at = holes->at[k].to;
        }
        keep(arena, out, at, all->at[i].to);
    }
}

void space_ring_without(struct arena *arena, length whole, const stretch_list *breaks,
                        stretch_list *out)
{
    if (!breaks->n) {
        keep(arena, out, 0, whole);
        return;
    }
    for (uint32_t i = 0; i < breaks->n; i++) {
        bool last = i + 1 == breaks->n;
        keep(arena, out, breaks->at[i].to,
             last ? whole + breaks->at[0].from : breaks->at[i + 1].from);
    }
}

static int by_place(const void *a, const void *b)
{
    const length *p = a, *q = b;
    return (*p > *q) - (*p < *q);
}

void space_points_in(struct arena *arena, length whole, struct stretch in, const point_list *points,
                     point_list *out)
{
    for (uint32_t i = 0; i < points->n; i++) {
        length p = points->at[i];
        if (p < in.from)
            p += whole;
        if (p <= in.to)
            *vec_push(arena, out) = p;
    }
    if (out->n > 1)
        qsort(out->at, out->n, sizeof *out->at, by_place);
}

void space_stretch_gaps(struct arena *arena, struct stretch in, bool closed,
                        const point_list *points, length reach, stretch_list *out)
{
    length covered = in.from, end = in.to;
    if (closed && points->n) {
        /* Begin and end at the first point, so that the ring has no ends. */
        covered = points->at[0] + reach;
        end = points->at[0] + (in.to - in.from) - reach;
    }
    for (uint32_t i = 0; i < points->n; i++) {
        keep(arena, out, covered, points->at[i] - reach < end ? points->at[i] - reach : end);
        if (points->at[i] + reach > covered)
            covered = points->at[i] + reach;
    }
    keep(arena, out, covered, end);
}

uint32_t space_points_wanted(length long_, length reach)
{
    return reach > 0 && long_ > 0 ? (uint32_t)((long_ + 2 * reach - 1) / (2 * reach)) : 0;
}

struct stretch space_first_point_window(struct stretch in, struct stretch gap, length reach)
{
    length n = space_points_wanted(gap.to - gap.from, reach);
    struct stretch window = {gap.to - (2 * n - 1) * reach, gap.from + reach};
    window.from = kept_between(window.from, in.from, in.to);
    window.to = kept_between(window.to, in.from, in.to);
    return window;
}

/* --- distances ---------------------------------------------------------------------------- */

struct vector {
    double x, y;
};

static struct point on_wall(const struct wall *w, length from_left)
{
    double share = w->length ? (double)from_left / (double)w->length : 0;
    return (struct point){w->left.x + (length)llround(share * (double)(w->right.x - w->left.x)),
                          w->left.y + (length)llround(share * (double)(w->right.y - w->left.y))};
}

/* Into the room, square to the wall: to the right of one who walks it clockwise. */
static struct point stepped_in(const struct wall *w, struct point p, length deep)
{
    double dx = (double)(w->right.x - w->left.x), dy = (double)(w->right.y - w->left.y),
           l = hypot(dx, dy);
    if (l <= 0)
        return p;
    return (struct point){p.x + (length)llround(dy / l * (double)deep),
                          p.y - (length)llround(dx / l * (double)deep)};
}

struct rectangle space_fixture_rectangle(const struct room *r, const struct fixture *x, length deep)
{
    const struct wall *w = &r->walls[x->wall];
    struct point a = on_wall(w, x->from_left), b = on_wall(w, x->from_left + x->wide);
    return (struct rectangle){{a, b, stepped_in(w, b, deep), stepped_in(w, a, deep)}};
}

static struct point nearest_on_segment(struct point a, struct point b, struct point p)
{
    struct vector ab = {(double)(b.x - a.x), (double)(b.y - a.y)},
                  ap = {(double)(p.x - a.x), (double)(p.y - a.y)};
    double square = ab.x * ab.x + ab.y * ab.y,
           t = square > 0 ? (ap.x * ab.x + ap.y * ab.y) / square : 0;
    t = t < 0 ? 0 : t > 1 ? 1 : t;
    return (struct point){a.x + (length)llround(t * ab.x), a.y + (length)llround(t * ab.y)};
}

static double distance_between(struct point a, struct point b)
{
    return hypot((double)(a.x - b.x), (double)(a.y - b.y));
}

double space_distance_to_wall(const struct wall *w, struct point p)
{
    return distance_between(p, nearest_on_segment(w->left, w->right, p));
}

static double side_of(struct point a, struct point b, struct point p)
{
    return (double)(b.x - a.x) * (double)(p.y - a.y) - (double)(b.y - a.y) * (double)(p.x - a.x);
}

struct point space_nearest_in_rectangle(const struct rectangle *q, struct point p)
{
    bool left = false, right = false;
    struct point nearest = q->corner[0];
    for (int i = 0; i < 4; i++) {
        struct point a = q->corner[i], b = q->corner[(i + 1) % 4],
                     there = nearest_on_segment(a, b, p);
        double turn = side_of(a, b, p);
        left |= turn > 0;
        right |= turn < 0;
        if (distance_between(p, there) < distance_between(p, nearest))
            nearest = there;
    }
    return left != right ? p : nearest; /* neither: it has no breadth */
}

double space_distance_to_rectangle(const struct rectangle *q, struct point p)
{
    return distance_between(p, space_nearest_in_rectangle(q, p));
}

/* Twice the area, by the corners; feet keep the products within a double. */
double space_room_square_feet(const struct room *r)
{
    double sum = 0;
    for (uint32_t i = 0; i < r->wall_count; i++) {
        const struct wall *w = &r->walls[i];
        sum += length_feet(w->left.x) * length_feet(w->right.y) -
               length_feet(w->right.x) * length_feet(w->left.y);
    }
    return fabs(sum) / 2;
}

length space_corridor_length(const struct room *r)
{
    double half = 0, area = space_room_square_feet(r);
    for (uint32_t i = 0; i < r->wall_count; i++)
        half += length_feet(r->walls[i].length) / 2;
    double under = half * half - 4 * area;
    if (under >= 0)
        return (length)llround((half + sqrt(under)) / 2 * (double)FOOT);
    length wide = r->high.x - r->low.x, high = r->high.y - r->low.y;
    return wide > high ? wide : high;
}
