/* The allotment of cuts to coils where the input is odd, and what it prefers among plans of equal
 * cost. */
#include "pack_input.h"

#include "cuts/pack_plan.h"

#include <stdlib.h>

static void test_nothing(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct input in = {0};
    struct pack_result r = plan(&arena, &in);
    assert_int_equal(r.coil_count + r.too_long_count + r.missing_count, 0);
    assert_true(r.proven);
    add_stock(&in, 250, 96, 3, true);
    r = plan(&arena, &in);
    assert_int_equal(r.coil_count, 0);
    assert_int_equal(r.cost, 0);
    in.stocks = 0;
    add_piece(&in, 10);
    r = plan(&arena, &in);
    assert_int_equal(r.too_long_count, 1);
    arena_free(&arena);
}

static void test_zero_lengths(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct input in = {0};
    add_stock(&in, 0, 1, 5, true);
    add_stock(&in, 50, 20, 0, true);
    add_piece(&in, 0);
    struct pack_result r = plan(&arena, &in);
    assert_int_equal(r.coil_count, 0);
    add_piece(&in, 50);
    r = plan(&arena, &in);
    assert_int_equal(r.coil_count, 1);
    assert_int_equal(r.coils[0].count, 2);
    assert_int_equal(r.order[0], 1);
    assert_int_equal(r.order[1], 0);
    assert_int_equal(r.coils[0].remainder, 0);
    assert_int_equal(r.cost, 20);
    arena_free(&arena);
}

static void test_only_on_hand(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct input in = {0};
    add_stock(&in, 10, -1, 2, false);
    add_stock(&in, 30, -1, 1, false);
    const length cut[] = {31, 8, 8, 8, 9, 20};
    for (int i = 0; i < 6; i++)
        add_piece(&in, cut[i]);
    /* 30 holds 20 and 8, the tens hold 9 and 8: one 8 is left out */
    struct pack_result r = plan(&arena, &in);
    assert_int_equal(r.too_long_count, 1);
    assert_int_equal(r.too_long[0], 0);
    assert_int_equal(r.missing_count, 1);
    assert_int_equal(r.missing[0], 3);
    assert_int_equal(r.coil_count, 3);
    assert_int_equal(r.bought, 0);
    assert_true(r.proven);
    arena_free(&arena);
}

/* A new coil must be bought for the 40 and would hold all; what fits goes on the leftover all the
 * same. */
static void test_leftovers_first(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct input in = {0};
    add_stock(&in, 250, 96, 0, true);
    add_stock(&in, 35, -1, 1, false);
    const length cut[] = {40, 30, 20, 5};
    for (int i = 0; i < 4; i++)
        add_piece(&in, cut[i]);
    struct pack_result r = plan(&arena, &in);
    assert_int_equal(r.coil_count, 2);
    assert_true(r.coils[0].on_hand);
    assert_int_equal(r.coils[0].remainder, 0);
    assert_int_equal(r.order[0], 1);
    assert_int_equal(r.order[1], 3);
    assert_int_equal(r.coils[1].remainder, 190);
    assert_int_equal(r.cost, 96);
    arena_free(&arena);
}

/* --- leftovers by trying each ------------------------------------------------------------- */

enum { LEFTOVERS = 12, BOUGHT = 3 };

/* The room of each coil on hand, and which cuts lie on bought coils. */
struct yard {
    length room[LEFTOVERS];
    uint32_t coils;
    bool bought[MOST_CUTS];
};

/* Each bought cut, the longest first, onto the coil on hand with the least room that holds it. */
static void use_by_trying(struct yard *y, const struct pack_draft *plan)
{
    for (uint32_t i = 0; i < plan->cuts; i++) {
        uint32_t best = LEFTOVERS;
        for (uint32_t k = 0; k < y->coils && y->bought[i]; k++)
            if (y->room[k] >= plan->cut[i].length &&
                (best == LEFTOVERS || y->room[k] < y->room[best]))
                best = k;
        if (best == LEFTOVERS)
            continue;
        y->room[best] -= plan->cut[i].length;
        y->bought[i] = false;
    }
}

