/* A report in each of its formats: the table, with what stands above and below it. */
#include "emit/reports/reports.h"
#include "emit/words/circuits.h"

#include "base/json.h"
#include "diag/diag.h"
#include "diag/render.h"
#include "model/orders.h"

#include <string.h>

const struct report_def report_table[] = {
#define REPORT(name, function, wants_cuts, doc, caution) {name, doc, caution, function, wants_cuts},
#include "emit/reports/reports.def"
#undef REPORT
};
const uint32_t report_count = sizeof report_table / sizeof *report_table;

const struct report_def *report_named(const char *name)
{
    for (uint32_t i = 0; i < report_count; i++)
        if (!strcmp(report_table[i].name, name))
            return &report_table[i];
    return NULL;
}

bool report_tells_of_whole(const struct report_def *def)
{
    return def->fill == report_cuts || def->fill == report_materials || def->fill == report_trim ||
           def->fill == report_estimate;
}

const char *report_edition_words(const struct results *r)
{
    const struct edition *e = r->model->code.electrical, *home = r->model->code.residential;
    if (e && home)
        return arena_printf(r->arena, "%s, %s", e->label, home->label);
    return e ? e->label : home ? home->label : NULL;
}

/* "nec-2023, irc-2024": the same as a plan writes them. */
static const char *edition_names(const struct results *r)
{
    const struct edition *e = r->model->code.electrical, *home = r->model->code.residential;
    if (e && home)
        return arena_printf(r->arena, "%s, %s", e->name, home->name);
    return e ? e->name : home ? home->name : NULL;
}

/* The thing that a finding is about: what covers it besides, as its circuit, stands on further
 * lines. */
static const char *subject_of(const struct results *r, const struct finding *f)
{
    return f->subject ? arena_copy(r->arena, f->subject, strcspn(f->subject, "\n")) : NULL;
}

/* "voltage-drop, circuit P.18: ... because ...": the authority's consent is not the plan's to give.
 */
static const char *waiver_words(const struct results *r, const struct finding *f)
{
    struct buf why = {0};
    const char *subject = words_subject(r, f);
    finding_waiver(f, &why);
    const char *words =
        arena_printf(r->arena, "waived: %s%s%s: %s; because %s", f->rule->name, subject ? ", " : "",
                     subject ? subject : "", f->message, buf_text(&why));
    buf_free(&why);
    return words;
}

