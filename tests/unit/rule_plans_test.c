/* Each rule has two plans in tests/rules, NAME.bad.bay and NAME.good.bay: the one gives exactly one
 * finding, of that rule, and nothing else worse than a note; the other none, but for the count of
 * plates that even a good notch wants. Run from the top of the tree. */
#include "compiled.h"

#include <glob.h>

static bool exists(const char *path)
{
    return access(path, R_OK) == 0;
}

static const char *path_of(enum rule_id rule, const char *which)
{
    static char path[256];
    snprintf(path, sizeof path, "tests/rules/%s.%s.bay", rule_table[rule].name, which);
    return path;
}

static unsigned worse_than_notes(const struct compilation *c)
{
    return c->diag.counts[ERROR] + c->diag.counts[WARNING];
}

/* Findings of other rules that are worse than a note. */
static unsigned others_than(const struct compilation *c, enum rule_id rule)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        n += f->rule != rule && f->severity != NOTE && !f->waived;
    }
    return n;
}

static bool bad_breaks(enum rule_id rule)
{
    struct compilation c;
    compile(&c, path_of(rule, "bad"), (struct compile_options){0});
    bool fits = findings_of(&c, rule) == 1 && others_than(&c, rule) == 0;
    if (!fits) {
        fprintf(stderr, "%s: wanted one finding, of %s\n", path_of(rule, "bad"),
                rule_table[rule].name);
        show_compiled(&c);
    }
    compile_free(&c);
    return fits;
}

static bool good_keeps(enum rule_id rule)
{
    struct compilation c;
    compile(&c, path_of(rule, "good"), (struct compile_options){0});
    uint32_t waived = c.diag.waived + findings_of(&c, R_PLATE_NEEDED);
    bool fits =
        worse_than_notes(&c) == 0 && findings_of(&c, rule) == 0 && c.diag.findings.n == waived;
    if (!fits) {
        fprintf(stderr, "%s: wanted no finding\n", path_of(rule, "good"));
        show_compiled(&c);
    }
    compile_free(&c);
    return fits;
}

static void every_rule_has_its_plans(void **state)
{
    (void)state;
    unsigned missing = 0;
    for (int rule = 0; rule < RULE_COUNT; rule++)
        for (int good = 0; good < 2; good++)
            if (!exists(path_of(rule, good ? "good" : "bad"))) {
                fprintf(stderr, "there is no %s\n", path_of(rule, good ? "good" : "bad"));
                missing++;
            }
    assert_int_equal(missing, 0);
}

static void every_plan_has_its_rule(void **state)
{
    (void)state;
    unsigned strangers = 0;
    glob_t found;
    assert_int_equal(glob("tests/rules/*.bay", 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        char name[256];
        snprintf(name, sizeof name, "%s", found.gl_pathv[i] + strlen("tests/rules/"));
        *strchr(name, '.') = '\0';
        if (rule_named(name) == RULE_COUNT) {
            fprintf(stderr, "%s: there is no such rule\n", found.gl_pathv[i]);
            strangers++;
        }
    }
    globfree(&found);
    assert_int_equal(strangers, 0);
}

static void bad_plans_give_one_finding(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (int rule = 0; rule < RULE_COUNT; rule++)
        wrong += exists(path_of(rule, "bad")) && !bad_breaks(rule);
    assert_int_equal(wrong, 0);
}

static void good_plans_give_none(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (int rule = 0; rule < RULE_COUNT; rule++)
        wrong += exists(path_of(rule, "good")) && !good_keeps(rule);
    assert_int_equal(wrong, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rule_has_its_plans),
        cmocka_unit_test(every_plan_has_its_rule),
        cmocka_unit_test(bad_plans_give_one_finding),
        cmocka_unit_test(good_plans_give_none),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
