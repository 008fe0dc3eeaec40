#include "facts/conductors.h"

#include "facts/devices.h"
#include "model/model.h"
#include "model/power.h"
#include "resolve/value.h"

#include <math.h>

double facts_standard_rating(struct code *code, double amps, bool above)
{
    uint32_t count, lo = 0;
    const double *ratings = code_keys_in_order(code, LIST_BREAKER_SIZES, &count);
    for (uint32_t hi = count; lo < hi;) {
        uint32_t mid = (lo + hi) / 2;
        if (above ? ratings[mid] < amps : ratings[mid] <= amps)
            lo = mid + 1;
        else
            hi = mid;
    }
    return above ? lo < count ? ratings[lo] : 0 : lo ? ratings[lo - 1] : 0;
}

bool facts_amps_exceed(double amps, double limit)
{
    return amps > limit + 0.0005;
}

/* --- the column --------------------------------------------------------------------------- */

int facts_small_terminals(struct code *code)
{
    return (int)code_temperature(code, SET_TERMINALS_SMALL_AT, 0);
}

/* What terminals without a mark count for: by the size of the circuit. */
static int unmarked(struct model *m, const struct circuit *c)
{
    bool large = c && c->breaker > code_current(&m->code, SET_TERMINALS_SMALL_UP_TO, 0);
    return large ? (int)code_temperature(&m->code, SET_TERMINALS_LARGE_AT, 0)
                 : facts_small_terminals(&m->code);
}

/* The breaker, or the lugs of a panel that is fed: by the mark of either. */
static int marked_panel(const struct panel *p, const struct circuit *c)
{
    int breaker = c->panel == p ? c->terminals : 0;
    return breaker > p->terminals ? breaker : p->terminals;
}

static bool is_on(const struct device *d, const struct circuit *c)
{
    for (uint32_t i = 0; i < d->part_count; i++)
        if (d->parts[i].circuit == c)
            return true;
    return false;
}

static void take_mark(const struct device *d, int otherwise, int *least)
{
    int mark = d->terminals ? d->terminals : otherwise;
    if (mark < *least)
        *least = mark;
}

/* The least mark of the terminals at an end of a run; splices carry more than any of them. */
static int marked_end(const struct run *r, struct end e, int otherwise)
{
    int least = INT32_MAX;
    if (e.panel) {
        int mark = marked_panel(e.panel, r->circuit);
        return mark ? mark : otherwise;
    }
    if (!e.box)
        return least;
    /* its devices, or the parts of its circuit: whichever are fewer */
    if (r->circuit && r->circuit->parts.n < e.box->device_count) {
        for (uint32_t i = 0; i < r->circuit->parts.n; i++)
            if (r->circuit->parts.at[i]->device->box == e.box)
                take_mark(r->circuit->parts.at[i]->device, otherwise, &least);
        return least;
    }
    for (uint32_t i = 0; i < e.box->device_count; i++)
        if (is_on(e.box->devices[i], r->circuit))
            take_mark(e.box->devices[i], otherwise, &least);
    return least;
}

int facts_column(struct model *m, const struct run *r, const struct cable_def *cable)
{
    int otherwise = unmarked(m, r->circuit), from = marked_end(r, r->from, otherwise),
        to = marked_end(r, r->to, otherwise), terminals = from < to ? from : to;
    if (cable->rated <= 0)
        return terminals < INT32_MAX ? terminals : otherwise;
    int may = cable->terminals < terminals ? cable->terminals : terminals;
    return may > cable->rated ? may : cable->rated;
}

struct lying facts_lying_alone(const struct lying *lying)
{
    struct lying alone = *lying;
    alone.beside = 1;
    return alone;
}

bool facts_lie_alike(const struct lying *a, const struct lying *b)
{
    return a->beside == b->beside && a->air == b->air && a->where == b->where;
}

/* The share that is left of the column that correction and adjustment start from. */
static double left_of(struct code *code, const struct cable_def *cable, const struct lying *lying)
{
    double air = lying->where ? code_ambient_share(code, lying->air, cable->adjusted_from) : 1;
    return lying->beside * (air < 1 ? air : 1);
}

