#include "framing/search.h"

#include "framing/frame.h"
#include "framing/search_work.h"

#include <math.h>

struct search *search_new(struct arena *arena, const struct skeleton *f)
{
    struct search *s = arena_new(arena, struct search);
    s->arena = arena;
    s->f = f;
    struct reach *both[] = {&s->there, &s->back};
    for (int i = 0; i < 2; i++) {
        both[i]->cost = arena_array(arena, length, f->joint_count + 1);
        both[i]->from = arena_array(arena, uint32_t, f->joint_count + 1);
        both[i]->stamp = arena_array(arena, uint32_t, f->joint_count + 1);
    }
    s->risers = arena_array(arena, riser_list, f->storey_count + 1);
    s->came = arena_array(arena, uint32_t, f->line_count + 1);
    return s;
}

/* --- measures ----------------------------------------------------------------------------- */

length search_floor(const struct skeleton *f, const struct line *l)
{
    return f->sorted[l->first_face]->room->level->floor;
}

length search_bore_height(const struct skeleton *f, const struct line *l)
{
    const struct level *level = f->sorted[l->first_face]->room->level;
    return level->floor + level->bore;
}

/* How far below the bores a way lies that goes on from a joint: under a low sill. */
static length dip_behind(const struct skeleton *f, uint32_t joint)
{
    const struct turn *j = &f->joints[joint];
    return j->under ? f->sorted[f->lines[j->line].first_face]->room->level->bore - j->under : 0;
}

/* The same at a place between two joints. */
static length dip_at(const struct skeleton *f, const struct line *l, length t)
{
    uint32_t joint = joint_before(f, l, t);
    return joint == NO_INDEX || f->joints[joint].at == t ? 0 : dip_behind(f, joint);
}

length search_height_at(const struct skeleton *f, const struct line *l, length t)
{
    return search_bore_height(f, l) - dip_at(f, l, t);
}

length search_at_least(const struct search *s, struct point a, struct point b)
{
    length dx = length_abs(a.x - b.x), dy = length_abs(a.y - b.y);
    return s->f->slanted ? (length)floor(hypot((double)dx, (double)dy)) : dx + dy;
}

uint32_t search_joists_crossed(const struct space *space, struct point a, struct point b,
                               int64_t *first)
{
    if (space->joists.lumber.open)
        return 0;
    if (space->joists.running_north)
        return frame_multiples_between(a.x - space->corner.x, b.x - space->corner.x,
                                       space->joists.spacing, first);
    return frame_multiples_between(a.y - space->corner.y, b.y - space->corner.y,
                                   space->joists.spacing, first);
}

static length joist_price(const struct question *q, const struct space *space)
{
    return space->joists.lumber.engineered ? q->prices.engineered : q->prices.hole;
}

length search_across(const struct question *q, const struct space *space, struct point a,
                     struct point b)
{
    return length_abs(a.x - b.x) + length_abs(a.y - b.y) +
           joist_price(q, space) * search_joists_crossed(space, a, b, NULL);
}

/* What a stud costs that stands between two places without a joint between. */
static length stud_price(const struct search *s, const struct line *l, length a, length b)
{
    return s->q->prices.hole +
           (s->f->any_closed && frame_closed_from(s->f, l, (a + b) / 2) < s->q->prices.hung_by
                ? s->q->prices.closed
                : 0);
}

/* From one place of a line to another without a joint between, as the joints count studs. */
static length along(const struct search *s, const struct line *l, length a, length b)
{
    return length_abs(a - b) + stud_price(s, l, a, b) * frame_studs_between(s->f, l, a, b, NULL);
}

/* --- through the walls -------------------------------------------------------------------- */

void search_push(struct search *s, length f, uint32_t joint)
{
    *vec_push(s->arena, &s->heap) = (struct heap_item){f, joint};
    uint32_t i = s->heap.n - 1;
    struct heap_item item = s->heap.at[i];
    while (i &&
           (s->heap.at[(i - 1) / 2].f > item.f ||
            (s->heap.at[(i - 1) / 2].f == item.f && s->heap.at[(i - 1) / 2].joint > item.joint))) {
        s->heap.at[i] = s->heap.at[(i - 1) / 2];
        i = (i - 1) / 2;
    }
    s->heap.at[i] = item;
}

