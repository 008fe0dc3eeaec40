/* What is marked on the studs: where each box stands, what is nailed up, and what goes into it. */
#include "emit/reports/reports.h"
#include "emit/reports/studs.h"
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
    [STUD] = {"stud_side", "Stud", 0, COLUMN_RIGHT},
    [DEVICES] = {"devices", "Devices", 0, 0},
};

/* What is looked up once for all boxes: the heights of boxes, from the library, and the studs. */
struct site {
    length box_height, round;
    struct studs studs;
};

/* "W 4'", "L 2\"": a distance and the side it is to. */
static const char *side_words(struct arena *arena, const char *side, length l)
{
    return arena_printf(arena, "%s %s", side, length_words(arena, l));
}

/* The side of the nearest stud and how far its centre is. */
static struct cell stud_cell(struct arena *arena, struct stud stud)
{
    if (!stud.known)
        return cell_text(NULL);
    const char *away = stud.away ? side_words(arena, stud.left ? "L" : "R", stud.away) : "on it";
    return cell_shown(cell_text(stud.left ? "left" : "right"), away);
}

static void place_cells(const struct results *r, const struct box *b, const struct site *site,
                        struct cell *row)
{
    const struct fill *fill = &r->wiring->of_box[b->id];
    const struct place *p = &b->place;
    if (p->where == ON_WALL && p->wall < b->room->wall_count) {
        const struct wall *wall = &b->room->walls[p->wall];
        length height = fill->type && fill->type->gangs == 0 ? site->round : site->box_height;
        row[WALL] = cell_text(wall->name);
        row[LEFT] = cell_length(p->from_left);
        row[RIGHT] = cell_length(wall->length - p->from_left);
        row[UP] = cell_length(p->up);
        if (!b->compartment && height)
            row[BOTTOM] = cell_length(p->up - height / 2);
        if (!fill->type || !fill->type->old_work)
            row[STUD] = stud_cell(r->arena, stud_beside(&site->studs, b));
        return;
    }
    const char *where = p->where == OVERHEAD ? "overhead" : p->where == ON_FLOOR ? "floor" : NULL;
    if (!where)
        return;
    length west = p->at.x - b->room->low.x, south = p->at.y - b->room->low.y;
    row[WALL] = cell_text(where);
    row[LEFT].shown = side_words(r->arena, "W", west);
    row[RIGHT].shown = side_words(r->arena, "S", south);
    row[WEST] = cell_length(west);
    row[SOUTH] = cell_length(south);
}

static void add_box(const struct results *r, struct report *report, const struct box *b,
                    const struct site *site)
{
    const struct fill *fill = &r->wiring->of_box[b->id];
    struct cell *row = table_row(&report->rows);
    row[BOX] = cell_text(box_address(r->arena, b, false));
    row[UNIT] = unit_cell(b->room->unit);
    row[ROOM] = cell_text(room_address(r->arena, b->room, false));
    place_cells(r, b, site, row);
    if (fill->type) {
        const char *name = fill->type->name,
                   *ring = ring_words(r->arena, fill->type, b->room->finish);
        const char *shown = arena_printf(r->arena, "%s%s%s%s", name, ring ? ", ring " : "",
                                         ring ? ring : "", b->existing ? ", existing" : "");
        row[TYPE] = cell_shown(cell_text(name), shown);
        row[RING] = cell_text(ring);
    } else if (b->existing) {
        row[TYPE] = cell_shown((struct cell){0}, "existing");
    } else if (b->compartment) {
        row[TYPE] = cell_shown((struct cell){0}, "its own compartment");
    }
    if (!b->compartment)
        row[GANGS] = cell_integer(fill->gangs);
    row[DEVICES] = device_cell(r, b);
}

void report_boxes(const struct results *r, struct report *report)
{
    table_begin(&report->rows, r->arena, columns, sizeof columns / sizeof *columns);
    struct site site = {.box_height = code_length(&r->model->code, SET_BOX_SPACE_BOX_HEIGHT, 0),
                        .round = code_length(&r->model->code, SET_BOX_SPACE_ROUND_WIDTH, 0)};
    studs_find(&site.studs, r->arena, r->model);
    for (uint32_t i = 0; i < r->model->boxes.n; i++)
        if (is_built(r->model->boxes.at[i]->room->unit))
            add_box(r, report, r->model->boxes.at[i], &site);
    *vec_push(r->arena, &report->notes) =
        "Distances are to the centre of the box, from the wall's ends as one stands in the room "
        "and faces it, between the faces of the studs; "
        "W and S: on a ceiling or floor, from the room's west and south sides. Stud: how far from "
        "the box's centre that of the nearest stud is, to the left (L) or right (R).";
}
