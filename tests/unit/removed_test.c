/* What goes: what goes with it, what may not hang on it, and that nothing later counts it. Where
 * nothing else is said the sentences are those of common trade practice. */
#include "compiled.h"

#include "cuts/cuts.h"
#include "emit/removals.h"
#include "emit/results.h"
#include "wiring/wiring.h"

static const char *den(const char *boxes, const char *rest)
{
    static char text[4000];
    snprintf(text, sizeof text,
             "plan \"Den\" { edition nec-2023 }\nroom den { existing; kind family; corner 0', 0'; "
             "size 14' by 12'\n"
             "box R1 south at 3' { existing; type nail-on-1g-22; holds 4 of 14; grounds 2; "
             "receptacle }\n%s }\n"
             "room cellar { existing; kind utility; corner 0', -12'; size 10' by 10' }\n"
             "panel M { existing; in cellar north at 4' up 5'; main 100 A; spaces 20; taken 1 to 8 "
             "}\n%s",
             boxes, rest);
    return text;
}

static void count(const char *rule, unsigned n, const char *boxes, const char *rest)
{
    struct compilation c;
    compile_text(&c, den(boxes, rest));
    bool right = findings_of(&c, rule) == n && (n || !c.diag.counts[ERROR]);
    if (!right) {
        print_error("%u times %s is wanted:\n%s\n%s\n", n, rule, boxes, rest);
        show_compiled(&c);
    }
    assert_true(right);
    compile_free(&c);
}

#define OLD_R2 "box R2 south at 9' { existing; type nail-on-1g-22; receptacle }\n"
#define NEW_R3 "box R3 north at 9' { receptacle }\n"
#define SEVEN(words, runs)                                                                         \
    "circuit M.7 \"Den receptacles\" { " words "; breaker 15 A afci; cable 14/2; " runs " }\n"

static void what_is_new_hangs_on_nothing_that_goes(void **state)
{
    (void)state;
    static const struct {
        unsigned n;
        const char *boxes, *rest;
    } cases[] = {
        /* a new run from a box that goes; from the same box where it stays under a blank cover */
        {1, "box R2 south at 9' { remove; receptacle }\n" NEW_R3,
         SEVEN("existing", "run M -> den.R1 -> R2; run den.R2 -> R3 existing no")},
        {0, "box R2 south at 9' { remove; cover blank; type nail-on-1g-22; receptacle }\n" NEW_R3,
         SEVEN("existing", "run M -> den.R1 -> R2; run den.R2 -> R3 existing no")},
        /* behind a run that goes; beside it */
        {1, OLD_R2 NEW_R3,
         SEVEN("existing",
               "run M -> den.R1; run den.R1 -> R2 remove; run den.R2 -> R3 existing no")},
        {0, OLD_R2 NEW_R3,
         SEVEN("existing",
               "run M -> den.R1; run den.R1 -> R2 remove; run den.R1 -> R3 existing no")},
        /* on a circuit that goes; on another one */
        {1, OLD_R2 NEW_R3, SEVEN("remove", "run M -> den.R1 -> R2; run den.R2 -> R3 existing no")},
        {0, OLD_R2 NEW_R3,
         SEVEN("remove", "run M -> den.R1 -> R2") "circuit M.9 \"New den\" { breaker 15 A afci; "
                                                  "run M -> den.R3 }\n"},
        /* a new device in a box that goes; in one that stays, in the old one's place */
        {1, "box R2 south at 9' { remove; receptacle; receptacle existing no }\n",
         SEVEN("existing", "run M -> den.R1; run den.R1 -> R2 remove")},
        {0,
         "box R2 south at 9' { existing; type nail-on-1g-22; receptacle remove; receptacle "
         "existing no }\n",
         SEVEN("existing", "run M -> den.R1 -> R2")},
        /* what is there and stays is left dead; it goes too; it is fed by a new run */
        {1, OLD_R2, SEVEN("existing", "run M -> den.R1 remove; run den.R1 -> R2")},
        {0, OLD_R2, SEVEN("existing", "run M -> den.R1 remove; run den.R1 -> R2 remove")},
        {0, OLD_R2,
         SEVEN("existing",
               "run M -> den.R1; run den.R1 -> R2 remove; run M -> den.R2 existing no")},
        /* the end of a line goes with its cable, and without a word of its own */
        {0, "box R2 south at 9' { remove; receptacle }\n",
         SEVEN("existing", "run M -> den.R1 -> R2 (remove)")},
        {0, OLD_R2, SEVEN("existing", "run M -> den.R1; run den.R1 -> R2 remove")},
        /* a new light whose old switch goes; one that has another */
        {1,
         "box S1 west at 3' { existing; type nail-on-1g-22; switch leg x remove }\n"
         "box L1 overhead at 7', 6' { luminaire 60 W leg x }\n",
         SEVEN("existing", "run M -> den.R1 -> S1; run den.S1 -> L1 existing no")},
        {0,
         "box S1 west at 3' { existing; type nail-on-1g-22; switch leg x remove; switch leg x "
         "existing no }\nbox L1 overhead at 7', 6' { luminaire 60 W leg x }\n",
         SEVEN("existing", "run M -> den.R1 -> S1; run den.S1 -> L1 existing no")},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        count("removed-but-used", cases[i].n, cases[i].boxes, cases[i].rest);
}

/* A letter of a light that goes with its circuit: whether it goes is not known then, and nothing
 * is said of it. */
static void slip_in_a_run_that_goes_is_one_finding(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, den("box S4 west at 3' { switch leg x }\n"
                         "box L5 overhead at 7', 6' { luminaire 60 W leg x }\n",
                         "circuit M.5 \"Old\" { remove; breaker 15 A; run M -> den.S4 -> q5 }"));
    assert_int_equal(findings_of(&c, "unknown-name"), 1);
    assert_int_equal(c.diag.counts[ERROR], 1);
    compile_free(&c);
}

