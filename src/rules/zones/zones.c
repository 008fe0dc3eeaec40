/* wet-zone, weather-protection, receptacle-over-heater, handle-too-high: where a box may not be, or
 * not as it is. */
#include "facts/boxes.h"
#include "facts/devices.h"
#include "facts/existing.h"
#include "facts/nearby.h"
#include "facts/places.h"
#include "facts/rooms.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/placing.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

/* --- wet-zone ----------------------------------------------------------------------------- */

/* The space about a tub or shower that must stay free: so far beside it, so high above its rim. */
struct zone {
    const struct checked *c;
    const struct room *room;
    const struct fixture *fixture;
    struct rectangle floor;
    length beside, above; /* above its rim: 0 for no limit */
    length rim;           /* from the floor */
    bool stops_at_walls;
    double farthest_wall; /* small bath: a receptacle may stand on the wall as far off as this; else
                             infinite */
};

/* Receptacles of any voltage and rating, those that appliances are plugged into among them. */
static bool has_outlet(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->outlets && b->devices[i]->def->sort != SORT_LUMINAIRE)
            return true;
    return false;
}

/* Which side of the line from a to b a point lies on; 0 on it. */
static int side(struct point a, struct point b, struct point p)
{
    double turn = ((double)b.x - (double)a.x) * ((double)p.y - (double)a.y) -
                  ((double)b.y - (double)a.y) * ((double)p.x - (double)a.x);
    return (turn > 0) - (turn < 0);
}

/* Whether a wall of the room stands between a box and the nearest spot of the tub: the way straight
 * across crosses it. */
static bool wall_between(const struct zone *z, struct point p)
{
    struct point q = space_nearest_in_rectangle(&z->floor, p);
    for (uint32_t i = 0; i < z->room->wall_count; i++) {
        struct point a = z->room->walls[i].left, b = z->room->walls[i].right;
        if (side(a, b, p) * side(a, b, q) < 0 && side(p, q, a) * side(p, q, b) < 0)
            return true;
    }
    return false;
}

static const char *zone_words(const struct zone *z)
{
    const char *what = z->fixture->form == F_TUB ? "tub" : "shower";
    return z->beside ? arena_printf(z->c->model->arena, "within %s of the %s",
                                    rules_feet(z->c, z->beside), what)
                     : arena_printf(z->c->model->arena,
                                    "in the space of the %s or straight above it", what);
}

static bool in_zone(const struct zone *z, const struct box *b, length beside, length above)
{
    double d = space_distance_to_rectangle(&z->floor, (struct point){b->place.at.x, b->place.at.y});
    bool low = !above || b->place.up <= z->rim + above;
    /* A zone that has no breadth is the tub's own space: a box on its edge is in the wall behind
     * it. */
    return low && (beside ? d < (double)beside : d <= 0);
}

/* Where the whole of a bath lies in the zone, the wall farthest from the tub may have the
 * receptacle. */
static double farthest_wall(const struct zone *z)
{
    double far = 0;
    for (uint32_t i = 0; i < z->room->wall_count; i++) {
        double d = space_distance_to_rectangle(&z->floor, z->room->walls[i].left);
        far = d > far ? d : far;
    }
    return far < (double)z->beside ? far : INFINITY;
}

static bool on_farthest_wall(const struct zone *z, const struct box *b)
{
    if (isinf(z->farthest_wall) || b->place.where != ON_WALL || b->room != z->room)
        return false;
    const struct wall *w = &z->room->walls[b->place.wall];
    return space_distance_to_rectangle(&z->floor, w->left) >= z->farthest_wall &&
           space_distance_to_rectangle(&z->floor, w->right) >= z->farthest_wall;
}

RULE(wet_zone, "wet-zone", ERROR, WAIVABLE,
     "no receptacle, switch or hanging fan is in the zone of a tub or shower");

