#include "framing/routes.h"
#include "wiring/work.h"

#include "diag/diag.h"
#include "facts/facts.h"

#include <string.h>

const char *wiring_switch_kind_word(enum switch_kind k)
{
    static const char *const words[] = {"single-pole", "three-way", "four-way", "two-pole"};
    return words[k];
}

/* --- what crosses each run ---------------------------------------------------------------- */

struct marking {
    struct crossing *crossing; /* by run id */
    struct net *at;            /* the net whose runs are being marked */
    bool soft; /* marking with the neutrals of switch locations: what is not there yet is theirs */
};

/* Nets are marked in the order of their ids, so that the list is sorted. */
static bool has(const net_list *list, const struct net *n)
{
    uint32_t low = 0, high = list->n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (list->at[middle]->id < n->id)
            low = middle + 1;
        else
            high = middle;
    }
    return low < list->n && list->at[low] == n;
}

static void mark(struct circuit_work *c, int vertex, void *context)
{
    struct marking *k = context;
    struct crossing *x = &k->crossing[c->vertices[vertex].feed->id];
    if (!k->soft)
        *vec_push(c->arena, &x->nets) = k->at;
    else if (!has(&x->nets, k->at))
        *vec_push(c->arena, &x->soft) = k->at;
}

/* A switch that cannot be what its place asks for, or a load that takes other lines than it breaks:
 * what the leg does is not decided. */
static const struct part *misfit_of(const struct circuit_work *c, const struct leg_work *l,
                                    const struct leg_wiring *w)
{
    for (uint32_t k = 0; k < w->count; k++)
        if (!(w->switches[k]->body->serves & 1u << w->kinds[k]) || (l->two_pole && w->count > 1))
            return w->switches[k];
    for (uint32_t i = 0; i < l->leg->loads.n; i++) {
        const struct part *load = l->leg->loads.at[i];
        if (!load->control && c->m->line_volts != c->m->volts &&
            (load->volts == c->m->line_volts) != l->two_pole)
            return load;
    }
    return NULL;
}

bool wiring_buys_device(const struct wiring *w, const struct device *d)
{
    return !d->existing || w->swapped[d->id];
}

bool wiring_kind_untold(const struct wiring *w, const struct part *p)
{
    unsigned serves = p->body->serves;
    return p->control && p->device->existing && !w->swapped[p->device->id] && serves & (serves - 1);
}

static enum switch_kind kind_at(uint32_t place, uint32_t count, bool two_pole)
{
    return two_pole                           ? TWO_POLE
           : count == 1                       ? SINGLE_POLE
           : place == 0 || place + 1 == count ? THREE_WAY
                                              : FOUR_WAY;
}

/* What an old switch was is told by the old switches of its leg alone, in the same order; one that
 * must be of another kind now is bought, where its type does not say that it is of that kind. */
static void find_swapped(struct circuit_work *c, const struct leg_wiring *l, bool two_pole)
{
    uint32_t old = 0, place = 0;
    for (uint32_t k = 0; k < l->count; k++)
        old += l->switches[k]->device->existing;
    for (uint32_t k = 0; k < l->count; k++) {
        const struct part *p = l->switches[k];
        if (!p->device->existing)
            continue;
        enum switch_kind was = kind_at(place++, old, two_pole);
        if (was != l->kinds[k] && p->body->serves & 1u << was &&
            p->body->serves & 1u << l->kinds[k])
            c->w->swapped[p->device->id] = true;
    }
}

static void keep_orders(struct circuit_work *c)
{
    for (uint32_t i = 0; i < c->leg_count; i++) {
        const struct leg_work *l = &c->legs[i];
        struct leg_wiring *out = &c->w->of_leg[l->leg->id];
        out->count = l->count;
        out->switches = arena_array(c->arena, struct part *, l->count);
        out->kinds = arena_array(c->arena, enum switch_kind, l->count);
        for (uint32_t k = 0; k < l->count; k++) {
            out->switches[k] = l->switches[k];
            out->kinds[k] = kind_at(k, l->count, l->two_pole);
        }
        out->misfit = misfit_of(c, l, out);
        find_swapped(c, out, l->two_pole);
    }
}

