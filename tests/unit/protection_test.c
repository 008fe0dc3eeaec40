/* Protection, required circuits and alarms: what changed between editions, and the cases of
 * published answers. Sources stand beside each. */
#include "compiled.h"
#include "emit/unchecked.h"
#include "wiring/protect.h"

static const char *const editions[] = {"nec-2017", "nec-2020", "nec-2023"};
enum { EDITIONS = sizeof editions / sizeof *editions };

/* How many findings of the rule a plan gives by each edition, "0 1 1". `text` follows the plan
 * statement. */
static const char *by_edition(const char *rule, const char *text)
{
    static char counts[32];
    *counts = '\0';
    for (int i = 0; i < EDITIONS; i++) {
        struct compilation c;
        char plan[4000];
        snprintf(plan, sizeof plan, "plan \"Test\" { edition %s }\n%s", editions[i], text);
        compile_text(&c, plan);
        for (uint32_t k = 0; k < c.diag.findings.n; k++) {
            const struct finding *f = &c.diag.findings.at[k];
            if (is_misspelt(f)) {
                show_compiled(&c);
                fail_msg("the plan has another fault: %s", f->message);
            }
        }
        snprintf(counts + strlen(counts), sizeof counts - strlen(counts), "%s%u", i ? " " : "",
                 findings_of(&c, rule));
        compile_free(&c);
    }
    return counts;
}

/* A room of the kind with these things and boxes, a panel in the next one, and circuits. */
static const char *room(const char *kind, const char *things, const char *circuits)
{
    static char text[3000];
    snprintf(text, sizeof text,
             "room r { kind %s; corner 0', 0'; size 16' by 12'\n%s }\nroom plant { kind utility; "
             "corner 16'-4 1/2\", 0'; size 8' by 12' }\n"
             "panel P { in plant west at 4' up 5'; main 100 A; spaces 20 }\n%s",
             kind, things, circuits);
    return text;
}

static const char one_20[] = "circuit P.1 { breaker 20 A; run P -> r.B1 }\n";

/* W61: a receptacle less than 6 ft from the kitchen sink, the refrigerator's: 2014 and later, yes.
 * https://forums.mikeholt.com/threads/kitchen-gfci-and-210-8-a-7.116040 */
static void a_refrigerator_by_the_sink(void **state)
{
    (void)state;
    assert_string_equal(
        by_edition("gfci-missing",
                   room("kitchen", "sink north at 2' wide 2'; box B1 north at 8' { refrigerator }",
                        one_20)),
        "1 1 1");
    /* 8 ft away a kitchen receptacle that serves no counter is asked for from 2023 on: gfci_210_8A,
     * "kitchen other receptacles". */
    assert_string_equal(
        by_edition("gfci-missing",
                   room("kitchen", "sink north at 2' wide 2'; box B1 north at 13' { refrigerator }",
                        one_20)),
        "0 0 1");
    /* One that serves a counter always is. */
    assert_string_equal(
        by_edition("gfci-missing",
                   room("kitchen",
                        "counter north at 10' wide 5'; box B1 north at 13' up 42\" { receptacle }",
                        one_20)),
        "1 1 1");
    assert_string_equal(
        by_edition("gfci-missing",
                   room("kitchen",
                        "counter north at 10' wide 5'; box B1 north at 13' up 16\" { receptacle }",
                        one_20)),
        "0 0 1");
}

/* The distance to a sink: 2017 not through a doorway, 2020 and later through it. See
 * https://iaeimagazine.org */
static void a_doorway_before_the_sink(void **state)
{
    (void)state;
    static const char rest[] = "room r { kind hall; corner 0', 0'; size 10' by 8'; door east at 3' "
                               "wide 3' to w; box B1 east at 2' { receptacle } }\n"
                               "room w { kind workshop; corner 10'-4 1/2\", 0'; size 10' by 8'; "
                               "sink west at 5'-6\" wide 2' }\n"
                               "panel P { in r south at 8' up 5'; main 100 A; spaces 20 }\ncircuit "
                               "P.1 { breaker 20 A afci; run P -> r.B1 }\n";
    assert_string_equal(by_edition("gfci-missing", rest), "0 1 1");
}

/* W64: a 240 V, 30 A dryer receptacle in the laundry: 2017 no, 2020 and later yes.
 * https://ecmweb.com/national-electrical-code/article/21129151/recent-rule-changes-for-gfci-protection
 */
static void a_dryer_in_the_laundry(void **state)
{
    (void)state;
    assert_string_equal(
        by_edition("gfci-missing", room("laundry", "box B1 north at 8' { dryer-receptacle }",
                                        "circuit P.1 { breaker 30 A two-pole; run P -> r.B1 }\n")),
        "0 1 1");
    assert_string_equal(
        by_edition("gfci-missing",
                   room("laundry", "box B1 north at 8' { dryer-receptacle }",
                        "circuit P.1 { breaker 30 A two-pole gfci; run P -> r.B1 }\n")),
        "0 0 0");
}

/* A range receptacle in the kitchen, away from the sink, from 2023 on. */
static void a_range_in_the_kitchen(void **state)
{
    (void)state;
    assert_string_equal(
        by_edition("gfci-missing", room("kitchen", "box B1 north at 8' { range-receptacle }",
                                        "circuit P.1 { breaker 50 A two-pole; run P -> r.B1 }\n")),
        "0 0 1");
}

/* W65: a receptacle in a finished basement room: 2017 no, 2020 and later yes.
 * https://pdf4pro.com/amp/view/2020-nec-changes-5f868d.html */
static void a_finished_basement(void **state)
{
    (void)state;
    static const char rest[] = "level low { below-grade }\nroom r { kind office; size 16' by 12'; "
                               "box B1 north at 8' { receptacle } }\n"
                               "panel P { in r south at 14' up 5'; main 100 A; spaces 20 "
                               "}\ncircuit P.1 { breaker 20 A afci; run P -> r.B1 }\n";
    assert_string_equal(by_edition("gfci-missing", rest), "0 1 1");
    assert_string_equal(
        by_edition("gfci-missing", room("basement", "box B1 north at 8' { receptacle }", one_20)),
        "1 1 1");
}

/* W66: a wired-in air conditioner outdoors on 60 A is outside the 50 A of 210.8(F); on 30 A it is
 * inside in 2020; in 2023 listed equipment was exempt until 1 September 2026. A plan is held to the
 * day that it says, year first; without such a day the exemption is over.
 * https://iaeimagazine.org/issue/2021-september-october/gfci-protection-at-air-conditioning-units,
 * https://www.acca.org/news/release/acca-releases-statement-on-nfpa-standards-council-decision-on-nec-appeals
 */
static void an_air_conditioner_outdoors(void **state)
{
    (void)state;
    static const char ac[] = "box B1 north at 8' { air-conditioner mca 40 A max-breaker 60 A }";
    assert_string_equal(
        by_edition("gfci-missing",
                   room("outdoors", ac, "circuit P.1 { breaker 60 A two-pole; run P -> r.B1 }\n")),
        "0 0 0");
    assert_string_equal(
        by_edition("gfci-missing",
                   room("outdoors",
                        "box B1 north at 8' { air-conditioner mca 20 A max-breaker 30 A }",
                        "circuit P.1 { breaker 30 A two-pole; run P -> r.B1 }\n")),
        "0 1 1");
    assert_string_equal(
        by_edition("gfci-missing", room("outdoors", "box B1 north at 8' { water-heater }",
                                        "circuit P.1 { breaker 30 A two-pole; run P -> r.B1 }\n")),
        "0 1 1");
}

/* What a plan's date does to the exemption of 2023, and what is said of a plan whose date is no
 * day.
 */
