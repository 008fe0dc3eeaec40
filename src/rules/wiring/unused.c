/* unused-definition: what a plan defines and nothing in it names; a cable or a box type that is
 * chosen is used as well. */
#include "rules/mends.h"
#include "wiring/wiring.h"

/* What is chosen without being named: (0, definition) -> itself. */
static struct map chosen_types(const struct checked *c)
{
    struct map chosen = {0};
    struct arena *a = c->model->arena;
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        struct cable_def *cable = c->wiring->of_run[i].cable;
        const struct cable_def *written = library_as_written(cable);
        if (written && written->of_plan)
            map_put(a, &chosen, 0, (uintptr_t)written, (void *)written);
    }
    for (uint32_t i = 0; i < c->model->boxes.n; i++) {
        const struct box_type *type = c->wiring->of_box[i].type;
        if (type && type->of_plan)
            map_put(a, &chosen, 0, (uintptr_t)type, (void *)type);
    }
    return chosen;
}

static void say_unused(const struct checked *c, const struct node *n, const char *sort,
                       const char *name, bool used)
{
    struct diag *d = c->model->diag;
    if (used || node_broken(n))
        return;
    struct finding *f = diag_add(d, &rule_unused_definition, node_name_span(n),
                                 "%s '%s' is defined, but nothing uses it", sort, name);
    diag_mend(d, f, "name it where it is meant, or leave it out");
    edit_remove(rules_way(c, f, false, "leave it out"), n);
}

#define SAY_UNUSED(list, sort, chosen)                                                             \
    for (uint32_t i = 0; i < (list).n; i++)                                                        \
        if ((list).at[i]->of_plan)                                                                 \
    say_unused(c, (list).at[i]->node, sort, (list).at[i]->name,                                    \
               (list).at[i]->used || map_get(chosen, 0, (uintptr_t)(list).at[i]))

/* What could not be read may use it, and so may a name that nothing has. */
static bool may_be_meant(const struct checked *c)
{
    extern const struct rule rule_unknown_name;
    const struct diag *d = c->model->diag;
    for (uint32_t i = 0; i < d->findings.n; i++)
        if (d->findings.at[i].rule == &rule_unknown_name)
            return true;
    return !c->model->read_in_full;
}

static void check_unused(const struct checked *c)
{
    const struct library *lib = c->model->lib;
    if (may_be_meant(c))
        return;
    struct map chosen = chosen_types(c), *by_choice = &chosen;
    SAY_UNUSED(lib->device_list, "device", by_choice);
    SAY_UNUSED(lib->cable_list, "cable", by_choice);
    SAY_UNUSED(lib->raceway_list, "raceway", by_choice);
    SAY_UNUSED(lib->box_type_list, "box-type", by_choice);
    SAY_UNUSED(lib->kind_list, "kind", by_choice);
    SAY_UNUSED(lib->edition_list, "edition", by_choice);
}
CHECK(unused_definition, .plan = check_unused);
