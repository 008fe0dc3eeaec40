/* Which loads of a plan count in a load calculation. */
#include "loads/demand_parts.h"

#include "facts/devices.h"
#include "facts/facts.h"
#include "facts/rooms.h"
#include "loads/demand.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

#include <string.h>

enum demand_class demand_class_of(const struct part *p)
{
    const struct device_def *def = p->device->def;
    enum demand_class class = p->def && p->def->has_demand ? p->def->demand : def->demand;
    bool told =
        class == DEMAND_GENERAL && def->sort == SORT_RECEPTACLE && p->load_written && p->load > 0;
    return told ? DEMAND_SPECIFIC : class;
}

bool demand_by_ampacity(const struct part *p)
{
    return !p->load_written && p->mca > 0;
}

static double va_of(const struct part *p)
{
    return demand_by_ampacity(p) ? p->mca * p->volts : p->load;
}

/* --- circuits of a use -------------------------------------------------------------------- */

static bool has_lights(const struct circuit *c)
{
    for (uint32_t i = 0; i < c->parts.n; i++)
        if (facts_is_light(c->parts.at[i]))
            return true;
    return false;
}

/* A circuit counts for small appliances, or for the laundry, where it has the rating that the book
 * asks and a receptacle in such a room. */
static uint8_t uses_of(struct model *m, const struct circuit *c)
{
    static const struct {
        uint8_t use;
        const struct current_setting *rating;
        enum book_table places;
    } uses[] = {
        {USE_SMALL_APPLIANCE, SET_SMALL_APPLIANCE_CIRCUITS_RATING, LIST_SMALL_APPLIANCE_PLACES},
        {USE_LAUNDRY, SET_LAUNDRY_CIRCUIT_RATING, LIST_LAUNDRY_PLACES}};
    uint8_t found = has_lights(c) ? USE_LIGHTING : 0;
    if (c->feeds || (c->two_pole && !c->multiwire))
        return found;
    for (size_t k = 0; k < sizeof uses / sizeof *uses; k++) {
        if (c->breaker != code_current(&m->code, uses[k].rating, 0))
            continue;
        for (uint32_t i = 0; i < c->parts.n && !(found & uses[k].use); i++) {
            const struct part *p = c->parts.at[i];
            if (p->device->def->sort == SORT_RECEPTACLE && p->device->def->outlets &&
                facts_use_in_list(m, facts_use_of_room(p->device->box->room), uses[k].places))
                found |= uses[k].use;
        }
    }
    return found;
}

/* Panels of a unit that are fed from outside it. */
static void count_unit_feeders(struct demand_frame *f)
{
    for (uint32_t i = 0; i < f->m->panels.n; i++) {
        const struct panel *p = f->m->panels.at[i];
        if (p->unit && p->feeder && p->feeder->panel && p->feeder->panel->unit != p->unit)
            f->unit_feeders[p->unit->id]++;
    }
}

struct demand_frame *demand_prepare(struct arena *arena, struct model *m)
{
    struct demand_frame *f = arena_new(arena, struct demand_frame);
    f->arena = arena;
    f->m = m;
    f->circuit_uses = arena_array(arena, uint8_t, m->circuits.n + 1);
    f->room_stamp = arena_array(arena, uint32_t, m->rooms.n + 1);
    f->panel_stamp = arena_array(arena, uint32_t, m->panels.n + 1);
    f->unit_feeders = arena_array(arena, uint32_t, m->units.n + 1);
    f->unit_rooms = arena_alloc(arena, (m->units.n + 1) * sizeof *f->unit_rooms);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        f->circuit_uses[i] = uses_of(m, m->circuits.at[i]);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (m->rooms.at[i]->unit)
            *vec_push(arena, &f->unit_rooms[m->rooms.at[i]->unit->id]) = m->rooms.at[i];
    count_unit_feeders(f);
    return f;
}

/* --- floor area --------------------------------------------------------------------------- */

static bool counts_area(const struct room *room)
{
    for (uint32_t i = 0; i < room->kind_count; i++)
        if (room->kinds[i]->counts_area)
            return true;
    return false;
}

