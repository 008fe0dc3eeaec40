/* The job book: that it is whole, that every name leads to its place, that its figures are those of
 * the reports, and that nothing an author types does anything in it. */
#include "hostile.h"
#include "base/base64.h"
#include "book/book.h"
#include "book/html.h"
#include "cmd/cmd.h"
#include "compiled.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "base/file.h"
#include "log/log.h"
#include "markup.h"
#include "resolve/embedded.h"
#include "resolve/measure.h"

#include <sys/stat.h>
#include <sys/wait.h>

static const char *const examples[] = {
    "examples/studio/studio.bay",    "examples/studio/first-draft.bay",
    "examples/flats/flats.bay",      "examples/shed/boat-shed.bay",
    "examples/cellar/pottery.bay",   "examples/small/cellar.bay",
    "examples/small/old-box.bay",    "examples/small/protected-onward.bay",
    "examples/small/two-places.bay",
};
enum { EXAMPLES = sizeof examples / sizeof *examples };

/* A plan with its results and its book. */
struct made {
    struct compilation c;
    struct results r;
    struct buf page;
};

static void make_from(struct made *m)
{
    m->page = (struct buf){0};
    assert_true(cmd_results(&m->c, &m->r));
    book_write_html(&m->r, &m->page);
    buf_text(&m->page);
    struct buf why = {0};
    if (!markup_holds(&m->page, &why))
        fail_msg("%s", buf_text(&why));
}

static void make_example(struct made *m, const char *plan)
{
    compile(&m->c, plan, (struct compile_options){.library = plan_library()});
    assert_false(m->c.io_failed);
    make_from(m);
}

static void make_text(struct made *m, const char *plan)
{
    compile_text(&m->c, plan);
    make_from(m);
}

static void unmake(struct made *m)
{
    buf_free(&m->page);
    compile_free(&m->c);
}

static bool says(const struct made *m, const char *text)
{
    return strstr(m->page.at, text) != NULL;
}

static unsigned times(const char *page, const char *text)
{
    unsigned n = 0;
    for (const char *p = page; (p = strstr(p, text)); p += strlen(text))
        n++;
    return n;
}

/* The part of the page that begins with the id and ends before the next part of its kind. */
static char *part(const struct made *m, const char *element, const char *id)
{
    char begin[300], close[40];
    snprintf(begin, sizeof begin, " id=\"%s\"", id);
    snprintf(close, sizeof close, "</%s>", element);
    const char *at = strstr(m->page.at, begin), *end = at ? strstr(at, close) : NULL;
    if (!end)
        fail_msg("there is no %s %s", element, id);
    return strndup(at, (size_t)(end - at));
}

/* --- names -------------------------------------------------------------------------------- */

/* "studio.S1:L1" of "studio.S1 -> L1"; an end that the plan does not have is "?" there. */
static void run_id(const char *address, char *id)
{
    const char *arrow = strstr(address, " -> ");
    assert_non_null(arrow);
    sprintf(id, "%.*s:%s", (int)(arrow - address), address, arrow + 4);
    for (char *unknown; (unknown = strchr(id, '?'));)
        *unknown = '_';
}

static void every_thing_has_its_anchor(void **state)
{
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        struct made m;
        char id[400];
        make_example(&m, examples[i]);
        for (uint32_t k = 0; k < m.r.model->boxes.n; k++)
            if (view_built_box(&m.r, k))
                assert_true(markup_has_id(&m.page, view_built_box(&m.r, k)->address));
        for (uint32_t k = 0; k < m.r.model->runs.n; k++)
            if (view_built_run(&m.r, k)) {
                run_id(view_built_run(&m.r, k)->address, id);
                if (!markup_has_id(&m.page, id))
                    fail_msg("%s: no %s", examples[i], id);
            }
        for (uint32_t k = 0; k < m.r.model->circuits.n; k++) {
            const struct circuit *c = m.r.model->circuits.at[k];
            const char *address = address_of_circuit(&m.c.arena, c, false);
            snprintf(id, sizeof id, "%s", address);
            if (strchr(id, ' '))
                *strchr(id, ' ') = ':';
            if (!c->unit || c->unit->built)
                assert_true(markup_has_id(&m.page, id));
        }
        unmake(&m);
    }
}