/* NFPA 70 314.29: what is spliced or ends in a box can be reached. */
static void no_end_is_buried(void **state)
{
    (void)state;
    count("box-buried", 1, "box R2 south at 9' { remove; receptacle }\n",
          SEVEN("existing", "run M -> den.R1 -> R2"));
    count("box-buried", 1, "box R2 south at 9' { remove; receptacle }\n",
          SEVEN("existing", "run M -> den.R1; run den.R1 -> R2 remove abandoned"));
    count("box-buried", 0, "box R2 south at 9' { remove; cover blank; receptacle }\n",
          SEVEN("existing", "run M -> den.R1 -> R2"));
    count("box-buried", 0, OLD_R2,
          SEVEN("existing", "run M -> den.R1; run den.R1 -> R2 remove abandoned"));
}

static uint32_t taken_out(const struct compilation *c)
{
    const struct model *m = c->model;
    return m->gone.boxes.n + m->gone.devices.n + m->gone.runs.n + m->gone.circuits.n;
}

/* The circuit, its two runs, its two boxes and their devices; its space is free though the panel
 * says that it is taken. */
static void circuit_takes_all_with_it(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, den("box R4 west at 3' { receptacle }\nbox R5 west at 8' { receptacle }\n"
                          "box R6 north at 9' { receptacle }\n",
                          "circuit M.5 \"Old\" { remove; breaker 15 A; run M -> den.R4 -> R5 }\n"
                          "circuit M.new \"New\" { space 5; breaker 15 A afci; run M -> den.R6 }"));
    assert_int_equal(taken_out(&c), 1 + 2 + 2 + 2);
    assert_int_equal(c.model->circuits.n, 1);
    assert_int_equal(c.model->gone.dead.n, 1);
    assert_int_equal(findings_of(&c, "space-conflict"), 0);
    for (uint32_t i = 0; i < c.model->boxes.n; i++)
        assert_int_equal(c.model->boxes.at[i]->id, i);
    compile_free(&c);
}

/* An abandoned cable leaves its boxes, each with a cap on every conductor and a blank cover. */
static void abandoned_cable_is_capped(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, den("box R4 west at 3' { receptacle }\nbox R5 west at 8' { receptacle }\n",
                          "circuit M.5 \"Old\" { existing; breaker 15 A; cable 14/3\n"
                          "run M -> den.R4 -> R5 remove abandoned }\n"));
    assert_int_equal(c.model->gone.boxes.n, 0);
    assert_int_equal(c.model->gone.devices.n, 2);
    unsigned bared = 0;
    for (uint32_t i = 0; i < c.model->boxes.n; i++)
        bared += c.model->boxes.at[i]->bared && !strcmp(c.model->boxes.at[i]->cover, "blank");
    assert_int_equal(bared, 2);
    struct results r = {.arena = &c.arena, .model = c.model, .makeup = c.makeup};
    uint32_t untold;
    assert_int_equal(removals_caps(&r, &untold), 2 * 2 * 3);
    assert_int_equal(untold, 0);
    compile_free(&c);
}

/* Boxes have room for what comes when what was in them goes (NFPA 70 314.16). */
static void what_leaves_a_box_leaves_room(void **state)
{
    (void)state;
    static const char boxes[] =
        "box J1 west at 5' { existing; type nail-on-1g-18; cover blank }\n"
        "box R4 west at 2' { existing; receptacle }\nbox R5 west at 8' { existing; receptacle }\n"
        "box R6 north at 5' { receptacle }\n";
    char rest[400];
    for (int goes = 0; goes < 2; goes++) {
        snprintf(rest, sizeof rest,
                 "circuit M.7 \"Den\" { existing; breaker 15 A afci; cable 14/3\n"
                 "run M -> den.J1; run den.J1 -> R4%s; run den.J1 -> R5%s\n"
                 "run den.J1 -> R6 existing no }\n",
                 goes ? " remove" : "", goes ? " remove" : "");
        count("box-overfilled", !goes, boxes, rest);
    }
}

