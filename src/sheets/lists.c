/* The sheets that are lists: what the reports tell, on paper. */
#include "emit/reports/reports.h"
#include "sheets/grid.h"

/* What a report says on as many pages as it takes. */
static void draw_report(struct set *set, const char *name, const char *title, bool ticks)
{
    const struct report_def *def = report_named(name);
    struct report report = {.def = def};
    struct grid_pages g = {.set = set, .title = title, .under = def->doc};
    set->r->model->code.reader = def->name;
    def->fill(set->r, &report);
    if (report.says)
        grid_say(&g, report.says, true);
    for (uint32_t i = 0; i < report.parts.n; i++)
        grid_draw(&g, report.parts.at[i].title, &report.parts.at[i].grid,
                  ticks && report.parts.at[i].title); /* nobody ticks a sum */
    if (!report.parts.n)
        grid_draw(&g, NULL, &report.totals, false);
    if (!report.parts.n || report.people) /* such a report has its rows below its parts */
        grid_draw(&g, NULL, &report.rows, ticks);
    if (g.page || report.says)
        for (uint32_t i = 0; i < report.notes.n; i++)
            grid_say(&g, report.notes.at[i], false);
    if (g.page)
        grid_say(&g, def->caution, true);
    grid_end(&g);
}

void sheets_schedules(struct set *set)
{
    draw_report(set, "panel", "Panel schedules", false);
}

void sheets_load(struct set *set)
{
    draw_report(set, "load", "Load calculation", false);
}

void sheets_protection(struct set *set)
{
    draw_report(set, "protection", "Protection by room", false);
}

void sheets_holes(struct set *set)
{
    draw_report(set, "bores", "Holes", true);
}

void sheets_pulls(struct set *set)
{
    draw_report(set, "pulls", "Pulls by coil", true);
    draw_report(set, "cuts", "Cut list", true);
}

void sheets_tests(struct set *set)
{
    draw_report(set, "test", "Test sheet", true);
}

void sheets_inspection(struct set *set)
{
    draw_report(set, "inspection", "Inspection", false);
}

void sheets_estimate(struct set *set)
{
    draw_report(set, "estimate", "Estimate", false);
}

void sheets_shopping(struct set *set)
{
    draw_report(set, "materials", "Rough shopping list", true);
    draw_report(set, "trim", "Trim shopping list", true);
}
