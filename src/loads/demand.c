/* The methods of a load calculation, step by step. */
#include "loads/demand.h"

#include "loads/demand_parts.h"
#include "model/address.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "model/site.h"
#include "resolve/value.h"

#include "facts/conductors.h"
#include "facts/devices.h"

#include <math.h>
#include <string.h>

/* A calculation under way. */
struct work {
    struct demand_frame *f;
    struct model *m;
    struct code *code;
    struct demand_loads loads;
    struct demand *d;
    double sum; /* of what a later row reduces as a whole */
    struct demand_load
        motor; /* the largest one that counts; its part is NULL where there is none */
};

/* --- rows --------------------------------------------------------------------------------- */

static struct demand_row *add_row(struct work *w, const char *item, double va, double factor,
                                  const char *article)
{
    struct demand_row *row = vec_push(w->f->arena, &w->d->rows);
    *row = (struct demand_row){
        .item = item, .va = va, .factor = factor, .demand = va * factor, .article = article};
    w->d->va += row->demand;
    return row;
}

/* A row whose demand a later row gives, with others. */
static struct demand_row *add_step(struct work *w, const char *item, double va, const char *article)
{
    struct demand_row *row = vec_push(w->f->arena, &w->d->rows);
    *row = (struct demand_row){
        .item = item, .va = va, .factor = NAN, .demand = NAN, .article = article};
    w->sum += va;
    return row;
}

/* A row whose demand is not its load times a factor of the book: the factor is what comes of it. */
static void add_demand(struct work *w, const char *item, double va, double demand,
                       const char *article)
{
    struct demand_row *row = add_row(w, item, va, va > 0 ? demand / va : 1, article);
    w->d->va += demand - row->demand;
    row->demand = demand;
}

/* The part of the neutral: what runs from a line to it, in full or in part. */
static void add_neutral(struct work *w, double demand)
{
    w->d->neutral_va += demand;
}

static const char *source_of(struct work *w, enum book_table table)
{
    const struct table *t = code_table(w->code, table);
    return t ? t->source : NULL;
}

static const char *step_article(struct work *w, const char *step)
{
    return code_row_article(w->code, COL_LOAD_ARTICLES_ARTICLE, step);
}

/* "water-heater, store.W1" */
static const char *part_words(struct work *w, const struct part *p)
{
    const struct device *d = p->device;
    const char *box = address_of_box(w->f->arena, d->box, false),
               *part = p->def && p->def->has_demand ? p->def->name : NULL;
    if (d->title)
        return arena_printf(w->f->arena, "%s %s, %s", d->def->name, d->title, box);
    return arena_printf(w->f->arena, "%s%s%s, %s", d->def->name, part ? " " : "", part ? part : "",
                        box);
}

/* Whether a part is between a line and the neutral alone. */
static bool on_neutral(struct work *w, const struct part *p)
{
    return p->volts <= w->m->volts;
}

/* Of equal motors the first by name, whatever the order of the text. */
static void note_motor(struct work *w, const struct demand_load *l)
{
    if (!facts_is_motor(l->part))
        return;
    bool named_before = w->motor.part && l->va == w->motor.va &&
                        strcmp(address_of_box(w->f->arena, l->part->device->box, false),
                               address_of_box(w->f->arena, w->motor.part->device->box, false)) < 0;
    if (l->va > w->motor.va || named_before)
        w->motor = *l;
}

/* What the largest motor adds to its load: nothing where that is its nameplate's minimum circuit
 * ampacity, which has the quarter more in it (440.33). */
static double motor_more(struct work *w, const struct demand_load *motor)
{
    return motor->part && !demand_by_ampacity(motor->part)
               ? motor->va * code_share(w->code, SET_LARGEST_MOTOR_MORE, 0)
               : 0;
}

static bool for_addition(const struct model *m, enum demand_method method)
{
    return method == METHOD_EXISTING || method == METHOD_MEASURED ||
           m->calculate == CALCULATE_ADDITION;
}

/* --- lighting, small appliances, laundry -------------------------------------------------- */

static const char *area_words(struct work *w, double each)
{
    return arena_printf(w->f->arena, "lighting and general receptacles, %.0f ft2%s at %g VA/ft2",
                        w->loads.area, for_addition(w->m, w->d->method) ? " of the addition" : "",
                        each);
}

