/* The voltage lost on the way to each box. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "loads/loads.h"

enum { PANEL, CIRCUIT, HANDLE, UNIT, BOX, FEET, AMPS, DROP, PERCENT, FEEDER, TOTAL, DESIGN };

static const struct column columns[] = {
    [PANEL] = {"panel", "Panel", 0, COLUMN_DATA},
    [CIRCUIT] = {"circuit", "Circuit", 0, 0},
    [HANDLE] = {"handle", "Handle", 0, COLUMN_DATA},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [BOX] = {"box", "Box", 0, 0},
    [FEET] = {"feet", "Feet, one way", 2, COLUMN_RIGHT},
    [AMPS] = {"amps", "A", 2, COLUMN_RIGHT},
    [DROP] = {"drop_v", "V lost", 2, COLUMN_RIGHT},
    [PERCENT] = {"percent", "%", 2, COLUMN_RIGHT},
    [FEEDER] = {"feeder_percent", "Feeder %", 2, COLUMN_RIGHT},
    [TOTAL] = {"total_percent", "Total %", 2, COLUMN_RIGHT},
    [DESIGN] = {"design_percent", "Design %", 2, COLUMN_RIGHT},
};

static void add_drop(const struct results *r, struct report *report, const struct drop *d)
{
    struct cell *row = table_row(&report->rows);
    row[PANEL] = words_panel_cell(r, d->circuit->panel);
    row[CIRCUIT] = words_circuit_cell(r, d->circuit);
    row[HANDLE] = cell_text(words_handle(r, d->circuit));
    row[UNIT] = words_unit_cell(d->circuit->unit);
    row[BOX] = cell_text(d->box ? view_of_box(r, d->box)->address : NULL);
    row[FEET] = cell_number(d->feet);
    row[AMPS] = cell_number(d->amps);
    row[DROP] = cell_number(d->volts);
    row[PERCENT] = cell_number(d->percent);
    row[FEEDER] = cell_number(d->feeder_percent);
    row[TOTAL] = cell_number(d->total_percent);
    row[DESIGN] = cell_number(d->design_percent);
}

/* "Most: 4.2 % in all at shop.R5 on P18". */
static const char *most_words(const struct results *r)
{
    const struct drop *most = NULL;
    for (uint32_t i = 0; i < r->loads->drops.n; i++) {
        const struct drop *d = &r->loads->drops.at[i];
        if (facts_is_built(d->circuit->unit) && d->box &&
            (!most || d->total_percent > most->total_percent))
            most = d;
    }
    return most ? arena_printf(r->arena, "Most: %.1f %% in all at %s on %s.", most->total_percent,
                               view_of_box(r, most->box)->address, words_circuit(r, most->circuit))
                : NULL;
}

void report_drop(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->loads->drops.n; i++)
        if (facts_is_built(r->loads->drops.at[i].circuit->unit))
            add_drop(r, report, &r->loads->drops.at[i]);
    report->says = most_words(r);
    *vec_push(r->arena, &report->notes) =
        "Feet are one way from the panel, A what flows in the run that feeds the box. Design % is "
        "with the design load at this box.";
}
