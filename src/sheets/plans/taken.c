#include "sheets/plans/taken.h"

#include "paper/place_geometry.h"

enum { CELL = 5000 };

struct plan_taken *plan_taken_new(struct arena *arena, um width, um height)
{
    struct plan_taken *t = arena_new(arena, struct plan_taken);
    *t = (struct plan_taken){.arena = arena,
                             .sheet = {0, 0, width, height},
                             .columns = width / CELL + 1,
                             .rows = height / CELL + 1};
    t->cells = arena_array(arena, plan_areas, (size_t)(t->columns * t->rows));
    return t;
}

static um cell_of(um at, um count)
{
    um cell = at < 0 ? 0 : at / CELL;
    return cell < count ? cell : count - 1;
}

/* The cells that an area reaches into: columns and rows, both ends with them. */
static struct area cells_of(const struct plan_taken *t, struct area a)
{
    return (struct area){cell_of(a.left, t->columns), cell_of(a.top, t->rows),
                         cell_of(a.right, t->columns), cell_of(a.bottom, t->rows)};
}

static plan_areas *cell_at(const struct plan_taken *t, um x, um y)
{
    return &t->cells[y * t->columns + x];
}

void plan_take(struct plan_taken *t, struct area a, enum plan_by by)
{
    if (!area_meets(a, t->sheet))
        return;
    struct area c = cells_of(t, a);
    for (um y = c.top; y <= c.bottom; y++)
        for (um x = c.left; x <= c.right; x++)
            *vec_push(t->arena, cell_at(t, x, y)) = (struct plan_area){a, by};
}

/* A slanting line is a row of squares, no further apart than they are wide. */
void plan_take_line(struct plan_taken *t, struct spot a, struct spot b, um width, enum plan_by by)
{
    struct place_line l = {a, b};
    if (a.x == b.x || a.y == b.y) {
        plan_take(t, area_grown(place_line_area(l), width / 2), by);
        return;
    }
    if (!place_line_cut(&l, t->sheet))
        return;
    um dx = l.b.x - l.a.x, dy = l.b.y - l.a.y, far = dx < 0 ? -dx : dx, down = dy < 0 ? -dy : dy,
       parts = (far > down ? far : down) / width + 1;
    for (um i = 0; i <= parts; i++) {
        um x = l.a.x + dx * i / parts, y = l.a.y + dy * i / parts;
        plan_take(t, area_grown((struct area){x, y, x, y}, width / 2), by);
    }
}

/* What is asked: whether something of a cell is taken by those and lies elsewhere. */
struct question {
    unsigned by;
    bool elsewhere;
    struct area own; /* what meets it does not count */
};

static bool counts(const struct question *q, const struct plan_area *p)
{
    return p->by & q->by && !(q->elsewhere && area_meets(p->a, q->own));
}

static bool area_is_met(const struct plan_taken *t, struct area a, const struct question *q)
{
    struct area c = cells_of(t, a);
    for (um y = c.top; y <= c.bottom; y++)
        for (um x = c.left; x <= c.right; x++) {
            const plan_areas *list = cell_at(t, x, y);
            for (uint32_t i = 0; i < list->n; i++)
                if (area_meets(list->at[i].a, a) && counts(q, &list->at[i]))
                    return true;
        }
    return false;
}

static bool cell_is_met(const plan_areas *list, struct place_line l, um half,
                        const struct question *q)
{
    for (uint32_t i = 0; i < list->n; i++)
        if (counts(q, &list->at[i]) && place_line_in(l, area_grown(list->at[i].a, half)))
            return true;
    return false;
}

/* Row by row of cells, in those that the line passes with half of its width about it. */
static bool line_is_met(const struct plan_taken *t, struct place_line l, um width,
                        const struct question *q)
{
    um half = width / 2;
    struct area c = cells_of(t, area_grown(place_line_area(l), half));
    for (um y = c.top; y <= c.bottom; y++) {
        struct area row = {t->sheet.left - half, y * CELL - half, t->sheet.right + half,
                           (y + 1) * CELL + half};
        struct place_line part = l;
        if (l.a.y != l.b.y && !place_line_cut(&part, row))
            continue;
        struct area in = cells_of(t, area_grown(place_line_area(part), half));
        for (um x = in.left; x <= in.right; x++)
            if (cell_is_met(cell_at(t, x, y), l, half, q))
                return true;
    }
    return false;
}

static struct question near(unsigned by, struct spot place)
{
    return (struct question){by, true,
                             area_grown((struct area){place.x, place.y, place.x, place.y}, MM / 2)};
}

bool plan_meets(const struct plan_taken *t, struct area a, unsigned by)
{
    return area_is_met(t, a, &(struct question){.by = by});
}

bool plan_line_meets(const struct plan_taken *t, struct spot a, struct spot b, um width,
                     unsigned by)
{
    return line_is_met(t, (struct place_line){a, b}, width, &(struct question){.by = by});
}

bool plan_meets_elsewhere(const struct plan_taken *t, struct area a, unsigned by, struct spot place)
{
    struct question q = near(by, place);
    return area_is_met(t, a, &q);
}

bool plan_line_meets_elsewhere(const struct plan_taken *t, struct spot a, struct spot b, um width,
                               unsigned by, struct spot place)
{
    struct question q = near(by, place);
    return line_is_met(t, (struct place_line){a, b}, width, &q);
}
