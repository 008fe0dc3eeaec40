/* Routes, first form: through the studs where both ends stand on one wall, else over the top plates (or under the floor) and across along the plan's
 * grid.
 *
 * Distances are worked out from the two ends without regard to their order, so a run is as long from A to B as from B to A. */
#include "framing/routes.h"

/* What the editions' tables say, looked up once. */
struct figures {
    length at_box, box_depth, panel_tail; /* ends */
    length from_box, interval;            /* supports */
    length plate_edge;                    /* wood that a bore must leave */
    length bit;                           /* of a bore for one cable whose measure is not known */
    struct table *bits;
};

/* The south-west corner of what is built on each level, from which joists count. */
struct corner {
    bool known;
    length x, y;
};

struct router {
    struct model *m;
    struct figures f;
    struct corner *corners; /* by level id */
};

/* The way of a run: what it measures and what it goes through. */
struct way {
    length path;
    length held; /* the part that bores hold, close enough together to be its supports */
    uint32_t studs, plates, joists;
    struct framing walls, joisting;
};

enum side { OVER, BENEATH };

static length length_abs(length l)
{
    return l < 0 ? -l : l;
}

static length floor_div(length a, length b)
{
    length q = a / b;
    return q * b > a ? q - 1 : q;
}

/* How many multiples of `spacing` lie strictly between a and b. */
static uint32_t multiples_between(length a, length b, length spacing)
{
    length lo = a < b ? a : b, hi = a < b ? b : a;
    if (spacing <= 0 || lo == hi)
        return 0;
    length first = floor_div(lo, spacing) + 1;
    length last = -floor_div(-hi, spacing) - 1;
    return last >= first ? (uint32_t)(last - first + 1) : 0;
}

static struct room *end_room(struct end e)
{
    return e.box ? e.box->room : e.panel ? e.panel->room : NULL;
}

static const struct place *end_place(struct end e)
{
    return e.box ? &e.box->place : &e.panel->place;
}

static bool end_known(struct end e)
{
    struct room *room = end_room(e);
    return room && room->level && (end_place(e)->where != ON_WALL || end_place(e)->wall < room->wall_count);
}

static length manhattan(struct place3 a, struct place3 b)
{
    return length_abs(a.x - b.x) + length_abs(a.y - b.y) + length_abs(a.z - b.z);
}

/* --- through the studs ------------------------------------------------------------------------------------------ */

/* How far a point lies along a wall from its left end. */
static length along_wall(const struct wall *w, struct place3 p)
{
    double dx = length_inches(w->right.x - w->left.x), dy = length_inches(w->right.y - w->left.y);
    double size = length_inches(w->length);
    double s = (length_inches(p.x - w->left.x) * dx + length_inches(p.y - w->left.y) * dy) / size;
    return (length)(s * (double)INCH + (s < 0 ? -0.5 : 0.5));
}

/* How far a point lies off the line of a wall. */
static length off_wall(const struct wall *w, struct point p)
{
    double dx = length_inches(w->right.x - w->left.x), dy = length_inches(w->right.y - w->left.y);
    double off = (length_inches(p.x - w->left.x) * dy - length_inches(p.y - w->left.y) * dx) / length_inches(w->length);
    return (length)((off < 0 ? -off : off) * (double)INCH + 0.5);
}

static struct place3 on_floor(struct point p)
{
    return (struct place3){p.x, p.y, 0};
}

/* Whether the second wall lies in the line of the first and meets it, as where two rooms share a wall or stand in a row. */
static bool in_line(const struct wall *a, const struct wall *b, length depth)
{
    if (off_wall(a, b->left) > depth || off_wall(a, b->right) > depth)
        return false;
    length l = along_wall(a, on_floor(b->left)), r = along_wall(a, on_floor(b->right));
    length lo = l < r ? l : r, hi = l < r ? r : l;
    return lo <= a->length + depth && hi >= -depth;
}

/* Whether a door or another opening to the floor stands in a stretch of a wall. */
static bool opening_between(const struct room *room, uint32_t wall, length lo, length hi)
{
    for (uint32_t i = 0; i < room->fixtures.n; i++) {
        const struct fixture *f = &room->fixtures.at[i];
        bool open = f->sort == FIXTURE_DOOR || f->sort == FIXTURE_OPENING;
        if (open && f->wall == wall && f->from_left < hi && f->from_left + f->wide > lo)
            return true;
    }
    return false;
}

