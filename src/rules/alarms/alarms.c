/* smoke-alarm, carbon-monoxide-alarm, alarm-interconnect, alarm-switched, alarm-too-near */
#include "facts/devices.h"
#include "facts/rooms.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/alarms/alarms.h"
#include "rules/mends.h"
#include "rules/geometry/openings.h"
#include "rules/dwelling.h"
#include "wiring/protect.h"

#include <string.h>

/* A dwelling where somebody sleeps: alarms are asked of no other. */
struct home {
    const struct checked *c;
    const struct dwelling *all;
    VEC(const struct device *) smoke, monoxide;
    VEC(const struct room *) bedrooms;
    VEC(const struct stairs *) stairs;
    struct map in_doubt; /* storeys where something could not be read: an alarm may be among it */
    bool unplaced;       /* the level of some room could not be read: it may be of any storey */
    bool burns;          /* something burns fuel in it, or a garage joins it with a door */
};

/* A garage with a door to a room of the house. */
static bool joins_house(const struct checked *c, const struct room *garage)
{
    const doorway_list *doors = &c->protected->rooms->of_room[garage->id];
    if (garage->detached || !room_used_as(c->model, garage, LIST_CARBON_MONOXIDE_GARAGES))
        return false;
    for (uint32_t i = 0; i < doors->n; i++) {
        const struct room *other = doors->at[i].other;
        if (other && !room_used_as(c->model, other, LIST_WEATHER_PLACES) &&
            !room_used_as(c->model, other, LIST_CARBON_MONOXIDE_GARAGES))
            return true;
    }
    return false;
}

static void add_devices(struct home *d, const struct room *room)
{
    struct arena *arena = d->c->model->arena;
    for (uint32_t i = 0; i < room->boxes.n; i++)
        for (uint32_t k = 0; k < room->boxes.at[i]->device_count; k++) {
            const struct device *device = room->boxes.at[i]->devices[k];
            if (device->def->sort == SORT_ALARM &&
                facts_device_in_list(d->c->model, device->def, LIST_SMOKE_ALARM_DEVICES))
                *vec_push(arena, &d->smoke) = device;
            if (device->def->sort == SORT_ALARM &&
                facts_device_in_list(d->c->model, device->def, LIST_CARBON_MONOXIDE_DEVICES))
                *vec_push(arena, &d->monoxide) = device;
            d->burns |= device->fuel_fired &&
                        code_yes(&d->c->model->code, SET_CARBON_MONOXIDE_ALARMS_FUEL_BURNING);
        }
}

static void add_room(struct home *h, const struct room *room)
{
    struct arena *arena = h->c->model->arena;
    if (room_sleeps(room) && !room->existing)
        *vec_push(arena, &h->bedrooms) = room;
    h->burns |= joins_house(h->c, room) &&
                code_yes(&h->c->model->code, SET_CARBON_MONOXIDE_ALARMS_ATTACHED_GARAGE);
    for (uint32_t k = 0; k < room->stairs.n; k++)
        *vec_push(arena, &h->stairs) = &room->stairs.at[k];
    if (!facts_known(room, ITS_BOXES | ITS_DEVICES))
        map_file(arena, &h->in_doubt, 0, room->level, h);
    h->unplaced |= !facts_known(room, ITS_LEVEL);
    add_devices(h, room);
}

/* False where nobody sleeps. */
static bool home_of(const struct dwelling *d, struct home *h)
{
    *h = (struct home){.c = d->c, .all = d};
    for (uint32_t i = 0; i < d->rooms.n && d->c->model->code.residential; i++)
        add_room(h, d->rooms.at[i]);
    return h->bedrooms.n > 0;
}

/* --- where they must be ------------------------------------------------------------------- */

static bool asked(const struct checked *c, const struct word_column *where, const char *place)
{
    return code_cell_word(&c->model->code, where, code_key(&c->model->code, place));
}

/* Someone sleeps in this part of the room: an area to sleep in is asked for its own, a room that is
 * a bedroom for all of it. */
static bool in_sleeping_place(const struct box *box)
{
    struct use use = facts_use_of_box(box);
    for (uint32_t i = 0; i < use.count; i++)
        if (use.kinds[i]->sleeping)
            return true;
    return false;
}

/* The nearest way out of a bedroom to a spot: from its doors where the plan says where they lead,
 * else from its middle. */
