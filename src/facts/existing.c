#include "facts/existing.h"

bool facts_cable_untold(const struct run *r)
{
    return r->existing && !r->declared && !r->single && r->circuit &&
           !(r->circuit->in_doubt & ITS_CABLE);
}

bool facts_type_untold(const struct box *b)
{
    return b->existing && !b->type_told && !b->compartment;
}

bool facts_breaker_untold(const struct circuit *c)
{
    return c->existing && c->breaker <= 0 && !facts_buys_breaker(c);
}

bool facts_buys_breaker(const struct circuit *c)
{
    return !c->existing || c->breaker_new;
}

bool facts_gets_cable(const struct box *b, const struct circuit *c)
{
    for (uint32_t i = 0; b && i < b->runs.n; i++)
        if (!b->runs.at[i]->existing && (!c || b->runs.at[i]->circuit == c))
            return true;
    return false;
}

bool facts_gets_device(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (!b->devices[i]->existing)
            return true;
    return false;
}

bool facts_is_opened(const struct box *b)
{
    bool new_device = facts_gets_device(b) || b->loses;
    for (uint32_t i = 0; i < b->low_voltage.n; i++)
        new_device |= !b->low_voltage.at[i]->existing;
    return b->existing && (new_device || facts_gets_cable(b, NULL));
}

bool facts_gets_blank(const struct box *b)
{
    return !b->device_count && (!b->existing || b->bared);
}

bool facts_is_worked_on(const struct circuit *c)
{
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (!c->runs.at[i]->existing)
            return true;
    for (uint32_t i = 0; i < c->parts.n; i++)
        if (!c->parts.at[i]->device->existing)
            return true;
    return false;
}

bool facts_leg_is_worked_on(const struct leg *l)
{
    for (uint32_t i = 0; i < l->controls.n + l->loads.n; i++) {
        const struct part *p =
            i < l->controls.n ? l->controls.at[i] : l->loads.at[i - l->controls.n];
        if (!p->device->existing)
            return true;
    }
    return false;
}