static bool sooner(struct heap_item a, struct heap_item b)
{
    return a.f != b.f ? a.f < b.f : a.joint < b.joint;
}

struct heap_item search_pop(struct search *s)
{
    struct heap_item top = s->heap.at[0], last = s->heap.at[--s->heap.n];
    uint32_t i = 0;
    while (2 * i + 1 < s->heap.n) {
        uint32_t k = 2 * i + 1;
        if (k + 1 < s->heap.n && sooner(s->heap.at[k + 1], s->heap.at[k]))
            k++;
        if (!sooner(s->heap.at[k], last))
            break;
        s->heap.at[i] = s->heap.at[k];
        i = k;
    }
    if (s->heap.n)
        s->heap.at[i] = last;
    return top;
}

/* Never more than the way from a joint to an end. */
static length remaining(const struct search *s, uint32_t joint, const struct spot *to)
{
    const struct turn *j = &s->f->joints[joint];
    const struct line *l = &s->f->lines[j->line];
    return search_at_least(s, frame_line_point(l, j->at), flat(to->at));
}

/* Notes that a line is read. */
static void come_to(struct search *s, uint32_t line)
{
    if (line == NO_INDEX || s->came[line] == s->asked)
        return;
    s->came[line] = s->asked;
    *vec_push(s->arena, &s->lines) = line;
}

static void relax(struct search *s, struct reach *r, const struct spot *to, uint32_t joint,
                  uint32_t from, length cost)
{
    come_to(s, s->f->joints[joint].line);
    if (r->stamp[joint] == s->stamp && r->cost[joint] <= cost)
        return;
    /* walls lie a little off the faces that boxes stand on: a wall's thickness of grace, so that no
     * way is lost */
    length f = cost + remaining(s, joint, to) - FOOT;
    if (f >= s->best)
        return;
    r->stamp[joint] = s->stamp;
    r->cost[joint] = cost;
    r->from[joint] = from;
    search_push(s, f, joint);
}

/* Whether nothing stands between a joint and the next of its line. What is inside the wall is not
 * in the way of what lies on it. */
static bool is_open(const struct search *s, const struct turn *j)
{
    return s->q->through || s->q->surface ? j->but_bulks : j->open;
}

/* Whether a cable goes on from a joint to the next of its line: nothing stands between, and on
 * concrete it may lie on the face. */
static bool goes_on(const struct search *s, uint32_t joint)
{
    const struct turn *j = &s->f->joints[joint];
    return is_open(s, j) && (s->q->surface || !s->f->lines[j->line].bare);
}

/* Whether a way leads up or down from a place of a line to a space. */
static bool leads_to(const struct search *s, const struct line *l, length t, length height,
                     const struct space *space)
{
    bool up = space->z > height;
    return (s->q->surface || !l->bare) && (up || space->slab || !frame_on_slab(s->f, l, t)) &&
           frame_goes_up(s->f, l, t, height - search_floor(s->f, l), up);
}

length search_plate(const struct search *s, const struct line *l, const struct space *space)
{
    return l->bare || space->slab ? 0 : s->q->prices.plate;
}

/* The joints on both sides of a place; NO_INDEX where there is none, or something stands between.
 */
static void joints_beside(const struct search *s, const struct line *l, length t, uint32_t *before,
                          uint32_t *after)
{
    *before = joint_before(s->f, l, t);
    uint32_t next = *before == NO_INDEX ? l->first_joint : *before + 1;
    bool open = *before == NO_INDEX ? s->q->surface || !l->bare : goes_on(s, *before);
    *after = open && next < l->first_joint + l->joint_count ? next : NO_INDEX;
    if (*before != NO_INDEX && !open && s->f->joints[*before].at != t)
        *before = NO_INDEX;
}

