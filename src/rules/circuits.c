/* small-appliance-circuits, laundry-circuit, bath-circuit, garage-circuit, no-other-outlets: circuits that a dwelling must have. */
#include "rules/dwelling.h"

#include <string.h>

/* One sort of required circuit, by the table that asks it and the rooms it serves. */
struct family {
    enum rule_id rule;
    const char *table, *list;    /* of rooms */
    const char *rooms;           /* what they are, in words */
};

static const struct family kitchens = {R_SMALL_APPLIANCE, "small-appliance-circuits", "small-appliance-places", "kitchen, pantry and dining room"};
static const struct family laundries = {R_LAUNDRY_CIRCUIT, "laundry-circuit", "laundry-places", "laundry"};
static const struct family baths = {R_BATH_CIRCUIT, "bath-circuit", "bath-circuit-places", "bathrooms"};
static const struct family garages = {R_GARAGE_CIRCUIT, "garage-circuit", "garage-circuit-places", "garage"};

/* A dwelling while its circuits are counted: the plan itself, or one unit. */
struct dwelling {
    const struct checked *c;
    const struct unit *unit;
    VEC(const struct room *) rooms;
};

/* A receptacle that anyone may plug into, of 120 V, always live: not one that lights a room by its switch, nor an appliance's own. */
static bool is_plain_receptacle(const struct checked *c, const struct part *part)
{
    return part->device->def->sort == SORT_RECEPTACLE && part->volts == c->model->volts && !part->leg;
}

/* Whether all kinds of the place are of the list, or it serves a counter in a room with one of them: in a room of several uses the rest is not certain. */
static bool belongs(const struct checked *c, const struct family *family, const struct box *box)
{
    struct use use = use_of_box(box);
    uint8_t n = 0;
    for (uint8_t i = 0; i < use.count; i++)
        n += code_list_has(&c->model->code, family->list, use.kinds[i]->name);
    return n && (n == use.count || serves_counter(c->model, box));
}

static bool may_belong(const struct checked *c, const struct family *family, const struct box *box)
{
    return use_in_list(c->model, use_of_box(box), family->list);
}

/* A breaker of the rating that the table asks; an unwritten one is in doubt and counts. */
static bool rated(const struct checked *c, const struct family *family, const struct circuit *circuit)
{
    double rating = code_setting(&c->model->code, family->table, "rating", 0);
    return circuit->breaker <= 0 || circuit->broken || node_broken(circuit->breaker_node) || circuit->breaker == rating;
}

static struct finding *room_finding(const struct checked *c, enum rule_id rule, const struct room *room, const char *message)
{
    return model_finding(c->model, rule, node_name_span(room->node), room->unit, room_address(c->model->arena, room, false), "%s", message);
}

/* The circuits that feed receptacles in rooms of the family, each once, in the order of the boxes. */
typedef VEC(struct circuit *) circuit_list;

static void gather(const struct dwelling *d, const struct family *family, circuit_list *circuits, uint32_t *receptacles)
{
    struct map seen = {0};
    for (uint32_t i = 0; i < d->rooms.n; i++) {
        const struct room *room = d->rooms.at[i];
        for (uint32_t k = 0; room_used_as(d->c->model, room, family->list) && k < room->boxes.n; k++)
            for (uint32_t n = 0; n < room->boxes.at[k]->device_count; n++)
                for (uint32_t x = 0; x < room->boxes.at[k]->devices[n]->part_count; x++) {
                    const struct part *part = &room->boxes.at[k]->devices[n]->parts[x];
                    if (!is_plain_receptacle(d->c, part) || !belongs(d->c, family, room->boxes.at[k]))
                        continue;
                    ++*receptacles;
                    if (!part->circuit || map_find(&seen, 0, part->circuit))
                        continue;
                    map_file(d->c->model->arena, &seen, 0, part->circuit, part->circuit);
                    *vec_push(d->c->model->arena, circuits) = part->circuit;
                }
    }
}

static const struct room *room_of_family(const struct dwelling *d, const struct family *family)
{
    for (uint32_t i = 0; i < d->rooms.n; i++)
        if (room_used_as(d->c->model, d->rooms.at[i], family->list) && !d->rooms.at[i]->doubtful)
            return d->rooms.at[i];
    return NULL;
}

/* --- kitchens ------------------------------------------------------------------------------------------------------ */

/* Circuits that feed receptacles over counters. */
static uint32_t counter_circuits(const struct dwelling *d, const circuit_list *circuits)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < circuits->n; i++) {
        bool serves_one = false;
        for (uint32_t k = 0; k < circuits->at[i]->parts.n && !serves_one; k++) {
            const struct part *part = circuits->at[i]->parts.at[k];
            serves_one = is_plain_receptacle(d->c, part) && may_belong(d->c, &kitchens, part->device->box) && serves_counter(d->c->model, part->device->box);
        }
        n += serves_one ? circuits->at[i]->multiwire ? 2 : 1 : 0;
    }
    return n;
}

