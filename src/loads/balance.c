#include "loads/balance.h"

#include "base/arena.h"

#include <stdlib.h>

/* Most steps and states that are tried: a panel of 42 spaces with every space loaded stays far
 * below. */
enum { MOST_STATES = 48 << 20 };
static const uint64_t most_steps = 1500u << 20;

enum { UNREACHED = 0, BEGINNING = UINT16_MAX };

/* A state is (single ones on A, pairs that begin on A, sum of these): the first item that reaches
 * it, counted from 1, single ones before pairs. The state before that item was reached by earlier
 * items alone, so that a way back is found without a table for each item. */
struct table {
    uint16_t *first;
    uint32_t on_a, pairs_on_a; /* most of each, + 1 */
    uint64_t sums, zero;       /* sums there can be, and the place of the sum 0 among them */
};

static int64_t divisor(int64_t a, int64_t b)
{
    while (b) {
        int64_t rest = a % b;
        a = b;
        b = rest;
    }
    return a < 0 ? -a : a;
}

static int64_t item_va(const struct balance *b, uint32_t item)
{
    return item < b->singles ? b->single[item] : b->pair[item - b->singles];
}

static uint16_t *state(const struct table *t, uint32_t k, uint32_t u, uint64_t sum)
{
    return &t->first[((uint64_t)k * t->pairs_on_a + u) * t->sums + sum];
}

static uint32_t smaller(uint32_t a, uint32_t b)
{
    return a < b ? a : b;
}

/* Places of sums that are reached: low to high. */
struct reach {
    uint64_t low, high;
};

/* Enters an item: every state without it leads to one with it. More items first, so that it is used
 * once. */
static void enter(const struct table *t, const struct balance *b, uint32_t item, int64_t weight,
                  struct reach reach)
{
    bool pair = item >= b->singles;
    uint32_t most_k = smaller(t->on_a - 1, item < b->singles ? item + 1 : b->singles),
             most_u = pair ? smaller(t->pairs_on_a - 1, item - b->singles + 1) : 0;
    for (uint32_t k = most_k + 1; k-- > (pair ? 0 : 1);)
        for (uint32_t u = most_u + 1; u-- > (pair ? 1 : 0);) {
            uint16_t *with = state(t, k, u, 0);
            const uint16_t *without = state(t, pair ? k : k - 1, pair ? u - 1 : u, 0);
            for (uint64_t sum = reach.low; sum <= reach.high; sum++)
                if (without[sum] != UNREACHED && with[(int64_t)sum + weight] == UNREACHED)
                    with[(int64_t)sum + weight] = (uint16_t)(item + 1);
        }
}

static void walk_back(const struct table *t, const struct balance *b, int64_t unit, uint32_t k,
                      uint32_t u, uint64_t sum, struct balanced *out)
{
    for (uint16_t item = *state(t, k, u, sum); item != BEGINNING; item = *state(t, k, u, sum)) {
        uint32_t i = item - 1u;
        sum = (uint64_t)((int64_t)sum - item_va(b, i) / unit);
        if (i < b->singles) {
            out->single_on_a[i] = true;
            k--;
        } else {
            out->pair_on_a[i - b->singles] = true;
            u--;
        }
    }
}

/* Of two differences of one size the one with more on line A is better: a lone load stands there.
 */
static bool closer(int64_t difference, int64_t best)
{
    return llabs(difference) < llabs(best) || (difference > 0 && difference == -best);
}

/* The reached state with the smallest difference; of equals the one with fewest on A, then the
 * smallest sum. */
static void choose(const struct table *t, const struct balance *b, int64_t unit, int64_t total,
                   struct balanced *out)
{
    bool found = false;
    uint32_t best_k = 0, best_u = 0;
    uint64_t best_sum = 0;
    uint32_t least_k = b->singles > b->room[1] ? b->singles - b->room[1] : 0;
    for (uint32_t k = least_k; k < t->on_a; k++)
        for (uint32_t u = 0; u < t->pairs_on_a; u++) {
            if (!b->may[u])
                continue;
            const uint16_t *row = state(t, k, u, 0);
            for (uint64_t sum = 0; sum < t->sums; sum++) {
                int64_t difference =
                    b->start + 2 * ((int64_t)sum - (int64_t)t->zero) * unit - total;
                if (row[sum] == UNREACHED || (found && !closer(difference, out->difference)))
                    continue;
                found = true;
                out->difference = difference;
                best_k = k;
                best_u = u;
                best_sum = sum;
            }
        }
    walk_back(t, b, unit, best_k, best_u, best_sum, out);
}

/* --- too many to try ---------------------------------------------------------------------- */

/* Largest first, each to the lighter line where it may; items come in that order. Of the pairs the
 * first ones begin on line A, as many as may. */
static void largest_first(const struct balance *b, struct balanced *out)
{
    uint32_t on[2] = {0, 0}, wanted = 0;
    out->difference = b->start;
    while (!b->may[wanted])
        wanted++;
    for (uint32_t i = 0; i < b->pairs; i++) {
        out->pair_on_a[i] = i < wanted;
        out->difference += i < wanted ? b->pair[i] : -b->pair[i];
    }
    for (uint32_t i = 0; i < b->singles; i++) {
        bool a = out->difference <= 0 ? on[0] < b->room[0] : on[1] >= b->room[1];
        out->single_on_a[i] = a;
        on[!a]++;
        out->difference += a ? b->single[i] : -b->single[i];
    }
}

struct balanced balance_lines(struct arena *arena, const struct balance *b)
{
    struct balanced out = {.single_on_a = arena_array(arena, bool, b->singles + 1),
                           .pair_on_a = arena_array(arena, bool, b->pairs + 1),
                           .proven = true};
    int64_t unit = 0, total = 0, below = 0;
    uint32_t items = b->singles + b->pairs;
    for (uint32_t i = 0; i < items; i++) {
        unit = divisor(item_va(b, i), unit);
        total += item_va(b, i);
        below -= item_va(b, i) < 0 ? item_va(b, i) : 0;
    }
    unit = unit ? unit : 1;
    struct table t = {.on_a = smaller(b->singles, b->room[0]) + 1, .pairs_on_a = b->pairs + 1};
    t.zero = (uint64_t)(below / unit);
    t.sums = (uint64_t)((total + 2 * below) / unit) + 1;
    /* in this order nothing overflows: each factor is kept small before it is used */
    bool small = items < BEGINNING && t.sums <= MOST_STATES &&
                 (uint64_t)t.on_a * t.pairs_on_a <= MOST_STATES / t.sums;
    if (!small || (uint64_t)t.on_a * t.pairs_on_a * t.sums * (items + 1) > most_steps) {
        out.proven = false;
        largest_first(b, &out);
        return out;
    }
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    t.first = arena_array(&scratch, uint16_t, (size_t)(t.on_a * (uint64_t)t.pairs_on_a * t.sums));
    *state(&t, 0, 0, t.zero) = BEGINNING;
    struct reach reach = {t.zero, t.zero};
    for (uint32_t i = 0; i < items; i++) {
        int64_t weight = item_va(b, i) / unit;
        enter(&t, b, i, weight, reach);
        *(weight < 0 ? &reach.low : &reach.high) += (uint64_t)weight;
    }
    choose(&t, b, unit, total, &out);
    arena_free(&scratch);
    return out;
}
