/* The choice among offers: first each label in turn takes the cheapest that is free, then places
 * are exchanged: a label takes one that costs less, and those who stand in its way go elsewhere.
 * What costs more in sum is taken now and then, ever more rarely, so that the search leaves what
 * is best nearby alone (simulated annealing). At last each label that got far less than it could
 * have is settled anew together with those in its way: the best of all their choices is found.
 * Nothing that conflicts is ever chosen: to stand nowhere is always free. Whole numbers alone, so
 * that the choice is the same on every machine. */
#include "paper/place_work.h"

#include <stdlib.h>
#include <string.h>

enum {
    ROUNDS = 40,
    TRIES = 3,       /* of each label in a round */
    MOST_IN_WAY = 4, /* labels that one label moves at once */
    HOTTEST = 400,   /* points, of the first round */
    COOLING = 87,    /* hundredths that are left from round to round */
    LAST_ROUNDS = 8, /* in which only what is better is taken */
    LOG2_PARTS = 256,
    MOST_IN_KNOT = 6,   /* labels that are settled together */
    KNOT_STEPS = 20000, /* choices that are tried for them */
    WORTH_A_KNOT = 150, /* points that a label lost to others */
    KNOT_ROUNDS = 3
};

static const uint64_t seed = 0x9e3779b97f4a7c15;

struct search {
    struct placer *p;
    struct place_grid grid; /* choices by the extent of what they chose */
    uint64_t random;
    int64_t sum;
    uint32_t *best; /* what was chosen when the sum was least */
    int64_t best_sum;
};

/* What one move changed: choices and what they had chosen before. */
struct move {
    uint32_t choice[MOST_IN_WAY + 1], before[MOST_IN_WAY + 1], count;
};

static uint64_t next_random(struct search *s)
{
    s->random ^= s->random << 13;
    s->random ^= s->random >> 7;
    s->random ^= s->random << 17;
    return s->random;
}

/* Minus the logarithm to the base 2 of a number that is evenly distributed between 0 and 1, in
 * parts of LOG2_PARTS; straight between the powers of two. */
static int64_t random_log(struct search *s)
{
    uint64_t r = next_random(s) | 1;
    int zeros = __builtin_clzll(r);
    uint64_t part = (r << zeros) << 1; /* what stands behind the first one, as a fraction */
    return (int64_t)(zeros + 1) * LOG2_PARTS - (int64_t)(part >> 56);
}

static const struct place_offer *chosen(const struct search *s, uint32_t i)
{
    return &s->p->choices[i].offers[s->p->choices[i].chosen];
}

static void put(struct search *s, uint32_t i, uint32_t offer)
{
    s->p->choices[i].chosen = offer;
    const struct place_offer *o = chosen(s, i);
    s->sum += o->cost;
    if (o->how != PLACED_NOWHERE)
        place_grid_add(s->p->arena, &s->grid, o->extent, i);
}

static void take_away(struct search *s, uint32_t i)
{
    const struct place_offer *o = chosen(s, i);
    s->sum -= o->cost;
    if (o->how != PLACED_NOWHERE)
        place_grid_remove(&s->grid, o->extent, i);
}

/* Who stands in the way of an offer; `most` + 1 where there are more than that. */
static uint32_t in_way(struct search *s, uint32_t i, const struct place_offer *o, uint32_t *who,
                       uint32_t most)
{
    uint32_t n = 0, k;
    if (o->how == PLACED_NOWHERE)
        return 0;
    struct place_look look = place_look_at(&s->grid, o->extent);
    while (place_look_next(&look, &k)) {
        if (k == i || !place_conflict(s->p, &s->p->choices[i], o, &s->p->choices[k], chosen(s, k)))
            continue;
        if (n == most)
            return most + 1;
        if (who)
            who[n] = k;
        n++;
    }
    return n;
}

/* The cheapest offer that is free, from `from` on. */
static uint32_t first_free(struct search *s, uint32_t i)
{
    const struct place_choice *c = &s->p->choices[i];
    uint32_t k = 0;
    while (in_way(s, i, &c->offers[k], NULL, 0))
        k++;
    return k;
}

/* Gives a label an offer, and those in its way the cheapest ones that are free then; false where
 * there are too many. */
