/* The building on a plan: walls cut and filled, openings with their doors, fixed things, islands,
 * stairs, beams and ducts. */
#include "facts/rooms.h"
#include "base/buf.h"
#include "model/address.h"
#include "sheets/plans/plan.h"

#include <math.h>
#include <string.h>

enum { CUT_WALL = 0xcccccc, CONCRETE_STEP = 2000 };

static const struct pen cut = {BLACK, NO_INK, LINE_CUT, DASH_NONE},
                        edge = {BLACK, NO_INK, LINE_EDGE, DASH_NONE},
                        thin = {BLACK, NO_INK, LINE_THIN, DASH_NONE},
                        white = {NO_INK, WHITE, 0, DASH_NONE},
                        fixed = {BLACK, NO_INK, LINE_EDGE, DASH_NONE},
                        overhead = {BLACK, NO_INK, LINE_THIN, DASH_OVERHEAD};

struct plan_heading plan_heading_of(const struct wall *w)
{
    double dx = (double)(w->right.x - w->left.x), dy = (double)(w->left.y - w->right.y),
           l = hypot(dx, dy);
    if (l <= 0)
        l = 1;
    return (struct plan_heading){dx / l, dy / l, -dy / l, dx / l};
}

struct spot plan_on_wall(const struct plan_view *v, const struct wall *w, length along, um in)
{
    struct plan_heading h = plan_heading_of(w);
    double at = (double)paper_scaled(along, v->ratio);
    return (struct spot){plan_x(v, w->left.x) + llround(h.ux * at + h.nx * (double)in),
                         plan_y(v, w->left.y) + llround(h.uy * at + h.ny * (double)in)};
}

static void line_on_wall(const struct plan_view *v, const struct wall *w, length from, length to,
                         um in, struct pen pen)
{
    struct spot a = plan_on_wall(v, w, from, in), b = plan_on_wall(v, w, to, in);
    paper_line(v->s, a.x, a.y, b.x, b.y, pen);
}

/* A stretch of a wall, from `in` to `out` off its face (into the room is positive). */
static void fill_on_wall(const struct plan_view *v, const struct wall *w, length from, length to,
                         um in, um out, struct pen pen)
{
    struct spot shape[4] = {plan_on_wall(v, w, from, in), plan_on_wall(v, w, to, in),
                            plan_on_wall(v, w, to, out), plan_on_wall(v, w, from, out)};
    paper_path(v->s, shape, 4, true, pen);
}

/* From stud face to stud face; of concrete the whole. */
static length deep_wall(const struct room *room, uint32_t wall)
{
    const struct wall *w = &room->walls[wall];
    return !w->concrete && w->framing.lumber.depth > 0 ? w->framing.lumber.depth
                                                       : frame_wall_thickness(room, wall);
}

/* --- walls ------------------------------------------------------------------------------------ */

bool plan_is_outdoors(const struct plan_view *v, const struct room *room)
{
    return facts_use_in_list(v->r->model, facts_use_of_room(room), LIST_WEATHER_PLACES);
}

/* The corner of a room's walls on their outside, where two of them meet, `more` beyond it. */
static struct spot outer_corner(const struct plan_view *v, const struct room *room, uint32_t w,
                                um more)
{
    uint32_t before = w ? w - 1 : room->wall_count - 1;
    struct plan_heading a = plan_heading_of(&room->walls[before]),
                        b = plan_heading_of(&room->walls[w]);
    double ta = (double)(paper_scaled(deep_wall(room, before), v->ratio) + more),
           tb = (double)(paper_scaled(deep_wall(room, w), v->ratio) + more),
           turn = a.ux * b.uy - a.uy * b.ux;
    struct spot at = plan_spot_of(v, room->walls[w].left);
    if (fabs(turn) < 0.1) /* they go on straight */
        return (struct spot){at.x - llround(b.nx * tb), at.y - llround(b.ny * tb)};
    double x = (a.ux * tb - b.ux * ta) / turn, y = (a.uy * tb - b.uy * ta) / turn;
    return (struct spot){at.x + llround(x), at.y + llround(y)};
}

