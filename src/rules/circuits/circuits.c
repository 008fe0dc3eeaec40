/* small-appliance-circuits, laundry-circuit, bath-circuit, garage-circuit, no-other-outlets:
 * circuits that a dwelling must have. */
#include "facts/devices.h"
#include "facts/families.h"
#include "facts/rooms.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/mends.h"
#include "rules/dwelling.h"
#include "wiring/protect.h"

#include <string.h>

RULE(small_appliance_circuits, "small-appliance-circuits", ERROR, WAIVABLE,
     "enough small-appliance circuits serve kitchen, pantry and dining room");
RULE(laundry_circuit, "laundry-circuit", ERROR, WAIVABLE, "a laundry circuit serves the laundry");
RULE(bath_circuit, "bath-circuit", ERROR, WAIVABLE,
     "a bathroom circuit serves the receptacles of the bathrooms");
RULE(garage_circuit, "garage-circuit", ERROR, WAIVABLE,
     "a garage circuit serves the receptacles of the garage");

/* The families, and the rule that asks for each. */
static const struct family *const kitchens = &facts_families[FAMILY_KITCHENS];
static const struct family *const baths = &facts_families[FAMILY_BATHS];
static const struct family *const laundries = &facts_families[FAMILY_LAUNDRIES];
static const struct family *const garages = &facts_families[FAMILY_GARAGES];

static const struct rule *rule_of(const struct family *family)
{
    return family == kitchens  ? &rule_small_appliance_circuits
           : family == baths   ? &rule_bath_circuit
           : family == garages ? &rule_garage_circuit
                               : &rule_laundry_circuit;
}

static bool belongs(const struct checked *c, const struct family *family, const struct box *box)
{
    return facts_family_has(c->model, c->protected->rooms, family, box);
}

static bool has_strangers(const struct checked *c, const struct family *family,
                          const struct circuit *circuit)
{
    return facts_has_strangers(c->model, c->protected->rooms, family,
                               (struct parts_of){circuit->parts.at, circuit->parts.n});
}

/* A breaker of the rating that the table asks; an unwritten one is in doubt and counts. */
static bool rated(const struct checked *c, const struct family *family,
                  const struct circuit *circuit)
{
    double rating = code_current(&c->model->code, family->rating, 0);
    return circuit->breaker <= 0 || !facts_known(circuit, ITS_TEXT | ITS_BREAKER) ||
           circuit->breaker == rating;
}

typedef VEC(struct circuit *) circuit_list;

/* The circuits that feed receptacles in rooms of the family, each once, in the order of the boxes.
 * False where nothing feeds one of them: it is said already, and they are not all known. */
static bool gather(const struct dwelling *d, const struct family *family, circuit_list *circuits)
{
    struct map seen = {0};
    bool all = true;
    for (uint32_t i = 0; i < d->rooms.n; i++) {
        const struct room *room = d->rooms.at[i];
        for (uint32_t k = 0;
             !room->existing && room_used_as(d->c->model, room, family->list) && k < room->boxes.n;
             k++)
            for (uint32_t n = 0; n < room->boxes.at[k]->device_count; n++)
                for (uint32_t x = 0; x < room->boxes.at[k]->devices[n]->part_count; x++) {
                    const struct part *part = &room->boxes.at[k]->devices[n]->parts[x];
                    if (!facts_is_plain_receptacle(d->c->model, part) ||
                        !belongs(d->c, family, room->boxes.at[k]))
                        continue;
                    all &= part->circuit != NULL;
                    if (!part->circuit || map_find(&seen, 0, part->circuit))
                        continue;
                    map_file(d->c->model->arena, &seen, 0, part->circuit, part->circuit);
                    *vec_push(d->c->model->arena, circuits) = part->circuit;
                }
    }
    return all;
}

static const struct room *room_of_family(const struct dwelling *d, const struct family *family)
{
    for (uint32_t i = 0; i < d->rooms.n; i++)
        if (!d->rooms.at[i]->existing && room_used_as(d->c->model, d->rooms.at[i], family->list) &&
            facts_known(d->rooms.at[i], ITS_BOXES))
            return d->rooms.at[i];
    return NULL;
}

/* --- kitchens ----------------------------------------------------------------------------- */

typedef bool counts_fn(const struct dwelling *d, const struct part *part,
                       const struct room *kitchen);

/* How many circuits a circuit counts for by the receptacles on it that `counts` accepts: a
 * multiwire one for each of its lines. */
