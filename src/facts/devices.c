#include "facts/devices.h"

bool facts_is_light(const struct part *part)
{
    return part->device->def->sort == SORT_LUMINAIRE || (part->def && part->def->light);
}

bool facts_is_for_lights(const struct part *part)
{
    if (!part->control)
        return facts_is_light(part);
    for (uint32_t i = 0; part->leg && i < part->leg->loads.n; i++)
        if (!part->leg->loads.at[i]->control && !facts_is_light(part->leg->loads.at[i]))
            return false;
    return true;
}

bool facts_passes_lights_only(const struct box *box)
{
    for (uint32_t i = 0; box->compartment && i < box->device_count; i++)
        if (box->devices[i]->def->sort == SORT_LUMINAIRE)
            return true;
    return false;
}

bool facts_is_motor(const struct part *part)
{
    return part->def ? part->def->motor : part->device->def->motor;
}

bool facts_is_receptacle(const struct part *part)
{
    return part->device->def->outlets > 0 && !part->control;
}

uint32_t facts_receptacles_in(const struct part *part)
{
    const struct device_def *def = part->device->def;
    return def->outlets && part->device->part_count > 1 ? 1 : def->outlets;
}

bool facts_is_outlet(const struct part *part)
{
    const struct device_def *def = part->device->def;
    if (part->control || def->sort == SORT_CONTROL || def->sort == SORT_LOW_VOLTAGE)
        return facts_is_receptacle(part) && def->sort == SORT_CONTROL;
    return def->protects || !body_has(part->body, true, UINT8_MAX);
}

bool facts_is_receptacle_of(const struct part *part, const struct device *appliance)
{
    return part->device->box == appliance->box && appliance->def->sort == SORT_APPLIANCE &&
           part->device->def->sort == SORT_RECEPTACLE;
}

/* What a device may be taken for besides: what it is based on. */
static const struct device_def *base_of(const struct device_def *def)
{
    return def->sort == SORT_ALARM && !def->of_plan ? NULL : def->base;
}

const struct table_row *facts_device_row(const struct device_def *def, const struct table *t)
{
    for (; t && def; def = base_of(def)) {
        const struct table_row *row = row_named(t, def->name);
        if (row)
            return row;
    }
    return NULL;
}

const char *facts_device_key(struct model *m, const struct device_def *def, enum book_table table)
{
    for (; def; def = base_of(def))
        if (code_find_row(&m->code, table, def->name))
            return def->name;
    return NULL;
}

bool facts_device_in_list(struct model *m, const struct device_def *def, enum book_table list)
{
    return facts_device_key(m, def, list) != NULL;
}

uint32_t facts_place_of_part(const struct part *part)
{
    uint32_t place = 1;
    for (const struct part *o = part->device->parts; o < part; o++)
        place += o->def == part->def;
    return place;
}

/* Contacts of the library in the place of a part's own are those of another device, without tabs.
 */
static bool is_as_defined(const struct part_form *forms, const struct part *p)
{
    const struct part_form *f = &forms[p - p->device->parts];
    return p->def && f->part && f->body == p->body;
}

uint8_t facts_tied_terminal(const struct part_form *forms, const struct part *a, uint8_t terminal,
                            const struct part *b)
{
    if (a == b || !is_as_defined(forms, a) || !is_as_defined(forms, b))
        return NO_TERMINAL;
    uint32_t one = facts_place_of_part(a), other = facts_place_of_part(b);
    if (a->def == b->def && one + 1 != other && other + 1 != one)
        return NO_TERMINAL;
    return device_tied(a->def, terminal, b->def);
}
