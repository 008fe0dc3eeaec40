/* What is marked on the studs: where each box stands, what is nailed up, and what goes into it. */
#include "emit/reports/reports.h"
#include "emit/views.h"
#include "emit/words/devices.h"
#include "emit/words/places.h"
#include "framing/frame.h"
#include "framing/routes.h"
#include "framing/mountings.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

enum {
    BOX,
    UNIT,
    ROOM,
    WALL,
    LEFT,
    RIGHT,
    WEST,
    SOUTH,
    UP,
    BOTTOM,
    TYPE,
    GANGS,
    RING,
    STUD,
    SIDE,
    APART,
    WRITTEN,
    DEVICES
};

static const struct column columns[] = {
    [BOX] = {"box", "Box", 0, 0},
    [UNIT] = {"unit", "Unit", 0, COLUMN_DATA | COLUMN_IF_USED},
    [ROOM] = {"room", "Room", 0, COLUMN_DATA},
    [WALL] = {"wall", "Wall", 0, 0},
    [LEFT] = {"from_left_ft", "From left", 2, COLUMN_RIGHT},
    [RIGHT] = {"from_right_ft", "From right", 2, COLUMN_RIGHT},
    [WEST] = {"from_west_ft", "From west", 2, COLUMN_RIGHT | COLUMN_DATA | COLUMN_IF_USED},
    [SOUTH] = {"from_south_ft", "From south", 2, COLUMN_RIGHT | COLUMN_DATA | COLUMN_IF_USED},
    [UP] = {"up_in", "Centre", 2, COLUMN_RIGHT | COLUMN_INCHES},
    [BOTTOM] = {"bottom_in", "Bottom", 2, COLUMN_RIGHT | COLUMN_INCHES},
    [TYPE] = {"type", "Type", 0, 0},
    [GANGS] = {"gangs", "Gangs", 0, COLUMN_RIGHT | COLUMN_DATA},
    [RING] = {"ring", "Ring", 0, COLUMN_DATA | COLUMN_IF_USED},
    [STUD] = {"stud", "Stud", 0, 0},
    [SIDE] = {"stud_side", "Side", 0, COLUMN_DATA},
    [APART] = {"stud_in", "Apart", 2, COLUMN_DATA | COLUMN_RIGHT | COLUMN_INCHES},
    [WRITTEN] = {"written_ft", "Written", 2, COLUMN_DATA | COLUMN_IF_USED | COLUMN_RIGHT},
    [DEVICES] = {"devices", "Devices", 0, 0},
};

/* What is looked up once for all boxes: the heights of boxes, from the library. */
struct site {
    length box_height, round;
};

/* "W 4'", "L 2\"": a distance and the side it is to. */
static const char *side_words(struct arena *arena, const char *side, length l)
{
    return arena_printf(arena, "%s %s", side, length_words(arena, length_eighths(l)));
}

/* The nearest stud or joist, and how the box stands to it. */
static void stand_cells(struct arena *arena, const struct mounting *mounting, struct cell *row)
{
    const char *words = words_stand(arena, mounting);
    if (!words)
        return;
    row[STUD] = cell_shown(cell_text(mounting->stud ? words_stud(arena, mounting->stud)
                                                    : words_mounted_on(arena, mounting)),
                           words);
    row[SIDE] = cell_text(mounting->stand == STAND_ON ? "on" : words_mounted_side(mounting));
    row[APART] = cell_length(mounting->stand == STAND_ON ? 0 : mounting->apart);
}

static void place_cells(const struct results *r, const struct box_view *v, const struct site *site,
                        struct cell *row)
{
    const struct box *b = v->box;
    const struct box_type *type = v->fill->type;
    const struct mounting *mounting = &r->routes->mountings->of_box[b->id];
    const struct place *p = view_place_of_box(r, b);
    stand_cells(r->arena, mounting, row);
    row[WALL] = cell_text(v->wall);
    if (v->on_wall) {
        length height = type && type->gangs == 0 ? site->round : site->box_height;
        row[LEFT] = cell_length(p->from_left);
        row[RIGHT] = cell_length(b->room->walls[p->wall].length - p->from_left);
        row[UP] = cell_length(p->up);
        if (!b->compartment && height)
            row[BOTTOM] = cell_length(p->up - height / 2);
        if (mounting->moved)
            row[WRITTEN] = cell_length(b->place.from_left);
        return;
    }
    if (!v->wall)
        return;
    length west = p->at.x - b->room->low.x, south = p->at.y - b->room->low.y;
    row[LEFT].shown = side_words(r->arena, "W", west);
    row[RIGHT].shown = side_words(r->arena, "S", south);
    if (p->on_island)
        row[UP] = cell_length(p->up);
    row[WEST] = cell_length(west);
    row[SOUTH] = cell_length(south);
}

/* Several, parted by semicolons: some have a comma before their amperes. */
static const char *told_words(const struct results *r, const struct box_view *v)
{
    const char *words = v->box->device_count ? v->told[0] : NULL;
    for (uint32_t i = 1; i < v->box->device_count; i++)
        words = arena_printf(r->arena, "%s; %s", words, v->told[i]);
    return words;
}

static void add_box(const struct results *r, struct report *report, const struct box_view *v,
                    const struct site *site)
{
    struct cell *row = table_row(&report->rows);
    row[BOX] = cell_text(v->address);
    row[UNIT] = words_unit_cell(v->unit);
    row[ROOM] = cell_text(v->room);
    place_cells(r, v, site, row);
    row[TYPE] = cell_shown(cell_text(v->type), v->type_words);
    row[RING] = cell_text(v->ring);
    if (!v->box->compartment)
        row[GANGS] = cell_integer(v->fill->gangs);
    row[DEVICES] = cell_shown(cell_list(v->devices, v->box->device_count), told_words(r, v));
}

/* What is not where the plan writes it. */
static void note_moved(const struct results *r, struct report *report)
{
    struct buf moved = {0};
    for (uint32_t i = 0; i < r->model->boxes.n; i++) {
        const struct box_view *v = view_built_box(r, i);
        if (v && r->routes->mountings->of_box[i].moved)
            buf_printf(&moved, "%s%s", moved.n ? ", " : "", v->address);
    }
    if (moved.n)
        *vec_push(r->arena, &report->notes) = arena_printf(
            r->arena, "Written in front of a stud or joist, and set on its nearer side: %s.",
            buf_text(&moved));
    buf_free(&moved);
}

void report_boxes(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    struct site site = {.box_height = code_length(&r->model->code, SET_BOX_SPACE_BOX_HEIGHT, 0),
                        .round = code_length(&r->model->code, SET_BOX_SPACE_ROUND_WIDTH, 0)};
    uint32_t old = 0;
    for (uint32_t i = 0; i < r->model->boxes.n; i++)
        if (view_built_box(r, i)) {
            add_box(r, report, view_built_box(r, i), &site);
            old += r->model->boxes.at[i]->existing;
        }
    report->says =
        arena_printf(r->arena, "%s to set%s.",
                     arena_counted(r->arena, table_rows(&report->rows) - old, "box", "boxes"),
                     old ? arena_printf(r->arena, "; %u there already", old) : "");
    *vec_push(r->arena, &report->notes) =
        "Distances are to the centre of the box, from the wall's ends as one stands in the room "
        "and faces it, between the faces of the studs; W and S: on a ceiling or floor, from the "
        "room's west and south sides. Stud: the side of the stud or joist that it is nailed to, or "
        "how far its side is from the nearest; studs count from the wall's left end.";
    note_moved(r, report);
}
