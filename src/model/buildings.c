/* Buildings: rooms that stand together. Those in none are the house; a room that the plan calls
 * detached and that no building names is one by itself, with what it shares walls with. */
#include "model/build.h"

static void read_rooms(struct builder *b, struct building *building, const struct node *n)
{
    for (unsigned i = 0; i < n->value_count; i++) {
        struct room *r = build_room_named(b, b->scopes.at[0], n, node_value(n, i));
        if (!r)
            building->in_doubt = true;
        else if (r->building && r->building != building)
            diag_note(b->diag,
                      diag_add(b->diag, &rule_duplicate_name, value_span(n, node_value(n, i)),
                               "room '%s' is in building '%s' already", r->name, r->building->name),
                      node_name_span(r->building->node), "this one");
        else if (!r->building) {
            r->building = building;
            *vec_push(b->arena, &building->rooms) = r;
        }
    }
}

static struct building *add_building(struct builder *b, const struct node *n, const char *name,
                                     const char *title)
{
    struct building *building = arena_new(b->arena, struct building);
    *building = (struct building){
        .id = b->m->buildings.n, .name = name, .title = title ? title : name, .node = n};
    *vec_push(b->arena, &b->m->buildings) = building;
    return building;
}

static void read_building(struct builder *b, const struct node *n)
{
    const char *name = node_name(n, 0);
    struct room *last = NULL;
    if (!name)
        return;
    struct building *building = add_building(b, n, name, n->text);
    build_declare_name(b, &b->building_names, 1, name, node_name_span(n), "building", n, building);
    build_mention_declared(b, &b->building_names, 1, name, n, MENTION_BUILDING);
    building->in_doubt = node_broken(n) || n->lost;
    building->electrode = node_flag(n, F_ELECTRODE);
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_BUILDING_ROOMS && !c->broken)
            read_rooms(b, building, c);
    const struct node *disconnect = clause(n, F_BUILDING_DISCONNECT);
    if (disconnect)
        building->disconnect =
            build_resolve_end(b, b->scopes.at[0], disconnect, node_value(disconnect, 0), &last).box;
    building->in_doubt |= disconnect && !building->disconnect;
}

static length gap(length a_low, length a_high, length b_low, length b_high)
{
    return a_high < b_low ? b_low - a_high : b_high < a_low ? a_low - b_high : 0;
}

/* Whether two rooms of one storey lie wall to wall, or one above the other. */
static bool stand_together(const struct room *a, const struct room *b)
{
    length wall = a->wall_framing.lumber.depth + a->finish + a->finish;
    return a->unit == b->unit && gap(a->low.x, a->high.x, b->low.x, b->high.x) <= wall &&
           gap(a->low.y, a->high.y, b->low.y, b->high.y) <= wall;
}

/* Detached rooms that no building names: each with those that it stands together with. */
static void gather_detached(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->rooms.n; i++) {
        struct room *r = b->m->rooms.at[i];
        if (!r->detached || r->building)
            continue;
        struct building *own = add_building(b, NULL, r->name, r->title);
        r->building = own;
        *vec_push(b->arena, &own->rooms) = r;
        for (uint32_t k = 0; k < own->rooms.n; k++)
            for (uint32_t x = i + 1; x < b->m->rooms.n; x++) {
                struct room *other = b->m->rooms.at[x];
                if (!other->detached || other->building || !stand_together(own->rooms.at[k], other))
                    continue;
                other->building = own;
                *vec_push(b->arena, &own->rooms) = other;
            }
    }
}

void build_buildings(struct builder *b)
{
    b->scope = b->scopes.at[0];
    for (const struct node *n = b->file->child; n; n = n->next)
        if (n->form == F_BUILDING)
            read_building(b, n);
    gather_detached(b);
}
