#include "rules/geometry/openings.h"

#include "facts/facts.h"
#include "framing/frame.h"

/* What one room writes, while it is looked for behind the wall. */
struct hole {
    const struct room *room;
    const struct fixture *fixture;
    const struct face *face;
    length lo, hi; /* on the line */
};

static struct hole hole_of(const struct skeleton *frame, const struct room *r,
                           const struct fixture *x)
{
    const struct face *face = frame_face_of(frame, r, x->wall);
    length lo = face->forward ? face->lo + x->from_left : face->hi - x->from_left - x->wide;
    return (struct hole){r, x, face, lo, lo + x->wide};
}

/* Where a hole begins on a face, from the left end of that face's wall. */
static length left_on(const struct face *face, const struct hole *h)
{
    return frame_from_left_of(face, face->forward ? h->lo : h->hi);
}

/* Whether a room writes something itself at a place that the room behind the wall has an opening
 * at. */
static bool writes_there(const struct room *r, uint32_t wall, length left, length wide)
{
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        if (x->sort != FIXTURE_OTHER && x->wall == wall && x->from_left < left + wide &&
            left < x->from_left + x->wide)
            return true;
    }
    return false;
}

/* Gives the hole to the room behind a face that lies against it, and tells its own opening of that
 * room. */
static void look_through(struct arena *arena, struct openings *o, const struct hole *h,
                         struct opening *own, const struct face *face)
{
    length left = left_on(face, h);
    if (!own->beyond_known) {
        own->beyond_known = true;
        own->beyond_wall = face->wall;
        own->beyond_left = left;
        own->here.to = (struct room *)face->room;
    }
    if (writes_there(face->room, face->wall, left, h->fixture->wide))
        return;
    struct opening there = {*h->fixture, true, h->fixture->wall, h->fixture->from_left};
    there.here.wall = face->wall;
    there.here.from_left = left;
    there.here.to = (struct room *)h->room;
    there.here.to_outside = false;
    there.here.hinge_right = !h->fixture->hinge_right;
    there.here.swings_out = !h->fixture->swings_out;
    *vec_push(arena, &o->of_room[face->room->id]) = there;
}

/* Calls `each` for the faces of other rooms that lie against a stretch of a face's line. */
typedef void face_fn(const struct face *face, void *data);

static void each_face_on(const struct skeleton *frame, uint32_t line, const struct face *face,
                         length lo, length hi, face_fn *each, void *data)
{
    const struct line *l = &frame->lines[line];
    uint32_t low = 0, high = l->face_count;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (frame->placed[l->first_face + middle]->lo < hi)
            low = middle + 1;
        else
            high = middle;
    }
    for (uint32_t i = low; i-- > 0 && frame->reach[l->first_face + i] > lo;) {
        const struct face *there = frame->placed[l->first_face + i];
        if (there->forward != face->forward && there->hi > lo && there->room != face->room)
            each(there, data);
    }
}

static void each_face_behind(const struct skeleton *frame, const struct face *face, length lo,
                             length hi, face_fn *each, void *data)
{
    const struct face *behind = face->line == NO_INDEX ? NULL : frame_face_behind(frame, face);
    if (face->line != NO_INDEX)
        each_face_on(frame, face->line, face, lo, hi, each, data);
    if (behind && behind->line != face->line)
        each_face_on(frame, behind->line, face, lo, hi, each, data);
}

struct looking {
    struct arena *arena;
    struct openings *openings;
    const struct hole *hole;
    struct opening *own;
};

static void look_at_face(const struct face *face, void *data)
{
    struct looking *k = data;
    look_through(k->arena, k->openings, k->hole, k->own, face);
}

static void add_hole(struct arena *arena, struct openings *o, const struct skeleton *frame,
                     const struct hole *h)
{
    struct opening own = {.here = *h->fixture};
    each_face_behind(frame, h->face, h->lo, h->hi, look_at_face,
                     &(struct looking){arena, o, h, &own});
    *vec_push(arena, &o->of_room[h->room->id]) = own;
}

static void doubt_face(const struct face *face, void *data)
{
    struct openings *o = data;
    o->in_doubt[face->room->id] = true;
}

static void doubt_neighbours(struct openings *o, const struct skeleton *frame, const struct room *r)
{
    for (uint32_t i = 0; i < r->wall_count; i++) {
        const struct face *face = frame_face_of(frame, r, i);
        each_face_behind(frame, face, face->lo, face->hi, doubt_face, o);
    }
}

struct openings *openings_find(struct arena *arena, const struct model *m,
                               const struct skeleton *frame)
{
    struct openings *o = arena_new(arena, struct openings);
    o->of_room = arena_array(arena, opening_list, m->rooms.n + 1);
    o->in_doubt = arena_array(arena, bool, m->rooms.n + 1);
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        if (!facts_known(r, ITS_FIXED))
            doubt_neighbours(o, frame, r);
        for (uint32_t k = 0; k < r->fixtures.n; k++) {
            if (r->fixtures.at[k].sort == FIXTURE_OTHER || r->fixtures.at[k].wall >= r->wall_count)
                continue;
            struct hole h = hole_of(frame, r, &r->fixtures.at[k]);
            add_hole(arena, o, frame, &h);
        }
    }
    return o;
}
