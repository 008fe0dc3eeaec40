#include "facts/rooms.h"

#include "model/model.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/value.h"

#include <math.h>
#include <string.h>

/* --- kinds -------------------------------------------------------------------------------- */

static struct use use_of_place(const struct room *r, const struct place *place)
{
    struct point p = {place->at.x, place->at.y};
    for (uint32_t i = 0; i < r->areas.n; i++) {
        const struct use_area *a = &r->areas.at[i];
        if (p.x >= a->low.x && p.x <= a->high.x && p.y >= a->low.y && p.y <= a->high.y)
            return (struct use){&a->kind, 1};
    }
    return facts_use_of_room(r);
}

struct use facts_use_of_box(const struct box *box)
{
    return use_of_place(box->room, &box->place);
}

struct use facts_use_of_panel(const struct panel *panel)
{
    return use_of_place(panel->room, &panel->place);
}

struct use facts_use_of_room(const struct room *room)
{
    return (struct use){room->kinds, room->kind_count};
}

bool facts_use_in_list(struct model *m, struct use use, enum book_table list)
{
    for (uint32_t i = 0; i < use.count; i++)
        if (code_list_has_kind(&m->code, list, use.kinds[i]))
            return true;
    return false;
}

bool room_used_as(struct model *m, const struct room *room, enum book_table list)
{
    for (uint32_t i = 0; i < room->areas.n; i++)
        if (facts_use_in_list(m, (struct use){&room->areas.at[i].kind, 1}, list))
            return true;
    return facts_use_in_list(m, facts_use_of_room(room), list);
}

bool room_is_for(struct model *m, const struct room *room, const struct rule *rule)
{
    const char *kind =
        code_cell_kind(&m->code, COL_RULE_PLACES_KIND, code_rule_name(&m->code, rule));
    for (uint32_t i = 0; kind && i < room->kind_count; i++)
        if (library_kind_is(room->kinds[i], kind))
            return true;
    return false;
}

bool room_sleeps(const struct room *room)
{
    for (uint32_t i = 0; i < room->kind_count; i++)
        if (room->kinds[i]->sleeping)
            return true;
    for (uint32_t i = 0; i < room->areas.n; i++)
        if (room->areas.at[i].kind->sleeping)
            return true;
    return false;
}

static bool is_counter(const struct fixture *f)
{
    return f->form == F_COUNTER || f->form == F_PENINSULA;
}

bool facts_has_counter(const struct room *room)
{
    for (uint32_t i = 0; i < room->fixtures.n; i++)
        if (is_counter(&room->fixtures.at[i]))
            return true;
    return false;
}

/* --- distances ---------------------------------------------------------------------------- */

struct plan_spot facts_spot_of(const struct box *box)
{
    return (struct plan_spot){length_feet(box->place.at.x), length_feet(box->place.at.y)};
}

double facts_spots_apart(struct plan_spot a, struct plan_spot b)
{
    return hypot(a.x - b.x, a.y - b.y);
}

static struct plan_spot between(struct plan_spot a, struct plan_spot b, double share)
{
    return (struct plan_spot){a.x + share * (b.x - a.x), a.y + share * (b.y - a.y)};
}

double facts_spot_to_line(struct plan_spot p, struct plan_spot a, struct plan_spot b)
{
    double dx = b.x - a.x, dy = b.y - a.y, square = dx * dx + dy * dy;
    double share = square > 0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / square : 0;
    return facts_spots_apart(p, between(a, b, share < 0 ? 0 : share > 1 ? 1 : share));
}

/* The two ends of a thing on a wall. */
static void fixture_ends(const struct room *room, const struct fixture *f, struct plan_spot *left,
                         struct plan_spot *right)
{
    const struct wall *w = &room->walls[f->wall];
    struct plan_spot a = {length_feet(w->left.x), length_feet(w->left.y)},
                     b = {length_feet(w->right.x), length_feet(w->right.y)};
    double length = w->length > 0 ? (double)w->length : 1;
    *left = between(a, b, (double)f->from_left / length);
    *right = between(a, b, (double)(f->from_left + f->wide) / length);
}

/* From a spot to the edge of a thing that stands against a wall; inside is to the right of a wall
 * that is walked clockwise. */
static double spot_to_fixture(struct plan_spot p, const struct room *room, const struct fixture *f)
{
    struct plan_spot left, right;
    fixture_ends(room, f, &left, &right);
    double wide = facts_spots_apart(left, right), deep = length_feet(f->deep);
    if (wide <= 0)
        return facts_spots_apart(p, left);
    double ux = (right.x - left.x) / wide, uy = (right.y - left.y) / wide;
    double along = (p.x - left.x) * ux + (p.y - left.y) * uy,
           out = (p.x - left.x) * uy - (p.y - left.y) * ux;
    double beside = along < 0      ? -along
                    : along > wide ? along - wide
                                   : 0,
           before = out < 0      ? -out
                    : out > deep ? out - deep
                                 : 0;
    return hypot(beside, before);
}

/* --- counters ----------------------------------------------------------------------------- */

bool facts_stands_in_island(const struct box *box)
{
    const struct room *r = box->room;
    for (uint32_t i = 0; i < r->islands.n; i++) {
        const struct island *x = &r->islands.at[i];
        if (box->place.at.x >= x->low.x && box->place.at.x <= x->high.x &&
            box->place.at.y >= x->low.y && box->place.at.y <= x->high.y)
            return true;
    }
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        struct fixture top = r->fixtures.at[i];
        top.deep = top.out;
        if (top.form == F_PENINSULA && spot_to_fixture(facts_spot_of(box), r, &top) <= 0)
            return true;
    }
    return false;
}

static bool is_range(const struct fixture *f)
{
    return f->form == F_RANGE;
}

