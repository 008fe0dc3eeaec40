/* The rules beyond what their plans in tests/rules show: limits, editions, nameplates, and what is
 * said only once. Articles of NFPA 70 stand beside each check. */
#include "compiled.h"
#include "wiring/wiring.h"

/* A plan by an edition: a shed with the boxes and circuits that are given. */
static const char *shed_by(const char *edition, const char *boxes, const char *rest)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition %s }\nroom shed { kind workshop; size 14' by 10'\n%s }\n"
             "panel P { in shed south at 7' up 5'; main 200 A; spaces 20 }\n%s",
             edition, boxes, rest);
    return text;
}

static const char *shed(const char *boxes, const char *rest)
{
    return shed_by("nec-2023", boxes, rest);
}

static const char two_receptacles[] =
    "box R1 west at 2' { receptacle }\nbox R2 west at 6' { receptacle }";

static void message_names_run_size_and_breaker(void **state)
{
    (void)state;
    struct compilation c;
    const struct finding *f = compile_fault(
        &c,
        shed(two_receptacles, "circuit P.2 { breaker 20 A; run P -> shed.R1 cable 12/2; run "
                              "shed.R1 -> R2 cable 14/2 }\n"),
        "conductor-undersized",
        "circuit P2 breaker is 20 A, but its run shed.R1 -> R2 is 14 AWG copper, good for 15 A");
    assert_non_null(strstr(f->mend, "12/2"));
    assert_int_equal(f->related_count, 1);
    assert_string_equal(f->related[0].message, "breaker given here");
    compile_free(&c);
}

/* 240.4(D): 14 AWG copper is item (3) in 2017 and 2020, item (4) in 2023. */
static void article_follows_the_edition(void **state)
{
    (void)state;
    static const char *const editions[][2] = {{"nec-2017", "NEC 2017 240.4(D)(3)"},
                                              {"nec-2020", "NEC 2020 240.4(D)(3)"},
                                              {"nec-2023", "NEC 2023 240.4(D)(4)"}};
    for (unsigned i = 0; i < 3; i++) {
        struct compilation c;
        const struct finding *f = compile_fault(
            &c,
            shed_by(editions[i][0], two_receptacles,
                    "circuit P.2 { breaker 20 A; cable 14/2; run P -> shed.R1 -> R2 }\n"),
            "conductor-undersized", "14 AWG");
        assert_string_equal(f->article, editions[i][1]);
        compile_free(&c);
    }
}

/* A cable that the circuit names for all its runs is one fault. */
static void cable_of_a_circuit_is_one_fault(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(
        &c,
        shed(two_receptacles, "circuit P.2 { breaker 20 A; cable 14/2; run P -> shed.R1 -> R2 }\n"),
        "conductor-undersized", "circuit P2");
    compile_free(&c);
}

/* 240.4(B): 6 AWG at 60 C carries 55 A, for which 60 A is the next standard rating; 70 A is not. */
static void next_standard_rating_serves_a_feeder(void **state)
{
    (void)state;
    struct compilation c;
    static const char sub[] = "panel Q { in shed north at 7' up 5'; bus 100 A; spaces 8; feeder "
                              "from P cable 6/3 breaker %d A }\n";
    char rest[300];
    snprintf(rest, sizeof rest, sub, 60);
    compile_sound(&c, shed("", rest));
    compile_free(&c);
    snprintf(rest, sizeof rest, sub, 70);
    compile_fault(&c, shed("", rest), "conductor-undersized", "6 AWG copper, good for 60 A");
    compile_free(&c);
}

/* 440.4(B), 440.22: conductors by the minimum circuit ampacity, breaker up to the nameplate's
 * largest. */
static void nameplate_sets_its_own_limits(void **state)
{
    (void)state;
    struct compilation c;
    static const char unit[] = "box A1 west at 2' { air-conditioner 3000 VA mca 18 A max-breaker "
                               "30 A }\nbox R1 west at 6' { receptacle-gfci }";
    compile_sound(&c, shed(unit, "circuit P.1 { breaker 30 A two-pole; run P -> shed.A1 cable "
                                 "12/2; }\ncircuit P.2 { breaker 20 A; run P -> shed.R1 }\n"));
    compile_free(&c);
    compile_fault(&c,
                  shed(unit, "circuit P.1 { breaker 30 A two-pole; run P -> shed.A1 cable 14/2; "
                             "}\ncircuit P.2 { breaker 20 A; run P -> shed.R1 }\n"),
                  "conductor-undersized", "asks for 18 A");
    compile_free(&c);
    compile_fault(&c,
                  shed(unit, "circuit P.1 { breaker 35 A two-pole; run P -> shed.A1 cable 8/2; "
                             "}\ncircuit P.2 { breaker 20 A; run P -> shed.R1 }\n"),
                  "conductor-undersized", "allows 30 A");
    compile_free(&c);
}

/* https://forums.mikeholt.com/threads/ev-charger.2572317: 48 A of a vehicle want an ampacity of 60
 * A, and 6 AWG of nonmetallic cable has 55 A, though a 60 A breaker may stand before it (240.4(B));
 * 40 A want 50 A. */
