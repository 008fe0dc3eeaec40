/* The rules of switches, shared neutrals, boxes and places of cables, beyond what their plans in
 * tests/rules show. Articles of NFPA 70 stand beside each check. */
#include "compiled.h"
#include "prove/prove.h"
#include "wiring/wiring.h"

static const char *shed_by(const char *edition, const char *boxes, const char *rest)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition %s }\nroom shed { kind storage; corner 0', 0'; size 14' by "
             "10'\n%s }\n"
             "panel P { in shed south at 7' up 5'; main 200 A; spaces 20 }\n%s",
             edition, boxes, rest);
    return text;
}

static const char *shed(const char *boxes, const char *rest)
{
    return shed_by("nec-2023", boxes, rest);
}

static void sound(const char *boxes, const char *rest)
{
    struct compilation c;
    compile_sound(&c, shed(boxes, rest));
    compile_free(&c);
}

static void fault(const char *rule, const char *part, const char *boxes, const char *rest)
{
    struct compilation c;
    compile_fault(&c, shed(boxes, rest), rule, part);
    compile_free(&c);
}

/* --- controls ----------------------------------------------------------------------------- */

static const char one_light[] = "circuit P.1 { breaker 15 A; run P -> shed.S1 -> S2 -> L1 }\n";

/* Dimmers that are sold with companions share a leg with each other, not with a plain switch. */
static void companions_keep_to_themselves(void **state)
{
    (void)state;
    static const char light[] = "box L1 overhead at 5', 5' { luminaire leg a 40 W }\nbox S1 west "
                                "at 2' { dimmer-neutral leg a }\nbox S2 west at 6' { %s leg a }";
    char boxes[300];
    snprintf(boxes, sizeof boxes, light, "dimmer-neutral");
    sound(boxes, one_light);
    snprintf(boxes, sizeof boxes, light, "switch");
    fault("switch-kind", "shares a leg with its own companions only", boxes, one_light);
}

/* Where a cable is too small the mend names what could come from elsewhere, or that the light lies
 * between its switches. The language's own rule. */
static void what_would_spare_conductors_is_named(void **state)
{
    (void)state;
    static const char boxes[] = "box S1 west at 2' { three-way leg a }\n"
                                "box L1 overhead at 5', 5' { luminaire leg a 40 W }\n"
                                "box S2 west at 6' { three-way leg a }\n"
                                "box S3 west at 8' { switch leg b; switch leg d }\n"
                                "box L2 overhead at 8', 5' { luminaire leg b 40 W }\n"
                                "box L3 overhead at 8', 2' { luminaire leg d 40 W }";
    struct compilation c;
    compile_text(&c, shed(boxes, "circuit P.1 { breaker 15 A; run P -> shed.S1 cable 14/3\n"
                                 "run shed.S1 -> L1 cable 14/3; run shed.L1 -> S2 cable 14/2 }\n"
                                 "circuit P.2 { breaker 15 A; run P -> shed.S3\n"
                                 "run shed.S3 -> L2 cable 14/2; run shed.L2 -> L3 }\n"));
    const struct finding *one = finding_of(&c, "conductors-missing", 0),
                         *two = finding_of(&c, "conductors-missing", 1);
    assert_non_null(one);
    assert_non_null(two);
    assert_non_null(strstr(one->mend, "to all switches of leg a before what it works"));
    assert_non_null(strstr(two->mend, "from another box: leg b, leg d"));
    compile_free(&c);
}

/* One name in three rooms: all places are told at once. */
static void all_clashes_of_a_leg_are_told_at_once(void **state)
{
    (void)state;
    static const char boxes[] = "box S1 west at 2' { switch leg a }\n"
                                "box L1 overhead at 5', 5' { luminaire leg a 40 W }\n"
                                "box S2 west at 6' { switch leg a }\n"
                                "box L2 overhead at 8', 5' { luminaire leg a 40 W }\n"
                                "box S3 west at 8' { switch leg a }\n"
                                "box L3 overhead at 8', 2' { luminaire leg a 40 W }";
    struct compilation c;
    compile_text(&c, shed(boxes, "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 }\n"
                                 "circuit P.2 { breaker 15 A; run P -> shed.S2 -> L2 }\n"
                                 "circuit P.3 { breaker 15 A; run P -> shed.S3 -> L3 }\n"));
    const struct finding *f = finding_of(&c, "leg-crosses-circuits", 0);
    assert_non_null(f);
    assert_int_equal(findings_of(&c, "leg-crosses-circuits"), 1);
    assert_int_equal(f->related_count, 2);
    assert_non_null(strstr(f->related[1].message, "S3"));
    assert_non_null(strstr(f->mend, "a name on each"));
    compile_free(&c);
}

