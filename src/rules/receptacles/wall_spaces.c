/* Wall spaces: the stretches of wall that must have a receptacle within reach of each point.
 *
 * A wall space runs along the floor line, round corners too, until a doorway, a fireplace or a
 * cabinet without a counter breaks it (NFPA 70 210.52(A)(2)). Counters that have rules of their own
 * (210.52(C)) break it as well: their receptacles do not serve the wall (210.52(A)(4)). */
#include "rules/receptacles/wall_spaces.h"

#include "rules/geometry/openings.h"
#include "rules/placing.h"

#include <math.h>

struct wall_code wall_spaces_code(const struct checked *c)
{
    struct code *code = &c->model->code;
    return (struct wall_code){
        .reach = code_length(code, SET_RECEPTACLE_SPACING_REACH, 0),
        .smallest = code_length(code, SET_RECEPTACLE_SPACING_SMALLEST_SPACE, 0),
        .floor_within = code_length(code, SET_RECEPTACLE_SPACING_FLOOR_WITHIN, 0),
        .up_to = code_length(code, SET_RECEPTACLE_SPACING_UP_TO, 0),
        .counters_count = code_yes(&c->model->code, SET_RECEPTACLE_SPACING_CABINETS_WITH_COUNTER),
        .railings_count = code_yes(&c->model->code, SET_RECEPTACLE_SPACING_RAILINGS_COUNT),
        .sliding_counts = code_yes(&c->model->code, SET_RECEPTACLE_SPACING_SLIDING_GLASS_COUNTS)};
}

/* --- wall spaces -------------------------------------------------------------------------- */

/* Whether a thing ends the wall space where it stands. `ruled`: counters there have rules of their
 * own. */
static bool breaks_space(const struct fixture *x, const struct wall_code *w, bool ruled)
{
    switch (x->form) {
    case F_DOOR:
    case F_OPENING:
    case F_FIXED:
    case F_TUB:
    case F_SHOWER:
        return true;
    case F_WINDOW:
        return x->sliding && x->sill == 0 && !w->sliding_counts;
    case F_RAILING:
        return !w->railings_count;
    case F_COUNTER:
    case F_SINK:
    case F_RANGE:
    case F_PENINSULA:
        return ruled;
    default:
        return false;
    }
}

/* Whether a fixed thing keeps the space whole although something that breaks it stands there: a
 * rail before an opening, a counter over a cabinet. */
static bool keeps_space(const struct fixture *x, const struct wall_code *w, bool ruled)
{
    return (x->form == F_RAILING && w->railings_count) ||
           (x->form == F_COUNTER && w->counters_count && !ruled);
}

/* The walls of a room while its spaces are found: what breaks them and what keeps them whole
 * nevertheless. */
struct breaks {
    stretch_list doors, others, kept;
};

/* What stands in a corner with its end to the next wall hides as much of that one as it is deep. */
static void add_its_ends(struct arena *arena, const struct floor_line *line,
                         const struct fixture *x, length deep, stretch_list *list)
{
    uint32_t count = line->room->wall_count, before = (x->wall + count - 1) % count,
             after = (x->wall + 1) % count;
    if (x->from_left <= 0 && space_floor_square_corner(line->room, before))
        *vec_push(arena, list) = (struct stretch){
            space_floor_place(line, before, line->room->walls[before].length - deep),
            line->start[before + 1]};
    if (x->from_left + x->wide >= line->room->walls[x->wall].length &&
        space_floor_square_corner(line->room, x->wall))
        *vec_push(arena, list) =
            (struct stretch){line->start[after], space_floor_place(line, after, deep)};
}

/* Of what slides in an outer wall the half that stays is wall (NFPA 70 210.52(A)(2)(2)): the half
 * that opens is left. */
static struct stretch opening_half(const struct checked *c, const struct floor_line *line,
                                   const struct fixture *x)
{
    struct fixture half = *x;
    bool outer = x->to_outside || !x->to || room_used_as(c->model, x->to, LIST_WEATHER_PLACES);
    if (x->sliding && outer) {
        half.wide = x->wide / 2;
        half.from_left = x->fixed_right ? x->from_left : x->from_left + x->wide - half.wide;
    }
    return space_floor_fixture(line, &half);
}

/* A rail stands for the wall at an opening, a counter makes a cabinet count: neither mends a
 * doorway. */
