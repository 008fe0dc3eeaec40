/* The PDF of a document, as poppler reads it: its pages, faces, texts in their places, links and
 * outline; that it is the same twice; and that its picture is that of the SVG. */
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "base/buf.h"
#include "base/file.h"
#include "base/utf8.h"
#include "every_mark.h"
#include "paper/bidi.h"
#include "paper/pdf.h"
#include "paper/svg.h"
#include "paper/targets.h"

#include <locale.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static struct arena arena;
static char folder[] = "/tmp/studbay-pdf-XXXXXX";

static int forget(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

static const char *in_folder(const char *name)
{
    return arena_printf(&arena, "%s/%s", folder, name);
}

/* What a command prints. */
static char *printed(const char *format, ...)
{
    va_list args;
    va_start(args, format);
    char *command = arena_vprintf(&arena, format, args), bytes[4096];
    va_end(args);
    struct buf out = {0};
    FILE *pipe = popen(command, "r");
    assert_non_null(pipe);
    for (size_t n; (n = fread(bytes, 1, sizeof bytes, pipe));)
        buf_add(&out, bytes, n);
    int status = pclose(pipe);
    if (status)
        fail_msg("%s: status %d", command, status);
    char *text = arena_copy(&arena, out.at ? out.at : "", out.n);
    buf_free(&out);
    return text;
}

static const struct pdf_use undated = {.producer = "studbay 1", .date = PDF_NO_DATE};

static struct buf pdf_of(const struct paper *paper, struct pdf_use use)
{
    struct buf out = {0};
    const char *fault = pdf_write(paper, use, &out);
    if (fault)
        fail_msg("%s", fault);
    return out;
}

/* The document as a file; its path. */
static const char *pdf_file(const struct paper *paper)
{
    struct buf out = pdf_of(paper, undated);
    const char *path = in_folder("x.pdf");
    assert_true(file_write(&out, path));
    buf_free(&out);
    return path;
}

static void assert_has(const char *text, const char *words)
{
    if (!strstr(text, words))
        fail_msg("no '%s' in:\n%s", words, text);
}

static bool holds(const struct buf *b, const char *words)
{
    return memmem(b->at, b->n, words, strlen(words)) != NULL;
}

/* --- documents ------------------------------------------------------------------------------- */

static void pages_have_their_sizes(void **state)
{
    (void)state;
    const char *info = printed("pdfinfo -l 9 %s", pdf_file(every_mark(&arena)));
    assert_has(info, "Pages:           3\n");
    assert_has(info, "Page    1 size:  792 x 612 pts (letter)\n");
    assert_has(info, "Page    2 size:  792 x 1224 pts\n");
    assert_has(info, "Page    3 size:  2592 x 1728 pts\n");
    assert_has(info, "Title:           A \"plan\" (\\) <of> \xc3\x84 & \xe2\x86\x91\n");
    assert_has(info, "Author:          O'Neil\n");
    assert_has(info, "Producer:        studbay 1\n");
    assert_null(strstr(info, "Date"));
}

static void odd_sizes_are_kept(void **state)
{
    (void)state;
    struct paper *p = paper_new(&arena, "A4", NULL);
    paper_sheet(p, "1", NULL, "", 210 * MM, 297 * MM);
    paper_sheet(p, "2", NULL, "", 5000 * MM, 50 * MM);
    const char *info = printed("pdfinfo -l 2 %s", pdf_file(p));
    assert_has(info, "Page    1 size:  595.276 x 841.89 pts (A4)\n");
    assert_has(info, "Page    2 size:  14173.2 x 141.732 pts\n");
}

static void what_no_page_can_be_is_told(void **state)
{
    (void)state;
    struct buf out = {0};
    struct paper *p = paper_new(&arena, "", NULL);
    assert_string_equal(pdf_write(p, undated, &out), "there is no sheet to write");
    paper_sheet(p, "W-9", NULL, "", 6000 * MM, 50 * MM);
    assert_string_equal(pdf_write(p, undated, &out),
                        "sheet W-9 is larger or smaller than a page can be");
    assert_int_equal(out.n, 0);
}

static void both_faces_are_embedded_with_what_is_used(void **state)
{
    (void)state;
    const char *path = pdf_file(every_mark(&arena));
    unsigned embedded = 0;
    char *fonts = printed("pdffonts %s", path), *save;
    strtok_r(fonts, "\n", &save);
    strtok_r(NULL, "\n", &save);
    for (char *line; (line = strtok_r(NULL, "\n", &save)); embedded++) {
        assert_has(line, "+LiberationSans");
        assert_has(line, "CID TrueType      Identity-H       yes yes yes");
    }
    assert_int_equal(embedded, 2);
}

static void it_is_printed_as_large_as_it_is(void **state)
{
    (void)state;
    struct buf b = pdf_of(every_mark(&arena), undated);
    assert_true(holds(&b, "/PrintScaling /None"));
    assert_true(holds(&b, "/PageLabels"));
    assert_true(holds(&b, "<FEFF0057002D0031>")); /* W-1 */
    buf_free(&b);
}

static void it_is_the_same_everywhere(void **state)
{
    (void)state;
    char here[4096];
    struct buf one = pdf_of(every_mark(&arena), undated);
    assert_non_null(getcwd(here, sizeof here));
    assert_int_equal(chdir("/"), 0);
    setlocale(LC_ALL, "de_DE.UTF-8");
    setenv("TZ", "Asia/Kolkata", 1);
    struct buf two = pdf_of(every_mark(&arena), undated);
    struct buf day = pdf_of(every_mark(&arena), (struct pdf_use){"studbay 1", 1773446400});
    setlocale(LC_ALL, "C");
    unsetenv("TZ");
    assert_int_equal(chdir(here), 0);
    assert_int_equal(one.n, two.n);
    assert_memory_equal(one.at, two.at, one.n);
    assert_false(holds(&one, "Date"));
    assert_true(holds(&day, "/CreationDate (D:20260314000000Z"));
    buf_free(&one);
    buf_free(&two);
    buf_free(&day);
}

static unsigned times(const char *text, const char *words)
{
    unsigned n = 0;
    for (; (text = strstr(text, words)); text++)
        n++;
    return n;
}

static void links_lead_where_they_say(void **state)
{
    (void)state;
    const char *path = pdf_file(every_mark(&arena)),
               *pages = printed("pdftohtml -q -xml -i -stdout %s", path);
    assert_has(pages, "x.html#2\">from here");
    assert_has(pages, "https://example.org/a?b=(1)\">about here");
    assert_int_equal(times(pages, "href="), 3); /* what leads nowhere is none */
    struct buf b = {0};
    assert_true(file_read(&b, path, 1 << 24));
    assert_false(holds(&b, "javascript"));
    buf_free(&b);
}

static void the_outline_names_series_and_sheets(void **state)
{
    (void)state;
    const char *text = printed("pdftohtml -q -xml -i -stdout %s", pdf_file(every_mark(&arena)));
    const char *outline = strstr(text, "<outline>");
    assert_non_null(outline);
    static const char *const lines[] = {"<item page=\"1\">Walls</item>",
                                        "<outline>",
                                        "\">W-1  Studio, north wall</item>",
                                        "\">W-2  Hall, \xc3\x84st</item>",
                                        "</outline>",
                                        "<item page=\"3\">Power</item>",
                                        "<item page=\"3\">E101  Ground floor</item>"};
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
        const char *next = strstr(outline + 1, lines[i]);
        if (!next)
            fail_msg("no '%s' in order in:\n%s", lines[i], outline);
        outline = next;
    }
}

