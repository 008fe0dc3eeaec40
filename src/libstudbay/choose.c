#include "libstudbay/choose.h"

#include "emit/words/circuits.h"
#include "model/address.h"
#include "model/site.h"

#include <string.h>

/* The thing of that name in a list of `count`, `name_of` giving the name of each; NULL, with a
 * message, where there is none. */
typedef const char *name_fn(struct arena *arena, const void *thing);

static const void *choose(struct studbay_plan *plan, const char *kind, const char *wanted,
                          void *const *things, uint32_t count, name_fn *name_of)
{
    struct arena *arena = &plan->c.arena;
    const char **names = arena_array(arena, const char *, count + 1);
    for (uint32_t i = 0; i < count; i++) {
        names[i] = name_of(arena, things[i]);
        if (!strcmp(names[i], wanted))
            return things[i];
    }
    handle_refuse_unknown(plan, kind, wanted, names, count);
    return NULL;
}

static const char *name_of_circuit(struct arena *arena, const void *thing)
{
    return address_of_circuit(arena, thing, false);
}

/* The circuit of that handle, "P14/16", as the sheets call it; NULL where there is none. */
static const struct circuit *circuit_at(const struct results *r, const char *handle)
{
    for (uint32_t i = 0; handle && i < r->model->circuits.n; i++) {
        const char *is = words_handle(r, r->model->circuits.at[i]);
        if (is && !strcmp(is, handle))
            return r->model->circuits.at[i];
    }
    return NULL;
}

static const char *name_of_box(struct arena *arena, const void *thing)
{
    return address_of_box(arena, thing, false);
}

static const char *name_of_room(struct arena *arena, const void *thing)
{
    return address_of_room(arena, thing, false);
}

static const char *name_of_level(struct arena *arena, const void *thing)
{
    (void)arena;
    return ((const struct level *)thing)->name;
}

/* The wall that is wanted, of the room that is wanted or of any. */
static bool choose_wall(struct studbay_plan *plan, const char *wanted, struct results *r)
{
    VEC(const char *) names = {0};
    for (uint32_t i = 0; i < r->model->rooms.n; i++) {
        const struct room *room = r->model->rooms.at[i];
        for (uint32_t w = 0; (!r->only_room || r->only_room == room) && w < room->wall_count; w++) {
            *vec_push(r->arena, &names) = room->walls[w].name;
            if (!strcmp(room->walls[w].name, wanted))
                r->only_wall = wanted;
        }
    }
    if (!r->only_wall)
        handle_refuse_unknown(plan, "wall", wanted, names.at, names.n);
    return r->only_wall != NULL;
}

bool choose_things(struct studbay_plan *plan, const struct studbay_wants *wants, struct results *r)
{
    struct model *m = r->model;
#define CHOOSE(what, field, list)                                                                  \
    if (wants->what && !r->field &&                                                                \
        !(r->field = choose(plan, #what, wants->what, (void *const *)m->list.at, m->list.n,        \
                            name_of_##what)))                                                      \
        return false;
    r->only_circuit = circuit_at(r, wants->circuit);
    CHOOSE(circuit, only_circuit, circuits)
    CHOOSE(box, only_box, boxes)
    CHOOSE(room, only_room, rooms)
    CHOOSE(level, only_level, levels)
#undef CHOOSE
    return !wants->wall || choose_wall(plan, wants->wall, r);
}
