/* hall-receptacle, laundry-receptacle, garage-receptacle, basement-receptacle, outdoor-receptacle,
 * deck-receptacle, hvac-receptacle, box-height: a receptacle that a place must have wherever it
 * stands in it. */
#include "facts/devices.h"
#include "facts/nearby.h"
#include "facts/rooms.h"
#include "rules/dwelling.h"
#include "rules/geometry/openings.h"
#include "rules/placing.h"

/* A place that a rule is about: a room, or a part of it with a use of its own. */
struct required {
    const struct checked *c;
    const struct rule *rule;
    const struct room *room;
    const struct use_area *area; /* NULL: the room, without the parts that have uses of their own */
};

static bool stands_there(const struct required *p, const struct box *b)
{
    struct use use = facts_use_of_box(b);
    return p->area ? use.kinds == &p->area->kind : use.kinds == p->room->kinds;
}

/* How many boxes of a place have a receptacle up to a height; 0 for no limit. */
static uint32_t receptacles_up_to(const struct required *p, length up_to)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < p->room->boxes.n; i++) {
        const struct box *b = p->room->boxes.at[i];
        n += placing_box_is_open(b) && stands_there(p, b) && (!up_to || b->place.up <= up_to);
    }
    return n;
}

/* The first receptacle of a place that stands too high, where enough are there but for their
 * height. Says so, and whether it did. */
static bool only_too_high(const struct required *p, length up_to, double wanted)
{
    if (receptacles_up_to(p, 0) < wanted)
        return false;
    for (uint32_t i = 0; i < p->room->boxes.n; i++) {
        const struct box *b = p->room->boxes.at[i];
        if (!placing_box_is_open(b) || !stands_there(p, b) || b->place.up <= up_to)
            continue;
        placing_say_height(p->c, p->rule, b,
                           arena_printf(p->c->model->arena,
                                        "not more than %s from the floor or ground",
                                        rules_feet(p->c, up_to)));
        return true;
    }
    return false;
}

/* One place that the rule asks a receptacle of, and a height for it. */
static void look_at(const struct required *p)
{
    diag_looked(p->c->model->diag, p->rule);
    looked(p->c, box_height);
}

/* "room 'hall'", "the laundry of room 'bath'". */
static const char *place_words(const struct required *p)
{
    const char *room = placing_room_words(p->c, p->room);
    return p->area
               ? arena_printf(p->c->model->arena, "the %s part of %s", p->area->kind->name, room)
               : room;
}

#define required_finding(p, ...)                                                                   \
    model_finding((p)->c->model, (p)->rule,                                                        \
                  (p)->area ? node_span((p)->area->node) : node_name_span((p)->room->node),        \
                  (p)->room->unit, address_of_room((p)->c->model->arena, (p)->room, false),        \
                  __VA_ARGS__)

/* Calls `check` for the places of a rule in a room. */
static void each_place_for(const struct checked *c, const struct rule *rule, const struct room *r,
                           void (*check)(const struct required *p))
{
    const char *name = placing_kind_for_rule(c, rule);
    if (placing_kind_of_room(c, r, rule))
        check(&(struct required){c, rule, r, NULL});
    for (uint32_t k = 0; name && k < r->areas.n; k++)
        if (library_kind_is(r->areas.at[k].kind, name))
            check(&(struct required){c, rule, r, &r->areas.at[k]});
}

/* What 210.52 asks for stands no higher than this, where it says nothing else. */
static length highest(const struct checked *c)
{
    return code_length(&c->model->code, SET_REQUIRED_RECEPTACLE_UP_TO, 0);
}

/* --- halls, laundries, garages, basements ------------------------------------------------- */

static length hall_length(const struct required *p)
{
    if (!p->area)
        return space_corridor_length(p->room);
    length east = p->area->high.x - p->area->low.x, north = p->area->high.y - p->area->low.y;
    return east > north ? east : north;
}

static void check_hall(const struct required *p)
{
    const struct checked *c = p->c;
    length from = code_length(&c->model->code, SET_HALL_RECEPTACLE_FROM, 0), long_ = hall_length(p);
    look_at(p);
    if (from <= 0 || long_ < from || receptacles_up_to(p, highest(c)) ||
        only_too_high(p, highest(c), 1))
        return;
    struct finding *f = required_finding(
        p, "%s: the hall is %s long and has no receptacle; one of %s or more has one",
        place_words(p), rules_feet(c, long_), rules_feet(c, from));
    diag_mend(c->model->diag, f, "a receptacle anywhere in it");
}

