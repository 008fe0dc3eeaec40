/* Tables on sheets: heads on each page, rows that stay whole, no column without a word, boxes to
 * tick. */
#include "cmd/cmd.h"
#include "compiled.h"
#include "sheets/grid.h"
#include "sheets/sheets.h"

static const struct column columns[] = {{"first", "First", 0, 0},
                                        {"empty", "Empty", 0, 0},
                                        {"number", "Number", 0, COLUMN_RIGHT},
                                        {"words", "Words", 0, 0}};

/* Rows of one to seven lines. */
static void fill(struct grid *t, struct arena *arena, uint32_t rows)
{
    table_begin(t, arena, columns, 4);
    for (uint32_t i = 0; i < rows; i++) {
        struct cell *row = table_row(t);
        const char *words = arena_printf(arena, "r%u-0", i);
        for (uint32_t k = 1; k <= i * 5 % 7; k++)
            words = arena_printf(arena, "%s\nr%u-%u", words, i, k);
        row[0] = cell_text(i % 3 ? "[ ]" : "x");
        row[2] = cell_integer(i);
        row[3] = cell_text(words);
    }
}

static uint32_t count(const struct sheet *s, const char *text)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->marks.n; i++)
        n += s->marks.at[i].kind == MARK_TEXT && !strcmp(s->marks.at[i].text, text);
    return n;
}

static bool has(const struct sheet *s, const char *format, ...)
{
    char text[64];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    return count(s, text) > 0;
}

static struct compilation compiled;
static struct results results;
static struct grid table;

static void draw_table(struct set *set)
{
    struct grid_pages g = {.set = set, .title = "Rows"};
    grid_draw(&g, "A table", &table, true);
    grid_end(&g);
}

static struct paper *draw(uint32_t rows)
{
    static const struct sheet_kind kind = {"rows",   "R-%u", "Rows", draw_table,
                                           FOR_HAND, IN_JOB, ""};
    const struct sheet_kind *kinds = &kind;
    fill(&table, &compiled.arena, rows);
    return sheets_make(&results, PAPER_LETTER, false, &kinds, 1);
}

static void heads_stand_on_each_page(void **state)
{
    (void)state;
    struct paper *p = draw(100);
    assert_true(p->sheets.n > 3);
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        const struct sheet *s = p->sheets.at[i];
        assert_int_equal(count(s, "First"), 1);
        assert_int_equal(count(s, "Words"), 1);
        assert_int_equal(count(s, "Empty"), 0);
    }
}

static void rows_stay_whole(void **state)
{
    (void)state;
    struct paper *p = draw(100);
    for (uint32_t row = 0; row < 100; row++) {
        uint32_t on = 0;
        for (uint32_t i = 0; i < p->sheets.n; i++) {
            bool begins = has(p->sheets.at[i], "r%u-0", row);
            for (uint32_t k = 1; k <= row * 5 % 7; k++)
                assert_int_equal(has(p->sheets.at[i], "r%u-%u", row, k), begins);
            on += begins;
        }
        assert_int_equal(on, 1);
    }
}

/* Each row has its box, and those of the table itself are boxes too; the strip tells their number.
 */
static void boxes_are_ticked(void **state)
{
    (void)state;
    struct paper *p = draw(6);
    const struct sheet *s = p->sheets.at[0];
    uint32_t boxes = 0;
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        boxes += m->kind == MARK_RECT && m->box.right - m->box.left == 2500 && !m->group;
    }
    assert_int_equal(p->sheets.n, 1);
    assert_int_equal(boxes, 10);
    assert_int_equal(count(s, "[ ]"), 0);
    assert_true(has(s, "Done: all 10 lines of this sheet"));
}

/* A small job without prices and home runs has no columns for them, which the report has. */
static void no_column_is_empty(void **state)
{
    (void)state;
    struct compilation c;
    struct results r;
    const struct sheet_kind *kind = sheets_named("pulls");
    compile(&c, "examples/small/old-box.bay",
            (struct compile_options){.library = plan_library(), .cut_steps = SOME_CUT_STEPS});
    assert_true(cmd_results(&c, &r));
    const struct sheet *s = sheets_make(&r, PAPER_LETTER, false, &kind, 1)->sheets.at[1];
    assert_true(has(s, "Cut list"));
    assert_false(has(s, "Price") || has(s, "Home run"));
    assert_true(has(s, "Coil") && has(s, "Bought at least"));
    compile_free(&c);
}