/* A stretch of the wall line, seen from the wall of another room: openings are looked for there too. */
static bool opening_beyond(const struct room *other, uint32_t wall, const struct wall *line, length lo, length hi)
{
    const struct wall *w = &other->walls[wall];
    length l = along_wall(line, on_floor(w->left)), r = along_wall(line, on_floor(w->right));
    if (l < r)
        return opening_between(other, wall, lo - l, hi - l);
    return opening_between(other, wall, l - hi, l - lo);
}

/* Both ends on one wall, or on walls in one line: along it at the height of the bores. False where there is no such way. */
static bool way_in_wall(struct end a, struct end b, struct way *way)
{
    const struct place *pa = end_place(a), *pb = end_place(b);
    struct room *ra = end_room(a), *rb = end_room(b);
    if (pa->where != ON_WALL || pb->where != ON_WALL || ra->level != rb->level)
        return false;
    const struct wall *wall = &ra->walls[pa->wall];
    bool same = ra == rb && pa->wall == pb->wall;
    if (wall->length <= 0 || (!same && (rb->walls[pb->wall].length <= 0 || !in_line(wall, &rb->walls[pb->wall], ra->wall_framing.lumber.depth))))
        return false;
    length sa = along_wall(wall, pa->at), sb = along_wall(wall, pb->at);
    length lo = sa < sb ? sa : sb, hi = sa < sb ? sb : sa;
    if (opening_between(ra, pa->wall, lo, hi) || (!same && opening_beyond(rb, pb->wall, wall, lo, hi)))
        return false;
    length bore = ra->level->floor + ra->level->bore;
    way->studs = multiples_between(sa, sb, ra->wall_framing.spacing);
    way->path = length_abs(pa->at.z - bore) + (hi - lo) + length_abs(pb->at.z - bore);
    way->held = hi - lo;
    way->walls = ra->wall_framing;
    return true;
}

/* Where a place on a wall stands on the walk round its room, clockwise. */
static length round_position(const struct room *room, const struct place *p)
{
    length s = p->from_left;
    for (uint32_t i = 0; i < p->wall; i++)
        s += room->walls[i].length;
    return s;
}

/* The walk from one place to another, clockwise: its length, its studs and corners. False where a door stands in it. */
static bool walk_round(const struct room *room, const struct place *from, const struct place *to, struct way *way)
{
    length spacing = room->wall_framing.spacing;
    uint32_t wall = from->wall;
    length at = from->from_left;
    for (uint32_t i = 0; i <= room->wall_count; i++) {
        bool last = wall == to->wall && (i > 0 || to->from_left >= at);
        length end = last ? to->from_left : room->walls[wall].length;
        if (opening_between(room, wall, at, end))
            return false;
        way->studs += multiples_between(at, end, spacing) + (last ? 0 : 1);
        way->held += end - at;
        if (last)
            return true;
        wall = (wall + 1) % room->wall_count;
        at = 0;
    }
    return false;
}

/* Round the walls of one room, the shorter way that no door blocks: only where the plan asks for the studs. */
static bool way_round_room(struct end a, struct end b, struct way *way)
{
    const struct place *pa = end_place(a), *pb = end_place(b);
    struct room *room = end_room(a);
    if (room != end_room(b) || pa->where != ON_WALL || pb->where != ON_WALL)
        return false;
    if (round_position(room, pa) > round_position(room, pb)) {
        const struct place *swap = pa;
        pa = pb;
        pb = swap;
    }
    struct way there = {0}, back = {0};
    bool goes = walk_round(room, pa, pb, &there), returns = walk_round(room, pb, pa, &back);
    if (!goes && !returns)
        return false;
    *way = goes && (!returns || there.held <= back.held) ? there : back;
    length bore = room->level->floor + room->level->bore;
    way->path = length_abs(pa->at.z - bore) + way->held + length_abs(pb->at.z - bore);
    way->walls = room->wall_framing;
    return true;
}

/* --- over the plates or under the floor -------------------------------------------------------------------------- */

/* Plates that an end's cable goes through to come out over its level, or under it. */
static uint32_t plates_at(struct end e, enum side side)
{
    enum where where = end_place(e)->where;
    if (side == OVER)
        return where == OVERHEAD ? 0 : 1;
    return where == ON_FLOOR ? 0 : where == ON_WALL ? 1 : 2;
}

