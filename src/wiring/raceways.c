/* Conductors that are pulled into a raceway one by one: as many as the nets that pass, each in a
 * colour of its own, so that no white is marked as what it is not. They are made one cable, that of
 * the run: who asks for the cable of a run finds its size, its colours and its ground there. */
#include "facts/conductors.h"
#include "facts/raceways.h"
#include "framing/routes.h"
#include "model/finding.h"
#include "resolve/written.h"
#include "wiring/work.h"

#include <stdlib.h>
#include <string.h>

/* --- how many warm it --------------------------------------------------------------------- */

/* Of the nets of one circuit: how many are lines and legs, neutrals, travelers. */
struct counted {
    uint32_t lines, neutrals, travelers;
};

static struct counted count_of(struct net *const *nets, uint32_t count, const struct circuit *c)
{
    struct counted n = {0};
    for (uint32_t i = 0; i < count; i++) {
        if (!nets[i] || nets[i]->circuit != c)
            continue;
        n.neutrals += nets[i]->sort == N_NEUTRAL;
        n.travelers += nets[i]->sort == N_TRAVELER;
        n.lines += nets[i]->sort == N_LINE || nets[i]->sort == N_LEG;
    }
    return n;
}

uint32_t wiring_current_carrying(struct net *const *nets, uint32_t count)
{
    uint32_t sum = 0;
    const struct circuit *last = NULL;
    for (uint32_t i = 0; i < count; i++) {
        const struct circuit *c = nets[i] ? nets[i]->circuit : NULL;
        bool seen = !c || c == last;
        for (uint32_t k = 0; k < i && !seen; k++)
            seen = nets[k] && nets[k]->circuit == c;
        if (seen)
            continue;
        last = c;
        struct counted n = count_of(nets, count, c);
        bool shared = (c->multiwire || c->two_pole) && n.neutrals == 1 && n.lines >= 2;
        sum += n.lines + (n.travelers + 1) / 2 + (shared ? 0 : n.neutrals);
    }
    return sum;
}

double wiring_adjustment(struct model *m, uint32_t conductors)
{
    struct code *code = &m->code;
    struct table *t = code_table(code, TABLE_ADJUSTMENT);
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double from = code_row_count(code, COL_ADJUSTMENT_FROM, i, 0),
               to = code_row_count(code, COL_ADJUSTMENT_TO, i, 1e9);
        if (conductors >= from && conductors <= to)
            return code_row_share(code, COL_ADJUSTMENT_FACTOR, i, 1);
    }
    return 1;
}

static double factor_in(struct model *m, const struct routes *routes, const struct run *r,
                        struct net *const *nets, uint32_t count)
{
    length length = route_raceway_length(r, &routes->of_run[r->id]);
    return facts_is_nipple(m, length) ? 1
                                      : wiring_adjustment(m, wiring_current_carrying(nets, count));
}

double wiring_raceway_factor(struct model *m, const struct routes *routes, const struct wiring *w,
                             const struct run *run)
{
    const struct run_wiring *x = &w->of_run[run->id];
    struct net *nets[UINT8_MAX];
    for (uint8_t i = 0; x->conductors && i < x->count; i++)
        nets[i] = x->conductors[i].net;
    return run->raceway && x->conductors ? factor_in(m, routes, run, nets, x->count) : 1;
}

/* --- colours ------------------------------------------------------------------------------ */

static const char *const hots[] = {"black",  "red",   "blue", "yellow",
                                   "orange", "brown", "pink", "purple"};
enum { HOTS = sizeof hots / sizeof *hots, MOST_HOTS = HOTS * HOTS, MOST_NEUTRALS = HOTS + 1 };

/* Where the colours of a sort of nets begin: line b has red, legs orange, travelers yellow, what
 * joins alarms brown. */
static unsigned first_hot(const struct net *n)
{
    static const unsigned firsts[] = {
        [N_LINE] = 0, [N_LEG] = 4, [N_TRAVELER] = 3, [N_INTERCONNECT] = 5};
    return n->sort == N_LINE && n->pole == 'b' ? 1 : firsts[n->sort];
}

/* A colour, or from the number of plain ones on one with a stripe of another. */
static const char *hot(struct model *m, unsigned i)
{
    unsigned stripe = i / HOTS, base = i % HOTS;
    return !stripe ? hots[base]
                   : names_of(m->names, arena_printf(m->arena, "%s-%s", hots[base],
                                                     hots[(base + stripe) % HOTS]));
}

static const char *neutral(struct model *m, unsigned i)
{
    return !i ? "white" : names_of(m->names, arena_printf(m->arena, "white-%s", hots[i - 1]));
}

