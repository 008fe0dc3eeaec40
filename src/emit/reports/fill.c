/* What each box holds against its volume. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "facts/existing.h"
#include "model/site.h"
#include "wiring/wiring.h"

enum {
    BOX,
    UNIT,
    TYPE,
    VOLUME,
    CONDUCTORS,
    GROUNDS,
    CLAMPS,
    FITTINGS,
    DEVICES,
    BLOCKS,
    REQUIRED,
    FREE,
    PERCENT
};

static const struct column columns[] = {
    [BOX] = {"box", "Box", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [TYPE] = {"type", "Type", 0, 0},
    [VOLUME] = {"volume_in3", "in3", 1, COLUMN_RIGHT},
    [CONDUCTORS] = {"conductors", "Wires", 0, COLUMN_RIGHT},
    [GROUNDS] = {"grounds", "Grounds", 0, COLUMN_RIGHT},
    [CLAMPS] = {"clamps", "Clamps", 0, COLUMN_RIGHT},
    [FITTINGS] = {"fittings", "Fittings", 0, COLUMN_RIGHT},
    [DEVICES] = {"devices", "Devices", 0, COLUMN_RIGHT},
    [BLOCKS] = {"terminal_blocks", "Blocks", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [REQUIRED] = {"required_in3", "Needs in3", 2, COLUMN_RIGHT},
    [FREE] = {"free_in3", "Free in3", 2, COLUMN_RIGHT},
    [PERCENT] = {"percent", "% full", 1, COLUMN_RIGHT},
};

static void add_box(const struct results *r, struct report *report, const struct box *b)
{
    const struct box_view *v = view_of_box(r, b);
    const struct fill *f = v->fill;
    const struct cell unknown = cell_shown((struct cell){0}, "unknown");
    struct cell *row = table_row(&report->rows);
    row[BOX] = cell_text(v->address);
    row[UNIT] = words_unit_cell(v->unit);
    row[TYPE] = v->type ? cell_text(v->type)
                        : cell_shown((struct cell){0}, b->existing ? "unknown" : "none holds it");
    if (f->volume > 0)
        row[VOLUME] = cell_number(f->volume);
    else if (facts_type_untold(b))
        row[VOLUME] = unknown;
    if (f->untold) {
        row[CONDUCTORS] = row[GROUNDS] = row[REQUIRED] = unknown;
        return;
    }
    row[CONDUCTORS] = cell_integer(f->conductors);
    row[GROUNDS] = cell_integer(f->grounds);
    row[CLAMPS] = cell_integer(f->clamps);
    row[FITTINGS] = cell_integer(f->fittings);
    row[DEVICES] = cell_integer(f->devices);
    if (f->terminal_blocks)
        row[BLOCKS] = cell_integer(f->terminal_blocks);
    row[REQUIRED] = cell_number(f->required);
    if (f->volume <= 0)
        return;
    row[FREE] = cell_number(f->volume - f->required);
    row[PERCENT] = cell_number(100 * f->required / f->volume);
}

/* "53 boxes; the fullest is shop.S2, 91 %". */
static const char *fullest_words(const struct results *r, const struct report *report)
{
    const struct cell *most = NULL;
    for (uint32_t i = 0; i < table_rows(&report->rows); i++) {
        const struct cell *row = &report->rows.cells.at[i * report->rows.column_count];
        if (row[PERCENT].kind == CELL_NUMBER &&
            (!most || row[PERCENT].number > most[PERCENT].number))
            most = row;
    }
    const char *boxes = arena_counted(r->arena, table_rows(&report->rows), "box", "boxes");
    return most ? arena_printf(r->arena, "%s; the fullest is %s, %.0f %%.", boxes, most[BOX].text,
                               most[PERCENT].number)
                : arena_printf(r->arena, "%s.", boxes);
}

void report_fill(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    uint32_t compartments = 0;
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box *b = r->model->boxes.at[i];
        if (!facts_is_built(b->room->unit))
            continue;
        const struct fill *f = &r->wiring->of_box[i];
        bool open = f->type && f->volume <= 0; /* a bracket without a back */
        if (b->compartment && f->volume <= 0)
            compartments++;
        else if (!open)
            add_box(r, report, b);
    }
    report->says = fullest_words(r, report);
    *vec_push(r->arena, &report->notes) =
        "Wires, grounds, clamps, fittings and devices are counted as the edition counts them; a "
        "wire that passes on in a splice counts too.";
    if (compartments)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena, "%u place%s with a wiring compartment of %s own: its marking governs.",
            compartments, compartments == 1 ? "" : "s", compartments == 1 ? "its" : "their");
}
