#include "propose/propose.h"

#include "resolve/edit.h"

#include <string.h>

const struct proposal_def propose_table[] = {
#define PROPOSAL(name, function, usage, doc, options) {name, usage, doc, options, function},
#include "propose/proposals.def"
#undef PROPOSAL
};
const uint32_t propose_count = sizeof propose_table / sizeof *propose_table;

const char *const propose_steps[PROPOSE_STEPS] = {"receptacles", "alarms", "circuits", "runs",
                                                  "protection"};

const struct proposal_def *propose_named(const char *name)
{
    for (uint32_t i = 0; i < propose_count; i++)
        if (!strcmp(propose_table[i].name, name))
            return &propose_table[i];
    return NULL;
}

struct editing propose_edits(struct proposal *out)
{
    return (struct editing){out->arena, &out->edits};
}

bool propose_is_unfed(const struct finding *f)
{
    return !strcmp(f->rule->name, "unfed-box") || !strcmp(f->rule->name, "served-not-run");
}
