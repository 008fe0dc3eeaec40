/* The ids of the page. Names of a plan are unique among things of a sort and within a room; here
 * all are in one list, so what comes second gets a number. */
#include "book/work.h"

#include "emit/views.h"
#include "facts/facts.h"
#include "model/site.h"

#include <string.h>

struct used {
    struct book *b;
    struct map *ids; /* (0, interned) -> how often it was asked for, as a number */
};

static const char *give(struct used *u, const char *name)
{
    struct names *names = u->b->r->model->names;
    const char *id = names_of(names, html_anchor(u->b->arena, name)), *one = id;
    uintptr_t n = (uintptr_t)map_find(u->ids, 0, id);
    while (map_find(u->ids, 0, one))
        one = names_of(names, arena_printf(u->b->arena, "%s:%u", id, (unsigned)++n));
    map_file(u->b->arena, u->ids, 0, one, (void *)(uintptr_t)1);
    map_file(u->b->arena, u->ids, 0, id, (void *)(n ? n : 1));
    return one;
}

/* "studio.S1:L1" of "studio.S1 -> L1". */
static const char *run_name(struct book *b, const struct run_view *v)
{
    const char *arrow = strstr(v->address, " -> ");
    return arrow ? arena_printf(b->arena, "%.*s:%s", (int)(arrow - v->address), v->address,
                                arrow + strlen(" -> "))
                 : v->address;
}

/* "feeder:P" of "feeder P". */
static const char *circuit_name(struct book *b, const struct circuit *c)
{
    char *name = (char *)address_of_circuit(b->arena, c, false), *blank = strrchr(name, ' ');
    return blank ? arena_printf(b->arena, "feeder:%s", blank + 1) : name;
}

/* "studio:north". */
static void give_wall(struct used *u, const struct room *room, const struct place *place)
{
    struct book *b = u->b;
    if (!b->ids.rooms[room->id] || place->where != ON_WALL || place->wall >= room->wall_count ||
        anchors_wall(b, &room->walls[place->wall]))
        return;
    const char *name = arena_printf(b->arena, "%s:%s", address_of_room(b->arena, room, false),
                                    room->walls[place->wall].name);
    map_file(b->arena, &b->ids.walls, 0, &room->walls[place->wall], (void *)give(u, name));
}

static void give_walls(struct used *u)
{
    const struct model *m = u->b->r->model;
    for (uint32_t i = 0; i < m->boxes.n; i++)
        give_wall(u, m->boxes.at[i]->room, &m->boxes.at[i]->place);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (m->panels.at[i]->room)
            give_wall(u, m->panels.at[i]->room, &m->panels.at[i]->place);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (uint32_t k = 0; k < m->rooms.at[i]->wall_count; k++)
            if (photos_are_of(u->b, m->rooms.at[i], &m->rooms.at[i]->walls[k]))
                give_wall(u, m->rooms.at[i], &(struct place){.where = ON_WALL, .wall = k});
}

/* Boxes, rooms, panels and circuits first: those are what people type. */
static void give_places(struct used *u)
{
    struct book *b = u->b;
    const struct model *m = b->r->model;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (facts_is_built(m->rooms.at[i]->unit))
            b->ids.rooms[i] = give(u, address_of_room(b->arena, m->rooms.at[i], false));
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (view_built_box(b->r, i))
            b->ids.boxes[i] = give(u, view_built_box(b->r, i)->address);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (facts_is_built(m->panels.at[i]->unit))
            b->ids.panels[i] = give(u, address_of_panel(b->arena, m->panels.at[i], false));
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (facts_is_built(m->circuits.at[i]->unit))
            b->ids.circuits[i] = give(u, circuit_name(b, m->circuits.at[i]));
}

void anchors_make(struct book *b)
{
    const struct model *m = b->r->model;
    struct used u = {.b = b, .ids = &b->ids.given};
    b->ids.rooms = arena_array(b->arena, const char *, m->rooms.n + 1);
    b->ids.boxes = arena_array(b->arena, const char *, m->boxes.n + 1);
    b->ids.panels = arena_array(b->arena, const char *, m->panels.n + 1);
    b->ids.circuits = arena_array(b->arena, const char *, m->circuits.n + 1);
    b->ids.runs = arena_array(b->arena, const char *, m->runs.n + 1);
    b->ids.cables = arena_array(b->arena, const char *, m->low_voltages.n + 1);
    give_places(&u);
    for (uint32_t i = 0; i < m->low_voltages.n; i++)
        if (facts_is_built(m->low_voltages.at[i]->unit))
            b->ids.cables[i] =
                give(&u, arena_printf(b->arena, "low-voltage:%s", m->low_voltages.at[i]->name));
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (view_built_run(b->r, i))
            b->ids.runs[i] = give(&u, run_name(b, view_built_run(b->r, i)));
    give_walls(&u);
}

const char *anchors_wall(const struct book *b, const struct wall *wall)
{
    return map_find(&b->ids.walls, 0, wall);
}
