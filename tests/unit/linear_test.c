/* Every stage, report and drawing, and the writing of sheets, is linear in the size of the plan, in
 * steps and in memory, whatever is in the plan. Each text is worked on at two sizes, one ten times
 * the other, and steps are counted (steps.h), in each stage and at each place in the code. Run from
 * the top of the tree.
 */
#include "base/file.h"
#include "base/json.h"
#include "book/book.h"
#include "cmd/cmd.h"
#include "compare/compare.h"
#include "cuts/cuts.h"
#include "emit/defaults.h"
#include "emit/dot/dot.h"
#include "emit/reports/reports.h"
#include "emit/sarif.h"
#include "emit/unchecked.h"
#include "facts/facts.h"
#include "fmt/fmt.h"
#include "framing/routes.h"
#include "loads/drops.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "log/log.h"
#include "model/finding.h"
#include "paper/pdf.h"
#include "paper/svg.h"
#include "prove/graph.h"
#include "prove/netlist.h"
#include "prove/prove.h"
#include "reading.h"
#include "resolve/embedded.h"
#include "rules/rules.h"
#include "sheets/sheets.h"
#include "steps.h"
#include "wiring/bores.h"
#include "wiring/bundles.h"
#include "wiring/makeup.h"
#include "wiring/protect.h"
#include "wiring/wiring.h"

#include <unistd.h>

/* Ten times the plan may take a stage thirteen times the steps: ten, and a logarithm. One place in
 * the code may be passed twenty times as often, where it is the middle of a sort; and bytes may be
 * twenty-five times as many, since lists grow by doubling. What is not done at all in a small plan
 * may be done some times for each thing of a large one: the floors are by thing. Where a chunk of
 * memory ends within a stage, what is left of it counts with that stage. Something square is far
 * above all of these. */
enum {
    TIMES = 10,
    MOST_TIMES = 13,
    MOST_TIMES_AT_A_PLACE = 20,
    MOST_TIMES_THE_BYTES = 25,
    FLOOR_STEPS = 1000,
    FLOOR_BYTES = 200,
    FLOOR_CHUNK = 1 << 17,
    FLOOR_AT_A_PLACE = 100
};

/* In a crowded drawing a word looks further for a free place, but never further than it may go;
 * names that are known fall into groups by their letters, and there are only so many groups. What
 * one word or name costs is bounded, and comes near to that only in plans that are too large for a
 * test. */
enum { STEPS_A_WORD = 400000 };
static const struct {
    const char *file, *function;
} bounded[] = {
    {"near.c", "distance"},   {"near.c", "more_bits"},  {"near.c", "too_far"},
    {"near.c", "try_groups"}, {"place_geometry.c", ""}, {"place_grid.c", ""},
    {"place_offers.c", ""},   {"place_search.c", ""},
};

/* --- what is measured --------------------------------------------------------------------- */

enum { MOST_ROWS = 200 };

struct row {
    char name[48];
    uint64_t steps, bytes;
    uint32_t words; /* of a drawing, each put where there is room */
};

struct measured {
    struct row rows[MOST_ROWS];
    uint32_t count;
    uint64_t steps, bytes; /* where the last row ended */
    uint32_t *places;      /* steps by place in the code */
};

static void measure_begin(struct measured *m)
{
    m->count = 0;
    m->bytes = 0;
    m->places = calloc(place_count(), sizeof *m->places);
    assert_non_null(m->places);
    steps_of_place = m->places;
    m->steps = steps;
}

static void measure_end(void)
{
    steps_of_place = NULL;
}

/* What was done since the last row is one of this name. */
static void measure(struct measured *m, const struct arena *arena, const char *name,
                    const char *kind)
{
    assert_true(m->count < MOST_ROWS);
    struct row *r = &m->rows[m->count++];
    snprintf(r->name, sizeof r->name, "%s%s%s", name, *kind ? " " : "", kind);
    r->steps = steps - m->steps;
    r->bytes = arena_used(arena) - m->bytes;
    m->steps = steps;
    m->bytes = arena_used(arena);
}

static uint32_t count_texts(const struct sheet *s)
{
    uint32_t words = 0;
    for (uint32_t i = 0; i < s->marks.n; i++)
        words += s->marks.at[i].kind == MARK_TEXT;
    return words;
}

static uint32_t count_words(struct buf *drawing)
{
    uint32_t words = 0;
    for (const char *p = buf_text(drawing); (p = strstr(p, "<text")); p++)
        words++;
    return words;
}

