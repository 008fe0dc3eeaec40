/* The circuit directory: every breaker of every panel, by space. */
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
    [CONTINUOUS] = {"continuous_va", "Cont. VA", 0, COLUMN_RIGHT},
};

enum { SUM_PANEL, SUM_UNIT, SUM_PHASE, SUM_VA, SUM_CONTINUOUS };

static const struct column total_columns[] = {
    [SUM_PANEL] = {"panel", "Panel", 0, 0},
    [SUM_UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [SUM_PHASE] = {"phase", "Line", 0, 0},
    [SUM_VA] = {"va", "VA", 0, COLUMN_RIGHT},
    [SUM_CONTINUOUS] = {"continuous_va", "Cont. VA", 0, COLUMN_RIGHT},
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
        return cell_text("AB");
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
    row[TITLE] = cell_text(c->title                      ? c->title
                           : c->feeds && c->feeds->title ? c->feeds->title
                                                         : NULL);
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

static void add_panel(const struct results *r, struct report *report, const struct panel *p)
{
    const struct circuit **order = circuits_by_space(r, p);
    uint32_t without = 0;
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
    note_order(r, report, p);
    note_unsaid(r, report, p);
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

void report_panel(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    table_begin(&report->totals, r->arena, total_columns,
                sizeof total_columns / sizeof *total_columns);
    for (uint32_t i = 0; i < r->model->panels.n; i++)
        if (facts_is_built(r->model->panels.at[i]->unit))
            add_panel(r, report, r->model->panels.at[i]);
    note_free(r, report);
    note_directory(r, report);
    note_service(r, report);
    *vec_push(r->arena, &report->notes) =
        "Loads are connected loads; circuits without a space are not in the totals of the lines.";
}