/* The general load, each part by `add`: as a step, or in full. */
static void general_parts(struct work *w, bool in_full)
{
    const struct demand_loads *l = &w->loads;
    double each = code_area_load(w->code, SET_FLOOR_LOAD_EACH, 0);
    const struct {
        const char *item;
        double va;
        const char *article;
    } parts[] = {
        {area_words(w, each), w->loads.area * each, source_of(w, TABLE_FLOOR_LOAD)},
        {arena_counted(w->f->arena, l->small_appliance, "small-appliance circuit",
                       "small-appliance circuits"),
         l->small_appliance * code_load(w->code, SET_SMALL_APPLIANCE_CIRCUITS_LOAD, 0),
         step_article(w, "small-appliance")},
        {arena_counted(w->f->arena, l->laundry, "laundry circuit", "laundry circuits"),
         l->laundry * code_load(w->code, SET_LAUNDRY_CIRCUIT_LOAD, 0), step_article(w, "laundry")},
    };
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        if (parts[i].va <= 0)
            continue;
        if (in_full)
            add_neutral(w, add_row(w, parts[i].item, parts[i].va, 1, parts[i].article)->demand);
        else
            add_step(w, parts[i].item, parts[i].va, parts[i].article);
    }
}

static const char *tier_words(struct work *w, double above, double to)
{
    if (above <= 0)
        return arena_printf(w->f->arena, "of it the first %g VA", to);
    if (to <= 0)
        return arena_printf(w->f->arena, "of it above %g VA", above);
    return arena_printf(w->f->arena, "of it from %g to %g VA", above, to);
}

/* The general load through the demand factors, tier by tier. */
static void general_load(struct work *w)
{
    general_parts(w, false);
    const struct table *t = code_table(w->code, TABLE_LIGHTING_DEMAND);
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double above = code_row_load(w->code, COL_LIGHTING_DEMAND_ABOVE, i, 0),
               to = code_row_load(w->code, COL_LIGHTING_DEMAND_TO, i, 0);
        double within = (to > 0 && w->sum > to ? to : w->sum) - above;
        if (within > 0)
            add_neutral(w, add_row(w, tier_words(w, above, to), within,
                                   code_row_share(w->code, COL_LIGHTING_DEMAND_FACTOR, i, 1),
                                   t->source)
                               ->demand);
    }
    w->sum = 0;
}

/* --- appliances --------------------------------------------------------------------------- */

static void single(struct work *w, const struct demand_load *l, double factor, const char *article)
{
    struct demand_row *row = add_row(w, part_words(w, l->part), l->va, factor, article);
    row->unit = l->part->device->box->room->unit;
    if (on_neutral(w, l->part))
        add_neutral(w, row->demand);
    note_motor(w, l);
}

static void each_in_full(struct work *w, enum demand_class class, const char *article)
{
    for (uint32_t i = 0; i < w->loads.of[class].n; i++)
        single(w, &w->loads.of[class].at[i], 1, article);
}

static bool vehicles_count_as_fixed(struct work *w)
{
    return code_yes(w->code, SET_FIXED_APPLIANCE_DEMAND_EV_COUNTS);
}

/* What a vehicle's supply counts for: its rating, or the edition's least. */
static struct demand_load vehicle_load(struct work *w, struct demand_load l)
{
    double least = code_load(w->code, SET_EV_LOAD_AT_LEAST, 0);
    l.va = (l.va < least ? least : l.va) * code_share(w->code, SET_EV_LOAD_SHARE, 1);
    return l;
}

/* Appliances fastened in place: where there are enough of some size, each of these at the factor;
 * the others in full. */
static void fixed_appliances(struct work *w, bool reduced)
{
    double counts_from = code_load(w->code, SET_FIXED_APPLIANCE_DEMAND_COUNTS_FROM, 0), count = 0;
    demand_list list = {0};
    for (uint32_t i = 0; i < w->loads.of[DEMAND_FIXED].n; i++)
        *vec_push(w->f->arena, &list) = w->loads.of[DEMAND_FIXED].at[i];
    bool vehicles = vehicles_count_as_fixed(w);
    for (uint32_t i = 0; vehicles && i < w->loads.of[DEMAND_VEHICLE].n; i++)
        *vec_push(w->f->arena, &list) = vehicle_load(w, w->loads.of[DEMAND_VEHICLE].at[i]);
    for (uint32_t i = 0; i < list.n; i++)
        count += list.at[i].va >= counts_from;
    bool enough = reduced && count >= code_count(w->code, SET_FIXED_APPLIANCE_DEMAND_FROM, 0);
    double factor = enough ? code_share(w->code, SET_FIXED_APPLIANCE_DEMAND_FACTOR, 1) : 1;
    for (uint32_t i = 0; i < list.n; i++)
        single(w, &list.at[i], list.at[i].va >= counts_from ? factor : 1,
               source_of(w, TABLE_FIXED_APPLIANCE_DEMAND));
    for (uint32_t i = 0; !vehicles && i < w->loads.of[DEMAND_VEHICLE].n; i++) {
        struct demand_load l = vehicle_load(w, w->loads.of[DEMAND_VEHICLE].at[i]);
        single(w, &l, 1, source_of(w, TABLE_EV_LOAD));
    }
}