static void add_fixture(const struct checked *c, const struct floor_line *line,
                        const struct fixture *x, const struct wall_code *w, struct breaks *out)
{
    struct arena *arena = c->model->arena;
    bool ruled = placing_counter_has_rules(c, line->room, x), breaking = breaks_space(x, w, ruled);
    stretch_list *list = x->form == F_DOOR          ? &out->doors
                         : breaking                 ? &out->others
                         : keeps_space(x, w, ruled) ? &out->kept
                                                    : NULL;
    struct stretch s = opening_half(c, line, x);
    if (!list || s.to <= s.from)
        return;
    *vec_push(arena, list) = s;
    if (breaking && x->sort == FIXTURE_OTHER && placing_fixture_deep(c, x) > 0)
        add_its_ends(arena, line, x, placing_fixture_deep(c, x), &out->others);
}

/* Doors and openings that only the next room writes break the wall as well. */
static void spaces_of_line(const struct checked *c, const struct floor_line *line,
                           const struct wall_code *w, stretch_list *out)
{
    struct arena *arena = c->model->arena;
    const opening_list *openings = &c->openings->of_room[line->room->id];
    struct breaks b = {0};
    for (uint32_t i = 0; i < openings->n; i++)
        add_fixture(c, line, &openings->at[i].here, w, &b);
    for (uint32_t i = 0; i < line->room->fixtures.n; i++)
        if (line->room->fixtures.at[i].sort == FIXTURE_OTHER)
            add_fixture(c, line, &line->room->fixtures.at[i], w, &b);
    space_stretches_merge(&b.others);
    space_stretches_merge(&b.kept);
    space_stretches_without(arena, &b.others, &b.kept, &b.doors);
    space_stretches_merge(&b.doors);
    space_ring_without(arena, line->whole, &b.doors, out);
}

/* --- the receptacles of a wall ------------------------------------------------------------ */

/* The wall that a place in the floor is nearest to, where that is near enough; else none. */
static bool floor_place_counts(const struct floor_line *line, struct point p, length within,
                               length *at)
{
    double best = (double)within;
    bool found = false;
    for (uint32_t i = 0; i < line->room->wall_count; i++) {
        const struct wall *w = &line->room->walls[i];
        double d = space_distance_to_wall(w, p);
        if (d > best)
            continue;
        double along = ((double)(p.x - w->left.x) * (double)(w->right.x - w->left.x) +
                        (double)(p.y - w->left.y) * (double)(w->right.y - w->left.y)) /
                       (double)w->length;
        *at = space_floor_place(line, i, (length)along);
        best = d;
        found = true;
    }
    return found;
}

/* Whether a box on a wall is inside a fixed cabinet: below the top of one with a counter, anywhere
 * in another (210.52(3)). */
static bool in_cabinet(const struct checked *c, const struct box *b)
{
    bool cabinet = false, counter = false;
    for (uint32_t i = 0; i < b->room->fixtures.n; i++) {
        const struct fixture *x = &b->room->fixtures.at[i];
        bool there = x->wall == b->place.wall && x->from_left < b->place.from_left &&
                     b->place.from_left < x->from_left + x->wide;
        cabinet |= there && x->form == F_FIXED;
        counter |= there && x->form == F_COUNTER;
    }
    if (facts_cabinet_before(b))
        return true;
    return cabinet && !(counter && b->place.up > placing_top_of_counter(c));
}

bool wall_spaces_box_counts(const struct checked *c, const struct wall_code *w, const struct box *b)
{
    return b->place.where == ON_WALL && b->place.up <= w->up_to && !in_cabinet(c, b);
}

void wall_spaces_receptacles(const struct checked *c, const struct floor_line *line,
                             const struct wall_code *w, point_list *out)
{
    for (uint32_t i = 0; i < line->room->boxes.n; i++) {
        const struct box *b = line->room->boxes.at[i];
        length at = 0;
        if (!facts_known(b, ITS_TEXT) || !placing_box_always_live(b))
            continue;
        if (wall_spaces_box_counts(c, w, b))
            at = space_floor_place(line, b->place.wall, b->place.from_left);
        else if (b->place.where != ON_FLOOR || b->place.on_island ||
                 !floor_place_counts(line, (struct point){b->place.at.x, b->place.at.y},
                                     w->floor_within, &at))
            continue;
        *vec_push(c->model->arena, out) = at;
    }
}

/* --- spaces that run on into the next room ------------------------------------------------ */

