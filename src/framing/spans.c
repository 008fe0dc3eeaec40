#include "framing/spans.h"

#include "framing/frame.h"
#include "framing/routes.h"

#include <stdlib.h>

/* A wall that a joist crosses: where the joist meets it, and the wall's line. */
struct crossing {
    length at;
    uint32_t line;
};

struct spans {
    const struct skeleton *f;
    struct {
        struct crossing *list;
        uint32_t count;
    } * of;        /* by storey, twice: for joists that run east, then north */
    length widest; /* of all walls */
};

/* Where joists that run north, or east, meet a line. */
static bool meets(const struct line *l, bool north, length *at)
{
    *at = north ? l->off : -l->off;
    return north ? l->uy == 0 : l->ux == 0;
}

static int by_place(const void *va, const void *vb)
{
    const struct crossing *a = va, *b = vb;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return a->line < b->line ? -1 : a->line > b->line;
}

struct spans *spans_find(struct arena *arena, const struct skeleton *f)
{
    struct spans *s = arena_new(arena, struct spans);
    s->f = f;
    s->of = arena_alloc(arena, 2 * (size_t)(f->storey_count + 1) * sizeof *s->of);
    for (uint32_t i = 0; i < 2 * f->storey_count; i++) {
        const struct storey *storey = &f->storeys[i / 2];
        s->of[i].list = arena_array(arena, struct crossing, storey->lines.n + 1);
        for (uint32_t k = 0; k < storey->lines.n; k++) {
            length at;
            if (meets(&f->lines[storey->lines.at[k]], i % 2, &at))
                s->of[i].list[s->of[i].count++] = (struct crossing){at, storey->lines.at[k]};
        }
        qsort(s->of[i].list, s->of[i].count, sizeof *s->of[i].list, by_place);
    }
    for (uint32_t i = 0; i < f->m->rooms.n; i++)
        if (frame_thickest_wall(f->m->rooms.at[i]) > s->widest)
            s->widest = frame_thickest_wall(f->m->rooms.at[i]);
    return s;
}

/* Whether a wall carries the joist that crosses it at `t` of its line, and from where to where its
 * studs reach along the joist. A room lies to the right of a face that runs the way of its line,
 * the wood to the left. */
static bool carries(const struct spans *s, const struct crossing *c, bool north, uint32_t world,
                    length t, struct joist_span *wood)
{
    const struct line *l = &s->f->lines[c->line];
    if (t < l->lo || t > l->hi || frame_world_of(s->f->sorted[l->first_face]->room) != world ||
        !frame_governing_face(s->f, l, t) ||
        (!frame_wall_of(s->f->sorted[l->first_face])->concrete && !frame_bears(s->f, l, t)))
        return false;
    bool first = true;
    for (uint32_t i = 0; i < l->face_count; i++) {
        const struct face *face = s->f->sorted[l->first_face + i];
        length depth = frame_wall_of(face)->framing.lumber.depth;
        if (t < face->lo || t > face->hi)
            continue;
        length off = north ? face->off : -face->off,
               back = off + (face->forward == north ? depth : -depth);
        length lo = off < back ? off : back, hi = off < back ? back : off;
        wood->lo = first || lo < wood->lo ? lo : wood->lo;
        wood->hi = first || hi > wood->hi ? hi : wood->hi;
        first = false;
    }
    return !first;
}

struct joist_span span_of_joist(const struct spans *s, uint32_t storey, bool north, uint32_t world,
                                struct point at)
{
    const struct crossing *list = s->of[2 * storey + north].list;
    uint32_t count = s->of[2 * storey + north].count, lo = 0, hi = count;
    length place = north ? at.y : at.x, t = north ? at.x : at.y;
    struct joist_span span = {0}, wood;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        if (list[mid].at < place - s->widest)
            lo = mid + 1;
        else
            hi = mid;
    }
    bool left = false, right = false;
    for (uint32_t i = lo; i < count && !right; i++) {
        if (!carries(s, &list[i], north, world, t, &wood))
            continue;
        if (wood.lo <= place && place <= wood.hi)
            return (struct joist_span){.known = true, .end = true, .lo = wood.lo, .hi = wood.hi};
        if (wood.lo > place) {
            right = true;
            span.hi = wood.lo;
        } else {
            left = true;
            span.lo = wood.hi;
        }
    }
    for (uint32_t i = lo; i-- > 0 && !left;)
        if (carries(s, &list[i], north, world, t, &wood)) {
            left = true;
            span.lo = wood.hi;
        }
    span.known = left && right;
    return span;
}
