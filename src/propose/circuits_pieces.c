/* What is to be fed, as pieces that no proposal takes apart. */
#include "compile.h"
#include "facts/devices.h"
#include "facts/facts.h"
#include "loads/demand.h"
#include "loads/demand_parts.h"
#include "propose/circuits_work.h"
#include "resolve/node.h"
#include "wiring/protect.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* --- which boxes ---------------------------------------------------------------------------- */

static bool takes_power(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->sort != SORT_LOW_VOLTAGE)
            return true;
    return false;
}

static const struct panel *first_panel(const struct model *m, const struct unit *unit)
{
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (m->panels.at[i]->unit == unit)
            return m->panels.at[i];
    return NULL;
}

static bool stands_before(const struct panel *a, const struct panel *b)
{
    struct place3 x = a->place.at, y = b->place.at;
    return x.z != y.z ? x.z < y.z : x.x != y.x ? x.x < y.x : x.y < y.y;
}

/* Units whose panels are one statement have their circuits in one block too: they are worked out
 * for the first of them by its place. */
static bool is_first_of_its_kind(struct circuit_work *w, const struct unit *unit)
{
    struct model *m = w->c->model;
    const struct panel *own = unit ? first_panel(m, unit) : NULL;
    for (uint32_t i = 0; own && i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        bool same = p->node->source == own->node->source && p->node->first == own->node->first;
        if (p != own && same && stands_before(p, own))
            return false;
    }
    return true;
}

static void note_units(struct circuit_work *w)
{
    struct model *m = w->c->model;
    w->follows = arena_array(w->arena, bool, m->units.n + 1);
    for (uint32_t i = 0; i < m->units.n; i++)
        if (!is_first_of_its_kind(w, m->units.at[i])) {
            w->follows[m->units.at[i]->id] = true;
            w->following++;
        }
}

static bool follows(const struct circuit_work *w, const struct unit *unit)
{
    return unit && w->follows[unit->id];
}

static bool is_unfed(struct circuit_work *w, const struct box *b)
{
    return !b->existing && !b->goes && !b->runs.n && !b->served_by.n && b->place.known &&
           takes_power(b) && facts_known(b, ITS_TEXT) && !follows(w, b->room->unit);
}

/* A circuit that is new and whole, of which no device takes both lines: it may take more. */
static bool is_open(const struct circuit *c)
{
    if (c->existing || c->goes || c->feeds || !c->panel || c->two_pole || c->multiwire || c->tied ||
        c->breaker <= 0 || !c->parts.n || !facts_known(c, ITS_TEXT | ITS_BREAKER))
        return false;
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (c->runs.at[i]->also.n || c->runs.at[i]->existing)
            return false;
    return true;
}

/* --- what belongs together -------------------------------------------------------------------- */

/* Boxes and circuits in sets; circuits stand behind the boxes. */
struct joining {
    struct circuit_work *w;
    uint32_t *up;
    uint32_t boxes, count;
    struct circuit **of_box; /* by box id: the circuit that it is on, if one alone */
};

static uint32_t set_of(struct joining *j, uint32_t i)
{
    while (j->up[i] != i)
        i = j->up[i] = j->up[j->up[i]];
    return i;
}

static void join(struct joining *j, uint32_t a, uint32_t b)
{
    a = set_of(j, a);
    b = set_of(j, b);
    j->up[a > b ? a : b] = a > b ? b : a;
}

/* What a part stands for in the sets: its box where that is to be fed, else its circuit. */
static uint32_t place_in(const struct joining *j, const struct part *p)
{
    const struct box *b = p->device->box;
    if (p->circuit)
        return j->boxes + p->circuit->id;
    return is_unfed(j->w, b) ? b->id : UINT32_MAX;
}

static void join_parts(struct joining *j, struct part *const *parts, uint32_t n, uint32_t *first)
{
    for (uint32_t i = 0; i < n; i++) {
        uint32_t at = place_in(j, parts[i]);
        if (at == UINT32_MAX)
            continue;
        if (*first != UINT32_MAX)
            join(j, *first, at);
        *first = at;
    }
}

