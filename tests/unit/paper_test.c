/* The drawing interface: the font's figures, what marks come to be, and SVG.
 *
 * Widths are held against the core font metrics that Adobe published for Helvetica and
 * Helvetica-Bold (Core14 AFM files), which Liberation Sans keeps; capitals against its own
 * OS/2 table (1409 of 2048). The figures of the AFM files are recalled from memory. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "paper/paper.h"
#include "paper/svg.h"

#include <string.h>

static struct arena arena;

static struct sheet *new_sheet(void)
{
    return paper_sheet(paper_new(&arena, "A plan", NULL), "W-1", "Walls", "Studio, north wall",
                       11 * PAPER_INCH, 17 * PAPER_INCH / 2);
}

static int forget(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static void widths_are_those_of_the_core_fonts(void **state)
{
    static const struct {
        const char *text;
        int regular, bold;
    } letters[] = {{"A", 667, 722}, {"W", 944, 944},  {"0", 556, 556},       {"7", 556, 556},
                   {"i", 222, 278}, {"m", 833, 889},  {" ", 278, 278},       {"@", 1015, 975},
                   {"'", 191, 238}, {"\"", 355, 474}, {"\xc3\x84", 667, 722}};
    const struct fonts *fonts = fonts_read(&arena);
    (void)state;
    for (size_t i = 0; i < sizeof letters / sizeof *letters; i++) {
        assert_int_equal(fonts_width(fonts, false, 1000, letters[i].text), letters[i].regular);
        assert_int_equal(fonts_width(fonts, true, 1000, letters[i].text), letters[i].bold);
    }
    assert_int_equal(fonts_size(fonts, false, 1409), 2048);
    assert_true(fonts_has(fonts, false, 0x2191)); /* upwards arrow */
    assert_false(fonts_has(fonts, false, 0x4e00));
}

static void a_text_that_fits_is_whole_characters(void **state)
{
    const struct fonts *fonts = fonts_read(&arena);
    (void)state;
    assert_int_equal(fonts_fitting(fonts, false, 1000, 1111, "000"), 1);
    assert_int_equal(fonts_fitting(fonts, false, 1000, 1113, "000"), 2);
    assert_int_equal(fonts_fitting(fonts, false, 1000, 700, "\xc3\x84\xc3\x84"), 2);
}

static void scale_is_exact(void **state)
{
    (void)state;
    assert_int_equal(paper_scaled(FOOT, 48), PAPER_INCH / 4);
    assert_int_equal(paper_scaled(FOOT, 12), PAPER_INCH);
    assert_int_equal(paper_scaled(1000 * MILLIMETRE, 50), 20 * MM);
    assert_int_equal(paper_scaled(-FOOT, 48), -PAPER_INCH / 4);
}

static void turned_groups_leave_marks_on_the_sheet(void **state)
{
    struct sheet *s = new_sheet();
    struct pen pen = {BLACK, NO_INK, LINE_NEW, DASH_NONE};
    (void)state;
    paper_turn(s, 10 * MM, 20 * MM, 90);
    paper_turn(s, 5 * MM, 0, 90);
    paper_line(s, 1 * MM, 0, 0, 2 * MM, pen);
    paper_text(s, 0, 0, (struct lettering){.caps = CAPS_WORDS, .degrees = 90}, "x");
    paper_unturn(s);
    paper_rect(s, (struct area){0, 0, 4 * MM, 1 * MM}, 0, pen);
    paper_unturn(s);
    const struct mark *m = s->marks.at;
    assert_int_equal(m[0].points[0].x, 9 * MM);
    assert_int_equal(m[0].points[0].y, 25 * MM);
    assert_int_equal(m[0].points[1].x, 10 * MM);
    assert_int_equal(m[0].points[1].y, 23 * MM);
    assert_int_equal(m[1].lettering.degrees, 270);
    assert_int_equal(m[2].box.left, 9 * MM);
    assert_int_equal(m[2].box.right, 10 * MM);
    assert_int_equal(m[2].box.bottom, 24 * MM);
}

static void corners_and_arcs_are_what_can_be(void **state)
{
    struct sheet *s = new_sheet();
    struct pen pen = {BLACK, NO_INK, LINE_NEW, DASH_NONE};
    (void)state;
    paper_rect(s, (struct area){0, 0, 20 * MM, 8 * MM}, 50 * MM, pen);
    paper_arc(s, 0, 0, MM, 300, 30, pen);
    paper_arc(s, 0, 0, MM, 0, 360, pen);
    assert_int_equal(s->marks.at[0].radius, 4 * MM);
    assert_int_equal(s->marks.at[1].to, 390);
    assert_int_equal(s->marks.at[2].to, 360);
}

/* The lines of a hatch lie in the shape and are, by length times distance, as much as its area. */
static void a_hatch_fills_its_shape(void **state)
{
    static const struct spot shape[] = {
        {0, 0},      {40 * MM, 0}, {40 * MM, 20 * MM}, {20 * MM, 20 * MM}, {20 * MM, 40 * MM},
        {0, 40 * MM}};
    (void)state;
    for (int degrees = 0; degrees < 180; degrees += 15) {
        struct sheet *s = new_sheet();
        double sum = 0;
        paper_hatch(s, shape, 6, MM / 10, degrees, (struct pen){BLACK, NO_INK, LINE_THIN, 0});
        for (uint32_t i = 0; i < s->marks.n; i++) {
            const struct spot *p = s->marks.at[i].points;
            double dx = (double)(p[1].x - p[0].x), dy = (double)(p[1].y - p[0].y);
            sum += __builtin_sqrt(dx * dx + dy * dy) / 10000;
            assert_true(p[0].x >= -2 && p[0].y >= -2 && p[0].x <= 40 * MM + 2);
            assert_false(p[0].x > 20 * MM + 2 && p[0].y > 20 * MM + 2);
        }
        assert_true(sum > 1188 && sum < 1212); /* square millimetres, of 1200 */
    }
}

