/* The figures of an application form: who and where, outlets, circuits by rating, panels, areas,
 * loads. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/devices.h"
#include "facts/existing.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <string.h>

enum { GROUP, ITEM, QUANTITY, MEASURE, DETAIL };

static const struct column columns[] = {
    [GROUP] = {"group", "What", 0, 0},
    [ITEM] = {"item", "Item", 0, 0},
    [QUANTITY] = {"quantity", "Number", 0, COLUMN_RIGHT},
    [MEASURE] = {"measure", "Unit", 0, 0},
    [DETAIL] = {"detail", "Entry", 0, 0},
};

/* For people a list for each group: what the form asks, and what is entered. */
enum { ASKED, ENTRY, COUNTED };

static const struct column entry_columns[] = {
    [ASKED] = {"item", "Item", 0, 0},
    [ENTRY] = {"entry", "Entry", 0, 0},
};

static const struct column figure_columns[] = {
    [ASKED] = {"item", "Item", 0, 0},
    [ENTRY] = {"quantity", "Quantity", 0, COLUMN_RIGHT},
    [COUNTED] = {"measure", "Unit", 0, 0},
};

/* Each group as data name it, as a form does, and its words for what data name otherwise. */
static const struct {
    const char *name, *head;
} groups[] = {{"job", "Job"},           {"openings", "New outlets, switches and fixtures"},
              {"circuits", "Circuits"}, {"panels", "Panels"},
              {"areas", "Floor area"},  {"loads", "Load calculation"}};

static const struct {
    const char *word, *told;
} told_words[] = {{"plan", "Project"},
                  {"site", "Job address"},
                  {"owner", "Property owner"},
                  {"drawn by", "Prepared by"},
                  {"date", "Date"},
                  {"permit", "Permit number"},
                  {"receptacles", "Receptacle outlets"},
                  {"switches and controls", "Switches and controls"},
                  {"luminaires", "Lighting outlets"},
                  {"alarms", "Smoke and carbon monoxide alarms"},
                  {"appliances and equipment", "Appliances and equipment, wired in"},
                  {"all", "Total"},
                  {"floor area for the load calculation", "Floor area for the load calculation"},
                  {"smallest rating that serves", "Smallest standard rating that serves"},
                  {"extended", "existing, extended"},
                  {"new breaker", "existing, new breaker"},
                  {"ft2", "sq ft"}};

/* In the words of a form, where it has others. */
static const char *form_words(const char *word)
{
    for (size_t i = 0; i < sizeof told_words / sizeof *told_words; i++)
        if (!strcmp(told_words[i].word, word))
            return told_words[i].told;
    return word;
}

static void add_words(struct report *report, const char *group, const char *item,
                      const char *detail)
{
    struct cell *row = table_row(&report->rows);
    row[GROUP] = cell_text(group);
    row[ITEM] = cell_text(item);
    row[DETAIL] =
        detail ? cell_text(detail) : cell_shown(cell_text(NULL), "not written in the plan");
}

static void add_figure(struct report *report, const char *group, const char *item, double n,
                       const char *measure)
{
    struct cell *row = table_row(&report->rows);
    row[GROUP] = cell_text(group);
    row[ITEM] = cell_text(item);
    row[QUANTITY] = cell_number(n);
    row[MEASURE] = cell_text(measure);
}

static const char *const openings[OPEN_COUNT] = {
    "receptacles", "switches and controls", "luminaires", "alarms", "appliances and equipment"};

static void add_openings(const struct results *r, struct report *report)
{
    uint32_t count[OPEN_COUNT] = {0}, all = 0;
    for (uint32_t i = 0; i < r->model->devices.n; i++) {
        const struct device *d = r->model->devices.at[i];
        enum opening sort = words_opening_of(d->def);
        if (sort != OPEN_COUNT && wiring_buys_device(r->wiring, d) &&
            facts_is_built(d->box->room->unit)) {
            count[sort]++;
            all++;
        }
    }
    for (int i = 0; i < OPEN_COUNT; i++)
        add_figure(report, "openings", openings[i], count[i], "new");
    add_figure(report, "openings", "all", all, "new");
}

/* Whether new cable hangs on a circuit that is there already. */
static bool is_extended(const struct circuit *c)
{
    bool any = false;
    for (uint32_t i = 0; i < c->runs.n; i++)
        any |= !c->runs.at[i]->existing;
    return c->existing && any;
}

static bool is_new(const struct circuit *c)
{
    return !c->existing;
}

static bool has_new_breaker(const struct circuit *c)
{
    return c->existing && facts_buys_breaker(c);
}

/* Breakers of one rating and kind, in the order in which they are met: those of the circuits that
 * are wanted. */
