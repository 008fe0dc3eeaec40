/* The test sheet: for each circuit what its breaker kills, what protection to try, where to test
 * polarity, what switches to move. */
#include "emit/removals.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "wiring/protect.h"

#include <string.h>

enum {
    PANEL,
    CIRCUIT,
    HANDLE,
    UNIT,
    TITLE,
    BREAKER,
    KILLS,
    PROTECTION,
    POLARITY,
    SWITCHES,
    HALVES
};

static const struct column columns[] = {
    [PANEL] = {"panel", "Panel", 0, COLUMN_DATA},
    [CIRCUIT] = {"circuit", "Handle", 0, 0},
    [HANDLE] = {"handle", "Handle", 0, COLUMN_DATA},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [TITLE] = {"title", "Serves", 0, COLUMN_DATA},
    [BREAKER] = {"breaker", "Breaker", 0, 0},
    [KILLS] = {"kills", "Off: these are dead", 0, 0},
    [PROTECTION] = {"tests", "Press test at", 0, 0},
    [POLARITY] = {"polarity", "Polarity, ground", 0, 0},
    [SWITCHES] = {"switches", "Move each switch", 0, 0},
    [HALVES] = {"halves", "Each half apart", 0, COLUMN_IF_USED},
};

/* For people a line for each thing to do, as the handles are tried one after another; the reading
 * and who took it are written by hand. */
enum { OFF, DO, AT, READING, INITIALS };

static const struct column do_columns[] = {
    [OFF] = {"handle", "Off", 0, COLUMN_TOP},
    [DO] = {"do", "Then", 0, COLUMN_TOP},
    [AT] = {"at", "At", 0, 0},
    [READING] = {"reading", "Reading", 0, 0},
    [INITIALS] = {"initials", "Initials", 0, 0},
};

enum { GONE_CIRCUIT, DEAD_AT, CAPPED };

static const struct column gone_columns[] = {
    [GONE_CIRCUIT] = {"circuit", "Goes, or loses something", 0, 0},
    [DEAD_AT] = {"dead_at", "Dead before it is touched", 0, 0},
    [CAPPED] = {"capped", "Capped ends that stay: dead", 0, COLUMN_IF_USED},
};

typedef VEC(const char *) word_list;

/* One circuit's boxes and legs, each once. */
struct sheet {
    word_list kills, tests, pressed, sounding, polarity, switches,
        halves;      /* pressed, and alarms that sound: tests for people */
    struct map seen; /* (use, thing) */
};

/* While the report is written: for each device that protects onward, the boxes that it kills with
 * its own. */
struct writing {
    const struct results *r;
    struct report *report;
    word_list *killed_by; /* by device id */
    struct grid *sheet;   /* of the panel, for people */
    uint32_t handles, lines;
};

enum { SEEN_BOX = 1, SEEN_DEVICE, SEEN_POLARITY, SEEN_LEG, SEEN_TAB };

static bool first_time(struct arena *arena, struct sheet *s, uintptr_t use, const void *thing)
{
    void **at = map_at(arena, &s->seen, use, (uintptr_t)thing);
    bool first = !*at;
    *at = (void *)(uintptr_t)1;
    return first;
}

/* "cans: studio.S1, studio.S2; all 4 positions, on in half of them": not where another leg feeds
 * one of them, which is then on only with it. */