static bool is_cabinet(const struct fixture *f)
{
    return f->form == F_COUNTER || f->form == F_SINK;
}

/* Whether a box stands on its wall within the width of such a thing. */
static bool stands_at(const struct box *box, bool (*such)(const struct fixture *f))
{
    const struct place *p = &box->place;
    for (uint32_t i = 0; p->where == ON_WALL && i < box->room->fixtures.n; i++) {
        const struct fixture *f = &box->room->fixtures.at[i];
        if (such(f) && f->wall == p->wall && p->from_left >= f->from_left &&
            p->from_left <= f->from_left + f->wide)
            return true;
    }
    return false;
}

const struct fixture *facts_cabinet_before(const struct box *box)
{
    const struct place *p = &box->place;
    for (uint32_t i = 0; p->known && p->where == ON_WALL && i < box->room->fixtures.n; i++) {
        const struct fixture *f = &box->room->fixtures.at[i];
        if (f->form == F_CABINET && f->wall == p->wall && f->from_left < p->from_left &&
            p->from_left < f->from_left + f->wide && f->sill < p->up && p->up < f->top)
            return f;
    }
    return NULL;
}

bool facts_in_base_cabinet(struct model *m, const struct box *box)
{
    return box->place.up < code_length(&m->code, SET_COUNTER_TOP_HEIGHT, 0) &&
           stands_at(box, is_cabinet);
}

bool facts_serves_counter(struct model *m, const struct box *box)
{
    const struct place *p = &box->place;
    if (p->where == ON_FLOOR)
        return facts_stands_in_island(box);
    length top = code_length(&m->code, SET_COUNTER_TOP_HEIGHT, 0);
    if (p->where != ON_WALL || p->up < top ||
        p->up > top + code_length(&m->code, SET_COUNTER_SPACING_ABOVE_UP_TO, 0) ||
        stands_at(box, is_range))
        return false;
    for (uint32_t i = 0; i < box->room->fixtures.n; i++) {
        const struct fixture *f = &box->room->fixtures.at[i];
        if (is_counter(f) && f->wall == p->wall && p->from_left >= f->from_left &&
            p->from_left <= f->from_left + f->wide)
            return true;
    }
    return false;
}

/* --- ways through doors ------------------------------------------------------------------- */

/* The shortest way through a doorway: the sum of both parts is convex along it, so halving the
 * interval finds it. */
static double way_through(struct plan_spot p, const struct doorway *d, const struct fixture *f)
{
    double low = 0, high = 1, best = INFINITY;
    for (int i = 0; i < 40; i++) {
        double a = low + (high - low) / 3, b = high - (high - low) / 3;
        struct plan_spot at = between(d->left, d->right, a), to = between(d->left, d->right, b);
        double first = facts_spots_apart(p, at) + spot_to_fixture(at, d->other, f),
               second = facts_spots_apart(p, to) + spot_to_fixture(to, d->other, f);
        best = fmin(best, fmin(first, second));
        if (first < second)
            high = b;
        else
            low = a;
    }
    return best;
}

static void nearer(double *best, double way)
{
    if (*best < 0 || way < *best)
        *best = way;
}

double facts_way_to_fixture(const struct rooms *rooms, const struct box *box, enum form_id form,
                            bool doors)
{
    double best = -1;
    struct plan_spot p = facts_spot_of(box);
    const struct room *r = box->room;
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        if (r->fixtures.at[i].form == form)
            nearer(&best, spot_to_fixture(p, r, &r->fixtures.at[i]));
    const doorway_list *list = &rooms->of_room[r->id];
    for (uint32_t i = 0; doors && i < list->n; i++) {
        const struct doorway *d = &list->at[i];
        for (uint32_t k = 0; d->other && k < d->other->fixtures.n; k++)
            if (d->other->fixtures.at[k].form == form)
                nearer(&best, way_through(p, d, &d->other->fixtures.at[k]));
    }
    return best;
}

const char *facts_feet_words(struct arena *arena, double feet)
{
    return length_words(arena, (length)llround(feet * 12) * INCH);
}

/* --- doorways ----------------------------------------------------------------------------- */

static void add_doorway(struct arena *arena, struct rooms *p, const struct room *room,
                        const struct fixture *f)
{
    if (!(f->to || f->to_outside) || f->wall >= room->wall_count)
        return;
    struct doorway d = {.other = f->to};
    fixture_ends(room, f, &d.left, &d.right);
    *vec_push(arena, &p->of_room[room->id]) = d;
    if (f->to) {
        d.other = room;
        *vec_push(arena, &p->of_room[f->to->id]) = d;
    }
}

struct rooms *rooms_find(struct arena *arena, struct model *m)
{
    struct rooms *p = arena_new(arena, struct rooms);
    p->of_room = arena_array(arena, doorway_list, m->rooms.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        for (uint32_t k = 0; k < room->fixtures.n; k++)
            if (room->fixtures.at[k].sort == FIXTURE_DOOR ||
                room->fixtures.at[k].sort == FIXTURE_OPENING)
                add_doorway(arena, p, room, &room->fixtures.at[k]);
    }
    return p;
}

/* --- dwellings ---------------------------------------------------------------------------- */

const room_list *rooms_of_dwellings(struct arena *arena, const struct model *m)
{
    room_list *of = arena_array(arena, room_list, m->units.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct unit *unit = m->rooms.at[i]->unit;
        *vec_push(arena, &of[unit ? unit->id + 1 : 0]) = m->rooms.at[i];
    }
    return of;
}

bool facts_stays_open(const struct room *room)
{
    bool open = room->unfinished;
    for (uint32_t i = 0; i < room->kind_count; i++)
        open = open || room->kinds[i]->unfinished;
    return open;
}