/* Two cables between the same two boxes, and a room called as the book's own parts could be. */
static void names_that_meet_are_kept_apart(void **state)
{
    (void)state;
    struct made m;
    make_text(&m, "plan \"Shed\" { edition nec-2023 }\n"
                  "room index { kind workshop; size 14' by 10'\n"
                  "  box north south at 2' up 48\" { switch leg top; switch leg bottom }\n"
                  "  box L1 north at 7' up 78\" { wall-luminaire leg top 40 W; }\n"
                  "  box L2 overhead at 7', 5' { luminaire leg bottom 40 W }\n}\n"
                  "panel P { in index west at 3' up 5'; main 60 A; spaces 8 }\n"
                  "circuit P.1 { breaker 15 A\n run P -> index.north -> L1\n"
                  " run index.north -> L2 cable 14/2 + 14/2 }\n"
                  "low-voltage P { cable cat6\n run index.L1 -> L2 }\n");
    assert_true(markup_has_id(&m.page, "index"));
    assert_true(markup_has_id(&m.page, "index.north"));
    assert_true(markup_has_id(&m.page, "index:north"));
    assert_true(markup_has_id(&m.page, "index.north:L2"));
    assert_true(markup_has_id(&m.page, "index.north:L2:2"));
    assert_true(markup_has_id(&m.page, "index.L1:L2"));
    unmake(&m);
}

/* --- figures ------------------------------------------------------------------------------ */

static const struct cell *cell_of(const struct grid *t, uint32_t row, const char *name)
{
    return &t->cells.at[row * t->column_count + table_column(t, name)];
}

/* The text of the n-th figure of a card. */
static void figure(const char *card, unsigned n, char out[200])
{
    const char *p = card;
    for (unsigned i = 0; i <= n; i++) {
        p = strstr(p, "<dd>");
        assert_non_null(p);
        p += 4;
    }
    size_t at = 0;
    for (; strncmp(p, "</dd>", 5); p++) {
        bool inch = !strncmp(p, "&quot;", 6), foot = !strncmp(p, "&#39;", 5);
        out[at++] = inch ? '"' : foot ? '\'' : *p;
        p += inch ? 5 : foot ? 4 : 0;
    }
    out[at] = 0;
}

/* A length as people read it is the one of the data, to the 1/16" that it is rounded to at most. */
static void same_length(const char *words, const struct cell *cell)
{
    static struct arena arena;
    length l;
    assert_int_equal(cell->kind, CELL_LENGTH);
    if (!measure_length(&arena, words, &l))
        fail_msg("'%s' is no length", words);
    assert_near(length_inches(l), length_inches(cell->length), 0.0625 + 1e-9);
}

static void figures_are_those_of_the_report(void **state)
{
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        struct made m;
        struct report boxes = {.def = report_named("boxes")};
        unsigned on_walls = 0;
        make_example(&m, examples[i]);
        report_make(&m.r, &boxes);
        const struct grid *t = &boxes.rows;
        for (uint32_t k = 0; k < table_rows(t); k++) {
            char words[200], gangs[20];
            char *card = part(&m, "article", cell_of(t, k, "box")->text);
            bool wall = cell_of(t, k, "up_in")->kind == CELL_LENGTH &&
                        cell_of(t, k, "from_west_ft")->kind == CELL_NONE;
            on_walls += wall;
            figure(card, 0, words);
            same_length(words, cell_of(t, k, wall ? "from_left_ft" : "from_west_ft"));
            figure(card, 1, words);
            same_length(words, cell_of(t, k, wall ? "up_in" : "from_south_ft"));
            if (wall && cell_of(t, k, "gangs")->kind == CELL_INTEGER &&
                cell_of(t, k, "gangs")->integer) {
                figure(card, 2, words);
                snprintf(gangs, sizeof gangs, "%d-gang", (int)cell_of(t, k, "gangs")->integer);
                if (cell_of(t, k, "type")->text)
                    assert_string_equal(words, gangs);
            }
            if (wall && cell_of(t, k, "stud_side")->kind == CELL_TEXT) {
                figure(card, 3, words);
                if (cell_of(t, k, "stud_in")->length)
                    same_length(words, cell_of(t, k, "stud_in"));
                else
                    assert_string_equal(words, cell_of(t, k, "stud_side")->text);
            }
            free(card);
        }
        assert_true(on_walls > 0);
        unmake(&m);
    }
}

