/* Where the nets of a circuit end, by place. What crosses a run hangs on the places behind it: a
 * net crosses it where it has ends on both sides. Of what hangs on the order of switches as well,
 * what is sure is counted alone. */
#include "propose/runs.h"

#include "facts/devices.h"
#include "model/makeup.h"
#include "wiring/work.h"

/* A leg while its places are found. */
struct gathering {
    struct string_job *job;
    struct map leg_of; /* (leg, 0) -> index + 1 */
    VEC(const struct leg *) legs;
};

static place_set place_of_box(const struct string_job *job, const struct box *box)
{
    for (uint32_t i = 0; i < job->count; i++)
        if (job->places[i].box == box)
            return (place_set)1 << i;
    return 0;
}

static struct string_leg *leg_of(struct gathering *g, const struct leg *leg)
{
    struct arena *a = &g->job->c->arena;
    void **at = map_at(a, &g->leg_of, (uintptr_t)leg, 0);
    if (!*at) {
        *vec_push(a, &g->job->nets.legs) = (struct string_leg){0};
        *vec_push(a, &g->legs) = leg;
        *at = (void *)(uintptr_t)g->legs.n;
    }
    return &g->job->nets.legs.at[(uintptr_t)*at - 1];
}

static uint8_t pole_of(const struct string_job *job, const struct part *p)
{
    return job->nets.poles > 1 && p->pole == 'b';
}

static void gather_load(struct gathering *g, const struct part *p, place_set at)
{
    struct string_nets *n = &g->job->nets;
    bool two = body_has(p->body, false, NET_LINE_A) && body_has(p->body, false, NET_LINE_B);
    if (p->leg) {
        struct string_leg *l = leg_of(g, p->leg);
        l->loads |= at;
        l->two_pole |= two;
    } else if (two) {
        n->line[0] |= at;
        n->line[1] |= at;
    } else if (body_has(p->body, false, NET_LINE)) {
        n->line[pole_of(g->job, p)] |= at;
    }
    n->neutral |= body_has(p->body, false, NET_NEUTRAL) ? at : 0;
    n->interconnect |= body_has(p->body, false, NET_INTERCONNECT) ? at : 0;
}

static void gather_control(struct gathering *g, const struct part *p, place_set at)
{
    struct string_nets *n = &g->job->nets;
    if (p->device->def->wants_neutral || body_has(p->body, false, NET_NEUTRAL))
        n->neutral |= at;
    if (wiring_hands_on(p->device->def) & NET_LINE)
        n->line[pole_of(g->job, p)] |= at;
    if (!p->leg)
        return;
    const struct model *m = g->job->c->model;
    struct string_leg *l = leg_of(g, p->leg);
    l->switches |= at;
    l->ordered = l->count < STRING_MOST_SWITCHES;
    if (l->ordered)
        l->at[l->count++] = at;
    l->two_pole |= p->volts == m->line_volts && m->line_volts != m->volts;
    l->pole = pole_of(g->job, p);
    l->by_line = !p->from_leg;
    if (p->from_leg)
        leg_of(g, p->from_leg)->loads |= at;
}

static void gather_parts(struct gathering *g)
{
    const struct circuit *c = g->job->circuit;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part *p = c->parts.at[i];
        place_set at = place_of_box(g->job, p->device->box);
        if (!at)
            continue;
        if (!facts_is_for_lights(p))
            g->job->nets.other |= at;
        if (p->control)
            gather_control(g, p, at);
        else
            gather_load(g, p, at);
    }
}

/* What hands on what lies behind it takes it itself. */
static void gather_protector(struct gathering *g, const struct box *box, place_set at)
{
    struct string_nets *n = &g->job->nets;
    const struct device *d = wiring_handing_on(box, g->job->circuit);
    for (uint8_t k = 0; d && k < n->poles; k++)
        n->line[k] |= at;
    if (d && wiring_hands_on(d->def) & NET_NEUTRAL)
        n->neutral |= at;
}

static void gather_boxes(struct gathering *g)
{
    struct string_nets *n = &g->job->nets;
    for (uint32_t i = 0; i < g->job->count; i++) {
        const struct box *box = g->job->places[i].box;
        place_set at = (place_set)1 << i;
        if (!box)
            continue;
        gather_protector(g, box, at);
        n->bare |= !box->device_count && !box->capped.n ? at : 0;
        n->lights |= facts_passes_lights_only(box) ? at : 0;
        for (uint32_t k = 0; k < box->capped.n; k++)
            if (map_get(&g->leg_of, (uintptr_t)box->capped.at[k], 0)) {
                struct string_leg *l = leg_of(g, box->capped.at[k]);
                l->loads |= at;
                n->neutral |= l->two_pole ? 0 : at;
            }
    }
}

