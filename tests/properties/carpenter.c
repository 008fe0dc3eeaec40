/* IRC R602.3, R602.7.5 and Table R602.7(1), recalled; heights of openings, plates and how far walls
 * lie apart: common trade practice. */
#include "carpenter.h"

#include "base/length.h"

#include <math.h>
#include <stdlib.h>

static const double near = 1e-4;

static double plates(double thick)
{
    return 2 * thick; /* on top of a wall */
}

double carpenter_place(const struct timber_side *s, double x, double y)
{
    return s->ux * x + s->uy * y;
}

double carpenter_off(const struct timber_side *s, double x, double y)
{
    return s->ux * y - s->uy * x - s->off;
}

const struct timber_side *carpenter_side(const struct carpenter *c, const struct room *room,
                                         uint32_t wall)
{
    for (uint32_t i = 0; i < c->sides.n; i++)
        if (c->sides.at[i].room == room && c->sides.at[i].wall == wall)
            return &c->sides.at[i];
    return NULL;
}

static bool is_pattern(const struct room *room)
{
    return room->unit && !room->unit->built;
}

double carpenter_corner(const struct carpenter *c, double floor, bool north)
{
    double corner = INFINITY;
    for (uint32_t i = 0; i < c->sides.n; i++)
        if (c->sides.at[i].floor == floor)
            corner = fmin(corner, length_inches(north ? c->sides.at[i].room->low.x
                                                      : c->sides.at[i].room->low.y));
    return corner;
}

/* --- walls -------------------------------------------------------------------------------- */

static void add_sides(struct arena *arena, struct carpenter *c, const struct room *room)
{
    for (uint32_t w = 0; w < room->wall_count; w++) {
        const struct wall *wall = &room->walls[w];
        double ax = length_inches(wall->left.x), ay = length_inches(wall->left.y),
               bx = length_inches(wall->right.x), by = length_inches(wall->right.y),
               size = hypot(bx - ax, by - ay);
        if (size < near)
            continue;
        struct timber_side s = {.room = room,
                                .wall = w,
                                .floor = length_inches(room->level->floor),
                                .ux = (bx - ax) / size,
                                .uy = (by - ay) / size,
                                .concrete = wall->concrete,
                                .furred = wall->furred,
                                .group = c->sides.n};
        /* along concrete it is the walls between rooms that part them */
        const struct lumber *studs =
            wall->concrete && !wall->furred ? &room->wall_framing.lumber : &wall->framing.lumber;
        s.thick = length_inches(studs->depth) + 2 * length_inches(room->finish);
        s.forward = bx - ax > near || (fabs(bx - ax) <= near && by > ay);
        if (!s.forward) {
            s.ux = -s.ux;
            s.uy = -s.uy;
        }
        s.lo = fmin(carpenter_place(&s, ax, ay), carpenter_place(&s, bx, by));
        s.hi = s.lo + size;
        s.off = carpenter_off(&s, ax, ay);
        *vec_push(arena, &c->sides) = s;
    }
}

static bool lie_together(const struct timber_side *a, const struct timber_side *b)
{
    double reach = fmax(a->thick, b->thick) + near;
    /* concrete stands between what is on its two sides, and studs before it stop where they end */
    if (a->concrete != b->concrete || a->furred != b->furred ||
        (a->concrete && a->forward != b->forward))
        return false;
    return a->floor == b->floor && fabs(a->ux * b->uy - a->uy * b->ux) < 1e-9 &&
           fabs(a->off - b->off) <= reach && b->lo <= a->hi + reach && a->lo <= b->hi + reach;
}

static void group_sides(struct carpenter *c)
{
    for (bool changed = true; changed;) {
        changed = false;
        for (uint32_t i = 0; i < c->sides.n; i++)
            for (uint32_t k = 0; k < c->sides.n; k++) {
                struct timber_side *a = &c->sides.at[i], *b = &c->sides.at[k];
                if (b->group > a->group && lie_together(a, b)) {
                    b->group = a->group;
                    changed = true;
                }
            }
    }
}

