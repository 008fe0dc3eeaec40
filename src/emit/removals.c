#include "emit/removals.h"

#include "emit/left.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

struct removing {
    const struct results *r;
    removal_list list;
};

static void add(struct removing *x, struct removal what)
{
    *vec_push(x->r->arena, &x->list) = what;
}

/* A circuit that goes has no seat in the panel any more: it is called as it is written. */
static const char *called(const struct results *r, const struct circuit *c)
{
    return c->goes ? address_called_as_written(r->arena, c, true) : words_circuit(r, c);
}

static void add_dead(struct removing *x, const struct circuit *c)
{
    struct arena *a = x->r->arena;
    if (facts_is_built(c->unit))
        add(x, (struct removal){.dead = true,
                                .room = c->panel ? c->panel->room : NULL,
                                .thing = arena_printf(a, "circuit %s", called(x->r, c)),
                                .detail = c->goes ? "off, locked and tested dead; it stays off"
                                                  : "off, locked and tested dead"});
}

/* A panel that goes is dead on the side of its supply too. */
static void add_dead_panel(struct removing *x, const struct panel *p)
{
    if (facts_is_built(p->unit))
        add(x, (struct removal){.dead = true,
                                .room = p->room,
                                .thing = arena_printf(x->r->arena, "panel %s",
                                                      address_of_panel(x->r->arena, p, true)),
                                .detail = "its supply off, locked and tested dead"});
}

static void add_breaker(struct removing *x, const struct circuit *c)
{
    if (facts_is_built(c->unit) && c->panel && !c->panel->goes)
        add(x, (struct removal){.room = c->panel->room,
                                .thing =
                                    arena_printf(x->r->arena, "the breaker of %s", called(x->r, c)),
                                .detail = "taken out; its space is free"});
}

static const char *cable_words(const struct run *run)
{
    return run->declared ? run->declared->name : "a cable that is not told";
}

static void add_run(struct removing *x, const struct run *run)
{
    struct arena *a = x->r->arena;
    struct end last = run->to.box ? run->to : run->from;
    if (!facts_is_built(facts_unit_of_run(run)) || !run_is_whole(run))
        return;
    const char *detail =
        run->abandoned
            ? arena_printf(a, "%s, abandoned: its ends capped in %s and %s", cable_words(run),
                           address_of_end(a, run->from, true), address_of_end(a, run->to, true))
            : arena_printf(a, "%s, pulled out", cable_words(run));
    add(x, (struct removal){.room = facts_room_of_end(last),
                            .thing = address_of_run(a, run, false),
                            .detail = detail});
}

static void add_box(struct removing *x, const struct box *b)
{
    if (facts_is_built(b->room->unit))
        add(x, (struct removal){.room = b->room,
                                .thing = address_of_box(x->r->arena, b, false),
                                .detail = "the box, and the finish closed"});
}

static void add_device(struct removing *x, const struct device *d)
{
    if (facts_is_built(d->box->room->unit) && d->existing)
        add(x, (struct removal){.room = d->box->room,
                                .thing = address_of_box(x->r->arena, d->box, false),
                                .detail = d->def->name});
}

removal_list removals_of(const struct results *r)
{
    struct removing x = {.r = r};
    const struct model *m = r->model;
    for (uint32_t i = 0; i < m->gone.dead.n; i++)
        add_dead(&x, m->gone.dead.at[i]);
    for (uint32_t i = 0; i < m->gone.panels.n; i++)
        add_dead_panel(&x, m->gone.panels.at[i]);
    for (uint32_t i = 0; i < m->gone.devices.n; i++)
        add_device(&x, m->gone.devices.at[i]);
    for (uint32_t i = 0; i < m->gone.runs.n; i++)
        add_run(&x, m->gone.runs.at[i]);
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        add_box(&x, m->gone.boxes.at[i]);
    for (uint32_t i = 0; i < m->gone.circuits.n; i++)
        add_breaker(&x, m->gone.circuits.at[i]);
    for (uint32_t i = 0; i < m->gone.panels.n; i++)
        if (facts_is_built(m->gone.panels.at[i]->unit))
            add(&x,
                (struct removal){.room = m->gone.panels.at[i]->room,
                                 .thing = address_of_panel(r->arena, m->gone.panels.at[i], false),
                                 .detail = "the panel"});
    return x.list;
}

uint32_t removals_caps(const struct results *r, uint32_t *untold)
{
    const struct model *m = r->model;
    uint32_t caps = 0;
    *untold = 0;
    for (uint32_t i = 0; i < m->gone.runs.n; i++) {
        const struct run *run = m->gone.runs.at[i];
        if (!run->abandoned || !facts_is_built(facts_unit_of_run(run)))
            continue;
        *untold += !run->declared;
        caps += run->declared ? 2u * run->declared->conductors : 0;
    }
    for (uint32_t i = 0; r->makeup && i < r->makeup->joints.n; i++) {
        const struct joint *j = &r->makeup->joints.at[i];
        caps += j->kind == JOINT_CAP && j->box && j->box->loses &&
                facts_is_built(j->box->room->unit) && left_in_box(r, j->box, LOG_MADE_UP);
    }
    return caps;
}
