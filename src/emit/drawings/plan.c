/* The floor plan, a level a sheet, to scale: walls with their openings, boxes with their symbols,
 * switch legs dashed, home runs with arrows. What has one place (walls, symbols, arrows) is drawn
 * first and takes it; words are put where there is room afterwards. */
#include "emit/drawings/plan.h"

#include "emit/drawings/plan_symbols.h"
#include "emit/drawings/sheet.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "facts/devices.h"
#include "facts/existing.h"
#include "facts/facts.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "wiring/protect.h"

#include <math.h>
#include <string.h>

enum {
    MARGIN = 46 * POINT,
    HEAD = 74 * POINT,
    FOOT_ROOM = 140 * POINT,
    LEGEND_LEFT = 356 * POINT,
    LEGEND_COLUMN = 124 * POINT,
    LEGEND_ROW = 15 * POINT,
    LEGEND_TOP = 34 * POINT
};

/* A point of the paper. */
struct spot {
    coord x, y;
};

/* An arrow of a home run that wants its circuit written at its tip. */
struct arrow {
    const struct circuit *circuit;
    struct spot tip;
};

/* The middle of a door whose swing is drawn: a door that two rooms write is one. */
struct door {
    struct point at;
    const struct door *before; /* another one in the same square foot */
};

struct floor {
    const struct results *r;
    const struct level *level;
    const struct protected *protected;
    struct sheet sheet;
    struct scale scale;
    struct point low, high; /* of what is drawn, on the site */
    coord left, top;
    VEC(struct symbol) used;
    struct map doors;  /* (foot to the east + 1, foot to the north) -> struct door, the last one
                          whose swing is drawn there */
    struct map swings; /* (0, fixture) -> struct door: those whose swings are drawn */
    VEC(struct arrow) arrows;
    struct map seen; /* symbols in the legend, by shape and words */
    coord foot;      /* room below the plan for the scale and the legend */
};

static const double degree = 3.14159265358979323846 / 180;

/* The angle of a direction on paper, clockwise from the x axis. */
static int degrees(double x, double y)
{
    return (int)lround(atan2(y, x) / degree);
}

static struct area around(coord x, coord y, coord reach)
{
    return (struct area){x - reach, y - reach, x + reach, y + reach};
}

/* --- paper -------------------------------------------------------------------------------- */

static coord on_x(const struct floor *f, length x)
{
    return f->left + sheet_scaled(f->scale, x - f->low.x);
}

static coord on_y(const struct floor *f, length y)
{
    return f->top + sheet_scaled(f->scale, f->high.y - y);
}

static bool drawn_room(const struct floor *f, const struct room *room)
{
    return room->level == f->level && facts_is_built(room->unit) && room->wall_count &&
           (!f->r->only_room || f->r->only_room == room);
}

static bool drawn_box(const struct floor *f, const struct box *b)
{
    bool wanted = !f->r->only_circuit;
    for (uint32_t i = 0; i < b->runs.n; i++)
        wanted |= b->runs.at[i]->circuit == f->r->only_circuit;
    return wanted && drawn_room(f, b->room) && facts_known(b, ITS_TEXT);
}

bool plan_is_drawn(const struct box *b)
{
    return b->room->level && b->room->wall_count && facts_is_built(b->room->unit) &&
           facts_known(b, ITS_TEXT);
}

static bool measure(struct floor *f)
{
    bool any = false;
    for (uint32_t i = 0; i < f->r->model->rooms.n; i++) {
        const struct room *r = f->r->model->rooms.at[i];
        if (!drawn_room(f, r))
            continue;
        f->low.x = !any || r->low.x < f->low.x ? r->low.x : f->low.x;
        f->low.y = !any || r->low.y < f->low.y ? r->low.y : f->low.y;
        f->high.x = !any || r->high.x > f->high.x ? r->high.x : f->high.x;
        f->high.y = !any || r->high.y > f->high.y ? r->high.y : f->high.y;
        any = true;
    }
    return any;
}

/* A box has a symbol for each device, side by side; a box without devices has one too. */
static uint32_t symbol_count(const struct box *b)
{
    return b->device_count ? b->device_count : 1;
}

static struct symbol symbol_at(const struct floor *f, const struct box *b, uint32_t i)
{
    return symbol_of(f->r, b->device_count ? b->devices[i] : NULL);
}

/* An old box that is opened for new cable: it was closed work until now. */
static bool is_joined(const struct box *b)
{
    return b->existing && facts_gets_cable(b, NULL);
}

static bool drawn_gone_box(const struct floor *f, const struct box *b)
{
    return !f->r->only_circuit && drawn_room(f, b->room) && b->place.known;
}

static bool end_is_drawn(const struct floor *f, struct end e)
{
    const struct room *room = facts_room_of_end(e);
    const struct place *p = e.box ? &e.box->place : e.panel ? &e.panel->place : NULL;
    return room && drawn_room(f, room) && p->known;
}

static bool drawn_gone_run(const struct floor *f, const struct run *run)
{
    return !f->r->only_circuit && end_is_drawn(f, run->from) && end_is_drawn(f, run->to);
}

static void collect_gone(struct floor *f)
{
    const struct model *m = f->r->model;
    bool box = false, run = false;
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        box |= drawn_gone_box(f, m->gone.boxes.at[i]);
    for (uint32_t i = 0; i < m->gone.runs.n; i++)
        run |= drawn_gone_run(f, m->gone.runs.at[i]);
    if (box)
        *vec_push(f->r->arena, &f->used) = (struct symbol){SHAPE_GOES, "", "box that goes"};
    if (run)
        *vec_push(f->r->arena, &f->used) =
            (struct symbol){SHAPE_GOING_CABLE, "", "cable that goes or stays dead"};
}

