#include "rules/check.h"

static bool box_is_judged(const struct box *box, const struct check *check)
{
    return facts_known(box, check->needs) && !(box->existing && check->new_work);
}

void check_run(const struct checked *c, const struct check *check)
{
    const struct model *m = c->model;
    if (check->plan)
        check->plan(c);
    for (uint32_t i = 0; check->box && i < m->boxes.n; i++)
        if (box_is_judged(m->boxes.at[i], check))
            check->box(c, m->boxes.at[i]);
}

void rules_run(const struct checked *c)
{
    for (uint32_t i = 0; i < check_count; i++)
        check_run(c, check_list[i]);
}
