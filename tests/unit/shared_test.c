/* A library that is read once and stands behind many plans: each comes to what it comes to with a
 * library of its own, whatever the plans before it said. Run from the top of the tree. */
#include "base/file.h"
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/dot/dot.h"
#include "drawn.h"
#include "emit/reports/reports.h"

#include <glob.h>
#include <sys/stat.h>

/* All findings, what is known to have been read, and (`printed`) every report and drawing. */
static char *outcome(const char *plan, struct compile_options options, bool printed)
{
    struct buf out = {0};
    struct compilation c;
    options.cut_steps = SOME_CUT_STEPS;
    compile(&c, plan, options);
    diag_text(&c.diag, &out, (struct diag_style){0});
    buf_printf(&out, "failed %d, read %u files\n", c.io_failed, c.read.n);
    struct results r;
    if (printed && c.model && cmd_results(&c, &r)) {
        for (uint32_t i = 0; i < report_count; i++)
            report_write(&report_table[i], &r, REPORT_JSON, &out);
        for (uint32_t i = 0; i < dot_count; i++)
            dot_table[i].write(&r, &out);
        for (uint32_t i = 0; i < sheet_kind_count; i++)
            if (sheet_kinds[i].use == FOR_HAND) /* places for words on floor plans take long */
                draw_kind(&r, &sheet_kinds[i], &out);
    }
    compile_free(&c);
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

/* What a plan comes to by both is the same; that is given. */
static char *same_by_both(const char *plan, struct compile_options own,
                          const struct compilation *library, bool printed)
{
    struct compile_options shared = own;
    shared.stdlib = NULL;
    shared.library = library;
    char *a = outcome(plan, own, printed), *b = outcome(plan, shared, printed);
    if (strcmp(a, b))
        print_error("%s: with a library of its own:\n%s\nwith a shared one:\n%s\n", plan, a, b);
    assert_string_equal(a, b);
    free(b);
    return a;
}

/* What some plans define or amend is seen by no other. */
static void every_plan_comes_to_the_same(void **state)
{
    (void)state;
    enum { PRINTED = 4 }; /* one of so many is printed too */
    glob_t plans = {0};
    assert_int_equal(glob("tests/rules/*.bay", 0, NULL, &plans), 0);
    assert_int_equal(glob("tests/editions/*.bay", GLOB_APPEND, NULL, &plans), 0);
    assert_int_equal(glob("examples/*/*.bay", GLOB_APPEND, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++)
        free(same_by_both(plans.gl_pathv[i], (struct compile_options){0}, plan_library(),
                          i % PRINTED == 0));
    assert_true(plans.gl_pathc > 200);
    globfree(&plans);
}

static void plans_made_at_random_come_to_the_same(void **state)
{
    (void)state;
    enum { SEEDS = 12, BOXES = 25 };
    char folder[] = "/tmp/studbay-shared-XXXXXX", path[64], more[64], log[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/plan.bay", folder);
    snprintf(more, sizeof more, "%s/more.bay", folder);
    snprintf(log, sizeof log, "%s/plan.log", folder);
    for (uint64_t seed = 1; seed <= SEEDS; seed++)
        for (int sort = 0; sort < PLAN_SORT_COUNT; sort++) {
            struct plan_text text = {0};
            plan_make(&text, (enum plan_sort)sort, seed, BOXES);
            assert_true(plan_write(&text, folder));
            free(same_by_both(path, (struct compile_options){0}, plan_library(), seed % 2));
            plan_free(&text);
        }
    unlink(path);
    unlink(more);
    unlink(log);
    rmdir(folder);
}

/* --- libraries in folders ----------------------------------------------------------------- */

static const char plan[] = "examples/studio/studio.bay",
                  draft[] = "examples/studio/first-draft.bay";

static void a_folder_may_be_shared(void **state)
{
    (void)state;
    struct compilation library, c;
    assert_true(compile_library(&library, "stdlib"));
    const char *const plans[] = {plan, draft, "tests/rules/unused-definition.bad.bay", plan};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        free(same_by_both(plans[i], (struct compile_options){.stdlib = "stdlib"}, &library, true));
        free(same_by_both(plans[i],
                          (struct compile_options){.stdlib = "stdlib", .only = "cut-short"},
                          &library, false));
    }
    compile(&c, plan, (struct compile_options){.library = &library});
    assert_true(compile_has_read(&c, "stdlib/boxes.bay"));
    assert_ptr_equal(c.language, library.language); /* it was not read again */
    compile_free(&c);
    compile_free(&library);
}

/* What is wrong with a library is told with each plan, at its place. */
static void what_is_wrong_with_a_library_is_told_with_each_plan(void **state)
{
    (void)state;
    static const char text[] = "kind parlour { habitable wet no }\n"
                               "kind parlour { sleeping }\n"
                               "cable thin : no-such { conductors blak }\n"
                               "box-type odd { volume }\n";
    static const char *const told[] = {"first.bay:2:6: error", "first.bay:3:14: error",
                                       "first.bay:4:"};
    char folder[] = "/tmp/studbay-shared-XXXXXX", path[64];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/first.bay", folder);
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fputs(text, f);
    fclose(f);
    struct compilation library;
    assert_true(compile_library(&library, folder));
    for (int i = 0; i < 2; i++) {
        char *got = same_by_both(i ? draft : plan, (struct compile_options){.stdlib = folder},
                                 &library, false);
        for (size_t k = 0; k < sizeof told / sizeof *told; k++)
            assert_non_null(strstr(got, told[k]));
        free(got);
        free(same_by_both(plan, (struct compile_options){.stdlib = folder, .only = "syntax"},
                          &library, false));
    }
    compile_free(&library);
    unlink(path);
    rmdir(folder);
}

static void a_library_that_cannot_be_read_is_told_with_each_plan(void **state)
{
    (void)state;
    struct compilation library;
    assert_false(compile_library(&library, "/no/such/folder"));
    for (int i = 0; i < 2; i++) {
        char *got = same_by_both(plan, (struct compile_options){.stdlib = "/no/such/folder"},
                                 &library, false);
        assert_non_null(strstr(got, "/no/such/folder"));
        assert_non_null(strstr(got, "failed 1"));
        free(got);
    }
    compile_free(&library);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_plan_comes_to_the_same),
        cmocka_unit_test(plans_made_at_random_come_to_the_same),
        cmocka_unit_test(a_folder_may_be_shared),
        cmocka_unit_test(what_is_wrong_with_a_library_is_told_with_each_plan),
        cmocka_unit_test(a_library_that_cannot_be_read_is_told_with_each_plan),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
