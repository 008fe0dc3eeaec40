/* Sheets as files: what -o, --format, --sheet, --paper and --dpi come to, links from file to file,
 * and that nothing half done is left. STUDBAY names the binary. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "hostile.h"
#include "base/arena.h"
#include "base/file.h"
#include "cmd/cmd.h"
#include "every_mark.h"
#include "paper/pdf.h"
#include "paper/svg.h"
#include "plans.h"
#include "sheets/sheets.h"

#include <glob.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#define STUDIO "examples/studio/studio.bay"

static char folder[] = "/tmp/studbay-draw-XXXXXX";
static struct arena arena;

static const char *in_folder(const char *name)
{
    return arena_printf(&arena, "%s/%s", folder, name);
}

static const char *text_of(const char *name)
{
    struct buf b = {0};
    assert_true(file_read(&b, in_folder(name), 1 << 26));
    const char *text = arena_copy(&arena, b.at ? b.at : "", b.n);
    buf_free(&b);
    return text;
}

/* Runs a command with $D for the folder; what it prints is in out and err there. */
static int shell(const char *command)
{
    const char *line = arena_printf(&arena, "D=%s; export D; { %s ; } >%s/out 2>%s/err", folder,
                                    command, folder, folder);
    int wait = system(line);
    return WIFEXITED(wait) ? WEXITSTATUS(wait) : -1;
}

static int draw(const char *arguments)
{
    return shell(arena_printf(&arena, "\"$STUDBAY\" draw %s", arguments));
}

static void assert_has(const char *text, const char *words)
{
    if (!strstr(text, words))
        fail_msg("no '%s' in:\n%s", words, text);
}

static unsigned files_in(const char *pattern)
{
    glob_t found;
    unsigned n = glob(in_folder(pattern), GLOB_PERIOD, NULL, &found) ? 0 : (unsigned)found.gl_pathc;
    globfree(&found);
    return n;
}

static bool is_there(const char *name)
{
    return access(in_folder(name), F_OK) == 0;
}

static bool begins(const char *name, const char *bytes)
{
    return !memcmp(text_of(name), bytes, strlen(bytes));
}

/* The studio has two panels, each with its card. */
static void the_name_says_what_is_written(void **state)
{
    (void)state;
    assert_int_equal(draw("directory " STUDIO " -o $D/x.pdf"), 0);
    assert_true(begins("x.pdf", "%PDF-"));
    assert_int_equal(draw("directory --sheet 2 " STUDIO " -o $D/x.svg"), 0);
    assert_true(begins("x.svg", "<svg "));
    assert_int_equal(draw("directory --sheet d-2 " STUDIO " -o $D/y.PNG"), 0);
    assert_true(begins("y.PNG", "\x89PNG"));
    assert_has(text_of("x.svg"), "<title>D-2: ");
    assert_int_equal(shell("\"$STUDBAY\" draw directory --format pdf " STUDIO " >$D/z && "
                           "cmp $D/z $D/x.pdf"),
                     0);
    assert_int_equal(draw("circuits --circuit P.18 " STUDIO " -o $D/c.dot"), 0);
    assert_true(begins("c.dot", "digraph "));
}

static void a_folder_has_a_file_for_each_sheet(void **state)
{
    (void)state;
    assert_int_equal(draw("directory " STUDIO " -o $D/new"), 0);
    assert_true(is_there("new/D-1.svg") && is_there("new/D-2.svg"));
    assert_int_equal(files_in("new/*"), 4); /* with . and .. */
    assert_int_equal(draw("directory --format png --dpi 30 " STUDIO " -o $D/new/"), 0);
    assert_true(begins("new/D-2.png", "\x89PNG"));
    assert_int_equal(shell("xmllint --noout $D/new/*.svg"), 0);
    assert_string_equal(text_of("err"), "");
}

/* A document made by hand, as a command writes it. */
static void write_by_hand(const char *output, const char *format, const char *sheet)
{
    struct compilation none = {0};
    struct invocation inv = {.arena = &arena, .output = in_folder(output)};
    inv.format = format;
    inv.sheet = sheet;
    assert_true(cmd_write_paper(&inv, &none, every_mark(&arena)));
}