/* What is left on the job is what `todo` sums up, and the rooms add up to it. */
static void what_is_left_is_what_todo_says(void **state)
{
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        struct made m;
        struct report todo = {.def = report_named("todo")};
        unsigned sum = 0, rooms = 0;
        make_example(&m, examples[i]);
        report_make(&m.r, &todo);
        for (const char *p = todo.says; (p = strstr(p, " of ")); p += 4) {
            const char *n = p;
            while (n[-1] >= '0' && n[-1] <= '9')
                n--;
            sum += (unsigned)strtoul(n, NULL, 10);
        }
        for (const char *p = m.page.at; (p = strstr(p, "\"says\">")); p += 7)
            if (strstr(p, " left in this room") && strstr(p, " left in this room") < strstr(p, "<"))
                rooms += (unsigned)strtoul(p + 7, NULL, 10);
        const char *nowhere = strstr(m.page.at, " of them in no one room");
        while (nowhere && nowhere[-1] >= '0' && nowhere[-1] <= '9')
            nowhere--;
        rooms += nowhere ? (unsigned)strtoul(nowhere, NULL, 10) : 0;
        char all[60];
        snprintf(all, sizeof all, ">%u left on this job<", sum);
        assert_true(sum > 0 && says(&m, all));
        assert_int_equal(rooms, sum);
        unmake(&m);
    }
}

/* --- what a card says --------------------------------------------------------------------- */

static const char shed[] =
    "plan \"Shed\" { edition nec-2023 }\n"
    "room shed \"Garden shed\" { kind workshop; size 14' by 10'\n"
    "  box S1 south at 2' up 48\" { switch leg light; switch leg lamp }\n"
    "  box S2 south at 12' up 48\" { switch leg light }\n"
    "  box R1 west at 7' { receptacle-gfci }\n"
    "  box L1 overhead at 7', 5' { luminaire leg light 40 W }\n"
    "  box L2 overhead at 3', 5' { luminaire leg lamp 40 W }\n}\n"
    "panel P \"Panel\" { in shed east at 3' up 5'; main 60 A; spaces 8 }\n"
    "circuit P.1 \"Shed light\" { breaker 15 A; run P -> shed.S1 -> L1; run shed.S1 -> S2\n"
    "  run shed.S1 -> L2 }\n"
    "circuit P.2/4 \"Bench\" { breaker 20 A; run P -> shed.R1 }\n";

static void a_card_says_what_is_off_and_how_it_is_joined(void **state)
{
    (void)state;
    struct made m;
    char plan[sizeof shed];
    strcpy(plan, shed);
    memcpy(strstr(plan, "P.2/4"), "P.2  ", 5);
    make_text(&m, plan);
    char *card = part(&m, "article", "shed.S1");
    assert_non_null(strstr(card, "OFF: <a href=\"#P.1\">panel P, handle 1</a>"));
    assert_non_null(strstr(card, "15 A \xe2\x80\x9cShed light\xe2\x80\x9d"));
    assert_non_null(strstr(card, "<b>14/2 from P</b><span>home run"));
    assert_non_null(strstr(card, "<b>14/3 to S2</b>"));
    /* the gangs of a box are lettered from the left (common trade practice) */
    assert_non_null(strstr(card, "<b>a \xc2\xb7 three-way switch, leg light</b>"));
    assert_non_null(strstr(card, "<b>b \xc2\xb7 single-pole switch, leg lamp</b>"));
    assert_non_null(strstr(card, "<b>Ground, 4 + 2 tails</b>"));
    assert_non_null(strstr(card, "common: black to L1"));
    assert_non_null(strstr(card, "href=\"#shed:south\">Wall</a>"));
    assert_non_null(strstr(card, "href=\"#shed.S2\" aria-label=\"next box, shed.S2\""));
    free(card);
    assert_false(says(&m, "NOT TO BE BUILT FROM"));
    unmake(&m);
}