/* --- what the site log says is out -------------------------------------------------------- */

#define GOING                                                                                      \
    "box R2 south at 9' { existing; type nail-on-1g-22; receptacle }\n"                            \
    "box J1 north at 3' { existing; type nail-on-1g-22; receptacle }\n"                            \
    "box H1 west at 6' { existing; heater 1500 W }\n",                                             \
        "circuit M.7 \"Den\" { existing; breaker 15 A afci; cable 14/2; run M -> den.R1 -> R2\n"   \
        "run den.R2 -> J1 remove abandoned }\n"                                                    \
        "circuit M.2 \"Heater\" { remove; breaker 20 A two-pole; cable 12/2; run M -> den.H1 }\n"

/* What is left of what goes, of seven things and the two circuits that are made dead for them; and
 * what the log is told. */
static void log_takes_out(void **state)
{
    (void)state;
    static const struct {
        const char *log;
        unsigned out, alive, told, caps;
    } cases[] = {
        {"2026-03-14 tested den.R1\n", 0, 0, 0, 4},
        {"2026-03-14 removed den.J1\n", 1, 0, 0, 4},
        {"2026-03-14 removed den.J1\n2026-03-14 removed den.J1 -> R2\n", 2, 1, 0, 0},
        {"2026-03-14 removed den.R2 -> den.J1\n2026-03-15 not removed den.R2 -> den.J1\n", 0, 0, 0,
         4},
        {"2026-03-14 removed den.H1\n", 2, 0, 0, 4},
        {"2026-03-14 removed circuit M.2\n", 4, 1, 0, 4},
        {"2026-03-14 removed circuit M2/4\n", 4, 1, 0, 4},
        {"2026-03-14 removed circuit M.7\n", 2, 1, 0, 0},
        {"2026-03-14 removed den\n", 4, 1, 0, 0},
        {"2026-03-14 removed den.R2\n", 0, 0, 1, 4},         /* it stays */
        {"2026-03-14 removed den.R9\n", 0, 0, 1, 4},         /* there is none */
        {"2026-03-14 pulled M -> den.H1 20'\n", 0, 0, 1, 4}, /* it goes */
        {"2026-03-14 set den.H1\n", 0, 0, 1, 4},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        unsigned out = 0, alive = 0, things = 0;
        uint32_t untold;
        compile_with_log(&c, den(GOING), cases[i].log);
        struct results r = {.arena = &c.arena,
                            .model = c.model,
                            .makeup = c.makeup,
                            .panels = c.panels,
                            .log = c.log};
        removal_list list = removals_of(&r);
        for (uint32_t k = 0; k < list.n; k++) {
            out += !list.at[k].dead && list.at[k].done;
            alive += list.at[k].dead && list.at[k].done;
            things += !list.at[k].dead;
        }
        if (out != cases[i].out || alive != cases[i].alive)
            print_error("%s: %u of %u out, %u alive\n", cases[i].log, out, things, alive);
        assert_int_equal(things, 6);
        assert_int_equal(out, cases[i].out);
        assert_int_equal(alive, cases[i].alive);
        assert_int_equal(removals_caps(&r, &untold), cases[i].caps);
        assert_int_equal(findings_of(&c, "log-entry-unknown"), cases[i].told);
        compile_free(&c);
    }
}

/* Of the two spaces of a breaker that goes each is closed that no other breaker has then. */
static void open_spaces_get_fillers(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        unsigned open;
    } cases[] = {
        {"", 2},
        {"circuit M.new \"New\" { space 4; breaker 20 A afci; run M -> den.R3 }\n", 1},
        {"circuit M.new \"New\" { space 2; breaker 20 A two-pole; run M -> den.R3 }\n", 0}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char rest[600];
        snprintf(rest, sizeof rest,
                 "circuit M.2 \"Heater\" { remove; breaker 20 A two-pole; cable 12/2; run M -> "
                 "den.H1 }\n%s",
                 cases[i].words);
        compile_text(&c, den("box H1 west at 6' { existing; heater 1500 W }\n"
                             "box R3 north at 9' { heater 1000 W }\n",
                             rest));
        struct results r = {.arena = &c.arena, .model = c.model, .panels = c.panels};
        assert_int_equal(removals_open_spaces(&r, c.model->panels.at[0]).n, cases[i].open);
        assert_int_equal(removals_fillers(&r, c.model->panels.at[0]), cases[i].open);
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_new_hangs_on_nothing_that_goes),
        cmocka_unit_test(slip_in_a_run_that_goes_is_one_finding),
        cmocka_unit_test(no_end_is_buried),
        cmocka_unit_test(circuit_takes_all_with_it),
        cmocka_unit_test(abandoned_cable_is_capped),
        cmocka_unit_test(what_leaves_a_box_leaves_room),
        cmocka_unit_test(log_takes_out),
        cmocka_unit_test(open_spaces_get_fillers),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