/* Which part of its box every run leaves, for the make-up. */
static void keep_feeds(struct circuit_work *c)
{
    for (uint32_t i = 0; i < c->circuit->runs.n; i++) {
        const struct run *r = c->circuit->runs.at[i];
        struct run *left =
            r->in_tree && r->from.box ? wiring_feed_of_thing(c, r->from.box, r) : NULL;
        if (left)
            map_put(c->arena, &c->w->left_part, (uintptr_t)r, (uintptr_t)c->circuit, left);
        if (r->in_tree && r->to.box && map_get(&c->feeds, (uintptr_t)r->to.box, 1))
            map_put(c->arena, &c->w->fed_part, (uintptr_t)r, (uintptr_t)c->circuit, (void *)r);
    }
}

static void wire_circuit(struct circuit_work *c, struct crossing *crossing)
{
    wiring_find_feeds(c);
    if (!wiring_choose_parts(c))
        return;
    c->as_written = true;
    if (wiring_circuit_cost(c).short_runs)
        wiring_choose_parts(c);
    struct marking k = {.crossing = crossing};
    wiring_gather_ends(c);
    wiring_each_net(c, mark, &k, &k.at);
    k.soft = true;
    wiring_add_soft_ends(c);
    for (uint32_t i = 0; i < c->leg_count; i++)
        if (c->legs[i].wants_neutral)
            diag_looked(c->m->diag, &rule_neutral_missing_at_switch);
    wiring_each_net(c, mark, &k, &k.at);
    keep_orders(c);
    keep_feeds(c);
    wiring_record_terminals(c);
}

/* About as many as will be recorded: a switch that takes another form may have more. */
static uint32_t count_terminals(const struct model *m)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++)
            n += m->devices.at[i]->parts[k].body->terminal_count +
                 m->devices.at[i]->parts[k].control;
    return n;
}

struct wiring *wire(struct arena *arena, struct model *m, const struct routes *routes,
                    const struct conductor_asks *asks, const int *gauges)
{
    struct wiring *w = arena_new(arena, struct wiring);
    w->mountings = routes->mountings;
    w->lying = routes->lying;
    w->of_run = arena_array(arena, struct run_wiring, m->runs.n);
    w->of_leg = arena_array(arena, struct leg_wiring, m->legs.n);
    w->forms = arena_array(arena, struct part_form *, m->devices.n);
    w->swapped = arena_array(arena, bool, m->devices.n + 1);
    w->through_panel = arena_array(arena, bool, m->circuits.n + 1);
    w->of_box = arena_array(arena, struct fill, m->boxes.n);
    struct arena scratch = {.out_of_memory = arena->out_of_memory}, tree = scratch,
                 passing = scratch, between = scratch; /* the last until cables are chosen */
    struct crossing *crossing = arena_array(&between, struct crossing, m->runs.n);
    vec_reserve(arena, &w->terminals, count_terminals(m));
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        struct circuit_work c = {.w = w,
                                 .m = m,
                                 .routes = routes,
                                 .arena = arena,
                                 .scratch = &scratch,
                                 .tree = &tree,
                                 .passing = &passing,
                                 .circuit = m->circuits.at[i]};
        if (facts_known(c.circuit, ITS_TEXT | ITS_LINES))
            wire_circuit(&c, crossing);
        arena_reset(&scratch);
        arena_reset(&tree);
        arena_reset(&passing);
    }
    arena_free(&scratch);
    arena_free(&tree);
    arena_free(&passing);
    wiring_choose_cables(w, m, routes, crossing, asks, gauges);
    arena_free(&between);
    fill_boxes(w, m);
    return w;
}