/* The share of the neutral that ranges and dryers load. */
static void reduced_neutral(struct work *w, double demand)
{
    add_neutral(w, demand * code_share(w->code, SET_NEUTRAL_DEMAND_RANGE_AND_DRYER, 1));
}

static void cooking(struct work *w)
{
    const demand_list *lists[] = {&w->loads.of[DEMAND_RANGE], &w->loads.of[DEMAND_COOKING]};
    uint32_t count = lists[0]->n + lists[1]->n, n = 0;
    if (!count)
        return;
    double *ratings = arena_array(w->f->arena, double, count), with_neutral = 0, va = 0;
    for (int k = 0; k < 2; k++)
        for (uint32_t i = 0; i < lists[k]->n; i++) {
            ratings[n++] = lists[k]->at[i].va;
            va += lists[k]->at[i].va;
            with_neutral += lists[k]->at[i].part->device->def->has_neutral ? lists[k]->at[i].va : 0;
        }
    const char *how, *source = source_of(w, TABLE_RANGE_DEMAND);
    double demand = demand_of_ranges(w->m, ratings, count, &how);
    add_demand(w,
               arena_counted(w->f->arena, count, "range or cooking appliance",
                             "ranges and cooking appliances"),
               va, demand, source ? arena_printf(w->f->arena, "%s, %s", source, how) : NULL);
    reduced_neutral(w, demand * with_neutral / va);
}

/* A factor by number: the last row that is not above it. */
static double factor_for(struct work *w, const struct count_column *from,
                         const struct share_column *factor, uint32_t count)
{
    struct table *t = code_table(w->code, from->is.table);
    double best = 1;
    for (uint32_t i = 0; t && i < t->rows.n; i++)
        if (code_row_count(w->code, from, i, 0) <= count)
            best = code_row_share(w->code, factor, i, 1);
    return best;
}

static void dryers(struct work *w)
{
    const demand_list *list = &w->loads.of[DEMAND_DRYER];
    double least = code_load(w->code, SET_DRYER_DEMAND_AT_LEAST, 0), va = 0, with_neutral = 0;
    for (uint32_t i = 0; i < list->n; i++) {
        double each = list->at[i].va < least ? least : list->at[i].va;
        va += each;
        with_neutral += list->at[i].part->device->def->has_neutral ? each : 0;
    }
    if (!list->n)
        return;
    const struct demand_row *row =
        add_row(w, arena_counted(w->f->arena, list->n, "clothes dryer", "clothes dryers"), va,
                factor_for(w, COL_DRYER_DEMAND_COUNT, COL_DRYER_DEMAND_FACTOR, list->n),
                source_of(w, TABLE_DRYER_DEMAND));
    reduced_neutral(w, with_neutral * row->factor);
}

/* What circuits carry already: of unknown sort, so in full, and on the neutral. */
static void carried(struct work *w, bool step)
{
    for (uint32_t i = 0; i < w->loads.carried.n; i++) {
        const struct circuit *c = w->loads.carried.at[i];
        const char *item = arena_printf(w->f->arena, "circuit %s, what it carries already",
                                        address_called_as_written(w->f->arena, c, false));
        struct demand_row *row =
            step ? add_step(w, item, c->existing_load, step_article(w, "carried"))
                 : add_row(w, item, c->existing_load, 1, step_article(w, "carried"));
        row->unit = c->unit;
        if (!step)
            add_neutral(w, c->existing_load);
    }
}

/* --- heating and cooling ------------------------------------------------------------------ */

/* Groups of heating and cooling loads, each of which runs together. Heat pumps heat and cool. */
enum { COOLING, HEAT_PUMP, BACKUP, HEAT, STORAGE_HEAT, CLIMATES };

struct climate {
    double va, neutral_va;
    uint32_t count, controls; /* machines; controls that work them: those of one leg have one */
    const struct demand_load *motor;
};

static uint32_t count_controls(struct work *w, const struct part *p, struct map *legs)
{
    if (!p->leg)
        return 1;
    void **seen = map_at(w->f->arena, legs, 0, (uintptr_t)p->leg);
    uint32_t more = !*seen;
    *seen = p->leg;
    return more;
}