static uint32_t worth(const struct dwelling *d, const struct circuit *circuit,
                      const struct room *kitchen, counts_fn *counts)
{
    bool line[2] = {false};
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (facts_is_plain_receptacle(d->c->model, part) && counts(d, part, kitchen))
            line[circuit->multiwire && part->pole == 'b'] = true;
    }
    return (uint32_t)line[0] + line[1];
}

static bool is_of_kitchens(const struct dwelling *d, const struct part *part,
                           const struct room *kitchen)
{
    (void)kitchen;
    return belongs(d->c, kitchens, part->device->box);
}

static bool is_at_counter(const struct dwelling *d, const struct part *part,
                          const struct room *kitchen)
{
    return part->device->box->room == kitchen &&
           facts_serves_counter(d->c->model, part->device->box);
}

static uint32_t counters_of(const struct dwelling *d, const struct room *kitchen)
{
    uint32_t n = 0;
    for (uint32_t k = 0; k < kitchen->boxes.n; k++)
        n += kitchen->boxes.at[k]->device_count &&
             facts_serves_counter(d->c->model, kitchen->boxes.at[k]);
    return n;
}

static void thin_circuit(const struct checked *c, const struct family *family,
                         const struct circuit *circuit)
{
    struct finding *f =
        circuit_finding(c, rule_of(family), circuit, rules_breaker_span(circuit),
                        "%s feeds receptacles of the %s with a %g A breaker",
                        rules_circuit_words(c, circuit), family->rooms, circuit->breaker);
    diag_mend(c->model->diag, f, "a breaker of %g A with conductors that suit it",
              code_current(&c->model->code, family->rating, 0));
    mends_breaker(c, f, circuit, code_current(&c->model->code, family->rating, 0));
}

/* One single receptacle and nothing else: it may be that of one appliance, on a circuit of its own.
 */
static bool is_individual(const struct checked *c, const struct circuit *circuit)
{
    const struct device *only = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct device *d = circuit->parts.at[i]->device;
        if (only && only != d)
            return false;
        only = d;
    }
    return only && only->def->outlets == 1 &&
           circuit->breaker >=
               code_current(&c->model->code, SET_SMALL_APPLIANCE_CIRCUITS_INDIVIDUAL, 0);
}

static bool is_among(const circuit_list *circuits, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuits->n; i++)
        if (circuits->at[i] == circuit)
            return true;
    return false;
}

/* A refrigerator on a thin circuit that others share and that feeds none of the receptacles. */
static void check_refrigerators(const struct dwelling *d, const struct room *room,
                                const circuit_list *circuits)
{
    for (uint32_t i = 0; i < room->boxes.n; i++)
        for (uint32_t k = 0; k < room->boxes.at[i]->device_count; k++) {
            const struct device *cold = room->boxes.at[i]->devices[k];
            const struct circuit *circuit = cold->part_count ? cold->parts[0].circuit : NULL;
            if (!circuit || circuit->existing ||
                !facts_device_in_list(d->c->model, cold->def, LIST_REFRIGERATION_DEVICES) ||
                !facts_family_may_have(d->c->model, kitchens, cold->box))
                continue;
            if (!rated(d->c, kitchens, circuit) && !is_individual(d->c, circuit) &&
                !is_among(circuits, circuit))
                thin_circuit(d->c, kitchens, circuit);
        }
}

/* The counters of each kitchen by several circuits, none of which serves the counters of another
 * kitchen. */
static bool check_counters(const struct dwelling *d, const struct room *kitchen,
                           const circuit_list *circuits)
{
    struct model *m = d->c->model;
    uint32_t by = (uint32_t)code_count(&m->code, SET_SMALL_APPLIANCE_CIRCUITS_COUNTER_BY, 0),
             serving = 0;
    for (uint32_t i = 0; i < circuits->n; i++)
        serving += worth(d, circuits->at[i], kitchen, is_at_counter);
    if (counters_of(d, kitchen) < by || serving >= by)
        return true;
    const char *words = arena_printf(
        m->arena, "all receptacles over the counters are on one circuit; %u are wanted", by);
    struct finding *f = room_finding(d->c, &rule_small_appliance_circuits, kitchen, "%s", words);
    diag_mend(m->diag, f, "let a second small-appliance circuit feed some of them");
    return false;
}

