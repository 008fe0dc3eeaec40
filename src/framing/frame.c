/* Lines of wall from the rooms' walls: parallel walls near each other are found by a sweep over
 * their distance and place. */
#include "framing/frame.h"

#include "facts/closed.h"
#include "facts/rooms.h"
#include "framing/bulks.h"

#include "resolve/value.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { LINE_END = NO_INDEX };

/* --- small things ------------------------------------------------------------------------- */

static length floor_div(length a, length b)
{
    length q = a / b;
    return q * b > a ? q - 1 : q;
}

uint32_t frame_multiples_between(length a, length b, length spacing, int64_t *first)
{
    length lo = a < b ? a : b, hi = a < b ? b : a;
    if (spacing <= 0 || lo == hi)
        return 0;
    int64_t lowest = floor_div(lo, spacing) + 1, highest = -floor_div(-hi, spacing) - 1;
    if (first)
        *first = lowest;
    return highest >= lowest && highest - lowest < MOST_MEMBERS ? (uint32_t)(highest - lowest + 1)
                                                                : 0;
}

uint32_t frame_world_of(const struct room *room)
{
    return room->unit && !room->unit->built ? room->unit->id + 1 : 0;
}

length frame_wall_thickness(const struct room *room, uint32_t wall)
{
    const struct wall *w = &room->walls[wall];
    /* along concrete walls of wood part the rooms */
    length depth = wall_is_bare(w) ? room->wall_framing.lumber.depth : w->framing.lumber.depth;
    return depth + 2 * room->finish;
}

length frame_thickest_wall(const struct room *room)
{
    length most = 0;
    for (uint32_t i = 0; i < room->wall_count; i++) {
        length thick = frame_wall_thickness(room, i);
        most = thick > most ? thick : most;
    }
    return most;
}

const struct face *frame_face_behind(const struct skeleton *f, const struct face *face)
{
    const struct wall *w = frame_wall_of(face);
    if (!w->concrete || !w->behind)
        return NULL;
    const struct face *behind = frame_face_of(f, w->behind, w->behind_wall);
    return behind->line == NO_INDEX ? NULL : behind;
}

const struct face *frame_face_of(const struct skeleton *f, const struct room *room, uint32_t wall)
{
    return &f->faces[f->first_face[room->id] + wall];
}

length frame_line_place(const struct line *l, struct point p)
{
    if (l->uy == 0)
        return p.x;
    if (l->ux == 0)
        return p.y;
    return (length)llround(l->ux * (double)p.x + l->uy * (double)p.y);
}

static length line_off(double ux, double uy, struct point p)
{
    if (uy == 0)
        return p.y;
    if (ux == 0)
        return -p.x;
    return (length)llround(ux * (double)p.y - uy * (double)p.x);
}

struct point frame_line_point(const struct line *l, length at)
{
    if (l->uy == 0)
        return (struct point){at, l->off};
    if (l->ux == 0)
        return (struct point){-l->off, at};
    double t = (double)at, o = (double)l->off;
    return (struct point){(length)llround(l->ux * t - l->uy * o),
                          (length)llround(l->uy * t + l->ux * o)};
}

length frame_from_left_of(const struct face *face, length at)
{
    return face->forward ? at - face->lo : face->hi - at;
}

/* --- faces to lines ----------------------------------------------------------------------- */

/* A wall while lines are made: its direction with the sign taken off, in exact lengths. */
struct side {
    struct face *face;
    length dx, dy;
    uint32_t storey, rank;
    uint32_t world; /* 0: what is built; each pattern that is only checked lies apart */
    int row; /* which of the rows of a wall: 0 of wood; on the two sides of concrete others */
    length thickness;
    uint32_t root; /* of those that are joined, the first; an index */
};

static int by_direction(const struct side *a, const struct side *b)
{
    if (a->storey != b->storey)
        return a->storey < b->storey ? -1 : 1;
    if (a->world != b->world)
        return a->world < b->world ? -1 : 1;
    if (a->row != b->row)
        return a->row < b->row ? -1 : 1;
    __int128 turn = (__int128)a->dx * b->dy - (__int128)a->dy * b->dx;
    return turn > 0 ? -1 : turn < 0 ? 1 : 0;
}

static int by_place(const void *va, const void *vb)
{
    const struct side *a = va, *b = vb;
    int way = by_direction(a, b);
    if (way)
        return way;
    if (a->face->off != b->face->off)
        return a->face->off < b->face->off ? -1 : 1;
    if (a->face->lo != b->face->lo)
        return a->face->lo < b->face->lo ? -1 : 1;
    return a->rank < b->rank ? -1 : 1;
}

