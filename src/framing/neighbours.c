#include "framing/neighbours.h"

#include "base/map.h"
#include "framing/frame.h"

/* Of one part of its group, a foot long. */
struct neighbour {
    struct occupant o;
    const struct neighbour *before;
};

struct neighbours {
    struct arena *arena;
    struct map parts; /* (group, part + 1) -> struct neighbour, the last one in it */
    length widest;
};

static const length part_size = FOOT;

static int64_t part_of(length at)
{
    return at >= 0 ? at / part_size : -1 - (-1 - at) / part_size;
}

struct neighbours *neighbours_new(struct arena *arena)
{
    struct neighbours *n = arena_new(arena, struct neighbours);
    n->arena = arena;
    return n;
}

void neighbours_add(struct neighbours *n, const struct occupant *o)
{
    void **last = map_at(n->arena, &n->parts, (uintptr_t)o->group + 1, (uintptr_t)part_of(o->at));
    struct neighbour *one = arena_new(n->arena, struct neighbour);
    *one = (struct neighbour){*o, *last};
    *last = one;
    n->widest = o->width > n->widest ? o->width : n->widest;
}

bool neighbours_in(const struct neighbours *n, const struct occupant *o)
{
    length reach = (o->width + n->widest) / 2;
    for (int64_t part = part_of(o->at - reach); part <= part_of(o->at + reach); part++)
        for (const struct neighbour *other =
                 map_get(&n->parts, (uintptr_t)o->group + 1, (uintptr_t)part);
             other; other = other->before)
            if (2 * length_abs(other->o.at - o->at) < other->o.width + o->width &&
                2 * length_abs(other->o.across - o->across) < other->o.height + o->height)
                return true;
    return false;
}