double facts_ampacity_at(struct model *m, const struct cable_def *cable, int column,
                         const struct lying *lying)
{
    struct code *code = &m->code;
    double full = code_ampacity(code, cable->metal, cable->size, column),
           left = left_of(code, cable, lying);
    if (left >= 1)
        return full;
    double corrected = left * code_ampacity(code, cable->metal, cable->size, cable->adjusted_from);
    if (left <= 0 && full > 0)
        return -1;
    return corrected > 0 && corrected < full ? corrected : full;
}

double facts_ampacity(struct model *m, const struct run *r, const struct cable_def *cable,
                      const struct lying *lying)
{
    return facts_ampacity_at(m, cable, facts_column(m, r, cable), lying);
}

/* --- what it serves ----------------------------------------------------------------------- */

double facts_small_limit(struct code *code, enum metal metal, const char *size)
{
    return code_cell_current(code,
                             metal == COPPER      ? COL_SMALL_CONDUCTORS_COPPER
                             : metal == ALUMINIUM ? COL_SMALL_CONDUCTORS_ALUMINIUM
                                                  : COL_SMALL_CONDUCTORS_COPPER_CLAD,
                             size, 0);
}

/* The largest standard rating of which an ampacity is the share that the edition asks where all of
 * a dwelling hangs on the conductors; 0 outside its range. */
static double dwelling_rating(struct code *code, double ampacity)
{
    double share = code_share(code, SET_DWELLING_SERVICE_SHARE, 1),
           rating = facts_standard_rating(code, ampacity / share + 1e-9, false);
    double from = code_current(code, SET_DWELLING_SERVICE_FROM, 0),
           to = code_current(code, SET_DWELLING_SERVICE_UP_TO, 0);
    return rating < from ? 0 : rating > to ? to : rating;
}

/* The breaker that an ampacity of a conductor allows on a circuit. */
static double breaker_for(struct code *code, const struct conductor_asks *asks, enum metal metal,
                          const char *size, double ampacity)
{
    double good = ampacity, small = facts_small_limit(code, metal, size),
           next = facts_standard_rating(code, ampacity, true);
    bool barred = asks->several_receptacles && code_no(code, SET_NEXT_SIZE_UP_SEVERAL_RECEPTACLES);
    if (next > 0 && next <= code_current(code, SET_NEXT_SIZE_UP_UP_TO, 0) && !barred)
        good = next;
    double whole = asks->whole_dwelling ? dwelling_rating(code, ampacity) : 0;
    good = whole > good ? whole : good;
    return small > 0 && small < good ? small : good;
}

bool facts_ampacity_serves(struct model *m, const struct conductor_asks *asks, enum metal metal,
                           const char *size, double ampacity, struct conductor_good *good)
{
    *good = (struct conductor_good){.amps = ampacity};
    if (ampacity < 0)
        return false;
    if (asks->nameplate)
        return ampacity > 0 && ampacity >= asks->nameplate->mca;
    good->amps = ampacity > 0 ? breaker_for(&m->code, asks, metal, size, ampacity)
                              : facts_small_limit(&m->code, metal, size);
    if (good->amps <= 0 || asks->breaker > good->amps)
        return false;
    if (ampacity > 0 && facts_amps_exceed(asks->load, ampacity))
        *good = (struct conductor_good){.amps = ampacity, .for_load = true};
    return !good->for_load;
}

static struct table *ampacities_of(struct model *m, const struct cable_def *cable)
{
    return code_table(&m->code,
                      cable->metal != COPPER ? TABLE_AMPACITY_ALUMINIUM : TABLE_AMPACITY_COPPER);
}

bool facts_cable_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                        const struct cable_def *cable, const struct lying *lying,
                        struct conductor_good *good)
{
    return !ampacities_of(m, cable) ||
           facts_ampacity_serves(m, asks, cable->metal, cable->size,
                                 facts_ampacity(m, r, cable, lying), good);
}

const char *facts_least_conductor(struct model *m, const struct conductor_asks *asks,
                                  const struct run *r, const struct cable_def *cable,
                                  const struct lying *lying)
{
    struct table *t = ampacities_of(m, cable);
    struct conductor_asks plain = *asks;
    plain.nameplate = NULL;
    const char *best = NULL;
    struct conductor_good good;
    struct cable_def other = *cable;
    int column = facts_column(m, r, cable), thin = 0; /* whatever its size */
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        other.size = t->rows.at[i].key;
        int gauge = library_gauge_of(other.size);
        if ((best && gauge <= thin) ||
            !facts_ampacity_serves(m, &plain, other.metal, other.size,
                                   facts_ampacity_at(m, &other, column, lying), &good))
            continue;
        best = other.size;
        thin = gauge;
    }
    return best;
}