/* Nothing of a make-up that is not proven is printed, and each card says so. */
static void what_is_unproven_is_not_printed(void **state)
{
    (void)state;
    unsigned unproven = 0;
    for (int i = 0; i < EXAMPLES; i++) {
        struct made m;
        make_example(&m, examples[i]);
        for (uint32_t k = 0; k < m.r.model->boxes.n; k++) {
            const struct box_view *v = view_built_box(&m.r, k);
            if (!v || !v->unproven)
                continue;
            char *card = part(&m, "article", v->address);
            unproven++;
            assert_non_null(strstr(card, "Not proven, so not printed"));
            assert_null(strstr(card, "join:"));
            assert_null(strstr(card, " connector"));
            assert_null(strstr(card, "tail of"));
            free(card);
        }
        unmake(&m);
    }
    assert_true(unproven > 0);
}

/* A wall that something stands on is drawn, with the names of its boxes; what is on several walls
 * is drawn on its own. */
static void walls_are_drawn_in_their_place(void **state)
{
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        struct made m;
        make_example(&m, examples[i]);
        for (uint32_t k = 0; k < m.r.model->boxes.n; k++) {
            const struct box_view *v = view_built_box(&m.r, k);
            char id[300], call[100], measure[100];
            if (!v || !v->on_wall || !v->box->room->level)
                continue;
            snprintf(id, sizeof id, "%s:%s", v->room, v->wall);
            snprintf(call, sizeof call, ">%s ", v->box->name);
            snprintf(measure, sizeof measure, ">%s<", v->box->name);
            char *wall = part(&m, "ul", id);
            const char *svg = strstr(wall, "<svg ");
            if (!svg || !(strstr(svg, call) || strstr(svg, measure)))
                fail_msg("%s: %s is not drawn on %s", examples[i], v->address, id);
            free(wall);
        }
        unmake(&m);
    }
}

static void errors_stand_on_every_part(void **state)
{
    (void)state;
    struct made m;
    make_example(&m, "examples/studio/first-draft.bay");
    unsigned errors = m.r.diag->counts[ERROR], parts = times(m.page.at, "<article ") +
                                                       times(m.page.at, "<section class=\"room\"") +
                                                       times(m.page.at, "<section class=\"wall\"");
    char band[80];
    snprintf(band, sizeof band, "NOT TO BE BUILT FROM: %u errors", errors);
    assert_true(errors > 1 && times(m.page.at, band) >= parts);
    assert_int_equal(times(m.page.at, "<li class=\"finding error\">"), errors);
    unmake(&m);
    make_example(&m, "examples/studio/studio.bay");
    assert_true(says(&m, "Walls of the house itself are drawn only where new cable passes."));
    assert_int_equal(times(m.page.at, "<li class=\"finding waived\">"), m.r.diag->waived);
    assert_true(says(&m, "Not checked, as the plan does not show it"));
    unmake(&m);
    make_text(&m, "room shed { kind workshop; size 9' by 9' }\n"); /* no heading is empty */
    assert_true(says(&m, "<h1>A plan without a title</h1>"));
    assert_null(strstr(m.page.at, "></h"));
    unmake(&m);
}

/* --- the log ------------------------------------------------------------------------------ */

static char folder[] = "/tmp/studbay-book-XXXXXX";

/* Runs `$STUDBAY ARGUMENTS` in the folder's place $D; gives its status. */
static int run(const char *arguments)
{
    char line[500];
    snprintf(line, sizeof line, "D=%s; \"$STUDBAY\" %s >$D/out 2>$D/err", folder, arguments);
    int status = system(line);
    return WIFEXITED(status) ? WEXITSTATUS(status) : -1;
}

static bool shell(const char *command)
{
    char line[500];
    snprintf(line, sizeof line, "D=%s; %s", folder, command);
    return system(line) == 0;
}

static void write_file(const char *name, const char *text, size_t len)
{
    char path[100];
    struct buf b = {0};
    snprintf(path, sizeof path, "%s/%s", folder, name);
    buf_add(&b, text, len);
    assert_true(file_write(&b, path));
    buf_free(&b);
}