/* What was done since the last row is of no interest. */
static void measure_not(struct measured *m, const struct arena *arena)
{
    m->steps = steps;
    m->bytes = arena_used(arena);
}

/* --- what is wrong with it ---------------------------------------------------------------- */

/* Counts what grew too fast, and says it. `things`: how many there are in the larger one. */
static unsigned judge_rows(const char *what, const struct measured *small,
                           const struct measured *large, uint64_t things)
{
    unsigned bad = 0;
    assert_int_equal(small->count, large->count);
    for (uint32_t i = 0; i < large->count; i++) {
        const struct row *s = &small->rows[i], *l = &large->rows[i];
        assert_string_equal(s->name, l->name);
        if (l->steps >
                MOST_TIMES * s->steps + FLOOR_STEPS * things + (uint64_t)STEPS_A_WORD * l->words &&
            ++bad)
            fprintf(stderr, "%s, %s: %llu steps, and %llu where it is ten times as large\n", what,
                    l->name, (unsigned long long)s->steps, (unsigned long long)l->steps);
        if (l->bytes > MOST_TIMES_THE_BYTES * s->bytes + FLOOR_BYTES * things + FLOOR_CHUNK &&
            ++bad)
            fprintf(stderr, "%s, %s: %llu bytes, and %llu where it is ten times as large\n", what,
                    l->name, (unsigned long long)s->bytes, (unsigned long long)l->bytes);
    }
    return bad;
}

/* What a place in the code grew to. */
struct grown {
    size_t place;
    uint32_t small, large;
};

static bool has_grown(const struct measured *small, const struct measured *large, size_t i,
                      uint64_t things)
{
    return large->places[i] >
           (uint64_t)MOST_TIMES_AT_A_PLACE * small->places[i] + FLOOR_AT_A_PLACE * things;
}

static bool starts_with(const char *text, const char *start)
{
    return !strncmp(text, start, strlen(start));
}

static bool is_bounded(const char *function, const char *line)
{
    for (size_t i = 0; i < sizeof bounded / sizeof *bounded; i++)
        if (starts_with(line, bounded[i].file) && starts_with(function, bounded[i].function))
            return true;
    return false;
}

/* Counts the places, and says where in the sources they are, one of each function. */
static unsigned tell_places(const char *what, const struct grown *grown, unsigned count)
{
    unsigned bad = count;
    char command[1 << 16], function[200], line[300], before[200] = "";
    size_t n = (size_t)snprintf(command, sizeof command, "addr2line -fs -e /proc/%d/exe 2>&1",
                                (int)getpid());
    for (unsigned i = 0; i < count && n < sizeof command - 20; i++)
        n += (size_t)snprintf(command + n, sizeof command - n, " 0x%zx", grown[i].place - 1);
    FILE *tool = popen(command, "r");
    for (unsigned i = 0; tool && i < count && fgets(function, sizeof function, tool) &&
                         fgets(line, sizeof line, tool);
         i++) {
        if (is_bounded(function, line))
            bad--;
        else if (strcmp(function, before))
            fprintf(stderr, "%s: %u steps, and %u where it is ten times as large: %.*s in %s", what,
                    grown[i].small, grown[i].large, (int)strcspn(function, "\n"), function, line);
        strcpy(before, function);
    }
    if (tool)
        pclose(tool);
    return bad;
}

static unsigned judge_places(const char *what, const struct measured *small,
                             const struct measured *large, uint64_t things)
{
    enum { MOST_TOLD = 3000 };
    static struct grown grown[MOST_TOLD];
    unsigned bad = 0;
    for (size_t i = 0; i < place_count() && bad < MOST_TOLD; i++)
        if (has_grown(small, large, i, things))
            grown[bad++] = (struct grown){i, small->places[i], large->places[i]};
    return bad ? tell_places(what, grown, bad) : 0;
}

static unsigned judge(const char *what, struct measured *small, struct measured *large,
                      uint64_t things)
{
    unsigned bad =
        judge_rows(what, small, large, things) + judge_places(what, small, large, things);
    free(small->places);
    free(large->places);
    return bad;
}

/* --- reading ------------------------------------------------------------------------------ */

enum { SMALL_TEXT = 3000, LARGE_TEXT = 200000 };

/* A text of about `size` bytes: a head, a part many times, a tail. */
static void fill(struct buf *text, const char *head, const char *part, const char *tail,
                 size_t size)
{
    text->n = 0;
    buf_puts(text, head);
    while (text->n < size)
        buf_puts(text, part);
    buf_puts(text, tail);
}

