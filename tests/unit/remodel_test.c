/* What somebody meets who works on part of an old house: one slip is told once, each line of a
 * multiwire circuit is a circuit of its own, and a target of the drop asks for what is there. */
#include "compiled.h"

static const char *shed(const char *boxes, const char *rest)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; corner 0', 0'; size "
             "60' by 10'\n%s }\npanel P { existing; in shed south at 30' up 5'; main 200 A; spaces "
             "20 }\n%s",
             boxes, rest);
    return text;
}

static void count(const char *rule, unsigned n, const char *boxes, const char *rest)
{
    struct compilation c;
    compile_text(&c, shed(boxes, rest));
    if (findings_of(&c, rule) != n)
        show_compiled(&c);
    assert_int_equal(findings_of(&c, rule), n);
    compile_free(&c);
}

/* 210.4(A): a multiwire circuit may be taken for several. 12.5 A on a 15 A receptacle are too much
 * beside others (210.21(B)(2)), and 11.7 A fastened in place beside receptacles (210.23(B)). */
static void each_line_is_a_circuit(void **state)
{
    (void)state;
    static const char circuit[] = "circuit P.1 \"Bench west\" { breaker 20 A two-pole gfci; "
                                  "multiwire; run P -> shed.A -> B }\n";
    static const struct {
        const char *a, *b;
        unsigned shares;
    } cases[] = {
        {"microwave pole a", "receptacle pole b; receptacle pole b", 0},
        {"microwave pole b", "receptacle pole b; receptacle pole b", 1},
        {"microwave pole b", "receptacle pole a", 0},
        {"microwave pole a", "receptacle { half pole a; half pole b }", 1},
        {"dishwasher 1400 W pole a", "receptacle pole b", 0},
        {"dishwasher 1400 W pole b", "receptacle pole b", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char boxes[300];
        snprintf(boxes, sizeof boxes, "box A west at 4' { %s }\nbox B west at 7' { %s }",
                 cases[i].a, cases[i].b);
        count("appliance-share", cases[i].shares, boxes, circuit);
    }
}

/* The receptacle beside an appliance is the one that it plugs into: that is the slip, and all of
 * it.
 */
static void appliance_beside_its_receptacle_is_one_slip(void **state)
{
    (void)state;
    struct compilation c;
    static const char circuit[] =
        "circuit P.1 \"Bench west\" { breaker 20 A gfci; run P -> shed.A }\n";
    compile_text(&c, shed("box A west at 4' { receptacle-20; microwave }", circuit));
    assert_int_equal(findings_of(&c, "appliance-beside-receptacle"), 1);
    assert_int_equal(c.diag.findings.n, 1);
    compile_free(&c);
    count("appliance-share", 1,
          "box A west at 4' { receptacle-20; microwave }\nbox B west at 8' { receptacle }",
          "circuit P.1 \"Bench west\" { breaker 20 A gfci; run P -> shed.A -> B }\n");
}

/* A waiver finds nothing while what it names has an error, or could not be read. */
static void waiver_waits_for_what_hides_its_finding(void **state)
{
    (void)state;
    static const char boxes[] = "box A west at 4' { receptacle }\nbox B west at 7' { receptacle }";
    static const struct {
        const char *runs;
        unsigned stale;
    } cases[] = {
        {"run P -> shed.A -> B", 1},
        {"run P -> shed.A cable 14/2; run shed.A -> B", 0},
        {"run P -> shed.A; run shed.A -> nope", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char rest[400];
        snprintf(rest, sizeof rest,
                 "circuit P.1 \"Bench west\" { breaker 20 A gfci; %s }\nwaive phase-imbalance in "
                 "circuit P.1 because \"x\"\n",
                 cases[i].runs);
        count("stale-waiver", cases[i].stale, boxes, rest);
    }
}

/* The mend of a door that two rooms write is one that can be written. */
static void mend_of_a_door_fits_its_wall(void **state)
{
    (void)state;
    static const struct {
        const char *there, *mend;
    } cases[] = {{"size 8' by 20'; door west at 7' wide 3'", "door west at 9' wide 3'"},
                 {"size 8' by 10'; door west at 7' wide 3'", "reaches past the end"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[600];
        snprintf(
            text, sizeof text,
            "plan \"T\" { edition nec-2023 }\nroom k { kind workshop; corner 0', 0'; size 12' "
            "by 20'; door east at 8' wide 3' }\nroom h { kind storage; corner 12'-4 1/2\", 0'; "
            "%s }\n",
            cases[i].there);
        struct compilation c;
        compile_text(&c, text);
        const struct finding *f = finding_of(&c, "openings-disagree", 0);
        assert_non_null(f);
        assert_int_equal(findings_of(&c, "openings-disagree"), 1);
        if (!strstr(f->mend, cases[i].mend))
            fprintf(stderr, "%s\n", f->mend);
        assert_non_null(strstr(f->mend, cases[i].mend));
        compile_free(&c);
    }
}

/* Common trade practice: what a new piece may lose hangs on the old cable before it. */
static void drop_asks_for_the_cable_that_is_there(void **state)
{
    (void)state;
    static const char boxes[] = "box R0 north at 40' { existing; type nail-on-1g-20; holds 2 of "
                                "14; grounds 1; receptacle }\n"
                                "box R1 north at 50' { existing; type nail-on-1g-20; holds 2 of "
                                "14; grounds 1; receptacle }\n"
                                "box R2 north at 58' { receptacle-gfci }";
    static const struct {
        const char *clauses;
        unsigned asked;
    } cases[] = {
        {"drop 3 %; run P -> shed.R0 -> R1 cable 14/2; run shed.R1 -> R2 existing no", 0},
        {"drop 3 %; run P -> shed.R0; run shed.R0 -> R1 cable 14/2; run shed.R1 -> R2 existing no",
         1},
        {"run P -> shed.R0; run shed.R0 -> R1 cable 14/2; run shed.R1 -> R2 existing no", 0},
        {"drop 3 %; run P -> shed.R0 cable unknown; run shed.R0 -> R1 cable 14/2; run shed.R1 -> "
         "R2 "
         "existing no",
         0},
        {"drop 3 %; run P -> shed.R1 cable 14/2; run shed.R1 -> R2 existing no; run P -> shed.R0",
         0},
        {"drop 3 %; run shed.R1 -> R2", 1},
        {"drop 3 %; upstream 40' of 14; run shed.R1 -> R2", 0},
        {"run shed.R1 -> R2", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char rest[300];
        snprintf(rest, sizeof rest,
                 "circuit P.5 \"Bench at the end\" { existing; breaker 15 A; %s }\n",
                 cases[i].clauses);
        count("existing-unknown", cases[i].asked, boxes, rest);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_line_is_a_circuit),
        cmocka_unit_test(appliance_beside_its_receptacle_is_one_slip),
        cmocka_unit_test(waiver_waits_for_what_hides_its_finding),
        cmocka_unit_test(mend_of_a_door_fits_its_wall),
        cmocka_unit_test(drop_asks_for_the_cable_that_is_there),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