static void conductors_carry_their_load(void **state)
{
    (void)state;
    struct compilation c;
    static const char circuit[] =
        "circuit P.1 \"Vehicle\" { breaker 60 A two-pole gfci; run P -> shed.V1 cable 6/2 }\n";
    compile_fault(&c, shed("box V1 west at 2' { ev-supply 11520 W }", circuit),
                  "conductor-undersized", "carries 60 A, its continuous load at 125 %");
    compile_free(&c);
    compile_sound(&c, shed("box V1 west at 2' { ev-supply 9600 W }", circuit));
    compile_free(&c);
    const struct finding *f = compile_fault(
        &c,
        shed(
            "box V1 west at 2' { ev-supply 9600 W }",
            "circuit P.1 \"Vehicle\" { breaker 50 A two-pole gfci; run P -> shed.V1 cable 8/2 }\n"),
        "conductor-undersized", "breaker is 50 A");
    assert_string_equal(f->mend, "6/2"); /* a 40 A breaker would trip */
    compile_free(&c);
    compile_sound(
        &c, shed("box V1 west at 2' { ev-supply 11520 W }",
                 "circuit P.1 \"Vehicle\" { breaker 60 A two-pole gfci; run P -> shed.V1 }\n"));
    compile_free(&c);
}

/* Table 220.55, note 1: 26 kW is 8 kW and 14 times 5 % more, 13.6 kW, 56.7 A; a range is no
 * continuous load (article 100: three hours or more), so none is spoken of. */
static void only_continuous_loads_are_called_so(void **state)
{
    (void)state;
    struct compilation c;
    const struct finding *f = compile_fault(
        &c,
        shed("box E1 west at 2' { range 26 kW }",
             "circuit P.1 { breaker 60 A two-pole gfci; run P -> shed.E1 cable 6/3 }\n"),
        "conductor-undersized", "carries 56.7 A");
    assert_null(strstr(f->message, "continuous"));
    compile_free(&c);
}

/* 210.18, 2017 210.3. One receptacle is one outlet, though a duplex. */
static void several_outlets_want_a_branch_rating(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(
        &c,
        shed("box R1 west at 2' { receptacle-240-20 }\nbox R2 west at 6' { receptacle-240-20 }",
             "circuit P.1 \"Saws\" { breaker 25 A two-pole gfci; run P -> shed.R1 -> R2 cable 10/2 "
             "}\n"),
        "breaker-nonstandard", "serves more than one outlet");
    compile_free(&c);
    compile_sound(
        &c,
        shed(
            "box H1 west at 2' { baseboard 1500 W }\nbox H2 east at 6' { baseboard 1500 W }",
            "circuit P.1 \"Heat\" { breaker 25 A two-pole; run P -> shed.H1 -> H2 cable 10/2 }\n"));
    compile_free(&c);
}

/* Table 210.21(B)(2): 12 A on a 15 A receptacle, 16 A on one of 20 A. */
static void cords_suit_their_receptacle(void **state)
{
    (void)state;
    struct compilation c;
    static const char outlets[] =
        "box R1 west at 2' { receptacle-gfci-20 }\nbox W1 west at 6' { %s }";
    static const char rest[] =
        "device welder : plugged-120 \"Welder\" { load 1920 W }\ndevice welder-20 : welder { "
        "rating 20 A }\n"
        "circuit P.1 \"Bench\" { breaker 20 A gfci; run P -> shed.R1 -> W1 }\n";
    char unit[200];
    snprintf(unit, sizeof unit, outlets, "welder");
    compile_fault(&c, shed(unit, rest), "appliance-share", "may take 12 A of its 15 A receptacle");
    compile_free(&c);
    snprintf(unit, sizeof unit, outlets, "welder-20");
    compile_sound(&c, shed(unit, rest));
    compile_free(&c);
}

static void old_cable_upstream_counts(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c,
                  shed("box J overhead at 2', 5' { existing; type octagon-2-1-8-deep; holds 4 of "
                       "14; grounds 2 }\nbox R1 west at 5' { receptacle }",
                       "circuit P.1 { existing; breaker 20 A; upstream 30' of 14; run shed.J -> R1 "
                       "cable 12/2 }\n"),
                  "conductor-undersized", "the cable upstream is 14 AWG copper, good for 15 A");
    compile_free(&c);
}

/* Small wire of a plan's own: 16 AWG has a limit (240.4(D)), 20 AWG stands in no table. */
static void thin_wire_is_not_passed_over(void **state)
{
    (void)state;
    struct compilation c;
    char rest[400];
    static const char own[] =
        "cable %d/2-thin { size %d; conductors black white; ground bare; metal copper }\n"
        "circuit P.1 { breaker 15 A; run P -> shed.R1 cable %d/2-thin }\n";
    snprintf(rest, sizeof rest, own, 16, 16, 16);
    compile_fault(&c, shed("box R1 west at 2' { receptacle }", rest), "conductor-undersized",
                  "16 AWG copper, good for 10 A");
    compile_free(&c);
    snprintf(rest, sizeof rest, own, 20, 20, 20);
    compile_fault(&c, shed("box R1 west at 2' { receptacle }", rest), "conductor-undersized",
                  "does not have");
    compile_free(&c);
}

/* One cable for two circuits is held against both breakers. */
static void shared_cable_suits_both_breakers(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(
        &c,
        shed("box J west at 4' up 16\" { cover blank }\nbox R1 west at 2' { receptacle }\nbox H1 "
             "west at 6' { range-hood 2400 W }",
             "circuit P.1 { breaker 20 A; run P -> shed.J for circuits P.1, P.2 cable 12/2/2; run "
             "shed.J -> R1 }\n"
             "circuit P.2 { breaker 30 A; run shed.J -> H1 cable 10/2 }\n"),
        "conductor-undersized",
        "circuit P2 breaker is 30 A, but its run P -> shed.J is 12 AWG copper, good for 20 A");
    compile_free(&c);
}

