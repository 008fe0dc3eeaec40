#include "wiring/protect.h"

#include "facts/devices.h"
#include "facts/nearby.h"
#include "facts/places.h"
#include "facts/rooms.h"
#include "model/address.h"
#include "model/model.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

/* While it is found what the edition asks. */
struct asking {
    struct protected *p;
    struct model *m;
    struct arena *arena;
    length lowest; /* floor of the plan */
};

const struct device *wiring_protector_in_box(const struct box *box, const struct circuit *circuit)
{
    const struct device *d = wiring_handing_on(box, circuit);
    return d && d->def->protects ? d : NULL;
}

/* --- what the edition asks ---------------------------------------------------------------- */

/* The article in a row, else what its table says of itself. */
static const char *article_cell(struct model *m, const struct cite_column *column, const char *key)
{
    const char *article = code_row_article(&m->code, column, key);
    return article ? article : code_table(&m->code, column->is.table)->source;
}

static void ask(struct protected_part *s, const char *article, const char *why)
{
    if (s->gfci_article)
        return;
    s->gfci_article = article;
    s->gfci_why = why;
}

/* Receptacles of a kind of place, all or those at counters. */
static void ask_by_kind(struct asking *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const struct box *box = part->device->box;
    struct use use = facts_use_of_box(box);
    struct table *scope = code_table(&m->code, TABLE_GFCI_SCOPE);
    for (uint32_t i = 0; scope && i < use.count; i++) {
        const char *kind = table_kind(scope, use.kinds[i]);
        const char *which = code_cell_word(&m->code, COL_GFCI_SCOPE_WHICH, kind);
        if (!which || !code_list_has(&m->code, LIST_GFCI_PLACES, kind))
            continue;
        if (!strcmp(which, "all"))
            ask(s, article_cell(m, COL_GFCI_SCOPE_ARTICLE, kind),
                arena_printf(f->arena, "stands in a place of kind %s", kind));
        else if (facts_serves_counter(m, box))
            ask(s, article_cell(m, COL_GFCI_SCOPE_ARTICLE, kind),
                arena_printf(f->arena, "serves a counter in a place of kind %s", kind));
    }
}

/* Receptacles near water: each row of the table is named as the thing on the wall. */
static void ask_by_distance(struct asking *f, const struct part *part, struct protected_part *s)
{
    static const struct {
        const char *key;
        enum form_id form;
    } things[] = {{"sink", F_SINK}, {"basin", F_BASIN}, {"tub", F_TUB}, {"shower", F_SHOWER}};
    struct model *m = f->m;
    bool doors = code_yes(&m->code, SET_GFCI_SINK_THROUGH_DOORS);
    for (size_t i = 0; i < sizeof things / sizeof *things && !s->gfci_article; i++) {
        length near = code_cell_length(&m->code, COL_GFCI_NEAR_DISTANCE,
                                       code_key(&m->code, things[i].key), -1);
        double way = facts_way_to_fixture(f->p->rooms, part->device->box, things[i].form, doors);
        if (near >= 0 && way >= 0 && way <= length_feet(near))
            ask(s, article_cell(m, COL_GFCI_NEAR_ARTICLE, things[i].key),
                arena_printf(f->arena, "stands %s from a %s", facts_feet_words(f->arena, way),
                             things[i].key));
    }
}

static bool is_below_grade(const struct level *level)
{
    return level->below_grade;
}

/* Receptacles of a storey below the ground, of its unfinished rooms or of all, and those of damp
 * places, where the edition says so. */
static void ask_by_storey(struct asking *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const struct table *scope = code_table(&m->code, TABLE_GFCI_SCOPE);
    const struct room *room = part->device->box->room;
    bool concerned = room->unfinished || code_yes(&m->code, SET_GFCI_BELOW_GRADE_ROOMS);
    if (scope && concerned && is_below_grade(room->level))
        ask(s, article_cell(m, COL_GFCI_SCOPE_ARTICLE, "basement"),
            "stands on a storey below the ground");
    if (scope && code_yes(&m->code, SET_GFCI_DAMP_PLACES) &&
        facts_gets_damp(m, part->device->box) == ANSWER_YES)
        ask(s, article_cell(m, COL_GFCI_SCOPE_ARTICLE, "damp"), "stands in a damp or wet place");
}

