/* Raceways: how many conductors go in against the tables of Annex C, and what is made of runs that
 * lie in them. */
#include "compiled.h"

#include "cmd/cmd.h"
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "facts/raceways.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "prove/prove.h"
#include "wiring/wiring.h"

/* --- Annex C ------------------------------------------------------------------------------ */

/* NFPA 70 Annex C, THHN and THWN-2 of one size: Table C.1 (EMT) and Table C.10 (rigid PVC, schedule
 * 40), up to 3/0 in the latter. Recalled from memory. */
static const char *const sizes[] = {"14", "12", "10",  "8",   "6",   "4",  "3",
                                    "2",  "1",  "1/0", "2/0", "3/0", "4/0"};
enum { SIZES = sizeof sizes / sizeof *sizes };

enum { NOT_RECALLED = 99 };

static const struct annex_row {
    const char *raceway;
    unsigned most[SIZES];
} annex[] = {
    {"emt-1/2", {12, 9, 5, 3, 2, 1, 1, 1, 1, 1, 0, 0, 0}},
    {"emt-3/4", {22, 16, 10, 6, 4, 2, 1, 1, 1, 1, 1, 1, 1}},
    {"emt-1", {35, 26, 16, 9, 7, 4, 3, 3, 1, 1, 1, 1, 1}},
    {"emt-1-1/4", {61, 45, 28, 16, 12, 7, 6, 5, 4, 3, 2, 1, 1}},
    {"emt-1-1/2", {84, 61, 38, 22, 16, 10, 8, 7, 5, 4, 3, 3, 2}},
    {"emt-2", {138, 101, 63, 36, 26, 16, 13, 11, 8, 7, 6, 5, 4}},
    {"pvc-1/2", {11, 8, 5, 3, 1, 1, 1, 1, 1, 1, 0, 0, NOT_RECALLED}},
    {"pvc-3/4", {21, 15, 9, 5, 4, 2, 1, 1, 1, 1, 1, 1, NOT_RECALLED}},
    {"pvc-1", {34, 25, 15, 9, 6, 4, 3, 3, 1, 1, 1, 1, NOT_RECALLED}},
    {"pvc-1-1/4", {60, 43, 27, 16, 11, 7, 6, 5, 3, 3, 2, 1, NOT_RECALLED}},
    {"pvc-1-1/2", {82, 59, 37, 21, 15, 9, 8, 7, 5, 4, 3, 3, NOT_RECALLED}},
    {"pvc-2", {135, 99, 62, 36, 26, 16, 13, 11, 8, 7, 6, 5, NOT_RECALLED}},
};

static void as_many_go_in_as_annex_c_says(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, "plan \"T\" { edition nec-2023 }\n");
    for (size_t i = 0; i < sizeof annex / sizeof *annex; i++) {
        const struct raceway_def *w = library_raceway(&c.lib, names_of(&c.names, annex[i].raceway));
        assert_non_null(w);
        for (unsigned k = 0; k < SIZES && annex[i].most[k] != NOT_RECALLED; k++) {
            char name[16];
            snprintf(name, sizeof name, "thhn-%s", sizes[k]);
            const struct cable_def *d = library_cable(&c.lib, names_of(&c.names, name));
            assert_non_null(d);
            uint32_t most = facts_most_alike(c.model, w, facts_conductor_area(d->diameter), false);
            if (most != annex[i].most[k])
                fprintf(stderr, "%s, %s: %u, not %u\n", annex[i].raceway, name, most,
                        annex[i].most[k]);
            assert_int_equal(most, annex[i].most[k]);
        }
    }
    compile_free(&c);
}

/* --- what is pulled ----------------------------------------------------------------------- */

