/* Waivers and amendments: what they cover, what is said of them in every report and format, and
 * slips in them. Invented plans; the rules that may not be waived are those of the project's own
 * page. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "emit/sarif.h"

#define HEAD "plan \"Shed\" { edition nec-2023; edition irc-2024 }\n"

/* Two runs, each bored too near the edge of its 2x4 joists (R502.8.1: 2 in. stay on both sides). */
#define SHED                                                                                       \
    "level g { joists 2x4 at 16\" running east }\n"                                                \
    "room a { kind workshop; size 14' by 10'\nbox R1 west at 7' { receptacle }\nbox R2 west at "   \
    "9' { receptacle } }\n"                                                                        \
    "panel P { in a south at 3'; main 60 A; spaces 8 }\n"                                          \
    "circuit P.1 \"Bench\" { breaker 20 A; run P -> a.R1 via overhead\n%s }\n"                     \
    "circuit P.2 \"Saw\" { breaker 20 A; run P -> a.R2 via overhead }\n%s\n"

static void compile_shed(struct compilation *c, const char *inside, const char *behind)
{
    char text[2000];
    snprintf(text, sizeof text, HEAD SHED, inside, behind);
    compile_text(c, text);
}

static unsigned waived(const struct compilation *c, const char *rule)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        n += finding_is(&c->diag.findings.at[i], rule) && c->diag.findings.at[i].waived;
    return n;
}

/* A waiver covers the subject and what stands inside it: a run, its circuit, the panel of the
 * circuit, the plan. */
static void waivers_cover_what_they_name(void **state)
{
    (void)state;
    static const struct {
        const char *inside, *behind;
        unsigned waived, stale;
    } cases[] = {
        {"", "", 0, 0},
        {"", "waive bore-near-edge because \"x\"", 2, 0},
        {"", "waive bore-near-edge in run P -> a.R1 because \"x\"", 1, 0},
        {"", "waive bore-near-edge in circuit P.2 because \"x\"", 1, 0},
        {"waive bore-near-edge because \"x\"", "", 1, 0},
        {"", "waive bore-near-edge in P because \"x\"", 2, 0},
        {"", "waive bore-too-large because \"x\"", 0, 1},
        {"waive bore-near-edge because \"x\"", "waive bore-near-edge because \"y\"", 2, 0},
        {"", "waive bore-near-edge in a.R1 because \"x\"", 0, 1},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        compile_shed(&c, cases[i].inside, cases[i].behind);
        if (waived(&c, "bore-near-edge") != cases[i].waived)
            fprintf(stderr, "case %u\n", i);
        assert_int_equal(findings_of(&c, "bore-near-edge"), 2);
        assert_int_equal(waived(&c, "bore-near-edge"), cases[i].waived);
        assert_int_equal(findings_of(&c, "stale-waiver"), cases[i].stale);
        assert_int_equal(c.diag.counts[ERROR], 2 - cases[i].waived);
        compile_free(&c);
    }
}

/* Conductors, breakers, grounds, colours, protection, alarms and fill are never waived: the waiver
 * is the error, and what it names stays one. */
static void some_rules_are_never_waived(void **state)
{
    (void)state;
    static const char *const rules[] = {
        "conductor-undersized", "breaker-overloaded", "ground-undersized",
        "white-as-return",      "gfci-missing",       "afci-missing",
        "smoke-alarm",          "box-overfilled",     "feeder-undersized",
        "breaker-nonstandard",  "tamper-resistant",   "carbon-monoxide-alarm"};
    for (unsigned i = 0; i < sizeof rules / sizeof *rules; i++) {
        char waive[100];
        struct compilation c;
        snprintf(waive, sizeof waive, "waive %s because \"x\"", rules[i]);
        compile_shed(&c, "", waive);
        const struct finding *f = finding_of(&c, "stale-waiver", 0);
        assert_non_null(f);
        assert_int_equal(f->severity, ERROR);
        assert_non_null(strstr(f->message, "may not be waived"));
        assert_int_equal(c.diag.waived, 0);
        compile_free(&c);
    }
}

