/* counter-spacing, island-receptacle, basin-receptacle: receptacles for those who stand at a counter or basin. */
#include "rules/placing.h"

#include <math.h>
#include <string.h>

/* The height of a counter's top, by the trade. */
static length top_of_counter(const struct checked *c)
{
    return code_length(&c->model->code, "default-heights", "counter-top", 0);
}

/* --- counter-spacing ---------------------------------------------------------------------------------------------------------- */

struct counter_code {
    length smallest, reach, above, behind, behind_corner, top;
};

static struct counter_code read_code(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct counter_code){.smallest = code_length(code, "counter-spacing", "smallest-space", 0),
                                 .reach = code_length(code, "counter-spacing", "reach", 0),
                                 .above = code_length(code, "counter-spacing", "above-up-to", 0),
                                 .behind = code_length(code, "counter-spacing", "behind-sink", 0),
                                 .behind_corner = code_length(code, "counter-spacing", "behind-sink-corner", 0),
                                 .top = top_of_counter(c)};
}

static bool kind_rules_counters(const struct checked *c, const struct kind_def *kind)
{
    return code_list_has_kind(&c->model->code, "counter-places", kind);
}

/* Whether a counter is one of 210.52(C): in a kitchen, pantry or dining room, or in the part of a room that is one. */
static bool counter_is_ruled(const struct checked *c, const struct room *r, const struct fixture *x)
{
    for (uint8_t i = 0; i < r->kind_count; i++)
        if (kind_rules_counters(c, r->kinds[i]))
            return true;
    struct rectangle q = fixture_rectangle(r, x, 0);
    struct point middle = {(q.corner[0].x + q.corner[1].x) / 2, (q.corner[0].y + q.corner[1].y) / 2};
    for (uint32_t i = 0; i < r->areas.n; i++) {
        const struct use_area *a = &r->areas.at[i];
        bool in = middle.x >= a->low.x && middle.x <= a->high.x && middle.y >= a->low.y && middle.y <= a->high.y;
        if (in && kind_rules_counters(c, a->kind))
            return true;
    }
    return false;
}

/* Whether a sink or range parts the counter: too little counter is left behind it. What is not written counts as too little. */
static bool parts_counter(const struct room *r, const struct fixture *x, const struct counter_code *k, length counter_deep)
{
    if (x->form != F_SINK && x->form != F_RANGE)
        return false;
    bool in_corner = x->from_left <= 0 || x->from_left + x->wide >= r->walls[x->wall].length;
    return x->deep <= 0 || counter_deep - x->deep < (in_corner ? k->behind_corner : k->behind);
}

/* The counter that a space begins with. */
static const struct fixture *counter_at(const struct floor_line *line, length at)
{
    for (uint32_t i = 0; i < line->room->fixtures.n; i++) {
        const struct fixture *x = &line->room->fixtures.at[i];
        struct stretch own = floor_fixture(line, x);
        if (x->form == F_COUNTER && own.from <= at && at < own.to)
            return x;
    }
    return NULL;
}

static void report_counter(const struct checked *c, const struct counter_code *k, const struct floor_line *line, struct stretch space, bool bare,
                           const stretch_list *gaps)
{
    const struct room *r = line->room;
    const struct fixture *x = counter_at(line, space.from);
    const struct node *at = x ? x->node : r->node;
    length sum = 0;
    for (uint32_t i = 0; i < gaps->n; i++)
        sum += gaps->at[i].to - gaps->at[i].from;
    const char *where = walls_words(c, line, space), *long_ = feet(c, space.to - space.from);
    struct finding *f;
    if (bare)
        f = fixed_finding(c, R_COUNTER_SPACING, r, at,
                          "%s: the counter space of %s along %s has no receptacle above it; no point of it may be more than %s from one", room_words(c, r), long_, where,
                          feet(c, k->reach));
    else
        f = fixed_finding(c, R_COUNTER_SPACING, r, at, "%s: %s of the counter space of %s along %s is more than %s from a receptacle", room_words(c, r),
                          feet(c, sum), long_, where, feet(c, k->reach));
    diag_mend(c->model->diag, f, "a receptacle %s, up to %s above the counter", window_words(c, line, first_point_window(space, gaps->at[0], k->reach)),
              feet(c, k->above));
}

/* The receptacles above counters: over the top, not too high over it. */
static void counter_receptacles(struct arena *arena, const struct floor_line *line, const struct counter_code *k, point_list *out)
{
    for (uint32_t i = 0; i < line->room->boxes.n; i++) {
        const struct box *b = line->room->boxes.at[i];
        bool above = b->place.where == ON_WALL && b->place.up > k->top && b->place.up <= k->top + k->above;
        if (above && box_always_live(b))
            *vec_push(arena, out) = floor_place(line, b->place.wall, b->place.from_left);
    }
}

