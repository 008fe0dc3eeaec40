/* rooms-overlap, openings-disagree, run-blocked: rooms, the walls they share, and ways that are
 * barred. */
#include "rules/mends.h"

#include "framing/bulks.h"
#include "framing/frame.h"
#include "framing/mountings.h"
#include "framing/routes.h"
#include "rules/geometry/wall_ends.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* --- rooms that overlap ------------------------------------------------------------------- */

/* What lies less than this over another room is rounding of slanted walls. */
static const length HAIR = INCH / 128;

struct spot {
    double x, y;
};

static struct spot spot_at(struct point p)
{
    return (struct spot){(double)p.x, (double)p.y};
}

static bool inside(const struct room *room, struct spot p)
{
    bool in = false;
    for (uint32_t i = 0; i < room->wall_count; i++) {
        struct spot a = spot_at(room->walls[i].left), b = spot_at(room->walls[i].right);
        if ((a.y > p.y) != (b.y > p.y) && p.x < a.x + (p.y - a.y) / (b.y - a.y) * (b.x - a.x))
            in = !in;
    }
    return in;
}

/* Where along a wall, as a share, another room's wall touches or crosses it: one place, or two
 * where they lie along each other. */
static unsigned touches(const struct wall *w, const struct wall *other, double at[2])
{
    struct spot a = spot_at(w->left), b = spot_at(w->right), c = spot_at(other->left),
                d = spot_at(other->right);
    double ux = b.x - a.x, uy = b.y - a.y, vx = d.x - c.x, vy = d.y - c.y, size = ux * ux + uy * uy;
    double turn = ux * vy - uy * vx;
    if (fabs(turn) <= 1e-12 * (fabs(ux) + fabs(uy)) * (fabs(vx) + fabs(vy))) {
        at[0] = ((c.x - a.x) * ux + (c.y - a.y) * uy) / size;
        at[1] = ((d.x - a.x) * ux + (d.y - a.y) * uy) / size;
        return 2;
    }
    at[0] = ((c.x - a.x) * vy - (c.y - a.y) * vx) / turn;
    return 1;
}

static int by_size(const void *va, const void *vb)
{
    double a = *(const double *)va, b = *(const double *)vb;
    return a < b ? -1 : a > b;
}

/* Whether just inside of some part of the one room's walls the other room lies. Rooms overlap where
 * that is so for the one or for the other. `cuts` has room for two places on each wall of the other
 * room and two more. */
static bool reaches_into(double *cuts, const struct room *room, const struct room *other)
{
    for (uint32_t i = 0; i < room->wall_count; i++) {
        const struct wall *w = &room->walls[i];
        if (w->length <= 0)
            continue;
        uint32_t n = 0;
        cuts[n++] = 0;
        cuts[n++] = 1;
        for (uint32_t k = 0; k < other->wall_count; k++) {
            double at[2];
            unsigned found = other->walls[k].length > 0 ? touches(w, &other->walls[k], at) : 0;
            for (unsigned x = 0; x < found; x++)
                if (at[x] > 0 && at[x] < 1)
                    cuts[n++] = at[x];
        }
        qsort(cuts, n, sizeof *cuts, by_size);
        struct spot a = spot_at(w->left), b = spot_at(w->right);
        double size = (double)w->length, ix = (b.y - a.y) / size * (double)HAIR,
               iy = -(b.x - a.x) / size * (double)HAIR;
        for (uint32_t k = 1; k < n; k++) {
            double middle = (cuts[k - 1] + cuts[k]) / 2;
            if ((cuts[k] - cuts[k - 1]) * size < 2 * (double)HAIR)
                continue;
            struct spot p = {a.x + middle * (b.x - a.x) + ix, a.y + middle * (b.y - a.y) + iy};
            if (inside(other, p))
                return true;
        }
    }
    return false;
}

static bool boxes_meet(const struct room *a, const struct room *b)
{
    return a->low.x + HAIR < b->high.x && b->low.x + HAIR < a->high.x &&
           a->low.y + HAIR < b->high.y && b->low.y + HAIR < a->high.y;
}

/* The name of a room beside another: whole where they are of two units. */
static const char *name_beside(struct arena *arena, const struct room *room,
                               const struct room *other)
{
    return room->unit == other->unit ? room->name : address_of_room(arena, room, false);
}

