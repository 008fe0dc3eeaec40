/* The methods of a load calculation, step by step. */
#include "loads/demand_parts.h"

#include <math.h>

/* A calculation under way. */
struct work {
    struct demand_frame *f;
    struct model *m;
    struct code *code;
    struct demand_loads loads;
    struct demand *d;
    double sum;                  /* of what a later row reduces as a whole */
    const struct part *motor;    /* the largest one that counts, and its VA */
    double motor_va;
};

/* --- rows --------------------------------------------------------------------------------------------------------------- */

static struct demand_row *add_row(struct work *w, const char *item, double va, double factor, const char *article)
{
    struct demand_row *row = vec_push(w->f->arena, &w->d->rows);
    *row = (struct demand_row){.item = item, .va = va, .factor = factor, .demand = va * factor, .article = article};
    w->d->va += row->demand;
    return row;
}

/* A row whose demand a later row gives, with others. */
static struct demand_row *add_step(struct work *w, const char *item, double va, const char *article)
{
    struct demand_row *row = vec_push(w->f->arena, &w->d->rows);
    *row = (struct demand_row){.item = item, .va = va, .factor = NAN, .demand = NAN, .article = article};
    w->sum += va;
    return row;
}

/* A row whose demand is not its load times a factor of the book: the factor is what comes of it. */
static void add_demand(struct work *w, const char *item, double va, double demand, const char *article)
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

static const char *source_of(struct work *w, const char *table)
{
    const struct table *t = code_table(w->code, table);
    return t ? t->source : NULL;
}

static const char *step_article(struct work *w, const char *step)
{
    return code_row_article(w->code, "load-articles", step);
}

/* "water-heater, store.W1" */
static const char *part_words(struct work *w, const struct part *p)
{
    const struct device *d = p->device;
    const char *box = box_address(w->f->arena, d->box, false), *part = p->def && p->def->has_demand ? p->def->name : NULL;
    if (d->title)
        return arena_printf(w->f->arena, "%s %s, %s", d->def->name, d->title, box);
    return arena_printf(w->f->arena, "%s%s%s, %s", d->def->name, part ? " " : "", part ? part : "", box);
}

static const char *count_words(struct work *w, uint32_t n, const char *one, const char *many)
{
    return arena_printf(w->f->arena, "%u %s", n, n == 1 ? one : many);
}

/* Whether a part is between a line and the neutral alone. */
static bool on_neutral(struct work *w, const struct part *p)
{
    return p->volts <= w->m->volts;
}

static void note_motor(struct work *w, const struct demand_load *l)
{
    if (demand_is_motor(l->part) && l->va > w->motor_va) {
        w->motor = l->part;
        w->motor_va = l->va;
    }
}

/* --- lighting, small appliances, laundry --------------------------------------------------------------------------------- */

static double load_of(struct work *w, const char *table)
{
    return code_setting(w->code, table, "load", 0);
}

static const char *area_words(struct work *w, double each)
{
    return arena_printf(w->f->arena, "lighting and general receptacles, %.0f ft2 at %g VA/ft2", w->d->area, each);
}

/* The general load, each part by `add`: as a step, or in full. */
static void general_parts(struct work *w, bool in_full)
{
    const struct demand_loads *l = &w->loads;
    double each = code_setting(w->code, "floor-load", "each", 0);
    const struct {
        const char *item;
        double va;
        const char *article;
    } parts[] = {
        {area_words(w, each), w->d->lighting_va, source_of(w, "floor-load")},
        {count_words(w, l->small_appliance, "small-appliance circuit", "small-appliance circuits"), l->small_appliance * load_of(w, "small-appliance-circuits"),
         step_article(w, "small-appliance")},
        {count_words(w, l->laundry, "laundry circuit", "laundry circuits"), l->laundry * load_of(w, "laundry-circuit"), step_article(w, "laundry")},
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
    const struct table *t = code_table(w->code, "lighting-demand");
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        const struct table_row *row = &t->rows.at[i];
        double above = value_amount(row_cell(w->code, t, row, "above"), 0), to = value_amount(row_cell(w->code, t, row, "to"), 0);
        double within = (to > 0 && w->sum > to ? to : w->sum) - above;
        if (within > 0)
            add_neutral(w, add_row(w, tier_words(w, above, to), within, value_amount(row_cell(w->code, t, row, "factor"), 1), t->source)->demand);
    }
    w->sum = 0;
}

