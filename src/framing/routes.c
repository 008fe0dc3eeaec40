/* Routes: what is asked of the search for each run, and what the way that it finds measures and
 * goes through.
 *
 * The ends of a run are put into one order first, so that it measures the same whichever end the
 * plan names first. */
#include "framing/routes.h"

#include "facts/pulls.h"
#include "facts/closed.h"
#include "facts/facts.h"
#include "facts/raceways.h"
#include "framing/airs.h"
#include "framing/bulks.h"
#include "framing/frame.h"
#include "framing/search.h"
#include "framing/mountings.h"
#include "framing/spans.h"
#include "framing/ways.h"
#include "model/power.h"
#include "resolve/value.h"

#include <math.h>

/* What the tables say, looked up once. */
struct figures {
    length at_box, box_depth, panel_tail; /* ends */
    length from_box, no_clamp, interval;  /* supports */
    struct prices prices;
    length fished, clear;
};

struct router {
    struct arena *arena, *scratch;
    struct model *m;
    struct figures f;
    const struct skeleton *frame;
    const struct mountings *mountings;
    struct search *search;
    struct known_ways *known; /* NULL: each is sought */
    struct way way;           /* of the run at hand; its hops are used again */
    struct space *spaces;
    struct spans *spans; /* NULL until a run is notched */
    VEC(struct members) members;
    VEC(struct segment) segments;
    uint32_t passed; /* in all of them */
};

/* --- ends --------------------------------------------------------------------------------- */

static const struct place *end_place(const struct router *r, struct end e)
{
    return &mounting_of_end(r->mountings, e)->place;
}

static bool end_known(const struct router *r, struct end e)
{
    struct room *room = facts_room_of_end(e);
    const struct place *p = room && room->level ? end_place(r, e) : NULL;
    return p && p->known && (p->where != ON_WALL || p->wall < room->wall_count);
}

/* What is in front of a stud has its cable beside it, on the nearer side. */
static void stand_beside_wood(const struct skeleton *f, struct spot *s)
{
    const struct line *l = &f->lines[s->line];
    if (!frame_in_wood(f, l, s->t) && !frame_at_edge(f, l, s->t))
        return;
    length left = frame_clear_place(f, l, s->t, false, true),
           right = frame_clear_place(f, l, s->t, true, true);
    bool to_left = right > l->hi || (left >= l->lo && s->t - left <= right - s->t);
    struct point from = frame_line_point(l, s->t), to;
    s->t = to_left ? left : right;
    to = frame_line_point(l, s->t);
    s->at.x += to.x - from.x;
    s->at.y += to.y - from.y;
}

static struct spot spot_of(const struct router *r, struct end e)
{
    const struct place *p = end_place(r, e);
    struct spot s = {
        .at = p->at, .room = facts_room_of_end(e), .where = p->where, .line = NO_INDEX};
    s.storey = r->frame->storey_of[s.room->level->id];
    const struct face *face = p->where == ON_WALL ? frame_face_of(r->frame, s.room, p->wall) : NULL;
    if (face && face->line != NO_INDEX) {
        s.line = face->line;
        s.t = face->forward ? face->lo + p->from_left : face->hi - p->from_left;
        s.board = e.panel && wall_is_bare(frame_wall_of(face));
        stand_beside_wood(r->frame, &s);
    } else if (p->where == ON_WALL) {
        s.where = OVERHEAD; /* a wall without length holds nothing; the cable goes up */
    }
    return s;
}

/* Whether the second end comes first in the search: the lower storey does, then what lies further
 * west, further south and lower, so that neither names nor their order in the plan decide. */
static bool comes_after(const struct router *r, struct end a, struct end b)
{
    uint32_t sa = r->frame->storey_of[facts_room_of_end(a)->level->id],
             sb = r->frame->storey_of[facts_room_of_end(b)->level->id];
    if (sa != sb)
        return sa > sb;
    if (!a.box != !b.box)
        return !a.box;
    struct place3 pa = end_place(r, a)->at, pb = end_place(r, b)->at;
    length apart = pa.x != pb.x ? pa.x - pb.x : pa.y != pb.y ? pa.y - pb.y : pa.z - pb.z;
    return apart > 0;
}

/* What is left free in a box or panel; nothing where the conductors go on unbroken (300.14
 * exception). */
static length end_tail(const struct router *r, const struct run *run, bool at_to)
{
    struct end e = at_to ? run->to : run->from;
    if (facts_goes_on(run, at_to))
        return 0;
    return r->m->slack + (e.panel ? r->f.panel_tail : r->f.at_box + r->f.box_depth);
}

static length manhattan(struct place3 a, struct place3 b)
{
    return length_abs(a.x - b.x) + length_abs(a.y - b.y) + length_abs(a.z - b.z);
}

/* --- what is asked ------------------------------------------------------------------------ */

static struct prices prices_of(const struct router *r, const struct run *run)
{
    if (facts_on_surface(run))
        return (struct prices){0};
    struct prices prices = r->f.prices;
    if (run->fished)
        prices.hole = prices.plate = r->f.fished;
    prices.closed = run->existing ? 0 : r->f.prices.closed;
    prices.hung_by = facts_hung_by(run);
    return prices;
}

/* Ways over a ceiling lie in the middle of its joists, those under a floor likewise. */
static length middle_of(const struct framing *joists)
{
    return joists->lumber.depth / 2;
}