/* Nor is anything written that a page cannot hold. */
static void what_lies_beside_the_page_is_no_link(void **state)
{
    (void)state;
    const um far = 40000 * MM;
    struct paper *p = paper_new(&arena, "far", NULL);
    struct sheet *s = paper_sheet(p, "1", NULL, "far", 100 * MM, 100 * MM);
    struct pen pen = {BLACK, NO_INK, LINE_CUT, DASH_NONE};
    paper_anchor(s, -far, far, "far");
    paper_text(s, 10 * MM, 20 * MM, every_words, "near");
    paper_line(s, -far, -far, far, far, pen);
    paper_link(s, (struct area){-far, -far, far, far}, "#far");
    paper_link(s, (struct area){far, far, 2 * far, 2 * far}, "#far");
    const char *pages = printed("pdftohtml -q -xml -i -stdout %s", pdf_file(p));
    assert_has(pages, "x.html#1\">near");
    struct buf b = pdf_of(p, undated);
    const char *one = memmem(b.at, b.n, "/Annot\n", 7);
    assert_non_null(one);
    assert_null(memmem(one + 1, b.n - (size_t)(one + 1 - b.at), "/Annot\n", 7));
    buf_free(&b);
}

static void addresses_that_do_something_are_no_pages(void **state)
{
    static const char *const pages[] = {"https://example.org/x", "HTTP://example.org",
                                        "mailto:a@example.org",  "W-2.svg#studio.S1",
                                        "folder/a:b.html",       "?q=a:b"};
    static const char *const others[] = {
        "javascript:alert(1)", "  javascript:x",  "java\nscript:x",          "data:text/html,x",
        "file:///etc/passwd",  "//example.org/x", "\x01https://example.org", ""};
    (void)state;
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++)
        assert_true(target_is_page(pages[i]));
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        assert_false(target_is_page(others[i]));
}

