/* Connected loads of circuits and feeders, each line for itself. */
#include "loads/loads.h"

#include "facts/conductors.h"
#include "facts/devices.h"
#include "loads/demand.h"
#include "loads/drops.h"
#include "model/address.h"
#include "model/finding.h"
#include "model/site.h"
#include "resolve/written.h"

#include <math.h>

/* Currents of the parts: a part at the line voltage loads both lines, another its pole (line a
 * where none is written). */
static void add_part(struct circuit_sum *sum, const struct model *m, const struct part *part,
                     double factor)
{
    if (part->load <= 0 || part->volts <= 0)
        return;
    double amps = part->load / part->volts;
    double needed = part->mca > 0 ? part->mca : amps * (part->continuous ? factor : 1);
    sum->va += part->load;
    if (part->continuous)
        sum->continuous_va += part->load;
    bool both = part_on_both_lines(m, part);
    for (int line = 0; line < 2; line++)
        if (both || line == (part->pole == 'b')) {
            sum->amps[line] += amps;
            sum->needed[line] += needed;
        }
}

/* What an existing circuit carries already: on both lines of a two-pole circuit. */
static void add_existing(struct circuit_sum *sum, const struct model *m, const struct circuit *c)
{
    if (c->existing_load <= 0)
        return;
    double amps = c->existing_load / drop_circuit_volts(m, c);
    sum->va += c->existing_load;
    for (int line = 0; line < (drop_circuit_volts(m, c) > m->volts ? 2 : 1); line++) {
        sum->amps[line] += amps;
        sum->needed[line] += amps;
    }
}

/* What a panel carries, spread evenly over its lines: the spaces of its breakers are chosen for the
 * best balance. */
static void add_panel(struct circuit_sum *sum, const struct model *m,
                      const struct circuit_sum *sums, const struct panel *panel)
{
    double va = 0, continuous_va = 0, needed_va = 0;
    for (uint32_t i = 0; i < panel->circuits.n; i++) {
        const struct circuit *c = panel->circuits.at[i];
        const struct circuit_sum *s = &sums[c->id];
        va += s->va;
        continuous_va += s->continuous_va;
        needed_va += (s->needed[0] + s->needed[1]) * m->volts;
    }
    sum->va += va;
    sum->continuous_va += continuous_va;
    for (int line = 0; line < 2; line++) {
        sum->amps[line] += va / m->line_volts;
        sum->needed[line] += needed_va / m->line_volts;
    }
}

/* A circuit of nothing but ranges, cooktops and ovens needs what Table 220.55, note 4, makes of
 * them: they never run in full all at once. */
static void reduce_cooking(struct circuit_sum *sum, struct model *m, const struct circuit *c)
{
    double demand = demand_of_cooking_circuit(m, c);
    if (demand < 0 || demand >= sum->va)
        return;
    for (int line = 0; line < 2; line++)
        sum->needed[line] *= demand / sum->va;
}

static void sum_circuit(struct model *m, struct circuit_sum *sums, const struct circuit *c,
                        double factor)
{
    struct circuit_sum *sum = &sums[c->id];
    for (uint32_t i = 0; i < c->parts.n; i++)
        add_part(sum, m, c->parts.at[i], factor);
    reduce_cooking(sum, m, c);
    add_existing(sum, m, c);
    if (c->feeds)
        add_panel(sum, m, sums, c->feeds);
}

panel_list loads_panels_from_service(struct arena *arena, const struct model *m)
{
    panel_list order = {0};
    for (uint32_t i = 0; i < m->panels.n; i++) {
        struct panel *p = m->panels.at[i];
        if (!p->feeder || !p->feeder->panel)
            *vec_push(arena, &order) = p;
    }
    for (uint32_t i = 0; i < order.n; i++) {
        const struct panel *p = order.at[i];
        for (uint32_t k = 0; k < p->circuits.n; k++)
            if (p->circuits.at[k]->feeds)
                *vec_push(arena, &order) = p->circuits.at[k]->feeds;
    }
    return order;
}