/* What the legend has to explain. */
static void collect_symbols(struct floor *f)
{
    bool joined = false;
    for (uint32_t i = 0; i < f->r->model->boxes.n; i++) {
        const struct box *b = f->r->model->boxes.at[i];
        for (uint32_t k = 0; k < symbol_count(b) && drawn_box(f, b); k++) {
            struct symbol s = symbol_at(f, b, k);
            void **at =
                map_at(f->r->arena, &f->seen, (uintptr_t)names_of(f->r->model->names, s.words), 1);
            if (!*at)
                *vec_push(f->r->arena, &f->used) = s;
            *at = f;
        }
        joined |= drawn_box(f, b) && is_joined(b);
    }
    if (joined)
        *vec_push(f->r->arena, &f->used) =
            (struct symbol){SHAPE_JOINED, "", "existing box that new cable joins"};
    collect_gone(f);
}

static uint32_t legend_columns(coord width)
{
    coord columns = (width - LEGEND_LEFT - MARGIN) / LEGEND_COLUMN;
    return columns < 1 ? 1 : (uint32_t)columns;
}

static coord foot_room(const struct floor *f, coord width)
{
    uint32_t columns = legend_columns(width);
    coord legend =
        (coord)((f->used.n + columns - 1) / columns) * LEGEND_ROW + LEGEND_TOP + LEGEND_ROW;
    return legend > FOOT_ROOM ? legend : FOOT_ROOM;
}

/* 1/4" to the foot on letter or tabloid, else smaller until it fits; letter and tabloid lie on
 * their long side. */
static void choose_scale(struct floor *f, coord *width, coord *height)
{
    static const struct scale scales[] = {{1, 4}, {1, 8}, {1, 16}, {1, 32}, {1, 64}};
    static const coord pages[][2] = {{792 * POINT, 612 * POINT}, {1224 * POINT, 792 * POINT}};
    for (size_t s = 0; s < sizeof scales / sizeof *scales; s++) {
        for (int p = 0; p < 2; p++) {
            f->scale = scales[s];
            *width = pages[p][0];
            *height = pages[p][1];
            f->foot = foot_room(f, *width);
            if (sheet_scaled(f->scale, f->high.x - f->low.x) <= *width - 2 * MARGIN &&
                sheet_scaled(f->scale, f->high.y - f->low.y) <= *height - HEAD - f->foot)
                return;
        }
    }
    *width = sheet_scaled(f->scale, f->high.x - f->low.x) + 2 * MARGIN;
    *height = sheet_scaled(f->scale, f->high.y - f->low.y) + HEAD + f->foot;
}

/* What is needed to lay out the sheet of a level; false where there is nothing to draw. */
static bool lay_out(struct floor *f, const struct results *r, const struct level *level,
                    coord *width, coord *height)
{
    *f = (struct floor){.r = r, .level = level};
    if (!measure(f))
        return false;
    collect_symbols(f);
    choose_scale(f, width, height);
    return true;
}

bool plan_scale(const struct results *r, const struct level *level, struct scale *scale)
{
    struct floor f;
    coord width, height;
    if (!lay_out(&f, r, level, &width, &height))
        return false;
    *scale = f.scale;
    return true;
}

struct heading {
    double ux, uy, nx, ny; /* along the wall and into the room, y down the paper */
};

static struct heading heading_of(const struct wall *w)
{
    double dx = (double)(w->right.x - w->left.x), dy = (double)(w->left.y - w->right.y),
           l = hypot(dx, dy);
    if (l <= 0)
        l = 1;
    return (struct heading){dx / l, dy / l, -dy / l, dx / l};
}

/* A point of a wall, `in` off it into the room. */
static struct spot on_wall(const struct floor *f, const struct wall *w, length along, coord in)
{
    struct heading h = heading_of(w);
    double at = (double)sheet_scaled(f->scale, along);
    return (struct spot){on_x(f, w->left.x) + (coord)lround(h.ux * at + h.nx * in),
                         on_y(f, w->left.y) + (coord)lround(h.uy * at + h.ny * in)};
}

static void line_on_wall(const struct floor *f, const struct wall *w, length from, length to,
                         coord in, struct pen pen)
{
    struct spot a = on_wall(f, w, from, in), b = on_wall(f, w, to, in);
    canvas_line(f->sheet.c, a.x, a.y, b.x, b.y, pen);
}

/* A line as a row of small squares, since it may slant: how many there are beyond the first, and
 * each of them. */
static int squares_of(struct spot a, struct spot b, coord reach)
{
    return (int)(hypot((double)(b.x - a.x), (double)(b.y - a.y)) / (2 * reach)) + 1;
}

static struct area square_of(struct spot a, struct spot b, coord reach, int i)
{
    double t = (double)i / squares_of(a, b, reach);
    return around((coord)lround(a.x + t * (b.x - a.x)), (coord)lround(a.y + t * (b.y - a.y)),
                  reach);
}

/* Nothing is written on the line. */
static void take_line(struct floor *f, struct spot a, struct spot b, coord reach)
{
    for (int i = 0; i <= squares_of(a, b, reach); i++)
        sheet_take(&f->sheet, square_of(a, b, reach, i));
}

