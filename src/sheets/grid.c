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
    if (g->page && g->ticks)
        page_task(g->page, "Done: all %u line%s of this sheet", g->ticks, g->ticks == 1 ? "" : "s");
    if (g->page)
        page_end(g->page);
    g->page = NULL;
    g->ticks = 0;
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
    um row = row_of(CAPS_WORDS);
    need(g, row);
    um high = g->page->inside.bottom - g->page->inside.top - 2 * MM;
    const char *const *lines;
    uint32_t count =
        paper_lines(g->page->s, g->page->inside.right - g->page->inside.left, l, text, &lines);
    need(g, count * row < high ? count * row : row);
    for (uint32_t i = 0; i < count; i++) {
        need(g, row);
        paper_text(g->page->s, g->page->inside.left, g->y + CAPS_WORDS, l, lines[i]);
        g->y += row;
    }
    g->y += MM;
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

/* On paper a column that is empty in every row is left out, whatever the report has it for. */
static bool says_something(const struct layout *l, uint32_t column)
{
    for (uint32_t row = 0; row < table_rows(l->table); row++)
        if (*cell_words(l, row, column))
            return true;
    return false;
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
        if (table_column_used(table, i, false) && says_something(&l, i))
            l.column[l.count++] = i;
    if (natural_widths(&l) > available) {
        l.caps = CAPS_NOTE;
        if (natural_widths(&l) > available)
            press(&l, available);
    }
    return l;
}

/* --- rows ------------------------------------------------------------------------------------- */

struct broken {
    VEC(const char *) lines;
};

/* A row of a table, or its heads, in lines. */
struct row {
    struct broken *cells;
    uint32_t lines; /* of the highest cell */
    bool head;
};

static struct lettering letters_of(const struct layout *l, bool head, uint32_t i)
{
    bool right = l->table->columns[l->column[i]].flags & COLUMN_RIGHT;
    return (struct lettering){.caps = l->caps, .bold = head, .anchor = right ? AT_END : AT_START};
}

static void break_cell(const struct layout *l, uint32_t i, const char *text, bool head,
                       struct broken *cell)
{
    const struct sheet *s = l->g->page->s;
    struct arena *arena = l->g->set->r->arena;
    while (*text) {
        const char *const *lines;
        size_t len = strcspn(text, "\n");
        uint32_t count = paper_lines(s, l->wide[i] - 2 * CELL_PAD, letters_of(l, head, i),
                                     arena_copy(arena, text, len), &lines);
        for (uint32_t k = 0; k < count; k++)
            *vec_push(arena, &cell->lines) = lines[k];
        text += len + (text[len] == '\n');
    }
}

/* The row of that number, the heads where it is none. */
static struct row break_row(const struct layout *l, uint32_t number)
{
    struct row row = {.cells = arena_array(l->g->set->r->arena, struct broken, l->count),
                      .lines = 1,
                      .head = number == UINT32_MAX};
    for (uint32_t i = 0; i < l->count; i++) {
        break_cell(l, i,
                   row.head ? l->table->columns[l->column[i]].heading
                            : cell_words(l, number, l->column[i]),
                   row.head, &row.cells[i]);
        row.lines = row.cells[i].lines.n > row.lines ? row.cells[i].lines.n : row.lines;
    }
    return row;
}

static um height_of(const struct layout *l, const struct row *row)
{
    return (um)row->lines * row_of(l->caps) + MM;
}

static void rule(const struct layout *l, um y, struct pen pen)
{
    um right = l->g->page->inside.left + (l->ticks ? TICK_WIDE : 0);
    for (uint32_t i = 0; i < l->count; i++)
        right += l->wide[i];
    paper_line(l->g->page->s, l->g->page->inside.left, y, right, y, pen);
}

static void draw_tick(struct grid_pages *g, um x, um y, um caps)
{
    paper_rect(g->page->s,
               (struct area){x, y - TICK + (TICK - caps) / 2, x + TICK, y + (TICK - caps) / 2}, 0,
               (struct pen){BLACK, NO_INK, LINE_THIN, DASH_NONE});
    g->ticks++;
}