#define SHOP(circuits)                                                                             \
    "plan \"T\" { edition nec-2023 }\n"                                                            \
    "room shop \"Shop\" {\n  kind workshop\n  corner 0', 0'\n  size 20' by 14'\n  unfinished\n"    \
    "  box R1 south at 4' up 48\" { receptacle-gfci circuit 1 }\n"                                 \
    "  box R2 south at 12' up 48\" { receptacle-gfci circuit 3 }\n"                                \
    "  box S1 west at 3' up 48\" { switch leg l }\n  box S2 east at 3' up 48\" { switch leg l }\n" \
    "  box L1 overhead at 10', 7' { luminaire leg l }\n}\n"                                        \
    "panel P \"Panel\" { in shop north at 9'; main 100 A; spaces 20; existing }\n" circuits

static const struct run *run_to(const struct compilation *c, const char *box)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (c->model->runs.at[i]->to.box && !strcmp(c->model->runs.at[i]->to.box->name, box))
            return c->model->runs.at[i];
    fail_msg("no run to %s", box);
    return NULL;
}

static const struct run_wiring *wiring_to(const struct compilation *c, const char *box)
{
    return &c->wiring->of_run[run_to(c, box)->id];
}

static const char *const lights = SHOP(
    "circuit P.1 \"Receptacle west of the bench\" { breaker 20 A; run P -> shop.R1 in emt-1/2 }\n"
    "circuit P.3 \"Receptacle by the bench\" { breaker 20 A; run P -> shop.R2 in pvc-1/2 }\n"
    "circuit P.5 \"Shop lights\" { breaker 15 A; in emt-1/2\n"
    "  run P -> shop.S1 -> S2 -> L1 }\n");

/* One conductor for each net, none spare, none re-identified; all of one run in colours of their
 * own; neutrals white, no other white. Common trade practice, 200.6 and 310.6. */
static void each_net_has_its_colour(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, lights);
    for (uint32_t i = 0; i < c.model->runs.n; i++) {
        const struct run_wiring *w = &c.wiring->of_run[i];
        assert_non_null(w->cable);
        assert_int_equal(w->count, w->needed);
        assert_int_equal(w->used, w->count);
        for (uint8_t k = 0; k < w->count; k++) {
            assert_false(w->conductors[k].reidentified);
            assert_int_equal(!strncmp(w->conductors[k].color, "white", 5),
                             w->conductors[k].net->sort == N_NEUTRAL);
            for (uint8_t n = 0; n < k; n++)
                assert_string_not_equal(w->conductors[k].color, w->conductors[n].color);
        }
    }
    assert_true(c.verdict->holds);
    compile_free(&c);
}

/* Metal is the ground, plastic gets a wire: 250.118, 352.60. */
static void metal_grounds_and_plastic_does_not(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, lights);
    assert_int_equal(wiring_to(&c, "R1")->cable->ground, GROUND_RACEWAY);
    assert_int_equal(wiring_to(&c, "R2")->cable->ground, GROUND_GREEN);
    assert_string_equal(wiring_to(&c, "R2")->cable->ground_size, "12");
    compile_free(&c);
}

/* A box that is written as one of plastic does not pass a metal raceway's ground on; flexible metal
 * is the ground of 6 ft alone (250.118(A)(5)). */
static void where_the_raceway_is_not_the_ground_a_wire_is_pulled(void **state)
{
    (void)state;
    static const char *const plans[] = {
        SHOP("circuit P.1 \"West of the bench\" { breaker 20 A; run P -> shop.R1 in fmc-1/2 }\n"
             "circuit P.3 \"By the bench\" { breaker 20 A; run P -> shop.R2 cable 12/2 }\n"
             "circuit P.5 \"Shop lights\" { breaker 15 A; run P -> shop.S1 -> S2 -> L1 }\n"),
        SHOP("circuit P.1 \"West of the bench\" { breaker 20 A; run P -> shop.R1 in emt-1/2 ground "
             "}\n"
             "circuit P.3 \"By the bench\" { breaker 20 A; run P -> shop.R2 cable 12/2 }\n"
             "circuit P.5 \"Shop lights\" { breaker 15 A; run P -> shop.S1 -> S2 -> L1 }\n")};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        compile_sound(&c, plans[i]);
        assert_int_equal(wiring_to(&c, "R1")->cable->ground, GROUND_GREEN);
        compile_free(&c);
    }
}

