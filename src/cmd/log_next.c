/* What comes next on site, from the list of what is left (the report todo) with the log as it
 * stands now. */
#include "cmd/log_next.h"

#include "cmd/cmd.h"

#include "base/utf8.h"
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "emit/results.h"
#include "emit/words/places.h"
#include "resolve/library.h"

#include <string.h>

static const struct cell *cell_of(const struct grid *g, uint32_t row, const char *column)
{
    return &g->cells.at[row * g->column_count + table_column_named(g, column)];
}

static const char *text_of(const struct grid *g, uint32_t row, const char *column)
{
    const struct cell *c = cell_of(g, row, column);
    return c->kind == CELL_TEXT ? c->text : "";
}

/* Whether one of the lines is about the run: DATE EVENT RUN, and what is said of it. */
static bool are_about(const char *lines, const char *run)
{
    size_t n = strlen(run);
    for (const char *p = lines; (p = strstr(p, run)); p += n)
        if (p > lines && p[-1] == ' ' && (!p[n] || p[n] == '\n' || p[n] == ' ') &&
            strncmp(p + n, " ->", 3) != 0)
            return true;
    return false;
}

/* The first that is left of what the lines are about, else the first that is left; the number of
 * rows where nothing is. */
static uint32_t next_row(const struct grid *g, const char *lines)
{
    uint32_t count = table_rows(g), first = count;
    for (uint32_t i = 0; i < count; i++) {
        if (cell_of(g, i, "done")->truth)
            continue;
        if (strstr(text_of(g, i, "thing"), " -> ") && are_about(lines, text_of(g, i, "thing")))
            return i;
        first = first < count ? first : i;
    }
    return first;
}

/* "pull P -> studio.R1 -> R2 in one: 12/2, 43' from reel"; false: it is no strand of several. */
static bool say_strand(const struct results *r, const struct grid *g, uint32_t row,
                       struct buf *line)
{
    const struct cell *number = cell_of(g, row, "strand");
    const struct strand *strand =
        number->kind == CELL_INTEGER ? &r->cuts->strands[number->integer - 1] : NULL;
    if (!strand || strand->count < 2)
        return false;
    buf_printf(line, "next: pull %s in one: %s, %s from %s", words_strand(r->arena, strand),
               strand->coil->cable->name, length_words(r->arena, strand->length),
               strand->coil->name);
    return true;
}

static void say(const struct results *r, const struct grid *g, uint32_t row)
{
    struct buf line = {0}, masked = {0};
    const char *label = text_of(g, row, "label"), *detail = text_of(g, row, "detail");
    if (!say_strand(r, g, row, &line)) {
        buf_printf(&line, "next: %s %s", text_of(g, row, "stage"), text_of(g, row, "thing"));
        buf_printf(&line, *label ? " (%s)" : "%s", label);
        buf_printf(&line, *detail ? ": %s" : "%s", detail);
    }
    utf8_put_masked(&masked, buf_text(&line));
    buf_putc(&masked, '\n');
    cmd_write_error(&masked);
    buf_free(&line);
    buf_free(&masked);
}

void cmd_tell_next(const struct invocation *inv, const char *lines)
{
    struct compilation c;
    struct results r;
    compile(&c, inv->operands[0],
            (struct compile_options){.stdlib = inv->stdlib, .cut_steps = CUTS_EXACT});
    if (!c.io_failed && c.model && c.makeup && cmd_results(&c, &r)) {
        struct report report = {.def = report_named("todo")};
        report_make(&r, &report);
        uint32_t row = next_row(&report.rows, lines);
        if (row < table_rows(&report.rows))
            say(&r, &report.rows, row);
    }
    compile_free(&c);
}