static void check_zone_box(const struct box *b, void *data)
{
    const struct zone *z = data;
    const struct checked *c = z->c;
    bool next_door = b->room != z->room &&
                     (z->stops_at_walls || !z->beside); /* the tub's own space ends at its walls */
    if (b->existing || !facts_known(b, ITS_TEXT) || b->room->level != z->room->level || next_door)
        return;
    if (z->stops_at_walls && wall_between(z, (struct point){b->place.at.x, b->place.at.y}))
        return;
    if (!has_outlet(b) || !in_zone(z, b, z->beside, z->above) || on_farthest_wall(z, b))
        return;
    struct finding *f =
        box_finding(c, &rule_wet_zone, b, "%s: a receptacle %s on the %s wall of %s",
                    address_of_box(c->model->arena, b, true), zone_words(z),
                    z->room->walls[z->fixture->wall].written, placing_room_words(c, z->room));
    diag_note(c->model->diag, f, node_span(z->fixture->node), "this one");
    diag_mend(c->model->diag, f, z->beside ? "%s or more from it" : "outside it",
              rules_feet(c, z->beside));
}

/* Paddle fans and other luminaires that hang down. */
static void check_zone_fan(const struct zone *z, const struct box *b, length beside, length above)
{
    const struct checked *c = z->c;
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device_def *def = b->devices[i]->def;
        if (b->existing || !facts_device_in_list(c->model, def, LIST_LUMINAIRE_TUB_ZONE_KINDS) ||
            !in_zone(z, b, beside, above))
            continue;
        struct finding *f =
            box_finding(c, &rule_wet_zone, b,
                        "%s: the %s hangs within %s of the %s and less than %s above its rim",
                        address_of_box(c->model->arena, b, true), def->name, rules_feet(c, beside),
                        z->fixture->form == F_TUB ? "tub" : "shower", rules_feet(c, above));
        const struct table *t = code_table(&c->model->code, TABLE_LUMINAIRE_TUB_ZONE);
        rules_set_article(c, f, t ? t->source : NULL);
        diag_note(c->model->diag, f, node_span(z->fixture->node), "this one");
        diag_mend(c->model->diag, f, "%s or more from it", rules_feet(c, beside));
        return;
    }
}

static bool has_switch(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->sort == SORT_CONTROL && !b->devices[i]->existing)
            return true;
    return false;
}

/* No switch stands in the tub's or shower's own space (404.4(C)). */
static void check_zone_switch(const struct zone *z, const struct box *b)
{
    const struct checked *c = z->c;
    length beside = code_length(&c->model->code, SET_SWITCH_TUB_ZONE_BESIDE, 0);
    if (b->existing || !has_switch(b) || !in_zone(z, b, beside, 0))
        return;
    struct finding *f = box_finding(c, &rule_wet_zone, b, "%s: a switch in the space of the %s",
                                    address_of_box(c->model->arena, b, true),
                                    z->fixture->form == F_TUB ? "tub" : "shower");
    const struct table *t = code_table(&c->model->code, TABLE_SWITCH_TUB_ZONE);
    rules_set_article(c, f, t ? t->source : NULL);
    diag_note(c->model->diag, f, node_span(z->fixture->node), "this one");
    diag_mend(c->model->diag, f, "outside it, best by the door");
}

BLIND_SPOT(zone_listing, wet_zone, "whether what hangs in",
           "over the tub or shower is made for that, and asks GFCI");

/* A light or fan straight over it, within reach of the water (410.10(A), (D)). */
static void pass_zone_light(const struct zone *z, const struct box *b, length above)
{
    bool any = false;
    for (uint32_t i = 0; i < b->device_count; i++)
        any |= !b->devices[i]->existing && !b->devices[i]->def->yokes &&
               (b->devices[i]->def->sort == SORT_LUMINAIRE || b->devices[i]->def->integral);
    if (any && in_zone(z, b, 0, above))
        box_passed(z->c, zone_listing, b);
}

