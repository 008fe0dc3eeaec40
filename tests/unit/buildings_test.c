/* Buildings that stand apart: which rooms are one, what supplies it, and what each rule of them
 * asks. NFPA 70 225.30 (one supply), 225.31 to 225.39 (disconnect), 250.32 (electrode),
 * 210.52(G)(2) (receptacle), 300.5 (underground). */
#include "compiled.h"
#include "framing/routes.h"

static const char *const rules[] = {"run-between-buildings", "building-supply",
                                    "building-disconnect", "building-electrode",
                                    "building-receptacle"};
enum { RULES = sizeof rules / sizeof *rules };

/* A house with its panel, a yard, and a shed of two rooms; the changes of a case stand behind. */
static const char house[] =
    "plan \"Shed\" { edition nec-2023 }\n"
    "room hall { kind storage; corner 0', 0'; size 10' by 10' }\n"
    "room yard { kind outdoors; corner 0', -30'; size 10' by 10'\n"
    "  box J1 west at 5' { cover blank } }\n"
    "room shed { kind workshop; %s corner 20', 0'; size 10' by 10'\n"
    "  box S1 west at 2' up 48\" { %s }\n  box R1 west at 6' { %s } }\n"
    "room loft { kind storage; %s corner 30'-4 1/2\", 0'; size 8' by 10'; box B1 east at 2' { "
    "receptacle } }\n"
    "panel P { in hall south at 5' up 5'; main 100 A; spaces 20 }\n";

struct variant {
    const char *shed, *switched, *outlet, *loft, *more;
    unsigned found[RULES];
};

static void count_findings(const struct variant *v)
{
    char text[4000];
    struct compilation c;
    int n = snprintf(text, sizeof text, house, v->shed, v->switched, v->outlet, v->loft);
    snprintf(text + n, sizeof text - (size_t)n, "%s", v->more);
    compile_text(&c, text);
    for (int i = 0; i < RULES; i++) {
        unsigned found = findings_of(&c, rules[i]);
        if (found == v->found[i])
            continue;
        show_compiled(&c);
        fail_msg("%s: %u findings, %u are wanted in\n%s", rules[i], found, v->found[i], text);
    }
    compile_free(&c);
}

#define SNAP  "switch leg all"
#define PLUG  "receptacle-gfci leg all"
#define NAMED "building shed { rooms shed loft; disconnect shed.S1 }\n"
#define ONE                                                                                        \
    "circuit P.1 { breaker 20 A; run P -> shed.S1 underground 24\"; run shed.S1 -> R1 -> loft.B1 " \
    "}\n"