static bool line_is_free(const struct floor *f, struct spot a, struct spot b, coord reach)
{
    for (int i = 0; i <= squares_of(a, b, reach); i++)
        if (!sheet_is_free(&f->sheet, square_of(a, b, reach, i)))
            return false;
    return true;
}

/* --- rooms -------------------------------------------------------------------------------- */

/* Files the swing of a door that is to be drawn, unless the room on its other side has filed it:
 * walls are less than a foot thick. */
static void file_door(struct floor *f, const struct wall *w, const struct fixture *door)
{
    double share =
        w->length ? ((double)door->from_left + (double)door->wide / 2) / (double)w->length : 0;
    struct point p = {w->left.x + (length)((double)(w->right.x - w->left.x) * share),
                      w->left.y + (length)((double)(w->right.y - w->left.y) * share)};
    length x = p.x / FOOT,
           y = p.y / FOOT; /* those within a foot stand in this square foot or in one beside it */
    for (int i = 0; i < 9; i++)
        for (const struct door *d =
                 map_get(&f->doors, (uintptr_t)(x + i % 3), (uintptr_t)(y + i / 3 - 1));
             d; d = d->before)
            if (hypot((double)(d->at.x - p.x), (double)(d->at.y - p.y)) < (double)FOOT)
                return;
    void **at = map_at(f->r->arena, &f->doors, (uintptr_t)(x + 1), (uintptr_t)y);
    struct door *now = arena_new(f->r->arena, struct door);
    *now = (struct door){p, *at};
    *at = now;
    map_put(f->r->arena, &f->swings, 0, (uintptr_t)door, now);
}

/* Of a door that two rooms write, the first one that says how it swings is drawn, else the first.
 */
static void file_doors(struct floor *f)
{
    for (int told = 1; told >= 0; told--)
        for (uint32_t i = 0; i < f->r->model->rooms.n; i++) {
            const struct room *room = f->r->model->rooms.at[i];
            for (uint32_t k = 0; drawn_room(f, room) && k < room->fixtures.n; k++) {
                const struct fixture *x = &room->fixtures.at[k];
                if (x->sort == FIXTURE_DOOR && !x->sliding && x->swing_told == told)
                    file_door(f, &room->walls[x->wall], x);
            }
        }
}

static void draw_swing(struct floor *f, const struct wall *w, const struct fixture *x)
{
    if (!map_get(&f->swings, 0, (uintptr_t)x))
        return;
    static const struct pen thin = {"black", NULL, POINT / 2, NULL};
    length at = x->hinge_right ? x->from_left + x->wide : x->from_left,
           end = x->hinge_right ? x->from_left : x->from_left + x->wide;
    coord wide = sheet_scaled(f->scale, x->wide);
    struct spot a = on_wall(f, w, at, 0), b = on_wall(f, w, at, x->swings_out ? -wide : wide),
                c = on_wall(f, w, end, 0);
    canvas_line(f->sheet.c, a.x, a.y, b.x, b.y, thin);
    int from = degrees(b.x - a.x, b.y - a.y), to = degrees(c.x - a.x, c.y - a.y);
    bool clockwise = ((to - from) % 360 + 360) % 360 < 180;
    canvas_arc(f->sheet.c, a.x, a.y, wide, clockwise ? from : to, clockwise ? to : from, thin);
}

static void draw_fixture(struct floor *f, const struct room *room, const struct fixture *x)
{
    static const struct pen gap = {"white", NULL, 5 * POINT, NULL},
                            glass = {"black", NULL, 6 * POINT / 10, NULL},
                            dashed = {"black", NULL, POINT / 2, "3 2"};
    const struct wall *w = &room->walls[x->wall];
    length end = x->from_left + x->wide;
    if (x->sort != FIXTURE_OTHER)
        line_on_wall(f, w, x->from_left, end, 0, gap);
    if (x->sort == FIXTURE_WINDOW || (x->sort == FIXTURE_DOOR && x->sliding)) {
        line_on_wall(f, w, x->from_left, end, POINT, glass);
        line_on_wall(f, w, x->from_left, end, -POINT, glass);
    } else if (x->sort == FIXTURE_DOOR) {
        draw_swing(f, w, x);
    } else if (x->sort == FIXTURE_OTHER && x->form != F_WET_WALL) {
        line_on_wall(f, w, x->from_left, end,
                     x->deep > 0 ? sheet_scaled(f->scale, x->deep) : 4 * POINT, dashed);
    }
}

/* A hole through the wall is one in the lines of both rooms, whichever writes it. */
static void draw_holes(struct floor *f, const struct room *room, uint32_t wall)
{
    static const struct pen gap = {"white", NULL, 5 * POINT, NULL},
                            glass = {"black", NULL, 6 * POINT / 10, NULL};
    const struct skeleton *frame = f->r->routes->frame;
    const struct face *face = frame_face_of(frame, room, wall);
    const struct line *l = face->line == NO_INDEX ? NULL : &frame->lines[face->line];
    const struct rough_opening *r = l ? frame_opening_from(frame, l, face->lo) : NULL;
    for (; r && r < &frame->openings[l->first_opening + l->opening_count] && r->lo < face->hi;
         r++) {
        if (!r->jacks)
            continue;
        length a = frame_from_left_of(face, r->lo), b = frame_from_left_of(face, r->hi);
        length left = a < b ? a : b, right = a < b ? b : a;
        const struct wall *w = &room->walls[wall];
        left = left < 0 ? 0 : left;
        right = right > w->length ? w->length : right;
        line_on_wall(f, w, left, right, 0, gap);
        for (int side = -1; r->glass && side <= 1; side += 2)
            line_on_wall(f, w, left, right, side * POINT, glass);
    }
}

