/* The cable of each run, declared or the least that serves, and which conductor carries which net in which colour. */
#include "wiring/work.h"

#include <stdlib.h>
#include <string.h>

/* --- the least cable ------------------------------------------------------------------------------------------------- */

/* Whether the edition lets a breaker of that rating protect the cable's conductors: small conductors by their own limit, others by their ampacity. */
static bool carries(struct model *m, const struct cable_def *d, double breaker)
{
    double amps = code_ampacity(&m->code, d->metal, d->size, d->rated);
    struct table *small = code_table(&m->code, "small-conductors");
    const struct value *limit = small ? table_cell(&m->code, small, d->size, d->metal == COPPER ? "copper" : "aluminium") : NULL;
    return amps >= breaker && (!limit || value_amount(limit, 0) >= breaker);
}

static bool less_cable(const struct cable_def *a, const struct cable_def *b)
{
    if (a->conductors != b->conductors)
        return a->conductors < b->conductors;
    if (a->gauge != b->gauge)
        return a->gauge > b->gauge;
    return a->whites < b->whites;
}

struct cable_def *least_cable(struct model *m, double breaker, unsigned conductors, unsigned whites)
{
    static const char *const family = "nm";
    struct cable_def *best = NULL;
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        struct cable_def *d = m->lib->cable_list.at[i];
        if (!d->power || !d->family || strcmp(d->family, family) || !strchr(d->name, '/') || d->conductors < conductors || d->whites < whites)
            continue;
        if (carries(m, d, breaker) && (!best || less_cable(d, best)))
            best = d;
    }
    return best;
}

/* --- order of nets ------------------------------------------------------------------------------------------------------ */

static int rank(const struct net *n)
{
    static const int ranks[] = {[N_LINE] = 0, [N_LEG] = 1, [N_TRAVELER] = 2, [N_INTERCONNECT] = 3, [N_NEUTRAL] = 4, [N_GROUND] = 5};
    return ranks[n->sort];
}

static int by_rank(const void *a, const void *b)
{
    const struct net *x = *(struct net *const *)a, *y = *(struct net *const *)b;
    if (rank(x) != rank(y))
        return rank(x) - rank(y);
    int circuit = strcmp(x->circuit->name, y->circuit->name);
    return circuit ? circuit : strcmp(x->name, y->name);
}

/* --- colours ---------------------------------------------------------------------------------------------------------------- */

static bool is_white(const char *color)
{
    return !strncmp(color, "white", 5);
}

/* Which nets may go on a re-identified white, the best first: the supply of a switch, line b of a 240 V load, last a traveler; never a leg. */
static int white_cost(const struct net *n)
{
    switch (n->sort) {
    case N_LINE: return n->pole == 'b' ? 0 : n->pole == 'a' ? 2 : 1;
    case N_TRAVELER: return 3;
    default: return 100;
    }
}

static int color_cost(const struct net *n, const char *color)
{
    static const struct {
        enum net_sort sort;
        const char *colors[3];
    } wishes[] = {
        {N_LINE, {"black", "red", "blue"}},      {N_LEG, {"red", "black", "blue"}},  {N_TRAVELER, {"black", "red", "blue"}},
        {N_INTERCONNECT, {"red", "blue", "black"}},
    };
    if (is_white(color))
        return 10 + 10 * white_cost(n);
    for (size_t i = 0; i < sizeof wishes / sizeof *wishes; i++)
        for (int k = 0; wishes[i].sort == n->sort && k < 3; k++)
            if (!strcmp(wishes[i].colors[k], color))
                return k;
    return 5;
}

/* Neutrals on whites; then each other net on the free conductor that costs least, the nets with the firmest wishes first. Cables have few conductors, so all
 * ways are tried. */
struct coloring {
    struct conductor *conductors;
    uint8_t count;
    struct net *nets[16];
    uint8_t net_count;
    int chosen[16], best[16];
    int best_cost;
};

static void color_from(struct coloring *k, uint8_t i, int cost)
{
    if (cost >= k->best_cost)
        return;
    if (i == k->net_count) {
        k->best_cost = cost;
        memcpy(k->best, k->chosen, sizeof k->best);
        return;
    }
    for (uint8_t c = 0; c < k->count; c++) {
        if (k->conductors[c].net)
            continue;
        k->conductors[c].net = k->nets[i];
        k->chosen[i] = c;
        color_from(k, i + 1, cost + color_cost(k->nets[i], k->conductors[c].color));
        k->conductors[c].net = NULL;
    }
}

static void color_run(struct run_wiring *w, const net_list *nets)
{
    struct coloring k = {.conductors = w->conductors, .count = w->count, .best_cost = 1 << 20};
    for (uint32_t i = 0; i < nets->n; i++) {
        struct net *n = nets->at[i];
        uint8_t c = 0;
        while (c < w->count && (w->conductors[c].net || !is_white(w->conductors[c].color)))
            c++;
        if (n->sort == N_NEUTRAL && c < w->count)
            w->conductors[c].net = n;
        else if (n->sort != N_NEUTRAL && k.net_count < 16)
            k.nets[k.net_count++] = n;
    }
    color_from(&k, 0, 0);
    for (uint8_t i = 0; i < k.net_count && k.best_cost < 1 << 20; i++) {
        struct conductor *c = &w->conductors[k.best[i]];
        c->net = k.nets[i];
        c->reidentified = is_white(c->color);
    }
    for (uint8_t i = 0; i < w->count; i++)
        w->used += w->conductors[i].net != NULL;
}

/* --- findings -------------------------------------------------------------------------------------------------------------- */

