/* Tables as text: columns as wide as they need where the page allows, else the widest give way and
 * their cells take several lines; on a narrow page a card a row. */
#include "emit/pages.h"
#include "emit/table.h"

#include "base/utf8.h"

#include <string.h>

enum {
    GAP = 2, /* between columns; 1 where they would have no room else */
    NARROWEST = 8,
    CARDS_BELOW = 60, /* cells of the page: many columns that wrap are hard to read there */
    FEW_COLUMNS = 3,  /* these are read even so, where no word is broken */
    INDENT = 2        /* of a card's lines */
};

/* What is known of a column before anything is written. */
struct text_column {
    const struct column *column;
    uint32_t index;
    unsigned natural;  /* widest line of its cells, and the heading's widest word */
    unsigned least[3]; /* how narrow it may get: without breaking words, breaking them at . - / and
                          >, breaking them anywhere */
    unsigned width;
};

struct text_table {
    const struct grid *table;
    struct text_column *columns;
    uint32_t count;
    const char **cells; /* as they are shown, `count` a row */
    unsigned gap;
};

/* --- pieces of lines ---------------------------------------------------------------------- */

/* The end of the line that begins at `text` and goes on to `end`: as much as fits in `width` cells,
 * broken at a blank, else behind one of . - / >, else anywhere. `next` is where the next line
 * begins. */
static const char *line_end(const char *text, const char *end, unsigned width, const char **next)
{
    const char *p = text, *blank = NULL, *joint = NULL;
    unsigned used = 0;
    while (p < end && *p != '\n') {
        size_t n;
        uint32_t c = utf8_next(p, end, &n);
        unsigned wide = c == '\t' || c == UTF8_BAD ? 1 : utf8_width(c);
        if (used + wide > width && p > text)
            break;
        if (c == ' ')
            blank = p;
        used += wide;
        p += n;
        if (c && c < 0x80 && strchr(".-/>", (int)c) && p < end && *p != ' ' && p - 1 > text)
            joint = p;
    }
    if (p == end || *p == '\n' || *p == ' ') {
        *next = p == end ? p : p + 1;
        return p;
    }
    if (blank && blank > text) {
        *next = blank + 1;
        return blank;
    }
    *next = joint ? joint : p;
    return *next;
}

/* The widest line of a text as it is written, or its widest piece between such signs. */
static unsigned widest(const char *text, const char *parts)
{
    unsigned most = 0;
    while (*text) {
        size_t n = strcspn(text, parts);
        unsigned cells = (unsigned)utf8_cells(text, n, 0);
        if (cells > most)
            most = cells;
        text += n;
        if (*text)
            text++;
    }
    return most;
}

static void pad(struct buf *out, const char *text, size_t len, unsigned width, bool right)
{
    size_t cells = utf8_cells(text, len, 0), blanks = cells < width ? width - cells : 0;
    if (right)
        buf_fill(out, ' ', blanks);
    for (size_t i = 0; i < len; i++)
        buf_putc(out, (unsigned char)text[i] < 0x20 ? ' ' : text[i]);
    if (!right)
        buf_fill(out, ' ', blanks);
}

static void trim(struct buf *out)
{
    while (out->n && out->at[out->n - 1] == ' ')
        out->n--;
}

/* --- widths ------------------------------------------------------------------------------- */

static void widen(unsigned *width, unsigned to)
{
    if (*width < to)
        *width = to;
}

static void measure_cell(struct text_column *c, const char *text)
{
    widen(&c->natural, widest(text, "\n"));
    widen(&c->least[0], widest(text, " \n"));
    widen(&c->least[1], widest(text, " \n.-/>") + 1);
}

static void measure(struct text_table *tt)
{
    uint32_t rows = table_rows(tt->table);
    for (uint32_t i = 0; i < tt->count; i++) {
        struct text_column *c = &tt->columns[i];
        c->natural = c->least[0] = c->least[1] = widest(c->column->heading, " ");
        for (uint32_t row = 0; row < rows; row++)
            measure_cell(c, tt->cells[row * tt->count + i]);
        c->least[2] = NARROWEST;
        if (c->column->flags & COLUMN_RIGHT)
            c->least[0] = c->least[1] = c->least[2] = c->natural;
        c->width = c->natural;
    }
}

