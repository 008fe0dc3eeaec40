/* Which devices of a box may pass current on to what lies behind them, by circuit. */
#include "facts/devices.h"
#include "facts/work.h"

#include <stdlib.h>

/* Parts that nothing feeds come first. */
static uint32_t order_of(const struct circuit *c)
{
    return c ? c->id + 1 : 0;
}

static int by_circuit(const void *va, const void *vb)
{
    const struct device *a = *(const struct device *const *)va,
                        *b = *(const struct device *const *)vb;
    uint32_t of_a = order_of(a->parts[0].circuit), of_b = order_of(b->parts[0].circuit);
    if (of_a != of_b)
        return of_a < of_b ? -1 : 1;
    if (a->onward != b->onward)
        return a->onward ? -1 : 1;
    return a->id < b->id ? -1 : a->id > b->id;
}

static bool may_pass(const struct device_def *def)
{
    if (def->protects)
        return true;
    for (uint8_t i = 0; i < def->body.terminal_count; i++)
        if (def->body.terminals[i].role == ROLE_LOAD ||
            (def->body.terminals[i].gives &&
             def->body.terminals[i].nets & (NET_LINE | NET_LINE_A | NET_LINE_B)))
            return true;
    return false;
}

void facts_find_passing(struct model *m)
{
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        struct box *b = m->boxes.at[i];
        uint32_t count = 0;
        for (uint32_t k = 0; k < b->device_count; k++)
            count += b->devices[k]->part_count && may_pass(b->devices[k]->def);
        if (!count)
            continue;
        b->passing = arena_array(m->arena, struct device *, count);
        for (uint32_t k = 0; k < b->device_count; k++)
            if (b->devices[k]->part_count && may_pass(b->devices[k]->def))
                b->passing[b->passing_count++] = b->devices[k];
        qsort(b->passing, count, sizeof *b->passing, by_circuit);
    }
}

struct device *const *facts_passing(const struct box *box, const struct circuit *circuit,
                                    uint32_t *count)
{
    uint32_t low = 0, high = box ? box->passing_count : 0, all = high, from;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (order_of(box->passing[middle]->parts[0].circuit) < order_of(circuit))
            low = middle + 1;
        else
            high = middle;
    }
    for (from = low, high = all; low < high;) {
        uint32_t middle = (low + high) / 2;
        if (order_of(box->passing[middle]->parts[0].circuit) <= order_of(circuit))
            low = middle + 1;
        else
            high = middle;
    }
    *count = low - from;
    return *count ? &box->passing[from] : NULL;
}
