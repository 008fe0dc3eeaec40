/* lighting-outlet, stair-switching, closet-luminaire, recessed-in-insulation: where a light must
 * be, how it is worked, and where it may not be. */
#include "facts/devices.h"
#include "facts/rooms.h"
#include "resolve/value.h"
#include "rules/geometry/openings.h"
#include "rules/placing.h"
#include "rules/mends.h"

#include <math.h>
#include <string.h>

/* --- lighting-outlet ---------------------------------------------------------------------- */

/* The lights of a room: how many there are, how many a switch works, and receptacles that a switch
 * works; `small`: one of these that is on a small-appliance circuit and so cannot stand for a
 * light. */
struct lights {
    uint32_t all, switched, receptacles;
    const struct part *small;
};

/* Whether a circuit serves the receptacles of kitchens and dining rooms (210.52(B)(1)). */
static bool is_small_appliance(const struct checked *c, const struct circuit *circuit)
{
    if (!circuit ||
        circuit->breaker != code_current(&c->model->code, SET_SMALL_APPLIANCE_CIRCUITS_RATING, 0))
        return false;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *p = circuit->parts.at[i];
        if (placing_device_is_receptacle(p->device) && !p->control && !p->leg &&
            facts_use_in_list(c->model, facts_use_of_box(p->device->box),
                              LIST_SMALL_APPLIANCE_PLACES))
            return true;
    }
    return false;
}

static void count_part(const struct checked *c, const struct part *p, struct lights *l)
{
    bool light = facts_is_light(p),
         lamp = placing_device_is_receptacle(p->device) && !p->control && p->leg;
    bool small = lamp &&
                 facts_use_in_list(c->model, facts_use_of_box(p->device->box),
                                   LIST_SMALL_APPLIANCE_PLACES) &&
                 is_small_appliance(c, p->circuit);
    l->all += light;
    l->switched += light && p->leg;
    l->receptacles += lamp && !small;
    l->small = small && !l->small ? p : l->small;
}

/* A leg that is capped in a box counts: the light is hung later. */
static struct lights lights_of(const struct checked *c, const struct room *r)
{
    struct lights l = {0};
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct box *b = r->boxes.at[i];
        for (uint32_t d = 0; d < b->device_count; d++)
            for (uint32_t k = 0; k < b->devices[d]->part_count; k++)
                count_part(c, &b->devices[d]->parts[k], &l);
        l.all += b->capped.n;
        l.switched += b->capped.n;
    }
    return l;
}

/* What the kinds of a room ask for together. */
struct asked {
    bool any, receptacle_may,
        at_use; /* at_use: only where the space is used for storage or equipment */
    const char *article;
};

static void ask_for_kind(const struct checked *c, const struct room *r, const struct kind_def *kind,
                         void *data)
{
    (void)r;
    struct asked *a = data;
    struct code *code = &c->model->code;
    struct table *t = code_table(code, TABLE_LIGHTING_OUTLETS);
    const char *row = t ? table_kind(t, kind) : NULL;
    if (!row)
        return;
    bool at_use = code_cell_yes(code, COL_LIGHTING_OUTLETS_CONTROL_AT_ENTRY, row),
         may = code_cell_yes(code, COL_LIGHTING_OUTLETS_RECEPTACLE_MAY, row);
    a->receptacle_may = may && (!a->any || a->receptacle_may);
    a->at_use = at_use && (!a->any || a->at_use);
    if (!a->any)
        a->article = code_cell_cite(code, COL_LIGHTING_OUTLETS_ARTICLE, row);
    a->any = true;
}

RULE(lighting_outlet, "lighting-outlet", ERROR, WAIVABLE,
     "rooms and outside doors have a light that a switch works");