/* --- taps --------------------------------------------------------------------------------- */

/* VA of the cooking appliances that a run ends at; 0 where it goes on to others, or feeds something
 * else too. */
static double cooking_at_end(struct model *m, const struct run *r)
{
    const struct box *box = r->to.box;
    double va = 0;
    for (uint32_t i = 0; box && i < box->runs.n; i++)
        if (box->runs.at[i] != r && box->runs.at[i]->circuit == r->circuit)
            return 0;
    for (uint32_t i = 0; box && i < box->device_count; i++)
        for (uint32_t k = 0; k < box->devices[i]->part_count; k++) {
            const struct part *p = &box->devices[i]->parts[k];
            if (p->circuit != r->circuit)
                continue;
            if (!facts_device_in_list(m, p->device->def, LIST_COOKING_TOGETHER))
                return 0;
            va += p->load;
        }
    return va;
}

bool facts_tap_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                      const struct cable_def *cable, const struct lying *lying)
{
    struct code *code = &m->code;
    double va = r->from.box && r->in_tree ? cooking_at_end(m, r) : 0,
           ampacity = va > 0 ? facts_ampacity(m, r, cable, lying) : 0;
    return ampacity > 0 && asks->breaker <= code_current(code, SET_COOKING_TAPS_UP_TO, 0) &&
           ampacity >= code_current(code, SET_COOKING_TAPS_AT_LEAST, INFINITY) &&
           !facts_amps_exceed(va / m->line_volts, ampacity);
}

/* --- grounds ------------------------------------------------------------------------------ */

static double circular_mils(struct code *code, enum metal metal, const char *size)
{
    return code_cell_section(code,
                             metal != COPPER ? COL_RESISTANCE_ALUMINIUM_CIRCULAR_MILS
                                             : COL_RESISTANCE_COPPER_CIRCULAR_MILS,
                             code_key(code, size), 0);
}

/* The ground that a breaker asks: the first row that is not below it. */
static const char *ground_for(struct code *code, double breaker, enum metal metal)
{
    struct table *t = code_table(code, TABLE_GROUND_SIZE);
    for (uint32_t i = 0; t && i < t->rows.n; i++)
        if (code_row_current(code, COL_GROUND_SIZE_BREAKER, i, 0) >= breaker)
            return code_row_size(
                code, metal != COPPER ? COL_GROUND_SIZE_ALUMINIUM : COL_GROUND_SIZE_COPPER, i);
    return NULL;
}

/* The ground of the table is never wanted larger than the conductors. */
static const char *ground_of_table(struct code *code, const struct cable_def *cable, double breaker)
{
    const char *base = ground_for(code, breaker, cable->metal);
    return base && library_gauge_of(base) < cable->gauge &&
                   code_yes(code, SET_GROUND_SIZE_NEVER_ABOVE_CIRCUIT)
               ? cable->size
               : base;
}

/* Where the conductors are larger than the least that serves, the ground grows with them. A
 * thousandth less is the rounding of the table of areas. */
static const char *ground_in_proportion(struct code *code, const struct cable_def *cable,
                                        const char *least, const char *base)
{
    const char *best = cable->size;
    double least_mils = least ? circular_mils(code, cable->metal, least) : 0;
    if (least_mils <= 0 || library_gauge_of(least) <= cable->gauge)
        return base;
    double mils = circular_mils(code, cable->metal, base) *
                  circular_mils(code, cable->metal, cable->size) / least_mils;
    struct table *t = code_table(code, cable->metal != COPPER ? TABLE_RESISTANCE_ALUMINIUM
                                                              : TABLE_RESISTANCE_COPPER);
    int thin = library_gauge_of(best);
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        const char *size = t->rows.at[i].key;
        int gauge = library_gauge_of(size);
        if (gauge <= thin || circular_mils(code, cable->metal, size) < mils * (1 - 1e-3))
            continue;
        best = size;
        thin = gauge;
    }
    return best;
}