/* A single three-way works like a single-pole, but is not what is wanted there. */
static void a_three_way_alone_is_told(void **state)
{
    (void)state;
    fault(
        "switch-kind", "it is the only switch on leg a, so it is a single-pole",
        "box S1 west at 2' { three-way leg a }\nbox L1 overhead at 5', 5' { luminaire leg a 40 W }",
        "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 }\n");
}

/* 404.14: what a control carries, with the legs that it feeds. */
static void a_control_carries_the_legs_behind_it(void **state)
{
    (void)state;
    static const char boxes[] = "box S1 west at 2' { occupancy-switch leg a }\nbox S2 west at 6' { "
                                "switch leg b from leg a }\n"
                                "box L1 overhead at 5', 5' { luminaire leg a 300 W }\nbox L2 "
                                "overhead at 9', 5' { luminaire leg b %d W }";
    static const char runs[] =
        "circuit P.1 { breaker 15 A; run P -> shed.S1 -> S2 -> L1; run shed.S2 -> L2 }\n";
    char text[400];
    snprintf(text, sizeof text, boxes, 300);
    sound(text, runs);
    snprintf(text, sizeof text, boxes, 400);
    fault("control-overloaded", "rated 5 A; leg a takes 5.8 A (700 VA)", text, runs);
}

/* 404.14(E): the light of a paddle fan may be dimmed, the fan may not. */
static void the_light_of_a_fan_may_be_dimmed(void **state)
{
    (void)state;
    static const char boxes[] = "box S1 west at 2' { %s leg f; %s leg l }\nbox F1 overhead at 5', "
                                "5' { paddle-fan { fan leg f 70 W; light leg l 45 W } }";
    static const char runs[] = "circuit P.1 { breaker 15 A; run P -> shed.S1 -> F1 }\n";
    char text[300];
    snprintf(text, sizeof text, boxes, "fan-control", "dimmer");
    sound(text, runs);
    snprintf(text, sizeof text, boxes, "dimmer", "switch");
    fault("dimmer-misused", "the dimmer in shed.S1 works the fan of the paddle-fan in shed.F1",
          text, runs);
}

/* --- neutrals and yokes ------------------------------------------------------------------- */

/* Halves of a receptacle have a neutral each: two circuits on one yoke want breakers that are
 * switched off together (210.7), and no more. */
static void halves_have_a_neutral_each(void **state)
{
    (void)state;
    static const char boxes[] =
        "box R1 west at 2' { receptacle { half circuit 1; half circuit 2 } }";
    fault("yoke-disconnect", "fed by circuit P1 and circuit P2", boxes,
          "circuit P.1 { breaker 15 A; run P -> shed.R1 }\ncircuit P.2 { breaker 15 A; run P -> "
          "shed.R1 }\n");
    sound(boxes, "circuit P.1 { breaker 15 A tied; run P -> shed.R1 }\ncircuit P.2 { breaker 15 A "
                 "tied; run P -> shed.R1 }\n");
}

/* 200.4(A): the heater of a bath fan has a neutral of its own and may be on another circuit; its
 * light has none. */
static void the_heater_of_a_fan_may_be_on_its_own_circuit(void **state)
{
    (void)state;
    static const char boxes[] =
        "box S1 west at 2' { switch leg f circuit 1; switch leg h circuit 2 }\nbox F1 overhead at "
        "5', 5' { exhaust-fan { fan leg f circuit 1; %s leg h circuit 2 } }";
    static const char runs[] = "circuit P.1 { breaker 15 A; run P -> shed.S1 -> F1 }\ncircuit P.2 "
                               "{ breaker 20 A; run P -> shed.S1 -> F1 }\n";
    char text[300];
    snprintf(text, sizeof text, boxes, "heat");
    sound(text, runs);
    snprintf(text, sizeof text, boxes, "light");
    fault("borrowed-neutral", "one neutral for its fan on circuit P1 and its light on circuit P2",
          text, runs);
}

/* 110.3(B): a GFCI receptacle compares one line with the neutral; the other line must not return
 * through it. */
static void one_line_is_protected_where_two_share_a_neutral(void **state)
{
    (void)state;
    static const char boxes[] = "box R1 west at 2' { receptacle-gfci onward pole a }\nbox R2 west "
                                "at 6' { receptacle pole %c }";
    static const char runs[] =
        "circuit P.1 { breaker 20 A two-pole; multiwire; run P -> shed.R1 -> R2 }\n";
    char text[200];
    snprintf(text, sizeof text, boxes, 'a');
    sound(text, runs);
    snprintf(text, sizeof text, boxes, 'b');
    fault("shared-neutral-protection",
          "the receptacle-gfci in shed.R1 protects one line of circuit P1/3", text, runs);
}

