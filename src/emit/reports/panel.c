/* The circuit directory: every breaker of every panel, by space. */
#include "emit/removals.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "facts/existing.h"
#include "loads/loads.h"
#include "loads/panel.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <string.h>

enum {
    PANEL,
    UNIT,
    SPACE,
    CIRCUIT,
    HANDLE,
    HALF,
    FOUND,
    TITLE,
    POLES,
    BREAKER,
    PROTECTION,
    PHASE,
    CABLE,
    ROOMS,
    EXISTING,
    NEW_BREAKER,
    VA,
    CONTINUOUS
};

static const struct column columns[] = {
    [PANEL] = {"panel", "Panel", 0, COLUMN_DATA},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [SPACE] = {"space", "Space", 0, COLUMN_DATA},
    [CIRCUIT] = {"circuit", "Handle", 0, 0},
    [HANDLE] = {"handle", "Handle", 0, COLUMN_DATA},
    [HALF] = {"half", "Half", 0, COLUMN_DATA | COLUMN_IF_USED},
    [FOUND] = {"found", "Found", 0, COLUMN_DATA},
    [TITLE] = {"title", "Serves", 0, 0},
    [POLES] = {"poles", "Poles", 0, COLUMN_RIGHT | COLUMN_DATA},
    [BREAKER] = {"breaker_a", "A", 0, COLUMN_RIGHT},
    [PROTECTION] = {"protection", "Protection", 0, 0},
    [PHASE] = {"phase", "Line", 0, 0},
    [CABLE] = {"cable", "Cable", 0, 0},
    [ROOMS] = {"rooms", "Rooms", 0, 0},
    [EXISTING] = {"existing", "Existing", 0, COLUMN_DATA},
    [NEW_BREAKER] = {"new_breaker", "New breaker", 0, COLUMN_DATA | COLUMN_IF_USED},
    [VA] = {"va", "VA", 0, COLUMN_RIGHT},
    [CONTINUOUS] = {"continuous_va", "Continuous VA", 0, COLUMN_RIGHT},
};

enum { SUM_PANEL, SUM_UNIT, SUM_PHASE, SUM_VA, SUM_CONTINUOUS };

