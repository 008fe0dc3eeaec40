/* missing-clause: what a floor in the ground is made of, where a way goes under it. */
#include "rules/mends.h"

#include "framing/frame.h"
#include "framing/routes.h"
#include "model/site.h"

/* What is drawn of the storeys up to one, and of itself. */
struct extent {
    struct point low, high;
    bool any;
};

static void take_in(struct extent *e, struct point low, struct point high)
{
    e->low.x = e->any && e->low.x < low.x ? e->low.x : low.x;
    e->low.y = e->any && e->low.y < low.y ? e->low.y : low.y;
    e->high.x = e->any && e->high.x > high.x ? e->high.x : high.x;
    e->high.y = e->any && e->high.y > high.y ? e->high.y : high.y;
    e->any = true;
}

static bool overlap(const struct extent *a, const struct extent *b)
{
    return a->any && b->any && a->low.x < b->high.x && b->low.x < a->high.x &&
           a->low.y < b->high.y && b->low.y < a->high.y;
}

/* By storey: whether nothing that is drawn lies under it, so that its floor lies on the ground. */
static bool *find_lowest(const struct checked *c)
{
    struct model *m = c->model;
    const struct skeleton *f = c->routes->frame;
    struct extent *of = arena_array(m->arena, struct extent, f->storey_count + 1), below = {0};
    bool *lowest = arena_array(m->arena, bool, f->storey_count + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        if (r->wall_count)
            take_in(&of[f->storey_of[r->level->id]], r->low, r->high);
    }
    for (uint32_t i = 0; i < f->storey_count; i++) {
        lowest[i] = !overlap(&of[i], &below);
        if (of[i].any)
            take_in(&below, of[i].low, of[i].high);
    }
    return lowest;
}

/* More than half of the level lies in the ground, as it says, or under the datum. */
static bool is_in_ground(const struct level *l)
{
    return l->below_grade || 2 * l->floor + l->ceiling < 0;
}

/* Whether a way goes under the floor of a level: below it, or down through a plate on it. */
static bool goes_under(const struct checked *c, const struct route *r, const struct level *l)
{
    const struct skeleton *f = c->routes->frame;
    for (uint32_t i = 0; i < r->segment_count; i++)
        if (r->segments[i].from.z < l->floor || r->segments[i].to.z < l->floor)
            return true;
    for (uint32_t i = 0; i < r->members_count; i++) {
        const struct members *p = &r->members[i];
        if (p->member == MEMBER_PLATE && !p->top &&
            f->storeys[f->lines[p->line].storey].floor == l->floor)
            return true;
    }
    return false;
}

static void ask_for_floor(const struct checked *c, const struct run *run, const struct level *l)
{
    struct model *m = c->model;
    struct finding *f = diag_add(
        m->diag, &rule_missing_clause, node_name_span(l->node),
        "level '%s' lies in the ground, and does not say whether its floor is concrete; run %s "
        "is led under it, through joists that may not be there",
        l->name, address_of_run(m->arena, run, true));
    if (f)
        f->severity = WARNING;
    diag_note(m->diag, f, run->from_span, "this run");
    diag_mend(m->diag, f,
              "'slab' where it is concrete; 'floor-joists LUMBER at SPACING', or 'slab no', where "
              "it is of wood");
    edit_clause(rules_way(c, f, false, "'slab'"), l->node, F_SLAB, "slab");
    edit_clause(rules_way(c, f, false, "'slab no'"), l->node, F_SLAB, "slab no");
}

static void check_floors(const struct checked *c)
{
    struct model *m = c->model;
    const struct skeleton *f = c->routes->frame;
    bool *lowest = NULL, *asked = arena_array(m->arena, bool, m->levels.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = m->runs.at[i];
        const struct room *ends[] = {facts_room_of_end(run->from), facts_room_of_end(run->to)};
        bool laid = run->underground || run->strung || run->existing || !facts_known(run, ITS_TEXT);
        for (int k = 0; k < 2 && !laid; k++) {
            const struct room *room = ends[k];
            const struct level *l = room ? room->level : NULL;
            if (!l || !l->node || room->floor_told || asked[l->id] || !is_in_ground(l) ||
                !facts_known(room, ITS_LEVEL | ITS_PLACE) ||
                !goes_under(c, &c->routes->of_run[run->id], l))
                continue;
            lowest = lowest ? lowest : find_lowest(c);
            asked[l->id] = true;
            if (lowest[f->storey_of[l->id]] && !l->in_doubt)
                ask_for_floor(c, run, l);
        }
    }
}
CHECK(missing_clause, .plan = check_floors);