/* Whether a place and a joint have nothing between them, the joint being a neighbour. */
static bool beside(const struct search *s, const struct line *l, length t, uint32_t joint)
{
    uint32_t before, after;
    joints_beside(s, l, t, &before, &after);
    return joint == before || joint == after;
}

static void start_reach(struct search *s, struct reach *r, const struct spot *end,
                        const struct spot *to)
{
    const struct line *l = &s->f->lines[end->line];
    length up = length_abs(end->at.z - search_height_at(s->f, l, end->t)) + dip_at(s->f, l, end->t);
    uint32_t before, after;
    joints_beside(s, l, end->t, &before, &after);
    if (before != NO_INDEX)
        relax(s, r, to, before, NO_INDEX, up + along(s, l, end->t, s->f->joints[before].at));
    if (after != NO_INDEX) {
        length at = s->f->joints[after].at;
        length on = frame_studs_before(s->f, l, at, true) - frame_studs_before(s->f, l, at, false);
        relax(s, r, to, after, NO_INDEX, up + along(s, l, end->t, at) + s->q->prices.hole * on);
    }
}

/* The same between a joint and the next of its line. */
static length gap_price(const struct search *s, const struct turn *j)
{
    return s->q->prices.hole + (j->closed_from < s->q->prices.hung_by ? s->q->prices.closed : 0);
}

static void spread(struct search *s, struct reach *r, const struct spot *to, uint32_t joint)
{
    const struct turn *j = &s->f->joints[joint];
    const struct line *l = &s->f->lines[j->line];
    length cost = r->cost[joint];
    if (joint > l->first_joint && goes_on(s, joint - 1))
        relax(s, r, to, joint - 1, joint,
              cost + j->at - j[-1].at + gap_price(s, &j[-1]) * (j->studs - j[-1].studs) +
                  2 * dip_behind(s->f, joint - 1));
    if (goes_on(s, joint) && joint + 1 < l->first_joint + l->joint_count)
        relax(s, r, to, joint + 1, joint,
              cost + j[1].at - j->at + gap_price(s, j) * (j[1].studs - j->studs) +
                  2 * dip_behind(s->f, joint));
    if (j->partner != NO_INDEX)
        relax(s, r, to, j->partner, joint, cost);
}

/* A way that stays in the walls, by its last joint. */
static void take_wall_way(struct search *s, uint32_t joint)
{
    const struct spot *b = &s->q->b;
    const struct turn *j = &s->f->joints[joint];
    const struct line *l = &s->f->lines[b->line];
    if (j->line != b->line || !beside(s, l, b->t, joint))
        return;
    length on = j->at > b->t ? frame_studs_before(s->f, l, j->at, true) -
                                   frame_studs_before(s->f, l, j->at, false)
                             : 0;
    length cost = s->there.cost[joint] + along(s, l, j->at, b->t) + s->q->prices.hole * on +
                  dip_at(s->f, l, b->t) + length_abs(b->at.z - search_height_at(s->f, l, b->t));
    if (cost < s->best) {
        s->best = cost;
        s->choice.sort = IN_WALLS;
        s->choice.joint = joint;
    }
}

/* Both ends in one wall with nothing between them. */
static void take_same_wall(struct search *s)
{
    const struct spot *a = &s->q->a, *b = &s->q->b;
    const struct line *l = &s->f->lines[a->line];
    length lo = a->t < b->t ? a->t : b->t, hi = a->t < b->t ? b->t : a->t;
    uint32_t before = joint_before(s->f, l, lo), last = joint_before(s->f, l, hi);
    while (last != before && s->f->joints[last].at == hi)
        last = last == l->first_joint ? NO_INDEX : last - 1;
    bool open = before == NO_INDEX || lo == hi || is_open(s, &s->f->joints[before]);
    if (last != before || !open || (l->bare && !s->q->surface))
        return;
    length from = search_height_at(s->f, l, a->t), to = search_height_at(s->f, l, b->t);
    length cost = length_abs(a->at.z - from) + along(s, l, lo, hi) + length_abs(from - to) +
                  length_abs(b->at.z - to);
    if (cost < s->best) {
        s->best = cost;
        s->choice.sort = IN_WALLS;
        s->choice.joint = NO_INDEX;
    }
}