static const char exceptions[] =
    "amend nec-2023 because \"town ordinance 12-4\" { table voltage-drop { branch 4 % }; list "
    "gfci-places { without laundry } }\n"
    "waive bore-near-edge in circuit P.1 because \"the engineer's letter\" by \"County "
    "\\\"North\\\"\" on \"2026-03-01\"\n"
    "waive bore-near-edge in circuit P.2 because \"the same\"";

static void every_report_says_them(void **state)
{
    (void)state;
    static const char consent[] = "needs the authority's written consent";
    struct compilation c;
    compile_shed(&c, "", exceptions);
    assert_int_equal(c.diag.counts[ERROR], 0);
    struct results r;
    assert_true(cmd_results(&c, &r));
    for (uint32_t i = 0; i < report_count; i++) {
        static const enum report_format formats[] = {REPORT_TEXT, REPORT_MARKDOWN, REPORT_JSON};
        for (unsigned k = 0; k < 3; k++) {
            struct buf out = {0};
            report_write(&report_table[i], &r, formats[k], &out);
            for (char *p = buf_text(&out) ? out.at : NULL; p && (p = strpbrk(p, "\n")); p++)
                *p = ' ';
            char *text = out.at, *to = text; /* lines are folded: one blank for several */
            for (const char *from = text; *from; from++)
                if (*from != ' ' || from[1] != ' ')
                    *to++ = *from;
            *to = '\0';
            assert_non_null(strstr(text, "town ordinance 12-4"));
            assert_non_null(strstr(text, "gfci-places"));
            assert_non_null(strstr(text, "the engineer's letter"));
            assert_non_null(strstr(text, "2026-03-01"));
            assert_int_equal(strstr(text, consent) != NULL, formats[k] != REPORT_JSON);
            assert_null(strstr(text, "circuit P.1: run")); /* the subject is one thing */
            buf_free(&out);
        }
    }
    compile_free(&c);
}

static void every_format_of_check_says_them(void **state)
{
    (void)state;
    struct compilation c;
    struct buf text = {0}, json = {0}, sarif = {0};
    compile_shed(&c, "", exceptions);
    diag_text(&c.diag, &text, (struct diag_style){0});
    assert_non_null(strstr(buf_text(&text),
                           "waived because the engineer's letter; by County \"North\", "
                           "2026-03-01 (needs the authority's written consent)\n"));
    assert_non_null(
        strstr(text.at, "waived because the same (needs the authority's written consent)\n"));
    diag_json(&c.diag, &json, (struct diag_style){0}, NULL, NULL);
    assert_non_null(strstr(
        buf_text(&json), "\"waived\": true, \"waiver\": {\"because\": \"the engineer's letter\", "
                         "\"by\": \"County \\\"North\\\"\", \"on\": \"2026-03-01\"}, \"related\""));
    assert_non_null(
        strstr(json.at, "\"waiver\": {\"because\": \"the same\", \"by\": null, \"on\": null}"));
    sarif_write(&c.diag, "1", &sarif);
    assert_non_null(
        strstr(buf_text(&sarif),
               "\"justification\": \"the same (needs the authority's written consent)\""));
    buf_free(&text);
    buf_free(&json);
    buf_free(&sarif);
    compile_free(&c);
}

/* Rows are replaced by their key, added, taken away; the amendment of an edition holds for those
 * that are based on it. */
static void amendments_change_row_by_row(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c,
        HEAD "amend irc-2018 because \"county\" { table stud-limits { partition, 40 %, 50 % } }\n"
             "amend nec-2023 because \"town\" { list gfci-places { without laundry }; table "
             "voltage-drop { branch 4 % } }\n"
             "room a { kind workshop; size 14' by 10' }\n");
    assert_int_equal(c.diag.counts[ERROR] + c.diag.counts[WARNING], 0);
    struct code *code = &c.model->code;
    assert_near(code_cell_share(code, COL_STUD_LIMITS_BORE, code_key(code, "partition"), 0), 0.5,
                1e-9);
    assert_near(code_cell_share(code, COL_STUD_LIMITS_BORE, code_key(code, "bearing"), 0), 0.4,
                1e-9);
    assert_false(code_list_has(code, LIST_GFCI_PLACES, "laundry"));
    assert_true(code_list_has(code, LIST_GFCI_PLACES, "bath"));
    assert_near(code_share(code, SET_VOLTAGE_DROP_BRANCH, 0), 0.04, 1e-9);
    assert_true(code_share(code, SET_VOLTAGE_DROP_TOTAL, 0) > 0);
    assert_int_equal(c.model->amendments.n, 2);
    compile_free(&c);
}