/* Whether the ceilings of both ends stay on while the floor below them is of wood that is open. */
static bool is_better_under(const struct router *r, const struct question *q)
{
    const struct spot *ends[] = {&q->a, &q->b};
    for (int i = 0; i < 2; i++) {
        const struct room *room = ends[i]->room;
        struct place3 over = ends[i]->at, under = over;
        over.z = room->level->floor + room->ceiling + middle_of(&room->joists);
        under.z = room->level->floor - middle_of(&room->level->floor_joists);
        if (ends[i]->where != ON_WALL || room->level->slab ||
            !frame_closed_over(r->frame, room, over, q->prices.hung_by) ||
            frame_closed_over(r->frame, room, under, q->prices.hung_by))
            return false;
    }
    return q->a.storey == q->b.storey;
}

/* The spaces that the two ends come out in: the one over a storey has the number of the storey plus
 * one. */
static void choose_spaces(struct question *q, enum via via)
{
    uint32_t sa = q->a.storey, sb = q->b.storey;
    bool floor_a = q->a.where == ON_FLOOR, floor_b = q->b.where == ON_FLOOR,
         over_a = q->a.where == OVERHEAD, over_b = q->b.where == OVERHEAD;
    q->first_space = floor_a ? sa : sa + 1;
    q->last_space = over_b ? sb + 1 : sb;
    if (sa != sb)
        return;
    bool under = via == VIA_UNDER || (via != VIA_OVERHEAD && (floor_a || floor_b));
    q->first_space = over_a ? sa + 1 : floor_a || under ? sa : sa + 1;
    q->last_space = over_b ? sb + 1 : floor_b || under ? sb : sb + 1;
}

/* A mat or cable that heats a floor lies on the concrete, and its lead comes to it under the
 * flooring; all else on a slab is reached through the concrete alone. */
static bool lies_on_floor(struct end e)
{
    for (uint32_t i = 0; e.box && i < e.box->device_count; i++)
        if (e.box->devices[i]->def->demand == DEMAND_HEAT)
            return true;
    return false;
}

/* The level whose slab a way would go through: that of an end on such a floor, or both where it is
 * to go under it. NULL: none. */
static const struct level *slab_in_way(const struct router *r, const struct run *run)
{
    const struct end ends[] = {run->from, run->to};
    for (int i = 0; i < 2; i++) {
        const struct level *level = facts_room_of_end(ends[i])->level;
        if (level->slab && (run->via == VIA_UNDER ||
                            (end_place(r, ends[i])->where == ON_FLOOR && !lies_on_floor(ends[i]))))
            return level;
    }
    return NULL;
}

static struct space over_ceiling(const struct framing *joists, length ceiling, struct point corner)
{
    return (struct space){
        .joists = *joists, .corner = corner, .face = ceiling, .z = ceiling + middle_of(joists)};
}

static struct space under_floor(const struct level *level, const struct framing *joists,
                                struct point corner)
{
    if (level->slab)
        return (struct space){
            .corner = corner, .face = level->floor, .z = level->floor, .slab = true};
    return (struct space){.joists = *joists,
                          .corner = corner,
                          .face = level->floor,
                          .z = level->floor - middle_of(joists)};
}

static struct space space_of(const struct router *r, uint32_t number)
{
    const struct storey *below = number ? &r->frame->storeys[number - 1] : NULL,
                        *storey = below ? below : &r->frame->storeys[0];
    const struct level *level = storey->levels.at[0];
    return below ? over_ceiling(&level->joists, level->floor + level->ceiling, storey->corner)
                 : under_floor(level, &level->floor_joists, storey->corner);
}

static length ceiling_at(const struct spot *s)
{
    return s->room->level->floor + s->room->ceiling;
}

/* The height of the ceiling over which a run goes that stays on a storey: that of a box overhead,
 * else that of its rooms. Where these differ it is the level's, as far as that lies between them:
 * the wall between the rooms is as high as the higher one, and the cable goes on in it. */
static length ceiling_over(const struct spot *a, const struct spot *b)
{
    length at_a = ceiling_at(a), at_b = ceiling_at(b), low = at_a < at_b ? at_a : at_b,
           high = at_a < at_b ? at_b : at_a,
           common = a->room->level->floor + a->room->level->ceiling;
    bool over_a = a->where == OVERHEAD, over_b = b->where == OVERHEAD;
    if (over_a || over_b)
        return !over_b ? at_a : !over_a ? at_b : high;
    return common < low ? low : common > high ? high : common;
}

/* The joists over (or under) a run that stays on a storey: the room's own where it stays in one
 * room, else those of the level. What is exposed lies on them, not in their middle. */
static void set_spaces(const struct router *r, struct question *q, bool exposed)
{
    const struct level *level = q->a.room->level;
    uint32_t lo = q->first_space < q->last_space ? q->first_space : q->last_space,
             hi = q->first_space < q->last_space ? q->last_space : q->first_space;
    q->spaces = r->spaces;
    for (uint32_t s = lo; s <= hi; s++)
        r->spaces[s] = space_of(r, s);
    struct point corner = r->frame->storeys[q->a.storey].corner;
    if (lo <= q->a.storey + 1 && q->a.storey + 1 <= hi)
        r->spaces[q->a.storey + 1] = over_ceiling(
            q->a.room == q->b.room ? &q->a.room->joists : &level->joists,
            q->a.storey == q->b.storey ? ceiling_over(&q->a, &q->b) : level->floor + level->ceiling,
            corner);
    if (q->a.storey == q->b.storey && lo == q->a.storey)
        r->spaces[lo] = under_floor(
            level, q->a.room == q->b.room ? &q->a.room->floor_joists : &level->floor_joists,
            corner);
    for (uint32_t s = lo; exposed && s <= hi; s++)
        r->spaces[s].z = r->spaces[s].face;
}