static void lines_of_a_text_hold_all_its_words(void **state)
{
    struct sheet *s = new_sheet();
    struct lettering l = {.caps = CAPS_WORDS};
    const char *text = "one two  three Donaudampfschifffahrt\nfour";
    char joined[128] = "";
    (void)state;
    uint32_t rows = paper_write(s, 0, 0, 15 * MM, 4 * MM, l, text);
    assert_int_equal(rows, paper_rows(s, 15 * MM, l, text));
    assert_int_equal(rows, s->marks.n);
    for (uint32_t i = 0; i < rows; i++) {
        assert_true(s->marks.at[i].width <= 15 * MM);
        assert_int_equal(s->marks.at[i].at.y, i * 4 * MM);
        strcat(joined, s->marks.at[i].text);
    }
    char *to = joined;
    for (char *from = joined; *from; from++)
        if (*from != ' ')
            *to++ = *from;
    *to = '\0';
    assert_string_equal(joined, "onetwothreeDonaudampfschifffahrtfour");
}

/* A text that grows piece by piece takes the rows that all of it takes, whatever its words. */
static void growing_text_takes_its_rows(void **state)
{
    (void)state;
    struct sheet *s = new_sheet();
    const struct lettering l = {.caps = 2 * MM};
    uint64_t random = 7;
    for (int round = 0; round < 200; round++) {
        struct buf all = {0};
        struct paper_growing g = {.width = (10 + round % 50) * MM};
        for (int piece = 0; piece < 30; piece++) {
            size_t before = all.n;
            buf_puts(&all, piece ? "  \xc2\xb7  " : "");
            for (int words = 0; words < 4; words++) {
                random = random * 6364136223846793005u + 1442695040888963407u;
                for (unsigned k = 0; k <= (random >> 33) % (words % 3 ? 9 : 40); k++)
                    buf_puts(&all, k % 5 == 4 ? "\xc3\x84" : (random >> (k % 30)) & 1 ? "W" : "i");
                buf_puts(&all, words < 3 ? " " : "");
            }
            buf_text(&all);
            paper_grow(s, l, &g, all.at + before);
            assert_int_equal(g.rows, paper_rows(s, g.width, l, all.at));
        }
        buf_free(&all);
    }
}

static void what_is_hidden_is_not_drawn(void **state)
{
    struct sheet *s = new_sheet();
    (void)state;
    paper_text(s, 0, 0, (struct lettering){.caps = CAPS_WORDS}, "a\nb\x1b\xe2\x80\xae\xff");
    assert_string_equal(s->marks.at[0].text, "a b\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd");
    assert_int_equal(strlen(paper_cut(s, (struct lettering){.caps = CAPS_WORDS}, 0, "abc")), 3);
}

static const char *written(const struct sheet *s, bool alone)
{
    struct buf out = {0};
    svg_write(s, (struct svg_use){.alone = alone, .prefix = alone ? "" : "w1-"}, &out);
    const char *text = arena_copy(&arena, out.at, out.n);
    buf_free(&out);
    return text;
}

static void groups_are_closed_in_svg(void **state)
{
    struct sheet *s = new_sheet();
    struct pen pen = {BLACK, WHITE, LINE_NEW, DASH_LEG};
    (void)state;
    paper_begin(s, ROLE_SYMBOL, "studio.S1", "a \"switch\" <b>");
    paper_clip(s, (struct area){0, 0, MM, MM});
    paper_begin(s, ROLE_LABEL, "studio.S1", NULL);
    paper_circle(s, 0, 0, MM, pen);
    paper_end(s);
    paper_unclip(s);
    paper_end(s);
    paper_link(s, (struct area){0, 0, MM, MM}, "#studio.S1");
    const char *alone = written(s, true), *part = written(s, false);
    assert_non_null(
        strstr(alone, "width=\"279.4mm\" height=\"215.9mm\" viewBox=\"0 0 279.4 215.9\""));
    assert_non_null(strstr(alone, "<g id=\"studio.S1\" class=\"symbol\">"
                                  "<title>a &quot;switch&quot; &lt;b&gt;</title>"));
    assert_non_null(strstr(alone, "<g class=\"label\">")); /* an id is given once */
    assert_non_null(strstr(alone, "stroke-dasharray=\"2 1.5\""));
    assert_non_null(strstr(part, "id=\"w1-studio.S1\""));
    assert_non_null(strstr(part, "stroke=\"currentColor\""));
    assert_null(strstr(part, "#ffffff"));
    int open = 0;
    for (const char *p = alone; (p = strstr(p, "<g")); p++)
        open++;
    for (const char *p = alone; (p = strstr(p, "</g>")); p++)
        open--;
    assert_int_equal(open, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(widths_are_those_of_the_core_fonts, forget),
        cmocka_unit_test_teardown(a_text_that_fits_is_whole_characters, forget),
        cmocka_unit_test_teardown(scale_is_exact, forget),
        cmocka_unit_test_teardown(turned_groups_leave_marks_on_the_sheet, forget),
        cmocka_unit_test_teardown(corners_and_arcs_are_what_can_be, forget),
        cmocka_unit_test_teardown(a_hatch_fills_its_shape, forget),
        cmocka_unit_test_teardown(lines_of_a_text_hold_all_its_words, forget),
        cmocka_unit_test_teardown(growing_text_takes_its_rows, forget),
        cmocka_unit_test_teardown(what_is_hidden_is_not_drawn, forget),
        cmocka_unit_test_teardown(groups_are_closed_in_svg, forget),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
