/* Which side of a device with a load side each run and part belongs to, by the plan's words:
 * `onward`, `line-side`, `load-side`. */
#include "prove/proof.h"

#include "facts/devices.h"

/* Whether a device has a load side: it protects what lies beyond, or disconnects it. */
bool prove_has_load_side(const struct device_def *def)
{
    return def->protects || body_has(&def->body, true, NET_LINE | NET_LINE_A | NET_LINE_B);
}

const struct device *prove_protector(const struct box *box, const struct circuit *c)
{
    uint32_t count;
    struct device *const *passing = facts_passing(box, c, &count);
    for (uint32_t i = 0; i < count; i++)
        if (prove_has_load_side(passing[i]->def))
            return passing[i];
    return NULL;
}

bool prove_hands_on_neutral(const struct device_def *def)
{
    return def->protects || body_has(&def->body, true, NET_NEUTRAL);
}

static bool beyond(const struct device *d, bool line_side, bool load_side)
{
    return d && (load_side || (d->onward && !line_side));
}

static const struct device *side_of_run(struct sides *s, const struct run *r,
                                        const struct circuit *c)
{
    const struct device *d = prove_protector(r->from.box, c);
    if (beyond(d, r->line_side, r->load_side))
        return d;
    const struct run *feed = r->from.box ? s->feed[r->from.box->id] : NULL;
    return feed ? s->of_run[feed->id] : NULL;
}

/* Runs of a circuit from its source on, each after the one that feeds it. */
static const struct run **in_order(const struct proof *p, struct sides *s, const struct circuit *c,
                                   uint32_t *count)
{
    const struct run **order = arena_array(p->arena, const struct run *, c->runs.n + 1);
    uint32_t *next = arena_array(p->arena, uint32_t, c->runs.n + 1);
    struct map leaving = {0}; /* box or 0 -> first run that leaves it, chained */
    for (uint32_t i = c->runs.n; i-- > 0;) {
        const struct run *r = c->runs.at[i];
        if (!r->in_tree)
            continue;
        void **at = map_at(p->arena, &leaving, (uintptr_t)r->from.box, 1);
        next[i] = (uint32_t)(uintptr_t)*at;
        *at = (void *)(uintptr_t)(i + 1);
    }
    uint32_t head = 0;
    *count = 0;
    for (uint32_t i = (uint32_t)(uintptr_t)map_get(&leaving, (uintptr_t)c->root, 1); i;
         i = next[i - 1])
        order[(*count)++] = c->runs.at[i - 1];
    while (head < *count) {
        const struct box *b = order[head++]->to.box;
        if (!b || s->feed[b->id])
            continue;
        s->feed[b->id] = order[head - 1];
        for (uint32_t i = (uint32_t)(uintptr_t)map_get(&leaving, (uintptr_t)b, 1); i;
             i = next[i - 1])
            order[(*count)++] = c->runs.at[i - 1];
    }
    return order;
}

void sides_of_circuit(const struct proof *p, struct sides *s, const struct circuit *c)
{
    if (!s->of_run) {
        s->of_run = arena_array(p->arena, const struct device *, p->m->runs.n + 1);
        s->feed = arena_array(p->arena, const struct run *, p->m->boxes.n + 1);
    }
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *r = c->runs.at[i];
        if (r->to.box)
            s->feed[r->to.box->id] = NULL;
        if (r->from.box)
            s->feed[r->from.box->id] = NULL;
    }
    uint32_t count;
    const struct run **order = in_order(p, s, c, &count);
    for (uint32_t i = 0; i < count; i++)
        s->of_run[order[i]->id] = side_of_run(s, order[i], c);
}

/* The run that feeds a part: the one that it names, else the first that feeds its box. */
static const struct run *feed_of_part(const struct sides *s, const struct part *part)
{
    const struct box *b = part->device->box;
    for (uint32_t i = 0; part->by && i < b->runs.n; i++) {
        const struct run *r = b->runs.at[i];
        if (r->to.box == b && r->circuit == part->circuit && r->label == part->by)
            return r;
    }
    return s->feed[b->id];
}

const struct device *side_of(const struct sides *s, const struct part *part)
{
    const struct device *d = prove_protector(part->device->box, part->circuit);
    bool line = part->line_side || part->device->line_side,
         load = part->load_side || part->device->load_side;
    bool apart = d && part->by && d->parts[0].by && part->by != d->parts[0].by;
    if (d != part->device && !apart && beyond(d, line, load))
        return d;
    const struct run *feed = feed_of_part(s, part);
    return feed ? s->of_run[feed->id] : NULL;
}

const struct device *side_of_neutral(const struct sides *s, const struct part *part)
{
    const struct device *d = side_of(s, part);
    while (d && !prove_hands_on_neutral(d->def))
        d = side_of(s, &d->parts[0]);
    return d;
}
