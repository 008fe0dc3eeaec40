/* The way that was chosen, hop by hop from its first end. */
#include "framing/frame.h"
#include "framing/search.h"
#include "framing/search_work.h"

static struct place3 raised(struct point p, length z)
{
    return (struct place3){p.x, p.y, z};
}

static void add_hop(struct search *s, struct way *way, struct hop hop)
{
    bool still = hop.from.x == hop.to.x && hop.from.y == hop.to.y && hop.from.z == hop.to.z;
    if (still && hop.kind != HOP_CORNER && hop.kind != HOP_PLATE &&
        !(hop.kind == HOP_STUDS && hop.t0 != hop.t1))
        return;
    *vec_push(s->arena, &way->hops) = hop;
}

static void hop_bay(struct search *s, struct way *way, uint32_t line, length t, struct point at,
                    length z0, length z1)
{
    add_hop(s, way,
            (struct hop){.kind = HOP_BAY,
                         .line = line,
                         .t0 = t,
                         .t1 = t,
                         .from = raised(at, z0),
                         .to = raised(at, z1)});
}

static void hop_level(struct search *s, struct way *way, uint32_t line, length t0, length t1,
                      length z)
{
    const struct line *l = &s->f->lines[line];
    add_hop(s, way,
            (struct hop){.kind = HOP_STUDS,
                         .line = line,
                         .t0 = t0,
                         .t1 = t1,
                         .from = raised(frame_line_point(l, t0), z),
                         .to = raised(frame_line_point(l, t1), z)});
}

/* Along a line: down and up again where a low sill is passed. */
static void hop_along(struct search *s, struct way *way, uint32_t line, length t0, length t1)
{
    const struct line *l = &s->f->lines[line];
    bool right = t1 > t0;
    length z = search_height_at(s->f, l, t0), start = t0;
    uint32_t joint = joint_before(s->f, l, right ? t0 - 1 : t0),
             end = l->first_joint + l->joint_count;
    if (right || joint == NO_INDEX)
        joint = joint == NO_INDEX ? right ? l->first_joint : end : joint + 1;
    for (; l->first_joint <= joint && joint < end; joint += right ? 1 : (uint32_t)-1) {
        length at = s->f->joints[joint].at;
        if (right ? at >= t1 : at <= t1)
            break;
        length next = search_height_at(s->f, l, right ? at + 1 : at - 1);
        if (next == z)
            continue;
        hop_level(s, way, line, start, at, z);
        hop_bay(s, way, line, at, frame_line_point(l, at), z, next);
        start = at;
        z = next;
    }
    hop_level(s, way, line, start, t1, z);
    hop_bay(s, way, line, t1, frame_line_point(l, t1), z, search_height_at(s->f, l, t1));
}

/* From an end along the walls to its joint and on to `t` of the joint's line. The joints are known
 * from the last one back. */
static void hop_walls(struct search *s, struct way *way, const struct reach *r,
                      const struct spot *end, uint32_t joint, uint32_t line, length t)
{
    const struct turn *joints = s->f->joints;
    hop_bay(s, way, end->line, end->t, flat(end->at), end->at.z,
            search_height_at(s->f, &s->f->lines[end->line], end->t));
    uint32_t count = 0;
    for (uint32_t j = joint; j != NO_INDEX; j = r->from[j])
        count++;
    while (s->order.n < count + 1)
        *vec_push(s->arena, &s->order) = 0;
    uint32_t *order = s->order.at, at = count;
    for (uint32_t j = joint; j != NO_INDEX; j = r->from[j])
        order[--at] = j;
    length start = end->t;
    uint32_t on = end->line;
    for (uint32_t i = 0; i < count; i++) {
        if (joints[order[i]].line == on && (!i || joints[order[i]].partner != order[i - 1]))
            continue;
        length corner = joints[order[i - 1]].at;
        hop_along(s, way, on, start, corner);
        struct point from = frame_line_point(&s->f->lines[on], corner),
                     to =
                         frame_line_point(&s->f->lines[joints[order[i]].line], joints[order[i]].at);
        length z = search_bore_height(s->f, &s->f->lines[on]);
        add_hop(s, way,
                (struct hop){.kind = HOP_CORNER,
                             .line = on,
                             .t0 = corner,
                             .other = joints[order[i]].line,
                             .t1 = joints[order[i]].at,
                             .from = raised(from, z),
                             .to = raised(to, z)});
        on = joints[order[i]].line;
        start = joints[order[i]].at;
    }
    hop_along(s, way, line, start, t);
}