static const char *leg_words(const struct results *r, const struct leg *leg)
{
    struct buf b = {0};
    buf_printf(&b, "%s:", leg->name);
    bool fed = false;
    for (uint32_t i = 0; i < leg->controls.n; i++) {
        fed = fed || leg->controls.at[i]->from_leg;
        buf_printf(&b, "%s %s", i ? "," : "",
                   view_of_box(r, leg->controls.at[i]->device->box)->address);
    }
    if (!fed && leg->controls.n > 1 && leg->controls.n < 16)
        buf_printf(&b, "; all %u positions, on in half of them", 1u << leg->controls.n);
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

static void add_box(const struct results *r, struct sheet *s, const struct box *b)
{
    if (b && first_time(r->arena, s, SEEN_BOX, b))
        *vec_push(r->arena, &s->kills) = view_of_box(r, b)->address;
}

/* "receptacle-gfci in shop.R1, which kills shop.R2 too"; `told`: "GFCI receptacle in ...". */
static const char *press_words(const struct writing *w, const struct device *d, bool told)
{
    struct arena *a = w->r->arena;
    const word_list *killed = &w->killed_by[d->id];
    const char *words =
        arena_printf(a, "%s in %s", told ? device_trade_words(w->r, d) : d->def->name,
                     address_of_box(a, d->box, false));
    if (!killed->n)
        return words;
    struct buf b = {0};
    words_print_places(killed->at, killed->n, &b);
    words = arena_printf(a, "%s, which kills %s too", words, buf_text(&b));
    buf_free(&b);
    return words;
}

static void add_press(const struct writing *w, struct sheet *s, const char *words, const char *told)
{
    *vec_push(w->r->arena, &s->tests) = words;
    *vec_push(w->r->arena, &s->pressed) = told;
}

static void add_alarm(const struct writing *w, struct sheet *s, const char *box)
{
    *vec_push(w->r->arena, &s->tests) =
        s->sounding.n ? box : arena_printf(w->r->arena, "alarms, of which all must sound: %s", box);
    *vec_push(w->r->arena, &s->sounding) = box;
}

static void add_part(const struct writing *w, struct sheet *s, const struct part *part)
{
    const struct results *r = w->r;
    const struct device *d = part->device;
    add_box(r, s, d->box);
    if (d->def->protects && first_time(r->arena, s, SEEN_DEVICE, d))
        add_press(w, s, press_words(w, d, false), press_words(w, d, true));
    if (d->def->sort == SORT_ALARM && first_time(r->arena, s, SEEN_DEVICE, d))
        add_alarm(w, s, view_of_box(r, d->box)->address);
    if (d->def->outlets && !part->control && first_time(r->arena, s, SEEN_POLARITY, d->box))
        *vec_push(r->arena, &s->polarity) = view_of_box(r, d->box)->address;
    if (words_tab_broken(r, d) && first_time(r->arena, s, SEEN_TAB, d))
        *vec_push(r->arena, &s->halves) =
            arena_printf(r->arena, "%s: %s", view_of_box(r, d->box)->address, words_tabs(r, d));
    if (part->control && part->leg && first_time(r->arena, s, SEEN_LEG, part->leg))
        *vec_push(r->arena, &s->switches) = leg_words(r, part->leg);
}

static struct cell list_cell(const struct results *r, const word_list *list)
{
    return places_cell(r, list->at, list->n);
}

/* --- for people --------------------------------------------------------------------------- */

static void add_line(struct writing *w, const char *off, const char *what, const char *at)
{
    struct cell *row = table_row(w->sheet);
    row[OFF] = cell_text(off);
    row[DO] = cell_text(what);
    row[AT] = cell_text(at);
    row[READING] = row[INITIALS] = cell_text("_______");
    w->lines++;
}

static void add_list(struct writing *w, const char *off, const char *what, const word_list *list)
{
    struct buf b = {0};
    words_print_places(list->at, list->n, &b);
    if (list->n)
        add_line(w, off, what, arena_copy(w->r->arena, buf_text(&b), b.n));
    buf_free(&b);
}

/* Off, all dead; on again, what is pressed, measured and moved. */
static void add_lines(struct writing *w, const struct circuit *c, const struct sheet *s)
{
    const char *handle = words_circuit(w->r, c), *breaker = words_breaker_told(w->r, c);
    struct cell *row = table_row(w->sheet);
    row[OFF] = cell_text(handle);
    row[DO] = cell_text(breaker);
    row[AT] = cell_text(c->title);
    add_list(w, handle, "off: dead at", &s->kills);
    for (uint32_t i = 0; i < s->pressed.n; i++)
        add_line(w, handle, "on: press test", s->pressed.at[i]);
    add_list(w, handle, "on: all must sound", &s->sounding);
    add_list(w, handle, "on: hot, neutral, ground", &s->polarity);
    for (uint32_t i = 0; i < s->switches.n; i++)
        add_line(w, handle, "on: work the switches", s->switches.at[i]);
    add_list(w, handle, "on: each half by itself", &s->halves);
    w->handles++;
}

/* --- circuits ----------------------------------------------------------------------------- */

static void add_circuit(struct writing *w, const struct circuit *c)
{
    const struct results *r = w->r;
    struct sheet s = {0};
    const char *protection = words_protection(r->arena, c);
    if (c->afci || c->gfci || c->dual_function)
        add_press(w, &s, arena_printf(r->arena, "the breaker (%s)", protection),
                  arena_printf(r->arena, "the breaker (%s)", words_protection_told(r->arena, c)));
    if (c->feeds)
        *vec_push(r->arena, &s.kills) =
            arena_printf(r->arena, "panel %s", address_of_panel(r->arena, c->feeds, false));
    for (uint32_t i = 0; i < c->parts.n; i++)
        add_part(w, &s, c->parts.at[i]);
    for (uint32_t i = 0; i < c->runs.n; i++) { /* boxes without a device are live too */
        add_box(r, &s, c->runs.at[i]->from.box);
        add_box(r, &s, c->runs.at[i]->to.box);
    }
    struct cell *row = table_row(&w->report->rows);
    row[PANEL] = words_panel_cell(r, c->panel);
    row[CIRCUIT] = words_circuit_cell(r, c);
    row[HANDLE] = cell_text(words_handle(r, c));
    row[UNIT] = words_unit_cell(c->unit);
    row[TITLE] = cell_text(c->title);
    row[BREAKER] = cell_text(words_breaker(r->arena, c));
    row[KILLS] = list_cell(r, &s.kills);
    row[PROTECTION] = list_cell(r, &s.tests);
    row[POLARITY] = list_cell(r, &s.polarity);
    row[SWITCHES] = list_cell(r, &s.switches);
    if (s.halves.n)
        row[HALVES] = list_cell(r, &s.halves);
    if (s.kills.n)
        add_lines(w, c, &s);
}

/* What each device that protects onward protects beside its own box. */
static void find_killed(struct writing *w)
{
    const struct model *m = w->r->model;
    const struct protected *p = protect(w->r->arena, w->r->model, w->r->routes, w->r->wiring);
    w->killed_by = arena_array(w->r->arena, word_list, m->devices.n);
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++) {
            const struct protected_part *s = wiring_protected_part(p, &m->devices.at[i]->parts[k]);
            const struct box *box = m->devices.at[i]->box;
            const struct device *by = s->gfci.device ? s->gfci.device : s->afci.device;
            const char *address = view_of_box(w->r, box)->address;
            if (!s->known || !by || by->box == box)
                continue;
            word_list *list = &w->killed_by[by->id];
            if (!list->n || strcmp(list->at[list->n - 1], address))
                *vec_push(w->r->arena, list) = address;
        }
}