/* A box to be ticked, which a table has as "[ ]", or words. */
static void draw_words(const struct layout *l, um x, um y, struct lettering letters,
                       const char *words)
{
    if (strcmp(words, "[ ]"))
        paper_text(l->g->page->s, x, y, letters, words);
    else
        draw_tick(l->g, letters.anchor == AT_END ? x - TICK : x, y, l->caps);
}

/* Its lines from `first` on, so many, with the rule below them. */
static void draw_lines(const struct layout *l, const struct row *row, uint32_t first,
                       uint32_t count)
{
    struct grid_pages *g = l->g;
    um x = g->page->inside.left, between = row_of(l->caps), y = g->y + (MM + between + l->caps) / 2;
    if (l->ticks && !row->head && !first)
        draw_tick(g, x + MM, y, l->caps);
    x += l->ticks ? TICK_WIDE : 0;
    for (uint32_t i = 0; i < l->count; i++) {
        struct lettering letters = letters_of(l, row->head, i);
        um at = letters.anchor == AT_END ? x + l->wide[i] - CELL_PAD : x + CELL_PAD;
        for (uint32_t k = 0; k < count && first + k < row->cells[i].lines.n; k++)
            draw_words(l, at, y + k * between, letters, row->cells[i].lines.at[first + k]);
        x += l->wide[i];
    }
    g->y += count * between + MM;
    rule(l, g->y, row->head ? firm : thin);
}

/* A row that is higher than a page goes on over the next ones, below the heads. */
static void draw_row(const struct layout *l, const struct row *head, const struct row *row)
{
    struct grid_pages *g = l->g;
    um page = g->page->inside.bottom - g->page->inside.top - 2 * MM - height_of(l, head);
    if (need(g, height_of(l, row) <= page ? height_of(l, row) : row_of(l->caps) + MM))
        draw_lines(l, head, 0, head->lines);
    for (uint32_t done = 0; done < row->lines;) {
        um room = (g->page->inside.bottom - g->y - MM) / row_of(l->caps);
        uint32_t fits = room < 1 ? 1 : (uint32_t)room, left = row->lines - done,
                 now = left < fits ? left : fits;
        draw_lines(l, row, done, now);
        done += now;
        if (done < row->lines) {
            grid_end(g);
            begin_page(g);
            draw_lines(l, head, 0, head->lines);
        }
    }
}

void grid_draw(struct grid_pages *g, const char *title, const struct grid *table, bool ticks)
{
    uint32_t rows = table_rows(table);
    if (!rows)
        return;
    if (!g->page)
        begin_page(g);
    struct layout l = lay_out(g, table, ticks);
    struct row head = break_row(&l, UINT32_MAX);
    um top = height_of(&l, &head) + (title ? row_of(CAPS_WORDS) + MM : 0), first = top;
    for (uint32_t i = 0; i < rows && i < LEAST_ROWS; i++) {
        struct row row = break_row(&l, i);
        first += height_of(&l, &row);
    }
    need(g, first < g->page->inside.bottom - g->page->inside.top ? first : top);
    if (title)
        grid_say(g, title, true);
    draw_lines(&l, &head, 0, head.lines);
    for (uint32_t i = 0; i < rows; i++) {
        struct row row = break_row(&l, i);
        draw_row(&l, &head, &row);
    }
    g->y += GAP;
}

void grid_draw_in(struct grid_pages *g, const struct grid *table)
{
    uint32_t rows = table_rows(table), i = 0;
    struct layout l = lay_out(g, table, false);
    struct row head = break_row(&l, UINT32_MAX);
    um bottom = g->page->inside.bottom - row_of(CAPS_WORDS) - MM;
    if (!rows)
        return;
    draw_lines(&l, &head, 0, head.lines);
    for (; i < rows; i++) {
        struct row row = break_row(&l, i);
        if (g->y + height_of(&l, &row) > bottom)
            break;
        draw_lines(&l, &row, 0, row.lines);
    }
    if (i < rows) {
        g->y += MM;
        grid_say(g, arena_printf(g->set->r->arena, "and %u more", rows - i), false);
    }
}
