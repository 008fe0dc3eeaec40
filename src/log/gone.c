/* Names of what goes by the plan, for the event that it was taken out: a box with all in it, what
 * goes in a box that stays, a run, a circuit with its breaker, a panel, a room. */
#include "log/entry.h"

#include "facts/facts.h"
#include "facts/meant.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

#include <string.h>

struct gone_index {
    struct arena *arena;
    struct model *m;
    struct run_names *meant; /* runs that go, and all boxes and panels */
    struct map circuits;     /* (0, interned address) -> a circuit that goes or loses something */
    near_list names;
};

static void file_circuit(struct gone_index *x, const struct circuit *c)
{
    struct arena *a = x->arena;
    const char *handle = address_handle(a, c, (struct seat){c->space, c->half}, false),
               *names[] = {address_of_circuit(a, c, false), handle};
    for (int i = 0; i < 2 && facts_is_built(c->unit); i++)
        if (names[i])
            *map_at(a, &x->circuits, 0, (uintptr_t)names_of(x->m->names, names[i])) = (void *)c;
}

/* Names for suggestions: of boxes that lose something, too. */
static void suggest(struct gone_index *x)
{
    const struct model *m = x->m;
    for (uint32_t i = 0; i < m->gone.devices.n; i++)
        near_add(x->arena, &x->names, address_of_box(x->arena, m->gone.devices.at[i]->box, false));
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        near_add(x->arena, &x->names, address_of_box(x->arena, m->gone.boxes.at[i], false));
    for (uint32_t i = 0; i < m->gone.runs.n; i++)
        if (run_is_whole(m->gone.runs.at[i]))
            near_add(x->arena, &x->names, address_of_run(x->arena, m->gone.runs.at[i], false));
    for (uint32_t i = 0; i < m->gone.panels.n; i++)
        near_add(x->arena, &x->names, address_of_panel(x->arena, m->gone.panels.at[i], false));
    for (uint32_t i = 0; i < m->gone.circuits.n; i++)
        near_add(x->arena, &x->names,
                 arena_printf(x->arena, "circuit %s",
                              address_of_circuit(x->arena, m->gone.circuits.at[i], false)));
}

struct gone_index *gone_make(struct arena *arena, struct model *m)
{
    struct gone_index *x = arena_new(arena, struct gone_index);
    *x = (struct gone_index){.arena = arena, .m = m};
    bool any = m->gone.boxes.n || m->gone.devices.n || m->gone.runs.n || m->gone.circuits.n ||
               m->gone.panels.n;
    struct model all = {.names = m->names};
    for (uint32_t i = 0; any && i < m->boxes.n; i++)
        *vec_push(arena, &all.boxes) = m->boxes.at[i];
    for (uint32_t i = 0; any && i < m->panels.n; i++)
        *vec_push(arena, &all.panels) = m->panels.at[i];
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        *vec_push(arena, &all.boxes) = m->gone.boxes.at[i];
    for (uint32_t i = 0; i < m->gone.panels.n; i++)
        *vec_push(arena, &all.panels) = m->gone.panels.at[i];
    for (uint32_t i = 0; i < m->gone.runs.n; i++)
        *vec_push(arena, &all.runs) = m->gone.runs.at[i];
    x->meant = facts_name_runs(arena, &all);
    for (uint32_t i = 0; i < m->gone.dead.n; i++)
        file_circuit(x, m->gone.dead.at[i]);
    for (uint32_t i = 0; i < m->gone.circuits.n; i++)
        file_circuit(x, m->gone.circuits.at[i]);
    suggest(x);
    return x;
}

/* --- taking ------------------------------------------------------------------------------- */

static void take(struct gone_index *x, struct log_event *e, const void *thing)
{
    *vec_push(x->arena, &e->about.gone) = thing;
}