static int by_circuit_and_name(const void *a, const void *b)
{
    const struct net *x = *(struct net *const *)a, *y = *(struct net *const *)b;
    if (x->circuit != y->circuit)
        return x->circuit->id < y->circuit->id ? -1 : 1;
    if (x->sort != y->sort)
        return x->sort < y->sort ? -1 : 1;
    return strcmp(x->name, y->name);
}

static bool comes_before(const struct circuit *a, const struct circuit *b)
{
    return a->number != b->number ? a->number < b->number : strcmp(a->name, b->name) < 0;
}

/* How many circuits of a shared raceway come before a circuit of it, by their numbers: it keeps its
 * colour wherever it goes. By circuit id, 0 of one that lies alone. */
static uint8_t *places_in_shared(struct arena *scratch, const struct model *m)
{
    uint8_t *places = arena_array(scratch, uint8_t, m->circuits.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *r = m->runs.at[i];
        uint32_t all = r->circuit && r->raceway && r->also.n < HOTS ? r->also.n + 1 : 0;
        for (uint32_t k = 0; k < all && all > 1; k++) {
            const struct circuit *c = k ? r->also.at[k - 1] : r->circuit;
            uint8_t place = 0;
            for (uint32_t n = 0; n < all; n++)
                place += comes_before(n ? r->also.at[n - 1] : r->circuit, c);
            places[c->id] = place > places[c->id] ? place : places[c->id];
        }
    }
    return places;
}

void wiring_shade_nets(struct wiring *w, const struct model *m)
{
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    struct net **nets = arena_array(&scratch, struct net *, w->nets.n + 1);
    const uint8_t *places = places_in_shared(&scratch, m);
    for (uint32_t i = 0; i < w->nets.n; i++)
        nets[i] = w->nets.at[i];
    qsort(nets, w->nets.n, sizeof *nets, by_circuit_and_name);
    for (uint32_t i = 0; i < w->nets.n; i++) {
        const struct net *before = i ? nets[i - 1] : NULL;
        struct net *n = nets[i];
        bool alike = before && before->circuit == n->circuit && before->sort == n->sort;
        n->shade = n->sort == N_LINE || n->sort == N_NEUTRAL ? places[n->circuit->id]
                   : !alike                                  ? 0
                                                             : (uint8_t)(before->shade + 1);
    }
    arena_free(&scratch);
}

/* The first place from `first` on that is free, round among the plain ones, then among the others
 * of `all`; MOST_HOTS where none is. */
static unsigned next_free(const bool *taken, unsigned first, unsigned plain, unsigned all)
{
    for (unsigned k = 0; k < all; k++) {
        unsigned at = k < plain ? (first + k) % plain : k;
        if (!taken[at])
            return at;
    }
    return MOST_HOTS;
}

/* Gives each conductor a colour; false where there are not so many. */
static bool color_conductors(struct model *m, struct run_wiring *out)
{
    bool taken[MOST_HOTS] = {false}, white[MOST_NEUTRALS] = {false};
    for (uint8_t i = 0; i < out->count; i++) {
        struct conductor *c = &out->conductors[i];
        bool is_neutral = c->net->sort == N_NEUTRAL;
        unsigned at = is_neutral
                          ? next_free(white, c->net->shade, MOST_NEUTRALS, MOST_NEUTRALS)
                          : next_free(taken, first_hot(c->net) + c->net->shade, HOTS, MOST_HOTS);
        if (at == MOST_HOTS)
            return false;
        (is_neutral ? white : taken)[at] = true;
        c->color = is_neutral ? neutral(m, at) : hot(m, at);
    }
    return true;
}

/* --- which conductor ---------------------------------------------------------------------- */

/* What all circuits in the raceways of a pull ask of its conductors. */
struct pulling {
    struct wiring *w;
    struct model *m;
    const struct routes *routes;
    const struct conductor_asks *asks; /* by circuit id */
    const int *gauges;                 /* likewise */
    const struct pulled *pulled;
    uint32_t count;
    struct lying *lying; /* of each */
};

static const struct circuit *circuit_in(const struct run *r, uint32_t i)
{
    return i ? r->also.at[i - 1] : r->circuit;
}

/* Whether it serves all circuits of a run; `strict`: and their terminals take it. */
static bool serves_run(const struct pulling *p, const struct run *r, const struct lying *lying,
                       const struct cable_def *d, bool strict)
{
    for (uint32_t i = 0; i <= r->also.n; i++) {
        const struct conductor_asks *asks = &p->asks[circuit_in(r, i)->id];
        struct conductor_good good;
        if (!facts_cable_serves(p->m, asks, r, d, lying, &good) ||
            (strict && (d->gauge < asks->thickest || d->gauge > asks->thinnest)))
            return false;
    }
    return true;
}

static bool serves(const struct pulling *p, const struct cable_def *d, bool strict)
{
    for (uint32_t k = 0; k < p->count; k++)
        if (!serves_run(p, p->pulled[k].run, &p->lying[k], d, strict))
            return false;
    return true;
}