/* Between the faces of the studs. */
double demand_area_of(const struct room *room)
{
    double twice = 0;
    if (!counts_area(room))
        return 0;
    for (uint32_t i = 0; i < room->wall_count; i++) {
        struct point a = room->walls[i].left, b = room->walls[i].right;
        twice += length_feet(a.y) * length_feet(b.x) - length_feet(a.x) * length_feet(b.y);
    }
    return (twice < 0 ? -twice : twice) / 2;
}

static void add_room(struct demand_frame *f, struct demand_loads *l, const struct room *room)
{
    if (f->room_stamp[room->id] == f->stamp)
        return;
    f->room_stamp[room->id] = f->stamp;
    l->area += demand_area_of(room);
}

/* A room that is drawn only for the old boxes in it. */
static bool is_old(const struct room *room)
{
    for (uint32_t i = 0; i < room->boxes.n; i++)
        if (!room->boxes.at[i]->existing)
            return false;
    return room->boxes.n > 0;
}

/* --- loads -------------------------------------------------------------------------------- */

/* Within the load of a circuit or of the floor area: what is plugged into a small-appliance or
 * laundry circuit, a small motor among the lights. */
static bool is_within(struct demand_frame *f, const struct part *p, enum demand_class class,
                      double va)
{
    uint8_t uses = p->circuit ? f->circuit_uses[p->circuit->id] : 0;
    if (class == DEMAND_SPECIFIC)
        return uses & (USE_SMALL_APPLIANCE | USE_LAUNDRY);
    return class == DEMAND_FIXED && uses & USE_LIGHTING && facts_is_motor(p) &&
           va < code_load(&f->m->code, SET_FLOOR_LOAD_MOTORS_BELOW, 0);
}

static void add_part(struct demand_frame *f, struct demand_loads *l, const struct part *p)
{
    double va = va_of(p);
    if (p->control || va <= 0)
        return;
    enum demand_class class = demand_class_of(p);
    if (is_within(f, p, class, va))
        class = DEMAND_GENERAL;
    bool cooks = class == DEMAND_RANGE || class == DEMAND_COOKING;
    if (cooks && va <= code_load(&f->m->code, SET_RANGE_DEMAND_FROM, 0))
        class = DEMAND_FIXED;
    *vec_push(f->arena, &l->of[class]) = (struct demand_load){p, va};
}

static void collect_devices(struct demand_frame *f, struct demand_loads *l, bool addition)
{
    for (uint32_t i = 0; i < f->m->devices.n; i++) {
        const struct device *d = f->m->devices.at[i];
        if (!facts_is_built(d->box->room->unit) || (addition && (d->existing || d->box->existing)))
            continue;
        for (uint32_t k = 0; k < d->part_count; k++)
            add_part(f, l, &d->parts[k]);
    }
}

static void collect_rooms(struct demand_frame *f, struct demand_loads *l, bool addition)
{
    for (uint32_t i = 0; i < f->m->rooms.n; i++) {
        const struct room *room = f->m->rooms.at[i];
        if (facts_is_built(room->unit) && !(addition && is_old(room)))
            add_room(f, l, room);
    }
}

static uint32_t at_least(uint32_t n, double least)
{
    return n < least ? (uint32_t)least : n;
}

/* Circuits of a use over the whole plan. A dwelling has as many as the book asks even where the
 * plan shows fewer: each unit, or the plan without units. */
static uint32_t count_circuits(struct demand_frame *f, uint8_t use,
                               const struct count_setting *asked, bool addition)
{
    struct model *m = f->m;
    uint32_t *count = arena_array(f->arena, uint32_t, m->units.n + 1), total = 0, units = 0;
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        if (facts_is_built(c->unit) && f->circuit_uses[i] & use && !(addition && c->existing))
            count[c->unit ? c->unit->id + 1 : 0] += c->multiwire ? 2 : 1;
    }
    double least = addition ? 0 : code_count(&m->code, asked, 0);
    for (uint32_t i = 0; i < m->units.n; i++)
        if (m->units.at[i]->built) {
            total += at_least(count[i + 1], least);
            units++;
        }
    return total + (units ? count[0] : at_least(count[0], least));
}

