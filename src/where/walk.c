#include "where/walk.h"

#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

/* --- steps -------------------------------------------------------------------------------- */

static void add(struct arena *a, struct where_steps *list, enum mention_sort sort,
                const void *thing, const struct run *by)
{
    for (uint32_t i = 0; i < list->steps.n; i++)
        if (list->steps.at[i].thing == thing)
            return;
    if (thing)
        *vec_push(a, &list->steps) = (struct where_step){sort, thing, by};
}

static void add_end(struct arena *a, struct where_steps *list, struct end e, const struct run *by)
{
    if (e.box)
        add(a, list, MENTION_BOX, e.box, by);
    else
        add(a, list, MENTION_PANEL, e.panel, by);
}

/* The first runs of a circuit: from its panel, or from the box that carries it already. */
static bool begins(const struct circuit *c, const struct run *r)
{
    return r->from.panel ? r->from.panel == c->panel : c->root && r->from.box == c->root;
}

struct where_steps where_onward(struct arena *arena, struct where_step at)
{
    struct where_steps list = {0};
    if (at.sort == MENTION_PANEL) {
        const struct panel *p = at.thing;
        for (uint32_t i = 0; i < p->circuits.n; i++)
            add(arena, &list, MENTION_CIRCUIT, p->circuits.at[i], NULL);
    } else if (at.sort == MENTION_CIRCUIT) {
        const struct circuit *c = at.thing;
        for (uint32_t i = 0; i < c->runs.n; i++)
            if (begins(c, c->runs.at[i]))
                add_end(arena, &list, c->runs.at[i]->to, c->runs.at[i]);
    } else {
        const struct box *x = at.thing;
        for (uint32_t i = 0; i < x->runs.n; i++)
            if (x->runs.at[i]->from.box == x)
                add_end(arena, &list, x->runs.at[i]->to, x->runs.at[i]);
    }
    return list;
}

struct where_steps where_back(struct arena *arena, struct where_step at)
{
    struct where_steps list = {0};
    if (at.sort == MENTION_PANEL) {
        add(arena, &list, MENTION_CIRCUIT, ((const struct panel *)at.thing)->feeder, NULL);
    } else if (at.sort == MENTION_CIRCUIT) {
        add(arena, &list, MENTION_PANEL, ((const struct circuit *)at.thing)->panel, NULL);
    } else {
        const struct box *x = at.thing;
        for (uint32_t i = 0; i < x->runs.n; i++) {
            const struct run *r = x->runs.at[i];
            if (r->to.box != x)
                continue;
            if (r->from.box && !begins(r->circuit, r))
                add(arena, &list, MENTION_BOX, r->from.box, r);
            else
                add(arena, &list, MENTION_CIRCUIT, r->circuit, r);
        }
    }
    return list;
}

/* --- what a step is ----------------------------------------------------------------------- */

struct where_step where_step_of(const struct where_name *name)
{
    bool walks =
        name->sort == MENTION_PANEL || name->sort == MENTION_CIRCUIT || name->sort == MENTION_BOX;
    return (struct where_step){name->sort, walks && name->things.n ? name->things.at[0] : NULL,
                               NULL};
}

const char *where_step_address(struct arena *arena, struct where_step at)
{
    return at.sort == MENTION_PANEL     ? address_of_panel(arena, at.thing, false)
           : at.sort == MENTION_CIRCUIT ? address_of_circuit(arena, at.thing, false)
                                        : address_of_box(arena, at.thing, false);
}

const char *where_step_words(struct arena *arena, struct where_step at)
{
    if (at.sort == MENTION_PANEL)
        return arena_printf(arena, "panel %s", ((const struct panel *)at.thing)->title);
    if (at.sort == MENTION_CIRCUIT)
        return arena_printf(arena, "circuit %s", ((const struct circuit *)at.thing)->title);
    const struct box *x = at.thing;
    const char *words = "";
    for (uint32_t i = 0; i < x->device_count; i++)
        words = arena_printf(arena, "%s%s%s", words, i ? ", " : "", x->devices[i]->def->name);
    return *words ? words : "box";
}

const struct node *where_step_statement(struct where_step at)
{
    return at.sort == MENTION_PANEL     ? ((const struct panel *)at.thing)->node
           : at.sort == MENTION_CIRCUIT ? ((const struct circuit *)at.thing)->node
                                        : ((const struct box *)at.thing)->node;
}

struct where_step where_step_number(const struct model *m, enum mention_sort sort, int64_t n)
{
    const void *thing = NULL;
    if (sort == MENTION_PANEL && n >= 0 && n < m->panels.n)
        thing = m->panels.at[n];
    else if (sort == MENTION_CIRCUIT && n >= 0 && n < m->circuits.n)
        thing = m->circuits.at[n];
    else if (sort == MENTION_BOX && n >= 0 && n < m->boxes.n)
        thing = m->boxes.at[n];
    return (struct where_step){sort, thing, NULL};
}

uint32_t where_step_id(struct where_step at)
{
    return at.sort == MENTION_PANEL     ? ((const struct panel *)at.thing)->id
           : at.sort == MENTION_CIRCUIT ? ((const struct circuit *)at.thing)->id
                                        : ((const struct box *)at.thing)->id;
}