static const struct column total_columns[] = {
    [SUM_PANEL] = {"panel", "Panel", 0, 0},
    [SUM_UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [SUM_PHASE] = {"phase", "Line", 0, 0},
    [SUM_VA] = {"va", "VA", 0, COLUMN_RIGHT},
    [SUM_CONTINUOUS] = {"continuous_va", "Continuous VA", 0, COLUMN_RIGHT},
};

/* For people the panels in a line each, before anything else. */
enum { ALL_PANEL, ALL_TITLE, ALL_RATING, ALL_SPACES, ALL_USED, ALL_CIRCUITS, ALL_A, ALL_B };

static const struct column all_columns[] = {
    [ALL_PANEL] = {"panel", "Panel", 0, 0},
    [ALL_TITLE] = {"title", "Title", 0, COLUMN_IF_USED},
    [ALL_RATING] = {"rating", "Rating", 0, COLUMN_IF_USED},
    [ALL_SPACES] = {"spaces", "Spaces", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [ALL_USED] = {"used", "In use", 0, COLUMN_RIGHT | COLUMN_IF_USED},
    [ALL_CIRCUITS] = {"circuits", "Circuits", 0, COLUMN_RIGHT},
    [ALL_A] = {"a_va", "Line A, VA", 0, COLUMN_RIGHT},
    [ALL_B] = {"b_va", "Line B, VA", 0, COLUMN_RIGHT},
};

/* The card for the door: the two sides of the panel beside each other. */
enum { NARROW = 60 }; /* cells of a page that has no room for both */
enum { LEFT_NUMBER, LEFT_SERVES, LEFT_BREAKER, RIGHT_NUMBER, RIGHT_SERVES, RIGHT_BREAKER };

static const struct column card_columns[] = {
    [LEFT_NUMBER] = {"left", "No.", 0, COLUMN_RIGHT},
    [LEFT_SERVES] = {"left_serves", "Serves", 0, 0},
    [LEFT_BREAKER] = {"left_breaker", "Breaker", 0, 0},
    [RIGHT_NUMBER] = {"right", "No.", 0, COLUMN_RIGHT},
    [RIGHT_SERVES] = {"right_serves", "Serves", 0, 0},
    [RIGHT_BREAKER] = {"right_breaker", "Breaker", 0, 0},
};

/* What its circuits carry, below the card. */
enum {
    CARRY_HANDLE,
    CARRY_SERVES,
    CARRY_CABLE,
    CARRY_ROOMS,
    CARRY_LINE,
    CARRY_VA,
    CARRY_CONTINUOUS
};

static const struct column carry_columns[] = {
    [CARRY_HANDLE] = {"handle", "Handle", 0, 0},
    [CARRY_SERVES] = {"title", "Serves", 0, 0},
    [CARRY_CABLE] = {"cable", "Cable", 0, 0},
    [CARRY_ROOMS] = {"rooms", "Rooms", 0, 0},
    [CARRY_LINE] = {"phase", "Line", 0, 0},
    [CARRY_VA] = {"va", "VA", 0, COLUMN_RIGHT},
    [CARRY_CONTINUOUS] = {"continuous_va", "Continuous VA", 0, COLUMN_RIGHT},
};

/* The cable of the first run from the panel. */
static const char *home_cable(const struct results *r, const struct circuit *c)
{
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *run = c->runs.at[i];
        const struct cable_def *cable = r->wiring->of_run[run->id].cable;
        if (cable && view_of_run(r, run)->home_run)
            return view_of_run(r, run)->cable;
    }
    return c->cable ? c->cable->name : NULL;
}

/* Of an old home run whose cable nobody tells: unknown. */
static struct cell home_cable_cell(const struct results *r, const struct circuit *c)
{
    const char *cable = home_cable(r, c);
    for (uint32_t i = 0; i < c->runs.n && !cable; i++)
        if (facts_cable_untold(c->runs.at[i]) && view_of_run(r, c->runs.at[i])->home_run)
            return cell_shown((struct cell){0}, "unknown");
    return cell_text(cable);
}

static struct cell phase_cell(const struct circuit_space *s)
{
    if (!s->space)
        return cell_text(NULL);
    if (s->poles == 2)
        return cell_shown(cell_text("AB"), "A and B");
    return cell_text(space_line(s->space) ? "B" : "A");
}

static const char *half_word(const struct circuit_space *s)
{
    return s->half == HALF_UPPER ? "upper" : s->half == HALF_LOWER ? "lower" : NULL;
}

/* "P14"; beside it what is there already, what nobody knows, and what may be otherwise. */
static struct cell circuit_cell(const struct results *r, const struct circuit *c)
{
    const struct circuit_space *s = &r->panels->of_circuit[c->id];
    const char *old = !c->existing            ? ""
                      : facts_buys_breaker(c) ? ", existing, new breaker"
                                              : ", existing",
               *unsure = !s->space && c->existing                                ? ", space unknown"
                         : !s->space                                             ? ", no space"
                         : s->found && r->panels->of_panel[c->panel->id].unknown ? ", not certain"
                                                                                 : "";
    return cell_shown(cell_text(circuit_word(r->arena, c)),
                      arena_printf(r->arena, "%s%s%s", words_circuit(r, c), old, unsure));
}

static const char *title_of(const struct circuit *c)
{
    return c->title ? c->title : c->feeds && c->feeds->title ? c->feeds->title : NULL;
}

static void add_circuit(const struct results *r, struct report *report, const struct circuit *c)
{
    const struct circuit_space *s = &r->panels->of_circuit[c->id];
    const struct circuit_load *load = &r->loads->of_circuit[c->id];
    struct cell *row = table_row(&report->rows);
    row[PANEL] = words_panel_cell(r, c->panel);
    row[UNIT] = words_unit_cell(c->unit);
    if (s->space)
        row[SPACE] = cell_integer(s->space);
    row[CIRCUIT] = circuit_cell(r, c);
    row[HANDLE] = cell_text(words_handle(r, c));
    row[HALF] = cell_text(half_word(s));
    row[FOUND] = cell_bool(s->space && s->found);
    row[TITLE] = cell_text(title_of(c));
    row[POLES] = cell_integer(s->poles);
    if (c->breaker > 0)
        row[BREAKER] = cell_number(c->breaker);
    else if (facts_breaker_untold(c))
        row[BREAKER] = cell_shown((struct cell){0}, "unknown");
    row[PROTECTION] = cell_text(words_protection(r->arena, c));
    row[PHASE] = phase_cell(s);
    row[CABLE] = home_cable_cell(r, c);
    row[ROOMS] = words_rooms_cell(r, c);
    row[EXISTING] = cell_bool(c->existing);
    if (c->existing && facts_buys_breaker(c))
        row[NEW_BREAKER] = cell_bool(true);
    row[VA] = cell_number(load->va);
    row[CONTINUOUS] = cell_number(load->continuous_va);
}

static uint32_t space_of(const struct results *r, const struct circuit *c)
{
    return r->panels->of_circuit[c->id].space;
}

/* "these spaces free: 7, 9 to 12", or "no whole space free"; and what makes that uncertain. */
static const char *free_words(const struct results *r, const struct panel *p)
{
    const char *free = panel_free_words(r->arena, r->panels, p, 1, HALF_NONE);
    uint32_t unknown = r->panels->of_panel[p->id].unknown;
    const char *known = p->existing && free ? ", as far as the plan says" : "";
    const char *said = free ? arena_printf(r->arena, "these spaces free%s: %s", known, free)
                            : "no whole space free";
    if (!unknown)
        return said;
    return arena_printf(r->arena,
                        "%s; and %u pole%s of existing circuits stand%s where the plan does not "
                        "say, so that a space which is found is not certain",
                        said, unknown, unknown == 1 ? "" : "s", unknown == 1 ? "s" : "");
}

/* Which spaces are free; panels that follow each other and have the same in one line. */
static void note_free(const struct results *r, struct report *report)
{
    const struct panel *first = NULL, *last = NULL;
    const char *said = NULL;
    uint32_t count = 0;
    for (uint32_t i = 0; i <= r->model->panels.n; i++) {
        const struct panel *p = i < r->model->panels.n ? r->model->panels.at[i] : NULL;
        if (p && (!p->spaces || !facts_is_built(p->unit)))
            continue;
        const char *words = p ? free_words(r, p) : "";
        if (said && strcmp(said, words)) {
            *vec_push(r->arena, &report->notes) = arena_printf(
                r->arena, "%s %s %s.", words_panel_range(r, "Panel", "panels", first, last, count),
                count == 1 ? "has" : "have each", said);
            count = 0;
        }
        first = count ? first : p;
        last = p;
        said = words;
        count++;
    }
}

/* Loads that the plan does not say weigh nothing, so that the lines are balanced by lights and
 * appliances alone. */
static void note_unsaid(const struct results *r, struct report *report, const struct panel *p)
{
    uint32_t unsaid = panel_loads_unsaid(r->panels, p);
    if (unsaid)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena,
            "Panel %s: the plan says no load for %u circuit%s, such as those of receptacles: its "
            "lines are those of lights and appliances only.",
            address_of_panel(r->arena, p, false), unsaid, unsaid == 1 ? "" : "s");
}