/* `turned`: the way leads from the run's second end to its first. */
static struct question ask(const struct router *r, const struct run *run, bool *turned)
{
    *turned = comes_after(r, run->from, run->to);
    struct end a = *turned ? run->to : run->from, b = *turned ? run->from : run->to;
    struct question q = {.a = spot_of(r, a),
                         .b = spot_of(r, b),
                         .prices = prices_of(r, run),
                         .surface = facts_on_surface(run) || run->existing,
                         .world = frame_world_of(facts_room_of_end(run->from)),
                         .clear = r->f.clear,
                         .bend_at_b = b.panel && !a.panel};
    bool under =
        run->via == VIA_ANY && !run->existing && !facts_on_surface(run) && is_better_under(r, &q);
    choose_spaces(&q, slab_in_way(r, run) ? VIA_ANY : under ? VIA_UNDER : run->via);
    set_spaces(r, &q, facts_on_surface(run));
    if (q.first_space > q.last_space) {
        struct spot spot = q.a;
        uint32_t space = q.first_space;
        q.a = q.b;
        q.b = spot;
        q.first_space = q.last_space;
        q.last_space = space;
        q.bend_at_b = !q.bend_at_b;
        *turned = !*turned;
    }
    bool on_walls = q.a.where == ON_WALL && q.b.where == ON_WALL && q.a.storey == q.b.storey;
    q.walls = run->via == VIA_ANY || run->via == VIA_STUDS;
    q.across = !(run->via == VIA_STUDS && on_walls);
    return q;
}

/* What stands between two places of one wall line, for the message; NULL where they are not on one.
 */
static const struct fixture *blocker_of(const struct router *r, const struct question *q)
{
    const struct obstacle *o = NULL;
    if (q->a.line == q->b.line && q->a.line != NO_INDEX &&
        !frame_line_open(r->frame, q->a.line, q->a.t, q->b.t, &o))
        return o->fixture; /* a beam or duct is told as such */
    return NULL;
}

static bool is_on_bare(const struct router *r, struct end e)
{
    const struct place *p = end_place(r, e);
    return p->where == ON_WALL && wall_is_bare(&facts_room_of_end(e)->walls[p->wall]);
}

/* The end of a run that stands on bare concrete, a box before a panel; NULL: none. */
static const struct place *bare_end(const struct router *r, const struct run *run)
{
    bool from = is_on_bare(r, run->from), to = is_on_bare(r, run->to);
    return from && (run->from.box || !to) ? end_place(r, run->from)
           : to                           ? end_place(r, run->to)
                                          : NULL;
}

/* The way as it was found before, else sought. */
static void look(struct router *r, const struct question *q, struct way *way)
{
    if (r->known && ways_recall(r->known, r->scratch, q, way))
        return;
    search_way(r->search, q, way);
    if (r->known)
        ways_keep(r->known, r->search, q, way);
}

/* From a storey below a slab the way leads over the ceiling of the one above. */
static void look_over_slab(struct router *r, struct question *q, struct way *way, bool exposed)
{
    if (way->found || !q->across || q->last_space != q->b.storey || q->a.storey == q->b.storey)
        return;
    q->last_space++;
    set_spaces(r, q, exposed);
    look(r, q, way);
    if (way->found)
        return;
    q->last_space--;
    set_spaces(r, q, exposed);
}

/* The first beam or duct that a part of a way inside a wall goes through. */
static const struct bulk_piece *piece_in_wall(const struct router *r, const struct question *q,
                                              const struct hop *h)
{
    const struct line *l = &r->frame->lines[h->line];
    bool right = h->t0 < h->t1, up = h->from.z < h->to.z;
    struct bulk_stretch in = {right ? h->t0 : h->t1, right ? h->t1 : h->t0,
                              up ? h->from.z : h->to.z, up ? h->to.z : h->from.z};
    uint32_t at = 0;
    return bulks_in_wall(r->frame, l, in, q->world, &at, NULL, NULL);
}

/* The first beam or duct that a way goes through. */
static const struct bulk *bulk_in(const struct router *r, const struct question *q,
                                  const struct way *way)
{
    for (uint32_t i = 0; i < way->hops.n; i++) {
        struct place3 a = way->hops.at[i].from, b = way->hops.at[i].to;
        struct place3 low = {a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y,
                             (a.z < b.z ? a.z : b.z) - q->surface},
                      high = {a.x < b.x ? b.x : a.x, a.y < b.y ? b.y : a.y, a.z < b.z ? b.z : a.z};
        uint32_t at = 0;
        const struct hop *h = &way->hops.at[i];
        const struct bulk_piece *p = h->line != NO_INDEX && h->kind != HOP_CORNER && !q->surface
                                         ? piece_in_wall(r, q, h)
                                         : bulks_next(r->frame->bulks, low, high, q->world, &at);
        if (p)
            return p->bulk;
    }
    return NULL;
}

/* The way that there would be without beams and ducts; false where there is none either. */
static bool look_through(struct router *r, struct question *q, struct way *way, struct route *route)
{
    q->through = true;
    look(r, q, way);
    route->blocked = way->found;
    route->bulk = way->found ? bulk_in(r, q, way) : NULL;
    return way->found;
}