/* --- appliances ------------------------------------------------------------------------------------------------------------ */

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
    const char *word = code_word(w->code, "fixed-appliance-demand", "ev-counts");
    return word && word[0] == 'y';
}

/* What a vehicle's supply counts for: its rating, or the edition's least. */
static struct demand_load vehicle_load(struct work *w, struct demand_load l)
{
    double least = code_setting(w->code, "ev-load", "at-least", 0);
    l.va = (l.va < least ? least : l.va) * code_setting(w->code, "ev-load", "share", 1);
    return l;
}

/* Appliances fastened in place: where there are enough of some size, each of these at the factor; the others in full. */
static void fixed_appliances(struct work *w, bool reduced)
{
    double counts_from = code_setting(w->code, "fixed-appliance-demand", "counts-from", 0), count = 0;
    demand_list list = {0};
    for (uint32_t i = 0; i < w->loads.of[DEMAND_FIXED].n; i++)
        *vec_push(w->f->arena, &list) = w->loads.of[DEMAND_FIXED].at[i];
    bool vehicles = vehicles_count_as_fixed(w);
    for (uint32_t i = 0; vehicles && i < w->loads.of[DEMAND_VEHICLE].n; i++)
        *vec_push(w->f->arena, &list) = vehicle_load(w, w->loads.of[DEMAND_VEHICLE].at[i]);
    for (uint32_t i = 0; i < list.n; i++)
        count += list.at[i].va >= counts_from;
    bool enough = reduced && count >= code_setting(w->code, "fixed-appliance-demand", "from", 0);
    double factor = enough ? code_setting(w->code, "fixed-appliance-demand", "factor", 1) : 1;
    for (uint32_t i = 0; i < list.n; i++)
        single(w, &list.at[i], list.at[i].va >= counts_from ? factor : 1, source_of(w, "fixed-appliance-demand"));
    for (uint32_t i = 0; !vehicles && i < w->loads.of[DEMAND_VEHICLE].n; i++) {
        struct demand_load l = vehicle_load(w, w->loads.of[DEMAND_VEHICLE].at[i]);
        single(w, &l, 1, source_of(w, "ev-load"));
    }
}

/* The share of the neutral that ranges and dryers load. */
static void reduced_neutral(struct work *w, double demand)
{
    add_neutral(w, demand * code_setting(w->code, "neutral-demand", "range-and-dryer", 1));
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
    const char *how, *source = source_of(w, "range-demand");
    double demand = demand_of_ranges(w->m, ratings, count, &how);
    add_demand(w, count_words(w, count, "range or cooking appliance", "ranges and cooking appliances"), va, demand,
               source ? arena_printf(w->f->arena, "%s, %s", source, how) : NULL);
    reduced_neutral(w, demand * with_neutral / va);
}

static double dryer_factor(struct work *w, uint32_t count)
{
    struct table *t = code_table(w->code, "dryer-demand");
    const struct table_row *best = NULL;
    for (uint32_t i = 0; t && i < t->rows.n; i++)
        if (value_amount(&t->rows.at[i].cells[0], 0) <= count)
            best = &t->rows.at[i];
    return best ? value_amount(row_cell(w->code, t, best, "factor"), 1) : 1;
}

static void dryers(struct work *w)
{
    const demand_list *list = &w->loads.of[DEMAND_DRYER];
    double least = code_setting(w->code, "dryer-demand", "at-least", 0), va = 0, with_neutral = 0;
    for (uint32_t i = 0; i < list->n; i++) {
        double each = list->at[i].va < least ? least : list->at[i].va;
        va += each;
        with_neutral += list->at[i].part->device->def->has_neutral ? each : 0;
    }
    if (!list->n)
        return;
    const struct demand_row *row = add_row(w, count_words(w, list->n, "clothes dryer", "clothes dryers"), va, dryer_factor(w, list->n), source_of(w, "dryer-demand"));
    reduced_neutral(w, with_neutral * row->factor);
}

/* What circuits carry already: of unknown sort, so in full, and on the neutral. */
static void carried(struct work *w, bool step)
{
    for (uint32_t i = 0; i < w->loads.carried.n; i++) {
        const struct circuit *c = w->loads.carried.at[i];
        const char *item = arena_printf(w->f->arena, "circuit %s, what it carries already", circuit_address(w->f->arena, c, false));
        struct demand_row *row = step ? add_step(w, item, c->existing_load, step_article(w, "carried")) : add_row(w, item, c->existing_load, 1, step_article(w, "carried"));
        row->unit = c->unit;
        if (!step)
            add_neutral(w, c->existing_load);
    }
}