static void slips_in_amendments_are_told(void **state)
{
    (void)state;
    static const struct {
        const char *amend, *part;
        const char *rule;
    } cases[] = {
        {"amend nec-2023 because \"x\" { table voltag-drop { branch 4 % } }", "'voltag-drop'",
         "unknown-name"},
        {"amend nec-2023 because \"x\" { without gfci-plces }", "'gfci-plces'", "unknown-name"},
        {"amend nec-2023 because \"x\" { table voltage-drop { brnch 4 % } }", "no such setting",
         "unknown-name"},
        {"amend nec-2023 because \"x\" { list gfci-places { without outdors } }", "no such row",
         "unknown-name"},
        {"amend irc-2024 because \"x\" { table stud-limits { columns wall, bore, notch } }",
         "wall, notch, bore", "syntax"},
        {"amend irc-2024 because \"x\" { table stud-limits { partition, 50 % } }", "3 cells",
         "syntax"},
        {"amend irc-2024 because \"x\" { table stud-limits { partition, 50 %, 2\" } }",
         "this is a length; the table has a share here", "wrong-unit"},
        {"amend irc-2024 because \"x\" { table stud-limits { edge 5 % } }",
         "this is a share; the table has a length here", "wrong-unit"},
        {"amend irc-2024 because \"x\" { table stud-limits { edge 1\"; edge 2\" } }",
         "stands twice", "duplicate-name"},
        {"amend nec-2023 because \"x\" { list dimmers { dimmr } }",
         "'dimmr' cannot stand here: a device", "unknown-name"},
        {"amend nec-2023 because \"x\" { list gfci-places { kitchn } }",
         "'kitchn' cannot stand here: a kind of room", "unknown-name"},
        {"amend nec-2023 because \"x\" { table bath-circuit { covers most } }",
         "one of: all required", "unknown-name"},
        {"edition ours { table box-fil { clamp-allowances 1 } }", "knows no table 'box-fil'",
         "unknown-name"},
        {"amend nec-2024 because \"x\" { }", "'nec-2024'", "unknown-name"},
        {"edition town : nec-2023 { table voltag-drop { branch 4 % } }", "'voltag-drop'",
         "unknown-name"},
    };
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char text[500];
        snprintf(text, sizeof text, HEAD "%s\nroom a { kind workshop; size 14' by 10' }\n",
                 cases[i].amend);
        const struct finding *f = compile_fault(&c, text, cases[i].rule, cases[i].part);
        assert_non_null(f);
        compile_free(&c);
    }
    struct compilation c;
    compile_text(&c, "plan \"T\" { edition nec-2017 }\namend nec-2023 because \"x\" { table "
                     "voltage-drop { branch 4 % } }\nroom a { kind workshop; size 14' by 10' }\n");
    assert_int_equal(findings_of(&c, "unused-definition"), 1);
    assert_int_equal(c.model->amendments.n, 0);
    compile_free(&c);
}

/* What a waiver cannot mean is told once. */
static void slips_in_waivers_are_told_once(void **state)
{
    (void)state;
    static const char *const waivers[] = {"waive bore-too-large in a.R9 because \"x\"",
                                          "waive bore-too-large in circuit P.9 because \"x\"",
                                          "waive bore-too-large in b because \"x\"",
                                          "waive bore-too-larg because \"x\"",
                                          "waive conductor-ampacity because \"x\""};
    for (unsigned i = 0; i < sizeof waivers / sizeof *waivers; i++) {
        struct compilation c;
        compile_shed(&c, "", waivers[i]);
        assert_int_equal(findings_of(&c, "unknown-name"), 1);
        assert_int_equal(findings_of(&c, "stale-waiver"), 0);
        compile_free(&c);
    }
}

/* The statement that a finding names lets it stand: of each rule that may be waived, in the plan
 * that breaks it. */