static void find_way(struct router *r, const struct run *run, struct question *q, struct way *way,
                     struct route *route)
{
    look(r, q, way);
    if (q->b.room->level->slab)
        look_over_slab(r, q, way, facts_on_surface(run));
    if (!way->found && r->frame->bulks && look_through(r, q, way, route))
        return;
    route->slab = slab_in_way(r, run);
    route->blocked = !way->found || route->slab;
    if (way->found)
        return;
    route->bare = q->surface ? NULL : bare_end(r, run);
    route->blocker = route->bare ? NULL : blocker_of(r, q);
    q->surface |= route->bare != NULL;
    if (!q->across || route->bare) {
        q->across = true;
        look(r, q, way);
    }
}

/* --- what it goes through ----------------------------------------------------------------- */

static struct members *cross(struct router *r, enum member member, uint32_t count)
{
    struct members *c = vec_push(r->scratch, &r->members);
    *c = (struct members){.member = member, .before = r->passed, .count = count, .line = NO_INDEX};
    r->passed += count;
    return c;
}

static void pass_studs(struct router *r, const struct hop *h)
{
    uint32_t first,
        count = frame_studs_between(r->frame, &r->frame->lines[h->line], h->t0, h->t1, &first);
    if (!count)
        return;
    struct members *c = cross(r, MEMBER_STUD, count);
    c->line = h->line;
    c->down = h->t0 > h->t1;
    c->first = c->down ? first + count - 1 : first;
    c->at = h->from;
}

static void pass_plate(struct router *r, const struct hop *h)
{
    struct members *c = cross(r, MEMBER_PLATE, 1);
    c->top = h->top;
    c->line = h->line;
    c->place = h->t0;
    c->first = frame_studs_before(r->frame, &r->frame->lines[h->line], h->t0, false);
    c->at = h->from;
}

/* Whose joists a space has: those over a storey are its own, those under the lowest are under it.
 */
static const struct level *level_of_space(const struct router *r, const struct space *s,
                                          const struct run *run)
{
    const struct level *a = facts_room_of_end(run->from)->level,
                       *b = facts_room_of_end(run->to)->level;
    uint32_t number = (uint32_t)(s - r->spaces), below = number ? number - 1 : 0,
             sa = r->frame->storey_of[a->id], sb = r->frame->storey_of[b->id];
    if (sa == sb)
        return a == b || a->floor + a->ceiling == s->face || a->floor == s->face ? a : b;
    return sa == below ? a : sb == below ? b : r->frame->storeys[below].levels.at[0];
}

/* The lumber of a space where it is kept: with the room or the level that has it. */
static const struct lumber *lumber_of_space(const struct router *r, const struct space *s,
                                            const struct run *run)
{
    const struct room *a = facts_room_of_end(run->from);
    const struct level *level = level_of_space(r, s, run);
    const struct framing *all[] = {&a->joists, &a->floor_joists, &level->joists,
                                   &level->floor_joists};
    int last = (int)(sizeof all / sizeof *all) - 1;
    for (int i = 0; i < last; i++)
        if (all[i]->lumber.name == s->joists.lumber.name)
            return &all[i]->lumber;
    return &all[last]->lumber;
}

/* What carries a joist where a notch is cut: the walls of the storey below its space; the lowest
 * floor lies on what its own walls stand on. */
static struct joist_span span_at(struct router *r, const struct run *run, const struct space *s,
                                 struct place3 at)
{
    uint32_t number = (uint32_t)(s - r->spaces);
    if (!r->spans)
        r->spans = spans_find(r->scratch, r->frame);
    struct joist_span span =
        span_of_joist(r->spans, number ? number - 1 : 0, s->joists.running_north,
                      frame_world_of(facts_room_of_end(run->from)), (struct point){at.x, at.y});
    length corner = s->joists.running_north ? s->corner.y : s->corner.x;
    span.lo -= corner;
    span.hi -= corner;
    return span;
}

/* The spans of all these joists, where notches are cut in them. */
static const struct joist_span *spans_of(struct router *r, const struct run *run,
                                         const struct space *s, const struct members *c)
{
    struct joist_span *spans = arena_array(r->arena, struct joist_span, c->count);
    for (uint32_t i = 0; i < c->count; i++)
        spans[i] = span_at(r, run, s, passed_at(r->frame, c, i).at);
    return spans;
}

static void pass_joists(struct router *r, const struct run *run, const struct space *s,
                        struct place3 from, struct place3 to)
{
    int64_t first = 0;
    uint32_t count = search_joists_crossed(s, (struct point){from.x, from.y},
                                           (struct point){to.x, to.y}, &first);
    if (!count)
        return;
    struct members *c = cross(r, MEMBER_JOIST, count);
    c->north = s->joists.running_north;
    c->down = c->north ? from.x >= to.x : from.y >= to.y;
    c->first = c->down ? first + count - 1 : first;
    c->spacing = s->joists.spacing;
    c->level = level_of_space(r, s, run);
    c->lumber = lumber_of_space(r, s, run);
    c->at = (struct place3){c->north ? s->corner.x + c->first * c->spacing : from.x,
                            c->north ? from.y : s->corner.y + c->first * c->spacing, s->z};
    c->place = c->north ? from.y - s->corner.y : from.x - s->corner.x;
    if (run->notch)
        c->spans = spans_of(r, run, s, c);
}

/* --- segments ----------------------------------------------------------------------------- */

static struct segment *add_segment(struct router *r, enum segment_kind kind, struct place3 from,
                                   struct place3 to)
{
    struct segment *s = vec_push(r->scratch, &r->segments);
    *s = (struct segment){
        .kind = kind, .from = from, .to = to, .length = manhattan(from, to), .first = r->passed};
    return s;
}