static void breaker_may_be_too_large_for_every_cable(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c,
                  shed("", "panel Q { in shed north at 7' up 5'; bus 400 A; spaces 20; feeder from "
                           "P breaker 300 A }\n"),
                  "conductor-undersized",
                  "no cable of the library suits the 300 A breaker of feeder Q");
    compile_free(&c);
}

/* 240.6(A): 10 A became a standard rating in 2023. */
static void ten_amperes_are_standard_since_2023(void **state)
{
    (void)state;
    struct compilation c;
    static const char light[] =
        "box S1 west at 2' { switch leg l }\nbox L1 overhead at 5', 5' { luminaire leg l 40 W }";
    static const char circuit[] = "circuit P.1 { breaker 10 A; run P -> shed.S1 -> L1 }\n";
    compile_sound(&c, shed(light, circuit));
    compile_free(&c);
    const struct finding *f =
        compile_fault(&c, shed_by("nec-2020", light, circuit), "breaker-nonstandard", "10 A");
    assert_string_equal(f->mend, "15 A");
    compile_free(&c);
}

/* A breaker between two ratings hides no conductor that even the lower one does not protect, and
 * brings up none that it does. */
static void odd_breaker_is_one_fault(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c,
                  shed("box W1 west at 2' { water-heater 4000 W }",
                       "circuit P.1 { breaker 24 A two-pole; run P -> shed.W1 cable 12/2 }\n"),
                  "breaker-nonstandard", "24 A");
    compile_free(&c);
}

/* 210.20(A): 3000 W at 240 V for three hours or more counts as 15.6 A; 4000 W as 20.8 A. */
static void continuous_load_on_both_lines(void **state)
{
    (void)state;
    struct compilation c;
    static const char circuit[] =
        "circuit P.1 { breaker 20 A two-pole; run P -> shed.H1 cable 12/2 }\n";
    compile_sound(&c, shed("box H1 west at 2' { baseboard 3000 W }", circuit));
    compile_free(&c);
    compile_fault(&c, shed("box H1 west at 2' { baseboard 4000 W }", circuit), "breaker-overloaded",
                  "counts as 20.8 A");
    compile_free(&c);
}

/* Of a circuit and the feeder above it the circuit is said. */
static void overload_is_said_where_it_begins(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c,
                  shed("box H1 west at 2' { baseboard 9000 W }",
                       "panel Q { in shed north at 7' up 5'; bus 100 A; spaces 8; feeder from P "
                       "cable 10/3 breaker 30 A }\n"
                       "circuit Q.1 { breaker 30 A two-pole; run Q -> shed.H1 cable 10/2 }\n"),
                  "breaker-overloaded", "circuit Q1/3");
    compile_free(&c);
}

/* Table 220.55, note 4: a range of 12 kW is 8 kW on its circuit, 33 A; one of 20 kW is 11.2 kW, 47
 * A. */
static void ranges_count_by_their_demand(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, shed("box E1 west at 2' { range 12 kW }",
                           "circuit P.1 { breaker 40 A two-pole gfci; run P -> shed.E1 }\n"));
    compile_free(&c);
    compile_fault(&c,
                  shed("box E1 west at 2' { range 20 kW }",
                       "circuit P.1 { breaker 40 A two-pole gfci; run P -> shed.E1 }\n"),
                  "breaker-overloaded", "46.7 A");
    compile_free(&c);
}

/* A feeder is judged by its load calculation: 1200 ft2 are 3600 VA, of which 600 count 35 %; 3210
 * VA and 6000 VA of heat are 38.4 A. */
static void feeders_carry_their_demand(void **state)
{
    (void)state;
    struct compilation c;
    static const char rest[] =
        "room loft { kind workshop; corner 0', 40'; size 40' by 30'\nbox R1 west at 2' { "
        "receptacle }\nbox H1 west at 9' { heater 3000 W }\n"
        "box H2 west at 12' { heater 3000 W } }\n"
        "panel Q { in shed north at 7' up 5'; bus 100 A; spaces 8; feeder from P cable 8/3 breaker "
        "%d A length 40' }\n"
        "circuit Q.1 { breaker 15 A; run Q -> loft.R1 length 30' }\n"
        "circuit Q.2 { breaker 20 A two-pole; run Q -> loft.H1 length 30' }\ncircuit Q.3 { breaker "
        "20 A two-pole; run Q -> loft.H2 length 30' }\n";
    char text[900];
    snprintf(text, sizeof text, rest, 40);
    compile_sound(&c, shed("corner 0', 0'", text));
    compile_free(&c);
    snprintf(text, sizeof text, rest, 35);
    const struct finding *f =
        compile_fault(&c, shed("corner 0', 0'", text), "feeder-undersized", "38.4 A");
    assert_non_null(strstr(f->mend, "40 A"));
    compile_free(&c);
}

/* 250.122(B), W52 of the tests' sources: 20 A, conductors enlarged from 12 to 8 AWG: the ground
 * grows from 12 to 8 AWG (16,510 / 6,530 x 6,530 circular mils).
 * https://www.mikeholt.com/newsletters.php?action=display&letterID=2080 */