static void an_exemption_that_has_ended(void **state)
{
    (void)state;
    static const struct {
        const char *date, *clauses, *note;
        unsigned missing;
        bool asked;
    } cases[] = {
        {"", "", "a plan with an earlier 'date' keeps the exemption", 1, true},
        {"date \"2026-08-31\"", "", NULL, 0, false},
        {"date \"2024-02-29\"", "", NULL, 0, false},
        {"date \"2026-09-01\"", "", "the edition exempted it until 2026-09-01", 1, false},
        {"date \"2026-02-30\"", "", "'2026-02-30', does not count", 1, true},
        {"date \"31 May 2026\"", "", "'31 May 2026', does not count", 1, true},
        {"date \"\"", "", "does not count", 1, true},
        {"", " gfci", NULL, 0, false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[700];
        struct compilation c;
        snprintf(text, sizeof text,
                 "plan \"Test\" { edition nec-2023; %s }\nroom r { kind outdoors; corner 0', 0'; "
                 "size 16' by 12'\nbox B1 north at 8' { heat-pump mca 20 A max-breaker 30 A } }\n"
                 "room plant { kind utility; corner 16'-4 1/2\", 0'; size 8' by 12' }\n"
                 "panel P { in plant west at 4' up 5'; main 100 A; spaces 20 }\n"
                 "circuit P.1 { breaker 30 A two-pole%s; run P -> r.B1 }\n",
                 cases[i].date, cases[i].clauses);
        compile_text(&c, text);
        const struct finding *f = finding_of(&c, "gfci-missing", 0);
        const char *words = unchecked_words(&c.arena, &c.diag, c.verdict);
        assert_int_equal(findings_of(&c, "gfci-missing"), cases[i].missing);
        assert_true(!f == !cases[i].note);
        if (f)
            assert_non_null(strstr(f->related[0].message, cases[i].note));
        assert_int_equal(strstr(words, "still exempted r.B1") != NULL, cases[i].asked);
        compile_free(&c);
    }
}

/* Dishwasher: 2017 210.8(D), 2020 422.5(A)(7), 2023 210.8(D); crawl-space lights: 2017 210.8(E),
 * later 210.8(C). */
static void articles_move(void **state)
{
    (void)state;
    static const char *const washer[] = {"NEC 2017 210.8(D)", "NEC 2020 422.5(A)(7)",
                                         "NEC 2023 210.8(D)"};
    static const char *const light[] = {"NEC 2017 210.8(E)", "NEC 2020 210.8(C)",
                                        "NEC 2023 210.8(C)"};
    static const char *const arc[] = {"NEC 2017 210.12(A)", "NEC 2020 210.12(A)",
                                      "NEC 2023 210.12(B)"};
    for (int i = 0; i < EDITIONS; i++) {
        struct compilation c;
        char plan[4000];
        snprintf(plan, sizeof plan, "plan \"Test\" { edition %s }\n%s", editions[i],
                 room("workshop", "box B1 north at 8' { dishwasher }", one_20));
        assert_string_equal(
            compile_fault(&c, plan, "gfci-missing", "on the edition's list")->article, washer[i]);
        compile_free(&c);
        snprintf(plan, sizeof plan, "plan \"Test\" { edition %s }\n%s", editions[i],
                 room("crawl-space", "box B1 overhead at 8', 6' { luminaire }", one_20));
        assert_string_equal(
            compile_fault(&c, plan, "gfci-missing", "lights a place of kind crawl-space")->article,
            light[i]);
        compile_free(&c);
        snprintf(plan, sizeof plan, "plan \"Test\" { edition %s }\n%s", editions[i],
                 room("closet", "box B1 overhead at 8', 6' { luminaire }", one_20));
        assert_string_equal(compile_fault(&c, plan, "afci-missing", "kind closet")->article,
                            arc[i]);
        compile_free(&c);
    }
}

/* W67: a bathroom's circuit with no other rooms, not required.
 * http://forums.mikeholt.com/threads/2571897 W68: a closet's light, required.
 * https://www.ecmag.com/magazine/articles/article-detail/island-receptacles-afcis-in-closets-and-more
 */
static void rooms_of_arc_faults(void **state)
{
    (void)state;
    assert_string_equal(
        by_edition("afci-missing", room("bath", "box B1 north at 8' { receptacle-gfci }", one_20)),
        "0 0 0");
    assert_string_equal(
        by_edition("afci-missing", room("closet", "box B1 overhead at 8', 6' { luminaire }",
                                        "circuit P.1 { breaker 15 A; run P -> r.B1 }\n")),
        "1 1 1");
    /* Ratings: 10 A from 2023 on (recalled); 240 V and 30 A never. */
    assert_string_equal(
        by_edition("afci-missing", room("living", "box B1 north at 8' { baseboard }",
                                        "circuit P.1 { breaker 20 A two-pole; run P -> r.B1 }\n")),
        "0 0 0");
    assert_string_equal(
        by_edition("afci-missing",
                   room("living", "box B1 north at 8' { receptacle }",
                        "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 }\n")),
        "0 0 0");
}

/* A2: the switch of an outdoor light that stands in a hall brings its circuit in.
 * http://forums.mikeholt.com/threads/2571897 */
static void a_switch_brings_its_circuit_in(void **state)
{
    (void)state;
    static const char rest[] =
        "room r { kind hall; corner 0', 0'; size 10' by 8'; box S1 north at 2' { switch leg yard } "
        "}\n"
        "room y { kind outdoors; corner 0', 8'-4 1/2\"; size 10' by 8'; box L1 south at 4' up 78\" "
        "{ wall-luminaire leg yard } }\n"
        "leg yard \"Yard light\"\npanel P { in r south at 8' up 5'; main 100 A; spaces 20 "
        "}\ncircuit P.1 { breaker 15 A; run P -> r.S1 -> y.L1 }\n";
    assert_string_equal(by_edition("afci-missing", rest), "1 1 1");
}

/* Through devices that protect onward, along line-side runs, through the switch of a leg, from a
 * feeder's breaker. */
static void protection_is_followed(void **state)
{
    (void)state;
    static const char two[] =
        "box B1 north at 2' { receptacle-gfci onward }; box B2 north at 8' { receptacle }";
    assert_string_equal(
        by_edition("gfci-missing",
                   room("garage", two, "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 }\n")),
        "0 0 0");
    assert_string_equal(
        by_edition("gfci-missing",
                   room("garage", two,
                        "circuit P.1 { breaker 20 A; run P -> r.B1; run r.B1 -> B2 line-side }\n")),
        "1 1 1");
    static const char leg[] = "box B1 north at 2' { receptacle-gfci onward }; box S1 north at 8' { "
                              "switch leg a }; box B2 north at 12' { receptacle leg a }";
    assert_string_equal(
        by_edition(
            "gfci-missing",
            room("garage", leg, "circuit P.1 { breaker 20 A; run P -> r.B1 -> S1 -> B2 }\n")),
        "0 0 0");
    /* two devices one behind the other: the arc-fault one first */
    static const char chain[] = "box B1 north at 2' { receptacle-afci onward }; box B2 north at 8' "
                                "{ receptacle-gfci onward }; box B3 north at 12' { receptacle }";
    assert_string_equal(
        by_edition(
            "afci-missing",
            room("laundry", chain, "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 -> B3 }\n")),
        "0 0 0");
    assert_string_equal(
        by_edition(
            "gfci-missing",
            room("laundry", chain, "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 -> B3 }\n")),
        "1 1 1");
}

/* R2: 2017 as if all receptacles of the garage; 2020 those that must be there; 2023 further
 * circuits may stand beside it.
 * https://www.highlandsfl.gov/departments/development_services/building/nec_significant_changes.php
 */
static void a_second_circuit_in_the_garage(void **state)
{
    (void)state;
    static const char two[] =
        "box B1 north at 2' { receptacle-gfci }; box B2 north at 8' { receptacle-gfci }";
    assert_string_equal(
        by_edition("garage-circuit", room("garage", two,
                                          "circuit P.1 { breaker 20 A; run P -> r.B1 }\ncircuit "
                                          "P.2 { breaker 15 A; run P -> r.B2 }\n")),
        "1 0 0");
    assert_string_equal(
        by_edition("garage-circuit",
                   room("garage", two, "circuit P.1 { breaker 15 A; run P -> r.B1 -> B2 }\n")),
        "1 1 1");
}

/* R1: two small-appliance circuits or more, the counters by at least two, nothing else on them; one
 * bathroom may have the rest of itself. */
static void circuits_keep_to_themselves(void **state)
{
    (void)state;
    static const char three[] =
        "counter north at 0' wide 12'; box B1 north at 2' up 42\" { receptacle }; box B2 north at "
        "8' up 42\" { receptacle }; box B3 south at 4' { receptacle }";
    static const char split[] = "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 -> B2 "
                                "}\ncircuit P.2 { breaker 20 A dual-function; run P -> r.B3 }\n";
    assert_string_equal(by_edition("small-appliance-circuits", room("kitchen", three, split)),
                        "1 1 1");
    static const char both[] = "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 }\ncircuit "
                               "P.2 { breaker 20 A dual-function; run P -> r.B2 -> B3 }\n";
    assert_string_equal(by_edition("small-appliance-circuits", room("kitchen", three, both)),
                        "0 0 0");
    static const char hood[] = "box B1 north at 2' up 42\" { receptacle }; box B2 north at 8' up "
                               "42\" { receptacle }; box B3 north at 4' up 66\" { range-hood }";
    assert_string_equal(by_edition("no-other-outlets", room("kitchen", hood, both)), "1 1 1");
    static const char bath[] = "box B1 north at 2' { receptacle-gfci }; box S1 north at 5' { "
                               "switch leg a }; box L1 overhead at 8', 6' { luminaire leg a }";
    assert_string_equal(
        by_edition("no-other-outlets",
                   room("bath", bath, "circuit P.1 { breaker 20 A; run P -> r.B1 -> S1 -> L1 }\n")),
        "0 0 0");
}

/* 210.23, 422.12, 110.3(B): asked of a furnace, advised of a refrigerator. */
static void asked_or_advised(void **state)
{
    (void)state;
    struct compilation c;
    char plan[4000];
    snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2023 }\n%s",
             room("workshop",
                  "box B1 north at 2' { furnace }; box B2 north at 8' { receptacle-gfci }",
                  "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 }\n"));
    const struct finding *f =
        compile_fault(&c, plan, "individual-circuit", "wants a circuit of its own");
    assert_int_equal(f->severity, ERROR);
    assert_string_equal(f->article, "NEC 2023 422.12");
    compile_free(&c);
    snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2023 }\n%s",
             room("workshop",
                  "box B1 north at 2' { refrigerator }; box B2 north at 8' { receptacle }",
                  "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 }\n"));
    compile_sound(&c, plan);
    assert_int_equal(finding_of(&c, "individual-circuit", 0)->severity, WARNING);
    assert_string_equal(finding_of(&c, "individual-circuit", 0)->article, "NEC 2023 110.3(B)");
    compile_free(&c);
}

