#include "sheets/grid.h"

#include <string.h>

enum {
    CELL_PAD = 1200,
    LEADING = 145, /* per cent of the capitals, from line to line */
    TICK = 2500,
    TICK_WIDE = 5500,
    GAP = 4000,
    LEAST_WIDE = 9000, /* a column that is pressed together */
    LEAST_ROWS = 3     /* of a table stand on the page that it begins on */
};

static const struct pen thin = {BLACK, NO_INK, LINE_FRAMING, DASH_NONE},
                        firm = {BLACK, NO_INK, LINE_EDGE, DASH_NONE};

struct layout {
    struct grid_pages *g;
    const struct grid *table;
    uint32_t *column; /* of the table, those that are drawn */
    um *wide;
    uint32_t count;
    um caps;
    bool ticks;
};

static um row_of(um caps)
{
    return caps * LEADING / 100;
}

/* --- pages ------------------------------------------------------------------------------------ */

static void begin_page(struct grid_pages *g)
{
    g->page = page_begin(g->set, g->title, g->under);
    g->y = g->page->inside.top + 2 * MM;
    if (g->begun)
        g->begun(g->page);
}

void grid_end(struct grid_pages *g)
{
    if (g->page)
        page_end(g->page);
    g->page = NULL;
}

/* Makes sure that so much stands on the page; whether a new one was begun. */
static bool need(struct grid_pages *g, um high)
{
    if (g->page && g->y + high <= g->page->inside.bottom)
        return false;
    grid_end(g);
    begin_page(g);
    return true;
}

void grid_say(struct grid_pages *g, const char *text, bool bold)
{
    struct lettering l = {.caps = CAPS_WORDS, .bold = bold};
    need(g, row_of(CAPS_WORDS));
    um wide = g->page->inside.right - g->page->inside.left, row = row_of(CAPS_WORDS);
    need(g, row * paper_rows(g->page->s, wide, l, text));
    g->y +=
        row * paper_write(g->page->s, g->page->inside.left, g->y + CAPS_WORDS, wide, row, l, text) +
        MM;
}

/* --- columns ---------------------------------------------------------------------------------- */

static const char *cell_words(const struct layout *l, uint32_t row, uint32_t column)
{
    struct arena *arena = l->g->set->r->arena;
    struct buf b = {0};
    cell_print(&l->table->columns[column],
               &l->table->cells.at[(size_t)row * l->table->column_count + column], &b);
    const char *text = arena_copy(arena, b.n ? b.at : "", b.n);
    buf_free(&b);
    return text;
}

/* Lines of a cell are parted by newlines. */
static um widest_line(const struct sheet *s, struct lettering l, const char *text)
{
    um widest = 0;
    while (*text) {
        size_t len = strcspn(text, "\n");
        um wide = paper_text_width(s, l, arena_copy(s->paper->arena, text, len));
        widest = wide > widest ? wide : widest;
        text += len + (text[len] == '\n');
    }
    return widest;
}

static um natural_widths(struct layout *l)
{
    const struct sheet *s = l->g->page->s;
    um sum = l->ticks ? TICK_WIDE : 0;
    for (uint32_t i = 0; i < l->count; i++) {
        const struct column *c = &l->table->columns[l->column[i]];
        l->wide[i] = widest_line(s, (struct lettering){.caps = l->caps, .bold = true}, c->heading);
        for (uint32_t row = 0; row < table_rows(l->table); row++) {
            um wide = widest_line(s, (struct lettering){.caps = l->caps},
                                  cell_words(l, row, l->column[i]));
            l->wide[i] = wide > l->wide[i] ? wide : l->wide[i];
        }
        l->wide[i] += 2 * CELL_PAD + MM / 10;
        sum += l->wide[i];
    }
    return sum;
}

/* Takes from the widest columns until all fit: none becomes narrower than those that were. */
static void press(struct layout *l, um available)
{
    um limit = available;
    for (um low = LEAST_WIDE, high = available; low <= high;) {
        um middle = (low + high) / 2, sum = l->ticks ? TICK_WIDE : 0;
        for (uint32_t i = 0; i < l->count; i++)
            sum += l->wide[i] < middle ? l->wide[i] : middle;
        if (sum <= available) {
            limit = middle;
            low = middle + 1;
        } else {
            limit = low < limit ? low : limit;
            high = middle - 1;
        }
    }
    for (uint32_t i = 0; i < l->count; i++)
        if (l->wide[i] > limit)
            l->wide[i] = limit;
}