static void draw_islands(struct floor *f, const struct room *room)
{
    static const struct pen dashed = {"black", NULL, POINT / 2, "3 2"};
    for (uint32_t i = 0; i < room->islands.n; i++) {
        const struct island *x = &room->islands.at[i];
        coord left = on_x(f, x->low.x), top = on_y(f, x->high.y);
        canvas_rect(f->sheet.c, left, top, on_x(f, x->high.x) - left, on_y(f, x->low.y) - top, 0,
                    dashed);
    }
}

static bool drawn_bulk(const struct floor *f, const struct bulk *k)
{
    return k->room ? drawn_room(f, k->room) : k->level == f->level && !f->r->only_room;
}

/* The four corners of a beam or duct on the sheet. */
static void bulk_corners(const struct floor *f, const struct bulk *k, struct spot corner[4])
{
    double dx = (double)(k->to.x - k->from.x), dy = (double)(k->to.y - k->from.y),
           half = (double)k->wide / 2 / hypot(dx, dy);
    length ox = (length)llround(-dy * half), oy = (length)llround(dx * half);
    const struct point ends[] = {{k->from.x + ox, k->from.y + oy},
                                 {k->to.x + ox, k->to.y + oy},
                                 {k->to.x - ox, k->to.y - oy},
                                 {k->from.x - ox, k->from.y - oy}};
    for (int i = 0; i < 4; i++)
        corner[i] = (struct spot){on_x(f, ends[i].x), on_y(f, ends[i].y)};
}

/* Dashed, for it is over the heads of those who look at the plan. */
static void draw_bulk(struct floor *f, const struct bulk *k)
{
    static const struct pen dashed = {"black", NULL, 6 * POINT / 10, "6 3"};
    struct spot corner[4];
    bulk_corners(f, k, corner);
    canvas_open(f->sheet.c, 0, 0, 0, k->title ? k->title : k->word);
    for (int i = 0; i < 4; i++)
        canvas_line(f->sheet.c, corner[i].x, corner[i].y, corner[(i + 1) % 4].x,
                    corner[(i + 1) % 4].y, dashed);
    canvas_close(f->sheet.c);
}

static void name_bulk(struct floor *f, const struct bulk *k)
{
    coord x = (on_x(f, k->from.x) + on_x(f, k->to.x)) / 2,
          y = (on_y(f, k->from.y) + on_y(f, k->to.y)) / 2;
    sheet_write_near(&f->sheet, (struct area){x, y - 3 * POINT, x, y}, 40 * POINT,
                     (struct lettering){.size = 6 * POINT, .anchor = AT_MIDDLE},
                     k->title ? k->title : k->word);
}

static void draw_room(struct floor *f, const struct room *room)
{
    static const struct pen wall = {"black", NULL, 18 * POINT / 10, NULL};
    canvas_open(f->sheet.c, 0, 0, 0,
                arena_printf(f->r->arena, "room %s", address_of_room(f->r->arena, room, false)));
    for (uint32_t i = 0; i < room->wall_count; i++) {
        const struct wall *w = &room->walls[i];
        line_on_wall(f, w, 0, w->length, 0, wall);
        take_line(f, on_wall(f, w, 0, 0), on_wall(f, w, w->length, 0), POINT);
    }
    for (uint32_t i = 0; i < room->wall_count; i++)
        draw_holes(f, room, i);
    for (uint32_t i = 0; i < room->fixtures.n; i++)
        draw_fixture(f, room, &room->fixtures.at[i]);
    draw_islands(f, room);
    canvas_close(f->sheet.c);
}

static void name_room(struct floor *f, const struct room *room)
{
    coord x = on_x(f, (room->low.x + room->high.x) / 2),
          y = on_y(f, (room->low.y + room->high.y) / 2);
    struct lettering l = {.size = 9 * POINT, .bold = true, .anchor = AT_MIDDLE, .fill = "#333333"};
    sheet_write_near(&f->sheet, (struct area){x, y - 4 * POINT, x, y}, 60 * POINT, l,
                     room->title ? room->title : room->name);
    for (uint32_t i = 0; i < room->islands.n; i++) {
        const struct island *island = &room->islands.at[i];
        x = on_x(f, (island->low.x + island->high.x) / 2);
        y = on_y(f, (island->low.y + island->high.y) / 2);
        sheet_write_near(&f->sheet, (struct area){x, y - 3 * POINT, x, y}, 40 * POINT,
                         (struct lettering){.size = 6 * POINT, .anchor = AT_MIDDLE},
                         island->title ? island->title : "island");
    }
}

/* --- boxes -------------------------------------------------------------------------------- */

/* Where a symbol stands: on its wall or in the room, `aside` of its box, and the middle of its
 * shape. */
struct stand {
    struct spot at, middle;
    int turn;
    bool loose;
};

static struct stand stand_at_place(const struct floor *f, const struct room *room,
                                   const struct place *p, coord aside)
{
    struct spot at = {on_x(f, p->at.x), on_y(f, p->at.y)};
    if (p->where != ON_WALL) {
        at.x += aside;
        return (struct stand){at, at, 0, true};
    }
    struct heading h = heading_of(&room->walls[p->wall]);
    at.x += (coord)lround(h.ux * aside);
    at.y += (coord)lround(h.uy * aside);
    return (struct stand){
        at,
        {at.x + (coord)lround(h.nx * SYMBOL_OFF), at.y + (coord)lround(h.ny * SYMBOL_OFF)},
        degrees(-h.ny, h.nx),
        false};
}

