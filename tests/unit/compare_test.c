/* Two plans held against each other: what becomes of each run, of boxes, bores, purchases, findings
 * and labels; what the log says of cables in the wall. */
#include "compare/compare.h"
#include "compare/sheet.h"
#include "compare/work.h"
#include "compiled.h"
#include "cuts/cuts.h"
#include "cmd/cmd.h"
#include "emit/results.h"
#include "framing/routes.h"
#include "log/log.h"
#include "wiring/bores.h"

static const char first[] =
    "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
    "box A west at 2' { receptacle }\nbox B west at 8' { receptacle }\nbox C east at 5' { "
    "receptacle }\n}\n"
    "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n";

static const char runs[] = "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A -> B\nrun "
                           "shed.B -> C via overhead }\n";

struct two {
    struct compilation old, now;
    struct results was, is;
    struct comparison c;
    char log[40];
};

static struct results results_of_compilation(struct compilation *c)
{
    struct results r;
    assert_true(cmd_results(c, &r));
    return r;
}

static void compile_with(struct compilation *c, const char *text, const char *log)
{
    char path[] = "/tmp/studbay-compare-XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, text, strlen(text)), (ssize_t)strlen(text));
    close(fd);
    compile(
        c, path,
        (struct compile_options){.library = plan_library(), .log = log, .cut_steps = CUTS_EXACT});
    unlink(path);
    assert_non_null(c->model);
}

/* Compares two plans, with a log where `log` is not NULL. */
static void compare(struct two *t, const char *old, const char *now, const char *log)
{
    snprintf(t->log, sizeof t->log, "/tmp/studbay-log-XXXXXX");
    int fd = mkstemp(t->log);
    assert_true(fd >= 0);
    if (log)
        assert_int_equal(write(fd, log, strlen(log)), (ssize_t)strlen(log));
    close(fd);
    compile_with(&t->old, old, log ? t->log : NULL);
    compile_with(&t->now, now, log ? t->log : NULL);
    unlink(t->log);
    t->was = results_of_compilation(&t->old);
    t->is = results_of_compilation(&t->now);
    compare_plans(&t->now.arena, &t->was, &t->is, &t->c);
}

static void compare_free(struct two *t)
{
    compile_free(&t->old);
    compile_free(&t->now);
}

static uint32_t column_of(const struct grid *g, const char *name)
{
    for (uint32_t i = 0; i < g->column_count; i++)
        if (!strcmp(g->columns[i].name, name))
            return i;
    fail();
    return 0;
}

/* The cell of the row whose first cell is `key`; fails where there is none. */
static const struct cell *cell_of(const struct grid *g, const char *key, const char *column)
{
    for (uint32_t i = 0; i < table_rows(g); i++)
        if (!strcmp(g->cells.at[i * g->column_count].text, key))
            return &g->cells.at[i * g->column_count + column_of(g, column)];
    print_error("no row '%s'\n", key);
    fail();
    return NULL;
}

static const char *text_of(const struct grid *g, const char *key, const char *column)
{
    const struct cell *c = cell_of(g, key, column);
    return c->kind == CELL_TEXT ? c->text : "";
}

static const char *with(char *to, size_t size, const char *a, const char *b)
{
    snprintf(to, size, "%s%s", a, b);
    return to;
}

static void same_plans_keep_all(void **state)
{
    (void)state;
    char plan[2048];
    struct two t;
    with(plan, sizeof plan, first, runs);
    compare(&t, plan, plan, NULL);
    assert_int_equal(t.c.runs_by_change[RUN_KEPT], 3);
    assert_int_equal(table_rows(&t.c.runs), 3);
    assert_int_equal(table_rows(&t.c.boxes) + table_rows(&t.c.bores) + table_rows(&t.c.buy) +
                         table_rows(&t.c.findings) + table_rows(&t.c.labels),
                     0);
    struct buf text = {0};
    compare_text(&t.c, 100, &text);
    assert_non_null(strstr(buf_text(&text), "3 kept, 0 moved"));
    assert_null(strstr(buf_text(&text), "Labels"));
    buf_free(&text);
    compare_free(&t);
}