/* The sums of all circuits: those that feed no panel first, then feeders from the last panel up. */
static void sum_all(struct model *m, struct circuit_sum *sums, const panel_list *order)
{
    double factor = code_share(&m->code, SET_CONTINUOUS_LOAD_FACTOR, 1);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (!m->circuits.at[i]->feeds)
            sum_circuit(m, sums, m->circuits.at[i], factor);
    for (uint32_t i = order->n; i-- > 0;)
        if (order->at[i]->feeder)
            sum_circuit(m, sums, order->at[i]->feeder, factor);
}

static struct circuit_load of_sum(const struct circuit_sum *s)
{
    return (struct circuit_load){
        .va = s->va,
        .continuous_va = s->continuous_va,
        .amps = s->amps[0] > s->amps[1] ? s->amps[0] : s->amps[1],
        .needed_amps = s->needed[0] > s->needed[1] ? s->needed[0] : s->needed[1],
    };
}

/* A flat's feeder is the only circuit that comes into its unit from outside. */
static void find_feeders_of_units(struct arena *arena, const struct model *m,
                                  struct circuit_load *of_circuit)
{
    uint32_t *ways_in = arena_array(arena, uint32_t, m->units.n + 1);
    for (int pass = 0; pass < 2; pass++)
        for (uint32_t i = 0; i < m->circuits.n; i++) {
            const struct circuit *c = m->circuits.at[i];
            const struct unit *unit = c->feeds ? c->feeds->unit : c->unit;
            if (!unit || !c->panel || c->panel->unit == unit)
                continue;
            if (!pass)
                ways_in[unit->id]++;
            else
                of_circuit[i].whole_dwelling = c->feeds && ways_in[unit->id] == 1;
        }
}

/* In a plan without units the service feeds one panel and nothing else; of an old one the plan does
 * not show what else it feeds. */
static void find_feeder_of_house(const struct model *m, struct circuit_load *of_circuit)
{
    const struct panel *service = NULL;
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct panel *p = m->panels.at[i];
        if (p->feeder)
            continue;
        if (service)
            return;
        service = p;
    }
    if (service && !m->units.n && !service->existing && service->circuits.n == 1 &&
        service->circuits.at[0]->feeds)
        of_circuit[service->circuits.at[0]->id].whole_dwelling = true;
}

/* --- what conductors are asked ------------------------------------------------------------- */

static uint32_t receptacles_on(const struct circuit *circuit)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < circuit->parts.n; i++)
        count += facts_receptacles_in(circuit->parts.at[i]);
    return count;
}

/* The only load of a circuit, where its nameplate names both the conductor and the breaker. */
static const struct part *nameplate_of(const struct circuit *circuit)
{
    const struct part *only = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (part->load <= 0 && part->mca <= 0)
            continue;
        if (only)
            return NULL;
        only = part;
    }
    return only && only->mca > 0 && only->max_breaker > 0 ? only : NULL;
}

/* What a neutral of its own size must be good for: on a feeder its part of the load calculation, on
 * a circuit of cooking appliances the share of their rating (210.19(A)(3), exception 2); any other
 * has a neutral like its lines. */
static double neutral_of(struct model *m, const struct circuit *c, const struct circuit_load *load)
{
    double asked = code_load(&m->code, SET_RANGE_CIRCUIT_FROM, INFINITY),
           share = code_share(&m->code, SET_RANGE_CIRCUIT_NEUTRAL_SHARE, 1);
    if (c->feeds)
        return load->calculated ? demand_rounded(&m->code, load->calculated_neutral) : c->breaker;
    return demand_of_cooking_circuit(m, c) > 0 && load->va >= asked ? share * c->breaker
                                                                    : c->breaker;
}