static struct stand stand_of(const struct floor *f, const struct box *b, coord aside)
{
    return stand_at_place(f, b->room, view_place_of_box(f->r, b), aside);
}

static struct spot box_spot(const struct floor *f, const struct box *b)
{
    return stand_of(f, b, 0).middle;
}

static struct stand stand_at(const struct floor *f, const struct box *b, uint32_t i)
{
    const coord step = 2 * SYMBOL_RADIUS + 2 * POINT;
    return stand_of(f, b, (coord)i * step - (coord)(symbol_count(b) - 1) * step / 2);
}

static bool lettered_within(struct symbol s)
{
    return s.shape == SHAPE_SWITCH || s.shape == SHAPE_ROUND || s.shape == SHAPE_SQUARE;
}

static void draw_joined(struct floor *f, struct stand at)
{
    canvas_open(f->sheet.c, at.at.x, at.at.y, at.turn, NULL);
    symbol_draw(f->sheet.c, (struct symbol){SHAPE_JOINED, "", NULL}, at.loose);
    canvas_close(f->sheet.c);
    sheet_take(&f->sheet, around(at.middle.x, at.middle.y, JOINED_RADIUS));
}

static void draw_box(struct floor *f, const struct box *b)
{
    if (is_joined(b))
        draw_joined(f, stand_at(f, b, 0));
    for (uint32_t i = 0; i < symbol_count(b); i++) {
        struct symbol s = symbol_at(f, b, i);
        struct stand at = stand_at(f, b, i);
        canvas_open(f->sheet.c, at.at.x, at.at.y, at.turn,
                    i ? NULL : view_of_box(f->r, b)->address);
        symbol_draw(f->sheet.c, s, at.loose);
        canvas_close(f->sheet.c);
        sheet_take(&f->sheet, around(at.middle.x, at.middle.y, SYMBOL_RADIUS + POINT));
        struct lettering l = {.size = s.shape == SHAPE_SWITCH ? 9 * POINT : 5 * POINT,
                              .bold = s.shape == SHAPE_SWITCH,
                              .anchor = AT_MIDDLE};
        if (lettered_within(s))
            canvas_text(f->sheet.c, at.middle.x, at.middle.y + l.size * 35 / 100, l, s.letters);
    }
}

/* A box that goes is crossed, its name beside it. */
static void draw_gone_box(struct floor *f, const struct box *b)
{
    struct stand at = stand_at_place(f, b->room, &b->place, 0);
    canvas_open(f->sheet.c, at.at.x, at.at.y, at.turn, address_of_box(f->r->arena, b, false));
    symbol_draw(f->sheet.c, (struct symbol){SHAPE_GOES, "", NULL}, at.loose);
    canvas_close(f->sheet.c);
    sheet_take(&f->sheet, around(at.middle.x, at.middle.y, SYMBOL_RADIUS + POINT));
}

static struct spot gone_end(const struct floor *f, struct end e)
{
    const struct place *p = e.box ? &e.box->place : &e.panel->place;
    return stand_at_place(f, facts_room_of_end(e), p, 0).middle;
}

static void draw_gone_run(struct floor *f, const struct run *run)
{
    struct spot a = gone_end(f, run->from), b = gone_end(f, run->to);
    canvas_line(f->sheet.c, a.x, a.y, b.x, b.y, symbol_going_cable);
}

static void draw_gone(struct floor *f)
{
    const struct model *m = f->r->model;
    for (uint32_t i = 0; i < m->gone.runs.n; i++)
        if (drawn_gone_run(f, m->gone.runs.at[i]))
            draw_gone_run(f, m->gone.runs.at[i]);
    for (uint32_t i = 0; i < m->gone.boxes.n; i++)
        if (drawn_gone_box(f, m->gone.boxes.at[i]))
            draw_gone_box(f, m->gone.boxes.at[i]);
}

/* "P7", or "M7, P7"; NULL where no circuit comes. */
static const char *circuits_words(const struct floor *f, const struct box *b)
{
    struct arena *a = f->r->arena;
    const char *words = NULL;
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const struct circuit *c = b->runs.at[i]->circuit;
        bool known = !c;
        for (uint32_t k = 0; k < i && !known; k++)
            known = b->runs.at[k]->circuit == c;
        if (!known) {
            const char *one = words_mark(f->r, c);
            words = words ? arena_printf(a, "%s, %s", words, one) : one;
        }
    }
    return words;
}

/* What an inspector wants marked beside a symbol: both lines with their voltage, and what a device
 * or breaker before it protects, in brackets. */
static const char *mark_words(const struct floor *f, const struct box *b, uint32_t i,
                              struct symbol s)
{
    const struct device *d = b->device_count ? b->devices[i] : NULL;
    const char *words = lettered_within(s) ? "" : s.letters;
    bool guarded = false;
    for (uint32_t k = 0; d && k < d->part_count; k++) {
        const struct protected_part *p = wiring_protected_part(f->protected, &d->parts[k]);
        guarded |= p->known && facts_is_receptacle(&d->parts[k]) && is_guarded(p->gfci);
    }
    if (d && d->def->two_line && d->part_count && lettered_within(s))
        words = arena_printf(f->r->arena, "%g V", d->parts[0].volts);
    if (!guarded || d->def->protects & PROTECTS_GFCI)
        return words;
    return arena_printf(f->r->arena, "%s%s(GFCI)", words, *words ? " " : "");
}