RULE(hall_receptacle, "hall-receptacle", ERROR, WAIVABLE, "a long hall has a receptacle");

static void check_halls(const struct checked *c, const struct room *r)
{
    each_place_for(c, &rule_hall_receptacle, r, check_hall);
}
CHECK(hall_receptacle, .room = {check_halls, WHOLE_ROOM, NEW_WORK});

static void check_laundry(const struct required *p)
{
    const struct checked *c = p->c;
    double count = code_count(&c->model->code, SET_LAUNDRY_RECEPTACLE_COUNT, 0);
    look_at(p);
    if (receptacles_up_to(p, highest(c)) >= count || only_too_high(p, highest(c), count))
        return;
    struct finding *f = required_finding(p, "%s has no %g V receptacle for the laundry",
                                         place_words(p), c->model->volts);
    diag_mend(c->model->diag, f, "a receptacle by the washing machine, on its own %g A circuit",
              code_current(&c->model->code, SET_LAUNDRY_CIRCUIT_RATING, 0));
}

RULE(laundry_receptacle, "laundry-receptacle", ERROR, WAIVABLE, "a laundry has a receptacle");

static void check_laundries(const struct checked *c, const struct room *r)
{
    each_place_for(c, &rule_laundry_receptacle, r, check_laundry);
}
CHECK(laundry_receptacle, .room = {check_laundries, WHOLE_ROOM, NEW_WORK});

BLIND_SPOT(which_bay, garage_receptacle, "which bay each receptacle serves in", "");

/* A garage that stands apart needs nothing unless power goes there; a garage has one bay unless the
 * plan says more. */
static void check_garage(const struct required *p)
{
    const struct checked *c = p->c;
    struct code *code = &c->model->code;
    length up_to = code_length(code, SET_GARAGE_RECEPTACLE_UP_TO, 0);
    uint32_t bays = p->room->bays ? p->room->bays : 1, there = receptacles_up_to(p, up_to);
    double wanted = bays * code_count(code, SET_GARAGE_RECEPTACLE_EACH_BAY, 0);
    if (bays > 1)
        room_passed(c, which_bay, p->room);
    look_at(p);
    if (there >= wanted || (p->room->detached && !p->room->boxes.n) ||
        only_too_high(p, up_to, wanted))
        return;
    struct finding *f = required_finding(
        p, "%s: %u vehicle bay%s and %u receptacle%s up to %s; each bay has one", place_words(p),
        bays, bays == 1 ? "" : "s", there, there == 1 ? "" : "s", rules_feet(c, up_to));
    diag_mend(c->model->diag, f, "a receptacle in each bay, up to %s from the floor",
              rules_feet(c, up_to));
}

RULE(garage_receptacle, "garage-receptacle", ERROR, WAIVABLE,
     "each vehicle bay of a garage has a receptacle");

static void check_garages(const struct checked *c, const struct room *r)
{
    each_place_for(c, &rule_garage_receptacle, r, check_garage);
}
CHECK(garage_receptacle, .with = {&rule_box_height}, .room = {check_garages, WHOLE_ROOM, NEW_WORK});

static void check_basement(const struct required *p)
{
    const struct checked *c = p->c;
    double count = code_count(&c->model->code, SET_BASEMENT_RECEPTACLE_COUNT, 0);
    look_at(p);
    if (receptacles_up_to(p, highest(c)) >= count || only_too_high(p, highest(c), count))
        return;
    struct finding *f = required_finding(
        p, "%s has no receptacle; each unfinished part of a basement has one", place_words(p));
    diag_mend(c->model->diag, f, "a receptacle anywhere in it");
}

RULE(basement_receptacle, "basement-receptacle", ERROR, WAIVABLE,
     "each unfinished part of a basement has a receptacle");

/* A room of another use, below grade and left unfinished, is such a part too; a garage has a rule
 * of its own. */
