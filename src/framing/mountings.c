#include "framing/mountings.h"

#include "facts/places.h"
#include "facts/rooms.h"
#include "framing/frame.h"
#include "resolve/value.h"

#include <math.h>

/* How much room things take, from the library. */
struct sizes {
    length first_gang, gang, round, panel;
    length reach; /* of a nail: from the side of a box to its stud */
};

struct setter {
    struct model *m;
    const struct skeleton *f;
    struct sizes z;
};

/* What may hold a thing, measured across it: the nearest piece of wood, and the room on both sides
 * of that. */
struct wood {
    length lo, hi;         /* its faces */
    length before, behind; /* where the next wood before it ends, and the next behind it begins */
};

static length width_of(const struct setter *s, const struct box *b, unsigned gangs)
{
    const struct box_type *t = b->declared ? b->declared : b->set_as;
    if (t && t->wide)
        return t->wide;
    if (b->compartment)
        return b->device_count ? b->devices[0]->def->housing : 0;
    return gangs ? s->z.first_gang + (length)(gangs - 1) * s->z.gang : s->z.round;
}

/* Whether a box is fastened to studs or joists at all, or may be. */
static bool is_held_by_wood(struct model *m, const struct box *b)
{
    if (b->declared)
        return b->declared->fastened != FASTENED_SURFACE;
    return facts_is_wet(m, b) != ANSWER_YES;
}

/* A written type that holds to a stud, or between two, has to find it where the plan puts it; all
 * else is set beside the wood. */
static bool stays_as_written(const struct box *b)
{
    const struct box_type *t = b->declared;
    return b->compartment ||
           (t && (t->old_work || t->fastened == FASTENED_NAILS || t->fastened == FASTENED_BRACKET ||
                  t->fastened == FASTENED_BRACE));
}

/* Sets a thing of this width beside the wood: against it where a nail reaches, or where it would
 * stand in front of it, on its nearer side if there is room. Gives its middle. */
static length set_beside(struct mounting *mounting, const struct wood *w, length at, length reach,
                         bool stays)
{
    length half = mounting->width / 2;
    mounting->after = at >= (w->lo + w->hi) / 2;
    mounting->apart = mounting->after ? at - half - w->hi : w->lo - (at + half);
    if (mounting->apart < 0 && stays) {
        mounting->stand = STAND_ON;
        return at;
    }
    if (mounting->apart > reach) {
        mounting->stand = STAND_BETWEEN;
        return at;
    }
    bool after_fits = w->behind - w->hi >= mounting->width,
         before_fits = w->lo - w->before >= mounting->width;
    if (!after_fits && !before_fits) {
        mounting->stand = STAND_ON;
        return at;
    }
    mounting->after = mounting->after ? after_fits : !before_fits;
    mounting->moved = mounting->apart < 0;
    mounting->apart = 0;
    mounting->stand = STAND_BESIDE;
    return mounting->after ? w->hi + half : w->lo - half;
}

/* --- on walls ----------------------------------------------------------------------------- */

/* The stud of a line that is nearest to a place, and what is beside it; false where there is none.
 */
static bool nearest_stud(const struct skeleton *f, const struct line *l, length at,
                         const struct upright **stud, struct wood *w)
{
    uint32_t n = frame_studs_before(f, l, at, true);
    if (!l->stud_count)
        return false;
    const struct upright *all = &f->studs[l->first_stud];
    if (n == l->stud_count || (n && at - all[n - 1].at <= all[n].at - at))
        n--;
    length half = frame_half_stud(&all[n]);
    *stud = &all[n];
    w->lo = all[n].at - half;
    w->hi = all[n].at + half;
    w->before = n ? all[n - 1].at + frame_half_stud(&all[n - 1]) : l->lo;
    w->behind = n + 1 < l->stud_count ? all[n + 1].at - frame_half_stud(&all[n + 1]) : l->hi;
    const struct rough_opening *r = frame_opening_at(f, l, w->hi + 1);
    if (r && !r->under)
        w->behind = w->hi;
    r = frame_opening_at(f, l, w->lo - 1);
    if (r && !r->under)
        w->before = w->lo;
    return true;
}

static const struct face *face_of(const struct setter *s, const struct room *room,
                                  const struct place *p)
{
    if (!p->known || p->where != ON_WALL || p->wall >= room->wall_count)
        return NULL;
    const struct face *face = frame_face_of(s->f, room, p->wall);
    return face->line == NO_INDEX ? NULL : face;
}

/* Along its wall, to a place of the line. */
static void slide(struct mounting *mounting, const struct line *l, const struct face *face,
                  length from, length to)
{
    length by = to - from;
    mounting->place.from_left = frame_from_left_of(face, to);
    mounting->place.at.x += (length)llround(l->ux * (double)by);
    mounting->place.at.y += (length)llround(l->uy * (double)by);
}

