/* What a plan stands in: wall cabinets and what they hide (314.29(A); 210.52(3): receptacles in
 * cabinets are none of the wall), boxes on the sides of islands, ceilings that hang below the
 * joists. Lengths by hand. */
#include "compiled.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"

/* A room with a panel; its words, boxes and circuits are those of a case. */
static const char room_plan[] = "plan \"Stands\" { edition nec-2023 }\n"
                                "room den { kind storage; size 16' by 12'; ceiling 9'\n%s\n}\n"
                                "panel P { in den east at 6' up 5'; main 100 A; spaces 20 }\n%s\n";

struct variant {
    const char *room, *circuits, *rule;
    unsigned found;
};

static void compile_room(struct compilation *c, const char *room, const char *circuits)
{
    char text[4000];
    assert_true(snprintf(text, sizeof text, room_plan, room, circuits) < (int)sizeof text);
    compile_text(c, text);
}

static void try_variants(const struct variant *v, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        struct compilation c;
        compile_room(&c, v[i].room, v[i].circuits);
        unsigned found = findings_of(&c, v[i].rule);
        if (found != v[i].found) {
            show_compiled(&c);
            fail_msg("%s: %u findings, %u are wanted in\n%s", v[i].rule, found, v[i].found,
                     v[i].room);
        }
        compile_free(&c);
    }
}

#define CABINET "cabinet north at 2' wide 4' from 54\" to 84\"\n"
#define ONE     "circuit P.1 { breaker 20 A; run P -> den.R1 }"
#define TWO     "circuit P.1 { breaker 20 A; run P -> den.R1 -> R2 }"
#define SECOND  "box R2 west at 6' { receptacle }\n"