static void end_segment(struct router *r, length spacing, bool bored)
{
    struct segment *s = &r->segments.at[r->segments.n - 1];
    s->count = r->passed - s->first;
    s->held = bored && s->count && spacing <= r->f.interval;
}

static void add_wall_segment(struct router *r, const struct hop *h)
{
    struct segment *s =
        add_segment(r, h->kind == HOP_STUDS ? THROUGH_STUDS : IN_BAY, h->from, h->to);
    if (h->line != NO_INDEX) {
        const struct face *face = frame_face_at(r->frame, &r->frame->lines[h->line], h->t0);
        s->room = face->room;
        s->wall = face->wall;
    }
    if (h->kind != HOP_STUDS)
        return;
    s->length = length_abs(h->t1 - h->t0);
    length spacing = s->room->walls[s->wall].framing.spacing;
    pass_studs(r, h);
    end_segment(r, spacing, true);
}

/* Across the joists, and along them in a bay, in the order of the way. */
static void add_joist_segments(struct router *r, const struct run *run, const struct hop *h)
{
    bool north = h->space->joists.running_north; /* crossing is going east or west */
    bool east_first = h->cross_first == north;
    struct place3 bend = east_first ? (struct place3){h->to.x, h->from.y, h->from.z}
                                    : (struct place3){h->from.x, h->to.y, h->from.z};
    struct place3 at[3] = {h->from, bend, h->to};
    for (int i = 0; i < 2; i++) {
        bool slab = h->space->slab, crosses = !slab && (i == 0) == h->cross_first;
        if (at[i].x == at[i + 1].x && at[i].y == at[i + 1].y)
            continue;
        add_segment(r, slab ? ON_SLAB : crosses ? ACROSS_JOISTS : ALONG_JOISTS, at[i], at[i + 1]);
        bool bored = crosses && h->from.z >= h->space->z - h->space->joists.lumber.depth / 2;
        if (bored)
            pass_joists(r, run, h->space, at[i], at[i + 1]);
        end_segment(r, h->space->joists.spacing, bored);
        if (slab)
            r->segments.at[r->segments.n - 1].held = true; /* by the flooring */
    }
}

/* A plate or a post counts with the part that leads to it. */
static void count_with_last(struct router *r)
{
    if (!r->segments.n)
        return;
    struct segment *s = &r->segments.at[r->segments.n - 1];
    s->count = r->passed - s->first;
}

/* Between an end in front of a stud and the cable beside that, along the wall; gives how far it is.
 */
static length add_sidestep(struct router *r, struct end e, bool out)
{
    struct place3 own = end_place(r, e)->at;
    struct spot beside = spot_of(r, e);
    if (!manhattan(own, beside.at))
        return 0;
    struct segment *s = add_segment(r, IN_BAY, out ? own : beside.at, out ? beside.at : own);
    s->room = beside.room;
    s->wall = end_place(r, e)->wall;
    s->length =
        (length)llround(hypot((double)(own.x - beside.at.x), (double)(own.y - beside.at.y)));
    return s->length;
}

/* What was gathered of the way, in the arena. */
static void keep_way(struct router *r, struct route *route)
{
    struct members *members = arena_array(r->arena, struct members, r->members.n);
    struct segment *segments = arena_array(r->arena, struct segment, r->segments.n);
    for (uint32_t i = 0; i < r->members.n; i++)
        members[i] = r->members.at[i];
    for (uint32_t i = 0; i < r->segments.n; i++)
        segments[i] = r->segments.at[i];
    route->members = members;
    route->members_count = r->members.n;
    route->passed_count = r->passed;
    route->segments = segments;
    route->segment_count = r->segments.n;
}

static void write_route(struct router *r, const struct run *run, const struct way *way,
                        struct route *route)
{
    r->members.n = r->segments.n = r->passed = 0;
    route->path = way->path + add_sidestep(r, run->from, true);
    for (uint32_t i = 0; i < way->hops.n; i++) {
        const struct hop *h = &way->hops.at[i];
        switch (h->kind) {
        case HOP_BAY:
        case HOP_STUDS:
            add_wall_segment(r, h);
            break;
        case HOP_CHASE:
            add_segment(r, IN_CHASE, h->from, h->to);
            break;
        case HOP_ACROSS:
            add_joist_segments(r, run, h);
            break;
        case HOP_CORNER: /* its studs stand at the ends of the two walls */
            break;
        case HOP_PLATE:
            pass_plate(r, h);
            count_with_last(r);
            break;
        }
    }
    route->path += add_sidestep(r, run->to, false);
    keep_way(r, route);
}

/* From the one end up or down to a height, straight to the other, and to it: a way that passes no
 * wood. */
static void go_straight(struct router *r, const struct run *run, enum segment_kind between,
                        length from_height, length to_height, struct route *route)
{
    struct place3 a = end_place(r, run->from)->at, b = end_place(r, run->to)->at;
    struct place3 at_a = {a.x, a.y, from_height}, at_b = {b.x, b.y, to_height};
    r->members.n = r->segments.n = r->passed = 0;
    add_segment(r, IN_BAY, a, at_a);
    add_segment(r, between, at_a, at_b);
    add_segment(r, IN_BAY, at_b, b);
    route->path = 0;
    for (uint32_t i = 0; i < r->segments.n; i++)
        route->path += r->segments.at[i].length;
    keep_way(r, route);
}