static double from_bedroom(const struct checked *c, const struct room *bedroom, struct plan_spot p)
{
    const doorway_list *doors = &c->protected->rooms->of_room[bedroom->id];
    struct plan_spot middle = {(length_feet(bedroom->low.x) + length_feet(bedroom->high.x)) / 2,
                               (length_feet(bedroom->low.y) + length_feet(bedroom->high.y)) / 2};
    double best = doors->n ? 1e9 : facts_spots_apart(p, middle);
    for (uint32_t i = 0; i < doors->n; i++) {
        double way = facts_spot_to_line(p, doors->at[i].left, doors->at[i].right);
        best = way < best ? way : best;
    }
    return best;
}

static bool has_alarm_in(const struct home *d, const struct room *room, bool smoke)
{
    uint32_t n = smoke ? d->smoke.n : d->monoxide.n;
    for (uint32_t i = 0; i < n; i++) {
        const struct device *alarm = smoke ? d->smoke.at[i] : d->monoxide.at[i];
        if (alarm->box->room == room && in_sleeping_place(alarm->box))
            return true;
    }
    return false;
}

/* A stair joins the two rooms. */
static bool joined_by_stairs(const struct home *d, const struct room *a, const struct room *b)
{
    for (uint32_t i = 0; i < d->stairs.n; i++) {
        const struct stairs *s = d->stairs.at[i];
        if ((s->from == a && s->to == b) || (s->from == b && s->to == a))
            return true;
    }
    return false;
}

/* A place to sleep in that has other uses too: what is before the bed is in it. */
static bool has_other_use(const struct box *box)
{
    struct use use = facts_use_of_box(box);
    for (uint32_t i = 0; i < use.count; i++)
        if (!use.kinds[i]->sleeping)
            return true;
    return false;
}

/* Whether an alarm in this box is outside a bedroom and near it: not in a place to sleep, on its
 * storey and not far from its door, or in the room that its stair leads to. One whose place is in
 * doubt is. */
static bool is_outside(const struct home *d, const struct room *bedroom, const struct box *box,
                       double near)
{
    if (box->room == bedroom)
        return has_other_use(box);
    if (in_sleeping_place(box) ||
        facts_use_in_list(d->c->model, facts_use_of_box(box), LIST_NOT_OUTSIDE_SLEEPING))
        return false;
    if (joined_by_stairs(d, bedroom, box->room))
        return true;
    return box->room->level == bedroom->level &&
           (!facts_known(box, ITS_TEXT) || from_bedroom(d->c, bedroom, facts_spot_of(box)) <= near);
}

static bool has_alarm_near(const struct home *d, const struct room *bedroom, bool smoke)
{
    double near =
        length_feet(code_length(&d->c->model->code, SET_ALARM_DISTANCES_OUTSIDE_SLEEPING, 0));
    uint32_t n = smoke ? d->smoke.n : d->monoxide.n;
    for (uint32_t i = 0; i < n; i++) {
        const struct box *box = smoke ? d->smoke.at[i]->box : d->monoxide.at[i]->box;
        if (is_outside(d, bedroom, box, near))
            return true;
    }
    return false;
}

static void add_missing(const struct home *d, alarm_asked_list *out, struct alarm_asked a)
{
    a.home = d;
    *vec_push(d->c->model->arena, out) = a;
}

static void missing_near(const struct home *d, const struct rule *rule, bool smoke,
                         alarm_asked_list *out)
{
    for (uint32_t i = 0; i < d->bedrooms.n && !d->unplaced; i++) {
        const struct room *room = d->bedrooms.at[i];
        if (map_find(&d->in_doubt, 0, room->level) || !facts_known(room, ITS_FIXED))
            continue;
        diag_looked(d->c->model->diag, rule);
        if (!has_alarm_near(d, room, smoke))
            add_missing(d, out,
                        (struct alarm_asked){.where = ALARM_NEAR, .smoke = smoke, .room = room});
    }
}

/* One finding for all bedrooms that have none near, as one alarm may serve them. */
static void say_near(const struct home *d, const struct rule *rule, const char *what,
                     const alarm_asked_list *missing)
{
    struct model *m = d->c->model;
    struct finding *f = NULL;
    for (uint32_t i = 0; i < missing->n; i++) {
        const struct room *room = missing->at[i].room;
        if (f) {
            diag_note(m->diag, f, node_name_span(room->node), "nor outside %s", room->title);
            continue;
        }
        f = room_finding(d->c, rule, room, "there is no %s alarm outside %s, near its door", what,
                         address_of_room(m->arena, room, true));
        diag_mend(m->diag, f, "a %s alarm in the room before it, on its storey, within %s", what,
                  facts_feet_words(
                      m->arena,
                      length_feet(code_length(&m->code, SET_ALARM_DISTANCES_OUTSIDE_SLEEPING, 0))));
    }
}

