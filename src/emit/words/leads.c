#include "emit/words/leads.h"

#include "emit/results.h"
#include "emit/table.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "facts/devices.h"
#include "model/makeup.h"
#include "model/power.h"
#include "resolve/library.h"
#include "wiring/wiring.h"

#include <string.h>

static const char *form_name(const struct results *r, const struct device *d)
{
    const struct part_form *f = r->makeup->forms[d->id];
    if (d->part_count == 1 && wiring_kind_untold(r->wiring, &d->parts[0]))
        return d->def->name;
    const char *outlet = device_outlet_item(r, d);
    if (outlet) /* nobody lands a wire on a refrigerator */
        return outlet;
    bool plain = f && d->part_count == 1 && f->def && strcmp(f->def->name, d->def->name) &&
                 !strcmp(d->def->name, "switch");
    return plain ? f->def->name : d->def->name;
}

const char *words_device_in_box(const struct results *r, const struct device *d)
{
    uint32_t same = 0, place = 0;
    const char *name = form_name(r, d);
    for (uint32_t i = 0; i < d->box->device_count; i++) {
        if (strcmp(form_name(r, d->box->devices[i]), name))
            continue;
        same++;
        if (d->box->devices[i] == d)
            place = same;
    }
    return same > 1 ? arena_printf(r->arena, "%s %u", name, place) : name;
}

/* Parts of one name are told apart by their number: "receptacle half 1 hot". */
static const char *part_words(const struct results *r, const struct part *p)
{
    if (!p->def)
        return "";
    return p->def->count > 1
               ? arena_printf(r->arena, "%s %u ", p->def->name, facts_place_of_part(p))
               : arena_printf(r->arena, "%s ", p->def->name);
}

const char *words_terminal_alone(const struct results *r, const struct lead *l)
{
    const struct device *d = l->part->device;
    const struct terminal *t =
        &r->makeup->forms[d->id][l->part - d->parts].body->terminals[l->terminal];
    return arena_printf(r->arena, "%s%s", t->shared ? "" : part_words(r, l->part), t->name);
}

const char *words_terminal_words(const struct results *r, const struct lead *l)
{
    return arena_printf(r->arena, "%s %s", words_device_in_box(r, l->part->device),
                        words_terminal_alone(r, l));
}

bool lead_is_pigtail(const struct lead *l)
{
    return l->kind != LEAD_CONDUCTOR && !l->over_tab;
}

const char *words_pigtail(const struct results *r, const struct lead *l, bool several)
{
    if (l->kind == LEAD_BOX)
        return "the metal box";
    if (l->kind == LEAD_TERMINAL)
        return words_terminal_words(r, l);
    return several
               ? arena_printf(r->arena, "circuit %s that is there", words_circuit(r, l->circuit))
               : "the circuit that is there";
}

const char *lead_color(const struct results *r, const struct lead *l)
{
    const struct cable_def *d = r->makeup->runs[l->run->id].cable;
    if (!d)
        return NULL;
    if (l->conductor == CONDUCTOR_GROUND)
        return d->ground == GROUND_RACEWAY ? l->run->raceway->name
               : d->ground == GROUND_GREEN ? "green"
                                           : "bare";
    return l->reidentified ? arena_printf(r->arena, "%s, re-identified", d->colors[l->conductor])
                           : d->colors[l->conductor];
}

const char *lead_size(const struct results *r, const struct lead *l)
{
    const struct cable_def *d = r->makeup->runs[l->run->id].cable;
    return !d || (l->conductor == CONDUCTOR_GROUND && d->ground == GROUND_RACEWAY) ? NULL
           : l->conductor == CONDUCTOR_GROUND && d->ground_size                    ? d->ground_size
                                                                                   : d->size;
}

const char *words_connector(const struct joint *j)
{
    return j->by_box      ? "by the box"
           : j->connector ? j->connector
           : j->old_wire  ? "a connector for the old wire's size"
                          : "no connector of the library holds them";
}

const struct lead *lead_of_joint(const struct joint *j, enum lead_kind kind)
{
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind == kind)
            return &j->leads[i];
    return NULL;
}

/* --- tabs --------------------------------------------------------------------------------- */