/* --- accessory buildings ------------------------------------------------------------------ */

static bool has_door_to_use(const struct asking *f, const struct room *room, bool habitable)
{
    const doorway_list *doors = &f->p->rooms->of_room[room->id];
    for (uint32_t i = 0; i < doors->n; i++) {
        const struct room *other = doors->at[i].other;
        bool lived_in = false;
        for (uint32_t k = 0; other && k < other->kind_count; k++)
            lived_in |= other->kinds[k]->habitable;
        if (other && (lived_in || !habitable) &&
            !facts_use_in_list(f->m, facts_use_of_room(other), LIST_WEATHER_PLACES))
            return true;
    }
    return false;
}

/* Whether the floor lies on the ground, as far as the plan says: the datum is taken for it. */
static bool on_the_ground(const struct asking *f, const struct room *room)
{
    const struct level *level = room->level;
    return is_below_grade(level) ||
           level->floor <= code_length(&f->m->code, SET_GFCI_ACCESSORY_FLOOR_UP_TO, INT64_MIN);
}

/* Asked for unless the plan says, or draws, that it does not stand apart on the ground; where it
 * says too little, the room is noted. */
static void note_undecided(struct asking *f, const struct room *room,
                           const struct protected_part *s)
{
    if (s->known && !is_guarded(s->gfci) &&
        !(f->p->undecided.n && f->p->undecided.at[f->p->undecided.n - 1] == room))
        *vec_push(f->arena, &f->p->undecided) = room;
}

/* Rooms to store and work in, in a building that stands apart: said to be detached, and no door
 * leads on to rooms to live in. */
static void ask_by_building(struct asking *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const struct room *room = part->device->box->room;
    const struct table *t = code_table(&m->code, TABLE_GFCI_ACCESSORY);
    if (!t || s->gfci_article || room->attached ||
        !facts_use_in_list(m, facts_use_of_box(part->device->box), LIST_ACCESSORY_PLACES) ||
        has_door_to_use(f, room, true))
        return;
    if (room->detached && on_the_ground(f, room))
        ask(s, t->source, "stands in a building for storage or work, on the ground");
    else if (room->detached ? room->level->floor == f->lowest : !has_door_to_use(f, room, false))
        note_undecided(f, room, s);
}

static void ask_receptacle(struct asking *f, const struct part *part, struct protected_part *s)
{
    struct code *code = &f->m->code;
    double amps =
        part->device->def->rating > 0 ? part->device->def->rating : part->circuit->breaker;
    if (!code_table(code, TABLE_GFCI) ||
        part->volts > code_voltage(code, SET_GFCI_VOLTS, INFINITY) ||
        amps > code_current(code, SET_GFCI_AMPS, INFINITY) ||
        f->m->volts > code_voltage(code, SET_GFCI_VOLTS_TO_GROUND, INFINITY) ||
        facts_device_in_list(f->m, part->device->def, LIST_GFCI_EXEMPT))
        return;
    ask_by_kind(f, part, s);
    ask_by_distance(f, part, s);
    ask_by_storey(f, part, s);
    ask_by_building(f, part, s);
}

/* Outlets for what the edition lists, cord or wired in, in any place. */
static void ask_by_name(struct asking *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    const char *name = facts_device_key(m, part->device->def, TABLE_GFCI_APPLIANCES);
    if (name && part->circuit->breaker <=
                    code_cell_current(&m->code, COL_GFCI_APPLIANCES_AMPS, name, INFINITY))
        ask(s, article_cell(m, COL_GFCI_APPLIANCES_ARTICLE, name),
            strcmp(name, part->device->def->name)
                ? arena_printf(f->arena, "is a %s, on the edition's list in any place", name)
                : "is on the edition's list, in any place");
}

/* Whether what is wired in stands in a garage on the ground, or in a building for storage or work
 * that stands apart there. */