static int by_start(const void *va, const void *vb)
{
    const struct side *a = va, *b = vb;
    if (a->face->lo != b->face->lo)
        return a->face->lo < b->face->lo ? -1 : 1;
    return a->rank < b->rank ? -1 : 1;
}

static uint32_t root_of(struct side *sides, uint32_t i)
{
    while (sides[i].root != i) {
        sides[i].root = sides[sides[i].root].root;
        i = sides[i].root;
    }
    return i;
}

static bool near(const struct side *a, const struct side *b)
{
    length reach = a->thickness > b->thickness ? a->thickness : b->thickness;
    return length_abs(a->face->off - b->face->off) <= reach && b->face->lo <= a->face->hi + reach &&
           a->face->lo <= b->face->hi + reach;
}

/* Whether what comes later and is near `a` is near `b` too, as where rooms lie in one place. */
static bool covered(const struct side *a, const struct side *b)
{
    return a->face->off == b->face->off && a->face->hi <= b->face->hi &&
           a->thickness <= b->thickness;
}

/* Joins walls of one band: sorted by where they begin, each is compared with those that reach so
 * far. */
static void join_band(struct side *sides, uint32_t from, uint32_t to, uint32_t *open)
{
    qsort(sides + from, to - from, sizeof *sides, by_start);
    for (uint32_t i = from; i < to; i++)
        sides[i].root = i;
    uint32_t count = 0;
    for (uint32_t i = from; i < to; i++) {
        uint32_t kept = 0;
        bool hidden = false;
        for (uint32_t k = 0; k < count; k++) {
            struct side *other = &sides[open[k]];
            length reach =
                other->thickness > sides[i].thickness ? other->thickness : sides[i].thickness;
            if (other->face->hi + reach < sides[i].face->lo)
                continue;
            if (near(other, &sides[i])) {
                sides[root_of(sides, i)].root = root_of(sides, open[k]);
                hidden |= covered(&sides[i], other);
                if (!hidden && covered(other, &sides[i]))
                    continue;
            }
            open[kept++] = open[k];
        }
        count = kept;
        if (!hidden)
            open[count++] = i;
    }
}

/* Walls of one direction that follow each other within a thickness are a band; only within bands
 * can they be one wall. */
static void join_sides(struct side *sides, uint32_t n, uint32_t *open)
{
    qsort(sides, n, sizeof *sides, by_place);
    length widest = 0;
    for (uint32_t i = 0; i < n; i++)
        widest = sides[i].thickness > widest ? sides[i].thickness : widest;
    uint32_t from = 0;
    for (uint32_t i = 1; i <= n; i++)
        if (i == n || by_direction(&sides[i - 1], &sides[i]) ||
            sides[i].face->off - sides[i - 1].face->off > widest) {
            join_band(sides, from, i, open);
            from = i;
        }
}

/* Studs before concrete stand on one of its sides, and so does what is on its bare face. */
static int row_of(const struct face *face)
{
    const struct wall *w = frame_wall_of(face);
    return w->concrete ? 1 + 2 * w->furred + face->forward : 0;
}

static struct side side_of(struct skeleton *f, struct face *face, uint32_t rank)
{
    const struct wall *w = &face->room->walls[face->wall];
    length dx = w->right.x - w->left.x, dy = w->right.y - w->left.y;
    face->forward = dx > 0 || (dx == 0 && dy > 0);
    if (!face->forward) {
        dx = -dx;
        dy = -dy;
    }
    f->slanted |= dx && dy;
    double size = hypot((double)dx, (double)dy);
    struct line l = {.ux = size > 0 ? (double)dx / size : 1,
                     .uy = size > 0 ? (double)dy / size : 0};
    length a = frame_line_place(&l, w->left), b = frame_line_place(&l, w->right);
    face->lo = a < b ? a : b;
    face->hi = a < b ? b : a;
    face->off = line_off(l.ux, l.uy, w->left);
    return (struct side){.face = face,
                         .dx = dx,
                         .dy = dy,
                         .storey = f->storey_of[face->room->level->id],
                         .rank = rank,
                         .world = frame_world_of(face->room),
                         .row = row_of(face),
                         .thickness = frame_wall_thickness(face->room, face->wall)};
}

