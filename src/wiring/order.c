/* The order of the switches of a leg and the place of its neutral, chosen together under one cost:
 * exact for legs of few switches. Of many one order alone is made and nothing is kept by pairs, so
 * that memory is linear in them.
 *
 * All but the leg at hand is counted once; then each order only adds its travelers, its leg and the
 * line to its first switch to what the runs carry. Cost, in this order: runs whose declared cable
 * is short, and by how many conductors; price (without prices, conductor-feet, cables of two and
 * three before all others); whites that must be re-identified, travelers last; distance of the fed
 * switch from the source. Legs of one circuit are chosen in turn until nothing changes. */
#include "framing/routes.h"
#include "wiring/work.h"

#include <string.h>

/* What a run carries. */
struct load_of_run {
    uint32_t nets;
    uint32_t neutrals, lines;
};

typedef VEC(int) vertex_list;

/* The runs that carry a net without the leg at hand. */
struct reach {
    const struct net *net;
    int top;              /* where its ways meet; NO_VERTEX: it ends nowhere */
    uint32_t *stamp, now; /* by vertex: `now` where the run above it carries the net */
};

struct chooser {
    struct circuit_work *c;
    struct leg_work *l;
    struct arena *arena;
    bool every;               /* every order is tried; else the one that go_nearest makes */
    struct load_of_run *base; /* by vertex, without the leg at hand */
    struct load_of_run *sum;  /* with the order at hand */
    uint32_t *touched, touched_count;
    vertex_list *between;  /* [i * count + k]: runs between two switches; of one order [k]: from its
                              switch k to the next */
    vertex_list *to_loads; /* [i]: runs of the leg from switch i on */
    vertex_list *to_source; /* [i]: runs that the source must be brought along, to reach switch i */
    vertex_list *to_neutral; /* [i]: the same for the neutral; of one order only [0], made anew for
                                each switch */
    struct reach source, neutral;
    uint32_t *order, *best; /* the order at hand, and the best so far */
    int best_neutral;
    struct cost best_cost;
    bool any;
};

/* --- cost of a run ------------------------------------------------------------------------ */

static bool same(double a, double b)
{
    double d = a - b;
    return d < 1e-9 && d > -1e-9;
}

bool wiring_cost_less(const struct cost *a, const struct cost *b)
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

/* A run costs what it has to carry, whether its cable is written or will be chosen: a plan in which
 * the chosen cables are written keeps its orders. Where written ones turn out short, that counts
 * before all else. */
static void add_run(const struct circuit_work *c, int vertex, struct load_of_run load,
                    struct cost *sum)
{
    enum { ORDINARY = 3 };
    const double rare = 1e6; /* cables of more than three conductors come after all others */
    const struct run *r = c->vertices[vertex].feed;
    const struct cable_def *d = r->declared;
    if (r->raceway && !d) { /* as many conductors as it takes, each of its colour */
        sum->price += length_feet(c->routes->of_run[r->id].electrical) * (double)load.nets;
        return;
    }
    bool fits = !d || !c->as_written || (load.nets <= d->conductors && load.neutrals <= d->whites);
    unsigned conductors = fits ? (load.nets < 2 ? 2 : load.nets) : d->conductors,
             whites = !fits               ? d->whites
                      : load.neutrals > 1 ? load.neutrals
                                          : 1;
    if (!fits)
        sum->short_runs++;
    if (!fits && load.nets > conductors)
        sum->missing += (int)(load.nets - conductors);
    if (fits)
        sum->price += length_feet(c->routes->of_run[r->id].electrical) * (double)conductors +
                      (conductors > ORDINARY ? rare : 0);
    unsigned others = load.nets - load.neutrals,
             colored = conductors > whites ? conductors - whites : 0;
    if (others > colored)
        sum->whites += load.lines ? 1 : 3;
}

/* --- ways --------------------------------------------------------------------------------- */

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
    struct collecting k = {h->arena, &list};
    wiring_join_vertices(h->c, vertices, count, collect, &k);
    return list;
}

static vertex_list way_between(struct chooser *h, uint32_t i, uint32_t k)
{
    int pair[2] = {h->l->at[i], h->l->at[k]};
    return way(h, pair, 2);
}

static vertex_list way_to_loads(struct chooser *h, uint32_t i)
{
    const struct leg_work *l = h->l;
    int *with_loads = arena_array(h->arena, int, l->load_count + 1);
    memcpy(with_loads, l->loads, l->load_count * sizeof *with_loads);
    with_loads[l->load_count] = l->at[i];
    return way(h, with_loads, l->load_count + 1);
}

