/* Strands: what is pulled in one, box after box, where it ends, and what the site log makes of it.
 * Common trade practice, but for the arithmetic. */
#include "compiled.h"
#include "cmd/cmd.h"
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "framing/routes.h"
#include "log/log.h"

/* A shed with five boxes, and what stands in its one circuit. */
static const char *shed_with(const char *before, const char *runs, const char *coils)
{
    static char text[4096];
    snprintf(text, sizeof text,
             "plan \"Shed\" { edition nec-2023 }\n%s"
             "room shed { kind workshop; size 20' by 12'\n"
             "box A west at 2' { receptacle }\nbox B west at 8' { receptacle }\n"
             "box C north at 5' { receptacle }\nbox D north at 12' { receptacle }\n"
             "box E east at 5' { receptacle }\n}\n"
             "panel P { in shed south at 12' up 5'; main 60 A; spaces 8 }\n"
             "circuit P.1 { breaker 20 A; cable 12/2\n%s\n}\n%s",
             before, runs, coils);
    return text;
}

static const char reel[] = "coil 12/2 250' price 100.00\n";

static const struct strand *strand_at(const struct compilation *c, uint32_t number)
{
    assert_true(number < c->cuts->strand_count);
    return &c->cuts->strands[number];
}

/* The strands of a plan by the names of their boxes, "A-B-C D-E", as they are numbered. */
static const char *strands_of(struct compilation *c)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < c->cuts->strand_count; i++)
        for (uint32_t k = 0; k <= c->cuts->strands[i].count; k++) {
            struct end end = cuts_stop(&c->cuts->strands[i], k);
            buf_printf(&b, "%s%s", k ? "-" : b.n ? " " : "", end.box ? end.box->name : "P");
        }
    const char *words = arena_copy(&c->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

/* --- what is one, and where it ends ------------------------------------------------------- */

static void chains_are_strands(void **state)
{
    (void)state;
    static const struct {
        const char *before, *runs, *strands;
    } cases[] = {
        {"", "run P -> shed.A -> B -> C -> D -> E", "P-A-B-C-D-E"},
        /* it begins at the panel, else nearer the source, whichever way it is written */
        {"", "run shed.C -> B -> A -> P\nrun shed.E -> D -> C", "P-A-B-C C-D-E"},
        {"", "run P -> shed.C\nrun shed.A -> B -> C -> D -> E", "A-B-C-D-E P-C"},
        /* statements are strands of their own */
        {"", "run P -> shed.A -> B\nrun shed.B -> C -> D -> E", "B-C-D-E P-A-B"},
        /* another cable, and what is there, part it */
        {"", "run P -> shed.A -> B (cable 10/2) -> C -> D -> E", "B-C-D-E P-A A-B"},
        /* a length is that of a hop: settling writes it, and changes nothing */
        {"", "run P -> shed.A -> B (length 20') -> C -> D -> E", "P-A-B-C-D-E"},
        /* what was fished is not drawn further */
        {"", "run P -> shed.A -> B (fished) -> C -> D -> E", "B-C-D-E P-A-B"},
        {"", "run P -> shed.A -> B -> C -> D -> E (fished)", "P-A-B-C-D-E"},
        {"", "run P -> shed.A -> B (in emt-1/2) -> C -> D -> E", "B-C-D-E P-A A-B"},
        {"amend nec-2023 because \"my arms\" { table pulls { most-length 60' } }\n",
         "run P -> shed.A -> B -> C -> D -> E", "P-A-B-C-D D-E"},
        {"amend nec-2023 because \"my arms\" { table pulls { most-holes 0; most-corners 1 } }\n",
         "run P -> shed.A -> B -> C -> D -> E", "P-A D-E B-C C-D A-B"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        compile_text(&c, shed_with(cases[i].before, cases[i].runs, reel));
        assert_non_null(c.cuts);
        assert_string_equal(strands_of(&c), cases[i].strands);
        compile_free(&c);
    }
}

/* Why a strand ends stands with its last cut. */
static void ends_say_why(void **state)
{
    (void)state;
    static const struct {
        const char *setting;
        enum strand_end end;
    } cases[] = {{"most-length 60'", STRAND_LENGTH},
                 {"most-holes 8", STRAND_HOLES},
                 {"most-corners 3", STRAND_CORNERS}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct compilation c;
        char amend[200];
        snprintf(amend, sizeof amend, "amend nec-2023 because \"my arms\" { table pulls { %s } }\n",
                 cases[i].setting);
        compile_text(&c, shed_with(amend, "run P -> shed.A -> B -> C -> D -> E", reel));
        unsigned said = 0, last = 0;
        for (uint32_t k = 0; k < c.cuts->strand_count; k++) {
            const struct strand *s = strand_at(&c, k);
            said += s->cuts[s->count - 1].end == cases[i].end;
            last += s->cuts[s->count - 1].end == STRAND_ENDS;
        }
        assert_true(said > 0);
        assert_int_equal(last, 1);
        assert_int_equal(said + last, c.cuts->strand_count);
        compile_free(&c);
    }
}

/* A coil that lies there is used up to the last foot, and the strand is broken for it. */
static void breaking_saves_a_coil(void **state)
{
    (void)state;
    struct compilation c;
    compile_text(&c, shed_with("",
                               "run P -> shed.A length 30'\nrun shed.A -> B (length 20') -> C "
                               "(length 20') -> D (length 20')\nrun shed.D -> E length 10'",
                               "coil 12/2 50' on-hand as tail-end\ncoil 12/2 50' price 40.00\n"));
    assert_string_equal(strands_of(&c), "P-A A-B B-C-D D-E");
    const struct cable_cuts *k = &c.cuts->cables[0];
    assert_int_equal(k->long_strands, 1);
    assert_int_equal(k->broken, 1);
    assert_int_equal(k->least_broken, 1);
    assert_int_equal(strand_at(&c, 1)->cuts[0].end, STRAND_BROKEN);
    compile_free(&c);
    /* with two more feet on hand there is no need */
    compile_text(&c, shed_with("",
                               "run P -> shed.A length 30'\nrun shed.A -> B (length 20') -> C "
                               "(length 20') -> D (length 20')\nrun shed.D -> E length 10'",
                               "coil 12/2 60' on-hand as tail-end\ncoil 12/2 50' price 40.00\n"));
    assert_int_equal(c.cuts->cables[0].broken, 0);
    compile_free(&c);
}

/* --- the site log ------------------------------------------------------------------------- */

static const char whole[] = "run P -> shed.A -> B -> C -> D -> E";

static length share_of(const struct compilation *c, const char *name)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        if (!strcmp(c->model->runs.at[i]->to.box->name, name))
            return c->log->of_run[i].in_wall;
    fail();
    return 0;
}

/* The shares of the hops are the length that was measured, and each reaches while all does. */
static void log_shares_a_strand(void **state)
{
    (void)state;
    for (int more = -12; more <= 60; more += 12) {
        struct compilation c;
        compile_text(&c, shed_with("", whole, reel));
        length least = 0, cut = 0;
        for (uint32_t i = 0; i < 3; i++) {
            least += log_least_length(c.model, c.routes, c.model->runs.at[i]);
            cut += c.routes->of_run[i].cut;
        }
        assert_true(least < cut);
        struct buf log = {0};
        buf_puts(&log, "2026-03-14 pulled P -> shed.A -> B -> C cable 12/2 ");
        length all = (least + INCH - 1) / INCH * INCH + more * INCH;
        length_print(&log, all);
        buf_puts(&log, " from 12/2-1\n");
        compile_free(&c);
        compile_with_log(&c, shed_with("", whole, reel), buf_text(&log));
        assert_int_equal(share_of(&c, "A") + share_of(&c, "B") + share_of(&c, "C"), all);
        assert_int_equal(findings_of(&c, "cut-too-short"), more < 0);
        assert_string_equal(strands_of(&c), more < 0 ? "P-A-B-C-D-E" : "C-D-E");
        const struct cut_coil *coil = &c.cuts->cables[0].coils[0];
        assert_string_equal(coil->name, "12/2-1");
        assert_int_equal(coil->pulled_count, 3);
        assert_int_equal(coil->pulled, all);
        compile_free(&c);
        buf_free(&log);
    }
}

/* What is said of a strand is one line, which is taken back as one. */
static void one_line_is_taken_back(void **state)
{
    (void)state;
    static const char log[] = "2026-03-14 pulled P -> shed.A -> B cable 12/2 60' from 12/2-1\n"
                              "2026-03-14 not pulled P -> shed.A -> B cable 12/2 60' from 12/2-1\n";
    struct compilation c;
    const char *why = NULL;
    compile_with_log(&c, shed_with("", whole, reel), log);
    assert_string_equal(strands_of(&c), "P-A-B-C-D-E");
    assert_int_equal(c.cuts->cables[0].coils[0].pulled_count, 0);
    assert_string_equal(log_accept(c.log, &c.arena, "2026-03-15",
                                   "pulled P to shed.A to B to C 43ft from 12/2-1", &why),
                        "2026-03-15 pulled P -> shed.A -> B -> C cable 12/2 43' from 12/2-1\n");
    compile_free(&c);
    compile_with_log(&c, shed_with("", whole, reel),
                     "2026-03-14 pulled P -> shed.A -> B cable 12/2 60' from 12/2-1\n");
    assert_string_equal(log_accept(c.log, &c.arena, "2026-03-15", "undo", &why),
                        "2026-03-15 not pulled P -> shed.A -> B cable 12/2 60' from 12/2-1\n");
    compile_free(&c);
}

/* Cables of two sorts, and those in a raceway, are not pulled in one. */
static void what_is_no_strand_has_no_one_length(void **state)
{
    (void)state;
    static const char *const runs[] = {"run P -> shed.A -> B (cable 10/2) -> C -> D -> E",
                                       "run P -> shed.A -> B (in emt-1/2) -> C -> D -> E"};
    for (size_t i = 0; i < sizeof runs / sizeof *runs; i++) {
        struct compilation c;
        const char *why = NULL;
        compile_with_log(&c, shed_with("", runs[i], reel), "");
        assert_null(
            log_accept(c.log, &c.arena, "2026-03-15", "pulled P to shed.A to B 60ft", &why));
        assert_non_null(strstr(why, "not one that is pulled through box after box"));
        assert_non_null(log_accept(c.log, &c.arena, "2026-03-15", "pulled P to shed.A to B", &why));
        compile_free(&c);
    }
}

/* --- the report --------------------------------------------------------------------------- */

/* Marks count from the free end, and what is left at a loop is what both its cables have there. */
static void report_has_the_marks(void **state)
{
    (void)state;
    struct compilation c;
    struct results r;
    compile_sound(&c, shed_with("", whole, reel));
    assert_true(cmd_results(&c, &r));
    struct report report = {.def = report_named("pulls")};
    report_make(&r, &report);
    const struct grid *g = &report.rows;
    uint32_t mark = table_column(g, "mark_ft"), leave = table_column(g, "leave_ft"),
             does = table_column(g, "does");
    assert_int_equal(table_rows(g), 6);
    length left = strand_at(&c, 0)->length;
    for (uint32_t i = 0; i < 6; i++) {
        const struct cell *row = &g->cells.at[i * g->column_count];
        length tails =
            (i ? c.routes->of_run[i - 1].tails[1] : 0) + (i < 5 ? c.routes->of_run[i].tails[0] : 0);
        assert_int_equal(row[mark].length, left);
        assert_int_equal(row[leave].length, tails);
        assert_string_equal(row[does].text, !i ? "coil" : i < 5 ? "loop" : "end");
        left -= i < 5 ? c.routes->of_run[i].cut : 0;
    }
    assert_int_equal(left, 0);
    compile_free(&c);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(chains_are_strands),
        cmocka_unit_test(ends_say_why),
        cmocka_unit_test(breaking_saves_a_coil),
        cmocka_unit_test(log_shares_a_strand),
        cmocka_unit_test(one_line_is_taken_back),
        cmocka_unit_test(what_is_no_strand_has_no_one_length),
        cmocka_unit_test(report_has_the_marks),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