static int by_room(const void *va, const void *vb)
{
    const struct face *a = *(const struct face *const *)va, *b = *(const struct face *const *)vb;
    if (a->line != b->line)
        return a->line < b->line ? -1 : 1;
    if (a->room->id != b->room->id)
        return a->room->id < b->room->id ? -1 : 1;
    return a->wall < b->wall ? -1 : a->wall > b->wall;
}

static int by_beginning(const void *va, const void *vb)
{
    const struct face *a = *(const struct face *const *)va, *b = *(const struct face *const *)vb;
    if (a->line == b->line && a->lo != b->lo)
        return a->lo < b->lo ? -1 : 1;
    return by_room(va, vb);
}

/* Half between the faces of the rooms on both sides, or in the depth of its studs behind the one.
 */
static length middle_of_studs(const struct skeleton *f, const struct line *l)
{
    const struct face *forward = NULL, *backward = NULL;
    for (uint32_t i = l->face_count; i-- > 0;) {
        const struct face *face = f->sorted[l->first_face + i];
        *(face->forward ? &forward : &backward) = face;
    }
    if (forward && backward)
        return forward->off + (backward->off - forward->off) / 2;
    const struct face *only = forward ? forward : backward;
    length in = only->room->finish + frame_wall_of(only)->framing.lumber.depth / 2;
    return l->bare ? only->off : forward ? only->off + in : only->off - in;
}

/* Numbers the lines and gives each face its own. */
static void number_lines(struct arena *arena, struct skeleton *f, struct side *sides, uint32_t n)
{
    f->lines = arena_array(arena, struct line, n + 1);
    uint32_t *line_of = arena_array(arena, uint32_t, n + 1);
    for (uint32_t i = 0; i < n; i++) {
        uint32_t root = root_of(sides, i);
        if (!line_of[root]) {
            line_of[root] = ++f->line_count;
            struct line *l = &f->lines[f->line_count - 1];
            double size = hypot((double)sides[i].dx, (double)sides[i].dy);
            *l = (struct line){.storey = sides[i].storey,
                               .bare = wall_is_bare(frame_wall_of(sides[i].face)),
                               .ux = (double)sides[i].dx / size,
                               .uy = (double)sides[i].dy / size,
                               .lo = sides[i].face->lo,
                               .hi = sides[i].face->hi};
        }
        struct line *l = &f->lines[line_of[root] - 1];
        sides[i].face->line = line_of[root] - 1;
        l->face_count++;
        l->lo = sides[i].face->lo < l->lo ? sides[i].face->lo : l->lo;
        l->hi = sides[i].face->hi > l->hi ? sides[i].face->hi : l->hi;
        f->sorted[i] = sides[i].face;
    }
    qsort(f->sorted, n, sizeof *f->sorted, by_room);
    memcpy(f->placed, f->sorted, n * sizeof *f->placed);
    qsort(f->placed, n, sizeof *f->placed, by_beginning);
    for (uint32_t i = 0; i < n; i++) {
        bool begins = !i || f->placed[i - 1]->line != f->placed[i]->line;
        f->reach[i] =
            begins || f->placed[i]->hi > f->reach[i - 1] ? f->placed[i]->hi : f->reach[i - 1];
    }
    for (uint32_t i = 0, at = 0; i < f->line_count; at += f->lines[i++].face_count) {
        f->lines[i].first_face = at;
        f->lines[i].off = f->sorted[at]->off;
        f->lines[i].middle = middle_of_studs(f, &f->lines[i]);
        *vec_push(arena, &f->storeys[f->lines[i].storey].lines) = i;
    }
}

static void find_lines(struct arena *arena, struct skeleton *f)
{
    struct model *m = f->m;
    uint32_t total = 0, n = 0;
    f->first_face = arena_array(arena, uint32_t, m->rooms.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        f->first_face[i] = total;
        total += m->rooms.at[i]->wall_count;
    }
    f->faces = arena_array(arena, struct face, total + 1);
    f->sorted = arena_array(arena, const struct face *, total + 1);
    f->placed = arena_array(arena, const struct face *, total + 1);
    f->reach = arena_array(arena, length, total + 1);
    struct side *sides = arena_array(arena, struct side, total + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        for (uint32_t w = 0; w < room->wall_count; w++) {
            struct face *face = &f->faces[f->first_face[i] + w];
            *face = (struct face){.room = room, .wall = w, .line = NO_INDEX};
            if (room->walls[w].length > 0) {
                sides[n] = side_of(f, face, n);
                n++;
            }
        }
    }
    join_sides(sides, n, arena_array(arena, uint32_t, n + 1));
    number_lines(arena, f, sides, n);
}