/* "amended: NEC 2023, voltage-drop, gfci-places; because ...". */
static const char *amendment_words(const struct results *r, const struct amendment *a)
{
    struct buf b = {0};
    buf_printf(&b, "amended: %s", a->edition->label);
    for (uint32_t i = 0; i < a->table_count; i++)
        buf_printf(&b, ", %s", a->tables[i]);
    buf_printf(&b, "; because %s", a->because);
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

/* "recalled: articles, lumber; ..." of the tables that the report reads and nobody compared. */
static void add_recalled(const struct results *r, struct report *report)
{
    struct buf b = {0};
    report->recalled =
        code_recalled(&r->model->code, report->def->name, false, &report->recalled_count);
    for (uint32_t i = 0; i < report->recalled_count; i++)
        buf_printf(&b, "%s%s", i ? ", " : "recalled: ", report->recalled[i]);
    if (b.n) {
        buf_puts(&b, "; written from memory, not compared with a book");
        *vec_push(r->arena, &report->exceptions) = arena_copy(r->arena, buf_text(&b), b.n);
    }
    buf_free(&b);
}

/* "not known of NEC 2026, ...: dryer-demand (Table 120.54 for 6 to 42 dryers); ..." of the tables
 * that the report reads and no published page told of. */
static void add_unknown(const struct results *r, struct report *report)
{
    struct code *code = &r->model->code;
    struct buf b = {0};
    report->unknown = code_unknown(code, report->def->name, false, &report->unknown_count);
    for (uint32_t i = 0; i < report->unknown_count; i++)
        buf_printf(&b, "%s%s", i ? "; " : "", report->unknown[i]);
    if (b.n)
        *vec_push(r->arena, &report->exceptions) =
            arena_printf(r->arena, "not known of %s, so by the edition before: %s",
                         code->electrical->label, buf_text(&b));
    buf_free(&b);
}

/* What was changed of the books, what was let stand, and what nobody compared with them: said under
 * every report. */
static void add_exceptions(const struct results *r, struct report *report)
{
    const struct model *m = r->model;
    for (uint32_t i = 0; i < m->amendments.n; i++)
        *vec_push(r->arena, &report->exceptions) = amendment_words(r, &m->amendments.at[i]);
    for (uint32_t i = 0; i < r->diag->findings.n; i++)
        if (r->diag->findings.at[i].waived)
            *vec_push(r->arena, &report->exceptions) = waiver_words(r, &r->diag->findings.at[i]);
    add_recalled(r, report);
    add_unknown(r, report);
}

/* Said where the plan has errors: what is built on them may be wrong or missing. */
static const char *error_words(const struct results *r)
{
    uint32_t n = r->diag->counts[ERROR];
    if (!n)
        return NULL;
    return arena_printf(r->arena,
                        "The plan has %u error%s: what is built on %s may be wrong or missing "
                        "here. Nothing is to be built from it as it stands.",
                        n, n == 1 ? "" : "s", n == 1 ? "it" : "them");
}

/* --- JSON --------------------------------------------------------------------------------- */

static void json_waivers(struct json *j, const struct results *r)
{
    json_key(j, "waivers");
    json_begin_array(j, JSON_LINES);
    for (uint32_t i = 0; i < r->diag->findings.n; i++) {
        const struct finding *f = &r->diag->findings.at[i];
        if (!f->waived)
            continue;
        json_begin_object(j, JSON_ROW);
        json_string_member(j, "rule", f->rule->name);
        json_string_member(j, "subject", subject_of(r, f));
        json_string_member(j, "message", f->message);
        diag_json_consent(j, f);
        json_end(j);
    }
    json_end(j);
}

static void json_amendments(struct json *j, const struct model *m)
{
    json_key(j, "amendments");
    json_begin_array(j, JSON_LINES);
    for (uint32_t i = 0; i < m->amendments.n; i++) {
        const struct amendment *a = &m->amendments.at[i];
        json_begin_object(j, JSON_ROW);
        json_string_member(j, "edition", a->edition->name);
        json_texts_member(j, "tables", a->tables, a->table_count);
        json_string_member(j, "because", a->because);
        json_end(j);
    }
    json_end(j);
}

static void write_json(const struct report *report, const struct results *r, struct buf *out)
{
    struct json j = json_begin(out);
    json_begin_object(&j, JSON_LINES);
    json_string_member(&j, "report", report->def->name);
    json_string_member(&j, "plan", r->model->title);
    json_string_member(&j, "edition", edition_names(r));
    json_integer_member(&j, "errors", r->diag->counts[ERROR]);
    json_waivers(&j, r);
    json_amendments(&j, r->model);
    if (report->recalled_count)
        json_texts_member(&j, "recalled", report->recalled, report->recalled_count);
    if (report->unknown_count)
        json_texts_member(&j, "unknown", report->unknown, report->unknown_count);
    if (report->says)
        json_string_member(&j, "says", report->says);
    json_texts_member(&j, "notes", report->notes.at, report->notes.n);
    json_key(&j, "rows");
    table_json(&report->rows, &j);
    if (report->totals.column_count) {
        json_key(&j, "totals");
        if (report->one_total)
            table_json_row(&report->totals, 0, &j);
        else
            table_json(&report->totals, &j);
    }
    json_end(&j);
    buf_putc(out, '\n');
}

/* --- text and Markdown -------------------------------------------------------------------- */

struct grid *report_part(const struct results *r, struct report *report, const char *title,
                         const struct column *columns, uint32_t column_count)
{
    struct report_part *part = vec_push(r->arena, &report->parts);
    part->title = title;
    table_begin(&part->grid, r->arena, columns, column_count);
    return &part->grid;
}

/* Of prose: a line that is too long is hard to read. */
static void put_paragraph(struct page_text *text, const char *words, unsigned hang)
{
    unsigned width = text->width < REPORT_WIDTH ? text->width : REPORT_WIDTH;
    table_print_paragraph(text->out, words, width, hang);
}

static void text_table(struct page_text *text, const char *title, const struct grid *grid)
{
    if (!table_rows(grid))
        return;
    pages_mark(text, title ? PAGE_HEAD : PAGE_FREE);
    if (title)
        put_paragraph(text, title, 0);
    buf_puts(text->out, title ? "\n" : "");
    table_pages(grid, text);
    pages_mark(text, PAGE_FREE);
    buf_putc(text->out, '\n');
}

/* The sums first, then the rows; or what the report has for people in their place. */
static void text_tables(const struct report *report, struct page_text *text)
{
    size_t before = text->out->n;
    for (uint32_t i = 0; i < report->parts.n; i++)
        text_table(text, report->parts.at[i].title, &report->parts.at[i].grid);
    if (!report->parts.n)
        text_table(text, NULL, &report->totals);
    if (report->people) {
        report->people(&report->rows, false, text);
        pages_mark(text, PAGE_FREE);
        buf_putc(text->out, '\n');
    } else if (!report->parts.n) {
        text_table(text, NULL, &report->rows);
    }
    if (text->out->n == before)
        buf_puts(text->out, "Nothing to list.\n\n");
}

static void text_note(struct page_text *text, const char *words, unsigned hang)
{
    pages_mark(text, PAGE_FREE);
    put_paragraph(text, words, hang);
}

/* "Carriage-house studio, NEC 2023, IRC 2024". */
static const char *title_words(const struct results *r)
{
    const char *edition = report_edition_words(r), *title = r->model->title;
    return *title ? arena_printf(r->arena, "%s%s%s", title, edition ? ", " : "",
                                 edition ? edition : "")
                  : edition;
}

static void text_begin(const struct report *report, const struct results *r, struct page_text *text)
{
    const char *title = title_words(r), *errors = error_words(r);
    put_paragraph(text, arena_printf(r->arena, "%s: %s", report->def->name, report->def->doc), 0);
    if (title)
        put_paragraph(text, title, 0);
    if (errors)
        put_paragraph(text, errors, 0);
    if (report->says)
        put_paragraph(text, report->says, 0);
    buf_putc(text->out, '\n');
}

static void write_text(const struct report *report, const struct results *r, struct buf *out)
{
    struct buf whole = {0};
    struct page_text text = {.arena = r->arena,
                             .out = r->page_lines ? &whole : out,
                             .width = r->width ? r->width : REPORT_WIDTH};
    text_begin(report, r, &text);
    text_tables(report, &text);
    for (uint32_t i = 0; i < report->notes.n; i++)
        text_note(&text, report->notes.at[i], 2);
    for (uint32_t i = 0; i < report->exceptions.n; i++)
        text_note(&text, report->exceptions.at[i], 2);
    text_note(&text, report->def->caution, 0);
    if (r->page_lines)
        pages_print(&text,
                    arena_printf(r->arena, "%s%s%s", report->def->name,
                                 *r->model->title ? ": " : "", r->model->title),
                    r->page_lines, out);
    buf_free(&whole);
}

/* The beginning of a list or of a block of code would make one of the paragraph. */
static void markdown_paragraph(struct buf *out, const char *text)
{
    text += strspn(text, " \t");
    size_t figures = strspn(text, "0123456789");
    bool numbered = figures && text[figures] && strchr(".)", text[figures]) &&
                    (!text[figures + 1] || strchr(" \t\n", text[figures + 1]));
    if (numbered) {
        buf_add(out, text, figures);
        text += figures;
    }
    if (numbered || *text == '-' || *text == '+' || *text == '=')
        buf_putc(out, '\\');
    table_print_markdown(out, text);
    buf_puts(out, "\n\n");
}

static void markdown_table(const char *title, const struct grid *grid, struct buf *out)
{
    if (!table_rows(grid))
        return;
    if (title) {
        buf_puts(out, "## ");
        table_print_markdown(out, title);
        buf_puts(out, "\n\n");
    }
    table_markdown(grid, out);
    buf_putc(out, '\n');
}

static void markdown_tables(const struct report *report, const struct results *r, struct buf *out)
{
    for (uint32_t i = 0; i < report->parts.n; i++)
        markdown_table(report->parts.at[i].title, &report->parts.at[i].grid, out);
    if (!report->parts.n)
        markdown_table(NULL, &report->totals, out);
    if (report->people) {
        struct page_text text = {.arena = r->arena, .out = out, .width = REPORT_WIDTH};
        report->people(&report->rows, true, &text);
        buf_putc(out, '\n');
    } else if (!report->parts.n) {
        table_markdown(&report->rows, out);
        buf_putc(out, '\n');
    }
}

static void write_markdown(const struct report *report, const struct results *r, struct buf *out)
{
    const char *title = title_words(r), *errors = error_words(r);
    buf_printf(out, "# %s: ", report->def->name);
    markdown_paragraph(out, report->def->doc);
    if (title)
        markdown_paragraph(out, title);
    if (errors)
        markdown_paragraph(out, errors);
    if (report->says)
        markdown_paragraph(out, report->says);
    markdown_tables(report, r, out);
    for (uint32_t i = 0; i < report->notes.n; i++)
        markdown_paragraph(out, report->notes.at[i]);
    for (uint32_t i = 0; i < report->exceptions.n; i++)
        markdown_paragraph(out, report->exceptions.at[i]);
    table_print_markdown(out, report->def->caution);
    buf_putc(out, '\n');
}

void report_make(const struct results *results, struct report *report)
{
    results->model->code.reader = report->def->name;
    report->def->fill(results, report);
    add_exceptions(results, report);
}

void report_write(const struct report_def *def, const struct results *results,
                  enum report_format format, struct buf *out)
{
    struct report report = {.def = def};
    report_make(results, &report);
    switch (format) {
    case REPORT_TEXT:
        write_text(&report, results, out);
        break;
    case REPORT_CSV:
        table_csv(&report.rows, out);
        break;
    case REPORT_JSON:
        write_json(&report, results, out);
        break;
    case REPORT_MARKDOWN:
        write_markdown(&report, results, out);
        break;
    }
}