/* Two boxes of one name are an error, and no reason to tell that one of them moved. */
static void two_of_one_name_stay(void **state)
{
    (void)state;
    static const char plan[] = "plan \"Twice\" { edition nec-2023 }\n"
                               "room shed { kind workshop; size 14' by 10'\n"
                               "  box R1  west  at 7' up 48\" { receptacle-gfci }\n"
                               "  box R1  west  at 3' up 48\" { receptacle-gfci }\n"
                               "}\n"
                               "panel P { in shed west at 3' up 5'; main 60 A; spaces 8 }\n"
                               "circuit P.1 \"Bench\" { breaker 20 A; run P -> shed.R1 }\n";
    struct two t;
    compare(&t, plan, plan, NULL);
    assert_int_equal(table_rows(&t.c.boxes), 0);
    compare_free(&t);
}

/* Two runs of three go, and two come. */
static void compare_two_runs_changed(struct two *t)
{
    char old[2048], now[2048];
    with(old, sizeof old, first, runs);
    with(now, sizeof now, first,
         "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.B -> A\nrun P -> shed.C cable 12/2 "
         "}\n");
    compare(t, old, now, NULL);
}

static void runs_come_and_go(void **state)
{
    (void)state;
    struct two t;
    compare_two_runs_changed(&t);
    assert_int_equal(t.c.runs_by_change[RUN_KEPT], 1); /* A and B, the other way round */
    assert_int_equal(t.c.runs_by_change[RUN_ADDED], 2);
    assert_int_equal(t.c.runs_by_change[RUN_ABANDONED], 2);
    assert_string_equal(text_of(&t.c.runs, "shed.B -> A", "change"), "kept");
    assert_string_equal(text_of(&t.c.runs, "P -> shed.C", "change"), "added");
    assert_string_equal(text_of(&t.c.runs, "P -> shed.A", "change"), "abandoned");
    assert_string_equal(text_of(&t.c.labels, "P1 P-she A", "change"), "vanished");
    assert_string_equal(text_of(&t.c.labels, "P1 she A-B", "change"), "renamed");
    assert_string_equal(text_of(&t.c.labels, "P1 she A-B", "new_label"), "P1 she B-A");
    compare_free(&t);
}

/* A breaker is known by what it serves, then by its name: the directory is written anew for those
 * that stand elsewhere, and for none where the text alone has another order. */
static void breakers_that_move_are_told(void **state)
{
    (void)state;
    char old[2048], now[2048];
    struct two t;
    static const char lights[] = "circuit P.5 \"Lights\" { breaker 15 A }\n",
                      bench[] = "circuit P.7 \"Bench\" { breaker 20 A two-pole }\n",
                      kiln[] = "circuit P.kiln { breaker 20 A; space 2 }\n";
    snprintf(old, sizeof old, "%s%s%s%s%s", first, runs, lights, bench, kiln);
    snprintf(now, sizeof now, "%s%s%s%s%s", first, kiln, bench, runs, lights);
    compare(&t, old, now, NULL);
    assert_int_equal(table_rows(&t.c.breakers), 0);
    compare_free(&t);
    snprintf(now, sizeof now, "%s%s%s", first, runs,
             "circuit P.7 \"Lights\" { breaker 15 A }\ncircuit P.8 \"Pump\" { breaker 15 A }\n"
             "circuit P.kiln { breaker 20 A; space 4 }\n");
    compare(&t, old, now, NULL);
    assert_int_equal(table_rows(&t.c.breakers), 4);
    assert_string_equal(text_of(&t.c.breakers, "P.7", "change"), "moved");
    assert_string_equal(text_of(&t.c.breakers, "P.7", "old"), "P5");
    assert_string_equal(text_of(&t.c.breakers, "P.7", "new"), "P7");
    assert_string_equal(text_of(&t.c.breakers, "P.8", "change"), "added");
    assert_string_equal(text_of(&t.c.breakers, "P.kiln", "old"), "P2");
    assert_string_equal(text_of(&t.c.breakers, "P.kiln", "new"), "P4");
    struct buf text = {0};
    compare_text(&t.c, 100, &text);
    assert_non_null(strstr(buf_text(&text), "Bench   gone    P7/9"));
    buf_free(&text);
    compare_free(&t);
}

static unsigned holes_at(const struct bores *bores, const struct passed *p)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < bores->list.n; i++) {
        struct passed q = bore_member(bores, &bores->list.at[i]);
        n += p->member == q.member && p->at.x == q.at.x && p->at.y == q.at.y && p->at.z == q.at.z;
    }
    return n;
}