/* A3: 6 ft of new cable without a new outlet is free. (Facts, section 1.4; 6 ft recalled.) */
static void a_short_extension_is_free(void **state)
{
    (void)state;
    static const char plan[] =
        "room r { kind hall; size 30' by 8'; box J1 overhead at 2', 4' { existing; type "
        "octagon-2-1-8-deep; holds 2 of 14; grounds 1 }; box J2 overhead at %s, 4' { cover blank } "
        "}\n"
        "panel P { existing; in r south at 20' up 5'; main 100 A; spaces 20 }\n"
        "circuit P.1 { existing; breaker 15 A; load 100 VA; upstream 20' of 14; run r.J1 -> J2 }\n";
    char text[1000];
    snprintf(text, sizeof text, plan, "6'");
    assert_string_equal(by_edition("extension-afci", text), "0 0 0");
    snprintf(text, sizeof text, plan, "14'");
    assert_string_equal(by_edition("extension-afci", text), "1 1 1");
}

/* IRC R314.3: in each bedroom, outside, on every storey.
 * https://buildingcodetrainer.com/smoke-alarm-locations/ */
static void alarms_of_a_house(void **state)
{
    (void)state;
    static const char house[] =
        "level low { floor 0' }\nlevel high { floor 9' }\n"
        "room r { on low; kind living; corner 0', 0'; size 16' by 12'; %s }\n"
        "room h { on high; kind hall; corner 0', 0'; size 16' by 5'; door north at 4' wide 3' to "
        "b; %s }\n"
        "room b { on high; kind bedroom; corner 0', 5'-4 1/2\"; size 16' by 7'; %s }\n"
        "panel P { in r south at 14' up 5'; main 100 A; spaces 20 }\ncircuit P.1 { breaker 15 A "
        "afci; run P -> %s }\n";
    static const char low[] = "box A1 overhead at 8', 6' { smoke-alarm }",
                      hall[] = "box A1 overhead at 8', 3' { smoke-alarm }",
                      bed[] = "box A1 overhead at 8', 3' { smoke-alarm }";
    char text[2000];
    snprintf(text, sizeof text, house, low, hall, bed, "r.A1 -> h.A1 -> b.A1");
    assert_string_equal(by_edition("smoke-alarm", text), "0 0 0");
    snprintf(text, sizeof text, house, low, hall, "", "r.A1 -> h.A1");
    assert_string_equal(by_edition("smoke-alarm", text), "1 1 1");
    snprintf(text, sizeof text, house, low, "", bed, "r.A1 -> b.A1");
    assert_string_equal(by_edition("smoke-alarm", text), "1 1 1");
    snprintf(text, sizeof text, house, "", hall, bed, "h.A1 -> b.A1");
    assert_string_equal(by_edition("smoke-alarm", text), "1 1 1");
    snprintf(text, sizeof text, house, "", "", "box R1 north at 3' { receptacle }", "b.R1");
    assert_string_equal(by_edition("smoke-alarm", text), "3 3 3");
}

/* An area of a room to sleep in is asked for an alarm of its own, and the rest of the room is its
 * outside. */
static void a_place_to_sleep_in_an_open_room(void **state)
{
    (void)state;
    static const char loft[] = "area bed kind bedroom from 0', 0' size 8' by 12'; box A1 overhead "
                               "at 4', 6' { smoke-alarm }; %s";
    char things[1000];
    snprintf(things, sizeof things, loft, "box A2 overhead at 14', 6' { smoke-alarm }");
    assert_string_equal(
        by_edition("smoke-alarm", room("living", things,
                                       "circuit P.1 { breaker 15 A afci; run P -> r.A1 -> A2 }\n")),
        "0 0 0");
    snprintf(things, sizeof things, loft, "");
    assert_string_equal(
        by_edition("smoke-alarm",
                   room("living", things, "circuit P.1 { breaker 15 A afci; run P -> r.A1 }\n")),
        "1 1 1");
}

/* A studio of one room with a bath has nothing before its bedroom but itself; a loft that a stair
 * joins to the room below has that (our reading of R314.3, 2). */
