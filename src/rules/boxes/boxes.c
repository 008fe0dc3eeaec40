/* Rules about boxes: box-gangs, box-mount, fan-support, luminaire-support,
 * luminaire-through-wiring, box-buried, low-voltage-in-power-box.
 *
 * They judge what the plan names: a box that is left to the compiler is chosen so that it keeps
 * them. */
#include "rules/boxes/boxes.h"

#include <string.h>

static struct span type_span(const struct box *box)
{
    const struct node *clause = node_child(box->node, F_BOX_TYPE);
    return clause ? node_span(clause) : node_name_span(box->node);
}

static const char *box_words(const struct checked *c, const struct box *box)
{
    return box_address(c->model->arena, box, true);
}

uint32_t yokes_in(const struct box *box)
{
    uint32_t yokes = 0;
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device_def *def = box->devices[i]->def;
        yokes += def->yokes * (def->gangs > 1 ? def->gangs : 1u);
    }
    return yokes;
}

/* --- box-gangs, box-mount ----------------------------------------------------------------- */

RULE(box_gangs, "box-gangs", ERROR, WAIVABLE, "a box has a gang for every yoke");

static void check_gangs(const struct checked *c, const struct box *box)
{
    struct model *m = c->model;
    const struct node *written = node_child(box->node, F_GANGS);
    uint32_t yokes = yokes_in(box), gangs = box->gangs      ? box->gangs
                                            : box->declared ? box->declared->gangs
                                                            : yokes;
    if (yokes <= gangs || (box->declared && box->declared->integral))
        return;
    struct span span = written ? node_span(written) : type_span(box);
    struct finding *f;
    if (!gangs)
        f = box_finding_at(c, &rule_box_gangs, box, span,
                           "box %s holds %u yoke%s; %s is round and takes none", box_words(c, box),
                           yokes, yokes == 1 ? "" : "s", box->declared->name);
    else
        f = box_finding_at(c, &rule_box_gangs, box, span, "box %s holds %u yokes and has %u gang%s",
                           box_words(c, box), yokes, gangs, gangs == 1 ? "" : "s");
    diag_mend(m->diag, f,
              "a box of %u gang%s, or leave 'type' and 'gangs' out and the smallest that serves is "
              "chosen",
              yokes, yokes == 1 ? "" : "s");
}
CHECK(box_gangs, .box = {check_gangs, ITS_TEXT, NEW_WORK});

static const char *mount_words(enum mount mount)
{
    return mount == MOUNT_WALL ? "a wall" : mount == MOUNT_CEILING ? "a ceiling" : "a floor";
}

RULE(box_mount, "box-mount", ERROR, WAIVABLE, "a box is made for the place where it is fastened");

static void check_mount(const struct checked *c, const struct box *box)
{
    static const enum mount mount_of[] = {
        [ON_WALL] = MOUNT_WALL, [OVERHEAD] = MOUNT_CEILING, [ON_FLOOR] = MOUNT_FLOOR};
    const struct box_type *type = box->declared;
    enum mount here = mount_of[box->place.where];
    if (!type || type->mount == MOUNT_ANY || type->mount == here)
        return;
    struct finding *f = box_finding_at(c, &rule_box_mount, box, type_span(box),
                                       "box %s stands on %s; %s is made for %s", box_words(c, box),
                                       mount_words(here), type->name, mount_words(type->mount));
    diag_mend(c->model->diag, f, "a type that is fastened there, or leave 'type' out");
}
CHECK(box_mount, .box = {check_mount, ITS_TEXT, NEW_WORK});

/* --- what hangs from a box ---------------------------------------------------------------- */

RULE(fan_support, "fan-support", ERROR, WAIVABLE, "a fan hangs from a box that is listed for fans");

static void check_fan(const struct checked *c, const struct box *box)
{
    const struct box_type *type = box->declared;
    for (uint32_t i = 0; i < box->device_count && type; i++) {
        const struct device *d = box->devices[i];
        if (!d->def->fan_box || type->fan > 0)
            continue;
        struct finding *f = box_finding_at(c, &rule_fan_support, box, type_span(box),
                                           "a %s hangs from box %s; %s is not listed for fans",
                                           d->def->name, box_words(c, box), type->name);
        diag_mend(c->model->diag, f, "a box listed for fans, such as fan-brace-21");
        return;
    }
}
CHECK(fan_support, .box = {check_fan, ITS_TEXT, NEW_WORK});

