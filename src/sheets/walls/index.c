#include "emit/views.h"
#include "emit/words/places.h"
#include "facts/facts.h"
#include "model/address.h"
#include "sheets/walls/wall.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

static uint32_t face_index(const struct wall_index *index, const struct face *face)
{
    return (uint32_t)(face - index->r->routes->frame->faces);
}

/* The faces of a line that may show what lies between two places of it, an inch more for slanted
 * walls: the first one's index in frame.placed, and where they end. */
static uint32_t faces_along(const struct skeleton *f, const struct line *l, length a, length b,
                            uint32_t *end)
{
    length lo = (a < b ? a : b) - INCH, hi = (a < b ? b : a) + INCH;
    uint32_t low = l->first_face, high = l->first_face + l->face_count;
    while (low < high) {
        uint32_t middle = (low + high) / 2;
        if (f->reach[middle] >= lo)
            high = middle;
        else
            low = middle + 1;
    }
    for (*end = low; *end < l->first_face + l->face_count && f->placed[*end]->lo <= hi;)
        ++*end;
    return low;
}

static void file_piece(struct wall_index *index, const struct line *l, const struct run *run,
                       const struct segment *s)
{
    const struct skeleton *f = index->r->routes->frame;
    length from = frame_line_place(l, (struct point){s->from.x, s->from.y}),
           to = frame_line_place(l, (struct point){s->to.x, s->to.y});
    uint32_t end;
    for (uint32_t i = faces_along(f, l, from, to, &end); i < end; i++)
        *vec_push(index->r->arena, &index->pieces[face_index(index, f->placed[i])]) =
            (struct wall_piece){run, s};
}

static void file_bore(struct wall_index *index, const struct line *l, const struct bore *b)
{
    const struct skeleton *f = index->r->routes->frame;
    struct place3 p = bore_member(index->r->bores, b).at;
    length at = frame_line_place(l, (struct point){p.x, p.y});
    uint32_t end;
    for (uint32_t i = faces_along(f, l, at, at, &end); i < end; i++)
        *vec_push(index->r->arena, &index->bores[face_index(index, f->placed[i])]) = b;
}

static void file_ways(struct wall_index *index)
{
    const struct results *r = index->r;
    const struct skeleton *f = r->routes->frame;
    for (uint32_t i = 0; i < r->model->runs.n; i++) {
        const struct route *route = &r->routes->of_run[i];
        for (uint32_t k = 0; route->known && k < route->segment_count; k++) {
            const struct segment *s = &route->segments[k];
            if ((s->kind != IN_BAY && s->kind != THROUGH_STUDS) || !s->room)
                continue;
            uint32_t line = frame_face_of(f, s->room, s->wall)->line;
            if (line != NO_INDEX)
                file_piece(index, &f->lines[line], r->model->runs.at[i], s);
        }
    }
    for (uint32_t i = 0; i < r->bores->list.n; i++) {
        uint32_t line = r->bores->list.at[i].members->line;
        if (line != NO_INDEX)
            file_bore(index, &f->lines[line], &r->bores->list.at[i]);
    }
}

static void file_thing(struct arena *arena, struct map *map, const struct room *room,
                       struct wall_thing t)
{
    wall_things **list = (wall_things **)map_at(arena, map, 0, (uintptr_t)room);
    if (!*list)
        *list = arena_new(arena, wall_things);
    *vec_push(arena, *list) = t;
}

static void box_size(const struct wall_index *index, struct wall_thing *t)
{
    const struct box *b = t->box;
    const struct fill *fill = b->goes ? NULL : &index->r->wiring->of_box[b->id];
    const struct box_type *type = b->declared ? b->declared : fill ? fill->type : NULL;
    unsigned gangs = type ? type->gangs : fill && fill->gangs ? fill->gangs : b->gangs;
    if (!type && !gangs)
        gangs = 1;
    t->round = !gangs;
    t->high = gangs ? index->box_height : index->round_wide;
    t->wide = gangs ? index->first_gang + (length)(gangs - 1) * index->gang : index->round_wide;
}

