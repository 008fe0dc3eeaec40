/* The circuit directory: every breaker of every panel, by space. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
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
    TITLE,
    POLES,
    BREAKER,
    PROTECTION,
    PHASE,
    CABLE,
    ROOMS,
    EXISTING,
    VA,
    CONTINUOUS
};

static const struct column columns[] = {
    [PANEL] = {"panel", "Panel", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [SPACE] = {"space", "Space", 0, COLUMN_RIGHT},
    [CIRCUIT] = {"circuit", "Circuit", 0, 0},
    [TITLE] = {"title", "Serves", 0, 0},
    [POLES] = {"poles", "Poles", 0, COLUMN_RIGHT | COLUMN_DATA},
    [BREAKER] = {"breaker_a", "A", 0, COLUMN_RIGHT},
    [PROTECTION] = {"protection", "Protection", 0, 0},
    [PHASE] = {"phase", "Line", 0, 0},
    [CABLE] = {"cable", "Cable", 0, 0},
    [ROOMS] = {"rooms", "Rooms", 0, 0},
    [EXISTING] = {"existing", "Existing", 0, COLUMN_DATA},
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
            return cable->name;
    }
    return c->cable ? c->cable->name : NULL;
}

static struct cell phase_cell(const struct circuit_space *s)
{
    if (!s->space)
        return cell_text(NULL);
    if (s->poles == 2)
        return cell_text("AB");
    return cell_text(space_line(s->space) ? "B" : "A");
}

/* "14, 16": a breaker of two poles shows both of its spaces; "14, half" where two half-size ones
 * share it. */
static struct cell space_cell(const struct results *r, const struct circuit_space *s)
{
    if (!s->space)
        return (struct cell){0};
    struct cell c = cell_integer(s->space);
    if (s->half)
        return cell_shown(c, arena_printf(r->arena, "%u, half", s->space));
    return s->poles == 2 ? cell_shown(c, arena_printf(r->arena, "%u, %u", s->space, s->space + 2))
                         : c;
}

static void add_circuit(const struct results *r, struct report *report, const struct circuit *c)
{
    const struct circuit_space *s = &r->panels->of_circuit[c->id];
    const struct circuit_load *load = &r->loads->of_circuit[c->id];
    const char *word = circuit_word(r->arena, c);
    struct cell *row = table_row(&report->rows);
    row[PANEL] = words_panel_cell(r, c->panel);
    row[UNIT] = words_unit_cell(c->unit);
    row[SPACE] = space_cell(r, s);
    row[CIRCUIT] = c->existing
                       ? cell_shown(cell_text(word), arena_printf(r->arena, "%s, existing", word))
                       : cell_text(word);
    row[TITLE] = cell_text(c->title                      ? c->title
                           : c->feeds && c->feeds->title ? c->feeds->title
                                                         : NULL);
    row[POLES] = cell_integer(s->poles);
    if (c->breaker > 0)
        row[BREAKER] = cell_number(c->breaker);
    row[PROTECTION] = cell_text(words_protection(r->arena, c));
    row[PHASE] = phase_cell(s);
    row[CABLE] = cell_text(home_cable(r, c));
    row[ROOMS] = words_rooms_cell(r, c);
    row[EXISTING] = cell_bool(c->existing);
    row[VA] = cell_number(load->va);
    row[CONTINUOUS] = cell_number(load->continuous_va);
}

static uint32_t space_of(const struct results *r, const struct circuit *c)
{
    return r->panels->of_circuit[c->id].space;
}

/* Which spaces of a panel are in use: by its circuits, or taken. */
static bool *used_spaces(const struct results *r, const struct panel *p)
{
    bool *used = arena_array(r->arena, bool, (size_t)p->spaces + 1);
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit_space *s = &r->panels->of_circuit[p->circuits.at[i]->id];
        for (uint32_t n = s->space; n && n < s->space + 2u * s->poles && n <= p->spaces; n += 2)
            used[n] = true;
    }
    for (uint32_t i = 0; i < p->taken.n; i++)
        for (uint32_t n = p->taken.at[i].first; n <= p->taken.at[i].last && n <= p->spaces; n++)
            used[n] = true;
    return used;
}

/* "these spaces free: 7, 9 to 12", or "no whole space free". */
static const char *free_words(const struct results *r, const struct panel *p)
{
    const bool *used = used_spaces(r, p);
    struct buf words = {0};
    for (uint32_t n = 1; n <= p->spaces; n++) {
        uint32_t last = n;
        if (used[n])
            continue;
        while (last < p->spaces && !used[last + 1])
            last++;
        buf_printf(&words, "%s%u", words.n ? ", " : "", n);
        if (last > n)
            buf_printf(&words, " to %u", last);
        n = last;
    }
    const char *known = p->existing ? ", as far as the plan says" : "";
    const char *said =
        words.n ? arena_printf(r->arena, "these spaces free%s: %s", known, buf_text(&words))
                : arena_printf(r->arena, "no whole space free");
    buf_free(&words);
    return said;
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
    bool asked = code_yes(code, SET_EMERGENCY_DISCONNECT_OUTDOORS);
    uint32_t units = 0;
    for (uint32_t i = 0; i < r->model->units.n; i++)
        units += r->model->units.at[i]->built;
    if (r->model->calculate == CALCULATE_DWELLING && units <= 2 && asked)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena,
            "The service of a one- or two-family dwelling has an emergency disconnect, outdoors "
            "and readily accessible (%s %s): the plan does not show it.",
            code->electrical->label, code_table(code, TABLE_EMERGENCY_DISCONNECT)->source);
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