static void take_box(struct gone_index *x, struct log_event *e, const struct box *b)
{
    if (b->goes)
        take(x, e, b);
    for (uint32_t i = 0; i < x->m->gone.devices.n; i++)
        if (x->m->gone.devices.at[i]->box == b)
            take(x, e, x->m->gone.devices.at[i]);
}

/* Its runs that go with what goes in the boxes at their ends, and its breaker where it goes. */
static void take_circuit(struct gone_index *x, struct log_event *e, const struct circuit *c)
{
    const struct model *m = x->m;
    struct map ends = {0};
    for (uint32_t i = 0; i < m->gone.runs.n; i++) {
        const struct run *r = m->gone.runs.at[i];
        const struct box *boxes[2] = {r->from.box, r->to.box};
        if (r->circuit != c)
            continue;
        take(x, e, r);
        for (int k = 0; k < 2; k++)
            if (boxes[k])
                map_put(x->arena, &ends, 0, (uintptr_t)boxes[k], (void *)boxes[k]);
    }
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        if (map_find(&ends, 0, m->gone.boxes.at[i]))
            take(x, e, m->gone.boxes.at[i]);
    for (uint32_t i = 0; i < m->gone.devices.n; i++)
        if (map_find(&ends, 0, m->gone.devices.at[i]->box))
            take(x, e, m->gone.devices.at[i]);
    if (c->goes)
        take(x, e, c);
}

/* Its boxes and panels with what goes in them, and the runs that have both ends in it. */
static void take_room(struct gone_index *x, struct log_event *e, const struct room *room)
{
    const struct model *m = x->m;
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        if (m->gone.boxes.at[i]->room == room)
            take(x, e, m->gone.boxes.at[i]);
    for (uint32_t i = 0; i < m->gone.devices.n; i++)
        if (m->gone.devices.at[i]->box->room == room)
            take(x, e, m->gone.devices.at[i]);
    for (uint32_t i = 0; i < m->gone.panels.n; i++)
        if (m->gone.panels.at[i]->room == room)
            take(x, e, m->gone.panels.at[i]);
    for (uint32_t i = 0; i < m->gone.runs.n; i++)
        if (facts_room_of_end(m->gone.runs.at[i]->from) == room &&
            facts_room_of_end(m->gone.runs.at[i]->to) == room)
            take(x, e, m->gone.runs.at[i]);
}

static void take_runs(struct gone_index *x, struct log_event *e, const struct run_group *g)
{
    for (uint32_t i = 0; i < g->runs.n; i++)
        take(x, e, g->runs.at[i]);
}

/* --- asking ------------------------------------------------------------------------------- */

static const char *circuit_part(const char *name)
{
    static const char word[] = "circuit ";
    return strncmp(name, word, strlen(word)) ? name : name + strlen(word);
}

bool gone_find(struct gone_index *x, const struct room *room, struct log_event *e)
{
    const char *name = e->subject;
    if (*name == '"')
        name = arena_copy(x->arena, name + 1, strcspn(name + 1, "\""));
    const struct run_group *called = facts_runs_called(x->meant, name);
    const struct circuit *circuit =
        map_find(&x->circuits, 0, names_of(x->m->names, circuit_part(name)));
    struct end end = facts_end_called(x->meant, name);
    if (strstr(name, " -> ")) {
        struct meant_runs meant = facts_runs_of_chain(x->meant, name);
        for (uint32_t i = 0; !meant.missing && i < meant.hops.n; i++)
            take_runs(x, e, meant.hops.at[i]);
    } else if (end.box) {
        take_box(x, e, end.box);
    } else if (end.panel) {
        if (end.panel->goes)
            take(x, e, end.panel);
    } else if (called) {
        take_runs(x, e, called);
    } else if (circuit) {
        take_circuit(x, e, circuit);
    } else if (room) {
        take_room(x, e, room);
    }
    return e->about.gone.n > 0;
}

bool gone_any(const struct gone_index *x)
{
    return x->names.names.n > 0;
}

near_list *gone_names(struct gone_index *x)
{
    return &x->names;
}
