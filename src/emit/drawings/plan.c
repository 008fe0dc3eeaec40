/* The floor plan, a level a sheet, to scale: walls with their openings, boxes with their symbols, switch legs dashed, home runs with arrows. First form. */
#include "emit/drawings/drawings.h"
#include "emit/drawings/plan_symbols.h"
#include "emit/drawings/sheet.h"
#include "emit/reports/words.h"

#include <math.h>
#include <string.h>

enum { MARGIN = 46 * POINT, HEAD = 74 * POINT, FOOT_ROOM = 132 * POINT, LEGEND_ROW = 15 * POINT };

struct floor {
    const struct results *r;
    const struct level *level;
    struct sheet sheet;
    struct scale scale;
    struct point low, high;      /* of what is drawn, on the site */
    coord left, top;
    VEC(struct symbol) used;
    VEC(struct point) doors;     /* middles of the doors whose swing is drawn: a door that two rooms write is one */
    struct map seen;             /* symbols in the legend, by shape and words */
};

/* The angle of a direction on paper, clockwise from the x axis. */
static int degrees(double x, double y)
{
    return (int)lround(atan2(y, x) * 180 / 3.14159265358979323846);
}

/* --- paper ------------------------------------------------------------------------------------------------------------- */

static coord on_x(const struct floor *f, length x)
{
    return f->left + scaled(f->scale, x - f->low.x);
}

static coord on_y(const struct floor *f, length y)
{
    return f->top + scaled(f->scale, f->high.y - y);
}

