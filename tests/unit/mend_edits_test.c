/* Mends that can be written: of each rule its bad plan is mended in each way that it offers; the
 * finding goes, no other comes, comments stay, and the text is laid out as before.
 *
 *   mend_edits_test              the test
 *   mend_edits_test --list       which rules offer what */
#include "compiled.h"
#include "diag/edits.h"
#include "mended.h"

/* The rules whose mend wants a decision, or something that is not in the plan: words alone. A rule
 * that is not here offers an edit for its bad plan. */
static const char *const words_alone[] = {
#define WORDS_ALONE(rule, why) rule,
#include "words_alone.def"
#undef WORDS_ALONE
};

static bool has_words_alone(const char *rule)
{
    for (size_t i = 0; i < sizeof words_alone / sizeof *words_alone; i++)
        if (!strcmp(words_alone[i], rule))
            return true;
    return false;
}

static bool compile_bad(struct compilation *c, const struct rule *rule, char *path, size_t size)
{
    snprintf(path, size, "tests/rules/%s.bad.bay", rule->name);
    compile(c, path, (struct compile_options){.library = plan_library()});
    return true;
}

static struct finding *bad_finding(struct compilation *c, const struct rule *rule)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        if (c->diag.findings.at[i].rule == rule)
            return &c->diag.findings.at[i];
    return NULL;
}

static bool each_mend_holds(struct compilation *c, const char *path, struct finding *f)
{
    bool hold = true;
    for (uint32_t i = 0; f && i < f->mends.n; i++) {
        struct buf why = {0};
        struct mended m = mended_by(c, path, NULL, f, &f->mends.at[i], &why);
        bool holds = m.gone && m.no_other && m.comments && m.laid_out;
        if (!holds)
            print_error("%s: %s\n", path, buf_text(&why));
        hold = hold && holds;
        buf_free(&why);
    }
    return hold;
}

static void each_mend_of_each_bad_plan_holds(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (uint32_t i = 0; i < rule_count; i++) {
        struct compilation c;
        char path[256];
        compile_bad(&c, rule_list[i], path, sizeof path);
        wrong += !each_mend_holds(&c, path, bad_finding(&c, rule_list[i]));
        compile_free(&c);
    }
    assert_int_equal(wrong, 0);
}

static void no_rule_loses_its_edit(void **state)
{
    (void)state;
    unsigned wrong = 0, with = 0;
    for (uint32_t i = 0; i < rule_count; i++) {
        struct compilation c;
        char path[256];
        compile_bad(&c, rule_list[i], path, sizeof path);
        const struct finding *f = bad_finding(&c, rule_list[i]);
        bool offers = f && f->mends.n;
        with += offers;
        if (offers == has_words_alone(rule_list[i]->name)) {
            print_error("%s %s\n", rule_list[i]->name,
                        offers ? "offers an edit, and stands in words_alone.def"
                               : "offers no edit for its bad plan");
            wrong++;
        }
        compile_free(&c);
    }
    print_message("%u of %u rules offer edits for their bad plans\n", with, rule_count);
    assert_int_equal(wrong, 0);
}

static void each_name_of_the_table_is_a_rule(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof words_alone / sizeof *words_alone; i++)
        if (!rule_named(words_alone[i]))
            fail_msg("there is no rule %s", words_alone[i]);
}

static void list_offers(void)
{
    for (uint32_t i = 0; i < rule_count; i++) {
        struct compilation c;
        char path[256];
        compile_bad(&c, rule_list[i], path, sizeof path);
        const struct finding *f = bad_finding(&c, rule_list[i]);
        printf("%s: %s\n", rule_list[i]->name, f && f->mend ? f->mend : "-");
        for (uint32_t k = 0; f && k < f->mends.n; k++) {
            printf("    %s%s", f->mends.at[k].safe ? "safe: " : "", f->mends.at[k].words);
            for (uint32_t e = 0; e < f->mends.at[k].edits.n; e++)
                printf(" | %u-%u '%s'", f->mends.at[k].edits.at[e].off,
                       f->mends.at[k].edits.at[e].gone, f->mends.at[k].edits.at[e].text);
            printf("\n");
        }
        compile_free(&c);
    }
}

int main(int argc, char **argv)
{
    if (argc > 1 && !strcmp(argv[1], "--list")) {
        list_offers();
        return 0;
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_mend_of_each_bad_plan_holds),
        cmocka_unit_test(no_rule_loses_its_edit),
        cmocka_unit_test(each_name_of_the_table_is_a_rule),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
