#include "sorted.h"

#include "base/buf.h"
#include "cmd/cmd.h"
#include "emit/reports/reports.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>

static int by_text(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

/* A name without its room, which a list says once. */
static char *bare_name(char *word)
{
    char *dot = strrchr(word, '.');
    return dot && isalpha((unsigned char)dot[1]) ? dot + 1 : word;
}

/* The words of a cell ("shop.L1; shop.L2", "line: black from P + white to L2 (small)") in order:
 * reports list things as the plan names them. */
static void put_cell(struct buf *out, char *cell)
{
    char *words[512], *save = NULL;
    unsigned n = 0;
    for (char *word = strtok_r(cell, " ;,+:()\"", &save); word && n < 512;
         word = strtok_r(NULL, " ;,+:()\"", &save))
        words[n++] = bare_name(word);
    qsort(words, n, sizeof *words, by_text);
    for (unsigned i = 0; i < n; i++)
        buf_printf(out, "%s%s", i ? " " : "", words[i]);
}

/* The comma or the end behind a cell of CSV, which may stand in quotes. */
static char *end_of_cell(char *cell)
{
    bool quoted = false;
    for (; *cell && (quoted || *cell != ','); cell++)
        quoted ^= *cell == '"';
    return cell;
}

static void put_line(struct buf *out, char *line)
{
    while (*line) {
        char *end = end_of_cell(line), more = *end;
        *end = 0;
        put_cell(out, line);
        buf_puts(out, ",");
        line = end + (more != 0);
    }
    buf_puts(out, "\n");
}

char *sorted_report(struct compilation *c, const char *report)
{
    struct results results;
    if (!cmd_results(c, &results))
        return strdup("");
    struct buf csv = {0}, even = {0}, out = {0};
    report_write(report_named(report), &results, REPORT_CSV, &csv);
    char *text = strdup(buf_text(&csv)), *save = NULL, **lines = calloc(csv.n + 1, sizeof *lines);
    unsigned n = 0;
    for (char *line = strtok_r(text, "\r\n", &save); line; line = strtok_r(NULL, "\r\n", &save))
        put_line(&even, line);
    char *evened = strdup(buf_text(&even));
    for (char *line = strtok_r(evened, "\n", &save); line; line = strtok_r(NULL, "\n", &save))
        lines[n++] = line;
    qsort(lines, n, sizeof *lines, by_text);
    for (unsigned i = 0; i < n; i++)
        buf_printf(&out, "%s\n", lines[i]);
    char *sorted = strdup(buf_text(&out));
    free(lines);
    free(text);
    free(evened);
    buf_free(&csv);
    buf_free(&even);
    buf_free(&out);
    return sorted;
}
