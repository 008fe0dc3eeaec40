/* definition-faulty: a device that the plan defines, with which the make-up cannot do what the plan
 * says. One finding a definition; what is wrong with it by itself is found where it is read. */
#include "rules/check.h"
#include "prove/prove.h"

static bool is_faulty_already(const struct diag *d, const struct device_def *def)
{
    struct span at = node_span(def->node);
    for (uint32_t i = 0; i < d->findings.n; i++) {
        const struct finding *f = &d->findings.at[i];
        if (f->rule == &rule_definition_faulty && f->span.source == at.source &&
            f->span.off >= at.off && f->span.off < at.off + at.len)
            return true;
    }
    return false;
}

static void check_definitions(const struct checked *c)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < c->verdict->failures.n; i++) {
        const struct proof_failure *failed = &c->verdict->failures.at[i];
        const struct device *d = failed->defined;
        if (!d || is_faulty_already(m->diag, d->def))
            continue;
        const char *where = address_of_box(m->arena, d->box, false);
        struct finding *f = model_finding(
            m, &rule_definition_faulty, node_name_span(d->def->node), NULL, d->def->name,
            "wired as it is defined, the %s in %s cannot do what the plan says: %s%s%s",
            d->def->name, where, failed->what, failed->position ? ", at " : "",
            failed->position ? failed->position : "");
        diag_note(m->diag, f, node_span(d->node), "the device");
        diag_mend(m->diag, f, "terminals and positions as a device of the library has them");
    }
}
CHECK(definition_faulty, .plan = check_definitions);