static void say_no_light(const struct checked *c, const struct room *r, const struct asked *a,
                         const struct lights *l)
{
    struct code *code = &c->model->code;
    const char *words = placing_room_words(c, r);
    struct finding *f;
    if (l->all) {
        f = room_finding(c, &rule_lighting_outlet, r, "%s has a light, but no switch works it",
                         words);
        rules_set_article(
            c, f,
            a->any ? a->article
                   : code_row_article(code, COL_LIGHTING_ARTICLES_ARTICLE, "outside-door"));
    } else if (a->any && a->receptacle_may && l->small) {
        f = room_finding(c, &rule_lighting_outlet, r,
                         "%s: the switched receptacle in %s stands for its light, but is on %s, a "
                         "small-appliance circuit",
                         words, address_of_box(c->model->arena, l->small->device->box, true),
                         rules_circuit_words(c, l->small->circuit));
        rules_set_article(c, f,
                          code_row_article(code, COL_LIGHTING_ARTICLES_ARTICLE, "small-appliance"));
        diag_mend(c->model->diag, f,
                  "feed it from a general circuit, beside the receptacles that must be there; or a "
                  "luminaire and its switch on one leg");
        return;
    } else if (a->any) {
        f = room_finding(c, &rule_lighting_outlet, r,
                         "%s has no lighting outlet that a switch works", words);
        rules_set_article(c, f, a->article);
    } else {
        f = room_finding(c, &rule_lighting_outlet, r,
                         "%s: a door of the dwelling leads there, but no light is outside it",
                         words);
        rules_set_article(c, f,
                          code_row_article(code, COL_LIGHTING_ARTICLES_ARTICLE, "outside-door"));
    }
    diag_mend(c->model->diag, f,
              a->any && a->receptacle_may
                  ? "a luminaire and its switch on one leg, or a switched receptacle"
                  : "a luminaire and its switch on one leg");
}

/* A garage that stands apart and has no power: nothing is asked of it, nor at its doors. */
static bool is_without_power(const struct room *r)
{
    return r->detached && !r->boxes.n;
}

BLIND_SPOT(switch_by_entrance, lighting_outlet, "whether a switch is by the entrance of", "");

/* `spaces used for storage or equipment` may have a light with its own switch; a space without any
 * box is not known to be used. */
static void check_room_light(const struct checked *c, const struct room *r, bool outside_door)
{
    struct asked a = {0};
    placing_room_kinds(c, r, ask_for_kind, &a);
    if ((!a.any && !outside_door) || is_without_power(r))
        return;
    struct lights l = lights_of(c, r);
    looked(c, lighting_outlet);
    if (l.switched)
        room_passed(c, switch_by_entrance, r);
    if (l.switched || (a.any && a.receptacle_may && l.receptacles) ||
        (a.any && a.at_use && (l.all || !r->boxes.n)))
        return;
    say_no_light(c, r, &a, &l);
}

/* A door that people use, not one for vehicles. */
static bool is_entrance(const struct checked *c, const struct fixture *x)
{
    struct code *code = &c->model->code;
    return x->form == F_DOOR && (code_yes(&c->model->code, SET_OUTDOOR_LIGHT_VEHICLE_DOOR) ||
                                 x->wide < code_length(code, SET_OUTDOOR_LIGHT_VEHICLE_FROM, 0));
}

/* Places outdoors that a door of the dwelling leads to, by the id of their room. */
static bool *outside_doors(const struct checked *c)
{
    const struct model *m = c->model;
    bool *leads = arena_array(m->arena, bool, m->rooms.n);
    if (!code_yes(&c->model->code, SET_OUTDOOR_LIGHT_AT_OUTSIDE_DOOR))
        return leads;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        const opening_list *openings = &c->openings->of_room[i];
        bool outdoors = placing_room_for_rule(c, r, &rule_lighting_outlet);
        for (uint32_t k = 0; k < openings->n; k++) {
            const struct fixture *x = &openings->at[k].here;
            const struct room *there = outdoors ? r : x->to, *inside = outdoors ? x->to : r;
            bool between_outdoors =
                inside && placing_room_for_rule(c, inside, &rule_lighting_outlet);
            if (there && is_entrance(c, x) &&
                placing_room_for_rule(c, there, &rule_lighting_outlet) && !between_outdoors &&
                !(inside && is_without_power(inside)))
                leads[there->id] = true;
        }
    }
    return leads;
}

/* The first door of a room that leads outside where the plan draws nothing; NULL where there is
 * none. */
static const struct fixture *undrawn_outside(const struct checked *c, const struct room *r)
{
    const opening_list *openings = &c->openings->of_room[r->id];
    for (uint32_t k = 0; k < openings->n; k++) {
        const struct fixture *x = &openings->at[k].here;
        if (x->to_outside && !x->to && is_entrance(c, x))
            return x;
    }
    return NULL;
}

/* A light outside a door stands in a place outdoors: where the plan draws none, it has no light. */
static void check_undrawn_outside(const struct checked *c, const struct room *r)
{
    struct code *code = &c->model->code;
    const struct fixture *x = undrawn_outside(c, r);
    if (!x || is_without_power(r) || rules_room_is_old(r) ||
        !code_yes(code, SET_OUTDOOR_LIGHT_AT_OUTSIDE_DOOR) ||
        placing_room_for_rule(c, r, &rule_lighting_outlet))
        return;
    looked(c, lighting_outlet);
    struct finding *f = fixed_finding(
        c, &rule_lighting_outlet, r, node_span(x->node),
        "%s: a door leads outside, and the plan draws no place there that has a light",
        placing_room_words(c, r));
    rules_set_article(c, f, code_row_article(code, COL_LIGHTING_ARTICLES_ARTICLE, "outside-door"));
    diag_mend(c->model->diag, f,
              "a room of kind 'outdoors' before the door, with a luminaire and its switch on one "
              "leg");
}

