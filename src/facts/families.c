#include "facts/families.h"

#include "facts/devices.h"
#include "model/model.h"
#include "model/site.h"

#include <string.h>

const struct family facts_families[FAMILIES] = {
    [FAMILY_KITCHENS] = {SET_SMALL_APPLIANCE_CIRCUITS_RATING, SET_SMALL_APPLIANCE_CIRCUITS_ALONE,
                         LIST_SMALL_APPLIANCE_PLACES, "kitchen, pantry and dining room"},
    [FAMILY_BATHS] = {SET_BATH_CIRCUIT_RATING, SET_BATH_CIRCUIT_ALONE, LIST_BATH_CIRCUIT_PLACES,
                      "bathrooms"},
    [FAMILY_LAUNDRIES] = {SET_LAUNDRY_CIRCUIT_RATING, SET_LAUNDRY_CIRCUIT_ALONE,
                          LIST_LAUNDRY_PLACES, "laundry"},
    [FAMILY_GARAGES] = {SET_GARAGE_CIRCUIT_RATING, SET_GARAGE_CIRCUIT_ALONE,
                        LIST_GARAGE_CIRCUIT_PLACES, "garage"},
};

static bool is_of(const struct family *family, int which)
{
    return family == &facts_families[which];
}

bool facts_is_plain_receptacle(const struct model *m, const struct part *part)
{
    return part->device->def->sort == SORT_RECEPTACLE && part->volts == m->volts && !part->leg;
}

bool facts_has_basin(const struct room *room)
{
    for (uint32_t i = 0; i < room->fixtures.n; i++)
        if (room->fixtures.at[i].form == F_BASIN)
            return true;
    return false;
}

/* Some editions ask it only of the receptacles of basins and counters. Where no basin is drawn, any
 * may be the one. */
static bool is_concerned(struct model *m, const struct rooms *rooms, const struct family *family,
                         const struct box *box)
{
    if (!is_of(family, FAMILY_BATHS) || !code_says(&m->code, SET_BATH_CIRCUIT_COVERS, "required") ||
        !facts_has_basin(box->room))
        return true;
    double way = facts_way_to_fixture(rooms, box, F_BASIN, false);
    return way <= length_feet(code_length(&m->code, SET_BASIN_RECEPTACLE_WITHIN, 0)) ||
           facts_serves_counter(m, box);
}

bool facts_family_has(struct model *m, const struct rooms *rooms, const struct family *family,
                      const struct box *box)
{
    struct use use = facts_use_of_box(box);
    bool kitchens = is_of(family, FAMILY_KITCHENS);
    if (!is_concerned(m, rooms, family, box) || (kitchens && facts_in_base_cabinet(m, box)))
        return false;
    uint32_t n = 0;
    for (uint32_t i = 0; i < use.count; i++)
        n += code_list_has_kind(&m->code, family->list, use.kinds[i]);
    return n && (n == use.count || !kitchens || facts_serves_counter(m, box));
}

bool facts_family_may_have(struct model *m, const struct family *family, const struct box *box)
{
    return facts_use_in_list(m, facts_use_of_box(box), family->list);
}

/* --- what else is on them ------------------------------------------------------------------- */

/* In a garage: receptacles outdoors, and the equipment of a garage of one bay, where the edition
 * lets them be. */
static bool garage_takes(struct model *m, const struct part *part)
{
    const struct box *box = part->device->box;
    if (facts_is_receptacle(part))
        return facts_use_in_list(m, facts_use_of_box(box), LIST_WEATHER_PLACES) &&
               code_yes(&m->code, SET_GARAGE_CIRCUIT_OUTDOOR_RECEPTACLES);
    return facts_family_may_have(m, &facts_families[FAMILY_GARAGES], box) && box->room->bays <= 1 &&
           code_yes(&m->code, SET_GARAGE_CIRCUIT_SINGLE_BAY_EQUIPMENT);
}

bool facts_is_stranger(struct model *m, const struct rooms *rooms, const struct family *family,
                       const struct part *part)
{
    const struct box *box = part->device->box;
    if (!facts_is_outlet(part) || part->device->existing)
        return false;
    if (facts_is_receptacle(part) && facts_family_may_have(m, family, box) &&
        is_concerned(m, rooms, family, box))
        return is_of(family, FAMILY_KITCHENS) && part->leg;
    return !is_of(family, FAMILY_GARAGES) || !garage_takes(m, part);
}