/* The book of the shed with a site log beside it. */
static void make_with_log(struct made *m, const char *log)
{
    char path[100];
    snprintf(path, sizeof path, "%s/shed.bay", folder);
    write_file("shed.bay", shed, strlen(shed));
    write_file("shed.log", log, strlen(log));
    make_example(m, path);
}

static void the_log_ticks_what_is_done(void **state)
{
    (void)state;
    struct made m;
    make_with_log(&m, "2026-03-14 set shed.S1\n2026-03-15 pulled P -> shed.S1 24'\n"
                      "2026-03-16 made-up shed.S2\n");
    char *one = part(&m, "article", "shed.S1"), *two = part(&m, "article", "shed.S2");
    assert_non_null(strstr(one, "data-tick=\"set:shed.S1\" checked disabled"));
    assert_non_null(strstr(one, "done by the log, 2026-03-14"));
    assert_non_null(strstr(one, "data-tick=\"pull:P:shed.S1\" checked disabled"));
    assert_non_null(strstr(one, "hangs there, 24&#39;"));
    assert_non_null(strstr(one, "data-tick=\"pull:shed.S1:L1\"><"));
    assert_non_null(strstr(one, "data-tick=\"join:shed.S1:0\"><"));
    assert_non_null(strstr(two, "data-tick=\"set:shed.S2\" checked disabled"));
    free(one);
    free(two);
    unmake(&m);
}

/* Photographs stand with their wall, as bytes of the page; those that show a finish alone do not.
 */
static void photographs_stand_with_their_wall(void **state)
{
    (void)state;
    static const char png[] = "\x89PNG\r\n\x1a\nrest", jpeg[] = "\xff\xd8\xff\xe0rest";
    struct made m;
    write_file("north open.png", png, sizeof png - 1);
    write_file("all.jpg", jpeg, sizeof jpeg - 1);
    write_file("text.jpg", "no picture", 10);
    make_with_log(&m, "2026-03-14 photo \"north open.png\" of shed north # <b>before</b>\n"
                      "2026-03-14 photo all.jpg of shed\n"
                      "2026-03-14 photo text.jpg of shed south\n"
                      "2026-03-14 photo none.jpg of shed south\n"
                      "2026-03-14 photo ../all.jpg of shed south\n"
                      "2026-03-14 photo /etc/hostname of shed south\n"
                      "2026-03-16 closed shed north\n"
                      "2026-03-17 photo all.jpg of shed north\n"
                      "2026-03-18 photo all.jpg of barn\n");
    assert_int_equal(findings_of(&m.c, "photo-missing"), 4);
    assert_int_equal(findings_of(&m.c, "photo-too-late"), 1);
    assert_int_equal(findings_of(&m.c, "log-entry-unknown"), 1);
    assert_int_equal(times(m.page.at, "<img "), 2);
    char *wall = part(&m, "section", "shed:north");
    assert_non_null(strstr(wall, "src=\"data:image/png;base64,iVBORw0KGgpyZXN0\""));
    assert_non_null(strstr(wall, "Garden shed, north wall, 2026-03-14: &lt;b&gt;before&lt;/b&gt;"));
    assert_true(says(&m, "src=\"data:image/jpeg;base64,/9j/4HJlc3Q=\""));
    free(wall);
    unmake(&m);
}

/* An event is checked as it is typed: what cannot be shown is refused. */
static void photographs_are_logged_when_they_are_there(void **state)
{
    (void)state;
    write_file("shed.bay", shed, strlen(shed));
    write_file("shed.log", "", 0);
    write_file("open wall 1.png", "\x89PNG\r\n\x1a\n", 8);
    assert_int_equal(run("log $D/shed.bay 2026-03-14 photo 'open wall 1.png' of shed north"), 0);
    assert_true(shell("grep -qx '2026-03-14 photo \"open wall 1.png\" of shed north' $D/shed.log"));
    assert_int_equal(run("log $D/shed.bay 2026-03-14 photo none.png of shed north"), EXIT_PLAN);
    assert_true(shell("grep -q 'none.png: No such file' $D/err"));
    assert_int_equal(run("log $D/shed.bay 2026-03-14 photo shed.bay of shed north"), EXIT_PLAN);
    assert_true(shell("grep -q 'no JPEG or PNG' $D/err"));
    assert_int_equal(run("log $D/shed.bay photo 'open wall 1.png' of shed up"), EXIT_PLAN);
    assert_int_equal(run("log $D/shed.bay photo 'open wall 1.png'"), EXIT_PLAN);
    assert_true(shell("head -c 9000000 /dev/zero >>\"$D/open wall 1.png\""));
    assert_int_equal(run("log $D/shed.bay photo 'open wall 1.png' of shed south"), EXIT_PLAN);
    assert_true(shell("grep -q 'larger than 8 MB' $D/err"));
    assert_int_equal(run("log $D/shed.bay not photo 'open wall 1.png' of shed north"), 0);
}