/* The walls of a room of such a kind, without its parts that have another use; the walls of the
 * parts of another room that have such a kind. */
static void find_asked(const struct checked *c, struct room_spaces *s)
{
    const enum book_table list = LIST_RECEPTACLE_SPACING_PLACES;
    struct arena *arena = c->model->arena;
    const struct room *r = s->line.room;
    stretch_list whole = {0}, more = {0}, less = {0};
    for (uint32_t i = 0; i < r->kind_count && !whole.n; i++)
        if (code_list_has_kind(&c->model->code, list, r->kinds[i]))
            *vec_push(arena, &whole) = (struct stretch){0, s->line.whole};
    for (uint32_t i = 0; i < r->areas.n; i++) {
        bool such = code_list_has_kind(&c->model->code, list, r->areas.at[i].kind);
        placing_floor_line_in_area(arena, &s->line, &r->areas.at[i], such ? &more : &less);
    }
    space_stretches_without(arena, &whole, &less, &s->asked);
    for (uint32_t i = 0; i < more.n; i++)
        *vec_push(arena, &s->asked) = more.at[i];
    space_stretches_merge(&s->asked);
}

static void find_spaces(struct wall_spaces *all, const struct room *r)
{
    struct arena *arena = all->c->model->arena;
    struct room_spaces *s = &all->of_room[r->id];
    stretch_list list = {0};
    s->certain = placing_room_is_certain(r) && !all->c->openings->in_doubt[r->id];
    s->line = space_floor_line_of(arena, r);
    if (s->certain)
        find_asked(all->c, s);
    spaces_of_line(all->c, &s->line, &all->code, &list);
    wall_spaces_receptacles(all->c, &s->line, &all->code, &s->places);
    for (uint32_t i = 0; i < list.n; i++)
        *vec_push(arena, &s->spaces) = (struct wall_space){.room = r, .at = list.at[i]};
}

/* The space of a room that ends, or begins, at a corner of its walls. */
static struct wall_space *space_at(struct room_spaces *s, length corner, bool ends)
{
    for (uint32_t i = 0; i < s->spaces.n; i++) {
        struct stretch at = s->spaces.at[i].at;
        bool whole = at.to - at.from == s->line.whole;
        if (!whole && (ends ? at.to : at.from) % s->line.whole == corner % s->line.whole)
            return &s->spaces.at[i];
    }
    return NULL;
}

/* Joins the space that ends where an opening begins in a corner with the one that begins where the
 * opening ends in the room behind. */
static void join_through(struct wall_spaces *all, const struct room *r, const struct opening *o)
{
    if (o->here.form != F_OPENING || !o->beyond_known || o->here.from_left > 0)
        return;
    struct room_spaces *here = &all->of_room[r->id], *there = &all->of_room[o->here.to->id];
    uint32_t count = o->here.to->wall_count, after = (o->beyond_wall + 1) % count;
    if (o->beyond_left + o->here.wide < o->here.to->walls[o->beyond_wall].length)
        return;
    struct wall_space *from = space_at(here, here->line.start[o->here.wall], true),
                      *to = space_at(there, there->line.start[after], false);
    if (!from || !to || from->next || to->has_before)
        return;
    struct point p = r->walls[o->here.wall].left, q = o->here.to->walls[after].left;
    from->next = to;
    from->between = (length)llround(hypot((double)(p.x - q.x), (double)(p.y - q.y)));
    to->has_before = true;
}

/* The parts of a space that are asked; those that lie past the start of the room's line are met one
 * round further on. */
static void lay_asked(struct arena *arena, const struct room_spaces *of, const struct wall_space *s,
                      struct wall_chain *chain)
{
    length shift = chain->long_ - s->at.from;
    for (int round = 0; round < 2; round++)
        for (uint32_t i = 0; i < of->asked.n; i++) {
            length from = of->asked.at[i].from + round * of->line.whole,
                   to = of->asked.at[i].to + round * of->line.whole;
            from = from < s->at.from ? s->at.from : from;
            to = to > s->at.to ? s->at.to : to;
            if (from < to)
                *vec_push(arena, &chain->asked) = (struct stretch){from + shift, to + shift};
        }
}

/* Whether something is asked of the wall at a place of a room's line. */
static bool is_asked(const struct room_spaces *of, length at)
{
    length place = at % of->line.whole, whole = of->line.whole;
    for (uint32_t i = 0; i < of->asked.n; i++)
        if ((of->asked.at[i].from <= place && place <= of->asked.at[i].to) ||
            (place == 0 && of->asked.at[i].to == whole))
            return true;
    return false;
}