static bool stands_inside(const struct asking *f, const struct box *box)
{
    const struct room *room = box->room;
    struct use use = facts_use_of_box(box);
    if (!code_find_table(&f->m->code, LIST_GFCI_OUTDOOR_INSIDE) || !on_the_ground(f, room))
        return false;
    return facts_use_in_list(f->m, use, LIST_GFCI_OUTDOOR_INSIDE) ||
           (room->detached && facts_use_in_list(f->m, use, LIST_ACCESSORY_PLACES) &&
            !has_door_to_use(f, room, true));
}

/* The day to which the edition exempts a device outdoors; NULL: it does for good, "": it does not.
 */
static const char *exempt_until(struct asking *f, const struct device_def *def)
{
    struct code *code = &f->m->code;
    if (!facts_device_in_list(f->m, def, LIST_GFCI_OUTDOOR_EXEMPT))
        return "";
    const char *name = facts_device_key(f->m, def, TABLE_GFCI_OUTDOOR_EXEMPT_UNTIL);
    return name ? code_cell_date(code, COL_GFCI_OUTDOOR_EXEMPT_UNTIL_UNTIL, name) : NULL;
}

/* A plan of an earlier day keeps an exemption that has ended. */
static bool is_exempt(const struct model *m, const char *until)
{
    return !until || (m->dated && strcmp(m->dated, until) < 0);
}

/* Wired-in outlets outdoors, and lights of the spaces that the edition lists. */
static void ask_wired_in(struct asking *f, const struct part *part, struct protected_part *s)
{
    struct model *m = f->m;
    struct use use = facts_use_of_box(part->device->box);
    const struct table *outdoor = code_find_table(&m->code, TABLE_GFCI_OUTDOOR);
    const struct table *lights = code_find_table(&m->code, TABLE_GFCI_LIGHTING);
    bool fits = outdoor &&
                part->circuit->breaker <= code_current(&m->code, SET_GFCI_OUTDOOR_AMPS, INFINITY) &&
                m->volts <= code_voltage(&m->code, SET_GFCI_OUTDOOR_VOLTS_TO_GROUND, INFINITY);
    const char *until = fits ? exempt_until(f, part->device->def) : NULL;
    if (is_exempt(m, until))
        fits = false;
    if (fits && facts_use_in_list(m, use, LIST_WEATHER_PLACES)) {
        ask(s, outdoor->source, "is an outlet outdoors");
        s->exempt_until = *until && s->gfci_article == outdoor->source ? until : NULL;
    } else if (fits && s->known && !is_guarded(s->gfci) && stands_inside(f, part->device->box)) {
        *vec_push(f->arena, &f->p->wired_inside) = part;
    }
    for (uint32_t i = 0; lights && part->device->def->sort == SORT_LUMINAIRE &&
                         part->volts == m->volts && i < use.count;
         i++) {
        const char *kind = table_kind(lights, use.kinds[i]);
        if (kind)
            ask(s, article_cell(m, COL_GFCI_LIGHTING_ARTICLE, kind),
                arena_printf(f->arena, "lights a place of kind %s", kind));
    }
}

/* Whether a list of ratings has one of so many A. */
static bool lists_rating(const struct table *ratings, double amps)
{
    for (uint32_t i = 0; ratings && i < ratings->rows.n; i++)
        if (value_amount(&ratings->rows.at[i].cells[0], 0) == amps)
            return true;
    return false;
}

/* Outlets and, where the edition says so, switches, on a circuit of a listed rating. */
static bool asks_arc(struct asking *f, const struct part *part)
{
    struct model *m = f->m;
    const struct table *afci = code_table(&m->code, TABLE_AFCI);
    if (!afci || part->volts != m->volts ||
        part->volts > code_voltage(&m->code, SET_AFCI_VOLTS, INFINITY) ||
        part->circuit->breaker <= 0)
        return false;
    if (!facts_is_outlet(part) && !code_yes(&m->code, SET_AFCI_DEVICES_TOO))
        return false;
    return lists_rating(code_table(&m->code, LIST_AFCI_RATINGS), part->circuit->breaker) &&
           facts_use_in_list(m, facts_use_of_box(part->device->box), LIST_AFCI_PLACES);
}