static void what_is_outside_a_bedroom(void **state)
{
    (void)state;
    assert_string_equal(
        by_edition("smoke-alarm",
                   room("living bedroom", "box A1 overhead at 8', 6' { smoke-alarm }",
                        "circuit P.1 { breaker 15 A afci; run P -> r.A1 }\n")),
        "0 0 0");
    assert_string_equal(
        by_edition("smoke-alarm", room("bedroom", "box A1 overhead at 8', 6' { smoke-alarm }",
                                       "circuit P.1 { breaker 15 A afci; run P -> r.A1 }\n")),
        "1 1 1");
    static const char loft[] = "level main { floor 0' }\nlevel up { floor 9' }\n"
                               "room l { on main; kind living; corner 0', 0'; size 16' by 12'; %s; "
                               "box A1 overhead at 8', 6' { smoke-alarm } }\n"
                               "room b { on up; kind bedroom; corner 0', 0'; size 16' by 12'; box "
                               "A1 overhead at 8', 6' { smoke-alarm } }\n"
                               "panel P { in l south at 14' up 5'; main 100 A; spaces 20 "
                               "}\ncircuit P.1 { breaker 15 A afci; run P -> l.A1 -> b.A1 }\n";
    char text[2000];
    snprintf(text, sizeof text, loft, "stairs 14 risers from l to b");
    assert_string_equal(by_edition("smoke-alarm", text), "0 0 0");
    snprintf(text, sizeof text, loft, "finish 1/2\"");
    assert_string_equal(by_edition("smoke-alarm", text), "1 1 1");
}

/* R315.2: an attached garage with a door to the house.
 * https://proctorhldg.com/library/carbon-monoxide-alarm-placement */
static void a_garage_that_joins_the_house(void **state)
{
    (void)state;
    static const char house[] = "room r { kind bedroom; corner 0', 0'; size 16' by 12'; door north "
                                "at 3' wide 3' to h; box A1 overhead at 8', 6' { smoke-alarm } }\n"
                                "room h { kind hall; corner 0', 12'-4 1/2\"; size 16' by 5'; box "
                                "A1 overhead at 8', 3' { smoke-alarm } }\n"
                                "room g { kind garage; %s; corner 16'-4 1/2\", 0'; size 14' by "
                                "20'; door west at 4' wide 3' %s }\n"
                                "panel P { in r south at 14' up 5'; main 100 A; spaces 20 "
                                "}\ncircuit P.1 { breaker 15 A afci; run P -> r.A1 -> h.A1 }\n";
    char text[2000];
    snprintf(text, sizeof text, house, "attached", "to h");
    assert_string_equal(by_edition("carbon-monoxide-alarm", text), "1 1 1");
    snprintf(text, sizeof text, house, "attached", "to outside");
    assert_string_equal(by_edition("carbon-monoxide-alarm", text), "0 0 0");
    snprintf(text, sizeof text, house, "detached", "to h");
    assert_string_equal(by_edition("carbon-monoxide-alarm", text), "0 0 0");
}

/* R314.3.3: photoelectric alarms 6 ft from cooking, others 10 ft with a silence button: an error
 * below, a note between. */
static void alarms_and_cooking(void **state)
{
    (void)state;
    for (int i = 0; i < 3; i++) {
        struct compilation c;
        char plan[4000], things[500];
        snprintf(things, sizeof things,
                 "range north at 2' wide 2'-6\"; box A1 overhead at 3', %s { smoke-alarm }",
                 i == 0   ? "8'"
                 : i == 1 ? "4'"
                          : "1'");
        snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2020 }\n%s",
                 room("dining", things, "circuit P.1 { breaker 15 A afci; run P -> r.A1 }\n"));
        compile_text(&c, plan);
        const struct finding *f = finding_of(&c, "alarm-too-near", 0);
        assert_int_equal(f ? (int)f->severity : -1, i == 0 ? ERROR : i == 1 ? NOTE : -1);
        compile_free(&c);
    }
}

/* Not behind a GFCI device: R314.6. Its breaker may be of any kind. */
static void an_alarm_behind_a_device(void **state)
{
    (void)state;
    static const char boxes[] =
        "box B1 north at 2' { receptacle-gfci onward }; box A1 overhead at 8', 6' { smoke-alarm }";
    assert_string_equal(
        by_edition("alarm-switched",
                   room("workshop", boxes, "circuit P.1 { breaker 20 A; run P -> r.B1 -> A1 }\n")),
        "1 1 1");
    assert_string_equal(
        by_edition(
            "alarm-switched",
            room("workshop", boxes,
                 "circuit P.1 { breaker 20 A gfci; run P -> r.B1; run r.B1 -> A1 line-side }\n")),
        "0 0 0");
}

/* 406.4(D): what the old one did without. */
static void replaced_receptacles(void **state)
{
    (void)state;
    static const char old[] = "box B1 north at 8' { existing; type old-work-1g-20; holds 2 of 14; "
                              "grounds %u; %s existing no }";
    static const char circuit[] =
        "circuit P.1 { existing; breaker 15 A%s; load 0 VA; run P -> r.B1 existing }\n";
    static const struct {
        unsigned grounds;
        const char *device, *breaker, *article, *mend;
    } cases[] = {
        {0, "receptacle", " afci", "NEC 2023 406.4(D)(2)", "'receptacle-gfci' in its place"},
        {0, "receptacle", "", "NEC 2023 406.4(D)(2)", "'receptacle-dual' in its place"},
        {1, "receptacle", "", "NEC 2023 406.4(D)(4)", "'receptacle-afci' in its place"},
        {1, "receptacle-plain", " afci", "NEC 2023 406.4(D)(5)", "such as 'receptacle'"},
        {0, "receptacle-gfci", " afci", NULL, NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char plan[4000], box[500], run[500];
        snprintf(box, sizeof box, old, cases[i].grounds, cases[i].device);
        snprintf(run, sizeof run, circuit, cases[i].breaker);
        snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2023 }\n%s",
                 room("living", box, run));
        compile_text(&c, plan);
        const struct finding *f = finding_of(&c, "replacement-receptacle", 0);
        if (cases[i].article)
            assert_string_equal(f ? f->article : "none", cases[i].article);
        if (cases[i].mend)
            assert_non_null(strstr(f->mend, cases[i].mend));
        else
            assert_null(f);
        compile_free(&c);
    }
}

/* What comes to an old box without a ground brings none, whether the plan counts its conductors or
 * names its cable; and who follows a mend meets no other finding: 406.4(D)(2) and (4). */
static void old_cables_without_a_ground(void **state)
{
    (void)state;
    static const struct {
        const char *cable, *device, *breaker, *mend;
    } cases[] = {
        {"14/2-old", "receptacle", "", "'receptacle-dual' in its place, or 'dual-function'"},
        {"14/2-old", "receptacle-gfci", "", "'receptacle-dual' in its place, or 'afci'"},
        {"14/2-old", "receptacle-afci", "", "'receptacle-dual' in its place, or 'gfci'"},
        {"14/2-old", "receptacle", "afci", "'receptacle-gfci' in its place"},
        {"14/2-old", "receptacle-dual", "", NULL},
        {"14/2-old", "receptacle", "dual-function", NULL},
        {"14/2", "receptacle-gfci", "", "'receptacle-afci' in its place"},
        {"14/2", "receptacle", "afci", NULL},
        {"unknown", "receptacle", "afci", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char plan[4000], box[200], run[300];
        snprintf(box, sizeof box, "box B1 north at 8' { existing; type unknown; %s existing no }",
                 cases[i].device);
        snprintf(run, sizeof run,
                 "circuit P.1 { existing; breaker 15 A %s; run P -> r.B1 existing cable %s }\n",
                 cases[i].breaker, cases[i].cable);
        snprintf(plan, sizeof plan,
                 "plan \"Test\" { edition nec-2023 }\ncable 14/2-old : 14/2 { ground none }\n%s",
                 room("living", box, run));
        compile_text(&c, plan);
        const struct finding *f = finding_of(&c, "replacement-receptacle", 0);
        if (!f != !cases[i].mend || (f && !strstr(f->mend, cases[i].mend)))
            fail_msg("%s on %s: %s", cases[i].device, cases[i].cable, f ? f->mend : "nothing");
        compile_free(&c);
    }
}

/* In the weather a new receptacle in an old box is a weather-resistant one: 406.4(D)(6). */
static void replaced_in_the_weather(void **state)
{
    (void)state;
    static const struct {
        const char *kind, *device, *mend;
    } cases[] = {
        {"outdoors", "receptacle-gfci", "'receptacle-gfci-wr' in its place"},
        {"outdoors", "receptacle", "'receptacle-gfci-wr' in its place"},
        {"deck; covered", "receptacle-gfci", "'receptacle-gfci-wr' in its place"},
        {"outdoors", "receptacle-wr", "'receptacle-gfci' in its place"},
        {"outdoors", "receptacle-gfci-wr", NULL},
        {"garage", "receptacle-gfci", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char plan[4000], box[200];
        snprintf(box, sizeof box,
                 "box B1 north at 8' up 24\" { existing; type unknown; %s existing no }",
                 cases[i].device);
        snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2020 }\n%s",
                 room(cases[i].kind, box,
                      "circuit P.1 { existing; breaker 20 A; run P -> r.B1 existing }\n"));
        compile_text(&c, plan);
        const struct finding *f = finding_of(&c, "replacement-receptacle", 0);
        if (!f != !cases[i].mend || (f && !strstr(f->mend, cases[i].mend)))
            fail_msg("%s, %s: %s", cases[i].kind, cases[i].device, f ? f->mend : "nothing");
        compile_free(&c);
    }
}