static void check_lighting_outlets(const struct checked *c)
{
    const struct model *m = c->model;
    bool *outside = outside_doors(c);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (placing_room_is_certain(m->rooms.at[i])) {
            check_room_light(c, m->rooms.at[i], outside[i]);
            check_undrawn_outside(c, m->rooms.at[i]);
        }
}
CHECK(lighting_outlet, .plan = check_lighting_outlets);

/* --- stair-switching ---------------------------------------------------------------------- */

/* Whether a switch of the leg stands at an end of the stair: on its level, or in its room where
 * both ends are on one level. What works by itself stands for all places. `dims`: one that dims is
 * wanted. */
static bool worked_at(const struct checked *c, const struct leg *l, const struct room *end,
                      bool by_room, bool dims)
{
    for (uint32_t i = 0; i < l->controls.n; i++) {
        const struct device *d = l->controls.at[i]->device;
        const struct room *r = d->box->room;
        if ((by_room ? r == end : r->level == end->level) &&
            (!dims || facts_device_in_list(c->model, d->def, LIST_DIMMERS)))
            return true;
        if (!dims && facts_device_in_list(c->model, d->def, LIST_AUTOMATIC_CONTROLS))
            return true;
    }
    return false;
}

static bool has_dimmer(const struct checked *c, const struct leg *l)
{
    for (uint32_t i = 0; i < l->controls.n; i++)
        if (facts_device_in_list(c->model, l->controls.at[i]->device->def, LIST_DIMMERS))
            return true;
    return false;
}

/* What is known of the lights of one stair: whether any has a leg, whether one is worked at both
 * ends, and an end where the best of them is not. */
struct stair_lights {
    const struct stairs *stairs;
    const struct leg *leg;
    const struct room *bare;
    const struct leg *dimmed; /* worked at both ends, but dimmed at one only */
    const struct room *dark;  /* the other end */
    bool served;
};

static void look_at_leg(const struct checked *c, const struct leg *l, struct stair_lights *s)
{
    const struct room *from = s->stairs->from, *to = s->stairs->to;
    bool by_room = from->level == to->level, at_from = worked_at(c, l, from, by_room, false),
         at_to = worked_at(c, l, to, by_room, false);
    if (at_from && at_to && !s->served) {
        bool full = !has_dimmer(c, l) ||
                    (worked_at(c, l, from, by_room, true) && worked_at(c, l, to, by_room, true));
        s->dimmed = full ? NULL : l;
        s->dark = worked_at(c, l, from, by_room, true) ? to : from;
        s->served = full;
    }
    if (!s->leg || at_from || at_to) {
        s->leg = l;
        s->bare = at_from ? to : from;
    }
}

static void look_at_room(const struct checked *c, const struct room *r, struct stair_lights *s)
{
    for (uint32_t i = 0; i < r->boxes.n; i++)
        for (uint32_t d = 0; d < r->boxes.at[i]->device_count; d++) {
            const struct device *device = r->boxes.at[i]->devices[d];
            for (uint32_t k = 0; k < device->part_count; k++)
                if (facts_is_light(&device->parts[k]) && device->parts[k].leg &&
                    device->parts[k].leg->controls.n)
                    look_at_leg(c, device->parts[k].leg, s);
        }
}

RULE(stair_switching, "stair-switching", ERROR, WAIVABLE,
     "the light of a stair is worked at both of its ends");

/* A light that was dimmed down at one end cannot be brought up at the other. */
static void say_dimmed(const struct checked *c, const struct room *r, const struct stair_lights *s)
{
    const struct stairs *st = s->stairs;
    const char *wanted = code_word(&c->model->code, SET_STAIR_SWITCHING_DIMMER);
    if (!wanted || strcmp(wanted, "full-at-each") != 0)
        return;
    struct finding *f =
        fixed_finding(c, &rule_stair_switching, r, node_span(st->node),
                      "stairs of %s from '%s' to '%s': leg '%s' has a dimmer at one end "
                      "only; at '%s' its light "
                      "cannot be brought up",
                      arena_counted(c->model->arena, st->risers, "riser", "risers"), st->from->name,
                      st->to->name, s->dimmed->name, s->dark->name);
    rules_set_article(
        c, f, code_row_article(&c->model->code, COL_LIGHTING_ARTICLES_ARTICLE, "stair-dimmer"));
    diag_mend(c->model->diag, f, "plain switches at both ends, or dimmers made to work together");
}

