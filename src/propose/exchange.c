/* A good tree of many places: one run is taken out after another, and the two parts joined anew
 * where that costs less, until nothing does. Of several trees found so, which differ in how much
 * the way to the source counts, the best that the compiler lets stand is taken. No tree costs less
 * than the shortest one with nothing but two conductors in each run. */
#include "propose/runs.h"

#include "model/power.h"

#include <math.h>
#include <string.h>

enum { NEAREST = 8 }; /* places that a run is joined to, where the tree is one that can be */

/* What a tree counts that cannot be, for each conductor too many or box that does not pass what it
 * would have to: less of it is nearer to one that can. For each further cable at the breaker, which
 * is warned of. Each is more than all lengths together. */
static const double no_tree = 1e15, two_wires = 1e12;

struct exchanging {
    struct arena arena;
    struct string_job *job;
    double far; /* what the way from the source to each place counts, against cost */
    uint32_t *parent, *tried;
    place_set *behind;
    uint32_t *near; /* by place: the others, the nearest first */
    uint32_t near_count;
};

/* --- the shortest tree -------------------------------------------------------------------- */

static string_cost plain_weight(const struct string_job *job, uint32_t a, uint32_t b)
{
    const struct string_way *w = &job->ways[a * job->count + b];
    return w->open ? w->length + w->price : STRING_NO_WAY;
}

/* Prim's, from the source: the nearest that is not joined, to the place that it is nearest to.
 * `far`: so much of the way from the source counts too. Gives its length; STRING_NO_WAY: it does
 * not reach all. */
static string_cost shortest(const struct string_job *job, double far, struct arena *a,
                            uint32_t *parent)
{
    uint32_t n = job->count;
    bool *in = arena_array(a, bool, n);
    string_cost *way = arena_array(a, string_cost, n), sum = 0;
    in[0] = true;
    for (uint32_t left = n - 1; left; left--) {
        uint32_t from = 0, to = 0;
        double best = (double)STRING_NO_WAY;
        for (uint32_t v = 1; v < n; v++)
            for (uint32_t u = 0; u < n && !in[v]; u++) {
                string_cost w = plain_weight(job, u, v);
                bool may = in[u] && w < STRING_NO_WAY && (!job->kept[v] || job->parent[v] == u);
                double cost = job->kept[v] ? -1 : (double)w + far * (double)(way[u] + w);
                if (may && cost < best) {
                    best = cost;
                    from = u;
                    to = v;
                }
            }
        if (!to)
            return STRING_NO_WAY;
        in[to] = true;
        parent[to] = from;
        way[to] = way[from] + plain_weight(job, from, to);
        sum += plain_weight(job, from, to);
    }
    return sum;
}

/* --- exchanges ---------------------------------------------------------------------------- */

static void find_near(struct exchanging *x)
{
    uint32_t n = x->job->count;
    x->near_count = n - 1;
    x->near = arena_array(&x->arena, uint32_t, (size_t)n * (x->near_count + 1));
    for (uint32_t v = 0; v < n; v++) {
        uint32_t *list = &x->near[v * x->near_count], count = 0;
        for (uint32_t u = 0; u < n; u++) {
            uint32_t at = count;
            if (u == v)
                continue;
            while (at && plain_weight(x->job, u, v) < plain_weight(x->job, list[at - 1], v))
                at--;
            count++;
            for (uint32_t k = count - 1; k > at; k--)
                list[k] = list[k - 1];
            list[at] = u;
        }
    }
}

/* By how much a tree cannot be, whose places behind each are known; of two that lack as much, less
 * conductor in all is nearer. */
static double lack_of(const struct exchanging *x, const uint32_t *parent)
{
    const struct string_job *job = x->job;
    double lack = 0, conductor = 0;
    for (uint32_t v = 1; v < job->count; v++) {
        unsigned wanted = string_conductors(&job->nets, x->behind[v]), most = wanted;
        while (most > 1 && string_weight(job, parent[v], v, most) >= STRING_NO_WAY)
            most--;
        lack += most > 1 ? wanted - most : STRING_MOST_PLACES;
        lack += !string_may_pass(job, parent[v], x->behind[v]);
        conductor += (double)plain_weight(job, parent[v], v) * wanted;
    }
    return lack * no_tree + conductor;
}

static uint32_t home_runs(const struct string_job *job, const uint32_t *parent)
{
    uint32_t count = 0;
    for (uint32_t v = 1; v < job->count; v++)
        count += !parent[v];
    return job->places[0].panel ? count : 1;
}

