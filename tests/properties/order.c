/* The order of statements decides nothing: the same findings, and the same reports but for the
 * order in which they list things. Asked of plans without an error: of two that clash the later one
 * is at fault, which the language says. */
#include "properties.h"
#include "shuffle.h"
#include "sorted.h"

#include "emit/reports/reports.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

property_function property_order;

/* Of two that are alike, or unlike, the later one in the text is told. */
static bool tells_the_later(const struct finding *f)
{
    return !strcmp(f->rule->name, "labels-alike") || !strcmp(f->rule->name, "mixed-sizes");
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* All findings in the order of their text. */
static char *sorted_findings(const struct compilation *c)
{
    struct buf out = {0};
    char **lines = calloc(c->diag.findings.n + 1, sizeof *lines);
    uint32_t n = 0;
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        struct buf line = {0};
        buf_printf(&line, "%s: %s", f->rule->name, tells_the_later(f) ? "" : f->message);
        lines[n++] = strdup(buf_text(&line));
        buf_free(&line);
    }
    qsort(lines, n, sizeof *lines, by_text);
    for (uint32_t i = 0; i < n; i++) {
        buf_printf(&out, "%s\n", lines[i]);
        free(lines[i]);
    }
    free(lines);
    char *text = strdup(buf_text(&out));
    buf_free(&out);
    return text;
}

/* Says in which line they differ; frees both. */
static bool same(const char *what, char *was, char *is, struct buf *why)
{
    size_t i = 0, start = 0;
    for (; was[i] && was[i] == is[i]; i++)
        start = was[i] == '\n' ? i + 1 : start;
    bool equal = was[i] == is[i];
    if (!equal)
        buf_printf(why, "%s: '%.*s' became '%.*s'", what, (int)strcspn(was + start, "\n"),
                   was + start, (int)strcspn(is + start, "\n"), is + start);
    free(was);
    free(is);
    return equal;
}

bool property_order(const struct subject *s, struct buf *why)
{
    if (!s->c->model || s->c->diag.counts[ERROR])
        return true;
    struct plan_text other = {0};
    struct compilation d;
    char path[200];
    shuffle_text(s->text->plan.at, s->text->plan.n, s->seed, &other.plan);
    shuffle_text(s->text->include.at, s->text->include.n, s->seed, &other.include);
    buf_add(&other.log, s->text->log.at, s->text->log.n);
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    plan_write(&other, s->scratch);
    compile(&d, path,
            (struct compile_options){.library = plan_library(), .cut_steps = SOME_CUT_STEPS});
    bool held = same("findings", sorted_findings(s->c), sorted_findings(&d), why);
    for (uint32_t i = 0; held && i < report_count; i++) {
        const char *name = report_table[i].name;
        held = same(name, sorted_report(s->c, name), sorted_report(&d, name), why);
    }
    compile_free(&d);
    plan_free(&other);
    return held;
}
