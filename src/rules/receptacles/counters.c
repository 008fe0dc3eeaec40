/* counter-spacing, island-receptacle, basin-receptacle: receptacles for those who stand at a
 * counter or basin. */
#include "facts/rooms.h"
#include "model/site.h"
#include "rules/placing.h"

#include <math.h>
#include <string.h>

/* --- counter-spacing ---------------------------------------------------------------------- */

struct counter_code {
    length smallest, reach, above, behind, behind_corner, top;
};

static struct counter_code read_code(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct counter_code){
        .smallest = code_length(code, SET_COUNTER_SPACING_SMALLEST_SPACE, 0),
        .reach = code_length(code, SET_COUNTER_SPACING_REACH, 0),
        .above = code_length(code, SET_COUNTER_SPACING_ABOVE_UP_TO, 0),
        .behind = code_length(code, SET_COUNTER_SPACING_BEHIND_SINK, 0),
        .behind_corner = code_length(code, SET_COUNTER_SPACING_BEHIND_SINK_CORNER, 0),
        .top = placing_top_of_counter(c)};
}

/* Whether a sink or range parts the counter: too little counter is left behind it. What is not
 * written counts as too little. */
static bool parts_counter(const struct room *r, const struct fixture *x,
                          const struct counter_code *k, length counter_deep)
{
    if (x->form != F_SINK && x->form != F_RANGE)
        return false;
    bool in_left = x->from_left <= 0 &&
                   space_floor_square_corner(r, (x->wall + r->wall_count - 1) % r->wall_count);
    bool in_corner = in_left || (x->from_left + x->wide >= r->walls[x->wall].length &&
                                 space_floor_square_corner(r, x->wall));
    return x->deep <= 0 || counter_deep - x->deep < (in_corner ? k->behind_corner : k->behind);
}

/* The counter that a space begins with. */
static const struct fixture *counter_at(const struct floor_line *line, length at)
{
    for (uint32_t i = 0; i < line->room->fixtures.n; i++) {
        const struct fixture *x = &line->room->fixtures.at[i];
        struct stretch own = space_floor_fixture(line, x);
        if (x->form == F_COUNTER && own.from <= at && at < own.to)
            return x;
    }
    return NULL;
}

RULE(counter_spacing, "counter-spacing", ERROR, WAIVABLE,
     "no point along a kitchen counter is too far from a receptacle");

static void report_counter(const struct checked *c, const struct counter_code *k,
                           const struct floor_line *line, struct stretch space, bool bare,
                           const stretch_list *gaps)
{
    const struct room *r = line->room;
    length first =
        r->walls[0].mirrored ? space.to - 1 : space.from; /* as the plan's text goes along it */
    const struct fixture *x = counter_at(line, first % line->whole);
    const struct node *at = x ? x->node : r->node;
    length sum = 0;
    for (uint32_t i = 0; i < gaps->n; i++)
        sum += gaps->at[i].to - gaps->at[i].from;
    const char *where = placing_walls_words(c, line, space),
               *long_ = rules_feet(c, space.to - space.from);
    struct finding *f;
    if (bare)
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

/* The receptacles above counters: over the top, not too high over it. */
static void counter_receptacles(struct arena *arena, const struct floor_line *line,
                                const struct counter_code *k, point_list *out)
{
    for (uint32_t i = 0; i < line->room->boxes.n; i++) {
        const struct box *b = line->room->boxes.at[i];
        bool above =
            b->place.where == ON_WALL && b->place.up > k->top && b->place.up <= k->top + k->above;
        if (above && !facts_cabinet_before(b) && placing_box_always_live(b) &&
            placing_box_is_open(b))
            *vec_push(arena, out) = space_floor_place(line, b->place.wall, b->place.from_left);
    }
}

/* A counter that runs into an inner corner lies along the next wall too, as far as it is deep;
 * where another one begins there or before, both are one counter round the corner. */
static void join_corner(const struct checked *c, const struct floor_line *line,
                        const struct fixture *x, stretch_list *counters)
{
    const struct room *r = line->room;
    uint32_t count = r->wall_count, before = (x->wall + count - 1) % count,
             after = (x->wall + 1) % count;
    bool at_left = x->from_left <= 0 && space_floor_square_corner(r, before),
         at_right = x->from_left + x->wide >= r->walls[x->wall].length &&
                    space_floor_square_corner(r, x->wall);
    length deep = placing_fixture_deep(c, x);
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *y = &r->fixtures.at[i];
        if (y->form != F_COUNTER || y == x)
            continue;
        if (at_right && y->wall == after && y->from_left <= deep)
            *vec_push(c->model->arena, counters) =
                (struct stretch){line->start[after], space_floor_place(line, after, y->from_left)};
        if (at_left && y->wall == before &&
            y->from_left + y->wide >= r->walls[before].length - deep)
            *vec_push(c->model->arena, counters) = (struct stretch){
                space_floor_place(line, before, y->from_left + y->wide), line->start[before + 1]};
    }
}

