/* Rules about switches and what they work: switch-kind, two-dimmers-one-leg, dimmer-misused,
 * control-overloaded. One finding a leg and rule. */
#include "facts/devices.h"
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

#include <string.h>

/* "the dimmer in studio.S1". */
static const char *part_words(const struct checked *c, const struct part *part)
{
    return arena_printf(c->model->arena, "the %s in %s", part->device->def->name,
                        address_of_box(c->model->arena, part->device->box, true));
}

/* What of a leg must be known before these rules speak of it. */
enum { NEEDS = ITS_TEXT | ITS_DEVICES };

/* --- switch-kind -------------------------------------------------------------------------- */

/* A load of the leg that takes both lines, or (`both` false) one line only; NULL where none does.
 */
static const struct part *load_on(const struct checked *c, const struct leg *leg, bool both)
{
    for (uint32_t i = 0; i < leg->loads.n; i++) {
        const struct part *load = leg->loads.at[i];
        if (!load->control && (load->volts > c->model->volts) == both)
            return load;
    }
    return NULL;
}

RULE(switch_kind, "switch-kind", ERROR, FIRM,
     "a switch is of the kind that its place on the leg asks");

/* Another control in the place of a whole one; of a device with parts none is said. */
static void mend_switch(const struct checked *c, struct finding *f, const struct part *p,
                        const char *type)
{
    if (!p->def && strcmp(p->device->def->name, type) != 0)
        mends_device(c, f, p->device, type);
}

/* Lines that the switches break and that the loads take. */
static struct finding *check_poles(const struct checked *c, const struct leg *leg,
                                   const struct leg_wiring *w)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < w->count; i++) {
        const struct part *p = w->switches[i];
        bool both = p->volts > m->volts;
        const struct part *load = load_on(c, leg, !both);
        if (!load)
            continue;
        struct finding *f =
            part_finding(c, &rule_switch_kind, p, "%s breaks %s, but the %s on leg %s takes %s",
                         part_words(c, p), both ? "both lines" : "one line",
                         load->device->def->name, leg->name, both ? "one" : "both");
        diag_note(m->diag, f, node_span(load->node), "the load");
        diag_mend(m->diag, f,
                  both ? "a switch for one line" : "a switch for two lines, such as switch-2p");
        mend_switch(c, f, p, both ? "switch" : "switch-2p");
        return f;
    }
    return NULL;
}

/* The first switch of the leg that the i-th must not share it with, or NULL. `unlike`: the first
 * that is not of the sort of the first of all. */
static const struct part *stranger_to(const struct leg_wiring *w, uint32_t i, uint32_t unlike)
{
    const struct device_def *def = w->switches[i]->device->def;
    if (def->multi == MULTI_NO)
        return w->switches[i ? 0 : 1];
    if (def->multi != MULTI_COMPANION)
        return NULL;
    uint32_t k = w->switches[0]->device->def != def ? 0 : unlike;
    return k < w->count ? w->switches[k] : NULL;
}

/* A control that shares its leg with switches that its maker does not allow. */
static struct finding *check_sharing(const struct checked *c, const struct leg *leg,
                                     const struct leg_wiring *w)
{
    struct model *m = c->model;
    const struct part *first = NULL;
    uint32_t unlike = 1;
    while (unlike < w->count && w->switches[unlike]->device->def == w->switches[0]->device->def)
        unlike++;
    for (uint32_t i = 0; i < w->count && w->count > 1; i++) {
        const struct part *p = w->switches[i], *other = stranger_to(w, i, unlike);
        const struct device_def *def = p->device->def;
        const char *why = NULL;
        if (other)
            why = def->multi == MULTI_NO ? "works a leg alone"
                                         : "shares a leg with its own companions only";
        else if (def->first_only && def->multi == MULTI_YES && first)
            why = "must be the fed switch of its leg, and so must another one";
        if (why) {
            struct finding *f =
                part_finding(c, &rule_switch_kind, p, "%s %s; %u switches work leg %s",
                             part_words(c, p), why, w->count, leg->name);
            diag_note(m->diag, f, node_span((other ? other : first)->node),
                      "another switch of the leg");
            diag_mend(m->diag, f, "a plain switch in its place, or a leg of its own");
            mend_switch(c, f, p, "switch");
            return f;
        }
        first = def->first_only ? p : first;
    }
    return NULL;
}