static void join_legs(struct joining *j)
{
    struct model *m = j->w->c->model;
    for (uint32_t i = 0; i < m->legs.n; i++) {
        uint32_t first = UINT32_MAX;
        join_parts(j, m->legs.at[i]->controls.at, m->legs.at[i]->controls.n, &first);
        join_parts(j, m->legs.at[i]->loads.at, m->legs.at[i]->loads.n, &first);
    }
}

/* A leg that feeds the controls of another. */
static void join_legs_of_legs(struct joining *j)
{
    struct model *m = j->w->c->model;
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++) {
            struct part *p = &m->devices.at[i]->parts[k];
            uint32_t first = UINT32_MAX;
            if (!p->from_leg)
                continue;
            join_parts(j, &p, 1, &first);
            join_parts(j, p->from_leg->controls.at, p->from_leg->controls.n, &first);
        }
}

/* Alarms that a wire joins are on one circuit. */
static bool sounds_with_others(struct model *m, const struct device *d)
{
    bool monoxide = code_yes(&m->code, SET_ALARM_POWER_CO_INTERCONNECTED);
    return d->def->sort == SORT_ALARM && d->part_count && !d->existing &&
           !facts_device_in_list(m, d->def, LIST_ALARMS_BY_RADIO) &&
           (monoxide || facts_device_in_list(m, d->def, LIST_SMOKE_ALARM_DEVICES));
}

static void join_alarms(struct joining *j)
{
    struct model *m = j->w->c->model;
    struct map first_of = {0};
    if (!m->code.residential || !code_yes(&m->code, SET_ALARM_POWER_INTERCONNECTED))
        return;
    for (uint32_t i = 0; i < m->devices.n; i++) {
        struct device *d = m->devices.at[i];
        struct part *p = d->part_count ? &d->parts[0] : NULL;
        uint32_t at = p && sounds_with_others(m, d) ? place_in(j, p) : UINT32_MAX;
        if (at == UINT32_MAX)
            continue;
        void **first = map_at(j->w->arena, &first_of, (uintptr_t)d->box->room->unit, 1);
        if (*first)
            join(j, (uint32_t)(uintptr_t)*first - 1, at);
        *first = (void *)(uintptr_t)(at + 1);
    }
}

/* A building without a panel has one supply. */
static void join_buildings(struct joining *j)
{
    struct model *m = j->w->c->model;
    for (uint32_t i = 0; i < m->buildings.n; i++) {
        const struct building *house = m->buildings.at[i];
        uint32_t first = UINT32_MAX;
        bool own = false;
        for (uint32_t k = 0; k < m->panels.n; k++)
            own |= m->panels.at[k]->room && m->panels.at[k]->room->building == house;
        for (uint32_t r = 0; r < house->rooms.n && !own; r++)
            for (uint32_t b = 0; b < house->rooms.at[r]->boxes.n; b++) {
                const struct box *box = house->rooms.at[r]->boxes.at[b];
                for (uint32_t d = 0; d < box->device_count; d++)
                    if (box->devices[d]->part_count)
                        join_parts(j, (struct part *[]){&box->devices[d]->parts[0]}, 1, &first);
            }
    }
}

/* --- disconnects ----------------------------------------------------------------------------- */

static double feet_between(struct place3 a, struct place3 b)
{
    return fabs(length_feet(a.x - b.x)) + fabs(length_feet(a.y - b.y)) +
           fabs(length_feet(a.z - b.z));
}

static bool wants_disconnect(struct model *m, const struct device *d)
{
    return d->part_count && !d->existing && facts_device_key(m, d->def, TABLE_DISCONNECTS);
}

