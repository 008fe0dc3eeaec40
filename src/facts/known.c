/* What is in doubt of each thing: as the text leaves it, carried on to what rests on it. */
#include "facts/existing.h"
#include "facts/work.h"

static unsigned when(bool doubt, enum matter matter)
{
    return doubt ? matter : 0;
}

bool facts_is_over(const struct room *room, struct place3 p)
{
    bool in = false;
    for (uint32_t i = 0; i < room->wall_count; i++) {
        struct point a = room->walls[i].left, b = room->walls[i].right;
        __int128 turn = (__int128)(b.x - a.x) * (p.y - a.y) - (__int128)(b.y - a.y) * (p.x - a.x);
        bool beside =
            (p.x - a.x) * (double)(p.x - b.x) <= 0 && (p.y - a.y) * (double)(p.y - b.y) <= 0;
        if (!turn && beside)
            return true;
        if ((a.y > p.y) != (b.y > p.y) && (turn > 0) == (b.y > a.y))
            in = !in;
    }
    return in;
}

/* What stands where its room has no place for it is anywhere. */
static bool stands_outside(const struct box *b)
{
    const struct place *p = &b->place;
    const struct room *r = b->room;
    if (!p->known || (b->in_doubt | r->in_doubt) & (ITS_TEXT | ITS_PLACE) || !r->wall_count)
        return false;
    if (p->where != ON_WALL)
        return !facts_is_over(r, p->at);
    return p->wall < r->wall_count &&
           (p->from_left < 0 || p->from_left > r->walls[p->wall].length || p->up < 0 ||
            p->up > r->ceiling);
}

static bool reaches_outside(const struct room *r, const struct fixture *x)
{
    return x->sort != FIXTURE_OTHER && x->wall < r->wall_count &&
           (x->from_left < 0 || x->from_left > r->walls[x->wall].length);
}

static void note_outside(struct room *r)
{
    for (uint32_t i = 0; i < r->boxes.n; i++)
        if (stands_outside(r->boxes.at[i])) {
            r->boxes.at[i]->in_doubt |= ITS_PLACE | ITS_OUTSIDE;
            r->in_doubt |= ITS_DEVICES;
        }
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        if (reaches_outside(r, &r->fixtures.at[i]))
            r->in_doubt |= ITS_FIXED | ITS_OUTSIDE;
}

static void carry_to_room(struct room *r)
{
    note_outside(r);
    unsigned doubts = when(node_broken(r->node), ITS_TEXT) | when(!r->wall_count, ITS_PLACE);
    for (uint32_t i = 0; i < r->boxes.n; i++)
        doubts |= when(r->boxes.at[i]->in_doubt & ITS_TEXT, ITS_DEVICES);
    r->in_doubt |= doubts;
}

void facts_carry_doubts(struct model *m)
{
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        struct room *r = m->rooms.at[i];
        carry_to_room(r);
        unsigned doubts = r->in_doubt & (ITS_PLACE | ITS_BOXES | ITS_DEVICES | ITS_OUTSIDE);
        r->level->in_doubt |= doubts;
        for (uint32_t k = 0; r->in_doubt & ITS_LEVEL && k < m->levels.n; k++)
            m->levels.at[k]->in_doubt |= doubts; /* it may be on any */
    }
}

unsigned facts_level_doubts(const struct level *l)
{
    return l->in_doubt;
}

unsigned facts_room_doubts(const struct room *r)
{
    return r->in_doubt;
}

unsigned facts_circuit_doubts(const struct circuit *c)
{
    return c->in_doubt | when(node_broken(c->node), ITS_CLAUSES) |
           when(node_broken(c->breaker_node) || facts_breaker_untold(c), ITS_BREAKER);
}

unsigned facts_leg_doubts(const struct leg *l)
{
    unsigned doubts = when(node_broken(l->node), ITS_TEXT);
    for (uint32_t i = 0; i < l->controls.n; i++) {
        const struct part *p = l->controls.at[i];
        unsigned level = p->device->box->room->level->in_doubt;
        doubts |= when(node_broken(p->node), ITS_DEVICES) |
                  when(level & (ITS_BOXES | ITS_DEVICES), ITS_BOXES);
    }
    return doubts;
}

unsigned facts_box_doubts(const struct box *b)
{
    return b->in_doubt | (b->room->in_doubt & ITS_PLACE) | when(facts_type_untold(b), ITS_TYPE) |
           when(b->room->level->in_doubt & ITS_PLACE, ITS_WOOD);
}

unsigned facts_device_doubts(const struct device *d)
{
    return when(node_broken(d->node), ITS_TEXT) | when(d->box->in_doubt & ITS_TEXT, ITS_BOXES);
}

unsigned facts_part_doubts(const struct part *p)
{
    return when(node_broken(p->node), ITS_TEXT) |
           when(p->device->box->in_doubt & ITS_TEXT, ITS_BOXES);
}

unsigned facts_panel_doubts(const struct panel *p)
{
    return when(node_broken(p->node), ITS_TEXT) |
           (p->room ? p->room->in_doubt & ITS_PLACE : ITS_PLACE);
}

/* An opening that its wall has no place for may bar other ways than those that were found, and a
 * room that is missing may open others. */
static bool end_is_somewhere(struct end e)
{
    const struct room *r = facts_room_of_end(e);
    unsigned own = e.box                      ? e.box->in_doubt | e.box->room->in_doubt
                   : e.panel && e.panel->room ? e.panel->room->in_doubt
                                              : (unsigned)ITS_PLACE;
    return own & ITS_PLACE || (r && r->level->in_doubt & (ITS_PLACE | ITS_OUTSIDE));
}

unsigned facts_run_doubts(const struct run *r)
{
    return when(node_broken(r->node), ITS_TEXT) | when(!run_is_whole(r), ITS_BOXES) |
           when(facts_cable_untold(r), ITS_CABLE) |
           when(end_is_somewhere(r->from) || end_is_somewhere(r->to), ITS_WAY);
}
