/* The conductors of every run and the order of the switches of a leg, against a search of our own
 * that tries all orders and counts net by net; of many switches, where not all orders are tried,
 * that each stands nearest to the one before it. */
#include "compiled.h"
#include "framing/routes.h"
#include "generate.h"
#include "wiring/wiring.h"

enum {
    PLANS = 300,
    FEW_BOXES = 12,
    FEW_SWITCHES = 6,
    LONG_PLANS = 100,
    MOST_BOXES = 40,
    LEAST_OF_MANY = 9,
    MOST_SWITCHES = 40
};

/* A tree of boxes (box 0 hangs on the panel) and what stands in each, as written into the plan. */
struct tree_plan {
    unsigned boxes, parent[MOST_BOXES], switches, at[MOST_SWITCHES];
    bool leg_load[MOST_BOXES], live_load[MOST_BOXES], devices[MOST_BOXES], leaf[MOST_BOXES];
    double feet[MOST_BOXES]; /* of the run that feeds each box; set from the compiled plan */
};

/* One leg with its switches, receptacles on it and others beside it; a receptacle as a load lets
 * the edition ask for no neutral at the switches. */
static void draw_plan(struct tree_plan *t, uint64_t seed, bool many, struct buf *out)
{
    uint64_t state = seed;
    *t = (struct tree_plan){.boxes = 3 + pick(&state, (many ? MOST_BOXES : FEW_BOXES) - 3),
                            .switches =
                                many ? LEAST_OF_MANY + pick(&state, MOST_SWITCHES - LEAST_OF_MANY)
                                     : 1 + pick(&state, FEW_SWITCHES)};
    for (unsigned b = 0; b < t->boxes; b++)
        t->leaf[b] = true;
    for (unsigned b = 1; b < t->boxes; b++) {
        t->parent[b] = pick(&state, b);
        t->leaf[t->parent[b]] = false;
    }
    for (unsigned i = 0; i < t->switches; i++)
        t->at[i] = pick(&state, t->boxes);
    for (unsigned n = 1 + pick(&state, 3); n--;)
        t->leg_load[pick(&state, t->boxes)] = true;
    for (unsigned b = 0; b < t->boxes; b++)
        t->live_load[b] = chance(&state, 25);
    buf_puts(out, "plan \"Tree\" { edition nec-2023 }\ncable 12/9 : nm { size 12; conductors black "
                  "red blue yellow brown orange pink gray white; diameter 0.7\" }\n"
                  "cable 12/5 : nm { size 12; conductors black red blue yellow white; diameter "
                  "0.6\" }\nroom store { kind storage; size 140' by 140'\n");
    static const char *const walls[] = {"north", "east", "south", "west"};
    for (unsigned b = 0; b < t->boxes; b++) {
        buf_printf(out, "  box B%u %s at %u' up 4' {\n", b, walls[pick(&state, 4)], 3 * b + 2);
        for (unsigned i = 0; i < t->switches; i++)
            if (t->at[i] == b)
                buf_puts(out, "    switch leg x\n");
        for (unsigned i = 0; i < t->switches; i++)
            t->devices[b] |= t->at[i] == b;
        t->devices[b] |= t->leg_load[b] | t->live_load[b];
        buf_printf(out, "%s%s  }\n", t->leg_load[b] ? "    receptacle leg x\n" : "",
                   t->live_load[b] ? "    receptacle\n" : "");
    }
    buf_puts(out, "}\npanel P { in store east at 39' up 5'; main 60 A; spaces 8 }\ncircuit P.1 {\n "
                  " breaker 20 A\n  run P -> store.B0\n");
    for (unsigned b = 1; b < t->boxes; b++)
        buf_printf(out, "  run store.B%u -> B%u\n", t->parent[b], b);
    buf_puts(out, "}\n");
}

/* --- counting ----------------------------------------------------------------------------- */

static bool below(const struct tree_plan *t, unsigned b, unsigned top)
{
    while (b != top && b)
        b = t->parent[b];
    return b == top;
}

/* Whether a net with ends in these boxes (and at the panel) crosses the run that feeds `run`: it
 * has ends on both sides. */
static bool crosses(const struct tree_plan *t, const bool *ends, bool panel, unsigned run)
{
    bool inside = false, outside = panel;
    for (unsigned b = 0; b < t->boxes; b++)
        if (ends[b])
            *(below(t, b, run) ? &inside : &outside) = true;
    return inside && outside;
}

static unsigned conductors(const struct tree_plan *t, const unsigned *order, unsigned run)
{
    bool line[MOST_BOXES] = {false}, neutral[MOST_BOXES] = {false}, leg[MOST_BOXES] = {false};
    for (unsigned b = 0; b < t->boxes; b++) {
        bool later = t->leaf[b] && !t->devices[b];
        line[b] = t->live_load[b] || later;
        neutral[b] = t->live_load[b] || t->leg_load[b] || later;
        leg[b] = t->leg_load[b];
    }
    line[t->at[order[0]]] = true;
    leg[t->at[order[t->switches - 1]]] = true;
    unsigned count =
        crosses(t, line, true, run) + crosses(t, neutral, true, run) + crosses(t, leg, false, run);
    for (unsigned i = 0; i + 1 < t->switches; i++) {
        bool pair[MOST_BOXES] = {false};
        pair[t->at[order[i]]] = pair[t->at[order[i + 1]]] = true;
        count += 2 * crosses(t, pair, false, run);
    }
    return count;
}