/* Into the ground at both ends, and straight on the plan's grid between. */
static void dig(struct router *r, const struct run *run, struct route *route)
{
    length low = facts_room_of_end(run->from)->level->floor,
           other = facts_room_of_end(run->to)->level->floor;
    length depth = (low < other ? low : other) - run->burial;
    go_straight(r, run, IN_GROUND, depth, depth, route);
}

/* Up to the ceilings at both ends, and straight through the air between. */
static void string_up(struct router *r, const struct run *run, struct route *route)
{
    const struct room *from = facts_room_of_end(run->from), *to = facts_room_of_end(run->to);
    go_straight(r, run, IN_AIR, from->level->floor + from->ceiling, to->level->floor + to->ceiling,
                route);
}

/* --- counts and lengths ------------------------------------------------------------------- */

bool route_bends(const struct route *route, length offset, uint32_t *bends)
{
    length along[3][2] = {{0}};
    uint32_t directions = 0;
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        length steps[3] = {s->to.x - s->from.x, s->to.y - s->from.y, s->to.z - s->from.z};
        bool straight = s->kind == IN_GROUND || s->kind == IN_AIR;
        if (straight) { /* one way between two places, whatever its bearing */
            directions++;
            continue;
        }
        for (int axis = 0; axis < 3; axis++)
            along[axis][steps[axis] < 0] += length_abs(steps[axis]);
    }
    for (int axis = 0; axis < 3; axis++)
        for (int back = 0; back < 2; back++)
            directions += along[axis][back] >= offset && along[axis][back] > 0;
    *bends = directions ? directions - 1 : 0;
    return route->segment_count > 0;
}

length route_raceway_length(const struct run *run, const struct route *route)
{
    length measured = run->length - route->ends;
    return !route->measured ? route->path : measured > 0 ? measured : 0;
}

length route_bit_for(struct model *m, length across)
{
    struct table *bits = code_table(&m->code, TABLE_BITS);
    length smallest = 0, largest = 0;
    for (uint32_t i = 0; bits && i < bits->rows.n; i++) {
        length up_to = code_row_length(&m->code, COL_BITS_SINGLE_UP_TO, i, 0);
        length bit = code_row_length(&m->code, COL_BITS_BIT, i, 0);
        if (!bit || !up_to)
            continue;
        smallest = smallest ? smallest : bit;
        largest = bit;
        if (across && across <= up_to)
            return bit;
    }
    return across ? largest : smallest;
}

uint32_t route_plates_of_bore(const struct lumber *lumber, length bit, length edge)
{
    if (lumber->depth <= 0 || lumber->depth >= bit + 2 * edge)
        return 0;
    return lumber->depth >= bit + edge ? 1 : 2;
}

uint32_t route_plates_of_notch(const struct lumber *lumber, length depth, uint32_t over,
                               length edge)
{
    return over + (over && lumber->depth > 0 && lumber->depth - depth < edge);
}

/* Staples in so much cable from one box on; further ones follow at the interval up to where it is
 * held. */
static uint32_t supports_from(length loose, length from_box, length interval)
{
    if (loose <= 0)
        return 0;
    length between = loose - from_box;
    return 1 + (between > 0 ? (uint32_t)((between + interval - 1) / interval - 1) : 0);
}

uint32_t route_supports(const struct route *route, length from_a, length from_b, length interval)
{
    if (interval <= 0)
        return 0;
    uint32_t staples = 0;
    length loose = 0;
    bool begun = false; /* something has held the cable already */
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        if (!s->held && !s->closed) {
            loose += s->length;
            continue;
        }
        staples += begun ? loose > 0 ? (uint32_t)((loose + interval - 1) / interval - 1) : 0
                         : supports_from(loose, from_a, interval);
        begun = true;
        loose = 0;
    }
    if (begun)
        return staples + supports_from(loose, from_b, interval);
    if (loose <= from_a)
        return loose > 0;
    length between = loose - from_a - from_b;
    return between <= 0 ? 2 : 2 + (uint32_t)((between + interval - 1) / interval - 1);
}

/* A part of a way that nothing holds but its supports, from the segment `first` up to `behind`:
 * `count` of them `apart`, the first so far from its beginning, or from its end where they are
 * counted from there. */
struct loose_part {
    const struct route *route;
    uint32_t first, behind, count;
    length size, at, apart;
    bool from_end;
};

static bool is_on_concrete(const struct loose_part *p, length at)
{
    uint32_t i = p->first;
    while (i + 1 < p->behind && at > p->route->segments[i].length)
        at -= p->route->segments[i++].length;
    const struct segment *s = &p->route->segments[i];
    return i < p->behind && s->room && wall_is_bare(&s->room->walls[s->wall]);
}

static uint32_t count_anchors(const struct loose_part *p)
{
    uint32_t anchors = 0;
    for (uint32_t k = 0; k < p->count; k++) {
        length at = p->at + (length)k * p->apart;
        anchors += is_on_concrete(p, p->from_end ? p->size - at : at);
    }
    return anchors;
}

static bool has_concrete(const struct route *route)
{
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        if (s->room && wall_is_bare(&s->room->walls[s->wall]))
            return true;
    }
    return false;
}