/* Sheets one below the other in one picture: each once, none on another, links from one to another,
 * no id twice. */
static void one_picture_holds_all_sheets(void **state)
{
    (void)state;
    assert_int_equal(draw("plan " STUDIO " -o $D/all.svg"), 0);
    assert_int_equal(draw("plan " STUDIO " -o $D/each/"), 0);
    assert_int_equal(shell("xmllint --noout $D/all.svg"), 0);
    assert_int_equal(shell("test $(grep -c '^<svg y=' $D/all.svg) = $(ls $D/each | wc -l)"), 0);
    assert_int_equal(shell("grep -o ' id=\"[^\"]*\"' $D/all.svg | sort | uniq -d | grep ."), 1);
    assert_int_equal(shell("grep -o '^<title>E[0-9]*' $D/all.svg | sort -c"), 0);
    write_by_hand("column.svg", NULL, NULL);
    assert_has(text_of("column.svg"), "<a href=\"#W-2.hall.R2\">");
    assert_has(text_of("column.svg"), "id=\"W-2.hall.R2\"");
    assert_has(text_of("column.svg"), "<a href=\"#studio.S1\">");
    assert_null(strstr(text_of("column.svg"), "nowhere"));
}

static void links_lead_from_file_to_file(void **state)
{
    (void)state;
    write_by_hand("links", NULL, NULL);
    const char *one = text_of("links/W-1.svg"), *two = text_of("links/W-2.svg");
    assert_has(one, "<a href=\"W-2.svg#hall.R2\">");
    assert_has(one, "<a href=\"https://example.org/a?b=(1)\">");
    assert_null(strstr(one, "nowhere"));
    assert_null(strstr(one, "javascript"));
    assert_has(two, "<a href=\"W-1.svg#studio.S1\">");
    assert_has(two, "id=\"hall.R2\"");
    assert_has(one, "id=\"studio.S1\"");
    assert_true(is_there("links/E101.svg"));
    /* one sheet by itself leads to no file that is not there */
    write_by_hand("alone.svg", NULL, "w-1");
    assert_null(strstr(text_of("alone.svg"), "W-2.svg"));
}

static void the_paper_and_the_points_are_chosen(void **state)
{
    (void)state;
    assert_int_equal(draw("directory --paper a4 " STUDIO " -o $D/x.pdf"), 0);
    assert_int_equal(shell("pdfinfo $D/x.pdf"), 0);
    assert_has(text_of("out"), "841.89 x 595.276 pts (A4)");
    assert_int_equal(draw("directory --sheet 1 --dpi 100 " STUDIO " -o $D/x.png"), 0);
    /* width and height of a PNG, behind its first 16 bytes: 1100 and 850 */
    assert_memory_equal(text_of("x.png") + 16, "\0\0\x04\x4c\0\0\x03\x52", 8);
}