/* Four circuits in one raceway: eight conductors that carry current, 70 % (Table 310.15(C)(1)); of
 * the 30 A of 12 AWG at 90 C that is 21 A, which 20 A suits. Ten leave 15 A: 10 AWG is pulled. */
static void chosen_conductors_allow_for_what_lies_beside_them(void **state)
{
    (void)state;
    struct compilation c;
    struct buf plan = {0};
    for (unsigned circuits = 4; circuits <= 5; circuits++) {
        buf_puts(&plan, "plan \"T\" { edition nec-2023 }\nroom shop \"Shop\" {\n  kind workshop\n"
                        "  corner 0', 0'\n  size 40' by 14'\n  unfinished\n"
                        "  box J1 north at 2' up 7' { cover blank }\n");
        for (unsigned i = 0; i < circuits; i++)
            buf_printf(&plan, "  box R%u south at %u' up 48\" { receptacle-gfci circuit %u }\n", i,
                       4 + 7 * i, 2 * i + 1);
        buf_puts(&plan,
                 "}\npanel P \"Panel\" { in shop north at 9'; main 100 A; spaces 20; existing "
                 "}\n");
        for (unsigned i = 0; i < circuits; i++)
            buf_printf(&plan,
                       "circuit P.%u \"Bench place %u\" { breaker 20 A%s\n  run shop.J1 -> "
                       "R%u in emt-1/2 }\n",
                       2 * i + 1, i,
                       i               ? ""
                       : circuits == 4 ? "\n  run P -> shop.J1 in emt-1 for circuits 3, 5, 7"
                                       : "\n  run P -> shop.J1 in emt-1 for circuits 3, 5, 7, 9",
                       i);
        compile_sound(&c, buf_text(&plan));
        assert_int_equal(wiring_to(&c, "J1")->count, 2 * circuits);
        assert_string_equal(wiring_to(&c, "J1")->cable->size, circuits == 4 ? "12" : "10");
        compile_free(&c);
        buf_free(&plan);
    }
}

/* Each conductor is cut as long as its run, and the pieces of a raceway are together as long as it.
 */
static void all_that_is_pulled_is_cut(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, lights);
    double wire = 0, tube = 0, wire_cut = 0, tube_cut = 0;
    for (uint32_t i = 0; i < c.model->runs.n; i++) {
        const struct run_wiring *w = &c.wiring->of_run[i];
        wire += length_feet(c.routes->of_run[i].cut) *
                (w->count + (w->cable->ground != GROUND_RACEWAY));
        double way = length_feet(c.routes->of_run[i].path);
        tube += ceil(way * 2 - 1e-9) / 2; /* the stock step is 6 in. */
    }
    for (uint32_t i = 0; i < c.cuts->cable_count; i++)
        for (uint32_t k = 0; k < c.cuts->cables[i].coil_count; k++)
            for (uint32_t n = 0; n < c.cuts->cables[i].coils[k].cut_count; n++) {
                double cut = length_feet(c.cuts->cables[i].coils[k].cuts[n].length);
                *(c.cuts->cables[i].cable->raceway ? &tube_cut : &wire_cut) += cut;
                assert_true(!c.cuts->cables[i].cable->raceway ||
                            length_feet(c.cuts->cables[i].coils[k].stock) == 10);
            }
    assert_true(fabs(wire - wire_cut) < 1e-6 && fabs(tube - tube_cut) < 1e-6);
    compile_free(&c);
}

/* --- what is wrong ------------------------------------------------------------------------ */