static struct climate climate_of(struct work *w, enum demand_class class, bool backup)
{
    struct climate c = {0};
    struct map legs = {0};
    const demand_list *list = &w->loads.of[class];
    for (uint32_t i = 0; i < list->n; i++) {
        const struct demand_load *l = &list->at[i];
        if ((l->part->backup_of != NULL) != backup)
            continue;
        c.va += l->va;
        c.neutral_va += on_neutral(w, l->part) ? l->va : 0;
        c.count++;
        c.controls += count_controls(w, l->part, &legs);
        if (facts_is_motor(l->part) && (!c.motor || l->va > c.motor->va))
            c.motor = l;
    }
    return c;
}

static void find_climates(struct work *w, struct climate list[CLIMATES])
{
    list[COOLING] = climate_of(w, DEMAND_COOLING, false);
    list[HEAT_PUMP] = climate_of(w, DEMAND_HEAT_PUMP, false);
    list[BACKUP] = climate_of(w, DEMAND_HEAT, true);
    list[HEAT] = climate_of(w, DEMAND_HEAT, false);
    list[STORAGE_HEAT] = climate_of(w, DEMAND_STORAGE_HEAT, false);
}

static const char *climate_words(struct work *w, int which, const struct climate *c)
{
    static const char *const words[CLIMATES] = {
        "cooling", "heat pumps", "heat that backs up a heat pump", "electric heat", "storage heat"};
    const char *controls =
        c->controls < c->count
            ? arena_printf(w->f->arena, " on %s",
                           arena_counted(w->f->arena, c->controls, "control", "controls"))
            : "";
    return arena_printf(w->f->arena, "%s, %u%s", words[which], c->count, controls);
}

static void climate_row(struct work *w, int which, const struct climate *c, double factor,
                        const char *article)
{
    if (c->va <= 0)
        return;
    add_row(w, climate_words(w, which, c), c->va, factor, article);
    add_neutral(w, c->neutral_va * factor);
    if (factor > 0 && c->motor)
        note_motor(w, c->motor);
}

/* What the largest motor adds, among those that count so far and two groups more. */
static double more_with(struct work *w, const struct climate *a, const struct climate *b)
{
    const struct demand_load *largest =
        a->motor && a->motor->va > w->motor.va ? a->motor : &w->motor;
    return motor_more(w, b->motor && b->motor->va > largest->va ? b->motor : largest);
}

/* Heating in winter or cooling in summer, whichever makes the larger total: heat pumps run in both.
 */
static void heat_or_cooling(struct work *w)
{
    struct climate list[CLIMATES];
    find_climates(w, list);
    double winter = list[HEAT].va + list[BACKUP].va + list[STORAGE_HEAT].va +
                    more_with(w, &list[HEAT_PUMP], &list[HEAT]);
    bool cools = list[COOLING].va + more_with(w, &list[HEAT_PUMP], &list[COOLING]) > winter;
    const char *larger = source_of(w, TABLE_HEAT_OR_COOLING),
               *heat = cools ? larger : step_article(w, "heat");
    climate_row(w, HEAT_PUMP, &list[HEAT_PUMP], 1, step_article(w, "cooling"));
    climate_row(w, HEAT, &list[HEAT], !cools, heat);
    climate_row(w, BACKUP, &list[BACKUP], !cools, heat);
    climate_row(w, STORAGE_HEAT, &list[STORAGE_HEAT], !cools, heat);
    climate_row(w, COOLING, &list[COOLING], cools, cools ? step_article(w, "cooling") : larger);
}

static void largest_motor(struct work *w)
{
    const struct part *motor = w->motor.part;
    if (motor_more(w, &w->motor) <= 0)
        return;
    const char *item =
        arena_printf(w->f->arena, "more for the largest motor: %s", part_words(w, motor));
    struct demand_row *row =
        add_row(w, item, w->motor.va, code_share(w->code, SET_LARGEST_MOTOR_MORE, 0),
                source_of(w, TABLE_LARGEST_MOTOR));
    row->unit = motor->device->box->room->unit;
    if (on_neutral(w, motor))
        add_neutral(w, row->demand);
}

/* --- the standard method ------------------------------------------------------------------ */

static void standard(struct work *w)
{
    general_load(w);
    fixed_appliances(w, true);
    each_in_full(w, DEMAND_SPECIFIC, step_article(w, "specific"));
    each_in_full(w, DEMAND_EQUIPMENT, step_article(w, "equipment"));
    cooking(w);
    dryers(w);
    heat_or_cooling(w);
    carried(w, false);
    largest_motor(w);
}

/* --- methods that reduce the sum of all --------------------------------------------------- */