/* Whether a wall carries: it says so, or has a room on one side alone. */
static bool carries(const struct carpenter *c, uint32_t group, double at)
{
    bool faces[2] = {false, false};
    for (uint32_t i = 0; i < c->sides.n; i++) {
        const struct timber_side *s = &c->sides.at[i];
        if (s->group != group || at < s->lo - near || at > s->hi + near)
            continue;
        if (s->concrete)
            return false; /* studs before it carry nothing */
        if (s->room->walls[s->wall].bearing || s->room->walls[s->wall].outside)
            return true;
        faces[s->forward] = true;
    }
    return !faces[0] || !faces[1];
}

/* --- openings ----------------------------------------------------------------------------- */

static struct timber_opening opening_of(const struct timber_side *s, const struct fixture *x)
{
    double from = length_inches(x->from_left), wide = length_inches(x->wide),
           ceiling = length_inches(s->room->ceiling);
    struct timber_opening o = {.group = s->group,
                               .railing = x->form == F_RAILING,
                               .header = x->header >= 0 ? length_inches(x->header) : -1};
    o.lo = s->forward ? s->lo + from : s->hi - from - wide;
    o.hi = o.lo + wide;
    o.sill = x->sill >= 0 ? length_inches(x->sill) : x->sort == FIXTURE_WINDOW ? 36 : 0;
    o.head = 80 > o.sill && 80 < ceiling ? 80 : ceiling;
    if (o.railing) {
        o.sill = 0;
        o.head = ceiling;
    }
    o.sill = fmin(o.sill, o.head);
    return o;
}

static int by_lo(const void *va, const void *vb)
{
    const struct timber_opening *a = va, *b = vb;
    if (a->group != b->group)
        return a->group < b->group ? -1 : 1;
    return a->lo < b->lo ? -1 : a->lo > b->lo;
}

/* Of a bearing wall, by the width of the opening; else one flat piece. */
static void set_header(const struct carpenter *c, struct timber_opening *o)
{
    static const struct {
        double up_to, deep, jacks;
    } headers[] = {{33, 3.5, 1}, {48, 5.5, 1}, {61, 7.25, 2}, {74, 9.25, 2}, {1e9, 11.25, 2}};
    const struct timber_side *s = &c->sides.at[o->group];
    double ceiling = length_inches(s->room->ceiling), deep = 1.5;
    o->jacks = o->railing ? 0 : 1;
    o->top = ceiling;
    if (o->railing)
        return;
    for (unsigned i = 0; carries(c, o->group, (o->lo + o->hi) / 2); i++) {
        deep = headers[i].deep;
        o->jacks = headers[i].jacks;
        if (o->hi - o->lo <= headers[i].up_to + near)
            break;
    }
    if (o->header >= 0) /* as the plan says */
        deep = o->header;
    o->top = fmin(o->head + deep, fmax(o->head, ceiling - plates(1.5)));
}

/* The side behind concrete: of the room that the model knows there. */
static const struct timber_side *behind(const struct carpenter *c, const struct timber_side *s)
{
    const struct wall *w = &s->room->walls[s->wall];
    return s->concrete && w->behind ? carpenter_side(c, w->behind, w->behind_wall) : NULL;
}