/* The end of the wall between two rooms belongs to them where both are asked. */
static void lay_between(const struct wall_spaces *all, const struct wall_space *s,
                        struct wall_chain *chain, length from)
{
    if (is_asked(&all->of_room[s->room->id], s->at.to) &&
        is_asked(&all->of_room[s->next->room->id], s->next->at.from))
        *vec_push(all->c->model->arena, &chain->asked) = (struct stretch){from, from + s->between};
}

/* A room in doubt may have a receptacle wherever its wall begins. */
static void lay_space(const struct wall_spaces *all, const struct wall_space *s,
                      struct wall_chain *chain)
{
    struct arena *arena = all->c->model->arena;
    const struct room_spaces *of = &all->of_room[s->room->id];
    point_list points = {0};
    length from = chain->long_, to = from + s->at.to - s->at.from;
    *vec_push(arena, &chain->laid) = (struct laid_space){s, from};
    space_points_in(arena, of->line.whole, s->at, &of->places, &points);
    if (!of->certain)
        *vec_push(arena, &chain->points) = from;
    for (uint32_t i = 0; i < points.n; i++)
        *vec_push(arena, &chain->points) = from + points.at[i] - s->at.from;
    if (!of->certain)
        *vec_push(arena, &chain->points) = to;
    lay_asked(arena, of, s, chain);
    if (s->next)
        lay_between(all, s, chain, to);
    chain->long_ = to + (s->next ? s->between : 0);
}

static struct wall_chain lay_chain(const struct wall_spaces *all, struct wall_space *first)
{
    struct wall_chain chain = {.closed = first->at.to - first->at.from ==
                                         all->of_room[first->room->id].line.whole};
    struct wall_space *s = first;
    do {
        s->told = true;
        lay_space(all, s, &chain);
        s = s->next;
    } while (s && s != first);
    chain.closed |= s == first;
    /* The gaps of a ring may lie past its start. */
    for (uint32_t i = 0, n = chain.asked.n; i < n && chain.closed; i++)
        *vec_push(all->c->model->arena, &chain.asked) = (struct stretch){
            chain.asked.at[i].from + chain.long_, chain.asked.at[i].to + chain.long_};
    space_stretches_merge(&chain.asked);
    return chain;
}

/* --- all of them -------------------------------------------------------------------------- */

bool wall_spaces_find(const struct checked *c, struct wall_spaces *all)
{
    const struct model *m = c->model;
    *all =
        (struct wall_spaces){.c = c,
                             .code = wall_spaces_code(c),
                             .of_room = arena_array(m->arena, struct room_spaces, m->rooms.n + 1)};
    if (all->code.reach <= 0)
        return false;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (m->rooms.at[i]->wall_count)
            find_spaces(all, m->rooms.at[i]);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (uint32_t k = 0; k < c->openings->of_room[i].n; k++)
            join_through(all, m->rooms.at[i], &c->openings->of_room[i].at[k]);
    return true;
}

void wall_spaces_each_chain(struct wall_spaces *all, wall_chain_fn *each, void *data)
{
    const struct model *m = all->c->model;
    /* First those with a beginning, then the rings. */
    for (int rings = 0; rings < 2; rings++)
        for (uint32_t i = 0; i < m->rooms.n; i++)
            for (uint32_t k = 0; k < all->of_room[i].spaces.n; k++) {
                struct wall_space *first = &all->of_room[i].spaces.at[k];
                if (first->told || (!rings && first->has_before))
                    continue;
                struct wall_chain chain = lay_chain(all, first);
                if (chain.asked.n && chain.long_ >= all->code.smallest)
                    each(all, &chain, data);
            }
}

void wall_spaces_gaps(const struct wall_spaces *all, const struct wall_chain *chain,
                      stretch_list *out)
{
    struct arena *arena = all->c->model->arena;
    stretch_list gaps = {0}, quiet = {0}, all_of_it = {0};
    *vec_push(arena, &all_of_it) = (struct stretch){0, 2 * chain->long_};
    space_stretches_without(arena, &all_of_it, &chain->asked, &quiet);
    space_stretch_gaps(arena, (struct stretch){0, chain->long_}, chain->closed, &chain->points,
                       all->code.reach, &gaps);
    space_stretches_without(arena, &gaps, &quiet, out);
}