/* "Panel P, Studio panel, in studio". */
static void begin_sheet(struct writing *w, const struct panel *p)
{
    struct arena *a = w->r->arena;
    const char *head =
        !p ? "Without a panel"
           : arena_printf(a, "Panel %s%s%s%s%s", address_of_panel(a, p, false),
                          p->title ? ", " : "", p->title ? p->title : "", p->room ? ", in " : "",
                          p->room ? address_of_room(a, p->room, false) : "");
    w->sheet =
        report_part(w->r, w->report, head, do_columns, sizeof do_columns / sizeof *do_columns);
}

/* What goes: tested dead before it is taken out, and so are the ends of abandoned cables for good.
 */
static void add_gone(const struct results *r, struct report *report)
{
    const removal_list list = removals_of(r);
    struct grid *shown = NULL;
    table_begin(&report->totals, r->arena, gone_columns,
                sizeof gone_columns / sizeof *gone_columns);
    for (uint32_t i = 0; i < list.n; i++) {
        const struct removal *x = &list.at[i];
        if (!x->circuit)
            continue;
        if (!shown)
            shown = report_part(r, report, "What goes", gone_columns,
                                sizeof gone_columns / sizeof *gone_columns);
        for (int people = 0; people < 2; people++) {
            struct cell *row = table_row(people ? shown : &report->totals);
            row[GONE_CIRCUIT] = cell_text(x->thing);
            row[DEAD_AT] = places_cell(r, x->at.at, x->at.n);
            if (x->capped.n)
                row[CAPPED] = places_cell(r, x->capped.at, x->capped.n);
        }
    }
}

void report_test(const struct results *r, struct report *report)
{
    struct writing w = {.r = r, .report = report};
    const struct model *m = r->model;
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    find_killed(&w);
    for (uint32_t i = 0; i < m->panels.n; i++) {
        begin_sheet(&w, m->panels.at[i]);
        const struct circuit **order = circuits_by_space(r, m->panels.at[i]);
        for (uint32_t k = 0; k < m->panels.at[i]->circuits.n; k++)
            if (facts_is_built(order[k]->unit))
                add_circuit(&w, order[k]);
    }
    begin_sheet(&w, NULL);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (!m->circuits.at[i]->panel && facts_is_built(m->circuits.at[i]->unit))
            add_circuit(&w, m->circuits.at[i]);
    report->says = arena_printf(r->arena, "%s to try, %s to test with them.",
                                arena_counted(r->arena, w.handles, "handle", "handles"),
                                arena_counted(r->arena, w.lines, "thing", "things"));
    add_gone(r, report);
    *vec_push(r->arena, &report->notes) =
        "Panel by panel, as its spaces stand. With one breaker off, all of its boxes are dead and "
        "all others alive; then the next. A tester shows hot, "
        "neutral and ground at each receptacle.";
}
