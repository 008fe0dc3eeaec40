/* Rules about boxes: box-gangs, fan-support, luminaire-support,
 * luminaire-through-wiring, box-buried, low-voltage-in-power-box.
 *
 * They judge what the plan names: a box that is left to the compiler is chosen so that it keeps
 * them. */
#include "facts/boxes.h"
#include "facts/devices.h"
#include "facts/existing.h"
#include "facts/places.h"
#include "facts/pulls.h"
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

#include <string.h>

static struct span type_span(const struct box *box)
{
    const struct node *clause = node_child(box->node, F_BOX_TYPE);
    return clause ? node_span(clause) : node_name_span(box->node);
}

static const char *box_words(const struct checked *c, const struct box *box)
{
    return address_of_box(c->model->arena, box, true);
}

static unsigned misfits_of(const struct checked *c, const struct box *box)
{
    return c->wiring->of_box[box->id].misfits;
}

/* ", such as X": the type that would be chosen; "" where the library has none. */
static const char *such_as(const struct checked *c, const struct box *box)
{
    const struct box_type *t = wiring_box_that_serves(c->model, c->wiring, box);
    return t ? arena_printf(c->model->arena, ", such as %s", t->name) : "";
}

/* Another box, which new work may have. */
static void mend_such_as(const struct checked *c, struct finding *f, const struct box *box,
                         const char *what)
{
    diag_mend(c->model->diag, f, "%s%s", what, such_as(c, box));
    if (!box->existing && box->declared && wiring_box_that_serves(c->model, c->wiring, box))
        mends_type(c, f, box, wiring_box_that_serves(c->model, c->wiring, box));
}

/* An old box is held to what new work makes of it, where it is told what box it is: a device that
 * comes into it. */
static bool is_judged(const struct box *box)
{
    return !box->existing || facts_gets_device(box);
}

/* --- box-gangs ----------------------------------------------------------------- */

RULE(box_gangs, "box-gangs", ERROR, WAIVABLE, "a box has a gang for every yoke");

static void mend_gangs(const struct checked *c, struct finding *f, const struct box *box,
                       uint32_t gangs)
{
    diag_mend(c->model->diag, f,
              box->existing
                  ? "a box of %u gang%s in its place, a new one, or one beside it"
                  : "a box of %u gang%s, or leave 'type' and 'gangs' out and the smallest that "
                    "serves is chosen",
              gangs, gangs == 1 ? "" : "s");
    if (box->existing)
        return;
    if (box->declared)
        mends_type(c, f, box, NULL);
    if (edit_is_written(box->node, F_GANGS) && gangs != box->gangs) {
        struct editing e = rules_way(c, f, false, "gangs %u", gangs);
        edit_clause(e, box->node, F_GANGS, arena_printf(c->model->arena, "gangs %u", gangs));
        if (box->declared)
            edit_remove(e, node_child(box->node, F_BOX_TYPE));
    }
}

/* A type with fewer gangs than the box is written to have. */
static void check_gangs_of_type(const struct checked *c, const struct box *box)
{
    const struct box_type *type = box->declared;
    if (!(misfits_of(c, box) & MISFIT_GANGS))
        return;
    mend_gangs(c,
               box_finding_at(c, &rule_box_gangs, box, type_span(box),
                              "box %s is to have %u gangs; %s has %u", box_words(c, box),
                              box->gangs, type->name, type->gangs),
               box, box->gangs);
}

static void check_gangs(const struct checked *c, const struct box *box)
{
    const struct node *written = node_child(box->node, F_GANGS);
    const struct box_type *type = box->declared;
    uint32_t yokes = facts_yokes(box), gangs = box->gangs ? box->gangs : type ? type->gangs : yokes;
    bool own = misfits_of(c, box) & MISFIT_OWN;
    if (!is_judged(box))
        return;
    if (yokes <= gangs && !own) {
        check_gangs_of_type(c, box);
        return;
    }
    struct span span = written && !own ? node_span(written) : type_span(box);
    const char *plural = yokes == 1 ? "" : "s";
    struct finding *f;
    if (gangs && !own)
        f = box_finding_at(c, &rule_box_gangs, box, span, "box %s holds %u yokes and has %u gang%s",
                           box_words(c, box), yokes, gangs, gangs == 1 ? "" : "s");
    else
        f = box_finding_at(c, &rule_box_gangs, box, span, "box %s holds %u yoke%s; %s %s",
                           box_words(c, box), yokes, plural, type->name,
                           own ? "is the compartment of a thing itself and takes none"
                               : "is round and takes none");
    mend_gangs(c, f, box, yokes);
}
CHECK(box_gangs, .box = {check_gangs, ITS_TEXT});

/* --- what hangs from a box ---------------------------------------------------------------- */

RULE(fan_support, "fan-support", ERROR, WAIVABLE, "a fan hangs from a box that is listed for fans");

