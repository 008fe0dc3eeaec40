/* The days of the work: each thing that is left is in one of them, they take as long together as
 * the estimate says, none is longer than it may be but by one thing alone, and the order of the
 * text decides nothing. */
#include "properties.h"
#include "shuffle.h"

#include "cmd/cmd.h"
#include "emit/reports/reports.h"
#include "emit/reports/tasks.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

property_function property_days;

enum { HOUR = 60 * 100 }; /* hundredths of a minute */

static struct report made(const struct results *r, const char *name)
{
    struct report report = {.def = report_named(name)};
    report_make(r, &report);
    return report;
}

static const struct cell *cell_at(const struct grid *t, uint32_t row, const char *column)
{
    return &t->cells.at[row * t->column_count + table_column(t, column)];
}

static double sum_of(const struct grid *t, const char *column, const char *where, const char *is)
{
    double sum = 0;
    for (uint32_t i = 0; i < table_rows(t); i++) {
        const struct cell *c = cell_at(t, i, column);
        if (where && strcmp(cell_at(t, i, where)->text, is) != 0)
            continue;
        sum += c->kind == CELL_INTEGER  ? (double)c->integer
               : c->kind == CELL_NUMBER ? c->number
                                        : 0;
    }
    return sum;
}

static bool alike(const char *what, double a, double b, struct buf *why)
{
    if (fabs(a - b) < 0.001)
        return true;
    buf_printf(why, "%s: %.2f and %.2f", what, a, b);
    return false;
}

/* The same things as without days, stage by stage, and the minutes of the estimate. */
static bool are_all_of_it(const struct results *r, const struct report *days, struct buf *why)
{
    struct results plain = *r;
    plain.day = 0;
    const struct report todo = made(&plain, "todo"), estimate = made(&plain, "estimate");
    bool held = alike("minutes", sum_of(&days->rows, "minutes", NULL, NULL),
                      sum_of(&estimate.rows, "minutes", NULL, NULL), why) &&
                alike("minutes of the days", sum_of(&days->rows, "minutes", NULL, NULL),
                      sum_of(&days->totals, "minutes", NULL, NULL), why) &&
                alike("things of the days", table_rows(&days->rows),
                      sum_of(&days->totals, "tasks", NULL, NULL), why);
    for (int s = 0; held && s < STAGES; s++)
        held =
            alike(tasks_stages[s].name, sum_of(&days->rows, "count", "stage", tasks_stages[s].name),
                  sum_of(&todo.rows, "count", "stage", tasks_stages[s].name), why);
    return held;
}

/* Days follow each other, and only what is too long for any has one that is too long. */
static bool days_hold(const struct report *days, double most, struct buf *why)
{
    int64_t last = 0;
    for (uint32_t i = 0, first = 0; i < table_rows(&days->rows); i++) {
        int64_t day = cell_at(&days->rows, i, "day")->integer;
        double used = 0, longest = 0;
        if (day != last && day != last + 1) {
            buf_printf(why, "behind day %lld comes %lld", (long long)last, (long long)day);
            return false;
        }
        first = day != last ? i : first;
        last = day;
        for (uint32_t k = first; k <= i; k++) {
            double minutes = cell_at(&days->rows, k, "minutes")->number;
            used += minutes;
            longest = minutes > longest ? minutes : longest;
        }
        if (used > most + 0.001 && used > longest + 0.001) {
            buf_printf(why, "day %lld takes %.2f of %.2f minutes", (long long)day, used, most);
            return false;
        }
    }
    return true;
}

/* How long each day takes. */
static bool same_days(const struct report *a, const struct report *b, struct buf *why)
{
    if (!alike("days of another order", table_rows(&a->totals), table_rows(&b->totals), why))
        return false;
    for (uint32_t i = 0; i < table_rows(&a->totals); i++)
        if (!alike("a day of another order", cell_at(&a->totals, i, "minutes")->number,
                   cell_at(&b->totals, i, "minutes")->number, why))
            return false;
    return true;
}

static bool hold_shuffled(const struct subject *s, const struct report *days, int64_t day,
                          struct buf *why)
{
    struct plan_text other = {0};
    struct compilation d;
    struct results r;
    char path[200];
    shuffle_text(s->text->plan.at, s->text->plan.n, s->seed, &other.plan);
    shuffle_text(s->text->include.at, s->text->include.n, s->seed, &other.include);
    buf_add(&other.log, s->text->log.at, s->text->log.n);
    snprintf(path, sizeof path, "%s/plan.bay", s->scratch);
    plan_write(&other, s->scratch);
    compile(&d, path, (struct compile_options){.library = plan_library()});
    bool held = true;
    if (!d.diag.counts[ERROR] && cmd_results(&d, &r)) {
        r.day = day;
        const struct report shuffled = made(&r, "todo");
        held = same_days(days, &shuffled, why);
    }
    compile_free(&d);
    plan_free(&other);
    return held;
}

bool property_days(const struct subject *s, struct buf *why)
{
    struct results r;
    if (!s->c->model || !s->c->cuts || !cmd_results(s->c, &r))
        return true;
    static const int64_t lengths[] = {HOUR, 8 * HOUR};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        r.day = lengths[i];
        const struct report days = made(&r, "todo");
        if (!are_all_of_it(&r, &days, why) || !days_hold(&days, (double)r.day / 100, why))
            return false;
        if (i && !s->c->diag.counts[ERROR] && !hold_shuffled(s, &days, r.day, why))
            return false;
    }
    return true;
}
