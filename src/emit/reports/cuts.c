/* The cut list: coils in the order in which they are opened, pieces in pulling order. */
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "cuts/labels.h"
#include "emit/reports/reports.h"
#include "resolve/value.h"

enum { COIL, CABLE, STOCK, PIECE, RUN, LABEL, UNIT, CUT, FROM, TO, HOME_RUN, REMAINDER };

static const struct column columns[] = {
    [COIL] = {"coil", "Coil", 0, 0},
    [CABLE] = {"cable", "Cable", 0, COLUMN_DATA},
    [STOCK] = {"stock_ft", "Length", 2, COLUMN_RIGHT},
    [PIECE] = {"piece", "Piece", 0, COLUMN_RIGHT},
    [RUN] = {"run", "Run", 0, 0},
    [LABEL] = {"label", "Label", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [CUT] = {"cut_ft", "Cut", 2, COLUMN_RIGHT},
    [FROM] = {"from", "From", 0, COLUMN_DATA},
    [TO] = {"to", "To", 0, COLUMN_DATA},
    [HOME_RUN] = {"home_run", "Home run", 0, 0},
    [REMAINDER] = {"remainder_ft", "Left", 2, COLUMN_RIGHT},
};

enum {
    SUM_CABLE,
    SUM_PIECES,
    SUM_CUT,
    SUM_COILS,
    SUM_BOUGHT_COILS,
    SUM_BOUGHT,
    SUM_LEFT,
    SUM_PRICE,
    SUM_BOUND_PRICE,
    SUM_BOUND_FEET,
    SUM_PROVEN
};

static const struct column total_columns[] = {
    [SUM_CABLE] = {"cable", "Cable", 0, 0},
    [SUM_PIECES] = {"pieces", "Pieces", 0, COLUMN_RIGHT},
    [SUM_CUT] = {"cut_ft", "Cut", 2, COLUMN_RIGHT},
    [SUM_COILS] = {"coils", "Coils used", 0, COLUMN_RIGHT},
    [SUM_BOUGHT_COILS] = {"bought_coils", "Coils bought", 0, COLUMN_RIGHT},
    [SUM_BOUGHT] = {"bought_ft", "Bought", 2, COLUMN_RIGHT},
    [SUM_LEFT] = {"remainder_ft", "Left", 2, COLUMN_RIGHT},
    [SUM_PRICE] = {"price", "Price", 2, COLUMN_RIGHT},
    [SUM_BOUND_PRICE] = {"bound_price", "Price at least", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [SUM_BOUND_FEET] = {"bound_ft", "Bought at least", 2, COLUMN_RIGHT | COLUMN_IF_USED},
    [SUM_PROVEN] = {"proven", "Proven", 0, 0},
};

static void add_coil(const struct results *r, struct report *report, const struct cut_coil *coil)
{
    for (uint32_t i = 0; i < coil->cut_count; i++) {
        const struct cut *cut = &coil->cuts[i];
        struct cell *row = table_row(&report->rows);
        row[COIL] = coil->on_hand ? cell_shown(cell_text(coil->name),
                                               arena_printf(r->arena, "%s, %s on hand", coil->name,
                                                            coil->cable->name))
                                  : cell_text(coil->name);
        row[CABLE] = cell_text(coil->cable->name);
        row[STOCK] = cell_length(coil->stock);
        row[PIECE] = cell_integer((int64_t)i + 1);
        const struct run_view *v = view_of_run(r, cut->run);
        row[RUN] = cell_text(v->address);
        row[LABEL] = cell_text(v->tag);
        row[UNIT] = words_unit_cell(v->unit);
        row[CUT] = cell_length(cut->length);
        row[FROM] = cell_text(v->from);
        row[TO] = cell_text(v->to);
        row[HOME_RUN] = cell_bool(cut->home_run);
        row[REMAINDER] = cell_length(cut->remainder);
    }
}

/* Money is counted in millionths by the packing. */
static double money(int64_t millionths)
{
    return (double)millionths / MILLION;
}

/* The bound is of what was made least: the price where there is one, else the feet bought. */
static void add_total(struct report *report, const struct cable_cuts *c)
{
    struct cell *row = table_row(&report->totals);
    length cut = 0, left = 0;
    uint32_t pieces = 0;
    for (uint32_t i = 0; i < c->coil_count; i++) {
        pieces += c->coils[i].cut_count;
        left += c->coils[i].remainder;
        for (uint32_t k = 0; k < c->coils[i].cut_count; k++)
            cut += c->coils[i].cuts[k].length;
    }
    row[SUM_CABLE] = cell_text(c->cable->name);
    row[SUM_PIECES] = cell_integer(pieces);
    row[SUM_CUT] = cell_length(cut);
    row[SUM_COILS] = cell_integer(c->coil_count);
    row[SUM_BOUGHT_COILS] = cell_integer(c->pack.bought_coils);
    row[SUM_BOUGHT] = cell_length(c->pack.bought);
    row[SUM_LEFT] = cell_length(left);
    if (c->pack.cost > 0) {
        row[SUM_PRICE] = cell_number(money(c->pack.cost));
        row[SUM_BOUND_PRICE] = cell_number(money(c->pack.bound_cost));
    } else {
        row[SUM_BOUND_FEET] = cell_length(c->pack.bound_bought);
    }
    row[SUM_PROVEN] = cell_bool(c->pack.proven);
}

static void add_notes(const struct results *r, struct report *report, const struct cable_cuts *c)
{
    for (uint32_t i = 0; i < c->too_long_count; i++)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena, "Not cut: %s is longer than what any coil of %s has left.",
                         view_of_run(r, c->too_long[i])->address, c->cable->name);
    if (!c->pack.proven) {
        struct buf b = {0};
        table_print_number(&b, 100 * c->pack.gap, 1);
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena,
            "%s: the search stopped at its limit; a better allotment could save %s %% at most.",
            c->cable->name, buf_text(&b));
        buf_free(&b);
    }
}

void report_cuts(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    *vec_push(r->arena, &report->notes) =
        "\"At least\": no allotment of these cuts costs less, or without prices buys less cable; "
        "proven where the plan reaches it.";
    for (uint32_t i = 0; i < r->cuts->cable_count; i++) {
        const struct cable_cuts *c = &r->cuts->cables[i];
        for (uint32_t k = 0; k < c->coil_count; k++)
            add_coil(r, report, &c->coils[k]);
        add_total(report, c);
        add_notes(r, report, c);
    }
}