/* --- heating and cooling ----------------------------------------------------------------------------------------------------- */

/* A group of heating or cooling loads that run together. */
struct climate {
    double va, neutral_va;
    uint32_t count;
    const struct demand_load *motor;
};

static struct climate climate_of(struct work *w, enum demand_class class, bool backup)
{
    struct climate c = {0};
    const demand_list *list = &w->loads.of[class];
    for (uint32_t i = 0; i < list->n; i++) {
        const struct demand_load *l = &list->at[i];
        if ((l->part->backup_of != NULL) != backup)
            continue;
        c.va += l->va;
        c.neutral_va += on_neutral(w, l->part) ? l->va : 0;
        c.count++;
        if (demand_is_motor(l->part) && (!c.motor || l->va > c.motor->va))
            c.motor = l;
    }
    return c;
}

static void climate_row(struct work *w, const char *item, const struct climate *c, double factor, const char *article)
{
    if (c->va <= 0)
        return;
    add_row(w, arena_printf(w->f->arena, "%s, %u", item, c->count), c->va, factor, article);
    add_neutral(w, c->neutral_va * factor);
    if (factor > 0 && c->motor)
        note_motor(w, c->motor);
}

/* Heating or cooling, the larger: heat pumps are in both. */
static void heat_or_cooling(struct work *w)
{
    struct climate heat = climate_of(w, DEMAND_HEAT, false), backup = climate_of(w, DEMAND_HEAT, true), storage = climate_of(w, DEMAND_STORAGE_HEAT, false);
    struct climate cooling = climate_of(w, DEMAND_COOLING, false), pump = climate_of(w, DEMAND_HEAT_PUMP, false);
    bool cools = cooling.va > heat.va + backup.va + storage.va;
    const char *larger = source_of(w, "heat-or-cooling");
    climate_row(w, "heat pumps", &pump, 1, larger);
    climate_row(w, "electric heat", &heat, !cools, cools ? larger : step_article(w, "heat"));
    climate_row(w, "heat that backs up a heat pump", &backup, !cools, cools ? larger : step_article(w, "heat"));
    climate_row(w, "storage heat", &storage, !cools, cools ? larger : step_article(w, "heat"));
    climate_row(w, "cooling", &cooling, cools, cools ? step_article(w, "cooling") : larger);
}

static void largest_motor(struct work *w)
{
    if (!w->motor)
        return;
    double more = code_setting(w->code, "largest-motor", "more", 0);
    const char *item = arena_printf(w->f->arena, "more for the largest motor: %s", part_words(w, w->motor));
    struct demand_row *row = add_row(w, item, w->motor_va, more, source_of(w, "largest-motor"));
    row->unit = w->motor->device->box->room->unit;
    if (on_neutral(w, w->motor))
        add_neutral(w, row->demand);
}

/* --- the standard method ------------------------------------------------------------------------------------------------------ */

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

/* --- methods that reduce the sum of all ---------------------------------------------------------------------------------------- */

static void nameplates(struct work *w, const char *article)
{
    static const enum demand_class classes[] = {DEMAND_FIXED, DEMAND_SPECIFIC, DEMAND_EQUIPMENT, DEMAND_RANGE, DEMAND_COOKING, DEMAND_DRYER, DEMAND_VEHICLE};
    for (size_t k = 0; k < sizeof classes / sizeof *classes; k++)
        for (uint32_t i = 0; i < w->loads.of[classes[k]].n; i++) {
            struct demand_load l = w->loads.of[classes[k]].at[i];
            if (classes[k] == DEMAND_VEHICLE)
                l = vehicle_load(w, l);
            add_step(w, part_words(w, l.part), l.va, classes[k] == DEMAND_VEHICLE ? source_of(w, "ev-load") : article)->unit = l.part->device->box->room->unit;
        }
    carried(w, true);
}