static void wall_shape(const struct plan_view *v, const struct room *room, uint32_t w,
                       struct spot shape[4])
{
    uint32_t next = w + 1 < room->wall_count ? w + 1 : 0;
    shape[0] = plan_spot_of(v, room->walls[w].left);
    shape[1] = plan_spot_of(v, room->walls[w].right);
    shape[2] = outer_corner(v, room, next, 0);
    shape[3] = outer_corner(v, room, w, 0);
}

static void outline(const struct plan_view *v, const struct room *room, struct pen pen)
{
    struct spot *corner = arena_array(v->r->arena, struct spot, room->wall_count);
    for (uint32_t w = 0; w < room->wall_count; w++)
        corner[w] = plan_spot_of(v, room->walls[w].left);
    paper_path(v->s, corner, room->wall_count, true, pen);
}

/* The room with its walls, and so much more. */
static void fill_outside(const struct plan_view *v, const struct room *room, um more, ink fill)
{
    struct spot *corner = arena_array(v->r->arena, struct spot, room->wall_count);
    for (uint32_t w = 0; w < room->wall_count; w++)
        corner[w] = outer_corner(v, room, w, more);
    paper_path(v->s, corner, room->wall_count, true, (struct pen){NO_INK, fill, 0, DASH_NONE});
}

static void hatch_concrete(const struct plan_view *v, const struct room *room)
{
    struct spot shape[4];
    for (uint32_t w = 0; w < room->wall_count; w++)
        if (room->walls[w].concrete) {
            wall_shape(v, room, w, shape);
            paper_hatch(v->s, shape, 4, CONCRETE_STEP, 45,
                        (struct pen){BLACK, NO_INK, LINE_FRAMING, DASH_NONE});
        }
}

/* All walls of a sort as one shape: black to their outer edge, then what is between the edges; the
 * rooms are cut out of it afterwards. */
static void draw_walls(const struct plan_view *v, bool existing)
{
    for (int pass = 0; pass < 3; pass++)
        for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
            const struct room *room = v->tile->rooms.at[i];
            if (room->existing != existing || plan_is_outdoors(v, room))
                continue;
            if (pass == 2)
                hatch_concrete(v, room);
            else
                fill_outside(v, room, pass ? 0 : LINE_CUT,
                             !pass      ? BLACK
                             : existing ? WHITE
                                        : CUT_WALL);
        }
}

/* The faces of its walls, and the edge of the room itself. */
static void draw_faces(const struct plan_view *v, const struct room *room)
{
    outline(v, room, thin);
    for (uint32_t w = 0; w < room->wall_count; w++) {
        struct plan_heading h = plan_heading_of(&room->walls[w]);
        struct spot a = plan_spot_of(v, room->walls[w].left),
                    b = plan_spot_of(v, room->walls[w].right);
        um x = llround(h.ux * LINE_CUT / 2), y = llround(h.uy * LINE_CUT / 2); /* no open corner */
        paper_line(v->s, a.x - x, a.y - y, b.x + x, b.y + y, cut);
    }
}

static void draw_insides(const struct plan_view *v)
{
    for (uint32_t i = 0; i < v->tile->rooms.n; i++)
        if (!plan_is_outdoors(v, v->tile->rooms.at[i]))
            outline(v, v->tile->rooms.at[i], white);
    for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
        const struct room *room = v->tile->rooms.at[i];
        paper_begin(v->s, ROLE_ROOM, address_of_room(v->r->arena, room, false), NULL);
        if (plan_is_outdoors(v, room))
            outline(v, room, (struct pen){BLACK, NO_INK, LINE_THIN, DASH_OUTDOORS});
        else
            draw_faces(v, room);
        paper_end(v->s);
    }
}

/* --- openings --------------------------------------------------------------------------------- */

static void draw_glass(const struct plan_view *v, const struct wall *w, length from, length to,
                       um thick)
{
    line_on_wall(v, w, from, to, 0, edge);
    line_on_wall(v, w, from, to, -thick, edge);
    line_on_wall(v, w, from, to, -thick / 2, thin);
}