static void check_zone(struct zone *z, const struct nearby *receptacles)
{
    struct code *code = &z->c->model->code;
    looked(z->c, wet_zone);
    z->floor = space_fixture_rectangle(z->room, z->fixture, placing_fixture_deep(z->c, z->fixture));
    z->rim = code_cell_length(code, COL_FIXED_THINGS_RIM, z->fixture->word, 0);
    z->farthest_wall = code_yes(&z->c->model->code, SET_TUB_ZONE_SMALL_BATH_FARTHEST)
                           ? farthest_wall(z)
                           : INFINITY;
    struct point low = z->floor.corner[0], high = low;
    for (int i = 1; i < 4; i++) {
        struct point p = z->floor.corner[i];
        low = (struct point){p.x < low.x ? p.x : low.x, p.y < low.y ? p.y : low.y};
        high = (struct point){p.x > high.x ? p.x : high.x, p.y > high.y ? p.y : high.y};
    }
    nearby_each(receptacles, low, high, z->beside, check_zone_box, z);
    length beside = code_length(code, SET_LUMINAIRE_TUB_ZONE_BESIDE, 0),
           above = code_length(code, SET_LUMINAIRE_TUB_ZONE_ABOVE_RIM, 0);
    for (uint32_t i = 0; i < z->room->boxes.n; i++) {
        const struct box *b = z->room->boxes.at[i];
        if (beside > 0)
            check_zone_fan(z, b, beside, above);
        if (!facts_known(b, ITS_TEXT))
            continue;
        check_zone_switch(z, b);
        pass_zone_light(z, b, above);
    }
}

static void check_room_zones(const struct checked *c, const struct room *r, struct zone zone,
                             struct nearby *receptacles)
{
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->form != F_TUB && x->form != F_SHOWER)
            continue;
        if (!receptacles->side)
            nearby_make(c->model->arena, receptacles, c->model, zone.beside + FOOT,
                        has_outlet); /* squares of any size serve */
        zone.room = r;
        zone.fixture = x;
        check_zone(&zone, receptacles);
    }
}

static void check_wet_zones(const struct checked *c)
{
    struct code *code = &c->model->code;
    struct zone zone = {.c = c,
                        .beside = code_length(code, SET_TUB_ZONE_BESIDE, 0),
                        .above = code_length(code, SET_TUB_ZONE_ABOVE_RIM, 0)};
    struct nearby receptacles = {0};
    zone.stops_at_walls = code_yes(&c->model->code, SET_TUB_ZONE_STOPS_AT_WALLS);
    for (uint32_t i = 0; i < c->model->rooms.n; i++)
        if (c->model->rooms.at[i]->fixtures.n &&
            facts_known(c->model->rooms.at[i], WHOLE_ROOM)) /* boxes of an old room may be new */
            check_room_zones(c, c->model->rooms.at[i], zone, &receptacles);
}
CHECK(wet_zone, .plan = check_wet_zones);

/* --- weather-protection ------------------------------------------------------------------- */

static const struct device *not_resistant(const struct checked *c, const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (placing_device_is_receptacle(b->devices[i]) &&
            !facts_device_in_list(c->model, b->devices[i]->def, LIST_WEATHER_RESISTANT))
            return b->devices[i];
    return NULL;
}

RULE(weather_protection, "weather-protection", ERROR, WAIVABLE,
     "boxes, receptacles and switches outdoors keep the weather out");

BLIND_SPOT(wet_listing, weather_protection, "whether the luminaire of",
           "is made for damp or wet places");

/* What is wrong with a box in the weather, and what would mend it, in one line each. */
struct weathered {
    const char *wrong, *mend;
    const struct box_type *type;    /* that would do; NULL: the type is no fault, or none would */
    const struct device *resistant; /* one that wants to be; NULL: none */
    bool cover;                     /* an in-use cover is missing */
    bool undone;                    /* what is wrong has no type that would do */
};

static void add_wrong(const struct checked *c, struct weathered *w, const char *wrong,
                      const char *mend)
{
    struct arena *a = c->model->arena;
    w->wrong = w->wrong ? arena_printf(a, "%s, and %s", w->wrong, wrong) : wrong;
    w->mend = w->mend ? arena_printf(a, "%s, and %s", w->mend, mend) : mend;
}

/* A box that is not made for it. Where a switch stands in it, that is what its enclosure keeps dry.
 */
