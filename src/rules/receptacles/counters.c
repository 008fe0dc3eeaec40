/* counter-spacing, island-receptacle, basin-receptacle: receptacles for those who stand at a
 * counter or basin. */
#include "facts/rooms.h"
#include "model/site.h"
#include "rules/placing.h"
#include "rules/receptacles/counter_spaces.h"

#include <math.h>
#include <string.h>

/* --- counter-spacing ---------------------------------------------------------------------- */

RULE(counter_spacing, "counter-spacing", ERROR, WAIVABLE,
     "no point along a kitchen counter is too far from a receptacle");

static void report_counter(const struct checked *c, const struct counter_space *s)
{
    const struct floor_line *line = &s->line;
    const struct counter_code *k = &s->code;
    const struct room *r = line->room;
    struct stretch space = s->at;
    const stretch_list *gaps = &s->gaps;
    length first =
        r->walls[0].mirrored ? space.to - 1 : space.from; /* as the plan's text goes along it */
    const struct fixture *x = counter_spaces_counter_at(line, first % line->whole);
    const struct node *at = x ? x->node : r->node;
    length sum = 0;
    for (uint32_t i = 0; i < gaps->n; i++)
        sum += gaps->at[i].to - gaps->at[i].from;
    const char *where = placing_walls_words(c, line, space),
               *long_ = rules_feet(c, space.to - space.from);
    struct finding *f;
    if (!s->points.n)
        f = fixed_finding(c, &rule_counter_spacing, r, node_span(at),
                          "%s: the counter space of %s along %s has no receptacle above it; no "
                          "point of it may be more than %s from one",
                          placing_room_words(c, r), long_, where, rules_feet(c, k->reach));
    else
        f = fixed_finding(
            c, &rule_counter_spacing, r, node_span(at),
            "%s: %s of the counter space of %s along %s is more than %s from a receptacle",
            placing_room_words(c, r), rules_feet(c, sum), long_, where, rules_feet(c, k->reach));
    diag_mend(c->model->diag, f, "a receptacle %s, up to %s above the counter",
              placing_window_words(c, line, space_first_point_window(space, gaps->at[0], k->reach)),
              rules_feet(c, k->above));
}

BLIND_SPOT(counters_not_drawn, counter_spacing, "the counters of", "");

static void check_counters(const struct checked *c, const struct room *r)
{
    counter_space_list spaces = {0};
    if (room_used_as(c->model, r, LIST_SMALL_APPLIANCE_KITCHENS) && !facts_has_counter(r) &&
        !r->islands.n)
        room_passed(c, counters_not_drawn, r);
    counter_spaces_find(c, r, &spaces);
    for (uint32_t i = 0; i < spaces.n; i++) {
        looked(c, counter_spacing);
        if (spaces.at[i].gaps.n)
            report_counter(c, &spaces.at[i]);
    }
}

CHECK(counter_spacing, .room = {check_counters, WHOLE_ROOM, NEW_WORK});

/* --- island-receptacle -------------------------------------------------------------------- */

/* An island or a peninsula: its size, and the edge where a peninsula ends. */
struct stand {
    const struct node *node;
    const char *what;
    struct rectangle top;
    length one, other; /* its sides */
    bool peninsula;
};

RULE(island_receptacle, "island-receptacle", ERROR, WAIVABLE,
     "an island or peninsula has the receptacles that the edition asks for");

BLIND_SPOT(below_top, island_receptacle,
           "how far below its top the receptacles of the island or peninsula sit in", "");

/* Whether a box sits too far below the top to serve it, where the plan says how high it sits. */
static bool sits_too_low(const struct checked *c, const struct box *b)
{
    length below = code_length(&c->model->code, SET_ISLANDS_BELOW_TOP, 0);
    return b->place.on_island && below && b->place.up < placing_top_of_counter(c) - below;
}

/* Receptacles that stand on it; `near_end`: those within so much of a peninsula's outer end. A box
 * of an island is written on one of its sides, or at its place on the floor. */
static uint32_t receptacles_on(const struct checked *c, const struct room *r, const struct stand *s,
                               const struct wall *wall, length end_within, uint32_t *near_end)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct box *b = r->boxes.at[i];
        struct point p = {b->place.at.x, b->place.at.y};
        if (b->place.where == OVERHEAD || !placing_box_always_live(b) || !placing_box_is_open(b) ||
            space_distance_to_rectangle(&s->top, p) > (double)INCH || sits_too_low(c, b))
            continue;
        if (!b->place.on_island)
            room_passed(c, below_top, r);
        n++;
        *near_end += !wall || space_distance_to_wall(wall, p) >= (double)(s->other - end_within);
    }
    return n;
}

/* How many receptacles the edition wants on a top of these sides. Areas: one for the first part,
 * one more for each further part or a fraction of it. */
