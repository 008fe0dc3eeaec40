/* Every hole to bore and notch to cut: what to bring, and where it goes. */
#include "base/sort.h"
#include "emit/drills.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/places.h"
#include "framing/routes.h"
#include "model/site.h"
#include "wiring/bores.h"

enum { MEMBER, PLACE, UNIT, DIAMETER, NOTCH, COUNT, CABLES, PLATES, COLUMNS };

static const struct column columns[COLUMNS] = {
    [MEMBER] = {"member", "Member", 0, 0},
    [PLACE] = {"place", "Place", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [DIAMETER] = {"diameter_in", "Bit", 4, COLUMN_RIGHT | COLUMN_INCHES | COLUMN_EXACT},
    [NOTCH] = {"notch_in", "Notch", 4,
               COLUMN_RIGHT | COLUMN_INCHES | COLUMN_EXACT | COLUMN_IF_USED},
    [COUNT] = {"count", "Count", 0, COLUMN_RIGHT},
    [CABLES] = {"cables", "Cables", 0, 0},
    [PLATES] = {"plates", "Nail plates", 0, COLUMN_RIGHT},
};

enum {
    TOTAL_BIT,
    TOTAL_NOTCH,
    TOTAL_HOLES,
    TOTAL_NOTCHES,
    TOTAL_WOOD,
    TOTAL_PLATES,
    TOTAL_IN_STUDS,
    TOTAL_IN_PLATES,
    TOTAL_IN_JOISTS,
    TOTAL_CORD,
    TOTALS
};

static const struct column total_columns[TOTALS] = {
    [TOTAL_BIT] = {"diameter_in", "Bit", 4, COLUMN_RIGHT | COLUMN_INCHES | COLUMN_EXACT},
    [TOTAL_NOTCH] = {"notch_in", "Notch", 4,
                     COLUMN_RIGHT | COLUMN_INCHES | COLUMN_EXACT | COLUMN_IF_USED},
    [TOTAL_HOLES] = {"holes", "Holes", 0, COLUMN_RIGHT},
    [TOTAL_NOTCHES] = {"notches", "Notches", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [TOTAL_WOOD] = {"wood_in", "Wood bored", 1, COLUMN_RIGHT | COLUMN_INCHES | COLUMN_EXACT},
    [TOTAL_PLATES] = {"plates", "Nail plates", 0, COLUMN_RIGHT},
    [TOTAL_IN_STUDS] = {"in_studs", "In studs", 0, COLUMN_RIGHT},
    [TOTAL_IN_PLATES] = {"in_plates", "In plates", 0, COLUMN_RIGHT},
    [TOTAL_IN_JOISTS] = {"in_joists", "In joists", 0, COLUMN_RIGHT},
    [TOTAL_CORD] = {"corded", "Drill", 0, 0},
};

/* Bores in one place with one bit are one row, and so are notches of one depth. */
static bool one_row(const struct bore *a, const struct bore *b)
{
    struct sort_key p = route_hole_key(a->members, a->at), q = route_hole_key(b->members, b->at);
    return a->bit == b->bit && a->notch == b->notch && p.first == q.first && p.second == q.second;
}

static uint32_t add_row(const struct results *r, struct report *report, uint32_t at)
{
    const struct bores *bores = r->bores;
    const struct bore *first = &bores->list.at[at];
    struct passed p = bore_member(bores, first);
    uint32_t end = at, plates = 0, cables = 0;
    for (; end < bores->list.n && one_row(first, &bores->list.at[end]); end++) {
        plates += bores->list.at[end].plates;
        cables += bores->list.at[end].run_count;
    }
    const char **names = arena_array(r->arena, const char *, cables);
    for (uint32_t i = at, n = 0; i < end; i++)
        for (uint32_t k = 0; k < bores->list.at[i].run_count; k++)
            names[n++] = view_of_run(r, bores->list.at[i].runs[k])->address;
    struct cell *row = table_row(&report->rows);
    row[MEMBER] = cell_text(words_member(r->arena, &p));
    row[PLACE] =
        cell_shown(cell_text(words_member_place(r->arena, &p)), words_member_told(r->arena, &p));
    row[UNIT] = words_unit_cell(view_of_run(r, first->runs[0])->unit);
    if (first->notch)
        row[NOTCH] = cell_length(first->notch);
    else
        row[DIAMETER] = cell_length(first->bit);
    row[COUNT] = cell_integer(end - at);
    row[CABLES] = cell_list(names, cables);
    row[PLATES] = cell_integer(plates);
    return end;
}

/* The next measure after `done` of the bits, or of the notches; 0 where there is none. */
static length next_measure(const struct results *r, bool notches, length done)
{
    length next = 0;
    for (uint32_t i = 0; i < r->bores->list.n; i++) {
        length l = notches ? r->bores->list.at[i].notch : r->bores->list.at[i].bit;
        if (l > done && (!next || l < next))
            next = l;
    }
    return next;
}

static void add_total(const struct results *r, struct report *report, bool notches, length measure)
{
    length wood = 0;
    uint32_t count = 0, plates = 0,
             in[] = {[MEMBER_STUD] = 0, [MEMBER_PLATE] = 0, [MEMBER_JOIST] = 0};
    for (uint32_t i = 0; i < r->bores->list.n; i++) {
        const struct bore *b = &r->bores->list.at[i];
        if ((notches ? b->notch : b->bit) != measure)
            continue;
        count++;
        in[b->members->member]++;
        plates += b->plates;
        wood += wiring_bored_through(r->model, r->bores, b);
    }
    struct cell *row = table_row(&report->totals);
    row[notches ? TOTAL_NOTCH : TOTAL_BIT] = cell_length(measure);
    row[notches ? TOTAL_NOTCHES : TOTAL_HOLES] = cell_integer(count);
    if (!notches)
        row[TOTAL_WOOD] = cell_length(wood);
    row[TOTAL_PLATES] = cell_integer(plates);
    row[TOTAL_IN_STUDS] = cell_integer(in[MEMBER_STUD]);
    row[TOTAL_IN_PLATES] = cell_integer(in[MEMBER_PLATE]);
    row[TOTAL_IN_JOISTS] = cell_integer(in[MEMBER_JOIST]);
    bool corded = drills_bit_wants_cord(r, measure);
    if (!notches)
        row[TOTAL_CORD] = cell_shown(cell_bool(corded), corded ? "with a cord" : "cordless");
}

static length wood_of_all(const struct results *r)
{
    length wood = 0;
    for (uint32_t i = 0; i < r->bores->list.n; i++)
        if (r->bores->list.at[i].bit)
            wood += wiring_bored_through(r->model, r->bores, &r->bores->list.at[i]);
    return wood;
}

/* Which drill the bits ask for stands in their rows; all of the wood may ask for one too. */
static void note_drill(const struct results *r, struct report *report)
{
    length wood = wood_of_all(r);
    if (wood)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena, "%s of wood are bored through in all%s Which drill: common trade practice.",
            length_words(r->arena, length_eighths(wood)),
            drills_wood_wants_cord(r, wood) ? ": that asks for a drill with a cord." : ".");
}

/* Holes and inches of wood for each bit, then notches of each depth, the smallest first. */
static void add_totals(const struct results *r, struct report *report)
{
    table_begin(&report->totals, r->arena, total_columns, TOTALS);
    for (int notches = 0; notches < 2; notches++)
        for (length m = 0; (m = next_measure(r, notches, m));)
            add_total(r, report, notches, m);
}

/* "265 holes to bore, 3 notches; 1 nail plate". */
static const char *sum_words(const struct results *r)
{
    uint32_t holes = 0, notches = 0, plates = 0;
    for (uint32_t i = 0; i < r->bores->list.n; i++) {
        const struct bore *b = &r->bores->list.at[i];
        (*(b->notch ? &notches : &holes))++;
        plates += b->plates;
    }
    const char *cut = notches ? arena_printf(r->arena, ", %s",
                                             arena_counted(r->arena, notches, "notch", "notches"))
                              : "";
    return arena_printf(r->arena, "%s to bore%s; %s.",
                        arena_counted(r->arena, holes, "hole", "holes"), cut,
                        arena_counted(r->arena, plates, "nail plate", "nail plates"));
}

void report_bores(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, COLUMNS);
    for (uint32_t i = 0; i < r->bores->list.n;)
        i = add_row(r, report, i);
    add_totals(r, report);
    report->says = sum_words(r);
    note_drill(r, report);
    if (next_measure(r, true, 0))
        *vec_push(r->arena, &report->notes) =
            "A notch is cut into the face of its member, as deep as it says and as long as its "
            "cables lie side by side; a plate goes over each.";
    *vec_push(r->arena, &report->notes) =
        "Studs count from the wall's left end as one stands in its room, joists from the level's "
        "south-west corner; the first stands one spacing from there. "
        "End studs stand in the corners, a king and jacks on each side of an opening, cripples "
        "under a sill. Bores are meant in the middle of their member.";
}