/* In an old box: a new fan, or a leg that a new cable keeps for later. A new luminaire alone asks
 * nothing more of it than the old one. */
static bool may_get_fan(const struct box *box, const struct box_asks *asks)
{
    if (!box->existing)
        return asks->fan || asks->fan_ready;
    return (asks->fan && facts_gets_device(box)) ||
           (asks->fan_ready == FAN_READY_LEG && facts_gets_cable(box, NULL));
}

static void check_fan(const struct checked *c, const struct box *box)
{
    struct box_asks asks = facts_box_asks(c->model, box);
    if (!may_get_fan(box, &asks))
        return;
    if (!box->existing || box->declared)
        looked(c, fan_support);
    if (!(misfits_of(c, box) & MISFIT_FAN))
        return;
    struct arena *a = c->model->arena;
    const char *why =
        asks.fan ? arena_printf(a, "a %s hangs from box %s", asks.fan->name, box_words(c, box))
        : asks.fan_ready == FAN_READY_LEG
            ? arena_printf(a, "a switched leg is kept for later in box %s, where a fan can hang",
                           box_words(c, box))
            : arena_printf(a, "box %s is in the ceiling of a habitable room, where a fan can hang",
                           box_words(c, box));
    struct finding *f = box_finding_at(c, &rule_fan_support, box, type_span(box),
                                       "%s; %s is not listed for fans", why, box->declared->name);
    mend_such_as(c, f, box, "a box listed for fans");
}
CHECK(fan_support, .box = {check_fan, ITS_TEXT});

RULE(luminaire_support, "luminaire-support", ERROR, WAIVABLE,
     "a ceiling box carries the luminaire");

BLIND_SPOT(hanging_weight, luminaire_support, "the weight of what hangs from", "");

/* A ceiling box for a luminaire carries what the edition asks; one that says no weight is not
 * judged. */
static void check_luminaire(const struct checked *c, const struct box *box)
{
    struct box_asks hangs = facts_box_asks(c->model, box);
    if (!is_judged(box))
        return;
    if (hangs.luminaire || hangs.fan)
        box_passed(c, hanging_weight, box);
    if (hangs.weight > 0 && !(misfits_of(c, box) & (MISFIT_UNSAID | MISFIT_MOUNT)) &&
        c->wiring->of_box[box->id].type)
        looked(c, luminaire_support);
    if ((misfits_of(c, box) & (MISFIT_WEIGHT | MISFIT_MOUNT)) != MISFIT_WEIGHT)
        return;
    struct box_asks asks = facts_box_asks(c->model, box);
    const char *asked = rules_amount_words(c, asks.weight, 1);
    struct finding *f =
        box_finding_at(c, &rule_luminaire_support, box, type_span(box),
                       "box %s on the ceiling is for a %s and must carry %s lb; %s carries %s lb",
                       box_words(c, box), asks.luminaire->name, asked, box->declared->name,
                       rules_amount_words(c, box->declared->holds, 1));
    mend_such_as(c, f, box, arena_printf(c->model->arena, "a ceiling box for %s lb", asked));
}
CHECK(luminaire_support, .box = {check_luminaire, ITS_TEXT});

/* --- luminaire-through-wiring ------------------------------------------------------------- */

/* Runs that carry something else than luminaires, and the way up to the source. */
struct ways {
    const struct checked *c;
    struct map feed_of; /* (circuit, box) -> the run that feeds the box */
    bool *other;        /* by run id */
    struct arena scratch;
};

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
            if (m->circuits.at[i]->is_tree && !facts_is_for_lights(m->circuits.at[i]->parts.at[k]))
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

RULE(luminaire_through_wiring, "luminaire-through-wiring", ERROR, WAIVABLE,
     "no other wires pass through a luminaire's own compartment");