static unsigned total_width(const struct text_table *tt)
{
    unsigned total = tt->count ? tt->gap * (tt->count - 1) : 0;
    for (uint32_t i = 0; i < tt->count; i++)
        total += tt->columns[i].width;
    return total;
}

/* The widest column that may still give way. */
static struct text_column *widest_column(struct text_table *tt, unsigned how)
{
    struct text_column *most = NULL;
    for (uint32_t i = 0; i < tt->count; i++) {
        struct text_column *c = &tt->columns[i];
        if (c->width > c->least[how] && (!most || c->width > most->width))
            most = c;
    }
    return most;
}

/* Words are broken only where nothing else helps. Gives how much they had to give way: 0, nothing
 * of a word; 3: they do not fit. */
static unsigned fit(struct text_table *tt, unsigned width)
{
    unsigned total = total_width(tt), how = 0;
    for (; how < 3 && total > width; how++)
        while (total > width) {
            struct text_column *c = widest_column(tt, how);
            if (!c)
                break;
            c->width--;
            total--;
        }
    return total > width ? 3 : how ? how - 1 : 0;
}

/* --- rows --------------------------------------------------------------------------------- */

/* One row of texts, over as many lines as it takes. Says how many. */
static unsigned print_row(const struct text_table *tt, const char *const *cells, struct buf *out)
{
    const char **rest = arena_array(tt->table->arena, const char *, tt->count),
               **ends = arena_array(tt->table->arena, const char *, tt->count);
    memcpy(rest, cells, tt->count * sizeof *rest);
    for (uint32_t i = 0; i < tt->count; i++)
        ends[i] = cells[i] + strlen(cells[i]);
    unsigned lines = 0;
    for (bool more = true; more; lines++) {
        more = false;
        for (uint32_t i = 0; i < tt->count; i++) {
            const struct text_column *c = &tt->columns[i];
            const char *next, *end = line_end(rest[i], ends[i], c->width, &next);
            pad(out, rest[i], (size_t)(end - rest[i]), c->width, c->column->flags & COLUMN_RIGHT);
            rest[i] = next;
            if (*next)
                more = true;
            buf_fill(out, ' ', tt->gap);
        }
        trim(out);
        buf_putc(out, '\n');
    }
    return lines;
}

static void print_rule(const struct text_table *tt, struct buf *out)
{
    for (uint32_t i = 0; i < tt->count; i++) {
        buf_fill(out, '-', tt->columns[i].width);
        buf_fill(out, ' ', tt->gap);
    }
    trim(out);
    buf_putc(out, '\n');
}

static void print_headings(const struct text_table *tt, struct buf *out)
{
    const char **heading = arena_array(tt->table->arena, const char *, tt->count);
    for (uint32_t i = 0; i < tt->count; i++)
        heading[i] = tt->columns[i].column->heading;
    print_row(tt, heading, out);
    print_rule(tt, out);
}

static void collect(struct text_table *tt)
{
    const struct grid *t = tt->table;
    tt->columns = arena_array(t->arena, struct text_column, t->column_count);
    for (uint32_t i = 0; i < t->column_count; i++)
        if (table_column_used(t, i, false))
            tt->columns[tt->count++] = (struct text_column){.column = &t->columns[i], .index = i};
    tt->cells = arena_array(t->arena, const char *, (size_t)table_rows(t) * tt->count);
    struct buf cell = {0};
    for (uint32_t row = 0; row < table_rows(t); row++)
        for (uint32_t i = 0; i < tt->count; i++) {
            cell.n = 0;
            cell_print(tt->columns[i].column,
                       &t->cells.at[row * t->column_count + tt->columns[i].index], &cell);
            tt->cells[row * tt->count + i] = arena_copy(t->arena, buf_text(&cell), cell.n);
        }
    buf_free(&cell);
}

/* --- cards -------------------------------------------------------------------------------- */

static bool is_on_top(const struct text_table *tt, uint32_t i, bool told)
{
    return told ? tt->columns[i].column->flags & COLUMN_TOP : i == 0;
}

