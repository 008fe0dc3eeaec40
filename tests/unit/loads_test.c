/* Connected loads and voltage drop, against worked examples that are published, and the resistance
 * tables against the physics of the wire. */
#include "compiled.h"
#include "loads/loads.h"
#include "wiring/wiring.h"

/* A shed with a panel; `room` its boxes, `rest` its circuits and what else stands at the top of a
 * plan. */
static void shed(struct compilation *c, const char *room, const char *rest)
{
    struct buf b = {0};
    buf_printf(&b,
               "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n%s "
               "}\npanel P { in shed south at 7' up 5'; main 200 "
               "A; spaces 20 }\n%s",
               room, rest);
    compile_sound(c, buf_text(&b));
    buf_free(&b);
}

static const struct drop *drop_of(const struct compilation *c, const char *circuit, const char *box)
{
    for (uint32_t i = 0; i < c->loads->drops.n; i++) {
        const struct drop *d = &c->loads->drops.at[i];
        if (!strcmp(d->circuit->name, circuit) && !strcmp(d->box->name, box))
            return d;
    }
    fprintf(stderr, "no drop at %s of circuit %s\n", box, circuit);
    fail();
    return NULL;
}

static const struct circuit_load *load_of(const struct compilation *c, const char *circuit)
{
    for (uint32_t i = 0; i < c->model->circuits.n; i++)
        if (c->model->circuits.at[i]->name && !strcmp(c->model->circuits.at[i]->name, circuit))
            return &c->loads->of_circuit[i];
    fail();
    return NULL;
}

/* "Voltage Drop Practice Questions", question 3: 120 V, 16 A, 100 ft, 12 AWG solid by Table 8 (1.93
 * ohm/kft): 6.2 V, printed to a tenth. https://www.voltexam.com/questions/electrician/voltage-drop
 */
static void drop_of_solid_wire_as_published(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "box R1 west at 2' { receptacle 1920 VA }",
         "circuit P.1 { breaker 20 A; run P -> shed.R1 cable 12/2 length 100' }\n");
    const struct drop *d = drop_of(&c, "1", "R1");
    assert_near(d->volts, 6.2, 0.05);
    assert_near(d->amps, 16, 1e-9);
    assert_near(d->feet, 100, 1e-9);
    compile_free(&c);
}

/* The same circuit with a target: by Table 8 solid (1.93, 1.21 and 0.764 ohm/kft) it
 * loses 5.15, 3.2 and 2.0 % in 12, 10 and 8 AWG. No receptacle takes 8 AWG (110.14(A)), and the
 * ground of 8/2 as it is sold is 10 AWG where 250.122(B) wants 8. */
