/* The cut list: coils in the order in which they are opened, pieces in pulling order. */
#include "cuts/cuts.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "model/address.h"

enum {
    COIL,
    CABLE,
    STOCK,
    PIECE,
    RUN,
    LABEL,
    UNIT,
    CUT,
    PULLED,
    SAID,
    FROM,
    TO,
    HOME_RUN,
    REMAINDER,
    STRAND
};

static const struct column columns[] = {
    [COIL] = {"coil", "Coil", 0, 0},
    [CABLE] = {"cable", "Cable", 0, COLUMN_DATA},
    [STOCK] = {"stock_ft", "Length", 2, COLUMN_RIGHT},
    [PIECE] = {"piece", "Piece", 0, COLUMN_RIGHT},
    [RUN] = {"run", "Run", 0, 0},
    [LABEL] = {"label", "Label", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [CUT] = {"cut_ft", "Cut", 2, COLUMN_RIGHT},
    [PULLED] = {"pulled", "Pulled", 0, COLUMN_IF_USED},
    [SAID] = {"coil_said", "Coil said", 0, COLUMN_DATA | COLUMN_IF_USED},
    [FROM] = {"from", "From", 0, COLUMN_DATA},
    [TO] = {"to", "To", 0, COLUMN_DATA},
    [HOME_RUN] = {"home_run", "Home run", 0, 0},
    [REMAINDER] = {"remainder_ft", "Left", 2, COLUMN_RIGHT},
    [STRAND] = {"strand", "Strand", 0, COLUMN_RIGHT | COLUMN_IF_USED},
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

/* What was pulled is listed where the whole job is asked for. */
static uint32_t first_cut(const struct results *r, const struct cut_coil *coil)
{
    return r->whole ? 0 : coil->pulled_count;
}

/* "tail-end, 14/2 on hand": what does not come from the shop. */
static struct cell coil_cell(const struct results *r, const struct cut_coil *coil)
{
    struct cell name = cell_text(coil->name);
    const char *is = coil->on_hand ? "on hand" : coil->opened && !r->whole ? "opened" : NULL;
    if (!is)
        return name;
    return cell_shown(name, arena_printf(r->arena, "%s, %s %s", coil->name, coil->cable->name, is));
}

static void pulled_cells(const struct results *r, const struct cut *cut, struct cell *row)
{
    if (!cut->pulled)
        return;
    const char *length = cut->measured ? "as measured" : "as planned";
    row[PULLED] =
        cell_shown(cell_text(length),
                   cut->said ? length : arena_printf(r->arena, "%s; coil not logged", length));
    row[SAID] = cell_bool(cut->said);
}

/* On the first of the raceways that are one pull stands its label, on the others none. */
static void run_cells(const struct results *r, const struct cut *cut, bool of_raceway,
                      struct cell *row)
{
    if (!cut->run) {
        row[RUN] = cell_shown(cell_text(cut->subject),
                              arena_printf(r->arena, "%s, not in the plan", cut->subject));
        return;
    }
    const struct run_view *v = view_of_run(r, cut->run);
    row[RUN] = cell_text(address_between(r->arena, cut->ends[0], cut->ends[1], false));
    row[LABEL] = cell_text(of_raceway ? v->label : v->tag);
    row[UNIT] = words_unit_cell(v->unit);
    row[FROM] = cell_text(address_of_end(r->arena, cut->ends[0], false));
    row[TO] = cell_text(address_of_end(r->arena, cut->ends[1], false));
}

static void add_coil(const struct results *r, struct report *report, const struct cut_coil *coil)
{
    uint32_t first = first_cut(r, coil);
    for (uint32_t i = first; i < coil->cut_count; i++) {
        const struct cut *cut = &coil->cuts[i];
        struct cell *row = table_row(&report->rows);
        row[COIL] = coil_cell(r, coil);
        row[CABLE] = cell_text(coil->cable->name);
        row[STOCK] = cell_length(coil->stock - (first ? coil->pulled : 0));
        row[PIECE] = cell_integer((int64_t)(i - first) + 1);
        run_cells(r, cut, coil->cable->raceway, row);
        row[CUT] = cell_length(cut->length);
        pulled_cells(r, cut, row);
        row[HOME_RUN] = cell_bool(cut->home_run);
        row[REMAINDER] = cell_length(cut->remainder);
        if (cut->strand)
            row[STRAND] = cell_integer(cut->strand);
    }
}

/* The bound is of what was made least: the price where there is one, else the feet bought. What was
 * spent and bought before is part of both. */
static void bound_cells(const struct cable_cuts *c, double spent, length before, struct cell *row)
{
    if (c->pack.cost > 0 || spent > 0) {
        row[SUM_PRICE] = cell_number(spent + (double)c->pack.cost / c->money);
        row[SUM_BOUND_PRICE] = cell_number(spent + (double)c->pack.bound_cost / c->money);
    } else {
        row[SUM_BOUND_FEET] = cell_length(before + c->pack.bound_bought);
    }
    row[SUM_PROVEN] = cell_bool(c->pack.proven);
}

/* Of the pieces that are listed. What was bought before counts where the whole job is asked for. */
static void add_total(const struct results *r, struct report *report, const struct cable_cuts *c)
{
    length cut = 0, left = 0, before = 0;
    uint32_t pieces = 0, coils = 0, bought_coils = c->pack.bought_coils;
    double spent = 0;
    for (uint32_t i = 0; i < c->coil_count; i++) {
        const struct cut_coil *coil = &c->coils[i];
        uint32_t first = first_cut(r, coil);
        if (first == coil->cut_count)
            continue;
        coils++;
        pieces += coil->cut_count - first;
        left += coil->remainder;
        for (uint32_t k = first; k < coil->cut_count; k++)
            cut += coil->cuts[k].length;
        if (r->whole && coil->opened && !coil->on_hand) {
            before += coil->stock;
            bought_coils++;
            spent += coil->price > 0 ? coil->price : 0;
        }
    }
    if (!pieces)
        return;
    struct cell *row = table_row(&report->totals);
    row[SUM_CABLE] = cell_text(c->cable->name);
    row[SUM_PIECES] = cell_integer(pieces);
    row[SUM_CUT] = cell_length(cut);
    row[SUM_COILS] = cell_integer(coils);
    row[SUM_BOUGHT_COILS] = cell_integer(bought_coils);
    row[SUM_BOUGHT] = cell_length(before + c->pack.bought);
    row[SUM_LEFT] = cell_length(left);
    bound_cells(c, spent, before, row);
}

static void note(const struct results *r, struct report *report, const char *words)
{
    *vec_push(r->arena, &report->notes) = words;
}

static void note_gap(const struct results *r, struct report *report, const struct cable_cuts *c)
{
    struct buf b = {0};
    table_print_number(&b, 100 * c->pack.gap, 1);
    note(r, report,
         arena_printf(
             r->arena,
             "%s: the search stopped at its limit; a better allotment could save %s %% at most.",
             c->cable->name, buf_text(&b)));
    buf_free(&b);
}

static void add_notes(const struct results *r, struct report *report, const struct cable_cuts *c)
{
    for (uint32_t i = 0; i < c->too_long_count; i++)
        note(r, report,
             arena_printf(r->arena,
                          c->refused ? "Not cut: %s; a coil or cut of %s is longer than can be "
                                       "reckoned with."
                                     : "Not cut: %s is longer than what any coil of %s has left.",
                          view_of_run(r, c->too_long[i])->address, c->cable->name));
    if (!c->pack.proven && !c->refused)
        note_gap(r, report, c);
}

/* --- what the log says of the coils ------------------------------------------------------- */

/* What the log leaves open, and how it was taken. */
struct open_ends {
    uint32_t pieces, to_cut, planned, unsaid;
};

static void count_open_ends(const struct cable_cuts *c, struct open_ends *n)
{
    for (uint32_t i = 0; i < c->coil_count; i++)
        for (uint32_t k = 0; k < c->coils[i].cut_count; k++) {
            const struct cut *cut = &c->coils[i].cuts[k];
            n->pieces++;
            n->to_cut += !cut->pulled;
            n->planned += cut->pulled && !cut->measured;
            n->unsaid += cut->pulled && !cut->said;
        }
    n->to_cut += c->too_long_count;
    n->pieces += c->too_long_count + c->loose_count;
    for (uint32_t i = 0; i < c->loose_count; i++)
        n->planned += !c->loose[i].measured;
}

static void note_coil(const struct results *r, struct report *report, const struct cut_coil *coil)
{
    if (coil->guessed)
        note(r, report,
             arena_printf(r->arena,
                          "%s: neither the plan nor the cut list says how long it was; taken as a "
                          "coil of %s.",
                          coil->name, length_words(r->arena, coil->stock)));
    if (coil->pulled > coil->stock)
        note(r, report,
             arena_printf(r->arena, "%s: the log takes %s off it, and it had %s.", coil->name,
                          length_words(r->arena, coil->pulled),
                          length_words(r->arena, coil->stock)));
}

static void note_loose(const struct results *r, struct report *report, const struct cut *cuts,
                       uint32_t count, const char *cable)
{
    length sum = 0;
    for (uint32_t i = 0; i < count; i++)
        sum += cuts[i].length;
    if (count)
        note(r, report,
             arena_printf(r->arena, "Pulled, and off no coil that is known: %s of %s.",
                          length_words(r->arena, sum), cable));
}

static void note_log(const struct results *r, struct report *report)
{
    struct open_ends n = {0};
    for (uint32_t i = 0; i < r->cuts->cable_count; i++) {
        const struct cable_cuts *c = &r->cuts->cables[i];
        count_open_ends(c, &n);
        for (uint32_t k = 0; k < c->coil_count; k++)
            note_coil(r, report, &c->coils[k]);
        note_loose(r, report, c->loose, c->loose_count, c->cable->name);
    }
    note_loose(r, report, r->cuts->unknown, r->cuts->unknown_count, "a cable that is not logged");
    if (n.planned)
        note(r, report,
             arena_printf(r->arena,
                          "Pulled without a length in the log, and counted at the planned cut: %u "
                          "of %u.",
                          n.planned, n.pieces - n.to_cut));
    if (n.unsaid)
        note(r, report,
             arena_printf(r->arena,
                          "Pulled without a coil in the log, and counted off that of the cut list: "
                          "%u of %u.",
                          n.unsaid, n.pieces - n.to_cut));
    report->says = arena_printf(r->arena, "Still to cut: %u of %s.", n.to_cut,
                                arena_counted(r->arena, n.pieces, "piece", "pieces"));
}

/* "73 pieces to cut from 15 coils, of which 12 are to be bought". */
static const char *sum_words(const struct results *r)
{
    uint32_t pieces = 0, coils = 0, bought = 0;
    for (uint32_t i = 0; i < r->cuts->cable_count; i++)
        for (uint32_t k = 0; k < r->cuts->cables[i].coil_count; k++) {
            const struct cut_coil *coil = &r->cuts->cables[i].coils[k];
            pieces += coil->cut_count;
            coils += coil->cut_count > 0;
            bought += coil->cut_count > 0 && !coil->on_hand;
        }
    return arena_printf(r->arena, "%s to cut from %s, of which %u to be bought.",
                        arena_counted(r->arena, pieces, "piece", "pieces"),
                        arena_counted(r->arena, coils, "coil", "coils"), bought);
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
        add_total(r, report, c);
        add_notes(r, report, c);
    }
    if (r->log)
        note_log(r, report);
    else
        report->says = sum_words(r);
}
