#include "emit/words/leads.h"

#include "emit/results.h"
#include "emit/table.h"
#include "model/makeup.h"
#include "model/power.h"
#include "resolve/library.h"
#include "wiring/wiring.h"

#include <string.h>

static const char *form_name(const struct results *r, const struct device *d)
{
    const struct part_form *f = r->makeup->forms[d->id];
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
    const struct device *d = p->device;
    if (!p->def)
        return "";
    uint32_t place = 1;
    for (const struct part *o = d->parts; o < p; o++)
        place += o->def == p->def;
    return p->def->count > 1 ? arena_printf(r->arena, " %s %u", p->def->name, place)
                             : arena_printf(r->arena, " %s", p->def->name);
}

const char *words_terminal_words(const struct results *r, const struct lead *l)
{
    const struct device *d = l->part->device;
    const struct terminal *t =
        &r->makeup->forms[d->id][l->part - d->parts].body->terminals[l->terminal];
    return arena_printf(r->arena, "%s%s %s", words_device_in_box(r, d),
                        t->shared ? "" : part_words(r, l->part), t->name);
}

const char *lead_color(const struct results *r, const struct lead *l)
{
    const struct cable_def *d = r->makeup->runs[l->run->id].cable;
    if (l->conductor == CONDUCTOR_GROUND)
        return d->ground == GROUND_GREEN ? "green" : "bare";
    return l->reidentified ? arena_printf(r->arena, "%s, re-identified", d->colors[l->conductor])
                           : d->colors[l->conductor];
}

const char *lead_size(const struct results *r, const struct lead *l)
{
    const struct cable_def *d = r->makeup->runs[l->run->id].cable;
    return l->conductor == CONDUCTOR_GROUND && d->ground_size ? d->ground_size : d->size;
}

const struct lead *lead_of_joint(const struct joint *j, enum lead_kind kind)
{
    for (uint32_t i = 0; i < j->lead_count; i++)
        if (j->leads[i].kind == kind)
            return &j->leads[i];
    return NULL;
}

struct cell words_nets_cell(const struct results *r, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    VEC(const char *) value = {0};
    struct buf shown = {0};
    for (uint32_t i = 0; w->conductors && i < w->count; i++) {
        const struct conductor *c = &w->conductors[i];
        if (!c->net)
            continue;
        *vec_push(r->arena, &value) = c->net->name;
        *vec_push(r->arena, &value) = c->color;
        buf_printf(&shown, "%s%s%s: %s", shown.n ? "\n" : "", c->color,
                   c->reidentified ? ", marked" : "", c->net->name);
    }
    struct cell cell = cell_records("net", "colour", value.at, value.n / RECORD_FIELDS);
    cell = cell_shown(cell, arena_copy(r->arena, buf_text(&shown), shown.n));
    buf_free(&shown);
    return cell;
}