/* A hole stays in use where another run passes it; what nobody passes any more is listed. */
static void bores_that_nobody_uses(void **state)
{
    (void)state;
    char old[2048], now[2048];
    struct two t;
    with(old, sizeof old, first, runs);
    with(now, sizeof now, first,
         "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.B -> A }\n");
    compare(&t, old, now, "2026-03-14 bored shed.B -> C\n");
    unsigned gone = 0, kept = 0, bored = 0;
    for (uint32_t i = 0; i < t.old.bores->list.n; i++) {
        const struct bore *b = &t.old.bores->list.at[i];
        struct passed p = bore_member(t.old.bores, b);
        bool used = holes_at(t.now.bores, &p) > 0;
        gone += !used;
        kept += used;
    }
    assert_true(gone > 0 && kept > 0);
    assert_int_equal(t.c.unused_bores, gone);
    for (uint32_t i = 0; i < table_rows(&t.c.bores); i++)
        bored +=
            t.c.bores.cells.at[i * t.c.bores.column_count + column_of(&t.c.bores, "bored")].truth;
    assert_true(bored > 0);
    compare_free(&t);
}

static void moved_boxes_and_cables_that_reach(void **state)
{
    (void)state;
    static const char moved[] =
        "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
        "box A west at 2' { receptacle }\nbox B west at 6' { receptacle }\nbox C east at 9' { "
        "receptacle }\n}\n"
        "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n";
    char old[2048], now[2048], log[256];
    struct two t;
    with(old, sizeof old, first, runs);
    with(now, sizeof now, moved, runs);
    compare(&t, old, now, NULL);
    assert_int_equal(t.c.runs_by_change[RUN_MOVED], 2);
    assert_string_equal(text_of(&t.c.runs, "P -> shed.A", "change"), "kept");
    assert_string_equal(text_of(&t.c.boxes, "shed.B", "change"), "moved");
    assert_non_null(strstr(text_of(&t.c.boxes, "shed.B", "old_place"), "west, 8'"));
    assert_non_null(strstr(text_of(&t.c.boxes, "shed.B", "new_place"), "west, 6'"));
    assert_int_equal(table_rows(&t.c.boxes), 2);
    length least = log_least_length(t.now.model, t.now.routes, t.now.model->runs.at[2]);
    assert_true(least > 0 && least < t.now.routes->of_run[2].cut);
    compare_free(&t);

    /* as long as it must be, and an inch less */
    for (int i = 0; i < 2; i++) {
        struct buf b = {0};
        length_print(&b, least - (i ? INCH : 0));
        snprintf(log, sizeof log,
                 "2026-03-14 pulled shed.B -> C cable 14/2 %s\n2026-03-14 pulled shed.A -> B\n",
                 buf_text(&b));
        buf_free(&b);
        compare(&t, old, now, log);
        assert_string_equal(text_of(&t.c.runs, "shed.B -> C", "note"),
                            i ? "1\" short" : "still reaches");
        assert_int_equal(cell_of(&t.c.runs, "shed.B -> C", "reaches")->truth, !i);
        assert_string_equal(text_of(&t.c.runs, "shed.A -> B", "note"),
                            "still reaches if cut as planned");
        assert_int_equal(findings_of(&t.now, "cut-too-short"), i);
        assert_true(table_rows(&t.c.findings) >= (uint32_t)i);
        compare_free(&t);
    }
}

static void another_cable_and_another_circuit(void **state)
{
    (void)state;
    char old[2048], now[2048];
    struct two t;
    with(old, sizeof old, first, runs);
    with(now, sizeof now, first,
         "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A -> B cable 12/2 }\ncircuit P.2 { "
         "breaker 15 A; cable 14/2\nrun P -> shed.C }\n");
    compare(&t, old, now,
            "2026-03-14 pulled shed.A -> B cable 14/2 30'\n2026-03-14 pulled shed.B -> C cable "
            "14/2 30'\n");
    assert_int_equal(t.c.runs_by_change[RUN_RECABLED], 2);
    assert_non_null(strstr(text_of(&t.c.runs, "shed.A -> B", "note"), "14/2 is in the wall"));
    assert_string_equal(text_of(&t.c.runs, "shed.B -> C", "note"), "30' of cable in the wall");
    assert_int_equal(findings_of(&t.now, "cable-pulled-differs"), 1);
    assert_int_equal(findings_of(&t.now, "log-entry-unknown"), 1);
    assert_int_equal(cell_of(&t.c.buy, "breaker 15 A", "more")->integer, 1);
    compare_free(&t);
}