/* --- leaving the walls -------------------------------------------------------------------- */

/* Whether a place is in the middle of a joist: who crosses to it does not bore that one yet. */
static bool is_at_joist(const struct space *space, struct point p)
{
    length off = space->joists.running_north ? p.x - space->corner.x : p.y - space->corner.y;
    return space->joists.spacing > 0 && off % space->joists.spacing == 0;
}

/* Whether one gets to a place among the joists as cheaply from a leave that was found before: no
 * way by this one is better than the same by that, so that along a wall of many openings few are
 * left to be paired. Round beams the way between the two may be longer. */
static bool is_reached_before(const struct search *s, const leave_list *list,
                              const struct space *space, struct point at, length cost)
{
    length joist = is_at_joist(space, at) ? joist_price(s->q, space) : 0;
    if (!list->n || (s->f->bulks && !s->q->through))
        return false;
    const struct leave *before[] = {&list->at[0], &list->at[list->n - 1]};
    for (int i = 0; i < 2; i++)
        if (cost >= before[i]->cost + search_across(s->q, space, before[i]->at, at) + joist)
            return true;
    return false;
}

/* The way up or down to a space from a place between the studs, where there is one. */
static void add_leave(struct search *s, leave_list *list, const struct space *space, uint32_t line,
                      length t, uint32_t joint, length cost)
{
    const struct line *l = &s->f->lines[line];
    length height = search_height_at(s->f, l, t);
    struct point at = frame_line_point(l, t);
    cost += length_abs(space->z - height) + search_plate(s, l, space);
    if (leads_to(s, l, t, height, space) && round_bay_free(s, l, t, height, space->z) &&
        !is_reached_before(s, list, space, at, cost))
        *vec_push(s->arena, list) = (struct leave){at, cost, line, t, joint, true};
}

unsigned search_straight_across(const struct line *l, const struct spot *from, length out[2])
{
    unsigned n = 0;
    if (l->ux != 0 && l->uy != 0) {
        double off_x = -l->uy * (double)l->off, off_y = l->ux * (double)l->off;
        out[n++] = (length)llround(((double)from->at.x - off_x) / l->ux);
        out[n++] = (length)llround(((double)from->at.y - off_y) / l->uy);
    } else {
        out[n++] = l->uy == 0 ? from->at.x : from->at.y;
    }
    return n;
}

/* A part of a line without a joint in it: from a joint of it, or from an end, on towards `to`. */
struct stretch {
    uint32_t line, joint; /* NO_INDEX: from the end itself */
    length from, to;
    length cost; /* up to `from`, at the height of the bores there */
};

static void leave_in_bay(struct search *s, leave_list *list, const struct space *space,
                         const struct stretch *k, length t)
{
    length lo = k->from < k->to ? k->from : k->to, hi = k->from < k->to ? k->to : k->from;
    if (lo < t && t < hi)
        add_leave(s, list, space, k->line, t, k->joint,
                  k->cost + along(s, &s->f->lines[k->line], k->from, t));
}

/* Leaves that face the one or the other end; on both sides of a stud that stands there. */
static void add_facing(struct search *s, leave_list *list, const struct space *space,
                       const struct stretch *k)
{
    const struct line *l = &s->f->lines[k->line];
    const struct spot *ends[] = {&s->q->a, &s->q->b};
    for (int i = 0; i < 2; i++) {
        length t[2];
        unsigned n = search_straight_across(l, ends[i], t);
        for (unsigned m = 0; m < n; m++) {
            if (!frame_in_wood(s->f, l, t[m]) && !frame_at_edge(s->f, l, t[m])) {
                leave_in_bay(s, list, space, k, t[m]);
                continue;
            }
            leave_in_bay(s, list, space, k, frame_clear_place(s->f, l, t[m], false, false));
            leave_in_bay(s, list, space, k, frame_clear_place(s->f, l, t[m], true, false));
        }
    }
}