/* The sum so far: the first part in full, the rest at its factor. */
static void first_and_rest(struct work *w, const char *table)
{
    double first = code_setting(w->code, table, "first", 0), within = w->sum < first ? w->sum : first;
    if (within > 0)
        add_row(w, arena_printf(w->f->arena, "of it the first %g VA", first), within, 1, source_of(w, table));
    if (w->sum > first)
        add_row(w, arena_printf(w->f->arena, "of it the rest"), w->sum - first, code_setting(w->code, table, "rest", 1), source_of(w, table));
    w->sum = 0;
}

/* One of the selections of 220.82(C): loads at their factors. */
struct selection {
    struct {
        const char *item;
        struct climate climate;
        const char *setting;
    } part[2];
    double demand;
};

static void optional_climate(struct work *w)
{
    enum { SELECTIONS = 4 };
    struct climate heat = climate_of(w, DEMAND_HEAT, false);
    const char *heat_factor = heat.count < code_setting(w->code, "optional-method", "many-from", 0) ? "few-heaters" : "many-heaters";
    struct selection list[SELECTIONS] = {
        {.part = {{"cooling", climate_of(w, DEMAND_COOLING, false), "cooling"}}},
        {.part = {{"heat pumps", climate_of(w, DEMAND_HEAT_PUMP, false), "heat-pump"},
                  {"heat that backs up a heat pump", climate_of(w, DEMAND_HEAT, true), "supplemental"}}},
        {.part = {{"electric heat, separately controlled", heat, heat_factor}}},
        {.part = {{"storage heat", climate_of(w, DEMAND_STORAGE_HEAT, false), "storage-heat"}}},
    };
    int largest = 0;
    for (int i = 0; i < SELECTIONS; i++) {
        for (int k = 0; k < 2 && list[i].part[k].item; k++)
            list[i].demand += list[i].part[k].climate.va * code_setting(w->code, "optional-method", list[i].part[k].setting, 1);
        largest = list[i].demand > list[largest].demand ? i : largest;
    }
    const char *article = source_of(w, "optional-method");
    for (int i = 0; i < SELECTIONS; i++)
        for (int k = 0; k < 2 && list[i].part[k].item; k++)
            climate_row(w, list[i].part[k].item, &list[i].part[k].climate,
                        i == largest ? code_setting(w->code, "optional-method", list[i].part[k].setting, 1) : 0, article);
}

static void optional(struct work *w)
{
    general_parts(w, false);
    nameplates(w, source_of(w, "optional-method"));
    first_and_rest(w, "optional-method");
    optional_climate(w);
}

/* --- additions -------------------------------------------------------------------------------------------------------------------- */

static void existing(struct work *w)
{
    for (uint32_t i = 0; i < w->m->existing_loads.n; i++) {
        const struct existing_load *e = &w->m->existing_loads.at[i];
        add_step(w, arena_printf(w->f->arena, "there already: %s", e->what ? e->what : "the house"), e->va, step_article(w, "existing"));
    }
    w->d->known = w->m->existing_loads.n > 0;
    general_parts(w, false);
    nameplates(w, source_of(w, "existing-method"));
    first_and_rest(w, "existing-method");
    heat_or_cooling(w);
}

/* The new load in full beside what was measured: the factors that ranges and dryers have are of the things themselves. */
static void measured(struct work *w)
{
    w->d->known = w->m->measured > 0;
    if (w->d->known)
        add_row(w, arena_printf(w->f->arena, "measured, %g A", w->m->measured), w->m->measured * w->m->line_volts,
                code_setting(w->code, "measured-method", "factor", 1), source_of(w, "measured-method"));
    general_parts(w, true);
    fixed_appliances(w, false);
    each_in_full(w, DEMAND_SPECIFIC, step_article(w, "specific"));
    each_in_full(w, DEMAND_EQUIPMENT, step_article(w, "equipment"));
    cooking(w);
    dryers(w);
    heat_or_cooling(w);
    largest_motor(w);
}

/* --- results ------------------------------------------------------------------------------------------------------------------------ */

static bool for_addition(const struct model *m, enum demand_method method)
{
    return method == METHOD_EXISTING || method == METHOD_MEASURED || m->calculate == CALCULATE_ADDITION;
}

double standard_rating(struct code *code, double amps, bool above)
{
    const struct table *t = code_table(code, "breaker-sizes");
    double best = 0;
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double rating = value_amount(&t->rows.at[i].cells[0], 0);
        bool fits = above ? rating >= amps : rating <= amps;
        if (fits && rating > 0 && (best == 0 || (above ? rating < best : rating > best)))
            best = rating;
    }
    return best;
}

