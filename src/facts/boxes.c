#include "facts/boxes.h"

#include "facts/places.h"
#include "model/model.h"
#include "model/power.h"

uint32_t facts_yokes(const struct box *box)
{
    uint32_t yokes = 0;
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device_def *def = box->devices[i]->def;
        yokes += def->yokes * (def->gangs > 1 ? def->gangs : 1u);
    }
    return yokes;
}

static enum mount mount_of(enum where where)
{
    return where == ON_WALL ? MOUNT_WALL : where == OVERHEAD ? MOUNT_CEILING : MOUNT_FLOOR;
}

static void ask_for_device(struct model *m, struct box_asks *a, const struct box *b,
                           const struct device_def *d)
{
    bool hung = b->place.where == OVERHEAD && d->sort == SORT_LUMINAIRE && !d->integral;
    if (d->fan_box && !a->fan)
        a->fan = d;
    if (hung && !d->yokes && !a->luminaire) {
        a->luminaire = d;
        a->weight = code_weight(&m->code, SET_BOX_LOADS_LUMINAIRE, 0);
    }
    a->power |= d->sort != SORT_LOW_VOLTAGE;
    a->low_voltage |= d->sort == SORT_LOW_VOLTAGE;
}

struct box_asks facts_box_asks(struct model *m, const struct box *b)
{
    struct box_asks a = {.mount = mount_of(b->place.where),
                         .wet = facts_is_wet(m, b),
                         .yokes = facts_yokes(b),
                         .power = b->runs.n > 0,
                         .low_voltage = b->low_voltage.n > 0};
    a.gangs = b->gangs ? b->gangs : (uint8_t)(a.yokes > MOST_GANGS ? MOST_GANGS : a.yokes);
    for (uint32_t i = 0; i < b->device_count; i++)
        ask_for_device(m, &a, b, b->devices[i]->def);
    return a;
}

static bool is_bracket(const struct box_type *t)
{
    return t->volume <= 0 && !t->integral;
}

static unsigned when(bool misfits, enum misfit why)
{
    return misfits ? why : 0;
}

/* A compartment that comes with the thing itself is judged by what hangs from it and by its yokes:
 * its own marking governs. */
unsigned facts_misfits(const struct box_asks *a, const struct box_type *t)
{
    unsigned why = when(t->mount != MOUNT_ANY && t->mount != a->mount, MISFIT_MOUNT) |
                   when(a->fan && t->fan <= 0, MISFIT_FAN);
    if (t->integral)
        return why | when(a->yokes > 0, MISFIT_OWN);
    return why | when(t->gangs < a->gangs, MISFIT_GANGS) |
           when(a->wet == ANSWER_YES && !t->wet, MISFIT_WET) |
           when(a->weight > 0 && t->holds <= 0, MISFIT_UNSAID) |
           when(t->holds > 0 && t->holds < a->weight, MISFIT_WEIGHT) |
           when(a->power && is_bracket(t), MISFIT_BRACKET) |
           when(a->power && a->low_voltage && !t->divided, MISFIT_DIVIDER);
}

bool facts_is_needless(const struct box_asks *a, const struct box_type *t)
{
    return t->integral || (t->fan > 0 && !a->fan) || (t->wet && a->wet != ANSWER_YES) ||
           (t->divided && !(a->power && a->low_voltage)) ||
           is_bracket(t) != (a->low_voltage && !a->power);
}
