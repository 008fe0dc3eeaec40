/* Findings about the model. */
#ifndef STUDBAY_MODEL_FINDING_H
#define STUDBAY_MODEL_FINDING_H

#include "diag/diag.h"
#include "resolve/written.h"

struct finding;
struct model;
struct rule;
struct unit;

/* Of amendments here, of definitions when it is known what is chosen. */
extern const struct rule rule_unused_definition, rule_no_effect_yet, rule_missing_clause;

/* Records a finding at `span` of a thing built in `unit` (may be NULL): each unit becomes a related
 * place, and copies of one finding fall together. `subject` is the full address, for waivers. The
 * article is looked up from the editions' table. */
struct finding *model_finding(struct model *m, const struct rule *rule, struct span span,
                              const struct unit *unit, const char *subject, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

/* Adds a way to mend a finding: a clause of one run alone, of a hop of a chain in its parentheses;
 * another cable of a run. Nothing where it cannot be written. */
struct cable_def;
struct run;
void model_mend_run(struct model *m, struct finding *f, const struct run *run, enum form_id form,
                    const char *text);
void model_mend_cable(struct model *m, struct finding *f, const struct run *run,
                      const struct cable_def *cable);

/* Lets the findings stand that a waiver covers, and reports waivers that cover none. Once, after
 * all rules have run. */
void model_apply_waivers(struct model *m);

#endif