/* --- storeys ------------------------------------------------------------------------------ */

static int by_floor(const void *va, const void *vb)
{
    const struct level *a = *(const struct level *const *)va, *b = *(const struct level *const *)vb;
    if (a->floor != b->floor)
        return a->floor < b->floor ? -1 : 1;
    return a->id < b->id ? -1 : a->id > b->id;
}

static void find_storeys(struct arena *arena, struct skeleton *f)
{
    struct model *m = f->m;
    const struct level **order = arena_array(arena, const struct level *, m->levels.n + 1);
    for (uint32_t i = 0; i < m->levels.n; i++)
        order[i] = m->levels.at[i];
    qsort(order, m->levels.n, sizeof *order, by_floor);
    f->storeys = arena_array(arena, struct storey, m->levels.n + 1);
    f->storey_of = arena_array(arena, uint32_t, m->levels.n + 1);
    for (uint32_t i = 0; i < m->levels.n; i++) {
        if (!i || order[i]->floor != order[i - 1]->floor)
            f->storeys[f->storey_count++].floor = order[i]->floor;
        f->storey_of[order[i]->id] = f->storey_count - 1;
        *vec_push(arena, &f->storeys[f->storey_count - 1].levels) = order[i];
    }
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        struct storey *s = &f->storeys[f->storey_of[room->level->id]];
        if (!room->wall_count)
            continue;
        s->corner.x = !s->known || room->low.x < s->corner.x ? room->low.x : s->corner.x;
        s->corner.y = !s->known || room->low.y < s->corner.y ? room->low.y : s->corner.y;
        s->known = true;
    }
}

/* --- the faces of a place ----------------------------------------------------------------- */

/* Walks the faces of a line that have the wall at a place, beginning with `i` LINE_END: the index
 * of the next, or LINE_END. */
static uint32_t next_face_at(const struct skeleton *f, const struct line *l, length at, uint32_t i)
{
    if (i == LINE_END) {
        uint32_t lo = 0, hi = l->face_count;
        while (lo < hi) {
            uint32_t mid = (lo + hi) / 2;
            if (f->placed[l->first_face + mid]->lo <= at)
                lo = mid + 1;
            else
                hi = mid;
        }
        i = l->first_face + lo;
    }
    while (i-- > l->first_face && f->reach[i] >= at)
        if (f->placed[i]->hi >= at)
            return i;
    return LINE_END;
}

const struct face *frame_governing_face(const struct skeleton *f, const struct line *l, length at)
{
    const struct face *first = NULL;
    for (uint32_t i = LINE_END; (i = next_face_at(f, l, at, i)) != LINE_END;) {
        const struct face *face = f->placed[i];
        if (!first || face->room->id < first->room->id ||
            (face->room == first->room && face->wall < first->wall))
            first = face;
    }
    return first;
}

const struct face *frame_face_at(const struct skeleton *f, const struct line *l, length at)
{
    const struct face *face = frame_governing_face(f, l, at);
    return face ? face : f->sorted[l->first_face];
}

/* --- what a place of a line is -------------------------------------------------------------- */

bool frame_on_slab(const struct skeleton *f, const struct line *l, length at)
{
    return frame_face_at(f, l, at)->room->level->slab;
}

bool frame_insulated_at(const struct skeleton *f, const struct line *l, length at)
{
    for (uint32_t i = LINE_END; (i = next_face_at(f, l, at, i)) != LINE_END;)
        if (f->placed[i]->room->walls[f->placed[i]->wall].insulated)
            return true;
    return false;
}

uint32_t frame_closed_from(const struct skeleton *f, const struct line *l, length at)
{
    uint32_t first = UINT32_MAX, last = 0;
    for (uint32_t i = LINE_END; f->any_closed && (i = next_face_at(f, l, at, i)) != LINE_END;) {
        const struct face *face = f->placed[i];
        uint32_t from = facts_wall_closed_from(frame_wall_of(face));
        first = from < first ? from : first;
        if (!face->room->existing) /* up to that day it is reached from this side */
            last = from > last ? from : last;
    }
    return first > last ? first : last;
}

/* Over a room or its walls. */
static bool is_over(const struct room *r, struct place3 at)
{
    length wall = frame_thickest_wall(r);
    return r->low.x - wall <= at.x && at.x <= r->high.x + wall && r->low.y - wall <= at.y &&
           at.y <= r->high.y + wall;
}

