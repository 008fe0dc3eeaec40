/* The placing of words takes steps in proportion to what lies on the page: ten pages against one
 * that is as large as all of them, as densely filled, counted in steps (steps.h). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "place_pages.h"
#include "steps.h"

/* Tenths: a logarithm for the sorts; rooms at the edge of a page have fewer neighbours; and rounds,
 * of which there are only so many, go on while anything anywhere became better. Something square
 * would take a hundred. */
enum { PAGES = 10, MOST_TENTHS = 16 };

static uint64_t steps_for(uint64_t seed, int across, int down, uint32_t crowd, uint32_t *labels)
{
    struct arena arena = {0};
    struct page page = make_page(&arena, seed, across, down, crowd);
    struct placer *p = say(&page, false);
    uint64_t before = steps;
    place_solve(p);
    *labels += page.labels.n;
    uint64_t taken = steps - before;
    arena_free(&arena);
    return taken;
}

static void one_large_page_takes_the_steps_of_ten_small_ones(void **state)
{
    static const uint32_t crowds[] = {5, 10, 16};
    (void)state;
    for (size_t i = 0; i < sizeof crowds / sizeof *crowds; i++) {
        uint32_t few = 0, many = 0;
        uint64_t small = 0;
        for (uint64_t seed = 1; seed <= PAGES; seed++)
            small += steps_for(seed, 5, 2, crowds[i], &few);
        uint64_t large = steps_for(PAGES + 1, 10, PAGES, crowds[i], &many);
        print_message("%u labels on ten pages: %ju steps; %u on one: %ju, %.2f times\n", few,
                      (uintmax_t)small, many, (uintmax_t)large, (double)large / (double)small);
        assert_true(large * few * 10 <= small * many * MOST_TENTHS);
    }
}

int main(int argc, char **argv)
{
    (void)argc;
    settle_addresses(argv);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_large_page_takes_the_steps_of_ten_small_ones),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