/* Where nothing is free near by it is written all the same: a box without its name and circuit is
 * no use. */
static void write_beside(struct floor *f, struct spot at, coord off, coord reach, coord size,
                         const char *text)
{
    struct lettering l = {.size = size};
    if (!sheet_write_near(&f->sheet, around(at.x, at.y, off), reach, l, text))
        sheet_write(&f->sheet, at.x + off, at.y + off + size, l, text);
}

/* Its name and circuit, and the letters that stand beside a symbol. */
static void name_box(struct floor *f, const struct box *b)
{
    struct spot first = stand_at(f, b, 0).middle;
    const char *circuits = circuits_words(f, b), *old = b->existing ? " E" : "";
    for (uint32_t i = 0; i < symbol_count(b); i++) {
        const char *marks = mark_words(f, b, i, symbol_at(f, b, i));
        if (*marks)
            write_beside(f, stand_at(f, b, i).middle, SYMBOL_RADIUS, 24 * POINT, 5 * POINT, marks);
    }
    write_beside(f, first, SYMBOL_RADIUS + POINT, 80 * POINT, 6 * POINT,
                 circuits ? arena_printf(f->r->arena, "%s (%s)%s", b->name, circuits, old)
                          : arena_printf(f->r->arena, "%s%s", b->name, old));
}

/* --- switch legs and home runs ------------------------------------------------------------ */

/* A curve that bows to one side, so that it is told from a wall and from a run. */
static void draw_bow(const struct floor *f, struct spot a, struct spot b)
{
    enum { POINTS = 13 };
    coord points[2 * POINTS];
    double dx = b.x - a.x, dy = b.y - a.y, mx = (a.x + b.x) / 2.0 - dy * 0.15,
           my = (a.y + b.y) / 2.0 + dx * 0.15;
    for (int i = 0; i < POINTS; i++) {
        double t = (double)i / (POINTS - 1), s = 1 - t;
        points[2 * i] = (coord)lround(s * s * a.x + 2 * s * t * mx + t * t * b.x);
        points[2 * i + 1] = (coord)lround(s * s * a.y + 2 * s * t * my + t * t * b.y);
    }
    canvas_polygon(f->sheet.c, points, POINTS, false,
                   (struct pen){"#555555", NULL, 6 * POINT / 10, "2 2"});
}

/* From each switch to the first thing it works, and on from thing to thing. */
static void draw_leg(struct floor *f, const struct leg *l)
{
    const struct box *last = NULL;
    for (uint32_t i = 0; i < l->loads.n; i++) {
        const struct box *b = l->loads.at[i]->device->box;
        if (!drawn_room(f, b->room) || l->loads.at[i]->control)
            continue;
        for (uint32_t k = 0; k < l->controls.n && !last; k++)
            if (drawn_room(f, l->controls.at[k]->device->box->room))
                draw_bow(f, box_spot(f, l->controls.at[k]->device->box), box_spot(f, b));
        if (last && last != b)
            draw_bow(f, box_spot(f, last), box_spot(f, b));
        last = b;
    }
}

/* The tip of an arrow that leaves the box towards the panel, or aside where something stands in the
 * way; never through the wall that the box is on. */
static struct spot arrow_tip(const struct floor *f, const struct box *b, struct spot from,
                             double dx, double dy, coord reach)
{
    struct heading h = b->place.where == ON_WALL ? heading_of(&b->room->walls[b->place.wall])
                                                 : (struct heading){0};
    static const int turns[] = {0, 20, -20, 40, -40, 60, -60, 90, -90, 120, -120};
    for (size_t i = 0; i < sizeof turns / sizeof *turns; i++) {
        double t = turns[i] * degree, x = dx * cos(t) - dy * sin(t), y = dx * sin(t) + dy * cos(t);
        coord clear = SYMBOL_RADIUS + 4 * POINT;
        struct spot near = {from.x + (coord)lround(x * clear), from.y + (coord)lround(y * clear)},
                    tip = {from.x + (coord)lround(x * reach), from.y + (coord)lround(y * reach)};
        bool into_wall = x * h.nx + y * h.ny < 0;
        if (!into_wall && line_is_free(f, near, tip, 2 * POINT))
            return tip;
    }
    if (dx * h.nx + dy * h.ny < 0) {
        dx = h.nx;
        dy = h.ny;
    }
    return (struct spot){from.x + (coord)lround(dx * reach), from.y + (coord)lround(dy * reach)};
}

/* Whether the run is drawn as an arrow, and from where towards the panel; dx, dy have the length 1.
 */
static bool home_run_way(const struct floor *f, const struct run *run, struct spot *from,
                         double *dx, double *dy)
{
    const struct box *b = run->to.box;
    const struct panel *p = run->from.panel;
    if (!b || !p || !drawn_room(f, b->room) || !run->circuit)
        return false;
    *from = box_spot(f, b);
    *dx = on_x(f, view_place_of_panel(f->r, p)->at.x) - from->x;
    *dy = on_y(f, view_place_of_panel(f->r, p)->at.y) - from->y;
    double l = hypot(*dx, *dy);
    if (l < 1)
        return false;
    *dx /= l;
    *dy /= l;
    return true;
}