/* A hole through the wall is one in the lines of both rooms, whichever writes it. */
static void draw_hole(const struct plan_view *v, const struct room *room, uint32_t wall,
                      const struct face *face, const struct rough_opening *o)
{
    const struct wall *w = &room->walls[wall];
    length a = frame_from_left_of(face, o->lo), b = frame_from_left_of(face, o->hi),
           left = a < b ? a : b, right = a < b ? b : a;
    um thick = paper_scaled(deep_wall(room, wall), v->ratio);
    left = left < 0 ? 0 : left;
    right = right > w->length ? w->length : right;
    if (right <= left)
        return;
    fill_on_wall(v, w, left, right, LINE_CUT, -thick - LINE_CUT - MM / 10, white);
    if (!o->jacks) {
        line_on_wall(v, w, left, right, 0, thin);
        line_on_wall(v, w, left, right, -thick, thin);
        return;
    }
    for (int end = 0; end < 2; end++) {
        struct spot p = plan_on_wall(v, w, end ? right : left, LINE_CUT / 2),
                    q = plan_on_wall(v, w, end ? right : left, -thick - LINE_CUT / 2);
        paper_line(v->s, p.x, p.y, q.x, q.y, edge);
    }
    if (o->glass)
        draw_glass(v, w, left, right, thick);
}

static void draw_holes(const struct plan_view *v, const struct room *room, uint32_t wall)
{
    const struct skeleton *frame = v->r->routes->frame;
    const struct face *face = frame_face_of(frame, room, wall);
    const struct line *l = face->line == NO_INDEX ? NULL : &frame->lines[face->line];
    const struct rough_opening *o = l ? frame_opening_from(frame, l, face->lo) : NULL;
    for (; o && o < &frame->openings[l->first_opening + l->opening_count] && o->lo < face->hi; o++)
        draw_hole(v, room, wall, face, o);
}

/* The middle of a door whose swing is drawn: a door that two rooms write is one. */
struct door {
    struct point at;
    const struct door *before; /* another one in the same square foot */
};

static struct point middle_of(const struct wall *w, const struct fixture *x)
{
    double share = w->length ? ((double)x->from_left + (double)x->wide / 2) / (double)w->length : 0;
    return (struct point){w->left.x + (length)((double)(w->right.x - w->left.x) * share),
                          w->left.y + (length)((double)(w->right.y - w->left.y) * share)};
}

/* Whether the room on the other side has filed the door: walls are less than a foot thick. */
static bool is_filed(const struct map *doors, struct point p)
{
    length x = p.x / FOOT, y = p.y / FOOT;
    for (int i = 0; i < 9; i++)
        for (const struct door *d =
                 map_get(doors, (uintptr_t)(x + i % 3 - 1), (uintptr_t)(y + i / 3 - 1));
             d; d = d->before)
            if (hypot((double)(d->at.x - p.x), (double)(d->at.y - p.y)) < (double)FOOT)
                return true;
    return false;
}

static void file_door(const struct plan_view *v, struct map *doors, struct point p)
{
    void **at = map_at(v->r->arena, doors, (uintptr_t)(p.x / FOOT), (uintptr_t)(p.y / FOOT));
    struct door *now = arena_new(v->r->arena, struct door);
    *now = (struct door){p, *at};
    *at = now;
}

static int degrees_of(double x, double y)
{
    return (int)lround(atan2(y, x) * 180 / acos(-1));
}

/* The leaf open, and the way of its edge. */
static void draw_swing(const struct plan_view *v, const struct wall *w, const struct fixture *x,
                       um thick)
{
    length at = x->hinge_right ? x->from_left + x->wide : x->from_left,
           end = x->hinge_right ? x->from_left : x->from_left + x->wide;
    um wide = paper_scaled(x->wide, v->ratio), face = x->swings_out ? -thick : 0;
    struct spot a = plan_on_wall(v, w, at, face),
                b = plan_on_wall(v, w, at, face + (x->swings_out ? -wide : wide)),
                c = plan_on_wall(v, w, end, face);
    paper_line(v->s, a.x, a.y, b.x, b.y, edge);
    int from = degrees_of((double)(b.x - a.x), (double)(b.y - a.y)),
        to = degrees_of((double)(c.x - a.x), (double)(c.y - a.y));
    bool clockwise = ((to - from) % 360 + 360) % 360 < 180;
    int first = clockwise ? from : to, last = clockwise ? to : from;
    paper_arc(v->s, a.x, a.y, wide, first, last < first ? last + 360 : last, thin);
    plan_take_line(v->taken, a, b, LINE_EDGE * 2, BY_DOOR);
    struct area turned = {a.x < b.x ? a.x : b.x, a.y < b.y ? a.y : b.y, a.x < b.x ? b.x : a.x,
                          a.y < b.y ? b.y : a.y};
    turned.left = turned.left < c.x ? turned.left : c.x;
    turned.right = turned.right > c.x ? turned.right : c.x;
    turned.top = turned.top < c.y ? turned.top : c.y;
    turned.bottom = turned.bottom > c.y ? turned.bottom : c.y;
    plan_take(v->taken, turned, BY_DOOR);
}

