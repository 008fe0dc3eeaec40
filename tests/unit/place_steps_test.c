/* The placing of words takes steps in proportion to what lies on the page: pages of the same
 * density, one ten times the other, counted in steps (steps.h). */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "place_pages.h"
#include "steps.h"

/* Ten times the page may take this many times the steps: ten, a logarithm for the sorts, and that
 * rooms at the edge of a page have fewer neighbours. */
enum { MOST_TIMES = 13 };

static uint64_t steps_for(int across, int down, uint32_t crowd, uint32_t *labels)
{
    struct arena arena = {0};
    struct page page = make_page(&arena, 5, across, down, crowd);
    struct placer *p = say(&page, false);
    uint64_t before = steps;
    place_solve(p);
    *labels = page.labels.n;
    uint64_t taken = steps - before;
    arena_free(&arena);
    return taken;
}

static void ten_times_the_page_takes_ten_times_the_steps(void **state)
{
    static const uint32_t crowds[] = {5, 10, 16};
    (void)state;
    for (size_t i = 0; i < sizeof crowds / sizeof *crowds; i++) {
        uint32_t few, many;
        uint64_t a = steps_for(5, 2, crowds[i], &few), b = steps_for(10, 10, crowds[i], &many);
        print_message("%u labels: %ju steps; %u: %ju, %.1f times\n", few, (uintmax_t)a, many,
                      (uintmax_t)b, (double)b / (double)a);
        assert_true(b * few <= a * MOST_TIMES * many / 10);
    }
}

int main(int argc, char **argv)
{
    (void)argc;
    settle_addresses(argv);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(ten_times_the_page_takes_ten_times_the_steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