static void cables_are_enlarged_to_a_target(void **state)
{
    (void)state;
    static const struct {
        const char *clause, *cable, *chosen;
        unsigned warned;
    } cases[] = {{"", "", "12/2", 1},
                 {"drop 5.2 %; ", "", "12/2", 0},
                 {"drop 5 %; ", "", "10/2", 0},
                 {"drop 3 %; ", "", "10/2", 1},
                 {"drop 2 %; ", "", "10/2", 1},
                 {"drop 3 %; ", " cable 12/2", "12/2", 1},
                 {"drop 0.1 %; ", "", "10/2", 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char rest[300];
        snprintf(rest, sizeof rest,
                 "circuit P.1 { breaker 20 A; %srun P -> shed.R1%s length 100' }\n",
                 cases[i].clause, cases[i].cable);
        shed(&c, "box R1 west at 2' { receptacle 1920 VA }", rest);
        assert_string_equal(c.wiring->of_run[0].cable->name, cases[i].chosen);
        assert_int_equal(findings_of(&c, "voltage-drop"), cases[i].warned);
        compile_free(&c);
    }
}

static const char stranded[] = "amend nec-2023 because \"stranded conductors, as in the example\" "
                               "{ table resistance-copper { solid-to 14 } }\n";

/* "Trades math: wire sizing and voltage drop": 20 A, 100 ft, 12 AWG at 1.98 ohm/kft (Table 8,
 * stranded): 7.92 V, 6.6 % of 120 V, 3.3 % of 240 V.
 * https://www.fatskills.com/journalism/chapter/consumer-math-wire-sizing-and-voltage-drop-awg-resistance-per-1000-ft-max-drop
 */
static void drop_of_stranded_wire_as_published(void **state)
{
    (void)state;
    struct compilation c;
    char rest[600];
    snprintf(rest, sizeof rest,
             "%scircuit P.1 { breaker 20 A; run P -> shed.R1 cable 12/2 length 100' }\ncircuit P.2 "
             "{ breaker 20 A two-pole; run P -> shed.R2 cable "
             "12/2 length 100' }\n",
             stranded);
    shed(
        &c,
        "box R1 west at 2' { receptacle 2400 VA }\nbox R2 west at 5' { receptacle-240-20 4800 VA }",
        rest);
    const struct drop *d = drop_of(&c, "1", "R1"), *two = drop_of(&c, "2", "R2");
    assert_near(d->volts, 7.92, 0.005);
    assert_near(d->percent, 6.6, 0.005);
    assert_near(two->volts, 7.92, 0.005);
    assert_near(two->percent, 3.3, 0.005);
    compile_free(&c);
}

/* Examples that reckon with other resistances than Table 8 has for solid wire: an amendment says
 * them. Table 9 (alternating current, in conduit) and K = 12.9 ohm for a circular mil and
 * foot, 12.9 / 6530 and 12.9 / 16,510. "Voltage Drop & Ohm's Law lesson": 120 V, 20 A, 100 ft: 7.9
 * V and 6.6 % in 12 AWG, 3.1 V and 2.6 % in 8 AWG.
 * https://tradelicenseprep.com/nc-sp-ph-prep/calc-voltage-drop "Voltage Drop Calculations 1": 115
 * V, 16 A, 50 ft of 10 AWG at 1.2 ohm/kft: 1.92 V; 120 V, 8 A, 100 ft of 12 AWG at 2.0 ohm/kft: 3.2
 * V.
 * http://electricianpracticetests.com/national-electrical-code-questions/voltage-drop-calculations-1-nec-code-questions/
 */
static void drops_by_other_tables_as_published(void **state)
{
    (void)state;
    static const struct {
        const char *supply, *row, *cable;
        int va, feet;
        double volts, percent, exact;
    } examples[] = {
        {"120/240 V", "12, 1.9755 ohm/kft, 1.9755 ohm/kft, 6.53 kcmil", "12/2", 2400, 100, 7.9, 6.6,
         0.05},
        {"120/240 V", "8, 0.7813 ohm/kft, 0.7813 ohm/kft, 16.51 kcmil", "8/2", 2400, 100, 3.1, 2.6,
         0.05},
        {"115/230 V", "10, 1.2 ohm/kft, 1.2 ohm/kft, 10.38 kcmil", "10/2", 1840, 50, 1.92, 1.67,
         0.005},
        {"120/240 V", "12, 2.0 ohm/kft, 2.0 ohm/kft, 6.53 kcmil", "12/2", 960, 100, 3.2, 2.67,
         0.005},
    };
    for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
        struct compilation c;
        char text[1000];
        snprintf(text, sizeof text,
                 "plan \"Shed\" { edition nec-2023; supply %s }\nroom shed { kind workshop; size "
                 "14' by 10'\nbox R1 west at 2' { receptacle %d VA }\n}\n"
                 "panel P { in shed south at 7' up 5'; main 200 A; spaces 20 }\namend trade "
                 "because \"the example's supply\" { list supplies { %s } }\namend nec-2023 "
                 "because \"the example's resistance\" { table resistance-copper { %s } }\n"
                 "circuit P.1 { breaker 20 A; run P -> shed.R1 cable %s length %d' }\n",
                 examples[i].supply, examples[i].va,
                 strcmp(examples[i].supply, "120/240 V") ? examples[i].supply : "", examples[i].row,
                 examples[i].cable, examples[i].feet);
        compile_text(&c, text);
        const struct drop *d = drop_of(&c, "1", "R1");
        assert_near(d->volts, examples[i].volts, examples[i].exact);
        assert_near(d->percent, examples[i].percent, examples[i].exact);
        compile_free(&c);
    }
}

/* A supply that no dwelling has is told at its clause, and nothing is reckoned with it. The nominal
 * voltages of dwellings: common trade practice. */
