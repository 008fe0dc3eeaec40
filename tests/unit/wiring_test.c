/* Wiring: how many conductors the classic arrangements take and in which colours, and the fill of
 * boxes as worked out in print. Run from the top of the tree. */
#include "compiled.h"
#include "model/makeup.h"
#include "wiring/wiring.h"

#include <glob.h>

/* --- helpers ------------------------------------------------------------------------------ */

/* The n-th run (from 0) with that address; fails where there is none. */
static const struct run_wiring *run_of(const struct compilation *c, const char *address, unsigned n)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (!strcmp(address_of_run(c->model->arena, c->model->runs.at[i], true), address) &&
            n-- == 0)
            return &c->wiring->of_run[i];
    fail_msg("there is no run %s", address);
    return NULL;
}

static const struct box *box_of(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (!strcmp(c->model->boxes.at[i]->name, name))
            return c->model->boxes.at[i];
    fail_msg("there is no box %s", name);
    return NULL;
}

/* "14/3: line black, neutral white" : the cable, then what its conductors carry in their order,
 * spares left out. */
static const char *words_of(const struct compilation *c, const struct run_wiring *w)
{
    const char *text = w->cable ? w->cable->name : "no cable";
    for (uint8_t i = 0, n = 0; i < w->count; i++)
        if (w->conductors[i].net)
            text = arena_printf(c->model->arena, "%s%s %s %s", text, n++ ? "," : ":",
                                w->conductors[i].net->name, w->conductors[i].color);
    return text;
}

static void assert_run(const struct compilation *c, const char *address, unsigned n,
                       const char *wanted)
{
    assert_string_equal(words_of(c, run_of(c, address, n)), wanted);
}

/* The kinds of a leg's switches in their order: "S1 three-way, S2 three-way". */
static void assert_switches(const struct compilation *c, const char *leg, const char *wanted)
{
    const char *text = "";
    for (uint32_t i = 0; i < c->model->legs.n; i++) {
        const struct leg_wiring *w = &c->wiring->of_leg[i];
        for (uint32_t k = 0; k < w->count && !strcmp(c->model->legs.at[i]->name, leg); k++)
            text = arena_printf(c->model->arena, "%s%s%s %s", text, k ? ", " : "",
                                w->switches[k]->device->box->name,
                                wiring_switch_kind_word(w->kinds[k]));
    }
    assert_string_equal(text, wanted);
}

/* --- classic wirings: common trade practice ----------------------------------------------- */

struct expected_run {
    const char *address;
    unsigned n;
    const char *words;
};