static int by_room(const void *a, const void *b)
{
    length x = *(const length *)a, y = *(const length *)b;
    return x < y ? -1 : x > y;
}

/* Coils on hand, some with a cut already, and three bought ones with the rest. */
static void draw_draft(struct pack_draft *plan, struct input *in, struct yard *y, uint64_t *seed)
{
    add_stock(in, 10000, -1, 0, true);
    for (uint32_t i = 0, n = 1 + draw(seed, 4); i < n; i++)
        add_stock(in, 20 + draw(seed, 80), -1, 1 + draw(seed, 3), false);
    plan->stocks = in->stock;
    plan->stock_count = in->stocks;
    plan->cuts = 4 + draw(seed, 20);
    plan->cut = arena_array(plan->scratch, struct pack_sorted, plan->cuts);
    length size = 90;
    for (uint32_t i = 0; i < plan->cuts; i++) {
        size -= draw(seed, 8);
        plan->cut[i] = (struct pack_sorted){.length = size < 5 ? 5 : size, .id = i, .index = i};
    }
    for (uint32_t i = 0; i < BOUGHT; i++)
        vec_push(plan->scratch, &plan->filled)->stock = 0;
    for (uint32_t k = 1; k < in->stocks; k++)
        for (uint32_t n = 0; n < in->stock[k].on_hand && n < plan->cuts; n++)
            y->room[y->coils++] = in->stock[k].length;
    for (uint32_t i = 0; i < plan->cuts; i++) {
        y->bought[i] = plan->cut[i].length > in->stock[1].length || draw(seed, 8);
        if (!y->bought[i] && y->room[0] == in->stock[1].length) {
            struct pack_filled *used = vec_push(plan->scratch, &plan->filled);
            *used = (struct pack_filled){.stock = 1, .on_hand = true};
            *vec_push(plan->scratch, &used->cut) = i;
            y->room[0] -= plan->cut[i].length;
            continue;
        }
        y->bought[i] = true;
        struct pack_filled *bought = &plan->filled.at[draw(seed, BOUGHT)];
        *vec_push(plan->scratch, &bought->cut) = i;
    }
}

static void test_leftovers_by_trying(void **state)
{
    (void)state;
    uint64_t seed = 41;
    uint32_t moved = 0;
    for (int n = 0; n < 2000; n++) {
        struct arena arena = {0};
        struct pack_draft plan = {.scratch = &arena};
        struct input in = {0};
        struct yard want = {0}, got = {0};
        draw_draft(&plan, &in, &want, &seed);
        got.coils = want.coils;
        for (uint32_t i = 0; i < plan.cuts; i++)
            moved += want.bought[i];
        use_by_trying(&want, &plan);
        pack_use_leftovers(&plan);
        uint32_t used[MOST_STOCKS] = {0}, at = 0, cuts = 0;
        for (uint32_t b = 0; b < plan.filled.n; b++) {
            const struct pack_filled *filled = &plan.filled.at[b];
            length room = in.stock[filled->stock].length;
            assert_true(filled->cut.n > 0);
            for (uint32_t i = 0; i < filled->cut.n; i++, cuts++) {
                room -= plan.cut[filled->cut.at[i]].length;
                got.bought[filled->cut.at[i]] = !filled->on_hand;
            }
            if (filled->on_hand)
                got.room[at++] = room;
            used[filled->stock] += filled->on_hand;
        }
        assert_int_equal(cuts, plan.cuts);
        for (uint32_t k = 1; k < in.stocks; k++)
            for (uint32_t i = used[k]; i < in.stock[k].on_hand && i < plan.cuts; i++)
                got.room[at++] = in.stock[k].length;
        assert_int_equal(at, want.coils);
        qsort(want.room, want.coils, sizeof *want.room, by_room);
        qsort(got.room, got.coils, sizeof *got.room, by_room);
        assert_memory_equal(got.room, want.room, sizeof want.room);
        assert_memory_equal(got.bought, want.bought, sizeof want.bought);
        for (uint32_t i = 0; i < plan.cuts; i++)
            moved -= want.bought[i];
        arena_free(&arena);
    }
    assert_true(moved > 2000);
}