static void measure_reading(struct measured *m, struct buf *text)
{
    struct reading r;
    struct buf out = {0};
    measure_begin(m);
    read_bytes(&r, buf_text(text), text->n);
    measure(m, &r.arena, "reading", "");
    diag_text(&r.diag, &out, (struct diag_style){0});
    measure(m, &r.arena, "findings", "text");
    diag_json(&r.diag, &out, (struct diag_style){0}, NULL, NULL);
    measure(m, &r.arena, "findings", "json");
    measure_end();
    done(&r);
    buf_free(&out);
}

static void reading_is_linear(void **state)
{
    (void)state;
    static const struct {
        const char *head, *part, *tail;
    } texts[] = {
        {"", "{", ""},
        {"", "}\n", ""},
        {"", "\"", ""},
        {"", "(", ""},
        {"", "->", ""},
        {"", ",", ""},
        {"", "a.", ""},
        {"", ";", ""},
        {"", "\x01", ""},
        {"1", " ", ""},
        {"", "1 ", ""},
        {"", "1' ", ""},
        {"", "a-", ""},
        {"", "foo\n", ""},
        {"", "foo bar { baz }\n", ""},
        {"", "a {\n{\n}\n", ""},
        {"", "x\n\t\t\t\t", ""},
        {"", "room a {\n  size 1' by 2'\n", ""},
        {"", "room a\n  size 1' by 2'\n}\n", ""},
        {"", "level a {\n  floor 9'\nx\n", ""},
        {"", "levle a { floor 9' }\n", ""},
        {"plan \"T\" {", "language 1;", "}"},
        {"circuit 1 {", "run a->b;", "breaker 20 A; breaker 20 A }"},
        {"circuit 1 { run a -> b ", "fished ", "}"},
        {"circuit 1 { run ", "a -> ", "b }"},
        {"circuit 1 {", "run a ->\nbreaker 20 A,\n", "}"},
        {"room a {", "corner 0',\n", "}"},
        {"room a { kind ", "x ", "}"},
        {"edition e { table t { ", "1,", "1 } }"},
        {"price ", "a ", "3"},
        {"leg a \"", "\\\\", "\""},
        {"room a {\n box R1 north at 1' {\n", "receptacle 5 W 6 W\n", "}\n}\n"},
    };
    struct buf text = {0};
    unsigned bad = 0;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct measured small, large;
        char what[80];
        snprintf(what, sizeof what, "%s%s...", texts[i].head, texts[i].part);
        fill(&text, texts[i].head, texts[i].part, texts[i].tail, SMALL_TEXT);
        measure_reading(&small, &text);
        fill(&text, texts[i].head, texts[i].part, texts[i].tail, TIMES * SMALL_TEXT);
        measure_reading(&large, &text);
        bad += judge(what, &small, &large, text.n / 20);
    }
    buf_free(&text);
    assert_int_equal(bad, 0);
}

/* --- writing ------------------------------------------------------------------------------ */

/* So many of each mark, a hundred on a sheet or all on one. */
static struct paper *many_marks(struct arena *arena, uint32_t count, bool one_sheet)
{
    struct paper *p = paper_new(arena, "many", NULL);
    struct pen pen = {BLACK, NO_INK, LINE_NEW, DASH_LEG};
    struct sheet *s = NULL;
    for (uint32_t i = 0; i < count; i++) {
        if (!s || (!one_sheet && i % 100 == 0))
            s = paper_sheet(p, arena_printf(arena, "W-%u", i), "Walls", "A wall", 200 * MM,
                            200 * MM);
        const char *name = arena_printf(arena, "room%u.R%u", i / 10, i);
        um x = i % 190 * MM, y = i / 190 % 190 * MM;
        struct lettering l = {.caps = CAPS_WORDS, .halo = 600, .bold = i % 2};
        paper_begin(s, ROLE_BOX, name, name);
        paper_clip(s, (struct area){x, y, x + MM, y + MM});
        paper_line(s, x, y, x + MM, y, pen);
        paper_circle(s, x, y, MM, pen);
        paper_unclip(s);
        paper_text(s, x, y, l, name);
        paper_end(s);
        paper_anchor(s, x, y, arena_printf(arena, "at%u", i));
        paper_link(s, (struct area){x, y, x + MM, y + MM},
                   arena_printf(arena, "#at%u", i * 7 % count));
    }
    return p;
}