/* --- boxes -------------------------------------------------------------------------------- */

static const char one_box[] = "circuit P.1 { breaker 20 A; run P -> shed.R1 }\n";

static void a_round_box_takes_no_yoke(void **state)
{
    (void)state;
    fault("box-gangs", "octagon-2-1-8-deep is round and takes none",
          "box R1 overhead at 5', 5' { type octagon-2-1-8-deep; receptacle }", one_box);
    fault("box-gangs", "holds 2 yokes and has 1 gang",
          "box R1 west at 2' { gangs 1; receptacle; receptacle }", one_box);
}

static void power_is_not_put_in_a_bracket(void **state)
{
    (void)state;
    fault("low-voltage-in-power-box", "low-voltage-bracket is for low voltage only",
          "box R1 west at 2' { type low-voltage-bracket; receptacle }", one_box);
    sound("box R1 west at 2' { receptacle }\nbox D1 west at 4' { type low-voltage-bracket; data }",
          one_box);
}

/* 314.27(A): what the compiler chooses for a ceiling carries the luminaire, in a closed ceiling
 * too. */
static void a_chosen_box_carries_the_luminaire(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, shed("box S1 west at 2' { switch leg a }\nbox L1 overhead at 5', 5' { "
                           "luminaire leg a 40 W }",
                           "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 fished }\n"));
    const struct box *l1 = c.model->boxes.at[1];
    assert_string_equal(l1->name, "L1");
    assert_true(c.wiring->of_box[l1->id].type->holds >= 50);
    compile_free(&c);
}

/* 410.21: luminaires that are joined to each other pass the wires that feed them; another circuit
 * does not pass. */
static void luminaires_pass_what_feeds_luminaires(void **state)
{
    (void)state;
    static const char boxes[] =
        "box S1 west at 2' { switch leg a circuit 1 }\nbox L1 overhead at 3', 5' { recessed leg a "
        "12 W circuit 1 }\nbox L2 overhead at 9', 5' { recessed leg a 12 W }\n"
        "box R1 west at 6' { receptacle }";
    sound(boxes, "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 -> L2 }\ncircuit P.2 { "
                 "breaker 15 A; run P -> shed.R1 }\n");
    fault("luminaire-through-wiring", "which is on another circuit", boxes,
          "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 -> L2 }\ncircuit P.2 { breaker 15 A; "
          "run P -> shed.L1 -> R1 }\n");
}

/* 314.29: an open ceiling hides nothing. */
static void an_open_room_hides_no_box(void **state)
{
    (void)state;
    static const char text[] =
        "plan \"Cellar\" { edition nec-2023 }\nroom cellar { kind basement; size 14' by 10'\nbox "
        "J1 overhead at 5', 5' { }\nbox R1 west at 2' { receptacle } }\n"
        "panel P { in cellar south at 7' up 5'; main 100 A; spaces 20 }\ncircuit P.1 { breaker 20 "
        "A; run P -> cellar.J1 -> R1 }\n";
    struct compilation c;
    compile_text(&c, text);
    assert_int_equal(findings_of(&c, "box-buried"), 0);
    compile_free(&c);
}

/* --- cables ------------------------------------------------------------------------------- */

static const char *yard(const char *circuit)
{
    static char text[2000];
    snprintf(text, sizeof text,
             "plan \"Yard\" { edition nec-2023 }\nroom shed { kind workshop; corner 0', 0'; size "
             "14' by 10'\nbox R1 south at 3' { receptacle-gfci onward } }\n"
             "room yard { kind outdoors; corner 0', -12'; size 14' by 6'\nbox R1 north at 3' up "
             "18\" { cover in-use; receptacle-gfci-wr }\nbox R2 north at 9' up 18\" { cover "
             "in-use; receptacle-gfci-wr } }\n"
             "panel P { in shed south at 7' up 5'; main 100 A; spaces 20 }\n%s",
             circuit);
    return text;
}

/* 334.12: a cable in the wall that comes to the back of a box outside is dry; on the surface out
 * there, or from box to box out there, it is not. */
static void a_cable_outside_is_wet(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, yard("circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> yard.R1 "
                           "cable 12/2; run yard.R1 -> R2 cable 12/2-uf }\n"));
    assert_int_equal(findings_of(&c, "cable-not-suited"), 0);
    compile_free(&c);
    const struct finding *f =
        compile_fault(&c,
                      yard("circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> yard.R1; "
                           "run yard.R1 -> R2 cable 12/2 }\n"),
                      "cable-not-suited", "in a wet place");
    assert_string_equal(f->article, "NEC 2023 334.12");
    assert_string_equal(f->mend, "cable 12/2-uf");
    compile_free(&c);
    f = compile_fault(&c,
                      yard("circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> yard.R1 "
                           "cable 12/2-mc exposed; run yard.R1 -> R2 }\n"),
                      "cable-not-suited", "in a wet place");
    assert_string_equal(f->article, "NEC 2023 330.12");
    compile_free(&c);
}