static const char *move_words(const struct results *r, const struct panel_move *move)
{
    const char *one = words_circuit(r, move->circuit);
    return move->with ? arena_printf(r->arena, "%s and %s change places", one,
                                     words_circuit(r, move->with))
                      : arena_printf(r->arena, "%s in space %u", one, move->space);
}

/* What would balance the lines better, where they differ by more than the edition's share. */
static void note_order(const struct results *r, struct report *report, const struct panel *p)
{
    const struct panel_lines *lines = &r->panels->of_panel[p->id];
    if (!panel_is_uneven(r->model, lines, 0))
        return;
    struct better_order better = panel_better_order(r->arena, r->panels, p);
    const char *words = "";
    for (uint32_t i = 0; i < better.moves; i++)
        words =
            arena_printf(r->arena, "%s%s%s", words, i ? "; " : "", move_words(r, &better.move[i]));
    if (better.moves)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena,
            "Panel %s carries %.0f VA on line A and %.0f VA on line B. A better order, %.0f VA and "
            "%.0f VA: %s.",
            address_of_panel(r->arena, p, false), lines->va[0], lines->va[1], better.va[0],
            better.va[1], words);
}

/* --- the card for the door ---------------------------------------------------------------- */

/* What stands in one space, a half-size breaker in each half of it. */
struct card_space {
    const struct circuit *in[2]; /* upper, lower; both where it has the whole */
    bool below;                  /* the other pole of the breaker above */
};