/* --- hostile text ------------------------------------------------------------------------- */

/* Markup, quotes, letters from the right, marks that turn what follows, a line's end (\n in a
 * plan's text), and what addresses and scripts could be made of. */
#define HOSTILE                                                                                    \
    "</title></style></script><script>alert(1)</script>\\\" onload=x '><img src=//a.b/c> "         \
    "&lt; &#60; javascript:x \\n\\\\ \xd7\x90\xd7\x91\xd7\x92 \xe2\x80\x8f]]>-->{{%s}}"

static void nothing_that_is_typed_is_done(void **state)
{
    (void)state;
    struct buf long_text = {0}, too_long = {0};
    buf_fill(&long_text, 'W', 4000);
    buf_fill(&too_long, 'W', 10000);
    const char *const hostile[] = {HOSTILE, buf_text(&long_text), buf_text(&too_long)};
    for (size_t i = 0; i < 3; i++) {
        struct made m;
        struct buf plan = {0};
        hostile_plan(&plan, hostile[i]);
        make_text(&m, plan.at); /* the markup holds: nothing typed became a part of it */
        buf_free(&plan);
        assert_int_equal(times(m.page.at, "<script"), 1);
        assert_int_equal(times(m.page.at, "<style"), 1);
        if (i == 0) {
            assert_null(finding_of(&m.c, "syntax", 0));
            assert_true(times(m.page.at, "&lt;/title&gt;&lt;/style&gt;") >= 14);
            assert_true(times(m.page.at, "<bdi>&lt;/title&gt;") >= 10);
            assert_true(says(&m, "&amp;lt; &amp;#60;"));
        }
        if (i == 1)
            assert_true(times(m.page.at, long_text.at) >= 14);
        unmake(&m);
    }
    buf_free(&long_text);
    buf_free(&too_long);
}

/* Bytes that are no text, as a library or a path could hold them, are shown as such. */
static void hidden_characters_are_shown_as_such(void **state)
{
    (void)state;
    struct buf b = {0};
    html_put(&b, "<p>%t</p>",
             "a\x1b[31m\x07\x7f\xff\xe2\x80\xae"
             "b\xc2\x85");
    assert_string_equal(buf_text(&b), "<p>a\xef\xbf\xbd[31m\xef\xbf\xbd\xef\xbf\xbd\xef\xbf\xbd"
                                      "\xef\xbf\xbd"
                                      "b\xef\xbf\xbd</p>");
    struct arena arena = {0};
    assert_string_equal(html_anchor(&arena, "a b\"<\n\xc3\xa9.S1:2~x"), "a_b_____.S1:2~x");
    arena_free(&arena);
    buf_free(&b);
}

/* --- the policy --------------------------------------------------------------------------- */

static void digest_of(const char *text, size_t len, struct buf *out)
{
    uint8_t digest[SHA256_BYTES];
    base64_sha256(text, len, digest);
    base64_add(out, digest, sizeof digest);
}

/* FIPS 180-4's examples (NIST, SHA256.pdf) for one and two blocks, and of a million letters; the
 * digest of nothing is that of the Secure Hash Standard's test files. RFC 4648, part 10. */
