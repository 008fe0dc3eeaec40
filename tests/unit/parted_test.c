/* What is too large for a sheet goes on on others, and each says where: a long wall at match lines,
 * a tree of feeders by what feeds each part. Common drafting practice. */
#include "compiled.h"
#include "cmd/cmd.h"

#include "emit/views.h"
#include "sheet_counts.h"
#include "sheets/sheets.h"

/* Nine panels: more beside each other than a sheet is wide, and deeper than it is high. */
static const char many_panels[] =
    "plan \"Panels\" { edition nec-2023 }\n"
    "room s { kind workshop; size 60' by 40' }\n"
    "panel P { in s west at 3' up 5'; main 200 A; spaces 42 }\n"
    "panel A { in s north at 3' up 5'; spaces 20; feeder from P cable 10/3 breaker 30 A }\n"
    "panel B { in s north at 8' up 5'; spaces 20; feeder from P cable 10/3 breaker 30 A }\n"
    "panel C { in s north at 13' up 5'; spaces 20; feeder from P cable 10/3 breaker 30 A }\n"
    "panel D { in s north at 18' up 5'; spaces 20; feeder from P cable 10/3 breaker 30 A }\n"
    "panel F { in s south at 3' up 5'; spaces 20; feeder from A cable 10/3 breaker 30 A }\n"
    "panel G { in s south at 8' up 5'; spaces 20; feeder from F cable 10/3 breaker 30 A }\n"
    "panel H { in s south at 13' up 5'; spaces 20; feeder from G cable 10/3 breaker 30 A }\n"
    "panel K { in s south at 18' up 5'; spaces 20; feeder from H cable 10/3 breaker 30 A }\n";

/* 120 ft, of which some 34 ft go on a letter sheet at 1/4" to the foot; a box on a match line. */
static const char long_wall[] =
    "plan \"Hall\" { edition nec-2023 }\n"
    "room e { kind storage; corner 0', 0'; size 120' by 10'; window north at 67' wide 3'\n"
    "box A north at 20' { receptacle }\nbox B north at 34'-4\" { receptacle }\n"
    "box C north at 110' { receptacle }\nbox D north at 116' { receptacle } }\n"
    "panel P { in e north at 4' up 5'; main 100 A; spaces 12 }\n"
    "circuit P.1 { breaker 20 A; run P -> e.A -> B -> C -> D }\n";

static const struct paper *sheets_of(struct compilation *c, const char *text, const char *kind,
                                     enum paper_size size)
{
    struct results r;
    const struct sheet_kind *k = sheets_named(kind);
    compile_text(c, text);
    assert_true(cmd_results(c, &r));
    return sheets_make(&r, size, false, &k, 1);
}

static void check_no_fault(const struct paper *paper)
{
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        struct buf why = {0};
        if (sheet_count(paper->sheets.at[i], &why).all)
            fail_msg("%s", buf_text(&why));
        buf_free(&why);
    }
}

/* In how many texts of a sheet some words stand. */
static uint32_t times_on(const struct sheet *s, const char *words)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->marks.n; i++)
        n += s->marks.at[i].kind == MARK_TEXT && strstr(s->marks.at[i].text, words) != NULL;
    return n;
}

static uint32_t times(const struct paper *paper, const char *words)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < paper->sheets.n; i++)
        n += times_on(paper->sheets.at[i], words);
    return n;
}

/* The sheet on which the box of a panel is drawn; it is drawn once. */
static const struct sheet *sheet_of_panel(const struct paper *paper, const char *name)
{
    const struct sheet *found = NULL;
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        const struct sheet *s = paper->sheets.at[i];
        for (uint32_t k = 0; k < s->marks.n; k++) {
            const struct group *g = s->marks.at[k].group;
            if (s->marks.at[k].kind != MARK_RECT || !g || g->role != ROLE_BOX ||
                strcmp(g->title, name) != 0)
                continue;
            assert_null(found);
            found = s;
        }
    }
    assert_non_null(found);
    return found;
}

static void every_panel_has_its_feeder(void **state)
{
    static const char *const fed[][2] = {{"A", "P"}, {"B", "P"}, {"C", "P"}, {"D", "P"},
                                         {"F", "A"}, {"G", "F"}, {"H", "G"}, {"K", "H"}};
    struct compilation c;
    (void)state;
    const struct paper *paper = sheets_of(&c, many_panels, "one-line", PAPER_BY_USE);
    uint32_t parted = 0;
    assert_true(paper->sheets.n > 1);
    check_no_fault(paper);
    assert_int_equal(times(paper, "30 A two-pole"), 8); /* the breaker of each feeder, once */
    for (size_t i = 0; i < sizeof fed / sizeof *fed; i++) {
        const struct sheet *own = sheet_of_panel(paper, fed[i][0]),
                           *from = sheet_of_panel(paper, fed[i][1]);
        char said[64];
        snprintf(said, sizeof said, "from panel %s, see %s", fed[i][1], from->number);
        if (own == from)
            continue;
        parted++;
        assert_int_not_equal(times_on(own, said), 0);
        assert_int_not_equal(times_on(from, "drawn further on"), 0);
    }
    assert_true(parted > 0);
    compile_free(&c);
}

static void check_long_wall(enum paper_size size, const char *scale)
{
    struct compilation c;
    const struct paper *paper = sheets_of(&c, long_wall, "elevation", size);
    uint32_t parts = 0;
    check_no_fault(paper);
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        const struct sheet *s = paper->sheets.at[i],
                           *next = i + 1 < paper->sheets.n ? paper->sheets.at[i + 1] : NULL;
        char here[64], there[64];
        if (!strstr(s->title, "north"))
            continue;
        parts++;
        assert_int_equal(times_on(s, scale), 1);
        if (!next || !strstr(next->title, "north"))
            continue;
        snprintf(there, sizeof there, "match line, see %s", next->number);
        snprintf(here, sizeof here, "match line, see %s", s->number);
        assert_int_equal(times_on(s, there), 1);
        assert_int_equal(times_on(next, here), 1);
    }
    assert_true(parts > 2);
    for (const char *box = "ABCD"; *box; box++) /* each is called out on one of them */
        assert_int_equal(times(paper, (char[]){*box, ' ', ' ', '1', '6', '"', 0}), 1);
    compile_free(&c);
}

static void a_long_wall_is_parted_at_match_lines(void **state)
{
    (void)state;
    check_long_wall(PAPER_BY_USE, "1/4\" = 1'-0\"");
    check_long_wall(PAPER_A4, "1:50");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_panel_has_its_feeder),
        cmocka_unit_test(a_long_wall_is_parted_at_match_lines),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