/* From an end to where it leaves for the joists, through the plate. */
static void hop_leave(struct search *s, struct way *way, const struct reach *r,
                      const struct spot *end, const struct leave *leave, const struct space *space)
{
    length z = space->z;
    if (leave->line == NO_INDEX) {
        struct place3 beside = raised(leave->at, end->at.z);
        add_hop(s, way,
                (struct hop){.kind = HOP_BAY, .line = NO_INDEX, .from = end->at, .to = beside});
        add_hop(s, way,
                (struct hop){
                    .kind = HOP_BAY, .line = NO_INDEX, .from = beside, .to = raised(leave->at, z)});
        return;
    }
    const struct line *l = &s->f->lines[leave->line];
    length from = end->at.z;
    if (leave->walled) {
        hop_walls(s, way, r, end, leave->joint, leave->line, leave->t);
        from = search_height_at(s->f, l, leave->t);
    }
    hop_bay(s, way, leave->line, leave->t, leave->at, from, z);
    if (!l->bare && !space->slab)
        add_hop(s, way,
                (struct hop){.kind = HOP_PLATE,
                             .line = leave->line,
                             .t0 = leave->t,
                             .t1 = leave->t,
                             .from = raised(leave->at, z),
                             .to = raised(leave->at, z),
                             .top = z > end->at.z});
}

/* Turns the hops from `from` on round, so that they lead the other way. */
static void turn_from(struct way *way, uint32_t from)
{
    for (uint32_t i = from, k = way->hops.n; i < k; i++) {
        struct hop a = way->hops.at[i], b = way->hops.at[--k];
        way->hops.at[i] = b;
        way->hops.at[k] = a;
    }
    for (uint32_t i = from; i < way->hops.n; i++) {
        struct hop *h = &way->hops.at[i];
        struct hop old = *h;
        h->from = old.to;
        h->to = old.from;
        h->t0 = old.t1;
        h->t1 = old.t0;
        if (h->kind == HOP_CORNER) {
            h->line = old.other;
            h->other = old.line;
        }
        h->cross_first = !old.cross_first;
    }
}

void way_turn(struct way *way)
{
    turn_from(way, 0);
}

static void hop_straight(struct search *s, struct way *way, const struct space *space,
                         struct point from, struct bend to)
{
    bool dips = to.z != space->z;
    if (dips)
        hop_bay(s, way, NO_INDEX, 0, from, space->z, to.z);
    add_hop(s, way,
            (struct hop){.kind = HOP_ACROSS,
                         .line = NO_INDEX,
                         .from = raised(from, to.z),
                         .to = raised(to.at, to.z),
                         .space = space});
    if (dips)
        hop_bay(s, way, NO_INDEX, 0, to.at, to.z, space->z);
}

static void hop_across(struct search *s, struct way *way, const struct space *space,
                       struct point from, struct point to)
{
    round_across(s, space, from, to, LARGEST);
    for (uint32_t i = 0; i < s->bends.n; i++) {
        hop_straight(s, way, space, from, s->bends.at[i]);
        from = s->bends.at[i].at;
    }
    if (s->bends.n)
        return;
    add_hop(s, way,
            (struct hop){.kind = HOP_ACROSS,
                         .line = NO_INDEX,
                         .from = raised(from, space->z),
                         .to = raised(to, space->z),
                         .space = space,
                         .cross_first = !s->q->bend_at_b});
}