/* Two leaves that pass each other; the one that stays is on the side of the room. */
static void draw_sliding(const struct plan_view *v, const struct wall *w, const struct fixture *x,
                         um thick)
{
    length middle = x->from_left + x->wide / 2, over = x->wide / 20, end = x->from_left + x->wide;
    bool right = x->fixed_right;
    line_on_wall(v, w, x->from_left, middle + over, -thick * (right ? 2 : 1) / 3, edge);
    line_on_wall(v, w, middle - over, end, -thick * (right ? 1 : 2) / 3, edge);
}

static void draw_doors(const struct plan_view *v)
{
    struct map doors = {0};
    for (int told = 1; told >= 0; told--)
        for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
            const struct room *room = v->tile->rooms.at[i];
            for (uint32_t k = 0; k < room->fixtures.n; k++) {
                const struct fixture *x = &room->fixtures.at[k];
                const struct wall *w = &room->walls[x->wall];
                if (x->sort != FIXTURE_DOOR || x->swing_told != told)
                    continue;
                struct point at = middle_of(w, x);
                if (is_filed(&doors, at))
                    continue;
                file_door(v, &doors, at);
                um thick = paper_scaled(deep_wall(room, x->wall), v->ratio);
                if (x->sliding)
                    draw_sliding(v, w, x, thick);
                else
                    draw_swing(v, w, x, thick);
            }
        }
}

/* --- fixed things ----------------------------------------------------------------------------- */

/* Words that are to stand in an area, in what of it is on the sheet, once it is known what else
 * does. */
static void word_in(struct plan_view *v, const struct room *room, struct area a, const char *words)
{
    struct area f = v->tile->field;
    if (!area_meets(a, f))
        return;
    a = (struct area){a.left < f.left ? f.left : a.left, a.top < f.top ? f.top : a.top,
                      a.right > f.right ? f.right : a.right,
                      a.bottom > f.bottom ? f.bottom : a.bottom};
    *vec_push(v->r->arena, &v->wishes) = (struct plan_wish){a, words, room};
}

/* Along the longer side of the area, in its middle or nearer to an end, where they are on nothing.
 */
static bool write_wish(const struct plan_view *v, const struct plan_wish *wish)
{
    static const int shares[] = {50, 30, 70, 20, 80, 10, 90};
    struct lettering l = {.caps = CAPS_NOTE, .anchor = AT_MIDDLE};
    struct area a = wish->area;
    um wide = paper_text_width(v->s, l, wish->words);
    bool upright = a.bottom - a.top > a.right - a.left;
    um along = upright ? a.bottom - a.top : a.right - a.left,
       across = upright ? a.right - a.left : a.bottom - a.top, spare = along - wide - MM;
    if (spare < 0 || CAPS_NOTE + MM / 2 > across)
        return false;
    l.degrees = upright ? -90 : 0;
    for (size_t i = 0; i < 3 * sizeof shares / sizeof *shares; i++) {
        um at = MM / 2 + wide / 2 + spare * shares[i / 3] / 100,
           side = across * (2 + (int)(i % 3 == 2) * 1 - (int)(i % 3 == 1)) / 4,
           x = a.left + (upright ? side : at), y = a.top + (upright ? at : side),
           half = CAPS_NOTE / 2 + MM / 4;
        struct area taken = upright ? (struct area){x - half, y - wide / 2, x + half, y + wide / 2}
                                    : (struct area){x - wide / 2, y - half, x + wide / 2, y + half};
        if (plan_meets(v->taken, taken, BY_WALL | BY_WORDS | BY_SIGN | BY_STEM | BY_LINE | BY_EDGE))
            continue;
        plan_take(v->taken, taken, BY_WORDS);
        paper_text(v->s, upright ? x + CAPS_NOTE / 2 : x, upright ? y : y + CAPS_NOTE / 2, l,
                   wish->words);
        return true;
    }
    return false;
}