static void ground_grows_with_its_conductors(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c,
                  shed("box R1 west at 2' { luminaire }",
                       "circuit P.1 { breaker 20 A; run P -> shed.R1 cable 8/2 length 90' }\n"),
                  "ground-undersized", "on a 20 A breaker 8 AWG is wanted");
    compile_free(&c);
    compile_sound(&c,
                  shed("box R1 west at 2' { receptacle }",
                       "circuit P.1 { breaker 20 A; run P -> shed.R1 cable 10/2 length 90' }\n"));
    compile_free(&c);
}

/* Table 250.122, copper: 200 A 6 AWG, 300 A 4, 400 A 3, 500 A 2: a breaker between two rows takes
 * the larger ground, one beyond the last row none that could be named. The last row and a cable
 * that carries all of them are amended. */
static void grounds_at_the_edges_of_their_table(void **state)
{
    (void)state;
    static const struct {
        int breaker;
        const char *ground;
    } cases[] = {{200, "6"}, {225, "4"}, {300, "4"}, {350, "3"}, {400, "3"}, {500, "2"}, {600, ""}};
    for (unsigned i = 0; i < sizeof cases / sizeof *cases; i++) {
        char circuit[700], wanted[80];
        struct compilation c;
        snprintf(circuit, sizeof circuit,
                 "amend nec-2023 because \"a larger table\" { table ampacity-copper { 4/0, 600 A, "
                 "600 A, 600 A }; table ground-size { 500 A, 2, 1/0 } }\n"
                 "cable big : nm { size 4/0; conductors black red; ground-size 14; diameter 0.6\"; "
                 "stock 1000' }\n"
                 "circuit P.1 { breaker %d A two-pole; run P -> shed.H1 cable big length 20' }\n",
                 cases[i].breaker);
        snprintf(wanted, sizeof wanted, "on a %d A breaker %s AWG is wanted", cases[i].breaker,
                 cases[i].ground);
        compile_text(&c, shed("box H1 west at 2' { heater 3000 W }", circuit));
        assert_int_equal(findings_of(&c, "ground-undersized"), *cases[i].ground != 0);
        if (*cases[i].ground)
            assert_non_null(strstr(finding_of(&c, "ground-undersized", 0)->message, wanted));
        compile_free(&c);
    }
}

/* What is written stays: a two-pole breaker takes the space below its own; a taken space and one
 * the panel lacks are no places for new breakers. */
static void written_spaces_must_be_free(void **state)
{
    (void)state;
    static const struct {
        const char *space, *part;
    } faults[] = {{"space 1", "space 3, but panel Q has circuit Q3 (b) there"},
                  {"space 5", "space 7, but panel Q has that space taken"},
                  {"space 8", "space 10, but panel Q has 8 spaces"}};
    for (size_t i = 0; i < sizeof faults / sizeof *faults; i++) {
        struct compilation c;
        char rest[500];
        snprintf(rest, sizeof rest,
                 "panel Q { in shed north at 7' up 5'; main 60 A; spaces 8; taken 7 }\ncircuit Q.b "
                 "{ breaker 15 A; space 3; run Q -> shed.R1 }\n"
                 "circuit Q.a { breaker 20 A two-pole; %s; run Q -> shed.H1 }\n",
                 faults[i].space);
        compile_fault(
            &c, shed("box R1 west at 2' { receptacle }\nbox H1 west at 6' { heater 1500 W }", rest),
            "space-conflict", faults[i].part);
        compile_free(&c);
    }
}

static void mains_suit_their_bus(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(
        &c, shed("", "panel Q { in shed north at 7' up 5'; main 125 A; bus 100 A; spaces 8 }\n"),
        "main-missing", "its bus carries 100 A");
    compile_free(&c);
    compile_fault(&c,
                  shed("", "panel Q { in shed north at 7' up 5'; bus 50 A; spaces 8; feeder from P "
                           "cable 6/3 breaker 60 A }\n"),
                  "main-missing", "breaker of its feeder is 60 A");
    compile_free(&c);
    compile_sound(&c, shed("", "panel Q { in shed north at 7' up 5'; main 50 A; bus 50 A; spaces "
                               "8; feeder from P cable 6/3 breaker 60 A }\n"));
    compile_free(&c);
}

/* A panel that is full lacks spaces for single breakers, or two above each other; where half-size
 * breakers fit, two share a space and a third does not. */
static void full_panels_say_what_they_lack(void **state)
{
    (void)state;
    static const struct {
        const char *panel, *circuits, *part, *mend;
    } panels[] = {
        {"spaces 2",
         "circuit Q.a \"A\" { breaker 20 A }\ncircuit Q.b \"B\" { breaker 20 A }\ncircuit Q.c "
         "\"C\" { breaker 20 A }\n",
         "2 spaces, and no space is left for circuit Q.c", "a larger panel, or a second one"},
        {"spaces 4; taken 3; taken 2", "circuit Q.a \"A\" { breaker 20 A two-pole }\n",
         "no two free spaces, one above the other, are left for circuit Q.a", "a larger panel"},
        {"spaces 4; taken 3",
         "circuit Q.a \"A\" { breaker 20 A two-pole }\ncircuit Q.b \"B\" { breaker 20 A; space 2 "
         "}\n",
         "one above the other", "other spaces for the others"},
        {"spaces 1; half-size",
         "circuit Q.a \"A\" { breaker 20 A }\ncircuit Q.b \"B\" { breaker 20 A }\ncircuit Q.c "
         "\"C\" { breaker 20 A }\n",
         "1 space for half-size breakers, and no space is left for circuit Q.c", "a larger panel"},
        {"spaces 1; half-size",
         "circuit Q.a \"A\" { breaker 20 A }\ncircuit Q.b \"B\" { breaker 20 A }\n", NULL, NULL},
        {"spaces 1; half-size; taken 1", "circuit Q.a \"A\" { breaker 20 A }\n", "no space is left",
         "a larger panel"},
    };
    for (size_t i = 0; i < sizeof panels / sizeof *panels; i++) {
        struct compilation c;
        char rest[500];
        snprintf(rest, sizeof rest,
                 "panel Q { in shed north at 7' up 5'; bus 60 A; feeder from P cable 6/3 breaker "
                 "50 A; %s }\n%s",
                 panels[i].panel, panels[i].circuits);
        compile_text(&c, shed("", rest));
        const struct finding *f = finding_of(&c, "panel-full", 0);
        assert_int_equal(f != NULL, panels[i].part != NULL);
        if (f) {
            assert_non_null(strstr(f->message, panels[i].part));
            assert_non_null(strstr(f->mend, panels[i].mend));
        }
        compile_free(&c);
    }
}

