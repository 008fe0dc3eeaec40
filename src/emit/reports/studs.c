#include "emit/reports/studs.h"

#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

/* Walls are filed in cells of the level, so that a box looks at few of them. */
static const length CELL = 12 * FOOT;

/* Cells of a wall. What is longer is a slip in the plan, and has its studs from its own end. */
enum { LONGEST = 1000 };

/* A wall along the compass, described along itself. */
struct side {
    const struct room *room;
    const struct wall *wall;
    bool upright;      /* it runs north and south */
    bool forward;      /* from left to right the coordinate grows */
    length across;     /* its other coordinate */
    struct side *next; /* in the same cell */
};

static bool side_of(struct side *s, const struct room *room, const struct wall *wall)
{
    bool upright = wall->left.x == wall->right.x;
    if (upright == (wall->left.y == wall->right.y))
        return false;
    *s = (struct side){.room = room, .wall = wall, .upright = upright};
    s->across = upright ? wall->left.x : wall->left.y;
    s->forward = upright ? wall->right.y > wall->left.y : wall->right.x > wall->left.x;
    return true;
}

static length along(const struct side *s, struct point p)
{
    return s->upright ? p.y : p.x;
}

static int64_t cell_of(length l)
{
    return l >= 0 ? l / CELL : -((-l + CELL - 1) / CELL);
}

/* Far cells may fall together; who looks one up checks what it finds. */
static uintptr_t cell_key(bool upright, int64_t across, int64_t at)
{
    return ((uintptr_t)upright << 62) ^ ((uintptr_t)across << 31) ^ (uintptr_t)at;
}

static void file_wall(struct studs *s, const struct room *room, const struct wall *wall)
{
    struct side side;
    if (!side_of(&side, room, wall))
        return;
    length from = along(&side, wall->left), to = along(&side, wall->right);
    int64_t first = cell_of(from < to ? from : to), last = cell_of(from < to ? to : from);
    if (last - first > LONGEST)
        return;
    for (int64_t at = first; at <= last; at++) {
        struct side *filed = arena_new(s->arena, struct side);
        void **list = map_at(s->arena, &s->cells, (uintptr_t)room->level,
                             cell_key(side.upright, cell_of(side.across), at));
        *filed = side;
        filed->next = *list;
        *list = filed;
    }
}

void studs_find(struct studs *s, struct arena *arena, const struct model *m)
{
    *s = (struct studs){.arena = arena};
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (uint32_t k = 0; k < m->rooms.at[i]->wall_count; k++)
            file_wall(s, m->rooms.at[i], &m->rooms.at[i]->walls[k]);
}

/* How far the other side of a shared wall may be: the depth of its studs. */
static bool faces(const struct side *own, const struct side *other, length at)
{
    if (other->upright != own->upright || other->forward == own->forward ||
        other->room->level != own->room->level)
        return false;
    if (other->room->unit && other->room->unit != own->room->unit && !other->room->unit->built)
        return false;
    length depth = own->room->wall_framing.lumber.depth, gap = other->across - own->across;
    if (depth < other->room->wall_framing.lumber.depth)
        depth = other->room->wall_framing.lumber.depth;
    /* rooms are walked clockwise: what lies beyond a wall is to the left of the way along it */
    if (own->upright == own->forward)
        gap = -gap;
    length from = along(other, other->wall->left), to = along(other, other->wall->right);
    return gap >= 0 && gap <= depth && (at - from) * (other->forward ? 1 : -1) >= 0 &&
           (to - at) * (other->forward ? 1 : -1) >= 0;
}

/* The wall that the studs are counted from: the own one, or that of a room named before. */
static struct side counted_from(const struct studs *s, const struct side *own, length at)
{
    struct side best = *own;
    int64_t across = cell_of(own->across);
    for (int64_t step = -1; step <= 1; step++) {
        const struct side *other = map_get(&s->cells, (uintptr_t)own->room->level,
                                           cell_key(own->upright, across + step, cell_of(at)));
        for (; other; other = other->next)
            if (other->room->id < best.room->id && faces(own, other, at))
                best = *other;
    }
    return best;
}

/* The nearest stud of a wall to a point `at` from its left end. */
static struct stud nearest(const struct side *side, length at)
{
    length spacing = side->room->wall_framing.spacing;
    if (spacing <= 0 || at < 0 || at > side->wall->length)
        return (struct stud){0};
    length left = at / spacing * spacing, right = left + spacing;
    if (right > side->wall->length)
        right = side->wall->length;
    bool is_left = at - left <= right - at;
    return (struct stud){true, is_left, is_left ? at - left : right - at};
}

struct stud stud_beside(const struct studs *s, const struct box *b)
{
    struct side own;
    if (b->place.where != ON_WALL || b->place.wall >= b->room->wall_count)
        return (struct stud){0};
    const struct wall *wall = &b->room->walls[b->place.wall];
    if (!side_of(&own, b->room, wall)) {
        own = (struct side){.room = b->room, .wall = wall};
        return nearest(&own, b->place.from_left);
    }
    length at = along(&own, wall->left) + (own.forward ? b->place.from_left : -b->place.from_left);
    struct side from = counted_from(s, &own, at);
    length distance = at - along(&from, from.wall->left);
    struct stud stud = nearest(&from, from.forward ? distance : -distance);
    /* seen from the other side of the wall, left is right */
    if (from.forward != own.forward)
        stud.left = !stud.left;
    return stud;
}
