/* switch-behind-door: what the leaf of a door covers when it stands open. */
#include "rules/mends.h"

#include "framing/frame.h"
#include "framing/routes.h"
#include "resolve/value.h"
#include "rules/geometry/openings.h"

#include <math.h>
#include <stdlib.h>

/* A stretch of a wall behind an open leaf. */
struct cover {
    uint32_t wall;
    length lo, hi; /* from its left end */
    length reach;  /* how far those of the wall up to here go */
    const struct fixture *door;
    length head;
};

typedef VEC(struct cover) cover_list;

static int by_place(const void *va, const void *vb)
{
    const struct cover *a = va, *b = vb;
    if (a->wall != b->wall)
        return a->wall < b->wall ? -1 : 1;
    if (a->lo != b->lo)
        return a->lo < b->lo ? -1 : 1;
    return a->hi < b->hi ? -1 : a->hi > b->hi;
}

/* Whether the room's walls meet in an inner right angle where the first ends and the second begins.
 */
static bool is_inner_corner(const struct wall *a, const struct wall *b)
{
    double ax = (double)(a->right.x - a->left.x), ay = (double)(a->right.y - a->left.y),
           bx = (double)(b->right.x - b->left.x), by = (double)(b->right.y - b->left.y);
    return ax * bx + ay * by == 0 && ax * by - ay * bx < 0;
}

/* The wall beyond the hinges, and the corner wall as far as the leaf's edge can reach on it. */
static void add_covers(struct arena *scratch, cover_list *list, const struct room *room,
                       const struct fixture *door, length head)
{
    const struct wall *wall = &room->walls[door->wall];
    uint32_t n = room->wall_count, beside = (door->wall + (door->hinge_right ? 1 : n - 1)) % n;
    length hinge = door->hinge_right ? door->from_left + door->wide : door->from_left,
           away = door->hinge_right ? wall->length - hinge : hinge;
    struct cover c = {.wall = door->wall, .door = door, .head = head};
    c.lo = door->hinge_right ? hinge : hinge - door->wide;
    c.hi = c.lo + door->wide;
    *vec_push(scratch, list) = c;
    const struct wall *corner = &room->walls[beside];
    if (away < 0 || away >= door->wide ||
        !(door->hinge_right ? is_inner_corner(wall, corner) : is_inner_corner(corner, wall)))
        return;
    length reach =
        (length)sqrt((double)door->wide * (double)door->wide - (double)away * (double)away);
    c.wall = beside;
    c.lo = door->hinge_right ? 0 : corner->length - reach;
    c.hi = c.lo + reach;
    *vec_push(scratch, list) = c;
}

/* The same door as the room on its other side writes it itself; NULL. */
static const struct fixture *written_beyond(const struct opening *o)
{
    const struct room *other = o->here.to;
    for (uint32_t i = 0; o->beyond_known && i < other->fixtures.n; i++) {
        const struct fixture *x = &other->fixtures.at[i];
        if (x->sort == FIXTURE_DOOR && x->node != o->here.node && x->wall == o->beyond_wall &&
            x->from_left < o->beyond_left + o->here.wide && o->beyond_left < x->from_left + x->wide)
            return x;
    }
    return NULL;
}

/* The door as it hangs, seen from this room: where both rooms write it, as the one that says how it
 * swings, else as the one that is named first. */
static struct fixture as_it_hangs(const struct room *room, const struct opening *o)
{
    struct fixture door = o->here;
    const struct fixture *other = written_beyond(o);
    if (other && (door.swing_told ? false : other->swing_told || o->here.to->id < room->id)) {
        door.hinge_right = !other->hinge_right;
        door.swings_out = !other->swings_out;
    }
    return door;
}

/* So that they can be looked up. */
static void order_covers(cover_list *list)
{
    if (list->n)
        qsort(list->at, list->n, sizeof *list->at, by_place);
    for (uint32_t i = 0; i < list->n; i++) {
        struct cover *at = &list->at[i];
        bool begins = !i || at[-1].wall != at->wall;
        at->reach = begins || at[-1].reach < at->hi ? at->hi : at[-1].reach;
    }
}

static void list_covers(const struct checked *c, struct arena *scratch, const struct room *room,
                        cover_list *list)
{
    const opening_list *openings = &c->openings->of_room[room->id];
    length widest = code_length(&c->model->code, SET_OPENING_FRAMES_WIDEST_LEAF, 0);
    list->n = 0;
    for (uint32_t i = 0; i < openings->n; i++) {
        const struct opening *o = &openings->at[i];
        if (o->here.sort != FIXTURE_DOOR || o->here.sliding || o->here.wide > widest)
            continue;
        struct fixture *door = arena_new(scratch, struct fixture);
        length sill, head;
        *door = as_it_hangs(room, o);
        frame_opening_heights(c->routes->frame, room, door, &sill, &head);
        if (!door->swings_out)
            add_covers(scratch, list, room, door, head);
    }
    order_covers(list);
}

