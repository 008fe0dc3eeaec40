#include "model/site.h"
#include "rules/check.h"
#include "rules/dwelling.h"

/* Calls a function for each thing of a list of the model of which what it needs is known. */
#define EACH(sort, list, is_old)                                                                   \
    for (uint32_t i = 0; check->sort.check && i < m->list.n; i++) {                                \
        const struct sort *thing = m->list.at[i];                                                  \
        if (facts_known(thing, check->sort.needs) && !(check->sort.new_work && (is_old)))          \
            check->sort.check(c, thing);                                                           \
    }

bool rules_room_is_old(const struct room *r)
{
    uint32_t existing = 0;
    if (r->existing)
        return true;
    for (uint32_t i = 0; i < r->boxes.n; i++)
        existing += r->boxes.at[i]->existing;
    return r->boxes.n && existing == r->boxes.n;
}

void rules_run_check(const struct checked *c, const struct check *check)
{
    const struct model *m = c->model;
    if (check->plan)
        check->plan(c);
    if (check->dwelling)
        rules_each_dwelling(c, check->dwelling);
    EACH(room, rooms, rules_room_is_old(thing))
    EACH(box, boxes, thing->existing)
    EACH(device, devices, thing->existing)
    EACH(panel, panels, thing->existing)
    EACH(circuit, circuits, thing->existing)
    EACH(run, runs, thing->existing)
    EACH(leg, legs, false)
}

void rules_run(const struct checked *c)
{
    for (uint32_t i = 0; i < check_count; i++) {
        c->model->code.reader = check_list[i]->rule->name;
        rules_run_check(c, check_list[i]);
    }
}