static void what_is_behind_a_cabinet(void **state)
{
    (void)state;
    static const struct variant variants[] = {
        {CABINET SECOND "box R1 north at 4' up 60\" { receptacle }", TWO, "box-buried", 1},
        {CABINET "box R1 north at 4' up 60\" { receptacle }", ONE, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 60\" { receptacle \"for the hood\" }", TWO,
         "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 60\" { microwave }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 44\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 1' up 60\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 east at 4' up 60\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 88\" { receptacle }", TWO, "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 54\" { linear-luminaire leg a }\n"
                        "box S1 south at 3' { switch leg a }",
         "circuit P.1 { breaker 20 A; run P -> den.S1 -> R1; run den.S1 -> R2 }", "box-buried", 0},
        {CABINET SECOND "box R1 north at 4' up 60\" { cover blank }", TWO, "box-buried", 1},
        {CABINET SECOND "box R1 north at 4' up 60\" { existing; receptacle }", TWO, "box-buried",
         0},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

/* The same in a kitchen: a receptacle over the counter and under the cabinet serves the counter,
 * one in the cabinet does not. */
static void counters_under_cabinets(void **state)
{
    (void)state;
    static const char plan[] =
        "plan \"Stands\" { edition nec-2023 }\n"
        "room den { kind kitchen; size 16' by 12'\n"
        "counter north at 0' wide 3'\ncabinet north at 0' wide 3' from 52\" to 84\"\n"
        "box R1 north at 1' up %s { receptacle \"toaster\" }\n}\n"
        "panel P { in den east at 6' up 5'; main 100 A; spaces 20 }\n"
        "circuit P.1 { breaker 20 A; run P -> den.R1 }";
    for (int hidden = 0; hidden < 2; hidden++) {
        char text[1000];
        struct compilation c;
        snprintf(text, sizeof text, plan, hidden ? "54\"" : "44\"");
        compile_text(&c, text);
        assert_int_equal(findings_of(&c, "counter-spacing"), hidden);
        compile_free(&c);
    }
}

static const struct box *box_named(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (!strcmp(c->model->boxes.at[i]->name, name))
            return c->model->boxes.at[i];
    fail_msg("there is no box %s", name);
    return NULL;
}

#define LIT "circuit P.1 { breaker 15 A; run P -> den.S1 -> L1 -> L2 }"

/* Two luminaires 4' apart in one joist bay: each cable goes from the dropped ceiling up to the
 * joists at 9', into the middle of a 2x10, along, and down again. */
static void cables_over_a_dropped_ceiling(void **state)
{
    (void)state;
    for (int dropped = 0; dropped < 2; dropped++) {
        char words[400];
        struct compilation c;
        snprintf(words, sizeof words,
                 "%s\nbox S1 south at 3' { switch leg a }\n"
                 "box L1 overhead at 4', 4'-8\" { luminaire leg a }\n"
                 "box L2 overhead at 8', 4'-8\" { luminaire leg a }",
                 dropped ? "drop-ceiling 7'-6\"" : "");
        compile_room(&c, words, LIT);
        assert_int_equal(c.diag.counts[ERROR], 0);
        double drop = dropped ? 18 : 0;
        assert_true(fabs(length_inches(c.routes->of_run[2].path) - (48 + 2 * (drop + 4.625))) <
                    1e-6);
        const struct mounting *m = &c.routes->mountings->of_box[box_named(&c, "L1")->id];
        assert_int_equal(length_inches(m->place.up), dropped ? 90 : 108);
        assert_false(dropped && m->moved);
        compile_free(&c);
    }
}

static void what_hangs_from_a_dropped_ceiling(void **state)
{
    (void)state;
#define DROP "drop-ceiling 8'\n"
#define SWITCH                                                                                     \
    "box S1 south at 3' { switch leg a }\nbox L2 overhead at 8', 8' { luminaire leg a }\n"
    static const struct variant variants[] = {
        {DROP SWITCH "box L1 overhead at 4', 4' type round-nail-on-14 { luminaire leg a }", LIT,
         "box-mount", 1},
        {DROP SWITCH "box L1 overhead at 4', 4' type round-hanger-22 { luminaire leg a }", LIT,
         "box-mount", 0},
        {DROP SWITCH "box L1 overhead at 4', 4' { recessed leg a }", LIT, "box-mount", 0},
        {SWITCH "box L1 overhead at 4', 4' { recessed leg a }", LIT, "box-mount", 1},
        {"drop-ceiling 9'-1\"\n" SWITCH "box L1 overhead at 4', 4' { luminaire leg a }", LIT,
         "syntax", 1},
        {"drop-ceiling 9'\n" SWITCH "box L1 overhead at 4', 4' { luminaire leg a }", LIT, "syntax",
         0},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

/* --- the wood round openings -------------------------------------------------------------- */

/* Heads are at 80 in. Over 3 ft in an outside wall the header is 5-1/2 in. deep, on one jack (IRC
 * Table R602.7(1), recalled); boxes are 3-3/4 in. high and 2-3/8 in. wide, round ones 4 in. */
static void what_is_set_into_headers(void **state)
{
    (void)state;
#define HOLE(words) "window north at 6' wide 3' sill 3'" words "\n" SECOND
    static const struct variant variants[] = {
        {HOLE("") "box R1 north at 7' up 84\" { receptacle }", TWO, "box-in-header", 1},
        {HOLE("") "box R1 north at 7' up 82\" { receptacle }", TWO, "box-in-header", 1},
        {HOLE("") "box R1 north at 7' up 81\" { receptacle }", TWO, "box-in-header", 0},
        {HOLE("") "box R1 north at 7' up 81\" { receptacle }", TWO, "box-in-opening", 1},
        {HOLE("") "box R1 north at 7' up 87\" { receptacle }", TWO, "box-in-header", 1},
        {HOLE("") "box R1 north at 7' up 7'-4\" { receptacle }", TWO, "box-in-header", 0},
        {HOLE(" header 3-1/2\"") "box R1 north at 7' up 87\" { receptacle }", TWO, "box-in-header",
         0},
        {HOLE(" header 9-1/4\"") "box R1 north at 7' up 7'-4\" { receptacle }", TWO,
         "box-in-header", 1},
        {HOLE(" header 0") "box R1 north at 7' up 84\" { receptacle }", TWO, "box-in-header", 0},
        {HOLE("") "box R1 north at 5'-10\" up 84\" { receptacle }", TWO, "box-in-header", 1},
        {HOLE("") "box R1 north at 5'-9\" up 84\" { receptacle }", TWO, "box-in-header", 0},
        {HOLE("") "box R1 north at 7' up 84\" { existing; receptacle }", TWO, "box-in-header", 0},
        /* no jack has room between two that touch: one header, 9-1/4 in. deep over 6 ft */
        {HOLE("\nwindow north at 9' wide 3' sill 3'") "box R1 north at 7' up 7'-4\" { receptacle }",
         TWO, "box-in-header", 1},
        {HOLE(
             "\nwindow north at 10' wide 3' sill 3'") "box R1 north at 7' up 7'-4\" { receptacle }",
         TWO, "box-in-header", 0},
        {HOLE("") "box R1 north at 7' up 33-1/2\" { receptacle }", TWO, "box-in-header", 1},
        {HOLE("") "box R1 north at 7' up 32\" { receptacle }", TWO, "box-in-header", 0},
        {HOLE("") "wall north concrete\nbox R1 north at 7' up 84\" { receptacle }",
         "circuit P.1 { breaker 20 A; run P -> den.R2; run den.R2 -> R1 exposed }", "box-in-header",
         0},
        {HOLE("") "box R1 north at 7' up 84\" type square-2-1-8-deep { receptacle }", TWO,
         "box-in-header", 1},
        {HOLE("") "railing east at 1' wide 4'\nbox R1 east at 2' up 84\" { receptacle }", TWO,
         "box-in-header", 0},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

/* Over the jacks of a window the next wood is a king or a cripple, and no jack: those end under the
 * header. */
static void over_a_header(void **state)
{
    (void)state;
    struct compilation c;
    compile_room(&c, HOLE("") "box R1 north at 6' up 7'-9\" { receptacle }", TWO);
    const struct mounting *m = &c.routes->mountings->of_box[box_named(&c, "R1")->id];
    assert_int_equal(c.diag.counts[ERROR], 0);
    assert_non_null(m->stud);
    assert_true(m->stud->low > 80 * INCH || m->stud->high > 100 * INCH);
    compile_free(&c);
}

/* --- beams, ducts, pipes, soffits --------------------------------------------------------- */

#define LAMPS                                                                                      \
    "box S1 south at 3' { switch leg a }\nbox L1 overhead at 4', 6' { luminaire leg a }\n"         \
    "box L2 overhead at 12', 6' { luminaire leg a }\n"

/* Boxes in and beside a duct that is 14 in. wide, its middle line 8' east: 7'-5" to 8'-7". Without
 * `up` it hangs from the joists at 9', so that its underside is at 8'. */
static void boxes_keep_clear(void **state)
{
    (void)state;
#define RETURN "duct \"return\" from 8', 0' to 8', 12' size 14\" by 12\"\n"
    static const struct variant variants[] = {
        {RETURN SECOND "box R1 overhead at 8', 4' { cover blank }", TWO, "box-mount", 1},
        {RETURN SECOND "box R1 overhead at 7'-4\", 4' { cover blank }", TWO, "box-mount", 1},
        {RETURN SECOND "box R1 overhead at 7', 4' { cover blank }", TWO, "box-mount", 0},
        {RETURN SECOND "box R1 north at 8' up 8'-6\" { receptacle }", TWO, "box-mount", 1},
        {RETURN SECOND "box R1 north at 8' up 7' { receptacle }", TWO, "box-mount", 0},
        {RETURN SECOND "box R1 north at 4' up 8'-6\" { receptacle }", TWO, "box-mount", 0},
        {"soffit from 8', 11'-6\" to 16', 11'-6\" size 12\" by 16\" up 7'\n" SECOND
         "box R1 north at 10' up 7'-6\" { receptacle }",
         TWO, "box-mount", 1},
        {"soffit from 8', 11'-6\" to 16', 11'-6\" size 12\" by 16\" up 7'\n" SECOND
         "box R1 north at 10' up 5' { receptacle }",
         TWO, "box-mount", 0},
        {"duct from 8', 0' to 8', 12' size 14\" by 6\" up 8'-6\"\ndrop-ceiling 7'\n" SECOND
         "box R1 overhead at 8', 4' { cover blank }",
         TWO, "box-mount", 0},
        {RETURN SECOND "box R1 overhead at 8', 4' { existing; cover blank }", TWO, "box-mount", 0},
        {"duct from 15'-6\", 0' to 15'-6\", 12' size 12\" by 12\" up 4'-6\"\n" SECOND
         "box R1 south at 2' { receptacle }",
         TWO, "box-mount", 1}, /* the panel, on the east wall */
        {"duct from 15'-6\", 0' to 15'-6\", 12' size 12\" by 12\" up 7'\n" SECOND
         "box R1 south at 2' { receptacle }",
         TWO, "box-mount", 0},
        {"pipe from 2', 2' to 2', 2' size 4\" by 4\"\n" SECOND
         "box R1 overhead at 8', 4' { cover blank }",
         TWO, "syntax", 1},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

/* Cables lie in the middle of 2x10 joists, at 9' and 4-5/8 in.: what hangs below the joists is in
 * nobody's way; what fills their depth is gone round, or bars the way from wall to wall. */
static void ways_that_are_barred(void **state)
{
    (void)state;
    static const struct variant variants[] = {
        {"beam from 8', 0' to 8', 12' size 6\" by 12\"\n" LAMPS, LIT, "run-blocked", 0},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\n" LAMPS, LIT, "run-blocked", 1},
        {"beam from 8', 0' to 8', 9' size 6\" by 12\" up 8'-11\"\n" LAMPS, LIT, "run-blocked", 0},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\nunfinished\n" LAMPS, LIT,
         "run-blocked", 0},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\ndrop-ceiling 8'\n" LAMPS, LIT,
         "run-blocked", 0},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\ndrop-ceiling 8'-10\"\n" LAMPS,
         LIT, "run-blocked", 1},
        {"pipe from 8', 0' to 8', 12' size 3\" by 3\" up 9'-1\"\n" LAMPS, LIT, "run-blocked", 0},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\n"
         "box R1 south at 2' { receptacle }\nbox R2 south at 12' { receptacle }",
         TWO, "run-blocked", 0},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\n"
         "box R1 south at 2' { receptacle }\nbox R2 south at 12' { receptacle }",
         "circuit P.1 { breaker 20 A; run P -> den.R2; run den.R2 -> R1 via overhead }",
         "run-blocked", 1},
    };
    try_variants(variants, sizeof variants / sizeof *variants);
}

/* From lamp to lamp, 8' apart in one joist bay. By hand: straight; round the end of a beam that
 * ends 2' north of them, so 2' and 1 in. out and back; under a beam in a dropped ceiling, an inch
 * below its underside, 4-5/8 in. and 2 in. down from the middle of the joists and up again; past a
 * pipe in the joists, halfway between it and their top. */
static void lengths_round_them(void **state)
{
    (void)state;
    static const struct {
        const char *words;
        double more;
    } cases[] = {
        {"", 0},
        {"beam from 8', 0' to 8', 8' size 6\" by 12\" up 8'-11\"\n", 2 * 25},
        {"beam from 8', 0' to 8', 12' size 6\" by 12\" up 8'-11\"\ndrop-ceiling 8'\n",
         2 * (4.625 + 2) + 2 * 12},
        {"duct from 4', 0' to 4', 12' size 14\" by 6\" up 8'\ndrop-ceiling 7'\n",
         2 * 24}, /* 8 in. aside is on its way */
        {"pipe from 8', 0' to 8', 12' size 3\" by 6\" up 9'\n", 2 * ((6 + 9.25) / 2 - 4.625)},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char words[600];
        struct compilation c;
        snprintf(words, sizeof words, "%s%s", cases[i].words, LAMPS);
        compile_room(&c, words, LIT);
        double path = length_inches(c.routes->of_run[2].path),
               want = 96 + 2 * 4.625 + cases[i].more;
        if (fabs(path - want) > 2.01)
            fail_msg("%s: %.3f in., %.3f are wanted", cases[i].words, path, want);
        compile_free(&c);
    }
}

/* What is drawn on a level is in every room's way, and follows its room when that is turned. */
static void obstacles_lie_where_they_are_written(void **state)
{
    (void)state;
    static const char plan[] = "plan \"Stands\" { edition nec-2023 }\nlevel main { %s }\n"
                               "room den { kind storage; corner 10', 10'; size 16' by 12'; %s\n"
                               "box L1 overhead at 4', 3' { luminaire leg a }\n"
                               "box S1 south at 12' { switch leg a } }\n"
                               "panel P { in den east at 6' up 5'; main 100 A; spaces 20 }\n"
                               "circuit P.1 { breaker 15 A; run P -> den.S1 -> L1 }";
    static const struct {
        const char *level, *room;
        unsigned found;
    } cases[] = {
        {"duct from 14', 0' to 14', 40' size 14\" by 8\"", "", 1},
        {"duct from 4', 0' to 4', 40' size 14\" by 8\"", "", 0},
        {"", "duct from 4', 0' to 4', 12' size 14\" by 8\"", 1},
        {"", "opposite-hand; duct from 4', 0' to 4', 12' size 14\" by 8\"", 1},
        {"", "turn left; duct from 4', 0' to 4', 12' size 14\" by 8\"", 1},
        {"", "opposite-hand; duct from 12', 0' to 12', 12' size 14\" by 8\"", 0},
        {"", "duct from 0', 0' to 8', 6' size 14\" by 8\"", 1},
        {"", "duct from 8', 6' to 12', 12' size 14\" by 8\"", 0},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char text[2000];
        struct compilation c;
        snprintf(text, sizeof text, plan, cases[i].level, cases[i].room);
        compile_text(&c, text);
        if (findings_of(&c, "box-mount") != cases[i].found) {
            show_compiled(&c);
            fail_msg("%s %s", cases[i].level, cases[i].room);
        }
        compile_free(&c);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_is_behind_a_cabinet),
        cmocka_unit_test(counters_under_cabinets),
        cmocka_unit_test(cables_over_a_dropped_ceiling),
        cmocka_unit_test(what_hangs_from_a_dropped_ceiling),
        cmocka_unit_test(what_is_set_into_headers),
        cmocka_unit_test(over_a_header),
        cmocka_unit_test(boxes_keep_clear),
        cmocka_unit_test(ways_that_are_barred),
        cmocka_unit_test(lengths_round_them),
        cmocka_unit_test(obstacles_lie_where_they_are_written),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