/* What would be moved: the room, or the whole unit it is in where the other room is not of that
 * unit. */
static const struct node *moved(const struct room *room, const struct room *other)
{
    return room->unit && room->unit != other->unit ? room->unit->node : room->node;
}

RULE(rooms_overlap, "rooms-overlap", ERROR, WAIVABLE, "no room lies over another on its level");

/* Units that lie over each other do so with many rooms: said once. `said` holds the pairs of what
 * would be moved. */
static void say_overlap(const struct checked *c, struct arena *scratch, struct map *said,
                        const struct room *a, const struct room *b)
{
    const struct room *first = a->id < b->id ? a : b, *second = a->id < b->id ? b : a;
    bool apart = first->unit != second->unit;
    struct model *m = c->model;
    void **seen =
        map_at(scratch, said, (uintptr_t)moved(first, second), (uintptr_t)moved(second, first));
    if (apart && *seen)
        return;
    *seen = m;
    struct finding *f = model_finding(
        m, &rule_rooms_overlap, node_name_span(moved(second, first)), apart ? NULL : second->unit,
        address_of_room(m->arena, second, false), "room '%s' lies over room '%s'",
        name_beside(m->arena, second, first), name_beside(m->arena, first, second));
    diag_note(m->diag, f, node_name_span(moved(first, second)), "room '%s'",
              name_beside(m->arena, first, second));
    diag_mend(
        m->diag, f,
        "move its corner, or change a size; rooms are measured between the faces of the studs");
}

/* A room as the sweep sees it. */
struct swept {
    const struct room *room;
    uint32_t storey, world;
};

static int by_west(const void *va, const void *vb)
{
    const struct swept *a = va, *b = vb;
    if (a->storey != b->storey)
        return a->storey < b->storey ? -1 : 1;
    if (a->world != b->world)
        return a->world < b->world ? -1 : 1;
    if (a->room->low.x != b->room->low.x)
        return a->room->low.x < b->room->low.x ? -1 : 1;
    return a->room->id < b->room->id ? -1 : 1;
}

static void check_rooms_overlap(const struct checked *c)
{
    const struct model *m = c->model;
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    struct swept *order = arena_array(&scratch, struct swept, m->rooms.n + 1),
                 *open = arena_array(&scratch, struct swept, m->rooms.n + 1);
    uint32_t n = 0, count = 0, most_walls = 0;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        most_walls =
            m->rooms.at[i]->wall_count > most_walls ? m->rooms.at[i]->wall_count : most_walls;
    double *cuts = arena_array(&scratch, double, 2 * (size_t)most_walls + 2);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (m->rooms.at[i]->wall_count >= 3)
            order[n++] = (struct swept){m->rooms.at[i],
                                        c->routes->frame->storey_of[m->rooms.at[i]->level->id],
                                        frame_world_of(m->rooms.at[i])};
    qsort(order, n, sizeof *order, by_west);
    struct map said = {0};
    for (uint32_t i = 0; i < n && !diag_is_full(m->diag, &rule_rooms_overlap); i++) {
        uint32_t kept = 0;
        for (uint32_t k = 0; k < count; k++) {
            const struct room *other = open[k].room, *room = order[i].room;
            if (open[k].storey != order[i].storey || open[k].world != order[i].world ||
                other->high.x <= room->low.x)
                continue;
            open[kept++] = open[k];
            if (boxes_meet(room, other) &&
                (reaches_into(cuts, room, other) || reaches_into(cuts, other, room)))
                say_overlap(c, &scratch, &said, room, other);
        }
        count = kept;
        open[count++] = order[i];
    }
    arena_free(&scratch);
}
CHECK(rooms_overlap, .plan = check_rooms_overlap);

/* --- openings of shared walls ------------------------------------------------------------- */

struct hole {
    const struct fixture *fixture;
    const struct room *room;
    const struct face *face;
    length lo, hi;
};

static int by_lo(const void *va, const void *vb)
{
    const struct hole *a = va, *b = vb;
    if (a->lo != b->lo)
        return a->lo < b->lo ? -1 : 1;
    if (a->hi != b->hi)
        return a->hi < b->hi ? -1 : 1;
    return a->room->id < b->room->id ? -1 : a->room->id > b->room->id;
}

