/* Several threads compile behind one library at once, each its plans, and come to what one thread
 * comes to. `make check TSAN=1 TESTS=threads` watches them. Run from the top of the tree. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "libstudbay/studbay.h"

#include "base/buf.h"

#include <pthread.h>
#include <string.h>

static const char *const plans[] = {
    "examples/small/two-places.bay", "tests/rules/box-gangs.bad.bay",
    "tests/rules/unknown-name.bad.bay", "tests/rules/voltage-drop.bad.bay"};
enum { PLANS = sizeof plans / sizeof *plans, THREADS = 4, ROUNDS = 2 };

struct work {
    const struct studbay_library *library;
    int first;
    struct buf made[PLANS]; /* of each plan */
    bool whole;
};

static int to_buf(void *to, const char *bytes, size_t size)
{
    buf_add(to, bytes, size);
    return 0;
}

static bool work_on(struct work *w, int i)
{
    struct studbay_opening how = {.size = sizeof how, .library = w->library};
    struct studbay_writer out = {to_buf, &w->made[i]};
    struct studbay_plan *plan;
    struct studbay_sheets *sheets;
    bool whole = studbay_open(plans[i], &how, &plan) == STUDBAY_DONE;
    w->made[i].n = 0;
    whole = whole && studbay_write_findings(&plan, 1, NULL, out) == STUDBAY_DONE;
    if (whole && studbay_proof(plan) == STUDBAY_PROOF_HOLDS) {
        whole = studbay_write_report(plan, "cuts", NULL, out) == STUDBAY_DONE &&
                studbay_write_report(plan, "makeup", NULL, out) == STUDBAY_DONE;
        if (studbay_draw(plan, "cards", NULL, &sheets) == STUDBAY_DONE)
            whole = whole && studbay_write_sheet(sheets, 0, NULL, out) == STUDBAY_DONE;
    }
    studbay_close(plan);
    return whole;
}

/* Each begins with another plan. */
static void *work(void *with)
{
    struct work *w = with;
    w->whole = true;
    for (int i = 0; i < PLANS * ROUNDS; i++)
        w->whole &= work_on(w, (w->first + i) % PLANS);
    return NULL;
}

static void threads_share_a_library(void **state)
{
    (void)state;
    struct studbay_library *library;
    assert_int_equal(studbay_library_open(NULL, NULL, &library), STUDBAY_DONE);
    struct work alone = {.library = NULL}, w[THREADS];
    pthread_t threads[THREADS];
    work(&alone);
    assert_true(alone.whole);
    memset(w, 0, sizeof w);
    for (int i = 0; i < THREADS; i++) {
        w[i].library = library;
        w[i].first = i;
        assert_int_equal(pthread_create(&threads[i], NULL, work, &w[i]), 0);
    }
    for (int i = 0; i < THREADS; i++) {
        assert_int_equal(pthread_join(threads[i], NULL), 0);
        assert_true(w[i].whole);
        for (int k = 0; k < PLANS; k++) {
            assert_string_equal(buf_text(&w[i].made[k]), buf_text(&alone.made[k]));
            buf_free(&w[i].made[k]);
        }
    }
    for (int k = 0; k < PLANS; k++) {
        assert_true(alone.made[k].n > 0);
        buf_free(&alone.made[k]);
    }
    studbay_library_close(library);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(threads_share_a_library)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