/* All outlets stand in one bathroom: their circuit may then serve the rest of it. */
static bool one_bathroom(struct model *m, struct parts_of parts)
{
    const struct room *room = NULL;
    for (uint32_t i = 0; i < parts.n; i++) {
        const struct box *box = parts.at[i]->device->box;
        if (!facts_is_outlet(parts.at[i]))
            continue;
        if ((room && room != box->room) ||
            !facts_family_may_have(m, &facts_families[FAMILY_BATHS], box))
            return false;
        room = box->room;
    }
    return true;
}

bool facts_has_strangers(struct model *m, const struct rooms *rooms, const struct family *family,
                         struct parts_of parts)
{
    bool alone = is_of(family, FAMILY_BATHS) && one_bathroom(m, parts) &&
                 code_yes(&m->code, SET_BATH_CIRCUIT_ONE_BATH_ALONE);
    for (uint32_t i = 0; i < parts.n && !alone; i++)
        if (facts_is_stranger(m, rooms, family, parts.at[i]))
            return true;
    return false;
}

uint32_t facts_laundry_circuits(struct model *m, const struct room *room)
{
    uint32_t wanted = 1;
    wanted += room_used_as(m, room, facts_families[FAMILY_BATHS].list) +
              room_used_as(m, room, facts_families[FAMILY_GARAGES].list);
    if (room_used_as(m, room, LIST_SMALL_APPLIANCE_KITCHENS))
        wanted += (uint32_t)code_count(&m->code, SET_SMALL_APPLIANCE_CIRCUITS_COUNTER_BY, 0);
    return wanted;
}

/* --- circuits of their own ------------------------------------------------------------------ */

/* Cooking units of one kitchen may share a circuit, and heating its own pump or humidifier. */
static bool may_share(struct model *m, const struct device *alone, const struct device *other)
{
    bool cooking = facts_device_in_list(m, alone->def, LIST_COOKING_TOGETHER) &&
                   facts_device_in_list(m, other->def, LIST_COOKING_TOGETHER);
    bool heating = facts_device_in_list(m, alone->def, LIST_CENTRAL_HEATING) &&
                   facts_device_in_list(m, other->def, LIST_HEATING_AUXILIARIES);
    return heating || (cooking && alone->box->room == other->box->room);
}

/* On a multiwire circuit each line is a circuit of its own: what takes the one does not share with
 * what takes the other. */
static bool on_other_line(const struct model *m, const struct part *a, const struct part *b)
{
    const struct circuit *circuit = a->circuit;
    bool one_each = a->volts == m->volts && b->volts == m->volts;
    return circuit && circuit == b->circuit && circuit->multiwire && one_each &&
           (a->pole == 'b') != (b->pole == 'b');
}

bool facts_shares_with(struct model *m, const struct part *part, const struct device *alone)
{
    return part->device != alone && facts_is_outlet(part) && !facts_is_receptacle_of(part, alone) &&
           !on_other_line(m, part, &alone->parts[0]) &&
           (facts_is_receptacle(part) || part->load > 0) && !may_share(m, alone, part->device);
}

/* Whether a box is over a range that the plan draws. */
static bool is_over_range(const struct box *b)
{
    for (uint32_t i = 0; i < b->room->fixtures.n && b->place.where == ON_WALL; i++) {
        const struct fixture *x = &b->room->fixtures.at[i];
        if (x->form == F_RANGE && x->wall == b->place.wall && b->place.from_left >= x->from_left &&
            b->place.from_left <= x->from_left + x->wide)
            return true;
    }
    return false;
}

const char *facts_hood_article(struct model *m, const struct device *d, const char *name)
{
    return code_table(&m->code, TABLE_OVER_RANGE) && is_over_range(d->box)
               ? code_row_article(&m->code, COL_OVER_RANGE_ARTICLE, name)
               : NULL;
}

const char *facts_individual_row(struct model *m, const struct device *d)
{
    return facts_device_key(m, d->def, TABLE_INDIVIDUAL_CIRCUITS);
}

bool facts_individual_is_asked(struct model *m, const struct device *d, const char *name)
{
    if (facts_hood_article(m, d, name))
        return true;
    const char *force = code_cell_word(&m->code, COL_INDIVIDUAL_CIRCUITS_FORCE, name);
    return force && !strcmp(force, "asked");
}
