/* labels-alike: two cables whose tags look the same. Said of the later run in the plan, with the
 * earlier one as its related place. */
#include "rules/check.h"

#include "cuts/labels.h"
#include "facts/tags.h"

#include <string.h>

static struct span label_span(const struct run *run)
{
    return run->from_span.off < run->to_span.off ? run->to_span : run->from_span;
}

RULE(labels_alike, "labels-alike", WARNING, WAIVABLE,
     "no two cables have labels that look the same");

static void say_alike(const struct checked *c, const struct run *first, const struct run *run)
{
    struct model *m = c->model;
    const char *tag = facts_run_tag_in_unit(m->arena, run),
               *other = facts_run_tag_in_unit(m->arena, first);
    const struct unit *unit = facts_unit_of_run(run);
    const char *subject = rules_run_subject(c, run);
    struct finding *f;
    if (!strcmp(tag, other))
        f = model_finding(m, &rule_labels_alike, label_span(run), unit, subject,
                          "the label of run %s is '%s', and so is another one's",
                          address_of_run(m->arena, run, true), tag);
    else
        f = model_finding(m, &rule_labels_alike, label_span(run), unit, subject,
                          "the label of run %s is '%s', which is easily taken for '%s'",
                          address_of_run(m->arena, run, true), tag, other);
    diag_note(m->diag, f, label_span(first), "the label of run %s",
              address_of_run(m->arena, first, true));
    diag_mend(m->diag, f,
              "give one of them a name of its own, in a `run` statement of one hop and one cable: "
              "`as NAME`");
}

static void check_labels(const struct checked *c)
{
    struct model *m = c->model;
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    struct names tags = {.arena = &scratch};
    struct map seen = {0};
    map_reserve(&scratch, &seen, m->runs.n);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        if (!label_on_run(run) || !facts_known(run, ITS_TEXT))
            continue;
        const char *tag = facts_tag_folded(&scratch, facts_run_tag(&scratch, run));
        void **at = map_at(&scratch, &seen, 0, (uintptr_t)names_of(&tags, tag));
        if (*at)
            say_alike(c, *at, run);
        else
            *at = (void *)run;
    }
    arena_free(&scratch);
}
CHECK(labels_alike, .plan = check_labels);