RULE(smoke_alarm, "smoke-alarm", ERROR, FIRM,
     "smoke alarms hang where people sleep, outside it and on every storey");

static void missing_in_bedrooms(const struct home *d, alarm_asked_list *out)
{
    for (uint32_t i = 0; i < d->bedrooms.n; i++) {
        const struct room *room = d->bedrooms.at[i];
        if (!facts_known(room, ITS_BOXES | ITS_DEVICES))
            continue;
        looked(d->c, smoke_alarm);
        if (!has_alarm_in(d, room, true))
            add_missing(d, out,
                        (struct alarm_asked){.where = ALARM_IN, .smoke = true, .room = room});
    }
}

static void say_in_bedroom(const struct home *d, const struct alarm_asked *a)
{
    struct finding *f = room_finding(d->c, &rule_smoke_alarm, a->room,
                                     "%s is a place to sleep and has no smoke alarm",
                                     address_of_room(d->c->model->arena, a->room, true));
    diag_mend(d->c->model->diag, f, "box A1 overhead at EAST, NORTH { smoke-alarm }");
}

/* Whether a door stands between rooms of two storeys. */
static bool door_between(const struct home *d, const struct level *a, const struct level *b)
{
    for (uint32_t i = 0; i < d->all->rooms.n; i++)
        for (uint32_t k = 0; k < d->all->rooms.at[i]->fixtures.n; k++) {
            const struct fixture *f = &d->all->rooms.at[i]->fixtures.at[k];
            const struct level *here = d->all->rooms.at[i]->level,
                               *there = f->to ? f->to->level : NULL;
            if (f->form == F_DOOR && there &&
                ((here == a && there == b) || (here == b && there == a)))
                return true;
        }
    return false;
}

/* The alarm of a storey less than a full one above serves this one too, where no door parts them.
 */
static bool served_from_above(const struct home *d, const struct map *alarmed,
                              const struct level *low)
{
    const struct model *m = d->c->model;
    for (uint32_t i = 0;
         i < m->levels.n && code_yes(&d->c->model->code, SET_SMOKE_ALARM_STOREYS_SPLIT_LEVEL);
         i++) {
        const struct level *up = m->levels.at[i];
        bool split = up->floor > low->floor && up->floor - low->floor < low->ceiling,
             served = map_find(alarmed, 0, up) || map_find(&d->in_doubt, 0, up);
        if (split && served && !door_between(d, up, low))
            return true;
    }
    return false;
}

/* Every storey that has a room of the dwelling which counts; the first such room bears the finding.
 */
static void missing_on_storeys(const struct home *d, alarm_asked_list *out)
{
    struct model *m = d->c->model;
    struct map alarmed = {0}, told = {0};
    for (uint32_t i = 0; i < d->smoke.n; i++)
        map_file(m->arena, &alarmed, 0, d->smoke.at[i]->box->room->level, (void *)(uintptr_t)d);
    for (uint32_t i = 0; i < d->bedrooms.n; i++)
        map_file(m->arena, &told, 0, d->bedrooms.at[i]->level,
                 (void *)(uintptr_t)d); /* its bedroom says it */
    for (uint32_t i = 0; i < d->all->rooms.n && !d->unplaced; i++) {
        const struct room *room = d->all->rooms.at[i];
        if (!facts_known(room, ITS_KINDS) || map_find(&d->in_doubt, 0, room->level) ||
            map_find(&alarmed, 0, room->level) || map_find(&told, 0, room->level) ||
            room->existing || room_used_as(m, room, LIST_STOREY_WITHOUT_ALARM))
            continue;
        map_file(m->arena, &told, 0, room->level, (void *)(uintptr_t)d);
        if (!served_from_above(d, &alarmed, room->level))
            add_missing(
                d, out,
                (struct alarm_asked){.where = ALARM_ON_STOREY, .smoke = true, .room = room});
    }
}

