/* What stands in the way along a line of wall: openings with their frames, and fixed things. */
#include "framing/frame.h"

#include "framing/bulks.h"
#include "model/model.h"
#include "resolve/value.h"

#include <stdlib.h>

void frame_opening_heights(const struct skeleton *f, const struct room *room,
                           const struct fixture *fx, length *sill, length *head)
{
    length ceiling = room->ceiling;
    *sill = fx->sill >= 0 ? fx->sill : fx->sort == FIXTURE_WINDOW ? f->figures.window_sill : 0;
    *head = f->figures.head > *sill && f->figures.head < ceiling ? f->figures.head : ceiling;
    if (*sill > *head)
        *sill = *head;
}

/* How high a cable goes through the studs below a sill: not into the rough sill nor the bottom
 * plate; 0 where there is no room for it. */
static length height_under(const struct skeleton *f, const struct room *room, uint32_t wall,
                           length sill)
{
    length thick = room->walls[wall].framing.lumber.thickness, keep = f->figures.under_sill,
           most = sill - thick - keep, bore = room->level->bore;
    return most < thick + keep ? 0 : most < bore ? most : bore;
}

/* Whether no cable goes through the studs of a stretch. */
static bool in_the_way(const struct skeleton *f, const struct room *room, const struct fixture *fx)
{
    length sill, head;
    switch (fx->form) {
    case F_RAILING:
    case F_WET_WALL:
    case F_TUB:
    case F_SHOWER:
    case F_FIXED:
        return true;
    case F_DOOR:
    case F_OPENING:
    case F_WINDOW:
        frame_opening_heights(f, room, fx, &sill, &head);
        return !height_under(f, room, fx->wall, sill);
    default:
        return false;
    }
}

static int by_lo(const void *va, const void *vb)
{
    const struct obstacle *a = va, *b = vb;
    if (a->lo != b->lo)
        return a->lo < b->lo ? -1 : 1;
    return a->hi < b->hi ? -1 : a->hi > b->hi;
}

/* Where a fixed thing is put: first the counts by line, then the places. */
struct putting {
    struct skeleton *f;
    uint32_t *count; /* by line; NULL once all is counted */
};

/* On the line of a face, `at` being the face that the thing is written on. */
static void put_on(struct putting *p, uint32_t line, const struct face *at,
                   const struct fixture *fx, bool bars)
{
    struct line *l = &p->f->lines[line];
    length a = at->forward ? at->lo + fx->from_left : at->hi - fx->from_left - fx->wide;
    if (p->count)
        p->count[line]++;
    else
        p->f->obstacles[l->first_obstacle + l->obstacle_count++] =
            (struct obstacle){a, a + fx->wide, bars, fx, at->room};
}

/* Beams and ducts inside the studs of a face: they bar the bores where they are as high, and beside
 * the others is where a cable gets up. */
static void put_bulks(struct putting *p, const struct face *face)
{
    struct line *l = &p->f->lines[face->line];
    const struct level *level = face->room->level;
    length bore = level->floor + level->bore, lo, hi, clear = p->f->figures.clear;
    struct bulk_stretch all = {face->lo, face->hi, level->floor,
                               level->floor + face->room->ceiling};
    uint32_t at = 0;
    for (const struct bulk_piece *piece;
         (piece = bulks_in_wall(p->f, l, all, frame_world_of(face->room), &at, &lo, &hi));)
        if (p->count)
            p->count[face->line]++;
        else
            p->f->obstacles[l->first_obstacle + l->obstacle_count++] =
                (struct obstacle){.lo = lo - clear,
                                  .hi = hi + clear,
                                  .bars = piece->low.z < bore && bore < piece->high.z,
                                  .room = face->room};
}

/* What bars the studs, and openings; these go through concrete, to its other side. */
static void put_all(struct putting *p)
{
    const struct skeleton *f = p->f;
    for (uint32_t i = 0; i < f->m->rooms.n; i++) {
        const struct room *room = f->m->rooms.at[i];
        for (uint32_t k = 0; k < room->fixtures.n; k++) {
            const struct fixture *fx = &room->fixtures.at[k];
            const struct face *face = frame_face_of(f, room, fx->wall);
            bool bars = in_the_way(f, room, fx);
            if (face->line == NO_INDEX || (!bars && fx->sort == FIXTURE_OTHER))
                continue;
            put_on(p, face->line, face, fx, bars);
            const struct face *behind = frame_face_behind(f, face);
            if (behind && behind->line != face->line && fx->sort != FIXTURE_OTHER)
                put_on(p, behind->line, face, fx, bars);
        }
        for (uint32_t w = 0; f->bulks && w < room->wall_count; w++) {
            const struct face *face = frame_face_of(f, room, w);
            if (face->line != NO_INDEX && !f->lines[face->line].bare)
                put_bulks(p, face);
        }
    }
}

void frame_find_obstacles(struct arena *arena, struct skeleton *f)
{
    uint32_t *count = arena_array(arena, uint32_t, f->line_count + 1), total = 0;
    put_all(&(struct putting){f, count});
    for (uint32_t i = 0; i < f->line_count; total += count[i++])
        f->lines[i].first_obstacle = total;
    f->obstacles = arena_array(arena, struct obstacle, total + 1);
    put_all(&(struct putting){f, NULL});
    for (uint32_t i = 0; i < f->line_count; i++)
        qsort(&f->obstacles[f->lines[i].first_obstacle], f->lines[i].obstacle_count,
              sizeof *f->obstacles, by_lo);
}