/* "the three-way in shed.S1 is a three-way switch", or that it takes its parts to work a leg. */
static const char *nature(const struct checked *c, const struct part *p)
{
    enum switch_kind kind = SINGLE_POLE;
    while (kind < TWO_POLE && !(p->body->serves & 1u << kind))
        kind++;
    return p->body->serves ? arena_printf(c->model->arena, "%s is a %s switch", part_words(c, p),
                                          wiring_switch_kind_word(kind))
                           : arena_printf(c->model->arena, "%s is no switch but in its parts",
                                          part_words(c, p));
}

static struct finding *check_declared(const struct checked *c, const struct leg *leg,
                                      const struct leg_wiring *w)
{
    struct model *m = c->model;
    if (w->count != leg->controls.n || !facts_known(leg, ITS_BOXES))
        return NULL; /* there may be more switches */
    for (uint32_t i = 0; i < w->count; i++) {
        const struct part *p = w->switches[i];
        const char *asked = wiring_switch_kind_word(w->kinds[i]);
        if (p->body->serves & 1u << w->kinds[i])
            continue;
        struct finding *f =
            part_finding(c, &rule_switch_kind, p, "%s; %s on leg %s, so it is a %s", nature(c, p),
                         w->count == 1 ? "it is the only switch"
                                       : arena_printf(m->arena, "there are %u switches", w->count),
                         leg->name, asked);
        if (p->body->serves)
            diag_mend(m->diag, f, "'switch', and its kind is worked out, or '%s'", asked);
        else
            diag_mend(m->diag, f, "the part that works it: %s { %s leg %s }", p->device->def->name,
                      p->device->def->parts[0].name, leg->name);
        if (p->body->serves) {
            mend_switch(c, f, p, "switch");
            mend_switch(c, f, p, asked);
        }
        return f;
    }
    return NULL;
}

static void check_kind(const struct checked *c, const struct leg *leg)
{
    const struct leg_wiring *w = &c->wiring->of_leg[leg->id];
    if (!check_poles(c, leg, w) && !check_sharing(c, leg, w))
        check_declared(c, leg, w);
}
CHECK(switch_kind, .leg = {check_kind, NEEDS});

/* --- dimmers ------------------------------------------------------------------------------ */

RULE(two_dimmers_one_leg, "two-dimmers-one-leg", ERROR, WAIVABLE,
     "one dimmer works a leg, or dimmers made to work together");

static void check_two_dimmers(const struct checked *c, const struct leg *leg)
{
    const struct part *first = NULL;
    for (uint32_t i = 0; i < leg->controls.n && c->wiring->of_leg[leg->id].count; i++) {
        const struct part *p = leg->controls.at[i];
        if (!facts_device_in_list(c->model, p->device->def, LIST_DIMMERS))
            continue;
        if (!first) {
            first = p;
            continue;
        }
        bool companions =
            p->device->def == first->device->def && p->device->def->multi == MULTI_COMPANION;
        if (companions || p->device->def->multi != MULTI_YES)
            continue; /* of those that only share with companions switch-kind speaks */
        struct finding *f =
            part_finding(c, &rule_two_dimmers_one_leg, p,
                         "%s is the second dimmer on leg %s; two dimmers work against each other",
                         part_words(c, p), leg->name);
        diag_note(c->model->diag, f, node_span(first->node), "the first");
        diag_mend(c->model->diag, f,
                  "'switch' here, or dimmers made to work together, such as dimmer-neutral at both "
                  "places");
        mend_switch(c, f, p, "switch");
        return;
    }
}
CHECK(two_dimmers_one_leg, .leg = {check_two_dimmers, NEEDS});

RULE(dimmer_misused, "dimmer-misused", ERROR, WAIVABLE, "a dimmer works lights only");