static void measure_writing(struct measured *m, uint32_t count, bool one_sheet)
{
    struct arena arena = {0};
    struct buf out = {0};
    struct paper *p = many_marks(&arena, count, one_sheet);
    measure_begin(m);
    measure_not(m, &arena);
    for (uint32_t i = 0; i < p->sheets.n; i++)
        svg_write(p->sheets.at[i], (struct svg_use){.alone = true}, &out);
    measure(m, &arena, "written", "svg");
    assert_null(pdf_write(p, (struct pdf_use){"", PDF_NO_DATE}, &out));
    measure(m, &arena, "written", "pdf");
    measure_end();
    buf_free(&out);
    arena_free(&arena);
}

static void writing_is_linear(void **state)
{
    enum { MARKS = 500 };
    (void)state;
    unsigned bad = 0;
    for (int one_sheet = 0; one_sheet < 2; one_sheet++) {
        struct measured small, large;
        measure_writing(&small, MARKS, one_sheet);
        measure_writing(&large, TIMES * MARKS, one_sheet);
        bad += judge(one_sheet ? "marks of one sheet" : "marks of many sheets", &small, &large,
                     TIMES * MARKS);
    }
    assert_int_equal(bad, 0);
}

/* Limits are told once, and clearly. */
static void limits_once(void **state)
{
    (void)state;
    struct buf text = {0};
    struct reading r;
    fill(&text, "", "{", "", LARGE_TEXT);
    read_bytes(&r, buf_text(&text), text.n);
    assert_only(&r, "limit", "nested deeper");
    done(&r);
    fill(&text, "circuit 1 { run ", "a -> ", "b }", LARGE_TEXT);
    read_bytes(&r, buf_text(&text), text.n);
    assert_only(&r, "limit", "at most 512 values");
    done(&r);
    fill(&text, "price ", "a ", "3", LARGE_TEXT);
    read_bytes(&r, buf_text(&text), text.n);
    assert_only(&r, "limit", "more than 255 letters");
    done(&r);
    fill(&text, "level a { floor ", "1", "' }", LARGE_TEXT);
    read_bytes(&r, buf_text(&text), text.n);
    assert_true(finding_is(&r.diag.findings.at[0], "limit"));
    done(&r);
    buf_free(&text);
}

/* Tokens, statements and nodes of a plan as people write it take less than 25 bytes for a byte of
 * it, the language itself apart. */
static void memory(void **state)
{
    (void)state;
    struct buf plan = {0}, text = {0};
    struct reading r;
    assert_true(file_read(&plan, "examples/studio/studio.bay", 1 << 24));
    read_plan(&r, "");
    size_t language = r.arena.total;
    done(&r);
    fill(&text, "", buf_text(&plan), "", 1000000);
    read_bytes(&r, buf_text(&text), text.n);
    printf("%.1f bytes for a byte of the plan\n",
           (double)(r.arena.total - language) / (double)text.n);
    assert_true(r.arena.total - language < 25 * text.n);
    done(&r);
    buf_free(&plan);
    buf_free(&text);
}

/* --- the pipeline, stage by stage --------------------------------------------------------- */

static struct source *add_source(struct arena *arena, const char *path, const char *bytes,
                                 size_t size)
{
    struct source *s = arena_new(arena, struct source);
    *s = (struct source){.path = path, .bytes = bytes, .size = (uint32_t)size};
    return s;
}

static void load_library(struct compilation *c)
{
    c->diag.arena = c->names.arena = &c->arena;
    c->lib.diag = &c->diag;
    c->lib.names = &c->names;
    c->language = language_new(&c->arena, &c->names);
    struct node **files = arena_array(&c->arena, struct node *, embedded_stdlib_count);
    for (unsigned i = 0; i < embedded_stdlib_count; i++) {
        struct source *s =
            add_source(&c->arena, arena_printf(&c->arena, "stdlib/%s", embedded_stdlib[i].path),
                       (const char *)embedded_stdlib[i].bytes, embedded_stdlib[i].size);
        lex(&c->diag, s);
        files[i] = match_source(&c->diag, &c->names, &c->scratch, c->language, s, true);
    }
    library_add(&c->lib, files, embedded_stdlib_count, false);
}

