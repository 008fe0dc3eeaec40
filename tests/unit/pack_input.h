/* Made-up input for the tests of the packer, and what must hold for every plan. */
#ifndef STUDBAY_TESTS_PACK_INPUT_H
#define STUDBAY_TESTS_PACK_INPUT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "cuts/pack.h"

enum { MOST_CUTS = 1000, MOST_STOCKS = 8 };

struct input {
    struct pack_stock stock[MOST_STOCKS];
    uint32_t stocks;
    struct pack_piece piece[MOST_CUTS];
    uint32_t pieces;
};

/* --- made-up input ------------------------------------------------------------------------ */

/* A fixed sequence, so that each run makes the same plans (multiplier of D. Knuth's MMIX). */
static inline uint32_t draw(uint64_t *state, uint32_t below)
{
    *state = *state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(*state >> 33) % below;
}

static inline void add_stock(struct input *in, length size, int64_t price, uint32_t on_hand,
                             bool buy)
{
    in->stock[in->stocks++] = (struct pack_stock){
        .length = size, .price = price, .on_hand = on_hand, .buy = buy, .name = "a coil"};
}

static inline void add_piece(struct input *in, length size)
{
    in->piece[in->pieces] = (struct pack_piece){.length = size, .id = in->pieces};
    in->pieces++;
}

/* --- what holds for every plan ------------------------------------------------------------ */

static inline void check_coil(const struct input *in, const struct pack_result *r,
                              const struct pack_coil *coil, uint32_t *on_hand)
{
    const struct pack_stock *stock = &in->stock[coil->stock];
    length used = 0;
    assert_true(coil->stock < in->stocks);
    assert_true(coil->count > 0);
    for (uint32_t i = 0; i < coil->count; i++) {
        const struct pack_piece *piece = &in->piece[r->order[coil->first + i]];
        used += piece->length;
        assert_true(i == 0 || piece->length <= in->piece[r->order[coil->first + i - 1]].length);
    }
    assert_true(used <= stock->length);
    assert_int_equal(coil->remainder, stock->length - used);
    if (coil->on_hand)
        assert_true(++on_hand[coil->stock] <= stock->on_hand);
    else
        assert_true(stock->buy);
}

/* Every cut has one place, no coil is too short, and the sums are right. */
static inline void check_result(const struct input *in, const struct pack_result *r)
{
    uint32_t seen[MOST_CUTS] = {0}, on_hand[MOST_STOCKS] = {0}, bought = 0;
    int64_t cost = 0;
    length cable = 0;
    for (uint32_t b = 0; b < r->coil_count; b++) {
        const struct pack_coil *coil = &r->coils[b];
        check_coil(in, r, coil, on_hand);
        for (uint32_t i = 0; i < coil->count; i++)
            seen[r->order[coil->first + i]]++;
        if (coil->on_hand)
            continue;
        bought++;
        cable += in->stock[coil->stock].length;
        cost += in->stock[coil->stock].price > 0 ? in->stock[coil->stock].price : 0;
    }
    for (uint32_t i = 0; i < r->too_long_count; i++)
        seen[r->too_long[i]]++;
    for (uint32_t i = 0; i < r->missing_count; i++)
        seen[r->missing[i]]++;
    for (uint32_t i = 0; i < in->pieces; i++)
        assert_true(seen[i] == 1 || (in->piece[i].length == 0 && r->coil_count == 0));
    assert_int_equal(r->cost, cost);
    assert_int_equal(r->bought, cable);
    assert_int_equal(r->bought_coils, bought);
    assert_true(r->bound_cost <= r->cost);
    assert_true(r->bound_bought <= r->bought);
    assert_true(r->bound_coils <= r->bought_coils);
    assert_true(r->proven ? r->gap == 0 : r->gap > 0);
}

static inline struct pack_result plan_within(struct arena *arena, const struct input *in,
                                             uint64_t steps)
{
    struct pack_result r;
    assert_true(pack_plan(arena, in->stock, in->stocks, in->piece, in->pieces, steps, &r));
    check_result(in, &r);
    return r;
}

static inline struct pack_result plan(struct arena *arena, const struct input *in)
{
    return plan_within(arena, in, PACK_STEPS);
}

#endif
