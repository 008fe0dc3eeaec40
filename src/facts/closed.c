#include "facts/closed.h"

#include "facts/boxes.h"
#include "model/site.h"

static uint32_t closed_from(bool closed, uint32_t on)
{
    return closed ? 0 : on ? on : UINT32_MAX;
}

uint32_t facts_wall_closed_from(const struct wall *w)
{
    return closed_from(w->closed, w->closed_on);
}

uint32_t facts_ceiling_closed_from(const struct room *room)
{
    return closed_from(room->closed_ceiling, room->ceiling_closed_on);
}

uint32_t facts_hung_by(const struct run *r)
{
    return r->hung_on ? r->hung_on : UINT32_MAX;
}

uint32_t facts_set_by(const struct box *b)
{
    return b->set_on ? b->set_on : UINT32_MAX;
}

static uint32_t box_closed_from(const struct box *b)
{
    const struct wall *w = facts_wall_of_box(b);
    return w                            ? facts_wall_closed_from(w)
           : b->place.where == OVERHEAD ? facts_ceiling_closed_from(b->room)
                                        : UINT32_MAX;
}

bool facts_is_in_closed(const struct box *b)
{
    return box_closed_from(b) < facts_set_by(b);
}

bool facts_stays_closed(const struct box *b)
{
    return !box_closed_from(b);
}

bool facts_is_fished_to(const struct box *b)
{
    bool fished = b->runs.n > 0;
    for (uint32_t i = 0; i < b->runs.n; i++)
        fished &= b->runs.at[i]->fished || b->runs.at[i]->existing;
    return fished;
}