static void draw_home_run(struct floor *f, const struct run *run)
{
    struct spot a;
    double dx, dy;
    if (!home_run_way(f, run, &a, &dx, &dy))
        return;
    struct spot tip = arrow_tip(f, run->to.box, a, dx, dy, 26 * POINT);
    double l = hypot((double)(tip.x - a.x), (double)(tip.y - a.y)), x = (tip.x - a.x) / l,
           y = (tip.y - a.y) / l, start = SYMBOL_RADIUS + POINT;
    struct spot from = {(coord)lround(a.x + x * start), (coord)lround(a.y + y * start)};
    struct pen pen = {"black", "black", 8 * POINT / 10, run->existing ? "3 2" : NULL};
    canvas_line(f->sheet.c, from.x, from.y, tip.x, tip.y, pen);
    coord head[6] = {tip.x,
                     tip.y,
                     (coord)lround(tip.x - x * 6 * POINT - y * 2.2 * POINT),
                     (coord)lround(tip.y - y * 6 * POINT + x * 2.2 * POINT),
                     (coord)lround(tip.x - x * 6 * POINT + y * 2.2 * POINT),
                     (coord)lround(tip.y - y * 6 * POINT - x * 2.2 * POINT)};
    canvas_polygon(f->sheet.c, head, 3, true, (struct pen){"black", "black", POINT / 4, NULL});
    take_line(f, from, tip, 2 * POINT);
    *vec_push(f->r->arena, &f->arrows) = (struct arrow){run->circuit, tip};
}

static bool drawn_panel(const struct floor *f, const struct panel *p)
{
    return p->room && drawn_room(f, p->room) && p->place.where == ON_WALL;
}

static struct area panel_area(const struct floor *f, const struct panel *p)
{
    struct heading h = heading_of(&p->room->walls[p->place.wall]);
    bool upright = fabs(h.uy) > fabs(h.ux);
    struct place3 at = view_place_of_panel(f->r, p)->at;
    coord x = on_x(f, at.x), y = on_y(f, at.y), wide = upright ? 2 * POINT : 7 * POINT,
          high = upright ? 7 * POINT : 2 * POINT;
    return (struct area){x - wide, y - high, x + wide, y + high};
}

static void draw_panel(struct floor *f, const struct panel *p)
{
    struct area a = panel_area(f, p);
    canvas_rect(f->sheet.c, a.left, a.top, a.right - a.left, a.bottom - a.top, 0,
                (struct pen){"black", "black", POINT / 2, NULL});
    sheet_take(&f->sheet, a);
}

static void name_panel(struct floor *f, const struct panel *p)
{
    sheet_write_near(&f->sheet, panel_area(f, p), 50 * POINT,
                     (struct lettering){.size = 7 * POINT, .bold = true},
                     arena_printf(f->r->arena, "panel %s%s", address_of_panel(f->r->arena, p, true),
                                  p->existing ? " E" : ""));
}

/* --- what stands round it ----------------------------------------------------------------- */

static void draw_legend(struct floor *f, coord top)
{
    uint32_t columns = legend_columns(f->sheet.width), rows = (f->used.n + columns - 1) / columns;
    for (uint32_t i = 0; i < f->used.n; i++) {
        struct symbol s = f->used.at[i];
        coord x = LEGEND_LEFT + (coord)(i / rows) * LEGEND_COLUMN,
              at = top + (coord)(i % rows) * LEGEND_ROW;
        struct lettering l = {.size = (s.shape == SHAPE_SWITCH ? 8 : 5) * POINT,
                              .bold = s.shape == SHAPE_SWITCH,
                              .anchor = AT_MIDDLE};
        canvas_open(f->sheet.c, x + 10 * POINT, at, 0, NULL);
        symbol_draw(f->sheet.c, s, true);
        canvas_close(f->sheet.c);
        if (lettered_within(s))
            canvas_text(f->sheet.c, x + 10 * POINT, at + 2 * POINT, l, s.letters);
        canvas_text(f->sheet.c, x + 24 * POINT, at + 2 * POINT,
                    (struct lettering){.size = 6 * POINT, .widest = LEGEND_COLUMN - 26 * POINT},
                    s.words);
    }
}

static void draw_north(const struct floor *f, coord x, coord y)
{
    coord points[6] = {x, y - 16 * POINT, x - 5 * POINT, y, x + 5 * POINT, y};
    canvas_polygon(f->sheet.c, points, 3, true, (struct pen){"black", "white", POINT, NULL});
    canvas_text(f->sheet.c, x, y + 10 * POINT,
                (struct lettering){.size = 9 * POINT, .bold = true, .anchor = AT_MIDDLE}, "N");
}

static void add_words(struct buf *b, const char *before, const char *words)
{
    if (words)
        buf_printf(b, "%s%s%s", b->n ? ". " : "", before, words);
}

/* Who and where: what departments ask for on every sheet. */
static void write_head(struct floor *f, uint32_t number)
{
    const struct model *m = f->r->model;
    struct arena *a = f->r->arena;
    const struct edition *code = m->code.electrical, *home = m->code.residential;
    coord width = f->sheet.width - 2 * MARGIN - 30 * POINT;
    struct buf line = {0};
    add_words(&line, "", m->site);
    add_words(&line, "Owner: ", m->owner);
    add_words(&line, "Drawn by ", m->by);
    add_words(&line, "", m->date);
    add_words(&line, "Permit: ", m->permit);
    add_words(&line, "Edition: ",
              code && home ? arena_printf(a, "%s, %s", code->label, home->label)
              : code       ? code->label
              : home       ? home->label
                           : NULL);
    sheet_line(&f->sheet, MARGIN, 34 * POINT, width - 80 * POINT,
               (struct lettering){.size = 14 * POINT, .bold = true},
               arena_printf(a, "%s: %s", m->title ? m->title : "Plan", f->level->title));
    canvas_text(f->sheet.c, MARGIN + width, 34 * POINT,
                (struct lettering){.size = 9 * POINT, .bold = true, .anchor = AT_END},
                arena_printf(a, "Plan, sheet %u", number));
    sheet_line(&f->sheet, MARGIN, 50 * POINT, width, (struct lettering){.size = 8 * POINT},
               buf_text(&line));
    buf_free(&line);
}

