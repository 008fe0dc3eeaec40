/* The tree that costs least, of few places, and then the next ones in order.
 *
 * What a run costs at least hangs on its two ends and on the set of places behind it, so the best
 * subtree for each first place and set is found from those of its parts, as Dreyfus and Wagner find
 * Steiner trees (Networks 1, 1971): in time 3^n. The next best ones come by parting what is left
 * after each tree into sets that it is not in (Murty, Operations Research 16, 1968). Each is judged
 * by the compiler; where none that is left costs less at least than the best costs, that is the
 * best. */
#include "propose/runs.h"

#include <string.h>

typedef uint32_t small_set; /* of places without the first: place i is bit i - 1 */

enum { MOST_TRIED = 24 };
static const uint64_t most_work = 200000000; /* steps of all solutions together */

/* Trees that a state stands for: each place hangs on one of those that it may hang on, and the
 * switches of legs are fed in one order. */
struct state {
    uint32_t order;
    string_cost least;
    bool solved;
    uint32_t *parent;
    uint64_t *may; /* by place: sets of those that may feed it */
};

struct searching {
    struct arena arena;
    struct string_job *job;
    uint32_t n;                         /* places without the first */
    uint8_t **conductors;               /* by order, and by set */
    string_cost *weight;                /* by conductors, from and to */
    string_cost *below, *through, *all; /* by place and set: of what hangs on the place, of the run
                                           to it with that; by set: of what hangs on place 0 */
    VEC(struct state) open;
    VEC(uint32_t *) met;    /* trees that were judged */
    uint32_t orders, order; /* how many there are, and the one at hand */
    uint64_t work;
};

static string_cost add(string_cost a, string_cost b)
{
    return a >= STRING_NO_WAY || b >= STRING_NO_WAY ? STRING_NO_WAY : a + b;
}

static string_cost *below(struct searching *s, uint32_t v, small_set d)
{
    return &s->below[((size_t)(v - 1) << s->n) + d];
}

static string_cost *through(struct searching *s, uint32_t u, small_set d)
{
    return &s->through[((size_t)u << s->n) + d];
}

static string_cost run_weight(const struct searching *s, uint32_t u, uint32_t v, small_set d)
{
    uint32_t n = s->job->count;
    return s->weight[((size_t)s->conductors[s->order][d] * n + u) * n + v];
}

enum { SORTS = STRING_MOST_CONDUCTORS + 2 };

/* What each run costs by its conductors. */
static void weigh(struct searching *s)
{
    uint32_t n = s->job->count;
    s->weight = arena_array(&s->arena, string_cost, (size_t)SORTS * n * n);
    for (unsigned k = 0; k < SORTS; k++)
        for (uint32_t u = 0; u < n; u++)
            for (uint32_t v = 0; v < n; v++)
                s->weight[((size_t)k * n + u) * n + v] =
                    u == v ? STRING_NO_WAY : string_weight(s->job, u, v, k);
}

/* How many conductors each set asks for, by the order of switches. */
static void count_conductors(struct searching *s)
{
    struct string_nets *nets = &s->job->nets;
    s->orders = string_order_count(nets);
    s->conductors = arena_array(&s->arena, uint8_t *, s->orders);
    for (uint32_t i = 0; i < s->orders; i++) {
        string_set_order(nets, i);
        s->conductors[i] = arena_array(&s->arena, uint8_t, (size_t)1 << s->n);
        for (small_set d = 1; d < (small_set)1 << s->n; d++) {
            unsigned k = string_conductors(nets, (place_set)d << 1);
            s->conductors[i][d] = (uint8_t)(k < SORTS ? k : SORTS - 1);
        }
    }
}

/* The best first place of a set behind a run from `u`. */
static uint32_t first_of(struct searching *s, const struct state *at, uint32_t u, small_set d,
                         string_cost *least)
{
    uint32_t best = 0;
    *least = STRING_NO_WAY;
    if (s->job->nets.lights >> u & 1 && s->job->nets.other & (place_set)d << 1)
        return 0;
    for (uint32_t v = 1; v <= s->n; v++) {
        if (!(d >> (v - 1) & 1) || !(at->may[v] >> u & 1))
            continue;
        string_cost cost = add(run_weight(s, u, v, d), *below(s, v, d));
        if (cost < *least) {
            *least = cost;
            best = v;
        }
    }
    return best;
}

/* The best part of what hangs on a place that has the lowest of it: `rest` is what hangs on it
 * without that part. */
static small_set part_of(struct searching *s, uint32_t u, const string_cost *rest, small_set own,
                         small_set r, string_cost *least)
{
    small_set low = r & -r, others = r ^ low, best = 0;
    *least = STRING_NO_WAY;
    for (small_set more = others;; more = (more - 1) & others) {
        small_set part = more | low;
        string_cost cost = add(*through(s, u, part), rest[(r ^ part) | own]);
        if (cost < *least) {
            *least = cost;
            best = part;
        }
        s->work++;
        if (!more)
            return best;
    }
}

static void solve_set(struct searching *s, const struct state *at, small_set d)
{
    for (uint32_t v = 1; v <= s->n; v++) {
        small_set own = (small_set)1 << (v - 1);
        if (d == own)
            *below(s, v, d) = 0;
        else if (d & own)
            part_of(s, v, below(s, v, 0), own, d ^ own, below(s, v, d));
    }
    for (uint32_t u = 0; u <= s->n; u++)
        if (!u || !(d >> (u - 1) & 1))
            first_of(s, at, u, d, through(s, u, d));
    part_of(s, 0, s->all, 0, d, &s->all[d]);
}