/* Top and bottom plates of the levels that stand between two others. */
static uint32_t plates_between(const struct model *m, const struct level *lower, const struct level *upper)
{
    uint32_t plates = 0;
    for (uint32_t i = 0; i < m->levels.n; i++)
        if (m->levels.at[i]->floor > lower->floor && m->levels.at[i]->floor < upper->floor)
            plates += 2;
    return plates;
}

/* Joists crossed on the way across: those that run east by going north, those that run north by going east. */
static void cross_joists(struct way *way, const struct corner *corner, struct place3 a, struct place3 b)
{
    const struct framing *j = &way->joisting;
    if (j->running_north) {
        way->joists = multiples_between(a.x - corner->x, b.x - corner->x, j->spacing);
        way->held = length_abs(a.x - b.x);
    } else {
        way->joists = multiples_between(a.y - corner->y, b.y - corner->y, j->spacing);
        way->held = length_abs(a.y - b.y);
    }
    if (j->lumber.engineered)
        way->joists = 0; /* trusses have webs to go through, engineered joists knockouts: neither is bored */
}

/* The joists over (or under) a run: the room's own where it stays in one room, else the level's. */
static struct framing joists_of(const struct level *level, struct end a, struct end b, enum side side)
{
    if (side == BENEATH)
        return level->floor_joists;
    struct room *room = end_room(a);
    return room == end_room(b) ? room->joists : level->joists;
}

static void way_across(const struct router *r, struct end a, struct end b, enum side side, length below, struct way *way)
{
    struct place3 pa = end_position(a), pb = end_position(b);
    struct level *la = end_room(a)->level, *lb = end_room(b)->level;
    struct level *lower = la->floor < lb->floor || (la->floor == lb->floor && la->id <= lb->id) ? la : lb;
    struct level *upper = lower == la ? lb : la;
    /* levels apart meet in the floor between them: above the lower one's ceiling, whichever way is asked for */
    bool level_run = lower->floor == upper->floor;
    enum side at = level_run ? side : OVER;
    length height = at == OVER ? lower->floor + lower->ceiling : lower->floor - below;
    way->path = length_abs(pa.z - height) + length_abs(pb.z - height) + length_abs(pa.x - pb.x) + length_abs(pa.y - pb.y);
    way->walls = lower == la ? end_room(a)->wall_framing : end_room(b)->wall_framing;
    if (level_run)
        way->plates = plates_at(a, side) + plates_at(b, side);
    else
        way->plates = plates_at(lower == la ? a : b, OVER) + plates_at(lower == la ? b : a, BENEATH) + plates_between(r->m, lower, upper);
    way->joisting = joists_of(lower, a, b, at);
    cross_joists(way, &r->corners[lower->id], pa, pb);
}

/* --- counts and lengths -------------------------------------------------------------------------------------------- */

/* The bit for one cable: the smallest that takes its measure. */
static length bit_for(const struct router *r, const struct cable_def *cable)
{
    if (!cable || !r->f.bits)
        return r->f.bit;
    for (uint32_t i = 0; i < r->f.bits->rows.n; i++) {
        const struct value *up_to = row_cell(&r->m->code, r->f.bits, &r->f.bits->rows.at[i], "single-up-to");
        const struct value *bit = row_cell(&r->m->code, r->f.bits, &r->f.bits->rows.at[i], "bit");
        if (up_to && bit && cable->diameter <= up_to->n)
            return bit->n;
    }
    return r->f.bit;
}

/* Protection plates of a bore in the middle of a member: none where both sides keep their wood, one where moving the bore off the middle keeps one
 * side, else two (NFPA 70 300.4(A)(1)). */
static uint32_t plates_of_bore(const struct router *r, const struct lumber *lumber, length bit)
{
    if (lumber->depth <= 0 || lumber->depth >= bit + 2 * r->f.plate_edge)
        return 0;
    return lumber->depth >= bit + r->f.plate_edge ? 1 : 2;
}

/* Staples: one near each end, and between them one at each interval along what no bores hold. */
static uint32_t supports_on(const struct router *r, length loose)
{
    if (loose <= 0 || r->f.interval <= 0)
        return 0;
    if (loose <= r->f.from_box)
        return 1;
    length between = loose - 2 * r->f.from_box;
    return between <= 0 ? 2 : 2 + (uint32_t)((between + r->f.interval - 1) / r->f.interval - 1);
}