static void nameplates(struct work *w, const char *article)
{
    static const enum demand_class classes[] = {DEMAND_FIXED,  DEMAND_SPECIFIC, DEMAND_EQUIPMENT,
                                                DEMAND_RANGE,  DEMAND_COOKING,  DEMAND_DRYER,
                                                DEMAND_VEHICLE};
    for (size_t k = 0; k < sizeof classes / sizeof *classes; k++)
        for (uint32_t i = 0; i < w->loads.of[classes[k]].n; i++) {
            struct demand_load l = w->loads.of[classes[k]].at[i];
            if (classes[k] == DEMAND_VEHICLE)
                l = vehicle_load(w, l);
            add_step(w, part_words(w, l.part), l.va,
                     classes[k] == DEMAND_VEHICLE ? source_of(w, TABLE_EV_LOAD) : article)
                ->unit = l.part->device->box->room->unit;
        }
    carried(w, true);
}

/* A method by which the first part of a sum counts in full and the rest at a factor. */
struct reduction {
    enum book_table table;
    const struct load_setting *first;
    const struct share_setting *rest;
};

static const struct reduction by_optional = {TABLE_OPTIONAL_METHOD, SET_OPTIONAL_METHOD_FIRST,
                                             SET_OPTIONAL_METHOD_REST};
static const struct reduction by_existing = {TABLE_EXISTING_METHOD, SET_EXISTING_METHOD_FIRST,
                                             SET_EXISTING_METHOD_REST};

static double reduced(struct work *w, const struct reduction *by, double sum)
{
    double first = code_load(w->code, by->first, 0);
    return sum < first ? sum : first + (sum - first) * code_share(w->code, by->rest, 1);
}

static void first_and_rest(struct work *w, const struct reduction *by)
{
    double first = code_load(w->code, by->first, 0), within = w->sum < first ? w->sum : first;
    if (within > 0)
        add_row(w, arena_printf(w->f->arena, "of it the first %g VA", first), within, 1,
                source_of(w, by->table));
    if (w->sum > first)
        add_row(w, arena_printf(w->f->arena, "of it the rest"), w->sum - first,
                code_share(w->code, by->rest, 1), source_of(w, by->table));
    w->sum = 0;
}

/* The selections of 220.82(C): of each the groups that run together, and the settings that say
 * their factors. Only the largest selection counts. */
static void optional_climate(struct work *w)
{
    struct climate list[CLIMATES];
    find_climates(w, list);
    bool few = list[HEAT].controls < code_count(w->code, SET_OPTIONAL_METHOD_MANY_FROM, 0);
    const struct share_setting *const selections[][CLIMATES] = {
        {[COOLING] = SET_OPTIONAL_METHOD_COOLING, [HEAT_PUMP] = SET_OPTIONAL_METHOD_COOLING},
        {[HEAT_PUMP] = SET_OPTIONAL_METHOD_HEAT_PUMP, [BACKUP] = SET_OPTIONAL_METHOD_SUPPLEMENTAL},
        {[HEAT] = few ? SET_OPTIONAL_METHOD_FEW_HEATERS : SET_OPTIONAL_METHOD_MANY_HEATERS},
        {[STORAGE_HEAT] = SET_OPTIONAL_METHOD_STORAGE_HEAT},
    };
    double factors[CLIMATES] = {0}, most = -1;
    for (size_t i = 0; i < sizeof selections / sizeof *selections; i++) {
        double demand = 0, each[CLIMATES] = {0};
        for (int k = 0; k < CLIMATES; k++) {
            each[k] = selections[i][k] ? code_share(w->code, selections[i][k], 1) : 0;
            demand += list[k].va * each[k];
        }
        if (demand <= most)
            continue;
        most = demand;
        memcpy(factors, each, sizeof factors);
    }
    for (int k = 0; k < CLIMATES; k++)
        climate_row(w, k, &list[k], factors[k], source_of(w, TABLE_OPTIONAL_METHOD));
}

/* --- several dwelling units by the optional method ---------------------------------------- */

static const struct unit *unit_of(const struct demand_load *l)
{
    return l->part->device->box->room->unit;
}

/* Moves what is in no dwelling unit into loads of its own: the house loads. An area that the plan
 * writes is all the units'. */
static struct demand_loads take_house_loads(struct work *w)
{
    struct demand_loads house = {.area = w->loads.area},
                        units = {.area_of_rooms = w->loads.area_of_rooms,
                                 .small_appliance = w->loads.small_appliance,
                                 .laundry = w->loads.laundry,
                                 .units = w->loads.units};
    for (int class = 0; class < DEMAND_CLASSES; class ++)
        for (uint32_t i = 0; i < w->loads.of[class].n; i++) {
            const struct demand_load *l = &w->loads.of[class].at[i];
            *vec_push(w->f->arena, unit_of(l) ? &units.of[class] : &house.of[class]) = *l;
        }
    for (uint32_t i = 0; i < w->loads.carried.n; i++)
        if (w->loads.carried.at[i]->unit)
            *vec_push(w->f->arena, &units.carried) = w->loads.carried.at[i];
        else
            *vec_push(w->f->arena, &house.carried) = w->loads.carried.at[i];
    for (uint32_t i = 0; i < w->m->rooms.n; i++)
        if (w->m->rooms.at[i]->unit && w->m->rooms.at[i]->unit->built)
            units.area += demand_area_of(w->m->rooms.at[i]);
    units.area = units.area_of_rooms ? units.area : house.area;
    house.area -= units.area;
    w->loads = units;
    return house;
}