static void file_panels(struct wall_index *index)
{
    const struct results *r = index->r;
    for (uint32_t i = 0; i < r->model->panels.n; i++) {
        const struct panel *p = r->model->panels.at[i];
        if (p->room && facts_known(p, ITS_TEXT))
            file_thing(r->arena, &index->panels, p->room,
                       (struct wall_thing){.panel = p,
                                           .place = view_place_of_panel(r, p),
                                           .name = p->name,
                                           .wide = index->panel_wide,
                                           .high = index->panel_high,
                                           .existing = p->existing});
    }
    for (uint32_t i = 0; i < r->model->gone.boxes.n; i++) {
        const struct box *b = r->model->gone.boxes.at[i];
        struct wall_thing t = {
            .box = b, .place = &b->place, .name = b->name, .existing = true, .goes = true};
        box_size(index, &t);
        if (b->place.known)
            file_thing(r->arena, &index->gone, b->room, t);
    }
}

struct wall_index *wall_index_make(const struct results *r)
{
    struct code *code = &r->model->code;
    struct wall_index *index = arena_new(r->arena, struct wall_index);
    uint32_t faces = 1;
    for (uint32_t i = 0; i < r->model->rooms.n; i++)
        faces += r->model->rooms.at[i]->wall_count;
    *index = (struct wall_index){
        .r = r,
        .pieces = arena_array(r->arena, wall_pieces, faces),
        .bores = arena_array(r->arena, wall_bores, faces),
        .gang = code_length(code, SET_BOX_SPACE_GANG_WIDTH, 0),
        .first_gang = code_length(code, SET_BOX_SPACE_FIRST_GANG_WIDTH, 0),
        .box_height = code_length(code, SET_BOX_SPACE_BOX_HEIGHT, 0),
        .round_wide = code_length(code, SET_BOX_SPACE_ROUND_WIDTH, 0),
        .panel_wide = code_length(code, SET_BOX_SPACE_PANEL_WIDTH, 0),
        .panel_high = code_length(code, SET_BOX_SPACE_PANEL_HEIGHT, 0),
        .top_plates = (int64_t)code_count(code, SET_PLAN_DEFAULTS_TOP_PLATES, 1),
    };
    file_ways(index);
    file_panels(index);
    return index;
}

/* --- what stands on a wall ---------------------------------------------------------------- */

static bool on_wall(const struct place *p, uint32_t wall)
{
    return p->where == ON_WALL && p->wall == wall;
}

static void add_filed(struct arena *arena, const wall_things *filed, uint32_t wall,
                      wall_things *list)
{
    for (uint32_t i = 0; filed && i < filed->n; i++)
        if (on_wall(filed->at[i].place, wall))
            *vec_push(arena, list) = filed->at[i];
}

static int by_left(const void *va, const void *vb)
{
    const struct wall_thing *a = va, *b = vb;
    if (a->place->from_left != b->place->from_left)
        return a->place->from_left < b->place->from_left ? -1 : 1;
    if (a->place->up != b->place->up)
        return a->place->up < b->place->up ? -1 : 1;
    return strcmp(a->name, b->name);
}

const char *wall_thing_address(const struct wall_index *index, const struct wall_thing *t)
{
    return t->box && !t->goes ? view_of_box(index->r, t->box)->address
           : t->box           ? address_of_box(index->r->arena, t->box, false)
                              : address_of_panel(index->r->arena, t->panel, false);
}

static void find_things(struct wall_view *v)
{
    struct arena *arena = v->index->r->arena;
    for (uint32_t i = 0; i < v->room->boxes.n; i++) {
        const struct box *b = v->room->boxes.at[i];
        struct wall_thing t = {.box = b,
                               .place = view_place_of_box(v->index->r, b),
                               .name = b->name,
                               .existing = b->existing};
        if (!facts_known(b, ITS_TEXT) || !on_wall(&b->place, v->number))
            continue;
        box_size(v->index, &t);
        *vec_push(arena, &v->things) = t;
    }
    add_filed(arena, map_get(&v->index->panels, 0, (uintptr_t)v->room), v->number, &v->things);
    add_filed(arena, map_get(&v->index->gone, 0, (uintptr_t)v->room), v->number, &v->things);
    if (v->things.n)
        qsort(v->things.at, v->things.n, sizeof *v->things.at, by_left);
}