#define SHED(run)                                                                                  \
    "plan \"T\" { edition nec-2023 }\n"                                                            \
    "room shop \"Shop\" {\n  kind workshop\n  corner 0', 0'\n  size 20' by 14'\n  unfinished\n"    \
    "  box R1 south at 4' up 48\" { receptacle-gfci }\n}\n"                                        \
    "room pond \"Pond\" {\n  kind outdoors\n  corner 0', -20'\n  size 20' by 6'\n"                 \
    "  box R1 north at 7' up 18\" { cover in-use; receptacle-gfci-wr }\n}\n"                       \
    "panel P \"Panel\" { in shop north at 9'; main 100 A; spaces 20; existing }\n"                 \
    "circuit P.1 \"Pond\" { breaker 20 A; run P -> shop.R1; run shop.R1 -> pond.R1 " run " }\n"

static void what_lies_in_the_ground_is_judged_by_its_raceway(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(&c, SHED("underground 18\" in pvc-1/2")); /* Table 300.5, column 3 */
    compile_free(&c);
    compile_sound(&c, SHED("underground 6\" in rmc-1/2")); /* column 2 */
    compile_free(&c);
    compile_fault(&c, SHED("underground 16\" in pvc-1/2"), "burial-depth", "18\"");
    compile_free(&c);
    compile_fault(&c, SHED("underground 24\" in fmc-1/2"), "cable-not-suited", "fmc-1/2");
    compile_free(&c);
    /* 300.5(B): it is wet in there */
    compile_fault(&c, SHED("underground 24\" in pvc-1 cable 12/2"), "cable-not-suited", "12/2");
    compile_free(&c);
    compile_sound(&c, SHED("underground 18\" in pvc-1 cable 12/2-uf"));
    compile_free(&c);
    compile_fault(&c, SHED("overhead in emt-1/2"), "raceway-support", "air");
    compile_free(&c);
}

/* Table 300.5 by the page that stands over it in stdlib/editions: what lies over a trench, and how
 * deep a cable, steel, plastic and a protected circuit of 20 A lie below. */
static const struct depth_row {
    const char *over;
    unsigned cable, steel, plastic, with_gfci;
} depths[] = {
    {"", 24, 6, 18, 12},
    {" under drive", 18, 18, 18, 12},
    {" under street", 24, 24, 24, 24},
    {" under slab", 18, 4, 4, 6},
    {" under concrete", 18, 6, 12, 6},
};

static void assert_depth(const char *in, const char *over, const char *breaker, unsigned asked)
{
    for (unsigned k = 0; k < 2; k++) {
        char run[160], plan[4000];
        struct compilation c;
        snprintf(run, sizeof run, "underground %u\"%s%s", asked - k, over, in);
        snprintf(plan, sizeof plan, SHED("%s"), run);
        char *at = strstr(plan, "breaker 20 A");
        assert_non_null(at);
        memmove(at + 12 + strlen(breaker), at + 12, strlen(at + 12) + 1);
        memcpy(at + 12, breaker, strlen(breaker));
        compile_text(&c, plan);
        if (findings_of(&c, "burial-depth") != k)
            fprintf(stderr, "%s\n", run);
        assert_int_equal(findings_of(&c, "burial-depth"), k);
        compile_free(&c);
    }
}

static void what_lies_over_a_trench_says_how_deep_it_is(void **state)
{
    (void)state;
    for (size_t i = 0; i < sizeof depths / sizeof *depths; i++) {
        const struct depth_row *d = &depths[i];
        assert_depth(" cable 12/2-uf", d->over, "", d->cable);
        assert_depth(" in rmc-1/2", d->over, "", d->steel);
        assert_depth(" in pvc-1/2", d->over, "", d->plastic);
        assert_depth(" cable 12/2-uf", d->over, " gfci", d->with_gfci);
        assert_depth(" in pvc-1/2", d->over, " gfci",
                     d->plastic < d->with_gfci ? d->plastic : d->with_gfci);
    }
}

