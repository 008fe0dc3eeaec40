/* The order of the switches of a leg and the place of its neutral, chosen together under one cost: exact for legs of few switches.
 *
 * All but the leg at hand is counted once; then each order only adds its travelers, its leg and the line to its first switch to what the runs carry. Cost, in
 * this order: runs whose declared cable is short, and by how many conductors; price (without prices, conductor-feet, cables of two and three before all others); whites that must be
 * re-identified, travelers last; distance of the fed switch from the source. Legs of one circuit are chosen in turn until nothing changes. */
#include "wiring/work.h"

#include <string.h>

/* What a run carries. */
struct load_of_run {
    uint16_t nets;
    uint8_t neutrals, lines;
};

typedef VEC(int) vertex_list;

struct chooser {
    struct circuit_work *c;
    struct leg_work *l;
    struct load_of_run *base;    /* by vertex, without the leg at hand */
    struct load_of_run *sum;     /* with the order at hand */
    uint32_t *touched, touched_count;
    vertex_list *between;        /* [i * count + k]: runs between two switches */
    vertex_list *to_loads;       /* [i]: runs of the leg from switch i on */
    vertex_list *to_source;      /* [i]: runs that the source must be brought along, to reach switch i */
    vertex_list *to_neutral;     /* [i]: the same for the neutral */
    uint32_t *order, *best;      /* the order at hand, and the best so far */
    int best_neutral;
    struct cost best_cost;
    bool any;
};

/* --- cost of a run --------------------------------------------------------------------------------------------------- */

static bool same(double a, double b)
{
    double d = a - b;
    return d < 1e-9 && d > -1e-9;
}

bool cost_less(const struct cost *a, const struct cost *b)
{
    if (a->short_runs != b->short_runs)
        return a->short_runs < b->short_runs;
    if (a->missing != b->missing)
        return a->missing < b->missing;
    if (!same(a->price, b->price))
        return a->price < b->price;
    if (a->whites != b->whites)
        return a->whites < b->whites;
    return !same(a->feet, b->feet) && a->feet < b->feet;
}

static void add_run(const struct circuit_work *c, int vertex, struct load_of_run load, struct cost *sum)
{
    enum { ORDINARY = 3 };
    const double rare = 1e6; /* cables of more than three conductors come after all others */
    const struct run *r = c->vertices[vertex].feed;
    const struct cable_def *d = r->declared;
    unsigned conductors = d ? d->conductors : load.nets < 2 ? 2 : load.nets, whites = d ? d->whites : load.neutrals > 1 ? load.neutrals : 1;
    if (d && (load.nets > conductors || load.neutrals > whites))
        sum->short_runs++;
    if (d && load.nets > conductors)
        sum->missing += (int)(load.nets - conductors);
    if (!d)
        sum->price += length_feet(c->routes->of_run[r->id].electrical) * (double)conductors + (conductors > ORDINARY ? rare : 0);
    unsigned others = load.nets - load.neutrals, colored = conductors > whites ? conductors - whites : 0;
    if (others > colored)
        sum->whites += load.lines ? 1 : 3;
}

/* --- ways ------------------------------------------------------------------------------------------------------------- */

struct collecting {
    struct arena *arena;
    vertex_list *list;
};

static void collect(struct circuit_work *c, int vertex, void *context)
{
    (void)c;
    struct collecting *k = context;
    *vec_push(k->arena, k->list) = vertex;
}

static vertex_list way(struct chooser *h, const int *vertices, uint32_t count)
{
    vertex_list list = {0};
    struct collecting k = {h->c->scratch, &list};
    join_vertices(h->c, vertices, count, collect, &k);
    return list;
}

/* Vertices where a net ends, among the gathered ends. */
static uint32_t ends_of(const struct chooser *h, const struct net *net, int *out)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < h->c->ends.n; i++)
        if (h->c->ends.at[i].net == net)
            out[n++] = h->c->ends.at[i].vertex;
    return n;
}

/* The runs that join one more vertex to a net, beyond those that carry it already. */
static vertex_list extension(struct chooser *h, const struct net *net, int vertex)
{
    struct circuit_work *c = h->c;
    int *ends = arena_array(c->scratch, int, c->ends.n + 1);
    uint32_t n = ends_of(h, net, ends);
    vertex_list all = {0}, now = way(h, ends, n);
    bool *has = arena_array(c->scratch, bool, c->vertex_count);
    for (uint32_t i = 0; i < now.n; i++)
        has[now.at[i]] = true;
    ends[n] = vertex;
    vertex_list with = way(h, ends, n + 1);
    for (uint32_t i = 0; i < with.n; i++)
        if (!has[with.at[i]])
            *vec_push(c->scratch, &all) = with.at[i];
    return all;
}