RULE(luminaire_support, "luminaire-support", ERROR, WAIVABLE,
     "a ceiling box carries the luminaire");

/* A ceiling box for a luminaire carries what the edition asks; one that says no weight is not
 * judged. */
static void check_luminaire(const struct checked *c, const struct box *box)
{
    const struct box_type *type = box->declared;
    double asked = code_setting(&c->model->code, SET_BOX_LOADS_LUMINAIRE, 0);
    if (!type || box->place.where != OVERHEAD || type->integral || type->holds <= 0 ||
        type->holds >= asked || type->mount == MOUNT_WALL)
        return;
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device_def *def = box->devices[i]->def;
        if (def->sort != SORT_LUMINAIRE || def->integral || def->yokes)
            continue;
        struct finding *f = box_finding_at(
            c, &rule_luminaire_support, box, type_span(box),
            "box %s on the ceiling is for a %s and must carry %s lb; %s carries %s lb",
            box_words(c, box), def->name, amount_words(c, asked, 1), type->name,
            amount_words(c, type->holds, 1));
        diag_mend(c->model->diag, f,
                  "a ceiling box for %s lb, such as round-nail-on-20 or octagon-2-1-8-deep",
                  amount_words(c, asked, 1));
        return;
    }
}
CHECK(luminaire_support, .box = {check_luminaire, ITS_TEXT, NEW_WORK});

/* --- luminaire-through-wiring ------------------------------------------------------------- */

/* Runs that carry something else than luminaires, and the way up to the source. */
struct ways {
    const struct checked *c;
    struct map feed_of; /* (circuit, box) -> the run that feeds the box */
    bool *other;        /* by run id */
    struct arena scratch;
};

static bool is_light(const struct part *part)
{
    return part->device->def->sort == SORT_LUMINAIRE ||
           (part->def && !strcmp(part->def->name, "light"));
}

/* A light, or a switch that works lights only. */
static bool for_light(const struct part *part)
{
    if (!part->control)
        return is_light(part);
    for (uint32_t i = 0; part->leg && i < part->leg->loads.n; i++)
        if (!part->leg->loads.at[i]->control && !is_light(part->leg->loads.at[i]))
            return false;
    return true;
}

static void mark_way(struct ways *w, const struct part *part)
{
    const struct box *box = part->device->box;
    for (struct run *r;
         (r = map_get(&w->feed_of, (uintptr_t)part->circuit, (uintptr_t)box)) && !w->other[r->id];
         box = r->from.box)
        w->other[r->id] = true;
}

static void find_ways(struct ways *w)
{
    struct model *m = w->c->model;
    w->other = arena_array(&w->scratch, bool, m->runs.n + 1);
    map_reserve(&w->scratch, &w->feed_of, m->runs.n);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        struct run *r = m->runs.at[i];
        if (r->circuit && r->in_tree && r->to.box)
            map_put(&w->scratch, &w->feed_of, (uintptr_t)r->circuit, (uintptr_t)r->to.box, r);
    }
    for (uint32_t i = 0; i < m->circuits.n; i++)
        for (uint32_t k = 0; k < m->circuits.at[i]->parts.n; k++)
            if (m->circuits.at[i]->is_tree && !for_light(m->circuits.at[i]->parts.at[k]))
                mark_way(w, m->circuits.at[i]->parts.at[k]);
}

static bool on_circuit(const struct box *box, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < box->device_count; i++)
        for (uint32_t k = 0; k < box->devices[i]->part_count; k++)
            if (box->devices[i]->parts[k].circuit == circuit)
                return true;
    return false;
}

static bool has_luminaire(const struct box *box)
{
    for (uint32_t i = 0; i < box->device_count; i++)
        if (box->devices[i]->def->sort == SORT_LUMINAIRE)
            return true;
    return false;
}