static uint32_t wanted_on(const struct checked *c, const struct stand *s, const char *method)
{
    struct code *code = &c->model->code;
    length long_ = s->one > s->other ? s->one : s->other,
           short_ = s->one > s->other ? s->other : s->one;
    if (!strcmp(method, "one"))
        return long_ >= code_length(code, SET_ISLANDS_LONG, 0) &&
               short_ >= code_length(code, SET_ISLANDS_SHORT, 0);
    double area = length_feet(s->one) * length_feet(s->other);
    double first = code_area(code, SET_ISLANDS_FIRST_AREA, 0),
           more = code_area(code, SET_ISLANDS_FURTHER_AREA, 0);
    if (area <= 0 || first <= 0 || more <= 0)
        return 0;
    return area <= first ? 1 : 1 + (uint32_t)ceil((area - first) / more - 1e-9);
}

/* The editions before 2020 have a paragraph of their own for peninsulas. */
static struct finding *stand_finding(const struct checked *c, const struct room *r,
                                     const struct stand *s, const char *message)
{
    struct finding *f = fixed_finding(c, &rule_island_receptacle, r, node_span(s->node), "%s: %s",
                                      placing_room_words(c, r), message);
    if (s->peninsula)
        f->article = code_case_article(&c->model->code, "peninsula-receptacle");
    return f;
}

static void check_stand(const struct checked *c, const struct room *r, const struct stand *s,
                        const struct wall *wall)
{
    struct code *code = &c->model->code;
    const char *method = code_word(code, SET_ISLANDS_METHOD);
    uint32_t wanted = method ? wanted_on(c, s, method) : 0, near_end = 0;
    if (!wanted)
        return;
    looked(c, island_receptacle);
    length end_within =
        !strcmp(method, "area") && wall ? code_length(code, SET_ISLANDS_END_WITHIN, 0) : 0;
    uint32_t there = receptacles_on(c, r, s, end_within ? wall : NULL, end_within, &near_end);
    struct arena *arena = c->model->arena;
    const char *sides =
        arena_printf(arena, "%s by %s", rules_feet(c, s->one), rules_feet(c, s->other));
    if (there < wanted) {
        struct finding *f =
            stand_finding(c, r, s,
                          arena_printf(arena, "the %s of %s has %u receptacle%s; it wants %u",
                                       s->what, sides, there, there == 1 ? "" : "s", wanted));
        diag_mend(c->model->diag, f,
                  "a receptacle in it: a box on one of its sides, 'box NAME island SIDE at LENGTH "
                  "up HEIGHT', or at its place on the floor plan, 'box NAME floor at EAST, NORTH'");
    } else if (end_within && !near_end) {
        struct finding *f = stand_finding(
            c, r, s,
            arena_printf(arena, "no receptacle of the %s of %s is within %s of its outer end",
                         s->what, sides, rules_feet(c, end_within)));
        diag_mend(c->model->diag, f, "move one there");
    }
}

BLIND_SPOT(island_provision, island_receptacle,
           "the provision for a receptacle at the island or peninsula of", "");

/* Where the edition asks no receptacle of an island or peninsula, but that one can be set later. */
static void pass_provision(const struct checked *c, const struct room *r)
{
    bool any = r->islands.n > 0;
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        any |= r->fixtures.at[i].form == F_PENINSULA;
    if (any && code_yes(&c->model->code, SET_ISLANDS_PROVISION))
        room_passed(c, island_provision, r);
}

static void check_stands(const struct checked *c, const struct room *r)
{
    if ((!r->islands.n && !r->fixtures.n) || !room_used_as(c->model, r, LIST_COUNTER_PLACES))
        return;
    pass_provision(c, r);
    for (uint32_t i = 0; i < r->islands.n; i++) {
        const struct island *x = &r->islands.at[i];
        struct point a = x->low, b = x->high;
        struct stand s = {x->node,   "island",  {{a, {a.x, b.y}, b, {b.x, a.y}}},
                          b.x - a.x, b.y - a.y, false};
        check_stand(c, r, &s, NULL);
    }
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->form != F_PENINSULA || x->out <= 0)
            continue;
        struct stand s = {x->node, "peninsula", space_fixture_rectangle(r, x, x->out),
                          x->wide, x->out,      true};
        check_stand(c, r, &s, &r->walls[x->wall]);
    }
}

CHECK(island_receptacle, .room = {check_stands, WHOLE_ROOM, NEW_WORK});

/* --- island-below-top --------------------------------------------------------------------- */

RULE(island_below_top, "island-below-top", ERROR, WAIVABLE,
     "no receptacle sits below the top of an island or peninsula where cords would hang from it");

BLIND_SPOT(height_in_island, island_below_top,
           "how far below the top of the island or peninsula it sits, of", "");

/* Whether a box is drawn at its place on the floor, in an island or peninsula of its room. */
static bool drawn_in_stand(const struct box *b)
{
    return b->place.where == ON_FLOOR && !b->place.on_island && facts_stands_in_island(b);
}

