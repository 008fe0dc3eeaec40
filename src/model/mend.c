/* Mends of runs that several rooms write. */
#include "model/finding.h"
#include "model/model.h"
#include "model/power.h"
#include "resolve/edit.h"

void model_mend_run(struct model *m, struct finding *f, const struct run *run, enum form_id form,
                    const char *text)
{
    struct editing e = edit_of_way(m->diag, diag_way(m->diag, f, false, "%s", text));
    /* one that was turned, to lead away from the panel, still ends at the later of its names */
    struct span far = run->to_span.off > run->from_span.off ? run->to_span : run->from_span;
    if (run->chain)
        edit_hop_clause(e, run->chain, far, form, text);
    else
        edit_clause(e, run->node, form, text);
}

void model_mend_cable(struct model *m, struct finding *f, const struct run *run,
                      const struct cable_def *cable)
{
    if (!run->of_two && !run->raceway && !run->single && cable)
        model_mend_run(m, f, run, F_CABLE,
                       arena_printf(m->arena, "cable %s", (cable->of ? cable->of : cable)->name));
}