static void fill_card(const struct results *r, const struct panel *p, struct card_space *spaces)
{
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *c = p->circuits.at[i];
        const struct circuit_space *s = &r->panels->of_circuit[c->id];
        for (uint32_t pole = 0; s->space && pole < s->poles; pole++) {
            uint32_t at = s->space + 2 * pole;
            uint8_t half = panel_half(s->half, pole);
            if (at > p->spaces)
                break;
            for (int h = 0; h < 2; h++)
                if (half & (h ? LOWER_HALF : UPPER_HALF))
                    spaces[at].in[h] = c;
            spaces[at].below = pole > 0;
        }
    }
}

/* "Studio lights (existing)"; the other pole of a breaker: "with 19". */
static const char *serves_words(const struct results *r, const struct circuit *c, bool below)
{
    const char *title = title_of(c);
    if (below)
        return arena_printf(r->arena, "with %u", r->panels->of_circuit[c->id].space);
    if (!title)
        title = c->feeds ? circuit_word(r->arena, c) : "not told";
    return arena_printf(r->arena, "%s%s", title,
                        !c->existing            ? ""
                        : facts_buys_breaker(c) ? " (existing, new breaker)"
                                                : " (existing)");
}

static const char *card_breaker(const struct results *r, const struct circuit *c, bool below)
{
    if (below)
        return "";
    if (c->breaker <= 0)
        return facts_breaker_untold(c) ? "unknown" : "";
    const char *told = words_protection_told(r->arena, c);
    struct buf b = {0};
    table_print_number(&b, c->breaker, 0);
    buf_printf(&b, " A%s%s", told ? " " : "", told ? told : "");
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

/* One side of a row: number, what it serves, its breaker. */
static void side_cells(const struct results *r, const struct card_space *space, uint32_t number,
                       bool taken, struct cell *cells)
{
    cells[LEFT_NUMBER] = cell_integer(number);
    if (!space->in[0] && !space->in[1]) {
        cells[LEFT_SERVES] = cell_text(taken ? "in use" : "blank");
        return;
    }
    const char *serves[2], *breaker[2];
    for (int h = 0; h < 2; h++) {
        serves[h] = space->in[h] ? serves_words(r, space->in[h], space->below) : "blank";
        breaker[h] = space->in[h] ? card_breaker(r, space->in[h], space->below) : "";
    }
    bool halves = space->in[0] != space->in[1];
    cells[LEFT_SERVES] = cell_text(
        halves ? arena_printf(r->arena, "upper: %s\nlower: %s", serves[0], serves[1]) : serves[0]);
    cells[LEFT_BREAKER] =
        cell_text(halves ? arena_printf(r->arena, "%s\n%s", breaker[0], breaker[1]) : breaker[0]);
}

/* "Panel P, Studio panel: the card for its door". */
static const char *panel_words(const struct results *r, const struct panel *p, const char *what)
{
    return arena_printf(r->arena, "Panel %s%s%s%s", address_of_panel(r->arena, p, false),
                        p->title ? ", " : "", p->title ? p->title : "", what);
}

/* Odd numbers left and even ones right; on a narrow page one below the other. */
static void show_card(const struct results *r, struct report *report, const struct panel *p)
{
    struct card_space *spaces = arena_array(r->arena, struct card_space, p->spaces + 2);
    const uint8_t *used = panel_used_spaces(r->arena, r->panels, p);
    uint32_t sides = r->width && r->width < NARROW ? 1 : 2;
    fill_card(r, p, spaces);
    struct grid *card = report_part(r, report, panel_words(r, p, ": the card for its door"),
                                    card_columns, sides * RIGHT_NUMBER);
    for (uint32_t n = 1; n <= p->spaces; n += sides) {
        struct cell *row = table_row(card);
        for (uint32_t side = 0; side < sides && n + side <= p->spaces; side++)
            side_cells(r, &spaces[n + side], n + side, used[n + side], row + side * RIGHT_NUMBER);
    }
}

/* Behind the card: its circuits by their spaces, with what each carries. */
static void show_carried(const struct results *r, struct report *report, const struct panel *p,
                         uint32_t first_row)
{
    const struct grid *rows = &report->rows;
    struct grid *list = report_part(r, report, panel_words(r, p, ": what its circuits carry"),
                                    carry_columns, sizeof carry_columns / sizeof *carry_columns);
    for (uint32_t i = first_row; i < table_rows(rows); i++) {
        const struct cell *from = &rows->cells.at[i * rows->column_count];
        struct cell *row = table_row(list);
        row[CARRY_HANDLE] = from[CIRCUIT];
        row[CARRY_SERVES] = from[TITLE];
        row[CARRY_CABLE] = from[CABLE];
        row[CARRY_ROOMS] = from[ROOMS];
        row[CARRY_LINE] = from[PHASE];
        row[CARRY_VA] = from[VA];
        row[CARRY_CONTINUOUS] = from[CONTINUOUS];
    }
}

/* --- panels ------------------------------------------------------------------------------- */

/* Spaces that stand open when what was in them is out. */
static void note_fillers(const struct results *r, struct report *report, const struct panel *p)
{
    space_list open = removals_open_spaces(r, p);
    const char *words = "";
    for (uint32_t i = 0; i < open.n; i++)
        words = arena_printf(r->arena, "%s%s%u", words, i ? ", " : "", open.at[i]);
    if (open.n)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena, "Panel %s: %s out of space%s %s, which get%s a filler plate%s.",
            address_of_panel(r->arena, p, false), open.n == 1 ? "a breaker goes" : "breakers go",
            open.n == 1 ? "" : "s", words, open.n == 1 ? "s" : "", open.n == 1 ? "" : " each");
}