uint32_t route_anchors(const struct route *route, length from_a, length from_b, length interval)
{
    uint32_t anchors = 0;
    bool begun = false;
    struct loose_part p = {.route = route, .apart = interval};
    if (interval <= 0 || !has_concrete(route))
        return 0;
    for (uint32_t i = 0; i < route->segment_count; i++) {
        const struct segment *s = &route->segments[i];
        if (!s->held && !s->closed) {
            p.size += s->length;
            continue;
        }
        p.behind = i;
        p.at = begun ? interval : p.size < from_a ? p.size : from_a;
        p.count = !begun       ? supports_from(p.size, from_a, interval)
                  : p.size > 0 ? (uint32_t)((p.size + interval - 1) / interval - 1)
                               : 0;
        anchors += count_anchors(&p);
        begun = true;
        p.first = i + 1;
        p.size = 0;
    }
    p.behind = route->segment_count;
    p.count = begun ? supports_from(p.size, from_b, interval)
                    : route_supports(route, from_a, from_b, interval);
    p.from_end = begun;
    p.at = begun ? from_b : from_a;
    p.at = p.at < p.size ? p.at : p.size;
    if (!begun && p.count > 1) { /* the last one at the other box */
        anchors += is_on_concrete(&p, p.size - from_b);
        p.count--;
    }
    return anchors + count_anchors(&p);
}

static length from_box(const struct router *r, struct end e)
{
    return e.box && e.box->declared && !e.box->declared->clamp_internal && !e.box->declared->metal
               ? r->f.no_clamp
               : r->f.from_box;
}

/* --- closed walls and ceilings -------------------------------------------------------------- */

/* Before this day nothing was closed but what the plan says. */
static const uint32_t first_day = 1;

/* The room whose finish covers a member that is passed, by a cable that hung by a day; its wall in
 * `wall`, NULL for its ceiling. */
static const struct room *closed_round(const struct router *r, const struct run *run,
                                       const struct passed *p, uint32_t by,
                                       const struct wall **wall)
{
    *wall = NULL;
    if (p->member == MEMBER_JOIST)
        return frame_closed_over(r->frame, facts_room_of_end(run->from), p->at, by);
    if (p->member != MEMBER_STUD ||
        frame_closed_from(r->frame, &r->frame->lines[p->line], p->on_line) >= by)
        return NULL;
    *wall = &p->room->walls[p->wall];
    return p->room;
}

static bool segment_is_closed(const struct router *r, const struct run *run,
                              const struct segment *s, uint32_t by)
{
    struct place3 at = {(s->from.x + s->to.x) / 2, (s->from.y + s->to.y) / 2,
                        (s->from.z + s->to.z) / 2};
    if (s->kind == ALONG_JOISTS || s->kind == ACROSS_JOISTS)
        return frame_closed_over(r->frame, facts_room_of_end(run->from), at, by) != NULL;
    const struct face *face = s->room ? frame_face_of(r->frame, s->room, s->wall) : NULL;
    if (!face || face->line == NO_INDEX)
        return false;
    const struct line *l = &r->frame->lines[face->line];
    return frame_closed_from(r->frame, l, frame_line_place(l, (struct point){at.x, at.y})) < by;
}

/* Behind a finish that is on a cable is fished: nothing staples it, and wood that it would have
 * to go through bars it. What the plan says goes before what the site log does. */
static void fish(struct router *r, const struct run *run, struct route *route)
{
    struct segment *segments = (struct segment *)route->segments;
    uint32_t by = facts_hung_by(run);
    for (uint32_t i = 0; r->frame->any_closed && i < route->segment_count; i++) {
        struct segment *s = &segments[i];
        s->closed = segment_is_closed(r, run, s, by);
        s->closed_later = s->closed && !segment_is_closed(r, run, s, first_day);
        for (uint32_t k = 0; k < s->count; k++) {
            struct passed p = route_member(r->frame, route, s->first + k);
            const struct wall *wall;
            const struct room *planned = closed_round(r, run, &p, first_day, &wall);
            bool told = route->shut && (!route->shut_later || !planned);
            const struct room *shut = told      ? NULL
                                      : planned ? planned
                                                : closed_round(r, run, &p, by, &wall);
            if (!shut)
                continue;
            route->shut = shut;
            route->shut_wall = wall;
            route->shut_later = !planned;
        }
    }
}

/* Of what is fished only what goes through plates stays, each with the part that leads to it:
 * everywhere, or `behind` a finish alone. */
static void keep_plates(struct route *route, bool behind)
{
    struct members *members = (struct members *)route->members;
    struct segment *segments = (struct segment *)route->segments;
    uint32_t kept = 0, at = 0, passed = 0;
    for (uint32_t i = 0; i < route->segment_count; i++) {
        struct segment *s = &segments[i];
        uint32_t end = s->first + s->count;
        bool fished = !behind || s->closed;
        s->first = passed;
        for (; at < route->members_count && members[at].before < end; at++) {
            if (fished && members[at].member != MEMBER_PLATE)
                continue;
            members[kept] = members[at];
            members[kept].before = passed;
            passed += members[kept++].count;
        }
        s->count = passed - s->first;
        s->held &= !fished;
    }
    route->members_count = kept;
    route->passed_count = passed;
}

/* What is bored, notched and stapled for a new run. Fished cables go through closed walls: holes
 * are bored at their ends, in plates; exposed ones and raceways lie on the surface. */
static void count_work(struct router *r, const struct run *run, struct route *route)
{
    bool all = run->fished || facts_on_surface(run);
    if (all || route->shut)
        keep_plates(route, !all);
    for (uint32_t i = 0; run->notch && i < route->members_count; i++)
        route->notches += route->members[i].member == MEMBER_PLATE ? 0 : route->members[i].count;
    route->bores = route->passed_count - route->notches;
    route->bit = route_bit_for(r->m, facts_across(run, run->declared));
    if (run->fished)
        return;
    const struct raceway_def *w = run->raceway;
    length a = w ? w->from_box : from_box(r, run->from), b = w ? a : from_box(r, run->to);
    route->supports = route_supports(route, a, b, w ? w->apart : r->f.interval);
    route->anchors = route_anchors(route, a, b, w ? w->apart : r->f.interval);
}