/* Whether each unit has electric cooking, and heat or cooling: else the method is not for them. */
static void note_unfit_units(struct work *w)
{
    enum { COOKS = 1, HEATS = 2 };
    static const enum demand_class asked[] = {DEMAND_RANGE,   DEMAND_COOKING,
                                              DEMAND_HEAT,    DEMAND_STORAGE_HEAT,
                                              DEMAND_COOLING, DEMAND_HEAT_PUMP};
    uint8_t *has = arena_array(w->f->arena, uint8_t, w->m->units.n + 1);
    for (size_t k = 0; k < sizeof asked / sizeof *asked; k++)
        for (uint32_t i = 0; i < w->loads.of[asked[k]].n; i++)
            has[unit_of(&w->loads.of[asked[k]].at[i])->id] |=
                asked[k] == DEMAND_RANGE || asked[k] == DEMAND_COOKING ? COOKS : HEATS;
    for (uint32_t i = 0; i < w->m->units.n; i++) {
        const struct unit *unit = w->m->units.at[i];
        if (!unit->built || has[unit->id] == (COOKS | HEATS))
            continue;
        *vec_push(w->f->arena, &w->d->notes) = arena_printf(
            w->f->arena,
            "The optional method is for units that all have electric cooking, and electric heat or "
            "cooling (%s); unit %s lacks %s. Use the standard method.",
            source_of(w, TABLE_MULTIFAMILY_METHOD), unit->name,
            has[unit->id] & COOKS ? "electric heat or cooling" : "electric cooking");
        return;
    }
}

/* All units' loads at nameplate, of heat and cooling the larger, at a factor by their number; the
 * house loads besides by the standard method. */
static void multifamily(struct work *w)
{
    const char *source = source_of(w, TABLE_MULTIFAMILY_METHOD);
    struct work house = *w;
    struct demand_loads all = w->loads;
    house.loads = take_house_loads(w);
    w->d->multifamily = true;
    struct climate list[CLIMATES];
    find_climates(w, list);
    bool cools = list[COOLING].va > list[HEAT].va + list[BACKUP].va + list[STORAGE_HEAT].va;
    general_parts(w, false);
    nameplates(w, source);
    for (int k = 0; k < CLIMATES; k++)
        if (list[k].va > 0 && (k == HEAT_PUMP || (k == COOLING) == cools))
            add_step(w, climate_words(w, k, &list[k]), list[k].va, source);
    add_row(
        w,
        arena_printf(w->f->arena, "of it, %s",
                     arena_counted(w->f->arena, w->loads.units, "dwelling unit", "dwelling units")),
        w->sum,
        factor_for(w, COL_MULTIFAMILY_METHOD_UNITS, COL_MULTIFAMILY_METHOD_FACTOR, w->loads.units),
        source);
    w->sum = 0;
    standard(&house);
    note_unfit_units(w);
    w->loads = all;
}

static void optional(struct work *w)
{
    double from = code_count(w->code, SET_MULTIFAMILY_METHOD_FROM, 0);
    if (from > 0 && w->loads.units >= from) {
        multifamily(w);
        return;
    }
    general_parts(w, false);
    nameplates(w, source_of(w, TABLE_OPTIONAL_METHOD));
    first_and_rest(w, &by_optional);
    optional_climate(w);
}

/* --- additions ---------------------------------------------------------------------------- */

/* Heat on enough controls counts among the other loads, whose rest is reduced; else in full, like
 * cooling. The season with the larger total counts. */
static void existing_climate(struct work *w)
{
    struct climate list[CLIMATES];
    find_climates(w, list);
    double full = code_share(w->code, SET_EXISTING_METHOD_HEAT_OR_COOLING, 1);
    bool many = list[HEAT].controls >= code_count(w->code, SET_EXISTING_METHOD_MANY_FROM, 0);
    double winter = list[HEAT].va + list[BACKUP].va + list[STORAGE_HEAT].va;
    if (many)
        winter +=
            (reduced(w, &by_existing, w->sum + list[HEAT].va) - reduced(w, &by_existing, w->sum)) /
                full -
            list[HEAT].va;
    bool cools = list[COOLING].va > winter;
    const char *source = source_of(w, TABLE_EXISTING_METHOD);
    if (many && !cools)
        add_step(
            w,
            arena_printf(w->f->arena, "electric heat, %u on %s", list[HEAT].count,
                         arena_counted(w->f->arena, list[HEAT].controls, "control", "controls")),
            list[HEAT].va, source);
    first_and_rest(w, &by_existing);
    for (int k = 0; k < CLIMATES; k++)
        if (k != HEAT || !many || cools)
            climate_row(w, k, &list[k], k == HEAT_PUMP || (k == COOLING) == cools ? full : 0,
                        source);
}

