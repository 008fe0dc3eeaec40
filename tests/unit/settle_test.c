/* Settling: what is worked out and written into the text is accepted there and changes nothing, for
 * every plan of the tree (of generated ones: tests/properties), and where it is put. Run from the
 * top of the tree. */
#include "compiled.h"
#include "cuts/cuts.h"
#include "settled.h"

#include <glob.h>

/* --- the plans of the tree ---------------------------------------------------------------- */

static bool plan_holds(const char *path, unsigned sorts)
{
    struct compilation c;
    struct buf why = {0};
    char log[512], prices[512], folder[] = "/tmp/studbay-settled-XXXXXX", command[64];
    snprintf(prices, sizeof prices, "%.*sprices.csv", (int)(strlen(path) - strlen("bay")), path);
    if (!access(prices,
                R_OK)) /* the settled plan lies elsewhere, and its list of prices does not */
        return true;
    snprintf(log, sizeof log, "%.*slog", (int)(strlen(path) - strlen("bay")), path);
    assert_non_null(mkdtemp(folder));
    compile(&c, path, (struct compile_options){.library = plan_library(), .cut_steps = CUTS_EXACT});
    bool held = settled_is_the_plan(&c, access(log, R_OK) ? NULL : log, sorts, folder, &why);
    if (!held)
        print_error("%s: %s\n", path, buf_text(&why));
    snprintf(command, sizeof command, "rm -r %s", folder);
    assert_int_equal(system(command), 0);
    compile_free(&c);
    buf_free(&why);
    return held;
}

static void plans_of_the_tree(void **state)
{
    (void)state;
    static const char *const where[] = {"examples/*/*.bay", "docs/*/*.bay", "tests/rules/*.bay",
                                        "tests/editions/*.bay"};
    unsigned faults = 0;
    glob_t found;
    for (size_t i = 0; i < sizeof where / sizeof *where; i++)
        assert_int_equal(glob(where[i], i ? GLOB_APPEND : 0, NULL, &found), 0);
    for (size_t i = 0; i < found.gl_pathc; i++) {
        faults += !plan_holds(found.gl_pathv[i], SETTLE_USUAL);
        faults += !plan_holds(found.gl_pathv[i], SETTLE_USUAL | 1u << SETTLE_LENGTHS);
    }
    globfree(&found);
    assert_int_equal(faults, 0);
}

/* --- where it is put ---------------------------------------------------------------------- */

/* Settles a plan; what is written of it lives until the next one. */
static const char *settled(const char *text, unsigned sorts, uint32_t *left)
{
    static struct buf out;
    struct compilation c;
    compile_sound(&c, text);
    const struct settled *s = settle_compiled(&c, sorts);
    out.n = 0;
    settle_write(s, c.sources[0], &out);
    *left = s->left.n;
    compile_free(&c);
    return buf_text(&out);
}

/* Each line of `want` must stand in what the plan becomes, and all of the plan's own text. */
static void assert_settles(const char *plan, unsigned sorts, const char *want)
{
    uint32_t left;
    const char *got = settled(plan, sorts, &left);
    const char *at = got;
    for (const char *p = plan; *p; p++, at++) /* nothing is taken away, nothing changes places */
        assert_non_null(at = strchr(at, *p));
    if (!strstr(got, want))
        fprintf(stderr, "%s\nwanted:\n%s\n", got, want);
    assert_non_null(strstr(got, want));
    assert_int_equal(left, 0);
}

static const char two_places[] =
    "plan \"Passage\" { edition nec-2023 }\n"
    "room a { kind hall; size 14' by 4'\n"
    "  door west at 6\" wide 3'\n  door east at 6\" wide 3'\n"
    "  box S1 north at 9\" up 48\" { switch leg l }\n"
    "  box S2 north at 13'-2\" up 48\" {  # the far door\n    switch leg l\n  }\n"
    "  box R1 south at 6'-10\" { receptacle }\n"
    "  box L1 overhead at 7', 2' { luminaire leg l 20 W }\n}\n"
    "panel P { in a south at 3' up 5'; main 100 A; spaces 12 }\n"
    "circuit P.rec { breaker 20 A afci; run P -> a.R1 }\n"
    "circuit P.light {\n  breaker 15 A afci  # dual is not needed\n%s}\n";

