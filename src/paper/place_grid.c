/* The page in cells: who asks what lies near a place looks at a few of them. */
#include "paper/place_work.h"

enum { CELL = 8 * 1000, MOST_CELLS = 1 << 18 };

void place_grid_begin(struct arena *arena, struct place_grid *g, struct area page, uint32_t count)
{
    *g = (struct place_grid){.page = page, .cell = CELL};
    um width = page.right - page.left, height = page.bottom - page.top;
    while ((width / g->cell + 1) * (height / g->cell + 1) > MOST_CELLS)
        g->cell *= 2;
    g->columns = (int32_t)(width / g->cell + 1);
    g->rows = (int32_t)(height / g->cell + 1);
    g->cells = arena_array(arena, place_numbers, (size_t)g->columns * (size_t)g->rows);
    g->asked = arena_array(arena, uint32_t, count ? count : 1);
}

static int32_t cell_of(um distance, um cell, int32_t count)
{
    um at = distance < 0 ? 0 : distance / cell;
    return at < count ? (int32_t)at : count - 1;
}

static struct place_cells cells_of(const struct place_grid *g, struct area a)
{
    return (struct place_cells){cell_of(a.left - g->page.left, g->cell, g->columns),
                                cell_of(a.top - g->page.top, g->cell, g->rows),
                                cell_of(a.right - g->page.left, g->cell, g->columns) + 1,
                                cell_of(a.bottom - g->page.top, g->cell, g->rows) + 1};
}

static place_numbers *cell_at(const struct place_grid *g, int32_t column, int32_t row)
{
    return &g->cells[(size_t)row * (size_t)g->columns + (size_t)column];
}

void place_grid_add(struct arena *arena, struct place_grid *g, struct area a, uint32_t number)
{
    struct place_cells c = cells_of(g, a);
    for (int32_t row = c.top; row < c.bottom; row++)
        for (int32_t column = c.left; column < c.right; column++)
            *vec_push(arena, cell_at(g, column, row)) = number;
}

/* Row by row: what of the line lies in a row is as wide as a few cells where it is steep. */
void place_grid_add_line(struct arena *arena, struct place_grid *g, struct place_line l, um about,
                         uint32_t number)
{
    struct area all = area_grown(place_line_area(l), about);
    struct place_cells c = cells_of(g, all);
    um high = l.b.y - l.a.y;
    for (int32_t row = c.top; row < c.bottom; row++) {
        struct area a = all;
        um top = g->page.top + row * g->cell - about, bottom = top + g->cell + 2 * about;
        if (high && row > c.top && row + 1 < c.bottom) {
            um x1 = l.a.x + (l.b.x - l.a.x) * (top - l.a.y) / high,
               x2 = l.a.x + (l.b.x - l.a.x) * (bottom - l.a.y) / high;
            um low = (x1 < x2 ? x1 : x2) - about - 1, far = (x1 > x2 ? x1 : x2) + about + 1;
            a.left = a.left > low ? a.left : low;
            a.right = a.right < far ? a.right : far;
        }
        a.top = a.bottom = g->page.top + row * g->cell;
        place_grid_add(arena, g, a, number);
    }
}

void place_grid_remove(struct place_grid *g, struct area a, uint32_t number)
{
    struct place_cells c = cells_of(g, a);
    for (int32_t row = c.top; row < c.bottom; row++)
        for (int32_t column = c.left; column < c.right; column++) {
            place_numbers *cell = cell_at(g, column, row);
            uint32_t i = 0;
            while (cell->at[i] != number)
                i++;
            cell->at[i] = cell->at[--cell->n];
        }
}

struct place_look place_look_at(struct place_grid *g, struct area a)
{
    g->question++;
    struct place_cells c = cells_of(g, a);
    return (struct place_look){g, c, c.left, c.top, 0};
}

bool place_look_next(struct place_look *l, uint32_t *number)
{
    struct place_grid *g = l->grid;
    while (l->row < l->cells.bottom) {
        const place_numbers *cell = cell_at(g, l->column, l->row);
        while (l->at < cell->n) {
            *number = cell->at[l->at++];
            if (g->asked[*number] == g->question)
                continue;
            g->asked[*number] = g->question;
            return true;
        }
        l->at = 0;
        if (++l->column == l->cells.right) {
            l->column = l->cells.left;
            l->row++;
        }
    }
    return false;
}