static void add_panel(const struct results *r, struct report *report, const struct panel *p)
{
    const struct circuit **order = circuits_by_space(r, p);
    uint32_t without = 0, first_row = table_rows(&report->rows);
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        add_circuit(r, report, order[i]);
        without += !space_of(r, order[i]) && !order[i]->existing;
    }
    if (!r->panels->of_panel[p->id].proven)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena,
                         "Panel %s: its loads are too many to try every choice of spaces; another "
                         "choice may balance its lines better.",
                         address_of_panel(r->arena, p, false));
    if (without)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena, "Panel %s has no space left for %u circuit%s.",
                         address_of_panel(r->arena, p, false), without, without == 1 ? "" : "s");
    note_fillers(r, report, p);
    note_order(r, report, p);
    note_unsaid(r, report, p);
    if (p->spaces)
        show_card(r, report, p);
    show_carried(r, report, p, first_row);
    for (unsigned line = 0; line < 2; line++) {
        struct cell *row = table_row(&report->totals);
        row[SUM_PANEL] = words_panel_cell(r, p);
        row[SUM_UNIT] = words_unit_cell(p->unit);
        row[SUM_PHASE] = cell_text(line ? "B" : "A");
        row[SUM_VA] = cell_number(r->panels->of_panel[p->id].va[line]);
        row[SUM_CONTINUOUS] = cell_number(r->panels->of_panel[p->id].continuous_va[line]);
    }
}