static char *two_places_with(const char *runs)
{
    static char text[4096];
    snprintf(text, sizeof text, two_places, runs);
    return text;
}

static void a_chain_of_one_cable_says_it_once(void **state)
{
    (void)state;
    assert_settles(two_places_with("  run P -> a.S1 -> L1  # power first\n  run a.S1 -> S2\n"),
                   1u << SETTLE_CABLES,
                   "  run P -> a.S1 -> L1 cable 14/2  # power first\n"
                   "  run a.S1 -> S2 cable 14/3\n");
}

static void a_chain_of_several_cables_is_parted(void **state)
{
    (void)state;
    assert_settles(two_places_with("  run P -> a.S1 -> S2 via overhead\n  run a.S1 -> L1\n"),
                   1u << SETTLE_CABLES,
                   "  run P -> a.S1 cable 14/2 via overhead\n"
                   "  run a.S1 -> S2 via overhead cable 14/3\n"
                   "  run a.S1 -> L1 cable 14/2\n");
    assert_settles(two_places_with("  run P\n    -> a.S1  # here\n    -> S2; run a.S1 -> L1\n"),
                   1u << SETTLE_CABLES,
                   "  run P\n    -> a.S1 cable 14/2  # here\n    run a.S1 -> S2 cable 14/3; run "
                   "a.S1 -> L1 cable 14/2\n");
    assert_settles(two_places_with("  run a.S1 -> L1; run P -> a.S1 -> S2\n"), 1u << SETTLE_CABLES,
                   "  run a.S1 -> L1 cable 14/2; run P -> a.S1 cable 14/2; run a.S1 -> S2 cable "
                   "14/3\n");
}

static void words_of_hops_join_those_in_parentheses(void **state)
{
    (void)state;
    assert_settles(two_places_with("  run P -> a.S1 (exposed) -> S2\n  run a.S1 -> L1 (exposed)\n"),
                   1u << SETTLE_CABLES,
                   "  run P -> a.S1 (exposed cable 14/2) -> S2 (cable 14/3)\n"
                   "  run a.S1 -> L1 (exposed cable 14/2)\n");
}

static void each_hop_has_its_length(void **state)
{
    (void)state;
    uint32_t left;
    const char *got =
        settled(two_places_with("  run P -> a.S1 -> L1\n  run a.S1 -> S2 length 20'\n"),
                1u << SETTLE_LENGTHS, &left);
    assert_non_null(strstr(got, "\n  run P -> a.S1 (length "));
    assert_non_null(strstr(got, ") -> L1 (length ")); /* the chain stays one, and so its strand */
    assert_non_null(strstr(got, "\n  run a.S1 -> S2 length 20'\n"));
}

static void types_stand_where_clauses_stand(void **state)
{
    (void)state;
    const char *plan = two_places_with("  run P -> a.S1 -> L1\n  run a.S1 -> S2\n");
    assert_settles(plan, 1u << SETTLE_TYPES,
                   "  box S2 north at 13'-2\" up 48\" {  # the far door\n    type nail-on-1g-18\n"
                   "    switch leg l\n  }\n");
    assert_settles(plan, 1u << SETTLE_TYPES,
                   "  box R1 south at 6'-10\" type nail-on-1g-18 { receptacle }\n");
}

static void spaces_stand_behind_breakers(void **state)
{
    (void)state;
    const char *plan = two_places_with("  run P -> a.S1 -> L1\n  run a.S1 -> S2\n");
    uint32_t left;
    const char *got = settled(plan, 1u << SETTLE_SPACES, &left);
    assert_non_null(strstr(got, "breaker 20 A afci; space "));
    assert_non_null(strstr(got, "breaker 15 A afci  # dual is not needed\n  space "));
}

/* Three breakers in two spaces: the two that share one say which half they have. */
static void half_size_breakers_say_their_half(void **state)
{
    (void)state;
    const char *plan =
        "plan \"Hall\" { edition nec-2023 }\nroom k { kind workshop; size 20' by 20' }\n"
        "panel P { in k north at 9' up 5'; main 60 A; spaces 2; half-size }\n"
        "circuit P.a { breaker 20 A }\ncircuit P.b { breaker 20 A }\n"
        "circuit P.c { breaker 15 A }\n";
    uint32_t left;
    const char *got = settled(plan, 1u << SETTLE_SPACES, &left);
    assert_int_equal(left, 0);
    assert_non_null(strstr(got, "breaker 20 A; space 1; half upper }"));
    assert_non_null(strstr(got, "; space 1; half lower }"));
    assert_non_null(strstr(got, "; space 2 }"));
}