/* Spaces are numbers that a panel can have. */
static void no_panel_has_such_a_space(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c, shed("", "circuit P.1 \"A\" { breaker 20 A; space 0 }\n"), "syntax",
                  "counted from 1");
    compile_free(&c);
    compile_fault(&c,
                  shed("", "panel Q { in shed north at 7' up 5'; main 60 A }\ncircuit Q.1 \"A\" { "
                           "breaker 20 A; space 999999999 }\n"),
                  "syntax", "so many spaces");
    compile_free(&c);
    compile_fault(&c, shed("", "panel Q { in shed north at 7' up 5'; main 60 A; spaces 0 }\n"),
                  "syntax", "counted from 1");
    compile_free(&c);
    compile_fault(&c, shed("", "panel Q { in shed north at 7' up 5'; main 60 A; spaces 10001 }\n"),
                  "syntax", "so many spaces");
    compile_free(&c);
}

/* A feeder that does not say its breaker has that of its panel's main, else of its bus; with it
 * comes its cable. */
static void a_feeder_without_a_breaker_protects_its_panel(void **state)
{
    (void)state;
    static const struct {
        const char *panel;
        double breaker;
    } panels[] = {
        {"main 50 A; bus 60 A", 50}, {"bus 60 A", 60}, {"main 50 A; bus 60 A; existing", 0}};
    for (size_t i = 0; i < sizeof panels / sizeof *panels; i++) {
        struct compilation c;
        char rest[200];
        snprintf(rest, sizeof rest,
                 "panel Q { in shed north at 7' up 5'; %s; spaces 8; feeder from P }\n",
                 panels[i].panel);
        compile_sound(&c, shed("", rest));
        const struct circuit *feeder = c.model->panels.at[c.model->panels.n - 1]->feeder;
        assert_near(feeder->breaker, panels[i].breaker, 1e-9);
        assert_int_equal(c.wiring->of_run[feeder->runs.at[0]->id].cable != NULL,
                         panels[i].breaker > 0);
        compile_free(&c);
    }
}

/* Panels that feed each other: said once, at the last of them in the text; what hangs on the ring
 * is not in it. */
static void panels_in_a_ring_are_told(void **state)
{
    (void)state;
    struct compilation c;
    const struct finding *f = compile_fault(
        &c,
        shed("", "panel Q { in shed north at 7' up 5'; bus 30 A; spaces 8; feeder from T }\n"
                 "panel S { in shed north at 10' up 5'; bus 30 A; spaces 8; feeder from Q }\n"
                 "panel T { in shed north at 4' up 5'; bus 30 A; spaces 8; feeder from S }\n"
                 "panel U { in shed east at 4' up 5'; bus 30 A; spaces 8; feeder from T }\n"),
        "loop-in-circuit", "panel T is fed from panel S");
    assert_non_null(f);
    assert_int_equal(findings_of(&c, "loop-in-circuit"), 1);
    compile_free(&c);
}

/* 408.4(A): names of people, words alone, and spares that do not say so. */
static void directory_is_for_strangers(void **state)
{
    (void)state;
    static const struct {
        const char *title, *part;
    } texts[] = {{"Bobby's room", "named for somebody"},
                 {"Bobby\xe2\x80\x99s room", "named for somebody"},
                 {"Lights & plugs 2", "could be any"},
                 {"12", "could be any"},
                 {"Boys' room receptacles", NULL},
                 {"Cellar light", NULL},
                 {"Heater", NULL},
                 {"The Millers' bath", "named for somebody"},
                 {"bobby's room", "named for somebody"},
                 {"Owner's suite, north wall", NULL},
                 {"Dad and Mary's bench", "named for somebody"},
                 {"Saw and planer's socket", NULL},
                 {"Outlet 1", "could be any"},
                 {"20 A circuit", "could be any"},
                 {"Appliances", "could be any"},
                 {"?", "could be any"},
                 {"Spare", "says that it does not"},
                 {"Spare freezer in the cellar", NULL},
                 {"Rock 'n' roll corner", NULL},
                 {"5' bench", NULL}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct compilation c;
        char rest[200];
        snprintf(rest, sizeof rest,
                 "circuit P.1 \"%s\" { breaker 20 A; run P -> shed.R1 }\ncircuit P.2 \"Spare\" { "
                 "breaker 15 A }\n",
                 texts[i].title);
        compile_sound(&c, shed("box R1 west at 2' { receptacle }", rest));
        const struct finding *f = finding_of(&c, "directory-vague", 0);
        assert_int_equal(f != NULL, texts[i].part != NULL);
        if (f)
            assert_non_null(strstr(f->message, texts[i].part));
        compile_free(&c);
    }
}

