/* A table of typed cells, written as text, CSV, JSON or Markdown from one description of its
 * columns.
 *
 * JSON and CSV carry figures (feet as decimals, in3, VA, A) under the columns' names, which are a
 * contract; text and Markdown are for people: headings, lengths as 12'-6", and other words where a
 * cell has them. Nothing is shortened; text wraps cells over lines where the page is too narrow.
 * Numbers are written without the locale. */
#ifndef STUDBAY_EMIT_TABLE_H
#define STUDBAY_EMIT_TABLE_H

#include "base/length.h"

#include <stdbool.h>
#include <stdint.h>

struct json;

enum cell_kind {
    CELL_NONE,
    CELL_TEXT,
    CELL_INTEGER,
    CELL_NUMBER,
    CELL_LENGTH,
    CELL_BOOL,
    CELL_LIST,
    CELL_RECORDS,
    CELL_JSON
};

enum { RECORD_FIELDS = 2 };

/* A cell of nested things: fields with the names in `name`, `count` records of `width` fields each,
 * one after another in `value`. */
struct records {
    const char *name[RECORD_FIELDS];
    uint32_t width, count;
    const char *const *value;
};

struct cell {
    enum cell_kind kind;
    const char *shown; /* what text and Markdown show in its place; NULL: the value itself */
    union {
        const char *text; /* CELL_TEXT; CELL_JSON: nested things, already JSON; people and CSV read
                             `shown` */
        int64_t integer;  /* CELL_INTEGER */
        double
            number; /* CELL_NUMBER, with the column's decimals; what is no number is left empty */
        length length; /* CELL_LENGTH */
        bool truth;    /* CELL_BOOL */
        struct {
            const char *const *item;
            uint32_t count;
        } list;                 /* CELL_LIST */
        struct records records; /* CELL_RECORDS */
    };
};

enum column_flags {
    COLUMN_RIGHT = 1,  /* figures stand to the right in text */
    COLUMN_INCHES = 2, /* a length that is written in inches, not feet */
    COLUMN_DATA = 4,   /* in JSON and CSV only: text shows it in another column */
    COLUMN_IF_USED =
        8, /* left out of text, CSV and Markdown, and of each JSON row, where it holds nothing */
    COLUMN_EXACT = 16, /* a size, not a distance: text does not round it */
    COLUMN_TOP = 32 /* stands in the first line of a card; where no column does, the first does */
};

struct column {
    const char *name;    /* in JSON and CSV */
    const char *heading; /* in text and Markdown */
    uint8_t decimals;    /* CELL_NUMBER, CELL_LENGTH */
    uint8_t flags;
};

struct grid {
    struct arena *arena;
    const struct column *columns;
    uint32_t column_count;
    VEC(struct cell) cells; /* rows of column_count cells, one after another */
};

/* An empty table; the cells live in the arena. */
void table_begin(struct grid *t, struct arena *arena, const struct column *columns,
                 uint32_t column_count);

/* Makes room for a row of empty cells and returns its first. It stays where it is until the next
 * row is begun. */
struct cell *table_row(struct grid *t);

/* The place of the column of that name, as JSON has it; the number of columns where there is none.
 */
uint32_t table_column_named(const struct grid *t, const char *name);

static inline uint32_t table_rows(const struct grid *t)
{
    return t->column_count ? t->cells.n / t->column_count : 0;
}

/* The place of the column of that name, which is there. */
uint32_t table_column(const struct grid *t, const char *name);

/* Cells; a NULL text is an empty cell. */
struct cell cell_text(const char *text);
struct cell cell_integer(int64_t n);
struct cell cell_number(double n);
struct cell cell_length(length l);
struct cell cell_bool(bool truth);
struct cell cell_list(const char *const *item, uint32_t count);
struct cell cell_records(const char *first, const char *second, const char *const *value,
                         uint32_t count);

/* Nested things as JSON, with the words that people and CSV read in their place. */
struct cell cell_json(const char *json, const char *shown);

/* The same cell with other words for people. */
struct cell cell_shown(struct cell c, const char *shown);

/* `n` with so many decimals, rounded half away from zero, without the locale. */
void table_print_number(struct buf *out, double n, unsigned decimals);

/* RFC 4180: a line of names, then the rows, CR LF at the ends of lines. */
void table_csv(const struct grid *t, struct buf *out);

/* The rows as a JSON array, one row a line. */
void table_json(const struct grid *t, struct json *j);

/* One row as a JSON object. */
void table_json_row(const struct grid *t, uint32_t row, struct json *j);

void table_markdown(const struct grid *t, struct buf *out);

/* Aligned, within `width` display cells. A cell that is wider than its column goes on below; where
 * the columns have no room beside each other, or little of it, each row is a card: its first cell,
 * and below it each other that holds something behind its heading. */
void table_text(const struct grid *t, struct buf *out, unsigned width);

/* The same onto text for pages, which may end behind a row. */
struct page_text;
void table_pages(const struct grid *t, struct page_text *text);

/* A paragraph within `width` display cells, its lines after the first indented by `hang` blanks;
 * Markdown escapes what would be markup. */
void table_print_paragraph(struct buf *out, const char *text, unsigned width, unsigned hang);
void table_print_markdown(struct buf *out, const char *text);

/* A cell as people read it; empty for an empty cell. */
void cell_print(const struct column *column, const struct cell *c, struct buf *out);

/* Whether a column is written in a format for people (`data` false) or in CSV (`data` true). */
bool table_column_used(const struct grid *t, uint32_t column, bool data);

#endif
