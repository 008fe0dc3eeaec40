/* Text by the width of the page, cards where it is narrow, and pages of paper: on the plans of the
 * tree, and to the letter on tables made by hand. The soak asks the same of plans made at random.
 */
#include "compiled.h"
#include "pages.h"

#include "cmd/cmd.h"
#include "emit/pages.h"
#include "emit/reports/reports.h"
#include "emit/table.h"
#include "loads/panel.h"

#include <glob.h>

/* --- the plans of the tree ---------------------------------------------------------------- */

static void reports_of_the_tree_keep_to_their_pages(void **state)
{
    (void)state;
    glob_t plans;
    unsigned read = 0;
    assert_int_equal(glob("examples/*/*.bay", 0, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++) {
        struct compilation c;
        struct buf why = {0};
        compile(&c, plans.gl_pathv[i],
                (struct compile_options){.library = plan_library(), .cut_steps = SOME_CUT_STEPS});
        bool holds = pages_hold(&c, &read, &why);
        if (!holds)
            print_error("%s: %s\n", plans.gl_pathv[i], buf_text(&why));
        assert_true(holds);
        buf_free(&why);
        compile_free(&c);
    }
    globfree(&plans);
    assert_true(read > 1000); /* the test has pages to read */
}

/* Each report begins with what it says, and then come its tables. */
static void sums_come_first(void **state)
{
    (void)state;
    struct compilation c;
    struct results r;
    compile(&c, "examples/studio/studio.bay",
            (struct compile_options){.cut_steps = SOME_CUT_STEPS});
    assert_true(cmd_results(&c, &r));
    for (uint32_t i = 0; i < report_count; i++)
        for (enum report_format format = REPORT_TEXT; format <= REPORT_MARKDOWN;
             format += REPORT_MARKDOWN - REPORT_TEXT) {
            struct report report = {.def = &report_table[i]};
            struct buf out = {0};
            report_make(&r, &report);
            assert_non_null(report.says);
            report_write(&report_table[i], &r, format, &out);
            char begin[16] = "";
            snprintf(begin, sizeof begin, "%.12s", report.says);
            const char *says = strstr(buf_text(&out), begin), *table = strstr(buf_text(&out), "--");
            assert_true(says && says < table);
            buf_free(&out);
        }
    compile_free(&c);
}

/* The inspection counts as many faults as the check has errors and warnings. */
static void faults_are_those_of_the_check(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay",
                                        "examples/studio/first-draft.bay"};
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct results r;
        struct report report = {.def = report_named("inspection")};
        compile(&c, plans[i], (struct compile_options){.cut_steps = SOME_CUT_STEPS});
        assert_true(cmd_results(&c, &r));
        report_make(&r, &report);
        assert_int_equal(strtoul(report.says, NULL, 10),
                         c.diag.counts[ERROR] + c.diag.counts[WARNING]);
        compile_free(&c);
    }
}

/* --- the card for the door of a panel ------------------------------------------------------- */

/* Every space of every panel stands on a card once, in its own place, and every circuit with a
 * space has its words there. */
static void check_card(const struct results *r, const struct panel *p, const struct grid *card)
{
    uint32_t seen = 0, named = 0, seated = 0;
    for (uint32_t row = 0; row < table_rows(card); row++)
        for (uint32_t side = 0; side < 2; side++) {
            const struct cell *cells = &card->cells.at[row * card->column_count + 3 * side];
            if (cells->kind != CELL_INTEGER)
                continue;
            assert_int_equal(cells->integer, 2 * row + side + 1);
            const char *serves = cells[1].text;
            seen++;
            named +=
                strcmp(serves, "blank") && strcmp(serves, "in use") && strncmp(serves, "with ", 5);
        }
    for (uint32_t i = 0; i < p->circuits.n; i++)
        seated += r->panels->of_circuit[p->circuits.at[i]->id].space != 0;
    assert_int_equal(seen, p->spaces);
    assert_int_equal(named, seated);
}

static void cards_have_every_space(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/studio/studio.bay", "examples/flats/flats.bay",
                                        "examples/cellar/pottery.bay"};
    for (size_t k = 0; k < sizeof plans / sizeof *plans; k++) {
        struct compilation c;
        struct results r;
        struct report report = {.def = report_named("panel")};
        uint32_t part = 1, cards = 0; /* behind the panels in a line each */
        compile(&c, plans[k], (struct compile_options){.cut_steps = SOME_CUT_STEPS});
        assert_true(cmd_results(&c, &r));
        report_make(&r, &report);
        for (uint32_t i = 0; i < c.model->panels.n; i++) {
            const struct panel *p = c.model->panels.at[i];
            if (!facts_is_built(p->unit))
                continue;
            if (p->spaces) {
                check_card(&r, p, &report.parts.at[part++].grid);
                cards++;
            }
            part++; /* what its circuits carry */
        }
        assert_int_equal(part, report.parts.n);
        assert_true(cards > 0);
        compile_free(&c);
    }
}

/* --- tables made by hand ------------------------------------------------------------------ */

static const struct column columns[] = {
    {"box", "Box", 0, 0},
    {"feet", "From left", 2, COLUMN_RIGHT},
    {"type", "Type", 0, 0},
    {"devices", "Devices", 0, 0},
};

static void add_row(struct grid *t, const char *box, length feet, const char *type,
                    const char *devices)
{
    struct cell *row = table_row(t);
    row[0] = cell_text(box);
    row[1] = cell_length(feet);
    row[2] = cell_text(type);
    row[3] = cell_text(devices);
}