/* A log in which every box is made up and every run is pulled. */
static struct source *write_log(struct compilation *c)
{
    struct buf b = {0};
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        buf_printf(&b, "2026-03-14 made-up %s\n",
                   address_of_box(&c->arena, c->model->boxes.at[i], false));
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        buf_printf(&b, "2026-03-15 pulled %s 12ft\n",
                   address_of_run(&c->arena, c->model->runs.at[i], false));
    struct source *log =
        add_source(&c->arena, "plan.log", arena_copy(&c->arena, b.at ? b.at : "", b.n), b.n);
    buf_free(&b);
    return log;
}

/* What the compiler does again where boxes take other room than they were set for. */
static bool set_wider_boxes(struct compilation *c)
{
    if (!wiring_widens_boxes(c->model, c->wiring))
        return false;
    diag_forget_looked(&c->diag);
    c->routes = route_runs(&c->arena, c->model, NULL);
    c->loads = loads_work_out(&c->arena, c->model);
    int *gauges = drop_gauges(&c->arena, c->model, c->routes);
    c->wiring = wire(&c->arena, c->model, c->routes, c->loads->asks, gauges);
    return true;
}

/* And where a bundle leaves too little to a cable that was chosen. */
static void lay_bundles(struct compilation *c)
{
    if (!bundles_lay(c->model, c->routes, c->wiring, c->bores, c->loads->asks))
        return;
    uint32_t *places = steps_of_place; /* it is measured where it is done the first time */
    uint64_t before = steps;
    steps_of_place = NULL;
    int *gauges = drop_gauges(&c->arena, c->model, c->routes);
    c->wiring = wire(&c->arena, c->model, c->routes, c->loads->asks, gauges);
    c->bores = bores_work_out(&c->arena, c->model, c->routes, c->wiring);
    steps_of_place = places;
    steps = before;
}

/* Larger cables may want larger boxes. */
static void set_larger_boxes(struct compilation *c)
{
    for (int i = 0; i < 3 && set_wider_boxes(c); i++) {
        c->bores = bores_work_out(&c->arena, c->model, c->routes, c->wiring);
        lay_bundles(c);
    }
}

/* As compile.c does it; the_stages_are_those_of_the_compiler holds the two together. */
static void compile_in_stages(struct compilation *c, const struct buf *text, bool with_log,
                              struct measured *m)
{
    memset(c, 0, sizeof *c);
    load_library(c);
    struct source *s =
        add_source(&c->arena, "plan.bay", arena_copy(&c->arena, text->at, text->n), text->n);
    measure_not(m, &c->arena);
#define STAGE(name, ...)                                                                           \
    __VA_ARGS__;                                                                                   \
    measure(m, &c->arena, name, "")
    STAGE("lex", lex(&c->diag, s));
    STAGE("layout, parse, match",
          struct node *file = match_source(&c->diag, &c->names, &c->scratch, c->language, s, true));
    STAGE("library", library_add(&c->lib, &file, 1, true));
    STAGE("build",
          c->model = model_build(&c->arena, &c->diag, &c->names, c->language, &c->lib, file));
    STAGE("facts", facts_work_out(c->model));
    STAGE("route", c->routes = route_runs(&c->arena, c->model, NULL));
    STAGE("loads", c->loads = loads_work_out(&c->arena, c->model));
    STAGE("gauges", int *gauges = drop_gauges(&c->arena, c->model, c->routes));
    STAGE("wire", c->wiring = wire(&c->arena, c->model, c->routes, c->loads->asks, gauges));
    STAGE("wider boxes", set_wider_boxes(c));
    STAGE("bores", c->bores = bores_work_out(&c->arena, c->model, c->routes, c->wiring));
    STAGE("bundles", lay_bundles(c));
    STAGE("larger boxes", set_larger_boxes(c));
    STAGE("make-up", c->makeup = wiring_make_up(&c->arena, c->model, c->wiring));
    STAGE("prove", c->verdict = prove(&c->arena, c->model, c->makeup));
    STAGE("panels", c->panels = panels_lay_out(&c->arena, c->model, c->loads));
    STAGE("drops",
          loads_find_drops(&c->arena, c->model, c->routes, c->wiring, c->panels, c->loads));
    STAGE("cuts", c->cuts = cuts_plan(&c->arena, c->model, c->routes, c->wiring, NULL, CUTS_QUICK));
    if (with_log) {
        struct source *log = write_log(c);
        measure_not(m, &c->arena);
        STAGE("log", c->log = log_read(&c->arena, c->model, c->routes, c->wiring, log));
    }
    STAGE("protect", c->protected = protect(&c->arena, c->model, c->routes, c->wiring));
    STAGE("openings", struct checked checked = compile_checked(c));
    STAGE("rules", rules_run(&checked));
    STAGE("printed tables", compile_ask_for_printed_tables(&c->model->code));
    STAGE("waivers", model_apply_waivers(c->model));
    STAGE("findings", diag_finish(&c->diag));
#undef STAGE
}