static bool drawn_room(const struct floor *f, const struct room *room)
{
    return room->level == f->level && is_built(room->unit) && room->wall_count && (!f->r->only_room || f->r->only_room == room);
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

/* 1/4" to the foot on letter or tabloid, else smaller until it fits; letter and tabloid lie on their long side. */
static void choose_scale(struct floor *f, coord *width, coord *height)
{
    static const struct scale scales[] = {{1, 4}, {1, 8}, {1, 16}, {1, 32}, {1, 64}};
    static const coord pages[][2] = {{792 * POINT, 612 * POINT}, {1224 * POINT, 792 * POINT}};
    for (size_t s = 0; s < sizeof scales / sizeof *scales; s++) {
        for (int p = 0; p < 2; p++) {
            f->scale = scales[s];
            *width = pages[p][0];
            *height = pages[p][1];
            if (scaled(f->scale, f->high.x - f->low.x) <= *width - 2 * MARGIN && scaled(f->scale, f->high.y - f->low.y) <= *height - HEAD - FOOT_ROOM)
                return;
        }
    }
    *width = scaled(f->scale, f->high.x - f->low.x) + 2 * MARGIN;
    *height = scaled(f->scale, f->high.y - f->low.y) + HEAD + FOOT_ROOM;
}

/* A point of a wall, `in` off it into the room, on paper. */
struct spot {
    coord x, y;
};

struct heading {
    double ux, uy, nx, ny;       /* along the wall and into the room, y down the paper */
};

static struct heading heading_of(const struct wall *w)
{
    double dx = (double)(w->right.x - w->left.x), dy = (double)(w->left.y - w->right.y), l = hypot(dx, dy);
    if (l <= 0)
        l = 1;
    return (struct heading){dx / l, dy / l, -dy / l, dx / l};
}

static struct spot on_wall(const struct floor *f, const struct wall *w, length along, coord in)
{
    struct heading h = heading_of(w);
    double at = (double)scaled(f->scale, along);
    return (struct spot){on_x(f, w->left.x) + (coord)lround(h.ux * at + h.nx * in), on_y(f, w->left.y) + (coord)lround(h.uy * at + h.ny * in)};
}

static void line_on_wall(const struct floor *f, const struct wall *w, length from, length to, coord in, struct pen pen)
{
    struct spot a = on_wall(f, w, from, in), b = on_wall(f, w, to, in);
    canvas_line(f->sheet.c, a.x, a.y, b.x, b.y, pen);
}

/* --- rooms -------------------------------------------------------------------------------------------------------------- */

/* Whether the door was drawn from the room on its other side: walls are less than a foot thick. */
static bool drawn_before(struct floor *f, const struct wall *w, const struct fixture *x)
{
    double share = w->length ? (double)(x->from_left + x->wide / 2) / (double)w->length : 0;
    struct point p = {w->left.x + (length)((double)(w->right.x - w->left.x) * share), w->left.y + (length)((double)(w->right.y - w->left.y) * share)};
    for (uint32_t i = 0; i < f->doors.n; i++)
        if (hypot((double)(f->doors.at[i].x - p.x), (double)(f->doors.at[i].y - p.y)) < (double)FOOT)
            return true;
    *vec_push(f->r->arena, &f->doors) = p;
    return false;
}

static void draw_swing(struct floor *f, const struct wall *w, const struct fixture *x)
{
    if (drawn_before(f, w, x))
        return;
    static const struct pen thin = {"black", NULL, POINT / 2, NULL};
    const struct node *hinge = node_child(x->node, F_HINGE), *swings = node_child(x->node, F_SWINGS);
    bool right = hinge && !strcmp(node_name(hinge, 0), "right"), out = swings && !strcmp(node_name(swings, 0), "out");
    length at = right ? x->from_left + x->wide : x->from_left, end = right ? x->from_left : x->from_left + x->wide;
    coord wide = scaled(f->scale, x->wide);
    struct spot a = on_wall(f, w, at, 0), b = on_wall(f, w, at, out ? -wide : wide), c = on_wall(f, w, end, 0);
    canvas_line(f->sheet.c, a.x, a.y, b.x, b.y, thin);
    int from = degrees(b.x - a.x, b.y - a.y), to = degrees(c.x - a.x, c.y - a.y);
    bool clockwise = ((to - from) % 360 + 360) % 360 < 180;
    canvas_arc(f->sheet.c, a.x, a.y, wide, clockwise ? from : to, clockwise ? to : from, thin);
}

static void draw_fixture(struct floor *f, const struct room *room, const struct fixture *x)
{
    static const struct pen gap = {"white", NULL, 5 * POINT, NULL}, glass = {"black", NULL, 6 * POINT / 10, NULL}, dashed = {"black", NULL, POINT / 2, "3 2"};
    const struct wall *w = &room->walls[x->wall];
    length end = x->from_left + x->wide;
    if (x->sort != FIXTURE_OTHER)
        line_on_wall(f, w, x->from_left, end, 0, gap);
    if (x->sort == FIXTURE_WINDOW || (x->sort == FIXTURE_DOOR && node_child(x->node, F_SLIDING))) {
        line_on_wall(f, w, x->from_left, end, POINT, glass);
        line_on_wall(f, w, x->from_left, end, -POINT, glass);
    } else if (x->sort == FIXTURE_DOOR) {
        draw_swing(f, w, x);
    } else if (x->sort == FIXTURE_OTHER && x->form != F_WET_WALL) {
        const struct value *deep = node_value(node_child(x->node, F_DEEP), 0);
        line_on_wall(f, w, x->from_left, end, deep && deep->kind == V_LENGTH ? scaled(f->scale, deep->n) : 4 * POINT, dashed);
    }
}

static void draw_room(struct floor *f, const struct room *room)
{
    static const struct pen wall = {"black", NULL, 18 * POINT / 10, NULL};
    canvas_open(f->sheet.c, 0, 0, 0, arena_printf(f->r->arena, "room %s", room_address(f->r->arena, room, false)));
    for (uint32_t i = 0; i < room->wall_count; i++)
        line_on_wall(f, &room->walls[i], 0, room->walls[i].length, 0, wall);
    for (uint32_t i = 0; i < room->fixtures.n; i++)
        draw_fixture(f, room, &room->fixtures.at[i]);
    canvas_close(f->sheet.c);
}

static void name_room(struct floor *f, const struct room *room)
{
    coord x = on_x(f, (room->low.x + room->high.x) / 2), y = on_y(f, (room->low.y + room->high.y) / 2);
    struct lettering l = {.size = 9 * POINT, .bold = true, .anchor = AT_MIDDLE, .fill = "#333333"};
    sheet_write_near(&f->sheet, (struct area){x, y - 4 * POINT, x, y}, 60 * POINT, l, room->title ? room->title : room->name);
}

/* --- boxes -------------------------------------------------------------------------------------------------------------- */

static void use_symbol(struct floor *f, struct symbol s)
{
    void **at = map_at(f->r->arena, &f->seen, (uintptr_t)names_of(f->r->model->names, s.words), 1);
    if (!*at)
        *vec_push(f->r->arena, &f->used) = s;
    *at = f;
}

static struct area around(coord x, coord y, coord reach)
{
    return (struct area){x - reach, y - reach, x + reach, y + reach};
}

/* One symbol at its place on the wall or in the room; the place of its middle comes back. */
static struct spot draw_symbol(struct floor *f, const struct box *b, struct symbol s, coord aside, const char *title)
{
    bool loose = b->place.where != ON_WALL;
    int turn = 0;
    struct spot at = {on_x(f, b->place.at.x) + (loose ? aside : 0), on_y(f, b->place.at.y)}, middle = at;
    if (!loose) {
        struct heading h = heading_of(&b->room->walls[b->place.wall]);
        at.x += (coord)lround(h.ux * aside);
        at.y += (coord)lround(h.uy * aside);
        middle = (struct spot){at.x + (coord)lround(h.nx * SYMBOL_OFF), at.y + (coord)lround(h.ny * SYMBOL_OFF)};
        turn = degrees(-h.ny, h.nx);
    }
    use_symbol(f, s);
    canvas_open(f->sheet.c, at.x, at.y, turn, title);
    symbol_draw(f->sheet.c, s, loose);
    canvas_close(f->sheet.c);
    sheet_take(&f->sheet, around(middle.x, middle.y, SYMBOL_RADIUS));
    struct lettering l = {.size = s.shape == SHAPE_SWITCH ? 9 * POINT : 5 * POINT, .bold = s.shape == SHAPE_SWITCH, .anchor = AT_MIDDLE};
    if (s.shape == SHAPE_SWITCH || s.shape == SHAPE_ROUND || s.shape == SHAPE_SQUARE)
        canvas_text(f->sheet.c, middle.x, middle.y + l.size * 35 / 100, l, s.letters);
    else if (*s.letters)
        sheet_write_near(&f->sheet, around(middle.x, middle.y, SYMBOL_RADIUS), 24 * POINT, (struct lettering){.size = 5 * POINT}, s.letters);
    return middle;
}

static void draw_box(struct floor *f, const struct box *b)
{
    struct spot middle;
    coord step = 2 * SYMBOL_RADIUS + 2 * POINT, aside = -(coord)(b->device_count > 1 ? (b->device_count - 1) * (uint32_t)step / 2 : 0);
    middle = draw_symbol(f, b, symbol_of(f->r, b->device_count ? b->devices[0] : NULL), aside, box_address(f->r->arena, b, false));
    for (uint32_t i = 1; i < b->device_count; i++)
        draw_symbol(f, b, symbol_of(f->r, b->devices[i]), aside += step, NULL);
    const struct circuit *c = b->runs.n ? b->runs.at[0]->circuit : NULL;
    const char *name = c ? arena_printf(f->r->arena, "%s (%s)%s", b->name, circuit_word(f->r->arena, c), b->existing ? " E" : "") : b->name;
    sheet_write_near(&f->sheet, around(middle.x, middle.y, SYMBOL_RADIUS + POINT), 50 * POINT, (struct lettering){.size = 6 * POINT}, name);
}

static struct spot box_spot(const struct floor *f, const struct box *b)
{
    struct spot at = {on_x(f, b->place.at.x), on_y(f, b->place.at.y)};
    if (b->place.where != ON_WALL)
        return at;
    struct heading h = heading_of(&b->room->walls[b->place.wall]);
    return (struct spot){at.x + (coord)lround(h.nx * SYMBOL_OFF), at.y + (coord)lround(h.ny * SYMBOL_OFF)};
}

/* --- switch legs and home runs -------------------------------------------------------------------------------------------- */

/* A curve that bows to one side, so that it is told from a wall and from a run. */
static void draw_bow(const struct floor *f, struct spot a, struct spot b)
{
    enum { POINTS = 13 };
    coord points[2 * POINTS];
    double dx = b.x - a.x, dy = b.y - a.y, mx = (a.x + b.x) / 2.0 - dy * 0.15, my = (a.y + b.y) / 2.0 + dx * 0.15;
    for (int i = 0; i < POINTS; i++) {
        double t = (double)i / (POINTS - 1), s = 1 - t;
        points[2 * i] = (coord)lround(s * s * a.x + 2 * s * t * mx + t * t * b.x);
        points[2 * i + 1] = (coord)lround(s * s * a.y + 2 * s * t * my + t * t * b.y);
    }
    canvas_polygon(f->sheet.c, points, POINTS, false, (struct pen){"#555555", NULL, 6 * POINT / 10, "2 2"});
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

static void draw_home_run(struct floor *f, const struct run *run)
{
    const struct box *b = run->to.box;
    const struct panel *p = run->from.panel;
    if (!b || !p || !drawn_room(f, b->room) || !run->circuit)
        return;
    struct spot a = box_spot(f, b);
    double dx = on_x(f, p->place.at.x) - a.x, dy = on_y(f, p->place.at.y) - a.y, l = hypot(dx, dy);
    if (l < 1)
        return;
    dx /= l;
    dy /= l;
    double reach = l < 40 * POINT ? l * 0.8 : 34 * POINT, from = SYMBOL_RADIUS + POINT;
    coord x = (coord)lround(a.x + dx * reach), y = (coord)lround(a.y + dy * reach);
    struct pen pen = {"black", "black", 8 * POINT / 10, run->existing ? "3 2" : NULL};
    canvas_line(f->sheet.c, (coord)lround(a.x + dx * from), (coord)lround(a.y + dy * from), x, y, pen);
    coord head[6] = {x, y, (coord)lround(x - dx * 6 * POINT - dy * 2.2 * POINT), (coord)lround(y - dy * 6 * POINT + dx * 2.2 * POINT),
                     (coord)lround(x - dx * 6 * POINT + dy * 2.2 * POINT), (coord)lround(y - dy * 6 * POINT - dx * 2.2 * POINT)};
    canvas_polygon(f->sheet.c, head, 3, true, (struct pen){"black", "black", POINT / 4, NULL});
    sheet_write_near(&f->sheet, around(x, y, 2 * POINT), 26 * POINT, (struct lettering){.size = 6 * POINT, .bold = true}, circuit_address(f->r->arena, run->circuit, true));
}

static void draw_panel(struct floor *f, const struct panel *p)
{
    coord x = on_x(f, p->place.at.x), y = on_y(f, p->place.at.y), half = 7 * POINT;
    if (!p->room || !drawn_room(f, p->room) || p->place.where != ON_WALL)
        return;
    struct heading h = heading_of(&p->room->walls[p->place.wall]);
    bool upright = fabs(h.uy) > fabs(h.ux);
    canvas_rect(f->sheet.c, x - (upright ? 2 * POINT : half), y - (upright ? half : 2 * POINT), upright ? 4 * POINT : 2 * half, upright ? 2 * half : 4 * POINT, 0,
                (struct pen){"black", "black", POINT / 2, NULL});
    sheet_take(&f->sheet, around(x, y, half));
    sheet_write_near(&f->sheet, around(x, y, half), 50 * POINT, (struct lettering){.size = 7 * POINT, .bold = true},
                     arena_printf(f->r->arena, "panel %s%s", panel_address(f->r->arena, p, true), p->existing ? " E" : ""));
}

/* --- what stands round it ---------------------------------------------------------------------------------------------------- */

static void draw_legend(struct floor *f, coord x, coord y, coord bottom)
{
    coord column = 190 * POINT, at = y;
    for (uint32_t i = 0; i < f->used.n; i++) {
        struct symbol s = f->used.at[i];
        canvas_open(f->sheet.c, x + 10 * POINT, at, 0, NULL);
        symbol_draw(f->sheet.c, s, true);
        canvas_close(f->sheet.c);
        if (s.shape == SHAPE_SWITCH || s.shape == SHAPE_ROUND || s.shape == SHAPE_SQUARE)
            canvas_text(f->sheet.c, x + 10 * POINT, at + 2 * POINT, (struct lettering){.size = (s.shape == SHAPE_SWITCH ? 8 : 5) * POINT, .bold = s.shape == SHAPE_SWITCH, .anchor = AT_MIDDLE}, s.letters);
        canvas_text(f->sheet.c, x + 26 * POINT, at + 2 * POINT, (struct lettering){.size = 6 * POINT, .widest = column - 30 * POINT}, s.words);
        at += LEGEND_ROW;
        if (at > bottom) {
            at = y;
            x += column;
        }
    }
}

static void draw_north(const struct floor *f, coord x, coord y)
{
    coord points[6] = {x, y - 16 * POINT, x - 5 * POINT, y, x + 5 * POINT, y};
    canvas_polygon(f->sheet.c, points, 3, true, (struct pen){"black", "white", POINT, NULL});
    canvas_text(f->sheet.c, x, y + 10 * POINT, (struct lettering){.size = 9 * POINT, .bold = true, .anchor = AT_MIDDLE}, "N");
}

static void write_head(struct floor *f)
{
    const struct model *m = f->r->model;
    struct arena *a = f->r->arena;
    const char *line = arena_printf(a, "Edition: %s%s%s%s%s%s%s", m->code.electrical ? m->code.electrical->label : "", m->site ? ". " : "", m->site ? m->site : "", m->by ? ". Drawn by " : "",
                                    m->by ? m->by : "", m->date ? ", " : "", m->date ? m->date : "");
    sheet_line(&f->sheet, MARGIN, 34 * POINT, f->sheet.width - 2 * MARGIN - 30 * POINT, (struct lettering){.size = 14 * POINT, .bold = true},
               arena_printf(a, "%s: %s", m->title ? m->title : "Plan", f->level->title));
    sheet_line(&f->sheet, MARGIN, 50 * POINT, f->sheet.width - 2 * MARGIN - 30 * POINT, (struct lettering){.size = 8 * POINT}, line);
}

static void write_foot(struct floor *f)
{
    coord y = f->sheet.height - FOOT_ROOM + 40 * POINT;
    sheet_scale(&f->sheet, MARGIN, y, f->scale);
    sheet_line(&f->sheet, MARGIN, y + 62 * POINT, 300 * POINT, (struct lettering){.size = 6 * POINT}, "Box names with their circuit in brackets; E: existing. Dashed bows: switch legs. Arrows: home runs.");
    sheet_line(&f->sheet, MARGIN, y + 74 * POINT, 300 * POINT, (struct lettering){.size = 6 * POINT, .bold = true}, "Caution: dead and tested before work. Local codes and the inspector decide.");
    draw_legend(f, MARGIN + 330 * POINT, f->sheet.height - FOOT_ROOM + 34 * POINT, f->sheet.height - 24 * POINT);
}

static void draw_things(struct floor *f)
{
    const struct model *m = f->r->model;
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (drawn_room(f, m->rooms.at[i]))
            draw_room(f, m->rooms.at[i]);
    for (uint32_t i = 0; i < m->legs.n; i++)
        if (is_built(m->legs.at[i]->unit) && (!f->r->only_circuit || m->legs.at[i]->circuit == f->r->only_circuit))
            draw_leg(f, m->legs.at[i]);
    for (uint32_t i = 0; i < m->panels.n; i++)
        draw_panel(f, m->panels.at[i]);
    for (uint32_t i = 0; i < m->boxes.n; i++) {
        const struct box *b = m->boxes.at[i];
        bool wanted = !f->r->only_circuit;
        for (uint32_t k = 0; k < b->runs.n; k++)
            wanted |= b->runs.at[k]->circuit == f->r->only_circuit;
        if (drawn_room(f, b->room) && !b->broken && wanted)
            draw_box(f, b);
    }
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (is_home_run(m->runs.at[i]) && (!f->r->only_circuit || m->runs.at[i]->circuit == f->r->only_circuit))
            draw_home_run(f, m->runs.at[i]);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (drawn_room(f, m->rooms.at[i]))
            name_room(f, m->rooms.at[i]);
}

static void draw_level(const struct results *r, const struct level *level, struct stack *stack)
{
    struct floor f = {.r = r, .level = level};
    coord width, height;
    if (!measure(&f))
        return;
    choose_scale(&f, &width, &height);
    if (!stack_open(stack, &f.sheet, width, height, arena_printf(r->arena, "level %s", level->name)))
        return;
    f.left = (width - scaled(f.scale, f.high.x - f.low.x)) / 2;
    f.top = HEAD;
    write_head(&f);
    draw_north(&f, width - MARGIN, 50 * POINT);
    draw_things(&f);
    write_foot(&f);
    stack_close(stack);
}

void draw_plan(const struct results *r, struct buf *out)
{
    struct stack stack;
    stack_begin(&stack, r->arena);
    for (uint32_t i = 0; i < r->model->levels.n; i++)
        if (!r->only_level || r->only_level == r->model->levels.at[i])
            draw_level(r, r->model->levels.at[i], &stack);
    stack_end(&stack, out, arena_printf(r->arena, "Plan: %s", r->model->title ? r->model->title : "plan"),
              "The floor plan to scale, a level a sheet. `report boxes` has the same as a table.");
}