/* A disconnect is on the circuit of the nearest thing that wants one. */
static void join_disconnects(struct joining *j)
{
    struct model *m = j->w->c->model;
    for (uint32_t i = 0; i < m->devices.n; i++) {
        struct device *d = m->devices.at[i], *best = NULL;
        bool loose = d->part_count && !d->parts[0].leg && is_unfed(j->w, d->box) &&
                     facts_device_in_list(m, d->def, LIST_DISCONNECT_DEVICES);
        double least = INFINITY;
        for (uint32_t k = 0; k < m->devices.n && loose; k++) {
            struct device *other = m->devices.at[k];
            double feet = feet_between(d->box->place.at, other->box->place.at);
            if (other->box->room->unit == d->box->room->unit && wants_disconnect(m, other) &&
                other->parts[0].volts == d->parts[0].volts && feet < least) {
                least = feet;
                best = other;
            }
        }
        uint32_t first = UINT32_MAX;
        if (best)
            join_parts(j, (struct part *[]){&d->parts[0], &best->parts[0]}, 2, &first);
    }
}

/* --- what a piece is -------------------------------------------------------------------------- */

static bool before(const struct box *a, const struct box *b)
{
    const struct place3 x = a->place.at, y = b->place.at;
    length low = a->room->level ? a->room->level->floor : 0,
           high = b->room->level ? b->room->level->floor : 0;
    if (low != high)
        return low < high;
    if (a->room != b->room &&
        (a->room->low.x != b->room->low.x || a->room->low.y != b->room->low.y))
        return a->room->low.x != b->room->low.x ? a->room->low.x < b->room->low.x
                                                : a->room->low.y < b->room->low.y;
    if (a->place.where != b->place.where)
        return a->place.where < b->place.where;
    if (a->place.where == ON_WALL && a->place.wall != b->place.wall)
        return a->place.wall < b->place.wall;
    if (a->place.where == ON_WALL && a->place.from_left != b->place.from_left)
        return a->place.from_left < b->place.from_left;
    return x.y != y.y ? x.y < y.y : x.x != y.x ? x.x < y.x : x.z < y.z;
}

int propose_by_place(const void *a, const void *b)
{
    const struct box *x = *(struct box *const *)a, *y = *(struct box *const *)b;
    return before(x, y) ? -1 : before(y, x);
}

static int by_first_box(const void *a, const void *b)
{
    const struct piece *x = a, *y = b;
    return propose_by_place(&x->all.at[0], &y->all.at[0]);
}

/* What a part adds to the receptacles and lights of a circuit. */
static double fill_of(const struct circuit_settings *set, const struct part *part)
{
    const struct device *d = part->device;
    if (facts_is_receptacle(part))
        return 1 / set->receptacles / (d->part_count ? d->part_count : 1);
    return facts_is_outlet(part) ? 1 / set->lights : 0;
}

/* The breaker that a part asks for by its sort, before its load is known. */
static double breaker_of(const struct circuit_work *w, const struct piece *piece,
                         const struct part *part)
{
    const struct device_def *def = part->device->def;
    if (piece->two_pole && def->sort == SORT_RECEPTACLE && def->rating > 0)
        return def->rating;
    if (demand_class_of(part) == DEMAND_RANGE)
        return w->set.range_breaker;
    if (facts_is_receptacle(part) || (def->sort == SORT_EQUIPMENT && part->load <= 0))
        return w->set.receptacle_breaker;
    return w->set.light_breaker;
}

static void note_families(struct circuit_work *w, struct piece *piece, const struct part *part)
{
    struct model *m = w->c->model;
    const struct rooms *rooms = w->c->protected->rooms;
    const struct box *box = part->device->box;
    for (int f = 0; f < FAMILIES; f++) {
        const struct family *family = &facts_families[f];
        bool has = facts_is_plain_receptacle(m, part) && facts_family_has(m, rooms, family, box);
        if (has)
            piece->has |= (uint8_t)(1 << f);
        if (has)
            piece->breaker = fmax(piece->breaker, code_current(&m->code, family->rating, 0));
        if (facts_is_stranger(m, rooms, family, part))
            piece->strangers |= (uint8_t)(1 << f);
        if (has && f == FAMILY_KITCHENS &&
            room_used_as(m, box->room, LIST_SMALL_APPLIANCE_KITCHENS)) {
            piece->kitchen = box->room;
            piece->counters += facts_serves_counter(m, box);
        }
    }
}