/* --- what is printed ---------------------------------------------------------------------- */

static void print_findings(struct compilation *c, bool sarif, struct measured *m)
{
    struct buf out = {0};
    diag_text(&c->diag, &out, (struct diag_style){0});
    buf_puts(&out, unchecked_words(&c->arena, &c->diag, c->verdict));
    measure(m, &c->arena, "check", "text");
    struct json json = json_begin(&out);
    json_begin_object(&json, JSON_LINES);
    defaults_json(c->model, c->wiring, &json);
    json_end(&json);
    diag_json(&c->diag, &out, (struct diag_style){0}, NULL, NULL);
    measure(m, &c->arena, "check", "json");
    if (sarif)
        sarif_write(&c->diag, "0", &out);
    measure(m, &c->arena, "check", "sarif");
    buf_free(&out);
}

/* All formats are made of the same rows: of one plan they are all measured. */
static void print_reports(const struct results *r, bool all_formats, struct measured *m)
{
    static const char *const formats[] = {[REPORT_TEXT] = "text",
                                          [REPORT_CSV] = "csv",
                                          [REPORT_JSON] = "json",
                                          [REPORT_MARKDOWN] = "md"};
    struct buf out = {0};
    struct results days = *r;
    days.day = 8 * 60 * 100;
    report_write(report_named("todo"), &days, REPORT_TEXT, &out);
    measure(m, r->arena, "todo", "days");
    for (uint32_t i = 0; i < report_count; i++)
        for (int format = REPORT_TEXT; format <= (all_formats ? REPORT_MARKDOWN : REPORT_TEXT);
             format++) {
            out.n = 0;
            report_write(&report_table[i], r, (enum report_format)format, &out);
            measure(m, r->arena, report_table[i].name, formats[format]);
        }
    buf_free(&out);
}

static void print_graphs(const struct results *r, struct measured *m)
{
    struct buf out = {0};
    for (uint32_t i = 0; i < dot_count; i++) {
        out.n = 0;
        dot_table[i].write(r, &out);
        measure(m, r->arena, "dot", dot_table[i].name);
    }
    buf_free(&out);
}

static void print_sheets(const struct results *r, struct measured *m)
{
    for (uint32_t i = 0; i < sheet_kind_count; i++) {
        const struct sheet_kind *kind = &sheet_kinds[i];
        const struct paper *p = sheets_make(r, PAPER_BY_USE, false, &kind, 1);
        measure(m, r->arena, "draw", kind->name);
        for (uint32_t k = 0; k < p->sheets.n; k++)
            m->rows[m->count - 1].words += count_texts(p->sheets.at[k]);
    }
}

static void print_book(const struct results *r, struct measured *m)
{
    struct buf out = {0};
    book_write_html(r, &out);
    measure(m, r->arena, "book", "html");
    m->rows[m->count - 1].words = count_words(&out);
    buf_free(&out);
}

static void print_proof(struct compilation *c, struct measured *m)
{
    struct buf out = {0};
    prove_verdict_print_failures(c->verdict, &c->arena, &out);
    measure(m, &c->arena, "prove", "");
    struct graph *g = graph_of(&c->arena, c->model, c->makeup);
    struct netlist_options options = {.ohm = arena_array(&c->arena, double, c->model->runs.n + 1),
                                      .at = arena_array(&c->arena, uint8_t, g->switches.n + 1)};
    netlist_write(&out, &c->arena, g, &options);
    measure(m, &c->arena, "netlist", "");
    buf_free(&out);
}

static void lay_out(const struct buf *text, struct measured *m)
{
    struct compilation c = {0};
    struct buf out = {0};
    load_library(&c);
    struct source *s = add_source(&c.arena, "plan.bay", text->at, text->n);
    measure_not(m, &c.arena);
    lex(&c.diag, s);
    match_source(&c.diag, &c.names, &c.scratch, c.language, s, false);
    diag_finish(&c.diag);
    fmt_source(&c.diag, &c.arena, s, &out);
    measure(m, &c.arena, "fmt", "");
    buf_free(&out);
    compile_free(&c);
}