static void find_asks(struct asking *f, const struct device *d)
{
    for (uint32_t k = 0; k < d->part_count; k++) {
        const struct part *part = &d->parts[k];
        struct protected_part *s = wiring_protection_of(f->p, part);
        if (!part->circuit || d->def->sort == SORT_LOW_VOLTAGE)
            continue;
        s->afci_asked = asks_arc(f, part);
        if (!facts_is_outlet(part))
            continue;
        if (facts_is_receptacle(part))
            ask_receptacle(f, part, s);
        else
            ask_wired_in(f, part, s);
        ask_by_name(f, part, s);
    }
}

/* --- receptacles for those who service equipment ------------------------------------------ */

/* Of the receptacles near one piece of equipment, while they are looked at. */
struct service {
    struct asking *f;
    const struct box *equipment;
    double within, best; /* feet */
    const struct part *nearest;
    bool served; /* one of them is protected, and may be the one that must be there */
};

static bool has_outlet(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->part_count && facts_is_receptacle(&b->devices[i]->parts[0]))
            return true;
    return false;
}

static void look_at_service(const struct box *b, void *data)
{
    struct service *v = data;
    struct model *m = v->f->m;
    double way = facts_spots_apart(facts_spot_of(b), facts_spot_of(v->equipment));
    if (b->room->level != v->equipment->room->level || way > v->within)
        return;
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device *d = b->devices[i];
        const struct part *part = d->part_count ? &d->parts[0] : NULL;
        if (!part || d->def->sort != SORT_RECEPTACLE || part->volts != m->volts || !part->circuit ||
            part->leg)
            continue;
        v->served |= is_guarded(wiring_protection_of(v->f->p, part)->gfci) ||
                     !wiring_protection_of(v->f->p, part)->known;
        if (v->nearest && way >= v->best)
            continue;
        v->nearest = part;
        v->best = way;
    }
}

/* The nearest is taken for the one that must be there, where none within reach is protected. */
static void ask_for_services(struct asking *f)
{
    struct model *m = f->m;
    const struct table *t = code_find_table(&m->code, TABLE_GFCI_SERVICE);
    length within = t ? code_length(&m->code, SET_HVAC_RECEPTACLE_WITHIN, 0) : 0;
    struct nearby near = {0};
    for (uint32_t i = 0; i < m->devices.n && within > 0; i++) {
        const struct box *b = m->devices.at[i]->box;
        struct service v = {.f = f, .equipment = b, .within = length_feet(within)};
        if (!facts_device_in_list(m, m->devices.at[i]->def, LIST_HVAC_EQUIPMENT) || b->existing ||
            !facts_known(b, ITS_TEXT | ITS_PLACE))
            continue;
        if (!near.side)
            nearby_make(f->arena, &near, m, within, has_outlet);
        struct point at = {b->place.at.x, b->place.at.y};
        nearby_each(&near, at, at, within, look_at_service, &v);
        if (v.nearest && !v.served)
            ask(wiring_protection_of(f->p, v.nearest), t->source,
                arena_printf(f->arena, "is the one within reach of those who service the %s in %s",
                             m->devices.at[i]->def->name, address_of_box(f->arena, b, true)));
    }
}

static length lowest_floor(const struct model *m)
{
    length low = INT64_MAX;
    for (uint32_t i = 0; i < m->levels.n; i++)
        low = m->levels.at[i]->floor < low ? m->levels.at[i]->floor : low;
    return low;
}

struct protected *protect(struct arena *arena, struct model *m, const struct routes *routes,
                          const struct wiring *wiring)
{
    struct protected *p = arena_new(arena, struct protected);
    p->rooms = rooms_find(arena, m);
    p->of_device = arena_array(arena, struct protected_part *, m->devices.n + 1);
    struct asking f = {.p = p, .m = m, .arena = arena, .lowest = lowest_floor(m)};
    wiring_find_guards(arena, p, m, routes, wiring);
    for (uint32_t i = 0; i < m->devices.n; i++)
        find_asks(&f, m->devices.at[i]);
    ask_for_services(&f);
    return p;
}

struct protected_part *wiring_protection_of(const struct protected *p, const struct part *part)
{
    return &p->of_device[part->device->id][part - part->device->parts];
}

const struct protected_part *wiring_protected_part(const struct protected *p,
                                                   const struct part *part)
{
    return wiring_protection_of(p, part);
}
