/* Members that a cable passes, one by one: worked out from the frame when they are asked for. */
#include "framing/routes.h"

#include "base/sort.h"
#include "framing/frame.h"

static void lay_out(struct passed *p, uint32_t line, length on_line, const struct face *face)
{
    p->room = face->room;
    p->wall = face->wall;
    p->level = face->room->level;
    p->lumber = &frame_wall_of(face)->framing.lumber;
    p->line = line;
    p->on_line = on_line;
    p->place = frame_from_left_of(face, on_line);
}

static int64_t number_at(const struct members *c, uint32_t at)
{
    return c->down ? c->first - at : c->first + at;
}

static struct passed stud_at(const struct skeleton *f, const struct members *c, uint32_t at)
{
    const struct line *l = &f->lines[c->line];
    const struct upright *s = &f->studs[number_at(c, at)];
    struct point on = frame_line_point(l, s->at);
    struct passed p = {.member = MEMBER_STUD, .stud = s, .at = {on.x, on.y, c->at.z}};
    lay_out(&p, c->line, s->at, s->face);
    return p;
}

static struct passed joist_at(const struct members *c, uint32_t at)
{
    int64_t number = number_at(c, at);
    struct passed p = {.member = MEMBER_JOIST,
                       .index = (int32_t)number,
                       .level = c->level,
                       .lumber = c->lumber,
                       .place = c->place,
                       .at = c->at,
                       .line = NO_INDEX};
    *(c->north ? &p.at.x : &p.at.y) += (number - c->first) * c->spacing;
    if (c->spans)
        p.span = c->spans[at];
    return p;
}

struct passed passed_at(const struct skeleton *f, const struct members *c, uint32_t at)
{
    if (c->member == MEMBER_JOIST)
        return joist_at(c, at);
    if (c->member == MEMBER_STUD)
        return stud_at(f, c, at);
    struct passed p = {.member = c->member, .top = c->top, .at = c->at};
    lay_out(&p, c->line, c->place, frame_face_at(f, &f->lines[c->line], c->place));
    return p;
}

const struct members *route_members(const struct route *route, uint32_t *at)
{
    uint32_t lo = 0, hi = route->members_count;
    while (hi - lo > 1) {
        uint32_t middle = lo + (hi - lo) / 2;
        *(route->members[middle].before <= *at ? &lo : &hi) = middle;
    }
    *at -= route->members[lo].before;
    return &route->members[lo];
}

struct passed route_member(const struct skeleton *f, const struct route *route, uint32_t at)
{
    const struct members *c = route_members(route, &at);
    return passed_at(f, c, at);
}

struct sort_key route_hole_key(const struct members *c, uint32_t at)
{
    uint64_t member = (uint64_t)c->member << 60, number = (uint64_t)number_at(c, at);
    if (c->member == MEMBER_JOIST)
        return (struct sort_key){member | ((uint64_t)c->level->id & 0xffff) << 40 |
                                     (number & 0xffffffffff),
                                 (uint64_t)c->place ^ (uint64_t)c->at.z << 40};
    if (c->member == MEMBER_PLATE)
        return (struct sort_key){member | (uint64_t)c->top << 59 | c->line, number};
    return (struct sort_key){member | number, 0};
}

bool passed_bears(const struct skeleton *f, const struct passed *p)
{
    return frame_bears(f, &f->lines[p->line], p->on_line);
}

bool passed_insulated(const struct skeleton *f, const struct passed *p)
{
    return frame_insulated_at(f, &f->lines[p->line], p->on_line);
}