static const char *tab_terminal(const struct results *r, const struct part *p, uint8_t terminal)
{
    return r->makeup->forms[p->device->id][p - p->device->parts].body->terminals[terminal].name;
}

const char *words_tab_side(const struct results *r, const struct made_tab *t)
{
    const char *from = tab_terminal(r, t->part, t->terminal),
               *to = tab_terminal(r, t->beside, t->to);
    return from == to ? from : arena_printf(r->arena, "%s to %s", from, to);
}

static const char *side_words(const struct results *r, const struct made_tab *t)
{
    const char *side = words_tab_side(r, t);
    return strchr(side, ' ') ? side : arena_printf(r->arena, "%s side", side);
}

/* The sides whose tabs are broken, or are not: "hot side", "both sides", "a side and b side". NULL:
 * there are none. */
static const char *tab_sides(const struct results *r, const struct device *d, bool broken)
{
    const struct makeup *k = r->makeup;
    const char *words = NULL, *last = "";
    uint32_t n = 0, others = 0;
    for (uint32_t i = k->first_tab[d->id]; i < k->first_tab[d->id + 1]; i++) {
        const char *side = side_words(r, &k->tabs.at[i]);
        others += k->tabs.at[i].broken != broken;
        if (k->tabs.at[i].broken != broken || !strcmp(last, side))
            continue;
        words = n++ ? arena_printf(r->arena, "%s and %s", words, side) : side;
        last = side;
    }
    return n == 2 && !others ? "both sides" : words;
}

/* " (neutral side stays, half 1 is the upper)": what else is to be known where a tab is broken. */
static const char *tab_remark(const struct results *r, const struct device *d, const char *kept)
{
    const struct made_tab *t = &r->makeup->tabs.at[r->makeup->first_tab[d->id]];
    bool alike = t->part->def == t->beside->def;
    if (!kept && !alike)
        return "";
    return arena_printf(r->arena, " (%s%s%s)", kept ? kept : "",
                        !kept   ? ""
                        : alike ? " stays, "
                                : " stays",
                        alike ? arena_printf(r->arena, "%s 1 is the upper", t->part->def->name)
                              : "");
}

const char *words_tabs(const struct results *r, const struct device *d)
{
    const char *broken = tab_sides(r, d, true), *kept = tab_sides(r, d, false),
               *name = words_device_in_box(r, d);
    if (broken)
        return arena_printf(r->arena, "break the tab: %s of %s%s", broken, name,
                            tab_remark(r, d, kept));
    return kept ? arena_printf(r->arena, "leave the tab: %s of %s", kept, name) : NULL;
}

bool words_tab_broken(const struct results *r, const struct device *d)
{
    return tab_sides(r, d, true) != NULL;
}

uint32_t words_old_circuits(const struct box *b)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct circuit *c = b->runs.at[i]->circuit;
        bool before = c->root != b;
        for (uint32_t k = 0; k < i && !before; k++)
            before = b->runs.at[k]->circuit == c;
        n += !before;
    }
    return n;
}

const char *words_lead_color(const struct results *r, const struct lead *l)
{
    const char *color = lead_color(r, l);
    return color ? color
           : l->conductor == CONDUCTOR_GROUND
               ? "old ground"
               : arena_printf(r->arena, "old wire %d", l->conductor + 1);
}

struct cell words_nets_cell(const struct results *r, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    VEC(const char *) value = {0};
    struct buf shown = {0};
    if (!w->cable && w->used)
        buf_printf(&shown, "needs %u:", w->used);
    for (uint32_t i = 0; w->conductors && i < w->count; i++) {
        const struct conductor *c = &w->conductors[i];
        if (!c->net)
            continue;
        *vec_push(r->arena, &value) = c->net->name;
        *vec_push(r->arena, &value) = c->color;
        if (c->color)
            buf_printf(&shown, "%s%s%s: %s", shown.n ? "\n" : "", c->color,
                       c->reidentified ? ", re-identified" : "", c->net->name);
        else
            buf_printf(&shown, "\n%s", c->net->name);
    }
    struct cell cell = cell_records("net", "colour", value.at, value.n / RECORD_FIELDS);
    cell = cell_shown(cell, arena_copy(r->arena, buf_text(&shown), shown.n));
    buf_free(&shown);
    return cell;
}