const char *facts_ground_asked(struct model *m, const struct conductor_asks *asks,
                               const struct run *r, const struct cable_def *cable,
                               const struct lying *lying, const char **base)
{
    struct code *code = &m->code;
    *base = !cable->size || cable->ground == GROUND_NONE || cable->ground == GROUND_RACEWAY ||
                    r->circuit->breaker <= 0
                ? NULL
                : ground_of_table(code, cable, r->circuit->breaker);
    if (!*base || !code_yes(code, SET_GROUND_SIZE_IN_PROPORTION))
        return *base;
    return ground_in_proportion(code, cable, facts_least_conductor(m, asks, r, cable, lying),
                                *base);
}

bool facts_ground_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                         const struct cable_def *cable, const struct lying *lying)
{
    const char *base, *asked = facts_ground_asked(m, asks, r, cable, lying, &base);
    return !asked || library_gauge_of(cable->ground_size) <= library_gauge_of(asked);
}

/* --- neutrals ----------------------------------------------------------------------------- */

double facts_neutral_ampacity(struct model *m, const struct run *r, const struct cable_def *cable,
                              const struct lying *lying)
{
    struct cable_def neutral = *cable;
    neutral.size = cable->neutral_size ? cable->neutral_size : cable->size;
    return facts_ampacity(m, r, &neutral, lying);
}

const char *facts_least_neutral(struct model *m, const struct run *r, const struct cable_def *cable)
{
    return r->circuit->feeds ? ground_for(&m->code, r->circuit->breaker, cable->metal)
                             : code_size(&m->code, SET_RANGE_CIRCUIT_NEUTRAL_AT_LEAST);
}

bool facts_neutral_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                          const struct cable_def *cable, const struct lying *lying)
{
    if (!cable->neutral_size || library_gauge_of(cable->neutral_size) <= cable->gauge)
        return true;
    int gauge = library_gauge_of(cable->neutral_size);
    const char *least = facts_least_neutral(m, r, cable);
    return !facts_amps_exceed(asks->neutral, facts_neutral_ampacity(m, r, cable, lying)) &&
           (!least || gauge <= library_gauge_of(least));
}

/* --- terminals ---------------------------------------------------------------------------- */

void facts_ask_terminals(struct conductor_asks *asks, const struct device_def *def)
{
    if (!def->takes_from)
        return;
    int thin = library_gauge_of(def->takes_from), thick = library_gauge_of(def->takes_to);
    asks->thinnest = thin < asks->thinnest ? thin : asks->thinnest;
    asks->thickest = thick > asks->thickest ? thick : asks->thickest;
}

static const struct device *refused_by(const struct box *box, const struct circuit *circuit,
                                       const struct cable_def *cable)
{
    for (uint32_t i = 0; box && i < box->device_count; i++) {
        struct conductor_asks asks = {.thinnest = ANY_GAUGE, .thickest = -ANY_GAUGE};
        const struct device *d = box->devices[i];
        facts_ask_terminals(&asks, d->def);
        if ((cable->gauge > asks.thinnest || cable->gauge < asks.thickest) && is_on(d, circuit))
            return d;
    }
    return NULL;
}

const struct device *facts_terminal_refuses(const struct run *r, const struct cable_def *cable)
{
    const struct device *d = refused_by(r->from.box, r->circuit, cable);
    return d ? d : refused_by(r->to.box, r->circuit, cable);
}

static const struct device *unmarked_for_aluminium(const struct box *box,
                                                   const struct circuit *circuit, double up_to)
{
    for (uint32_t i = 0; box && i < box->device_count; i++) {
        const struct device *d = box->devices[i];
        bool snaps = d->def->sort == SORT_RECEPTACLE || d->def->sort == SORT_CONTROL;
        if (snaps && d->def->takes_from && d->def->rating > 0 && d->def->rating <= up_to &&
            !d->co_alr && is_on(d, circuit))
            return d;
    }
    return NULL;
}

const struct device *facts_terminal_refuses_metal(struct model *m, const struct run *r,
                                                  const struct cable_def *cable)
{
    if (cable->metal != ALUMINIUM)
        return NULL;
    double up_to = code_current(&m->code, SET_ALUMINIUM_TERMINALS_UP_TO, 0);
    const struct device *d = unmarked_for_aluminium(r->from.box, r->circuit, up_to);
    return d ? d : unmarked_for_aluminium(r->to.box, r->circuit, up_to);
}