static void set_on_wall(const struct setter *s, const struct box *b, struct mounting *mounting)
{
    const struct face *face = face_of(s, b->room, &b->place);
    struct wood w;
    if (!face)
        return;
    const struct line *l = &s->f->lines[face->line];
    length at = face->forward ? face->lo + b->place.from_left : face->hi - b->place.from_left;
    if (at < l->lo || at > l->hi || !nearest_stud(s->f, l, at, &mounting->stud, &w))
        return;
    const struct rough_opening *r = frame_opening_at(s->f, l, at);
    if (r && b->place.up > r->sill) /* it stands in a door or window, or over it */
        return;
    length set = set_beside(mounting, &w, at, s->z.reach, stays_as_written(b));
    mounting->after = mounting->after == face->forward;
    slide(mounting, l, face, at, set);
}

/* A panel stands between two studs: in the nearest bay that is wide enough, as near as may be to
 * where it is written. */
static void set_panel(const struct setter *s, const struct panel *p, struct mounting *mounting)
{
    const struct face *face = face_of(s, p->room, &p->place);
    if (!face || facts_stays_open(p->room))
        return;
    const struct line *l = &s->f->lines[face->line];
    length at = face->forward ? face->lo + p->place.from_left : face->hi - p->place.from_left,
           half = s->z.panel / 2, best = 0;
    bool found = false;
    uint32_t n = frame_studs_before(s->f, l, at, true);
    const struct upright *all = &s->f->studs[l->first_stud];
    for (uint32_t i = n > 1 ? n - 2 : 0; i + 1 < l->stud_count && i < n + 2; i++) {
        length lo = all[i].at + frame_half_stud(&all[i]),
               hi = all[i + 1].at - frame_half_stud(&all[i + 1]);
        if (hi - lo < s->z.panel || frame_opening_at(s->f, l, (lo + hi) / 2))
            continue;
        length to = at < lo + half ? lo + half : at > hi - half ? hi - half : at;
        if (!found || length_abs(to - at) < length_abs(best - at))
            best = to;
        found = true;
    }
    if (!found)
        return;
    mounting->stand = STAND_BETWEEN;
    mounting->moved = best != at;
    slide(mounting, l, face, at, best);
}

/* --- on ceilings -------------------------------------------------------------------------- */

static void set_overhead(const struct setter *s, const struct box *b, struct mounting *mounting)
{
    const struct framing *joists = &b->room->joists;
    const struct storey *storey = &s->f->storeys[s->f->storey_of[b->room->level->id]];
    if (joists->spacing <= 0 || !storey->known)
        return;
    mounting->north = joists->running_north;
    length corner = mounting->north ? storey->corner.x : storey->corner.y,
           half = joists->lumber.thickness / 2;
    length *at = mounting->north ? &mounting->place.at.x : &mounting->place.at.y;
    double number = round((double)(*at - corner) / (double)joists->spacing);
    if (fabs(number) > MOST_MEMBERS)
        return;
    mounting->joisted = true;
    mounting->joist = (int64_t)number;
    length middle = corner + mounting->joist * joists->spacing;
    struct wood w = {middle - half, middle + half, middle + half - joists->spacing,
                     middle - half + joists->spacing};
    *at = set_beside(mounting, &w, *at, s->z.reach, stays_as_written(b));
}

/* --- all of them -------------------------------------------------------------------------- */

static void set_box(const struct setter *s, const struct box *b, struct mounting *mounting)
{
    uint32_t yokes = facts_yokes(b);
    unsigned gangs = b->declared          ? b->declared->gangs
                     : b->set_as          ? b->set_as->gangs
                     : b->gangs           ? b->gangs
                     : yokes > MOST_GANGS ? MOST_GANGS
                                          : yokes;
    mounting->place = b->place;
    mounting->width = width_of(s, b, gangs);
    if (!b->place.known || b->existing || mounting->width <= 0 || !is_held_by_wood(s->m, b) ||
        !b->room->level)
        return;
    if (b->place.where == OVERHEAD)
        set_overhead(s, b, mounting);
    else if (b->place.where == ON_WALL && !b->compartment)
        set_on_wall(s, b, mounting);
}

struct mountings *mountings_find(struct arena *arena, struct model *m, const struct skeleton *f)
{
    struct code *c = &m->code;
    struct setter s = {.m = m,
                       .f = f,
                       .z = {.first_gang = code_length(c, SET_BOX_SPACE_FIRST_GANG_WIDTH, 0),
                             .gang = code_length(c, SET_BOX_SPACE_GANG_WIDTH, 0),
                             .round = code_length(c, SET_BOX_SPACE_ROUND_WIDTH, 0),
                             .panel = code_length(c, SET_BOX_SPACE_PANEL_WIDTH, 0),
                             .reach = code_length(c, SET_BOX_SPACE_NAIL_REACH, 0)}};
    struct mountings *mountings = arena_new(arena, struct mountings);
    mountings->of_box = arena_array(arena, struct mounting, m->boxes.n + 1);
    mountings->of_panel = arena_array(arena, struct mounting, m->panels.n + 1);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        set_box(&s, m->boxes.at[i], &mountings->of_box[i]);
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        mountings->of_panel[i].place = p->place;
        if (p->room && p->room->level && !p->existing)
            set_panel(&s, p, &mountings->of_panel[i]);
    }
    return mountings;
}

const struct mounting *mounting_of_end(const struct mountings *mountings, struct end e)
{
    return e.box ? &mountings->of_box[e.box->id] : &mountings->of_panel[e.panel->id];
}