static uint32_t counters_of(const struct dwelling *d)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < d->rooms.n; i++)
        for (uint32_t k = 0; room_used_as(d->c->model, d->rooms.at[i], kitchens.list) && k < d->rooms.at[i]->boxes.n; k++)
            n += d->rooms.at[i]->boxes.at[k]->device_count && serves_counter(d->c->model, d->rooms.at[i]->boxes.at[k]);
    return n;
}

static void thin_circuit(const struct checked *c, const struct family *family, const struct circuit *circuit)
{
    struct finding *f = circuit_finding(c, family->rule, circuit, breaker_span(circuit), "%s feeds receptacles of the %s with a %g A breaker", circuit_words(c, circuit),
                                        family->rooms, circuit->breaker);
    diag_mend(c->model->diag, f, "a breaker of %g A with conductors that suit it", code_setting(&c->model->code, family->table, "rating", 0));
}

static void check_kitchens(const struct dwelling *d)
{
    struct model *m = d->c->model;
    const struct room *kitchen = NULL;
    for (uint32_t i = 0; i < d->rooms.n && !kitchen; i++)
        kitchen = room_used_as(m, d->rooms.at[i], "small-appliance-kitchens") && !d->rooms.at[i]->doubtful ? d->rooms.at[i] : NULL;
    if (!kitchen)
        return;
    circuit_list circuits = {0};
    uint32_t receptacles = 0, good = 0, wanted = (uint32_t)code_setting(&m->code, kitchens.table, "count", 0);
    uint32_t by = (uint32_t)code_setting(&m->code, kitchens.table, "counter-by", 0);
    gather(d, &kitchens, &circuits, &receptacles);
    for (uint32_t i = 0; i < circuits.n; i++)
        good += rated(d->c, &kitchens, circuits.at[i]) ? circuits.at[i]->multiwire ? 2 : 1 : 0;
    double rating = code_setting(&m->code, kitchens.table, "rating", 0);
    if (good < wanted) {
        struct finding *f = room_finding(d->c, R_SMALL_APPLIANCE, kitchen,
                                         arena_printf(m->arena, "%u circuit%s of %g A serve%s the receptacles of kitchen, pantry and dining room; %u are wanted", good,
                                                      good == 1 ? "" : "s", rating, good == 1 ? "s" : "", wanted));
        diag_mend(m->diag, f, "share the receptacles among %u circuits of %g A", wanted, rating);
        return;
    }
    uint32_t counters = counters_of(d);
    if (counters >= by && counter_circuits(d, &circuits) < by) {
        struct finding *f = room_finding(d->c, R_SMALL_APPLIANCE, kitchen, arena_printf(m->arena, "all receptacles over the counters are on one circuit; %u are wanted", by));
        diag_mend(m->diag, f, "let a second small-appliance circuit feed some of them");
        return;
    }
    for (uint32_t i = 0; i < circuits.n; i++)
        if (!rated(d->c, &kitchens, circuits.at[i]) && !circuits.at[i]->existing)
            thin_circuit(d->c, &kitchens, circuits.at[i]);
}

/* --- what else is on them ----------------------------------------------------------------------------------------------- */

/* Whether a part is no business of a circuit of the family. A switch takes nothing, and its load is looked at by itself. */
static bool is_stranger(const struct checked *c, const struct family *family, const struct part *part)
{
    const struct box *box = part->device->box;
    if (!is_outlet(part) || part->device->existing)
        return false;
    if (is_receptacle(part) && may_belong(c, family, box))
        return false;
    if (family == &garages)
        return !may_belong(c, family, box) && !use_in_list(c->model, use_of_box(box), "weather-places");
    return true;
}

/* All of a circuit's outlets stand in one room: a bathroom's circuit may then serve the rest of it. */
static bool one_room(const struct circuit *circuit)
{
    const struct room *room = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct room *other = circuit->parts.at[i]->device->box->room;
        if (room && room != other)
            return false;
        room = other;
    }
    return true;
}

static bool has_strangers(const struct checked *c, const struct family *family, const struct circuit *circuit)
{
    bool alone = family == &baths && one_room(circuit);
    for (uint32_t i = 0; i < circuit->parts.n && !alone; i++)
        if (is_stranger(c, family, circuit->parts.at[i]))
            return true;
    return false;
}

