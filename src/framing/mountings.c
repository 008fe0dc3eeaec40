#include "framing/mountings.h"

#include "base/sort.h"
#include "facts/places.h"
#include "facts/rooms.h"
#include "framing/frame.h"
#include "framing/neighbours.h"
#include "resolve/value.h"

#include <math.h>

/* How much room things take, from the library. */
struct sizes {
    length first_gang, gang, round, panel, box_height, panel_height;
    length reach; /* of a nail: from the side of a box to its stud */
};

struct setter {
    struct model *m;
    const struct skeleton *f;
    struct sizes z;
    struct neighbours *boxes, *panels; /* what stands already */
};

/* How a box is set beside its wood: against it, on its nearer side; if that place is taken as far
 * from it as it is written; or on its other side. */
enum way_to_set { SET_AGAINST, SET_AS_WRITTEN, SET_ON_THE_OTHER_SIDE };

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

/* Sets a thing of this width beside the wood: where a nail reaches it, or where it would stand in
 * front of it, if there is room. Gives its middle. */
static length set_beside(struct mounting *mounting, const struct wood *w, length at, length reach,
                         bool stays, enum way_to_set way)
{
    length half = mounting->width / 2;
    bool nearer = at >= (w->lo + w->hi) / 2;
    mounting->after = nearer;
    mounting->apart = nearer ? at - half - w->hi : w->lo - (at + half);
    mounting->stand = mounting->apart > reach ? STAND_BETWEEN
                      : mounting->apart < 0   ? STAND_ON
                                              : STAND_BESIDE;
    if (mounting->apart > reach || way == SET_AS_WRITTEN || (mounting->apart < 0 && stays))
        return at;
    bool after_fits = w->behind - w->hi >= mounting->width,
         before_fits = w->lo - w->before >= mounting->width, both = after_fits && before_fits,
         other = way == SET_ON_THE_OTHER_SIDE;
    if ((!after_fits && !before_fits) || (other && (!both || stays))) {
        mounting->stand = STAND_ON;
        return at;
    }
    mounting->after = both ? nearer != other : after_fits;
    mounting->moved = mounting->apart < 0 || mounting->after != nearer;
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

/* Over a header: the nearest of its cripples and of the kings on both sides; false where there is
 * none. */
static bool nearest_over(const struct skeleton *f, const struct line *l,
                         const struct rough_opening *r, length at, const struct upright **stud,
                         struct wood *w)
{
    uint32_t left = frame_studs_before(f, l, r->lo, false),
             right = frame_studs_before(f, l, r->hi, true) + r->jacks;
    if (left <= r->jacks || right >= l->stud_count)
        return false;
    const struct upright *last = &f->studs[l->first_stud + right], *prev = NULL,
                         *u = &f->studs[l->first_stud + left - 1 - r->jacks];
    length best = last->at - u->at;
    for (uint32_t i = frame_first_cripple(f, l, r->lo) - l->first_cripple; u; i++) {
        while (i < l->cripple_count && f->cripples[l->first_cripple + i].at < r->hi &&
               f->cripples[l->first_cripple + i].low < r->top)
            i++; /* those under the sill */
        bool cripple = i < l->cripple_count && f->cripples[l->first_cripple + i].at < r->hi;
        const struct upright *next = u == last ? NULL
                                     : cripple ? &f->cripples[l->first_cripple + i]
                                               : last;
        length half = frame_half_stud(u), lo = u->at - half, hi = u->at + half;
        if (length_abs(u->at - at) <= best) {
            best = length_abs(u->at - at);
            *stud = u;
            *w = (struct wood){lo, hi, prev ? prev->at + frame_half_stud(prev) : lo,
                               next ? next->at - frame_half_stud(next) : hi};
        }
        prev = u;
        u = next;
    }
    return true;
}

/* The opening over whose header a box stands, the ends of that on the jacks among it; NULL: none.
 */
static const struct rough_opening *opening_under(const struct setter *s, const struct line *l,
                                                 length at, length up)
{
    const struct rough_opening *first = &s->f->openings[l->first_opening],
                               *end = first + l->opening_count,
                               *r = frame_opening_from(s->f, l, at);
    r = !r ? end : r;
    for (r -= r > first; r < end; r++) {
        if (r->lo - frame_jacks_of(r) >= at)
            break;
        if (at < r->hi + frame_jacks_of(r) && up - s->z.box_height / 2 >= r->top)
            return r;
    }
    return NULL;
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

static void set_on_wall(const struct setter *s, const struct box *b, struct mounting *mounting,
                        enum way_to_set way)
{
    const struct face *face = face_of(s, b->room, &b->place);
    struct wood w;
    if (!face)
        return;
    const struct line *l = &s->f->lines[face->line];
    length at = face->forward ? face->lo + b->place.from_left : face->hi - b->place.from_left;
    const struct rough_opening *over = opening_under(s, l, at, b->place.up),
                               *r = over ? over : frame_opening_at(s->f, l, at);
    if (r && !over && b->place.up > r->sill) /* it stands in a door or window, or on its header */
        return;
    if (at < l->lo || at > l->hi ||
        !(over ? nearest_over(s->f, l, over, at, &mounting->stud, &w)
               : nearest_stud(s->f, l, at, &mounting->stud, &w)))
        return;
    length set = set_beside(mounting, &w, at, s->z.reach, stays_as_written(b), way);
    mounting->after = mounting->after == face->forward;
    slide(mounting, l, face, at, set);
}

static bool is_taken(const struct setter *s, const struct occupant *o)
{
    return neighbours_in(s->boxes, o) || neighbours_in(s->panels, o);
}

/* The place of a line nearest to `at` where the panel stands between two studs that are far enough
 * apart; false where there is none near. `clear`: and where nothing stands. */
static bool nearest_bay(const struct setter *s, const struct line *l, struct occupant o, bool clear,
                        length *best)
{
    length half = o.width / 2, at = o.at;
    bool found = false;
    uint32_t n = frame_studs_before(s->f, l, at, true);
    const struct upright *all = &s->f->studs[l->first_stud];
    for (uint32_t i = n > 1 ? n - 2 : 0; i + 1 < l->stud_count && i < n + 2; i++) {
        length lo = all[i].at + frame_half_stud(&all[i]),
               hi = all[i + 1].at - frame_half_stud(&all[i + 1]);
        if (hi - lo < o.width || frame_opening_at(s->f, l, (lo + hi) / 2))
            continue;
        o.at = at < lo + half ? lo + half : at > hi - half ? hi - half : at;
        if ((clear && is_taken(s, &o)) ||
            (found && length_abs(o.at - at) >= length_abs(*best - at)))
            continue;
        *best = o.at;
        found = true;
    }
    return found;
}

/* A panel stands between two studs: in the nearest bay that is wide enough and free, as near as may
 * be to where it is written. */
static void set_panel(const struct setter *s, const struct panel *p, struct mounting *mounting)
{
    const struct face *face = face_of(s, p->room, &p->place);
    if (!face)
        return;
    const struct line *l = &s->f->lines[face->line];
    struct occupant o = {.group = face->line,
                         .at = face->forward ? face->lo + p->place.from_left
                                             : face->hi - p->place.from_left,
                         .across = p->place.at.z,
                         .width = s->z.panel,
                         .height = s->z.panel_height};
    length to, from = o.at;
    if (!p->existing && !facts_stays_open(p->room) &&
        (nearest_bay(s, l, o, true, &to) || nearest_bay(s, l, o, false, &to))) {
        mounting->stand = STAND_BETWEEN;
        mounting->moved = to != from;
        slide(mounting, l, face, from, to);
        o.at = to;
    }
    neighbours_add(s->panels, &o);
}

/* --- on ceilings -------------------------------------------------------------------------- */

static void set_overhead(const struct setter *s, const struct box *b, struct mounting *mounting,
                         enum way_to_set way)
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
    length set = set_beside(mounting, &w, *at, s->z.reach, stays_as_written(b), way);
    if (!b->room->drop) {
        *at = set;
        return;
    }
    mounting->stand = STAND_BETWEEN; /* the joists are out of reach */
    mounting->moved = false;
}

/* --- all of them -------------------------------------------------------------------------- */

static void set_box(const struct setter *s, const struct box *b, struct mounting *mounting,
                    enum way_to_set way)
{
    uint32_t yokes = facts_yokes(b);
    unsigned gangs = b->declared          ? b->declared->gangs
                     : b->set_as          ? b->set_as->gangs
                     : b->gangs           ? b->gangs
                     : yokes > MOST_GANGS ? MOST_GANGS
                                          : yokes;
    *mounting = (struct mounting){.place = b->place, .width = width_of(s, b, gangs)};
    if (!b->place.known || b->existing || mounting->width <= 0 || !is_held_by_wood(s->m, b) ||
        !b->room->level)
        return;
    if (b->place.where == OVERHEAD)
        set_overhead(s, b, mounting, way);
    else if (b->place.where == ON_WALL && !b->compartment)
        set_on_wall(s, b, mounting, way);
}

/* What a box takes of its wall or ceiling where it is set; false where that is not known. */
static bool occupies(const struct setter *s, const struct box *b, const struct mounting *mounting,
                     struct occupant *o)
{
    const struct place *p = &mounting->place;
    const struct face *face = face_of(s, b->room, p);
    *o = (struct occupant){.width = mounting->width, .height = mounting->width};
    if (!p->known || mounting->width <= 0 || !b->room->level || p->where == ON_FLOOR)
        return false;
    if (p->where == OVERHEAD) {
        o->group = s->f->line_count + b->room->id;
        o->at = p->at.x;
        o->across = p->at.y;
        return true;
    }
    if (!face)
        return false;
    o->group = face->line;
    o->at = face->forward ? face->lo + p->from_left : face->hi - p->from_left;
    o->across = p->at.z;
    o->height = mounting->width == s->z.round ? s->z.round : s->z.box_height;
    return true;
}

static bool stands_as_written(const struct box *b, const struct mounting *mounting)
{
    return mounting->place.at.x == b->place.at.x && mounting->place.at.y == b->place.at.y;
}

/* A box beside its stud or joist goes where nothing stands yet, if there is such a place; one that
 * stands as it is written gives way to panels alone. */
static void find_room(const struct setter *s, const struct box *b, struct mounting *mounting)
{
    struct mounting other;
    struct occupant o;
    bool moves = !stands_as_written(b, mounting);
    if (!occupies(s, b, mounting, &o))
        return;
    bool taken = moves ? is_taken(s, &o) : neighbours_in(s->panels, &o);
    for (int way = SET_AS_WRITTEN; way <= SET_ON_THE_OTHER_SIDE && taken; way++) {
        set_box(s, b, &other, (enum way_to_set)way);
        taken = other.stand != STAND_BESIDE || !occupies(s, b, &other, &o) || is_taken(s, &o);
        if (!taken)
            *mounting = other;
    }
    if (occupies(s, b, mounting, &o))
        neighbours_add(s->boxes, &o);
}

/* By where they are written, so that the order of statements decides nothing. */
static struct sorted by_place(const struct place *p, uint32_t item)
{
    return (struct sorted){.key = {(uint64_t)p->at.x ^ (uint64_t)1 << 63,
                                   ((uint64_t)p->at.y << 20) ^ (uint64_t)p->at.z},
                           .item = item};
}

static void set_panels(struct arena *scratch, const struct setter *s, struct mounting *of_panel)
{
    struct sorted *order = arena_array(scratch, struct sorted, s->m->panels.n + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->m->panels.n; i++) {
        const struct panel *p = s->m->panels.at[i];
        of_panel[i].place = p->place;
        if (p->room && p->room->level)
            order[n++] = by_place(&p->place, i);
    }
    sort_by_key(scratch, order, n);
    for (uint32_t i = 0; i < n; i++)
        set_panel(s, s->m->panels.at[order[i].item], &of_panel[order[i].item]);
}

/* What stands where it is written comes first, then panels, which need a whole bay, then what
 * moves.
 */
static void set_all(struct arena *scratch, const struct setter *s, struct mountings *mountings)
{
    struct sorted *order = arena_array(scratch, struct sorted, s->m->boxes.n + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->m->boxes.n; i++) {
        const struct box *b = s->m->boxes.at[i];
        struct occupant o;
        set_box(s, b, &mountings->of_box[i], SET_AGAINST);
        if (mountings->of_box[i].stand == STAND_BESIDE)
            order[n++] = by_place(&b->place, i);
        if (stands_as_written(b, &mountings->of_box[i]) &&
            occupies(s, b, &mountings->of_box[i], &o))
            neighbours_add(s->boxes, &o);
    }
    set_panels(scratch, s, mountings->of_panel);
    sort_by_key(scratch, order, n);
    for (uint32_t i = 0; i < n; i++)
        find_room(s, s->m->boxes.at[order[i].item], &mountings->of_box[order[i].item]);
}

static struct setter setter_of(struct arena *arena, struct model *m, const struct skeleton *f)
{
    struct code *c = &m->code;
    return (struct setter){.m = m,
                           .f = f,
                           .z = {.first_gang = code_length(c, SET_BOX_SPACE_FIRST_GANG_WIDTH, 0),
                                 .gang = code_length(c, SET_BOX_SPACE_GANG_WIDTH, 0),
                                 .round = code_length(c, SET_BOX_SPACE_ROUND_WIDTH, 0),
                                 .panel = code_length(c, SET_BOX_SPACE_PANEL_WIDTH, 0),
                                 .box_height = code_length(c, SET_BOX_SPACE_BOX_HEIGHT, 0),
                                 .panel_height = code_length(c, SET_BOX_SPACE_PANEL_HEIGHT, 0),
                                 .reach = code_length(c, SET_BOX_SPACE_NAIL_REACH, 0)},
                           .boxes = neighbours_new(arena),
                           .panels = neighbours_new(arena)};
}

struct mountings *mountings_find(struct arena *arena, struct model *m, const struct skeleton *f)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct setter s = setter_of(&scratch, m, f);
    struct mountings *mountings = arena_new(arena, struct mountings);
    mountings->of_box = arena_array(arena, struct mounting, m->boxes.n + 1);
    mountings->of_panel = arena_array(arena, struct mounting, m->panels.n + 1);
    set_all(&scratch, &s, mountings);
    arena_free(&scratch);
    return mountings;
}

