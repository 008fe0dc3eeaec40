/* Where lines of wall meet, and where along them a cable has to leave the studs. */
#include "framing/frame.h"

#include <stdlib.h>

/* A joint before it has its index. */
struct draft {
    uint32_t line;
    length at;
    uint32_t pair; /* number of the corner, or NO_INDEX */
    bool second;   /* of the two walls of a corner */
};

typedef VEC(struct draft) draft_list;

static int by_line(const void *va, const void *vb)
{
    const struct draft *a = va, *b = vb;
    if (a->line != b->line)
        return a->line < b->line ? -1 : 1;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    if (a->pair != b->pair)
        return a->pair < b->pair ? -1 : 1;
    return (int)a->second - (int)b->second;
}

/* Each corner of a room joins the lines of the two walls that meet in it; a wall that ends at
 * another is met there by the rooms on both sides. */
static uint32_t draft_corners(struct arena *arena, const struct skeleton *f, draft_list *drafts)
{
    uint32_t pairs = 0;
    for (uint32_t i = 0; i < f->m->rooms.n; i++) {
        const struct room *room = f->m->rooms.at[i];
        for (uint32_t w = 0; w < room->wall_count; w++) {
            const struct face *in = frame_face_of(f, room, w),
                              *out = frame_face_of(f, room, (w + 1) % room->wall_count);
            if (in->line == NO_INDEX || out->line == NO_INDEX || in->line == out->line)
                continue;
            *vec_push(arena, drafts) =
                (struct draft){in->line, in->forward ? in->hi : in->lo, pairs, false};
            *vec_push(arena, drafts) =
                (struct draft){out->line, out->forward ? out->lo : out->hi, pairs, true};
            pairs++;
        }
    }
    return pairs;
}

static length within(length at, const struct line *l)
{
    return at < l->lo ? l->lo : at > l->hi ? l->hi : at;
}

static void draft_edges(struct arena *arena, const struct skeleton *f, draft_list *drafts)
{
    for (uint32_t i = 0; i < f->line_count; i++) {
        const struct line *l = &f->lines[i];
        for (uint32_t k = 0; k < l->obstacle_count; k++) {
            const struct obstacle *o = &f->obstacles[l->first_obstacle + k];
            if (!o->bars)
                continue;
            *vec_push(arena, drafts) = (struct draft){i, within(o->lo, l), NO_INDEX, false};
            *vec_push(arena, drafts) = (struct draft){i, within(o->hi, l), NO_INDEX, false};
        }
    }
}

/* Which gaps between the joints of a line nothing stands in. */
static void open_gaps(struct skeleton *f, const struct line *l)
{
    uint32_t next = 0;
    length reach = l->lo;
    for (uint32_t i = 0; i < l->joint_count; i++) {
        struct turn *j = &f->joints[l->first_joint + i];
        for (; next < l->obstacle_count && f->obstacles[l->first_obstacle + next].lo <= j->at;
             next++) {
            const struct obstacle *o = &f->obstacles[l->first_obstacle + next];
            reach = o->bars && o->hi > reach ? o->hi : reach;
        }
        bool last = i + 1 == l->joint_count;
        j->open = reach <= j->at || (!last && j[1].at == j->at);
        j->studs = frame_studs_before(f, l, j->at, true);
    }
}

void frame_find_joints(struct arena *arena, struct skeleton *f)
{
    draft_list drafts = {0};
    uint32_t pairs = draft_corners(arena, f, &drafts);
    draft_edges(arena, f, &drafts);
    if (drafts.n)
        qsort(drafts.at, drafts.n, sizeof *drafts.at, by_line);
    uint32_t *of_pair = arena_array(arena, uint32_t, 2 * (size_t)pairs + 1);
    f->joint_count = drafts.n;
    f->joints = arena_array(arena, struct turn, drafts.n + 1);
    for (uint32_t i = 0; i < drafts.n; i++) {
        const struct draft *d = &drafts.at[i];
        struct line *l = &f->lines[d->line];
        if (!l->joint_count++)
            l->first_joint = i;
        f->joints[i] = (struct turn){.at = d->at, .line = d->line, .partner = NO_INDEX};
        if (d->pair != NO_INDEX)
            of_pair[2 * d->pair + d->second] = i;
    }
    for (uint32_t i = 0; i < drafts.n; i++)
        if (drafts.at[i].pair != NO_INDEX)
            f->joints[i].partner = of_pair[2 * drafts.at[i].pair + !drafts.at[i].second];
    for (uint32_t i = 0; i < f->line_count; i++)
        open_gaps(f, &f->lines[i]);
}

uint32_t joint_before(const struct skeleton *f, const struct line *l, length at)
{
    uint32_t lo = 0, hi = l->joint_count;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        if (f->joints[l->first_joint + mid].at <= at)
            lo = mid + 1;
        else
            hi = mid;
    }
    return lo ? l->first_joint + lo - 1 : NO_INDEX;
}