/* 408.4(A): every circuit told apart from all others, however the same is written. */
static void directory_tells_circuits_apart(void **state)
{
    (void)state;
    static const struct {
        const char *first, *second, *part;
    } texts[] = {{"West bench", "West bench", "has the same text"},
                 {"West bench", "WEST BENCH.", "all but the same"},
                 {"Bench at the west wall", "West wall benches", "all but the same"},
                 {"Living-room receptacles", "Receptacles of the living room", "all but the same"},
                 {"Bedroom 1 receptacles", "Bedroom 2 receptacles", NULL},
                 {"West bench", "West bench lights", NULL},
                 {"Glass case", "Glas case", NULL},
                 {"Bench 12", "Bench 1 2", NULL}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct compilation c;
        char rest[300];
        snprintf(rest, sizeof rest,
                 "circuit P.1 \"%s\" { breaker 20 A; run P -> shed.R1 }\ncircuit P.2 \"%s\" { "
                 "breaker 20 A; run P -> shed.R2 }\n",
                 texts[i].first, texts[i].second);
        compile_sound(
            &c, shed("box R1 west at 2' { receptacle }\nbox R2 west at 6' { receptacle }", rest));
        const struct finding *f = finding_of(&c, "directory-duplicate", 0);
        assert_int_equal(f != NULL, texts[i].part != NULL);
        if (f)
            assert_non_null(strstr(f->message, texts[i].part));
        compile_free(&c);
    }
}

/* 110.26(A): a space 30 in. wide between what stands on the wall. */
static void things_on_the_wall_take_clearance(void **state)
{
    (void)state;
    struct compilation c;
    static const char room[] = "room store { kind storage; corner 40', 0'; size 12' by 9'\nfixed "
                               "south at 0' wide %s\ncounter south at 5' wide 4' }\n"
                               "panel Q { in store south at 4' up 5'; main 60 A; spaces 8 }\n";
    char rest[400];
    snprintf(rest, sizeof rest, room, "2'-7\"");
    const struct finding *f =
        compile_fault(&c, shed("corner 0', 0'", rest), "panel-clearance", "29 in. of free wall");
    assert_string_equal(f->article, "NEC 2023 110.26(A)");
    compile_free(&c);
    snprintf(rest, sizeof rest, room, "2'-6\"");
    compile_sound(&c, shed("corner 0', 0'", rest));
    compile_free(&c);
}

/* What stands on another wall, or on none, takes the space too as far as it reaches into its depth.
 */
static void things_before_a_panel_take_clearance(void **state)
{
    (void)state;
    static const struct {
        const char *things, *part;
    } rooms[] = {{"counter east at 0' wide 9' deep 25\"", NULL},
                 {"counter east at 0' wide 9' deep 34\"", "29 in. of free wall"},
                 {"island at 2', 3'-1\" size 4' by 2'", NULL},
                 {"island at 2', 2'-11\" size 4' by 2'", "2.92 ft are free"},
                 {"counter north at 0' wide 8' deep 25\"", NULL},
                 {"fixed north at 0' wide 8' deep 6'-1\"", "2.92 ft are free"},
                 {"counter west at 0' wide 5' deep 25\"", NULL},
                 {"tub west at 5' wide 4' deep 25\"", NULL},
                 {"tub west at 0' wide 4' deep 4'-1\"", "stands at the wall"},
                 {"peninsula east at 6' wide 3' out 34\"", "29 in."}};
    for (size_t i = 0; i < sizeof rooms / sizeof *rooms; i++) {
        struct compilation c;
        char rest[400];
        snprintf(rest, sizeof rest,
                 "room store { kind storage; corner 40', 0'; size %s by 9'; %s }\npanel Q { in "
                 "store south at 4' up 5'; main 60 A; spaces 8 }\n",
                 strstr(rooms[i].part ? rooms[i].part : "", "29") ? "5'-3\"" : "8'",
                 rooms[i].things);
        compile_text(&c, shed("corner 0', 0'", rest));
        const struct finding *f = finding_of(&c, "panel-clearance", 0);
        if ((f != NULL) != (rooms[i].part != NULL) || (f && !strstr(f->message, rooms[i].part)))
            fprintf(stderr, "%s: %s\n", rooms[i].things, f ? f->message : "nothing");
        assert_int_equal(f != NULL, rooms[i].part != NULL);
        assert_true(!f || strstr(f->message, rooms[i].part));
        compile_free(&c);
    }
}

/* 230.67 came in 2020, 215.18 in 2023: a flat's panel wants its own protector then. */
static void surge_protection_by_edition(void **state)
{
    (void)state;
    static const char *const editions[] = {"nec-2017", "nec-2020", "nec-2023"};
    static const unsigned wanted[] = {0, 1, 2};
    for (int i = 0; i < 3; i++) {
        struct compilation c;
        char text[700];
        snprintf(
            text, sizeof text,
            "plan \"Flats\" { edition %s }\nroom plant { kind utility; corner 40', 0'; size 9' by "
            "9' }\npanel H { in plant west at 4' up 5'; main 200 A; spaces 12 }\n"
            "unit a { corner 0', 0'; room den { kind living; corner 0', 0'; size 12' by 12' }\n"
            "panel P { in den east at 6' up 5'; bus 100 A; spaces 8; feeder from H cable 6/3 "
            "breaker 60 A } }\n",
            editions[i]);
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "surge-protection"), wanted[i]);
        compile_free(&c);
    }
}