const struct mounting *mounting_of_end(const struct mountings *mountings, struct end e)
{
    return e.box ? &mountings->of_box[e.box->id] : &mountings->of_panel[e.panel->id];
}

/* --- where one more would stand ----------------------------------------------------------- */

struct free_places {
    struct setter s;
};

struct free_places *mountings_free(struct arena *arena, struct model *m, const struct skeleton *f,
                                   const struct mountings *mountings)
{
    struct free_places *free = arena_new(arena, struct free_places);
    struct occupant o;
    free->s = setter_of(arena, m, f);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (occupies(&free->s, m->boxes.at[i], &mountings->of_box[i], &o))
            neighbours_add(free->s.boxes, &o);
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        const struct place *at = &mountings->of_panel[i].place;
        const struct face *face = p->room ? face_of(&free->s, p->room, at) : NULL;
        if (face)
            neighbours_add(free->s.panels,
                           &(struct occupant){.group = face->line,
                                              .at = face->forward ? face->lo + at->from_left
                                                                  : face->hi - at->from_left,
                                              .across = at->at.z,
                                              .width = free->s.z.panel,
                                              .height = free->s.z.panel_height});
    }
    return free;
}

struct place mountings_place(const struct room *room, uint32_t wall, length from_left, length up)
{
    const struct wall *w = &room->walls[wall];
    double share = w->length ? (double)from_left / (double)w->length : 0;
    return (struct place){
        .known = true,
        .where = ON_WALL,
        .wall = wall,
        .from_left = from_left,
        .up = up,
        .up_written = true,
        .at = {w->left.x + (length)llround(share * (double)(w->right.x - w->left.x)),
               w->left.y + (length)llround(share * (double)(w->right.y - w->left.y)),
               (room->level ? room->level->floor : 0) + up}};
}