/* --- texts ----------------------------------------------------------------------------------- */

/* What poppler's pdftotext tells of a word, in millimetres. */
struct word {
    double left, top, right, bottom;
};

/* The word in what pdftotext -bbox printed; it stands there once. */
static struct word word_in(const char *page, const char *text)
{
    struct word w;
    const char *at = strstr(page, arena_printf(&arena, "\">%s</word>", text));
    if (!at)
        fail_msg("no word %s", text);
    assert_null(strstr(at + 1, arena_printf(&arena, "\">%s</word>", text)));
    while (strncmp(at, "<word", 5))
        at--;
    assert_int_equal(sscanf(at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"",
                            &w.left, &w.top, &w.right, &w.bottom),
                     4);
    const double mm = 25.4 / 72;
    return (struct word){w.left * mm, w.top * mm, w.right * mm, w.bottom * mm};
}

static void assert_near(double is, double wanted, const char *what)
{
    if (fabs(is - wanted) > 0.2)
        fail_msg("%s: %.3f mm, not %.3f", what, is, wanted);
}

/* Where a mark's letters lie: from their ascent to their descent, 1854 and 434 of 2048 by the
 * face's hhea table. */
static struct word wanted_of(const struct sheet *s, const struct mark *m)
{
    double size = (double)fonts_size(s->paper->fonts, m->lettering.bold, m->lettering.caps) / 1000,
           width = (double)m->width / 1000, x = (double)m->at.x / 1000, y = (double)m->at.y / 1000,
           up = size * 1854 / 2048, down = size * 434 / 2048;
    double start = m->lettering.anchor == AT_MIDDLE ? -width / 2
                   : m->lettering.anchor == AT_END  ? -width
                                                    : 0;
    switch (m->lettering.degrees) {
    case 90:
        return (struct word){x - down, y + start, x + up, y + start + width};
    case -90:
        return (struct word){x - up, y - start - width, x + down, y - start};
    default:
        return (struct word){x + start, y - up, x + start + width, y + down};
    }
}

static uint32_t next_random(uint32_t *seed)
{
    return *seed = *seed * 1664525 + 1013904223;
}