/* The cover has all figures of the application, in the words of an office. */
static void the_cover_has_all_figures(void **state)
{
    (void)state;
    static const char *const said[] = {"Property owner",
                                       "Receptacle outlets",
                                       "20 A, two poles",
                                       "Panel M, existing",
                                       "Floor area for the load calculation",
                                       "Smallest standard rating that serves"};
    struct compilation c;
    struct results r;
    const struct sheet_kind *kind = sheets_named("cover");
    compile(&c, "examples/studio/studio.bay", (struct compile_options){.library = plan_library()});
    assert_true(cmd_results(&c, &r));
    const struct sheet *s = sheets_make(&r, PAPER_BY_USE, false, &kind, 1)->sheets.at[0];
    for (size_t i = 0; i < sizeof said / sizeof *said; i++)
        if (!count(s, said[i]))
            fail_msg("the cover does not say '%s'", said[i]);
    assert_false(has(s, "openings") || has(s, "further figures: report permit"));
    compile_free(&c);
}

/* On the smallest paper what has no room is said, and the cover stays one sheet, however long its
 * notes are and whatever figures there are. */
static void the_cover_is_one_sheet(void **state)
{
    (void)state;
    static const char *const plans[] = {
        "examples/cellar/pottery.bay",   "examples/flats/flats.bay",
        "examples/shed/boat-shed.bay",   "examples/small/cellar.bay",
        "examples/small/two-places.bay", "examples/studio/downstairs.bay",
        "examples/studio/studio.bay",    "examples/studio/first-draft.bay"};
    const struct sheet_kind *kind = sheets_named("cover");
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct results r;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        cmd_results(&c, &r);
        for (enum paper_size size = PAPER_BY_USE; size < PAPER_SIZES; size++) {
            const struct paper *p = sheets_make(&r, size, false, &kind, 1);
            if (p->sheets.n != 1)
                fail_msg("%s on paper %d: %u covers", plans[i], (int)size, p->sheets.n);
        }
        compile_free(&c);
    }
}

/* What a card for a door says of a breaker is never cut. */
static void door_cards_are_whole(void **state)
{
    (void)state;
    static const char *const plans[] = {"examples/cellar/pottery.bay", "examples/flats/flats.bay",
                                        "examples/shed/boat-shed.bay",
                                        "examples/studio/studio.bay"};
    const struct sheet_kind *kind = sheets_named("directory");
    for (size_t i = 0; i < sizeof plans / sizeof *plans; i++) {
        struct compilation c;
        struct results r;
        compile(&c, plans[i], (struct compile_options){.library = plan_library()});
        cmd_results(&c, &r);
        const struct paper *p = sheets_make(&r, PAPER_LETTER, false, &kind, 1);
        for (uint32_t k = 0; k < p->sheets.n; k++)
            for (uint32_t m = 0; m < p->sheets.at[k]->marks.n; m++) {
                const struct mark *mark = &p->sheets.at[k]->marks.at[m];
                if (mark->kind == MARK_TEXT && strstr(mark->text, " A ") && strstr(mark->text, "…"))
                    fail_msg("%s: '%s'", plans[i], mark->text);
            }
        compile_free(&c);
    }
}

/* Why a box is not drawn has a line that one can read, however little else its card holds. */
static void cards_without_a_drawing_say_why(void **state)
{
    (void)state;
    static const char why[] = "not proven, so not drawn";
    const struct sheet_kind *kind = sheets_named("cards");
    struct compilation c;
    struct results r;
    uint32_t begun = 0, told = 0;
    compile(&c, "examples/studio/first-draft.bay",
            (struct compile_options){.library = plan_library()});
    cmd_results(&c, &r);
    const struct paper *p = sheets_make(&r, PAPER_LETTER, false, &kind, 1);
    for (uint32_t k = 0; k < p->sheets.n; k++)
        for (uint32_t m = 0; m < p->sheets.at[k]->marks.n; m++) {
            const struct mark *mark = &p->sheets.at[k]->marks.at[m];
            begun += mark->kind == MARK_TEXT &&
                     (!strcmp(mark->text, "not") || !strncmp(mark->text, why, strlen("not p")));
            told += mark->kind == MARK_TEXT && !strncmp(mark->text, why, sizeof why - 1);
        }
    assert_true(told > 0);
    assert_int_equal(told, begun);
    compile_free(&c);
}

static int compile_plan(void **state)
{
    (void)state;
    compile_text(&compiled, "plan \"Shed\" { edition nec-2023 }\n"
                            "room shed { kind workshop; size 9' by 9' }\n");
    return !cmd_results(&compiled, &results);
}

static int end(void **state)
{
    (void)state;
    compile_free(&compiled);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(heads_stand_on_each_page),
        cmocka_unit_test(rows_stay_whole),
        cmocka_unit_test(boxes_are_ticked),
        cmocka_unit_test(no_column_is_empty),
        cmocka_unit_test(the_cover_has_all_figures),
        cmocka_unit_test(the_cover_is_one_sheet),
        cmocka_unit_test(door_cards_are_whole),
        cmocka_unit_test(cards_without_a_drawing_say_why),
    };
    return cmocka_run_group_tests(tests, compile_plan, end);
}
