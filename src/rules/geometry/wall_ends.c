/* openings-disagree: an opening in which the end of another wall stands. */
#include "rules/geometry/wall_ends.h"

#include "framing/frame.h"
#include "framing/routes.h"
#include "model/site.h"
#include "rules/check.h"

#include <stdlib.h>

/* The end of a wall that goes off from the line of another one, with its finishes. */
struct wall_end {
    const struct face *face; /* of its room's wall on that line, beside whose end it stands */
    uint32_t wall;           /* it, in that room */
    length lo, hi;           /* on the line */
};

typedef VEC(struct wall_end) end_list;

/* What lies less than this over another thing is rounding of slanted walls. */
static const length HAIR = INCH / 128;

static int by_line_and_place(const void *va, const void *vb)
{
    const struct wall_end *a = va, *b = vb;
    if (a->face->line != b->face->line)
        return a->face->line < b->face->line ? -1 : 1;
    if (a->lo != b->lo)
        return a->lo < b->lo ? -1 : 1;
    return a->face->room->id < b->face->room->id ? -1 : a->face->room->id > b->face->room->id;
}

/* Whether a wall is open up to one of its ends, or nearly: no end of it stands in the way. */
static bool is_open_to_end(const struct room *r, uint32_t wall, bool left)
{
    for (uint32_t i = 0; i < r->fixtures.n; i++) {
        const struct fixture *x = &r->fixtures.at[i];
        bool opens = x->sort == FIXTURE_OPENING || x->form == F_RAILING;
        length from = left ? x->from_left : r->walls[wall].length - x->from_left - x->wide;
        if (x->wall == wall && opens && from < FOOT)
            return true;
    }
    return false;
}

/* The sides of what lies in the open air are drawn, but no walls. */
static bool has_walls(const struct room *r)
{
    for (uint32_t i = 0; i < r->kind_count; i++)
        if (r->kinds[i]->wet)
            return false;
    return !r->covered && facts_is_built(r->unit);
}

/* Where a wall ends the next one of its room goes off, and stands beyond that end. */
static void add_ends(const struct skeleton *frame, const struct face *face, struct arena *scratch,
                     end_list *ends)
{
    const struct room *r = face->room;
    for (int at_hi = 0; at_hi < 2; at_hi++) {
        bool right = (at_hi == 1) == face->forward;
        uint32_t next = (face->wall + (right ? 1 : r->wall_count - 1)) % r->wall_count;
        const struct framing *studs = &r->walls[next].framing;
        length thick = studs->lumber.depth + 2 * r->finish;
        if (studs->spacing > 0 && frame_face_of(frame, r, next)->line != face->line &&
            !is_open_to_end(r, next, right))
            *vec_push(scratch, ends) =
                (struct wall_end){face, next, at_hi ? face->hi : face->lo - thick,
                                  at_hi ? face->hi + thick : face->lo};
    }
}

static void say_end(const struct checked *c, const struct room *room, const struct fixture *x,
                    const struct wall_end *e)
{
    struct model *m = c->model;
    const struct room *other = e->face->room;
    struct finding *f = model_finding(
        m, &rule_openings_disagree, node_span(x->node), room->unit,
        address_of_room(m->arena, room, false), "the %s wall of room '%s' would end in this %s",
        other->walls[e->wall].written, address_of_room(m->arena, other, true), x->word);
    diag_note(m->diag, f, node_name_span(other->node), "the room behind");
    diag_mend(m->diag, f,
              "move one of the two; `at` is to the nearer edge, from the wall's left "
              "end as one stands inside and faces it");
}

/* The first that may lie in what begins at a place of a line: none is thicker than `widest`. */
static uint32_t first_from(const end_list *ends, uint32_t line, length at, length widest)
{
    uint32_t low = 0, high = ends->n;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        const struct wall_end *e = &ends->at[middle];
        if (e->face->line < line || (e->face->line == line && e->lo < at - widest))
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void check_opening(const struct checked *c, const struct room *room, const struct fixture *x,
                          const end_list *ends, length widest)
{
    const struct face *face = frame_face_of(c->routes->frame, room, x->wall);
    if (x->sort == FIXTURE_OTHER || face->line == NO_INDEX || x->from_left < 0 ||
        x->from_left + x->wide > room->walls[x->wall].length)
        return; /* what reaches past its wall is told as that */
    length lo = face->forward ? face->lo + x->from_left : face->hi - x->from_left - x->wide,
           hi = lo + x->wide;
    for (uint32_t i = first_from(ends, face->line, lo, widest); i < ends->n; i++) {
        const struct wall_end *e = &ends->at[i];
        if (e->face->line != face->line || e->lo >= hi - HAIR)
            return;
        if (e->face->forward == face->forward || e->hi <= lo + HAIR)
            continue;
        say_end(c, room, x, e);
        return;
    }
}

void wall_ends_check(const struct checked *c, const struct map *told)
{
    struct arena scratch = {.out_of_memory = c->model->arena->out_of_memory};
    const struct skeleton *frame = c->routes->frame;
    const struct model *m = c->model;
    end_list ends = {0};
    length widest = 0;
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *r = m->rooms.at[i];
        for (uint32_t w = 0; w < r->wall_count && has_walls(r); w++)
            if (frame_face_of(frame, r, w)->line != NO_INDEX)
                add_ends(frame, frame_face_of(frame, r, w), &scratch, &ends);
    }
    if (ends.n)
        qsort(ends.at, ends.n, sizeof *ends.at, by_line_and_place);
    for (uint32_t i = 0; i < ends.n; i++)
        widest = ends.at[i].hi - ends.at[i].lo > widest ? ends.at[i].hi - ends.at[i].lo : widest;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (uint32_t k = 0; k < m->rooms.at[i]->fixtures.n; k++)
            if (facts_known(m->rooms.at[i], ITS_PLACE | ITS_LEVEL) &&
                !map_get(told, 0, (uintptr_t)&m->rooms.at[i]->fixtures.at[k]))
                check_opening(c, m->rooms.at[i], &m->rooms.at[i]->fixtures.at[k], &ends, widest);
    arena_free(&scratch);
}