static void describe_part(struct circuit_work *w, struct piece *piece, const struct part *part)
{
    struct model *m = w->c->model;
    const struct device *d = part->device;
    note_families(w, piece, part);
    piece->fill += fill_of(&w->set, part);
    piece->breaker = fmax(piece->breaker, breaker_of(w, piece, part));
    piece->receptacles |= facts_is_receptacle(part);
    if (facts_is_outlet(part) && !facts_is_receptacle(part))
        piece->heat &= demand_class_of(part) == DEMAND_HEAT;
    else if (facts_is_receptacle(part))
        piece->heat = false;
    if (!piece->individual && facts_individual_row(m, d) && !d->existing)
        piece->individual = d;
}

static void describe(struct circuit_work *w, struct piece *piece)
{
    const struct model *m = w->c->model;
    if (piece->boxes.n)
        qsort(piece->boxes.at, piece->boxes.n, sizeof *piece->boxes.at, propose_by_place);
    qsort(piece->all.at, piece->all.n, sizeof *piece->all.at, propose_by_place);
    piece->unit = piece->circuit ? piece->circuit->unit : piece->all.at[0]->room->unit;
    for (uint32_t i = 0; i < piece->parts.n; i++)
        piece->two_pole |= piece->parts.at[i]->volts > m->volts;
    piece->heat = piece->two_pole;
    for (uint32_t i = 0; i < piece->parts.n; i++)
        describe_part(w, piece, piece->parts.at[i]);
    if (piece->circuit)
        piece->breaker = piece->circuit->breaker;
}

/* --- panels ------------------------------------------------------------------------------------
 */

static bool may_feed(const struct panel *p, const struct piece *piece)
{
    return !p->goes && p->room && p->place.known && p->unit == piece->unit &&
           facts_known(p, ITS_TEXT);
}

/* Nearer comes first; before panels that are there already those that are new, and before all those
 * of another building the ones of its own. */
static double panel_rank(const struct panel *p, const struct box *box)
{
    double feet = feet_between(p->place.at, box->place.at);
    return feet + (p->existing ? 1e4 : 0) + (p->room->building != box->room->building ? 1e6 : 0);
}

static void choose_panel(struct circuit_work *w, struct piece *piece)
{
    struct model *m = w->c->model;
    double above = -1;
    for (uint32_t nth = 0; nth <= piece->nth_panel; nth++) {
        struct panel *best = NULL;
        double least = INFINITY;
        for (uint32_t i = 0; i < m->panels.n; i++) {
            struct panel *p = m->panels.at[i];
            double rank = may_feed(p, piece) ? panel_rank(p, piece->all.at[0]) : INFINITY;
            if (rank > above && rank < least) {
                least = rank;
                best = p;
            }
        }
        if (!best)
            return;
        piece->panel = best;
        above = least;
    }
}

void propose_choose_panels(struct circuit_work *w)
{
    for (uint32_t i = 0; i < w->pieces.n; i++)
        if (!w->pieces.at[i].circuit)
            choose_panel(w, &w->pieces.at[i]);
}

/* --- all of it ----------------------------------------------------------------------------------
 */

static struct piece *piece_of(struct circuit_work *w, struct joining *j, uint32_t *piece_at,
                              uint32_t i)
{
    uint32_t *at = &piece_at[set_of(j, i)];
    if (!*at) {
        *vec_push(w->arena, &w->pieces) = (struct piece){0};
        *at = w->pieces.n;
    }
    return &w->pieces.at[*at - 1];
}

