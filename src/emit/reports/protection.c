/* What protects each outlet from ground and arc faults, what asks for it, and where it is reset. */
#include "diag/rule.h"
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/leads.h"
#include "emit/words/places.h"
#include "facts/devices.h"
#include "facts/rooms.h"
#include "loads/panel.h"
#include "model/site.h"
#include "wiring/protect.h"

#include <string.h>

enum { BOX, UNIT, OUTLET, PLACE, ASKS, BY, RESET, ARTICLE };

static const struct column columns[] = {
    [BOX] = {"box", "Box", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [OUTLET] = {"outlet", "Outlet", 0, 0},
    [PLACE] = {"place", "Place", 0, 0},
    [ASKS] = {"asks", "Asked", 0, 0},
    [BY] = {"by", "Protected by", 0, 0},
    [RESET] = {"reset_at", "Reset at", 0, 0},
    [ARTICLE] = {"article", "Article", 0, 0},
};

/* Up to two of each: for ground faults and for arc faults. */
struct words {
    const char *item[2];
    uint32_t count;
};

static void add(struct words *w, const char *word)
{
    if (word && !(w->count && w->item[0] == word))
        w->item[w->count++] = word;
}

static struct cell words_cell(const struct results *r, const struct words *w)
{
    const char **list = arena_array(r->arena, const char *, w->count + 1);
    for (uint32_t i = 0; i < w->count; i++)
        list[i] = w->item[i];
    return w->count ? cell_list(list, w->count) : cell_text(NULL);
}

static const char *guard_words(const struct results *r, const char *what, struct guard g)
{
    if (g.device)
        return arena_printf(r->arena, "%s: %s", what, g.device->def->name);
    return g.breaker ? arena_printf(r->arena, "%s: breaker of %s%s", what,
                                    g.breaker->feeds ? "" : "circuit ", words_circuit(r, g.breaker))
                     : NULL;
}

/* The same as people read it: "GFCI receptacle", "AFCI breaker P20". */
static const char *guard_told(const struct results *r, const char *what, struct guard g)
{
    if (!g.device)
        return g.breaker
                   ? arena_printf(r->arena, "%s breaker %s", what, words_circuit(r, g.breaker))
                   : NULL;
    const char *words = device_trade_words(r, g.device);
    return strstr(words, what) ? words : arena_printf(r->arena, "%s: %s", what, words);
}

/* The box of the device, else the handle of the breaker. */
static const char *reset_words(const struct results *r, struct guard g)
{
    if (g.device)
        return view_of_box(r, g.device->box)->address;
    if (!g.breaker || !g.breaker->panel)
        return NULL;
    const char *handle = words_handle(r, g.breaker),
               *panel = address_of_panel(r->arena, g.breaker->panel, false);
    return handle ? arena_printf(r->arena, "breaker %s", handle)
                  : arena_printf(r->arena, "panel %s", panel);
}

static const char *label_article(const struct results *r, const char *article)
{
    const struct edition *e = r->model->code.electrical;
    return article && e ? arena_printf(r->arena, "%s %s", e->label, article) : article;
}

static const char *kinds_words(const struct results *r, const struct box *box)
{
    struct use use = facts_use_of_box(box);
    const char *words = use.count ? use.kinds[0]->name : NULL;
    for (uint32_t i = 1; i < use.count; i++)
        words = arena_printf(r->arena, "%s, %s", words, use.kinds[i]->name);
    return words;
}

/* The same as people call it: where several of a sort are in the box with their number in it. */
static const char *outlet_told(const struct results *r, const struct part *part)
{
    const struct device *d = part->device;
    uint32_t same = 0, place = 0;
    for (uint32_t i = 0; i < d->box->device_count; i++) {
        same += d->box->devices[i]->def == d->def;
        place = d->box->devices[i] == d ? same : place;
    }
    const char *number = same > 1 ? arena_printf(r->arena, " %u", place) : "";
    if (part->def)
        return arena_printf(r->arena, "%s%s, %s%s%s", device_trade_words(r, d), number,
                            part->def->name, part->leg ? " leg " : "",
                            part->leg ? part->leg->name : "");
    return part->leg || d->title || d->existing
               ? device_told_words(r, d)
               : arena_printf(r->arena, "%s%s", device_trade_words(r, d), number);
}

/* "receptacle 2", "receptacle, half leg lamp": told apart from others in its box. */
static const char *outlet_words(const struct results *r, const struct part *part)
{
    const struct device *d = part->device;
    if (part->def)
        return arena_printf(r->arena, "%s, %s%s%s", words_device_in_box(r, d), part->def->name,
                            part->leg ? " leg " : "", part->leg ? part->leg->name : "");
    return part->leg || d->title || d->existing ? device_words(r, d) : words_device_in_box(r, d);
}

static void add_part(const struct results *r, struct report *report, const struct part *part,
                     const struct protected_part *s)
{
    const struct device *d = part->device;
    struct words asks = {0}, by = {0}, told = {0}, reset = {0}, article = {0};
    struct cell *row = table_row(&report->rows);
    row[BOX] = cell_text(view_of_box(r, d->box)->address);
    row[UNIT] = words_unit_cell(d->box->room->unit);
    row[OUTLET] = cell_shown(cell_text(outlet_words(r, part)), outlet_told(r, part));
    row[PLACE] = cell_text(kinds_words(r, d->box));
    if (s->gfci_article) {
        add(&asks, "GFCI");
        add(&article, label_article(r, s->gfci_article));
    }
    if (s->afci_asked) {
        add(&asks, "AFCI");
        add(&article, code_article(&r->model->code, rule_named("afci-missing")));
    }
    add(&by, guard_words(r, "GFCI", s->gfci));
    add(&by, guard_words(r, s->afci_too_late ? "AFCI, too late" : "AFCI", s->afci));
    add(&told, guard_told(r, "GFCI", s->gfci));
    add(&told, guard_told(r, s->afci_too_late ? "AFCI, too late:" : "AFCI", s->afci));
    add(&reset, reset_words(r, s->gfci));
    if (!(s->gfci.device == s->afci.device && s->gfci.breaker == s->afci.breaker))
        add(&reset, reset_words(r, s->afci));
    row[ASKS] = words_cell(r, &asks);
    row[BY] = words_cell(r, &by);
    if (told.count) /* one device may do both */
        row[BY].shown = told.count == 1 || !strcmp(told.item[0], told.item[1])
                            ? told.item[0]
                            : arena_printf(r->arena, "%s, %s", told.item[0], told.item[1]);
    row[RESET] = words_cell(r, &reset);
    row[ARTICLE] = words_cell(r, &article);
}

/* "66 outlets and switches: GFCI is asked of 26 of them, AFCI of 40". */
static const char *asked_words(const struct results *r, const struct report *report)
{
    uint32_t gfci = 0, afci = 0;
    const struct grid *rows = &report->rows;
    for (uint32_t i = 0; i < table_rows(rows); i++) {
        const struct cell *asks = &rows->cells.at[i * rows->column_count + ASKS];
        for (uint32_t k = 0; asks->kind == CELL_LIST && k < asks->list.count; k++)
            (*(*asks->list.item[k] == 'G' ? &gfci : &afci))++;
    }
    return arena_printf(
        r->arena, "%s: GFCI is asked of %u of them, AFCI of %u.",
        arena_counted(r->arena, table_rows(rows), "outlet or switch", "outlets and switches"), gfci,
        afci);
}

void report_protection(const struct results *r, struct report *report)
{
    const struct protected *p = protect(r->arena, r->model, r->routes, r->wiring);
    uint32_t bare = 0, unknown = 0;
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < r->model->devices.n; i++) {
        const struct device *d = r->model->devices.at[i];
        for (uint32_t k = 0; k < d->part_count && facts_is_built(d->box->room->unit); k++) {
            const struct protected_part *s = wiring_protected_part(p, &d->parts[k]);
            bool asked = s->gfci_article || s->afci_asked,
                 guarded = is_guarded(s->gfci) || is_guarded(s->afci);
            unknown += asked && !s->known;
            if (s->known && (asked || (guarded && facts_is_outlet(&d->parts[k]))))
                add_part(r, report, &d->parts[k], s);
            else
                bare += s->known && facts_is_outlet(&d->parts[k]);
        }
    }
    report->says = asked_words(r, report);
    *vec_push(r->arena, &report->notes) =
        arena_printf(r->arena,
                     "Outlets and switches that the edition wants protected, and outlets that are. "
                     "%u outlet%s: nothing is asked and nothing protects. What is "
                     "there already is listed too; it is not asked to change.",
                     bare, bare == 1 ? "" : "s");
    if (unknown)
        *vec_push(r->arena, &report->notes) =
            arena_printf(r->arena, "%u left out: what stands before them is not certain.", unknown);
}