static int by_line(const void *va, const void *vb)
{
    const struct hole *a = va, *b = vb;
    if (a->face->line != b->face->line)
        return a->face->line < b->face->line ? -1 : 1;
    return by_lo(va, vb);
}

static const char *fixture_word(const struct fixture *f)
{
    return f->sort == FIXTURE_DOOR ? "door" : f->sort == FIXTURE_WINDOW ? "window" : "opening";
}

/* An opening's lower edge above the datum; what is not written is -1. */
static length sill_of(const struct hole *h)
{
    return h->fixture->sill < 0 ? -1 : h->room->level->floor + h->fixture->sill;
}

static bool sills_differ(const struct hole *a, const struct hole *b)
{
    return a->fixture->sill >= 0 && b->fixture->sill >= 0 &&
           length_abs(sill_of(a) - sill_of(b)) > HAIR;
}

RULE(openings_disagree, "openings-disagree", ERROR, WAIVABLE,
     "an opening fits its wall, and is the same in both rooms that describe it");

/* The second room's opening as the first one has it. */
static void mend_second(const struct checked *c, struct finding *f, const struct hole *first,
                        const struct hole *second, const char *at, const char *wide)
{
    enum { AT = 1, WIDE = 2 }; /* behind the wall, the first value */
    const struct node *n = second->fixture->node;
    struct editing e = rules_way(c, f, false, "at %s wide %s here too", at, wide);
    edit_value(e, n, AT, at);
    edit_value(e, n, WIDE, wide);
    if (sills_differ(first, second)) {
        struct buf sill = {0};
        buf_puts(&sill, "sill ");
        length_print(&sill, sill_of(first) - second->room->level->floor);
        edit_clause(e, n, F_SILL, arena_copy(c->model->arena, buf_text(&sill), sill.n));
        buf_free(&sill);
    }
}

static void mend_by_leaving_out(const struct checked *c, struct finding *f, const struct hole *out,
                                const struct hole *kept)
{
    edit_remove(rules_way(c, f, false, "leave out the %s of room '%s'", fixture_word(out->fixture),
                          name_beside(c->model->arena, out->room, kept->room)),
                out->fixture->node);
}

/* What would make both rooms say the same: `at` and `wide` of the first room's opening as the
 * second would write them. Where it does not fit into the second room's wall, the first one is to
 * be mended. */
static void mend_disagree(const struct checked *c, struct finding *f, const struct hole *first,
                          const struct hole *second, const char *at, const char *wide)
{
    struct buf sill = {0};
    const char *wall = second->room->walls[second->face->wall].written;
    if (sills_differ(first, second)) {
        buf_puts(&sill, " sill ");
        length_print(&sill, sill_of(first) - second->room->level->floor);
    }
    if (first->lo >= second->face->lo && first->hi <= second->face->hi)
        diag_mend(c->model->diag, f,
                  "%s %s at %s wide %s%s, or write it in one of the two rooms only",
                  fixture_word(first->fixture), wall, at, wide, buf_text(&sill));
    else
        diag_mend(c->model->diag, f,
                  "the %s of room '%s' reaches past the end of the %s wall here: mend that one, or "
                  "write it in one of the two rooms only",
                  fixture_word(first->fixture),
                  name_beside(c->model->arena, first->room, second->room), wall);
    if (first->lo >= second->face->lo && first->hi <= second->face->hi)
        mend_second(c, f, first, second, at, wide);
    buf_free(&sill);
    mend_by_leaving_out(c, f, second, first);
    mend_by_leaving_out(c, f, first, second);
}

static void say_disagree(const struct checked *c, const struct hole *a, const struct hole *b)
{
    const struct hole *first = a->room->id < b->room->id ? a : b, *second = first == a ? b : a;
    struct model *m = c->model;
    struct buf at = {0}, wide = {0};
    length left =
        second->face->forward ? first->lo - second->face->lo : second->face->hi - first->hi;
    bool mirrored = second->room->walls[second->face->wall].mirrored;
    length_print(&at, mirrored ? second->room->walls[second->face->wall].length - left -
                                     (first->hi - first->lo)
                               : left);
    length_print(&wide, first->hi - first->lo);
    struct finding *f = model_finding(
        m, &rule_openings_disagree, node_span(second->fixture->node), second->room->unit,
        address_of_room(m->arena, second->room, false),
        "this %s and the %s of room '%s' are in one place of the wall, but not the same",
        fixture_word(second->fixture), fixture_word(first->fixture),
        name_beside(m->arena, first->room, second->room));
    diag_note(m->diag, f, node_span(first->fixture->node), "the %s of room '%s'",
              fixture_word(first->fixture), name_beside(m->arena, first->room, second->room));
    mend_disagree(c, f, first, second, buf_text(&at), buf_text(&wide));
    buf_free(&at);
    buf_free(&wide);
}