static void check_dry_box(const struct checked *c, const struct box *b, struct weathered *w)
{
    if (!(c->wiring->of_box[b->id].misfits & MISFIT_WET))
        return;
    const struct box_type *other = wiring_box_that_serves(c->model, c->wiring, b);
    struct arena *a = c->model->arena;
    w->type = other;
    w->undone = !other;
    add_wrong(c, w, arena_printf(a, "%s is not made for a wet place", b->declared->name),
              other ? arena_printf(a, "a box made for wet places, such as %s", other->name)
                    : "a box made for wet places");
}

/* Receptacles: in the open under a cover that keeps them dry with a plug in, under a roof under one
 * that does without. */
static void check_outdoor_receptacle(const struct checked *c, const struct box *b,
                                     struct weathered *w)
{
    if (!room_used_as(c->model, b->room, LIST_WEATHER_PLACES) || !placing_box_has_receptacle(b))
        return;
    const struct device *d =
        code_yes(&c->model->code, SET_WEATHER_PROTECTION_RESISTANT) ? not_resistant(c, b) : NULL;
    bool bare = facts_is_wet(c->model, b) == ANSWER_YES &&
                code_yes(&c->model->code, SET_WEATHER_PROTECTION_IN_USE_COVER) &&
                (!b->cover || strcmp(b->cover, "in-use") != 0);
    w->resistant = d;
    w->cover = bare;
    if (d)
        add_wrong(c, w,
                  arena_printf(c->model->arena, "the %s is not weather-resistant", d->def->name),
                  "a device such as 'receptacle-wr'");
    if (bare)
        add_wrong(c, w, "the receptacle has no in-use cover", "'cover in-use' in the box");
}

static bool has_luminaire(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++)
        if (b->devices[i]->def->sort == SORT_LUMINAIRE)
            return true;
    return false;
}

/* Every receptacle of the box as one that is weather-resistant; false where there is no such type.
 */
static bool write_resistant(const struct checked *c, struct editing e, const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device *d = b->devices[i];
        if (!placing_device_is_receptacle(d) ||
            facts_device_in_list(c->model, d->def, LIST_WEATHER_RESISTANT))
            continue;
        const struct device_def *def = mends_receptacle_type(c, d, "", "-wr");
        if (!def)
            return false;
        edit_word(e, d->node, def->name);
    }
    return true;
}

/* All that is wrong at once. */
static void mend_weather(const struct checked *c, struct finding *f, const struct box *b,
                         const struct weathered *w)
{
    if (w->undone || b->existing || (w->type && !edit_is_written(b->node, F_BOX_TYPE)) ||
        (w->resistant && !write_resistant(c, (struct editing){c->model->arena, NULL}, b)))
        return;
    struct editing e = rules_way(c, f, false, "%s", w->mend);
    if (w->resistant)
        write_resistant(c, e, b);
    if (w->type)
        edit_clause(e, b->node, F_BOX_TYPE,
                    arena_printf(c->model->arena, "type %s", w->type->name));
    if (w->cover)
        edit_clause(e, b->node, F_COVER, "cover in-use");
}

/* An old box is held to it where a new device comes into it and its type is told; its receptacle is
 * judged as one that replaces another, and what covers it is not told. */
static void check_weather(const struct checked *c, const struct box *b)
{
    if (b->existing && !(facts_gets_device(b) && b->declared))
        return;
    if (!facts_known(b->room, ITS_KINDS) || facts_is_weathered(c->model, b) != ANSWER_YES)
        return;
    struct weathered w = {0};
    looked(c, weather_protection);
    if (has_luminaire(b))
        box_passed(c, wet_listing, b);
    check_dry_box(c, b, &w);
    const char *box_alone = w.wrong;
    if (!b->existing)
        check_outdoor_receptacle(c, b, &w);
    if (!w.wrong)
        return;
    struct finding *f = box_finding(c, &rule_weather_protection, b, "%s: %s",
                                    address_of_box(c->model->arena, b, true), w.wrong);
    if (w.wrong == box_alone)
        rules_set_article(c, f, code_row_article(&c->model->code, COL_BOX_ARTICLES_ARTICLE, "wet"));
    diag_mend(c->model->diag, f, "%s", w.mend);
    mend_weather(c, f, b, &w);
}