static void spaces_stand_on_the_line_of_the_breaker(void **state)
{
    (void)state;
    uint32_t left;
    const char *got =
        settled("plan \"Shed\" { edition nec-2023 }\n"
                "room shed { kind storage; size 12' by 8'\n"
                "  box R1 north at 3'-6\" up 42\" { receptacle }\n"
                "  box R2 north at 6'-6\" up 42\" { receptacle }\n}\n"
                "panel P { in shed south at 3' up 5'; main 60 A; spaces 2; half-size }\n"
                "circuit P.a \"North bench\" breaker 20 A afci { run P -> shed.R1 }\n"
                "circuit P.b \"South bench\" half lower breaker 20 A afci { run P -> shed.R2 }\n",
                1u << SETTLE_SPACES, &left);
    assert_non_null(strstr(got, "breaker 20 A afci space "));
    struct compilation c;
    compile_text(&c, got);
    assert_int_equal(findings_of(&c, "syntax"), 0);
    assert_int_equal(settle_compiled(&c, 1u << SETTLE_SPACES)->edits.n, 0);
    compile_free(&c);
}

static void lines_end_as_they_did(void **state)
{
    (void)state;
    struct buf plan = {0};
    for (const char *p = two_places_with("  run P -> a.S1 -> S2\n  run a.S1 -> L1\n"); *p; p++)
        buf_printf(&plan, "%s%c", *p == '\n' ? "\r" : "", *p);
    assert_settles(buf_text(&plan), SETTLE_USUAL,
                   "  run P -> a.S1 cable 14/2\r\n  run a.S1 -> S2 cable 14/3\r\n");
    buf_free(&plan);
}

/* A stud stands at 4' of the wall, and the box beside it. */
static void a_place_is_written_where_the_box_is_set(void **state)
{
    (void)state;
    uint32_t left;
    const char *plan = "plan \"Shed\" { edition nec-2023 }\n"
                       "room shed { kind storage; size 12' by 8'\n"
                       "  box R1 north at 4' up 42\" { receptacle }\n"
                       "  box R2 north at 1'-6\" up 42\" { receptacle }\n}\n"
                       "panel P { in shed south at 3' up 5'; main 60 A; spaces 8 }\n"
                       "circuit P.1 \"Shed\" { breaker 20 A afci; run P -> shed.R1 -> R2 }\n";
    char twice[2048];
    assert_null(strstr(settled(plan, SETTLE_USUAL, &left), "box R1 north at 4' up 42\" type"));
    const char *got = settled(plan, 1u << SETTLE_PLACES | 1u << SETTLE_TYPES, &left);
    assert_null(strstr(got, "box R1 north at 4' "));
    assert_non_null(strstr(got, "  box R1 north at "));
    assert_non_null(strstr(strstr(got, "  box R1 north at "), " up 42\" type "));
    snprintf(twice, sizeof twice, "%s", got);
    assert_string_equal(settled(twice, 1u << SETTLE_TYPES | 1u << SETTLE_PLACES, &left), twice);
}

/* --- statements that stand for several things --------------------------------------------- */

#define TWIN                                                                                       \
    "plan \"Twin\" { edition nec-2023 }\n"                                                         \
    "pattern flat {\n"                                                                             \
    "  room a { kind storage; size 10' by 8'\n"                                                    \
    "    box R1 north at 3' up 42\" { receptacle }\n"                                              \
    "    box R2 south at 3' up 42\" { receptacle }\n  }\n"                                         \
    "  panel P { in a west at 4' up 5'; main 60 A; spaces 8 }\n"                                   \
    "  circuit P.rec { breaker 20 A afci; run P -> a.R1 -> R2 }\n"                                 \
    "}\n"

static const unsigned types = 1u << SETTLE_TYPES;