/* A name that is given to another cable misleads whoever reads the label. */
static void labels_that_mean_another_cable(void **state)
{
    (void)state;
    char old[2048], now[2048];
    struct two t;
    with(old, sizeof old, first,
         "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A\nrun shed.A -> B as bench\nrun "
         "shed.B -> C }\n");
    with(now, sizeof now, first,
         "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A\nrun shed.A -> B\nrun shed.B -> "
         "C as bench }\n");
    compare(&t, old, now, NULL);
    assert_int_equal(t.c.runs_by_change[RUN_KEPT], 3);
    assert_string_equal(text_of(&t.c.labels, "bench", "change"), "reused");
    assert_string_equal(text_of(&t.c.labels, "bench", "new_run"), "shed.B -> C");
    assert_string_equal(text_of(&t.c.labels, "P1 she B-C", "change"), "renamed");
    compare_free(&t);
}

static void findings_appear_and_go(void **state)
{
    (void)state;
    char old[2048], now[2048];
    struct two t;
    with(old, sizeof old, first,
         "# a line more\ncircuit P.1 { breaker 17 A; cable 14/2\nrun P -> shed.A -> B -> C }\n");
    with(now, sizeof now, first,
         "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A -> B }\n");
    compare(&t, old, now, NULL);
    const struct grid *g = &t.c.findings;
    unsigned appear = 0, go = 0;
    for (uint32_t i = 0; i < table_rows(g); i++) {
        const char *change = g->cells.at[i * g->column_count].text,
                   *rule = g->cells.at[i * g->column_count + column_of(g, "rule")].text;
        appear += !strcmp(change, "appears") && !strcmp(rule, "unfed-box");
        go += !strcmp(change, "goes") && !strcmp(rule, "breaker-nonstandard");
    }
    assert_int_equal(appear, 1);
    assert_int_equal(go, 1);
    struct buf json = {0};
    compare_json(&t.c, &json);
    assert_non_null(strstr(buf_text(&json), "\"unused_bores\": "));
    assert_non_null(strstr(buf_text(&json), "\"change\": \"abandoned\""));
    buf_free(&json);
    compare_free(&t);
}

static void parallel_runs_are_matched_by_cable(void **state)
{
    (void)state;
    char old[2048], now[2048];
    struct two t;
    static const char low[] = "low-voltage net { cable cat6\nrun shed.A -> B }\n",
                      tv[] = "low-voltage tv { cable rg6\nrun shed.A -> B }\n";
    char both[1024];
    with(both, sizeof both, low, tv);
    with(old, sizeof old, first, both);
    with(both, sizeof both, tv, low);
    with(now, sizeof now, first, both);
    compare(&t, old, now, NULL);
    assert_int_equal(t.c.runs_by_change[RUN_KEPT], 2);
    assert_int_equal(table_rows(&t.c.labels), 0);
    compare_free(&t);
}

/* --- the change sheet ---------------------------------------------------------------------- */

/* How often a text stands on the sheets; of the boxes to tick where it is NULL. */
static unsigned on_sheets(const struct paper *p, const char *text)
{
    unsigned n = 0;
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            if (!text)
                n += m->kind == MARK_RECT && m->box.right - m->box.left == CAPS_WORDS;
            else
                n += m->kind == MARK_TEXT && !strcmp(m->text, text);
        }
    return n;
}

/* How many lines the title strips say are to be ticked; `strips`: how many say so, each with a box
 * of its own. */
static unsigned told_to_tick(const struct paper *p, unsigned *strips)
{
    unsigned n = 0, lines;
    *strips = 0;
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++) {
            const struct mark *m = &p->sheets.at[i]->marks.at[k];
            if (m->kind != MARK_TEXT || sscanf(m->text, "Done: all %u line", &lines) != 1)
                continue;
            n += lines;
            ++*strips;
        }
    return n;
}