static void check_one_kitchen(const struct dwelling *d, const struct circuit *circuit)
{
    struct model *m = d->c->model;
    const struct room *first = NULL, *second = NULL;
    const char *article = code_cite(&m->code, SET_SMALL_APPLIANCE_CIRCUITS_ONE_KITCHEN);
    for (uint32_t i = 0; i < circuit->parts.n && !second; i++) {
        const struct box *box = circuit->parts.at[i]->device->box;
        const struct room *room = box->room;
        bool kitchen =
            room_used_as(m, room, LIST_SMALL_APPLIANCE_KITCHENS) && belongs(d->c, kitchens, box);
        if (!kitchen || !facts_is_plain_receptacle(d->c->model, circuit->parts.at[i]))
            continue;
        second = first && room != first ? room : NULL;
        first = first ? first : room;
    }
    if (!second || !article || circuit->existing)
        return;
    struct finding *f = circuit_finding(
        d->c, &rule_small_appliance_circuits, circuit, rules_circuit_span(circuit),
        "%s feeds receptacles of two kitchens, %s and %s", rules_circuit_words(d->c, circuit),
        address_of_room(m->arena, first, true), address_of_room(m->arena, second, true));
    rules_set_article(d->c, f, article);
    diag_mend(m->diag, f, "circuits of its own for each kitchen");
}

static bool is_kitchen(const struct dwelling *d, const struct room *room)
{
    return !room->existing && room_used_as(d->c->model, room, LIST_SMALL_APPLIANCE_KITCHENS) &&
           facts_known(room, ITS_BOXES | ITS_DEVICES);
}

BLIND_SPOT(open_kitchen, small_appliance_circuits, "what belongs to the kitchen in", "");

/* A kitchen and something else, not parted by areas: which receptacles are the kitchen's is not
 * said. */
static bool is_open_kitchen(const struct dwelling *d, const struct room *r)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < r->kind_count; i++)
        n += code_list_has_kind(&d->c->model->code, LIST_SMALL_APPLIANCE_PLACES, r->kinds[i]);
    return n && n < r->kind_count && !r->areas.n && r->boxes.n;
}

static void check_kitchens(const struct dwelling *d)
{
    struct model *m = d->c->model;
    const struct room *kitchen = NULL;
    for (uint32_t i = 0; i < d->rooms.n; i++)
        if (is_open_kitchen(d, d->rooms.at[i]))
            room_passed(d->c, open_kitchen, d->rooms.at[i]);
    for (uint32_t i = 0; i < d->rooms.n && !kitchen; i++)
        kitchen = is_kitchen(d, d->rooms.at[i]) ? d->rooms.at[i] : NULL;
    if (!kitchen)
        return;
    circuit_list circuits = {0};
    uint32_t good = 0,
             wanted = (uint32_t)code_count(&m->code, SET_SMALL_APPLIANCE_CIRCUITS_COUNT, 0);
    if (!gather(d, kitchens, &circuits))
        return;
    looked(d->c, small_appliance_circuits);
    for (uint32_t i = 0; i < circuits.n; i++)
        good += rated(d->c, kitchens, circuits.at[i])
                    ? worth(d, circuits.at[i], NULL, is_of_kitchens)
                    : 0;
    double rating = code_current(&m->code, SET_SMALL_APPLIANCE_CIRCUITS_RATING, 0);
    if (good < wanted) {
        struct finding *f =
            room_finding(d->c, &rule_small_appliance_circuits, kitchen,
                         "%u circuit%s of %g A serve%s the receptacles of kitchen, pantry and "
                         "dining room; %u are wanted",
                         good, good == 1 ? "" : "s", rating, good == 1 ? "s" : "", wanted);
        diag_mend(m->diag, f, "share the receptacles among %u circuits of %g A", wanted, rating);
        return;
    }
    bool enough = true;
    for (uint32_t i = 0; i < d->rooms.n; i++)
        if (is_kitchen(d, d->rooms.at[i]))
            enough &= check_counters(d, d->rooms.at[i], &circuits);
    for (uint32_t i = 0; i < circuits.n && enough; i++) {
        check_one_kitchen(d, circuits.at[i]);
        if (!rated(d->c, kitchens, circuits.at[i]) && !circuits.at[i]->existing &&
            !is_individual(d->c, circuits.at[i]))
            thin_circuit(d->c, kitchens, circuits.at[i]);
    }
    for (uint32_t i = 0; i < d->rooms.n && enough; i++)
        check_refrigerators(d, d->rooms.at[i], &circuits);
}