static void narrow_tables_are_cards(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct grid t;
    struct buf out = {0};
    table_begin(&t, &arena, columns, 4);
    add_row(&t, "studio.R1", 6 * FOOT + 9 * INCH + 15 * INCH / 16, "nail-on-1g-18",
            "receptacle, switch leg studio-lights");
    add_row(&t, "studio.L1", 4 * FOOT, NULL, "luminaire");
    table_text(&t, &out, 40);
    assert_string_equal(buf_text(&out), "studio.R1\n"
                                        "  From left  6'-10\"\n"
                                        "  Type       nail-on-1g-18\n"
                                        "  Devices    receptacle, switch leg\n"
                                        "             studio-lights\n"
                                        "\n"
                                        "studio.L1\n"
                                        "  From left  4'\n"
                                        "  Devices    luminaire\n");
    buf_free(&out);
    arena_free(&arena);
}

/* What has room beside each other stays a table on a narrow page too. */
static void a_table_that_fits_stays_a_table(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct grid t;
    struct buf out = {0};
    table_begin(&t, &arena, columns, 4);
    add_row(&t, "R1", 4 * FOOT, "type", "receptacle");
    table_text(&t, &out, 40);
    assert_string_equal(buf_text(&out), "Box  From  Type  Devices\n"
                                        "     left\n"
                                        "---  ----  ----  ----------\n"
                                        "R1     4'  type  receptacle\n");
    buf_free(&out);
    arena_free(&arena);
}

/* Columns stand nearer to each other before a table becomes cards. */
static void columns_move_together_first(void **state)
{
    (void)state;
    static const struct column figures[] = {
        {"a", "Bought", 0, COLUMN_RIGHT}, {"b", "Pieces", 0, COLUMN_RIGHT}, {"d", "Coil", 0, 0}};
    static const struct {
        unsigned width;
        const char *text;
    } cases[] = {
        {20, "Bought  Pieces  Coil\n------  ------  ----\n100000  100001  reel\n"},
        {19, "Bought Pieces Coil\n------ ------ ----\n100000 100001 reel\n"},
        {18, "Bought Pieces Coil\n------ ------ ----\n100000 100001 reel\n"},
        {17, "100000\n  Pieces  100001\n  Coil   reel\n"},
    };
    struct arena arena = {0};
    struct grid t;
    struct buf out = {0};
    table_begin(&t, &arena, figures, 3);
    struct cell *row = table_row(&t);
    row[0] = cell_integer(100000);
    row[1] = cell_integer(100001);
    row[2] = cell_text("reel");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        out.n = 0;
        table_text(&t, &out, cases[i].width);
        assert_string_equal(buf_text(&out), cases[i].text);
    }
    buf_free(&out);
    arena_free(&arena);
}

static void pages_repeat_the_heads_of_a_table(void **state)
{
    (void)state;
    static const struct column one[] = {{"box", "Box", 0, 0}};
    struct arena arena = {0};
    struct buf whole = {0}, out = {0};
    struct page_text text = {.arena = &arena, .out = &whole, .width = 30};
    struct grid t;
    table_begin(&t, &arena, one, 1);
    for (int i = 1; i <= 7; i++)
        table_row(&t)[0] = cell_text(arena_printf(&arena, i == 3 ? "R%d\nnear" : "R%d", i));
    table_pages(&t, &text);
    pages_mark(&text, PAGE_FREE);
    buf_puts(&whole, "\nA note.\n");
    pages_print(&text, "boxes: a title that is far too long", 7, &out);
    assert_string_equal(buf_text(&out),
                        "Box\n----\nR1\nR2\nR3\nnear\nR4\n"
                        "\fboxes: a title th, page 2 of 3\n\nBox\n----\nR5\nR6\nR7\n"
                        "\fboxes: a title th, page 3 of 3\n\nA note.\n");
    buf_free(&whole);
    buf_free(&out);
    arena_free(&arena);
}

/* No row is parted that a page holds, and one that no page holds is not lost. */
static void rows_stay_whole_where_a_page_holds_them(void **state)
{
    (void)state;
    static const struct column one[] = {{"box", "Box", 0, 0}};
    struct arena arena = {0};
    struct buf whole = {0}, out = {0};
    struct page_text text = {.arena = &arena, .out = &whole, .width = 30};
    struct grid t;
    table_begin(&t, &arena, one, 1);
    table_row(&t)[0] = cell_text("a\nb\nc");
    table_row(&t)[0] = cell_text("d\ne\nf");
    table_row(&t)[0] = cell_text("1\n2\n3\n4\n5");
    table_pages(&t, &text);
    pages_print(&text, "t", 7, &out);
    assert_string_equal(buf_text(&out), "Box\n---\na\nb\nc\n"
                                        "\ft, page 2 of 4\n\nBox\n---\nd\ne\nf\n"
                                        "\ft, page 3 of 4\n\nBox\n---\n1\n2\n3\n"
                                        "\ft, page 4 of 4\n\nBox\n---\n4\n5\n");
    buf_free(&whole);
    buf_free(&out);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reports_of_the_tree_keep_to_their_pages),
        cmocka_unit_test(sums_come_first),
        cmocka_unit_test(faults_are_those_of_the_check),
        cmocka_unit_test(cards_have_every_space),
        cmocka_unit_test(narrow_tables_are_cards),
        cmocka_unit_test(a_table_that_fits_stays_a_table),
        cmocka_unit_test(columns_move_together_first),
        cmocka_unit_test(pages_repeat_the_heads_of_a_table),
        cmocka_unit_test(rows_stay_whole_where_a_page_holds_them),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
