/* Tables as CSV, JSON and Markdown, and the cells that all formats share. */
#include "emit/table.h"

#include "base/json.h"

#include <math.h>
#include <string.h>

/* --- cells -------------------------------------------------------------------------------- */

void table_begin(struct grid *t, struct arena *arena, const struct column *columns,
                 uint32_t column_count)
{
    *t = (struct grid){.arena = arena, .columns = columns, .column_count = column_count};
}

struct cell *table_row(struct grid *t)
{
    uint32_t first = t->cells.n;
    for (uint32_t i = 0; i < t->column_count; i++)
        *vec_push(t->arena, &t->cells) = (struct cell){0};
    return &t->cells.at[first];
}

uint32_t table_column(const struct grid *t, const char *name)
{
    uint32_t i = 0;
    while (strcmp(t->columns[i].name, name))
        i++;
    return i;
}

struct cell cell_text(const char *text)
{
    return text ? (struct cell){.kind = CELL_TEXT, .text = text} : (struct cell){0};
}

struct cell cell_integer(int64_t n)
{
    return (struct cell){.kind = CELL_INTEGER, .integer = n};
}

struct cell cell_number(double n)
{
    return isfinite(n) ? (struct cell){.kind = CELL_NUMBER, .number = n} : (struct cell){0};
}

struct cell cell_length(length l)
{
    return (struct cell){.kind = CELL_LENGTH, .length = l};
}

struct cell cell_bool(bool truth)
{
    return (struct cell){.kind = CELL_BOOL, .truth = truth};
}

struct cell cell_list(const char *const *item, uint32_t count)
{
    return (struct cell){.kind = CELL_LIST, .list = {item, count}};
}

struct cell cell_records(const char *first, const char *second, const char *const *value,
                         uint32_t count)
{
    return (struct cell){.kind = CELL_RECORDS,
                         .records = {{first, second}, RECORD_FIELDS, count, value}};
}

struct cell cell_json(const char *json, const char *shown)
{
    return (struct cell){.kind = CELL_JSON, .text = json, .shown = shown};
}

struct cell cell_shown(struct cell c, const char *shown)
{
    c.shown = shown;
    return c;
}

/* --- figures ------------------------------------------------------------------------------ */

void table_print_number(struct buf *out, double n, unsigned decimals)
{
    static const double scale[] = {1, 10, 100, 1000, 10000};
    if (decimals > 4)
        decimals = 4;
    if (!isfinite(n) || fabs(n) > 1e14) {
        buf_putc(out, '0');
        return;
    }
    /* the nudge makes 2.675, which lies a hair below, round as a reader of the figure would */
    long long whole = llround(n * scale[decimals] + (n < 0 ? -1e-7 : 1e-7));
    if (whole < 0)
        buf_putc(out, '-');
    unsigned long long rest = whole < 0 ? 0 - (unsigned long long)whole : (unsigned long long)whole,
                       one = (unsigned long long)scale[decimals];
    buf_printf(out, "%llu", rest / one);
    if (decimals)
        buf_printf(out, ".%0*llu", (int)decimals, rest % one);
}

/* A length as data, in the column's unit. */
static void print_measure(const struct column *column, length l, struct buf *out)
{
    table_print_number(out, column->flags & COLUMN_INCHES ? length_inches(l) : length_feet(l),
                       column->decimals);
}

static void print_list(const struct cell *c, struct buf *out, const char *between)
{
    for (uint32_t i = 0; i < c->list.count; i++) {
        buf_puts(out, i ? between : "");
        buf_puts(out, c->list.item[i]);
    }
}

static void print_records(const struct cell *c, struct buf *out, const char *between)
{
    const struct records *r = &c->records;
    for (uint32_t i = 0; i < r->count; i++) {
        buf_puts(out, i ? between : "");
        for (uint32_t k = 0; k < r->width; k++) {
            const char *value = r->value[i * r->width + k];
            buf_puts(out, k && value ? " " : "");
            buf_puts(out, value ? value : "");
        }
    }
}