CHECK(weather_protection, .box = {check_weather, ITS_TEXT});

/* A roof changes nothing for a place that no rain reaches. */
static void check_covered(const struct checked *c, const struct room *room)
{
    if (!room->covered || room_used_as(c->model, room, LIST_WET_LOCATIONS))
        return;
    const struct node *clause = node_child(room->node, F_COVERED);
    struct finding *f = fixed_finding(
        c, &rule_no_effect_yet, room, clause ? node_span(clause) : node_name_span(room->node),
        "'covered' means nothing here: room '%s' does not lie in the open", room->name);
    diag_mend(c->model->diag, f, "leave 'covered' out, or say the kind of the place, such as %s",
              code_list_words(&c->model->code, LIST_WET_LOCATIONS));
    mends_leave_out(c, f, false, room->node, F_COVERED);
}
CHECK(no_effect_yet, .room = {check_covered, ITS_TEXT | ITS_KINDS});

/* --- receptacle-over-heater --------------------------------------------------------------- */

/* A baseboard's length follows from its load, by the trade; its box is taken to be at its middle.
 */
struct heater {
    const struct box *box;
    uint32_t wall;
    struct stretch along;
};

typedef VEC(struct heater) heater_list;

static void add_heaters(const struct checked *c, const struct box *b, double for_each_foot,
                        heater_list *out)
{
    length longest = code_length(&c->model->code, SET_BASEBOARD_LENGTH_LONGEST, 0);
    for (uint32_t i = 0; i < b->device_count && b->place.where == ON_WALL; i++) {
        double load = b->devices[i]->part_count ? b->devices[i]->parts[0].load : 0;
        if (load <= 0 ||
            !facts_device_in_list(c->model, b->devices[i]->def, LIST_BASEBOARD_HEATERS))
            continue;
        length long_ = (length)llround(load / for_each_foot * (double)FOOT),
               half = (long_ < longest ? long_ : longest) / 2;
        *vec_push(c->model->arena, out) = (struct heater){
            b, b->place.wall, {b->place.from_left - half, b->place.from_left + half}};
    }
}

/* Where the wall is free beside the heater, in the hand of the plan's text. */
static void say_beside_heater(const struct checked *c, struct finding *f, const struct wall *w,
                              struct stretch heater)
{
    struct stretch s =
        w->mirrored ? (struct stretch){w->length - heater.to, w->length - heater.from} : heater;
    const char *left =
        s.from > 0 ? arena_printf(c->model->arena, "left of %s", rules_feet(c, s.from)) : NULL;
    const char *right =
        s.to < w->length ? arena_printf(c->model->arena, "right of %s", rules_feet(c, s.to)) : NULL;
    if (left || right)
        diag_mend(c->model->diag, f, "%s%s%s from the left end of the %s wall", left ? left : "",
                  left && right ? ", or " : "", right ? right : "", w->written);
    else
        diag_mend(c->model->diag, f, "another wall");
}

RULE(receptacle_over_heater, "receptacle-over-heater", WARNING, WAIVABLE,
     "no receptacle is above a baseboard heater");

static bool is_over(const struct box *b, const struct heater *h)
{
    return b->place.wall == h->wall && b->place.up > h->box->place.up &&
           b->place.from_left > h->along.from && b->place.from_left < h->along.to;
}

/* Of two that it is over, the one that begins further to the left, then the lower, then by name:
 * whatever their order in the text. */
static bool comes_first(const struct heater *a, const struct heater *b)
{
    length by_place = a->along.from - b->along.from,
           by_height = a->box->place.up - b->box->place.up;
    return by_place    ? by_place < 0
           : by_height ? by_height < 0
                       : strcmp(a->box->name, b->box->name) < 0;
}

