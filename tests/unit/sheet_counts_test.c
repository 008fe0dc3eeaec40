/* What must not be on a sheet is counted (sheet_counts.h): a sheet that is right has none of it,
 * and each fault by itself is found once and told. The sheets of the examples have none.
 *
 *   sheet_counts_test PLAN...    counts on the sheets of these plans, kind by kind */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "cmd/cmd.h"
#include "compiled.h"
#include "model/model.h"
#include "sheet_counts.h"
#include "sheets/sheets.h"

#include <glob.h>
#include <stdio.h>
#include <string.h>

static struct arena arena;

static int forget(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static const struct pen wall = {BLACK, 0xcccccc, LINE_CUT, DASH_NONE},
                        thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE},
                        cable = {BLACK, NO_INK, LINE_NEW, DASH_NONE};
static const struct lettering words = {.caps = CAPS_WORDS};

static void symbol(struct sheet *s, const char *subject, um x, um y)
{
    paper_begin(s, ROLE_SYMBOL, subject, NULL);
    paper_circle(s, x, y, 1750, thin);
    paper_line(s, x, y - 1750, x, y - 3000, thin);
    paper_end(s);
}

static void label(struct sheet *s, const char *subject, um x, um y, const char *text)
{
    paper_begin(s, ROLE_LABEL, subject, NULL);
    paper_text(s, x, y, words, text);
    paper_end(s);
}

/* Two rooms with a wall between them, a box in each, a cable. */
static struct sheet *right_sheet(void)
{
    struct sheet *s =
        paper_sheet(paper_new(&arena, "A plan", NULL), "E1", "Plans", "A plan", 200 * MM, 100 * MM);
    struct pen room = {BLACK, NO_INK, LINE_THIN, DASH_NONE};
    paper_begin(s, ROLE_FRAME, NULL, NULL);
    paper_rect(s, (struct area){10000, 10000, 190000, 90000}, 0, wall);
    s->marks.at[0].pen.fill = NO_INK;
    paper_end(s);
    paper_begin(s, ROLE_ROOM, "hall", NULL);
    paper_rect(s, (struct area){20000, 20000, 98000, 80000}, 0, room);
    paper_rect(s, (struct area){98000, 20000, 100000, 80000}, 0, wall);
    paper_end(s);
    paper_begin(s, ROLE_ROOM, "den", NULL);
    paper_rect(s, (struct area){100000, 20000, 180000, 80000}, 0, room);
    paper_end(s);
    paper_begin(s, ROLE_CABLE, "run hall.R1 to den.R1", NULL);
    paper_line(s, 50000, 60000, 150000, 60000, cable);
    paper_text(s, 52000, 59000, words, "12/2");
    paper_end(s);
    symbol(s, "hall.R1", 40000, 40000);
    symbol(s, "den.R1", 120000, 40000);
    label(s, "hall.R1", 43000, 41000, "R1");
    label(s, "den.R1", 123000, 41000, "R1");
    return s;
}

/* One fault of that sort, and that is told; nothing else. */
static void check_fault(const struct sheet *s, enum sheet_fault what, const char *told)
{
    struct buf why = {0};
    struct sheet_counts n = sheet_count(s, &why);
    if (n.all != 1 || n.of[what] != 1 || !strstr(buf_text(&why), told))
        fail_msg("%s: %u faults, %u of these: %s", sheet_fault_words[what], n.all, n.of[what],
                 buf_text(&why));
    buf_free(&why);
}

static void a_sheet_that_is_right_has_no_fault(void **state)
{
    (void)state;
    struct buf why = {0};
    struct sheet_counts n = sheet_count(right_sheet(), &why);
    assert_string_equal(buf_text(&why), "");
    assert_int_equal(n.all, 0);
    buf_free(&why);
}

static void words_on_words_are_found(void **state)
{
    (void)state;
    struct sheet *s = right_sheet();
    label(s, "hall.R1", 44000, 42000, "again");
    check_fault(s, TEXT_ON_TEXT, "'R1' of hall.R1");
    s = right_sheet();
    paper_text(s, 60000, 75000, (struct lettering){.caps = CAPS_WORDS, .degrees = -45}, "slanting");
    paper_text(s, 66000, 74500, words, "x"); /* in its frame, not on its letters */
    assert_int_equal(sheet_count(s, NULL).all, 0);
    paper_text(s, 65000, 71000, words, "x");
    check_fault(s, TEXT_ON_TEXT, "'slanting'");
    s = right_sheet(); /* line under line */
    paper_write(s, 30000, 70000, 50000, 3400, words, "line under line that is no fault at all");
    assert_int_equal(sheet_count(s, NULL).all, 0);
}

static void symbols_on_symbols_are_found(void **state)
{
    (void)state;
    struct sheet *s = right_sheet();
    symbol(s, "hall.R2", 40000, 43600);
    check_fault(s, SYMBOL_ON_SYMBOL, "hall.R2");
    s = right_sheet();
    symbol(s, "hall.R2", 40000, 45100); /* its stem ends below the other */
    assert_int_equal(sheet_count(s, NULL).of[SYMBOL_ON_SYMBOL], 0);
}