/* The spaces of the room's counters: joined where they meet, round corners too, parted by sinks and ranges. */
static void counter_spaces(const struct checked *c, const struct counter_code *k, const struct floor_line *line, stretch_list *out)
{
    struct arena *arena = c->model->arena;
    const struct room *r = line->room;
    stretch_list counters = {0}, parting = {0};
    length deep = 0;
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->form != F_COUNTER || !counter_is_ruled(c, r, x))
            continue;
        *vec_push(arena, &counters) = floor_fixture(line, x);
        length own = fixture_deep(c, x);
        deep = own > deep ? own : deep;
    }
    for (uint32_t i = 0; i < r->fixtures.n; i++)
        if (parts_counter(r, &r->fixtures.at[i], k, deep))
            *vec_push(arena, &parting) = floor_fixture(line, &r->fixtures.at[i]);
    stretches_merge(&counters);
    stretches_merge(&parting);
    stretches_without(arena, &counters, &parting, out);
    if (out->n > 1 && out->at[0].from == 0 && out->at[out->n - 1].to == line->whole) {
        /* One space runs over the start of the line. */
        out->at[out->n - 1].to += out->at[0].to;
        out->at[0] = out->at[--out->n];
    }
}

static void check_counters(const struct checked *c, const struct counter_code *k, const struct room *r)
{
    struct arena *arena = c->model->arena;
    struct floor_line line = floor_line_of(arena, r);
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
        points_in(arena, line.whole, spaces.at[i], &places, &points);
        stretch_gaps(arena, spaces.at[i], false, &points, k->reach, &gaps);
        if (gaps.n)
            report_counter(c, k, &line, spaces.at[i], !points.n, &gaps);
    }
}

void check_counter_spacing(const struct checked *c)
{
    struct counter_code k = read_code(c);
    for (uint32_t i = 0; i < c->model->rooms.n && k.reach > 0; i++) {
        const struct room *r = c->model->rooms.at[i];
        if (r->fixtures.n && room_is_certain(r) && room_in_list(c, r, "counter-places"))
            check_counters(c, &k, r);
    }
}

/* --- island-receptacle ------------------------------------------------------------------------------------------------------------ */

/* An island or a peninsula: its size, and the edge where a peninsula ends. */
struct stand {
    const struct node *node;
    const char *what;
    struct rectangle top;
    length one, other; /* its sides */
    bool peninsula;
};

/* Receptacles that stand on it; `near_end`: those within so much of a peninsula's outer end. A box of an island is written at its place on the floor. */
static uint32_t receptacles_on(const struct room *r, const struct stand *s, const struct wall *wall, length end_within, uint32_t *near_end)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct box *b = r->boxes.at[i];
        struct point p = {b->place.at.x, b->place.at.y};
        if (b->place.where == OVERHEAD || !box_always_live(b) || distance_to_rectangle(&s->top, p) > (double)INCH)
            continue;
        n++;
        *near_end += !wall || distance_to_wall(wall, p) >= (double)(s->other - end_within);
    }
    return n;
}

/* How many receptacles the edition wants on a top of these sides. Areas: one for the first part, one more for each further part or a fraction of it. */
static uint32_t wanted_on(const struct checked *c, const struct stand *s, const char *method)
{
    struct code *code = &c->model->code;
    length long_ = s->one > s->other ? s->one : s->other, short_ = s->one > s->other ? s->other : s->one;
    if (!strcmp(method, "one"))
        return long_ >= code_length(code, "islands", "long", 0) && short_ >= code_length(code, "islands", "short", 0);
    double area = length_feet(s->one) * length_feet(s->other), first = code_setting(code, "islands", "first-area", 0), more = code_setting(code, "islands", "further-area", 0);
    if (area <= 0 || first <= 0 || more <= 0)
        return 0;
    return area <= first ? 1 : 1 + (uint32_t)ceil((area - first) / more - 1e-9);
}