/* Where the directory goes, as the edition has it. */
static void note_directory(const struct results *r, struct report *report)
{
    struct code *code = &r->model->code;
    const struct table *t = code_table(code, TABLE_DIRECTORY);
    const char *words = code_text(code, SET_DIRECTORY_WORDS);
    if (words)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena, "The directory goes %s (%s %s).", words, code->electrical->label, t->source);
}

/* The service of a dwelling: what the edition asks there and the plan does not show. */
static void note_service(const struct results *r, struct report *report)
{
    struct code *code = &r->model->code;
    const char *asked = code_yes(code, SET_EMERGENCY_DISCONNECT_OUTDOORS)
                            ? code_text(code, SET_EMERGENCY_DISCONNECT_WORDS)
                            : NULL;
    uint32_t units = 0;
    for (uint32_t i = 0; i < r->model->units.n; i++)
        units += r->model->units.at[i]->built;
    if (r->model->calculate == CALCULATE_DWELLING && units <= 2 && asked)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena,
            "The service of a one- or two-family dwelling %s (%s %s): the plan does not show it.",
            asked, code->electrical->label, code_table(code, TABLE_EMERGENCY_DISCONNECT)->source);
}

static const char *rating_words(const struct results *r, const struct panel *p)
{
    const char *old = p->existing ? ", existing" : "";
    return p->main > 0  ? arena_printf(r->arena, "%g A main%s", p->main, old)
           : p->bus > 0 ? arena_printf(r->arena, "%g A bus%s", p->bus, old)
           : *old       ? "existing"
                        : NULL;
}

static uint32_t spaces_in_use(const struct results *r, const struct panel *p)
{
    const uint8_t *used = panel_used_spaces(r->arena, r->panels, p);
    uint32_t n = 0;
    for (uint32_t i = 1; i <= p->spaces; i++)
        n += used[i] != 0;
    return n;
}

/* A line for each panel, and what it comes to. */
static void sum_up(const struct results *r, struct report *report)
{
    struct grid *list =
        report_part(r, report, NULL, all_columns, sizeof all_columns / sizeof *all_columns);
    uint32_t panels = 0, circuits = 0, existing = 0;
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        if (!facts_is_built(p->unit))
            continue;
        struct cell *row = table_row(list);
        row[ALL_PANEL] = words_panel_cell(r, p);
        row[ALL_TITLE] = cell_text(p->title);
        row[ALL_RATING] = cell_text(rating_words(r, p));
        if (p->spaces) {
            row[ALL_SPACES] = cell_integer(p->spaces);
            row[ALL_USED] = cell_integer(spaces_in_use(r, p));
        }
        row[ALL_CIRCUITS] = cell_integer(p->circuits.n);
        row[ALL_A] = cell_number(r->panels->of_panel[p->id].va[0]);
        row[ALL_B] = cell_number(r->panels->of_panel[p->id].va[1]);
        panels++;
        circuits += p->circuits.n;
        for (uint32_t k = 0; k < p->circuits.n; k++)
            existing += p->circuits.at[k]->existing;
    }
    report->says = arena_printf(r->arena, "%u panel%s, %u circuit%s: %u new, %u existing.", panels,
                                panels == 1 ? "" : "s", circuits, circuits == 1 ? "" : "s",
                                circuits - existing, existing);
}

void report_panel(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    sum_up(r, report);
    for (uint32_t i = 0; i < r->model->panels.n; i++)
        if (facts_is_built(r->model->panels.at[i]->unit))
            add_panel(r, report, r->model->panels.at[i]);
    note_free(r, report);
    note_directory(r, report);
    note_service(r, report);
    *vec_push(r->arena, &report->notes) =
        "Cards: blank is a space without a breaker, in use one of which the plan does not say what "
        "it serves; with 19: one handle for both.";
    *vec_push(r->arena, &report->notes) =
        "Loads are connected loads; circuits without a space are not in the totals of the lines.";
}