static const struct cover *cover_at(const cover_list *list, const struct place *p)
{
    uint32_t lo = 0, hi = list->n;
    while (lo < hi) {
        uint32_t mid = (lo + hi) / 2;
        const struct cover *at = &list->at[mid];
        if (at->wall < p->wall || (at->wall == p->wall && at->lo <= p->from_left))
            lo = mid + 1;
        else
            hi = mid;
    }
    while (lo-- && list->at[lo].wall == p->wall && list->at[lo].reach >= p->from_left)
        if (list->at[lo].hi >= p->from_left && p->up <= list->at[lo].head)
            return &list->at[lo];
    return NULL;
}

static bool has_switch(const struct box *box)
{
    for (uint32_t i = 0; i < box->device_count; i++)
        if (box->devices[i]->def->sort == SORT_CONTROL && box->devices[i]->def->yokes &&
            !box->devices[i]->existing)
            return true;
    return false;
}

/* Whether the room itself writes the door, and so hung. */
static bool hangs_by(const struct room *room, const struct fixture *door)
{
    for (uint32_t i = 0; i < room->fixtures.n; i++)
        if (room->fixtures.at[i].node == door->node)
            return room->fixtures.at[i].hinge_right == door->hinge_right;
    return false;
}

/* The door hung on its other side, where its leaf covers no switch then. */
static void mend_hinge(const struct checked *c, struct finding *f, const struct room *room,
                       const struct cover *cover)
{
    struct fixture *turned = arena_new(c->model->arena, struct fixture);
    cover_list covers = {0};
    *turned = *cover->door;
    turned->hinge_right = !turned->hinge_right;
    add_covers(c->model->arena, &covers, room, turned, cover->head);
    order_covers(&covers);
    bool free = hangs_by(room, cover->door) && !room->walls[turned->wall].mirrored;
    for (uint32_t i = 0; i < room->boxes.n && free; i++) {
        const struct place *p = &room->boxes.at[i]->place;
        free = !has_switch(room->boxes.at[i]) || !p->known || p->where != ON_WALL ||
               !cover_at(&covers, p);
    }
    const char *hinge = turned->hinge_right ? "hinge right" : "hinge left";
    if (free)
        edit_clause(rules_way(c, f, false, "%s", hinge), turned->node, F_HINGE, hinge);
}

RULE(switch_behind_door, "switch-behind-door", WARNING, WAIVABLE, "no open door covers a switch");

static void check_switch(const struct checked *c, const struct box *box, const cover_list *covers)
{
    struct model *m = c->model;
    const struct place *p = &box->place;
    const struct cover *cover = p->known && p->where == ON_WALL ? cover_at(covers, p) : NULL;
    if (!has_switch(box))
        return;
    looked(c, switch_behind_door);
    if (!cover)
        return;
    const struct fixture *door = cover->door;
    struct finding *f =
        box_finding(c, &rule_switch_behind_door, box,
                    "box %s is behind the leaf of the door in the %s wall where that stands open",
                    address_of_box(m->arena, box, true), box->room->walls[door->wall].name);
    diag_note(m->diag, f, node_span(door->node), "the door%s",
              door->swing_told ? "" : "; it does not say how it hangs: hinge left, swings in");
    diag_mend(m->diag, f,
              "put the switch beside the latch, or hang the door the other way: 'hinge' is left or "
              "right as one faces the door from inside its room, 'swings' in or out");
    mend_hinge(c, f, box->room, cover);
}

static void check_switches(const struct checked *c)
{
    struct model *m = c->model;
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    cover_list covers = {0};
    for (uint32_t i = 0; i < m->rooms.n; i++) {
        const struct room *room = m->rooms.at[i];
        if (!facts_known(room, ITS_TEXT | ITS_FIXED) || c->openings->in_doubt[room->id])
            continue;
        list_covers(c, &scratch, room, &covers);
        for (uint32_t k = 0; k < room->boxes.n; k++)
            if (!room->boxes.at[k]->existing &&
                facts_known(room->boxes.at[k], ITS_TEXT | ITS_PLACE))
                check_switch(c, room->boxes.at[k], &covers);
    }
    arena_free(&scratch);
}
CHECK(switch_behind_door, .plan = check_switches);