/* --- what else is on them ----------------------------------------------------------------- */

RULE(no_other_outlets, "no-other-outlets", ERROR, WAIVABLE,
     "a required circuit feeds nothing else");

static void tell_strangers(const struct checked *c, const struct family *family,
                           const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct device *last = NULL;
    struct finding *f = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        const struct device *d = part->device;
        if (d == last || !facts_is_stranger(m, c->protected->rooms, family, part))
            continue;
        last = d;
        if (!f)
            f = circuit_finding(c, &rule_no_other_outlets, circuit, rules_circuit_span(circuit),
                                "%s is for receptacles of the %s, but feeds the %s in %s%s too",
                                rules_circuit_words(c, circuit), family->rooms, d->def->name,
                                address_of_box(m->arena, d->box, true),
                                family == kitchens && facts_is_receptacle(part) && part->leg
                                    ? ", which a switch works,"
                                    : "");
        diag_note(m->diag, f, node_span(d->node), "%s in %s", d->def->name,
                  address_of_box(m->arena, d->box, true));
    }
    const char *article = code_cite(&m->code, family->alone);
    if (f && article)
        rules_set_article(c, f, article);
    diag_mend(m->diag, f, "feed it from another circuit");
}

/* --- laundry, baths, garage --------------------------------------------------------------- */

/* Every circuit of the family has the rating, or (not `every`) one of them at least. */
static void check_family(const struct dwelling *d, const struct family *family, bool every)
{
    const struct room *room = room_of_family(d, family);
    circuit_list circuits = {0};
    uint32_t good = 0;
    if (!room)
        return;
    gather(d, family, &circuits);
    for (uint32_t i = 0; i < circuits.n; i++)
        diag_looked(d->c->model->diag, rule_of(family));
    const struct circuit *thin = NULL;
    for (uint32_t i = 0; i < circuits.n; i++) {
        bool fits = rated(d->c, family, circuits.at[i]);
        good += fits;
        thin = !fits && !thin ? circuits.at[i] : thin;
    }
    if (thin && (every || !good) && !thin->existing)
        thin_circuit(d->c, family, thin);
}

/* The circuits of the rating that feed receptacles of a room, whatever they are for. */
static uint32_t rated_circuits_in(const struct checked *c, const struct family *family,
                                  const struct room *room, uint32_t *receptacles)
{
    struct map seen = {0};
    uint32_t n = 0;
    for (uint32_t i = 0; i < room->boxes.n; i++)
        for (uint32_t k = 0; k < room->boxes.at[i]->device_count; k++)
            for (uint32_t x = 0; x < room->boxes.at[i]->devices[k]->part_count; x++) {
                const struct part *part = &room->boxes.at[i]->devices[k]->parts[x];
                if (!facts_is_plain_receptacle(c->model, part) || !part->circuit)
                    continue;
                ++*receptacles;
                n += rated(c, family, part->circuit) && !map_find(&seen, 0, part->circuit);
                map_file(c->model->arena, &seen, 0, part->circuit, part->circuit);
            }
    return n;
}

/* A laundry that is another room too, and not parted by areas: one circuit for it, and one more for
 * each other use that wants its own. */
static void check_shared_laundry(const struct checked *c, const struct room *room)
{
    struct model *m = c->model;
    uint32_t receptacles = 0, wanted = facts_laundry_circuits(m, room),
             there = rated_circuits_in(c, laundries, room, &receptacles);
    if (wanted == 1 || !receptacles || there >= wanted || !facts_known(room, ITS_BOXES))
        return;
    const char *address = address_of_room(m->arena, room, true), *plural = there == 1 ? "" : "s",
               *verb = there == 1 ? "serves" : "serve";
    double rating = code_current(&m->code, SET_LAUNDRY_CIRCUIT_RATING, 0);
    const char *words =
        arena_printf(m->arena,
                     "%s is a laundry and more: %u circuit%s of %g A %s its receptacles; one for "
                     "the laundry and %u for the rest are wanted",
                     address, there, plural, rating, verb, wanted - 1);
    struct finding *f = room_finding(c, &rule_laundry_circuit, room, "%s", words);
    diag_mend(m->diag, f, "a circuit for the laundry alone");
}

static void check_laundry(const struct dwelling *d)
{
    check_family(d, laundries, false);
    for (uint32_t i = 0; i < d->rooms.n; i++) {
        const struct room *room = d->rooms.at[i];
        if (room->kind_count > 1 && !room->existing &&
            facts_use_in_list(d->c->model, facts_use_of_room(room), laundries->list))
            check_shared_laundry(d->c, room);
    }
}