static void the_rules_of_buildings(void **state)
{
    (void)state;
    static const struct variant variants[] = {
        /* One branch circuit to a named building: its switch is the disconnect, no electrode. */
        {"", SNAP, PLUG, "", NAMED ONE, {0, 0, 0, 0, 0}},
        /* The same without a word of how it gets there. */
        {"",
         SNAP,
         PLUG,
         "",
         NAMED "circuit P.1 { breaker 20 A; run P -> shed.S1; run shed.S1 -> R1 }\n",
         {1, 0, 0, 0, 0}},
        {"",
         SNAP,
         PLUG,
         "",
         NAMED "circuit P.1 { breaker 20 A; run P -> shed.S1 overhead; run shed.S1 -> R1 }\n",
         {0, 0, 0, 0, 0}},
        /* No building and not detached: rooms of the house, however far off they are drawn. */
        {"",
         SNAP,
         PLUG,
         "",
         "circuit P.1 { breaker 20 A; run P -> shed.S1 -> R1 -> loft.B1 }\n",
         {0, 0, 0, 0, 0}},
        /* Two detached rooms that share a wall are one building, and their runs stay in it. */
        {"detached;", SNAP, PLUG, "detached;", ONE, {0, 0, 1, 0, 0}},
        {"detached;", SNAP, PLUG, "", ONE, {1, 0, 1, 0, 0}},
        /* A box in the yard is no building: what goes on from there is not told. */
        {"detached;",
         SNAP,
         PLUG,
         "detached;",
         "circuit P.1 { breaker 20 A; run P -> yard.J1 -> shed.S1 -> R1 }\n",
         {0, 0, 1, 0, 0}},
        /* Two circuits are two supplies, one multiwire circuit is one. */
        {"",
         SNAP,
         PLUG,
         "",
         NAMED ONE "circuit P.2 { breaker 15 A; run P -> loft.B1 underground 24\" }\n",
         {0, 1, 0, 0, 0}},
        {"",
         SNAP,
         "receptacle-gfci pole b",
         "",
         NAMED "circuit P.1 { breaker 20 A two-pole; multiwire; run P -> shed.R1 underground 24\" "
               "}\n",
         {0, 0, 0, 0, 0}},
        /* A snap switch takes off a branch circuit of 20 A, not one of 30 A. */
        {"",
         SNAP,
         PLUG,
         "",
         NAMED "circuit P.1 { breaker 30 A; run P -> shed.S1 underground 24\"; run shed.S1 -> R1 "
               "}\n",
         {0, 0, 1, 0, 0}},
        /* A feeder wants an electrode; the main of its panel takes it off, lugs do not. */
        {"",
         SNAP,
         PLUG,
         "",
         "building shed { rooms shed loft; electrode }\npanel Q { in shed south at 5' up 5'; main "
         "30 A; spaces 4; feeder from P breaker 30 A underground 24\" }\n"
         "circuit Q.1 { breaker 15 A; run Q -> shed.S1 -> R1 }\n",
         {0, 0, 0, 0, 0}},
        {"",
         SNAP,
         PLUG,
         "",
         "building shed { rooms shed loft }\npanel Q { in shed south at 5' up 5'; bus 30 A; spaces "
         "4; feeder from P breaker 30 A underground 24\" }\n"
         "circuit Q.1 { breaker 15 A; run Q -> shed.S1 -> R1 }\n",
         {0, 0, 1, 1, 0}},
        /* What leaves the building for the yard from its own panel supplies nothing. */
        {"",
         SNAP,
         PLUG,
         "",
         "building shed { rooms shed loft; electrode }\npanel Q { in shed south at 5' up 5'; main "
         "30 A; spaces 4; feeder from P breaker 30 A underground 24\" }\n"
         "circuit Q.1 { breaker 15 A; run Q -> yard.J1 underground 24\" }\n",
         {0, 0, 0, 0, 0}},
        /* Supplies that are there already are left alone; a new one beside them is the second. */
        {"",
         SNAP,
         PLUG,
         "",
         "building shed { rooms shed loft }\ncircuit P.1 { existing; breaker 20 A; run P -> "
         "shed.R1 existing }\n",
         {0, 0, 0, 0, 0}},
        {"",
         SNAP,
         PLUG,
         "",
         NAMED "circuit P.1 { existing; breaker 20 A; run P -> shed.R1 existing }\n"
               "circuit P.2 { breaker 15 A; run P -> loft.B1 underground 24\" }\n",
         {0, 1, 0, 0, 0}},
        /* Power and no receptacle. */
        {"", SNAP, "luminaire leg all", "without B1;", NAMED ONE, {0, 0, 0, 0, 0}},
        {"",
         SNAP,
         "luminaire leg all",
         "existing;",
         "building shed { rooms shed; disconnect shed.S1 }\ncircuit P.1 { breaker 20 A; run P -> "
         "shed.S1 underground 24\"; run shed.S1 -> R1 }\n",
         {0, 0, 0, 0, 1}},
    };
    for (size_t i = 0; i < sizeof variants / sizeof *variants; i++)
        count_findings(&variants[i]);
}

/* A room that is in two buildings, and one that is not there. */
static void slips_in_a_building(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Shed\" { edition nec-2023 }\n"
                     "room shed { kind workshop; size 10' by 10' }\n"
                     "building one { rooms shed }\nbuilding two { rooms shed; electrode }\n"
                     "building three { rooms barn }\nbuilding one { rooms shed }\n");
    assert_int_equal(findings_of(&c, "duplicate-name"), 3);
    assert_int_equal(findings_of(&c, "unknown-name"), 1);
    compile_free(&c);
}