static void cut_openings(struct arena *arena, struct carpenter *c)
{
    for (uint32_t i = 0; i < c->sides.n; i++) {
        const struct timber_side *s = &c->sides.at[i];
        for (uint32_t k = 0; k < s->room->fixtures.n; k++) {
            const struct fixture *x = &s->room->fixtures.at[k];
            bool opens = x->sort != FIXTURE_OTHER || x->form == F_RAILING;
            if (x->wall != s->wall || x->wide <= 0 || !opens)
                continue;
            *vec_push(arena, &c->openings) = opening_of(s, x);
            const struct timber_side *other = behind(c, s);
            if (!other || other->group == s->group || x->sort == FIXTURE_OTHER)
                continue;
            struct timber_opening there = opening_of(s, x);
            there.group = other->group;
            *vec_push(arena, &c->openings) = there;
        }
    }
    if (c->openings.n)
        qsort(c->openings.at, c->openings.n, sizeof *c->openings.at, by_lo);
    uint32_t n = 0; /* between two that touch no stud has room: they are framed as one */
    for (uint32_t i = 0; i < c->openings.n; i++) {
        struct timber_opening *o = &c->openings.at[i], *last = n ? &c->openings.at[n - 1] : NULL;
        if (!last || last->group != o->group || o->lo > last->hi + near) {
            c->openings.at[n++] = *o;
            continue;
        }
        last->hi = fmax(last->hi, o->hi);
        last->sill = fmin(last->sill, o->sill);
        last->head = fmax(last->head, o->head);
        last->header = fmax(last->header, o->header);
    }
    c->openings.n = n;
    for (uint32_t i = 0; i < n; i++)
        set_header(c, &c->openings.at[i]);
}

/* --- studs -------------------------------------------------------------------------------- */

enum { JACK, KING, END, CRIPPLE, COMMON };

static const struct timber_opening *opening_at(const struct carpenter *c, uint32_t group, double at)
{
    for (uint32_t i = 0; i < c->openings.n; i++) {
        const struct timber_opening *o = &c->openings.at[i];
        if (o->group == group && o->lo + near < at && at < o->hi - near)
            return o;
    }
    return NULL;
}

static double half_of(const struct timber_side *s)
{
    return length_inches(s->room->walls[s->wall].framing.lumber.thickness) / 2;
}

/* From plate to plate, or what an opening leaves of it; in front of an opening only those of the
 * common ones go on as cripples. */
static void set_stud(struct arena *arena, struct carpenter *c, const struct timber_side *s,
                     uint32_t rank, double at)
{
    const struct timber_opening *o = opening_at(c, s->group, at);
    double half = half_of(s), foot = 2 * half,
           high = length_inches(s->room->ceiling) - plates(foot);
    if (o && rank < COMMON)
        return;
    if (!o) {
        *vec_push(arena, &c->wood) = (struct timber){s->group, rank, at, half, foot, high};
        return;
    }
    if (o->top < high)
        *vec_push(arena, &c->wood) = (struct timber){s->group, CRIPPLE, at, half, o->top, high};
    if (foot < o->sill - foot)
        *vec_push(arena, &c->wood) =
            (struct timber){s->group, CRIPPLE, at, half, foot, o->sill - foot};
}

static bool has_studs(const struct timber_side *s)
{
    return s->room->walls[s->wall].framing.spacing > 0 &&
           s->hi - s->lo > 0; /* 20000 of them are not reckoned with: no plan of ours is so long */
}

static bool goes_on(const struct carpenter *c, const struct timber_side *s, bool at_hi)
{
    uint32_t count = s->room->wall_count,
             next = (s->wall + (at_hi == s->forward ? 1 : count - 1)) % count;
    const struct timber_side *other = carpenter_side(c, s->room, next);
    return other && other->group == s->group;
}

/* Whether a room that is named before it lays the studs out there. */
static bool is_laid_out(const struct carpenter *c, const struct timber_side *s, double at)
{
    for (const struct timber_side *o = c->sides.at; o < s; o++)
        if (o->group == s->group && o->lo - near <= at && at <= o->hi + near)
            return true;
    return false;
}

