/* Switched legs: what works them, in the order of the wires, and what they work. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/places.h"
#include "wiring/wiring.h"

#include <string.h>

enum { LEG, UNIT, TITLE, SWITCHES, LOADS, PANEL, CIRCUIT, HANDLE, VA };

static const struct column columns[] = {
    [LEG] = {"leg", "Leg", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_IF_USED},
    [TITLE] = {"title", "Title", 0, 0},
    [SWITCHES] = {"switches", "Switches, the fed one first", 0, 0},
    [LOADS] = {"loads", "Loads", 0, 0},
    [PANEL] = {"panel", "Panel", 0, COLUMN_DATA},
    [CIRCUIT] = {"circuit", "Circuit", 0, 0},
    [HANDLE] = {"handle", "Handle", 0, COLUMN_DATA},
    [VA] = {"va", "VA", 0, COLUMN_RIGHT},
};

/* By the wiring where it is known, else as the plan lists them. */
static struct cell switches_cell(const struct results *r, const struct leg *leg)
{
    const struct leg_wiring *w = &r->wiring->of_leg[leg->id];
    VEC(const char *) value = {0};
    uint32_t count = w->count ? w->count : leg->controls.n;
    for (uint32_t i = 0; i < count; i++) {
        const struct part *p = w->count ? w->switches[i] : leg->controls.at[i];
        *vec_push(r->arena, &value) = view_of_box(r, p->device->box)->address;
        *vec_push(r->arena, &value) = !w->count ? p->device->def->name
                                      : wiring_kind_untold(r->wiring, p)
                                          ? NULL
                                          : wiring_switch_kind_word(w->kinds[i]);
    }
    return cell_records("box", "kind", value.at, value.n / RECORD_FIELDS);
}

static void add_leg(const struct results *r, struct report *report, const struct leg *leg)
{
    struct cell *row = table_row(&report->rows);
    const char **load = arena_array(r->arena, const char *, leg->loads.n);
    double va = 0;
    for (uint32_t i = 0; i < leg->loads.n; i++) {
        load[i] = view_of_box(r, leg->loads.at[i]->device->box)->address;
        va += leg->loads.at[i]->load;
    }
    row[LEG] = cell_text(leg->name);
    row[UNIT] = words_unit_cell(leg->unit);
    row[TITLE] = cell_text(leg->title);
    if (leg->title && !strcmp(leg->title, leg->name))
        row[TITLE].shown = "";
    row[SWITCHES] = switches_cell(r, leg);
    row[LOADS] = cell_list(load, leg->loads.n);
    row[PANEL] = words_panel_cell(r, leg->circuit ? leg->circuit->panel : NULL);
    row[CIRCUIT] = words_circuit_cell(r, leg->circuit);
    row[HANDLE] = cell_text(words_handle(r, leg->circuit));
    row[VA] = cell_number(va);
}

void report_legs(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->model->legs.n; i++)
        if (facts_is_built(r->model->legs.at[i]->unit))
            add_leg(r, report, r->model->legs.at[i]);
    report->says = arena_printf(
        r->arena, "%s.",
        arena_counted(r->arena, table_rows(&report->rows), "switched leg", "switched legs"));
}
