#include "diag/diag.h"

#include <string.h>

void diag_looked(struct diag *d, const struct rule *rule)
{
    if (!d->looked.judged)
        d->looked.judged = arena_array(d->arena, uint32_t, rule_count);
    d->looked.judged[*rule->place]++;
}

void diag_keep_looked(struct diag *d)
{
    if (!d->looked.judged)
        return;
    d->looked.kept = arena_array(d->arena, uint32_t, rule_count);
    memcpy(d->looked.kept, d->looked.judged, rule_count * sizeof *d->looked.kept);
}

void diag_forget_looked(struct diag *d)
{
    size_t size = rule_count * sizeof *d->looked.judged;
    if (d->looked.judged && d->looked.kept)
        memcpy(d->looked.judged, d->looked.kept, size);
    else if (d->looked.judged)
        memset(d->looked.judged, 0, size);
}

/* A thing is passed again right behind itself, or not at all: by its parts, or by its devices. */
void diag_passed(struct diag *d, const struct blind_spot *spot, const char *thing)
{
    if (!d->looked.passed)
        d->looked.passed = arena_array(d->arena, blind_things, blind_spot_count);
    blind_things *list = &d->looked.passed[*spot->place];
    if (!list->n || strcmp(list->at[list->n - 1], thing) != 0)
        *vec_push(d->arena, list) = thing;
}

uint32_t diag_judged(const struct diag *d, const struct rule *rule)
{
    return d->looked.judged ? d->looked.judged[*rule->place] : 0;
}

blind_things diag_blind_things(const struct diag *d, const struct blind_spot *spot)
{
    return d->looked.passed ? d->looked.passed[*spot->place] : (blind_things){0};
}