static length round_up(length l, length step)
{
    return step > 0 ? (l + step - 1) / step * step : l;
}

/* The way from `from` to `to`. A route is never shorter than the straight way on the plan's grid:
 * through a wall from face to face. */
static void lay(struct router *r, const struct run *run, struct route *route)
{
    if (run->underground) {
        dig(r, run, route);
    } else if (run->strung) {
        string_up(r, run, route);
    } else {
        bool turned;
        struct question q = ask(r, run, &turned);
        find_way(r, run, &q, &r->way, route);
        if (turned)
            way_turn(&r->way);
        write_route(r, run, &r->way, route);
        route->price = r->way.found ? r->way.cost - r->way.path : 0;
        if (!run->existing && !facts_on_surface(run))
            fish(r, run, route);
        if (!run->existing)
            count_work(r, run, route);
    }
    struct place3 a = end_place(r, run->from)->at, b = end_place(r, run->to)->at;
    length straight = r->frame->slanted ? 0 : manhattan(a, b);
    if (route->path < straight)
        route->path = straight;
}

static struct route route_run(struct router *r, const struct run *run)
{
    struct route route = {.measured = run->measured,
                          .tails = {end_tail(r, run, false), end_tail(r, run, true)}};
    route.ends = route.tails[0] + route.tails[1] + run->spare;
    bool placed = end_known(r, run->from) && end_known(r, run->to);
    if (placed) {
        lay(r, run, &route);
        route.electrical = route.path + route.ends;
    }
    if (run->measured)
        route.electrical = run->length;
    route.known = placed || run->measured;
    route.cut = run->existing ? 0 : round_up(route.electrical, r->m->stock_step);
    return route;
}

/* What is pulled through several raceways is cut in one piece, for the first of them. */
static void cut_in_one(struct router *r, struct route *routes, const struct passage *p)
{
    length whole = 0;
    bool known = true;
    for (uint32_t i = 0; i < p->count; i++) {
        struct route *route = &routes[p->runs[i]->id];
        whole += route->electrical;
        known &= route->known;
        route->cut = 0;
    }
    routes[p->runs[0]->id].cut = known ? round_up(whole, r->m->stock_step) : 0;
}

static struct figures look_up(struct model *m)
{
    struct code *c = &m->code;
    return (struct figures){
        .at_box = code_length(c, SET_FREE_CONDUCTOR_AT_BOX, 0),
        .box_depth = code_length(c, SET_CABLE_ALLOWANCES_BOX_DEPTH, 0),
        .panel_tail = code_length(c, SET_CABLE_ALLOWANCES_PANEL_TAIL, 0),
        .from_box = code_length(c, SET_SUPPORTS_FROM_BOX, 0),
        .no_clamp = code_length(c, SET_SUPPORTS_FROM_BOX_NO_CLAMP, 0),
        .interval = code_length(c, SET_SUPPORTS_INTERVAL, 0),
        .prices = {code_length(c, SET_ROUTING_HOLE_PRICE, 0),
                   code_length(c, SET_ROUTING_PLATE_PRICE, 0),
                   code_length(c, SET_ROUTING_ENGINEERED_PRICE, 0),
                   code_length(c, SET_ROUTING_CLOSED_PRICE, 0)},
        .fished = code_length(c, SET_ROUTING_FISHED_PRICE, 0),
        .clear = code_length(c, SET_ROUTING_CLEAR, 0),
    };
}

static struct router router_for(struct arena *arena, struct arena *scratch, struct model *m,
                                const struct routes *routes)
{
    return (struct router){.arena = arena,
                           .scratch = scratch,
                           .m = m,
                           .f = look_up(m),
                           .frame = routes->frame,
                           .mountings = routes->mountings,
                           .search = search_new(scratch, routes->frame),
                           .spaces =
                               arena_array(scratch, struct space, routes->frame->storey_count + 2)};
}

void route_others(struct arena *arena, struct model *m, const struct routes *routes,
                  const struct run *runs, uint32_t count, struct route *out)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    const char *reader = m->code.reader;
    m->code.reader = "framing";
    struct router r = router_for(arena, &scratch, m, routes);
    for (uint32_t i = 0; i < count; i++)
        out[i] = route_run(&r, &runs[i]);
    m->code.reader = reader;
    arena_free(&scratch);
}

struct routes *route_runs(struct arena *arena, struct model *m, struct known_ways *known)
{
    struct routes *routes = arena_new(arena, struct routes);
    routes->frame = frame_build(arena, m);
    routes->mountings = mountings_find(arena, m, routes->frame);
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct router r = router_for(arena, &scratch, m, routes);
    r.known = known;
    if (known)
        ways_begin_frame(known, &scratch, routes->frame);
    routes->of_run = arena_array(arena, struct route, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++)
        routes->of_run[i] = route_run(&r, m->runs.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (m->runs.at[i]->passage && m->runs.at[i]->passage->runs[0] == m->runs.at[i])
            cut_in_one(&r, routes->of_run, m->runs.at[i]->passage);
    arena_free(&scratch);
    routes->lying = airs_find(arena, m, routes);
    return routes;
}
