/* What stands before each part of a circuit and protects it: its breaker, a feeder's, or the
 * devices on the way. */
#include "facts/rooms.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "resolve/value.h"
#include "wiring/protect.h"
#include "wiring/wiring.h"

#include <string.h>

/* While guards are found. */
struct finding_guards {
    struct protected *p;
    struct model *m;
    const struct routes *routes;
    const struct wiring *w;
    struct arena *arena, scratch;
    const struct box **beyond[2]; /* by part: the box behind whose protecting device its line, and
                                     its neutral, lie */
    uint32_t *first;              /* by device id: index of its first part in these */
    bool *met;                    /* by part: followed already */
    const struct circuit **breaker[2]; /* by circuit id: what protects it against ground, and arc
                                          faults, from the panel's side */
    bool *sought[2];                   /* likewise: whether that was found out */
};

static uint32_t index_of(const struct finding_guards *f, const struct part *part)
{
    return f->first[part->device->id] + (uint32_t)(part - part->device->parts);
}

/* Notes behind which box each part lies: what its hot terminals take, and its neutral, which alone
 * shows it where a switch feeds the hot. */
static void note_nets(struct finding_guards *f)
{
    for (uint32_t i = 0; i < f->w->terminals.n; i++) {
        const struct terminal_net *t = &f->w->terminals.at[i];
        const struct part_form *forms = f->w->forms[t->part->device->id];
        const struct part_form *form = forms ? &forms[t->part - t->part->device->parts] : NULL;
        if (!form || t->terminal >= form->body->terminal_count ||
            form->body->terminals[t->terminal].gives)
            continue;
        uint32_t k = index_of(f, t->part);
        f->p->of_device[t->part->device->id][t->part - t->part->device->parts].known = true;
        if (t->net->beyond && (t->net->sort == N_LINE || t->net->sort == N_NEUTRAL))
            f->beyond[t->net->sort == N_NEUTRAL][k] = t->net->beyond;
    }
}

/* Whether a device on the circuit protects what lies behind it. */
static bool hands_on(const struct circuit *c)
{
    for (uint32_t i = 0; i < c->parts.n; i++)
        if (c->parts.at[i]->device->onward)
            return true;
    return false;
}

/* What protects a box whose circuit serves it is known before its runs are, where it can be the
 * breaker or its own device alone. */
static void note_unrun(struct finding_guards *f)
{
    for (uint32_t i = 0; i < f->m->circuits.n; i++) {
        const struct circuit *c = f->m->circuits.at[i];
        if (!c->unrun.n || hands_on(c))
            continue;
        for (uint32_t k = 0; k < c->parts.n; k++)
            wiring_protection_of(f->p, c->parts.at[k])->known = true;
    }
}

/* The part that this one hangs on in what protects it: the fed switch of its leg, or the device
 * that protects onward before it. NULL: its breaker alone. */
static const struct part *part_before(const struct finding_guards *f, const struct part *part)
{
    uint32_t k = index_of(f, part);
    const struct leg *fed_by = part->control ? part->from_leg : part->leg;
    if (part->control && part->leg && f->w->of_leg[part->leg->id].count &&
        f->w->of_leg[part->leg->id].switches[0] != part)
        return f->w->of_leg[part->leg->id].switches[0];
    if (fed_by && f->w->of_leg[fed_by->id].count && f->w->of_leg[fed_by->id].switches[0] != part)
        return f->w->of_leg[fed_by->id].switches[0];
    const struct box *beyond = f->beyond[0][k] ? f->beyond[0][k] : f->beyond[1][k];
    const struct device *d = wiring_handing_on(beyond, part->circuit);
    return d && d != part->device ? &d->parts[0] : NULL;
}

static const struct circuit *feeder_before(const struct circuit *c)
{
    return c->panel ? c->panel->feeder : NULL;
}

/* The breaker of a circuit, or of a feeder before it, that protects against one sort of fault. What
 * holds for a feeder holds for all that hangs behind it: each is asked once. */
static const struct circuit *protecting_breaker(const struct finding_guards *f,
                                                const struct circuit *circuit, bool arc)
{
    const struct circuit *end = circuit, *found = NULL;
    for (; end && !f->sought[arc][end->id] && !found; end = feeder_before(end)) {
        f->sought[arc][end->id] = true;
        found = end->dual_function || (arc ? end->afci : end->gfci) ? end : NULL;
    }
    if (!found)
        found = end ? f->breaker[arc][end->id] : NULL;
    for (const struct circuit *c = circuit; c != end; c = feeder_before(c))
        f->breaker[arc][c->id] = found;
    return found;
}

/* --- arc-fault devices: only as the first outlet, not far from the panel ------------------ */

static bool in_metal(const struct finding_guards *f, const struct box *box,
                     const struct cable_def *cable)
{
    const struct box_type *type = box->declared ? box->declared : f->w->of_box[box->id].type;
    return cable && cable->family && type && type->metal &&
           code_list_has(&f->m->code, LIST_AFCI_ARMOURED, cable->family);
}

/* From the panel to this box all cable and all boxes are metal, and none of them is an outlet: the
 * length does not matter. */
static bool is_armoured(const struct finding_guards *f, const struct circuit *circuit,
                        const struct box *box)
{
    const struct run *feed;
    for (; (feed = map_find(&f->p->feeds, circuit, box)); box = feed->from.box) {
        if (!in_metal(f, box, f->w->of_run[feed->id].cable))
            return false;
        if (!feed->from.box || feed->from.box->device_count)
            return !feed->from.box;
    }
    return false;
}