static void set_studs_of_side(struct arena *arena, struct carpenter *c, const struct timber_side *s)
{
    double half = half_of(s), spacing = length_inches(s->room->walls[s->wall].framing.spacing);
    bool from_lo = s->forward != s->room->walls[s->wall].mirrored;
    if (!has_studs(s))
        return;
    if (s->hi - s->lo > 2 * half && !goes_on(c, s, false))
        set_stud(arena, c, s, END, s->lo + half);
    if (s->hi - s->lo > 2 * half && !goes_on(c, s, true))
        set_stud(arena, c, s, END, s->hi - half);
    for (double from = spacing; from < s->hi - s->lo - near; from += spacing) {
        double at = from_lo ? s->lo + from : s->hi - from;
        if (!is_laid_out(c, s, at))
            set_stud(arena, c, s, COMMON, at);
    }
}

/* The room whose studs stand at the edge of an opening: of those with the wall there the first. */
static const struct timber_side *side_at(const struct carpenter *c, uint32_t group, double at)
{
    for (uint32_t i = 0; i < c->sides.n; i++) {
        const struct timber_side *s = &c->sides.at[i];
        if (s->group == group && s->lo - near <= at && at <= s->hi + near)
            return s;
    }
    return &c->sides.at[group];
}

static void set_frame(struct arena *arena, struct carpenter *c, const struct timber_opening *o)
{
    for (int right = 0; right < 2; right++) {
        double edge = right ? o->hi : o->lo, step = right ? 1 : -1;
        const struct timber_side *s = side_at(c, o->group, edge);
        if (!has_studs(s))
            continue;
        for (double i = 0; i <= o->jacks; i++) {
            set_stud(arena, c, s, i < o->jacks ? JACK : KING,
                     edge + step * half_of(s) * (2 * i + 1));
            struct timber *last = c->wood.n ? &c->wood.at[c->wood.n - 1] : NULL;
            if (last && last->rank == JACK)
                last->high = fmin(last->high, o->head);
        }
    }
}

static int by_rank(const void *va, const void *vb)
{
    const struct timber *a = va, *b = vb;
    if (a->rank != b->rank)
        return a->rank < b->rank ? -1 : 1;
    return a->at < b->at ? -1 : a->at > b->at;
}

static void thin_out(struct carpenter *c, const double *lo, const double *hi)
{
    uint32_t kept = 0;
    if (c->wood.n)
        qsort(c->wood.at, c->wood.n, sizeof *c->wood.at, by_rank);
    for (uint32_t i = 0; i < c->wood.n; i++) {
        struct timber u = c->wood.at[i];
        bool stands = lo[u.group] + near < u.at && u.at < hi[u.group] - near;
        for (uint32_t k = 0; k < kept && stands; k++) {
            const struct timber *o = &c->wood.at[k];
            bool apart = u.rank == CRIPPLE && o->rank == CRIPPLE && fabs(o->at - u.at) < near;
            stands = o->group != u.group || apart || fabs(o->at - u.at) >= 2 * u.half - near;
        }
        if (stands)
            c->wood.at[kept++] = u;
    }
    c->wood.n = kept;
}

void carpenter_frame(struct arena *arena, const struct model *m, struct carpenter *out)
{
    *out = (struct carpenter){.m = m};
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (!is_pattern(m->rooms.at[i]) && m->rooms.at[i]->level)
            add_sides(arena, out, m->rooms.at[i]);
    group_sides(out);
    cut_openings(arena, out);
    for (uint32_t i = 0; i < out->openings.n; i++)
        set_frame(arena, out, &out->openings.at[i]);
    for (uint32_t i = 0; i < out->sides.n; i++)
        set_studs_of_side(arena, out, &out->sides.at[i]);
    double *lo = calloc(out->sides.n + 1, sizeof *lo), *hi = calloc(out->sides.n + 1, sizeof *hi);
    for (uint32_t i = 0; i < out->sides.n; i++) {
        const struct timber_side *s = &out->sides.at[i];
        lo[s->group] = s->group == i ? s->lo : fmin(lo[s->group], s->lo);
        hi[s->group] = s->group == i ? s->hi : fmax(hi[s->group], s->hi);
    }
    thin_out(out, lo, hi);
    free(lo);
    free(hi);
}
