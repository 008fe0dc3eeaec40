/* Each rule has two plans in tests/rules, NAME.bad.bay and NAME.good.bay: the one gives exactly one
 * finding, of that rule, and nothing else worse than a note; the other none, but for the count of
 * plates that even a good notch wants. Run from the top of the tree. */
#include "compiled.h"
#include "rules/check.h"

#include <glob.h>

static bool exists(const char *path)
{
    return access(path, R_OK) == 0;
}

static const char *path_of(const struct rule *rule, const char *which)
{
    static char path[256];
    snprintf(path, sizeof path, "tests/rules/%s.%s.bay", rule->name, which);
    return path;
}

static unsigned worse_than_notes(const struct compilation *c)
{
    return c->diag.counts[ERROR] + c->diag.counts[WARNING];
}

/* Findings of other rules that are worse than a note. */
static unsigned others_than(const struct compilation *c, const struct rule *rule)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        n += f->rule != rule && f->severity != NOTE && !f->waived;
    }
    return n;
}

static bool bad_breaks(const struct rule *rule)
{
    struct compilation c;
    compile(&c, path_of(rule, "bad"), (struct compile_options){.library = plan_library()});
    bool fits = findings_of(&c, rule->name) == 1 && others_than(&c, rule) == 0;
    if (!fits) {
        fprintf(stderr, "%s: wanted one finding, of %s\n", path_of(rule, "bad"), rule->name);
        show_compiled(&c);
    }
    compile_free(&c);
    return fits;
}

static bool good_keeps(const struct rule *rule)
{
    struct compilation c;
    compile(&c, path_of(rule, "good"), (struct compile_options){.library = plan_library()});
    uint32_t waived = c.diag.waived + findings_of(&c, "plate-needed");
    bool fits = worse_than_notes(&c) == 0 && findings_of(&c, rule->name) == 0 &&
                c.diag.findings.n == waived;
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
    for (uint32_t i = 0; i < rule_count; i++)
        for (int good = 0; good < 2; good++)
            if (!exists(path_of(rule_list[i], good ? "good" : "bad"))) {
                fprintf(stderr, "there is no %s\n", path_of(rule_list[i], good ? "good" : "bad"));
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
        if (!rule_named(name)) {
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
    for (uint32_t i = 0; i < rule_count; i++)
        wrong += exists(path_of(rule_list[i], "bad")) && !bad_breaks(rule_list[i]);
    assert_int_equal(wrong, 0);
}

static void good_plans_give_none(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (uint32_t i = 0; i < rule_count; i++)
        wrong += exists(path_of(rule_list[i], "good")) && !good_keeps(rule_list[i]);
    assert_int_equal(wrong, 0);
}

/* --- checks speak of the rules that they name ------------------------------------------------ */

static bool speaks_of(const struct check *check, const struct rule *rule)
{
    bool speaks = check->rule == rule;
    for (int i = 0; i < CHECK_SPEAKS_OF; i++)
        speaks = speaks || check->with[i] == rule;
    return speaks;
}

/* How many findings of one check are of a rule that it does not name. */
static unsigned strangers_of(const struct check *check, struct compilation *c)
{
    unsigned strangers = 0;
    struct checked checked = compile_checked(c);
    uint32_t before = c->diag.findings.n;
    rules_run_check(&checked, check);
    for (uint32_t i = before; i < c->diag.findings.n; i++) {
        const struct rule *rule = c->diag.findings.at[i].rule;
        if (!speaks_of(check, rule) && rule != rule_of("library-incomplete")) {
            print_error("the check of %s speaks of %s too\n", check->rule->name, rule->name);
            strangers++;
        }
    }
    return strangers;
}

static void checks_speak_of_their_rules_alone(void **state)
{
    (void)state;
    unsigned strangers = 0;
    for (uint32_t i = 0; i < rule_count; i++) {
        struct compilation c;
        compile(&c, path_of(rule_list[i], "bad"),
                (struct compile_options){.library = plan_library()});
        for (uint32_t k = 0; k < check_count && c.model; k++)
            strangers += strangers_of(check_list[k], &c);
        compile_free(&c);
    }
    assert_int_equal(strangers, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_rule_has_its_plans),
        cmocka_unit_test(every_plan_has_its_rule),
        cmocka_unit_test(bad_plans_give_one_finding),
        cmocka_unit_test(good_plans_give_none),
        cmocka_unit_test(checks_speak_of_their_rules_alone),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