static struct layout lay_out(struct grid_pages *g, const struct grid *table, bool ticks)
{
    struct arena *arena = g->set->r->arena;
    struct layout l = {.g = g,
                       .table = table,
                       .column = arena_array(arena, uint32_t, table->column_count),
                       .wide = arena_array(arena, um, table->column_count),
                       .caps = CAPS_WORDS,
                       .ticks = ticks};
    um available = g->page->inside.right - g->page->inside.left;
    for (uint32_t i = 0; i < table->column_count; i++)
        if (table_column_used(table, i, false))
            l.column[l.count++] = i;
    if (natural_widths(&l) > available) {
        l.caps = CAPS_NOTE;
        if (natural_widths(&l) > available)
            press(&l, available);
    }
    return l;
}

/* --- rows ------------------------------------------------------------------------------------- */

/* Writes a cell from the base line `y` on, or only counts its lines. */
static uint32_t write_cell(const struct layout *l, uint32_t i, const char *text, bool bold, um x,
                           um y, bool draw)
{
    struct sheet *s = l->g->page->s;
    bool right = l->table->columns[l->column[i]].flags & COLUMN_RIGHT;
    struct lettering letters = {.caps = l->caps, .bold = bold, .anchor = right ? AT_END : AT_START};
    um width = l->wide[i] - 2 * CELL_PAD, row = row_of(l->caps),
       at = right ? x + l->wide[i] - CELL_PAD : x + CELL_PAD;
    uint32_t lines = 0;
    while (*text) {
        size_t len = strcspn(text, "\n");
        const char *line = arena_copy(s->paper->arena, text, len);
        lines += draw ? paper_write(s, at, y + (um)lines * row, width, row, letters, line)
                      : paper_rows(s, width, letters, line);
        text += len + (text[len] == '\n');
    }
    return lines;
}

static void rule(const struct layout *l, um y, struct pen pen)
{
    um right = l->g->page->inside.left + (l->ticks ? TICK_WIDE : 0);
    for (uint32_t i = 0; i < l->count; i++)
        right += l->wide[i];
    paper_line(l->g->page->s, l->g->page->inside.left, y, right, y, pen);
}

/* The cells of a row, the heads where `row` is none. */
static const char *words_of(const struct layout *l, uint32_t row, uint32_t i)
{
    return row == UINT32_MAX ? l->table->columns[l->column[i]].heading
                             : cell_words(l, row, l->column[i]);
}

static um row_height(const struct layout *l, uint32_t row)
{
    uint32_t most = 1;
    for (uint32_t i = 0; i < l->count; i++) {
        uint32_t lines = write_cell(l, i, words_of(l, row, i), row == UINT32_MAX, 0, 0, false);
        most = lines > most ? lines : most;
    }
    return (um)most * row_of(l->caps) + MM;
}

static void draw_row(const struct layout *l, uint32_t row)
{
    struct grid_pages *g = l->g;
    um x = g->page->inside.left, y = g->y + l->caps + MM / 2, high = row_height(l, row);
    if (l->ticks && row != UINT32_MAX)
        paper_rect(g->page->s,
                   (struct area){x + MM, y - TICK + (TICK - l->caps) / 2, x + MM + TICK,
                                 y + (TICK - l->caps) / 2},
                   0, (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
    x += l->ticks ? TICK_WIDE : 0;
    for (uint32_t i = 0; i < l->count; i++) {
        write_cell(l, i, words_of(l, row, i), row == UINT32_MAX, x, y, true);
        x += l->wide[i];
    }
    g->y += high;
    rule(l, g->y, row == UINT32_MAX ? firm : thin);
}

void grid_draw(struct grid_pages *g, const char *title, const struct grid *table, bool ticks)
{
    uint32_t rows = table_rows(table);
    if (!rows)
        return;
    if (!g->page)
        begin_page(g);
    struct layout l = lay_out(g, table, ticks);
    um head = row_height(&l, UINT32_MAX) + (title ? row_of(CAPS_WORDS) + MM : 0), first = head;
    for (uint32_t i = 0; i < rows && i < LEAST_ROWS; i++)
        first += row_height(&l, i);
    need(g, first < g->page->inside.bottom - g->page->inside.top ? first : head);
    if (title)
        grid_say(g, title, true);
    draw_row(&l, UINT32_MAX);
    for (uint32_t i = 0; i < rows; i++) {
        if (need(g, row_height(&l, i)))
            draw_row(&l, UINT32_MAX);
        draw_row(&l, i);
    }
    g->y += GAP;
}

void grid_draw_in(struct grid_pages *g, const struct grid *table)
{
    uint32_t rows = table_rows(table), i = 0;
    struct layout l = lay_out(g, table, false);
    um bottom = g->page->inside.bottom - row_of(CAPS_WORDS) - MM;
    if (!rows)
        return;
    draw_row(&l, UINT32_MAX);
    while (i < rows && g->y + row_height(&l, i) <= bottom)
        draw_row(&l, i++);
    if (i < rows)
        grid_say(g, arena_printf(g->set->r->arena, "and %u more", rows - i), false);
}