/* --- places, things and circuits that all editions ask alike ------------------------------ */

/* Storage and work in a building apart, with its floor at or below grade, not to be lived in:
 * 210.8(A)(2). https://forums.mikeholt.com/threads/210-8-a-2.2590308 says that a floor raised above
 * grade is exempt. */
static void buildings_apart(void **state)
{
    (void)state;
    static const char shed[] =
        "level ground { floor %s }\nroom r { on ground; kind %s; %s corner 0', 0'; size 16' by "
        "12'; box B1 north at 2' { receptacle }; %s }\n"
        "room s { on ground; kind %s; corner 0', 12'-4 1/2\"; size 16' by 12' }\nroom plant { on "
        "ground; kind utility; corner 40', 0'; size 8' by 12' }\n"
        "panel P { in plant west at 4' up 5'; main 100 A; spaces 20 }\ncircuit P.1 { breaker 20 A; "
        "run P -> r.B1 }\n";
    static const struct {
        const char *floor, *kind, *stands, *door, *next, *found;
        bool undecided;
    } cases[] = {
        {"0'", "storage", "detached;", "", "closet", "1 1 1", false},
        {"0'", "workshop", "detached;", "door north at 8' wide 3' to s", "closet", "1 1 1", false},
        {"0'", "workshop", "detached;", "door north at 8' wide 3' to s", "living", "0 0 0",
         false}, /* of a building to live in */
        {"0'", "workshop", "attached;", "", "living", "0 0 0", false},
        {"0'", "workshop", "", "door north at 8' wide 3' to s", "hall", "0 0 0", false},
        {"0'", "workshop", "", "door north at 8' wide 3' to outside", "hall", "0 0 0", true},
        {"18\"", "workshop", "detached;", "", "hall", "0 0 0",
         true}, /* of the lowest floor, raised: on the ground or not */
        {"0'", "office", "detached;", "", "hall", "0 0 0", false},
        {"-4'", "utility", "detached;", "", "closet", "1 1 1", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[3000], plan[4000];
        snprintf(text, sizeof text, shed, cases[i].floor, cases[i].kind, cases[i].stands,
                 cases[i].door, cases[i].next);
        assert_string_equal(by_edition("gfci-missing", text), cases[i].found);
        struct compilation c;
        snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2023 }\n%s", text);
        compile_text(&c, plan);
        assert_int_equal(c.protected->undecided.n, cases[i].undecided);
        const char *words = unchecked_words(&c.arena, &c.diag, c.verdict);
        assert_int_equal(strstr(words, "whether r stands apart from a dwelling, on the ground") !=
                             NULL,
                         cases[i].undecided);
        compile_free(&c);
    }
}

/* 210.8(F) as of 2023 names garages and buildings apart: outlets on their outside, or all that is
 * wired in there? The words allow both, so that the plan's author is told to ask. */
static void wired_in_in_a_garage(void **state)
{
    (void)state;
    static const struct {
        const char *edition, *kind, *box, *clauses;
        bool told;
    } cases[] = {
        {"nec-2023", "garage; attached", "ev-supply 7200 W", "breaker 40 A two-pole", true},
        {"nec-2023", "garage; detached", "heater 3000 W", "breaker 20 A two-pole", true},
        {"nec-2023", "workshop; detached", "heater 3000 W", "breaker 20 A two-pole", true},
        {"nec-2023", "workshop; attached", "heater 3000 W", "breaker 20 A two-pole", false},
        {"nec-2023", "garage; attached", "ev-supply 7200 W", "breaker 40 A two-pole gfci", false},
        {"nec-2023", "garage; attached", "ev-supply 11 kW", "breaker 60 A two-pole", false},
        {"nec-2023", "garage; attached", "luminaire", "breaker 15 A", false},
        {"nec-2023", "garage; attached", "air-conditioner mca 18 A max-breaker 25 A",
         "breaker 25 A two-pole", true},
        {"nec-2023; date \"2026-08-31\"", "garage; attached",
         "air-conditioner mca 18 A max-breaker 25 A", "breaker 25 A two-pole", false},
        {"nec-2026", "garage; attached", "air-conditioner mca 18 A max-breaker 25 A",
         "breaker 25 A two-pole", false},
        {"nec-2023", "utility", "heater 3000 W", "breaker 20 A two-pole", false},
        {"nec-2020", "garage; attached", "ev-supply 7200 W", "breaker 40 A two-pole", false},
        {"nec-2017", "garage; attached", "ev-supply 7200 W", "breaker 40 A two-pole", false},
        {"nec-2023", "garage; attached", "heater 3000 W existing",
         "existing; breaker 20 A two-pole", false},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[700];
        struct compilation c;
        snprintf(
            text, sizeof text,
            "plan \"Test\" { edition %s }\nroom r { kind %s; corner 0', 0'; size 16' by 12'\nbox "
            "B1 north at 8' { %s } }\nroom plant { kind utility; corner 16'-4 1/2\", 0'; size 8' "
            "by 12' }\npanel P { in plant west at 4' up 5'; main 100 A; spaces 20 }\n"
            "circuit P.1 { %s; run P -> r.B1 }\n",
            cases[i].edition, cases[i].kind, cases[i].box, cases[i].clauses);
        compile_text(&c, text);
        const char *words = unchecked_words(&c.arena, &c.diag, c.verdict);
        if ((strstr(words, "whether what is wired in at r.B1 wants GFCI") != NULL) != cases[i].told)
            fail_msg("%s: %s on %s", cases[i].kind, cases[i].box, cases[i].clauses);
        assert_int_equal(findings_of(&c, "gfci-missing"), 0);
        compile_free(&c);
    }
}

/* What a book asks of a kind holds of one that the plan bases on it; its own row, where an
 * amendment gives it one, comes first. */
static void kinds_of_the_plan(void **state)
{
    (void)state;
    static const char den[] =
        "kind den : family \"Den\" { }\nkind wash : laundry \"Wash house\" { }\n";
    char text[3500];
    snprintf(text, sizeof text, "%s%s", den,
             room("den", "box B1 north at 8' { receptacle }",
                  "circuit P.1 { breaker 15 A; run P -> r.B1 }\n"));
    assert_string_equal(by_edition("afci-missing", text), "1 1 1");
    snprintf(text, sizeof text, "%s%s", den,
             room("wash", "box B1 north at 8' { receptacle }", one_20));
    assert_string_equal(by_edition("gfci-missing", text), "1 1 1");
    snprintf(text, sizeof text,
             "%samend nec-2017 because \"town\" { list afci-places { without family } }\n%s", den,
             room("den", "box B1 north at 8' { receptacle }",
                  "circuit P.1 { breaker 15 A; run P -> r.B1 }\n"));
    assert_string_equal(by_edition("afci-missing", text), "0 0 0");
}