static void add_circuits(const struct results *r, bool (*wanted)(const struct circuit *c),
                         const char *measure, struct report *report)
{
    struct map index = {0};
    VEC(const char *) words = {0};
    VEC(uint32_t) counts = {0};
    for (uint32_t i = 0; i < r->model->circuits.n; i++) {
        const struct circuit *c = r->model->circuits.at[i];
        if (!wanted(c) || c->breaker <= 0 || !facts_is_built(c->unit))
            continue;
        const char *word = names_of(
            r->model->names, arena_printf(r->arena, "%g A, %s%s", c->breaker,
                                          c->two_pole || c->multiwire ? "two poles" : "one pole",
                                          c->feeds ? ", feeder" : ""));
        void **at = map_at(r->arena, &index, 0, (uintptr_t)word);
        if (!*at) {
            *vec_push(r->arena, &words) = word;
            *vec_push(r->arena, &counts) = 0;
            *at = (void *)(uintptr_t)words.n;
        }
        counts.at[(uintptr_t)*at - 1]++;
    }
    for (uint32_t i = 0; i < words.n; i++)
        add_figure(report, "circuits", words.at[i], counts.at[i], measure);
}

static void add_panels(const struct results *r, struct report *report)
{
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        if (!facts_is_built(p->unit))
            continue;
        const char *item =
            arena_printf(r->arena, "panel %s%s", address_of_panel(r->arena, p, false),
                         p->existing ? ", existing" : "");
        add_figure(report, "panels", item, p->main > 0 ? p->main : p->bus,
                   p->main > 0 ? "A main" : "A bus");
    }
}

static void add_loads(const struct results *r, struct report *report)
{
    struct demand_frame *frame = demand_prepare(r->arena, r->model);
    const struct demand *d =
        demand_work_out(frame, demand_method_of(r->model), demand_panel_of(r->model));
    add_figure(report, "areas", "floor area for the load calculation", d->area, "ft2");
    const char *of = d->panel ? arena_printf(r->arena, " of feeder %s",
                                             address_of_panel(r->arena, d->panel, false))
                              : "";
    const char *load =
        arena_printf(r->arena, "calculated load%s%s", of, d->known ? "" : ", the new load alone");
    add_figure(report, "loads", load, d->va, "VA");
    add_figure(report, "loads", load, d->amps, "A");
    if (d->known && d->minimum > 0)
        add_figure(report, "loads", "smallest rating that serves", d->minimum, "A");
}

/* --- for people --------------------------------------------------------------------------- */

/* The rows of one group, which follow each other. */
static void show_group(const struct results *r, struct report *report, size_t group)
{
    const struct grid *rows = &report->rows;
    bool words = group == 0;
    struct grid *list =
        report_part(r, report, groups[group].head, words ? entry_columns : figure_columns,
                    words ? COUNTED : COUNTED + 1);
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const struct cell *from = &rows->cells.at[i * rows->column_count];
        if (strcmp(from[GROUP].text, groups[group].name))
            continue;
        struct cell *row = table_row(list);
        row[ASKED] = cell_text(words_upper_first(r->arena, form_words(from[ITEM].text)));
        row[ENTRY] = words ? from[DETAIL] : from[QUANTITY];
        if (!words && from[MEASURE].kind == CELL_TEXT)
            row[COUNTED] = cell_text(form_words(from[MEASURE].text));
    }
}

/* The quantities of a group in one measure, all in all. */
static double sum_of(const struct report *report, const char *group, const char *measure)
{
    const struct grid *rows = &report->rows;
    double sum = 0;
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const struct cell *row = &rows->cells.at[i * rows->column_count];
        if (!strcmp(row[GROUP].text, group) && row[MEASURE].kind == CELL_TEXT &&
            !strcmp(row[MEASURE].text, measure) && strcmp(row[ITEM].text, "all"))
            sum += row[QUANTITY].number;
    }
    return sum;
}

/* "New: 73 outlets, switches and fixtures, 25 circuits; 1 existing circuit extended. Load: ...". */
static void sum_up(const struct results *r, struct report *report)
{
    double extended = sum_of(report, "circuits", "extended");
    const char *more =
        extended > 0 ? arena_printf(r->arena, "; existing circuits extended: %.0f", extended) : "";
    uint32_t outlets = (uint32_t)sum_of(report, "openings", "new"),
             circuits = (uint32_t)sum_of(report, "circuits", "new");
    report->says = arena_printf(r->arena, "New: %s, %s%s. Calculated load: %.0f VA.",
                                arena_counted(r->arena, outlets, "outlet, switch or fixture",
                                              "outlets, switches and fixtures"),
                                arena_counted(r->arena, circuits, "circuit", "circuits"), more,
                                sum_of(report, "loads", "VA"));
}

static void show(const struct results *r, struct report *report)
{
    sum_up(r, report);
    for (size_t i = 0; i < sizeof groups / sizeof *groups; i++)
        show_group(r, report, i);
}

void report_permit(const struct results *r, struct report *report)
{
    const struct model *m = r->model;
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    add_words(report, "job", "plan", m->title);
    add_words(report, "job", "site", m->site);
    add_words(report, "job", "owner", m->owner);
    add_words(report, "job", "drawn by", m->by);
    add_words(report, "job", "date", m->date);
    add_words(report, "job", "permit", m->permit);
    add_openings(r, report);
    add_circuits(r, is_new, "new", report);
    add_circuits(r, is_extended, "extended", report);
    add_circuits(r, has_new_breaker, "new breaker", report);
    add_panels(r, report);
    add_loads(r, report);
    show(r, report);
    *vec_push(r->arena, &report->notes) =
        "Figures count what is new, and circuits that are there and get new cable; steps of the "
        "load stand in report load, panels in report panel. Whether an owner may do the work, and "
        "what a permit costs, the office says that issues it.";
}
