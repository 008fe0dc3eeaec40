/* Every cable from box to box. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "facts/pulls.h"
#include "framing/routes.h"
#include "log/log.h"
#include "wiring/wiring.h"

enum {
    RUN,
    LABEL,
    PANEL,
    CIRCUIT,
    HANDLE,
    UNIT,
    FROM,
    TO,
    CABLE,
    NETS,
    SPARES,
    ROUTE,
    CUT,
    MEASURED,
    PULLED,
    AGAIN,
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
    [HANDLE] = {"handle", "Handle", 0, COLUMN_DATA},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [FROM] = {"from", "From", 0, COLUMN_DATA},
    [TO] = {"to", "To", 0, COLUMN_DATA},
    [CABLE] = {"cable", "Cable", 0, 0},
    [NETS] = {"nets", "Conductors", 0, 0},
    [SPARES] = {"spares", "Spare", 0, COLUMN_RIGHT},
    [ROUTE] = {"route_ft", "Route", 2, COLUMN_RIGHT},
    [CUT] = {"cut_ft", "Cut", 2, COLUMN_RIGHT},
    [MEASURED] = {"measured", "Measured", 0, COLUMN_DATA},
    [PULLED] = {"pulled_ft", "Pulled", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [AGAIN] = {"pull_again", "Again", 0, COLUMN_DATA | COLUMN_IF_USED},
    [BORES] = {"bores", "Bores", 0, COLUMN_RIGHT},
    [NOTCHES] = {"notches", "Notches", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [SUPPORTS] = {"supports", "Staples", 0, COLUMN_RIGHT},
    [PLATES] = {"plates", "Nail plates", 0, COLUMN_RIGHT},
};

/* The way and the cut; a measured cut is marked, an existing cable is not cut. */
static void length_cells(const struct results *r, const struct run_view *v, struct cell *row)
{
    const struct route *route = v->route;
    row[MEASURED] = cell_bool(route->measured);
    if (!route->known)
        return;
    row[ROUTE] = cell_length(route->path);
    row[CUT] = cell_length(route->cut);
    if (v->run->existing)
        row[CUT].shown = "existing";
    else if (v->run != facts_pulled_with(v->run))
        row[CUT].shown = "same piece";
    else if (route->measured)
        row[CUT].shown = arena_printf(r->arena, "%s *", v->cut);
    row[BORES] = cell_integer(route->bores);
    if (route->notches)
        row[NOTCHES] = cell_integer(route->notches);
    row[SUPPORTS] = cell_integer(route->supports);
    row[PLATES] = cell_integer(route->plates);
}

/* What hangs in the wall by the site log; what does not serve is pulled again. */
static void pulled_cells(const struct results *r, const struct run_view *v, struct cell *row)
{
    const struct run_log *log = r->log ? &r->log->of_run[v->run->id] : NULL;
    if (!log || !log->in_wall || v->run->existing)
        return;
    row[PULLED] = cell_length(log->in_wall);
    row[AGAIN] = cell_bool(log->again);
    if (log->again || !log->pulled || !log->pulled->length)
        row[PULLED].shown = arena_printf(r->arena, "%s, %s", length_words(r->arena, log->in_wall),
                                         log->again ? "pull again" : "as planned");
}

/* By its handle; what is low voltage has its own name. */
static void circuit_cells(const struct results *r, const struct run_view *v, struct cell *row)
{
    const struct circuit *c = v->run->circuit;
    if (!c) {
        row[CIRCUIT].shown = v->work;
        return;
    }
    row[PANEL] = words_panel_cell(r, c->panel);
    row[CIRCUIT] = words_circuit_cell(r, c);
    row[HANDLE] = cell_text(words_handle(r, c));
}

static void add_run(const struct results *r, struct report *report, const struct run_view *v)
{
    const struct run_wiring *w = v->wiring;
    struct cell *row = table_row(&report->rows);
    row[RUN] = cell_text(v->address);
    row[LABEL] = cell_text(v->label);
    row[UNIT] = words_unit_cell(v->unit);
    circuit_cells(r, v, row);
    row[FROM] = cell_text(v->from);
    row[TO] = cell_text(v->to);
    row[CABLE] = v->cable || !v->run->existing ? cell_text(v->cable)
                                               : cell_shown((struct cell){0}, "unknown");
    row[NETS] = words_nets_cell(r, v->run);
    row[SPARES] = cell_integer(w->conductors ? w->count - w->used : 0);
    length_cells(r, v, row);
    pulled_cells(r, v, row);
}

void report_runs(const struct results *r, struct report *report)
{
    bool measured = false, pulled = false;
    uint32_t count = 0;
    length pull = 0;
    if (r->explained) {
        way_explain(r, report, r->explained);
        return;
    }
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct run_view *v = view_built_run(r, i);
        if (!v)
            continue;
        add_run(r, report, v);
        pulled = pulled || v->run->passage;
        measured = measured || v->route->measured;
        count += v->label != NULL;
        pull += v->label && v->route->known ? v->route->cut : 0;
    }
    report->says =
        arena_printf(r->arena, "%s to pull, %s with their loops; %u run%s in all.",
                     arena_counted(r->arena, count, "cable", "cables"),
                     length_words(r->arena, length_eighths(pull)), table_rows(&report->rows),
                     table_rows(&report->rows) == 1 ? "" : "s");
    *vec_push(r->arena, &report->notes) =
        "The ground of each cable comes besides. Re-identified: a "
        "white that is no neutral, marked wherever it shows.";
    if (pulled)
        *vec_push(r->arena, &report->notes) =
            "Same piece: its conductors go on uncut from the raceway before, whose cut is that of "
            "all.";
    if (measured)
        *vec_push(r->arena, &report->notes) =
            "* measured on site; the length given by the plan, ends included.";
}