static bool unfinished_below_grade(const struct checked *c, const struct room *r)
{
    bool other_use = false;
    for (uint32_t i = 0; i < r->kind_count; i++)
        other_use |= !r->kinds[i]->unfinished;
    bool below = r->level->below_grade;
    return below && r->unfinished && other_use &&
           !placing_room_for_rule(c, r, &rule_basement_receptacle) &&
           !placing_room_for_rule(c, r, &rule_garage_receptacle);
}

static void check_basements(const struct checked *c, const struct room *r)
{
    each_place_for(c, &rule_basement_receptacle, r, check_basement);
    if (unfinished_below_grade(c, r))
        check_basement(&(struct required){c, &rule_basement_receptacle, r, NULL});
}
CHECK(basement_receptacle, .room = {check_basements, WHOLE_ROOM, NEW_WORK});

/* --- outdoors ----------------------------------------------------------------------------- */

/* What a dwelling has outdoors. Which side is front the plan does not say: of the places outdoors
 * that it draws, as many have a receptacle as the code asks sides for. */
struct outdoors {
    uint32_t drawn, served, bare_seen;
    bool in_doubt;
};

RULE(outdoor_receptacle, "outdoor-receptacle", ERROR, WAIVABLE,
     "front and back of a dwelling have a receptacle outdoors");

static struct outdoors count_outdoors(const struct dwelling *d, length up_to)
{
    struct outdoors o = {0};
    for (uint32_t i = 0; i < d->rooms.n; i++) {
        struct required p = {d->c, &rule_outdoor_receptacle, d->rooms.at[i], NULL};
        if (!placing_room_for_rule(d->c, p.room, p.rule))
            continue;
        o.in_doubt |= !facts_known(p.room, ITS_TEXT | ITS_BOXES | ITS_DEVICES);
        o.drawn++;
        look_at(&p);
        o.served += receptacles_up_to(&p, up_to) > 0;
    }
    return o;
}

static void check_outdoors(const struct dwelling *d)
{
    const struct checked *c = d->c;
    struct code *code = &c->model->code;
    length up_to = code_length(code, SET_OUTDOOR_RECEPTACLE_UP_TO, 0);
    double sides = code_count(code, SET_OUTDOOR_RECEPTACLE_FRONT, 0) +
                   code_count(code, SET_OUTDOOR_RECEPTACLE_BACK, 0);
    struct outdoors o = count_outdoors(d, up_to);
    double wanted = o.drawn < sides ? o.drawn : sides;
    for (uint32_t i = 0; i < d->rooms.n && !o.in_doubt; i++) {
        const struct room *r = d->rooms.at[i];
        struct required p = {c, &rule_outdoor_receptacle, r, NULL};
        if (!placing_room_for_rule(c, r, p.rule) || !placing_room_is_certain(r) ||
            receptacles_up_to(&p, up_to) || o.served + o.bare_seen >= wanted)
            continue;
        o.bare_seen++;
        if (only_too_high(&p, up_to, 1))
            continue;
        struct finding *f = room_finding(c, &rule_outdoor_receptacle, r,
                                         "%s has no receptacle up to %s from the ground; a "
                                         "dwelling has one at its front and one at its back",
                                         placing_room_words(c, r), rules_feet(c, up_to));
        diag_mend(c->model->diag, f,
                  "a weather-resistant receptacle under an in-use cover on its wall");
    }
}
CHECK(outdoor_receptacle, .with = {&rule_box_height}, .dwelling = check_outdoors);

/* --- decks -------------------------------------------------------------------------------- */

static length gap_between(length a_low, length a_high, length b_low, length b_high)
{
    return a_high < b_low ? b_low - a_high : b_high < a_low ? a_low - b_high : 0;
}

/* Whether a room of the dwelling is so near that the deck belongs to it: `within` beyond the
 * thickness of the wall between them. */
static bool is_by_room(const struct room *deck, const struct room *r, length within)
{
    length wall = r->wall_framing.lumber.depth + r->finish;
    length dx = gap_between(deck->low.x, deck->high.x, r->low.x, r->high.x),
           dy = gap_between(deck->low.y, deck->high.y, r->low.y, r->high.y);
    return dx <= wall + within && dy <= wall + within;
}

static bool is_by_dwelling(const struct checked *c, const struct room *deck, length within)
{
    for (uint32_t i = 0; i < c->model->rooms.n; i++) {
        const struct room *r = c->model->rooms.at[i];
        if (r->unit == deck->unit && r->wall_count &&
            !room_used_as(c->model, r, LIST_WEATHER_PLACES) && is_by_room(deck, r, within))
            return true;
    }
    return false;
}