static void existing(struct work *w)
{
    for (uint32_t i = 0; i < w->m->existing_loads.n; i++) {
        const struct existing_load *e = &w->m->existing_loads.at[i];
        add_step(w, arena_printf(w->f->arena, "there already: %s", e->what ? e->what : "the house"),
                 e->va, step_article(w, "existing"));
    }
    w->d->known = w->m->existing_loads.n > 0;
    general_parts(w, false);
    nameplates(w, source_of(w, TABLE_EXISTING_METHOD));
    existing_climate(w);
}

/* The new load in full beside what was measured: the factors that ranges and dryers have are of the
 * things themselves. */
static void measured(struct work *w)
{
    w->d->known = w->m->measured > 0;
    if (w->d->known)
        add_row(w, arena_printf(w->f->arena, "measured, %g A", w->m->measured),
                w->m->measured * w->m->line_volts,
                code_share(w->code, SET_MEASURED_METHOD_FACTOR, 1),
                source_of(w, TABLE_MEASURED_METHOD));
    general_parts(w, true);
    fixed_appliances(w, false);
    each_in_full(w, DEMAND_SPECIFIC, step_article(w, "specific"));
    each_in_full(w, DEMAND_EQUIPMENT, step_article(w, "equipment"));
    cooking(w);
    dryers(w);
    heat_or_cooling(w);
    largest_motor(w);
}

/* --- results ------------------------------------------------------------------------------ */

double demand_rounded(struct code *code, double amps)
{
    double drop_below = code_current(code, SET_LOAD_ROUNDING_DROP_BELOW, 0), whole = floor(amps);
    return amps - whole < drop_below ? whole : whole + 1;
}

static void set_minimum(struct work *w, bool addition)
{
    double least = 0, amps = demand_rounded(w->code, w->d->amps);
    if (!w->d->panel && !addition && w->m->calculate != CALCULATE_FEEDER)
        least = code_current(
            w->code, w->loads.units > 1 ? SET_SERVICE_SIZES_OTHER : SET_SERVICE_SIZES_ONE_FAMILY,
            0);
    if (w->d->method == METHOD_OPTIONAL && !w->d->multifamily)
        least = fmax(least, code_current(w->code, SET_OPTIONAL_METHOD_SERVICE_FROM, 0));
    w->d->minimum = facts_standard_rating(w->code, amps < least ? least : amps, true);
}

static void note(struct work *w, const char *text)
{
    *vec_push(w->f->arena, &w->d->notes) = text;
}

/* How many circuits the load of the floor area wants: by each rating that such circuits have. The
 * edition may count more for them than for the load. */
static void note_lighting_circuits(struct work *w)
{
    const struct table *t = code_table(w->code, LIST_GENERAL_CIRCUITS);
    struct arena *a = w->f->arena;
    double each = code_area_load(w->code, SET_FLOOR_LOAD_CIRCUITS_EACH, 0), va = w->d->area * each;
    bool other = each != code_area_load(w->code, SET_FLOOR_LOAD_EACH, 0);
    const char *words = "", *by = other ? arena_printf(a, ", counted at %g VA/ft2", each) : "";
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double rating = value_amount(&t->rows.at[i].cells[0], 0);
        if (rating > 0 && w->m->volts > 0)
            words = arena_printf(a, "%s%s%.0f of %g A", words, i ? " or " : "",
                                 ceil(va / w->m->volts / rating - 1e-9), rating);
    }
    if (*words && va > 0)
        note(w,
             arena_printf(a, "Circuits for lighting and general receptacles%s: at least %s (%s).",
                          by, words, t->source));
}