static const struct classic {
    const char *plan, *leg, *switches;
    struct expected_run runs[6];
} classics[] = {
    {"feed-at-switch",
     "a",
     "S1 single-pole",
     {{"P -> passage.S1", 0, "14/2: line black, neutral white"},
      {"passage.S1 -> L1", 0, "14/2: leg a black, neutral white"}}},
    /* 404.2(C): the neutral goes down to the switch of a workshop */
    {"feed-at-light",
     "a",
     "S1 single-pole",
     {{"P -> passage.L1", 0, "14/2: line black, neutral white"},
      {"passage.L1 -> S1", 0, "14/3: line black, leg a red, neutral white"}}},
    {"four-way",
     "a",
     "S1 three-way, S3 four-way, S2 three-way",
     {{"P -> passage.S1", 0, "14/2: line black, neutral white"},
      {"passage.S1 -> S3", 0, "14/3: traveler a.1 a black, traveler a.1 b red, neutral white"},
      {"passage.S3 -> S2", 0, "14/3: traveler a.2 a black, traveler a.2 b red, neutral white"},
      {"passage.S2 -> L1", 0, "14/2: leg a black, neutral white"}}},
    {"light-between",
     "a",
     "S1 three-way, S2 three-way",
     {{"P -> passage.S1", 0, "14/2: line black, neutral white"},
      {"passage.S1 -> L1", 0, "14/3: traveler a.1 a black, traveler a.1 b red, neutral white"},
      {"passage.L1 -> S2", 0, "14/3: traveler a.1 a black, leg a red, traveler a.1 b white"}}},
    /* one of the two locations has the neutral: all of the passage is seen from them */
    {"dead-end-three-way",
     "a",
     "S1 three-way, S2 three-way",
     {{"P -> passage.L1", 0, "14/2: line black, neutral white"},
      {"passage.L1 -> S1", 0, "14/3: traveler a.1 a black, traveler a.1 b red, line white"},
      {"passage.L1 -> S2", 0,
       "14/4: traveler a.1 a black, leg a red, traveler a.1 b blue, neutral white"}}},
    {"constant-hot",
     "a",
     "S2 three-way, S1 three-way",
     {{"passage.S1 -> S2", 0,
       "14/4: line black, traveler a.1 a red, traveler a.1 b blue, neutral white"},
      {"passage.S2 -> R1", 0, "14/2: line black, neutral white"}}},
    {"parallel",
     "a",
     "S2 three-way, S1 three-way",
     {{"passage.S1 -> S2", 0, "14/3: traveler a.1 a black, traveler a.1 b red, line white"},
      {"passage.S1 -> S2", 1, "14/2: line black, neutral white"}}},
    {"half-switched",
     "lamp",
     "S1 single-pole",
     {{"P -> passage.S1", 0, "14/2: line black, neutral white"},
      {"passage.S1 -> R1", 0, "14/3: line black, leg lamp red, neutral white"}}},
    {"fan-with-light",
     "light",
     "S1 single-pole",
     {{"P -> passage.S1", 0, "14/2: line black, neutral white"},
      {"passage.S1 -> F1", 0, "14/3: leg fan black, leg light red, neutral white"}}},
    {"two-circuits",
     "a",
     "S1 single-pole",
     {{"P -> passage.S1", 0, "14/2: line black, neutral white"},
      {"P -> passage.S1", 1, "12/2: line black, neutral white"}}},
};

static void classic_wirings_take_their_conductors(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof classics / sizeof *classics; i++) {
        struct compilation c;
        char path[128];
        snprintf(path, sizeof path, "docs/wiring/%s.bay", classics[i].plan);
        compile(&c, path, (struct compile_options){.library = plan_library()});
        assert_int_equal(c.diag.counts[ERROR], 0);
        assert_switches(&c, classics[i].leg, classics[i].switches);
        for (const struct expected_run *r = classics[i].runs;
             r < classics[i].runs + 6 && r->address; r++)
            assert_run(&c, r->address, r->n, r->words);
        compile_free(&c);
    }
}

/* --- colours ------------------------------------------------------------------------------ */

static const char *shed(const char *kind, const char *boxes, const char *runs)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023 }\nroom shed { kind %s; size 14' by 10'\n%s "
             "}\npanel P { in shed south at 7' up 5'; main 100 A; spaces 20 }\n%s",
             kind, boxes, runs);
    return text;
}

/* 200.7(C)(1): the white of a switch loop is the supply of the switch, not the return. 404.2(C)
 * asks for no neutral in a storage room. */
static void white_of_a_switch_loop_is_the_supply(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, shed("storage",
                           "box S1 west at 2' { switch leg a }\nbox L1 overhead at 5', 5' { "
                           "luminaire leg a 40 W }",
                           "circuit P.1 { breaker 15 A; run P -> shed.L1 -> S1 }\n"));
    assert_run(&c, "shed.L1 -> S1", 0, "14/2: leg a black, line white");
    assert_true(run_of(&c, "shed.L1 -> S1", 0)->conductors[1].reidentified);
    compile_free(&c);
}