/* 680.71: a GFCI and a circuit of its own for a hydromassage tub, in all editions.
 * http://solar365.com/green-homes/national-electric-code-2008/swimming-pools--fountains-and-similar-installations
 */
static void whirlpool_tubs(void **state)
{
    (void)state;
    static const char tub[] =
        "tub north at 4' wide 5'; basin south at 2' wide 2'; box W1 north at 6' up 6\" { whirlpool "
        "}; box B1 south at 5' up 42\" { receptacle-gfci }";
    assert_string_equal(
        by_edition("gfci-missing", room("bath", tub,
                                        "circuit P.1 { breaker 20 A; run P -> r.W1 }\ncircuit P.2 "
                                        "{ breaker 20 A; run P -> r.B1 }\n")),
        "1 1 1");
    assert_string_equal(
        by_edition("gfci-missing", room("bath", tub,
                                        "circuit P.1 { breaker 20 A gfci; run P -> r.W1 }\ncircuit "
                                        "P.2 { breaker 20 A; run P -> r.B1 }\n")),
        "0 0 0");
    assert_string_equal(
        by_edition("individual-circuit",
                   room("bath", tub, "circuit P.1 { breaker 20 A gfci; run P -> r.W1 -> B1 }\n")),
        "1 1 1");
    /* its device under the tub is not reached */
    static const char below[] = "tub north at 4' wide 5'; box G1 north at 6' up 10\" { "
                                "receptacle-gfci }; box G2 north at 2' up 42\" { receptacle-gfci }";
    assert_string_equal(
        by_edition("gfci-not-reachable",
                   room("bath", below, "circuit P.1 { breaker 20 A; run P -> r.G1 -> G2 }\n")),
        "1 1 1");
}

/* 625.40: a vehicle's outlet is alone on its circuit; of two that want to be alone the one whom the
 * book asks it for is named. */
static void alone_on_the_circuit(void **state)
{
    (void)state;
    static const char both[] =
        "box B1 north at 2' { refrigerator }; box B2 north at 8' { furnace }";
    struct compilation c;
    char plan[4000];
    snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2023 }\n%s",
             room("workshop", both, "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 }\n"));
    compile_text(&c, plan);
    assert_int_equal(findings_of(&c, "individual-circuit"), 1);
    assert_string_equal(finding_of(&c, "individual-circuit", 0)->article, "NEC 2023 422.12");
    compile_free(&c);
    static const char vehicles[] =
        "box B1 north at 2' { ev-supply }; box B2 north at 8' { ev-receptacle }";
    assert_string_equal(
        by_edition("individual-circuit",
                   room("workshop", vehicles,
                        "circuit P.1 { breaker 50 A two-pole gfci; run P -> r.B1 -> B2 }\n")),
        "1 1 1");
    /* 422.12, exception 1 (recalled): its own pump may be on the circuit of a furnace, another's
     * may not. */
    static const char pump[] = "box B1 north at 2' { %s }; box B2 north at 8' { condensate-pump }";
    char things[300];
    snprintf(things, sizeof things, pump, "furnace");
    assert_string_equal(
        by_edition(
            "individual-circuit",
            room("workshop", things, "circuit P.1 { breaker 20 A gfci; run P -> r.B1 -> B2 }\n")),
        "0 0 0");
    snprintf(things, sizeof things, pump, "whirlpool");
    assert_string_equal(
        by_edition(
            "individual-circuit",
            room("workshop", things, "circuit P.1 { breaker 20 A gfci; run P -> r.B1 -> B2 }\n")),
        "1 1 1");
    /* 422.16(B)(4): a hood with a cord; Table 220.55, note 4: cooktop and oven of one room may
     * share. */
    static const char hood[] =
        "box B1 north at 2' { range-hood-plugged }; box B2 north at 8' { receptacle }";
    assert_string_equal(
        by_edition("individual-circuit",
                   room("workshop", hood, "circuit P.1 { breaker 20 A; run P -> r.B1 -> B2 }\n")),
        "1 1 1");
    static const char cooking[] = "box B1 north at 2' { cooktop }; box B2 north at 8' { oven }";
    assert_string_equal(
        by_edition("individual-circuit",
                   room("kitchen", cooking,
                        "circuit P.1 { breaker 50 A two-pole gfci; run P -> r.B1 -> B2 }\n")),
        "0 0 0");
}

/* 210.52(B)(3): no circuit serves two kitchens. 210.52(B)(1), exception 1: a switched receptacle is
 * no business of these circuits. */
static void kitchens_keep_apart(void **state)
{
    (void)state;
    static const char two[] =
        "room r { kind kitchen; corner 0', 0'; size 16' by 12'; counter north at 0' wide 16'; box "
        "B1 north at 2' up 42\" { receptacle }; box B2 north at 9' up 42\" { receptacle } }\n"
        "room s { kind kitchen; corner 0', 20'; size 16' by 12'; counter north at 0' wide 16'; box "
        "B1 north at 2' up 42\" { receptacle }; box B2 north at 9' up 42\" { receptacle } }\n"
        "room plant { kind utility; corner 40', 0'; size 8' by 12' }\npanel P { in plant west at "
        "4' up 5'; main 100 A; spaces 20 }\n%s";
    char text[3500];
    snprintf(text, sizeof text, two,
             "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 -> s.B1 }\ncircuit P.2 { "
             "breaker 20 A dual-function; run P -> r.B2 }\ncircuit P.3 { breaker 20 A "
             "dual-function; run P -> s.B2 }\n");
    assert_string_equal(by_edition("small-appliance-circuits", text), "1 1 1");
    snprintf(text, sizeof text, two,
             "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 }\ncircuit P.2 { breaker 20 "
             "A dual-function; run P -> r.B2 }\n"
             "circuit P.3 { breaker 20 A dual-function; run P -> s.B1 -> B2 }\n");
    assert_string_equal(by_edition("small-appliance-circuits", text),
                        "1 1 1"); /* the counters of s */
    snprintf(text, sizeof text, two,
             "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 }\ncircuit P.2 { breaker 20 "
             "A dual-function; run P -> r.B2 }\n"
             "circuit P.3 { breaker 20 A dual-function; run P -> s.B1 }\ncircuit P.4 { breaker 20 "
             "A dual-function; run P -> s.B2 }\n");
    assert_string_equal(by_edition("small-appliance-circuits", text), "0 0 0");
    static const char lamp[] = "box B1 north at 2' { receptacle }; box S1 north at 5' { switch leg "
                               "a }; box B2 north at 8' { receptacle leg a }";
    snprintf(text, sizeof text, "room k { kind kitchen; corner 0', 30'; size 8' by 8' }\n%s",
             room("dining", lamp,
                  "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 -> S1 -> B2 }\n"));
    assert_string_equal(by_edition("no-other-outlets", text), "1 1 1");
    /* 210.52(B)(1), exception 2 (recalled): one appliance on a circuit of its own, 15 A or more. */
    static const char cold[] = "box B1 north at 2' { receptacle }; box B2 north at 5' { receptacle "
                               "}; box B3 north at 8' { %s }";
    for (int single = 0; single < 2; single++) {
        char things[500];
        snprintf(things, sizeof things, cold, single ? "receptacle-single" : "receptacle");
        assert_string_equal(
            by_edition("small-appliance-circuits",
                       room("kitchen", things,
                            "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 }\ncircuit "
                            "P.2 { breaker 20 A dual-function; run P -> r.B2 }\n"
                            "circuit P.3 { breaker 15 A dual-function; run P -> r.B3 }\n")),
            single ? "0 0 0" : "1 1 1");
    }
}

/* 210.52(B)(1): the refrigerator's receptacle is on a small-appliance circuit, or alone on one of
 * 15 A or more (exception 2, recalled). */