/* The first of the gathered ends, which are sorted, that is of the net or of one behind it. */
static uint32_t first_end(const struct circuit_work *c, const struct net *net)
{
    uint32_t low = 0, high = c->ends.n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (c->ends.at[middle].net->id < net->id)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void pass(struct circuit_work *c, int vertex, void *context)
{
    (void)c;
    struct reach *r = context;
    r->stamp[vertex] = r->now;
}

static void find_reach(struct chooser *h, struct reach *r, const struct net *net)
{
    struct circuit_work *c = h->c;
    if (r->net == net)
        return;
    if (!r->stamp)
        r->stamp = arena_array(h->arena, uint32_t, c->vertex_count);
    uint32_t first = first_end(c, net), n = 0;
    while (first + n < c->ends.n && c->ends.at[first + n].net == net)
        n++;
    int *ends = arena_array(h->arena, int, n);
    for (uint32_t i = 0; i < n; i++)
        ends[i] = c->ends.at[first + i].vertex;
    r->net = net;
    r->now++;
    r->top = wiring_join_vertices(c, ends, n, pass, r);
}

/* The runs that join one more vertex to a net, beyond those that carry it already. */
static void extend(struct chooser *h, const struct reach *r, int vertex, vertex_list *out)
{
    const struct vertex *v = h->c->vertices;
    out->n = 0;
    if (r->top == NO_VERTEX)
        return;
    int x = vertex;
    while (r->stamp[x] != r->now && v[x].depth > v[r->top].depth)
        x = v[x].parent;
    int top = r->stamp[x] == r->now || x == r->top ? r->top : wiring_meet_vertices(h->c, r->top, x);
    for (x = r->top; x != top; x = v[x].parent)
        *vec_push(h->arena, out) = x;
    for (x = vertex; x != top && r->stamp[x] != r->now; x = v[x].parent)
        *vec_push(h->arena, out) = x;
}

static void extend_source(struct chooser *h, uint32_t i, vertex_list *out)
{
    find_reach(h, &h->source, wiring_leg_source(h->c, h->l, i));
    extend(h, &h->source, h->l->at[i], out);
}

static void extend_neutral(struct chooser *h, uint32_t i, vertex_list *out)
{
    find_reach(h, &h->neutral, wiring_switch_neutral(h->c, h->l, i));
    extend(h, &h->neutral, h->l->at[i], out);
}

/* All ways that an order of few switches may take. */
static void prepare_ways(struct chooser *h)
{
    struct leg_work *l = h->l;
    uint32_t n = l->count;
    h->between = arena_array(h->arena, vertex_list, n * n);
    for (uint32_t i = 0; i < n; i++) {
        for (uint32_t k = 0; k < n; k++)
            if (k != i)
                h->between[i * n + k] = way_between(h, i, k);
        h->to_loads[i] = way_to_loads(h, i);
        extend_source(h, i, &h->to_source[i]);
        if (l->wants_neutral && l->one_is_enough)
            extend_neutral(h, i, &h->to_neutral[i]);
    }
}

/* The ways of the one order that is at hand. */
static void prepare_order(struct chooser *h)
{
    uint32_t n = h->l->count;
    h->between = arena_array(h->arena, vertex_list, n);
    for (uint32_t k = 0; k + 1 < n; k++)
        h->between[k] = way_between(h, h->order[k], h->order[k + 1]);
    h->to_loads[h->order[n - 1]] = way_to_loads(h, h->order[n - 1]);
    extend_source(h, h->order[0], &h->to_source[h->order[0]]);
}

/* --- trying an order ---------------------------------------------------------------------- */

static void put(struct chooser *h, const vertex_list *runs, uint32_t nets, uint32_t neutrals,
                uint32_t lines)
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

static void try_order(struct chooser *h, int neutral, const vertex_list *to_neutral)
{
    struct leg_work *l = h->l;
    uint32_t n = l->count;
    uint32_t poles = l->two_pole ? 2 : 1;
    h->c->stamp++;
    h->touched_count = 0;
    put(h, &h->to_source[h->order[0]], poles, 0, 1);
    for (uint32_t k = 0; k + 1 < n; k++)
        put(h, &h->between[h->every ? h->order[k] * n + h->order[k + 1] : k], 2, 0, 0);
    put(h, &h->to_loads[h->order[n - 1]], poles, 0, 0);
    if (neutral >= 0)
        put(h, to_neutral, 1, 1, 0);
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
    if (h->any && !wiring_cost_less(&cost, &h->best_cost))
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
        try_order(h, -1, NULL);
        return;
    }
    bool there = false; /* switches where the neutral is already cost the same: the first of them
                           stands for all */
    for (uint32_t i = 0; i < l->count; i++) {
        vertex_list *extension = &h->to_neutral[h->every ? i : 0];
        if (!h->every)
            extend_neutral(h, i, extension);
        if (extension->n || !there)
            try_order(h, (int)i, extension);
        there |= !extension->n;
    }
}

/* A control that must be fed takes the first place; a four-way stands between others, a three-way
 * at an end. */