/* 200.7(C)(1): a white is line b of a 240 V load, behind a two-pole switch too. */
static void white_is_line_b(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, shed("storage",
                           "box S1 west at 2' { switch-2p leg heat }\nbox H1 west at 6' { "
                           "baseboard leg heat 1500 W }",
                           "circuit P.1 { breaker 20 A two-pole; run P -> shed.S1 -> H1 }\n"));
    assert_run(&c, "P -> shed.S1", 0, "12/2: line a black, line b white");
    assert_run(&c, "shed.S1 -> H1", 0, "12/2: leg heat a black, leg heat b white");
    compile_free(&c);
    /* a loop: the supply goes down to the switch on the white, what comes back has other colours */
    compile_sound(&c, shed("storage",
                           "box S1 west at 2' { switch-2p leg heat }\nbox H1 west at 6' { "
                           "baseboard leg heat 1500 W }",
                           "circuit P.1 { breaker 20 A two-pole; run P -> shed.H1 -> S1 }\n"));
    assert_run(&c, "shed.H1 -> S1", 0,
               "12/4: line a black, leg heat a red, leg heat b blue, line b white");
    compile_free(&c);
}

/* The cable that is left open has enough conductors of other colours: three legs and their supply
 * are not laid in two pairs. */
static void an_open_cable_has_the_colours(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(
        &c, shed("storage",
                 "box S1 west at 2' { switch leg a; switch leg b; switch leg c }\nbox J1 overhead "
                 "at 5', 5' { cover blank }\n"
                 "box L1 overhead at 3', 5' { luminaire leg a 9 W }\nbox L2 overhead at 7', 5' { "
                 "luminaire leg b 9 W }\nbox L3 overhead at 9', 5' { luminaire leg c 9 W }",
                 "circuit P.1 { breaker 15 A; run P -> shed.J1 -> S1; run shed.J1 -> L1; run "
                 "shed.J1 -> L2; run shed.J1 -> L3 }\n"));
    assert_run(&c, "shed.J1 -> S1", 0, "14/4: leg a black, leg b red, leg c blue, line white");
    compile_free(&c);
}

/* A cable carries no more neutrals than it has whites (200.6(A)); each is on a white; no white
 * comes back from a switch; alarms are joined by red. */
static unsigned color_faults(const struct compilation *c)
{
    unsigned faults = 0;
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct run_wiring *w = &c->wiring->of_run[i];
        for (uint8_t k = 0; k < w->count && w->conductors; k++) {
            const struct net *n = w->conductors[k].net;
            if (!w->cable)
                continue; /* an old cable of which nobody says what it is */
            bool white = !strncmp(w->conductors[k].color, "white", 5),
                 neutral = n && n->sort == N_NEUTRAL;
            bool returns =
                n && white && ((n->sort == N_LEG && !n->pole) || n->sort == N_INTERCONNECT);
            bool alarm =
                n && n->sort == N_INTERCONNECT && strcmp(w->conductors[k].color, "red") != 0;
            bool marked = n && w->conductors[k].reidentified != (white && !neutral);
            faults += (neutral && !white) || returns || alarm || marked;
        }
    }
    return faults;
}

static void colours_keep_their_meaning(void **state)
{
    (void)state;
    glob_t found;
    assert_int_equal(glob("docs/wiring/*.bay", 0, NULL, &found), 0);
    assert_int_equal(glob("examples/*/*.bay", GLOB_APPEND, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        struct compilation c;
        compile(&c, found.gl_pathv[i], (struct compile_options){.library = plan_library()});
        if (c.model)
            assert_int_equal(color_faults(&c), 0);
        compile_free(&c);
    }
    globfree(&found);
}

/* --- where a cable lies ------------------------------------------------------------------- */

/* 340.10: underground feeder cable is taken where the way is underground and the plan names none.
 */
static void an_open_cable_suits_its_place(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, "plan \"Yard\" { edition nec-2023 }\nroom shed { kind workshop; corner 0', "
                      "0'; size 14' by 10'\nbox R1 south at 3' { receptacle-gfci onward } }\n"
                      "room pond { kind outdoors; corner 0', -12'; size 14' by 6'\nbox R1 north at "
                      "3' up 18\" { cover in-use; receptacle-wr } }\n"
                      "panel P { in shed south at 7' up 5'; main 100 A; spaces 20 }\n"
                      "circuit P.1 { breaker 20 A; run P -> shed.R1; run shed.R1 -> pond.R1 "
                      "underground 12\" }\n");
    assert_string_equal(run_of(&c, "P -> shed.R1", 0)->cable->name, "12/2");
    assert_string_equal(run_of(&c, "shed.R1 -> pond.R1", 0)->cable->name, "12/2-uf");
    compile_free(&c);
}