/* Of a breaker of no standard rating the load is not asked: that is said. */
static struct conductor_asks asks_of(struct model *m, const struct circuit *c,
                                     const struct circuit_load *load)
{
    double standard = c->breaker > 0 ? facts_standard_rating(&m->code, c->breaker, false) : 0,
           carried = c->feeds ? demand_rounded(&m->code, load->calculated_amps) : load->needed_amps;
    bool said = facts_amps_exceed(carried, c->breaker) || standard != c->breaker;
    struct conductor_asks asks = {
        .breaker = standard > 0 ? standard : c->breaker,
        .load = said ? 0 : carried,
        .several_receptacles = receptacles_on(c) > 1,
        .whole_dwelling = load->whole_dwelling,
        .neutral = neutral_of(m, c, load),
        .nameplate = nameplate_of(c),
        .thinnest = ANY_GAUGE,
        .thickest = -ANY_GAUGE,
    };
    for (uint32_t i = 0; i < c->parts.n; i++)
        facts_ask_terminals(&asks, c->parts.at[i]->device->def);
    return asks;
}

static uint32_t *count_below(struct arena *arena, const struct model *m, const panel_list *order)
{
    uint32_t *below = arena_array(arena, uint32_t, m->panels.n + 1);
    for (uint32_t i = order->n; i-- > 0;) {
        const struct circuit *feeder = order->at[i]->feeder;
        uint32_t *of = feeder && feeder->panel ? &below[feeder->panel->id] : NULL;
        if (of && *of <= below[order->at[i]->id])
            *of = below[order->at[i]->id] + 1;
    }
    return below;
}

/* Said once of a chain: of the last panel whose feeder is not calculated. */
static void say_too_deep(struct model *m, const struct panel *p)
{
    struct finding *f = model_finding(
        m, &rule_limit, node_span(p->node), p->unit,
        arena_printf(m->arena, "panel %s", address_of_panel(m->arena, p, false)),
        "panel %s feeds more than %d panels one behind another: its own feeder is not calculated",
        address_of_panel(m->arena, p, true), (int)MOST_BELOW);
    diag_mend(m->diag, f, "feeders that start nearer the service");
}

/* What new feeders carry by the load calculation. */
static void calculate_feeders(struct arena *arena, struct model *m, const uint32_t *below,
                              struct circuit_load *of_circuit)
{
    struct demand_frame *frame = NULL;
    for (uint32_t i = 0; i < m->panels.n; i++) {
        const struct circuit *feeder = m->panels.at[i]->feeder;
        if (!feeder || feeder->breaker <= 0 || feeder->existing ||
            feeder->feeds != m->panels.at[i] ||
            !facts_known(feeder, ITS_TEXT | ITS_CLAUSES | ITS_BREAKER))
            continue;
        if (below[i] > MOST_BELOW) {
            if (below[i] == MOST_BELOW + 1)
                say_too_deep(m, m->panels.at[i]);
            continue;
        }
        frame = frame ? frame : demand_prepare(arena, m);
        of_circuit[feeder->id].calculated = true;
        const struct demand *demand = demand_work_out(frame, METHOD_STANDARD, feeder->feeds);
        of_circuit[feeder->id].calculated_amps = demand->amps;
        of_circuit[feeder->id].calculated_neutral = demand->neutral_amps;
    }
}

struct loads *loads_work_out(struct arena *arena, struct model *m)
{
    struct loads *loads = arena_new(arena, struct loads);
    struct circuit_sum *sums = arena_array(arena, struct circuit_sum, m->circuits.n + 1);
    panel_list order = loads_panels_from_service(arena, m);
    sum_all(m, sums, &order);
    loads->of_circuit = arena_array(arena, struct circuit_load, m->circuits.n + 1);
    loads->asks = arena_array(arena, struct conductor_asks, m->circuits.n + 1);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        loads->of_circuit[i] = of_sum(&sums[i]);
    find_feeders_of_units(arena, m, loads->of_circuit);
    find_feeder_of_house(m, loads->of_circuit);
    loads->below = count_below(arena, m, &order);
    calculate_feeders(arena, m, loads->below, loads->of_circuit);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        loads->asks[i] = asks_of(m, m->circuits.at[i], &loads->of_circuit[i]);
    return loads;
}