/* Table 300.5: 24 in, 12 in behind a GFCI device on 120 V and 20 A, 24 in on 240 V all the same. */
static void protection_lets_a_cable_lie_less_deep(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, yard("circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> yard.R1 "
                           "-> R2 underground 12\" }\n"));
    compile_free(&c);
    compile_fault(&c,
                  yard("circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> yard.R1 -> R2 "
                       "underground 11\" }\n"),
                  "burial-depth", "12\" deep for 120 V, 20 A, with GFCI");
    compile_free(&c);
    compile_fault(&c,
                  yard("circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> yard.R1 -> R2 "
                       "line-side underground 12\" }\n"),
                  "burial-depth", "lies 24\" deep");
    compile_free(&c);
}

/* 210.23(A)(2), 2023 210.23(B)(2): what is fastened in place leaves half of a circuit to lights and
 * receptacles. */
static void what_is_fastened_leaves_half(void **state)
{
    (void)state;
    static const char *const articles[][2] = {{"nec-2017", "NEC 2017 210.23(A)"},
                                              {"nec-2020", "NEC 2020 210.23(A)"},
                                              {"nec-2023", "NEC 2023 210.23(B)"}};
    static const char boxes[] =
        "box D1 west at 2' { disposer %d VA }\nbox R1 west at 6' { receptacle }";
    static const char runs[] = "circuit P.1 { breaker 20 A; run P -> shed.D1 -> R1 }\n";
    char text[200];
    snprintf(text, sizeof text, boxes, 1200);
    sound(text, runs);
    snprintf(text, sizeof text, boxes, 1300);
    for (unsigned i = 0; i < 3; i++) {
        struct compilation c;
        const struct finding *f =
            compile_fault(&c, shed_by(articles[i][0], text, runs), "appliance-share",
                          "takes 10.8 A together; beside lights or receptacles it may take 10 A");
        assert_string_equal(f->article, articles[i][1]);
        compile_free(&c);
    }
    sound("box D1 west at 2' { disposer 1300 VA }",
          "circuit P.1 { breaker 20 A; run P -> shed.D1 }\n");
}

/* An end that is kept for a leg lies where the leg's circuit comes; a second circuit of the box
 * does no harm. */
static void a_kept_end_is_on_its_circuit(void **state)
{
    (void)state;
    static const char boxes[] = "box S1 south at 5' up 4' { switch leg light }\n"
                                "box L1 overhead at 7', 5' { luminaire leg light }\n"
                                "box R1 west at 3' { receptacle%s; capped leg light }";
    char text[300];
    snprintf(text, sizeof text, boxes, "");
    fault("leg-crosses-circuits", "circuit P1, which does not come to shed.R1", text,
          "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 }\n"
          "circuit P.2 { breaker 15 A; run P -> shed.R1 }\n");
    sound(text, "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 -> R1 }\n");
    snprintf(text, sizeof text, boxes, " circuit 2");
    sound(text, "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 -> R1 }\n"
                "circuit P.2 { breaker 15 A; run P -> shed.R1 }\n");
}

/* --- old boxes, poles, roofs -------------------------------------------------------------- */

/* How many findings of a rule a shed gives. */
static unsigned count(const char *rule, const char *boxes, const char *rest)
{
    struct compilation c;
    compile_text(&c, shed(boxes, rest));
    for (uint32_t i = 0; i < c.diag.findings.n; i++)
        if (is_misspelt(&c.diag.findings.at[i])) {
            show_compiled(&c);
            fail_msg("the plan has another fault");
        }
    unsigned n = findings_of(&c, rule);
    compile_free(&c);
    return n;
}

/* An old box, told what it is, is held to the new device that comes into it; with what it held
 * already, or untold, it is not. 314.16, 314.27(A) and (C), 725.136(A). */
