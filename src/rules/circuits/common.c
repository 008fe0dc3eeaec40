/* common-area-circuit: what a circuit of a dwelling unit feeds outside that unit (NFPA 70 210.25).
 *
 * Rooms in no unit are common to all units, or the house that these stand beside: that is so where
 * one of them is habitable. A room with doors to one unit alone is that unit's. Outdoors the plan
 * does not tell whose a box is. */
#include "facts/rooms.h"
#include "model/site.h"
#include "rules/check.h"
#include "wiring/protect.h"

RULE(common_area_circuit, "common-area-circuit", ERROR, WAIVABLE,
     "a circuit of one unit feeds neither another unit nor what is common");

BLIND_SPOT(outdoor_of_units, common_area_circuit, "which unit the outlets outdoors are of in", "");

static bool is_habitable(const struct room *r)
{
    bool lived_in = false;
    for (uint32_t i = 0; i < r->kind_count; i++)
        lived_in |= r->kinds[i]->habitable;
    return lived_in;
}

/* Whether rooms in no unit are a dwelling of their own. */
static bool has_house(const struct checked *c)
{
    bool lived_in = false;
    for (uint32_t i = 0; i < c->dwellings[0].n; i++)
        lived_in |= is_habitable(c->dwellings[0].at[i]);
    return lived_in;
}

/* The one unit that all doors of a room in no unit lead to; NULL where there is none, or more. */
static const struct unit *unit_by_doors(const struct checked *c, const struct room *r)
{
    const doorway_list *doors = &c->protected->rooms->of_room[r->id];
    const struct unit *only = NULL;
    for (uint32_t i = 0; i < doors->n; i++) {
        const struct room *other = doors->at[i].other;
        if (!other)
            continue;
        if (!other->unit || (only && only != other->unit))
            return NULL;
        only = other->unit;
    }
    return only;
}

static uint32_t built_units(const struct model *m)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < m->units.n; i++)
        n += m->units.at[i]->built;
    return n;
}

/* What is wrong with a room as one that a circuit of `unit` feeds; NULL: nothing, or not told. */
static const char *fault_of(const struct checked *c, const struct unit *unit, const struct room *r)
{
    struct arena *a = c->model->arena;
    const struct unit *of = r->unit ? r->unit : unit_by_doors(c, r);
    if (of == unit)
        return NULL;
    if (of)
        return arena_printf(a, "of unit '%s'", of->name);
    return has_house(c) ? "of the house" : "common to the units";
}

static void say_fed(const struct checked *c, const struct circuit *circuit, const struct run *run,
                    const struct box *box, const char *fault)
{
    struct arena *a = c->model->arena;
    struct finding *f =
        circuit_finding(c, &rule_common_area_circuit, circuit, rules_circuit_span(circuit),
                        "%s begins at a panel of unit '%s' and feeds %s in %s, which is %s",
                        rules_circuit_words(c, circuit), circuit->panel->unit->name,
                        address_of_box(a, box, true), address_of_room(a, box->room, true), fault);
    diag_note(c->model->diag, f, run->to.box == box ? run->to_span : run->from_span,
              "it is fed here");
    diag_mend(c->model->diag, f,
              box->room->unit ? "a circuit of the panel of that unit"
                              : "a circuit of a panel that serves no unit, for what is common");
}

/* One finding a circuit: what is fed first. */
static void check_circuit(const struct checked *c, const struct circuit *circuit)
{
    const struct unit *unit = circuit->panel ? circuit->panel->unit : NULL;
    bool several = built_units(c->model) > 1;
    if (!unit || !unit->built || circuit->feeds || (!several && !has_house(c)))
        return;
    looked(c, common_area_circuit);
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        const struct box *ends[] = {run->from.box, run->to.box};
        for (int e = 0; e < 2; e++) {
            const struct box *box = ends[e];
            if (!box || (box->existing && run->existing) || box->room->unit == unit)
                continue;
            if (!box->room->unit && room_used_as(c->model, box->room, LIST_WEATHER_PLACES)) {
                room_passed(c, outdoor_of_units, box->room);
                continue;
            }
            const char *fault = fault_of(c, unit, box->room);
            if (fault) {
                say_fed(c, circuit, run, box, fault);
                return;
            }
        }
    }
}
CHECK(common_area_circuit, .circuit = {check_circuit, ITS_TEXT | ITS_FEED});