/* Whether who goes along a line over the plates crosses joists. */
static bool crosses_joists(const struct line *l, const struct space *space)
{
    return space->joists.spacing > 0 && !space->joists.lumber.open &&
           (space->joists.running_north ? l->uy == 0 : l->ux == 0);
}

static bool is_way_up(const struct search *s, const struct line *l, length t,
                      const struct space *space)
{
    return round_bay_free(s, l, t, search_height_at(s->f, l, t), space->z);
}

/* The places of a bay beyond `from` where a way over the plates has one joist less before it: where
 * the bay begins, and behind each joist over it. Leaves where less is still to pay than anywhere
 * before, `least` being the holes through studs less those through joists. */
static void leave_where_it_saves(struct search *s, leave_list *list, const struct space *space,
                                 const struct stretch *k, length begins, length ends, length studs,
                                 length *least)
{
    const struct line *l = &s->f->lines[k->line];
    length corner = l->uy == 0 ? space->corner.x : space->corner.y, spacing = space->joists.spacing,
           half = space->joists.lumber.thickness / 2, price = joist_price(s->q, space);
    int64_t first = 0;
    bool right = k->to > k->from;
    uint32_t over = frame_multiples_between(begins - corner, ends - corner, spacing, &first);
    for (uint32_t i = 0; i <= over; i++) {
        int64_t number = right ? first + i - 1 : first + over - i;
        length t = !i      ? begins
                   : right ? corner + number * spacing + half
                           : corner + number * spacing - half;
        length left =
            studs - price * frame_multiples_between(k->from - corner, t - corner, spacing, NULL);
        if (left >= *least || (right ? t > ends : t < ends) || !is_way_up(s, l, t, space))
            continue;
        *least = left;
        leave_in_bay(s, list, space, k, t);
    }
}

/* The same on a wall that runs aslant. Along it the way is shorter than on the grid of the joists,
 * so of a bay the end is best: `t`, before the next stud. */
static void leave_where_it_shortens(struct search *s, leave_list *list, const struct space *space,
                                    const struct stretch *k, length t, length studs, length *least)
{
    const struct line *l = &s->f->lines[k->line];
    struct point from = frame_line_point(l, k->from), to = frame_line_point(l, t);
    length left = studs + length_abs(t - k->from) - search_across(s->q, space, from, to);
    if (left >= *least || !is_way_up(s, l, t, space))
        return;
    *least = left;
    leave_in_bay(s, list, space, k, t);
}

/* Leaves where the studs and the joists that are passed are cheaper than elsewhere, as far as a way
 * can be better than the best known: in the bay where the stretch begins, then behind each stud. */
static void add_saving(struct search *s, leave_list *list, const struct space *space,
                       const struct stretch *k, const struct spot *to)
{
    const struct line *l = &s->f->lines[k->line];
    bool slanted = l->ux != 0 && l->uy != 0;
    if (!slanted && !crosses_joists(l, space))
        return;
    uint32_t first, count = frame_studs_between(s->f, l, k->from, k->to, &first);
    bool right = k->to > k->from;
    length least = 0, begins = k->from, price = stud_price(s, l, k->from, k->to);
    for (uint32_t i = 0; i <= count; i++) {
        const struct upright *u =
            i < count ? &s->f->studs[right ? first + i : first + count - 1 - i] : NULL;
        length ends = !u ? k->to : right ? u->at - frame_half_stud(u) : u->at + frame_half_stud(u);
        struct point here = frame_line_point(l, begins);
        if (k->cost + length_abs(begins - k->from) + search_at_least(s, here, flat(to->at)) -
                FOOT >=
            s->best)
            return;
        bool bay = length_abs(ends - begins) >= s->f->figures.least_bay || !u;
        if (bay && slanted)
            leave_where_it_shortens(s, list, space, k, ends, price * i, &least);
        else if (bay)
            leave_where_it_saves(s, list, space, k, begins, ends, price * i, &least);
        if (u)
            begins = right ? u->at + frame_half_stud(u) : u->at - frame_half_stud(u);
    }
}

