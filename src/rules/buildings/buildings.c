/* run-between-buildings, building-supply, building-disconnect, building-electrode,
 * building-receptacle: what stands apart from the house (NFPA 70 225, 250.32, 210.52(G)).
 *
 * Rooms outdoors belong to no building: a cable to a box in the yard leaves the house, and where it
 * goes on from there is not told by the plan. */
#include "facts/devices.h"
#include "facts/places.h"
#include "facts/rooms.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/mends.h"
#include "rules/placing.h"
#include "wiring/wiring.h"

static bool is_outdoors(const struct checked *c, const struct room *r)
{
    return room_used_as(c->model, r, LIST_WEATHER_PLACES);
}

/* "building 'barn'", "the building of room 'garage'", "the house". */
static const char *building_words(const struct checked *c, const struct building *b)
{
    if (!b)
        return "the house";
    return b->node ? arena_printf(c->model->arena, "building '%s'", b->name)
                   : arena_printf(c->model->arena, "the building of %s",
                                  placing_room_words(c, b->rooms.at[0]));
}

/* --- run-between-buildings ---------------------------------------------------------------- */

RULE(run_between_buildings, "run-between-buildings", ERROR, WAIVABLE,
     "a run from one building to another lies underground or is strung overhead");

/* Through the air, in a cable that may be there. */
static void mend_strung(const struct checked *c, struct finding *f, const struct run *run)
{
    struct run strung = *run;
    const struct cable_def *cable = c->wiring->of_run[run->id].cable;
    strung.strung = true;
    cable = cable && !run->raceway ? facts_suited_cable(c->model, &strung, cable) : NULL;
    if (cable && !run->own_cable)
        model_mend_run(c->model, f, run, F_STRUNG,
                       arena_printf(c->model->arena, "overhead cable %s", cable->name));
}

static void check_between(const struct checked *c, const struct run *run)
{
    const struct room *from = facts_room_of_end(run->from), *to = facts_room_of_end(run->to);
    if (!from || !to || from->building == to->building || is_outdoors(c, from) ||
        is_outdoors(c, to))
        return;
    looked(c, run_between_buildings);
    if (run->underground || run->strung)
        return;
    struct finding *f =
        run_finding(c, &rule_run_between_buildings, run, run->from_span,
                    "run %s goes from %s to %s, and says neither 'underground' nor 'overhead'",
                    address_of_run(c->model->arena, run, true), building_words(c, from->building),
                    building_words(c, to->building));
    diag_mend(c->model->diag, f,
              "'underground' and how deep, with a cable that may lie there, or 'overhead'");
    mend_strung(c, f, run);
}
CHECK(run_between_buildings, .run = {check_between, ITS_TEXT, NEW_WORK});

/* --- supplies ----------------------------------------------------------------------------- */

/* What brings power into a building from elsewhere. */
struct supplies {
    const struct circuit *first, *second;
    bool any_new; /* else all of it is there already, and is left alone */
};

/* Its panel stands elsewhere: what feeds outdoor boxes from a panel of the building is none. */
static bool brings_power(const struct circuit *circuit, const struct building *b)
{
    return circuit->panel && circuit->panel->room && circuit->panel->room->building != b;
}

/* The supplies of all buildings, by id: each run is looked at once. */
static struct supplies *find_supplies(const struct checked *c)
{
    const struct model *m = c->model;
    struct supplies *of = arena_array(m->arena, struct supplies, m->buildings.n + 1);
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *circuit = m->circuits.at[i];
        for (uint32_t k = 0; k < circuit->runs.n; k++) {
            const struct end ends[] = {circuit->runs.at[k]->from, circuit->runs.at[k]->to};
            for (int e = 0; e < 2; e++) {
                const struct room *r = facts_room_of_end(ends[e]);
                struct supplies *s = r && r->building ? &of[r->building->id] : NULL;
                if (!s || s->first == circuit || s->second == circuit ||
                    !brings_power(circuit, r->building))
                    continue;
                s->any_new |= !circuit->existing;
                if (!s->first)
                    s->first = circuit;
                else if (!s->second)
                    s->second = circuit;
            }
        }
    }
    return of;
}

