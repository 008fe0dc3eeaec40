/* What old feeders are asked, and what the lists of the shop say. NFPA 70 250.53(A)(2): two rods,
 * or one that is measured (recalled). */
#include "compiled.h"

#include "cmd/cmd.h"
#include "emit/reports/reports.h"

/* --- old feeders -------------------------------------------------------------------------- */

static const char fed[] =
    "plan \"Shed\" { edition nec-2023; supply 120/240 V }\n"
    "room shed { kind workshop; size 12' by 10'\n"
    "  box R1 east at 6' { receptacle-gfci } }\n"
    "panel M { existing; in shed north at 4' up 5'; main 100 A; spaces 20 }\n"
    "panel Q { existing; in shed south at 4' up 5'; bus 100 A; spaces 20\n"
    "  feeder from M space 2 %s }\n"
    "circuit Q.3 \"Bench\" { %s breaker 20 A; run Q -> shed.R1 cable 12/2 }\n";

/* An old feeder is asked what it is where a new circuit hangs on it, and else not. */
static void an_old_feeder_is_asked_for_a_new_circuit(void **state)
{
    (void)state;
    static const struct {
        const char *feeder, *circuit;
        unsigned asked;
    } cases[] = {
        {"", "", 2},
        {"breaker 60 A", "", 1},
        {"cable 6/3", "", 1},
        {"cable 6/3 breaker 60 A", "", 0},
        {"cable unknown breaker unknown", "", 0},
        {"", "existing;", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[2000];
        struct compilation c;
        snprintf(text, sizeof text, fed, cases[i].feeder, cases[i].circuit);
        compile_text(&c, text);
        if (findings_of(&c, "existing-unknown") != cases[i].asked)
            show_compiled(&c);
        assert_int_equal(findings_of(&c, "existing-unknown"), cases[i].asked);
        compile_free(&c);
    }
}

/* --- lists -------------------------------------------------------------------------------- */

static const char apart[] =
    "plan \"Shed\" { edition nec-2023; supply 120/240 V }\n"
    "room hall { kind storage; corner 0', 0'; size 10' by 10'\n"
    "  box R1 east at 4' { refrigerator }\n"
    "  box R2 east at 6' { receptacle-gfci; switch leg lamp }\n"
    "  box L1 overhead at 5', 5' { luminaire leg lamp } }\n"
    "room shed { kind workshop; corner 30', 0'; size 12' by 10'\n"
    "  box R3 east at 6' { receptacle-gfci } }\n"
    "building shed { rooms shed; %s }\n"
    "panel M { in hall north at 4' up 5'; main 100 A; spaces 20 }\n"
    "panel Q { %s in shed south at 4' up 5'; main 60 A; spaces 20; feeder from M cable 6/3-uf "
    "breaker 60 A underground 24\" }\n"
    "circuit Q.3 \"Bench\" { breaker 20 A; run Q -> shed.R3 }\n"
    "circuit M.3 \"Hall\" { breaker 20 A dual-function; run M -> hall.R1 -> R2 -> L1 }\n";

static const char *listed(struct compilation *c, const char *report, enum report_format format)
{
    struct results r;
    struct buf out = {0};
    assert_true(cmd_results(c, &r));
    report_write(report_named(report), &r, format, &out);
    const char *text = arena_copy(&c->arena, out.at, out.n);
    buf_free(&out);
    return text;
}

/* A new building that has an electrode gets its rods and their clamps; one that stands there with
 * its panel has them, and of one that has none nothing is bought. */
static void the_rods_of_an_electrode_are_bought(void **state)
{
    (void)state;
    static const struct {
        const char *building, *panel;
        bool bought;
    } cases[] = {{"electrode", "", true}, {"electrode", "existing;", false}, {"", "", false}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[2000];
        struct compilation c;
        snprintf(text, sizeof text, apart, cases[i].building, cases[i].panel);
        compile_text(&c, text);
        const char *materials = listed(&c, "materials", REPORT_CSV),
                   *told = listed(&c, "materials", REPORT_TEXT);
        assert_int_equal(strstr(materials, "\r\nground rod,2,each,,\r\n") != NULL, cases[i].bought);
        assert_int_equal(strstr(materials, "\r\nground rod clamp,2,each,,\r\n") != NULL,
                         cases[i].bought);
        assert_int_equal(strstr(told, "to its ground rods is not listed") != NULL, cases[i].bought);
        compile_free(&c);
    }
}

/* A plate is told by what its openings take, not by the names of the library; data keep the names.
 */
static void plates_are_told_in_words(void **state)
{
    (void)state;
    char text[2000];
    struct compilation c;
    snprintf(text, sizeof text, apart, "electrode", "");
    compile_text(&c, text);
    const char *told = listed(&c, "trim", REPORT_TEXT), *data = listed(&c, "trim", REPORT_CSV);
    assert_non_null(strstr(told, "2-gang: GFCI receptacle, switch "));
    assert_non_null(strstr(told, "1-gang: receptacle for a plug "));
    assert_null(strstr(told, "1-gang: refrigerator"));
    assert_non_null(strstr(data, "\"2-gang: receptacle-gfci, switch\""));
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(an_old_feeder_is_asked_for_a_new_circuit),
        cmocka_unit_test(the_rods_of_an_electrode_are_bought),
        cmocka_unit_test(plates_are_told_in_words),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