/* The 1000 has no price and is bought only because nothing else holds the 300; then it serves the
 * others too. */
static void test_without_price(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct input in = {0};
    add_stock(&in, 250, 96, 0, true);
    add_stock(&in, 1000, -1, 0, true);
    add_piece(&in, 240);
    add_piece(&in, 240);
    struct pack_result r = plan(&arena, &in);
    assert_int_equal(r.cost, 192);
    assert_int_equal(r.bought, 500);
    add_piece(&in, 300);
    r = plan(&arena, &in);
    assert_int_equal(r.cost, 0);
    assert_int_equal(r.bought, 1000);
    assert_int_equal(r.bought_coils, 1);
    assert_true(r.proven);
    arena_free(&arena);
}

/* Equal cost: the fewer coils. No price: the least cable, though it takes more coils. */
static void test_ties(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct input in = {0};
    add_stock(&in, 100, 50, 0, true);
    add_stock(&in, 200, 100, 0, true);
    add_piece(&in, 90);
    add_piece(&in, 90);
    struct pack_result r = plan(&arena, &in);
    assert_int_equal(r.cost, 100);
    assert_int_equal(r.bought_coils, 1);
    in.stock[0].price = in.stock[1].price = -1;
    in.stock[1].length = 201;
    r = plan(&arena, &in);
    assert_int_equal(r.bought, 200);
    assert_int_equal(r.bought_coils, 2);
    assert_int_equal(r.bound_coils, 2);
    arena_free(&arena);
}

static void test_limits_of_figures(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct pack_result r;
    struct pack_stock stock = {
        .length = PACK_LENGTH_MAX, .price = PACK_PRICE_MAX, .on_hand = UINT32_MAX, .buy = true};
    struct pack_piece piece = {.length = PACK_LENGTH_MAX};
    assert_true(pack_plan(&arena, &stock, 1, &piece, 1, PACK_STEPS, &r));
    assert_int_equal(r.coil_count, 1);
    stock.on_hand = 0;
    struct pack_piece many[200];
    for (uint32_t i = 0; i < 200; i++)
        many[i] = (struct pack_piece){.length = PACK_LENGTH_MAX - i % 3 * 7, .id = i};
    assert_true(pack_plan(&arena, &stock, 1, many, 200, PACK_STEPS, &r));
    assert_int_equal(r.cost, 200 * PACK_PRICE_MAX);
    assert_true(r.proven);
    piece.length = -1;
    assert_false(pack_plan(&arena, &stock, 1, &piece, 1, PACK_STEPS, &r));
    piece.length = PACK_LENGTH_MAX + 1;
    assert_false(pack_plan(&arena, &stock, 1, &piece, 1, PACK_STEPS, &r));
    piece.length = 1;
    stock.price = -2;
    assert_false(pack_plan(&arena, &stock, 1, &piece, 1, PACK_STEPS, &r));
    stock.price = PACK_PRICE_MAX + 1;
    assert_false(pack_plan(&arena, &stock, 1, &piece, 1, PACK_STEPS, &r));
    assert_int_equal(r.coil_count, 0);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing),           cmocka_unit_test(test_zero_lengths),
        cmocka_unit_test(test_only_on_hand),      cmocka_unit_test(test_leftovers_first),
        cmocka_unit_test(test_without_price),     cmocka_unit_test(test_ties),
        cmocka_unit_test(test_limits_of_figures), cmocka_unit_test(test_leftovers_by_trying),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