static void all_copies_agree(void **state)
{
    (void)state;
    assert_settles(TWIN "unit u1 : flat { corner 0', 0' }\n"
                        "unit u2 : flat { corner 20', 0'; opposite-hand }\n",
                   types | 1u << SETTLE_CABLES | 1u << SETTLE_SPACES,
                   "    box R1 north at 3' up 42\" type bracket-1g-20 { receptacle }\n"
                   "    box R2 south at 3' up 42\" type bracket-1g-20 { receptacle }\n  }\n"
                   "  panel P { in a west at 4' up 5'; main 60 A; spaces 8 }\n"
                   "  circuit P.rec { breaker 20 A afci; space 1; run P -> a.R1 -> R2 cable 12/2 "
                   "}\n");
}

static void a_copy_with_its_own_text_has_its_own_type(void **state)
{
    (void)state;
    assert_settles(TWIN "unit u1 : flat { corner 0', 0' }\n"
                        "unit u2 : flat { corner 20', 0'\n"
                        "  room a { box R1 { receptacle; receptacle } }\n}\n",
                   types, "  room a { box R1 type bracket-2g-34 { receptacle; receptacle } }\n");
}

static void what_is_there_takes_no_type_of_its_base(void **state)
{
    (void)state;
    uint32_t left;
    const char *got =
        settled(TWIN "unit u1 : flat { corner 0', 0' }\n"
                     "unit u2 : flat { corner 20', 0'\n"
                     "  room a { box R2 { existing; grounds 1; holds 2 of 12 } }\n}\n",
                types, &left);
    assert_non_null(strstr(got, "    box R1 north at 3' up 42\" type bracket-1g-20 {"));
    assert_non_null(strstr(got, "    box R2 south at 3' up 42\" { receptacle }\n"));
    assert_null(strstr(got, "type bracket-1g-20 { existing"));
    assert_int_equal(left, 1);
}

static void copies_that_differ_are_left(void **state)
{
    (void)state;
    uint32_t left;
    const char *got = settled(
        TWIN "unit u1 : flat { corner 0', 0' }\n"
             "unit u2 : flat { corner 20', 0'\n  room a { finish 1/2\"; size 20' by 8' } }\n",
        1u << SETTLE_LENGTHS, &left);
    assert_non_null(strstr(got, "run P -> a.R1 (length "));
    assert_non_null(strstr(got, ") -> R2 }"));
    assert_int_equal(left, 1);
}

static void what_is_existing_is_not_written(void **state)
{
    (void)state;
    uint32_t left;
    const char *got = settled(
        "plan \"Old\" { edition nec-2023 }\n"
        "room a { kind storage; size 10' by 8'\n"
        "  box J1 north at 3' up 42\" { existing; holds 2 of 14; grounds 1; receptacle }\n"
        "  box R2 south at 3' up 42\" { receptacle }\n}\n"
        "panel P { existing; in a west at 4' up 5'; main 60 A; spaces 8 }\n"
        "circuit P.old { existing; breaker 15 A afci; run P -> a.J1 existing; run a.J1 -> R2 }\n",
        SETTLE_USUAL | 1u << SETTLE_LENGTHS, &left);
    assert_non_null(strstr(got, "grounds 1; receptacle }"));
    assert_non_null(strstr(got, "box J1 north at 3' up 42\" {"));
    assert_non_null(strstr(got,
                           "existing; breaker 15 A afci; run P -> a.J1 existing; run a.J1 -> R2 "
                           "cable 14/2 length "));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_chain_of_one_cable_says_it_once),
        cmocka_unit_test(a_chain_of_several_cables_is_parted),
        cmocka_unit_test(words_of_hops_join_those_in_parentheses),
        cmocka_unit_test(each_hop_has_its_length),
        cmocka_unit_test(types_stand_where_clauses_stand),
        cmocka_unit_test(spaces_stand_behind_breakers),
        cmocka_unit_test(half_size_breakers_say_their_half),
        cmocka_unit_test(spaces_stand_on_the_line_of_the_breaker),
        cmocka_unit_test(lines_end_as_they_did),
        cmocka_unit_test(a_place_is_written_where_the_box_is_set),
        cmocka_unit_test(all_copies_agree),
        cmocka_unit_test(a_copy_with_its_own_text_has_its_own_type),
        cmocka_unit_test(what_is_there_takes_no_type_of_its_base),
        cmocka_unit_test(copies_that_differ_are_left),
        cmocka_unit_test(what_is_existing_is_not_written),
        cmocka_unit_test(plans_of_the_tree),
    };
    return cmocka_run_group_tests_name("settle", tests, NULL, NULL);
}