/* Words of all sizes, in both faces, from all sides, pressed and not, each by itself. */
static void texts_lie_in_their_places(void **state)
{
    enum { COLUMNS = 5, ROWS = 20 };
    static const um caps[] = {CAPS_NOTE, CAPS_WORDS, CAPS_NAME, CAPS_TITLE};
    static const int turns[] = {0, 0, 90, -90};
    (void)state;
    uint32_t seed = 7;
    struct paper *p = paper_new(&arena, "words", NULL);
    struct sheet *s = paper_sheet(p, "1", NULL, "words", 36 * PAPER_INCH, 24 * PAPER_INCH);
    for (int i = 0; i < COLUMNS * ROWS; i++) {
        uint32_t r = next_random(&seed) >> 8;
        struct lettering l = {.caps = caps[r % 4],
                              .bold = r / 4 % 2,
                              .anchor = (enum anchor)(r / 8 % 3),
                              .degrees = turns[r / 32 % 4],
                              .halo = r / 128 % 2 ? 600 : 0,
                              .widest = r / 256 % 4 ? 0 : 12 * MM};
        um x = (80 + 170 * (i % COLUMNS)) * MM + r % 997,
           y = (30 + 29 * (i / COLUMNS)) * MM + r % 991;
        paper_text(s, x, y, l, arena_printf(&arena, "Wagyi%03d%.*s", i, (int)(r % 5), "AVfiTo"));
    }
    const char *page = printed("pdftotext -bbox %s -", pdf_file(p));
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        struct word is = word_in(page, m->text), wanted = wanted_of(s, m);
        assert_near(is.left, wanted.left, m->text);
        assert_near(is.right, wanted.right, m->text);
        assert_near(is.top, wanted.top, m->text);
        assert_near(is.bottom, wanted.bottom, m->text);
    }
}

/* What the face has no letter for is drawn as its empty box and copied as what it is. */
static void letters_that_the_face_has_not_are_kept(void **state)
{
    static const char text[] = "a\xe4\xb8\x80\xf0\x9f\x98\x80z";
    (void)state;
    struct paper *p = paper_new(&arena, text, NULL);
    struct sheet *s = paper_sheet(p, "1", NULL, text, 100 * MM, 50 * MM);
    paper_text(s, 10 * MM, 25 * MM, (struct lettering){.caps = CAPS_NUMBER}, text);
    const char *path = pdf_file(p), *page = printed("pdftotext -bbox %s -", path);
    struct word w = word_in(page, text);
    assert_near(w.right - w.left, (double)s->marks.at[0].width / 1000, text);
    assert_has(printed("pdfinfo %s", path), "Title:           a\xe4\xb8\x80\xf0\x9f\x98\x80z\n");
    /* half of the width is taken by two boxes; 20 px a cm */
    char *pixels =
        printed("pdftoppm -r 50.8 -gray %s | tail -c 20000 | tr -d '\\377' | wc -c", path);
    assert_true(atoi(pixels) > 60);
}

static const char *const hostile[] = {
    "<script>alert(1)</script>",
    "\"'`&amp;&#39;]]><!--",
    ") Tj ET Q endstream endobj (",
    "\\( \\) \\\\ <feff> << /Type /Page >> %",
    "BT /F1 12 Tf 0 0 Td (x) Tj ET",
    "tab\there newline\nthere return\rend",
    "escape \x1b[31m bell \x07 null-ish \x7f",
    "turned \xe2\x80\xae right to left \xe2\x81\xa6 isolate",
    "separators \xe2\x80\xa8 and \xe2\x80\xa9 end",
    "bad bytes \xff\xfe\xc0\xaf\xed\xa0\x80 end",
    "${HOME} $(id) `id` ; rm -rf /",
    "=1+1 @SUM(A1) +1 -1",
    "\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d shalom",
};
enum { HOSTILE = sizeof hostile / sizeof *hostile };

/* A text without what separates words, which pdftotext prints in its own way. */
static char *solid(const char *text)
{
    char *out = arena_copy(&arena, text, strlen(text)), *to = out;
    for (const char *p = out; *p; p++)
        if (!strchr(" \n\t\f\r", *p))
            *to++ = *p;
    *to = '\0';
    return out;
}