/* Where the optional method may not be used. */
static void note_optional(struct work *w)
{
    struct arena *a = w->f->arena;
    const char *source = source_of(w, TABLE_OPTIONAL_METHOD);
    note(w, arena_printf(a,
                         "The optional method is for one dwelling whose whole load is on one "
                         "service or feeder of %g A or more (%s).",
                         code_current(w->code, SET_OPTIONAL_METHOD_SERVICE_FROM, 0), source));
    if (w->loads.units > 1)
        note(w,
             arena_printf(a,
                          "This plan has %u dwelling units, so that the method is not for it: what "
                          "stands here is no calculation for the whole. Use the standard method.",
                          w->loads.units));
    if (w->loads.of[DEMAND_HEAT_PUMP].n && climate_of(w, DEMAND_HEAT, false).va > 0)
        note(w, arena_printf(a,
                             "Of heat pumps and other electric heat only the larger counts here "
                             "(%s, C). Heat that runs beside a heat pump is its `backup of`.",
                             source));
}

/* An old service panel: what hangs on it counts only as far as the plan lists it. */
static void note_old_panels(struct work *w)
{
    for (uint32_t i = 0; i < w->m->panels.n; i++) {
        const struct panel *p = w->m->panels.at[i];
        if (!p->existing || p->feeder)
            continue;
        note(w, arena_printf(w->f->arena,
                             "Panel %s is there already: of what hangs on it only the circuits "
                             "count whose load the plan says. For the whole: `calculate addition`.",
                             address_of_panel(w->f->arena, p, false)));
        return;
    }
}

static void add_notes(struct work *w, bool addition)
{
    struct arena *a = w->f->arena;
    note_lighting_circuits(w);
    note(w, "The lines are taken as evenly loaded; report panel shows what each of them carries.");
    if (w->loads.area_of_rooms && w->d->lighting_va > 0)
        note(w, "The floor area is that of the rooms, between the studs. The code counts the "
                "outside measures: write `area` in the plan where they matter.");
    if (addition && !w->loads.area_of_rooms)
        note(w,
             "The area that is written counts as the area of the addition: the house has its load "
             "in what is there already.");
    if (!w->d->known)
        note(w, w->d->method == METHOD_MEASURED
                    ? "The plan does not say what was measured: write `existing 62 A measured` in "
                      "it. Without it this is the new load alone."
                    : "The plan does not say what the house has already: write `existing 14.2 kVA` "
                      "in it. Without it this is the new load alone.");
    if (!addition && !w->d->panel)
        note_old_panels(w);
    if (w->d->method == METHOD_OPTIONAL && !w->d->multifamily)
        note_optional(w);
    if (w->m->service > 0 && w->d->known && !w->d->panel)
        note(w, arena_printf(a, "The service is %g A: %s.", w->m->service,
                             demand_rounded(w->code, w->d->amps) <= w->m->service
                                 ? "it carries this load"
                                 : "it does not carry this load"));
    if (addition)
        note(w, "The neutral of the load that is there already is not known.");
}

/* The neutral of a dwelling is found by 220.61 from the standard method whatever the method of the
 * lines. */
static void neutral_by_standard(struct work *w)
{
    struct demand lines = {0};
    struct work neutral = {.f = w->f, .m = w->m, .code = w->code, .loads = w->loads, .d = &lines};
    lines.area = w->d->area;
    lines.lighting_va = w->d->lighting_va;
    standard(&neutral);
    w->d->neutral_va = lines.neutral_va;
}

/* A large neutral may be reduced once more, in what is above a limit. */
static double reduced_above(struct work *w, double amps)
{
    double limit = code_current(w->code, SET_NEUTRAL_DEMAND_ABOVE, 0);
    return limit > 0 && amps > limit
               ? limit + (amps - limit) * code_share(w->code, SET_NEUTRAL_DEMAND_REST, 1)
               : amps;
}

struct demand *demand_work_out(struct demand_frame *f, enum demand_method method,
                               const struct panel *of)
{
    static void (*const methods[METHOD_COUNT])(struct work *) = {standard, optional, existing,
                                                                 measured};
    struct model *m = f->m;
    bool addition = for_addition(m, method) && !of;
    struct demand *d = arena_new(f->arena, struct demand);
    struct work w = {
        .f = f, .m = m, .code = &m->code, .d = d, .loads = demand_collect(f, of, addition)};
    *d = (struct demand){.method = method, .panel = of, .known = true, .area = w.loads.area};
    d->lighting_va = d->area * code_area_load(&m->code, SET_FLOOR_LOAD_EACH, 0);
    methods[method](&w);
    if (method == METHOD_OPTIONAL)
        neutral_by_standard(&w);
    d->amps = m->line_volts > 0 ? d->va / m->line_volts : 0;
    bool known = method == METHOD_STANDARD || method == METHOD_OPTIONAL;
    d->neutral_va = known ? d->neutral_va : NAN;
    d->neutral_amps =
        known && m->line_volts > 0 ? reduced_above(&w, d->neutral_va / m->line_volts) : NAN;
    set_minimum(&w, addition);
    add_notes(&w, !known);
    return d;
}