/* What people and CSV have in common. */
static void print_plain(const struct column *column, const struct cell *c, struct buf *out,
                        const char *between)
{
    switch (c->kind) {
    case CELL_NONE:
        break;
    case CELL_TEXT:
        buf_puts(out, c->text);
        break;
    case CELL_INTEGER:
        buf_printf(out, "%lld", (long long)c->integer);
        break;
    case CELL_NUMBER:
        table_print_number(out, c->number, column->decimals);
        break;
    case CELL_LENGTH:
        print_measure(column, c->length, out);
        break;
    case CELL_BOOL:
        buf_puts(out, c->truth ? "true" : "false");
        break;
    case CELL_LIST:
        print_list(c, out, between);
        break;
    case CELL_RECORDS:
        print_records(c, out, between);
        break;
    case CELL_JSON:
        buf_puts(out, c->shown);
        break;
    }
}

/* A length as people read it on a tape. */
static void print_length(const struct column *column, length l, struct buf *out)
{
    length told = column->flags & COLUMN_EXACT ? l : length_eighths(l);
    if (column->flags & COLUMN_INCHES)
        length_print_inches(out, told);
    else
        length_print(out, told);
}

void cell_print(const struct column *column, const struct cell *c, struct buf *out)
{
    if (c->shown)
        buf_puts(out, c->shown);
    else if (c->kind == CELL_LENGTH)
        print_length(column, c->length, out);
    else if (c->kind == CELL_BOOL)
        buf_puts(out, c->truth ? "yes" : "");
    else if (c->kind == CELL_RECORDS)
        print_records(c, out, "\n");
    else
        print_plain(column, c, out, ", ");
}

bool table_column_used(const struct grid *t, uint32_t column, bool data)
{
    uint8_t flags = t->columns[column].flags;
    if (flags & COLUMN_DATA && !data)
        return false;
    if (!(flags & COLUMN_IF_USED))
        return true;
    for (uint32_t i = column; i < t->cells.n; i += t->column_count)
        if (t->cells.at[i].kind != CELL_NONE ||
            (!data && t->cells.at[i].shown && *t->cells.at[i].shown))
            return true;
    return false;
}

/* --- CSV ---------------------------------------------------------------------------------- */

/* What a spreadsheet would reckon instead of showing it: a quote before it makes it a text. One
 * that begins with such quotes already gets one more, so that whoever reads it takes one away in
 * any case. */
static bool is_formula(const struct cell *c, const char *text)
{
    bool of_plan = c->kind == CELL_TEXT || c->kind == CELL_LIST || c->kind == CELL_RECORDS ||
                   c->kind == CELL_JSON;
    text += strspn(text, "'");
    return of_plan && *text && strchr("=+-@\t\r\n", *text);
}

static void csv_field(struct buf *out, const char *text)
{
    if (!strpbrk(text, ",\"\r\n")) {
        buf_puts(out, text);
        return;
    }
    buf_putc(out, '"');
    for (; *text; text++) {
        if (*text == '"')
            buf_putc(out, '"');
        buf_putc(out, *text);
    }
    buf_putc(out, '"');
}

/* Which columns are written, looked up once for all rows. */
static const bool *columns_used(const struct grid *t, bool data)
{
    bool *used = arena_array(t->arena, bool, t->column_count);
    for (uint32_t i = 0; i < t->column_count; i++)
        used[i] = table_column_used(t, i, data);
    return used;
}

uint32_t table_column_named(const struct grid *t, const char *name)
{
    uint32_t i = 0;
    while (i < t->column_count && strcmp(t->columns[i].name, name) != 0)
        i++;
    return i;
}