/* 210.21(B)(1): a single receptacle on a circuit of its own is rated no less than the circuit.
 * (B)(3): 15 A receptacles on 20 A where there are several. */
static void receptacles_suit_their_circuit(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c,
                  shed(two_receptacles, "circuit P.1 { breaker 20 A; run P -> shed.R1 -> R2 }\n"));
    compile_free(&c);
    compile_sound(&c, shed("box R1 west at 2' { receptacle }",
                           "circuit P.1 { breaker 20 A; run P -> shed.R1 }\n"));
    compile_free(&c);
    compile_sound(&c, shed("box R1 west at 2' { receptacle-single-20 }",
                           "circuit P.1 { breaker 20 A; run P -> shed.R1 }\n"));
    compile_free(&c);
    compile_fault(&c,
                  shed("box R1 west at 2' { receptacle-single }",
                       "circuit P.1 { breaker 20 A; run P -> shed.R1 }\n"),
                  "receptacle-rating", "20 A or more");
    compile_free(&c);
    const struct finding *f = compile_fault(
        &c,
        shed("box R1 west at 2' { receptacle-20 }\nbox R2 west at 6' { receptacle-20 }",
             "circuit P.1 { breaker 15 A; run P -> shed.R1 -> R2 }\n"),
        "receptacle-rating", "15 A");
    assert_int_equal(f->related_count, 2); /* the breaker and the other receptacle */
    compile_free(&c);
}

/* A note of 210.19(A): 3 % for the branch, 5 % with the feeder. */
static void drop_is_advice_with_a_way_out(void **state)
{
    (void)state;
    struct compilation c;
    const struct finding *f = compile_fault(
        &c,
        shed("box R1 west at 2' { receptacle }",
             "circuit P.1 { breaker 20 A; drop 3 %; run P -> shed.R1 cable 12/2 length 90' }\n"),
        "voltage-drop", "4.6 %");
    assert_int_equal(f->severity, WARNING);
    assert_non_null(strstr(f->mend, "10 AWG all the way loses 2.9 %"));
    compile_free(&c);
    compile_text(&c,
                 shed("box R1 west at 2' { receptacle }",
                      "circuit P.1 { breaker 20 A; run P -> shed.R1 cable 12/2 length 90' }\n"));
    assert_int_equal(finding_of(&c, "voltage-drop", 0)->severity, NOTE);
    compile_free(&c);
    /* 8 AWG would do; no receptacle takes it */
    compile_text(&c,
                 shed("box R1 west at 2' { receptacle }",
                      "circuit P.1 { breaker 20 A; drop 3 %; run P -> shed.R1 length 120' }\n"));
    assert_non_null(strstr(finding_of(&c, "voltage-drop", 0)->mend,
                           "its terminals do not take 8 AWG; a panel that is nearer"));
    compile_free(&c);
    /* a luminaire has wires of its own; the ground of 8/2 is 10 AWG */
    compile_text(&c,
                 shed("box R1 west at 2' { luminaire 1920 W }",
                      "circuit P.1 { breaker 20 A; drop 3 %; run P -> shed.R1 length 120' }\n"));
    assert_non_null(strstr(finding_of(&c, "voltage-drop", 0)->mend, "the ground of 8/2"));
    compile_free(&c);
    compile_text(&c,
                 shed("box R1 west at 2' { receptacle }",
                      "circuit P.1 { breaker 20 A; run P -> shed.R1 cable 12/2 length 55' }\n"));
    assert_int_equal(findings_of(&c, "voltage-drop"), 0);
    compile_free(&c);
}

static void drop_counts_the_feeder(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c,
        shed("box H1 west at 2' { baseboard 2400 W }\nbox R1 west at 6' { receptacle 1200 VA }",
             "panel Q { in shed north at 7' up 5'; bus 100 A; spaces 8; feeder from P cable 10/3 "
             "breaker 30 A length 200' }\n"
             "circuit Q.1 { breaker 20 A two-pole; run Q -> shed.H1 cable 12/2 }\n"
             "circuit Q.2 { breaker 15 A; run Q -> shed.R1 cable 14/2 length 40' }\n"));
    assert_non_null(strstr(finding_of(&c, "voltage-drop", 0)->message, "feeder included"));
    compile_free(&c);
}

/* 314.16(B): what a box holds, what it needs and which box would do. */
static void full_box_names_one_that_serves(void **state)
{
    (void)state;
    struct compilation c;
    const struct finding *f =
        compile_fault(&c,
                      shed("box R1 west at 18\" { type nail-on-1g-18; receptacle }\nbox R2 west at "
                           "6' { receptacle }\nbox R3 west at 8' { receptacle }",
                           "circuit P.1 { breaker 20 A; cable 12/2; run P -> shed.R1 -> R2; run "
                           "shed.R1 -> R3 }\n"),
                      "box-overfilled", "nail-on-1g-18 has 18 in3");
    /* six 12 AWG, one for the grounds, two for the device: 9 x 2.25 = 20.25 in3 */
    assert_non_null(strstr(f->message, "needs 20.25 in3"));
    assert_string_equal(f->mend, "type nail-on-1g-22, 22 in3");
    compile_free(&c);
}