static void an_old_box_is_held_to_what_is_new_in_it(void **state)
{
    (void)state;
    static const struct {
        const char *rule, *type, *device;
    } cases[] = {
        {"box-gangs", "nail-on-1g-20", "switch leg x; receptacle%s"},
        {"box-gangs", "octagon-2-1-8-deep", "receptacle%s"},
        {"box-gangs", "nail-on-1g-20", "range-receptacle%s"},
        {"low-voltage-in-power-box", "nail-on-2g-32", "receptacle; data%s"},
    };
    static const char old[] = "circuit P.1 { existing; breaker 20 A; run P -> shed.X -> S -> L }\n"
                              "circuit P.3 { existing; breaker 50 A two-pole; run P -> shed.E }\n";
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        bool range = strstr(cases[i].device, "range") != NULL;
        for (int told = 0; told < 2; told++)
            for (int fresh = 0; fresh < 2; fresh++) {
                char device[120], boxes[500], type[60];
                snprintf(device, sizeof device, cases[i].device, fresh ? " existing no" : "");
                snprintf(type, sizeof type, "type %s; ", cases[i].type);
                snprintf(
                    boxes, sizeof boxes,
                    "box %s west at 4' { existing; %s%s }\nbox %s west at 8' { existing; %s }\n"
                    "box S west at 2' { existing; switch leg x }\n"
                    "box L overhead at 7', 5' { existing; luminaire leg x }",
                    range ? "E" : "X", told ? type : "", device, range ? "X" : "E",
                    range ? "receptacle" : "range-receptacle");
                assert_int_equal(count(cases[i].rule, boxes, old), told && fresh);
            }
    }
}

/* A new fan on an old box, a leg that new cable brings there; a new light alone asks nothing more
 * than the old one. 314.27(C). */