static void add_leaves_along(struct search *s, leave_list *list, const struct space *space,
                             const struct stretch *k, const struct spot *to)
{
    add_facing(s, list, space, k);
    add_saving(s, list, space, k, to);
}

static void add_leaves_beside(struct search *s, leave_list *list, const struct space *space,
                              uint32_t joint, length cost, const struct spot *to)
{
    const struct turn *j = &s->f->joints[joint];
    const struct line *l = &s->f->lines[j->line];
    bool first = joint == l->first_joint, last = joint + 1 == l->first_joint + l->joint_count;
    struct stretch k = {j->line, joint, j->at, last ? l->hi : j[1].at,
                        cost + dip_behind(s->f, joint)};
    if (goes_on(s, joint))
        add_leaves_along(s, list, space, &k, to);
    k.to = first ? l->lo : j[-1].at;
    k.cost = cost + (first ? 0 : dip_behind(s->f, joint - 1));
    if (first ? s->q->surface || !l->bare : goes_on(s, joint - 1))
        add_leaves_along(s, list, space, &k, to);
}

/* Straight up or down from the end itself; false where it stands under or over an opening. */
static bool leave_end(struct search *s, leave_list *list, const struct spot *end,
                      const struct space *space)
{
    bool wall = end->where == ON_WALL;
    const struct line *l = wall ? &s->f->lines[end->line] : NULL;
    length cost = length_abs(end->at.z - space->z) + (wall ? search_plate(s, l, space) : 0);
    const struct rough_opening *r = wall ? frame_opening_at(s->f, l, end->t) : NULL;
    length up = wall ? end->at.z - search_floor(s->f, l) : 0;
    bool inside = r && r->sill < up && up < r->head; /* which is told elsewhere */
    bool board = end->board && space->z > end->at.z;
    if (wall && !inside && !board && !leads_to(s, l, end->t, end->at.z, space))
        return false;
    struct point at = wall ? frame_line_point(l, end->t) : flat(end->at);
    if (wall ? !round_bay_free(s, l, end->t, end->at.z, space->z)
             : !round_column_free(s, at, end->at.z, space->z)) {
        if (!round_step_aside(s, end, space->z, &at))
            return false;
        cost += length_abs(at.x - end->at.x) + length_abs(at.y - end->at.y);
    }
    *vec_push(s->arena, list) =
        (struct leave){at, cost, wall ? end->line : NO_INDEX, end->t, NO_INDEX, false};
    return true;
}

/* Leaves straight from the end along its own wall. */
static void leave_own_wall(struct search *s, leave_list *list, const struct spot *end,
                           const struct space *space, const struct spot *to)
{
    const struct line *l = &s->f->lines[end->line];
    uint32_t before, after;
    joints_beside(s, l, end->t, &before, &after);
    length up = length_abs(end->at.z - search_height_at(s->f, l, end->t));
    uint32_t at = joint_before(s->f, l, end->t);
    if (at != NO_INDEX ? !goes_on(s, at) : l->bare && !s->q->surface)
        return; /* it stands where something begins, or in it: the joint leads on, or none */
    struct stretch k = {end->line, NO_INDEX, end->t,
                        before != NO_INDEX ? s->f->joints[before].at : l->lo, up};
    add_leaves_along(s, list, space, &k, to);
    k.to = after != NO_INDEX ? s->f->joints[after].at : l->hi;
    add_leaves_along(s, list, space, &k, to);
}

/* Whether a cable gets from an end to the height of the bores. */
static bool gets_to_bores(const struct search *s, const struct spot *end)
{
    const struct line *l = &s->f->lines[end->line];
    return round_bay_free(s, l, end->t, end->at.z, search_height_at(s->f, l, end->t));
}

/* Goes through the walls from an end, as far as a way can be better than the best known; lists
 * where it may leave them. Where a way is to stay out of the walls and the end has none straight to
 * its space, it goes to the next joint and no further. */