/* The neutrals that the edition asks at switches. */
static void gather_asked(struct gathering *g)
{
    struct string_nets *n = &g->job->nets;
    struct arena *a = &g->job->c->arena;
    for (uint32_t i = 0; i < g->legs.n; i++) {
        const struct leg *leg = g->legs.at[i];
        struct part **on = arena_array(a, struct part *, leg->controls.n + 1);
        uint32_t count = 0;
        bool one;
        for (uint32_t k = 0; k < leg->controls.n; k++)
            if (leg->controls.at[k]->circuit == g->job->circuit)
                on[count++] = leg->controls.at[k];
        if (!count || !wiring_asks_neutral(g->job->c->model, leg, on, count, &one))
            continue;
        if (count == 1 || !one)
            n->neutral |= n->legs.at[i].switches;
        n->legs.at[i].neutral_at_one = one;
    }
}

/* In the order of their places, which no name decides; legs whose orders would be too many, or that
 * hang on another leg, stay without one. */
static void find_orders(struct string_nets *n)
{
    for (uint32_t i = 0; i < n->legs.n; i++) {
        struct string_leg *l = &n->legs.at[i];
        for (uint8_t k = 1; k < l->count; k++)
            for (uint8_t m = k; m && l->at[m] < l->at[m - 1]; m--) {
                place_set at = l->at[m];
                l->at[m] = l->at[m - 1];
                l->at[m - 1] = at;
            }
        l->ordered = l->ordered && (l->by_line || l->count < 2) && !l->two_pole;
        if (string_order_count(n) > STRING_MOST_ORDERS)
            l->ordered = false;
    }
}

void string_find_nets(struct string_job *job)
{
    struct gathering g = {.job = job};
    job->nets.poles = circuit_poles(job->circuit);
    gather_parts(&g);
    gather_boxes(&g);
    gather_asked(&g);
    find_orders(&job->nets);
}

static uint32_t orders_of(const struct string_leg *l)
{
    uint32_t n = 1;
    for (uint32_t k = 2; l->ordered && k <= l->count; k++)
        n *= k;
    return n;
}

uint32_t string_order_count(const struct string_nets *n)
{
    uint32_t all = 1;
    for (uint32_t i = 0; i < n->legs.n; i++)
        all *= orders_of(&n->legs.at[i]);
    return all;
}

/* The places in their order first, then each of the orders by the digits of its number. */
static void set_order_of(struct string_leg *l, uint32_t order)
{
    place_set sorted[STRING_MOST_SWITCHES];
    uint8_t left = l->count;
    for (uint8_t k = 0; k < l->count; k++) {
        uint8_t at = k;
        for (; at && sorted[at - 1] > l->at[k]; at--)
            sorted[at] = sorted[at - 1];
        sorted[at] = l->at[k];
    }
    for (uint8_t k = 0; k < l->count; k++, left--) {
        uint32_t pick = order % left;
        order /= left;
        l->at[k] = sorted[pick];
        for (uint8_t m = (uint8_t)pick; m + 1 < left; m++)
            sorted[m] = sorted[m + 1];
    }
}

void string_set_order(struct string_nets *n, uint32_t order)
{
    for (uint32_t i = 0; i < n->legs.n; i++) {
        uint32_t own = orders_of(&n->legs.at[i]);
        if (own > 1)
            set_order_of(&n->legs.at[i], order % own);
        order /= own;
    }
}

/* Conductors of a leg over a run, whatever the order of its switches: travelers where they stand on
 * both sides, and the leg where not all that it works is on the side of the last one. */
static unsigned conductors_of_any(const struct string_leg *l, place_set behind)
{
    bool on[2] = {l->switches & ~behind, l->switches & behind},
         works[2] = {l->loads & ~behind, l->loads & behind};
    unsigned each = l->two_pole ? 2 : 1;
    if (on[0] && on[1])
        return 2 + (works[0] && works[1] ? each : 0);
    if (!on[0] && !on[1])
        return works[0] && works[1] ? each : 0;
    return works[on[0]] ? each : 0;
}

static bool crosses(place_set ends, place_set behind)
{
    return ends & behind && ends & ~behind;
}

static unsigned conductors_of_leg(const struct string_leg *l, place_set behind)
{
    unsigned count = 0;
    if (!l->ordered || !l->count)
        return conductors_of_any(l, behind);
    for (uint8_t k = 1; k < l->count; k++)
        count += crosses(l->at[k - 1] | l->at[k], behind) ? 2 : 0;
    return count + crosses(l->at[l->count - 1] | l->loads, behind);
}

unsigned string_conductors(const struct string_nets *n, place_set behind)
{
    bool alone = !(behind & (behind - 1)) && n->bare & behind;
    bool line[2] = {alone || n->line[0] & behind, n->line[1] & behind},
         neutral = alone || n->neutral & behind;
    unsigned count = 0;
    for (uint32_t i = 0; i < n->legs.n; i++) {
        const struct string_leg *l = &n->legs.at[i];
        bool all = l->switches && !(l->switches & ~behind),
             fed = l->ordered && l->count ? l->at[0] & behind : all;
        count += conductors_of_leg(l, behind);
        neutral |= all && l->neutral_at_one;
        line[l->pole] |= fed && l->by_line;
        line[1] |= fed && l->by_line && l->two_pole;
    }
    for (uint8_t k = 0; k < n->poles; k++)
        count += line[k];
    return count + neutral + crosses(n->interconnect, behind);
}