static void an_old_box_and_a_fan(void **state)
{
    (void)state;
    static const struct {
        const char *type, *holds, *run;
        unsigned found, unknown;
    } cases[] = {
        {"type octagon-2-1-8-deep; ", "paddle-fan leg x existing no", "existing", 1, 0},
        {"type octagon-2-1-8-deep; ", "paddle-fan leg x", "existing", 0, 0},
        {"type fan-round-20; ", "paddle-fan leg x existing no", "existing", 0, 0},
        {"", "paddle-fan leg x existing no", "existing", 0, 1},
        {"type unknown; ", "paddle-fan leg x existing no", "existing", 0, 0},
        {"type octagon-2-1-8-deep; ", "luminaire leg x existing no", "existing", 0, 0},
        {"type octagon-2-1-8-deep; ", "luminaire leg x; capped leg y", "", 1, 0},
        {"type fan-round-20; ", "luminaire leg x; capped leg y", "", 0, 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char boxes[500], rest[300];
        bool spare = strstr(cases[i].holds, "capped") != NULL;
        snprintf(boxes, sizeof boxes,
                 "box S west at 4' { existing; type nail-on-2g-32; switch leg x%s }\n"
                 "box L overhead at 7', 5' { existing; %s%s }",
                 spare ? "; switch leg y existing no" : "", cases[i].type, cases[i].holds);
        snprintf(rest, sizeof rest,
                 "circuit P.1 { existing; breaker 15 A; run P -> shed.S existing cable 14/2\n"
                 "run shed.S -> L %s cable 14/3 }\n",
                 *cases[i].run ? cases[i].run : "existing no");
        assert_int_equal(count("fan-support", boxes, rest), cases[i].found);
        assert_int_equal(count("existing-unknown", boxes, rest), cases[i].unknown);
    }
    static const char room[] =
        "plan \"Old\" { edition nec-2023 }\nroom r { kind living; size 14' by "
        "10'\nbox L overhead at 7', 5' { existing; type octagon-2-1-8-deep; "
        "luminaire leg x %s }\nbox S west at 4' { existing; switch leg x } }\n"
        "panel P { existing; in r south at 7' up 5'; main 100 A; spaces 8 }\n"
        "circuit P.1 { existing; breaker 15 A; run P -> r.S -> L }\n";
    char text[700];
    struct compilation c;
    snprintf(text, sizeof text, room, "existing no");
    compile_text(&c, text);
    assert_int_equal(findings_of(&c, "fan-support"), 0); /* a new lamp on the old box */
    compile_free(&c);
}

/* Two poles for a load from a line to the neutral: multiwire, or one pole (Article 100, 210.4). */
static void two_poles_for_one_line(void **state)
{
    (void)state;
    static const struct {
        const char *holds, *clauses;
        unsigned found;
    } cases[] = {
        {"receptacle", "breaker 20 A two-pole", 1},
        {"receptacle pole b", "breaker 20 A two-pole", 1},
        {"receptacle { half pole a; half pole b }", "breaker 20 A two-pole", 1},
        {"dishwasher", "breaker 20 A two-pole", 1},
        {"receptacle pole b", "breaker 20 A two-pole; multiwire", 0},
        {"receptacle", "breaker 20 A", 0},
        {"receptacle-240-20", "breaker 20 A two-pole", 0},
        {"baseboard 1000 W", "breaker 20 A two-pole", 0},
        {"range", "breaker 50 A two-pole", 0},
        {"dryer-receptacle", "breaker 30 A two-pole", 0},
        {"disconnect onward", "breaker 30 A two-pole", 0},
        {"receptacle existing", "existing; breaker 20 A two-pole", 0},
        {"baseboard 1000 W", "breaker 20 A", 1},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char boxes[200], rest[200];
        snprintf(boxes, sizeof boxes, "box R west at 4' { %s }", cases[i].holds);
        snprintf(rest, sizeof rest, "circuit P.2 { %s; run P -> shed.R }\n", cases[i].clauses);
        if (count("breaker-poles", boxes, rest) != cases[i].found)
            fail_msg("%s on %s", cases[i].holds, cases[i].clauses);
    }
}

/* New cable from an old box to which a cable without a ground comes: 250.130(C). */
static void no_ground_comes_by_the_old_cable(void **state)
{
    (void)state;
    static const char boxes[] = "box X west at 4' { existing; type nail-on-1g-20; receptacle "
                                "}\nbox R west at 8' { receptacle }";
    static const char rest[] = "cable 12/2-old : 12/2 { ground none }\ncircuit P.1 { existing; "
                               "breaker 20 A; run P -> shed.X "
                               "existing cable %s\nrun shed.X -> R existing no cable 12/2 }\n";
    static const char *const cables[] = {"12/2-old", "12/2", "unknown"};
    for (unsigned i = 0; i < 3; i++) {
        char text[300];
        snprintf(text, sizeof text, rest, cables[i]);
        assert_int_equal(count("no-ground-to-extend", boxes, text), i == 0);
    }
}

/* A breaker that the receptacles of the circuit could not stand on mends nothing: 210.21(B)(3). */
static void a_mend_suits_the_receptacles(void **state)
{
    (void)state;
    static const struct {
        const char *holds;
        unsigned amps;
        const char *mend;
    } cases[] = {
        {"receptacle 1200 W; receptacle 1000 W", 15, "or a 20 A breaker"},
        {"receptacle 1500 W; receptacle 1500 W", 15, "or a second circuit"},
        {"dishwasher 2500 W", 20, "or a 25 A breaker"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char boxes[200], rest[100];
        struct compilation c;
        snprintf(boxes, sizeof boxes, "box R west at 4' { %s }", cases[i].holds);
        snprintf(rest, sizeof rest, "circuit P.1 { breaker %u A; run P -> shed.R }\n",
                 cases[i].amps);
        compile_text(&c, shed(boxes, rest));
        const struct finding *f = finding_of(&c, "breaker-overloaded", 0);
        if (!f || !strstr(f->mend, cases[i].mend))
            fail_msg("%s: %s", cases[i].holds, f ? f->mend : "nothing");
        compile_free(&c);
    }
}

/* Two things whose names differ in case alone are one slip, whoever names them. */
static void a_name_in_another_case_is_one_slip(void **state)
{
    (void)state;
    static const char *const names[][2] = {{"a", "A"}, {"a", "a"}, {"P", "p"}, {"P", "P"}};
    for (unsigned i = 0; i < 4; i++) {
        char text[600];
        struct compilation c;
        bool panel = *names[i][0] == 'P';
        snprintf(text, sizeof text,
                 "plan \"Case\" { edition nec-2023 }\n"
                 "room %s { kind storage; corner 0', 0'; size 10' by 10'; box R1 south at 3' { "
                 "receptacle } }\n%s%s%s"
                 "panel P { in %s east at 1' up 5'; main 100 A; spaces 12 }\n"
                 "circuit P.1 \"Store\" { breaker 20 A; run P -> %s.R1 }\n"
                 "circuit P.2 \"Others\" { breaker 20 A; run P -> %s.R1 }\n",
                 panel ? names[i][1] : names[i][0], panel ? "" : "room ", panel ? "" : names[i][1],
                 panel ? ""
                       : " { kind storage; corner 0', 30'; size 10' by 10'; box R1 south at 3' { "
                         "receptacle } }\n",
                 panel ? names[i][1] : names[i][0], names[i][1], names[i][1]);
        compile_text(&c, text);
        if (findings_of(&c, "duplicate-name") != 1 || findings_of(&c, "unknown-name"))
            fail_msg("%s and %s", names[i][0], names[i][1]);
        compile_free(&c);
    }
}

/* A new switch or receptacle in an old box outdoors: the box is one for a wet place, where it is
 * told what it is. 314.15, 404.4(A). */
static void an_old_box_in_the_weather(void **state)
{
    (void)state;
    static const struct {
        const char *holds;
        unsigned found;
    } cases[] = {
        {"type nail-on-1g-20; switch leg x existing no", 1},
        {"type nail-on-1g-20; switch leg x", 0},
        {"type cast-deep-1g; switch leg x existing no", 0},
        {"type unknown; switch leg x existing no", 0},
        {"switch leg x existing no", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[700];
        struct compilation c;
        snprintf(
            text, sizeof text,
            "plan \"Yard\" { edition nec-2023 }\nroom y { kind outdoors; size 20' by 10'; corner "
            "0', 0'\nbox S south at 3' up 48\" { existing; %s }\nbox L south at 9' up 78\" { "
            "existing; luminaire leg x } }\nroom s { kind storage; corner 0', -11'; size 20' by "
            "10' }\npanel P { existing; in s south at 7' up 5'; main 100 A; spaces 8 }\n"
            "circuit P.1 { existing; breaker 15 A; run P -> y.S -> L }\n",
            cases[i].holds);
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "weather-protection"), cases[i].found);
        compile_free(&c);
    }
}

/* A roof over a place that is under one anyway. */
static void a_roof_indoors_means_nothing(void **state)
{
    (void)state;
    static const struct {
        const char *room;
        unsigned found;
    } cases[] = {
        {"kind storage; covered", 1},
        {"kind bath; covered", 1},
        {"kind deck; covered", 0},
        {"kind outdoors; covered", 0},
        {"kind porch; covered", 0},
        {"kind storage; area a kind deck from 0', 0' size 4' by 4'; covered", 0},
        {"kind storage", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[600];
        struct compilation c;
        snprintf(text, sizeof text,
                 "plan \"Roof\" { edition nec-2023 }\nkind porch : deck \"Porch\" { }\n"
                 "room r { %s; size 10' by 10'; corner 0', 0' }\n",
                 cases[i].room);
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "no-effect-yet"), cases[i].found);
        compile_free(&c);
    }
}

