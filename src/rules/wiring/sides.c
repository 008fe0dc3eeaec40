/* side-without-effect: `onward`, `line-side` and `load-side` where there is no load side that they
 * could mean. One finding a device, and one a run statement. */
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

RULE(side_without_effect, "side-without-effect", WARNING, WAIVABLE,
     "'onward', 'line-side' and 'load-side' stand where a device has a load side");

static struct span word_span(const struct node *n, enum form_id word)
{
    const struct node *said = node_child(n, word);
    return node_span(said ? said : n);
}

/* A device that says `onward` and does not hand on. */
static void say_onward(const struct checked *c, const struct device *d, const struct device *other)
{
    struct model *m = c->model;
    const char *box = address_of_box(m->arena, d->box, true);
    struct finding *f = box_finding_at(
        c, &rule_side_without_effect, d->box, word_span(d->node, F_ONWARD),
        other
            ? "the %s in %s hands on nothing: another device there does, which says 'onward' first"
            : "the %s in %s has no load side: 'onward' does nothing",
        d->def->name, box);
    if (other)
        diag_note(m->diag, f, node_span(other->node), "the %s", other->def->name);
    diag_mend(m->diag, f,
              other ? "'onward' on one of them"
                    : "a device that protects what lies beyond it, such as receptacle-gfci");
    if (!other)
        mends_receptacle(c, f, d, "-gfci", "");
    mends_leave_out(c, f, false, d->node, F_ONWARD);
}

/* Of a box whose device should hand on and does not, that is told: what the others say of its sides
 * follows from it. */
static bool says_onward(const struct box *b)
{
    for (uint32_t i = 0; b && i < b->device_count; i++)
        if (b->devices[i]->onward)
            return true;
    return false;
}

static void check_device(const struct checked *c, const struct device *d)
{
    const struct circuit *circuit = d->part_count ? d->parts[0].circuit : NULL;
    bool side = d->line_side || d->load_side;
    if (!circuit || (!d->onward && !side) || !facts_known(d->box, ITS_TEXT | ITS_DEVICES))
        return;
    looked(c, side_without_effect);
    const struct device *hands_on = wiring_handing_on(d->box, circuit);
    if (d->onward && hands_on != d)
        say_onward(c, d, hands_on);
    else if (side && (!hands_on || hands_on == d) && !(says_onward(d->box) && !hands_on))
        diag_mend(c->model->diag,
                  box_finding_at(c, &rule_side_without_effect, d->box,
                                 word_span(d->node, d->load_side ? F_LOAD_SIDE : F_LINE_SIDE),
                                 "no other device in %s has a load side: '%s' does nothing",
                                 address_of_box(c->model->arena, d->box, true),
                                 d->load_side ? "load-side" : "line-side"),
                  "leave the word out, or put a device with a load side into the box");
}

/* Whether the word of a run means a device in the box that the run leaves; true where that is not
 * known. */
static bool means_a_device(const struct run *r)
{
    return r->from.box && (!facts_known(r->from.box, ITS_TEXT | ITS_DEVICES) || r->also.n ||
                           wiring_handing_on(r->from.box, r->circuit));
}

/* A chain says its words once for all its hops: one of them is enough. */
static void check_runs(const struct checked *c)
{
    struct model *m = c->model;
    struct map means = {0}, said = {0};
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (m->runs.at[i]->circuit && means_a_device(m->runs.at[i]))
            map_put(m->arena, &means, 1, (uintptr_t)m->runs.at[i]->node, m->runs.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *r = m->runs.at[i];
        if (!r->circuit || !r->in_tree || !(r->line_side || r->load_side) ||
            !facts_known(r, ITS_TEXT) || map_get(&said, 1, (uintptr_t)r->node))
            continue;
        map_put(m->arena, &said, 1, (uintptr_t)r->node, (void *)r);
        looked(c, side_without_effect);
        if (map_get(&means, 1, (uintptr_t)r->node) || says_onward(r->from.box) ||
            says_onward(r->to.box))
            continue;
        const char *word = r->load_side ? "load-side" : "line-side";
        struct finding *f = run_finding(
            c, &rule_side_without_effect, r,
            word_span(r->node, r->load_side ? F_LOAD_SIDE : F_LINE_SIDE),
            "run %s leaves no box with a device that has a load side: '%s' does nothing",
            address_of_run(m->arena, r, true), word);
        diag_mend(m->diag, f, "leave the word out, or put a device with a load side into the box");
        mends_leave_out(c, f, false, r->node, r->load_side ? F_LOAD_SIDE : F_LINE_SIDE);
    }
}
CHECK(side_without_effect, .plan = check_runs, .device = {check_device, ITS_TEXT});