static void say_on_storey(const struct home *d, const struct alarm_asked *a)
{
    struct finding *f = room_finding(d->c, &rule_smoke_alarm, a->room,
                                     "storey %s has no smoke alarm", a->room->level->name);
    diag_mend(d->c->model->diag, f, "a smoke alarm on this storey, by the stair");
}

static bool has_smoke_alarm(const struct home *d, const struct room *room)
{
    for (uint32_t i = 0; i < d->smoke.n; i++)
        if (d->smoke.at[i]->box->room == room)
            return true;
    return false;
}

/* Smoke gathers under the higher ceiling before it reaches the hall: both want an alarm. */
static void missing_at_step(const struct home *d, const struct room *hall, const struct room *high,
                            alarm_asked_list *out)
{
    const struct room *both[] = {high, hall};
    for (size_t i = 0; i < sizeof both / sizeof *both; i++) {
        if (!facts_known(both[i], ITS_BOXES | ITS_DEVICES))
            continue;
        looked(d->c, smoke_alarm);
        if (!has_smoke_alarm(d, both[i]))
            add_missing(d, out,
                        (struct alarm_asked){.where = ALARM_AT_STEP,
                                             .smoke = true,
                                             .room = both[i],
                                             .hall = hall,
                                             .high = high});
    }
}

static void say_at_step(const struct home *d, const struct alarm_asked *a)
{
    struct arena *arena = d->c->model->arena;
    struct finding *f = room_finding(
        d->c, &rule_smoke_alarm, a->room,
        "%s has no smoke alarm: the ceiling of %s is %s higher than that of the hall %s, which "
        "is open to it and serves bedrooms",
        address_of_room(arena, a->room, true), address_of_room(arena, a->high, true),
        rules_feet(d->c, a->high->ceiling - a->hall->ceiling),
        address_of_room(arena, a->hall, true));
    diag_mend(d->c->model->diag, f, "a smoke alarm in each of the two");
}

/* The rooms that lie open to a hall, each once. */
static void missing_at_hall(const struct home *d, const struct room *hall, length step,
                            alarm_asked_list *out)
{
    const opening_list *openings = &d->c->openings->of_room[hall->id];
    struct map told = {0};
    for (uint32_t i = 0; i < openings->n; i++) {
        const struct fixture *x = &openings->at[i].here;
        if (x->form != F_OPENING || !x->to || x->to->ceiling - hall->ceiling < step ||
            room_used_as(d->c->model, x->to, LIST_STOREY_WITHOUT_ALARM) ||
            map_find(&told, 0, x->to))
            continue;
        map_file(d->c->model->arena, &told, 0, x->to, (void *)(uintptr_t)d);
        missing_at_step(d, hall, x->to, out);
    }
}

/* The halls that the doors of bedrooms lead to. */
static void missing_at_steps(const struct home *d, alarm_asked_list *out)
{
    length step = code_length(&d->c->model->code, SET_SMOKE_ALARM_STOREYS_CEILING_STEP, 0);
    struct map seen = {0};
    for (uint32_t i = 0; i < d->bedrooms.n && step > 0; i++) {
        const doorway_list *doors = &d->c->protected->rooms->of_room[d->bedrooms.at[i]->id];
        for (uint32_t k = 0; k < doors->n; k++) {
            const struct room *hall = doors->at[k].other;
            if (!hall || map_find(&seen, 0, hall) ||
                !room_used_as(d->c->model, hall, LIST_HALLWAYS))
                continue;
            map_file(d->c->model->arena, &seen, 0, hall, (void *)(uintptr_t)d);
            missing_at_hall(d, hall, step, out);
        }
    }
}

static void missing_smoke(const struct home *d, alarm_asked_list *near, alarm_asked_list *others)
{
    missing_at_steps(d, others);
    if (asked(d->c, COL_SMOKE_ALARMS_WHERE, "sleeping-room"))
        missing_in_bedrooms(d, others);
    if (asked(d->c, COL_SMOKE_ALARMS_WHERE, "sleeping-area"))
        missing_near(d, &rule_smoke_alarm, true, near);
    if (asked(d->c, COL_SMOKE_ALARMS_WHERE, "story"))
        missing_on_storeys(d, others);
}