/* Two openings of one room. */
static void say_same_place(const struct checked *c, const struct hole *a, const struct hole *b)
{
    const struct hole *first =
                          node_span(a->fixture->node).off < node_span(b->fixture->node).off ? a : b,
                      *second = first == a ? b : a;
    struct model *m = c->model;
    struct finding *f =
        model_finding(m, &rule_openings_disagree, node_span(second->fixture->node),
                      second->room->unit, address_of_room(m->arena, second->room, false),
                      "this %s and another %s of the same wall are in one place",
                      fixture_word(second->fixture), fixture_word(first->fixture));
    diag_note(m->diag, f, node_span(first->fixture->node), "the other one");
    diag_mend(m->diag, f, "move one of them; 'sill' tells of one that is over the other");
}

/* A door, or something fixed, that its wall is too short for. */
static void check_wall_end(const struct checked *c, const struct room *room,
                           const struct fixture *fx)
{
    struct model *m = c->model;
    const struct wall *w = &room->walls[fx->wall];
    length before = -fx->from_left, behind = fx->from_left + fx->wide - w->length,
           past = before > behind ? before : behind;
    if (past <= HAIR)
        return;
    struct buf how_far = {0}, size = {0};
    length_print(&how_far, past);
    length_print(&size, w->length);
    struct finding *f =
        model_finding(m, &rule_openings_disagree, node_span(fx->node), room->unit,
                      address_of_room(m->arena, room, false),
                      "this %s reaches %s past the end of the %s wall, which is %s long", fx->word,
                      buf_text(&how_far), w->written, buf_text(&size));
    diag_mend(
        m->diag, f,
        "`at` is to its nearer edge, from the wall's left end as one stands inside and faces it");
    buf_free(&how_far);
    buf_free(&size);
}

static bool same_hole(const struct hole *a, const struct hole *b)
{
    return length_abs(a->lo - b->lo) <= HAIR && length_abs(a->hi - b->hi) <= HAIR &&
           a->fixture->sort == b->fixture->sort && !sills_differ(a, b);
}

/* Whether one is so high that it can be over the other. */
static bool over(const struct hole *a, const struct hole *b, length door)
{
    return a->fixture->sill >= door || b->fixture->sill >= door;
}

/* Whether something is said of the two. */
static bool check_pair(const struct checked *c, const struct hole *a, const struct hole *b,
                       length door)
{
    bool two_sides = a->face->forward != b->face->forward,
         one_place = !two_sides && a->room == b->room && a->face == b->face &&
                     a->hi - b->lo > HAIR && !over(a, b, door),
         differ = two_sides && !same_hole(a, b);
    if (differ)
        say_disagree(c, a, b);
    else if (one_place)
        say_same_place(c, a, b);
    return differ || one_place;
}