static void what_lies_under_a_building_lies_in_a_raceway(void **state)
{
    (void)state;
    struct compilation c;
    const struct finding *f = compile_fault(&c, SHED("underground 24\" under building"),
                                            "burial-depth", "lies under the building as a cable");
    assert_string_equal(f->article, "NEC 2023 300.5(C)");
    compile_free(&c);
    compile_sound(&c, SHED("underground 1\" under building in pvc-1/2"));
    compile_free(&c);
    /* Table 300.5: metal-clad cable that is made for the ground */
    compile_sound(&c,
                  "cable buried-mc : 12/2-mc { suits dry damp wet outdoors underground concealed "
                  "exposed }\n" SHED("underground 1\" under building cable buried-mc"));
    compile_free(&c);
}

/* The drive of more than two dwellings is a street. */
static void the_drive_of_many_dwellings_is_a_street(void **state)
{
    (void)state;
    static const char units[] =
        "unit u1 { room a { size 9' by 9' } }\nunit u2 { corner 40', 0'; room "
        "a { size 9' by 9' } }\n",
                      third[] = "unit u3 { corner 60', 0'; room a { size 9' by 9' } }\n";
    for (unsigned k = 0; k < 2; k++) {
        struct compilation c;
        char plan[4000];
        snprintf(plan, sizeof plan, "%s%s%s", SHED("underground 18\" under drive in pvc-1/2"),
                 units, k ? third : "");
        compile_text(&c, plan);
        assert_int_equal(findings_of(&c, "burial-depth"), k);
        compile_free(&c);
    }
}

/* The text of a report, in `out`. */
static void write_report(struct compilation *c, const char *name, struct buf *out)
{
    struct results r;
    assert_true(cmd_results(c, &r));
    report_write(report_named(name), &r, REPORT_CSV, out);
}

/* Common trade practice: a raceway is laid and strapped before anything is pulled into it
 * (300.18(A): complete between boxes before conductors are installed). A cable is stapled behind
 * its pull. */