static void check_smoke(const struct dwelling *dwelling)
{
    struct home home, *d = &home;
    alarm_asked_list near = {0}, others = {0};
    if (!home_of(dwelling, d))
        return;
    missing_smoke(d, &near, &others);
    for (uint32_t i = 0; i < others.n; i++)
        if (others.at[i].where == ALARM_AT_STEP)
            say_at_step(d, &others.at[i]);
        else if (others.at[i].where == ALARM_IN)
            say_in_bedroom(d, &others.at[i]);
    say_near(d, &rule_smoke_alarm, "smoke", &near);
    for (uint32_t i = 0; i < others.n; i++)
        if (others.at[i].where == ALARM_ON_STOREY)
            say_on_storey(d, &others.at[i]);
}
CHECK(smoke_alarm, .dwelling = check_smoke);

/* What burns fuel in a room, or NULL. */
static const struct device *burner_in(const struct room *room)
{
    for (uint32_t i = 0; i < room->boxes.n; i++)
        for (uint32_t k = 0; k < room->boxes.at[i]->device_count; k++)
            if (room->boxes.at[i]->devices[k]->fuel_fired)
                return room->boxes.at[i]->devices[k];
    return NULL;
}

/* In a bedroom, or in a bathroom that a door joins to it. */
static const struct device *burner_of(const struct checked *c, const struct room *bedroom)
{
    const doorway_list *doors = &c->protected->rooms->of_room[bedroom->id];
    const struct device *burner = burner_in(bedroom);
    for (uint32_t i = 0; i < doors->n && !burner; i++)
        if (doors->at[i].other &&
            room_used_as(c->model, doors->at[i].other, LIST_CARBON_MONOXIDE_BATHS))
            burner = burner_in(doors->at[i].other);
    return burner;
}

RULE(carbon_monoxide_alarm, "carbon-monoxide-alarm", ERROR, FIRM,
     "a carbon monoxide alarm hangs near every place to sleep where fuel is burnt");

static void missing_by_fuel(const struct home *d, alarm_asked_list *out)
{
    for (uint32_t i = 0; i < d->bedrooms.n; i++) {
        const struct room *room = d->bedrooms.at[i];
        const struct device *burner = burner_of(d->c, room);
        if (!burner || !facts_known(room, ITS_BOXES))
            continue;
        looked(d->c, carbon_monoxide_alarm);
        if (!has_alarm_in(d, room, false))
            add_missing(d, out,
                        (struct alarm_asked){.where = ALARM_IN, .room = room, .burner = burner});
    }
}

static void say_by_fuel(const struct home *d, const struct alarm_asked *a)
{
    struct model *m = d->c->model;
    const char *words = arena_printf(
        m->arena,
        "the %s in %s burns fuel, and %s has no carbon monoxide alarm to wake who sleeps there",
        a->burner->def->name, address_of_box(m->arena, a->burner->box, true),
        address_of_room(m->arena, a->room, true));
    struct finding *f = room_finding(d->c, &rule_carbon_monoxide_alarm, a->room, "%s", words);
    diag_mend(m->diag, f, "a co-alarm or smoke-co-alarm in it");
}

static void missing_monoxide(const struct home *d, alarm_asked_list *near, alarm_asked_list *others)
{
    if (!d->burns)
        return;
    if (asked(d->c, COL_CARBON_MONOXIDE_ALARMS_WHERE, "sleeping-area"))
        missing_near(d, &rule_carbon_monoxide_alarm, false, near);
    if (asked(d->c, COL_CARBON_MONOXIDE_ALARMS_WHERE, "sleeping-room-with-fuel"))
        missing_by_fuel(d, others);
}

static void check_monoxide(const struct dwelling *dwelling)
{
    struct home home, *d = &home;
    alarm_asked_list near = {0}, others = {0};
    if (!home_of(dwelling, d))
        return;
    missing_monoxide(d, &near, &others);
    say_near(d, &rule_carbon_monoxide_alarm, "carbon monoxide", &near);
    for (uint32_t i = 0; i < others.n; i++)
        say_by_fuel(d, &others.at[i]);
}
CHECK(carbon_monoxide_alarm, .dwelling = check_monoxide);

/* --- for who places them ------------------------------------------------------------------ */

bool alarms_missing(const struct dwelling *dwelling, alarm_asked_list *out)
{
    struct home *d = arena_new(dwelling->c->model->arena, struct home);
    if (!home_of(dwelling, d))
        return false;
    missing_smoke(d, out, out);
    missing_monoxide(d, out, out);
    return out->n > 0;
}

