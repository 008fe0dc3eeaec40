#include "emit/removals.h"

#include "emit/left.h"
#include "emit/words/circuits.h"
#include "facts/facts.h"
#include "loads/panel.h"
#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

/* What a circuit is made dead for. */
struct dead_work {
    bool open, out; /* something of it is still there; something was taken out */
    address_list at, capped;
    struct map seen; /* (which list, interned address) -> it */
};

struct removing {
    const struct results *r;
    removal_list list;
    struct map work; /* (0, circuit) -> struct dead_work */
};

static void add(struct removing *x, struct removal what)
{
    *vec_push(x->r->arena, &x->list) = what;
}

/* Whether the site log says that a thing that goes was taken out. */
static bool is_out(const struct results *r, const void *thing)
{
    return !r->whole && log_is_removed(r->log, thing);
}

static struct dead_work *work_on(struct removing *x, const struct circuit *c)
{
    void **at = map_at(x->r->arena, &x->work, 0, (uintptr_t)c);
    if (!*at)
        *at = arena_new(x->r->arena, struct dead_work);
    return *at;
}

static void note_place(struct removing *x, struct dead_work *w, struct end e, bool capped)
{
    if (!e.box && !e.panel)
        return;
    const char *name = names_of(x->r->model->names, address_of_end(x->r->arena, e, false));
    void **at = map_at(x->r->arena, &w->seen, capped, (uintptr_t)name);
    if (!*at)
        *vec_push(x->r->arena, capped ? &w->capped : &w->at) = name;
    *at = (void *)name;
}

static void note_work(struct dead_work *w, bool out)
{
    w->out |= out;
    w->open |= !out;
}

/* A run that goes, on one of the circuits that it carries. */
static void note_run(struct removing *x, const struct run *run, const struct circuit *c)
{
    struct dead_work *w = work_on(x, c);
    const struct end ends[2] = {run->from, run->to};
    note_work(w, is_out(x->r, run));
    for (int k = 0; k < 2; k++) {
        if (ends[k].box)
            note_place(x, w, ends[k], false);
        if (run->abandoned)
            note_place(x, w, ends[k], true);
    }
}

/* What goes in the boxes that the circuit comes to: (0, box) in `boxes`, by whether it is out. */
static void note_ends(struct removing *x, const struct map boxes[2], const struct run *run)
{
    const struct end ends[2] = {run->from, run->to};
    for (int k = 0; k < 2; k++)
        for (int out = 0; out < 2; out++) {
            if (!ends[k].box || !map_find(&boxes[out], 0, ends[k].box))
                continue;
            note_work(work_on(x, run->circuit), out);
            note_place(x, work_on(x, run->circuit), ends[k], false);
        }
}

/* What each circuit is made dead for. */
static void note_all(struct removing *x)
{
    const struct model *m = x->r->model;
    struct map boxes[2] = {{0}, {0}};
    for (uint32_t i = 0; i < m->gone.boxes.n; i++) {
        struct box *b = m->gone.boxes.at[i];
        map_put(x->r->arena, &boxes[is_out(x->r, b)], 0, (uintptr_t)b, b);
    }
    for (uint32_t i = 0; i < m->gone.devices.n; i++) {
        struct box *b = m->gone.devices.at[i]->box;
        map_put(x->r->arena, &boxes[is_out(x->r, m->gone.devices.at[i])], 0, (uintptr_t)b, b);
    }
    for (uint32_t i = 0; i < m->gone.runs.n; i++) {
        const struct run *run = m->gone.runs.at[i];
        if (run->circuit)
            note_run(x, run, run->circuit);
        for (uint32_t k = 0; k < run->also.n; k++)
            note_run(x, run, run->also.at[k]);
        if (run->circuit)
            note_ends(x, boxes, run);
    }
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (m->runs.at[i]->circuit)
            note_ends(x, boxes, m->runs.at[i]);
    for (uint32_t i = 0; i < m->gone.circuits.n; i++)
        note_work(work_on(x, m->gone.circuits.at[i]), is_out(x->r, m->gone.circuits.at[i]));
}