/* --- declared kinds of switches ----------------------------------------------------------- */

/* A leg keeps to the kinds that are written: the four-way stands between, wherever the cables would
 * rather have it. */
static void written_kinds_order_the_switches(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, shed("storage",
                           "box S1 west at 2' { four-way leg a }\nbox S2 north at 2' { three-way "
                           "leg a }\nbox S3 north at 9' { three-way leg a }\n"
                           "box J1 overhead at 5', 5' { cover blank }\nbox L1 overhead at 8', 5' { "
                           "luminaire leg a 40 W }",
                           "circuit P.1 { breaker 15 A; run P -> shed.J1 -> S1; run shed.J1 -> S2; "
                           "run shed.J1 -> S3; run shed.J1 -> L1 }\n"));
    assert_switches(&c, "a", "S2 three-way, S1 four-way, S3 three-way");
    compile_free(&c);
    compile_fault(
        &c,
        shed("storage",
             "box S1 west at 2' { switch leg a }\nbox H1 west at 6' { baseboard leg a 1500 W }",
             "circuit P.1 { breaker 20 A two-pole; run P -> shed.S1 -> H1 }\n"),
        "switch-kind", "breaks one line, but the baseboard on leg a takes both");
    compile_free(&c);
    compile_fault(&c,
                  shed("storage",
                       "box S1 west at 2' { timer-switch leg a }\nbox S2 west at 6' { switch leg a "
                       "}\nbox L1 overhead at 5', 5' { luminaire leg a 40 W }",
                       "circuit P.1 { breaker 15 A; run P -> shed.S1 -> S2 -> L1 }\n"),
                  "switch-kind", "works a leg alone");
    compile_free(&c);
}

/* 404.14: a plain switch carries motors to 80 % of its rating. */
static void motors_take_a_share_of_a_switch(void **state)
{
    (void)state;
    struct compilation c;
    static const char text[] =
        "box S1 west at 2' { switch leg d }\nbox D1 west at 6' { disposer leg d %d VA }";
    static const char circuit[] = "circuit P.1 { breaker 20 A; run P -> shed.S1 -> D1 }\n";
    char boxes[200];
    snprintf(boxes, sizeof boxes, text, 1400);
    compile_sound(&c, shed("storage", boxes, circuit));
    compile_free(&c);
    snprintf(boxes, sizeof boxes, text, 1500);
    compile_fault(&c, shed("storage", boxes, circuit), "control-overloaded",
                  "good for 12 A of motors; those on leg d take 12.5 A");
    compile_free(&c);
}

static void a_leg_keeps_its_limit(void **state)
{
    (void)state;
    struct compilation c;
    static const char boxes[] =
        "box S1 west at 2' { switch leg a }\nbox L1 overhead at 5', 5' { luminaire leg a 400 W "
        "}\nbox L2 overhead at 8', 5' { luminaire leg a 200 W }";
    compile_fault(
        &c,
        shed("storage", boxes,
             "leg a { limit 500 W }\ncircuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 -> L2 }\n"),
        "control-overloaded", "takes 600 VA; its limit is 500 VA");
    compile_free(&c);
    compile_sound(
        &c,
        shed(
            "storage", boxes,
            "leg a { limit 600 W }\ncircuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 -> L2 }\n"));
    compile_free(&c);
}

/* --- box fill: 314.16(B), examples worked out in print ------------------------------------ */

/* Boxes as they are said: what an existing box holds, its devices, its type; `defines`: a type of
 * the example's own. */