static bool make_move(struct search *s, uint32_t i, uint32_t offer, struct move *m)
{
    uint32_t who[MOST_IN_WAY];
    const struct place_choice *c = &s->p->choices[i];
    uint32_t n = in_way(s, i, &c->offers[offer], who, MOST_IN_WAY);
    if (n > MOST_IN_WAY)
        return false;
    m->count = n + 1;
    m->choice[0] = i;
    for (uint32_t k = 0; k < n; k++) {
        uint32_t at = k + 1; /* by number, whatever the cells said first */
        for (; at > 1 && m->choice[at - 1] > who[k]; at--)
            m->choice[at] = m->choice[at - 1];
        m->choice[at] = who[k];
    }
    for (uint32_t k = 0; k < m->count; k++) {
        m->before[k] = s->p->choices[m->choice[k]].chosen;
        take_away(s, m->choice[k]);
    }
    put(s, i, offer);
    for (uint32_t k = 1; k < m->count; k++)
        put(s, m->choice[k], first_free(s, m->choice[k]));
    return true;
}

static void undo(struct search *s, const struct move *m)
{
    for (uint32_t k = 0; k < m->count; k++)
        take_away(s, m->choice[k]);
    for (uint32_t k = 0; k < m->count; k++)
        put(s, m->choice[k], m->before[k]);
}

/* Makes a move and takes it back if it costs more than that. */
static bool try_move(struct search *s, uint32_t i, uint32_t offer, int64_t most)
{
    struct move m;
    int64_t before = s->sum;
    if (!make_move(s, i, offer, &m))
        return false;
    if (s->sum - before <= most)
        return true;
    undo(s, &m);
    return false;
}

static void keep_best(struct search *s)
{
    if (s->sum >= s->best_sum)
        return;
    s->best_sum = s->sum;
    for (uint32_t i = 0; i < s->p->labels.n; i++)
        s->best[i] = s->p->choices[i].chosen;
}

/* Every label that is not where it is cheapest tries a few other places. */
static void one_round(struct search *s, int64_t heat)
{
    for (uint32_t i = 0; i < s->p->labels.n; i++)
        for (int k = 0; k < TRIES; k++) {
            const struct place_choice *c = &s->p->choices[i];
            if (!c->chosen)
                break;
            uint32_t among = k + 1 < TRIES ? c->chosen : c->count;
            uint32_t offer = (uint32_t)(next_random(s) >> 32) % among;
            if (offer != c->chosen)
                try_move(s, i, offer, heat * random_log(s) / LOG2_PARTS);
        }
}

/* Takes what is better until nothing is. */
static void settle(struct search *s)
{
    bool better = true;
    for (int round = 0; better && round < LAST_ROUNDS; round++) {
        better = false;
        for (uint32_t i = 0; i < s->p->labels.n; i++)
            for (uint32_t k = 0; k < s->p->choices[i].chosen; k++)
                better |= try_move(s, i, k, -1);
    }
}

/* --- knots -------------------------------------------------------------------------------------
 */

/* Labels that are settled together, each with its offers that nobody else stands in the way of. */
struct knot {
    struct placer *p;
    uint32_t who[MOST_IN_KNOT], count;
    uint32_t *offers[MOST_IN_KNOT], offer_count[MOST_IN_KNOT];
    int64_t rest[MOST_IN_KNOT + 1]; /* what those from there on cost at least */
    uint32_t taken[MOST_IN_KNOT], best[MOST_IN_KNOT];
    int64_t least;
    uint32_t steps;
};

static const struct place_offer *offer_of(const struct knot *k, uint32_t i, uint32_t offer)
{
    return &k->p->choices[k->who[i]].offers[offer];
}

static bool is_free_in_knot(const struct knot *k, uint32_t i, uint32_t offer)
{
    for (uint32_t j = 0; j < i; j++)
        if (place_conflict(k->p, &k->p->choices[k->who[i]], offer_of(k, i, offer),
                           &k->p->choices[k->who[j]], offer_of(k, j, k->taken[j])))
            return false;
    return true;
}

/* Tries every offer of each label in turn, as long as the sum could still be less. */
static void try_all(struct knot *k, uint32_t i, int64_t sum)
{
    if (i == k->count) {
        k->least = sum;
        for (uint32_t j = 0; j < i; j++)
            k->best[j] = k->taken[j];
        return;
    }
    for (uint32_t n = 0; n < k->offer_count[i] && k->steps < KNOT_STEPS; n++) {
        uint32_t offer = k->offers[i][n];
        int64_t with = sum + offer_of(k, i, offer)->cost;
        if (with + k->rest[i + 1] >= k->least)
            return; /* later ones cost more */
        k->steps++;
        if (!is_free_in_knot(k, i, offer))
            continue;
        k->taken[i] = offer;
        try_all(k, i + 1, with);
    }
}

static void add_to_knot(struct knot *k, uint32_t who)
{
    for (uint32_t i = 0; i < k->count; i++)
        if (k->who[i] == who)
            return;
    if (k->count < MOST_IN_KNOT)
        k->who[k->count++] = who;
}

