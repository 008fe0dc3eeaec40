/* Allots the cuts of one cable type to coils: which cut comes off which coil, and which coils are
 * bought.
 *
 * The coils on hand cost nothing and are used first; what they cannot hold is bought. In this order
 * it is decided:
 *   1. Cuts longer than every coil that can be bought must come off coils on hand. Where these do
 * not suffice, as little length as possible is left out (`missing`).
 *   2. Cuts that no priced coil can hold, where there are prices at all: coils without a price are
 * bought for them, the least length, then the fewest coils. What is left on these coils serves the
 * other cuts.
 *   3. The rest at least cost, then in the fewest coils; without any price: the least cable bought,
 * then the fewest coils. Each step takes what the step before decided as given.
 *
 * The search is branch and bound over the coils' counts and the cuts of single coils, with the
 * bound of Gilmore and Gomory ("A linear programming approach to the cutting-stock problem", 1961)
 * made safe in whole numbers. It counts its work and stops at `step_limit`; it reads no clock. */
#ifndef STUDBAY_CUTS_PACK_H
#define STUDBAY_CUTS_PACK_H

#include "base/length.h"

#include <stdbool.h>
#include <stdint.h>

/* The largest figures pack_plan takes: a length (about 15 miles), a price (a million of the
 * currency), cuts or coils in a plan. */
#define PACK_LENGTH_MAX ((length)1000000000000)
#define PACK_PRICE_MAX  ((int64_t)1000000000000)
#define PACK_COUNT_MAX  ((uint32_t)1000000)

/* Enough for a house: about two seconds at most. */
#define PACK_STEPS ((uint64_t)2000000000)

struct pack_stock {
    length length;
    int64_t price;    /* in millionths of the currency, -1 where it is not known */
    uint32_t on_hand; /* how many lie there; they cost nothing */
    bool buy;         /* may be bought in any number */
    const char *name;
};

struct pack_piece {
    length length;
    uint32_t id; /* orders cuts of equal length */
};

struct pack_coil {
    uint32_t stock;        /* index of the stock it is of */
    bool on_hand;          /* else it is bought */
    uint32_t first, count; /* its cuts are order[first .. first + count), longest first */
    length remainder;
};

struct pack_result {
    struct pack_coil *
        coils; /* on hand first; by the order of the stocks, the coil with the longest cuts first */
    uint32_t coil_count;
    uint32_t *order;    /* indexes of cuts */
    uint32_t *too_long; /* indexes of cuts longer than every coil, longest first */
    uint32_t too_long_count;
    uint32_t *missing; /* indexes of cuts that fit a coil on hand only, where those have no room
                          left; longest first */
    uint32_t missing_count;
    int64_t cost;  /* of the bought coils with a price */
    length bought; /* cable bought */
    uint32_t bought_coils;
    int64_t
        bound_cost; /* what the earlier steps decided given, no plan costs less; 0 without prices */
    length bound_bought;  /* no plan buys less cable; where there are prices, by the sum of lengths
                             alone */
    uint32_t bound_coils; /* no plan as good as this one buys fewer coils */
    bool proven;          /* no plan is better */
    double gap;     /* how much better a plan might be, as a part of this plan; 0 where proven */
    uint64_t steps; /* the work done */
};

/* Fills `out`, whose arrays live in `arena`. A cut of no length takes no cable: it is listed with
 * the first coil, or in no coil where none is used. Coils of no length are passed over. False, and
 * `out` empty, where a figure is negative (a price of -1 is not) or above its largest. Equal input
 * in another order gives the same coils; cuts of equal length are told apart by their ids. */
bool pack_plan(struct arena *arena, const struct pack_stock *stocks, uint32_t stock_count,
               const struct pack_piece *pieces, uint32_t piece_count, uint64_t step_limit,
               struct pack_result *out);

#endif