static void the_supply_is_one_that_there_is(void **state)
{
    (void)state;
    static const struct {
        const char *clause;
        unsigned findings;
    } cases[] = {{"", 0},
                 {"supply 120/240 V", 0},
                 {"supply 240/120 V", 1},
                 {"supply 0 V", 1},
                 {"supply 24 V", 1},
                 {"supply 277/480 V", 1},
                 {"supply 240 V", 1},
                 {"supply 120/208 V", 1},
                 {"supply 120 V", 1},
                 {"supply 0/240 V", 1},

                 {"supply 120/240000 V", 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char text[1000];
        snprintf(text, sizeof text, "plan \"Shed\" { edition nec-2023; %s }\n", cases[i].clause);
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "limit"), cases[i].findings);
        if (cases[i].findings) {
            assert_non_null(strstr(finding_of(&c, "limit", 0)->mend, "'supply 120/240 V'"));
            assert_int_equal(finding_of(&c, "limit", 0)->span.len, strlen(cases[i].clause));
        }
        assert_near(c.model->volts, 120, 1e-9);
        assert_near(c.model->line_volts, 240, 1e-9);
        compile_free(&c);
    }
}

/* "Voltage Drop Calculations 1": 5 % of 120 V leaves 114 V at the load, 5 % of 240 V leaves 228 V.
 * http://electricianpracticetests.com/national-electrical-code-questions/voltage-drop-calculations-1-nec-code-questions/
 */
static void five_percent_leaves_as_published(void **state)
{
    (void)state;
    struct compilation c;
    shed(
        &c,
        "box R1 west at 2' { receptacle 1200 VA }\nbox R2 west at 5' { receptacle-240-20 2400 VA }",
        "circuit P.1 { breaker 20 A; run P -> shed.R1 cable 12/2 length 155' }\ncircuit P.2 { "
        "breaker 20 A two-pole; run P -> shed.R2 cable 12/2 "
        "length 310' }\n");
    const struct drop *d = drop_of(&c, "1", "R1"), *two = drop_of(&c, "2", "R2");
    assert_near(120 - d->volts * 5 / d->percent, 114, 1e-9);
    assert_near(240 - two->volts * 5 / two->percent, 228, 1e-9);
    compile_free(&c);
}

/* Ohm for 1000 ft at 75 C from the diameter of the size (ASTM B258), the conductivity of the metal
 * (IACS: IEC 60028; aluminium at 61 %) and its coefficient; stranded wire is 2 % longer than its
 * cable. */
static double resistance_by_physics(int gauge, enum metal metal, bool strands)
{
    double inches = 0.005 * pow(92, (36 - gauge) / 39.0), mils = pow(1000 * inches, 2);
    double at_20 = metal == COPPER ? 10.371 : 10.371 * 0.028264 / 0.017241,
           coefficient = metal == COPPER ? 0.00393 : 0.00403;
    return 1000 * at_20 * (1 + 55 * coefficient) / mils * (strands ? 1.02 : 1);
}

static unsigned compare_table(struct compilation *c, enum metal metal,
                              const struct resistance_column *solid,
                              const struct resistance_column *stranded)
{
    unsigned compared = 0;
    struct code *code = &c->model->code;
    const struct table *t = code_table(code, solid->is.table);
    assert_non_null(t);
    for (uint32_t i = 0; i < t->rows.n; i++)
        for (int strands = 0; strands < 2; strands++) {
            double got = code_row_resistance(code, strands ? stranded : solid, i, 0);
            if (got <= 0)
                continue;
            double want =
                resistance_by_physics(library_gauge_of(t->rows.at[i].key), metal, strands);
            assert_near(got, want, 0.005 * got);
            compared++;
        }
    return compared;
}

static void tables_agree_with_physics(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "box R1 west at 2' { receptacle }",
         "circuit P.1 { breaker 20 A; run P -> shed.R1 }\n");
    assert_true(compare_table(&c, COPPER, COL_RESISTANCE_COPPER_SOLID,
                              COL_RESISTANCE_COPPER_STRANDED) >= 20);
    assert_true(compare_table(&c, ALUMINIUM, COL_RESISTANCE_ALUMINIUM_SOLID,
                              COL_RESISTANCE_ALUMINIUM_STRANDED) >= 20);
    /* solid to 10 AWG, stranded above */
    assert_near(resistance_of_cable(c.model, library_cable(&c.lib, names_of(&c.names, "10/2"))),
                1.21, 1e-9);
    assert_near(resistance_of_cable(c.model, library_cable(&c.lib, names_of(&c.names, "8/2"))),
                0.778, 1e-9);
    compile_free(&c);
}