/* How deep the counter is that a sink or range stands in; 0 where it stands in none. */
static length counter_depth_at(const struct checked *c, const struct room *r,
                               const struct fixture *sink)
{
    length deep = 0;
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        bool there = x->form == F_COUNTER && x->wall == sink->wall &&
                     x->from_left < sink->from_left + sink->wide &&
                     sink->from_left < x->from_left + x->wide;
        length own = there ? placing_fixture_deep(c, x) : 0;
        deep = own > deep ? own : deep;
    }
    return deep;
}

/* The spaces of the room's counters: joined where they meet, round corners too, parted by sinks and
 * ranges. */
static void counter_spaces(const struct checked *c, const struct counter_code *k,
                           const struct floor_line *line, stretch_list *out)
{
    struct arena *arena = c->model->arena;
    const struct room *r = line->room;
    stretch_list counters = {0}, parting = {0};
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->form == F_COUNTER && placing_counter_has_rules(c, r, x)) {
            *vec_push(arena, &counters) = space_floor_fixture(line, x);
            join_corner(c, line, x, &counters);
        }
        if (parts_counter(r, x, k, counter_depth_at(c, r, x)))
            *vec_push(arena, &parting) = space_floor_fixture(line, x);
    }
    space_stretches_merge(&counters);
    space_stretches_merge(&parting);
    space_stretches_without(arena, &counters, &parting, out);
    if (out->n > 1 && out->at[0].from == 0 && out->at[out->n - 1].to == line->whole) {
        /* One space runs over the start of the line. */
        out->at[out->n - 1].to += out->at[0].to;
        out->at[0] = out->at[--out->n];
    }
}

/* A space with the ends of the counter at the walls beside it: where it runs into an inner corner,
 * a receptacle on the next wall serves it too, as far as the counter is deep. Both are moved on
 * round the ring where that keeps them from beginning before it. */
static struct stretch with_ends(const struct checked *c, const struct floor_line *line,
                                struct stretch *space)
{
    const struct room *r = line->room;
    const struct fixture *first = counter_at(line, space->from % line->whole),
                         *last = counter_at(line, (space->to - 1) % line->whole);
    uint32_t first_wall = space_floor_wall(line, space->from),
             last_wall = space_floor_wall(line, space->to - 1);
    struct stretch all = *space;
    if (first && space_floor_from_left(line, space->from) == 0 &&
        space_floor_square_corner(r, (first_wall + r->wall_count - 1) % r->wall_count))
        all.from -= placing_fixture_deep(c, first);
    if (last && space_floor_from_left(line, space->to) == 0 &&
        space_floor_square_corner(r, last_wall))
        all.to += placing_fixture_deep(c, last);
    if (all.from < 0) {
        all = (struct stretch){all.from + line->whole, all.to + line->whole};
        *space = (struct stretch){space->from + line->whole, space->to + line->whole};
    }
    return all;
}

BLIND_SPOT(counters_not_drawn, counter_spacing, "the counters of", "");

static void check_counters(const struct checked *c, const struct room *r)
{
    struct arena *arena = c->model->arena;
    struct counter_code code = read_code(c), *k = &code;
    if (room_used_as(c->model, r, LIST_SMALL_APPLIANCE_KITCHENS) && !facts_has_counter(r) &&
        !r->islands.n)
        room_passed(c, counters_not_drawn, r);
    if (!r->fixtures.n || k->reach <= 0 || !room_used_as(c->model, r, LIST_COUNTER_PLACES))
        return;
    struct floor_line line = space_floor_line_of(arena, r);
    stretch_list spaces = {0};
    point_list places = {0};
    counter_spaces(c, k, &line, &spaces);
    if (spaces.n)
        counter_receptacles(arena, &line, k, &places);
    for (uint32_t i = 0; i < spaces.n; i++) {
        point_list points = {0};
        stretch_list gaps = {0};
        if (spaces.at[i].to - spaces.at[i].from < k->smallest)
            continue;
        looked(c, counter_spacing);
        struct stretch space = spaces.at[i], all = with_ends(c, &line, &space);
        space_points_in(arena, line.whole, all, &places, &points);
        space_stretch_gaps(arena, space, false, &points, k->reach, &gaps);
        if (gaps.n)
            report_counter(c, k, &line, space, !points.n, &gaps);
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