typedef void building_fn(const struct checked *c, const struct building *b,
                         const struct supplies *s);

static void each_supplied(const struct checked *c, building_fn *check)
{
    const struct supplies *of = find_supplies(c);
    for (uint32_t i = 0; i < c->model->buildings.n; i++) {
        const struct building *b = c->model->buildings.at[i];
        if (!b->in_doubt && b->rooms.n && of[i].first && of[i].any_new &&
            facts_known(of[i].first, ITS_TEXT))
            check(c, b, &of[i]);
    }
}

/* At the building's statement, or at the room that stands apart. */
static struct finding *building_finding(const struct checked *c, const struct rule *rule,
                                        const struct building *b, const char *words)
{
    const struct room *r = b->rooms.at[0];
    return model_finding(c->model, rule, node_name_span(b->node ? b->node : r->node),
                         b->node ? NULL : r->unit,
                         b->node ? arena_printf(c->model->arena, "building %s", b->name)
                                 : address_of_room(c->model->arena, r, false),
                         "%s", words);
}

/* --- building-supply ---------------------------------------------------------------------- */

RULE(building_supply, "building-supply", ERROR, WAIVABLE,
     "one feeder or branch circuit supplies a building");

static void check_supply(const struct checked *c, const struct building *b,
                         const struct supplies *s)
{
    looked(c, building_supply);
    if (!s->second || !code_yes(&c->model->code, SET_BUILDINGS_ONE_SUPPLY))
        return;
    struct finding *f = building_finding(
        c, &rule_building_supply, b,
        arena_printf(c->model->arena, "%s is supplied by %s and by %s; one supplies a building",
                     building_words(c, b), rules_circuit_words(c, s->first),
                     rules_circuit_words(c, s->second)));
    diag_note(c->model->diag, f, rules_circuit_span(s->second), "the second");
    diag_mend(c->model->diag, f, "one multiwire circuit, or a feeder and a panel there");
}

static void check_supplies(const struct checked *c)
{
    each_supplied(c, check_supply);
}
CHECK(building_supply, .plan = check_supplies);

/* --- building-disconnect ------------------------------------------------------------------ */

RULE(building_disconnect, "building-disconnect", ERROR, WAIVABLE,
     "the supply of a building can be switched off there");

/* Whether a box has something that takes the supply off: a disconnect, or for a small branch
 * circuit a snap switch. */
static bool switches_off(const struct checked *c, const struct box *box, bool snap)
{
    for (uint32_t i = 0; i < box->device_count; i++)
        if (facts_device_in_list(c->model, box->devices[i]->def, LIST_DISCONNECT_DEVICES) ||
            (snap && box->devices[i]->def->sort == SORT_CONTROL))
            return true;
    return false;
}

/* A panel with a main, or a disconnect on the supply; a snap switch where the building names it. */
static bool has_disconnect(const struct checked *c, const struct building *b,
                           const struct circuit *supply)
{
    double up_to = code_current(&c->model->code, SET_BUILDINGS_SNAP_SWITCH_UP_TO, 0);
    if (supply->feeds && supply->feeds->room && supply->feeds->room->building == b &&
        supply->feeds->main > 0)
        return true;
    if (b->disconnect)
        return switches_off(c, b->disconnect, !supply->feeds && supply->breaker <= up_to);
    for (uint32_t i = 0; i < b->rooms.n; i++)
        for (uint32_t k = 0; k < b->rooms.at[i]->boxes.n; k++)
            if (switches_off(c, b->rooms.at[i]->boxes.at[k], false))
                return true;
    return false;
}