/* A circuit that goes has no seat in the panel any more: it is called as it is written. */
static const char *called(const struct results *r, const struct circuit *c)
{
    return c->goes ? address_called_as_written(r->arena, c, true) : words_circuit(r, c);
}

static void add_dead(struct removing *x, const struct circuit *c)
{
    struct arena *a = x->r->arena;
    const struct dead_work *w = work_on(x, c);
    if (facts_is_built(c->unit))
        add(x, (struct removal){.dead = true,
                                .done = w->out && !w->open,
                                .at = w->at,
                                .capped = w->capped,
                                .circuit = c,
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
                                .done = is_out(x->r, p),
                                .room = p->room,
                                .thing = arena_printf(x->r->arena, "panel %s",
                                                      address_of_panel(x->r->arena, p, true)),
                                .detail = "its supply off, locked and tested dead"});
}

static void add_breaker(struct removing *x, const struct circuit *c)
{
    if (facts_is_built(c->unit) && c->panel && !c->panel->goes)
        add(x, (struct removal){.done = is_out(x->r, c),
                                .room = c->panel->room,
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
    add(x, (struct removal){.done = is_out(x->r, run),
                            .room = facts_room_of_end(last),
                            .thing = address_of_run(a, run, false),
                            .detail = detail});
}

static void add_box(struct removing *x, const struct box *b)
{
    if (facts_is_built(b->room->unit))
        add(x, (struct removal){.done = is_out(x->r, b),
                                .box = b,
                                .room = b->room,
                                .thing = address_of_box(x->r->arena, b, false),
                                .detail = "the box, and the finish closed"});
}

static void add_device(struct removing *x, const struct device *d)
{
    if (facts_is_built(d->box->room->unit) && d->existing)
        add(x, (struct removal){.done = is_out(x->r, d),
                                .room = d->box->room,
                                .thing = address_of_box(x->r->arena, d->box, false),
                                .detail = d->def->name});
}

removal_list removals_of(const struct results *r)
{
    struct removing x = {.r = r};
    const struct model *m = r->model;
    note_all(&x);
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
                (struct removal){.done = is_out(r, m->gone.panels.at[i]),
                                 .room = m->gone.panels.at[i]->room,
                                 .thing = address_of_panel(r->arena, m->gone.panels.at[i], false),
                                 .detail = "the panel"});
    return x.list;
}

/* What the breakers that go leave of each space, by number: true where one was. */
static bool *left_spaces(const struct results *r, const struct panel *p)
{
    const struct model *m = r->model;
    bool *was = arena_array(r->arena, bool, p->spaces + 1);
    for (uint32_t i = 0; i < m->gone.circuits.n; i++) {
        const struct circuit *c = m->gone.circuits.at[i];
        for (uint32_t k = 0; c->panel == p && c->space && k < circuit_poles(c); k++)
            if (c->space + 2 * k <= p->spaces)
                was[c->space + 2 * k] = true;
    }
    return was;
}

space_list removals_open_spaces(const struct results *r, const struct panel *p)
{
    space_list list = {0};
    if (!r->model->gone.circuits.n || !facts_is_built(p->unit))
        return list;
    const bool *was = left_spaces(r, p);
    const uint8_t *used = panel_used_spaces(r->arena, r->panels, p);
    for (uint32_t i = 1; i <= p->spaces; i++)
        if (was[i] && !used[i])
            *vec_push(r->arena, &list) = i;
    return list;
}

uint32_t removals_fillers(const struct results *r, const struct panel *p)
{
    return left_in_panel(r, p, LOG_TRIMMED) ? removals_open_spaces(r, p).n : 0;
}

uint32_t removals_caps(const struct results *r, uint32_t *untold)
{
    const struct model *m = r->model;
    uint32_t caps = 0;
    *untold = 0;
    for (uint32_t i = 0; i < m->gone.runs.n; i++) {
        const struct run *run = m->gone.runs.at[i];
        if (!run->abandoned || !facts_is_built(facts_unit_of_run(run)) || is_out(r, run))
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