static void prepare_ways(struct chooser *h)
{
    struct leg_work *l = h->l;
    struct arena *s = h->c->scratch;
    uint32_t n = l->count;
    h->between = arena_array(s, vertex_list, n * n);
    h->to_loads = arena_array(s, vertex_list, n);
    h->to_source = arena_array(s, vertex_list, n);
    h->to_neutral = arena_array(s, vertex_list, n);
    int *with_loads = arena_array(s, int, l->load_count + 1);
    for (uint32_t i = 0; i < n; i++) {
        for (uint32_t k = 0; k < n; k++) {
            int pair[2] = {l->at[i], l->at[k]};
            if (k != i)
                h->between[i * n + k] = way(h, pair, 2);
        }
        memcpy(with_loads, l->loads, l->load_count * sizeof *with_loads);
        with_loads[l->load_count] = l->at[i];
        h->to_loads[i] = way(h, with_loads, l->load_count + 1);
        h->to_source[i] = extension(h, leg_source(h->c, l, i), l->at[i]);
        if (l->wants_neutral && l->one_is_enough)
            h->to_neutral[i] = extension(h, switch_neutral(h->c, l, i), l->at[i]);
    }
}

/* --- trying an order ---------------------------------------------------------------------------------------------------- */

static void put(struct chooser *h, const vertex_list *runs, uint16_t nets, uint8_t neutrals, uint8_t lines)
{
    for (uint32_t i = 0; i < runs->n; i++) {
        int v = runs->at[i];
        if (h->c->vertices[v].stamp != h->c->stamp) {
            h->c->vertices[v].stamp = h->c->stamp;
            h->sum[v] = h->base[v];
            h->touched[h->touched_count++] = (uint32_t)v;
        }
        h->sum[v].nets += nets;
        h->sum[v].neutrals += neutrals;
        h->sum[v].lines += lines;
    }
}

static void try_order(struct chooser *h, int neutral)
{
    struct leg_work *l = h->l;
    uint32_t n = l->count;
    uint16_t poles = l->two_pole ? 2 : 1;
    h->c->stamp++;
    h->touched_count = 0;
    put(h, &h->to_source[h->order[0]], poles, 0, 1);
    for (uint32_t k = 0; k + 1 < n; k++)
        put(h, &h->between[h->order[k] * n + h->order[k + 1]], 2, 0, 0);
    put(h, &h->to_loads[h->order[n - 1]], poles, 0, 0);
    if (neutral >= 0)
        put(h, &h->to_neutral[neutral], 1, 1, 0);
    struct cost cost = {.feet = h->c->vertices[l->at[h->order[0]]].feet};
    for (uint32_t i = 0; i < h->touched_count; i++) {
        struct cost before = {0}, now = {0};
        add_run(h->c, (int)h->touched[i], h->base[h->touched[i]], &before);
        add_run(h->c, (int)h->touched[i], h->sum[h->touched[i]], &now);
        cost.short_runs += now.short_runs - before.short_runs;
        cost.missing += now.missing - before.missing;
        cost.price += now.price - before.price;
        cost.whites += now.whites - before.whites;
    }
    if (h->any && !cost_less(&cost, &h->best_cost))
        return;
    h->any = true;
    h->best_cost = cost;
    h->best_neutral = neutral;
    memcpy(h->best, h->order, n * sizeof *h->best);
}

static void try_neutrals(struct chooser *h)
{
    const struct leg_work *l = h->l;
    if (!l->wants_neutral || !l->one_is_enough) {
        try_order(h, -1);
        return;
    }
    for (uint32_t i = 0; i < l->count; i++)
        try_order(h, (int)i);
}

/* A control that must be fed takes the first place; a four-way stands between others, a three-way at an end. */
static bool may_stand(const struct chooser *h, uint32_t place, uint32_t index)
{
    const struct device_def *def = h->l->switches[index]->device->def;
    bool end = !place || place + 1 == h->l->count;
    enum switch_kind kind;
    if (declared_switch_kind(def, &kind) && (kind == FOUR_WAY || kind == THREE_WAY) && (kind == THREE_WAY) != end)
        return false;
    return !place || (!def->first_only && !h->l->switches[index]->from_leg);
}

