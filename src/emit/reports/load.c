/* The load calculation: each step with its factor, its demand and its article. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "loads/loads.h"

#include <math.h>
#include <string.h>

enum { ITEM, UNIT, VA, FACTOR, DEMAND, ARTICLE };

static const struct column columns[] = {
    [ITEM] = {"item", "Item", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [VA] = {"va", "VA", 0, COLUMN_RIGHT},
    [FACTOR] = {"factor", "Factor", 4, COLUMN_RIGHT},
    [DEMAND] = {"demand_va", "Demand VA", 0, COLUMN_RIGHT},
    [ARTICLE] = {"article", "Article", 0, 0},
};

enum { SUM_VA, SUM_AMPS, SUM_NEUTRAL, SUM_MINIMUM };

static const struct column total_columns[] = {
    [SUM_VA] = {"va", "VA", 0, COLUMN_RIGHT},
    [SUM_AMPS] = {"amps", "A", 1, COLUMN_RIGHT},
    [SUM_NEUTRAL] = {"neutral_amps", "Neutral A", 1, COLUMN_RIGHT},
    [SUM_MINIMUM] = {"minimum_service_a", "Smallest rating, A", 0, COLUMN_RIGHT},
};

static struct cell known(double n)
{
    return isnan(n) ? cell_text(NULL) : cell_number(n);
}

static void add_row(const struct results *r, struct report *report, const struct demand_row *step)
{
    struct cell *row = table_row(&report->rows);
    row[ITEM] = cell_text(step->item);
    row[UNIT] = words_unit_cell(step->unit);
    row[VA] = cell_number(step->va);
    row[FACTOR] = known(step->factor);
    if (!isnan(step->factor))
        row[FACTOR] =
            cell_shown(row[FACTOR], arena_printf(r->arena, "%.4g %%", 100 * step->factor));
    row[DEMAND] = known(step->demand);
    row[ARTICLE] = cell_text(step->article);
}

static void add_totals(struct report *report, const struct demand *d)
{
    struct cell *row = table_row(&report->totals);
    row[SUM_VA] = cell_number(d->va);
    row[SUM_AMPS] = cell_number(d->amps);
    row[SUM_NEUTRAL] = known(d->neutral_amps);
    row[SUM_MINIMUM] = d->known && d->minimum > 0 ? cell_number(d->minimum) : cell_text(NULL);
}

/* "Feeder P: 13778 VA, 57.4 A, for which a rating of 100 A serves; standard method." */
static const char *heading(const struct results *r, const struct demand *d)
{
    static const char *const methods[METHOD_COUNT] = {
        "standard method", "optional method for a dwelling", "addition to a dwelling, by its loads",
        "addition to a dwelling, by its measured load"};
    const char *serves =
        d->known && d->minimum > 0
            ? arena_printf(r->arena, ", for which a rating of %.0f A serves", d->minimum)
            : "";
    return arena_printf(
        r->arena, "%s%s: %.0f VA, %.1f A%s; %s.", d->panel ? "Feeder " : "Service",
        d->panel ? address_of_panel(r->arena, d->panel, false) : "", d->va, d->amps, serves,
        d->multifamily ? "optional method for several dwellings" : methods[d->method]);
}

/* What each feeder carries by the standard method, where the calculation is of the service; those
 * that follow each other and are alike in one line. */
static void note_feeders(const struct results *r, struct report *report, struct demand_frame *frame)
{
    const struct panel *first = NULL, *last = NULL;
    const char *said = NULL;
    uint32_t count = 0;
    for (uint32_t i = 0; i <= r->model->panels.n; i++) {
        const struct panel *p = i < r->model->panels.n ? r->model->panels.at[i] : NULL;
        if (p && (!p->feeder || !facts_is_built(p->unit)))
            continue;
        if (p && r->loads->below[i] > MOST_BELOW)
            continue; /* said by the check */
        const struct demand *d = p ? demand_work_out(frame, METHOD_STANDARD, p) : NULL;
        const char *words = d ? arena_printf(r->arena, "%.0f VA, %.1f A, neutral %.1f A", d->va,
                                             d->amps, d->neutral_amps)
                              : "";
        if (said && strcmp(said, words)) {
            *vec_push(r->arena, &report->notes) =
                arena_printf(r->arena, "%s%s, by what hangs on it: %s.",
                             words_panel_range(r, "Feeder", "feeders", first, last, count),
                             count > 1 ? " each" : "", said);
            count = 0;
        }
        first = count ? first : p;
        last = p;
        said = words;
        count++;
    }
}

void report_load(const struct results *r, struct report *report)
{
    struct demand_frame *frame = demand_prepare(r->arena, r->model);
    const struct panel *of = demand_panel_of(r->model);
    const struct demand *d =
        demand_work_out(frame, r->method_told ? r->method : demand_method_of(r->model), of);
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    report->one_total = true;
    for (uint32_t i = 0; i < d->rows.n; i++)
        add_row(r, report, &d->rows.at[i]);
    add_totals(report, d);
    report->says = heading(r, d);
    for (uint32_t i = 0; i < d->notes.n; i++)
        *vec_push(r->arena, &report->notes) = d->notes.at[i];
    if (!of)
        note_feeders(r, report, frame);
}