static void hostile_texts_are_texts(void **state)
{
    (void)state;
    for (int i = 0; i < HOSTILE; i++) {
        struct paper *p = paper_new(&arena, hostile[i], hostile[i]);
        struct sheet *s = paper_sheet(p, hostile[i], hostile[i], hostile[i], 210 * MM, 100 * MM);
        struct buf svg = {0};
        s->doc = hostile[i];
        paper_begin(s, ROLE_LABEL, hostile[i], hostile[i]);
        paper_text(s, 20 * MM, 50 * MM, (struct lettering){.caps = CAPS_WORDS, .widest = 150 * MM},
                   hostile[i]);
        paper_end(s);
        paper_link(s, (struct area){0, 0, MM, MM}, hostile[i]);
        paper_anchor(s, 0, 0, hostile[i]);
        const char *path = pdf_file(p), *tamed = solid(s->marks.at[0].text);
        if (i < HOSTILE - 1) /* what runs from the right has a test of its own */
            assert_string_equal(solid(printed("pdftotext -raw %s - 2>&1", path)), tamed);
        assert_has(printed("pdfinfo %s 2>&1", path), "Pages:           1\n");
        svg_write(s, (struct svg_use){.alone = true}, &svg);
        assert_true(file_write(&svg, in_folder("x.svg")));
        buf_free(&svg);
        assert_string_equal(
            solid(printed("xmllint --xpath 'string(//*[local-name()=\"text\"])' %s 2>&1",
                          in_folder("x.svg"))),
            tamed);
        assert_int_equal(atoi(printed("xmllint --xpath 'count(//*)' %s", in_folder("x.svg"))),
                         target_is_page(hostile[i]) ? 9 : 7);
    }
}

/* Letters stand as Unicode Standard Annex 9 orders them in a line that runs from left to right:
 * examples by its rules X1 to L4, written as they look from the left. */