static void loads_add_up_along_the_runs(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c,
         "box R1 west at 2' { receptacle 600 VA }\nbox R2 west at 5' { receptacle 360 VA }\nbox R3 "
         "west at 8' { receptacle 240 VA }",
         "circuit P.1 { breaker 20 A; cable 12/2; run P -> shed.R1 length 40'; run shed.R1 -> R2 "
         "length 20'; run shed.R1 -> R3 length 30' }\n");
    const struct circuit_load *l = load_of(&c, "1");
    assert_near(l->va, 1200, 1e-9);
    assert_near(l->amps, 10, 1e-9);
    double first = 2 * 0.04 * 1.93 * 10;
    assert_near(drop_of(&c, "1", "R1")->volts, first, 1e-9);
    assert_near(drop_of(&c, "1", "R2")->volts, first + 2 * 0.02 * 1.93 * 3, 1e-9);
    assert_near(drop_of(&c, "1", "R3")->volts, first + 2 * 0.03 * 1.93 * 2, 1e-9);
    assert_near(drop_of(&c, "1", "R3")->feet, 70, 1e-9);
    compile_free(&c);
}

/* 210.20(A): continuous loads count at 125 %. A baseboard heater of 3000 W at 240 V: 12.5 A, 15.625
 * A. */
static void continuous_loads_count_more(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "box H1 west at 5' { baseboard 3000 W }",
         "circuit P.1 { breaker 20 A two-pole; run P -> shed.H1 }\n");
    assert_near(load_of(&c, "1")->amps, 12.5, 1e-9);
    assert_near(load_of(&c, "1")->needed_amps, 15.625, 1e-9);
    assert_near(load_of(&c, "1")->continuous_va, 3000, 1e-9);
    compile_free(&c);
}

/* On a multiwire circuit the neutral carries the difference: line a loses its own current's drop
 * and the difference's. */
static void multiwire_neutral_carries_the_difference(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c,
         "box R1 west at 2' { receptacle pole a 1200 VA }\nbox R2 west at 5' { receptacle pole b "
         "720 VA }",
         "circuit P.1 { multiwire; breaker 20 A two-pole; run P -> shed.R1 cable 12/3 length 100'; "
         "run shed.R1 -> R2 cable 12/3 length 10' }\n");
    double ohm = 0.1 * 1.93;
    assert_near(load_of(&c, "1")->amps, 10, 1e-9);
    assert_near(drop_of(&c, "1", "R1")->volts, ohm * (10 + 4), 1e-9);
    assert_near(drop_of(&c, "1", "R2")->volts, ohm * (6 - 4) + 2 * 0.01 * 1.93 * 6, 1e-9);
    compile_free(&c);
}

static void feeder_and_branch_add_up(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "box R1 west at 2' { receptacle 1440 VA }",
         "panel Q { in shed north at 7' up 5'; bus 100 A; spaces 8; feeder from P cable 6/3 "
         "breaker 50 A length 100' }\n"
         "circuit Q.1 { breaker 15 A; run Q -> shed.R1 cable 14/2 length 50' }\n");
    /* 6 AWG stranded, 0.491 ohm/kft; 12 A on one line, back through the neutral */
    double feeder = 100 * 2 * 0.1 * 0.491 * 12 / 120, branch = 100 * 2 * 0.05 * 3.07 * 12 / 120;
    const struct drop *d = drop_of(&c, "1", "R1");
    assert_near(d->feeder_percent, feeder, 1e-9);
    assert_near(d->percent, branch, 1e-9);
    assert_near(d->total_percent, feeder + branch, 1e-9);
    compile_free(&c);
}

/* Ohm's law on three wires: 12 A on line A and 6 A on line B leave 6 A in the neutral. Line A to
 * neutral loses R (12 + 6), line B R (6 - 6), between the lines R (12 + 6), of 120, 120 and 240 V.
 */