bool frame_line_open(const struct skeleton *f, uint32_t line, length a, length b,
                     const struct obstacle **what)
{
    const struct line *l = &f->lines[line];
    length lo = a < b ? a : b, hi = a < b ? b : a;
    for (uint32_t i = 0; i < l->obstacle_count; i++) {
        const struct obstacle *o = &f->obstacles[l->first_obstacle + i];
        if (o->lo >= hi)
            break;
        if (o->bars && o->hi > lo && o->hi > o->lo) {
            if (what)
                *what = o;
            return false;
        }
    }
    return true;
}

/* --- rough openings ----------------------------------------------------------------------- */

/* The depth of a header over a span, and how many jacks it lies on. In a wall that carries nothing
 * one flat piece does. */
static length header_over(struct model *m, length span, bool bears, length flat, uint32_t *jacks)
{
    struct table *t = bears ? code_table(&m->code, TABLE_HEADERS) : NULL;
    length deep = flat;
    *jacks = 1;
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        deep = code_row_length(&m->code, COL_HEADERS_DEPTH, i, flat);
        *jacks = (uint32_t)code_row_count(&m->code, COL_HEADERS_JACKS, i, 1);
        if (span <= code_row_length(&m->code, COL_HEADERS_UP_TO, i, span))
            break;
    }
    return deep;
}

static bool is_opening(const struct obstacle *o)
{
    return o->hi > o->lo && o->fixture &&
           (o->fixture->sort != FIXTURE_OTHER || o->fixture->form == F_RAILING);
}

static struct rough_opening opening_of(const struct skeleton *f, const struct obstacle *o)
{
    struct rough_opening r = {.lo = o->lo,
                              .hi = o->hi,
                              .glass = o->fixture->sort == FIXTURE_WINDOW,
                              .header = o->fixture->header,
                              .fixture = o->fixture,
                              .room = o->room};
    r.head = o->room->ceiling;
    if (o->fixture->form != F_RAILING)
        frame_opening_heights(f, o->room, o->fixture, &r.sill, &r.head);
    r.under = height_under(f, o->room, o->fixture->wall, r.sill);
    return r;
}

/* What overlaps or touches is one opening, as wide and as high as both: a door that two rooms
 * write, and a door beside its sidelight, between which no stud has room. */
static void join_opening(struct rough_opening *into, const struct rough_opening *r)
{
    into->hi = r->hi > into->hi ? r->hi : into->hi;
    into->sill = r->sill < into->sill ? r->sill : into->sill;
    into->head = r->head > into->head ? r->head : into->head;
    into->under = r->under < into->under ? r->under : into->under;
    into->header = r->header > into->header ? r->header : into->header;
    into->glass |= r->glass;
}

static void frame_opening(struct skeleton *f, const struct line *l, struct rough_opening *r)
{
    const struct framing *wood = &r->room->walls[r->fixture->wall].framing;
    length most = r->room->ceiling - f->figures.top_plates * wood->lumber.thickness;
    if (r->fixture->form == F_RAILING) {
        r->top = r->room->ceiling;
        return;
    }
    length deep = header_over(f->m, r->hi - r->lo, frame_bears(f, l, (r->lo + r->hi) / 2),
                              wood->lumber.thickness, &r->jacks);
    r->top = r->head + (r->header >= 0 ? r->header : deep);
    if (r->top > most)
        r->top = most > r->head ? most : r->head;
}

void frame_find_openings(struct arena *arena, struct skeleton *f)
{
    uint32_t total = 0;
    for (uint32_t i = 0; i < f->line_count; i++)
        total += f->lines[i].obstacle_count;
    f->openings = arena_array(arena, struct rough_opening, total + 1);
    total = 0;
    for (uint32_t i = 0; i < f->line_count; i++) {
        struct line *l = &f->lines[i];
        l->first_opening = total;
        for (uint32_t k = 0; k < l->obstacle_count; k++) {
            const struct obstacle *o = &f->obstacles[l->first_obstacle + k];
            if (!is_opening(o))
                continue;
            struct rough_opening r = opening_of(f, o);
            if (total > l->first_opening && r.lo <= f->openings[total - 1].hi)
                join_opening(&f->openings[total - 1], &r);
            else
                f->openings[total++] = r;
        }
        l->opening_count = total - l->first_opening;
        for (uint32_t k = l->first_opening; k < total; k++)
            frame_opening(f, l, &f->openings[k]);
    }
}

const struct rough_opening *frame_opening_from(const struct skeleton *f, const struct line *l,
                                               length at)
{
    uint32_t lo = 0, hi = l->opening_count;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        if (f->openings[l->first_opening + mid].hi <= at)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo < l->opening_count ? &f->openings[l->first_opening + lo] : NULL;
}

const struct rough_opening *frame_opening_at(const struct skeleton *f, const struct line *l,
                                             length at)
{
    const struct rough_opening *r = frame_opening_from(f, l, at);
    return r && r->lo < at ? r : NULL;
}

length frame_jacks_of(const struct rough_opening *r)
{
    return r->jacks * r->room->walls[r->fixture->wall].framing.lumber.thickness;
}

bool frame_at_edge(const struct skeleton *f, const struct line *l, length at)
{
    const struct rough_opening *r = frame_opening_from(f, l, at - 1);
    return r && (r->lo == at || r->hi == at);
}

bool frame_goes_up(const struct skeleton *f, const struct line *l, length at, length from, bool up)
{
    const struct rough_opening *r = frame_opening_from(f, l, at - 1);
    return !r || r->lo > at || (up ? from >= r->head : from <= r->sill);
}