/* Whether a box of one gang may stand there: as it is written, on no opening and on nothing that
 * stands already, whole within its wall, against a stud where studs hold it. */
static bool may_stand(const struct setter *s, struct room *room, const struct place *p)
{
    struct box b = {.gangs = 1, .room = room, .place = *p};
    struct mounting mounting;
    struct occupant o;
    set_box(s, &b, &mounting, SET_AGAINST);
    const struct face *face = face_of(s, room, p);
    length half = mounting.width / 2, l = room->walls[p->wall].length;
    if (!face || p->from_left < half || p->from_left > l - half ||
        !occupies(s, &b, &mounting, &o) || is_taken(s, &o) || mounting.moved)
        return false;
    const struct line *line = &s->f->lines[face->line];
    const struct rough_opening *r = frame_opening_from(s->f, line, o.at - half);
    if (r && r->lo < o.at + half && p->up + s->z.box_height / 2 > r->sill &&
        p->up - s->z.box_height / 2 < r->top)
        return false;
    return mounting.stand == STAND_BESIDE ||
           (mounting.stand == STAND_FREE && (!line->stud_count || !is_held_by_wood(s->m, &b)));
}

/* The eighths of an inch next to a place where a box may stand; negative where it may at none. */
static length eighth_at(const struct setter *s, struct room *room, uint32_t wall, length from_left,
                        length up)
{
    length near = length_eighths(from_left);
    const length tries[] = {near, near + EIGHTH, near - EIGHTH};
    for (size_t i = 0; i < sizeof tries / sizeof *tries; i++) {
        struct place p = mountings_place(room, wall, tries[i], up);
        if (may_stand(s, room, &p))
            return tries[i];
    }
    return -1;
}

