/* What conductors are good for by their metal, their terminals and what they feed: open feeders,
 * thin neutrals, marked terminals, taps. */
#include "compiled.h"
#include "diag/looked.h"
#include "facts/conductors.h"
#include "model/power.h"
#include "wiring/wiring.h"

#define HEAD "plan \"Test\" { edition nec-2023 }\n"

/* --- feeders that are left open ------------------------------------------------------------- */

/* Two rooms, a feeder from one to the other; `marked`: on the panels and the breaker, `way`: of the
 * feeder, `house`: nothing else hangs on the service. */
static void write_feeder(char *text, size_t size, double breaker, const char *marked,
                         const char *way, bool house)
{
    snprintf(text, size,
             HEAD
             "room s { kind storage; corner 0', 0'; size 30' by 10'%s }\n"
             "room shop { kind workshop; corner 31', 0'; size 40' by 10'\n"
             "box R1 north at 5' { receptacle-gfci-20 } }\n"
             "panel M { in s north at 4' up 5'; main 200 A; spaces 30; %s }\n"
             "panel Q { in shop south at 15' up 5'; main %g A; spaces 12; %s; feeder from M %s }\n"
             "circuit Q.1 \"Shop bench\" { breaker 20 A; run Q -> shop.R1 }\n%s",
             house ? "" : "\nbox R1 north at 20' { receptacle }", marked, breaker, marked, way,
             house ? "" : "circuit M.1 \"House store\" { breaker 20 A; run M -> s.R1 }\n");
}

static const char *cable_of_feeder(struct compilation *c)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (c->model->runs.at[i]->circuit && c->model->runs.at[i]->circuit->feeds)
            return c->wiring->of_run[i].cable ? c->wiring->of_run[i].cable->name : "none";
    return "none";
}

static void assert_feeder(double breaker, const char *marked, const char *way, bool house,
                          const char *cable)
{
    static const char *const rules[] = {"conductor-undersized", "ground-undersized",
                                        "cable-not-suited",     "feeder-undersized",
                                        "feeder-four-wire",     "terminal-size"};
    struct compilation c;
    char text[1500];
    write_feeder(text, sizeof text, breaker, marked, way, house);
    compile_text(&c, text);
    if (strcmp(cable_of_feeder(&c), cable) != 0)
        fprintf(stderr, "%g A %s %s: %s, wanted %s\n", breaker, marked, way, cable_of_feeder(&c),
                cable);
    assert_string_equal(cable_of_feeder(&c), cable);
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        assert_int_equal(findings_of(&c, rules[i]), 0);
    compile_free(&c);
}

/* What all of a dwelling hangs on, in aluminium on terminals of 75 C: Table 310.12(A) has 2 AWG for
 * 100 A, 1/0 for 125 A, 2/0 for 150 A, 3/0 for 175 A, 4/0 for 200 A
 * (https://learnmetrics.com/electrical-feeder-size-chart/). */