static void collect_plan(struct demand_frame *f, struct demand_loads *l, bool addition)
{
    struct model *m = f->m;
    collect_devices(f, l, addition);
    collect_rooms(f, l, addition);
    l->small_appliance =
        count_circuits(f, USE_SMALL_APPLIANCE, SET_SMALL_APPLIANCE_CIRCUITS_COUNT, addition);
    l->laundry = count_circuits(f, USE_LAUNDRY, SET_LAUNDRY_CIRCUIT_COUNT, addition);
    for (uint32_t i = 0; i < m->circuits.n && !addition; i++)
        if (m->circuits.at[i]->existing_load > 0)
            *vec_push(f->arena, &l->carried) = m->circuits.at[i];
    for (uint32_t i = 0; i < m->units.n; i++)
        l->units += m->units.at[i]->built;
}

static void collect_circuit(struct demand_frame *f, struct demand_loads *l, const struct circuit *c)
{
    uint32_t counts = c->multiwire ? 2 : 1;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        add_room(f, l, c->parts.at[i]->device->box->room);
        add_part(f, l, c->parts.at[i]);
    }
    l->small_appliance += f->circuit_uses[c->id] & USE_SMALL_APPLIANCE ? counts : 0;
    l->laundry += f->circuit_uses[c->id] & USE_LAUNDRY ? counts : 0;
    if (c->existing_load > 0)
        *vec_push(f->arena, &l->carried) = c;
}

/* The panel through which alone a unit is fed carries all of it, with the small-appliance circuits
 * that a dwelling must have; its laundry may be elsewhere. */
static void collect_unit(struct demand_frame *f, struct demand_loads *l, const struct panel *of)
{
    const struct unit *unit = of->unit;
    if (!unit || f->unit_feeders[unit->id] != 1 || !of->feeder || !of->feeder->panel ||
        of->feeder->panel->unit == unit)
        return;
    for (uint32_t i = 0; i < f->unit_rooms[unit->id].n; i++)
        add_room(f, l, f->unit_rooms[unit->id].at[i]);
    l->small_appliance = at_least(l->small_appliance,
                                  code_count(&f->m->code, SET_SMALL_APPLIANCE_CIRCUITS_COUNT, 0));
}

/* What hangs on a panel and on those it feeds. */
static void collect_panel(struct demand_frame *f, struct demand_loads *l, const struct panel *of)
{
    VEC(const struct panel *) open = {0};
    *vec_push(f->arena, &open) = of;
    f->panel_stamp[of->id] = f->stamp;
    for (uint32_t i = 0; i < open.n; i++) {
        const struct panel *p = open.at[i];
        for (uint32_t k = 0; k < p->circuits.n; k++) {
            const struct circuit *c = p->circuits.at[k];
            if (!c->feeds) {
                collect_circuit(f, l, c);
            } else if (f->panel_stamp[c->feeds->id] != f->stamp) {
                f->panel_stamp[c->feeds->id] = f->stamp;
                *vec_push(f->arena, &open) = c->feeds;
            }
        }
    }
    collect_unit(f, l, of);
}

struct demand_loads demand_collect(struct demand_frame *f, const struct panel *of, bool addition)
{
    struct demand_loads l = {0};
    f->stamp++;
    if (of)
        collect_panel(f, &l, of);
    else
        collect_plan(f, &l, addition);
    l.area_of_rooms = f->m->area <= 0 || (of && of != demand_panel_of(f->m));
    if (!l.area_of_rooms)
        l.area = f->m->area;
    return l;
}

/* --- what the plan asks for --------------------------------------------------------------- */

enum demand_method demand_method_of(const struct model *m)
{
    if (m->calculate == CALCULATE_ADDITION)
        return m->measured > 0 ? METHOD_MEASURED : METHOD_EXISTING;
    return METHOD_STANDARD;
}

/* The first new panel that another one feeds. */
const struct panel *demand_panel_of(const struct model *m)
{
    for (uint32_t i = 0; i < m->panels.n && m->calculate == CALCULATE_FEEDER; i++) {
        const struct panel *p = m->panels.at[i];
        if (p->feeder && !p->existing && facts_is_built(p->unit))
            return p;
    }
    return NULL;
}