/* Whether it is as thick as the voltage drop wants. */
static bool is_thick(const struct pulling *p, const struct cable_def *d)
{
    for (uint32_t k = 0; k < p->count; k++)
        for (uint32_t i = 0; i <= p->pulled[k].run->also.n; i++)
            if (d->gauge > p->gauges[circuit_in(p->pulled[k].run, i)->id])
                return false;
    return true;
}

/* The thinnest that serves and is as thick as is wanted, else the thickest that serves. */
static const struct cable_def *least_conductor(const struct pulling *p)
{
    const struct cable_def *best = NULL;
    for (int strict = 1; strict >= 0 && !best; strict--)
        for (uint32_t i = 0; i < p->m->lib->cable_list.n; i++) {
            const struct cable_def *d = p->m->lib->cable_list.at[i];
            if (!d->single || d->faulty || d->metal != COPPER)
                continue;
            bool thick = is_thick(p, d), before = best && is_thick(p, best),
                 better = !best || (thick != before ? thick
                                    : thick         ? d->gauge > best->gauge
                                                    : d->gauge < best->gauge);
            if (better && serves(p, d, strict))
                best = d;
        }
    return best;
}

/* The one that the plan names, else the least; NULL where a breaker that it hangs on is not said.
 */
static const struct cable_def *conductor_of(const struct pulling *p)
{
    bool known = true;
    for (uint32_t k = 0; k < p->count; k++) {
        if (p->pulled[k].run->single)
            return p->pulled[k].run->single;
        known &= p->pulled[k].run->circuit->breaker > 0;
    }
    return known ? least_conductor(p) : NULL;
}

/* --- the set ------------------------------------------------------------------------------ */

/* The largest ground that one of the circuits asks. */
static const char *ground_size(const struct pulling *p, const struct cable_def *like)
{
    const char *best = NULL;
    for (uint32_t k = 0; k < p->count; k++)
        for (uint32_t i = 0; i <= p->pulled[k].run->also.n; i++) {
            const struct run *r = p->pulled[k].run;
            const char *base, *asked = facts_ground_asked(p->m, &p->asks[circuit_in(r, i)->id], r,
                                                          like, &p->lying[k], &base);
            if (asked && (!best || library_gauge_of(asked) < library_gauge_of(best)))
                best = asked;
        }
    return best ? names_of(p->m->names, best) : like->size;
}

static bool raceway_grounds(const struct pulling *p, const struct run *r)
{
    double breaker = 0;
    for (uint32_t i = 0; i <= r->also.n; i++) {
        double other = circuit_in(r, i)->breaker;
        breaker = other > breaker ? other : breaker;
    }
    return facts_raceway_grounds(r, breaker, route_raceway_length(r, &p->routes->of_run[r->id]));
}

/* A wire that one of the raceways wants goes through all of them. */
static void find_ground(const struct pulling *p, struct cable_def *set)
{
    bool grounds = true, green = false, bare = false;
    for (uint32_t k = 0; k < p->count; k++) {
        const struct run *r = p->pulled[k].run;
        grounds &= raceway_grounds(p, r);
        green |= r->ground_wire == GROUND_GREEN;
        bare |= r->ground_wire == GROUND_BARE;
    }
    set->ground = grounds ? GROUND_RACEWAY : bare && !green ? GROUND_BARE : GROUND_GREEN;
    set->ground_size = grounds ? NULL : ground_size(p, set);
}

/* "emt-1/2 with 3 thhn-12 and a 12 ground": alike for runs that have the same in them. */
static const char *set_name(struct model *m, const struct cable_def *single, uint8_t count,
                            const struct cable_def *set)
{
    const char *ground = set->ground == GROUND_RACEWAY
                             ? ""
                             : arena_printf(m->arena, " + %s %s", set->ground_size,
                                            set->ground == GROUND_BARE ? "bare" : "green");
    return arena_printf(m->arena, "%u %s%s", count, single->name, ground);
}

static struct cable_def *make_set(struct wiring *w, struct model *m, const struct run *r,
                                  const struct cable_def *single, const struct cable_def *like,
                                  const struct run_wiring *out)
{
    const char *name = set_name(m, single, out->count, like), *key = name;
    for (uint8_t i = 0; i < out->count; i++)
        key = arena_printf(m->arena, "%s %s", key, out->conductors[i].color);
    key = names_of(m->names, key);
    void **at = map_at(m->arena, &w->sets, (uintptr_t)r->raceway, (uintptr_t)key);
    if (*at)
        return *at;
    struct cable_def *set = arena_new(m->arena, struct cable_def);
    const char **colors = arena_array(m->arena, const char *, out->count + 1u);
    *set = *like;
    set->name = set->title = names_of(m->names, name);
    set->of = single;
    set->single = false;
    set->conductors = out->count;
    set->colors = colors;
    set->whites = 0;
    set->power = true;
    set->diameter = facts_across(r, NULL);
    for (uint8_t i = 0; i < out->count; i++) {
        colors[i] = out->conductors[i].color;
        set->whites += out->conductors[i].net->sort == N_NEUTRAL;
    }
    return *at = set;
}