static void check_stand(const struct checked *c, const struct room *r, const struct stand *s, const struct wall *wall)
{
    struct code *code = &c->model->code;
    const char *method = code_word(code, "islands", "method");
    uint32_t wanted = method ? wanted_on(c, s, method) : 0, near_end = 0;
    if (!wanted)
        return;
    length end_within = !strcmp(method, "area") && wall ? code_length(code, "islands", "end-within", 0) : 0;
    uint32_t there = receptacles_on(r, s, end_within ? wall : NULL, end_within, &near_end);
    const char *sides = arena_printf(c->model->arena, "%s by %s", feet(c, s->one), feet(c, s->other));
    if (there < wanted) {
        struct finding *f = fixed_finding(c, R_ISLAND_RECEPTACLE, r, s->node, "%s: the %s of %s has %u receptacle%s; it wants %u", room_words(c, r), s->what, sides, there,
                                          there == 1 ? "" : "s", wanted);
        diag_mend(c->model->diag, f, "a receptacle in it: a box at its place on the floor plan, 'box NAME floor at EAST, NORTH'");
    } else if (end_within && !near_end) {
        struct finding *f = fixed_finding(c, R_ISLAND_RECEPTACLE, r, s->node, "%s: no receptacle of the %s of %s is within %s of its outer end", room_words(c, r), s->what,
                                          sides, feet(c, end_within));
        diag_mend(c->model->diag, f, "move one there");
    }
}

static void check_room_stands(const struct checked *c, const struct room *r)
{
    for (uint32_t i = 0; i < r->islands.n; i++) {
        const struct island *x = &r->islands.at[i];
        struct point a = x->low, b = x->high;
        struct stand s = {x->node, "island", {{a, {a.x, b.y}, b, {b.x, a.y}}}, b.x - a.x, b.y - a.y, false};
        check_stand(c, r, &s, NULL);
    }
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->form != F_PENINSULA || x->out <= 0)
            continue;
        struct stand s = {x->node, "peninsula", fixture_rectangle(r, x, x->out), x->wide, x->out, true};
        check_stand(c, r, &s, &r->walls[x->wall]);
    }
}

void check_islands(const struct checked *c)
{
    const char *method = code_word(&c->model->code, "islands", "method");
    for (uint32_t i = 0; i < c->model->rooms.n && method; i++) {
        const struct room *r = c->model->rooms.at[i];
        if ((r->islands.n || r->fixtures.n) && room_is_certain(r) && room_in_list(c, r, "counter-places"))
            check_room_stands(c, r);
    }
}

/* --- basin-receptacle ---------------------------------------------------------------------------------------------------------------- */

/* A receptacle on a wall beside the basin. */
static bool beside_basin(const struct box *b, const struct rectangle *basin, length within)
{
    struct point p = {b->place.at.x, b->place.at.y};
    return b->place.where == ON_WALL && box_always_live(b) && distance_to_rectangle(basin, p) <= (double)within;
}

static void check_basin(const struct checked *c, const struct room *r, const struct fixture *x)
{
    struct code *code = &c->model->code;
    length within = code_length(code, "basin-receptacle", "within", 0), below = code_length(code, "basin-receptacle", "below-top", 0);
    struct rectangle basin = fixture_rectangle(r, x, fixture_deep(c, x));
    length lowest = top_of_counter(c) - below;
    const struct box *low = NULL;
    for (uint32_t i = 0; i < r->boxes.n; i++) {
        const struct box *b = r->boxes.at[i];
        if (!beside_basin(b, &basin, within))
            continue;
        if (b->place.up >= lowest)
            return;
        low = b;
    }
    if (low) {
        say_height(c, low, arena_printf(c->model->arena, "not more than %s below the top of the basin, %s up", feet(c, below), feet(c, top_of_counter(c))));
        return;
    }
    struct finding *f = fixed_finding(c, R_BASIN_RECEPTACLE, r, x->node, "%s: no receptacle is within %s of the edge of the basin on the %s wall", room_words(c, r), feet(c, within),
                                      r->walls[x->wall].written);
    struct floor_line line = floor_line_of(c->model->arena, r);
    struct stretch own = floor_fixture(&line, x), window = {own.from - within, own.to + within};
    window.from = window.from < line.start[x->wall] ? line.start[x->wall] : window.from;
    diag_mend(c->model->diag, f, "a receptacle %s, not more than %s below the basin's top", window_words(c, &line, window), feet(c, below));
}

void check_basins(const struct checked *c)
{
    for (uint32_t i = 0; i < c->model->rooms.n; i++) {
        const struct room *r = c->model->rooms.at[i];
        if (!r->fixtures.n || !room_for_rule(c, r, R_BASIN_RECEPTACLE) || !room_is_certain(r))
            continue;
        for (uint32_t k = 0; k < r->fixtures.n; k++)
            if (r->fixtures.at[k].form == F_BASIN)
                check_basin(c, r, &r->fixtures.at[k]);
    }
}