static double rounded(struct code *code, double amps)
{
    double drop_below = code_setting(code, "load-rounding", "drop-below", 0), whole = floor(amps);
    return amps - whole < drop_below ? whole : whole + 1;
}

static void set_minimum(struct work *w, bool addition)
{
    double least = 0, amps = rounded(w->code, w->d->amps);
    if (!w->d->panel && !addition && w->m->calculate != CALCULATE_FEEDER)
        least = code_setting(w->code, "service-sizes", w->loads.one_family ? "one-family" : "other", 0);
    w->d->minimum = standard_rating(w->code, amps < least ? least : amps, true);
}

static void note(struct work *w, const char *text)
{
    *vec_push(w->f->arena, &w->d->notes) = text;
}

/* How many circuits the load of the floor area wants: by each rating that such circuits have. */
static void note_lighting_circuits(struct work *w)
{
    const struct table *t = code_table(w->code, "general-circuits");
    struct arena *a = w->f->arena;
    const char *words = "";
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double rating = value_amount(&t->rows.at[i].cells[0], 0);
        if (rating > 0 && w->m->volts > 0)
            words = arena_printf(a, "%s%s%.0f of %g A", words, i ? " or " : "", ceil(w->d->lighting_va / w->m->volts / rating - 1e-9), rating);
    }
    if (*words && w->d->lighting_va > 0)
        note(w, arena_printf(a, "Circuits for lighting and general receptacles: at least %s (%s).", words, t->source));
}

static void add_notes(struct work *w, bool addition)
{
    struct arena *a = w->f->arena;
    note_lighting_circuits(w);
    if (w->loads.area_of_rooms && w->d->lighting_va > 0)
        note(w, "The floor area is that of the rooms, between the studs. The code counts the outside measures: write `area` in the plan where they matter.");
    if (!w->d->known)
        note(w, w->d->method == METHOD_MEASURED ? "The plan does not say what was measured: write `existing 62 A measured` in it. Without it this is the new load alone."
                                                : "The plan does not say what the house has already: write `existing 14.2 kVA` in it. Without it this is the new load alone.");
    double from = code_setting(w->code, "optional-method", "service-from", 0);
    if (w->d->method == METHOD_OPTIONAL)
        note(w, arena_printf(a, "The optional method is for a dwelling served by a service or feeder of %g A or more (%s).", from, source_of(w, "optional-method")));
    if (w->m->service > 0 && w->d->known && !w->d->panel)
        note(w, arena_printf(a, "The service is %g A: %s.", w->m->service,
                             rounded(w->code, w->d->amps) <= w->m->service ? "it carries this load" : "it does not carry this load"));
    if (addition)
        note(w, "The neutral of the load that is there already is not known.");
}

/* The neutral of a dwelling is found by 220.61 from the standard method whatever the method of the lines. */
static void neutral_by_standard(struct work *w)
{
    struct demand lines = {0};
    struct work neutral = {.f = w->f, .m = w->m, .code = w->code, .loads = w->loads, .d = &lines};
    lines.area = w->d->area;
    lines.lighting_va = w->d->lighting_va;
    standard(&neutral);
    w->d->neutral_va = lines.neutral_va;
}

struct demand *demand_work_out(struct demand_frame *f, enum demand_method method, const struct panel *of)
{
    static void (*const methods[METHOD_COUNT])(struct work *) = {standard, optional, existing, measured};
    struct model *m = f->m;
    bool addition = for_addition(m, method) && !of;
    struct demand *d = arena_new(f->arena, struct demand);
    struct work w = {.f = f, .m = m, .code = &m->code, .d = d, .loads = demand_collect(f, of, addition)};
    *d = (struct demand){.method = method, .panel = of, .known = true, .area = w.loads.area};
    d->lighting_va = d->area * code_setting(&m->code, "floor-load", "each", 0);
    methods[method](&w);
    if (method == METHOD_OPTIONAL)
        neutral_by_standard(&w);
    d->amps = m->line_volts > 0 ? d->va / m->line_volts : 0;
    bool known = method == METHOD_STANDARD || method == METHOD_OPTIONAL;
    d->neutral_va = known ? d->neutral_va : NAN;
    d->neutral_amps = known && m->line_volts > 0 ? d->neutral_va / m->line_volts : NAN;
    set_minimum(&w, addition);
    add_notes(&w, !known);
    return d;
}