/* Whether all that stands in a building could be read: a disconnect may be among the rest. */
static bool is_read(const struct building *b)
{
    for (uint32_t i = 0; i < b->rooms.n; i++)
        if (!facts_known(b->rooms.at[i], ITS_TEXT | ITS_BOXES | ITS_DEVICES))
            return false;
    return !b->disconnect || facts_known(b->disconnect, ITS_TEXT);
}

static void check_disconnect(const struct checked *c, const struct building *b,
                             const struct supplies *s)
{
    if (!is_read(b))
        return;
    looked(c, building_disconnect);
    if (has_disconnect(c, b, s->first))
        return;
    struct finding *f = building_finding(
        c, &rule_building_disconnect, b,
        s->first->feeds
            ? arena_printf(c->model->arena,
                           "%s is supplied by %s, and nothing there takes it off: its panel has "
                           "lugs only",
                           building_words(c, b), rules_circuit_words(c, s->first))
            : arena_printf(c->model->arena,
                           "%s is supplied by %s, and the plan names nothing there that takes it "
                           "off",
                           building_words(c, b), rules_circuit_words(c, s->first)));
    diag_mend(c->model->diag, f,
              s->first->feeds ? "'main' on its panel, or a box with a 'disconnect'"
                              : "a box with a 'disconnect' where the cable comes in, or the box of "
                                "its switch named: 'building NAME { rooms ...; disconnect BOX }'");
}

static void check_disconnects(const struct checked *c)
{
    each_supplied(c, check_disconnect);
}
CHECK(building_disconnect, .plan = check_disconnects);

/* --- building-electrode ------------------------------------------------------------------- */

RULE(building_electrode, "building-electrode", WARNING, WAIVABLE,
     "a building that a feeder supplies has a grounding electrode");

static void check_electrode(const struct checked *c, const struct building *b,
                            const struct supplies *s)
{
    if (!s->first->feeds)
        return;
    looked(c, building_electrode);
    if (b->electrode)
        return;
    struct finding *f = building_finding(
        c, &rule_building_electrode, b,
        arena_printf(c->model->arena,
                     "%s is supplied by %s, and no grounding electrode is said to be there",
                     building_words(c, b), rules_circuit_words(c, s->first)));
    diag_mend(c->model->diag, f, "%s",
              b->node ? "'electrode' in it" : "'building NAME { rooms ...; electrode }'");
    if (b->node)
        edit_clause(rules_way(c, f, false, "'electrode' in it"), b->node, F_ELECTRODE, "electrode");
}

static void check_electrodes(const struct checked *c)
{
    each_supplied(c, check_electrode);
}
CHECK(building_electrode, .plan = check_electrodes);

/* --- building-receptacle ------------------------------------------------------------------ */

RULE(building_receptacle, "building-receptacle", ERROR, WAIVABLE,
     "an accessory building with power has a receptacle");

static void check_receptacle(const struct checked *c, const struct building *b,
                             const struct supplies *s)
{
    bool accessory = false, there = false;
    (void)s;
    for (uint32_t i = 0; i < b->rooms.n; i++) {
        const struct room *r = b->rooms.at[i];
        accessory |= room_used_as(c->model, r, LIST_ACCESSORY_PLACES);
        if (!facts_known(r, ITS_TEXT | ITS_BOXES | ITS_DEVICES | ITS_KINDS))
            return;
        for (uint32_t k = 0; k < r->boxes.n; k++)
            there |= placing_box_has_receptacle(r->boxes.at[k]);
    }
    double count = code_count(&c->model->code, SET_BUILDINGS_RECEPTACLES, 0);
    if (!accessory || count <= 0)
        return;
    looked(c, building_receptacle);
    if (there)
        return;
    struct finding *f = building_finding(
        c, &rule_building_receptacle, b,
        arena_printf(c->model->arena, "%s has power and no receptacle", building_words(c, b)));
    diag_mend(c->model->diag, f, "a receptacle in it");
}

static void check_receptacles(const struct checked *c)
{
    each_supplied(c, check_receptacle);
}
CHECK(building_receptacle, .plan = check_receptacles);
