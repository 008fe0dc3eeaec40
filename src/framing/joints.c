/* Where lines of wall meet, and where along them a cable has to leave the studs. */
#include "framing/frame.h"

#include "framing/bulks.h"

#include <stdlib.h>

/* A joint before it has its index. */
struct draft {
    uint32_t line;
    length at;
    uint32_t pair; /* number of the corner, or NO_INDEX */
    bool second;   /* of the two walls of a corner */
    bool bay;
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
    if (a->second != b->second)
        return (int)a->second - (int)b->second;
    return (int)a->bay - (int)b->bay;
}

/* The end of a face in a corner, and beside its last stud the place where a cable can stand. */
static void draft_end(struct arena *arena, const struct skeleton *f, draft_list *drafts,
                      const struct face *face, bool leaves, struct draft d)
{
    const struct line *l = &f->lines[face->line];
    bool at_hi = face->forward == leaves;
    d.line = face->line;
    d.at = at_hi ? face->hi : face->lo;
    length beside = frame_clear_place(f, l, d.at, !at_hi, true);
    d.bay = beside == d.at;
    *vec_push(arena, drafts) = d;
    if (!d.bay && l->lo <= beside && beside <= l->hi)
        *vec_push(arena, drafts) = (struct draft){face->line, beside, NO_INDEX, false, true};
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
            draft_end(arena, f, drafts, in, true, (struct draft){.pair = pairs});
            draft_end(arena, f, drafts, out, false, (struct draft){.pair = pairs, .second = true});
            pairs++;
        }
    }
    return pairs;
}

/* Beside what stands in the way, its own studs behind one. */
static void draft_edge(struct arena *arena, const struct skeleton *f, draft_list *drafts,
                       uint32_t line, length at, bool right)
{
    const struct line *l = &f->lines[line];
    length beside = frame_clear_place(f, l, at, right, true);
    bool on = l->lo <= beside && beside <= l->hi;
    *vec_push(arena, drafts) = (struct draft){line,
                                              on               ? beside
                                              : beside < l->lo ? l->lo
                                                               : l->hi,
                                              NO_INDEX, false, on};
}

static void draft_edges(struct arena *arena, const struct skeleton *f, draft_list *drafts)
{
    for (uint32_t i = 0; i < f->line_count; i++) {
        const struct line *l = &f->lines[i];
        for (uint32_t k = 0; k < l->obstacle_count; k++) {
            const struct obstacle *o = &f->obstacles[l->first_obstacle + k];
            if (!o->bars && o->fixture && o->fixture->sort == FIXTURE_OTHER)
                continue;
            draft_edge(arena, f, drafts, i, o->lo, false);
            draft_edge(arena, f, drafts, i, o->hi, true);
        }
    }
}

/* The lowest that a way goes under the openings between two places; 0: at the height of the bores.
 */
static length height_between(const struct skeleton *f, const struct line *l, length lo, length hi)
{
    length under = 0;
    for (const struct rough_opening *r = frame_opening_from(f, l, lo);
         r && r < &f->openings[l->first_opening + l->opening_count] && r->lo < hi; r++)
        if (r->under < r->room->level->bore && (!under || r->under < under))
            under = r->under;
    return under;
}

/* Whether a beam or duct lies in the studs between two places at a height that is passed there. */
static bool is_filled(const struct skeleton *f, const struct line *l, length lo, length hi,
                      length up)
{
    const struct room *room = f->sorted[l->first_face]->room;
    length z = room->level->floor + up;
    uint32_t at = 0;
    return bulks_in_wall(f, l, (struct bulk_stretch){lo, hi, z, z}, frame_world_of(room), &at, NULL,
                         NULL);
}

/* Which gaps between the joints of a line nothing stands in, and how high they are passed. */
static void open_gaps(struct skeleton *f, const struct line *l)
{
    uint32_t next = 0;
    length reach = l->lo, filled = l->lo; /* how far what begins before the next joint goes */
    for (uint32_t i = 0; i < l->joint_count; i++) {
        struct turn *j = &f->joints[l->first_joint + i];
        bool last = i + 1 == l->joint_count;
        length to = last ? l->hi : j[1].at;
        for (; next < l->obstacle_count && f->obstacles[l->first_obstacle + next].lo < to; next++) {
            const struct obstacle *o = &f->obstacles[l->first_obstacle + next];
            length *far = o->fixture ? &reach : &filled;
            *far = o->bars && o->hi > o->lo && o->hi > *far ? o->hi : *far;
        }
        j->but_bulks = reach <= j->at || to == j->at;
        j->closed_from = frame_closed_from(f, l, (j->at + to) / 2);
        j->under = j->but_bulks && to > j->at ? height_between(f, l, j->at, to) : 0;
        j->open = j->but_bulks && (filled <= j->at || to == j->at) &&
                  !(j->under && f->bulks && is_filled(f, l, j->at, to, j->under));
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
        f->joints[i] =
            (struct turn){.at = d->at, .line = d->line, .partner = NO_INDEX, .bay = d->bay};
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
