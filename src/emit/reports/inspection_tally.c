/* Counts what an inspection will look for, and where. */
#include "diag/rule.h"
#include "emit/reports/inspection.h"
#include "emit/results.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/devices.h"
#include "emit/words/places.h"
#include "facts/devices.h"
#include "facts/rooms.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/bores.h"
#include "wiring/protect.h"
#include "wiring/wiring.h"

#include <string.h>

static void note(const struct results *r, name_list *list, const char *name)
{
    if (list->n && !strcmp(list->at[list->n - 1], name))
        return;
    *vec_push(r->arena, list) = name;
}

static bool has_base(const struct device_def *def, const char *name)
{
    for (; def; def = def->base)
        if (!strcmp(def->name, name))
            return true;
    return false;
}

/* Near enough to where one cooks that the type of the alarm matters. */
static bool near_cooking(const struct results *r, const struct protected *p, const struct box *box)
{
    struct code *code = &r->model->code;
    length wanted = code_find_table(code, TABLE_ALARM_DISTANCES)
                        ? code_cell_length(code, COL_ALARM_DISTANCES_COOKING,
                                           code_key(code, "smoke-alarm-ionization"), 0)
                        : 0;
    double way = facts_way_to_fixture(p->rooms, box, F_RANGE, true);
    return way >= 0 && way < length_feet(wanted);
}

/* What the plan drawing marks. */
static void tally_part(const struct protected *p, struct tally *t, const struct part *part)
{
    const struct protected_part *s = wiring_protected_part(p, part);
    t->gfci_guarded += s->known && facts_is_receptacle(part) && is_guarded(s->gfci);
}

static void tally_device(const struct results *r, const struct protected *p, struct tally *t,
                         const struct device *d)
{
    const char *box = view_of_box(r, d->box)->address;
    if (!wiring_buys_device(r->wiring, d))
        return;
    if (d->def->protects & PROTECTS_GFCI)
        note(r, &t->gfci_devices, box);
    if (d->def->protects & PROTECTS_AFCI)
        note(r, &t->afci_tests, box);
    if (d->def->fan_box)
        note(r, &t->fan_boxes, box);
    if (d->def->sort == SORT_LUMINAIRE && d->def->integral)
        note(r, &t->recessed, box);
    if (d->def->sort == SORT_ALARM)
        note(r, &t->alarms, box);
    if (d->def->sort == SORT_ALARM && code_find_table(&r->model->code, LIST_SMOKE_ALARM_DEVICES) &&
        facts_device_in_list(r->model, d->def, LIST_SMOKE_ALARM_DEVICES) &&
        near_cooking(r, p, d->box))
        note(r, &t->near_cooking, box);
    if (has_base(d->def, "whirlpool"))
        note(r, &t->whirlpools, box);
    t->receptacles += d->def->outlets > 0;
    t->two_line += view_of_box(r, d->box)->on_plan && d->def->two_line;
    t->openings += words_opening_of(d->def) != OPEN_COUNT;
    for (uint32_t i = 0; i < d->part_count; i++)
        tally_part(p, t, &d->parts[i]);
    if (facts_use_in_list(r->model, facts_use_of_box(d->box), LIST_WEATHER_PLACES))
        note(r, &t->outdoor, box);
}

/* A box of so many gangs is looked at from both sides; 0: the library does not say. */
static double wide_gangs(const struct results *r)
{
    return code_count(&r->model->code, SET_BOX_SPACE_WIDE_GANGS, 0);
}

/* An old box where new cable begins, or that gets a new device. */
static bool grows(const struct box *b)
{
    for (uint32_t i = 0; i < b->runs.n; i++)
        if (!b->runs.at[i]->existing)
            return true;
    for (uint32_t i = 0; i < b->device_count; i++)
        if (!b->devices[i]->existing)
            return true;
    return false;
}

static void tally_box(const struct results *r, struct tally *t, const struct box *b)
{
    double wide = wide_gangs(r);
    const struct fill *fill = &r->wiring->of_box[b->id];
    const char *address = view_of_box(r, b)->address;
    if (b->existing && grows(b))
        note(r, &t->existing_boxes, address);
    if (b->existing)
        return;
    if (!view_of_box(r, b)->on_plan)
        note(r, &t->undrawn, address);
    else if (!b->runs.n && !b->served_by.n && !b->low_voltage.n)
        note(r, &t->unfed, address);
    t->boxes++;
    t->wired_boxes += b->runs.n > 0;
    if (b->compartment)
        return;
    t->cut_boxes++;
    t->splices += b->runs.n > 1;
    if (!fill->type)
        return;
    if (words_ring(r->arena, fill->type, b->room->finish))
        note(r, &t->ringed, address);
    if (fill->type->metal)
        note(r, &t->metal_boxes, address);
    if (wide > 0 && fill->gangs >= wide)
        note(r, &t->large_boxes, address);
    if (b->place.where == OVERHEAD)
        note(r, &t->ceiling_boxes, address);
    if (!fill->type->metal && !fill->type->clamp_internal && b->runs.n)
        note(r, &t->unclamped, address);
}