static void changes_are_drawn_by_room(void **state)
{
    (void)state;
    static const char two_rooms[] =
        "plan \"Shed\" { edition nec-2023 }\nroom shed { kind workshop; corner 0', 0'; size 14' by "
        "10'\n"
        "box A west at 2' { receptacle }\nbox B west at 8' { receptacle }\nbox C east at 5' { "
        "receptacle }\n}\nroom loft { corner 30', 0'; size 8' by 8'\n%s}\n"
        "panel P { in shed south at 7' up 5'; main 60 A; spaces 8 }\n%s";
    char old[2048], now[2048];
    struct two t;
    snprintf(old, sizeof old, two_rooms, "", runs);
    snprintf(now, sizeof now, two_rooms, "box D west at 3' { receptacle }\n",
             "circuit P.1 { breaker 15 A; cable 14/2\nrun P -> shed.A -> B\nrun P -> loft.D }\n");
    compare(&t, old, now, NULL);
    struct paper *p = compare_sheets(&t.c, PAPER_BY_USE);
    unsigned ticked = table_rows(&t.c.boxes) + table_rows(&t.c.new_bore_rows) +
                      table_rows(&t.c.bores) + table_rows(&t.c.goes) + table_rows(&t.c.breakers) +
                      table_rows(&t.c.labels) + table_rows(&t.c.buy) +
                      2; /* runs: D comes, C goes */
    assert_string_equal(p->sheets.at[0]->number, "X-1");
    assert_int_equal(on_sheets(p, "loft: boxes"), 1);
    assert_int_equal(on_sheets(p, "loft: cables"), 1);
    assert_int_equal(on_sheets(p, "shed: cables"), 1);
    assert_int_equal(on_sheets(p, "shed: boxes"), 0);
    assert_true(on_sheets(p, "P -> loft.D") >= 1 && on_sheets(p, "shed.B -> C") >= 1);
    assert_int_equal(on_sheets(p, "abandoned"), 1);
    unsigned strips, told = told_to_tick(p, &strips);
    assert_int_equal(told, ticked);
    assert_int_equal(on_sheets(p, NULL), told + strips);
    compare_free(&t);
}

/* Plans that are the same have a sheet that says so. */
static void no_change_is_a_sheet_too(void **state)
{
    (void)state;
    char plan[2048];
    struct two t;
    with(plan, sizeof plan, first, runs);
    compare(&t, plan, plan, NULL);
    struct paper *p = compare_sheets(&t.c, PAPER_A4);
    assert_int_equal(p->sheets.n, 1);
    assert_int_equal(on_sheets(p, NULL), 0);
    compare_free(&t);
}

/* As Markdown each section is a table with a row for each of its things, whose signs are no markup
 * (GitHub Flavored Markdown 4.10, 6.1: a pipe ends a cell, a backslash takes the sense of a sign).
 */
static void markdown_has_a_row_for_each(void **state)
{
    (void)state;
    struct two t;
    compare_two_runs_changed(&t);
    struct buf text = {0};
    compare_markdown(&t.c, &text);
    uint32_t rows = 0, heads = 0;
    for (const char *line = buf_text(&text); line; line = strchr(line + 1, '\n')) {
        rows += !strncmp(line, "\n| ", 3) && strncmp(line, "\n| -", 4) != 0;
        heads += !strncmp(line, "\n### ", 5);
    }
    uint32_t listed = 0;
    for (uint32_t i = 0; i < table_rows(&t.c.runs); i++)
        listed += compare_is_listed(&t.c, i);
    assert_int_equal(rows - heads, listed + table_rows(&t.c.boxes) + table_rows(&t.c.bores) +
                                       table_rows(&t.c.new_bore_rows) + table_rows(&t.c.buy) +
                                       table_rows(&t.c.labels) + table_rows(&t.c.breakers) +
                                       table_rows(&t.c.goes) + table_rows(&t.c.findings));
    assert_non_null(strstr(buf_text(&text), "| P -\\> shed.C | added |"));
    buf_free(&text);
    compare_free(&t);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(same_plans_keep_all),
        cmocka_unit_test(two_of_one_name_stay),
        cmocka_unit_test(runs_come_and_go),
        cmocka_unit_test(breakers_that_move_are_told),
        cmocka_unit_test(bores_that_nobody_uses),
        cmocka_unit_test(moved_boxes_and_cables_that_reach),
        cmocka_unit_test(another_cable_and_another_circuit),
        cmocka_unit_test(labels_that_mean_another_cable),
        cmocka_unit_test(findings_appear_and_go),
        cmocka_unit_test(parallel_runs_are_matched_by_cable),
        cmocka_unit_test(changes_are_drawn_by_room),
        cmocka_unit_test(no_change_is_a_sheet_too),
        cmocka_unit_test(markdown_has_a_row_for_each),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