/* The cable clause of the run, else its hop in the chain. */
static struct span run_span(const struct run *r)
{
    if (r->own_cable)
        return node_span(node_child(r->node, F_CABLE));
    struct span a = r->from_span, z = r->to_span;
    if (!a.source || a.source != z.source)
        return node_span(r->node);
    if (z.off < a.off) {
        a = r->to_span;
        z = r->from_span;
    }
    a.len = z.off + z.len - a.off;
    return a;
}

static const char *net_words(struct model *m, const net_list *nets)
{
    const char *text = "";
    for (uint32_t i = 0; i < nets->n; i++)
        text = arena_printf(m->arena, "%s%s%s", text, i ? ", " : "", nets->at[i]->name);
    return text;
}

static unsigned neutrals_in(const net_list *nets)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < nets->n; i++)
        n += nets->at[i]->sort == N_NEUTRAL;
    return n;
}

static const char *run_subject(struct model *m, const struct run *r)
{
    return arena_printf(m->arena, "run %s\ncircuit %s", run_address(m->arena, r, false), circuit_address(m->arena, r->circuit, false));
}

static void say_missing(struct model *m, const struct run *r, const net_list *nets, const struct cable_def *cable)
{
    unsigned whites = neutrals_in(nets);
    bool by_white = nets->n <= cable->conductors;
    struct finding *f = model_finding(m, R_CONDUCTORS_MISSING, run_span(r), end_unit(r->from), run_subject(m, r),
                                      by_white ? "run %s needs %u neutrals (%s); %s has %u white conductor%s" : "run %s needs %u insulated conductors (%s); %s has %u%s",
                                      run_address(m->arena, r, true), by_white ? whites : nets->n, net_words(m, nets), cable->name, by_white ? cable->whites : cable->conductors,
                                      by_white && cable->whites != 1 ? "s" : "");
    const struct cable_def *larger = least_cable(m, r->circuit->breaker, nets->n, whites);
    const struct cable_def *two = least_cable(m, r->circuit->breaker, 2, 1);
    diag_mend(m->diag, f, "%s%s%s%s%s or feed one of the two from another box", larger ? "cable " : "", larger ? larger->name : "", larger ? "; or two cables side by side: cable " : "cable ",
              cable->name, two ? arena_printf(m->arena, " + %s;", two->name) : ";");
}

static void say_no_neutral(struct model *m, const struct run *r, const struct crossing *x, const struct cable_def *cable)
{
    struct finding *f = model_finding(m, R_NEUTRAL_MISSING, run_span(r), end_unit(r->from), run_subject(m, r),
                                      "run %s has no conductor for the neutral that is wanted at the switch locations beyond it; %s has %u, all in use (%s)",
                                      run_address(m->arena, r, true), cable->name, cable->conductors, net_words(m, &x->nets));
    const struct cable_def *larger = least_cable(m, r->circuit->breaker, x->nets.n + x->soft.n, 1);
    if (larger)
        diag_mend(m->diag, f, "cable %s, or bring the supply to the switch first", larger->name);
}

/* --- runs ------------------------------------------------------------------------------------------------------------------- */

static bool fits(const struct cable_def *d, unsigned nets, unsigned neutrals)
{
    return nets <= d->conductors && neutrals <= d->whites;
}

static void append(struct arena *a, net_list *to, const net_list *from)
{
    for (uint32_t i = 0; i < from->n; i++)
        *vec_push(a, to) = from->at[i];
    if (to->n)
        qsort(to->at, to->n, sizeof *to->at, by_rank);
}

/* The cable of a run with all that crosses it; the neutrals of switch locations are left out where only they do not fit. */
static void settle_run(struct wiring *w, struct model *m, struct run *r, struct crossing *x)
{
    struct run_wiring *out = &w->of_run[r->id];
    net_list all = {0};
    append(m->arena, &all, &x->nets);
    unsigned hard = x->nets.n, hard_neutrals = neutrals_in(&x->nets);
    append(m->arena, &all, &x->soft);
    out->needed = (uint8_t)(all.n > 255 ? 255 : all.n);
    out->cable = r->declared;
    if (!out->cable && r->circuit->breaker > 0)
        out->cable = least_cable(m, r->circuit->breaker, all.n < 2 ? 2 : all.n, neutrals_in(&all));
    if (!out->cable) {
        const struct cable_def *widest = r->circuit->breaker > 0 ? least_cable(m, r->circuit->breaker, 4, 1) : NULL;
        if (widest && all.n > 4)
            say_missing(m, r, &all, widest);
        return;
    }
    out->count = out->cable->conductors;
    out->conductors = arena_array(m->arena, struct conductor, out->count + 1u);
    for (uint8_t i = 0; i < out->count; i++)
        out->conductors[i].color = out->cable->colors[i];
    if (fits(out->cable, all.n, neutrals_in(&all))) {
        color_run(out, &all);
    } else if (fits(out->cable, hard, hard_neutrals)) {
        say_no_neutral(m, r, x, out->cable);
        qsort(x->nets.at, x->nets.n, sizeof *x->nets.at, by_rank);
        color_run(out, &x->nets);
    } else {
        say_missing(m, r, &all, out->cable);
    }
}

void choose_cables(struct wiring *w, struct model *m, struct crossing *crossing)
{
    for (uint32_t i = 0; i < m->runs.n; i++) {
        struct run *r = m->runs.at[i];
        bool known = r->circuit && r->in_tree && r->circuit->is_tree && !r->circuit->broken;
        if (known)
            settle_run(w, m, r, &crossing[i]);
        else
            w->of_run[i].cable = r->declared;
    }
}