BLIND_SPOT(undrawn_basin, bath_circuit, "which receptacle is the basin's in", "");

/* Where no basin is drawn in a bathroom and only those of basins are asked for, it is not known
 * which ones they are. */
static void check_baths(const struct dwelling *d)
{
    bool known = true,
         required = code_says(&d->c->model->code, SET_BATH_CIRCUIT_COVERS, "required");
    for (uint32_t i = 0; i < d->rooms.n && required; i++) {
        const struct room *room = d->rooms.at[i];
        if (room->existing || !room_used_as(d->c->model, room, baths->list) ||
            facts_has_basin(room))
            continue;
        known = false;
        room_passed(d->c, undrawn_basin, room);
    }
    check_family(d, baths, known);
}

/* Of the receptacles that must be there, one in each bay, how many are on circuits of the rating.
 */
static void check_bays(const struct checked *c, const struct room *room)
{
    length up_to = code_length(&c->model->code, SET_GARAGE_RECEPTACLE_UP_TO, 0);
    uint32_t wanted = room->bays ? room->bays : 1, good = 0, there = 0;
    struct circuit *thin = NULL;
    for (uint32_t i = 0; i < room->boxes.n; i++) {
        const struct box *box = room->boxes.at[i];
        const struct part *part = NULL;
        for (uint32_t k = 0; k < box->device_count && !part; k++)
            part = box->devices[k]->part_count &&
                           facts_is_plain_receptacle(c->model, &box->devices[k]->parts[0])
                       ? &box->devices[k]->parts[0]
                       : NULL;
        if (!part || !part->circuit || box->place.up > up_to || !belongs(c, garages, box))
            continue;
        there++;
        looked(c, garage_circuit);
        good += rated(c, garages, part->circuit);
        thin = thin || rated(c, garages, part->circuit) ? thin : part->circuit;
    }
    if (thin && good < (there < wanted ? there : wanted) && !thin->existing)
        thin_circuit(c, garages, thin);
}

/* 2017: all receptacles of the garage; later those that must be there, one in each bay. */
static void check_garage(const struct dwelling *d)
{
    if (code_says(&d->c->model->code, SET_GARAGE_CIRCUIT_COVERS, "all")) {
        check_family(d, garages, true);
        return;
    }
    for (uint32_t i = 0; i < d->rooms.n; i++)
        if (!d->rooms.at[i]->existing && room_used_as(d->c->model, d->rooms.at[i], garages->list) &&
            facts_known(d->rooms.at[i], ITS_BOXES))
            check_bays(d->c, d->rooms.at[i]);
}

CHECK(small_appliance_circuits, .dwelling = check_kitchens);

CHECK(laundry_circuit, .dwelling = check_laundry);

CHECK(bath_circuit, .dwelling = check_baths);

CHECK(garage_circuit, .dwelling = check_garage);

/* Kitchens and baths: every circuit that feeds their receptacles. Laundry and garage: one circuit
 * that is theirs alone is enough. */
static void check_others(const struct dwelling *d)
{
    static const struct family *const families[] = {kitchens, baths, laundries, garages};
    for (size_t i = 0; i < sizeof families / sizeof *families; i++) {
        const struct family *family = families[i];
        enum book_table list = family == kitchens ? LIST_SMALL_APPLIANCE_KITCHENS : family->list;
        bool there = false, alone = false;
        for (uint32_t k = 0; k < d->rooms.n && !there; k++)
            there = !d->rooms.at[k]->existing && room_used_as(d->c->model, d->rooms.at[k], list);
        circuit_list circuits = {0};
        if (there)
            gather(d, family, &circuits);
        for (uint32_t k = 0; k < circuits.n; k++)
            alone = alone || (rated(d->c, family, circuits.at[k]) &&
                              !has_strangers(d->c, family, circuits.at[k]));
        for (uint32_t k = 0; k < circuits.n; k++)
            looked(d->c, no_other_outlets);
        bool each = family == kitchens || family == baths;
        for (uint32_t k = 0; k < circuits.n && (each || !alone); k++)
            if (!circuits.at[k]->existing && has_strangers(d->c, family, circuits.at[k]))
                tell_strangers(d->c, family, circuits.at[k]);
    }
}

CHECK(no_other_outlets, .dwelling = check_others);