/* The thing as it is seen from the view's side of the wall. */
static bool seen_from_here(const struct wall_view *v, const struct room *room, struct wall_thing *t)
{
    struct arena *arena = v->index->r->arena;
    struct place *place = arena_new(arena, struct place);
    struct place3 at = t->place->at;
    *place = *t->place;
    place->from_left =
        frame_from_left_of(v->face, frame_line_place(v->line, (struct point){at.x, at.y}));
    place->up = at.z - v->room->level->floor;
    t->place = place;
    t->name = arena_printf(arena, "%s %s",
                           room->unit != v->room->unit ? words_room(arena, room)
                           : room->title               ? room->title
                                                       : room->name,
                           t->name);
    return place->from_left >= 0 && place->from_left <= v->wall->length && !t->goes;
}

static void find_behind(struct wall_view *v)
{
    const struct skeleton *f = v->index->r->routes->frame;
    for (uint32_t i = 0; v->line && i < v->line->face_count; i++) {
        const struct face *face = f->placed[v->line->first_face + i];
        if (face->room == v->room || face->forward == v->face->forward ||
            face->room->level != v->room->level || face->lo >= v->face->hi ||
            face->hi <= v->face->lo || !facts_is_built(face->room->unit))
            continue;
        struct wall_view other = {.index = v->index, .room = face->room, .number = face->wall};
        find_things(&other);
        for (uint32_t k = 0; k < other.things.n; k++)
            if (seen_from_here(v, face->room, &other.things.at[k]))
                *vec_push(v->index->r->arena, &v->behind) = other.things.at[k];
    }
}

struct wall_view wall_view_of(const struct wall_index *index, struct set *set,
                              const struct room *room, uint32_t wall)
{
    const struct skeleton *f = index->r->routes->frame;
    struct wall_view v = {.index = index,
                          .set = set,
                          .room = room,
                          .wall = &room->walls[wall],
                          .hi = room->walls[wall].length,
                          .number = wall,
                          .face = frame_face_of(f, room, wall)};
    v.line = v.face->line == NO_INDEX ? NULL : &f->lines[v.face->line];
    find_things(&v);
    find_behind(&v);
    return v;
}

static wall_things seen_of(const struct wall_view *v, const wall_things *list)
{
    wall_things seen = {0};
    for (uint32_t i = 0; i < list->n; i++)
        if (wall_sees(v, list->at[i].place->from_left))
            *vec_push(v->index->r->arena, &seen) = list->at[i];
    return seen;
}

struct wall_view wall_view_part(const struct wall_view *whole, length lo, length hi)
{
    struct wall_view v = *whole;
    v.lo = lo;
    v.hi = hi;
    v.things = seen_of(&v, &whole->things);
    v.behind = seen_of(&v, &whole->behind);
    return v;
}

bool wall_has_things(const struct wall_index *index, const struct room *room, uint32_t wall)
{
    const struct face *face = frame_face_of(index->r->routes->frame, room, wall);
    wall_things list = {0};
    if (face->line != NO_INDEX &&
        (index->pieces[face_index(index, face)].n || index->bores[face_index(index, face)].n))
        return true;
    for (uint32_t i = 0; i < room->boxes.n; i++)
        if (on_wall(&room->boxes.at[i]->place, wall))
            return true;
    add_filed(index->r->arena, map_get(&index->panels, 0, (uintptr_t)room), wall, &list);
    add_filed(index->r->arena, map_get(&index->gone, 0, (uintptr_t)room), wall, &list);
    return list.n > 0;
}

struct area wall_thing_area(const struct wall_view *v, const struct wall_thing *t)
{
    um x = wall_x(v, t->place->from_left), y = wall_y(v, t->place->up),
       wide = paper_scaled(t->wide, v->ratio), high = paper_scaled(t->high, v->ratio);
    return (struct area){x - wide / 2, y - high / 2, x + wide - wide / 2, y + high - high / 2};
}
