/* The order of statements decides nothing: plans whose statements are shuffled (those at the top
 * and in units, boxes in rooms, runs in circuits; devices keep their order in the box) give the
 * same legs, cables, colours and fill. Run from the top of the tree. */
#include "compiled.h"
#include "generate.h"
#include "shuffle.h"
#include "sorted.h"

#include <glob.h>
#include <libgen.h>

enum { SEEDS = 6, MOST_STATEMENTS = 1000 };

/* Writes a file of a plan into the folder under its own name, its statements shuffled. */
static void shuffle_file(const struct source *file, const char *folder, uint64_t seed)
{
    struct buf out = {0};
    shuffle_text(file->bytes, file->size, seed, &out);
    char path[512], name[256];
    snprintf(name, sizeof name, "%s", file->path);
    snprintf(path, sizeof path, "%s/%s", folder, basename(name));
    FILE *f = fopen(path, "w");
    assert_non_null(f);
    fwrite(out.at, 1, out.n, f);
    assert_int_equal(fclose(f), 0);
    buf_free(&out);
}

static void remove_folder(const struct compilation *c, const char *folder)
{
    for (uint32_t i = 0; i < c->source_count; i++) {
        char path[512], name[256];
        snprintf(name, sizeof name, "%s", c->sources[i]->path);
        snprintf(path, sizeof path, "%s/%s", folder, basename(name));
        unlink(path);
    }
    rmdir(folder);
}

/* --- comparing ---------------------------------------------------------------------------- */

static const char *const reports[] = {"legs",  "runs",  "fill",   "drop",
                                      "boxes", "panel", "labels", "cuts"};
enum { REPORTS = sizeof reports / sizeof *reports };

/* Shows the first line in which they differ. */
static bool same_report(const char *plan, unsigned seed, const char *report, const char *was,
                        const char *is)
{
    if (!strcmp(was, is))
        return true;
    size_t i = 0, start = 0;
    for (; was[i] && was[i] == is[i]; i++)
        start = was[i] == '\n' ? i + 1 : start;
    print_error("%s, seed %u, report %s:\n  %.*s\nbecame\n  %.*s\n", plan, seed, report,
                (int)strcspn(was + start, "\n"), was + start, (int)strcspn(is + start, "\n"),
                is + start);
    return false;
}

/* Rules that judge the wiring: as many findings in whatever order. */
static const char *const wiring_rules[] = {"conductors-missing", "neutral-missing-at-switch",
                                           "white-as-return",    "switch-kind",
                                           "box-overfilled",     "breaker-overloaded",
                                           "control-overloaded", "luminaire-through-wiring",
                                           "voltage-drop",       "unfed-box"};

/* How many reports of a plan change when it is shuffled in so many ways. */
static unsigned differences(const char *plan, unsigned seeds)
{
    struct compilation c;
    compile(&c, plan, (struct compile_options){.library = plan_library()});
    char *was[REPORTS];
    unsigned wrong = 0;
    for (unsigned r = 0; r < REPORTS; r++)
        was[r] = sorted_report(&c, reports[r]);
    for (unsigned seed = 1; seed <= seeds; seed++) {
        char folder[] = "/tmp/studbay-shuffled-XXXXXX", path[512], name[256];
        assert_non_null(mkdtemp(folder));
        for (uint32_t i = 0; i < c.source_count; i++)
            shuffle_file(c.sources[i], folder, seed * 1000 + i);
        snprintf(name, sizeof name, "%s", plan);
        snprintf(path, sizeof path, "%s/%s", folder, basename(name));
        struct compilation d;
        compile(&d, path, (struct compile_options){.library = plan_library()});
        for (unsigned r = 0; r < sizeof wiring_rules / sizeof *wiring_rules; r++)
            assert_int_equal(findings_of(&d, wiring_rules[r]), findings_of(&c, wiring_rules[r]));
        for (unsigned r = 0; r < REPORTS; r++) {
            char *is = sorted_report(&d, reports[r]);
            wrong += !same_report(plan, seed, reports[r], was[r], is);
            free(is);
        }
        compile_free(&d);
        remove_folder(&c, folder);
    }
    for (unsigned r = 0; r < REPORTS; r++)
        free(was[r]);
    compile_free(&c);
    return wrong;
}

static unsigned differences_in(const char *pattern)
{
    glob_t found;
    unsigned wrong = 0;
    assert_int_equal(glob(pattern, 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++)
        wrong += differences(found.gl_pathv[i], SEEDS);
    globfree(&found);
    return wrong;
}

static void examples_do_not_depend_on_order(void **state)
{
    (void)state;
    assert_int_equal(differences_in("examples/small/*.bay") +
                         differences("examples/studio/studio.bay", SEEDS) +
                         differences("examples/flats/flats.bay", SEEDS),
                     0);
}

static void classic_wirings_do_not_depend_on_order(void **state)
{
    (void)state;
    assert_int_equal(differences_in("docs/wiring/*.bay"), 0);
}

/* Random plans have more ties than real ones: equal ways to wire a leg, from which the same one
 * must be taken. */
static void random_plans_do_not_depend_on_order(void **state)
{
    (void)state;
    enum { EACH = 25, WAYS = 2, MOST_SWITCHES = 4 };
    unsigned wrong = 0;
    char folder[] = "/tmp/studbay-random-XXXXXX", path[512];
    assert_non_null(mkdtemp(folder));
    snprintf(path, sizeof path, "%s/plan.bay", folder);
    struct generator *g = calloc(1, sizeof *g);
    for (unsigned sort = 0; sort < GENERATED_COUNT; sort++)
        for (unsigned seed = 1; seed <= EACH; seed++) {
            struct buf text = {0};
            generate_plan(&text, g, 100 * sort + seed, sort, 4 + seed % 9, MOST_SWITCHES);
            FILE *f = fopen(path, "w");
            assert_non_null(f);
            fwrite(text.at, 1, text.n, f);
            assert_int_equal(fclose(f), 0);
            buf_free(&text);
            unsigned changed = differences(path, WAYS);
            if (changed)
                print_error("that was the random plan of sort %u, seed %u\n", sort, seed);
            wrong += changed;
        }
    free(g);
    unlink(path);
    rmdir(folder);
    assert_int_equal(wrong, 0);
}

/* A shuffled text is another text with the same statements. */
static void shuffling_moves_statements(void **state)
{
    (void)state;
    static const char text[] =
        "plan \"P\" { edition nec-2023 }\nroom a { size 9' by 9'\nbox A north at 1' { }\nbox B "
        "north at 2' { }\nbox C north at 3' { } }\nlevel l { floor 0' }\n";
    unsigned others = 0, kept = 0;
    for (unsigned seed = 1; seed <= SEEDS; seed++) {
        struct buf shuffled = {0};
        shuffle_text(text, sizeof text - 1, seed, &shuffled);
        const char *out = buf_text(&shuffled), *a = strstr(out, "box A"), *b = strstr(out, "box B"),
                   *c = strstr(out, "box C");
        kept += a && b && c && strstr(out, "level l { floor 0' }") &&
                strstr(out, "plan \"P\" { edition nec-2023 }");
        others += !(a < b && b < c) || strncmp(out, "plan", 4);
        buf_free(&shuffled);
    }
    assert_int_equal(kept, SEEDS);
    assert_true(others > SEEDS / 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(shuffling_moves_statements),
        cmocka_unit_test(examples_do_not_depend_on_order),
        cmocka_unit_test(classic_wirings_do_not_depend_on_order),
        cmocka_unit_test(random_plans_do_not_depend_on_order),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