static const struct fill_example {
    const char *source, *edition, *type, *box, *defines;
    double required; /* in3 */
    bool fits;
} fill_examples[] = {
    /* Nine 12 AWG want 20.25 in3:
       https://www.ecmweb.com/national-electrical-code/code-basics/article/20904411/nec-requirements-for-sizing-outlet-boxes
     */
    {"W1, 4 x 1-1/4 square", "nec-2017", "square-1-1-4-deep", "holds 9 of 12", "", 20.25, false},
    {"W1, 4 x 1-1/2 square", "nec-2017", "square-1-1-2-deep", "holds 9 of 12", "", 20.25, true},
    {"W1, 4 x 1-1/4 octagon", "nec-2017", "octagon-1-1-4-deep", "holds 9 of 12", "", 20.25, false},
    {"W1, 4 x 1-1/2 octagon", "nec-2017", "octagon-1-1-2-deep", "holds 9 of 12", "", 20.25, false},
    /* Seven 14 AWG in 15.5 in3: http://www.ecmweb.com/content/code-calculations-9?page=10 */
    {"W2, seven", "nec-2017", "octagon-1-1-2-deep", "holds 7 of 14", "", 14, true},
    {"W2, eight", "nec-2017", "octagon-1-1-2-deep", "holds 8 of 14", "", 16, false},
    /* Two 12-2 with ground, stud, clamps, two fixture wires:
       http://ecmweb.com/nec/code_quiz/electric_quizzes_code_5/ Q2 */
    {"W4, 4 x 2-1/8 octagon", "nec-2017", "example", "holds 4 of 12; holds 2 of 18; grounds 2",
     "octagon-2-1-8-deep { clamp internal; fittings 1 }", 18.75, true},
    {"W4, 4 x 1-1/2 octagon", "nec-2017", "example", "holds 4 of 12; holds 2 of 18; grounds 2",
     "octagon-1-1-2-deep { clamp internal; fittings 1 }", 18.75, false},
    /* Four 14-2 and four 12-2 with ground, splices only; our answer, same page, Q3. All grounds
       were one allowance; since 2020 four are */
    {"W5, 2017", "nec-2017", "square-large-2-1-8-deep", "holds 8 of 14; holds 8 of 12; grounds 8",
     "", 36.25, true},
    {"W5, 2020", "nec-2020", "square-large-2-1-8-deep", "holds 8 of 14; holds 8 of 12; grounds 8",
     "", 38.5, true},
    {"W5, 4 x 2-1/8 square", "nec-2020", "square-2-1-8-deep",
     "holds 8 of 14; holds 8 of 12; grounds 8", "", 38.5, false},
    /* Three 12 AWG, two grounds, clamp, one yoke: https://electricianprep.co/learn/box-fill */
    {"W7", "nec-2020", "device-2-3-4-deep", "holds 3 of 12; grounds 2; receptacle", "", 15.75,
     false},
    /* 4-11/16 x 2-1/8: 22.5 in3 used, eight more 12 AWG:
       https://vipsolutions.in/answer/please-convert-the-below-content-to-rendered-equat--qid13157
     */
    {"W9", "nec-2023", "example", "holds 4 of 12; grounds 2; receptacle; receptacle",
     "square-large-2-1-8-deep { clamp internal }", 22.5, true},
    {"W9, eight more", "nec-2023", "example", "holds 12 of 12; grounds 2; receptacle; receptacle",
     "square-large-2-1-8-deep { clamp internal }", 40.5, true},
    {"W9, nine more", "nec-2023", "example", "holds 13 of 12; grounds 2; receptacle; receptacle",
     "square-large-2-1-8-deep { clamp internal }", 42.75, false},
    /* Five 14 and five 12 AWG grounds are 5.625 in3, beside conductors of 42.5:
       https://forums.mikeholt.com/threads/egc-fill.2566828 */
    {"W10, 2017", "nec-2017", "square-large-2-1-8-deep",
     "holds 10 of 14; holds 10 of 12; grounds 10", "", 42.5 + 2.25, false},
    {"W10, 2020", "nec-2020", "square-large-2-1-8-deep",
     "holds 10 of 14; holds 10 of 12; grounds 10", "", 42.5 + 5.625, false},
    /* Three-gang 44 in3, three switches, then a feed more:
       https://life-improver.com/diy/electrical-3-gang-box-code-specifications */
    {"W13", "nec-2017", "nail-on-3g-44",
     "holds 9 of 14; grounds 4; switch leg a; switch leg b; switch leg c", "", 34, true},
    {"W13, 2017", "nec-2017", "nail-on-3g-44",
     "holds 11 of 14; grounds 5; switch leg a; switch leg b; switch leg c", "", 38, true},
    {"W13, 2020", "nec-2020", "nail-on-3g-44",
     "holds 11 of 14; grounds 5; switch leg a; switch leg b; switch leg c", "", 38.5, true},
    /* 3 x 2 x 2-1/2 device box:
       https://www.doityourself.com/forum/electrical-ac-dc/377340-dang-box-fill-chart.html */
    {"W15, no device", "nec-2020", "example", "holds 4 of 14; grounds 2",
     "device-2-1-2-deep { clamp none }", 10, true},
    {"W15", "nec-2020", "example", "holds 4 of 14; grounds 2; receptacle",
     "device-2-1-2-deep { clamp none }", 14, false},
    /* Six 14 AWG, a switch and grounds:
       https://adambostanci.com/how-many-wires-are-in-a-22-cubic-inch-box */
    {"W17", "nec-2020", "nail-on-1g-22", "holds 6 of 14; grounds 3; switch leg a", "", 18, true},
};