static void check_below_top(const struct checked *c, const struct box *b)
{
    struct code *code = &c->model->code;
    length forbidden = code_length(code, SET_ISLANDS_FORBIDDEN_BELOW, 0),
           below = placing_top_of_counter(c) - b->place.up;
    if (forbidden <= 0 || !placing_box_is_open(b) ||
        !room_used_as(c->model, b->room, LIST_COUNTER_PLACES))
        return;
    if (drawn_in_stand(b))
        box_passed(c, height_in_island, b);
    if (!b->place.on_island)
        return;
    looked(c, island_below_top);
    if (below <= 0 || below >= forbidden)
        return;
    struct finding *f = box_finding(
        c, &rule_island_below_top, b,
        "the receptacle in %s sits %s below the top of the island; none may sit less "
        "than %s below it",
        address_of_box(c->model->arena, b, true), rules_feet(c, below), rules_feet(c, forbidden));
    diag_mend(c->model->diag, f, "take it away, move it lower, or set it into the top or above it");
}

CHECK(island_below_top, .box = {check_below_top, ITS_TEXT | ITS_PLACE, NEW_WORK});

/* --- basin-receptacle --------------------------------------------------------------------- */

/* Whether two walls of a room face each other: they run opposite ways. */
static bool face_each_other(const struct wall *a, const struct wall *b)
{
    double ax = length_feet(a->right.x - a->left.x), ay = length_feet(a->right.y - a->left.y),
           bx = length_feet(b->right.x - b->left.x), by = length_feet(b->right.y - b->left.y);
    return ax * bx + ay * by < -0.999 * hypot(ax, ay) * hypot(bx, by);
}

/* A receptacle on a wall beside the basin; the wall across the room is not one. */
static bool beside_basin(const struct room *r, const struct box *b, const struct fixture *x,
                         const struct rectangle *basin, length within)
{
    struct point p = {b->place.at.x, b->place.at.y};
    bool beside =
        b->place.where == ON_WALL && !face_each_other(&r->walls[b->place.wall], &r->walls[x->wall]);
    return beside && placing_box_always_live(b) && placing_box_is_open(b) &&
           space_distance_to_rectangle(basin, p) <= (double)within;
}

RULE(basin_receptacle, "basin-receptacle", ERROR, WAIVABLE,
     "a receptacle is at hand by every basin of a bathroom");

static void check_basin(const struct checked *c, const struct room *r, const struct fixture *x)
{
    struct code *code = &c->model->code;
    length within = code_length(code, SET_BASIN_RECEPTACLE_WITHIN, 0),
           below = code_length(code, SET_BASIN_RECEPTACLE_BELOW_TOP, 0);
    length lowest = placing_top_of_counter(c) - below,
           highest = code_length(code, SET_REQUIRED_RECEPTACLE_UP_TO, 0);
    struct rectangle basin = space_fixture_rectangle(r, x, placing_fixture_deep(c, x));
    const struct box *other = NULL;
    looked(c, basin_receptacle);
    looked(c, box_height);
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct box *b = r->boxes.at[i];
        if (!beside_basin(r, b, x, &basin, within))
            continue;
        if (b->place.up >= lowest && b->place.up <= highest)
            return;
        other = b;
    }
    if (other) {
        const char *where =
            other->place.up < lowest
                ? arena_printf(c->model->arena,
                               "not more than %s below the top of the basin, %s up",
                               rules_feet(c, below), rules_feet(c, placing_top_of_counter(c)))
                : arena_printf(c->model->arena, "not more than %s from the floor",
                               rules_feet(c, highest));
        placing_say_height(c, &rule_basin_receptacle, other, where);
        return;
    }
    struct finding *f =
        fixed_finding(c, &rule_basin_receptacle, r, node_span(x->node),
                      "%s: no receptacle is within %s of the edge of the basin on the %s wall",
                      placing_room_words(c, r), rules_feet(c, within), r->walls[x->wall].written);
    struct floor_line line = space_floor_line_of(c->model->arena, r);
    struct stretch own = space_floor_fixture(&line, x),
                   window = {own.from - within, own.to + within};
    window.from = window.from < line.start[x->wall] ? line.start[x->wall] : window.from;
    diag_mend(c->model->diag, f, "a receptacle %s, not more than %s below the basin's top",
              placing_window_words(c, &line, window), rules_feet(c, below));
}

static void check_basins(const struct checked *c, const struct room *r)
{
    if (!r->fixtures.n || !placing_room_for_rule(c, r, &rule_basin_receptacle))
        return;
    for (uint32_t k = 0; k < r->fixtures.n; k++)
        if (r->fixtures.at[k].form == F_BASIN)
            check_basin(c, r, &r->fixtures.at[k]);
}
CHECK(basin_receptacle, .with = {&rule_box_height}, .room = {check_basins, WHOLE_ROOM, NEW_WORK});