static void what_cannot_be_is_told(void **state)
{
    static const struct {
        const char *arguments, *says;
    } wrong[] = {
        {"directory --format png " STUDIO " -o $D/none.png",
         "these are 2 sheets and png holds one"},
        {"directory " STUDIO " -o $D/none.png", "--sheet D-1 for one"},
        {"directory --format pdf " STUDIO " -o $D/none.svg", "are two things: leave one out"},
        {"circuits --format dot " STUDIO " -o $D/none.svg", "are two things: leave one out"},
        {"directory --format pdf " STUDIO " -o $D/", "a PDF is one file"},
        {"directory --format dot " STUDIO " -o $D/none", "there is no format 'dot'"},
        {"directory --sheet D-3 " STUDIO " -o $D/none.svg", "there is no sheet 'D-3'"},
        {"directory --sheet 3 " STUDIO " -o $D/none.svg", "there is no sheet '3'"},
        {"directory --sheet 0 " STUDIO " -o $D/none.svg", "there is no sheet '0'"},
        {"directory --paper a5 " STUDIO " -o $D/none.pdf", "there is no paper 'a5'"},
        {"directory --dpi 0 --sheet 1 " STUDIO " -o $D/none.png", "--dpi wants points"},
        {"directory --dpi 1e3 --sheet 1 " STUDIO " -o $D/none.png", "--dpi wants points"},
        {"directory --dpi 100 " STUDIO " -o $D/none.pdf", "--dpi is for png"},
        {"circuits --format dot --paper a4 " STUDIO, "--paper is for sheets, and DOT is a text"},
        {"circuits --sheet 1 " STUDIO " -o $D/none.dot", "--sheet is for sheets, and DOT"},
        {"plan --format dot " STUDIO, "there is no format 'dot'"},
        {"plan " STUDIO " -o $D/none.dot", "ends in .svg, .png or .pdf"},
        {"plan " STUDIO " -o $D/none.xyz", "ends in .svg, .png or .pdf"},
        {"plan-power\\ plan-lights " STUDIO, "there is no drawing 'plan-power plan-lights'"},
        {"directry " STUDIO, "did you mean 'directory'"},
        {"directory --paper arch-d --dpi 1200 --sheet 1 " STUDIO " -o $D/none.png",
         "is a picture of 1244 million points, and 400 million are the most"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++) {
        if (draw(wrong[i].arguments) != 2)
            fail_msg("%s: not refused", wrong[i].arguments);
        assert_has(text_of("err"), wrong[i].says);
        assert_string_equal(text_of("out"), "");
        assert_int_equal(files_in("none*"), 0);
    }
}

static void a_program_that_is_missing_is_named(void **state)
{
    (void)state;
    assert_int_equal(
        shell("PATH=/nonexistent \"$STUDBAY\" draw directory --sheet 1 " STUDIO " -o $D/none.png"),
        2);
    assert_has(text_of("err"), "png needs poppler's program pdftoppm, which is not installed here; "
                               "svg and pdf work without it");
    assert_false(is_there("none.png"));
    assert_int_equal(shell("mkdir -p $D/bin; printf '#!/bin/sh\\nexit 3\\n' >$D/bin/pdftoppm; "
                           "chmod +x $D/bin/pdftoppm; PATH=$D/bin:$PATH \"$STUDBAY\" draw "
                           "directory " STUDIO " --format png -o $D/none/"),
                     2);
    assert_has(text_of("err"), "pdftoppm failed with exit status 3");
    assert_false(is_there("none"));
}

/* A file that cannot be written leaves those of the folder as they were. */
static void all_files_are_written_or_none(void **state)
{
    (void)state;
    assert_int_equal(shell("mkdir -p $D/half/D-2.svg; echo old >$D/half/D-1.svg"), 0);
    assert_int_equal(draw("directory " STUDIO " -o $D/half"), 2);
    assert_string_equal(text_of("half/D-1.svg"), "old\n");
    assert_int_equal(files_in("half/*"), 4);
}

static void a_plan_is_not_written_over(void **state)
{
    (void)state;
    assert_int_equal(shell("cp -r examples/studio $D/plan"), 0);
    assert_int_equal(shell("cp $D/plan/studio.bay $D/kept"), 0);
    assert_int_equal(draw("directory --format pdf $D/plan/studio.bay -o $D/plan/studio.bay"), 2);
    assert_has(text_of("err"), "it is not written over");
    assert_int_equal(shell("cmp $D/kept $D/plan/studio.bay"), 0);
}

static void a_date_is_written_where_one_is_set(void **state)
{
    (void)state;
    assert_int_equal(shell("SOURCE_DATE_EPOCH=1773446400 \"$STUDBAY\" draw directory " STUDIO
                           " -o $D/x.pdf && TZ=UTC pdfinfo $D/x.pdf"),
                     0);
    assert_has(text_of("out"), "CreationDate:    Sat Mar 14 00:00:00 2026 UTC");
    assert_int_equal(
        shell("SOURCE_DATE_EPOCH=soon \"$STUDBAY\" draw directory " STUDIO " -o $D/none.pdf"), 2);
    assert_has(text_of("err"), "SOURCE_DATE_EPOCH is 'soon'");
    assert_false(is_there("none.pdf"));
}

/* A space that is taken is none that is free: the card says so of each. */
static void the_door_card_tells_what_is_in_use(void **state)
{
    struct buf plan = {0};
    (void)state;
    buf_puts(&plan,
             "plan \"Card\" { edition nec-2023 }\nroom shed { kind workshop; size 14' by 10'\n"
             "box R1 west at 7' { receptacle-gfci } }\n"
             "panel P { in shed east at 7' up 5'; existing; main 60 A; spaces 12; "
             "taken 3 to 6 }\ncircuit P.2 { breaker 20 A; run P -> shed.R1 }\n");
    buf_text(&plan);
    assert_true(file_write(&plan, in_folder("card.bay")));
    buf_free(&plan);
    assert_int_equal(draw("directory $D/card.bay -o $D/card.svg"), 0);
    assert_int_equal(shell("test $(grep -c '>in use</text>' $D/card.svg) = 4"), 0);
}

/* --- what a plan says is hostile ------------------------------------------------------------- */

/* Every word of the sheet lies on it. */
static void assert_on_sheet(const struct sheet *s)
{
    for (uint32_t i = 0; i < s->marks.n; i++) {
        const struct mark *m = &s->marks.at[i];
        struct area a = paper_mark_area(m);
        if (m->kind == MARK_TEXT &&
            (a.left < 0 || a.top < 0 || a.right > s->width || a.bottom > s->height))
            fail_msg("%s: '%.60s' lies from %g, %g to %g, %g mm", s->number, m->text,
                     (double)a.left / 1000, (double)a.top / 1000, (double)a.right / 1000,
                     (double)a.bottom / 1000);
    }
}

/* Writes all sheets as SVG, hostile/0.svg and on, and as one PDF; their number. */
static uint32_t write_every_sheet(struct compilation *c)
{
    struct results r;
    const struct sheet_kind **kinds =
        arena_array(&arena, const struct sheet_kind *, sheet_kind_count);
    struct buf out = {0};
    assert_true(cmd_results(c, &r));
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        kinds[i] = &sheet_kinds[i];
    struct paper *p = sheets_make(&r, PAPER_BY_USE, false, kinds, sheet_kind_count);
    for (uint32_t i = 0; i < p->sheets.n; i++) {
        out.n = 0;
        assert_on_sheet(p->sheets.at[i]);
        svg_write(p->sheets.at[i], (struct svg_use){.alone = true}, &out);
        assert_true(file_write(&out, in_folder(arena_printf(&arena, "hostile/%u.svg", i))));
    }
    out.n = 0;
    const char *fault = pdf_write(p, (struct pdf_use){"", PDF_NO_DATE}, &out);
    if (fault)
        fail_msg("%s", fault);
    assert_true(file_write(&out, in_folder("hostile/x.pdf")));
    buf_free(&out);
    return p->sheets.n;
}

static void what_is_typed_stays_text_on_every_sheet(void **state)
{
    (void)state;
    struct buf wide = {0};
    buf_fill(&wide, 'W', 4000);
    const char *const hostile[] = {
        "</title></text></svg><script>alert(1)</script>\\\" onload=x ' ]]>--> &lt; &#60; %n",
        ") Tj ET Q endstream endobj \\\\ (( << /Type /Page >> % \xd7\x90\xd7\x91 \xe2\x80\x8f",
        "javascript:alert(1)", "\xf0\x9f\x98\x80\xe4\xb8\x80 $(id) `id` =1+1", buf_text(&wide)};
    assert_int_equal(shell("mkdir -p $D/hostile"), 0);
    for (size_t i = 0; i < sizeof hostile / sizeof *hostile; i++) {
        struct compilation c = {0};
        struct buf plan = {0};
        hostile_plan(&plan, hostile[i]);
        assert_true(file_write(&plan, in_folder("hostile.bay")));
        buf_free(&plan);
        compile(&c, in_folder("hostile.bay"), (struct compile_options){0});
        uint32_t count = write_every_sheet(&c);
        compile_free(&c);
        if (shell("xmllint --noout $D/hostile/*.svg") || *text_of("err"))
            fail_msg("%s", text_of("err"));
        assert_int_equal(shell("! grep -l '<script\\|<[^>]* onload=\\|href=\"javascript' "
                               "$D/hostile/*.svg"),
                         0);
        assert_int_equal(shell("pdfinfo $D/hostile/x.pdf && pdftotext $D/hostile/x.pdf $D/x.txt"),
                         0);
        assert_has(text_of("out"), arena_printf(&arena, "Pages:           %u\n", count));
        assert_string_equal(text_of("err"), "");
    }
    buf_free(&wide);
}

/* All that the sheets of a kind write. */
static void words_of(const struct sheet_kind *kind, struct compilation *c, struct buf *out)
{
    struct results r;
    if (!cmd_results(c, &r))
        return;
    struct paper *p = sheets_make(&r, PAPER_BY_USE, false, &kind, 1);
    for (uint32_t i = 0; i < p->sheets.n; i++)
        for (uint32_t k = 0; k < p->sheets.at[i]->marks.n; k++)
            if (p->sheets.at[i]->marks.at[k].kind == MARK_TEXT)
                buf_printf(out, "%s\n", p->sheets.at[i]->marks.at[k].text);
}

/* Whether the kind comes out otherwise where cuts are allotted as well as it goes. */
static bool hangs_on_cuts(const struct sheet_kind *kind, struct compilation *quick,
                          struct compilation *well)
{
    struct buf a = {0}, b = {0};
    words_of(kind, quick, &a);
    words_of(kind, well, &b);
    bool differs = strcmp(buf_text(&a), buf_text(&b)) != 0;
    buf_free(&a);
    buf_free(&b);
    return differs;
}

/* Else `draw` would tell of coils otherwise than `report cuts` does. */
static void kinds_that_hang_on_cuts_say_so(void **state)
{
    enum { PLANS = 12, BOXES = 20 };
    (void)state;
    bool seen = false;
    for (uint64_t seed = 1; seed <= PLANS; seed++) {
        struct plan_text text = {0};
        struct compilation quick = {0}, well = {0};
        plan_make(&text, PLAN_CLEAN, seed, BOXES);
        assert_true(plan_write(&text, folder));
        plan_free(&text);
        compile(&quick, in_folder("plan.bay"), (struct compile_options){0});
        compile(&well, in_folder("plan.bay"),
                (struct compile_options){.cut_steps = SOME_CUT_STEPS});
        for (uint32_t i = 0; i < sheet_kind_count && quick.model && well.model; i++) {
            if (!hangs_on_cuts(&sheet_kinds[i], &quick, &well))
                continue;
            if (!(sheet_kinds[i].in & WITH_CUTS))
                fail_msg("%s hangs on the allotment of cuts: WITH_CUTS", sheet_kinds[i].name);
            seen = true;
        }
        compile_free(&quick);
        compile_free(&well);
    }
    assert_true(seen);
}

static int set_up(void **state)
{
    (void)state;
    return getenv("STUDBAY") && mkdtemp(folder) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    char line[128];
    snprintf(line, sizeof line, "rm -rf %s", folder);
    arena_free(&arena);
    return system(line);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_name_says_what_is_written),
        cmocka_unit_test(a_folder_has_a_file_for_each_sheet),
        cmocka_unit_test(one_picture_holds_all_sheets),
        cmocka_unit_test(links_lead_from_file_to_file),
        cmocka_unit_test(the_paper_and_the_points_are_chosen),
        cmocka_unit_test(what_cannot_be_is_told),
        cmocka_unit_test(a_program_that_is_missing_is_named),
        cmocka_unit_test(all_files_are_written_or_none),
        cmocka_unit_test(a_plan_is_not_written_over),
        cmocka_unit_test(the_door_card_tells_what_is_in_use),
        cmocka_unit_test(what_is_typed_stays_text_on_every_sheet),
        cmocka_unit_test(kinds_that_hang_on_cuts_say_so),
        cmocka_unit_test(a_date_is_written_where_one_is_set),
    };
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