static void the_refrigerators_circuit(void **state)
{
    (void)state;
    static const char cold[] =
        "box B1 north at 2' { receptacle }; box B2 north at 5' { receptacle }; box B3 north at 8' "
        "{ refrigerator }; box B4 north at 12' { range-gas }";
    static const char *const circuits[] = {
        "circuit P.3 { breaker 15 A dual-function; run P -> r.B3 -> B4 }\n",
        "circuit P.3 { breaker 15 A dual-function; run P -> r.B3 }\ncircuit P.4 { breaker 15 A "
        "dual-function; run P -> r.B4 }\n",
        "circuit P.3 { breaker 20 A dual-function; run P -> r.B3 -> B4 }\n"};
    static const char *const found[] = {"1 1 1", "0 0 0", "0 0 0"};
    for (size_t i = 0; i < 3; i++) {
        char text[1000];
        snprintf(text, sizeof text,
                 "circuit P.1 { breaker 20 A dual-function; run P -> r.B1 }\ncircuit P.2 { breaker "
                 "20 A dual-function; run P -> r.B2 }\n%s",
                 circuits[i]);
        assert_string_equal(by_edition("small-appliance-circuits", room("kitchen", cold, text)),
                            found[i]);
    }
}

/* 210.11(C)(2), (3): a room that is bath and laundry has a circuit for each. */
static void a_laundry_in_the_bath(void **state)
{
    (void)state;
    static const char things[] = "basin north at 2' wide 2'; box B1 north at 5' up 42\" { "
                                 "receptacle-gfci }; box B2 south at 5' { receptacle-gfci }";
    assert_string_equal(
        by_edition("laundry-circuit",
                   room("bath laundry", things,
                        "circuit P.1 { breaker 20 A afci; run P -> r.B1 -> B2 }\n")),
        "1 1 1");
    assert_string_equal(by_edition("laundry-circuit",
                                   room("bath laundry", things,
                                        "circuit P.1 { breaker 20 A afci; run P -> r.B1 }\ncircuit "
                                        "P.2 { breaker 20 A afci; run P -> r.B2 }\n")),
                        "0 0 0");
    /* A switch outside the bathroom is no outlet: the circuit serves one bathroom all the same. */
    static const char rest[] =
        "room r { kind bath; corner 0', 0'; size 10' by 8'; basin north at 2' wide 2'; box B1 "
        "north at 5' up 42\" { receptacle-gfci }; box L1 overhead at 4', 4' { luminaire leg a } }\n"
        "room h { kind hall; corner 10'-4 1/2\", 0'; size 4' by 8'; box S1 west at 2' { switch leg "
        "a } }\nleg a \"Bath light\"\n"
        "room plant { kind utility; corner 40', 0'; size 8' by 12' }\npanel P { in plant west at "
        "4' up 5'; main 100 A; spaces 20 }\n"
        "circuit P.1 { breaker 20 A afci; run P -> h.S1 -> r.B1; run h.S1 -> r.L1 }\n";
    assert_string_equal(by_edition("no-other-outlets", rest), "0 0 0");
}

/* What would mend it is true of the wiring: the nearest box before it, what its device lacks, or
 * the breaker alone. */
static void mends_follow_the_wiring(void **state)
{
    (void)state;
    static const struct {
        const char *boxes, *circuit, *mend;
    } cases[] = {
        {"box B1 north at 2' { receptacle }; box B2 north at 8' { receptacle-gfci }",
         "run P -> r.B1 -> B2", "a GFCI receptacle here, or 'gfci' on the breaker"},
        {"box B1 north at 2' { receptacle-gfci }; box B2 north at 8' { receptacle }",
         "run P -> r.B1 -> B2", "'onward' on the receptacle-gfci in r.B1"},
        {"box B1 north at 2' { receptacle-gfci onward }; box B2 north at 8' { receptacle }",
         "run P -> r.B1; run r.B1 -> B2 line-side", "no 'line-side' on the way"},
        {"box B1 overhead at 2', 2' { receptacle }; box B2 north at 8' { receptacle }",
         "run P -> r.B1 -> B2", "'gfci' on the breaker"}, /* B1 is out of reach */
        {"box B1 north at 2' { receptacle-dual }; box B2 north at 8' { garage-opener }",
         "run P -> r.B1 -> B2", "'onward' on the receptacle-dual in r.B1, or 'gfci'"},
        {"box B1 north at 2' { receptacle-afci onward }; box B2 north at 8' { receptacle }; box B3 "
         "north at 12' { receptacle-gfci }",
         "run P -> r.B1 -> B2 -> B3", NULL},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char plan[4000], circuit[300];
        snprintf(circuit, sizeof circuit, "circuit P.1 { breaker 20 A; %s }\n", cases[i].circuit);
        snprintf(plan, sizeof plan, "plan \"Test\" { edition nec-2023 }\n%s",
                 room("garage", cases[i].boxes, circuit));
        compile_text(&c, plan);
        assert_true(findings_of(&c, "gfci-missing") >= 1);
        const struct finding *f =
            finding_of(&c, "gfci-missing", findings_of(&c, "gfci-missing") - 1);
        const char *mend = cases[i].mend
                               ? cases[i].mend
                               : "'receptacle-dual onward' in place of the receptacle-afci in r.B1";
        if (!f->mend || !strstr(f->mend, mend))
            fail_msg("case %zu: %s", i, f->mend);
        compile_free(&c);
    }
}

/* R314.3, 3: storeys that no door parts, less than a full one apart.
 * https://buildingcodetrainer.com/smoke-alarm-locations/ */