static void add_box(struct circuit_work *w, struct piece *piece, struct box *b)
{
    *vec_push(w->arena, &piece->boxes) = b;
    *vec_push(w->arena, &piece->all) = b;
    for (uint32_t d = 0; d < b->device_count; d++)
        for (uint32_t k = 0; k < b->devices[d]->part_count; k++)
            if (b->devices[d]->def->sort != SORT_LOW_VOLTAGE && !b->devices[d]->parts[k].circuit)
                *vec_push(w->arena, &piece->parts) = &b->devices[d]->parts[k];
}

/* A circuit that is there, with what is on it: `unfed` boxes of it are to be fed by it. */
static void add_circuit(struct circuit_work *w, struct piece *piece, struct circuit *c)
{
    if (piece->circuit ||
        !is_open(c)) { /* of two circuits, or an old one: nobody may decide that */
        w->on_existing += piece->boxes.n;
        piece->boxes.n = piece->all.n = piece->parts.n = 0;
        piece->circuit = c;
        piece->panel = NULL;
        return;
    }
    piece->circuit = c;
    piece->panel = c->panel;
    const struct box *last = NULL;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        struct box *b = c->parts.at[i]->device->box;
        *vec_push(w->arena, &piece->parts) = c->parts.at[i];
        if (b != last)
            *vec_push(w->arena, &piece->all) = b;
        last = b;
    }
}

/* Which sets hold a box that is to be fed. */
static void collect(struct circuit_work *w, struct joining *j)
{
    struct model *m = w->c->model;
    uint32_t *piece_at = arena_array(w->arena, uint32_t, j->count + 1);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (is_unfed(w, m->boxes.at[i]))
            add_box(w, piece_of(w, j, piece_at, i), m->boxes.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        struct circuit *c = m->circuits.at[i];
        if (piece_at[set_of(j, j->boxes + c->id)])
            add_circuit(w, piece_of(w, j, piece_at, j->boxes + c->id), c);
    }
}

/* Circuits that are there and may take boxes. */
static void collect_open(struct circuit_work *w)
{
    struct model *m = w->c->model;
    uint32_t joined = w->pieces.n;
    for (uint32_t i = 0; i < m->circuits.n && joined; i++) {
        struct circuit *c = m->circuits.at[i];
        bool held = !is_open(c) || follows(w, c->unit);
        for (uint32_t k = 0; k < joined && !held; k++)
            held = w->pieces.at[k].circuit == c;
        if (held)
            continue;
        struct piece piece = {0};
        add_circuit(w, &piece, c);
        *vec_push(w->arena, &w->pieces) = piece;
    }
}

static void drop_empty(struct circuit_work *w)
{
    uint32_t kept = 0;
    for (uint32_t i = 0; i < w->pieces.n; i++) {
        struct piece *p = &w->pieces.at[i];
        if (!p->panel || !p->all.n) {
            w->homeless += p->boxes.n;
            continue;
        }
        w->pieces.at[kept++] = *p;
    }
    w->pieces.n = kept;
}

void propose_find_pieces(struct circuit_work *w)
{
    struct model *m = w->c->model;
    struct joining j = {.w = w, .boxes = m->boxes.n, .count = m->boxes.n + m->circuits.n};
    j.up = arena_array(w->arena, uint32_t, j.count + 1);
    note_units(w);
    for (uint32_t i = 0; i < j.count; i++)
        j.up[i] = i;
    join_legs(&j);
    join_legs_of_legs(&j);
    join_alarms(&j);
    join_buildings(&j);
    join_disconnects(&j);
    collect(w, &j);
    collect_open(w);
    for (uint32_t i = 0; i < w->pieces.n; i++)
        if (w->pieces.at[i].parts.n)
            describe(w, &w->pieces.at[i]);
    propose_choose_panels(w);
    drop_empty(w);
    if (w->pieces.n)
        qsort(w->pieces.at, w->pieces.n, sizeof *w->pieces.at, by_first_box);
}