/* What found no room for its name, room by room. */
static void list_unnamed(struct plan_view *v, const struct plan_wish *unnamed, uint32_t count)
{
    struct arena *arena = v->r->arena;
    if (count)
        plan_list(v, true, "Fixed things too small for their names");
    for (uint32_t i = 0, end; i < count; i = end) {
        const struct room *room = unnamed[i].room;
        struct buf b = {0};
        buf_puts(&b, room ? plan_room_name(v, room) : "overhead");
        for (end = i; end < count && unnamed[end].room == room; end++)
            buf_printf(&b, "%s%s", end > i ? ", " : ": ", unnamed[end].words);
        plan_list(v, false, arena_printf(arena, "%s", buf_text(&b)));
        buf_free(&b);
    }
}

void plan_write_wishes(struct plan_view *v)
{
    struct plan_wish *unnamed = arena_array(v->r->arena, struct plan_wish, (size_t)v->wishes.n + 1);
    uint32_t count = 0;
    paper_begin(v->s, ROLE_NOTE, NULL, NULL);
    for (uint32_t i = 0; i < v->wishes.n; i++)
        if (!write_wish(v, &v->wishes.at[i]))
            unnamed[count++] = v->wishes.at[i];
    paper_end(v->s);
    list_unnamed(v, unnamed, count);
}

static void take_edges(const struct plan_view *v, const struct spot shape[4])
{
    for (int i = 0; i < 4; i++)
        plan_take_line(v->taken, shape[i], shape[(i + 1) % 4], LINE_EDGE, BY_EDGE);
}

static length deep_of(const struct plan_view *v, const struct fixture *x)
{
    if (x->deep > 0)
        return x->deep;
    if (x->out > 0)
        return x->out;
    return code_cell_length(&v->r->model->code, COL_FIXED_THINGS_DEEP, x->word, 0);
}

static void draw_fixed(struct plan_view *v, const struct room *room, const struct fixture *x)
{
    const struct wall *w = &room->walls[x->wall];
    length end = x->from_left + x->wide, deep = deep_of(v, x);
    um in = deep > 0 ? paper_scaled(deep, v->ratio) : 2 * MM;
    if (x->form == F_WET_WALL || x->form == F_RAILING)
        return;
    struct spot shape[4] = {plan_on_wall(v, w, x->from_left, 0), plan_on_wall(v, w, end, 0),
                            plan_on_wall(v, w, end, in), plan_on_wall(v, w, x->from_left, in)};
    paper_path(v->s, shape, 4, true, x->form == F_CABINET ? overhead : fixed);
    word_in(v, room, area_round(shape, 4), x->title ? x->title : x->word);
    plan_take(v->taken, area_round(shape, 4), BY_THING);
    take_edges(v, shape);
}

static struct area area_between(const struct plan_view *v, struct point low, struct point high)
{
    return (struct area){plan_x(v, low.x), plan_y(v, high.y), plan_x(v, high.x), plan_y(v, low.y)};
}

static void draw_islands(struct plan_view *v, const struct room *room)
{
    for (uint32_t i = 0; i < room->islands.n; i++) {
        const struct island *x = &room->islands.at[i];
        struct area a = area_between(v, x->low, x->high);
        paper_rect(v->s, a, 0, fixed);
        word_in(v, room, a, x->title ? x->title : "island");
        plan_take(v->taken, a, BY_THING);
    }
}

/* An opening in floor or ceiling: crossed. */
static void draw_shaft(struct plan_view *v, const struct room *room, const struct chase *c,
                       const char *words)
{
    struct area a = area_between(v, c->low, c->high);
    paper_rect(v->s, a, 0, overhead);
    paper_line(v->s, a.left, a.top, a.right, a.bottom, thin);
    paper_line(v->s, a.left, a.bottom, a.right, a.top, thin);
    word_in(v, room, (struct area){a.left, a.top, a.right, (a.top + a.bottom) / 2}, words);
}