/* How deep a trench is, what lies in it and what belongs to that: what lets plastic grow, and the
 * ribbon over it. */
static const char *trench_words(const struct results *r, const struct run *run)
{
    const struct raceway_def *w = run->raceway;
    struct code *code = &r->model->code;
    bool grows = w && w->family &&
                 code_cell_word(code, COL_RACEWAY_HARDWARE_UNDERGROUND, code_key(code, w->family));
    const char *deep = run->burial > 0 ? arena_printf(r->arena, "%s deep",
                                                      length_inch_words(r->arena, run->burial))
                                       : "no depth said";
    return arena_printf(r->arena, "%s (%s%s%s%s%s%s, warning ribbon over it)",
                        view_of_run(r, run)->address, deep, run->under ? " under the " : "",
                        run->under ? run->under : "", w ? ", " : "", w ? w->name : "",
                        grows ? " with a fitting that lets it grow at each end" : "");
}

static void tally_run(const struct results *r, struct tally *t, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    if (run->existing)
        return;
    t->runs++;
    t->low_voltage += run->low_voltage != NULL;
    if (run->underground)
        note(r, &t->trenches, trench_words(r, run));
    t->staples += r->routes->of_run[run->id].supports;
    for (uint8_t i = 0; w->conductors && i < w->count; i++)
        if (w->conductors[i].reidentified)
            note(r, &t->whites, view_of_run(r, run)->address);
}

static void tally_gone(const struct results *r, struct tally *t)
{
    for (uint32_t i = 0; i < r->model->gone.runs.n; i++) {
        const struct run *run = r->model->gone.runs.at[i];
        if (run->abandoned && facts_is_built(facts_unit_of_run(run)))
            note(r, &t->abandoned, address_of_run(r->arena, run, false));
    }
}

static void tally_bore(const struct results *r, struct tally *t, const struct bore *b)
{
    struct passed p = bore_member(r->bores, b);
    t->plates += b->plates;
    if (b->plates)
        note(r, &t->plated, words_member(r->arena, &p));
    if (b->notch) {
        note(r, &t->notched, words_member(r->arena, &p));
        return;
    }
    t->plate_holes += p.member == MEMBER_PLATE;
    t->holes++;
}

static void tally_rooms(const struct results *r, struct tally *t)
{
    const struct model *m = r->model;
    length usual = code_length(&r->model->code, SET_PLAN_DEFAULTS_FINISH, INT64_MAX);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        const char *address = address_of_room(r->arena, room, false);
        if (!facts_is_built(room->unit))
            continue;
        if (room->finish > usual)
            note(r, &t->wide_finish, address);
        if (room->stairs.n)
            note(r, &t->stairs, address);
        if (facts_has_counter(room) || room->islands.n)
            note(r, &t->counters, address);
    }
}

static void tally_panel(const struct results *r, struct tally *t, const struct panel *p)
{
    const char *address = address_of_panel(r->arena, p, false);
    if (p->main <= 0 && p->bus <= 0)
        note(r, &t->no_rating, address);
}

static void tally_circuit(const struct results *r, struct tally *t, const struct circuit *c)
{
    const char *address = words_circuit(r, c);
    t->circuits++;
    if (c->gfci || c->dual_function)
        note(r, &t->gfci_devices, address);
    if (c->afci || c->dual_function)
        note(r, &t->afci_tests, address);
    if (c->multiwire)
        note(r, &t->multiwire, address);
    if (c->breaker <= 0)
        note(r, &t->no_breaker, address);
}

void tally_plan(const struct results *r, struct tally *t)
{
    const struct model *m = r->model;
    const struct protected *p = protect(r->arena, r->model, r->routes, r->wiring);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (facts_is_built(m->boxes.at[i]->room->unit))
            tally_box(r, t, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->devices.n; i++)
        if (facts_is_built(m->devices.at[i]->box->room->unit))
            tally_device(r, p, t, m->devices.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (view_of_run(r, m->runs.at[i])->built)
            tally_run(r, t, m->runs.at[i]);
    for (uint32_t i = 0; r->bores && i < r->bores->list.n; i++)
        tally_bore(r, t, &r->bores->list.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (facts_is_built(m->panels.at[i]->unit))
            tally_panel(r, t, m->panels.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (facts_is_built(m->circuits.at[i]->unit) && !m->circuits.at[i]->existing)
            tally_circuit(r, t, m->circuits.at[i]);
    tally_rooms(r, t);
    tally_gone(r, t);
}