static void check_openings(const struct checked *c)
{
    struct model *m = c->model;
    const struct skeleton *frame = c->routes->frame;
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    VEC(struct hole) holes = {0};
    struct map told = {0};
    length door = code_length(&m->code, SET_PLAN_DEFAULTS_DOOR_HEIGHT, 0);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        for (uint32_t k = 0; k < m->rooms.at[i]->fixtures.n; k++) {
            const struct fixture *f = &m->rooms.at[i]->fixtures.at[k];
            const struct face *face = frame_face_of(frame, m->rooms.at[i], f->wall);
            check_wall_end(c, m->rooms.at[i], f);
            if (f->sort == FIXTURE_OTHER || face->line == NO_INDEX)
                continue;
            length lo = face->forward ? face->lo + f->from_left : face->hi - f->from_left - f->wide;
            *vec_push(&scratch, &holes) = (struct hole){f, m->rooms.at[i], face, lo, lo + f->wide};
        }
    if (holes.n)
        qsort(holes.at, holes.n, sizeof *holes.at, by_line);
    for (uint32_t i = 0; i < holes.n && !diag_is_full(m->diag, &rule_openings_disagree); i++)
        for (uint32_t k = i + 1; k < holes.n && holes.at[k].face->line == holes.at[i].face->line &&
                                 holes.at[k].lo < holes.at[i].hi;
             k++)
            if (check_pair(c, &holes.at[i], &holes.at[k], door)) {
                map_put(&scratch, &told, 0, (uintptr_t)holes.at[i].fixture, m);
                map_put(&scratch, &told, 0, (uintptr_t)holes.at[k].fixture, m);
            }
    wall_ends_check(c, &told);
    arena_free(&scratch);
}
CHECK(openings_disagree, .plan = check_openings);

/* --- ways that are barred ----------------------------------------------------------------- */

RULE(run_blocked, "run-blocked", ERROR, WAIVABLE,
     "there is a way for every run, of the kind that it asks for");

/* Whether every room is read and stands where it does: a wall of one that does not may have been
 * the way. */
static bool rooms_are_placed(const struct checked *c)
{
    if (!c->model->read_in_full)
        return false;
    for (uint32_t i = 0; i < c->model->rooms.n; i++)
        if (!facts_known(c->model->rooms.at[i], ITS_PLACE | ITS_LEVEL))
            return false;
    return true;
}

/* A run that would go through a concrete floor. */
static void say_slab(const struct checked *c, const struct run *run, const struct level *level)
{
    struct model *m = c->model;
    const char *address = address_of_run(m->arena, run, true);
    const struct node *via = run->via == VIA_UNDER ? node_child(run->node, F_VIA) : NULL;
    struct finding *f = run_finding(
        c, &rule_run_blocked, run, via ? node_span(via) : run->from_span,
        via ? "run %s cannot go under the floor: that of level '%s' is concrete on the ground"
            : "run %s would come up through the floor of level '%s', which is concrete on the "
              "ground",
        address, level->name);
    diag_note(m->diag, f, node_name_span(level->node), "this level has a slab");
    diag_mend(m->diag, f,
              via ? "leave 'via under' out"
                  : "its box on a wall, or 'underground' and its depth for what is laid before the "
                    "concrete");
    if (via)
        mends_leave_out(c, f, false, run->node, F_VIA);
}

/* A box that is held by studs is told by itself; its run is mended with it. */
static bool is_misplaced(const struct checked *c, const struct box *box)
{
    return box && c->wiring->of_box[box->id].misfits & MISFIT_CONCRETE;
}

/* 'via under' is said once of a chain that has the words. */
static bool said_before(const struct checked *c, const struct run *run)
{
    const struct run *last = run->id ? c->model->runs.at[run->id - 1] : NULL;
    return last && run->via == VIA_UNDER && last->node == run->node &&
           facts_unit_of_run(last) == facts_unit_of_run(run) && c->routes->of_run[last->id].slab;
}

/* A run inside of a wall that is concrete. */
static void say_bare(const struct checked *c, const struct run *run, const struct place *bare)
{
    struct model *m = c->model;
    struct end end =
        &mounting_of_end(c->routes->mountings, run->from)->place == bare ? run->from : run->to;
    const struct room *room = facts_room_of_end(end);
    const struct wall *wall = &room->walls[bare->wall];
    if (is_misplaced(c, end.box))
        return;
    struct finding *f = run_finding(
        c, &rule_run_blocked, run, run->from_span,
        "run %s cannot go through the %s wall of room '%s', on which %s %s is: it is concrete",
        address_of_run(m->arena, run, true), wall->name, room->name, end.box ? "box" : "panel",
        address_of_end(m->arena, end, true));
    if (wall->words)
        diag_note(m->diag, f, node_span(wall->words), "this wall");
    diag_mend(m->diag, f,
              "'exposed' for a cable on its face, 'in' and a raceway, or studs before it: 'wall %s "
              "concrete furred LUMBER at SPACING'",
              wall->written);
}

/* A run that would be bored where the finish stays on; of one that was measured the way is not
 * known. Where the site log closed it too early for a run that was to be bored for, that is the
 * fault, and is told (closed-too-early). */
