/* What is left on each coil. What lies in the wall came off its coil, also where it was pulled
 * anew. */
#include "emit/reports/todo_coils.h"

#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "model/orders.h"

enum { COIL, CABLE, STOCK, PIECES, PULLED, LEFT };

static const struct column coil_columns[] = {
    [COIL] = {"coil", "Coil", 0, 0},
    [CABLE] = {"cable", "Cable", 0, 0},
    [STOCK] = {"stock_ft", "Length", 2, COLUMN_RIGHT},
    [PIECES] = {"pieces", "Pieces pulled", 0, COLUMN_RIGHT},
    [PULLED] = {"pulled_ft", "Pulled", 2, COLUMN_RIGHT},
    [LEFT] = {"left_ft", "Left", 2, COLUMN_RIGHT},
};

/* `stock` 0: not known. */
static void add_coil(struct report *report, const char *name, const char *cable, length stock,
                     length pulled, uint32_t pieces)
{
    struct cell *row = table_row(&report->totals);
    row[COIL] = cell_shown(cell_text(name), name ? NULL : "not known");
    row[CABLE] = cell_text(cable);
    row[PIECES] = cell_integer(pieces);
    row[PULLED] = cell_length(pulled);
    if (!stock)
        return;
    row[STOCK] = cell_length(stock);
    row[LEFT] = cell_length(stock - pulled);
}

static void add_loose(struct report *report, const struct cut *cuts, uint32_t count,
                      const char *cable)
{
    length sum = 0;
    for (uint32_t i = 0; i < count; i++)
        sum += cuts[i].length;
    if (count)
        add_coil(report, NULL, cable, 0, sum, count);
}

/* Coils of the cut list, opened ones first, then those of the plan that it does not need; every
 * pull counts, also of a cable that was pulled anew. */
static void add_coils(const struct results *r, struct report *report)
{
    struct map found = {0};
    for (uint32_t i = 0; i < r->cuts->cable_count; i++) {
        const struct cable_cuts *c = &r->cuts->cables[i];
        for (uint32_t k = 0; k < c->coil_count; k++) {
            const struct cut_coil *coil = &c->coils[k];
            map_put(r->arena, &found, (uintptr_t)c->cable,
                    (uintptr_t)names_of(r->model->names, coil->name), (void *)coil);
            add_coil(report, coil->name, c->cable->name, coil->stock, coil->pulled,
                     coil->pulled_count);
        }
        add_loose(report, c->loose, c->loose_count, c->cable->name);
    }
    add_loose(report, r->cuts->unknown, r->cuts->unknown_count, NULL);
    for (uint32_t i = 0; i < r->model->coils.n; i++) {
        const struct coil *coil = r->model->coils.at[i];
        if (coil->name && coil->cable &&
            !map_find(&found, coil->cable, names_of(r->model->names, coil->name)))
            add_coil(report, coil->name, coil->cable->name, coil->length, 0, 0);
    }
}

void todo_add_coils(const struct results *r, struct report *report)
{
    table_begin(&report->totals, r->arena, coil_columns,
                sizeof coil_columns / sizeof *coil_columns);
    add_coils(r, report);
    struct grid *list = report_part(r, report, "On the coils, by the site log", coil_columns,
                                    sizeof coil_columns / sizeof *coil_columns);
    *list = report->totals;
}