/* Two circuits in one cable go through it the same way. */
static void a_shared_cable_leads_one_way(void **state)
{
    (void)state;
    static const struct {
        unsigned n;
        const char *one, *two;
    } cases[] = {
        {0, "run P -> shop.A; run shop.B -> L",
         "run P -> shop.A; run shop.A -> B for circuits 1, 2"},
        {0, "run P -> shop.A; run shop.B -> L",
         "run P -> shop.A; run shop.B -> A for circuits 1, 2"},
        {1, "run P -> shop.B -> L", "run P -> shop.A -> B for circuits 1, 2"},
        {1, "run P -> shop.L -> B", "run P -> shop.A -> B (in emt-3/4 for circuits 1, 2)"},
        {0, "run P -> shop.L", "run P -> shop.A -> B"},
        /* nor does one of them have a second cable beside it */
        {1, "run P -> shop.A; run shop.B -> L", "run P -> shop.A -> B for circuits 1, 2"},
        {1, "run P -> shop.A -> B -> L", "run P -> shop.A -> B for circuits 1, 2"},
        {1, "run P -> shop.A for circuits 1, 2; run shop.B -> L",
         "run P -> shop.A for circuits 1, 2; run shop.A -> B for circuits 1, 2"},
        {1, "run shop.B -> A -> L for circuits 1, 2", "run P -> shop.B -> A"},
        /* two of its own do, and what they feed shares a cable behind them */
        {0, "run P -> shop.A; run P -> shop.A; run shop.B -> L",
         "run P -> shop.A; run shop.A -> B for circuits 1, 2"},
        {0, "run P -> shop.A; run shop.B -> L",
         "run P -> shop.A; run P -> shop.A; run shop.A -> B for circuits 1, 2"},
        {0, "run P -> shop.A -> L", "run P -> shop.A; run shop.A -> B for circuits 1, 2"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[900];
        struct compilation c;
        snprintf(text, sizeof text,
                 "plan \"Shop\" { edition nec-2023 }\n"
                 "room shop { kind workshop; corner 0', 0'; size 15' by 10'\n"
                 "box A north at 4' { receptacle circuit 2 }\n"
                 "box B north at 11' { receptacle circuit 2 }\n"
                 "box L overhead at 7', 5' { luminaire } }\n"
                 "panel P { in shop west at 4' up 5'; main 100 A; spaces 20 }\n"
                 "circuit P.1 \"Light\" { breaker 15 A; %s }\n"
                 "circuit P.2 \"Bench\" { breaker 15 A gfci; %s }\n",
                 cases[i].one, cases[i].two);
        compile_text(&c, text);
        bool right =
            findings_of(&c, "loop-in-circuit") == cases[i].n && (cases[i].n || c.verdict->holds);
        if (!right) {
            print_error("%s; %s\n", cases[i].one, cases[i].two);
            show_compiled(&c);
        }
        assert_true(right);
        compile_free(&c);
    }
}

/* Lines that could lie in two cables of two conductors do not lie in one of three beside an idle
 * one, however far on the box is that parts them. */
static void lines_are_parted_from_the_panel_on(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, "plan \"Shop\" { edition nec-2023 }\n"
                     "room shop { kind workshop; corner 0', 0'; size 15' by 10'\n"
                     "box A north at 2' { receptacle pole b }\n"
                     "box B north at 7' { receptacle pole b }\n"
                     "box C north at 12' { receptacle pole a; receptacle pole a } }\n"
                     "panel P { in shop west at 4' up 5'; main 100 A; spaces 20 }\n"
                     "circuit P.7 \"Bench\" { breaker 20 A two-pole dual-function; multiwire\n"
                     "run P -> shop.A -> B -> C\nrun P -> shop.A -> B -> C }\n");
    assert_int_equal(c.model->runs.n, 6);
    for (uint32_t i = 0; i < c.model->runs.n; i++)
        assert_true(c.wiring->of_run[i].used <= 2);
    compile_free(&c);
}