static bool is_shut(const struct run *run, const struct route *route)
{
    return route->shut && !run->measured && (!route->shut_later || run->fished);
}

static void say_shut(const struct checked *c, const struct run *run, const struct route *route)
{
    struct model *m = c->model;
    const char *what = route->shut_wall
                           ? arena_printf(m->arena, "studs of the %s wall", route->shut_wall->name)
                           : "joists over the ceiling";
    struct finding *f =
        run_finding(c, &rule_run_blocked, run, run->from_span,
                    "run %s cannot be fished: it would go through %s of room '%s', whose finish %s",
                    address_of_run(m->arena, run, true), what, route->shut->name,
                    route->shut_later ? "is on, by the site log" : "stays on");
    diag_mend(m->diag, f,
              "'via under' or 'via overhead' where that side is open, or another box to come from; "
              "where it is opened: %s",
              rules_opening(c, route->shut_wall, route->shut_later));
}

/* A box that stands in a beam or duct itself is told by box-mount. */
static bool stands_in_bulk(const struct checked *c, struct end e)
{
    const struct mounting *mounting = mounting_of_end(c->routes->mountings, e);
    return bulks_around(c->routes->frame, facts_room_of_end(e), &mounting->place, mounting->width,
                        0);
}

static void say_bulk(const struct checked *c, const struct run *run, const struct bulk *k)
{
    struct arena *arena = c->model->arena;
    const struct node *via = node_child(run->node, F_VIA);
    if (stands_in_bulk(c, run->from) || stands_in_bulk(c, run->to))
        return;
    struct finding *f = run_finding(
        c, &rule_run_blocked, run, via ? node_span(via) : run->from_span,
        "run %s has no way round the %s%s, over it or under it", address_of_run(arena, run, true),
        k->word, k->title ? arena_printf(arena, ", %s,", k->title) : "");
    diag_note(c->model->diag, f, node_span(k->node), "this stands in its way");
    diag_mend(c->model->diag, f,
              run->via == VIA_ANY ? "feed it from another side, or move one of its boxes"
                                  : "leave 'via' out, or feed it from another side");
    if (run->via != VIA_ANY)
        mends_leave_out(c, f, false, run->node, F_VIA);
}

static void check_blocked(const struct checked *c, const struct run *run)
{
    struct model *m = c->model;
    const struct route *route = &c->routes->of_run[run->id];
    looked(c, run_blocked);
    if (route->slab && !said_before(c, run))
        say_slab(c, run, route->slab);
    else if (!route->slab && route->bare)
        say_bare(c, run, route->bare);
    if (is_shut(run, route) && !route->blocked && !route->slab && !route->bare)
        say_shut(c, run, route);
    if (route->blocked && route->bulk)
        say_bulk(c, run, route->bulk);
    if (!route->blocked || route->slab || route->bare || route->bulk)
        return;
    const struct node *via = node_child(run->node, F_VIA);
    struct span span = via ? node_span(via) : run->from_span;
    const char *address = address_of_run(m->arena, run, true);
    const struct room *from = facts_room_of_end(run->from), *to = facts_room_of_end(run->to);
    bool levels = from && to && from->level != to->level;
    if (levels && !rooms_are_placed(c))
        return;
    struct finding *f = run_finding(
        c, &rule_run_blocked, run, span,
        run->via == VIA_STUDS
            ? "run %s cannot go through the studs all the way; it is taken over the plates here"
        : levels
            ? "run %s has no way between its levels: no wall or chase leads through the one "
              "between"
            : "run %s has no way to both of its ends that leaves openings and their frames alone",
        address);
    if (route->blocker)
        diag_note(m->diag, f, node_span(route->blocker->node), "this stands in its way");
    diag_mend(m->diag, f,
              run->via == VIA_STUDS ? "leave 'via studs' out"
              : levels ? "write 'chase at EAST, NORTH size EAST by NORTH' in a room of that level"
                       : "its box beside the opening");
    if (run->via == VIA_STUDS)
        mends_leave_out(c, f, false, run->node, F_VIA);
}
CHECK(run_blocked, .run = {check_blocked, ITS_TEXT | ITS_WAY, NEW_WORK});