/* Cables of more than three conductors come after all others, then conductor-feet count. */
struct cable_price {
    unsigned rare;
    double feet;
};

static struct cable_price price_of(const struct tree_plan *t, const unsigned *order)
{
    struct cable_price p = {0};
    for (unsigned b = 0; b < t->boxes; b++) {
        unsigned n = conductors(t, order, b);
        p.rare += n > 3;
        p.feet += t->feet[b] * (n < 2 ? 2 : n);
    }
    return p;
}

static bool cheaper(struct cable_price a, struct cable_price b)
{
    return a.rare != b.rare ? a.rare < b.rare : a.feet < b.feet - 1e-6;
}

static void try_orders(const struct tree_plan *t, unsigned *order, unsigned from,
                       struct cable_price *best)
{
    if (from == t->switches) {
        struct cable_price p = price_of(t, order);
        if (cheaper(p, *best))
            *best = p;
        return;
    }
    for (unsigned i = from; i < t->switches; i++) {
        unsigned s = order[from];
        order[from] = order[i];
        order[i] = s;
        try_orders(t, order, from + 1, best);
        order[i] = order[from];
        order[from] = s;
    }
}

/* --- against the compiler ----------------------------------------------------------------- */

static unsigned box_number(const struct box *b)
{
    return (unsigned)atoi(b->name + 1);
}

/* The order that the compiler chose, as places in t->at; switches of one box are alike. */
static void chosen_order(const struct tree_plan *t, const struct compilation *c, unsigned *order)
{
    const struct leg_wiring *l = &c->wiring->of_leg[c->model->legs.at[0]->id];
    bool used[MOST_SWITCHES] = {false};
    assert_int_equal(l->count, t->switches);
    for (unsigned i = 0; i < l->count; i++) {
        unsigned k = 0;
        while (used[k] || t->at[k] != box_number(l->switches[i]->device->box))
            k++;
        used[k] = true;
        order[i] = k;
    }
}

/* The conductors of each run are as counted; notes the length of each. */
static void check_runs(struct tree_plan *t, const struct compilation *c, const unsigned *order,
                       uint64_t seed, const char *text)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        unsigned b = box_number(c->model->runs.at[i]->to.box), wanted = conductors(t, order, b);
        t->feet[b] = length_feet(c->routes->of_run[i].electrical);
        if (c->wiring->of_run[i].needed != wanted)
            fprintf(stderr, "seed %llu, run to B%u: %u conductors, counted %u\n%s",
                    (unsigned long long)seed, b, c->wiring->of_run[i].needed, wanted, text);
        assert_int_equal(c->wiring->of_run[i].needed, wanted);
    }
}

static void check_plan(uint64_t seed, unsigned *runs)
{
    struct tree_plan t;
    struct buf text = {0};
    struct compilation c;
    draw_plan(&t, seed, false, &text);
    compile_text(&c, buf_text(&text));
    unsigned order[MOST_SWITCHES];
    chosen_order(&t, &c, order);
    check_runs(&t, &c, order, seed, buf_text(&text));
    *runs += c.model->runs.n;
    struct cable_price chosen = price_of(&t, order), best = chosen;
    unsigned all[MOST_SWITCHES] = {0, 1, 2, 3, 4, 5};
    try_orders(&t, all, 0, &best);
    if (cheaper(best, chosen))
        fprintf(stderr,
                "seed %llu: %u rare cables and %.1f conductor-feet, %u and %.1f would do\n%s",
                (unsigned long long)seed, chosen.rare, chosen.feet, best.rare, best.feet,
                buf_text(&text));
    assert_false(cheaper(best, chosen));
    compile_free(&c);
    buf_free(&text);
}

static void orders_are_the_best_of_all(void **state)
{
    (void)state;
    unsigned runs = 0;
    for (unsigned seed = 1; seed <= PLANS; seed++)
        check_plan(seed, &runs);
    printf("%u plans, %u runs: conductors as counted, no order is better\n", PLANS, runs);
}

/* Runs between two boxes. */
static unsigned runs_between(const struct tree_plan *t, unsigned a, unsigned b)
{
    unsigned n = 0;
    for (; !below(t, b, a); a = t->parent[a])
        n++;
    for (; b != a; b = t->parent[b])
        n++;
    return n;
}

/* From the switch nearest the source always on to the nearest that is left. */
static void many_switches_go_to_the_nearest(void **state)
{
    (void)state;
    for (unsigned seed = 1; seed <= LONG_PLANS; seed++) {
        struct tree_plan t;
        struct buf text = {0};
        struct compilation c;
        draw_plan(&t, seed, true, &text);
        compile_text(&c, buf_text(&text));
        unsigned order[MOST_SWITCHES];
        chosen_order(&t, &c, order);
        check_runs(&t, &c, order, seed, buf_text(&text));
        for (unsigned i = 0; i < t.switches; i++)
            for (unsigned k = i + 1; k < t.switches; k++) {
                unsigned from = i ? t.at[order[i - 1]] : 0;
                assert_true(runs_between(&t, from, t.at[order[i]]) <=
                            runs_between(&t, from, t.at[order[k]]));
            }
        compile_free(&c);
        buf_free(&text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(orders_are_the_best_of_all),
                                       cmocka_unit_test(many_switches_go_to_the_nearest)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
