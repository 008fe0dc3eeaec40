/* The test sheet: for each circuit what its breaker kills, what protection to try, where to test polarity, what switches to move. */
#include "emit/reports/reports.h"
#include "emit/reports/words.h"
#include "wiring/protect.h"

enum { PANEL, CIRCUIT, UNIT, TITLE, BREAKER, KILLS, PROTECTION, POLARITY, SWITCHES };

static const struct column columns[] = {
    [PANEL] = {"panel", "Panel", 0, 0},
    [CIRCUIT] = {"circuit", "Circuit", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [TITLE] = {"title", "Serves", 0, COLUMN_DATA},
    [BREAKER] = {"breaker", "Breaker", 0, 0},
    [KILLS] = {"kills", "Off: these are dead", 0, 0},
    [PROTECTION] = {"tests", "Press test at", 0, 0},
    [POLARITY] = {"polarity", "Polarity, ground", 0, 0},
    [SWITCHES] = {"switches", "Move each switch", 0, 0},
};

typedef VEC(const char *) word_list;

/* One circuit's boxes and legs, each once. */
struct sheet {
    word_list kills, tests, polarity, switches;
    struct map seen;             /* (use, thing) */
};

enum { SEEN_BOX = 1, SEEN_DEVICE, SEEN_POLARITY, SEEN_LEG };

static bool first_time(struct arena *arena, struct sheet *s, uintptr_t use, const void *thing)
{
    void **at = map_at(arena, &s->seen, use, (uintptr_t)thing);
    bool first = !*at;
    *at = (void *)(uintptr_t)1;
    return first;
}

/* "cans: studio.S1, studio.S2; all 4 positions, on in half of them": not where another leg feeds one of them, which is then on only with it. */
static const char *leg_words(const struct results *r, const struct leg *leg)
{
    struct buf b = {0};
    buf_printf(&b, "%s:", leg->name);
    bool fed = false;
    for (uint32_t i = 0; i < leg->controls.n; i++) {
        fed = fed || leg->controls.at[i]->from_leg;
        buf_printf(&b, "%s %s", i ? "," : "", box_address(r->arena, leg->controls.at[i]->device->box, false));
    }
    if (!fed && leg->controls.n > 1 && leg->controls.n < 16)
        buf_printf(&b, "; all %u positions, on in half of them", 1u << leg->controls.n);
    const char *words = arena_copy(r->arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

static void add_part(const struct results *r, struct sheet *s, const struct part *part)
{
    const struct device *d = part->device;
    const char *box = box_address(r->arena, d->box, false);
    if (first_time(r->arena, s, SEEN_BOX, d->box))
        *vec_push(r->arena, &s->kills) = box;
    if (d->def->protects && first_time(r->arena, s, SEEN_DEVICE, d))
        *vec_push(r->arena, &s->tests) = arena_printf(r->arena, "%s in %s", d->def->name, box);
    if (d->def->outlets && !part->control && first_time(r->arena, s, SEEN_POLARITY, d->box))
        *vec_push(r->arena, &s->polarity) = box;
    if (part->control && part->leg && first_time(r->arena, s, SEEN_LEG, part->leg))
        *vec_push(r->arena, &s->switches) = leg_words(r, part->leg);
}

static struct cell list_cell(const word_list *list)
{
    return list->n ? cell_list(list->at, list->n) : cell_text(NULL);
}

static void add_circuit(const struct results *r, struct report *report, const struct circuit *c)
{
    struct sheet s = {0};
    const char *protection = protection_words(r->arena, c);
    if (protection)
        *vec_push(r->arena, &s.tests) = arena_printf(r->arena, "the breaker (%s)", protection);
    if (c->feeds)
        *vec_push(r->arena, &s.kills) = arena_printf(r->arena, "panel %s", panel_address(r->arena, c->feeds, false));
    for (uint32_t i = 0; i < c->parts.n; i++)
        add_part(r, &s, c->parts.at[i]);
    struct cell *row = table_row(&report->rows);
    row[PANEL] = panel_cell(r, c->panel);
    row[CIRCUIT] = cell_text(circuit_word(r->arena, c));
    row[UNIT] = unit_cell(c->unit);
    row[TITLE] = cell_text(c->title);
    row[BREAKER] = cell_text(breaker_words(r->arena, c));
    row[KILLS] = list_cell(&s.kills);
    row[PROTECTION] = list_cell(&s.tests);
    row[POLARITY] = list_cell(&s.polarity);
    row[SWITCHES] = list_cell(&s.switches);
}

void report_test(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->model->circuits.n; i++)
        if (is_built(r->model->circuits.at[i]->unit))
            add_circuit(r, report, r->model->circuits.at[i]);
    *vec_push(r->arena, &report->notes) = "With one breaker off, all of its boxes are dead and all others alive; then the next. A tester shows hot, neutral and ground at each "
                                          "receptacle; after a GFCI device has tripped, what it protects is dead too: report protection.";
}