bool alarms_serves(const struct alarm_asked *a, const struct box *box)
{
    switch (a->where) {
    case ALARM_IN:
        return box->room == a->room && in_sleeping_place(box);
    case ALARM_NEAR:
        return is_outside(a->home, a->room, box,
                          length_feet(code_length(&a->home->c->model->code,
                                                  SET_ALARM_DISTANCES_OUTSIDE_SLEEPING, 0)));
    case ALARM_ON_STOREY:
        return box->room->level == a->room->level;
    default:
        return box->room == a->room;
    }
}

/* --- how they are wired ------------------------------------------------------------------- */

RULE(alarm_interconnect, "alarm-interconnect", ERROR, FIRM, "when one smoke alarm sounds, all do");
BLIND_SPOT(joined_by_radio, alarm_interconnect, "how the others hear the alarm joined by radio in",
           "");

/* All of these on one circuit, so that a conductor may join them; those that were there already and
 * those joined by radio are not judged. */
static void check_one_circuit(const struct home *d, const struct device *const *alarms,
                              uint32_t count, bool without_smoke)
{
    struct model *m = d->c->model;
    const struct device *first = NULL;
    for (uint32_t i = 0; i < count; i++) {
        const struct device *alarm = alarms[i];
        if (alarm->existing || !alarm->part_count || !alarm->parts[0].circuit)
            continue;
        if (facts_device_in_list(d->c->model, alarm->def, LIST_ALARMS_BY_RADIO)) {
            box_passed(d->c, joined_by_radio, alarm->box);
            continue;
        }
        looked(d->c, alarm_interconnect);
        first = first ? first : alarm;
        if (alarm->parts[0].circuit == first->parts[0].circuit ||
            (without_smoke &&
             facts_device_in_list(d->c->model, alarm->def, LIST_SMOKE_ALARM_DEVICES)))
            continue;
        struct finding *f =
            box_finding(d->c, &rule_alarm_interconnect, alarm->box,
                        "the %s in %s is on %s, the first one on %s: no wire joins them",
                        alarm->def->name, address_of_box(m->arena, alarm->box, true),
                        rules_circuit_words(d->c, alarm->parts[0].circuit),
                        rules_circuit_words(d->c, first->parts[0].circuit));
        diag_note(m->diag, f, node_span(first->node), "the first one");
        diag_mend(m->diag, f,
                  "all alarms of a dwelling on one circuit, joined by a cable with a third "
                  "conductor; or alarms joined by radio");
    }
}

/* Old alarms that are joined to no new one: the new ones sound without them, and they without the
 * new. Those on the circuit of the new ones are joined by its cables. */
static void check_old(const struct home *d)
{
    struct model *m = d->c->model;
    const struct device *now = NULL;
    for (uint32_t i = 0; i < d->smoke.n && !now; i++)
        now = d->smoke.at[i]->existing || !d->smoke.at[i]->part_count ? NULL : d->smoke.at[i];
    for (uint32_t i = 0; now && i < d->smoke.n; i++) {
        const struct device *old = d->smoke.at[i];
        if (!old->existing || !old->part_count || !facts_known(old, ITS_TEXT | ITS_BOXES))
            continue;
        bool radio = facts_device_in_list(m, old->def, LIST_ALARMS_BY_RADIO) &&
                     facts_device_in_list(m, now->def, LIST_ALARMS_BY_RADIO);
        looked(d->c, alarm_interconnect);
        if (radio || (old->parts[0].circuit && old->parts[0].circuit == now->parts[0].circuit))
            continue;
        struct finding *f = box_finding(
            d->c, &rule_alarm_interconnect, old->box,
            "the %s in %s is there already, and nothing shows that it is joined to the new ones",
            old->def->name, address_of_box(m->arena, old->box, true));
        f->severity = WARNING;
        diag_note(m->diag, f, node_span(now->node), "a new one");
        diag_mend(m->diag, f,
                  "a run of the new ones' circuit to it, or all of them joined by radio");
    }
}

/* Smoke alarms; and, where the edition says so, carbon monoxide alarms, of which those that tell of
 * smoke too are looked at already. */
static void check_joined(const struct dwelling *dwelling)
{
    struct home home, *d = &home;
    if (!home_of(dwelling, d))
        return;
    if (code_yes(&d->c->model->code, SET_ALARM_POWER_INTERCONNECTED))
        check_one_circuit(d, d->smoke.at, d->smoke.n, false);
    if (code_yes(&d->c->model->code, SET_ALARM_POWER_INTERCONNECTED))
        check_old(d);
    if (code_yes(&d->c->model->code, SET_ALARM_POWER_CO_INTERCONNECTED))
        check_one_circuit(d, d->monoxide.at, d->monoxide.n, true);
}
CHECK(alarm_interconnect, .dwelling = check_joined);

