/* What stands in a plan: rooms, boxes, circuits and cables. */
#include "libstudbay/handle.h"

#include "emit/views.h"
#include "emit/words/circuits.h"
#include "facts/boxes.h"
#include "framing/routes.h"
#include "model/address.h"
#include "model/site.h"
#include "wiring/wiring.h"

/* A list that grows, of things of which each is a block of its own. */
struct list {
    struct arena *arena;
    VEC(const void *) of;
};

static enum studbay_status keep(struct list *l, struct handle_list *to)
{
    *vec_push(l->arena, &l->of) = NULL;
    *to = (struct handle_list){l->of.at, l->of.n - 1};
    return STUDBAY_DONE;
}

#define ADD(list, T) ((T *)(*vec_push((list)->arena, &(list)->of) = arena_new((list)->arena, T)))

static bool is_built(const struct unit *unit)
{
    return !unit || unit->built;
}

static enum studbay_status list_rooms(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)with;
    (void)out;
    struct list l = {.arena = &plan->c.arena};
    const struct model *m = plan->c.model;
    for (uint32_t i = 0; m && i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        if (!is_built(r->unit))
            continue;
        *ADD(&l, struct studbay_room) = (struct studbay_room){
            .name = address_of_room(l.arena, r, false),
            .title = r->title,
            .level = r->level ? r->level->name : NULL,
            .ceiling = r->ceiling,
            .walls = r->wall_count,
            .boxes = r->boxes.n,
        };
    }
    return keep(&l, &plan->rooms);
}

/* The same list as a view has it, with NULL behind. */
static const char *const *copy_texts(struct arena *arena, const char *const *texts, uint32_t n)
{
    const char **copy = arena_array(arena, const char *, n + 1);
    for (uint32_t i = 0; i < n; i++)
        copy[i] = texts[i];
    return copy;
}

static enum studbay_status list_boxes(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)with;
    (void)out;
    struct list l = {.arena = &plan->c.arena};
    struct results *r = handle_results(plan);
    for (uint32_t i = 0; r && i < r->model->boxes.n; i++) {
        const struct box_view *v = view_built_box(r, i);
        if (!v)
            continue;
        *ADD(&l, struct studbay_box) = (struct studbay_box){
            .name = v->address,
            .room = v->box->room ? address_of_room(l.arena, v->box->room, false) : NULL,
            .type = v->type,
            .type_chosen = v->fill && v->fill->inferred,
            .existing = v->box->existing,
            .devices = copy_texts(l.arena, v->told, v->box->device_count),
            .volume = v->fill ? v->fill->volume : 0,
            .required = v->fill ? v->fill->required : 0,
        };
    }
    return keep(&l, &plan->boxes);
}

static enum studbay_status list_circuits(struct studbay_plan *plan, const void *with,
                                         struct buf *out)
{
    (void)with;
    (void)out;
    struct list l = {.arena = &plan->c.arena};
    struct results *r = handle_results(plan);
    for (uint32_t i = 0; r && i < r->model->circuits.n; i++) {
        const struct circuit *c = r->model->circuits.at[i];
        if (!is_built(c->unit))
            continue;
        *ADD(&l, struct studbay_circuit) = (struct studbay_circuit){
            .name = address_of_circuit(l.arena, c, false),
            .handle = words_handle(r, c),
            .title = c->title,
            .panel = c->panel ? address_of_panel(l.arena, c->panel, false) : NULL,
            .breaker = c->breaker,
            .poles = circuit_poles(c),
            .existing = c->existing,
        };
    }
    return keep(&l, &plan->circuits);
}

static enum studbay_status list_runs(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)with;
    (void)out;
    struct list l = {.arena = &plan->c.arena};
    struct results *r = handle_results(plan);
    for (uint32_t i = 0; r && i < r->model->runs.n; i++) {
        const struct run_view *v = view_built_run(r, i);
        if (!v)
            continue;
        *ADD(&l, struct studbay_run) = (struct studbay_run){
            .name = v->address,
            .from = v->from,
            .to = v->to,
            .circuit = v->work,
            .cable = v->written,
            .existing = v->run->existing,
            .known = v->route->known,
            .path = v->route->path,
            .cut = v->route->cut,
        };
    }
    return keep(&l, &plan->runs);
}

/* By the first that is cut of each. */
static enum studbay_status list_cables(struct studbay_plan *plan, const void *with, struct buf *out)
{
    (void)with;
    (void)out;
    struct list l = {.arena = &plan->c.arena};
    struct results *r = handle_results(plan);
    struct map known = {0};
    for (uint32_t i = 0; r && i < r->model->runs.n; i++) {
        const struct run_view *v = view_built_run(r, i);
        const struct cable_def *cable = v ? wiring_cable_of_run(v->run, r->wiring) : NULL;
        if (!cable || !v->route->cut)
            continue;
        void **at = map_at(l.arena, &known, 0, (uintptr_t)cable);
        if (!*at)
            *at = ADD(&l, struct studbay_cable);
        struct studbay_cable *sort = *at;
        sort->name = v->written;
        sort->pieces++;
        sort->cut += v->route->cut;
    }
    return keep(&l, &plan->cables);
}

/* --- the lists ---------------------------------------------------------------------------- */

#define LIST(thing, list, step)                                                                    \
    const struct studbay_##thing *const *studbay_##list(struct studbay_plan *plan, size_t *count)  \
    {                                                                                              \
        return (const struct studbay_##thing *const *)handle_get_list(                             \
            plan, plan ? &plan->list : NULL, step, count);                                         \
    }

LIST(room, rooms, list_rooms)
LIST(box, boxes, list_boxes)
LIST(circuit, circuits, list_circuits)
LIST(run, runs, list_runs)
LIST(cable, cables, list_cables)