/* Reads the tree out of the tables: each set that hangs on a place in its turn. */
static void read_tree(struct searching *s, struct state *at)
{
    struct hung {
        uint32_t from;
        small_set set;
    } *stack = arena_array(&s->arena, struct hung, s->n + 1);
    uint32_t depth = 0;
    stack[depth++] = (struct hung){0, ((small_set)1 << s->n) - 1};
    while (depth) {
        struct hung h = stack[--depth];
        small_set own = h.from ? (small_set)1 << (h.from - 1) : 0;
        const string_cost *rest = h.from ? below(s, h.from, 0) : s->all;
        string_cost least;
        while (h.set) {
            small_set part = part_of(s, h.from, rest, own, h.set, &least);
            uint32_t v = first_of(s, at, h.from, part, &least);
            at->parent[v] = h.from;
            stack[depth++] = (struct hung){v, part ^ (small_set)1 << (v - 1)};
            h.set ^= part;
        }
    }
}

static void solve(struct searching *s, struct state *at)
{
    small_set all = ((small_set)1 << s->n) - 1;
    s->all[0] = 0;
    s->order = at->order;
    for (small_set d = 1; d <= all; d++)
        solve_set(s, at, d);
    at->solved = true;
    at->least = s->all[all];
    if (at->least < STRING_NO_WAY)
        read_tree(s, at);
}

static struct state *add_state(struct searching *s, const struct state *like)
{
    uint32_t n = s->job->count;
    struct state *at = vec_push(&s->arena, &s->open);
    *at = (struct state){.parent = arena_array(&s->arena, uint32_t, n),
                         .may = arena_array(&s->arena, uint64_t, n)};
    if (like) {
        at->order = like->order;
        at->least = like->least;
        memcpy(at->may, like->may, n * sizeof *at->may);
    }
    return at;
}

static void begin(struct searching *s)
{
    struct string_job *job = s->job;
    size_t sets = (size_t)1 << s->n;
    weigh(s);
    count_conductors(s);
    s->below = arena_array(&s->arena, string_cost, sets * s->n);
    s->through = arena_array(&s->arena, string_cost, sets * (s->n + 1));
    s->all = arena_array(&s->arena, string_cost, sets);
    for (uint32_t i = 0; i < s->orders; i++) {
        struct state *first = add_state(s, NULL);
        first->order = i;
        for (uint32_t v = 1; v < job->count; v++)
            first->may[v] = job->kept[v] ? (uint64_t)1 << job->parent[v] : ~(uint64_t)0;
    }
}

/* What is left of a state without its tree: all but one of the places hang as in it, and that one
 * otherwise. */
static void part_state(struct searching *s, const struct state *at)
{
    for (uint32_t v = 1; v <= s->n; v++) {
        uint64_t own = (uint64_t)1 << at->parent[v];
        if (!(at->may[v] & ~own))
            continue;
        struct state *left = add_state(s, at);
        for (uint32_t u = 1; u < v; u++)
            left->may[u] = (uint64_t)1 << at->parent[u];
        left->may[v] &= ~own;
    }
}

/* The state that costs least; of equals the first. */
static struct state take_least(struct searching *s)
{
    uint32_t best = 0;
    for (uint32_t i = 1; i < s->open.n; i++)
        if (s->open.at[i].least < s->open.at[best].least)
            best = i;
    struct state taken = s->open.at[best];
    for (uint32_t i = best + 1; i < s->open.n; i++)
        s->open.at[i - 1] = s->open.at[i];
    s->open.n--;
    return taken;
}

static bool is_clean(const struct string_verdict *v)
{
    return !v->errors && !v->warnings;
}

/* Whether a tree was judged already, with its switches in another order. */
static bool is_met(struct searching *s, const struct state *at)
{
    size_t size = s->job->count * sizeof *at->parent;
    for (uint32_t i = 0; i < s->met.n; i++)
        if (!memcmp(s->met.at[i], at->parent, size))
            return true;
    *vec_push(&s->arena, &s->met) = at->parent;
    return false;
}

static void try_tree(struct string_job *job, struct string_judge *judge, const struct state *at,
                     struct string_found *found)
{
    struct string_verdict verdict = string_judge_tree(judge, at->parent);
    found->tried++;
    if (found->any && !string_is_better(&verdict, &found->verdict))
        return;
    found->any = true;
    found->verdict = verdict;
    memcpy(found->parent, at->parent, job->count * sizeof *found->parent);
}

struct string_found string_search_all(struct string_job *job, struct string_judge *judge)
{
    struct searching s = {.job = job, .n = job->count - 1};
    struct string_found found = {.parent = arena_array(&job->c->arena, uint32_t, job->count),
                                 .least = STRING_NO_WAY};
    begin(&s);
    while (s.open.n) {
        struct state at = take_least(&s);
        bool done = found.any && is_clean(&found.verdict) && at.least >= found.verdict.cost;
        if (done || found.tried == MOST_TRIED || s.work > most_work) {
            found.least = at.least;
            break;
        }
        if (!at.solved) {
            solve(&s, &at);
            if (at.least < STRING_NO_WAY)
                *vec_push(&s.arena, &s.open) = at;
            continue;
        }
        if (!is_met(&s, &at))
            try_tree(job, judge, &at, &found);
        part_state(&s, &at);
    }
    if (found.any && found.verdict.cost < found.least)
        found.least = found.verdict.cost;
    arena_free(&s.arena);
    return found;
}