RULE(alarm_switched, "alarm-switched", ERROR, FIRM,
     "no switch and no device that trips cuts an alarm off");

static void check_power(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    if (d->def->sort != SORT_ALARM || !d->part_count || !m->code.residential ||
        !code_no(&c->model->code, SET_ALARM_POWER_BEHIND_SWITCH))
        return;
    const struct part *part = &d->parts[0];
    const struct protected_part *s = wiring_protected_part(c->protected, part);
    const char *address = address_of_box(m->arena, d->box, true);
    struct finding *f = NULL;
    looked(c, alarm_switched);
    if (part->leg) {
        f = box_finding(c, &rule_alarm_switched, d->box, "leg %s switches the %s in %s off",
                        part->leg->name, d->def->name, address);
        diag_mend(m->diag, f, "leave 'leg %s' out, and it is always live", part->leg->name);
        mends_leave_out(c, f, false, part->node, F_DEV_LEG);
    } else if (s->known && s->gfci.device) {
        const char *box = address_of_box(m->arena, s->gfci.device->box, true);
        f = box_finding(c, &rule_alarm_switched, d->box,
                        "the %s in %s goes dead when the %s in %s trips", d->def->name, address,
                        s->gfci.device->def->name, box);
        diag_mend(m->diag, f, "feed it from the line side of %s", box);
    }
}

CHECK(alarm_switched, .device = {check_power, ITS_TEXT, NEW_WORK});

/* --- too near ----------------------------------------------------------------------------- */

static bool has_listed_fixture(const struct checked *c, const struct room *room,
                               enum book_table list)
{
    for (uint32_t i = 0; i < room->fixtures.n; i++)
        if (room->fixtures.at[i].word &&
            code_list_has_name(&c->model->code, list, room->fixtures.at[i].word))
            return true;
    return false;
}

/* The nearest door of a room with a tub or shower: one that the alarm's room, or the bath itself,
 * has. Negative where there is none. */
static double way_to_bath_door(const struct checked *c, const struct box *box)
{
    const doorway_list *doors = &c->protected->rooms->of_room[box->room->id];
    double best = -1;
    for (uint32_t i = 0; i < doors->n; i++) {
        const struct doorway *d = &doors->at[i];
        if (!d->other || !(has_listed_fixture(c, d->other, LIST_ALARM_BATH_FIXTURES) ||
                           has_listed_fixture(c, box->room, LIST_ALARM_BATH_FIXTURES)))
            continue;
        double way = facts_spot_to_line(facts_spot_of(box), d->left, d->right);
        best = best < 0 || way < best ? way : best;
    }
    return best;
}

/* The nearest range drawn on a wall of the room or behind one of its doors, or cooking in a box of
 * the room. Negative where there is none. */
static double way_to_cooking(const struct checked *c, const struct box *box)
{
    double best = facts_way_to_fixture(c->protected->rooms, box, F_RANGE, true);
    for (uint32_t i = 0; i < box->room->boxes.n; i++)
        for (uint32_t k = 0; k < box->room->boxes.at[i]->device_count; k++) {
            double way =
                facts_spots_apart(facts_spot_of(box), facts_spot_of(box->room->boxes.at[i]));
            if (facts_device_in_list(c->model, box->room->boxes.at[i]->devices[k]->def,
                                     LIST_COOKING_DEVICES) &&
                (best < 0 || way < best))
                best = way;
        }
    return best;
}

/* Whether some spot of the alarm's room is far enough from that door: where none is, the alarm may
 * hang there. Corners are the farthest. */
static bool has_better_place(const struct checked *c, const struct box *box, double door)
{
    for (uint32_t i = 0; i < box->room->wall_count; i++) {
        struct box there = *box;
        there.place.at.x = box->room->walls[i].left.x;
        there.place.at.y = box->room->walls[i].left.y;
        if (way_to_bath_door(c, &there) >= door)
            return true;
    }
    return false;
}

/* How far from cooking an alarm of this type keeps; `sure`: the plan says its type, or every type
 * keeps it. */