/* Why an arc-fault device does not stand for one on the breaker, in words; NULL where it does, or
 * where the circuit was there before it. */
static const char *too_late(const struct finding_guards *f, const struct device *d)
{
    const struct circuit *circuit = d->parts[0].circuit;
    const struct run *feed = circuit ? map_find(&f->p->feeds, circuit, d->box) : NULL;
    if (!feed || circuit->existing || is_armoured(f, circuit, d->box))
        return NULL;
    const char *who = arena_printf(f->arena, "the %s in %s does not stand in for an AFCI breaker",
                                   d->def->name, address_of_box(f->arena, d->box, true));
    if (feed->from.box)
        return arena_printf(f->arena, "%s: it is not the first outlet, %s comes before it", who,
                            address_of_box(f->arena, feed->from.box, true));
    const struct cable_def *cable = f->w->of_run[feed->id].cable;
    length most =
        cable && cable->size ? code_length_by(&f->m->code, SET_AFCI_HOME_RUN, cable->size, -1) : -1;
    double far = length_feet(f->routes->of_run[feed->id].electrical);
    if (most < 0 || !f->routes->of_run[feed->id].known || far <= length_feet(most))
        return NULL;
    return arena_printf(f->arena, "%s: it is %s of %s AWG from the panel, and %s is the most", who,
                        facts_feet_words(f->arena, far), cable->size,
                        facts_feet_words(f->arena, length_feet(most)));
}

/* --- from the breaker on ------------------------------------------------------------------ */

static void set_guards(const struct finding_guards *f, const struct part *part,
                       const struct part *before)
{
    struct protected_part *s = wiring_protection_of(f->p, part);
    enum protection own = part->device->def->protects;
    if (before) {
        const struct protected_part *b = wiring_protection_of(f->p, before);
        s->gfci = b->gfci;
        s->afci = b->afci;
        s->afci_too_late = b->afci_too_late;
    } else {
        s->gfci.breaker = protecting_breaker(f, part->circuit, false);
        s->afci.breaker = protecting_breaker(f, part->circuit, true);
    }
    if (own & PROTECTS_GFCI)
        s->gfci.device = part->device;
    if (own & PROTECTS_AFCI) {
        s->afci.device = part->device;
        s->afci_too_late = s->afci.breaker ? NULL : too_late(f, part->device);
    }
}

/* Sets the guards of a part and of all that stand before it, nearest the source first. */
static void follow(struct finding_guards *f, const struct part *part, const struct part **stack)
{
    uint32_t depth = 0;
    const struct part *at = part;
    while (at && !f->met[index_of(f, at)]) {
        f->met[index_of(f, at)] = true;
        stack[depth++] = at;
        at = part_before(f, at);
    }
    for (const struct part *before = at; depth; before = stack[depth])
        set_guards(f, stack[--depth], before);
}

/* The run that feeds each box of a circuit. */
static void note_feeds(struct finding_guards *f)
{
    map_reserve(f->arena, &f->p->feeds, f->m->runs.n);
    for (uint32_t i = 0; i < f->m->runs.n; i++) {
        struct run *run = f->m->runs.at[i];
        if (!run->circuit || !run->in_tree || !run->to.box)
            continue;
        map_file(f->arena, &f->p->feeds, run->circuit, run->to.box, run);
        for (uint32_t k = 0; k < run->also.n; k++)
            map_file(f->arena, &f->p->feeds, run->also.at[k], run->to.box, run);
    }
}

static void find_all(struct finding_guards *f)
{
    const struct model *m = f->m;
    uint32_t parts = 0;
    f->first = arena_array(&f->scratch, uint32_t, m->devices.n + 1);
    for (uint32_t i = 0; i < m->devices.n; i++) {
        f->first[i] = parts;
        parts += m->devices.at[i]->part_count;
    }
    struct protected_part *all = arena_array(f->arena, struct protected_part, parts + 1);
    for (uint32_t i = 0; i < m->devices.n; i++)
        f->p->of_device[i] = &all[f->first[i]];
    f->beyond[0] = arena_array(&f->scratch, const struct box *, parts + 1);
    f->beyond[1] = arena_array(&f->scratch, const struct box *, parts + 1);
    f->met = arena_array(&f->scratch, bool, parts + 1);
    for (int arc = 0; arc < 2; arc++) {
        f->breaker[arc] = arena_array(&f->scratch, const struct circuit *, m->circuits.n + 1);
        f->sought[arc] = arena_array(&f->scratch, bool, m->circuits.n + 1);
    }
    note_feeds(f);
    note_nets(f);
    note_unrun(f);
    const struct part **stack = arena_array(&f->scratch, const struct part *, parts + 1);
    for (uint32_t i = 0; i < m->devices.n; i++)
        for (uint32_t k = 0; k < m->devices.at[i]->part_count; k++)
            follow(f, &m->devices.at[i]->parts[k], stack);
}

const struct box *wiring_box_up(const struct protected *p, const struct circuit *circuit,
                                const struct box *box)
{
    const struct run *feed = map_find(&p->feeds, circuit, box);
    return feed ? feed->from.box : NULL;
}

void wiring_find_guards(struct arena *arena, struct protected *p, struct model *m,
                        const struct routes *routes, const struct wiring *wiring)
{
    struct finding_guards f = {.p = p,
                               .m = m,
                               .routes = routes,
                               .w = wiring,
                               .arena = arena,
                               .scratch = {.out_of_memory = arena->out_of_memory}};
    find_all(&f);
    arena_free(&f.scratch);
}
