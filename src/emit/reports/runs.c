/* Every cable from box to box. */
#include "cuts/labels.h"
#include "emit/reports/reports.h"
#include "framing/routes.h"
#include "wiring/wiring.h"

enum {
    RUN,
    LABEL,
    PANEL,
    CIRCUIT,
    UNIT,
    FROM,
    TO,
    CABLE,
    NETS,
    SPARES,
    ROUTE,
    CUT,
    MEASURED,
    BORES,
    NOTCHES,
    SUPPORTS,
    PLATES
};

static const struct column columns[] = {
    [RUN] = {"run", "Run", 0, 0},
    [LABEL] = {"label", "Label", 0, COLUMN_DATA},
    [PANEL] = {"panel", "Panel", 0, COLUMN_DATA},
    [CIRCUIT] = {"circuit", "Circuit", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [FROM] = {"from", "From", 0, COLUMN_DATA},
    [TO] = {"to", "To", 0, COLUMN_DATA},
    [CABLE] = {"cable", "Cable", 0, 0},
    [NETS] = {"nets", "Conductors", 0, 0},
    [SPARES] = {"spares", "Spare", 0, COLUMN_RIGHT},
    [ROUTE] = {"route_ft", "Route", 2, COLUMN_RIGHT},
    [CUT] = {"cut_ft", "Cut", 2, COLUMN_RIGHT},
    [MEASURED] = {"measured", "Measured", 0, COLUMN_DATA},
    [BORES] = {"bores", "Bores", 0, COLUMN_RIGHT},
    [NOTCHES] = {"notches", "Notches", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [SUPPORTS] = {"supports", "Staples", 0, COLUMN_RIGHT},
    [PLATES] = {"plates", "Plates", 0, COLUMN_RIGHT},
};

/* The way and the cut; a measured cut is marked, an existing cable is not cut. */
static void length_cells(const struct results *r, const struct run *run, struct cell *row)
{
    const struct route *route = &r->routes->of_run[run->id];
    row[MEASURED] = cell_bool(route->measured);
    if (!route->known)
        return;
    row[ROUTE] = cell_length(route->path);
    row[CUT] = cell_length(route->cut);
    if (run->existing) {
        row[CUT] = cell_shown(row[CUT], "existing");
    } else if (route->measured) {
        row[CUT] = cell_shown(row[CUT],
                              arena_printf(r->arena, "%s *", length_words(r->arena, route->cut)));
    }
    row[BORES] = cell_integer(route->bores);
    if (route->notches)
        row[NOTCHES] = cell_integer(route->notches);
    row[SUPPORTS] = cell_integer(route->supports);
    row[PLATES] = cell_integer(route->plates);
}

/* Within its panel, "P 2"; what is low voltage has its own name. */
static void circuit_cells(const struct results *r, const struct run *run, struct cell *row)
{
    const struct circuit *c = run->circuit;
    if (!c) {
        row[CIRCUIT] =
            cell_shown((struct cell){0}, run->low_voltage ? run->low_voltage->name : NULL);
        return;
    }
    row[PANEL] = panel_cell(r, c->panel);
    row[CIRCUIT] =
        cell_shown(cell_text(circuit_word(r->arena, c)), circuit_address(r->arena, c, true));
}

static void add_run(const struct results *r, struct report *report, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    const struct cable_def *cable = w->cable ? w->cable : run->declared;
    struct cell *row = table_row(&report->rows);
    row[RUN] = cell_text(run_address(r->arena, run, false));
    row[LABEL] = cell_text(run_is_labelled(run) ? run_tag(r->arena, run) : NULL);
    row[UNIT] = unit_cell(unit_of_run(run));
    circuit_cells(r, run, row);
    if (run->from.box || run->from.panel)
        row[FROM] = cell_text(end_address(r->arena, run->from, false));
    if (run->to.box || run->to.panel)
        row[TO] = cell_text(end_address(r->arena, run->to, false));
    row[CABLE] = cell_text(cable ? cable->name : NULL);
    row[NETS] = nets_cell(r, run);
    row[SPARES] = cell_integer(w->conductors ? w->count - w->used : 0);
    length_cells(r, run, row);
}

void report_runs(const struct results *r, struct report *report)
{
    bool measured = false;
    if (r->explained) {
        explain_run(r, report, r->explained);
        return;
    }
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        if (!is_built(unit_of_run(r->model->runs.at[i])))
            continue;
        add_run(r, report, r->model->runs.at[i]);
        measured = measured || r->routes->of_run[i].measured;
    }
    *vec_push(r->arena, &report->notes) = "The ground of each cable comes besides. Marked: a white "
                                          "that is no neutral, re-identified wherever it shows.";
    if (measured)
        *vec_push(r->arena, &report->notes) =
            "* measured on site; the length given by the plan, ends included.";
}
