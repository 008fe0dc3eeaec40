/* individual-circuit: what wants a circuit of its own, by the book or by its maker. */
#include "facts/devices.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/check.h"
#include "wiring/protect.h"

#include <string.h>

/* Cooking units of one kitchen may share a circuit, and heating its own pump or humidifier. */
static bool may_share(const struct checked *c, const struct device *alone,
                      const struct device *other)
{
    bool cooking = facts_device_in_list(c->model, alone->def, LIST_COOKING_TOGETHER) &&
                   facts_device_in_list(c->model, other->def, LIST_COOKING_TOGETHER);
    bool heating = facts_device_in_list(c->model, alone->def, LIST_CENTRAL_HEATING) &&
                   facts_device_in_list(c->model, other->def, LIST_HEATING_AUXILIARIES);
    return heating || (cooking && alone->box->room == other->box->room);
}

/* On a multiwire circuit each line is a circuit of its own: what takes the one does not share with
 * what takes the other. */
static bool on_other_line(const struct checked *c, const struct part *a, const struct part *b)
{
    const struct circuit *circuit = a->circuit;
    bool one_each = a->volts == c->model->volts && b->volts == c->model->volts;
    return circuit && circuit == b->circuit && circuit->multiwire && one_each &&
           (a->pole == 'b') != (b->pole == 'b');
}

/* Something else that takes current: no switch, and nothing that only hands it on, such as a
 * disconnect or surge protector. */
static bool shares(const struct checked *c, const struct part *part, const struct device *alone)
{
    return part->device != alone && facts_is_outlet(part) && !facts_is_receptacle_of(part, alone) &&
           !on_other_line(c, part, &alone->parts[0]) &&
           (facts_is_receptacle(part) || part->load > 0) && !may_share(c, alone, part->device);
}

/* Whether a box is over a range that the plan draws. */
static bool is_over_range(const struct box *b)
{
    for (uint32_t i = 0; i < b->room->fixtures.n && b->place.where == ON_WALL; i++) {
        const struct fixture *x = &b->room->fixtures.at[i];
        if (x->form == F_RANGE && x->wall == b->place.wall && b->place.from_left >= x->from_left &&
            b->place.from_left <= x->from_left + x->wide)
            return true;
    }
    return false;
}

/* The article by which a device is the hood of the range below it, and asks a circuit of its own;
 * NULL: it is none. */
static const char *hood_article(const struct checked *c, const struct device *d, const char *name)
{
    return code_table(&c->model->code, TABLE_OVER_RANGE) && is_over_range(d->box)
               ? code_row_article(&c->model->code, COL_OVER_RANGE_ARTICLE, name)
               : NULL;
}

static bool is_asked(const struct checked *c, const struct device *d, const char *name)
{
    if (hood_article(c, d, name))
        return true;
    const char *force = code_cell_word(&c->model->code, COL_INDIVIDUAL_CIRCUITS_FORCE, name);
    return force && !strcmp(force, "asked");
}

RULE(individual_circuit, "individual-circuit", ERROR, WAIVABLE,
     "what wants a circuit of its own has one");

/* Whether it shares its circuit; if so it is said. */
static bool tell_shared(const struct checked *c, const struct circuit *circuit,
                        const struct device *d, const char *name)
{
    struct model *m = c->model;
    const char *hood = hood_article(c, d, name);
    bool asked = is_asked(c, d, name);
    struct finding *f = NULL;
    const struct device *last = NULL;
    for (uint32_t i = 0; i < circuit->parts.n && !(f && f->related_count >= 4); i++) {
        const struct part *part = circuit->parts.at[i];
        if (!shares(c, part, d) || part->device == last)
            continue;
        last = part->device;
        if (!f) {
            f = device_finding(
                c, &rule_individual_circuit, d,
                asked ? "the %s in %s wants a circuit of its own; %s feeds the %s in %s too"
                      : "makers ask for a circuit of its own for the %s in %s; %s feeds the %s in "
                        "%s too",
                d->def->name, address_of_box(m->arena, d->box, true),
                rules_circuit_words(c, circuit), last->def->name,
                address_of_box(m->arena, last->box, true));
            f->severity = asked ? ERROR : WARNING;
            rules_set_article(
                c, f,
                hood ? hood : code_row_article(&m->code, COL_INDIVIDUAL_CIRCUITS_ARTICLE, name));
        }
        diag_note(m->diag, f, node_span(last->node), "%s in %s", last->def->name,
                  address_of_box(m->arena, last->box, true));
    }
    diag_mend(m->diag, f, "a circuit for it alone");
    return f;
}

/* Two that each want to be alone on one circuit are one fault: the first says it, of those first
 * whom the book asks it for. */
static void check_circuit(const struct checked *c, const struct circuit *circuit)
{
    for (int asked = 1; asked >= 0; asked--)
        for (uint32_t i = 0; i < circuit->parts.n; i++) {
            const struct device *d = circuit->parts.at[i]->device;
            const char *name = facts_device_key(c->model, d->def, TABLE_INDIVIDUAL_CIRCUITS);
            if (!name || is_asked(c, d, name) != (bool)asked || d->existing ||
                !facts_known(d, ITS_TEXT))
                continue;
            looked(c, individual_circuit);
            if (tell_shared(c, circuit, d, name))
                return;
        }
}

CHECK(individual_circuit, .circuit = {check_circuit, ITS_TEXT});
