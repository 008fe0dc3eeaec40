/* Counts what an inspection will look for, and where. */
#include "emit/reports/inspection.h"
#include "emit/reports/words.h"
#include "wiring/protect.h"

#include <string.h>

static void note(const struct results *r, name_list *list, const char *name)
{
    if (list->n && !strcmp(list->at[list->n - 1], name))
        return;
    *vec_push(r->arena, list) = name;
}

static bool in_list(struct model *m, const struct device_def *def, const char *list)
{
    for (; def && code_find_table(&m->code, list); def = def->base)
        if (code_list_has(&m->code, list, def->name))
            return true;
    return false;
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
    const struct table *t = code_find_table(&r->model->code, "alarm-distances");
    const struct value *v = t ? table_cell(&r->model->code, t, "smoke-alarm-ionization", "cooking") : NULL;
    double way = way_to_fixture(p->rooms, box, F_RANGE, true);
    return v && v->kind == V_LENGTH && way >= 0 && way < length_feet(v->n);
}

static void tally_device(const struct results *r, const struct protected *p, struct tally *t, const struct device *d)
{
    const char *box = box_address(r->arena, d->box, false);
    if (d->existing)
        return;
    if (d->def->protects & PROTECTS_GFCI)
        note(r, &t->gfci_devices, box);
    if (d->def->fan_box)
        note(r, &t->fan_boxes, box);
    if (d->def->sort == SORT_LUMINAIRE && d->def->integral)
        note(r, &t->recessed, box);
    if (in_list(r->model, d->def, "smoke-alarm-devices") && d->def->sort == SORT_ALARM) {
        note(r, &t->alarms, box);
        if (near_cooking(r, p, d->box))
            note(r, &t->near_cooking, box);
    }
    if (has_base(d->def, "whirlpool"))
        note(r, &t->whirlpools, box);
    t->switches += d->def->sort == SORT_CONTROL;
    t->receptacles += d->def->outlets > 0;
    t->luminaires += d->def->sort == SORT_LUMINAIRE;
    t->volts_240 += d->part_count && d->parts[0].volts > r->model->volts;
    for (uint32_t i = 0; i < d->part_count; i++)
        t->gfci_asked += protected_part(p, &d->parts[i])->gfci_article != NULL;
    if (use_in_list(r->model, use_of_box(d->box), "weather-places"))
        note(r, &t->outdoor, box);
}

/* A box of so many gangs is looked at from both sides; 0: the library does not say. */
static double wide_gangs(const struct results *r)
{
    const struct table *t = code_find_table(&r->model->code, "box-space");
    return value_amount(t ? table_setting(&r->model->code, t, "wide-gangs") : NULL, 0);
}

static void tally_box(const struct results *r, struct tally *t, const struct box *b)
{
    double wide = wide_gangs(r);
    const struct fill *fill = &r->wiring->of_box[b->id];
    const char *address = box_address(r->arena, b, false);
    if (b->existing)
        note(r, &t->existing_boxes, address);
    if (b->existing || b->compartment)
        return;
    t->boxes++;
    t->splices += b->runs.n > 1;
    if (!fill->type)
        return;
    if (fill->type->metal)
        note(r, &t->metal_boxes, address);
    if (wide > 0 && fill->gangs >= wide)
        note(r, &t->large_boxes, address);
    if (b->place.where == OVERHEAD)
        note(r, &t->ceiling_boxes, address);
    if (!fill->type->metal && !fill->type->clamp_internal && b->runs.n)
        note(r, &t->unclamped, address);
}

static void tally_run(const struct results *r, struct tally *t, const struct run *run)
{
    const struct run_wiring *w = &r->wiring->of_run[run->id];
    if (run->existing)
        return;
    t->runs++;
    t->staples += r->routes->of_run[run->id].supports;
    for (uint8_t i = 0; w->conductors && i < w->count; i++)
        if (w->conductors[i].reidentified)
            note(r, &t->whites, run_address(r->arena, run, false));
}

static void tally_bore(const struct results *r, struct tally *t, const struct bore *b)
{
    t->plates += b->plates;
    if (b->plates)
        note(r, &t->plated, member_words(r->arena, b->passed));
    if (b->notch) {
        t->notches++;
        note(r, &t->notched, member_words(r->arena, b->passed));
        return;
    }
    t->plate_holes += b->passed->member == MEMBER_PLATE;
    t->stud_holes += b->passed->member == MEMBER_STUD;
    t->joist_holes += b->passed->member == MEMBER_JOIST;
}

static void tally_rooms(const struct results *r, struct tally *t)
{
    const struct model *m = r->model;
    const struct table *d = code_find_table(&r->model->code, "plan-defaults");
    const struct value *usual = d ? table_setting(&r->model->code, d, "finish") : NULL;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        const char *address = room_address(r->arena, room, false);
        if (!is_built(room->unit))
            continue;
        if (usual && usual->kind == V_LENGTH && room->finish > usual->n)
            note(r, &t->wide_finish, address);
        if (room->stairs.n)
            note(r, &t->stairs, address);
        if (room_is_for(r->model, room, "closet-luminaire"))
            note(r, &t->closets, address);
    }
}

void tally_plan(const struct results *r, struct tally *t)
{
    const struct model *m = r->model;
    const struct protected *p = protect(r->arena, r->model, r->routes, r->wiring);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (is_built(m->boxes.at[i]->room->unit))
            tally_box(r, t, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->devices.n; i++)
        if (is_built(m->devices.at[i]->box->room->unit))
            tally_device(r, p, t, m->devices.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (is_built(run_unit(m->runs.at[i])))
            tally_run(r, t, m->runs.at[i]);
    for (uint32_t i = 0; r->bores && i < r->bores->list.n; i++)
        tally_bore(r, t, &r->bores->list.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (m->panels.at[i]->feeder && is_built(m->panels.at[i]->unit))
            note(r, &t->sub_panels, panel_address(r->arena, m->panels.at[i], false));
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        if (!is_built(c->unit) || c->existing)
            continue;
        t->circuits++;
        t->afci_circuits += c->afci || c->dual_function;
        if (c->multiwire)
            note(r, &t->multiwire, circuit_address(r->arena, c, false));
    }
    tally_rooms(r, t);
}