/* The examples speak of the box alone: no ring of it comes through a finish of an inch. */
static bool fill_is_as_printed(const struct fill_example *e)
{
    struct compilation c;
    char text[2000];
    snprintf(text, sizeof text,
             "plan \"Fill\" { edition %s }\n%s%s\nroom shed { kind workshop; size 14' by 10'\n"
             "finish 1\"\nbox J west at 4' up 4' { existing; type %s; %s } }\n",
             e->edition, *e->defines ? "box-type example : " : "", e->defines, e->type, e->box);
    compile_text(&c, text);
    const struct fill *f = &c.wiring->of_box[box_of(&c, "J")->id];
    bool fits = f->required <= f->volume + 1e-9,
         right = fabs(f->required - e->required) < 1e-6 && fits == e->fits;
    if (!right)
        print_error("%s: needs %.3f in3 of %.2f, printed is %.3f, and it %s\n", e->source,
                    f->required, f->volume, e->required, e->fits ? "fits" : "does not fit");
    compile_free(&c);
    return right;
}

static void fill_is_as_worked_out_in_print(void **state)
{
    (void)state;
    unsigned wrong = 0;
    for (size_t i = 0; i < sizeof fill_examples / sizeof *fill_examples; i++)
        wrong += !fill_is_as_printed(&fill_examples[i]);
    assert_int_equal(wrong, 0);
}

/* W18: two 12-2 and two 14-2 with ground, a switch on 14 AWG, a receptacle on 12 AWG, clamps. The
 * printed key of the textbook
 * (http://todance.info/visit/electrical-wiring-residential-textbook-8984) has 31.50 in3; by
 * 314.16(B)(4) each device counts by the conductor on its own yoke: 9 + 8 + 4 + 4.5 + 2.25 + 2.25
 * = 30. */
static void a_device_counts_by_its_own_conductors(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(
        &c,
        shed("storage",
             "box S1 west at 19\" up 4' { type nail-on-2g-32; switch leg a circuit 1; receptacle "
             "circuit 2 }\n"
             "box L1 overhead at 5', 5' { luminaire leg a 40 W }\nbox R2 west at 6' { receptacle }",
             "circuit P.1 { breaker 15 A; run P -> shed.S1 -> L1 }\ncircuit P.2 { breaker 20 A; "
             "run P -> shed.S1 -> R2 }\n"));
    assert_near(c.wiring->of_box[box_of(&c, "S1")->id].required, 30, 1e-6);
    compile_free(&c);
}

/* The same box as an existing one would be reckoned by the largest conductor, in whatever order its
 * holdings are written. */