static void compare_with(const struct results *now, const struct buf *before, struct measured *m)
{
    struct compilation c;
    struct measured unused;
    struct arena arena = {0};
    struct comparison comparison;
    struct buf out = {0};
    unused.count = 0;
    compile_in_stages(&c, before, false, &unused);
    struct results old;
    assert_true(cmd_results(&c, &old));
    measure_not(m, &arena);
    compare_plans(&arena, &old, now, &comparison);
    compare_text(&comparison, 100, &out);
    compare_json(&comparison, &out);
    measure(m, &arena, "compare", "");
    arena_free(&arena);
    compile_free(&c);
    buf_free(&out);
}

/* --- shapes of plans ---------------------------------------------------------------------- */

/* CHECK_ALONE: what no wall holds is a slip or a prank: it is told in linear time, and its reports
 * and drawings may take longer. SHEETS: all kinds of sheets are drawn of it; of one room that grows
 * without end the walls and floor plans take longer, as each of their parts looks at all of it.
 *
 * Left out is what comes in more than n pieces. A tree of runs over a site, or home runs from one
 * end of a hall, go through n^1.5 or n^2 studs. The search for the best cut list is no stage here:
 * it is bounded by its own steps (pack.h), and its first answer takes the pieces times the sorts of
 * coil. The
 * fingerprint of a SARIF finding is of all words of its line, so that n findings on one line take
 * n^2; events of the log that name rooms look through all runs; of the switches of a leg the
 * nearest is sought among all that are left, which shows from some hundreds of them on; and boxes
 * that overlap are told pair by pair, until there are as many findings as are kept (diag_test.c).
 */
enum { WITH_LOG = 1, NO_SARIF = 2, ALL_FORMATS = 4, CHECK_ALONE = 8, SHEETS = 16 };