RULE(luminaire_through_wiring, "luminaire-through-wiring", ERROR, WAIVABLE,
     "no other wires pass through a luminaire's own compartment");

static void check_through(const struct ways *w, const struct box *box)
{
    const struct checked *c = w->c;
    if (!box->compartment || !has_luminaire(box))
        return;
    for (uint32_t i = 0; i < box->runs.n; i++) {
        const struct run *r = box->runs.at[i];
        bool foreign = r->in_tree && !on_circuit(box, r->circuit),
             through = r->in_tree && r->from.box == box && w->other[r->id];
        if (!foreign && !through)
            continue;
        struct finding *f = box_finding(
            c, &rule_luminaire_through_wiring, box,
            "run %s passes through the wiring compartment of the %s in %s%s",
            run_address(c->model->arena, r, true), box->devices[0]->def->name, box_words(c, box),
            foreign ? ", which is on another circuit" : " to what is no luminaire");
        diag_note(c->model->diag, f, r->from_span.source ? r->from_span : node_span(r->node),
                  "the run");
        diag_mend(c->model->diag, f,
                  "a junction box before it, or a feed from another box; a luminaire marked for "
                  "through wiring may pass other wires");
        return;
    }
}

static void check_through_wiring(const struct checked *c)
{
    struct ways w = {.c = c, .scratch = {.out_of_memory = c->model->arena->out_of_memory}};
    find_ways(&w);
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        if (facts_known(c->model->boxes.at[i], ITS_TEXT) && !c->model->boxes.at[i]->existing)
            check_through(&w, c->model->boxes.at[i]);
    arena_free(&w.scratch);
}
CHECK(luminaire_through_wiring, .plan = check_through_wiring);

/* --- box-buried --------------------------------------------------------------------------- */

static bool stays_open(const struct room *room)
{
    bool open = room->unfinished;
    for (uint8_t i = 0; i < room->kind_count; i++)
        open = open || room->kinds[i]->unfinished;
    return open;
}

RULE(box_buried, "box-buried", ERROR, WAIVABLE, "a junction box can be reached");

static void check_buried(const struct checked *c, const struct box *box)
{
    if (box->device_count || !box->runs.n || box->cover || stays_open(box->room))
        return;
    struct finding *f = box_finding(
        c, &rule_box_buried, box,
        "box %s has no device and no cover: behind the finish nobody reaches its splices",
        box_words(c, box));
    diag_mend(c->model->diag, f, "'cover blank', flush with the finish");
}
CHECK(box_buried, .box = {check_buried, ITS_TEXT, NEW_WORK});

/* --- low-voltage-in-power-box ------------------------------------------------------------- */

RULE(low_voltage_in_power_box, "low-voltage-in-power-box", ERROR, WAIVABLE,
     "a divider parts low voltage from power in a box");

static void check_low_voltage(const struct checked *c, const struct box *box)
{
    bool low = box->low_voltage.n > 0, power = box->runs.n > 0;
    const struct box_type *type = box->declared;
    for (uint32_t i = 0; i < box->device_count; i++) {
        low = low || box->devices[i]->def->sort == SORT_LOW_VOLTAGE;
        power = power || box->devices[i]->def->sort != SORT_LOW_VOLTAGE;
    }
    bool bracket = type && type->volume <= 0 && !type->integral;
    if (!type || !power || type->divided || (!low && !bracket) || type->integral)
        return;
    struct finding *f;
    if (bracket)
        f = box_finding_at(c, &rule_low_voltage_in_power_box, box, type_span(box),
                           "box %s holds power; %s is for low voltage only", box_words(c, box),
                           type->name);
    else
        f = box_finding_at(c, &rule_low_voltage_in_power_box, box, type_span(box),
                           "box %s holds power and low voltage; %s has no divider",
                           box_words(c, box), type->name);
    diag_mend(c->model->diag, f,
              "a divided box such as media-2g-34, or a bracket of its own for the low voltage");
}
CHECK(low_voltage_in_power_box, .box = {check_low_voltage, ITS_TEXT, NEW_WORK});