BLIND_SPOT(stair_landings, stair_switching, "doors at the landings of the stairs in", "");

/* Whether a leg is half a leg, as leg-without-load or leg-without-switch says, that may be meant
 * for a light of the stair: a switch at one of its ends that works nothing, or a light of one of
 * its rooms that no switch works. */
static bool is_half_of_stair(const struct checked *c, const struct leg *l, const struct room *r,
                             const struct stairs *st)
{
    bool by_room = st->from->level == st->to->level;
    if (l->capped.n || !l->controls.n == !l->loads.n)
        return false;
    for (uint32_t i = 0; i < l->loads.n; i++) {
        const struct room *at = l->loads.at[i]->device->box->room;
        if (facts_is_light(l->loads.at[i]) && (at == r || at == st->from || at == st->to))
            return true;
    }
    return worked_at(c, l, st->from, by_room, false) || worked_at(c, l, st->to, by_room, false);
}

static bool has_half_leg(const struct checked *c, const struct room *r, const struct stairs *st)
{
    for (uint32_t i = 0; i < c->model->legs.n; i++)
        if (is_half_of_stair(c, c->model->legs.at[i], r, st))
            return true;
    return false;
}

static void check_stair(const struct checked *c, const struct room *r, const struct stairs *st)
{
    struct stair_lights s = {.stairs = st};
    if (!st->from || !st->to || st->from == st->to || !placing_room_is_certain(st->from) ||
        !placing_room_is_certain(st->to))
        return;
    look_at_room(c, st->from, &s);
    look_at_room(c, st->to, &s);
    if (r != st->from && r != st->to)
        look_at_room(c, r, &s);
    if (!s.leg)
        return;
    looked(c, stair_switching);
    room_passed(c, stair_landings, r);
    if (s.served)
        return;
    if (s.dimmed) {
        say_dimmed(c, r, &s);
        return;
    }
    if (has_half_leg(c, r, st))
        return;
    struct finding *f =
        fixed_finding(c, &rule_stair_switching, r, node_span(st->node),
                      "stairs of %s from '%s' to '%s': no light of theirs is worked at both "
                      "ends; a switch of leg '%s' "
                      "is missing at '%s'",
                      arena_counted(c->model->arena, st->risers, "riser", "risers"), st->from->name,
                      st->to->name, s.leg->name, s.bare->name);
    diag_mend(c->model->diag, f, "a switch of leg %s in '%s', wired as a three-way", s.leg->name,
              s.bare->name);
}

BLIND_SPOT(stair_ends, stair_switching, "what the stairs join in", "");

static void check_stairs(const struct checked *c, const struct room *r)
{
    double risers = code_count(&c->model->code, SET_STAIR_SWITCHING_RISERS, 0);
    for (uint32_t k = 0; k < r->stairs.n; k++) {
        const struct stairs *s = &r->stairs.at[k];
        if (s->risers < risers)
            continue;
        if (!s->from || !s->to)
            room_passed(c, stair_ends, r);
        check_stair(c, r, s);
    }
}
CHECK(stair_switching, .room = {check_stairs, WHOLE_ROOM, NEW_WORK});

/* --- closet-luminaire --------------------------------------------------------------------- */

struct closet_code {
    struct table *distances;
    length deep, above, rod;
    length shallowest; /* in a closet of less depth none fits */
};

/* The storage space of a closet runs along the walls that have no door: `deep` from the wall up to
 * the rod, `above` from there to the ceiling (410.2). */
static bool wall_stores(const struct checked *c, const struct room *r, uint32_t wall)
{
    const opening_list *openings = &c->openings->of_room[r->id];
    for (uint32_t i = 0; i < openings->n; i++) {
        const struct fixture *x = &openings->at[i].here;
        if (x->wall == wall && (x->form == F_DOOR || x->form == F_OPENING))
            return false;
    }
    return true;
}

static double over(double a, double b)
{
    return a > b ? a - b : 0;
}

/* From a luminaire to the storage space along one wall. */
static double distance_to_storage(const struct closet_code *k, const struct wall *w,
                                  const struct box *b)
{
    double from_wall = space_distance_to_wall(w, (struct point){b->place.at.x, b->place.at.y}),
           up = (double)b->place.up;
    double below = hypot(over(from_wall, (double)k->deep), over(up, (double)k->rod));
    double above = hypot(over(from_wall, (double)k->above), over((double)k->rod, up));
    return below < above ? below : above;
}