static void words_on_what_is_drawn_are_found(void **state)
{
    (void)state;
    struct sheet *s = right_sheet();
    label(s, "hall.R1", 70000, 61000, "R1 again");
    check_fault(s, NAME_ON_CABLE, "'R1 again'");
    s = right_sheet();
    label(s, "den.R1", 119500, 41000, "i");
    check_fault(s, LABEL_ON_SYMBOL, "'i' of den.R1");
    s = right_sheet();
    paper_text(s, 92000, 30000, words, "a note");
    check_fault(s, THROUGH_WALL, "'a note'");
}

static void labels_that_lead_astray_are_found(void **state)
{
    (void)state;
    struct sheet *s = right_sheet();
    symbol(s, "hall.R2", 40000, 30000);
    label(s, "hall.R2", 44000, 37000, "R2");
    check_fault(s, FOREIGN_NEARER, "'R2' of hall.R2");
    paper_begin(s, ROLE_LEADER, "hall.R2", NULL);
    paper_line(s, 44000, 34000, 41500, 31500, thin);
    paper_end(s);
    assert_int_equal(sheet_count(s, NULL).all, 0);
    s = right_sheet();
    symbol(s, "hall.R2", 94000, 30000);
    label(s, "hall.R2", 101000, 30000, "R2");
    check_fault(s, IN_OTHER_ROOM, "'R2' of hall.R2");
}

static void what_is_too_small_or_outside_is_found(void **state)
{
    (void)state;
    struct sheet *s = right_sheet();
    paper_text(s, 30000, 70000, (struct lettering){.caps = CAPS_NOTE - 1}, "small");
    check_fault(s, TOO_SMALL, "'small'");
    s = right_sheet();
    paper_text(s, 188000, 85000, words, "wide");
    check_fault(s, OUTSIDE, "'wide'");
    s = right_sheet(); /* what is clipped away is not there */
    paper_clip(s, (struct area){150000, 20000, 180000, 80000});
    paper_text(s, 188000, 85000, words, "wide");
    paper_unclip(s);
    assert_int_equal(sheet_count(s, NULL).all, 0);
}

/* --- the sheets that are made ------------------------------------------------------------------
 */

/* Faults on the sheets of a kind, each told; how many sheets there are. */
static struct sheet_counts count_kind(const struct results *r, const struct sheet_kind *kind,
                                      uint32_t *sheets, struct buf *why)
{
    struct sheet_counts sum = {0};
    const struct paper *paper = sheets_make(r, PAPER_BY_USE, false, &kind, 1);
    *sheets = paper->sheets.n;
    for (uint32_t i = 0; i < paper->sheets.n; i++) {
        struct sheet_counts one = sheet_count(paper->sheets.at[i], why);
        sum.all += one.all;
        for (int k = 0; k < SHEET_FAULTS; k++)
            sum.of[k] += one.of[k];
    }
    return sum;
}

static void tell_kind(const char *path, const struct sheet_kind *kind, uint32_t sheets,
                      const struct sheet_counts *n, const char *why)
{
    printf("%s: %s, %u sheets: %u faults\n", path, kind->name, sheets, n->all);
    for (int k = 0; k < SHEET_FAULTS; k++)
        if (n->of[k])
            printf("  %4u %s\n", n->of[k], sheet_fault_words[k]);
    fputs(why, stdout);
}

/* The faults on the sheets of a plan; tells all kinds, or those that have some. */
static unsigned count_plan(const char *path, bool tell_all)
{
    unsigned faults = 0;
    struct compilation c;
    struct results r;
    compile(&c, path, (struct compile_options){.cut_steps = SOME_CUT_STEPS});
    bool made = c.model && c.cuts && cmd_results(&c, &r);
    if (tell_all && !made)
        printf("%s: has no sheets\n", path);
    for (uint32_t i = 0; made && i < sheet_kind_count; i++) {
        struct buf why = {0};
        uint32_t sheets;
        struct sheet_counts n = count_kind(&r, &sheet_kinds[i], &sheets, &why);
        faults += n.all;
        if (tell_all || n.all)
            tell_kind(path, &sheet_kinds[i], sheets, &n, buf_text(&why));
        buf_free(&why);
    }
    compile_free(&c);
    return faults;
}

static void the_sheets_of_the_examples_have_no_fault(void **state)
{
    glob_t plans;
    unsigned faults = 0;
    (void)state;
    assert_int_equal(glob("examples/*/*.bay", 0, NULL, &plans), 0);
    for (size_t i = 0; i < plans.gl_pathc; i++)
        faults += count_plan(plans.gl_pathv[i], false);
    globfree(&plans);
    assert_int_equal(faults, 0);
}

static int count_by_hand(int argc, char **argv)
{
    for (int i = 1; i < argc; i++)
        count_plan(argv[i], true);
    return 0;
}

int main(int argc, char **argv)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(a_sheet_that_is_right_has_no_fault, forget),
        cmocka_unit_test_teardown(words_on_words_are_found, forget),
        cmocka_unit_test_teardown(symbols_on_symbols_are_found, forget),
        cmocka_unit_test_teardown(words_on_what_is_drawn_are_found, forget),
        cmocka_unit_test_teardown(labels_that_lead_astray_are_found, forget),
        cmocka_unit_test_teardown(what_is_too_small_or_outside_is_found, forget),
        cmocka_unit_test(the_sheets_of_the_examples_have_no_fault),
    };
    return argc > 1 ? count_by_hand(argc, argv) : cmocka_run_group_tests(tests, NULL, NULL);
}