static void look_round(struct search *s, struct reach *r, leave_list *list, bool first)
{
    const struct question *q = s->q;
    const struct spot *end = first ? &q->a : &q->b, *to = first ? &q->b : &q->a;
    const struct space *space =
        q->across ? &q->spaces[first ? q->first_space : q->last_space] : NULL;
    bool leaves = space && leave_end(s, list, end, space);
    if (end->where != ON_WALL || (!q->walls && leaves) || !gets_to_bores(s, end))
        return;
    if (space)
        leave_own_wall(s, list, end, space, to);
    bool stays = q->walls && first && to->where == ON_WALL && to->storey == end->storey &&
                 gets_to_bores(s, to);
    if (stays && end->line == to->line)
        take_same_wall(s);
    s->stamp++;
    s->heap.n = 0;
    start_reach(s, r, end, to);
    while (s->heap.n) {
        struct heap_item item = search_pop(s);
        if (item.f >= s->best)
            break;
        length cost = r->cost[item.joint];
        if (item.f != cost + remaining(s, item.joint, to) - FOOT)
            continue;
        if (stays)
            take_wall_way(s, item.joint);
        const struct turn *j = &s->f->joints[item.joint];
        if (space && j->bay)
            add_leave(s, list, space, j->line, j->at, item.joint, cost);
        if (space && q->walls)
            add_leaves_beside(s, list, space, item.joint, cost, to);
        if (q->walls)
            spread(s, r, to, item.joint);
    }
}

/* --- among the joists --------------------------------------------------------------------- */

static void take_over(struct search *s, uint32_t a, uint32_t b)
{
    const struct leave *from = &s->leaves_a.at[a], *to = &s->leaves_b.at[b];
    length least = from->cost + to->cost + length_abs(from->at.x - to->at.x) +
                   length_abs(from->at.y - to->at.y);
    if (least >= s->best)
        return;
    length own = from->cost + to->cost,
           cost = own + round_across(s, &s->q->spaces[s->q->first_space], from->at, to->at,
                                     s->best - own);
    if (cost < s->best) {
        s->best = cost;
        s->choice.sort = OVER_JOISTS;
        s->choice.leave_a = a;
        s->choice.leave_b = b;
    }
}

static void pair_leaves(struct search *s)
{
    length least = LARGEST;
    for (uint32_t b = 0; b < s->leaves_b.n; b++)
        least = s->leaves_b.at[b].cost < least ? s->leaves_b.at[b].cost : least;
    for (uint32_t a = 0; a < s->leaves_a.n; a++)
        if (s->leaves_a.at[a].cost + least < s->best)
            for (uint32_t b = 0; b < s->leaves_b.n; b++)
                take_over(s, a, b);
}

/* --- the search --------------------------------------------------------------------------- */

static void begin(struct search *s, const struct question *q)
{
    s->q = q;
    s->best = LARGEST;
    s->choice.sort = NO_WAY;
    s->leaves_a.n = s->leaves_b.n = 0;
    s->lines.n = 0;
    s->asked++;
    come_to(s, q->a.line);
    come_to(s, q->b.line);
}

/* The first leave of each end is the one straight from it. */
static void take_straight(struct search *s)
{
    const struct question *q = s->q;
    if (leave_end(s, &s->leaves_a, &q->a, &q->spaces[q->first_space]) &&
        leave_end(s, &s->leaves_b, &q->b, &q->spaces[q->last_space]))
        take_over(s, 0, 0);
}

void search_way(struct search *s, const struct question *q, struct way *way)
{
    begin(s, q);
    bool one = q->across && q->first_space == q->last_space;
    if (one) {
        take_straight(s);
        s->leaves_a.n = s->leaves_b.n = 0;
    }
    look_round(s, &s->there, &s->leaves_a, true);
    if (q->across)
        look_round(s, &s->back, &s->leaves_b, false);
    if (one)
        pair_leaves(s);
    else if (q->across)
        route_take_risers(s);
    way_write(s, way);
}