/* A run through the air goes up at both ends and straight between them; it passes no wood. */
static void what_is_strung_passes_nothing(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(
        &c, "plan \"Shed\" { edition nec-2023; slack 0\" }\nlevel main { floor 0'; ceiling 8' "
            "}\n"
            "room hall { kind storage; corner 0', 0'; size 10' by 10' }\n"
            "room shed { kind workshop; detached; corner 40', 0'; size 10' by 10'; box R1 west "
            "at 5' up 3' { receptacle-gfci } }\n"
            "panel P { in hall east at 5' up 5'; main 100 A; spaces 20 }\n"
            "circuit P.1 { breaker 20 A; run P -> shed.R1 overhead }\n");
    const struct route *route = &c.routes->of_run[0];
    /* 3 ft up, 30 ft across, 5 ft down; both are set beside a stud, so many inches from there. */
    assert_in_range(route->path, 36 * FOOT, 40 * FOOT);
    assert_int_equal(route->bores, 0);
    compile_free(&c);
}

/* Two units, a hall, and a circuit of the one that feeds what a case says; NFPA 70 210.25(A), (B).
 */
static void circuits_of_a_unit_serve_it_alone(void **state)
{
    (void)state;
    static const char units[] =
        "plan \"Flats\" { edition nec-2023 }\n"
        "unit a { corner 0', 0'; room r { kind %s; corner 0', 0'; size 12' by 10'; %s\n"
        "  box R1 south at 9' { receptacle } } panel P { in r south at 5' up 5'; spaces 12 } }\n"
        "%s b { corner 20', 0'; room r { kind storage; corner 0', 0'; size 12' by 10'; %s\n"
        "  box R1 south at 9' { receptacle } } panel P { in r south at 5' up 5'; spaces 12 } }\n"
        "room out \"Out\" { kind %s; corner 0', 12'; size 9' by 8'; box R1 north at 3' { "
        "receptacle "
        "}; box R2 north at 5' { existing; receptacle } }\n"
        "panel H { in out west at 3' up 5'; spaces 8 }\n"
        "circuit %s { breaker 15 A; run %s }\n";
    static const struct {
        const char *kind, *door_a, *b, *door_b, *out, *circuit, *run;
        unsigned found;
    } cases[] = {
        {"storage", "", "unit", "", "hall", "a.P.1", "a.P -> out.R1", 1},
        {"storage", "", "unit", "", "hall", "a.P.1", "a.P -> b.r.R1", 1},
        {"storage", "", "unit", "", "hall", "a.P.1", "a.P -> a.r.R1 -> out.R1", 1},
        /* its own, and what hangs on a panel of no unit */
        {"storage", "", "unit", "", "hall", "a.P.1", "a.P -> a.r.R1", 0},
        {"storage", "", "unit", "", "hall", "H.1", "H -> out.R1", 0},
        /* a room with doors to one unit is that unit's; to both: common */
        {"storage", "door north at 1' wide 3' to out", "unit", "", "hall", "a.P.1", "a.P -> out.R1",
         0},
        {"storage", "", "unit", "door north at 1' wide 3' to out", "hall", "a.P.1", "a.P -> out.R1",
         1},
        {"storage", "door north at 1' wide 3' to out", "unit", "door north at 1' wide 3' to out",
         "hall", "a.P.1", "a.P -> out.R1", 1},
        /* outdoors nobody can tell; one unit alone has nothing in common with another */
        {"storage", "", "unit", "", "outdoors", "a.P.1", "a.P -> out.R1", 0},
        {"storage", "", "pattern", "", "hall", "a.P.1", "a.P -> out.R1", 0},
        /* beside a house */
        {"storage", "", "pattern", "", "bedroom", "a.P.1", "a.P -> out.R1", 1},
        /* an old run to an old box is left alone */
        {"storage", "", "unit", "", "hall", "a.P.1", "a.P -> out.R2 existing", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[4000];
        struct compilation c;
        snprintf(text, sizeof text, units, cases[i].kind, cases[i].door_a, cases[i].b,
                 cases[i].door_b, cases[i].out, cases[i].circuit, cases[i].run);
        compile_text(&c, text);
        if (findings_of(&c, "common-area-circuit") != cases[i].found ||
            finding_of(&c, "syntax", 0)) {
            show_compiled(&c);
            fail_msg("%u findings are wanted in\n%s", cases[i].found, text);
        }
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(circuits_of_a_unit_serve_it_alone),
        cmocka_unit_test(the_rules_of_buildings),
        cmocka_unit_test(slips_in_a_building),
        cmocka_unit_test(what_is_strung_passes_nothing),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