/* Whether the plan draws how one gets onto the deck, and none of the ways leads from inside. A deck
 * without any way drawn may have one. */
static bool reached_from_outside_only(const struct checked *c, const struct room *deck)
{
    const opening_list *ways = &c->openings->of_room[deck->id];
    for (uint32_t i = 0; i < ways->n; i++) {
        const struct room *other = ways->at[i].here.to;
        if (ways->at[i].here.sort != FIXTURE_WINDOW && other &&
            !room_used_as(c->model, other, LIST_WEATHER_PLACES))
            return false;
    }
    return ways->n > 0;
}

static void check_deck(const struct required *p)
{
    const struct checked *c = p->c;
    struct code *code = &c->model->code;
    length up_to = code_length(code, SET_DECK_RECEPTACLE_UP_TO, 0),
           within = code_length(code, SET_DECK_RECEPTACLE_WITHIN, 0);
    double count = code_count(code, SET_DECK_RECEPTACLE_COUNT, 0);
    look_at(p);
    if (receptacles_up_to(p, up_to) >= count || !is_by_dwelling(c, p->room, within))
        return;
    if ((code_yes(&c->model->code, SET_DECK_RECEPTACLE_FROM_INSIDE) &&
         reached_from_outside_only(c, p->room)) ||
        only_too_high(p, up_to, count))
        return;
    struct finding *f = required_finding(
        p, "%s has no receptacle up to %s from its floor; a deck, balcony or porch %s has one",
        place_words(p), rules_feet(c, up_to),
        within ? arena_printf(c->model->arena, "within %s of the dwelling", rules_feet(c, within))
               : "on the dwelling");
    diag_mend(c->model->diag, f, "a weather-resistant receptacle under an in-use cover");
}

RULE(deck_receptacle, "deck-receptacle", ERROR, WAIVABLE,
     "a deck, balcony or porch of the dwelling has a receptacle");

static void check_decks(const struct checked *c, const struct room *r)
{
    each_place_for(c, &rule_deck_receptacle, r, check_deck);
}
CHECK(deck_receptacle, .with = {&rule_box_height}, .room = {check_decks, WHOLE_ROOM, NEW_WORK});

/* --- heating and cooling ------------------------------------------------------------------ */

static bool same_level(const struct box *a, const struct box *b, const void *data)
{
    (void)data;
    return a->room->level == b->room->level && placing_box_is_open(b);
}

RULE(hvac_receptacle, "hvac-receptacle", ERROR, WAIVABLE,
     "a receptacle is near heating and cooling equipment");

static void check_hvac_device(const struct checked *c, const struct nearby *receptacles,
                              const struct device *d, length within)
{
    const struct box *b = d->box;
    if (!facts_known(b, ITS_TEXT | ITS_PLACE) || b->existing ||
        !facts_known(b->room->level, ITS_PLACE | ITS_BOXES | ITS_DEVICES))
        return;
    looked(c, hvac_receptacle);
    if (nearby_any(receptacles, b, within, same_level, NULL))
        return;
    struct finding *f = box_finding(
        c, &rule_hvac_receptacle, b,
        "%s: no %g V receptacle for those who service the %s is within %s of it on its level",
        address_of_box(c->model->arena, b, true), c->model->volts, d->def->name,
        rules_feet(c, within));
    diag_mend(c->model->diag, f, "a receptacle within %s on the same level", rules_feet(c, within));
}

static void check_hvac_receptacles(const struct checked *c)
{
    const struct model *m = c->model;
    length within = code_length(&c->model->code, SET_HVAC_RECEPTACLE_WITHIN, 0);
    struct nearby receptacles = {0};
    bool ready = false;
    for (uint32_t i = 0; i < m->devices.n && within > 0; i++) {
        if (!facts_device_in_list(c->model, m->devices.at[i]->def, LIST_HVAC_EQUIPMENT))
            continue;
        if (!ready)
            nearby_make(m->arena, &receptacles, m, within, placing_box_is_open);
        ready = true;
        check_hvac_device(c, &receptacles, m->devices.at[i], within);
    }
}
CHECK(hvac_receptacle, .plan = check_hvac_receptacles);