static void a_split_level(void **state)
{
    (void)state;
    static const char house[] =
        "level low { floor %s; ceiling 8' }\nlevel main { floor 0' }\n"
        "room d { on low; kind living; corner 0', 0'; size 16' by 12'; %s }\n"
        "room b { on main; kind bedroom; corner 16'-4 1/2\", 0'; size 12' by 12'; box A1 overhead "
        "at 6', 6' { smoke-alarm } }\n"
        "room h { on main; kind hall; corner 0', 12'-4 1/2\"; size 28' by 4'; door south at 8' "
        "wide 3' to b; box A1 overhead at 20', 2' { smoke-alarm } }\n"
        "panel P { in h north at 14' up 5'; main 100 A; spaces 20 }\ncircuit P.1 { breaker 15 A "
        "afci; run P -> h.A1 -> b.A1 }\n";
    static const struct {
        const char *floor, *joint, *found;
    } cases[] = {
        {"-3'", "opening north at 4' wide 4' to h", "0 0 0"},
        {"-3'", "door north at 4' wide 3' to h", "1 1 1"},
        {"-8'", "opening north at 4' wide 4' to h", "1 1 1"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[3000];
        snprintf(text, sizeof text, house, cases[i].floor, cases[i].joint);
        assert_string_equal(by_edition("smoke-alarm", text), cases[i].found);
    }
}

/* R315.2, R315.3: what burns fuel is said of a device or of its type; in a bedroom, or its
 * bathroom, it wants an alarm there.
 * https://codelibrary.amlegal.com/codes/camdencounty/latest/camdencounty_nc/0-0-0-3029 */
static void what_burns_fuel(void **state)
{
    (void)state;
    static const char house[] =
        "%sroom r { kind bedroom; corner 0', 0'; size 16' by 12'; door north at 3' wide 3' to h; "
        "door east at 2' wide 2'-6\" to w; box A1 overhead at 8', 6' { %s }; box B1 north at 12' { "
        "%s } }\n"
        "room h { kind hall; corner 0', 12'-4 1/2\"; size 16' by 5'; box A1 overhead at 8', 3' { "
        "%s } }\n"
        "room w { kind bath; corner 16'-4 1/2\", 0'; size 10' by 8'; box B1 north at 3' { %s } }\n"
        "panel P { in r south at 14' up 5'; main 100 A; spaces 20 }\ncircuit P.1 { breaker 15 A "
        "dual-function; run P -> r.A1 -> h.A1 }\n"
        "circuit P.2 { breaker 20 A dual-function; run P -> r.B1 }\ncircuit P.3 { breaker 20 A "
        "dual-function; run P -> w.B1 }\n";
    static const struct {
        const char *define, *bed_alarm, *bed, *hall_alarm, *bath, *found;
    } cases[] = {
        {"", "smoke-alarm", "receptacle", "smoke-alarm", "receptacle-gfci", "0 0 0"},
        {"", "smoke-alarm", "receptacle", "smoke-alarm", "water-heater-gas",
         "2 2 2"}, /* outside the bedroom, and in it for its bath */
        {"", "smoke-alarm", "receptacle", "smoke-co-alarm", "water-heater-gas", "1 1 1"},
        {"", "smoke-co-alarm", "receptacle", "smoke-co-alarm", "water-heater-gas", "0 0 0"},
        {"device stove : fixed-120 { load 400 VA; fuel-fired }\n", "smoke-alarm", "stove",
         "smoke-co-alarm", "receptacle-gfci", "1 1 1"},
        {"", "smoke-alarm", "sump-pump fuel-fired", "smoke-co-alarm", "receptacle-gfci", "1 1 1"},
        {"", "smoke-alarm", "fireplace-gas fuel-fired no", "smoke-alarm", "receptacle-gfci",
         "0 0 0"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[3000];
        snprintf(text, sizeof text, house, cases[i].define, cases[i].bed_alarm, cases[i].bed,
                 cases[i].hall_alarm, cases[i].bath);
        assert_string_equal(by_edition("carbon-monoxide-alarm", text), cases[i].found);
    }
}

/* Article 100: a bathroom is the area with the basin, not the bedroom about it. A garage that is a
 * workshop too is a garage; the receptacles of an open kitchen are its own where they serve a
 * counter, an island among them (210.52(C)(2), 210.8(A)(6)). */
static void several_uses_of_a_room(void **state)
{
    (void)state;
    static const char alcove[] =
        "area vanity kind bath from 0', 6' size 6' by 6'; basin north at 1' wide 2'; box B1 north "
        "at 4' up 42\" { receptacle-gfci }; box B2 south at 4' { receptacle }";
    assert_string_equal(
        by_edition(
            "no-other-outlets",
            room("bedroom", alcove, "circuit P.1 { breaker 20 A afci; run P -> r.B1 -> B2 }\n")),
        "1 1 1");
    assert_string_equal(
        by_edition("bath-circuit", room("bedroom", alcove,
                                        "circuit P.1 { breaker 15 A afci; run P -> r.B1 }\ncircuit "
                                        "P.2 { breaker 15 A afci; run P -> r.B2 }\n")),
        "1 1 1");
    assert_string_equal(by_edition("garage-circuit",
                                   room("garage workshop", "box B1 north at 4' { receptacle-gfci }",
                                        "circuit P.1 { breaker 15 A; run P -> r.B1 }\n")),
                        "1 1 1");
    static const char island[] = "counter north at 0' wide 6'; island at 4', 4' size 5' by 3'; box "
                                 "B1 north at 2' up 42\" { receptacle-gfci }; box B2 floor at 6', "
                                 "5' { receptacle }; box B3 floor at 12', 5' { receptacle }";
    static const char two[] = "circuit P.1 { breaker 20 A afci; run P -> r.B1 }\ncircuit P.2 { "
                              "breaker 20 A afci; run P -> r.B2 -> B3 }\n";
    assert_string_equal(by_edition("gfci-missing", room("kitchen", island, two)), "1 1 1");
    assert_string_equal(by_edition("small-appliance-circuits", room("living kitchen", island, two)),
                        "0 0 0");
    static const char one[] = "circuit P.1 { breaker 20 A afci; run P -> r.B1 -> B2 }\ncircuit P.2 "
                              "{ breaker 20 A afci; run P -> r.B3 }\n";
    assert_string_equal(by_edition("small-appliance-circuits", room("kitchen", island, one)),
                        "1 1 1"); /* counter and island on one */
}

/* An alarm in a closet is not outside a bedroom; where a hall is too small to keep 3 ft from a
 * bath's door, the alarm that must be there may hang in it (R314.3.3). */
static void alarms_of_a_small_hall(void **state)
{
    (void)state;
    static const char house[] =
        "room r { kind bedroom; corner 0', 0'; size 12' by 12'; door east at 9' wide 2'-6\" to h; "
        "door west at 3' wide 2'-6\" to c; box A1 overhead at 6', 6' { smoke-alarm } }\n"
        "room h { kind %s; corner 12'-4 1/2\", 0'; size %s by 3'-6\"; door east at 6\" wide 2'-6\" "
        "to b; box A1 overhead at 1'-9\", 1'-9\" { smoke-alarm } }\n"
        "room b { kind bath; corner 40', 0'; size 8' by 8'; tub north at 1' wide 5' }\nroom c { "
        "kind closet; corner -5', 3'; size 4' by 4' }\n"
        "panel P { in r south at 4' up 5'; main 100 A; spaces 20 }\ncircuit P.1 { breaker 15 A "
        "afci; run P -> r.A1 -> h.A1 }\n";
    char text[3000];
    snprintf(text, sizeof text, house, "hall", "2'-10\"");
    assert_string_equal(by_edition("alarm-too-near", text), "0 0 0");
    assert_string_equal(by_edition("smoke-alarm", text), "0 0 0");
    snprintf(text, sizeof text, house, "hall", "4'-6\"");
    assert_string_equal(by_edition("alarm-too-near", text), "1 1 1");
    snprintf(text, sizeof text, house, "closet", "2'-10\"");
    assert_string_equal(by_edition("smoke-alarm", text), "1 1 1");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_refrigerator_by_the_sink),
        cmocka_unit_test(a_doorway_before_the_sink),
        cmocka_unit_test(a_dryer_in_the_laundry),
        cmocka_unit_test(a_range_in_the_kitchen),
        cmocka_unit_test(a_finished_basement),
        cmocka_unit_test(an_air_conditioner_outdoors),
        cmocka_unit_test(an_exemption_that_has_ended),
        cmocka_unit_test(articles_move),
        cmocka_unit_test(rooms_of_arc_faults),
        cmocka_unit_test(a_switch_brings_its_circuit_in),
        cmocka_unit_test(protection_is_followed),
        cmocka_unit_test(a_second_circuit_in_the_garage),
        cmocka_unit_test(circuits_keep_to_themselves),
        cmocka_unit_test(asked_or_advised),
        cmocka_unit_test(a_short_extension_is_free),
        cmocka_unit_test(alarms_of_a_house),
        cmocka_unit_test(a_place_to_sleep_in_an_open_room),
        cmocka_unit_test(what_is_outside_a_bedroom),
        cmocka_unit_test(a_garage_that_joins_the_house),
        cmocka_unit_test(alarms_and_cooking),
        cmocka_unit_test(an_alarm_behind_a_device),
        cmocka_unit_test(replaced_receptacles),
        cmocka_unit_test(old_cables_without_a_ground),
        cmocka_unit_test(replaced_in_the_weather),
        cmocka_unit_test(buildings_apart),
        cmocka_unit_test(wired_in_in_a_garage),
        cmocka_unit_test(kinds_of_the_plan),
        cmocka_unit_test(whirlpool_tubs),
        cmocka_unit_test(alone_on_the_circuit),
        cmocka_unit_test(kitchens_keep_apart),
        cmocka_unit_test(the_refrigerators_circuit),
        cmocka_unit_test(a_laundry_in_the_bath),
        cmocka_unit_test(mends_follow_the_wiring),
        cmocka_unit_test(a_split_level),
        cmocka_unit_test(what_burns_fuel),
        cmocka_unit_test(several_uses_of_a_room),
        cmocka_unit_test(alarms_of_a_small_hall),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