void table_csv(const struct grid *t, struct buf *out)
{
    struct buf field = {0};
    const bool *used = columns_used(t, true);
    bool any = false;
    for (uint32_t i = 0; i < t->column_count; i++) {
        if (!used[i])
            continue;
        buf_puts(out, any ? "," : "");
        csv_field(out, t->columns[i].name);
        any = true;
    }
    buf_puts(out, "\r\n");
    for (uint32_t row = 0; row < table_rows(t); row++) {
        any = false;
        for (uint32_t i = 0; i < t->column_count; i++) {
            if (!used[i])
                continue;
            const struct cell *cell = &t->cells.at[row * t->column_count + i];
            field.n = 0;
            buf_putc(&field, '\'');
            print_plain(&t->columns[i], cell, &field, "; ");
            buf_puts(out, any ? "," : "");
            csv_field(out, buf_text(&field) + !is_formula(cell, buf_text(&field) + 1));
            any = true;
        }
        buf_puts(out, "\r\n");
    }
    buf_free(&field);
}

/* --- JSON --------------------------------------------------------------------------------- */

static void json_list(struct json *j, const char *const *item, uint32_t count)
{
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < count; i++)
        json_text(j, item[i]);
    json_end(j);
}

static void json_records(struct json *j, const struct records *r)
{
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < r->count; i++) {
        json_begin_object(j, JSON_ROW);
        for (uint32_t k = 0; k < r->width; k++)
            json_string_member(j, r->name[k], r->value[i * r->width + k]);
        json_end(j);
    }
    json_end(j);
}

static void json_cell(struct json *j, const struct column *column, const struct cell *c)
{
    switch (c->kind) {
    case CELL_NONE:
        json_text(j, NULL);
        break;
    case CELL_TEXT:
        json_text(j, c->text);
        break;
    case CELL_LIST:
        json_list(j, c->list.item, c->list.count);
        break;
    case CELL_RECORDS:
        json_records(j, &c->records);
        break;
    case CELL_JSON:
        buf_puts(json_value(j), c->text);
        break;
    default:
        print_plain(column, c, json_value(j), "");
        break;
    }
}

void table_json_row(const struct grid *t, uint32_t row, struct json *j)
{
    json_begin_object(j, JSON_ROW);
    for (uint32_t i = 0; i < t->column_count; i++) {
        const struct cell *c = &t->cells.at[row * t->column_count + i];
        if (c->kind == CELL_NONE && t->columns[i].flags & COLUMN_IF_USED)
            continue;
        json_key(j, t->columns[i].name);
        json_cell(j, &t->columns[i], c);
    }
    json_end(j);
}

void table_json(const struct grid *t, struct json *j)
{
    json_begin_array(j, JSON_LINES);
    for (uint32_t row = 0; row < table_rows(t); row++)
        table_json_row(t, row, j);
    json_end(j);
}

/* --- Markdown ----------------------------------------------------------------------------- */

void table_print_markdown(struct buf *out, const char *text)
{
    for (; *text; text++) {
        if (*text == '\n') {
            buf_puts(out, "<br>");
            continue;
        }
        if (strchr("\\`*_[]<>|#~&", *text))
            buf_putc(out, '\\');
        buf_putc(out, *text);
    }
}

static void markdown_row(const struct grid *t, uint32_t row, const bool *used, struct buf *cell,
                         struct buf *out)
{
    for (uint32_t i = 0; i < t->column_count; i++) {
        if (!used[i])
            continue;
        cell->n = 0;
        cell_print(&t->columns[i], &t->cells.at[row * t->column_count + i], cell);
        buf_puts(out, "| ");
        table_print_markdown(out, buf_text(cell));
        buf_putc(out, ' ');
    }
    buf_puts(out, "|\n");
}

void table_markdown(const struct grid *t, struct buf *out)
{
    const bool *used = columns_used(t, false);
    for (uint32_t i = 0; i < t->column_count; i++)
        if (used[i]) {
            buf_puts(out, "| ");
            table_print_markdown(out, t->columns[i].heading);
            buf_putc(out, ' ');
        }
    buf_puts(out, "|\n");
    for (uint32_t i = 0; i < t->column_count; i++)
        if (used[i])
            buf_puts(out, t->columns[i].flags & COLUMN_RIGHT ? "| ---: " : "| --- ");
    buf_puts(out, "|\n");
    struct buf cell = {0};
    for (uint32_t row = 0; row < table_rows(t); row++)
        markdown_row(t, row, used, &cell, out);
    buf_free(&cell);
}