static void old_boxes_are_reckoned_by_the_largest(void **state)
{
    (void)state;
    static const char *const holdings[] = {"holds 4 of 14; holds 4 of 12; grounds 4",
                                           "holds 4 of 12; holds 4 of 14; grounds 4"};
    for (unsigned i = 0; i < 2; i++) {
        struct compilation c;
        char text[500];
        snprintf(text, sizeof text,
                 "plan \"Fill\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by "
                 "10'\nbox J west at 4' up 4' { existing; type nail-on-2g-32; %s; receptacle } }\n",
                 holdings[i]);
        compile_text(&c, text);
        assert_near(c.wiring->of_box[box_of(&c, "J")->id].required, 8 + 9 + 2.25 + 4.5 + 2.25,
                    1e-6);
        compile_free(&c);
    }
}

/* Makers list connectors for 14 to 6 AWG (common trade practice): a splice of thicker wires takes
 * none of them. */
static void thick_wires_want_a_connector_of_their_own(void **state)
{
    (void)state;
    static const char *const cables[] = {"10/3", "4/3"};
    for (unsigned i = 0; i < 2; i++) {
        struct compilation c;
        char text[500];
        snprintf(text, sizeof text,
                 "plan \"Splice\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by "
                 "10'\nbox J west at 8' { }\nbox R west at 9'-6\" { range-receptacle } }\n"
                 "panel P { in shed west at 3' up 5'; main 200 A; spaces 8 }\ncircuit P.1 { "
                 "breaker 30 A two-pole; cable %s; run P -> shed.J -> R }\n",
                 cables[i]);
        compile_text(&c, text);
        unsigned thick = 0;
        for (uint32_t k = 0; k < c.makeup->joints.n; k++) {
            const struct joint *j = &c.makeup->joints.at[k];
            if (j->kind != JOINT_SPLICE ||
                !strcmp(j->net, "ground")) /* the ground of 4/3 is thinner */
                continue;
            assert_int_equal(j->connector != NULL, i == 0);
            thick++;
        }
        assert_int_equal(thick, 3);
        compile_free(&c);
    }
}

/* The line that one thing of a leg names is that of all; two that name different ones are told. */
static void a_leg_is_on_one_line(void **state)
{
    (void)state;
    static const struct {
        const char *of_switch, *of_light;
        unsigned told;
        const char *line;
    } cases[] = {{"", " pole b", 0, "line b"},
                 {" pole b", "", 0, "line b"},
                 {" pole a", " pole a", 0, "line a"},
                 {" pole b", " pole a", 1, "line a"}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct buf b = {0};
        struct compilation c;
        buf_printf(&b,
                   "plan \"T\" { edition nec-2023 }\nroom a \"A\" { kind workshop; size 12' by "
                   "10'\nbox S1 west at 4' up 48\" { switch leg d%s }\n"
                   "box L1 overhead at 6', 5' { luminaire leg d%s } }\n"
                   "panel P \"P\" { in a south at 4' up 5'; main 100 A; spaces 8 }\n"
                   "circuit P.1 \"Bench and light\" { breaker 20 A two-pole; multiwire; run P -> "
                   "a.S1 -> L1 }\n",
                   cases[i].of_switch, cases[i].of_light);
        compile_text(&c, buf_text(&b));
        assert_int_equal(findings_of(&c, "leg-crosses-circuits"), cases[i].told);
        assert_string_equal(c.wiring->of_run[0].conductors[0].net->name, cases[i].line);
        compile_free(&c);
        buf_free(&b);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_leg_is_on_one_line),
        cmocka_unit_test(classic_wirings_take_their_conductors),
        cmocka_unit_test(white_of_a_switch_loop_is_the_supply),
        cmocka_unit_test(white_is_line_b),
        cmocka_unit_test(an_open_cable_has_the_colours),
        cmocka_unit_test(colours_keep_their_meaning),
        cmocka_unit_test(an_open_cable_suits_its_place),
        cmocka_unit_test(written_kinds_order_the_switches),
        cmocka_unit_test(motors_take_a_share_of_a_switch),
        cmocka_unit_test(a_leg_keeps_its_limit),
        cmocka_unit_test(fill_is_as_worked_out_in_print),
        cmocka_unit_test(a_device_counts_by_its_own_conductors),
        cmocka_unit_test(old_boxes_are_reckoned_by_the_largest),
        cmocka_unit_test(thick_wires_want_a_connector_of_their_own),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