/* Adds who stands in the way of what a label could have, those first who do so alone. */
static void add_neighbours(struct search *s, uint32_t i, struct knot *k)
{
    const struct place_choice *c = &s->p->choices[i];
    for (uint32_t alone = 1; alone <= MOST_IN_WAY; alone++)
        for (uint32_t offer = 0; offer < c->count && k->count < MOST_IN_KNOT; offer++) {
            uint32_t who[MOST_IN_WAY], n = in_way(s, i, &c->offers[offer], who, MOST_IN_WAY);
            for (uint32_t w = 0; w < n && n == alone; w++) {
                uint32_t least = w; /* by number, whatever the cells said first */
                for (uint32_t v = w + 1; v < n; v++)
                    least = who[v] < who[least] ? v : least;
                uint32_t other = who[least];
                who[least] = who[w];
                who[w] = other;
                add_to_knot(k, other);
            }
        }
}

/* The label, its neighbours, theirs, as many as are settled together. */
static void find_knot(struct search *s, uint32_t i, struct knot *k)
{
    add_to_knot(k, i);
    for (uint32_t j = 0; j < k->count && k->count < MOST_IN_KNOT; j++)
        add_neighbours(s, k->who[j], k);
}

/* Settles a label with its neighbours; whether that was better. */
static bool untie(struct search *s, uint32_t i, struct arena *scratch)
{
    struct knot k = {.p = s->p};
    find_knot(s, i, &k);
    for (uint32_t j = 0; j < k.count; j++) {
        k.best[j] = s->p->choices[k.who[j]].chosen;
        k.least += chosen(s, k.who[j])->cost;
        take_away(s, k.who[j]);
    }
    int64_t before = k.least;
    for (uint32_t j = k.count; j-- > 0;) {
        const struct place_choice *c = &s->p->choices[k.who[j]];
        k.offers[j] = arena_array(scratch, uint32_t, c->count);
        for (uint32_t n = 0; n < c->count; n++)
            if (!in_way(s, k.who[j], &c->offers[n], NULL, 0))
                k.offers[j][k.offer_count[j]++] = n;
        k.rest[j] = k.rest[j + 1] + c->offers[k.offers[j][0]].cost;
    }
    try_all(&k, 0, 0);
    for (uint32_t j = 0; j < k.count; j++)
        put(s, k.who[j], k.best[j]);
    return k.least < before;
}

static void untie_all(struct search *s)
{
    struct arena scratch = {0};
    bool better = true;
    for (int round = 0; better && round < KNOT_ROUNDS; round++) {
        better = false;
        for (uint32_t i = 0; i < s->p->labels.n; i++) {
            arena_reset(&scratch);
            if (chosen(s, i)->cost - s->p->choices[i].offers[0].cost >= WORTH_A_KNOT)
                better |= untie(s, i, &scratch);
        }
    }
    arena_free(&scratch);
}

/* --- who is first ------------------------------------------------------------------------------
 */

struct turn {
    int32_t priority;
    uint32_t offers, choice;
};

static int compare_turns(const void *va, const void *vb)
{
    const struct turn *a = va, *b = vb;
    if (a->priority != b->priority)
        return a->priority > b->priority ? -1 : 1;
    if (a->offers != b->offers)
        return a->offers < b->offers ? -1 : 1;
    return a->choice < b->choice ? -1 : a->choice > b->choice;
}

/* Those that matter most, then those that have the fewest places. */
static void take_turns(struct search *s)
{
    uint32_t n = s->p->labels.n;
    struct turn *turns = arena_array(s->p->arena, struct turn, n);
    for (uint32_t i = 0; i < n; i++)
        turns[i] = (struct turn){s->p->choices[i].label->priority, s->p->choices[i].count, i};
    qsort(turns, n, sizeof *turns, compare_turns);
    for (uint32_t i = 0; i < n; i++)
        put(s, turns[i].choice, first_free(s, turns[i].choice));
}

void place_search(struct placer *p)
{
    struct search s = {.p = p, .random = seed, .best_sum = INT64_MAX};
    place_grid_begin(p->arena, &s.grid, p->page, p->labels.n);
    s.best = arena_array(p->arena, uint32_t, p->labels.n);
    take_turns(&s);
    settle(&s);
    keep_best(&s);
    int64_t heat = HOTTEST * 100;
    for (int round = 0; round < ROUNDS; round++, heat = heat * COOLING / 100) {
        one_round(&s, heat / 100);
        keep_best(&s);
    }
    settle(&s);
    keep_best(&s);
    for (uint32_t i = 0; i < p->labels.n; i++) {
        take_away(&s, i);
        put(&s, i, s.best[i]);
    }
    untie_all(&s);
}