static void feeder_lines_are_reckoned_each_for_itself(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c,
         "box R1 west at 2' { receptacle 1440 VA }\nbox R2 west at 4' { receptacle 720 VA }\n"
         "box H1 west at 6' { heater 0.001 W }",
         "panel Q { in shed north at 7' up 5'; bus 100 A; spaces 8; feeder from P cable 6/3 "
         "breaker 50 A length 100' }\n"
         "circuit Q.1 { breaker 15 A; space 1; run Q -> shed.R1 }\n"
         "circuit Q.3 { breaker 15 A; space 3; run Q -> shed.R2 }\n"
         "circuit Q.5 { breaker 15 A two-pole; space 5; run Q -> shed.H1 }\n");
    double r = 0.1 * 0.491;
    assert_near(drop_of(&c, "1", "R1")->feeder_percent, 100 * r * 18 / 120, 1e-4);
    assert_near(drop_of(&c, "3", "R2")->feeder_percent, 0, 1e-4);
    assert_near(drop_of(&c, "5", "H1")->feeder_percent, 100 * r * 18 / 240, 1e-4);
    compile_free(&c);
}

static void old_circuits_bring_their_load_and_their_cable(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c,
         "box J overhead at 2', 5' { existing; type octagon-2-1-8-deep; holds 4 of 14; grounds 2 "
         "}\nbox R1 west at 5' { receptacle 240 VA }",
         "circuit P.1 { existing; breaker 15 A; load 360 VA \"stair\"; upstream 50' of 14; run "
         "shed.J -> R1 length 20' }\n");
    const struct drop *d = drop_of(&c, "1", "R1");
    assert_near(load_of(&c, "1")->va, 600, 1e-9);
    assert_near(d->volts, 2 * 0.05 * 3.07 * 5 + 2 * 0.02 * 3.07 * 2, 1e-9);
    assert_near(d->feet, 70, 1e-9);
    compile_free(&c);
}

/* 80 % of the breaker at a receptacle whose load nobody has said: common trade practice, from the
 * library. */
static void design_load_stands_for_what_is_plugged_in(void **state)
{
    (void)state;
    struct compilation c;
    shed(&c, "box R1 west at 2' { receptacle }\nbox R2 west at 5' { receptacle }",
         "circuit P.1 { breaker 20 A; cable 12/2; run P -> shed.R1 length 40'; run shed.R1 -> R2 "
         "length 20' }\n");
    assert_near(drop_of(&c, "1", "R2")->percent, 0, 1e-9);
    assert_near(drop_of(&c, "1", "R2")->design_percent, 100 * 2 * 0.06 * 1.93 * 16 / 120, 1e-9);
    assert_string_equal(c.loads->worst[0]->box->name, "R2");
    compile_free(&c);
}

/* Table 310.16: 6 AWG copper 55, 65 and 75 A at 60, 75 and 90 C; insulation between two columns
 * counts by the lower; where nothing is known, by 110.14(C)(1). */
static void ampacity_is_read_by_the_column_that_is_not_above(void **state)
{
    (void)state;
    static const struct {
        int degrees;
        double amps;
    } cases[] = {{0, 55}, {59, 0}, {60, 55}, {74, 55}, {75, 65}, {85, 65}, {90, 75}, {105, 75}};
    struct compilation c;
    compile_sound(
        &c, "plan \"Empty\" { edition nec-2023 }\nroom a { kind workshop; size 10' by 10' }\n");
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++)
        assert_near(
            code_ampacity(&c.model->code, COPPER, names_of(&c.names, "6"), cases[i].degrees),
            cases[i].amps, 1e-9);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drop_of_solid_wire_as_published),
        cmocka_unit_test(cables_are_enlarged_to_a_target),
        cmocka_unit_test(drop_of_stranded_wire_as_published),
        cmocka_unit_test(drops_by_other_tables_as_published),
        cmocka_unit_test(the_supply_is_one_that_there_is),
        cmocka_unit_test(five_percent_leaves_as_published),
        cmocka_unit_test(tables_agree_with_physics),
        cmocka_unit_test(loads_add_up_along_the_runs),
        cmocka_unit_test(continuous_loads_count_more),
        cmocka_unit_test(multiwire_neutral_carries_the_difference),
        cmocka_unit_test(feeder_and_branch_add_up),
        cmocka_unit_test(feeder_lines_are_reckoned_each_for_itself),
        cmocka_unit_test(old_circuits_bring_their_load_and_their_cable),
        cmocka_unit_test(design_load_stands_for_what_is_plugged_in),
        cmocka_unit_test(ampacity_is_read_by_the_column_that_is_not_above),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
