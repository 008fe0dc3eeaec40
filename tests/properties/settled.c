/* A plan and the plan with what was worked out written into it are one plan: the same findings,
 * reports and drawings, and nothing is left to write. */
#include "settled.h"

#include "base/file.h"
#include "cmd/cmd.h"
#include "emit/dot/dot.h"
#include "drawn.h"
#include "emit/reports/reports.h"
#include "emit/unchecked.h"
#include "loads/panel.h"
#include "prove/prove.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static int compare_lines(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* The findings without their places, which move where text is put in. */
static void tell_findings(struct compilation *c, struct buf *out)
{
    const char **lines = arena_array(&c->arena, const char *, c->diag.findings.n + 1);
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        lines[i] = arena_printf(&c->arena, "%s%s: %s\n", f->waived ? "waived " : "", f->rule->name,
                                f->message);
    }
    if (c->diag.findings.n)
        qsort(lines, c->diag.findings.n, sizeof *lines, compare_lines);
    for (uint32_t i = 0; i < c->diag.findings.n; i++)
        buf_puts(out, lines[i]);
    buf_puts(out, unchecked_words(&c->arena, &c->diag, c->verdict));
}

/* One thing that is held against its like: findings are 0, then reports, graphs and sheets. */
static uint32_t outcome_count(void)
{
    return 1 + report_count + dot_count + sheet_kind_count;
}

static const char *outcome_name(uint32_t i)
{
    if (!i)
        return "findings";
    if (i <= report_count)
        return report_table[i - 1].name;
    i -= 1 + report_count;
    return i < dot_count ? dot_table[i].name : sheet_kinds[i - dot_count].name;
}

static void tell_outcome(struct compilation *c, const struct results *r, uint32_t i,
                         struct buf *out)
{
    if (!i)
        tell_findings(c, out);
    else if (i <= report_count)
        report_write(&report_table[i - 1], r, REPORT_TEXT, out);
    else if (i - 1 - report_count < dot_count)
        dot_table[i - 1 - report_count].write(r, out);
    else
        draw_kind(r, &sheet_kinds[i - 1 - report_count - dot_count], out);
}

/* The first lines that differ. */
static void say_difference(struct buf *why, const char *a, const char *b)
{
    while (*a && *b) {
        size_t n = strcspn(a, "\n"), k = strcspn(b, "\n");
        if (n != k || memcmp(a, b, n) != 0)
            break;
        a += n + (a[n] == '\n');
        b += k + (b[k] == '\n');
    }
    buf_printf(why, "'%.*s' becomes '%.*s'", (int)strcspn(a, "\n"), a, (int)strcspn(b, "\n"), b);
}

static void make_folders(char *path)
{
    for (char *at = path + 1; (at = strchr(at, '/')); *at++ = '/') {
        *at = 0;
        mkdir(path, 0777);
    }
}

/* The place of a source of a plan in the folder of the settled one; it lives as long as the plan.
 */
static char *settled_path(struct compilation *c, uint32_t i, const char *folder)
{
    const char *first = c->sources[0]->path, *slash = strrchr(first, '/');
    size_t skip = slash ? (size_t)(slash + 1 - first) : 0;
    return arena_printf(&c->arena, "%s/%s", folder, c->sources[i]->path + skip);
}

struct settled *settle_compiled(struct compilation *c, unsigned sorts)
{
    return settle(&c->arena, c->model, c->routes, c->wiring, c->panels, c->log, sorts);
}

static void write_settled(struct compilation *c, const struct settled *s, const char *folder)
{
    for (uint32_t i = 0; i < c->source_count; i++) {
        char *path = settled_path(c, i, folder);
        make_folders(path);
        struct buf text = {0};
        settle_write(s, c->sources[i], &text);
        if (!file_write(&text, path))
            abort();
        buf_free(&text);
    }
}