static void check_misused(const struct checked *c, const struct leg *leg)
{
    const struct leg_wiring *w = &c->wiring->of_leg[leg->id];
    const struct part *dimmer = NULL, *load = NULL;
    for (uint32_t i = 0; i < w->count && !dimmer; i++)
        dimmer = facts_device_in_list(c->model, w->switches[i]->device->def, LIST_DIMMERS)
                     ? w->switches[i]
                     : NULL;
    for (uint32_t i = 0; i < leg->loads.n && !load; i++)
        load =
            leg->loads.at[i]->control || facts_is_light(leg->loads.at[i]) ? NULL : leg->loads.at[i];
    if (!dimmer || !load || !facts_known(load, ITS_TEXT))
        return;
    const char *part =
        load->def ? arena_printf(c->model->arena, "the %s of ", load->def->name) : "";
    struct finding *f =
        part_finding(c, &rule_dimmer_misused, dimmer,
                     "%s works %s%s; a dimmer is for lights that stay where they are",
                     part_words(c, dimmer), part, part_words(c, load));
    diag_note(c->model->diag, f, node_span(load->node), "the load");
    diag_mend(c->model->diag, f, "a 'switch', or a control made for that load");
    mend_switch(c, f, dimmer, "switch");
}
CHECK(dimmer_misused, .leg = {check_misused, NEEDS});

/* --- control-overloaded ------------------------------------------------------------------- */

/* What a leg carries. */
struct leg_sum {
    double va, amps, motor_amps;
};

/* Adds the loads of a leg and of the legs that it feeds through further controls. */
static void add_leg(const struct checked *c, const struct leg *leg, struct leg_sum *sum,
                    unsigned depth)
{
    for (uint32_t i = 0; i < leg->loads.n && depth < MOST_LEGS_IN_SERIES; i++) {
        const struct part *load = leg->loads.at[i];
        if (load->control && load->leg && load->leg != leg)
            add_leg(c, load->leg, sum, depth + 1);
        if (load->control || load->volts <= 0)
            continue;
        double amps = load->load / load->volts;
        sum->va += load->load;
        sum->amps += amps;
        sum->motor_amps += facts_is_motor(load) ? amps : 0;
    }
}

RULE(control_overloaded, "control-overloaded", ERROR, FIRM,
     "a switch carries no more than it is rated for");

static void say_overloaded(const struct checked *c, const struct leg *leg, const struct part *p,
                           const struct leg_sum *sum, double most, bool motor)
{
    struct model *m = c->model;
    const char *carried = rules_amount_words(c, motor ? sum->motor_amps : sum->amps, 1),
               *rating = rules_amount_words(c, p->device->def->rating, 1);
    const char *text =
        motor ? arena_printf(
                    m->arena,
                    "%s is rated %s A, and so good for %s A of motors; those on leg %s take %s A",
                    part_words(c, p), rating, rules_amount_words(c, most, 1), leg->name, carried)
              : arena_printf(m->arena, "%s is rated %s A; leg %s takes %s A (%s VA)",
                             part_words(c, p), rating, leg->name, carried,
                             rules_amount_words(c, sum->va, 0));
    diag_mend(m->diag, part_finding(c, &rule_control_overloaded, p, "%s", text),
              "a control of a larger rating, or the load on two legs");
}

static void check_limit(const struct checked *c, const struct leg *leg, const struct leg_sum *sum)
{
    struct model *m = c->model;
    const struct node *clause = leg->node ? node_child(leg->node, F_LIMIT) : NULL;
    if (leg->limit <= 0 || sum->va <= leg->limit || !clause)
        return;
    struct finding *f = model_finding(
        m, &rule_control_overloaded, node_span(clause), leg->unit,
        address_of_leg(m->arena, leg, false), "leg %s takes %s VA; its limit is %s VA", leg->name,
        rules_amount_words(c, sum->va, 0), rules_amount_words(c, leg->limit, 0));
    diag_mend(m->diag, f, "fewer or smaller loads on the leg, or a control that allows more");
}

static void check_overload(const struct checked *c, const struct leg *leg)
{
    const struct leg_wiring *w = &c->wiring->of_leg[leg->id];
    double share = code_share(&c->model->code, SET_MOTOR_ON_SWITCH_SHARE, 1);
    struct leg_sum sum = {0};
    add_leg(c, leg, &sum, 0);
    for (uint32_t i = 0; i < w->count; i++) {
        const struct part *p = w->switches[i];
        double rating = p->device->def->rating;
        bool over = rating > 0 && sum.amps > rating + 1e-9;
        bool motor = !over && rating > 0 && sum.motor_amps > share * rating + 1e-9 &&
                     !facts_device_in_list(c->model, p->device->def, LIST_MOTOR_CONTROLS);
        if (over || motor) {
            say_overloaded(c, leg, p, &sum, motor ? share * rating : rating, motor);
            break;
        }
    }
    if (w->count)
        check_limit(c, leg, &sum);
}
CHECK(control_overloaded, .leg = {check_overload, NEEDS});
