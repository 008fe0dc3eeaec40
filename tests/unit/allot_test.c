/* Pieces shared out to groups: against every partition of few pieces, and what must hold of many.
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/arena.h"
#include "propose/allot.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_PIECES = 64, LITTLE = 7, TURNS = 400 };

/* Pieces with places, weights, and sorts that do not go together; sort 0 goes with all of them. */
struct pieces {
    uint32_t count, sort[MOST_PIECES], wanted;
    double x[MOST_PIECES], y[MOST_PIECES], weight[MOST_PIECES];
};

static uint64_t state;

static uint32_t drawn(uint32_t below)
{
    state = state * 6364136223846793005u + 1442695040888963407u;
    return (uint32_t)(state >> 33) % below;
}

static bool may(const void *of, const uint32_t *at, uint32_t n)
{
    const struct pieces *p = of;
    uint32_t sort = 0;
    double weight = 0;
    for (uint32_t i = 0; i < n; i++) {
        uint32_t own = p->sort[at[i]];
        if (own && sort && own != sort)
            return false;
        sort = own ? own : sort;
        weight += p->weight[at[i]];
    }
    return weight <= 10;
}

/* The way round a group from the origin, and how far its pieces are from its middle. */
static double cost(const void *of, const uint32_t *at, uint32_t n)
{
    const struct pieces *p = of;
    double east = 0, north = 0, x = 0, y = 0, sum = 0;
    for (uint32_t i = 0; i < n; i++) {
        east = fmax(east, p->x[at[i]]);
        north = fmax(north, p->y[at[i]]);
        x += p->x[at[i]] / n;
        y += p->y[at[i]] / n;
    }
    for (uint32_t i = 0; i < n; i++)
        sum += fabs(p->x[at[i]] - x) + fabs(p->y[at[i]] - y);
    return 2 * (east + north) + sum;
}

static uint32_t least(const void *of, const uint32_t *at, uint32_t n)
{
    const struct pieces *p = of;
    double weight = 0;
    for (uint32_t i = 0; i < n; i++)
        weight += p->weight[at[i]];
    return (uint32_t)fmax(1, ceil(weight / 10 - 1e-9));
}

static uint32_t wanted(const void *of, const uint32_t *at, uint32_t n)
{
    const struct pieces *p = of;
    for (uint32_t i = 0; i < n; i++)
        if (p->sort[at[i]] == 1)
            return p->wanted;
    return 0;
}

static struct pieces draw_pieces(uint32_t count, uint32_t sorts, bool free_ones)
{
    struct pieces p = {.count = count, .wanted = drawn(3)};
    for (uint32_t i = 0; i < count; i++) {
        p.sort[i] = drawn(sorts) + !free_ones;
        p.x[i] = drawn(40);
        p.y[i] = drawn(40);
        p.weight[i] = 1 + drawn(6);
    }
    return p;
}

static struct allotted allot_them(struct arena *arena, const struct pieces *p)
{
    struct allot_asked asked = {
        .count = p->count, .of = p, .may = may, .cost = cost, .least = least, .wanted = wanted};
    return allot(arena, &asked);
}

/* The cost of a partition; below 0 where it is none that may be. Groups are gone through in the
 * order of their first pieces. */
static double cost_of(const struct pieces *p, const uint32_t *group, uint32_t groups)
{
    double sum = 0;
    for (uint32_t g = 0; g < groups; g++) {
        uint32_t at[MOST_PIECES], n = 0;
        for (uint32_t i = 0; i < p->count; i++)
            if (group[i] == g)
                at[n++] = i;
        if (n > 1 && !may(p, at, n))
            return -1;
        sum += cost(p, at, n);
    }
    return sum;
}

struct best {
    uint32_t groups;
    double cost;
};

/* Every partition: each piece in one of the groups there are, or in a new one. */
static void try_all(const struct pieces *p, uint32_t *group, uint32_t i, uint32_t groups,
                    uint32_t at_least, struct best *best)
{
    if (i == p->count) {
        double sum = groups >= at_least ? cost_of(p, group, groups) : -1;
        if (sum >= 0 && (groups < best->groups || (groups == best->groups && sum < best->cost)))
            *best = (struct best){groups, sum};
        return;
    }
    for (group[i] = 0; group[i] <= groups; group[i]++) {
        uint32_t more = group[i] == groups;
        try_all(p, group, i + 1, groups + more, at_least, best);
    }
}

/* One sort and what goes with it, so that all of it hangs together as far as weights let it. */
static void few_pieces_are_shared_out_as_the_best_of_all_partitions(void **unused)
{
    (void)unused;
    for (uint32_t turn = 0; turn < TURNS; turn++) {
        struct arena arena = {0};
        state = turn;
        struct pieces p = draw_pieces(1 + drawn(LITTLE), 3, turn % 2);
        p.wanted = turn % 4 == 3 ? p.wanted : 0;
        struct allotted a = allot_them(&arena, &p);
        uint32_t group[MOST_PIECES] = {0};
        struct best best = {UINT32_MAX, 0};
        try_all(&p, group, 0, 0, 0, &best);
        if (p.wanted < 2) {
            assert_int_equal(a.groups, best.groups);
            assert_int_equal(a.least, best.groups);
            assert_true(fabs(a.cost - best.cost) < 1e-6);
        }
        assert_true(a.exact);
        assert_true(fabs(cost_of(&p, a.group, a.groups) - a.cost) < 1e-6);
        arena_free(&arena);
    }
}

static void as_many_groups_as_are_wanted(void **unused)
{
    (void)unused;
    struct arena arena = {0};
    struct pieces p = {.count = 4, .sort = {1, 1, 1, 1}, .wanted = 3, .weight = {1, 1, 1, 1}};
    assert_int_equal(allot_them(&arena, &p).groups, 3);
    p.wanted = 9; /* no more than there are pieces */
    assert_int_equal(allot_them(&arena, &p).groups, 4);
    arena_free(&arena);
}

/* Many of one sort are searched: no group is too full, and there are not many more than must be. */
static void many_pieces_are_shared_out_well(void **unused)
{
    (void)unused;
    for (uint32_t turn = 0; turn < 20; turn++) {
        struct arena arena = {0};
        state = turn;
        struct pieces p = draw_pieces(40, 3, false);
        p.wanted = 0;
        struct allotted a = allot_them(&arena, &p);
        double sum = cost_of(&p, a.group, a.groups);
        assert_true(sum >= 0);
        assert_true(fabs(sum - a.cost) < 1e-6);
        assert_true(a.groups >= a.least);
        assert_true(a.groups <= a.least + 1 + a.least / 8);
        arena_free(&arena);
    }
}

static void the_order_of_pieces_changes_no_cost(void **unused)
{
    (void)unused;
    for (uint32_t turn = 0; turn < 50; turn++) {
        struct arena arena = {0};
        state = turn;
        struct pieces p = draw_pieces(10, 2, true), q = p;
        for (uint32_t i = 0; i < p.count; i++) {
            uint32_t from = p.count - 1 - i;
            q.sort[i] = p.sort[from];
            q.x[i] = p.x[from];
            q.y[i] = p.y[from];
            q.weight[i] = p.weight[from];
        }
        struct allotted a = allot_them(&arena, &p), b = allot_them(&arena, &q);
        assert_int_equal(a.groups, b.groups);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(few_pieces_are_shared_out_as_the_best_of_all_partitions),
        cmocka_unit_test(as_many_groups_as_are_wanted),
        cmocka_unit_test(many_pieces_are_shared_out_well),
        cmocka_unit_test(the_order_of_pieces_changes_no_cost),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
