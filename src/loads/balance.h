/* The best balance of two lines: which load goes to which. */
#ifndef STUDBAY_LOADS_BALANCE_H
#define STUDBAY_LOADS_BALANCE_H

#include <stdbool.h>
#include <stdint.h>

struct arena;

/* Loads in whole VA. A single one stands on line A or on line B, and is not below 0. A pair stands
 * on both, and begins on one of them: what counts is how much more it puts on the line where it
 * begins than on the other, which may be less than nothing. */
struct balance {
    const int64_t *single, *pair;
    uint32_t singles, pairs;
    int64_t start;    /* what line A carries more than line B already */
    uint32_t room[2]; /* how many single ones line A and line B take; together enough */
    const bool *may;  /* may[u]: u pairs may begin on A; pairs + 1 of them, one at least true */
};

struct balanced {
    bool *single_on_a, *pair_on_a; /* a pair: it begins there */
    int64_t difference;            /* line A less line B */
    bool proven; /* no choice has a smaller difference; false where there are too many loads to try
                    them all */
};

/* Exact by dynamic programming over the sums that line A can have, in units of the loads' common
 * divisor; with too many of them, largest first to the lighter line. The same loads always give the
 * same answer. */
struct balanced balance_lines(struct arena *arena, const struct balance *b);

#endif