static void the_statement_told_lets_it_stand(void **state)
{
    (void)state;
    unsigned tried = 0, refused = 0;
    for (uint32_t i = 0; i < rule_count; i++) {
        struct compilation c;
        char path[256];
        snprintf(path, sizeof path, "tests/rules/%s.bad.bay", rule_names[i]);
        struct buf text = {0};
        FILE *f = rule_list[i]->waivable ? fopen(path, "r") : NULL;
        char line[4000];
        while (f && fgets(line, sizeof line, f))
            buf_puts(&text, line);
        if (!f)
            continue;
        fclose(f);
        compile_text(&c, buf_text(&text));
        const struct finding *found = finding_of(&c, rule_names[i], 0);
        const char *told = found ? finding_waive_line(&c.arena, found) : NULL;
        if (told) {
            struct compilation waived;
            buf_printf(&text, "\n%s\n", told);
            compile_text(&waived, buf_text(&text));
            const struct finding *still = finding_of(&waived, rule_names[i], 0);
            if (!still || !still->waived || findings_of(&waived, "stale-waiver")) {
                fprintf(stderr, "%s: '%s' does not let it stand\n", path, told);
                refused++;
            }
            tried++;
            compile_free(&waived);
        }
        compile_free(&c);
        buf_free(&text);
    }
    printf("%u statements tried\n", tried);
    assert_int_equal(refused, 0);
    assert_true(tried > 20);
}

/* The text of findings shows the statement once for a rule, and none where nothing may be waived.
 */
static void the_statement_is_shown_once(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c,
        "plan \"T\" { edition nec-2023 }\n"
        "room a \"A\" { corner 0', 0'; size 12' by 10' }\n"
        "room b \"B\" { corner 0', 20'; size 12' by 10' }\n"
        "room d \"D\" { corner 0', 40'; size 12' by 10'; box R1 north at 4' { receptacle } }\n");
    assert_int_equal(findings_of(&c, "default-kind"), 3);
    assert_int_equal(findings_of(&c, "unfed-box"), 1);
    struct buf out = {0};
    diag_text(&c.diag, &out, (struct diag_style){0});
    const char *one = strstr(buf_text(&out), "to let it stand: waive default-kind in a because");
    assert_non_null(one);
    assert_null(strstr(one + 1, "to let it stand: waive default-kind"));
    assert_null(strstr(buf_text(&out), "waive unfed-box"));
    buf_free(&out);
    compile_free(&c);
}

/* Advice wants nobody's consent; what a stale waiver could be for is named. */
static void advice_wants_no_consent(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"Advice\" { edition nec-2023 }\n"
        "room a \"A\" { kind storage; corner 0', 0'; size 12' by 10'; box S1 north at 3' { switch "
        "leg x } }\nroom b \"B\" { kind storage; corner 0', 20'; size 12' by 10'; box L1 overhead "
        "at 3', 3' { luminaire leg x } }\n"
        "panel P { in a south at 3' up 5'; main 100 A; spaces 12 }\n"
        "circuit P.1 \"Store lights\" { breaker 15 A; run P -> a.S1 -> b.L1 }\n%s";
    struct compilation c;
    struct buf out = {0}, text = {0};
    buf_printf(&text, plan, "waive leg-spans-rooms because \"one light\"\n");
    compile_text(&c, buf_text(&text));
    diag_text(&c.diag, &out, (struct diag_style){0});
    assert_non_null(strstr(buf_text(&out), "waived because one light\n"));
    compile_free(&c);
    text.n = 0;
    buf_printf(&text, plan, "waive leg-spans-rooms in leg y because \"one light\"\n");
    compile_text(&c, buf_text(&text));
    const struct finding *stale = finding_of(&c, "stale-waiver", 0);
    if (stale)
        assert_non_null(strstr(stale->mend, "waive leg-spans-rooms in leg x because"));
    compile_free(&c);
    buf_free(&out);
    buf_free(&text);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_statement_told_lets_it_stand),
        cmocka_unit_test(the_statement_is_shown_once),
        cmocka_unit_test(advice_wants_no_consent),
        cmocka_unit_test(waivers_cover_what_they_name),
        cmocka_unit_test(some_rules_are_never_waived),
        cmocka_unit_test(every_report_says_them),
        cmocka_unit_test(every_format_of_check_says_them),
        cmocka_unit_test(amendments_change_row_by_row),
        cmocka_unit_test(slips_in_amendments_are_told),
        cmocka_unit_test(slips_in_waivers_are_told_once),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
