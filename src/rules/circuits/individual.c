/* individual-circuit: what wants a circuit of its own, by the book or by its maker. */
#include "facts/families.h"
#include "model/site.h"
#include "rules/check.h"
#include "wiring/protect.h"

#include <string.h>

RULE(individual_circuit, "individual-circuit", ERROR, WAIVABLE,
     "what wants a circuit of its own has one");

/* Whether it shares its circuit; if so it is said. */
static bool tell_shared(const struct checked *c, const struct circuit *circuit,
                        const struct device *d, const char *name)
{
    struct model *m = c->model;
    const char *hood = facts_hood_article(m, d, name);
    bool asked = facts_individual_is_asked(c->model, d, name);
    struct finding *f = NULL;
    const struct device *last = NULL;
    for (uint32_t i = 0; i < circuit->parts.n && !(f && f->related_count >= 4); i++) {
        const struct part *part = circuit->parts.at[i];
        if (!facts_shares_with(m, part, d) || part->device == last)
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
            const char *name = facts_individual_row(c->model, d);
            if (!name || facts_individual_is_asked(c->model, d, name) != (bool)asked ||
                d->existing || !facts_known(d, ITS_TEXT))
                continue;
            looked(c, individual_circuit);
            if (tell_shared(c, circuit, d, name))
                return;
        }
}

CHECK(individual_circuit, .circuit = {check_circuit, ITS_TEXT});
