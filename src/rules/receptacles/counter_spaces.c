/* Counter spaces of kitchens, and what of them no receptacle reaches (NFPA 70 210.52(C)). */
#include "rules/receptacles/counter_spaces.h"

#include "facts/rooms.h"
#include "model/site.h"
#include "rules/placing.h"

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
const struct fixture *counter_spaces_counter_at(const struct floor_line *line, length at)
{
    for (uint32_t i = 0; i < line->room->fixtures.n; i++) {
        const struct fixture *x = &line->room->fixtures.at[i];
        struct stretch own = space_floor_fixture(line, x);
        if (x->form == F_COUNTER && own.from <= at && at < own.to)
            return x;
    }
    return NULL;
}

bool counter_spaces_box_counts(const struct counter_code *k, const struct box *b)
{
    return b->place.where == ON_WALL && b->place.up > k->top && b->place.up <= k->top + k->above &&
           !facts_cabinet_before(b);
}

static void counter_receptacles(struct arena *arena, const struct floor_line *line,
                                const struct counter_code *k, point_list *out)
{
    for (uint32_t i = 0; i < line->room->boxes.n; i++) {
        const struct box *b = line->room->boxes.at[i];
        if (counter_spaces_box_counts(k, b) && placing_box_always_live(b) && placing_box_is_open(b))
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
    const struct fixture *first = counter_spaces_counter_at(line, space->from % line->whole),
                         *last = counter_spaces_counter_at(line, (space->to - 1) % line->whole);
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

void counter_spaces_find(const struct checked *c, const struct room *r, counter_space_list *out)
{
    struct arena *arena = c->model->arena;
    struct counter_code k = read_code(c);
    if (!r->fixtures.n || k.reach <= 0 || !room_used_as(c->model, r, LIST_COUNTER_PLACES))
        return;
    struct floor_line line = space_floor_line_of(arena, r);
    stretch_list spaces = {0};
    point_list places = {0};
    counter_spaces(c, &k, &line, &spaces);
    if (spaces.n)
        counter_receptacles(arena, &line, &k, &places);
    for (uint32_t i = 0; i < spaces.n; i++) {
        struct counter_space s = {.code = k, .line = line, .at = spaces.at[i]};
        if (s.at.to - s.at.from < k.smallest)
            continue;
        s.with_ends = with_ends(c, &line, &s.at);
        space_points_in(arena, line.whole, s.with_ends, &places, &s.points);
        space_stretch_gaps(arena, s.at, false, &s.points, k.reach, &s.gaps);
        *vec_push(arena, out) = s;
    }
}
