/* The inspection report as a list to tick: stage by stage, each item once, its states and their
 * evidence below it. */
#include "emit/reports/inspection.h"
#include "emit/reports/reports.h"
#include "emit/words/places.h"

#include <ctype.h>
#include <string.h>

enum { STATE_AT = 6, EVIDENCE_AT = 24, NARROW = 60 };

/* The rows of one item. */
struct entry {
    const struct cell *first;
    uint32_t columns, rows;
};

static const struct cell *cell_at(const struct entry *i, uint32_t row, uint32_t column)
{
    return &i->first[row * i->columns + column];
}

static bool has_state(const struct entry *i, const char *state)
{
    for (uint32_t row = 0; row < i->rows; row++)
        if (!strcmp(cell_at(i, row, INSPECTION_STATE)->text, state))
            return true;
    return false;
}

/* The item that begins at a row: as many rows as bear its name. */
static struct entry item_at(const struct grid *g, uint32_t row)
{
    struct entry i = {&g->cells.at[row * g->column_count], g->column_count, 1};
    while (row + i.rows < table_rows(g) &&
           cell_at(&i, i.rows, INSPECTION_ITEM)->text == cell_at(&i, 0, INSPECTION_ITEM)->text)
        i.rows++;
    return i;
}

/* As people call it. */
static const char *name_of(const struct entry *i)
{
    const struct cell *c = cell_at(i, 0, INSPECTION_ITEM);
    return c->shown ? c->shown : c->text;
}

static const char *mark_of(const struct entry *i)
{
    if (has_state(i, STATE_FAULT) || has_state(i, STATE_WAIVED))
        return "[!] ";
    return has_state(i, STATE_LOOK) || has_state(i, STATE_MISSING) ? "[ ] " : "    ";
}

static void print_evidence(const struct entry *i, uint32_t row, struct buf *out)
{
    const struct cell *c = cell_at(i, row, INSPECTION_EVIDENCE);
    if (c->kind == CELL_LIST)
        words_print_places(c->list.item, c->list.count, out);
}

/* --- text --------------------------------------------------------------------------------- */

/* On a narrow page the evidence stands below its state. */
static void print_state(struct buf *line, const struct entry *i, uint32_t row,
                        struct page_text *out)
{
    bool narrow = out->width < NARROW;
    line->n = 0;
    buf_printf(line, "%*s%-*s", STATE_AT, "", narrow ? 0 : EVIDENCE_AT - STATE_AT,
               cell_at(i, row, INSPECTION_STATE)->text);
    buf_puts(line, narrow && cell_at(i, row, INSPECTION_EVIDENCE)->kind == CELL_LIST ? ": " : "");
    print_evidence(i, row, line);
    table_print_paragraph(out->out, buf_text(line), out->width,
                          narrow ? STATE_AT + 2 : EVIDENCE_AT);
}

static void print_item(struct buf *line, const struct entry *i, struct page_text *out)
{
    pages_mark(out, PAGE_ROW);
    const struct cell *source = cell_at(i, 0, INSPECTION_SOURCE);
    line->n = 0;
    buf_printf(line, "%s%s", mark_of(i), name_of(i));
    if (source->kind == CELL_TEXT)
        buf_printf(line, " (%s)", source->text);
    table_print_paragraph(out->out, buf_text(line), out->width, 4);
    for (uint32_t row = 0; row < i->rows; row++)
        print_state(line, i, row, out);
}

static void markdown_item(struct buf *line, const struct entry *i, struct buf *out)
{
    const char *mark = mark_of(i);
    const struct cell *source = cell_at(i, 0, INSPECTION_SOURCE);
    buf_printf(out, "- %s**", mark[1] == ' ' && mark[0] == '[' ? "[ ] " : "");
    table_print_markdown(out, name_of(i));
    buf_puts(out, "**");
    if (source->kind == CELL_TEXT) {
        buf_puts(out, " (");
        table_print_markdown(out, source->text);
        buf_putc(out, ')');
    }
    buf_putc(out, '\n');
    for (uint32_t row = 0; row < i->rows; row++) {
        line->n = 0;
        print_evidence(i, row, line);
        buf_printf(out, "  - *%s*: ", cell_at(i, row, INSPECTION_STATE)->text);
        table_print_markdown(out, buf_text(line));
        buf_putc(out, '\n');
    }
}

/* --- stages ------------------------------------------------------------------------------- */

static void print_heading(const char *stage, bool markdown, struct buf *out)
{
    buf_printf(out, "%s%c%s\n", markdown ? "## " : "", toupper((unsigned char)*stage), stage + 1);
    if (!markdown)
        buf_fill(out, '-', strlen(stage));
    buf_putc(out, '\n');
}

/* What the plan has nothing of, in one paragraph at the end of its stage. */
static void print_none(struct buf *none, bool markdown, struct page_text *out)
{
    if (!none->n)
        return;
    const char *words = buf_text(none);
    if (markdown) {
        buf_puts(out->out, "- ");
        table_print_markdown(out->out, words + strspn(words, " "));
        buf_putc(out->out, '\n');
    } else {
        pages_mark(out, PAGE_ROW);
        table_print_paragraph(out->out, words, out->width, 4);
    }
    none->n = 0;
}

/* The stage stands again on each page that goes on with it. */
static void begin_stage(const char *stage, bool first, bool markdown, struct page_text *out)
{
    pages_mark(out, PAGE_FREE);
    buf_puts(out->out, first ? "" : "\n");
    pages_mark(out, PAGE_HEAD);
    print_heading(stage, markdown, out->out);
}

void inspection_text(const struct grid *rows, bool markdown, struct page_text *out)
{
    struct buf line = {0}, none = {0};
    const char *stage = NULL;
    for (uint32_t row = 0; row < table_rows(rows);) {
        struct entry i = item_at(rows, row);
        const char *its = cell_at(&i, 0, INSPECTION_STAGE)->text, *name = name_of(&i);
        if (!stage || strcmp(its, stage)) {
            print_none(&none, markdown, out);
            begin_stage(its, !stage, markdown, out);
            stage = its;
        }
        if (has_state(&i, STATE_NONE))
            buf_printf(&none, "%s%s",
                       none.n ? "; " : "    Nothing of the kind in this plan: ", name);
        else if (markdown)
            markdown_item(&line, &i, out->out);
        else
            print_item(&line, &i, out);
        row += i.rows;
    }
    print_none(&none, markdown, out);
    buf_free(&line);
    buf_free(&none);
}