/* The cells that say which row it is, beside each other. */
static void print_top(const struct text_table *tt, const char *const *cells, bool told,
                      unsigned width, struct buf *out)
{
    struct buf line = {0};
    for (uint32_t i = 0; i < tt->count; i++)
        if (is_on_top(tt, i, told) && *cells[i])
            buf_printf(&line, "%s%s", line.n ? "  " : "", cells[i]);
    table_print_paragraph(out, line.n ? buf_text(&line) : "-", width, 2 * INDENT);
    buf_free(&line);
}

/* The headings of a card stand in a column as wide as the widest, a third of the page at most. */
static unsigned heading_width(const struct text_table *tt, bool told, unsigned width)
{
    unsigned most = 0;
    for (uint32_t i = 0; i < tt->count; i++)
        if (!is_on_top(tt, i, told))
            widen(&most, (unsigned)utf8_cells(tt->columns[i].column->heading,
                                              strlen(tt->columns[i].column->heading), 0));
    return most > width / 3 ? width / 3 : most;
}

static void print_field(const char *heading, const char *value, unsigned wide, unsigned width,
                        struct buf *out)
{
    struct buf line = {0};
    buf_fill(&line, ' ', INDENT);
    buf_puts(&line, heading);
    if (line.n < INDENT + wide)
        buf_fill(&line, ' ', INDENT + wide - line.n);
    buf_fill(&line, ' ', GAP);
    buf_puts(&line, value);
    table_print_paragraph(out, buf_text(&line), width, INDENT + wide + GAP);
    buf_free(&line);
}

static void print_cards(const struct text_table *tt, struct page_text *text)
{
    bool told = false;
    for (uint32_t i = 0; i < tt->count; i++)
        told |= (tt->columns[i].column->flags & COLUMN_TOP) != 0;
    unsigned wide = heading_width(tt, told, text->width);
    for (uint32_t row = 0; row < table_rows(tt->table); row++) {
        const char *const *cells = &tt->cells[row * tt->count];
        pages_mark(text, PAGE_ROW);
        buf_puts(text->out, row ? "\n" : "");
        print_top(tt, cells, told, text->width, text->out);
        for (uint32_t i = 0; i < tt->count; i++)
            if (!is_on_top(tt, i, told) && *cells[i])
                print_field(tt->columns[i].column->heading, cells[i], wide, text->width, text->out);
    }
}

static bool is_read_as_cards(struct text_table *tt, unsigned width)
{
    unsigned natural = total_width(tt), how = fit(tt, width);
    if (how == 3) { /* all gave way that can: nearer to each other, perhaps */
        tt->gap = 1;
        for (uint32_t i = 0; i < tt->count; i++)
            tt->columns[i].width = tt->columns[i].natural;
        how = fit(tt, width);
        how = how < 2 ? how : 3; /* broken words that stand so near are not read */
    }
    return how == 3 || (natural > width && width < CARDS_BELOW && (how || tt->count > FEW_COLUMNS));
}

void table_pages(const struct grid *t, struct page_text *text)
{
    struct text_table tt = {.table = t, .gap = GAP};
    collect(&tt);
    measure(&tt);
    if (is_read_as_cards(&tt, text->width)) {
        print_cards(&tt, text);
        return;
    }
    if (!text->marks.n || text->marks.at[text->marks.n - 1].kind != PAGE_HEAD)
        pages_mark(text, PAGE_HEAD); /* else a title stands above, and is one head with these */
    print_headings(&tt, text->out);
    for (uint32_t row = 0; row < table_rows(t); row++) {
        pages_mark(text, PAGE_ROW);
        print_row(&tt, &tt.cells[row * tt.count], text->out);
    }
}

void table_text(const struct grid *t, struct buf *out, unsigned width)
{
    struct page_text text = {.arena = t->arena, .out = out, .width = width};
    table_pages(t, &text);
}

void table_print_paragraph(struct buf *out, const char *text, unsigned width, unsigned hang)
{
    const char *last = text + strlen(text);
    for (bool first = true; *text; first = false) {
        unsigned indent = first || hang >= width ? 0 : hang;
        const char *next, *end = line_end(text, last, width - indent, &next);
        buf_fill(out, ' ', indent);
        pad(out, text, (size_t)(end - text), 0, false);
        buf_putc(out, '\n');
        text = next;
    }
}