/* Beside each stud of the wall, on both of its sides. */
static void beside_studs(struct arena *arena, const struct setter *s, struct room *room,
                         const struct face *face, length up, place_list *out)
{
    const struct line *l = &s->f->lines[face->line];
    length half = s->z.first_gang / 2;
    for (uint32_t i = frame_studs_before(s->f, l, face->lo, false); i < l->stud_count; i++) {
        const struct upright *u = &s->f->studs[l->first_stud + i];
        if (u->at > face->hi)
            break;
        for (int side = -1; side <= 1; side += 2) {
            length at = frame_from_left_of(face, u->at + side * (frame_half_stud(u) + half));
            at = eighth_at(s, room, face->wall, at, up);
            if (at >= 0)
                *vec_push(arena, out) = mountings_place(room, face->wall, at, up);
        }
    }
}

void mountings_places(struct arena *arena, const struct free_places *free, struct room *room,
                      uint32_t wall, length up, place_list *out)
{
    const struct setter *s = &free->s;
    struct place p = mountings_place(room, wall, 0, up);
    const struct face *face = face_of(s, room, &p);
    struct box b = {.gangs = 1, .room = room, .place = p};
    if (!face || !room->level)
        return;
    if (s->f->lines[face->line].stud_count && is_held_by_wood(s->m, &b)) {
        beside_studs(arena, s, room, face, up, out);
        return;
    }
    for (length at = INCH; at < room->walls[wall].length; at += INCH) {
        p = mountings_place(room, wall, at, up);
        if (may_stand(s, room, &p))
            *vec_push(arena, out) = p;
    }
}