static const struct shape {
    const char *name, *make;      /* `make`: the end of a command of awk, in which %u is the size */
    unsigned size, things, flags; /* things: boxes, or what else it has many of, by size */
} shapes[] = {
    {"houses", "-v ROOMS_A_PANEL=2 -v BOXES=%u -f tests/bench/plan.awk", 40, 1,
     WITH_LOG | ALL_FORMATS | SHEETS},
    {"rooms in a row", "-v ROOMS=%u -f tests/bench/row.awk", 15, 3, WITH_LOG},
    {"one room", "-v SHAPE=room -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"a chain", "-v SHAPE=chain -v N=%u -f tests/bench/shapes.awk", 30, 1, WITH_LOG},
    {"a star", "-v SHAPE=star -v N=%u -f tests/bench/shapes.awk", 20, 1, 0},
    {"legs of one circuit", "-v SHAPE=legs -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"lights of one leg", "-v SHAPE=lights -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"switches of one leg", "-v SHAPE=switches -v N=%u -f tests/bench/shapes.awk", 12, 2, 0},
    {"legs of a long room", "-v SHAPE=long-room -v N=%u -f tests/bench/shapes.awk", 30, 4, 0},
    {"chains of hops", "-v SHAPE=hops -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"one line", "-v SHAPE=line -v N=%u -f tests/bench/shapes.awk", 80, 1, NO_SARIF},
    {"units of a pattern", "-v SHAPE=units -v N=%u -f tests/bench/shapes.awk", 6, 7, 0},
    {"unknown names", "-v SHAPE=unknown -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"faults", "-v SHAPE=faults -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"comments", "-v SHAPE=comments -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"nesting", "-v SHAPE=nesting -v N=%u -f tests/bench/shapes.awk", 300, 1, 0},
    {"waivers", "-v SHAPE=waivers -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"boxes in one place", "-v SHAPE=place -v N=%u -f tests/bench/shapes.awk", 30, 1, CHECK_ALONE},
    {"old boxes in one place", "-v SHAPE=old-place -v N=%u -f tests/bench/shapes.awk", 30, 1,
     CHECK_ALONE},
    {"devices of one box", "-v SHAPE=devices -v N=%u -f tests/bench/shapes.awk", 30, 1,
     CHECK_ALONE},
    {"legs of one box", "-v SHAPE=legs-of-a-box -v N=%u -f tests/bench/shapes.awk", 30, 2,
     CHECK_ALONE},
    {"circuits of one box", "-v SHAPE=circuits-of-a-box -v N=%u -f tests/bench/shapes.awk", 30, 1,
     CHECK_ALONE},
    {"panels in a chain", "-v SHAPE=sub-panels -v N=%u -f tests/bench/shapes.awk", 100, 1, 0},
    {"windows that a cable passes", "-v SHAPE=windows-passed -v N=%u -f tests/bench/shapes.awk", 60,
     1, 0},
    {"ducts through one wall", "-v SHAPE=ducts -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
    {"windows of one wall", "-v SHAPE=windows -v N=%u -f tests/bench/shapes.awk", 30, 1, 0},
};

static void make_plan(const struct shape *shape, unsigned size, struct buf *text)
{
    char command[200] = "awk ", part[4096];
    snprintf(command + 4, sizeof command - 4, shape->make, size);
    FILE *tool = popen(command, "r");
    assert_non_null(tool);
    text->n = 0;
    for (size_t n; (n = fread(part, 1, sizeof part, tool)) > 0;)
        buf_add(text, part, n);
    assert_int_equal(pclose(tool), 0);
    assert_true(text->n > 0);
    buf_text(text);
}

/* A plan is compared with itself less a tenth. */
static void measure_plan(const struct shape *shape, unsigned size, struct measured *m)
{
    struct compilation c;
    struct buf text = {0}, before = {0};
    make_plan(shape, size, &text);
    make_plan(shape, size - size / 10, &before);
    measure_begin(m);
    compile_in_stages(&c, &text, shape->flags & WITH_LOG, m);
    print_findings(&c, !(shape->flags & NO_SARIF), m);
    struct results r;
    if (!(shape->flags & CHECK_ALONE)) {
        assert_true(cmd_results(&c, &r));
        measure(m, &c.arena, "what reports share", "");
        print_reports(&r, shape->flags & ALL_FORMATS, m);
        print_graphs(&r, m);
        if (shape->flags & SHEETS)
            print_sheets(&r, m);
        print_book(&r, m);
        print_proof(&c, m);
        compare_with(&r, &before, m);
    }
    lay_out(&text, m);
    measure_end();
    compile_free(&c);
    buf_free(&text);
    buf_free(&before);
}

static void everything_is_linear(void **state)
{
    (void)state;
    unsigned bad = 0;
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        struct measured small, large;
        measure_plan(&shapes[i], shapes[i].size, &small);
        measure_plan(&shapes[i], TIMES * shapes[i].size, &large);
        bad += judge(shapes[i].name, &small, &large,
                     (uint64_t)TIMES * shapes[i].size * shapes[i].things);
    }
    assert_int_equal(bad, 0);
}

static void compile_measured(struct compilation *c, const struct buf *text)
{
    char path[] = "/tmp/studbay-plan-XXXXXX";
    int fd = mkstemp(path);
    assert_true(fd >= 0);
    assert_int_equal(write(fd, text->at, text->n), (ssize_t)text->n);
    close(fd);
    compile(c, path, (struct compile_options){0});
    unlink(path);
    assert_false(c->io_failed);
}

/* The stages above are those of compile.c: they find the same and print the same. */
static void the_stages_are_those_of_the_compiler(void **state)
{
    (void)state;
    struct measured unused = {0};
    for (size_t i = 0; i < sizeof shapes / sizeof *shapes; i++) {
        struct compilation c, other;
        struct buf text = {0}, out = {0}, other_out = {0};
        make_plan(&shapes[i], shapes[i].size, &text);
        compile_in_stages(&c, &text, false, &unused);
        compile_measured(&other, &text);
        assert_int_equal(c.diag.findings.n, other.diag.findings.n);
        for (uint32_t k = 0; k < c.diag.findings.n; k++)
            assert_string_equal(c.diag.findings.at[k].message, other.diag.findings.at[k].message);
        struct results r, other_r;
        assert_true(cmd_results(&c, &r) && cmd_results(&other, &other_r));
        for (uint32_t k = 0; k < report_count; k++) {
            report_write(&report_table[k], &r, REPORT_JSON, &out);
            report_write(&report_table[k], &other_r, REPORT_JSON, &other_out);
        }
        assert_string_equal(buf_text(&out), buf_text(&other_out));
        unused.count = 0;
        compile_free(&c);
        compile_free(&other);
        buf_free(&text);
        buf_free(&out);
        buf_free(&other_out);
    }
}

int main(int argc, char **argv)
{
    (void)argc;
    settle_addresses(argv);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reading_is_linear),
        cmocka_unit_test(writing_is_linear),
        cmocka_unit_test(limits_once),
        cmocka_unit_test(memory),
        cmocka_unit_test(the_stages_are_those_of_the_compiler),
        cmocka_unit_test(everything_is_linear),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