/* What a tree costs at least, with what the way to each place counts. */
static double cost_of(struct exchanging *x, const uint32_t *parent)
{
    string_cost cost = string_bound_of(x->job, parent, x->behind);
    double way = 0;
    if (cost >= STRING_NO_WAY)
        return lack_of(x, parent);
    for (uint32_t v = 1; v < x->job->count; v++) /* each run is on the way to all behind it */
        way += (double)plain_weight(x->job, parent[v], v) * __builtin_popcountll(x->behind[v]);
    return (double)cost + x->far * way / x->job->count +
           two_wires * (home_runs(x->job, parent) - 1);
}

/* Joins what is behind `top` to `to` by `from`, a place in it: the runs between the two are turned.
 * False where one of these is kept. */
static bool join(struct exchanging *x, uint32_t top, uint32_t from, uint32_t to)
{
    memcpy(x->tried, x->parent, x->job->count * sizeof *x->tried);
    uint32_t up = to;
    for (uint32_t at = from;; at = x->parent[at]) {
        if (x->job->kept[at])
            return false;
        x->tried[at] = up;
        if (at == top)
            return true;
        up = at;
    }
}

/* The best exchange for the run to `top`; false where none is better than `best`. */
static bool exchange(struct exchanging *x, uint32_t top, double *best)
{
    uint32_t n = x->job->count;
    uint32_t *better = NULL;
    string_bound_of(x->job, x->parent, x->behind);
    place_set part = x->behind[top];
    uint32_t reach = *best < two_wires && x->near_count > NEAREST ? NEAREST : x->near_count;
    for (uint32_t v = 1; v < n; v++)
        for (uint32_t k = 0; k < reach && part >> v & 1; k++) {
            uint32_t u = x->near[v * x->near_count + k];
            if (part >> u & 1 || !join(x, top, v, u))
                continue;
            double cost = cost_of(x, x->tried);
            if (cost >= *best)
                continue;
            *best = cost;
            better = better ? better : arena_array(&x->arena, uint32_t, n);
            memcpy(better, x->tried, n * sizeof *better);
        }
    if (better)
        memcpy(x->parent, better, n * sizeof *x->parent);
    return better;
}

static void improve(struct exchanging *x)
{
    double best = cost_of(x, x->parent);
    for (bool any = true; any;) {
        any = false;
        for (uint32_t v = 1; v < x->job->count; v++)
            if (!x->job->kept[v])
                any |= exchange(x, v, &best);
    }
}

/* The best tree for any order of switches, with its order set; false where there is none. */
static bool find_tree(struct exchanging *x)
{
    uint32_t n = x->job->count, orders = string_order_count(&x->job->nets), best_order = 0;
    uint32_t *best = arena_array(&x->arena, uint32_t, n);
    double least = INFINITY;
    for (uint32_t i = 0; i < orders; i++) {
        string_set_order(&x->job->nets, i);
        if (shortest(x->job, x->far, &x->arena, x->parent) >= STRING_NO_WAY)
            return false;
        improve(x);
        double cost = cost_of(x, x->parent);
        if (cost >= least)
            continue;
        least = cost;
        best_order = i;
        memcpy(best, x->parent, n * sizeof *best);
    }
    string_set_order(&x->job->nets, best_order);
    memcpy(x->parent, best, n * sizeof *best);
    return true;
}

static void try_found(struct exchanging *x, struct string_judge *judge, struct string_found *found)
{
    struct string_verdict verdict = string_judge_tree(judge, x->parent);
    found->tried++;
    if (found->any && !string_is_better(&verdict, &found->verdict))
        return;
    found->any = true;
    found->verdict = verdict;
    memcpy(found->parent, x->parent, x->job->count * sizeof *found->parent);
}

struct string_found string_search_near(struct string_job *job, struct string_judge *judge)
{
    static const double fars[] = {0, 0.1, 0.3, 1, 3};
    struct exchanging x = {.job = job};
    uint32_t n = job->count;
    struct string_found found = {.parent = arena_array(&job->c->arena, uint32_t, n)};
    x.parent = arena_array(&x.arena, uint32_t, n);
    x.tried = arena_array(&x.arena, uint32_t, n);
    x.behind = arena_array(&x.arena, place_set, n);
    found.least = shortest(job, 0, &x.arena, x.parent);
    find_near(&x);
    for (size_t i = 0; i < sizeof fars / sizeof *fars; i++) {
        bool clean = found.any && !found.verdict.errors && !found.verdict.warnings;
        x.far = fars[i];
        if (clean || !find_tree(&x))
            break;
        if (string_bound_of(job, x.parent, x.behind) < STRING_NO_WAY)
            try_found(&x, judge, &found);
    }
    arena_free(&x.arena);
    return found;
}