static length end_tail(const struct router *r, struct end e)
{
    return r->m->slack + (e.panel ? r->f.panel_tail : r->f.at_box + r->f.box_depth);
}

static length round_up(length l, length step)
{
    return step > 0 ? (l + step - 1) / step * step : l;
}

static bool comes_after(struct end a, struct end b)
{
    uint32_t ra = end_room(a)->id, rb = end_room(b)->id;
    return ra > rb || (ra == rb && end_place(a)->wall > end_place(b)->wall);
}

static void find_way(const struct router *r, const struct run *run, struct way *way)
{
    enum via via = run->underground ? VIA_UNDER : run->via;
    /* one order of the ends, so that a run measures the same either way */
    struct end a = run->from, b = run->to;
    if (comes_after(a, b)) {
        a = run->to;
        b = run->from;
    }
    bool found = (via == VIA_ANY || via == VIA_STUDS) && way_in_wall(a, b, way);
    if (!found && via == VIA_STUDS)
        found = way_round_room(a, b, way);
    if (!found)
        way_across(r, a, b, via == VIA_UNDER ? BENEATH : OVER, run->underground ? run->burial : 0, way);
    length straight = manhattan(end_position(a), end_position(b));
    if (way->path < straight)
        way->path = straight;
}

/* What is bored and stapled for a new run. */
static void count_work(const struct router *r, const struct run *run, struct way *way, struct route *route)
{
    if (run->underground)
        return;
    if (run->fished || run->exposed)
        way->studs = way->joists = 0;
    if (run->exposed || way->walls.spacing > r->f.interval)
        way->held = 0;
    length bit = bit_for(r, run->declared);
    route->bores = way->studs + way->plates + way->joists;
    route->plates = (way->studs + way->plates) * plates_of_bore(r, &way->walls.lumber, bit) + way->joists * plates_of_bore(r, &way->joisting.lumber, bit);
    if (!run->fished)
        route->supports = supports_on(r, way->path - way->held);
}

static struct route route_run(const struct router *r, const struct run *run)
{
    struct route route = {.measured = run->measured};
    bool placed = end_known(run->from) && end_known(run->to);
    if (placed) {
        struct way way = {0};
        find_way(r, run, &way);
        route.path = way.path;
        route.electrical = way.path + end_tail(r, run->from) + end_tail(r, run->to) + run->spare;
        if (!run->existing)
            count_work(r, run, &way, &route);
    }
    if (run->measured)
        route.electrical = run->length;
    route.known = placed || run->measured;
    route.cut = run->existing ? 0 : round_up(route.electrical, r->m->stock_step);
    return route;
}

static struct figures look_up(struct model *m)
{
    struct code *c = &m->code;
    struct figures f = {
        .at_box = code_length(c, "free-conductor", "at-box", 0),
        .box_depth = code_length(c, "cable-allowances", "box-depth", 0),
        .panel_tail = code_length(c, "cable-allowances", "panel-tail", 0),
        .from_box = code_length(c, "supports", "from-box", 0),
        .interval = code_length(c, "supports", "interval", 0),
        .plate_edge = code_length(c, "protection-plates", "edge", 0),
        .bits = code_table(c, "bits"),
    };
    const struct value *bit = f.bits && f.bits->rows.n ? row_cell(c, f.bits, &f.bits->rows.at[0], "bit") : NULL;
    f.bit = bit ? bit->n : 0;
    return f;
}

static struct corner *find_corners(struct arena *arena, const struct model *m)
{
    struct corner *corners = arena_array(arena, struct corner, m->levels.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        if (!room->level)
            continue;
        struct corner *c = &corners[room->level->id];
        if (!c->known || room->low.x < c->x)
            c->x = room->low.x;
        if (!c->known || room->low.y < c->y)
            c->y = room->low.y;
        c->known = true;
    }
    return corners;
}

struct routes *route_runs(struct arena *arena, struct model *m)
{
    struct routes *routes = arena_new(arena, struct routes);
    struct router r = {.m = m, .f = look_up(m), .corners = find_corners(arena, m)};
    routes->of_run = arena_array(arena, struct route, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++)
        routes->of_run[i] = route_run(&r, m->runs.at[i]);
    return routes;
}