static void tell_strangers(const struct checked *c, const struct family *family, const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct device *last = NULL;
    struct finding *f = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct device *d = circuit->parts.at[i]->device;
        if (d == last || !is_stranger(c, family, circuit->parts.at[i]))
            continue;
        last = d;
        if (!f)
            f = circuit_finding(c, R_NO_OTHER_OUTLETS, circuit, circuit_span(circuit), "%s is for receptacles of the %s, but feeds the %s in %s too",
                                circuit_words(c, circuit), family->rooms, d->def->name, box_address(m->arena, d->box, true));
        diag_note(m->diag, f, node_span(d->node), "%s in %s", d->def->name, box_address(m->arena, d->box, true));
    }
    const struct value *v = code_find_table(&m->code, family->table) ? table_setting(&m->code, code_find_table(&m->code, family->table), "alone") : NULL;
    if (f && v && v->kind == V_TEXT)
        set_article(c, f, v->name);
    diag_mend(m->diag, f, "feed it from another circuit");
}

/* --- laundry, baths, garage ------------------------------------------------------------------------------------------------ */

static void check_family(const struct dwelling *d, const struct family *family, bool every)
{
    const struct room *room = room_of_family(d, family);
    circuit_list circuits = {0};
    uint32_t receptacles = 0, good = 0;
    if (!room)
        return;
    gather(d, family, &circuits, &receptacles);
    const struct circuit *thin = NULL;
    for (uint32_t i = 0; i < circuits.n; i++) {
        bool fits = rated(d->c, family, circuits.at[i]);
        good += fits;
        thin = !fits && !thin ? circuits.at[i] : thin;
    }
    if (thin && (every || !good) && !thin->existing)
        thin_circuit(d->c, family, thin);
}

static bool word_is(const struct checked *c, const char *table, const char *setting, const char *word)
{
    const char *found = code_word(&c->model->code, table, setting);
    return found && !strcmp(found, word);
}

/* Each dwelling by itself: rooms of one unit, or of the plan outside all units. */
static void each_dwelling(const struct checked *c, void (*check)(const struct dwelling *d))
{
    const struct model *m = c->model;
    struct dwelling *all = arena_array(m->arena, struct dwelling, m->units.n + 1);
    for (uint32_t i = 0; i <= m->units.n; i++)
        all[i] = (struct dwelling){.c = c, .unit = i ? m->units.at[i - 1] : NULL};
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        struct dwelling *d = &all[m->rooms.at[i]->unit ? m->rooms.at[i]->unit->id + 1 : 0];
        *vec_push(m->arena, &d->rooms) = m->rooms.at[i];
    }
    for (uint32_t i = 0; i <= m->units.n; i++)
        check(&all[i]);
}

static void check_laundry(const struct dwelling *d)
{
    check_family(d, &laundries, false);
}

static void check_baths(const struct dwelling *d)
{
    check_family(d, &baths, true);
}

/* 2017: all receptacles of the garage; later those that must be there, so that one circuit of the rating is enough. */
static void check_garage(const struct dwelling *d)
{
    check_family(d, &garages, word_is(d->c, "garage-circuit", "covers", "all"));
}

void check_small_appliance_circuits(const struct checked *c)
{
    each_dwelling(c, check_kitchens);
}

void check_laundry_circuit(const struct checked *c)
{
    each_dwelling(c, check_laundry);
}

void check_bath_circuit(const struct checked *c)
{
    each_dwelling(c, check_baths);
}

void check_garage_circuit(const struct checked *c)
{
    each_dwelling(c, check_garage);
}

/* Kitchens and baths: every circuit that feeds their receptacles. Laundry and garage: one circuit that is theirs alone is enough. */
static void check_others(const struct dwelling *d)
{
    static const struct family *const families[] = {&kitchens, &baths, &laundries, &garages};
    for (size_t i = 0; i < sizeof families / sizeof *families; i++) {
        const struct family *family = families[i];
        const char *list = family == &kitchens ? "small-appliance-kitchens" : family->list;
        bool there = false, alone = false;
        for (uint32_t k = 0; k < d->rooms.n && !there; k++)
            there = room_used_as(d->c->model, d->rooms.at[k], list);
        circuit_list circuits = {0};
        uint32_t receptacles = 0;
        if (there)
            gather(d, family, &circuits, &receptacles);
        for (uint32_t k = 0; k < circuits.n; k++)
            alone = alone || (rated(d->c, family, circuits.at[k]) && !has_strangers(d->c, family, circuits.at[k]));
        bool each = family == &kitchens || family == &baths;
        for (uint32_t k = 0; k < circuits.n && (each || !alone); k++)
            if (!circuits.at[k]->existing && has_strangers(d->c, family, circuits.at[k]))
                tell_strangers(d->c, family, circuits.at[k]);
    }
}

void check_no_other_outlets(const struct checked *c)
{
    each_dwelling(c, check_others);
}