/* A divided box, 34 in3: half of what the barrier (1.0 in3 in plastic, 314.16(A)) leaves is 16.5
 * in3. A receptacle with two 14/2 cables and a clamp needs 8 + 2 + 4 + 2 = 16 in3, with 12/2 cables
 * 18 in3. */
static void divided_box_has_room_on_one_side(void **state)
{
    (void)state;
    struct compilation c;
    static const char unit[] = "box M1 west at 2' { type media-2g-34; receptacle; data }\nbox R1 "
                               "east at 2' { receptacle-gfci }";
    static const char data[] = "box D1 west at 8' { data }\n";
    char boxes[300], rest[300];
    snprintf(boxes, sizeof boxes, "%s\n%s", unit, data);
    static const char runs[] =
        "circuit P.1 \"Bench\" { breaker 15 A gfci; run P -> shed.M1 -> R1 cable %s }\nlow-voltage "
        "d \"Data\" { cable cat6; run shed.D1 -> M1 }\n";
    snprintf(rest, sizeof rest, runs, "14/2");
    compile_sound(&c, shed(boxes, rest));
    compile_free(&c);
    snprintf(rest, sizeof rest, runs, "12/2");
    compile_fault(
        &c, shed(boxes, rest), "box-overfilled",
        "needs 18 in3 (4 conductors, 2 grounds, 1 device, clamps); media-2g-34 has 16.5 in3");
    compile_free(&c);
}

/* An old box holds 12 AWG, the new cable is of 14 AWG: the device is reckoned at 2.25 in3 twice,
 * for it may be on the old wires (314.16(B)(4)). 2 x 2.25 + 2 x 2 + 2.25 (ground) + 2.25 (clamp)
 * + 4.5 = 17.5 in3. */
static void old_box_is_reckoned_by_its_largest_wire(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(
        &c,
        shed("box X1 west at 2' { existing; type device-2-3-4-deep; holds 2 of 12; grounds 1; "
             "receptacle existing }\nbox R1 west at 6' { receptacle }",
             "circuit P.1 \"Old\" { existing; breaker 15 A; run shed.X1 -> R1 cable 14/2 }\n"),
        "box-overfilled", "needs 17.5 in3");
    compile_free(&c);
}

/* Two yokes in a box of one gang: what is named has two. */
static void mend_of_a_full_box_has_its_gangs(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c, shed("box S1 west at 18\" { type nail-on-1g-18; switch leg a; switch leg b }\nbox L1 "
                 "overhead "
                 "at 3', 3' { luminaire leg a }\nbox L2 overhead at 8', 3' { luminaire leg b }",
                 "circuit P.1 \"Lights\" { breaker 15 A; run P -> shed.S1 -> L1; run shed.S1 -> L2 "
                 "}\n"));
    const struct finding *f = finding_of(&c, "box-overfilled", 0);
    assert_non_null(f);
    assert_non_null(strstr(f->mend, "nail-on-2g"));
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(message_names_run_size_and_breaker),
        cmocka_unit_test(article_follows_the_edition),
        cmocka_unit_test(cable_of_a_circuit_is_one_fault),
        cmocka_unit_test(next_standard_rating_serves_a_feeder),
        cmocka_unit_test(nameplate_sets_its_own_limits),
        cmocka_unit_test(conductors_carry_their_load),
        cmocka_unit_test(only_continuous_loads_are_called_so),
        cmocka_unit_test(several_outlets_want_a_branch_rating),
        cmocka_unit_test(cords_suit_their_receptacle),
        cmocka_unit_test(old_cable_upstream_counts),
        cmocka_unit_test(thin_wire_is_not_passed_over),
        cmocka_unit_test(shared_cable_suits_both_breakers),
        cmocka_unit_test(breaker_may_be_too_large_for_every_cable),
        cmocka_unit_test(ten_amperes_are_standard_since_2023),
        cmocka_unit_test(odd_breaker_is_one_fault),
        cmocka_unit_test(continuous_load_on_both_lines),
        cmocka_unit_test(overload_is_said_where_it_begins),
        cmocka_unit_test(ranges_count_by_their_demand),
        cmocka_unit_test(feeders_carry_their_demand),
        cmocka_unit_test(ground_grows_with_its_conductors),
        cmocka_unit_test(grounds_at_the_edges_of_their_table),
        cmocka_unit_test(written_spaces_must_be_free),
        cmocka_unit_test(mains_suit_their_bus),
        cmocka_unit_test(full_panels_say_what_they_lack),
        cmocka_unit_test(no_panel_has_such_a_space),
        cmocka_unit_test(a_feeder_without_a_breaker_protects_its_panel),
        cmocka_unit_test(panels_in_a_ring_are_told),
        cmocka_unit_test(directory_is_for_strangers),
        cmocka_unit_test(directory_tells_circuits_apart),
        cmocka_unit_test(things_on_the_wall_take_clearance),
        cmocka_unit_test(things_before_a_panel_take_clearance),
        cmocka_unit_test(surge_protection_by_edition),
        cmocka_unit_test(receptacles_suit_their_circuit),
        cmocka_unit_test(drop_is_advice_with_a_way_out),
        cmocka_unit_test(drop_counts_the_feeder),
        cmocka_unit_test(full_box_names_one_that_serves),
        cmocka_unit_test(divided_box_has_room_on_one_side),
        cmocka_unit_test(old_box_is_reckoned_by_its_largest_wire),
        cmocka_unit_test(mend_of_a_full_box_has_its_gangs),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