static void digests_are_those_that_are_published(void **state)
{
    (void)state;
    static const struct {
        const char *text;
        uint8_t first, last;
    } known[] = {
        {"", 0xe3, 0x55},
        {"abc", 0xba, 0xad},
        {"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", 0x24, 0xc1},
    };
    static const char *const encoded[][2] = {{"", ""},
                                             {"f", "Zg=="},
                                             {"fo", "Zm8="},
                                             {"foo", "Zm9v"},
                                             {"foob", "Zm9vYg=="},
                                             {"fooba", "Zm9vYmE="},
                                             {"foobar", "Zm9vYmFy"}};
    uint8_t digest[SHA256_BYTES];
    for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
        base64_sha256(known[i].text, strlen(known[i].text), digest);
        assert_int_equal(digest[0], known[i].first);
        assert_int_equal(digest[SHA256_BYTES - 1], known[i].last);
    }
    struct buf million = {0}, out = {0};
    buf_fill(&million, 'a', 1000000);
    digest_of(million.at, million.n, &out);
    assert_string_equal(buf_text(&out), "zcduXJkU+5KBocfihNc+Z/GAmkiklyAOBG05zMcRLNA=");
    for (size_t i = 0; i < sizeof encoded / sizeof *encoded; i++) {
        out.n = 0;
        base64_add(&out, encoded[i][0], strlen(encoded[i][0]));
        assert_string_equal(buf_text(&out), encoded[i][1]);
    }
    buf_free(&million);
    buf_free(&out);
}

/* What the policy lets through is what stands there, and nothing comes from anywhere else. */
static void the_policy_names_what_is_there(void **state)
{
    (void)state;
    struct made m;
    make_example(&m, "examples/small/two-places.bay");
    static const char *const raw[] = {"style", "script"};
    for (int i = 0; i < 2; i++) {
        char begin[20], end[20];
        struct buf hash = {0};
        snprintf(begin, sizeof begin, "<%s>", raw[i]);
        snprintf(end, sizeof end, "</%s>", raw[i]);
        const char *at = strstr(m.page.at, begin) + strlen(begin);
        buf_printf(&hash, "%s-src 'sha256-", raw[i]);
        digest_of(at, (size_t)(strstr(at, end) - at), &hash);
        buf_puts(&hash, "'");
        assert_true(says(&m, buf_text(&hash)));
        buf_free(&hash);
    }
    assert_true(says(&m, "default-src 'none'"));
    assert_false(says(&m, "unsafe"));
    assert_false(says(&m, "http:") || says(&m, "https:") || says(&m, "@import"));
    assert_int_equal(times(m.page.at, "url("), times(m.page.at, "url(#~"));
    unmake(&m);
}

/* --- as a whole --------------------------------------------------------------------------- */

static void the_command_writes_the_same_bytes_twice(void **state)
{
    (void)state;
    assert_int_equal(run("book examples/studio/studio.bay -o $D/one.html"), EXIT_FINE);
    assert_int_equal(run("book -o $D/two.html examples/studio/studio.bay"), EXIT_FINE);
    assert_true(shell("test -s $D/one.html && cmp $D/one.html $D/two.html && test ! -s $D/out"));
    assert_int_equal(run("book examples/studio/first-draft.bay -o $D/one.html"), EXIT_PLAN);
    assert_true(shell("grep -q 'NOT TO BE BUILT FROM' $D/one.html"));
}

static void the_command_refuses_what_it_cannot_write(void **state)
{
    (void)state;
    assert_int_equal(run("book examples/studio/studio.bay"), EXIT_USAGE);
    assert_int_equal(run("book -o $D/x.html"), EXIT_USAGE);
    assert_int_equal(run("book examples/studio/studio.bay -o $D/x.txt"), EXIT_USAGE);
    assert_int_equal(run("book examples/studio/studio.bay -o $D/none/x.html"), EXIT_USAGE);
    assert_int_equal(run("book examples/studio/studio.bay --job -o $D/x.html"), EXIT_USAGE);
    assert_int_equal(run("book examples/studio/studio.bay --sheets elevatio -o $D/x.pdf"),
                     EXIT_USAGE);
    assert_true(shell("grep -q \"did you mean 'elevation'\" $D/err && test ! -e $D/x.pdf"));
    assert_int_equal(run("book examples/studio/studio.bay --paper a9 -o $D/x.pdf"), EXIT_USAGE);
    assert_int_equal(run("book examples/studio/studio.bay --permit --sheets elevation -o $D/x.pdf"),
                     EXIT_USAGE);
    assert_true(shell("test ! -e $D/x.html && test ! -e $D/x.txt && grep -q '^studbay: ' $D/err"));
}