/* How deep the closet is before one of its walls. */
static double depth_before(const struct room *r, const struct wall *w)
{
    double deep = 0;
    for (uint32_t i = 0; i < r->wall_count; i++)
        deep = fmax(deep, space_distance_to_wall(w, r->walls[i].left));
    return deep;
}

RULE(closet_luminaire, "closet-luminaire", ERROR, WAIVABLE,
     "a luminaire in a closet keeps clear of what is stored there");

BLIND_SPOT(closet_shelves, closet_luminaire, "shelves and rods in", "");

static void check_closet_box(const struct checked *c, const struct closet_code *k,
                             const struct room *r, const struct box *b, const bool *stores)
{
    for (uint32_t d = 0; d < b->device_count; d++) {
        const struct table_row *row = facts_device_row(b->devices[d]->def, k->distances);
        if (row) {
            looked(c, closet_luminaire);
            room_passed(c, closet_shelves, r);
        }
        length wanted =
            row ? code_cell_length(&c->model->code, COL_CLOSET_LUMINAIRE_DISTANCE, row->key, -1)
                : -1;
        for (uint32_t w = 0; wanted >= 0 && w < r->wall_count; w++) {
            double there = stores[w] ? distance_to_storage(k, &r->walls[w], b) : INFINITY;
            if (there >= (double)wanted)
                continue;
            struct finding *f = box_finding(
                c, &rule_closet_luminaire, b,
                "%s: the %s is %s from the storage space along the %s wall; it wants %s",
                address_of_box(c->model->arena, b, true), b->devices[d]->def->name,
                rules_feet(c, (length)llround(there)), r->walls[w].written, rules_feet(c, wanted));
            if (depth_before(r, &r->walls[w]) < (double)k->shallowest)
                diag_mend(c->model->diag, f,
                          "a light in the room before it: none fits in a closet less than %s deep",
                          rules_feet(c, k->shallowest));
            else
                diag_mend(c->model->diag, f,
                          "on the wall above the door or farther into the middle; a recessed one "
                          "may be nearer than one on the surface");
            return;
        }
    }
}

static void check_closet(const struct checked *c, const struct room *r)
{
    struct code *code = &c->model->code;
    struct closet_code k = {code_table(code, TABLE_CLOSET_LUMINAIRE),
                            code_length(code, SET_CLOSET_LUMINAIRE_STORAGE_DEEP, 0),
                            code_length(code, SET_CLOSET_LUMINAIRE_ABOVE_ROD, 0),
                            code_length(code, SET_CLOSET_LUMINAIRE_ROD_HEIGHT, 0),
                            code_length(code, SET_CLOSET_LUMINAIRE_SHALLOWEST, 0)};
    if (!k.distances || !placing_room_for_rule(c, r, &rule_closet_luminaire))
        return;
    bool *stores = arena_array(c->model->arena, bool, r->wall_count), open = false;
    for (uint32_t w = 0; w < r->wall_count; w++) {
        stores[w] = wall_stores(c, r, w);
        open |= !stores[w];
    }
    for (uint32_t i = 0; i < r->boxes.n && open; i++)
        if (!r->boxes.at[i]->existing)
            check_closet_box(c, &k, r, r->boxes.at[i], stores);
}

CHECK(closet_luminaire, .room = {check_closet, WHOLE_ROOM, NEW_WORK});

/* --- recessed-in-insulation --------------------------------------------------------------- */

RULE(recessed_in_insulation, "recessed-in-insulation", ERROR, WAIVABLE,
     "a recessed housing that must stand clear of insulation does so");

BLIND_SPOT(recessed_listing, recessed_in_insulation,
           "the listing for insulation of the recessed luminaire in", "");

static void check_recessed(const struct checked *c, const struct device *d)
{
    const struct box *b = d->box;
    if (d->def->sort == SORT_LUMINAIRE && d->def->integral)
        box_passed(c, recessed_listing, b);
    if (d->def->sort == SORT_LUMINAIRE && d->def->integral && b->place.where == OVERHEAD)
        looked(c, recessed_in_insulation);
    if (!d->def->clear_of_insulation || !b->room->insulated_ceiling || b->place.where != OVERHEAD)
        return;
    struct finding *f = box_finding(
        c, &rule_recessed_in_insulation, b,
        "%s: the %s must stand clear of insulation, and the ceiling of %s is insulated",
        address_of_box(c->model->arena, b, true), d->def->name, placing_room_words(c, b->room));
    diag_mend(c->model->diag, f, "a housing made for contact with insulation, such as 'recessed'");
    mends_device(c, f, d, "recessed");
}
CHECK(recessed_in_insulation, .device = {check_recessed, ITS_TEXT | ITS_BOXES, NEW_WORK});