static void check_through(const struct ways *w, const struct box *box)
{
    const struct checked *c = w->c;
    if (!facts_passes_lights_only(box))
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
            address_of_run(c->model->arena, r, true), box->devices[0]->def->name, box_words(c, box),
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

RULE(box_buried, "box-buried", ERROR, WAIVABLE, "a box can be reached");

/* Whether a receptacle is for one appliance: it is alone on its circuit, or its text says for what
 * it is. */
static bool is_for_one_thing(const struct device *d, const struct box *box)
{
    return d->def->sort == SORT_RECEPTACLE &&
           (d->title || (box->runs.n == 1 && box->runs.at[0]->circuit &&
                         box->runs.at[0]->circuit->runs.n == 1));
}

/* What is behind a wall cabinet serves what is in it, or nobody reaches it. */
static void check_behind_cabinet(const struct checked *c, const struct box *box,
                                 const struct fixture *cabinet)
{
    const char *what = box->device_count ? NULL : "its splices";
    for (uint32_t i = 0; i < box->device_count && !what; i++) {
        const struct device *d = box->devices[i];
        if (d->def->sort != SORT_APPLIANCE && d->def->sort != SORT_EQUIPMENT &&
            !is_for_one_thing(d, box))
            what = arena_printf(c->model->arena, "its %s", d->def->name);
    }
    if (!what)
        return;
    struct arena *arena = c->model->arena;
    struct finding *f =
        box_finding(c, &rule_box_buried, box,
                    "box %s is behind a wall cabinet, from %s to %s above the floor: "
                    "nobody reaches %s",
                    box_words(c, box), length_words(arena, cabinet->sill),
                    length_words(arena, cabinet->top), what);
    diag_note(c->model->diag, f, node_span(cabinet->node), "the cabinet stands here");
    diag_mend(c->model->diag, f,
              "move it out from behind the cabinet; a receptacle for an appliance "
              "in it has a circuit of its own, or says in a text for what it is");
}

/* A conduit body is on its raceways: outdoors, and where one of them lies on the finish, it does so
 * too, under the cover that it comes with. */
static bool is_before_finish(const struct checked *c, const struct box *box)
{
    if (!facts_is_body(box))
        return false;
    for (uint32_t i = 0; i < box->runs.n; i++)
        if (box->runs.at[i]->exposed || box->runs.at[i]->underground)
            return true;
    return facts_is_weathered(c->model, box) == ANSWER_YES;
}

static void check_buried(const struct checked *c, const struct box *box)
{
    const struct fixture *cabinet = facts_known(box, ITS_PLACE) ? facts_cabinet_before(box) : NULL;
    if (cabinet) {
        looked(c, box_buried);
        check_behind_cabinet(c, box, cabinet);
        return;
    }
    if (box->device_count || !box->runs.n)
        return;
    looked(c, box_buried);
    if (box->cover || facts_stays_open(box->room) || is_before_finish(c, box))
        return;
    bool body = facts_is_body(box);
    struct finding *f = box_finding(
        c, &rule_box_buried, box, "%s %s %s: behind the finish nobody reaches %s",
        body ? "conduit body" : "box", box_words(c, box),
        body ? "is on no raceway that lies on the finish" : "has no device and no cover",
        facts_is_passed(box) ? "what passes it" : "its splices");
    diag_mend(c->model->diag, f,
              body ? "'exposed' on its runs, or 'cover blank' where its cover is flush with the "
                     "finish"
                   : "'cover blank', flush with the finish");
    edit_clause(rules_way(c, f, false, "'cover blank'"), box->node, F_COVER, "cover blank");
}

/* A box that goes leaves no cable end behind that nobody reaches. */
static void check_left_behind(const struct checked *c)
{
    for (uint32_t i = 0; i < c->model->gone.boxes.n; i++) {
        const struct box *box = c->model->gone.boxes.at[i];
        if (!box->buried || !facts_known(box, ITS_TEXT))
            continue;
        struct finding *f =
            box_finding(c, &rule_box_buried, box, "box %s goes, and run %s %s and ends there",
                        address_of_box(c->model->arena, box, true),
                        address_of_run(c->model->arena, box->buried, true),
                        box->buried->abandoned ? "is abandoned" : "stays");
        diag_mend(c->model->diag, f,
                  "'cover blank' on the box, which then stays, or 'remove' on the run too");
        if (box->buried->existing)
            edit_clause(rules_way(c, f, false, "'cover blank' on the box, which then stays"),
                        box->node, F_COVER, "cover blank");
    }
}
CHECK(box_buried, .plan = check_left_behind, .box = {check_buried, ITS_TEXT, NEW_WORK});

/* --- low-voltage-in-power-box ------------------------------------------------------------- */

RULE(low_voltage_in_power_box, "low-voltage-in-power-box", ERROR, WAIVABLE,
     "a divider parts low voltage from power in a box");

static void check_low_voltage(const struct checked *c, const struct box *box)
{
    unsigned misfits = misfits_of(c, box);
    if (!is_judged(box) || !(misfits & (MISFIT_BRACKET | MISFIT_DIVIDER)))
        return;
    const char *what = misfits & MISFIT_BRACKET ? "holds power; %s is for low voltage only"
                                                : "holds power and low voltage; %s has no divider";
    struct finding *f =
        box_finding_at(c, &rule_low_voltage_in_power_box, box, type_span(box), "box %s %s",
                       box_words(c, box), arena_printf(c->model->arena, what, box->declared->name));
    bool divided = facts_box_asks(c->model, box).low_voltage;
    diag_mend(c->model->diag, f,
              divided ? "a divided box%s, or a bracket of its own for the low voltage"
                      : "a box for power%s",
              such_as(c, box));
    if (!box->existing && wiring_box_that_serves(c->model, c->wiring, box))
        mends_type(c, f, box, wiring_box_that_serves(c->model, c->wiring, box));
}
CHECK(low_voltage_in_power_box, .box = {check_low_voltage, ITS_TEXT});