static void draw_areas(struct plan_view *v, const struct room *room)
{
    for (uint32_t i = 0; i < room->areas.n; i++) {
        struct area a = area_between(v, room->areas.at[i].low, room->areas.at[i].high);
        paper_rect(v->s, a, 0, (struct pen){BLACK, NO_INK, LINE_FRAMING, DASH_BEHIND});
        word_in(v, room, (struct area){a.left, a.bottom - 3 * MM, a.right, a.bottom},
                room->areas.at[i].kind->title ? room->areas.at[i].kind->title
                                              : room->areas.at[i].kind->name);
    }
}

static void draw_bulk(struct plan_view *v, const struct bulk *k)
{
    double dx = (double)(k->to.x - k->from.x), dy = (double)(k->to.y - k->from.y),
           all = hypot(dx, dy), half = all > 0 ? (double)k->wide / 2 / all : 0;
    length ox = llround(-dy * half), oy = llround(dx * half);
    const struct point ends[] = {{k->from.x + ox, k->from.y + oy},
                                 {k->to.x + ox, k->to.y + oy},
                                 {k->to.x - ox, k->to.y - oy},
                                 {k->from.x - ox, k->from.y - oy}};
    struct spot corner[4];
    for (int i = 0; i < 4; i++)
        corner[i] = plan_spot_of(v, ends[i]);
    paper_path(v->s, corner, 4, true, overhead);
    take_edges(v, corner);
    word_in(v, k->room, area_round(corner, 4), k->title ? k->title : k->word);
    plan_take(v->taken, area_round(corner, 4), BY_THING);
}

/* --- all of it -------------------------------------------------------------------------------- */

static void take_walls(const struct plan_view *v, const struct room *room)
{
    for (uint32_t w = 0; w < room->wall_count; w++)
        plan_take_line(v->taken, plan_spot_of(v, room->walls[w].left),
                       plan_spot_of(v, room->walls[w].right), LINE_CUT + 200, BY_WALL);
}

static void draw_keys(const struct plan_view *v)
{
    bool beam = v->tile->bulks.n != 0, outdoors = false;
    for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
        const struct room *room = v->tile->rooms.at[i];
        outdoors |= plan_is_outdoors(v, room);
        beam |= room->chases.n || room->scuttles.n;
    }
    if (outdoors)
        page_key_line(v->page, DASH_OUTDOORS, LINE_THIN, "edge of what lies outdoors");
    if (beam)
        page_key_line(v->page, DASH_OVERHEAD, LINE_THIN, "overhead");
}

void plan_draw_building(struct plan_view *v)
{
    paper_begin(v->s, ROLE_PLAIN, NULL, NULL);
    draw_walls(v, true);
    draw_walls(v, false);
    draw_insides(v);
    for (uint32_t i = 0; i < v->tile->rooms.n; i++)
        for (uint32_t w = 0; w < v->tile->rooms.at[i]->wall_count; w++)
            draw_holes(v, v->tile->rooms.at[i], w);
    paper_end(v->s);
    paper_begin(v->s, ROLE_FIXED, NULL, NULL);
    draw_doors(v);
    for (uint32_t i = 0; i < v->tile->rooms.n; i++)
        take_walls(v, v->tile->rooms.at[i]);
    for (uint32_t i = 0; i < v->tile->rooms.n; i++) {
        const struct room *room = v->tile->rooms.at[i];
        draw_areas(v, room);
        for (uint32_t k = 0; k < room->fixtures.n; k++)
            if (room->fixtures.at[k].sort == FIXTURE_OTHER)
                draw_fixed(v, room, &room->fixtures.at[k]);
        draw_islands(v, room);
        for (uint32_t k = 0; k < room->chases.n; k++)
            draw_shaft(v, room, &room->chases.at[k], "chase");
        for (uint32_t k = 0; k < room->scuttles.n; k++)
            draw_shaft(v, room, &room->scuttles.at[k], "scuttle");
    }
    for (uint32_t i = 0; i < v->tile->bulks.n; i++)
        draw_bulk(v, v->tile->bulks.at[i]);
    paper_end(v->s);
    draw_keys(v);
}