/* What a misspelt word leaves open is not said besides: which circuits a panel has, and where an
 * outlined room lies. */
static void what_follows_from_a_slip_is_not_said(void **state)
{
    (void)state;
    static const struct {
        const char *panel, *corner;
        uint32_t errors;
    } cases[] = {{"P", "corner", 0}, {"Q", "corner", 1}, {"P", "cornr", 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[1200];
        struct compilation c;
        snprintf(text, sizeof text,
                 "plan \"Shop\" { edition nec-2023 }\n"
                 "room shop { kind workshop; corner 0', 0'; size 15' by 10'\n"
                 "box A north at 4' { receptacle circuit 1 }\n"
                 "box B north at 11' { receptacle circuit 1; receptacle circuit 2 } }\n"
                 "room store { kind storage; %s 15'-3 1/2\", 0'\noutline from 0', 0' {\n"
                 "west north 10'\nnorth east 10'\neast south 10'\nsouth west 10' } }\n"
                 "panel P { in shop west at 4' up 5'; main 100 A; spaces 20 }\n"
                 "circuit %s.1 \"Bench\" { breaker 20 A gfci; run P -> shop.A }\n"
                 "circuit P.2 \"Wall\" { breaker 20 A gfci; run P -> shop.A\n"
                 "run shop.A -> B for circuits 1 }\n",
                 cases[i].corner, cases[i].panel);
        compile_text(&c, text);
        if (c.diag.counts[ERROR] != cases[i].errors)
            show_compiled(&c);
        assert_int_equal(c.diag.counts[ERROR], cases[i].errors);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(companions_keep_to_themselves),
        cmocka_unit_test(what_would_spare_conductors_is_named),
        cmocka_unit_test(all_clashes_of_a_leg_are_told_at_once),
        cmocka_unit_test(a_three_way_alone_is_told),
        cmocka_unit_test(a_control_carries_the_legs_behind_it),
        cmocka_unit_test(the_light_of_a_fan_may_be_dimmed),
        cmocka_unit_test(halves_have_a_neutral_each),
        cmocka_unit_test(the_heater_of_a_fan_may_be_on_its_own_circuit),
        cmocka_unit_test(one_line_is_protected_where_two_share_a_neutral),
        cmocka_unit_test(a_round_box_takes_no_yoke),
        cmocka_unit_test(power_is_not_put_in_a_bracket),
        cmocka_unit_test(a_chosen_box_carries_the_luminaire),
        cmocka_unit_test(luminaires_pass_what_feeds_luminaires),
        cmocka_unit_test(an_open_room_hides_no_box),
        cmocka_unit_test(a_cable_outside_is_wet),
        cmocka_unit_test(protection_lets_a_cable_lie_less_deep),
        cmocka_unit_test(what_is_fastened_leaves_half),
        cmocka_unit_test(a_kept_end_is_on_its_circuit),
        cmocka_unit_test(an_old_box_is_held_to_what_is_new_in_it),
        cmocka_unit_test(an_old_box_and_a_fan),
        cmocka_unit_test(two_poles_for_one_line),
        cmocka_unit_test(an_old_box_in_the_weather),
        cmocka_unit_test(a_roof_indoors_means_nothing),
        cmocka_unit_test(no_ground_comes_by_the_old_cable),
        cmocka_unit_test(a_mend_suits_the_receptacles),
        cmocka_unit_test(a_name_in_another_case_is_one_slip),
        cmocka_unit_test(a_shared_cable_leads_one_way),
        cmocka_unit_test(lines_are_parted_from_the_panel_on),
        cmocka_unit_test(what_follows_from_a_slip_is_not_said),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