/* The whole set and parts of it, and a folder with all: each file the same as by itself. */
static void the_set_is_written_beside_the_page(void **state)
{
    (void)state;
    static const char plan[] = "examples/small/two-places.bay";
    char line[200];
    snprintf(line, sizeof line, "book %s -o $D/folder", plan);
    assert_int_equal(run(line), EXIT_FINE);
    snprintf(line, sizeof line, "book %s -o $D/set.pdf", plan);
    assert_int_equal(run(line), EXIT_FINE);
    snprintf(line, sizeof line, "book %s -o $D/page.html", plan);
    assert_int_equal(run(line), EXIT_FINE);
    snprintf(line, sizeof line, "draw labels %s -o $D/labels.pdf", plan);
    assert_int_equal(run(line), EXIT_FINE);
    assert_true(shell("cmp $D/folder/index.html $D/page.html && cmp $D/folder/labels.pdf "
                      "$D/labels.pdf"));
    /* labels are printed on paper of their own */
    assert_true(shell("n() { pdfinfo $1 | sed -n 's/^Pages: *//p'; }; test $(n $D/set.pdf) -eq "
                      "$(($(n $D/folder/sheets.pdf) + $(n $D/labels.pdf)))"));
    snprintf(line, sizeof line, "book %s -o $D/folder --job --sheets elevation,pulls", plan);
    assert_int_equal(run(line), EXIT_FINE);
    snprintf(line, sizeof line, "draw elevation %s -o $D/walls.pdf", plan);
    assert_int_equal(run(line), EXIT_FINE);
    assert_true(shell("test $(pdfinfo $D/folder/sheets.pdf | sed -n 's/^Pages: *//p') -gt "
                      "$(pdfinfo $D/walls.pdf | sed -n 's/^Pages: *//p')"));
    assert_true(shell("pdftotext $D/set.pdf - | grep -q 'Passage light'"));
}

/* A house of 300 boxes. */
static void a_large_house_makes_no_large_book(void **state)
{
    (void)state;
    assert_true(shell("awk -v BOXES=300 -f tests/bench/plan.awk >$D/house.bay"));
    assert_int_equal(run("book $D/house.bay -o $D/house.html"), EXIT_FINE);
    assert_true(shell("test $(wc -c <$D/house.html) -lt 2000000"));
    assert_int_equal(run("book $D/house.bay -o $D/house.pdf"), EXIT_FINE);
    assert_true(shell("test $(wc -c <$D/house.pdf) -lt 5000000"));
}

static int make_folder(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int remove_folder(void **state)
{
    (void)state;
    return shell("rm -rf $D") ? 0 : -1;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_thing_has_its_anchor),
        cmocka_unit_test(names_that_meet_are_kept_apart),
        cmocka_unit_test(figures_are_those_of_the_report),
        cmocka_unit_test(what_is_left_is_what_todo_says),
        cmocka_unit_test(a_card_says_what_is_off_and_how_it_is_joined),
        cmocka_unit_test(what_is_unproven_is_not_printed),
        cmocka_unit_test(walls_are_drawn_in_their_place),
        cmocka_unit_test(errors_stand_on_every_part),
        cmocka_unit_test(the_log_ticks_what_is_done),
        cmocka_unit_test(photographs_stand_with_their_wall),
        cmocka_unit_test(photographs_are_logged_when_they_are_there),
        cmocka_unit_test(nothing_that_is_typed_is_done),
        cmocka_unit_test(hidden_characters_are_shown_as_such),
        cmocka_unit_test(digests_are_those_that_are_published),
        cmocka_unit_test(the_policy_names_what_is_there),
        cmocka_unit_test(the_command_writes_the_same_bytes_twice),
        cmocka_unit_test(the_command_refuses_what_it_cannot_write),
        cmocka_unit_test(the_set_is_written_beside_the_page),
        cmocka_unit_test(a_large_house_makes_no_large_book),
    };
    return cmocka_run_group_tests(tests, make_folder, remove_folder);
}
