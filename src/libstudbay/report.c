/* Reports, graphs and the job book. */
#include "libstudbay/handle.h"

#include "book/book.h"
#include "emit/dot/dot.h"
#include "emit/reports/reports.h"
#include "facts/meant.h"
#include "libstudbay/choose.h"

#include <string.h>

/* In the order of enum report_format. */
static const char *const formats[] = {"text", "csv", "json", "md"};
enum { FORMAT_COUNT = sizeof formats / sizeof *formats };

const char *const handle_methods[] = {"standard", "optional", "existing", "measured", NULL};

static const struct studbay_listed report_list[] = {
#define REPORT(name, function, wants_cuts, doc, caution) {name, doc},
#include "emit/reports/reports.def"
#undef REPORT
};

static const struct studbay_listed graph_list[] = {
#define DOT(name, function, doc) {name, doc},
#include "emit/dot/dot.def"
#undef DOT
};

const struct studbay_listed *studbay_report(size_t i)
{
    return i < sizeof report_list / sizeof *report_list ? &report_list[i] : NULL;
}

const struct studbay_listed *studbay_graph(size_t i)
{
    return i < sizeof graph_list / sizeof *graph_list ? &graph_list[i] : NULL;
}

/* What is asked for by a name. */
struct asked {
    const char *name;
    struct studbay_wants wants;
};

/* The place of a name in a list that ends with NULL or has so many; the same number: it is not in
 * it. */
static uint32_t place_among(const char *name, const char *const *names, uint32_t count)
{
    uint32_t i = 0;
    while (i < count && strcmp(names[i], name) != 0)
        i++;
    return i;
}

/* The run that is to be explained, the first of several cables; NULL, with the reason, where there
 * is none. */
static const struct run *find_run(struct studbay_plan *plan, const struct results *r,
                                  const char *name)
{
    struct run_names *names = facts_name_runs(r->arena, r->model);
    const struct run_group *group = facts_runs_called(names, name);
    struct meant_runs meant = facts_runs_of_chain(names, name);
    if (!group && !meant.missing && meant.hops.n == 1)
        group = meant.hops.at[0];
    if (group)
        return group->runs.at[0];
    const char **known = arena_array(r->arena, const char *, r->model->runs.n + 1);
    for (uint32_t i = 0; i < r->model->runs.n; i++)
        known[i] = address_of_run(r->arena, r->model->runs.at[i], false);
    handle_refuse_unknown(plan, "run", name, known, r->model->runs.n);
    return NULL;
}

static enum studbay_status refuse_report(struct studbay_plan *plan, const char *name)
{
    const char **names = arena_array(&plan->c.arena, const char *, report_count);
    for (uint32_t i = 0; i < report_count; i++)
        names[i] = report_table[i].name;
    return handle_refuse_unknown(plan, "report", name, names, report_count);
}

/* What the wants say of how it is written; NO_SUCH, with the reason, where one makes no sense. */
static enum studbay_status set_wants(struct studbay_plan *plan, const struct studbay_wants *wants,
                                     struct results *r, enum report_format *format)
{
    uint32_t as = place_among(wants->format ? wants->format : "text", formats, FORMAT_COUNT),
             by = wants->method ? place_among(wants->method, handle_methods, METHOD_COUNT) : 0;
    if (as == FORMAT_COUNT)
        return handle_refuse_unknown(plan, "format", wants->format, formats, FORMAT_COUNT);
    if (by == METHOD_COUNT)
        return handle_refuse_unknown(plan, "method", wants->method, handle_methods, METHOD_COUNT);
    *format = (enum report_format)as;
    r->whole = wants->whole;
    r->day = wants->day;
    r->width = *format == REPORT_TEXT ? wants->width : 0;
    r->page_lines = wants->page_lines;
    r->method_told = wants->method != NULL;
    r->method = wants->method ? (enum demand_method)by : METHOD_STANDARD;
    r->explained = wants->run ? find_run(plan, r, wants->run) : NULL;
    return wants->run && !r->explained ? STUDBAY_NO_SUCH : STUDBAY_DONE;
}

static enum studbay_status write_report(struct studbay_plan *plan, const void *with,
                                        struct buf *out)
{
    const struct asked *asked = with;
    const struct report_def *def = report_named(asked->name);
    struct results *all;
    enum studbay_status status;
    enum report_format format = REPORT_TEXT;
    if (!def)
        return refuse_report(plan, asked->name);
    if (!handle_proven(plan, def->wants_cuts, &all, &status))
        return status;
    struct results r = *all;
    status = set_wants(plan, &asked->wants, &r, &format);
    if (status == STUDBAY_DONE)
        report_write(def, &r, format, out);
    return status;
}

enum studbay_status studbay_write_report(struct studbay_plan *plan, const char *name,
                                         const struct studbay_wants *wants,
                                         struct studbay_writer writer)
{
    struct asked asked = {.name = name};
    if (!name || !handle_read_wants(wants, &asked.wants))
        return STUDBAY_MISUSE;
    return handle_call(plan, write_report, &asked, &writer);
}

static enum studbay_status write_graph(struct studbay_plan *plan, const void *with, struct buf *out)
{
    const struct asked *asked = with;
    const struct dot_def *def = dot_named(asked->name);
    struct results *all;
    enum studbay_status status;
    if (!def)
        return handle_refuse(plan, "there is no graph '%s'", asked->name);
    if (!handle_proven(plan, false, &all, &status))
        return status;
    struct results r = *all;
    if (!choose_things(plan, &asked->wants, &r))
        return STUDBAY_NO_SUCH;
    r.model->code.reader = def->name;
    def->write(&r, out);
    return STUDBAY_DONE;
}

enum studbay_status studbay_write_graph(struct studbay_plan *plan, const char *name,
                                        const struct studbay_wants *wants,
                                        struct studbay_writer writer)
{
    struct asked asked = {.name = name};
    if (!name || !handle_read_wants(wants, &asked.wants))
        return STUDBAY_MISUSE;
    return handle_call(plan, write_graph, &asked, &writer);
}

static enum studbay_status write_book(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)with;
    struct results *r;
    enum studbay_status status;
    if (handle_proven(plan, true, &r, &status))
        book_write_html(r, out);
    return status;
}

enum studbay_status studbay_write_book(struct studbay_plan *plan, struct studbay_writer writer)
{
    return handle_call(plan, write_book, NULL, &writer);
}