static void feeders_of_a_dwelling_are_those_of_the_table(void **state)
{
    (void)state;
    static const struct {
        double breaker;
        const char *cable;
    } rows[] = {{100, "2/3-use"},
                {125, "1/0/3-use"},
                {150, "2/0/3-use"},
                {175, "3/0/3-use"},
                {200, "4/0/3-use"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_feeder(rows[i].breaker, "terminals 75 C", "underground 24\"", true, rows[i].cable);
}

/* What feeds a part: 2 AWG copper has 95 A at 60 C, and the next size is 100 A (240.4(B)); above
 * that terminals count at 75 C, where 1/0 aluminium has 120 A, 2/0 135 A, 3/0 155 A, 4/0 180 A
 * (Table 310.16). Indoors it is a cable for there, in the ground one for that. */
static void open_feeders_have_a_cable_that_serves(void **state)
{
    (void)state;
    static const struct {
        double breaker;
        const char *indoors, *buried;
    } rows[] = {{60, "6/3", "6/3-uf"},
                {100, "2/3", "2/3-uf"},
                {150, "2/0/3-ser", "2/0/3-use"},
                {175, "3/0/3-ser", "3/0/3-use"},
                {200, "4/0/3-ser", "4/0/3-use"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        assert_feeder(rows[i].breaker, "", "", false, rows[i].indoors);
        assert_feeder(rows[i].breaker, "", "underground 24\"", false, rows[i].buried);
        assert_feeder(rows[i].breaker, "terminals 75 C", "underground 24\"", false, rows[i].buried);
    }
    assert_feeder(125, "", "underground 24\"", false, "1/0/3-use");
}

/* --- how often a rule finds ----------------------------------------------------------------- */

/* A circuit of two poles to one thing, in a cable that may have a neutral of its own size. */
static unsigned thin_neutral(const char *thing, double breaker, const char *like,
                             const char *neutral)
{
    char text[1000];
    snprintf(text, sizeof text,
             HEAD "cable %s-own : %s { %s }\n"
                  "room k { kind kitchen; corner 0', 0'; size 12' by 10'\nbox A north at 5' { %s } "
                  "}\n"
                  "room s { kind storage; corner 0', -30'; size 10' by 10' }\n"
                  "panel P { in s south at 5' up 5'; main 200 A; spaces 30 }\n"
                  "circuit P.2 \"Kitchen\" { breaker %g A two-pole; cable %s-own; run P -> k.A }\n",
             like, like, neutral, thing, breaker, like);
    return errors_in(text, "conductor-undersized");
}

/* 210.19(A)(3), exception 2 (recalled): for a range of 8.75 kW the neutral may be smaller, of 70 %
 * of the circuit's rating and no smaller than 10 AWG: 28 A on 40 A is 10 AWG, 35 A on 50 A is 8. */
static void neutrals_of_ranges_may_be_thin(void **state)
{
    (void)state;
    assert_int_equal(thin_neutral("range 12 kW", 40, "8/3", "neutral-size 10"), 0);
    assert_int_equal(thin_neutral("range 12 kW", 40, "8/3", "neutral-size 12"), 1);
    assert_int_equal(thin_neutral("range 12 kW", 50, "6/3", "neutral-size 8"), 0);
    assert_int_equal(thin_neutral("range 12 kW", 50, "6/3", "neutral-size 10"), 1);
    assert_int_equal(thin_neutral("range 12 kW", 50, "6/3", ""), 0);
    assert_int_equal(thin_neutral("range 5 kW", 40, "8/3", "neutral-size 10"), 1);
    assert_int_equal(thin_neutral("dryer 5 kW", 30, "10/3", "neutral-size 12"), 1);
}

/* --- metals --------------------------------------------------------------------------------- */

static unsigned of_metal(const char *metal, const char *size, double breaker, const char *device,
                         const char *rule)
{
    char text[1000];
    snprintf(text, sizeof text,
             HEAD
             "cable %s/2-own : nm { size %s; conductors black white; metal %s; diameter 0.4\" "
             "}\n"
             "room a { kind workshop; corner 0', 0'; size 12' by 10'\nbox R north at 5' { %s } "
             "}\n"
             "panel P { in a south at 5' up 5'; main 100 A; spaces 8 }\n"
             "circuit P.2 \"Bench\" { breaker %g A; cable %s/2-own; run P -> a.R }\n",
             size, size, metal, device, breaker, size);
    return errors_in(text, rule);
}

/* 240.4(D): 12 AWG aluminium or copper-clad 15 A, copper 20 A; 14 AWG of it has no breaker until
 * 2026 (tests/editions/copper-clad.bay). 404.14(C), 406.3(C): what is not marked CO/ALR takes
 * copper and copper-clad aluminium
 * (https://www.ecmweb.com/national-electrical-code/quizzes/article/55088265). */
static void metals_have_their_ampacity_and_their_terminals(void **state)
{
    (void)state;
    assert_int_equal(of_metal("copper", "12", 20, "receptacle-gfci-20", "conductor-undersized"), 0);
    assert_int_equal(
        of_metal("copper-clad", "12", 20, "receptacle-gfci-20", "conductor-undersized"), 1);
    assert_int_equal(
        of_metal("copper-clad", "10", 20, "receptacle-gfci-20", "conductor-undersized"), 0);
    assert_int_equal(of_metal("copper-clad", "14", 15, "receptacle-gfci", "conductor-undersized"),
                     1);
    assert_int_equal(of_metal("aluminium", "12", 15, "receptacle-gfci", "conductor-undersized"), 0);
    assert_int_equal(of_metal("aluminium", "12", 15, "receptacle-gfci", "terminal-size"), 1);
    assert_int_equal(of_metal("aluminium", "12", 15, "receptacle-gfci co-alr", "terminal-size"), 0);
    assert_int_equal(of_metal("copper-clad", "12", 15, "receptacle-gfci", "terminal-size"), 0);
    assert_int_equal(of_metal("copper", "14", 15, "receptacle-gfci", "terminal-size"), 0);
}

/* Table 314.16(B)(1): 3 in3 for 8 AWG, 2.5 for 10, 2 for 12. A range on 8/3, its neutral as it is
 * written, in its own wiring compartment; a junction box before it. */
static void a_thin_neutral_takes_its_own_room(void **state)
{
    (void)state;
    static const struct {
        const char *neutral;
        double required; /* two cables, their grounds of 10 AWG as one, the clamp of the box */
    } rows[] = {{"", 18 + 2.5 + 3}, {"neutral-size 10", 12 + 5 + 2.5 + 3}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1200];
        struct compilation c;
        snprintf(text, sizeof text,
                 HEAD "cable 8/3-own : 8/3 { %s }\n"
                      "room k { kind kitchen; corner 0', 0'; size 12' by 10'\n"
                      "box J north at 3' { type square-4-11-16-deep; cover blank }\n"
                      "box A north at 8' { range 12 kW } }\n"
                      "room s { kind storage; corner 0', -30'; size 10' by 10' }\n"
                      "panel P { in s south at 5' up 5'; main 200 A; spaces 30 }\n"
                      "circuit P.2 \"Kitchen\" { breaker 40 A two-pole; cable 8/3-own\n"
                      "run P -> k.J -> A }\n",
                 rows[i].neutral);
        compile_text(&c, text);
        for (uint32_t k = 0; k < c.model->boxes.n; k++)
            if (!strcmp(c.model->boxes.at[k]->name, "J"))
                assert_near(c.wiring->of_box[k].required, rows[i].required, 1e-6);
        compile_free(&c);
    }
}

extern const struct blind_spot blind_aluminium_mark;

static uint32_t marks_asked(const char *metal, const char *panel, const char *breaker)
{
    char text[1200];
    struct compilation c;
    snprintf(text, sizeof text,
             HEAD
             "cable 8/2-own : nm { size 8; conductors black white; metal %s; diameter 0.6\" }\n"
             "device heater-own : water-heater { takes 14 to 6; rating 30 A }\n"
             "room a { kind workshop; corner 0', 0'; size 12' by 10'\n"
             "box R north at 5' { heater-own } }\n"
             "panel P { in a south at 5' up 5'; main 100 A; spaces 8; %s }\n"
             "circuit P.2 \"Water\" { breaker 30 A two-pole %s; cable 8/2-own; run P -> a.R }\n",
             metal, panel, breaker);
    compile_text(&c, text);
    uint32_t n = diag_blind_things(&c.diag, &blind_aluminium_mark).n;
    compile_free(&c);
    return n;
}

/* 110.14(A): terminals for aluminium are marked so. Where the plan says it of the breaker, or of
 * its panel, the heater's are left to be looked at. */
static void aluminium_asks_for_the_mark_of_terminals(void **state)
{
    (void)state;
    assert_int_equal(marks_asked("aluminium", "", ""), 2);
    assert_int_equal(marks_asked("aluminium", "al-cu", ""), 1);
    assert_int_equal(marks_asked("aluminium", "", "al-cu"), 1);
    assert_int_equal(marks_asked("copper", "", ""), 0);
    assert_int_equal(marks_asked("copper-clad", "", ""), 0);
}

/* Single aluminium conductors in a raceway: Table 310.16 has 90 A for 2 AWG at 75 C, 75 A at 60. */
static unsigned single_aluminium(double breaker, const char *marked)
{
    char text[1500];
    snprintf(text, sizeof text,
             HEAD "room s { kind storage; corner 0', 0'; size 30' by 10' }\n"
                  "room shop { kind workshop; corner 31', 0'; size 40' by 10'\n"
                  "box R1 north at 5' { receptacle-gfci-20 } }\n"
                  "panel M { in s north at 4' up 5'; main 200 A; spaces 30; %s }\n"
                  "panel Q { in shop south at 15' up 5'; bus 100 A; spaces 12; %s\n"
                  "feeder from M breaker %g A in pvc-2 underground 18\" cable use2-2 }\n"
                  "circuit Q.1 \"Shop bench\" { breaker 20 A; run Q -> shop.R1 }\n",
             marked, marked, breaker);
    return errors_in(text, "conductor-undersized") + errors_in(text, "cable-not-suited") +
           errors_in(text, "raceway-overfilled");
}

static void single_conductors_are_of_aluminium_too(void **state)
{
    (void)state;
    assert_int_equal(single_aluminium(90, "terminals 75 C"), 0);
    assert_int_equal(single_aluminium(70, ""), 0);
    assert_int_equal(single_aluminium(90, ""), 1);
    assert_int_equal(single_aluminium(110, "terminals 75 C"), 1);
}

/* --- marked terminals ----------------------------------------------------------------------- */

/* Metal-clad cable of a vehicle: 6 AWG has 55 A at 60 C, 65 A at 75 C (Table 310.16). */
static unsigned metal_clad(double breaker, const char *panel, const char *on_breaker,
                           const char *device)
{
    char text[1000];
    snprintf(text, sizeof text,
             HEAD "room g { kind garage; corner 0', 0'; size 20' by 20'\n"
                  "box E north at 5' { ev-supply 11520 W %s } }\n"
                  "panel P { in g south at 5' up 5'; main 200 A; spaces 8; %s }\n"
                  "circuit P.2 \"Vehicle\" { breaker %g A two-pole gfci %s; cable 6/2-mc; run P -> "
                  "g.E }\n",
             device, panel, breaker, on_breaker);
    return errors_in(text, "conductor-undersized");
}

/* 48 A (11,520 VA) that last count 60 A (625.41): 110.14(C)(1) lets the 75 C column count where
 * both ends are marked so, common on chargers that are wired in. */
static void both_ends_are_marked_or_none_counts(void **state)
{
    (void)state;
    assert_int_equal(metal_clad(60, "", "", ""), 1); /* such equipment is marked, a breaker not */
    assert_int_equal(metal_clad(60, "", "terminals 75 C", "terminals 60 C"), 1);
    assert_int_equal(metal_clad(60, "", "terminals 60 C", "terminals 75 C"), 1);
    assert_int_equal(metal_clad(60, "", "terminals 75 C", ""), 0);
    assert_int_equal(metal_clad(60, "terminals 75 C", "", ""), 0);
    assert_int_equal(metal_clad(60, "", "terminals 90 C", "terminals 90 C"), 0);
}

/* --- taps of cooking appliances ------------------------------------------------------------- */

static unsigned taps(double breaker, const char *first, const char *second, const char *oven)
{
    char text[1500];
    snprintf(text, sizeof text,
             HEAD
             "room k { kind kitchen; corner 0', 0'; size 12' by 10'\n"
             "box J1 north at 3' { type square-4-11-16-deep; cover blank }\n"
             "box O1 north at 5' { %s }\nbox C1 north at 8' { cooktop 7 kW } }\n"
             "room s { kind storage; corner 0', -30'; size 10' by 10' }\n"
             "panel P { in s south at 5' up 5'; main 200 A; spaces 30 }\n"
             "circuit P.2 \"Oven and cooktop\" { breaker %g A two-pole gfci; run P -> k.J1 cable "
             "6/3; run k.J1 -> O1 cable %s; run k.J1 -> C1 cable %s }\n",
             oven, breaker, first, second);
    return errors_in(text, "conductor-undersized");
}

/* 210.19(C), exception 1 (210.19(A)(3) before 2023): taps of a circuit of 50 A to ranges, ovens and
 * cooktops have 20 A at least and carry their load: 5 kW is 21 A, 7 kW 29 A. */
static void taps_to_cooking_appliances_carry_their_load(void **state)
{
    (void)state;
    assert_int_equal(taps(50, "10/3", "8/3", "oven 5 kW"), 0);
    assert_int_equal(taps(50, "10/3", "10/3", "oven 5 kW"), 0);
    assert_int_equal(taps(50, "12/3", "8/3", "oven 5 kW"), 1); /* 20 A, and it carries 21 A */
    assert_int_equal(taps(50, "12/3", "8/3", "oven 4.5 kW"), 0);
    assert_int_equal(taps(50, "14/3", "8/3", "oven 3 kW"), 1); /* 15 A are never enough */
    assert_int_equal(taps(60, "10/3", "8/3", "oven 5 kW"), 2); /* a circuit of 60 A has no taps */
    assert_int_equal(taps(50, "10/3", "8/3", "receptacle-50"), 1);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(feeders_of_a_dwelling_are_those_of_the_table),
        cmocka_unit_test(open_feeders_have_a_cable_that_serves),
        cmocka_unit_test(neutrals_of_ranges_may_be_thin),
        cmocka_unit_test(metals_have_their_ampacity_and_their_terminals),
        cmocka_unit_test(a_thin_neutral_takes_its_own_room),
        cmocka_unit_test(aluminium_asks_for_the_mark_of_terminals),
        cmocka_unit_test(single_conductors_are_of_aluminium_too),
        cmocka_unit_test(both_ends_are_marked_or_none_counts),
        cmocka_unit_test(taps_to_cooking_appliances_carry_their_load),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