/* How high the space over a room's ceiling goes: to the next floor, else as high as its joists. */
static length top_of_joists(const struct skeleton *f, const struct room *r)
{
    uint32_t above = f->storey_of[r->level->id] + 1;
    length over = r->level->floor + r->ceiling + r->joists.lumber.depth;
    return above < f->storey_count && f->storeys[above].floor > over ? f->storeys[above].floor
                                                                     : over;
}

/* Whether somebody gets at joists over a closed ceiling: from a room above that stays open, or over
 * the wall of a room beside it whose ceiling is open. */
static bool is_reached(const struct skeleton *f, const struct room *closed, struct place3 at,
                       uint32_t by)
{
    for (uint32_t i = 0; i < f->m->rooms.n; i++) {
        const struct room *r = f->m->rooms.at[i];
        if (!r->level || frame_world_of(r) != frame_world_of(closed) || !is_over(r, at))
            continue;
        if (r->level->floor > closed->level->floor
                ? facts_stays_open(r)
                : r->level->floor == closed->level->floor && facts_ceiling_closed_from(r) >= by &&
                      !r->existing)
            return true;
    }
    return false;
}

const struct room *frame_closed_over(const struct skeleton *f, const struct room *world,
                                     struct place3 at, uint32_t by)
{
    for (uint32_t i = 0; f->any_closed && i < f->m->rooms.n; i++) {
        const struct room *r = f->m->rooms.at[i];
        if (facts_ceiling_closed_from(r) < by && r->level &&
            frame_world_of(r) == frame_world_of(world) && is_over(r, at) &&
            r->level->floor + r->ceiling <= at.z && at.z <= top_of_joists(f, r))
            return is_reached(f, r, at, by) ? NULL : r;
    }
    return NULL;
}

static bool has_closed(const struct model *m)
{
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        bool closed = facts_ceiling_closed_from(m->rooms.at[i]) != UINT32_MAX;
        for (uint32_t w = 0; w < m->rooms.at[i]->wall_count; w++)
            closed |= facts_wall_closed_from(&m->rooms.at[i]->walls[w]) != UINT32_MAX;
        if (closed)
            return true;
    }
    return false;
}

bool frame_bears(const struct skeleton *f, const struct line *l, length at)
{
    uint32_t left = 0, right = 0;
    for (uint32_t i = LINE_END; (i = next_face_at(f, l, at, i)) != LINE_END;) {
        const struct wall *w = &f->placed[i]->room->walls[f->placed[i]->wall];
        if (w->concrete)
            return false; /* it is the concrete that carries */
        if (w->bearing || w->outside)
            return true;
        if (f->placed[i]->forward)
            left++;
        else
            right++;
    }
    return !left || !right;
}

static struct frame_figures look_up(struct model *m)
{
    struct code *c = &m->code;
    return (struct frame_figures){
        .window_sill = code_length(c, SET_PLAN_DEFAULTS_WINDOW_SILL, 0),
        .head = code_length(c, SET_PLAN_DEFAULTS_DOOR_HEIGHT, 0),
        .top_plates = (length)code_count(c, SET_PLAN_DEFAULTS_TOP_PLATES, 0),
        .under_sill = code_length(c, SET_OPENING_FRAMES_UNDER_SILL, 0),
        .least_bay = code_length(c, SET_OPENING_FRAMES_LEAST_BAY, 0),
        .clear = code_length(c, SET_ROUTING_CLEAR, 0),
    };
}

static void find_bounds(struct skeleton *f)
{
    for (uint32_t i = 0; i < f->m->rooms.n; i++) {
        const struct room *r = f->m->rooms.at[i];
        f->low.x = i && f->low.x < r->low.x ? f->low.x : r->low.x;
        f->low.y = i && f->low.y < r->low.y ? f->low.y : r->low.y;
        f->high.x = i && f->high.x > r->high.x ? f->high.x : r->high.x;
        f->high.y = i && f->high.y > r->high.y ? f->high.y : r->high.y;
    }
}

struct skeleton *frame_build(struct arena *arena, struct model *m)
{
    struct skeleton *f = arena_new(arena, struct skeleton);
    f->m = m;
    f->figures = look_up(m);
    f->any_closed = has_closed(m);
    f->bulks = bulks_find(arena, m);
    find_storeys(arena, f);
    find_lines(arena, f);
    frame_find_obstacles(arena, f);
    frame_find_openings(arena, f);
    frame_find_uprights(arena, f);
    frame_find_joints(arena, f);
    find_bounds(f);
    return f;
}