static void texts_from_the_right_are_in_order(void **state)
{
    (void)state;
    static const struct {
        const char *typed, *seen;
    } cases[] = {
        {"shed 12", "shed 12"},
        {"\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d", "\xd7\x9d\xd7\x95\xd7\x9c\xd7\xa9"},
        {"S1 \xd7\xa9\xd7\x9c 48", "S1 48 \xd7\x9c\xd7\xa9"},
        {"\xd7\xa9\xd7\x9c 48 in", "48 \xd7\x9c\xd7\xa9 in"},
        {"(\xd7\xa9\xd7\x9c) x", "(\xd7\x9c\xd7\xa9) x"},
        {"a \xd7\xa9(\xd7\x9c\xd7\x95", "a \xd7\x95\xd7\x9c)\xd7\xa9"},
        {"\xd7\xa9 \xd7\x9c, P14", "\xd7\x9c \xd7\xa9, P14"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct bidi_line line = bidi_line_of(&arena, cases[i].typed);
        const char *p = cases[i].seen, *end = p + strlen(p);
        uint32_t n = 0;
        for (size_t len; p < end; p += len, n++)
            if (n >= line.count || utf8_next(p, end, &len) != line.letters[n])
                fail_msg("'%s': letter %u is not that of '%s'", cases[i].typed, n, cases[i].seen);
        assert_int_equal(n, line.count);
    }
}

/* Who copies such a text out of a PDF has it as it was typed: poppler turns it back. */
static void texts_from_the_right_are_read_as_typed(void **state)
{
    (void)state;
    static const char typed[] = "\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d \xd7\xa2\xd7\x95\xd7\x9c\xd7\x9d";
    struct paper *p = paper_new(&arena, typed, NULL);
    struct sheet *s = paper_sheet(p, "W-1", "Walls", "Wall", 210 * MM, 100 * MM);
    paper_text(s, 20 * MM, 50 * MM, (struct lettering){.caps = CAPS_WORDS}, typed);
    char *read = printed("pdftotext %s - 2>&1", pdf_file(p));
    for (char *m; (m = strstr(read, "\xe2\x80\xab")) || (m = strstr(read, "\xe2\x80\xac"));)
        memmove(m, m + 3, strlen(m + 3) + 1); /* marks of direction that poppler puts round it */
    assert_has(read, typed);
}

/* The words of a page together. */
static struct word all_words(const char *page)
{
    struct word all = {1e9, 1e9, 0, 0}, w;
    const double mm = 25.4 / 72;
    for (const char *at = page; (at = strstr(at, "<word")); at++) {
        assert_int_equal(sscanf(at, "<word xMin=\"%lf\" yMin=\"%lf\" xMax=\"%lf\" yMax=\"%lf\"",
                                &w.left, &w.top, &w.right, &w.bottom),
                         4);
        all = (struct word){fmin(all.left, w.left * mm), fmin(all.top, w.top * mm),
                            fmax(all.right, w.right * mm), fmax(all.bottom, w.bottom * mm)};
    }
    return all;
}

/* Nothing of a long text leaves the width that it was given, and nothing of it is lost. */
static void long_texts_stay_in_their_place(void **state)
{
    enum { LETTERS = 10000 };
    (void)state;
    char text[LETTERS + 1];
    for (int i = 0; i < LETTERS; i++)
        text[i] = (char)('a' + i * 7 % 26);
    text[LETTERS] = '\0';
    struct paper *p = paper_new(&arena, text, text);
    struct sheet *s = paper_sheet(p, "1", text, text, 210 * MM, 100 * MM);
    paper_text(s, 20 * MM, 50 * MM, (struct lettering){.caps = CAPS_WORDS, .widest = 150 * MM},
               text);
    const char *path = pdf_file(p);
    assert_string_equal(solid(printed("pdftotext -raw %s -", path)), text);
    struct word all = all_words(printed("pdftotext -bbox %s -", path));
    assert_near(all.left, 20, "the start");
    assert_near(all.right, 170, "the end");
}

/* There are fewer codes than letters in Unicode: those beyond are empty boxes. */
static void more_letters_than_codes_are_written(void **state)
{
    enum { LETTERS = 0x11000 };
    (void)state;
    struct buf text = {0};
    for (unsigned i = 0; i < LETTERS; i++) {
        unsigned c = 0x10000 + i;
        buf_printf(&text, "%c%c%c%c", 0xf0 | c >> 18, 0x80 | (c >> 12 & 0x3f),
                   0x80 | (c >> 6 & 0x3f), 0x80 | (c & 0x3f));
    }
    const char *all = arena_copy(&arena, text.at, text.n);
    struct paper *p = paper_new(&arena, all, NULL);
    struct sheet *s = paper_sheet(p, "1", NULL, all, 210 * MM, 100 * MM);
    paper_text(s, 20 * MM, 50 * MM, every_words, all);
    buf_free(&text);
    assert_has(printed("pdfinfo %s 2>&1", pdf_file(p)), "Pages:           1\n");
}

/* --- pictures -------------------------------------------------------------------------------- */

/* A picture in grey (PGM, P5). */
struct picture {
    int width, height;
    const unsigned char *at;
};

static struct picture read_picture(const char *path)
{
    struct buf b = {0};
    struct picture p;
    int head = 0, most;
    assert_true(file_read(&b, path, 1 << 28));
    const char *bytes = arena_copy(&arena, b.at, b.n);
    assert_int_equal(sscanf(bytes, "P5 %d %d %d%n", &p.width, &p.height, &most, &head), 3);
    p.at = (const unsigned char *)bytes + head + 1;
    assert_true(b.n >= (size_t)head + 1 + (size_t)p.width * (size_t)p.height);
    buf_free(&b);
    return p;
}

/* The share of what is dark in one picture and has nothing dark within a pixel in the other. */
static double share_without(const struct picture *a, const struct picture *b)
{
    enum { DARK = 96, LIGHT = 224 };
    long dark = 0, alone = 0;
    for (int y = 1; y < a->height - 1; y++)
        for (int x = 1; x < a->width - 1; x++) {
            if (a->at[y * a->width + x] > DARK)
                continue;
            bool near = false;
            for (int k = 0; k < 9 && !near; k++)
                near = b->at[(y + k / 3 - 1) * b->width + x + k % 3 - 1] < LIGHT;
            dark++;
            alone += !near;
        }
    assert_true(dark > 1000);
    return (double)alone / (double)dark;
}

/* Kerning is the one thing that two programs do otherwise: rsvg-convert does it, and passes over
 * what the SVG says of a text's length. */
static void the_pictures_of_both_writers_are_one(void **state)
{
    (void)state;
    struct paper *p = every_mark(&arena);
    struct buf svg = {0};
    svg_write(p->sheets.at[0], (struct svg_use){.alone = true}, &svg);
    assert_true(file_write(&svg, in_folder("x.svg")));
    buf_free(&svg);
    const char *pdf = pdf_file(p), *dir = folder;
    printed("pdftoppm -q -gray -r 150 -f 1 -l 1 -singlefile %s %s/a", pdf, dir);
    printed("rsvg-convert -f pdf -d 72 -p 72 -o %s/y.pdf %s/x.svg", dir, dir);
    printed("pdftoppm -q -gray -r 150 -singlefile %s/y.pdf %s/b", dir, dir);
    struct picture a = read_picture(in_folder("a.pgm")), b = read_picture(in_folder("b.pgm"));
    assert_int_equal(a.width, b.width);
    assert_int_equal(a.height, b.height);
    double lost = share_without(&a, &b), added = share_without(&b, &a);
    if (lost > 0.01 || added > 0.01)
        fail_msg("of the PDF %.4f is not in the SVG, of the SVG %.4f not in the PDF", lost, added);
}

/* --- sizes ----------------------------------------------------------------------------------- */

/* As much as the set of a house of 300 boxes may have: 150 sheets, 2,000 lines and 300 texts each.
 */
static void a_large_set_is_small(void **state)
{
    enum { SHEETS = 150, LINES = 2000, TEXTS = 300, MOST = 5000000 };
    (void)state;
    uint32_t seed = 3;
    struct paper *p = paper_new(&arena, "large", NULL);
    for (int i = 0; i < SHEETS; i++) {
        struct sheet *s = paper_sheet(p, arena_printf(&arena, "W-%d", i + 1), "Walls", "A wall",
                                      11 * PAPER_INCH, 17 * PAPER_INCH / 2);
        for (int k = 0; k < LINES; k++) {
            um x = (um)(next_random(&seed) >> 15), y = (um)(next_random(&seed) >> 15);
            paper_line(s, x, y, x, y + 40 * MM,
                       (struct pen){BLACK, NO_INK, k % 3 ? LINE_FRAMING : LINE_NEW, k % 2});
        }
        for (int k = 0; k < TEXTS; k++)
            paper_text(s, (um)(next_random(&seed) >> 15), (um)(next_random(&seed) >> 15),
                       (struct lettering){.caps = CAPS_WORDS, .bold = k % 2},
                       arena_printf(&arena, "Studio S%d, %d'-%d\"", k, k % 40, k % 12));
    }
    struct buf b = pdf_of(p, undated);
    if (b.n > MOST)
        fail_msg("%zu bytes", b.n);
    buf_free(&b);
}

static int set_up(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int tear_down(void **state)
{
    static const char *const names[] = {"x.pdf", "x.svg", "y.pdf", "a.pgm", "b.pgm"};
    (void)state;
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        unlink(in_folder(names[i]));
    arena_free(&arena);
    return rmdir(folder);
}

#define TEST(function) cmocka_unit_test_teardown(function, forget)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(pages_have_their_sizes),
        TEST(odd_sizes_are_kept),
        TEST(what_no_page_can_be_is_told),
        TEST(both_faces_are_embedded_with_what_is_used),
        TEST(it_is_printed_as_large_as_it_is),
        TEST(it_is_the_same_everywhere),
        TEST(links_lead_where_they_say),
        TEST(the_outline_names_series_and_sheets),
        TEST(what_lies_beside_the_page_is_no_link),
        TEST(addresses_that_do_something_are_no_pages),
        TEST(texts_lie_in_their_places),
        TEST(letters_that_the_face_has_not_are_kept),
        TEST(hostile_texts_are_texts),
        TEST(texts_from_the_right_are_in_order),
        TEST(texts_from_the_right_are_read_as_typed),
        TEST(long_texts_stay_in_their_place),
        TEST(more_letters_than_codes_are_written),
        TEST(the_pictures_of_both_writers_are_one),
        TEST(a_large_set_is_small),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