/* The words of a plan that may differ where lengths are written: none else may. */
static bool tells_what_is_written(const char *outcome, unsigned sorts)
{
    return sorts & 1u << SETTLE_LENGTHS &&
           (!strcmp(outcome, "runs") || !strcmp(outcome, "todo") || !strcmp(outcome, "circuits"));
}

static bool same_outcome(struct compilation *c, struct compilation *again, unsigned sorts,
                         struct buf *why)
{
    struct results r, s;
    if (!cmd_results(c, &r) || !again->verdict || !cmd_results(again, &s)) {
        buf_puts(why, "settled, it is not proven");
        return false;
    }
    bool same = true;
    for (uint32_t i = 0; i < outcome_count() && same; i++) {
        struct buf a = {0}, b = {0};
        tell_outcome(c, &r, i, &a);
        tell_outcome(again, &s, i, &b);
        same = tells_what_is_written(outcome_name(i), sorts) || !strcmp(buf_text(&a), buf_text(&b));
        if (!same) {
            buf_printf(why, "settled, it has other %s: ", outcome_name(i));
            say_difference(why, buf_text(&a), buf_text(&b));
        }
        buf_free(&a);
        buf_free(&b);
    }
    return same;
}

static bool nothing_is_left(struct compilation *again, unsigned sorts, struct buf *why)
{
    const struct settled *twice = settle_compiled(again, sorts);
    if (twice->edits.n)
        buf_printf(why, "settled, it still leaves out '%s'", twice->edits.at[0].text);
    return !twice->edits.n;
}

/* Settles it into the folder and compiles that. */
static void compile_settled(struct compilation *c, const char *log, unsigned sorts,
                            const char *folder, struct compilation *again)
{
    write_settled(c, settle_compiled(c, sorts), folder);
    compile(again, settled_path(c, 0, folder),
            (struct compile_options){
                .library = plan_library(), .log = log, .cut_steps = SOME_CUT_STEPS});
}

/* People read a circuit that is named by a word by its space as soon as that is written: with the
 * spaces alone other words stand in reports, but the same is found. */
static bool same_but_for_spaces(struct compilation *c, struct compilation *again, struct buf *why)
{
    bool same = again->model && again->verdict->holds &&
                c->diag.findings.n == again->diag.findings.n &&
                c->model->circuits.n == again->model->circuits.n;
    for (uint32_t i = 0; same && i < c->model->circuits.n; i++)
        same = c->panels->of_circuit[i].space == again->panels->of_circuit[i].space;
    for (enum severity s = ERROR; same && s <= NOTE; s++)
        same = c->diag.counts[s] == again->diag.counts[s];
    if (!same)
        buf_puts(why, "with its spaces written it has other findings or spaces");
    return same;
}

bool settled_is_the_plan(struct compilation *c, const char *log, unsigned sorts, const char *folder,
                         struct buf *why)
{
    if (!c->model || c->diag.counts[ERROR] || !c->verdict->holds)
        return true;
    struct compilation placed, again;
    compile_settled(c, log, sorts & 1u << SETTLE_SPACES, folder, &placed);
    bool held = same_but_for_spaces(c, &placed, why);
    if (held) {
        compile_settled(&placed, log, sorts, folder, &again);
        held = same_outcome(&placed, &again, sorts, why) && nothing_is_left(&again, sorts, why);
        compile_free(&again);
    }
    compile_free(&placed);
    return held;
}

bool property_settled(const struct subject *s, struct buf *why);

bool property_settled(const struct subject *s, struct buf *why)
{
    char log[512];
    snprintf(log, sizeof log, "%.*slog", (int)(strlen(s->path) - strlen("bay")), s->path);
    unsigned lengths = s->seed % 3 ? 0 : 1u << SETTLE_LENGTHS;
    return settled_is_the_plan(s->c, s->text->log.n ? log : NULL, SETTLE_USUAL | lengths,
                               s->scratch, why);
}