static void say_too_many(struct model *m, const struct run *r, uint32_t count)
{
    struct finding *f =
        model_finding(m, &rule_limit, node_span(r->node), address_end_unit(r->from),
                      arena_printf(m->arena, "run %s", address_of_run(m->arena, r, false)),
                      "run %s has %u conductors in one raceway: there are not so many colours",
                      address_of_run(m->arena, r, true), count);
    diag_mend(m->diag, f, "several raceways");
}

/* The nets of all runs of a pull, each once. */
static uint32_t all_nets(struct arena *scratch, const struct pulling *p, struct net ***nets)
{
    uint32_t most = 0, count = 0;
    struct map seen = {0};
    for (uint32_t k = 0; k < p->count; k++)
        most += p->pulled[k].nets.n;
    *nets = arena_array(scratch, struct net *, most + 1);
    for (uint32_t k = 0; k < p->count; k++)
        for (uint32_t i = 0; i < p->pulled[k].nets.n; i++) {
            struct net *net = p->pulled[k].nets.at[i];
            void **at = map_at(scratch, &seen, (uintptr_t)net, 1);
            if (!*at)
                (*nets)[count++] = net;
            *at = net;
        }
    if (p->count > 1)
        qsort(*nets, count, sizeof **nets, wiring_by_rank);
    return count;
}

/* Puts the conductors of a run into it, in the colours that they have in the whole pull. */
static void lay_conductors(const struct pulling *p, const struct pulled *pulled,
                           const struct run_wiring *whole, const struct map *places,
                           const struct cable_def *single, const struct cable_def *like)
{
    struct run_wiring *out = &p->w->of_run[pulled->run->id];
    out->count = out->used = (uint8_t)pulled->nets.n;
    out->conductors = arena_array(p->m->arena, struct conductor, out->count + 1u);
    for (uint8_t i = 0; i < out->count; i++) {
        uintptr_t place = (uintptr_t)map_get(places, (uintptr_t)pulled->nets.at[i], 1) - 1;
        out->conductors[i] = whole->conductors[place];
    }
    out->cable = make_set(p->w, p->m, pulled->run, single, like, out);
}

/* False where there are not so many colours: nothing is pulled then. */
static bool pull_all(const struct pulling *p, struct arena *scratch)
{
    const struct cable_def *single = conductor_of(p);
    struct run_wiring whole = {0};
    struct net **nets;
    struct map places = {0};
    uint32_t count = all_nets(scratch, p, &nets);
    if (count > MOST_HOTS + MOST_NEUTRALS)
        return false;
    if (!single)
        return true;
    whole.count = (uint8_t)count;
    whole.conductors = arena_array(scratch, struct conductor, count + 1);
    for (uint32_t i = 0; i < count; i++) {
        whole.conductors[i].net = nets[i];
        map_put(scratch, &places, (uintptr_t)nets[i], 1, (void *)(uintptr_t)(i + 1));
    }
    if (!color_conductors(p->m, &whole))
        return false;
    struct cable_def like = *single;
    like.ground = GROUND_GREEN;
    find_ground(p, &like);
    for (uint32_t k = 0; k < p->count; k++)
        lay_conductors(p, &p->pulled[k], &whole, &places, single, &like);
    return true;
}

void wiring_pull_conductors(struct wiring *w, struct model *m, const struct routes *routes,
                            const struct conductor_asks *asks, const int *gauges,
                            const struct pulled *pulled, uint32_t count)
{
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    struct pulling p = {.w = w,
                        .m = m,
                        .routes = routes,
                        .asks = asks,
                        .gauges = gauges,
                        .pulled = pulled,
                        .count = count,
                        .lying = arena_array(&scratch, struct lying, count)};
    for (uint32_t k = 0; k < count; k++) {
        const struct run *r = pulled[k].run;
        p.lying[k] = routes->lying[r->id];
        p.lying[k].beside = factor_in(m, routes, r, pulled[k].nets.at, pulled[k].nets.n);
    }
    bool laid = pull_all(&p, &scratch);
    arena_free(&scratch);
    if (!laid && count == 1)
        say_too_many(m, pulled->run, pulled->nets.n);
    for (uint32_t k = 0; k < count && !laid && count > 1; k++)
        wiring_pull_conductors(w, m, routes, asks, gauges, &pulled[k], 1);
}