static void a_raceway_is_laid_before_anything_is_pulled(void **state)
{
    (void)state;
    static const struct {
        const char *way, *first, *never;
    } rows[] = {{"in emt-1/2", ",lay,", ",staple,"}, {"", ",pull,", ",lay,"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char text[1000];
        struct compilation c;
        struct buf out = {0};
        snprintf(text, sizeof text,
                 "plan \"T\" { edition nec-2023 }\n"
                 "room s { kind workshop; size 20' by 12'; unfinished\n"
                 "box R1 west at 6' { receptacle-gfci } }\n"
                 "panel P { in s north at 4' up 5'; main 60 A; spaces 8 }\n"
                 "circuit P.1 \"Bench\" { breaker 15 A; run P -> s.R1 %s }\n",
                 rows[i].way);
        compile_sound(&c, text);
        write_report(&c, "todo", &out);
        const char *at = strstr(buf_text(&out), rows[i].first);
        assert_non_null(at);
        assert_non_null(strstr(at, i ? ",staple," : ",pull,"));
        assert_null(strstr(buf_text(&out), rows[i].never));
        buf_free(&out);
        compile_free(&c);
    }
}

/* Who digs reads how deep, of a raceway and of a cable, and what lies over it. */
static void the_list_of_work_says_how_deep_to_dig(void **state)
{
    (void)state;
    static const char *const rows[][2] = {
        {"underground 18\" under drive in pvc-1/2", "18\"\" deep under the drive"},
        {"underground 24\"", "24\"\" deep"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        char plan[4000];
        struct compilation c;
        struct buf out = {0};
        snprintf(plan, sizeof plan, SHED("%s"), rows[i][0]);
        compile_sound(&c, plan);
        write_report(&c, "todo", &out);
        const char *at = strstr(buf_text(&out), rows[i][1]);
        assert_non_null(at);
        assert_null(strstr(at + strlen(rows[i][1]), " deep")); /* once */
        buf_free(&out);
        compile_free(&c);
    }
}

/* Common trade practice: ranges, dryers and hoods that plug in are sold without a cord. */
static void cords_are_bought_with_what_they_plug_into(void **state)
{
    (void)state;
    static const char text[] =
        "plan \"T\" { edition nec-2023 }\n"
        "room k { kind kitchen; size 20' by 12'\n"
        "box A north at 6' { range-receptacle }\nbox B north at 10' { range-hood-plugged }\n"
        "box C north at 14' { range 8 kW }\nbox D existing west at 4' { dryer-receptacle existing "
        "} }\n"
        "panel P { in k south at 4' up 5'; main 100 A; spaces 20 }\n"
        "circuit P.2 \"Range\" { breaker 50 A two-pole gfci; run P -> k.A }\n"
        "circuit P.1 \"Hood\" { breaker 15 A dual-function; run P -> k.B }\n"
        "circuit P.6 \"Second range\" { breaker 40 A two-pole gfci; run P -> k.C }\n";
    struct compilation c;
    struct buf out = {0};
    compile_text(&c, text);
    write_report(&c, "materials", &out);
    assert_non_null(strstr(buf_text(&out), "\"cord 50 A, four wires, 4'\",1,each"));
    assert_non_null(strstr(buf_text(&out), "\"cord 15 A, three wires, 3'\",1,each"));
    assert_null(strstr(buf_text(&out), "cord 30 A"));
    buf_free(&out);
    compile_free(&c);
}

static void what_is_no_raceway_is_told(void **state)
{
    (void)state;
    struct compilation c;
    compile_fault(&c, SHED("underground 24\" cable thhn-12"), "missing-clause", "raceway");
    compile_free(&c);
    compile_fault(&c, SHED("underground 24\" in pvc-7/8"), "unknown-name", "pvc-7/8");
    compile_free(&c);
    compile_fault(&c, SHED("underground 24\" in pvc-40"), "missing-clause", "trade size");
    compile_free(&c);
}

/* "in" behind a number of a circuit or of bends is no inch. */
static void a_raceway_may_stand_behind_a_number(void **state)
{
    (void)state;
    struct compilation c;
    compile_sound(
        &c,
        SHOP("circuit P.1 \"West of the bench\" { breaker 20 A\n"
             "  run P -> shop.R1 for circuits 3 in emt-3/4 }\n"
             "circuit P.3 \"By the bench\" { breaker 20 A; run shop.R1 -> R2 bends 2 in emt-1/2 }\n"
             "circuit P.5 \"Shop lights\" { breaker 15 A; run P -> shop.S1 -> S2 -> L1 }\n"));
    assert_int_equal(wiring_to(&c, "R1")->count, 4);
    assert_int_equal(run_to(&c, "R2")->bends, 2);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(as_many_go_in_as_annex_c_says),
        cmocka_unit_test(each_net_has_its_colour),
        cmocka_unit_test(metal_grounds_and_plastic_does_not),
        cmocka_unit_test(where_the_raceway_is_not_the_ground_a_wire_is_pulled),
        cmocka_unit_test(chosen_conductors_allow_for_what_lies_beside_them),
        cmocka_unit_test(all_that_is_pulled_is_cut),
        cmocka_unit_test(what_lies_in_the_ground_is_judged_by_its_raceway),
        cmocka_unit_test(what_lies_over_a_trench_says_how_deep_it_is),
        cmocka_unit_test(what_lies_under_a_building_lies_in_a_raceway),
        cmocka_unit_test(the_drive_of_many_dwellings_is_a_street),
        cmocka_unit_test(what_is_no_raceway_is_told),
        cmocka_unit_test(a_raceway_may_stand_behind_a_number),
        cmocka_unit_test(a_raceway_is_laid_before_anything_is_pulled),
        cmocka_unit_test(the_list_of_work_says_how_deep_to_dig),
        cmocka_unit_test(cords_are_bought_with_what_they_plug_into),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