static void write_foot(struct floor *f)
{
    coord top = f->sheet.height - f->foot, y = top + 38 * POINT,
          width = LEGEND_LEFT - MARGIN - 10 * POINT;
    struct lettering l = {.size = 6 * POINT};
    sheet_scale(&f->sheet, MARGIN, y, f->scale);
    sheet_line(&f->sheet, MARGIN, y + 60 * POINT, width, l,
               "Box names with their circuit in brackets; E: existing. Dashed bows: switch legs. "
               "Arrows: home runs.");
    sheet_line(
        &f->sheet, MARGIN, y + 69 * POINT, width, l,
        "GFCI: the device protects. (GFCI): a device or breaker before it does. WP: weatherproof.");
    l.bold = true;
    sheet_line(&f->sheet, MARGIN, y + 80 * POINT, width, l,
               "Caution: dead and tested before work. Local codes and the inspector decide.");
    draw_legend(f, top + LEGEND_TOP);
}

static bool drawn_circuit(const struct floor *f, const struct circuit *c)
{
    return !f->r->only_circuit || c == f->r->only_circuit;
}

static void draw_things(struct floor *f)
{
    const struct model *m = f->r->model;
    file_doors(f);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (drawn_room(f, m->rooms.at[i]))
            draw_room(f, m->rooms.at[i]);
    for (uint32_t i = 0; i < m->bulks.n; i++)
        if (drawn_bulk(f, &m->bulks.at[i]))
            draw_bulk(f, &m->bulks.at[i]);
    for (uint32_t i = 0; i < m->legs.n; i++)
        if (facts_is_built(m->legs.at[i]->unit) && drawn_circuit(f, m->legs.at[i]->circuit))
            draw_leg(f, m->legs.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (drawn_panel(f, m->panels.at[i]))
            draw_panel(f, m->panels.at[i]);
    draw_gone(f);
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (drawn_box(f, m->boxes.at[i]))
            draw_box(f, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (view_of_run(f->r, m->runs.at[i])->home_run && drawn_circuit(f, m->runs.at[i]->circuit))
            draw_home_run(f, m->runs.at[i]);
}

static void write_names(struct floor *f)
{
    const struct model *m = f->r->model;
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (drawn_panel(f, m->panels.at[i]))
            name_panel(f, m->panels.at[i]);
    for (uint32_t i = 0; i < f->arrows.n; i++)
        sheet_write_near(&f->sheet, around(f->arrows.at[i].tip.x, f->arrows.at[i].tip.y, 2 * POINT),
                         40 * POINT, (struct lettering){.size = 6 * POINT, .bold = true},
                         words_mark(f->r, f->arrows.at[i].circuit));
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (drawn_box(f, m->boxes.at[i]))
            name_box(f, m->boxes.at[i]);
    for (uint32_t i = 0; i < m->gone.boxes.n; i++) {
        const struct box *b = m->gone.boxes.at[i];
        if (drawn_gone_box(f, b))
            write_beside(f, stand_at_place(f, b->room, &b->place, 0).middle, SYMBOL_RADIUS + POINT,
                         80 * POINT, 6 * POINT, arena_printf(f->r->arena, "%s goes", b->name));
    }
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (drawn_room(f, m->rooms.at[i]))
            name_room(f, m->rooms.at[i]);
    for (uint32_t i = 0; i < m->bulks.n; i++)
        if (drawn_bulk(f, &m->bulks.at[i]))
            name_bulk(f, &m->bulks.at[i]);
}

static void draw_level(const struct results *r, uint32_t number, const struct protected *protected,
                       struct stack *stack)
{
    const struct level *level = r->model->levels.at[number];
    struct floor f;
    coord width, height;
    if (!lay_out(&f, r, level, &width, &height) ||
        !sheet_stack_open(stack, &f.sheet, width, height,
                          arena_printf(r->arena, "level %s", level->name)))
        return;
    f.protected = protected;
    f.left = (width - sheet_scaled(f.scale, f.high.x - f.low.x)) / 2;
    f.top = HEAD;
    write_head(&f, number + 1);
    draw_north(&f, width - MARGIN, 50 * POINT);
    draw_things(&f);
    write_names(&f);
    write_foot(&f);
    sheet_stack_close(stack);
}

void draw_plan(const struct results *r, struct buf *out)
{
    struct stack stack;
    const struct protected *protected = protect(r->arena, r->model, r->routes, r->wiring);
    sheet_stack_begin(&stack, r->arena);
    for (uint32_t i = 0; i < r->model->levels.n; i++)
        if (!r->only_level || r->only_level == r->model->levels.at[i])
            draw_level(r, i, protected, &stack);
    sheet_stack_end(
        &stack, out, arena_printf(r->arena, "Plan: %s", r->model->title ? r->model->title : "plan"),
        "The floor plan to scale, a level a sheet. `report boxes` has the same as a table.");
}