static void permute(struct chooser *h, uint32_t place)
{
    uint32_t n = h->l->count;
    if (place == n) {
        try_neutrals(h);
        return;
    }
    for (uint32_t i = place; i < n; i++) {
        uint32_t x = h->order[i];
        if (!may_stand(h, place, x))
            continue;
        /* Shift rather than swap, so that orders come in the order of names and the first of equals wins. */
        memmove(&h->order[place + 1], &h->order[place], (i - place) * sizeof *h->order);
        h->order[place] = x;
        permute(h, place + 1);
        memmove(&h->order[place], &h->order[place + 1], (i - place) * sizeof *h->order);
        h->order[i] = x;
    }
}

/* Beyond the exact number: from the switch nearest the source always on to the nearest. */
static void go_nearest(struct chooser *h)
{
    uint32_t n = h->l->count;
    for (uint32_t place = 1; place < n; place++) {
        uint32_t near = place;
        for (uint32_t i = place; i < n; i++)
            if (h->between[h->order[place - 1] * n + h->order[i]].n < h->between[h->order[place - 1] * n + h->order[near]].n)
                near = i;
        uint32_t x = h->order[near];
        memmove(&h->order[place + 1], &h->order[place], (near - place) * sizeof *h->order);
        h->order[place] = x;
    }
    try_neutrals(h);
}

struct counting {
    struct load_of_run *base;
    struct net *at;              /* the net whose runs are being marked */
};

static void count_base(struct circuit_work *c, int vertex, void *context)
{
    (void)c;
    struct counting *k = context;
    k->base[vertex].nets++;
    k->base[vertex].neutrals += k->at->sort == N_NEUTRAL;
    k->base[vertex].lines += k->at->sort == N_LINE;
}

/* Chooses for one leg; true where the order changed. */
static bool choose(struct circuit_work *c, struct leg_work *l)
{
    struct chooser h = {.c = c, .l = l, .best_neutral = -1};
    uint32_t n = l->count;
    h.base = arena_array(c->scratch, struct load_of_run, c->vertex_count);
    h.sum = arena_array(c->scratch, struct load_of_run, c->vertex_count);
    h.touched = arena_array(c->scratch, uint32_t, c->vertex_count);
    h.order = arena_array(c->scratch, uint32_t, n);
    c->skipped = l;
    gather_ends(c);
    int neutral = l->neutral_at;
    l->neutral_at = -1;
    add_soft_ends(c);
    struct counting k = {.base = h.base};
    each_net(c, count_base, &k, &k.at);
    h.best = arena_array(c->scratch, uint32_t, n);
    prepare_ways(&h);
    c->skipped = NULL;
    for (uint32_t i = 0; i < n; i++)
        h.order[i] = i;
    if (n <= EXACT_SWITCHES)
        permute(&h, 0);
    if (!h.any)
        go_nearest(&h);
    struct part **switches = arena_array(c->scratch, struct part *, n);
    int *vertices = arena_array(c->scratch, int, n);
    bool changed = neutral != h.best_neutral;
    for (uint32_t i = 0; i < n; i++) {
        switches[i] = l->switches[h.best[i]];
        vertices[i] = l->at[h.best[i]];
        changed |= h.best[i] != i;
        if ((int)h.best[i] == h.best_neutral)
            l->neutral_at = (int)i;
    }
    memcpy(l->switches, switches, n * sizeof *switches);
    memcpy(l->at, vertices, n * sizeof *vertices);
    return changed;
}

void choose_orders(struct circuit_work *c)
{
    enum { ROUNDS = 4 };
    uint32_t open = 0; /* legs where there is something to choose */
    for (uint32_t i = 0; i < c->leg_count; i++) {
        struct leg_work *l = &c->legs[i];
        open += l->count > 1;
        l->neutral_at = l->count == 1 && l->wants_neutral ? 0 : -1;
    }
    bool changed = open > 0;
    for (int round = 0; round < ROUNDS && changed; round++) {
        changed = false;
        for (uint32_t i = 0; i < c->leg_count; i++)
            changed |= c->legs[i].count > 1 && choose(c, &c->legs[i]);
        changed &= open > 1;
    }
}

struct cost circuit_cost(struct circuit_work *c)
{
    struct cost cost = {0};
    struct counting k = {.base = arena_array(c->scratch, struct load_of_run, c->vertex_count)};
    gather_ends(c);
    add_soft_ends(c);
    each_net(c, count_base, &k, &k.at);
    for (uint32_t v = 1; v < c->vertex_count; v++)
        add_run(c, (int)v, k.base[v], &cost);
    return cost;
}