static void check_over_heaters(const struct checked *c, const struct box *b,
                               const heater_list *heaters)
{
    const struct heater *h = NULL;
    for (uint32_t i = 0; i < heaters->n; i++)
        if (is_over(b, &heaters->at[i]) && (!h || comes_first(&heaters->at[i], h)))
            h = &heaters->at[i];
    if (!h)
        return;
    struct finding *f = box_finding(c, &rule_receptacle_over_heater, b,
                                    "%s: a receptacle above the baseboard heater at %s, which "
                                    "is about %s long; cords would hang on it",
                                    address_of_box(c->model->arena, b, true), h->box->name,
                                    rules_feet(c, h->along.to - h->along.from));
    say_beside_heater(c, f, &b->room->walls[h->wall], h->along);
}

static void check_heaters(const struct checked *c, const struct room *r)
{
    double for_each_foot = code_load(&c->model->code, SET_BASEBOARD_LENGTH_LOAD_PER_FOOT, 0);
    heater_list heaters = {0};
    for (uint32_t k = 0; k < r->boxes.n && for_each_foot > 0; k++)
        if (facts_known(r->boxes.at[k], ITS_TEXT))
            add_heaters(c, r->boxes.at[k], for_each_foot, &heaters);
    for (uint32_t k = 0; k < r->boxes.n && heaters.n; k++) {
        const struct box *b = r->boxes.at[k];
        if (facts_known(b, ITS_TEXT) && !b->existing && b->place.where == ON_WALL &&
            placing_box_has_receptacle(b))
            check_over_heaters(c, b, &heaters);
    }
}
CHECK(receptacle_over_heater, .room = {check_heaters});

/* --- handle-too-high ---------------------------------------------------------------------- */

static bool has_handle(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device *d = b->devices[i];
        if (d->def->sort == SORT_CONTROL && d->def->yokes && !d->existing)
            return true;
    }
    return false;
}

RULE(handle_too_high, "handle-too-high", ERROR, WAIVABLE,
     "the handles of switches and breakers can be reached");

static void check_switch(const struct checked *c, const struct box *b)
{
    length up_to = code_length(&c->model->code, SET_HANDLE_HEIGHT_UP_TO, 0);
    if (up_to <= 0 || b->place.where != ON_WALL || !has_handle(b))
        return;
    looked(c, handle_too_high);
    if (b->place.up <= up_to)
        return;
    struct finding *f = box_finding(
        c, &rule_handle_too_high, b,
        "%s: its switch is %s from the floor; handles are %s up at most",
        address_of_box(c->model->arena, b, true), rules_feet(c, b->place.up), rules_feet(c, up_to));
    diag_mend(c->model->diag, f, "'up %s'",
              rules_feet(c, code_length(&c->model->code, SET_DEFAULT_HEIGHTS_SWITCH, up_to)));
    mends_up(c, f, b, code_length(&c->model->code, SET_DEFAULT_HEIGHTS_SWITCH, up_to));
}

/* The topmost handle of a panel lies somewhat below its upper edge. */
static void check_breakers(const struct checked *c, const struct panel *p)
{
    struct code *code = &c->model->code;
    length high = code_length(code, SET_BOX_SPACE_PANEL_HEIGHT, 0),
           below = code_length(code, SET_BOX_SPACE_HANDLE_BELOW_TOP, 0), over = high / 2 - below,
           up_to = code_length(code, SET_HANDLE_HEIGHT_UP_TO, 0), top = p->place.up + over;
    if (up_to <= 0 || !p->room || p->place.where != ON_WALL)
        return;
    looked(c, handle_too_high);
    if (top <= up_to)
        return;
    const char *address = address_of_panel(c->model->arena, p, false);
    struct finding *f = model_finding(
        c->model, &rule_handle_too_high, node_name_span(p->node), p->unit, address,
        "panel %s: its topmost breaker is about %s from the floor; handles "
        "are %s up at most",
        address_of_panel(c->model->arena, p, true), rules_feet(c, top), rules_feet(c, up_to));
    diag_mend(c->model->diag, f, "its middle at %s or lower", rules_feet(c, up_to - over));
}
CHECK(handle_too_high, .box = {check_switch, ITS_TEXT | ITS_PLACE, NEW_WORK},
      .panel = {check_breakers, ITS_TEXT, NEW_WORK});