static double cooking_distance(const struct checked *c, const struct device_def *def,
                               double cooking, bool *sure)
{
    struct model *m = c->model;
    const char *row = facts_device_key(m, def, TABLE_ALARM_DISTANCES);
    length of_type = code_cell_length(&m->code, COL_ALARM_DISTANCES_COOKING, row, -1);
    double least = length_feet(code_length(&m->code, SET_ALARM_DISTANCES_COOKING, 0));
    *sure = of_type >= 0 || cooking < least;
    if (of_type >= 0)
        return length_feet(of_type);
    return *sure ? least
                 : length_feet(
                       code_length(&m->code, SET_ALARM_DISTANCES_COOKING_UNLESS_PHOTOELECTRIC, 0));
}

RULE(alarm_too_near, "alarm-too-near", ERROR, FIRM,
     "a smoke alarm keeps away from steam and cooking");

BLIND_SPOT(alarm_battery, alarm_too_near, "the type and battery of the alarm in", "");

/* How near an alarm of a type is, in feet, and how far off it should be. */
struct nearness {
    double bath, door, cooking, wanted;
    bool sure; /* the plan says its type, or every type keeps away so far */
};

static struct nearness nearness_of(const struct checked *c, const struct box *box,
                                   const struct device_def *def)
{
    struct nearness n = {
        .bath = way_to_bath_door(c, box),
        .door = length_feet(code_length(&c->model->code, SET_ALARM_DISTANCES_BATH_DOOR, 0)),
        .cooking = way_to_cooking(c, box)};
    n.wanted = cooking_distance(c, def, n.cooking, &n.sure);
    return n;
}

static bool is_by_bath(const struct checked *c, const struct box *box, const struct nearness *n)
{
    return n->bath >= 0 && n->bath < n->door && has_better_place(c, box, n->door);
}

static bool is_by_cooking(const struct nearness *n)
{
    return n->cooking >= 0 && n->cooking < n->wanted;
}

bool alarms_keeps_away(const struct checked *c, const struct box *box, const struct device_def *def)
{
    struct nearness n = nearness_of(c, box, def);
    return !facts_device_in_list(c->model, def, LIST_SMOKE_ALARM_DEVICES) ||
           (!is_by_bath(c, box, &n) && !is_by_cooking(&n));
}

static void say_by_cooking(const struct checked *c, const struct box *box, const char *who,
                           const struct nearness *n)
{
    struct model *m = c->model;
    const char *words =
        arena_printf(m->arena, "%s %s from where one cooks; %s is wanted%s", who,
                     facts_feet_words(m->arena, n->cooking), facts_feet_words(m->arena, n->wanted),
                     n->sure ? "" : " unless it is photoelectric");
    struct finding *f = box_finding(c, &rule_alarm_too_near, box, "%s", words);
    const char *article = code_row_article(&m->code, COL_ALARM_ARTICLES_ARTICLE, "cooking");
    if (article && m->code.residential)
        f->article = arena_printf(m->arena, "%s %s", m->code.residential->label, article);
    if (!n->sure)
        f->severity = NOTE;
    diag_mend(m->diag, f,
              n->sure ? "move it away, where it still serves its place"
                      : "move it away, or write 'smoke-alarm-photoelectric'");
}

static void check_distance(const struct checked *c, const struct device *alarm)
{
    struct model *m = c->model;
    const struct box *box = alarm->box;
    if (alarm->def->sort == SORT_ALARM)
        box_passed(c, alarm_battery, box);
    if (!m->code.residential || alarm->def->sort != SORT_ALARM ||
        !facts_device_in_list(c->model, alarm->def, LIST_SMOKE_ALARM_DEVICES))
        return;
    looked(c, alarm_too_near);
    struct nearness n = nearness_of(c, box, alarm->def);
    const char *who = arena_printf(m->arena, "the %s in %s hangs", alarm->def->name,
                                   address_of_box(m->arena, box, true));
    if (is_by_bath(c, box, &n)) {
        const char *words = arena_printf(
            m->arena, "%s %s from the door of a room with a tub or shower; %s is wanted", who,
            facts_feet_words(m->arena, n.bath), facts_feet_words(m->arena, n.door));
        struct finding *f = box_finding(c, &rule_alarm_too_near, box, "%s", words);
        diag_mend(m->diag, f, "move it away, where it still serves its place");
    } else if (is_by_cooking(&n)) {
        say_by_cooking(c, box, who, &n);
    }
}
CHECK(alarm_too_near, .device = {check_distance, ITS_BOXES, NEW_WORK});