static bool may_stand(const struct chooser *h, uint32_t place, uint32_t index)
{
    const struct part *p = h->l->switches[index];
    bool end = !place || place + 1 == h->l->count;
    uint8_t between = p->body->serves & (1 << THREE_WAY | 1 << FOUR_WAY);
    if (between && !(between & (end ? 1 << THREE_WAY : 1 << FOUR_WAY)))
        return false;
    return !place || (!p->device->def->first_only && !p->from_leg);
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
        /* Shift rather than swap, so that orders come in the order of names and the first of equals
         * wins. */
        memmove(&h->order[place + 1], &h->order[place], (i - place) * sizeof *h->order);
        h->order[place] = x;
        permute(h, place + 1);
        memmove(&h->order[place], &h->order[place + 1], (i - place) * sizeof *h->order);
        h->order[i] = x;
    }
}

/* Runs from a vertex to every other. A parent stands before its children. */
static void measure_from(const struct circuit_work *c, int vertex, uint32_t *away)
{
    memset(away, 0xff, c->vertex_count * sizeof *away);
    uint32_t up = 0;
    for (int x = vertex; x != NO_VERTEX; x = c->vertices[x].parent)
        away[x] = up++;
    for (uint32_t v = 1; v < c->vertex_count; v++)
        if (away[v] == UINT32_MAX)
            away[v] = away[c->vertices[v].parent] + 1;
}

/* Beyond the exact number: from the switch nearest the source always on to the nearest. Its time is
 * switches by boxes of the circuit. */
static void go_nearest(struct chooser *h)
{
    const int *at = h->l->at;
    uint32_t n = h->l->count, *away = arena_array(h->arena, uint32_t, h->c->vertex_count);
    for (uint32_t place = 1; place < n; place++) {
        uint32_t near = place;
        measure_from(h->c, at[h->order[place - 1]], away);
        for (uint32_t i = place; i < n; i++)
            if (away[at[h->order[i]]] < away[at[h->order[near]]])
                near = i;
        uint32_t x = h->order[near];
        memmove(&h->order[place + 1], &h->order[place], (near - place) * sizeof *h->order);
        h->order[place] = x;
    }
    h->every = false;
    prepare_order(h);
    try_neutrals(h);
}

struct counting {
    struct load_of_run *base;
    struct net *at; /* the net whose runs are being marked */
};

static void count_base(struct circuit_work *c, int vertex, void *context)
{
    (void)c;
    struct counting *k = context;
    k->base[vertex].nets++;
    k->base[vertex].neutrals += k->at->sort == N_NEUTRAL;
    k->base[vertex].lines += k->at->sort == N_LINE;
}

static void choose_order(struct chooser *h)
{
    struct circuit_work *c = h->c;
    uint32_t n = h->l->count;
    h->base = arena_array(h->arena, struct load_of_run, c->vertex_count);
    h->sum = arena_array(h->arena, struct load_of_run, c->vertex_count);
    h->touched = arena_array(h->arena, uint32_t, c->vertex_count);
    h->order = arena_array(h->arena, uint32_t, n);
    h->best = arena_array(h->arena, uint32_t, n);
    h->to_loads = arena_array(h->arena, vertex_list, n);
    h->to_source = arena_array(h->arena, vertex_list, n);
    h->to_neutral = arena_array(h->arena, vertex_list, n);
    c->skipped = h->l;
    wiring_gather_ends(c);
    wiring_add_soft_ends(c);
    struct counting k = {.base = h->base};
    wiring_each_net(c, count_base, &k, &k.at);
    c->skipped = NULL;
    for (uint32_t i = 0; i < n; i++)
        h->order[i] = i;
    h->every = n <= EXACT_SWITCHES;
    if (h->every) {
        prepare_ways(h);
        permute(h, 0);
    }
    if (!h->any)
        go_nearest(h);
}

/* Chooses for one leg; true where the order changed. */
static bool choose(struct circuit_work *c, struct leg_work *l)
{
    struct chooser h = {.c = c, .l = l, .arena = c->passing, .best_neutral = -1};
    uint32_t n = l->count;
    int neutral = l->neutral_at;
    l->neutral_at = -1;
    choose_order(&h);
    struct part **switches = arena_array(h.arena, struct part *, n);
    int *vertices = arena_array(h.arena, int, n);
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
    arena_reset(c->passing);
    return changed;
}

void wiring_choose_orders(struct circuit_work *c)
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

struct cost wiring_circuit_cost(struct circuit_work *c)
{
    struct cost cost = {0};
    struct counting k = {.base = arena_array(c->passing, struct load_of_run, c->vertex_count)};
    wiring_gather_ends(c);
    wiring_add_soft_ends(c);
    wiring_each_net(c, count_base, &k, &k.at);
    for (uint32_t v = 1; v < c->vertex_count; v++)
        add_run(c, (int)v, k.base[v], &cost);
    arena_reset(c->passing);
    return cost;
}