static void hop_riser(struct search *s, struct way *way, const struct riser *r, length z0,
                      length z1)
{
    struct hop plate = {.kind = HOP_PLATE,
                        .line = r->line,
                        .t0 = r->t,
                        .t1 = r->t,
                        .from = raised(r->at, z0),
                        .to = raised(r->at, z0)};
    if (r->line == NO_INDEX) {
        add_hop(s, way,
                (struct hop){.kind = HOP_CHASE,
                             .line = NO_INDEX,
                             .from = raised(r->at, z0),
                             .to = raised(r->at, z1)});
        return;
    }
    add_hop(s, way, plate);
    hop_bay(s, way, r->line, r->t, r->at, z0, z1);
    plate.from = plate.to = raised(r->at, z1);
    plate.top = true;
    add_hop(s, way, plate);
}

static void hop_risers(struct search *s, struct way *way)
{
    const struct question *q = s->q;
    uint32_t storeys = q->last_space - q->first_space, at = s->choice.riser;
    uint32_t *chain = arena_array(s->arena, uint32_t, storeys); /* few runs go so far */
    for (uint32_t i = storeys; i-- > 0;) {
        chain[i] = at;
        at = s->risers[q->first_space + i].at[at].before;
    }
    hop_leave(s, way, &s->there, &q->a, &s->leaves_a.at[at], &q->spaces[q->first_space]);
    struct point here = s->leaves_a.at[at].at;
    for (uint32_t i = 0; i < storeys; i++) {
        uint32_t storey = q->first_space + i;
        const struct riser *r = &s->risers[storey].at[chain[i]];
        hop_across(s, way, &q->spaces[storey], here, r->at);
        hop_riser(s, way, r, q->spaces[storey].z, q->spaces[storey + 1].z);
        here = r->at;
    }
    hop_across(s, way, &q->spaces[q->last_space], here, s->leaves_b.at[s->choice.leave_b].at);
}

static void hop_back(struct search *s, struct way *way)
{
    uint32_t turn = way->hops.n;
    hop_leave(s, way, &s->back, &s->q->b, &s->leaves_b.at[s->choice.leave_b],
              &s->q->spaces[s->q->last_space]);
    turn_from(way, turn);
}

void way_write(struct search *s, struct way *way)
{
    const struct question *q = s->q;
    way->found = s->choice.sort != NO_WAY;
    way->cost = s->best;
    way->path = 0;
    way->hops.n = 0;
    if (s->choice.sort == IN_WALLS) {
        hop_walls(s, way, &s->there, &q->a, s->choice.joint, q->b.line, q->b.t);
        hop_bay(s, way, q->b.line, q->b.t, flat(q->b.at),
                search_height_at(s->f, &s->f->lines[q->b.line], q->b.t), q->b.at.z);
    } else if (s->choice.sort == OVER_JOISTS) {
        const struct leave *from = &s->leaves_a.at[s->choice.leave_a],
                           *to = &s->leaves_b.at[s->choice.leave_b];
        hop_leave(s, way, &s->there, &q->a, from, &q->spaces[q->first_space]);
        hop_across(s, way, &q->spaces[q->first_space], from->at, to->at);
        hop_back(s, way);
    } else if (s->choice.sort == BY_RISERS) {
        hop_risers(s, way);
        hop_back(s, way);
    }
    for (uint32_t i = 0; i < way->hops.n; i++) {
        const struct hop *h = &way->hops.at[i];
        length studs = h->kind == HOP_STUDS ? length_abs(h->t1 - h->t0) : -1;
        if (h->kind == HOP_CORNER)
            continue;
        way->path += studs >= 0
                         ? studs
                         : length_abs(h->from.x - h->to.x) + length_abs(h->from.y - h->to.y) +
                               length_abs(h->from.z - h->to.z);
    }
}
