/* The grid of a label sheet, from the options of `studbay draw labels`. */
#include "cmd/cmd.h"

#include "sheets/labels.h"
#include "resolve/measure.h"

#include <stdlib.h>
#include <string.h>

static bool refuse(const char *option, const char *value, const char *wanted)
{
    cmd_complain("--%s wants %s, not '%s'", option, wanted, value);
    return false;
}

static bool read_count(const char *option, const char *value, uint32_t *out)
{
    char *end;
    if (!value)
        return true;
    unsigned long n = strtoul(value, &end, 10);
    if (*end || end == value || *value == '-' || n < 1 || n > 100000)
        return refuse(option, value, "a number such as 3");
    *out = (uint32_t)n;
    return true;
}

static bool read_length(const struct invocation *inv, const char *option, const char *value,
                        length *out)
{
    if (!value)
        return true;
    return measure_length(inv->arena, value, out) ||
           refuse(option, value, "a length such as 0.5in or 4.7mm");
}

/* "8.5in x 11in". */
static bool read_size(const struct invocation *inv, const char *option, const char *value,
                      length *width, length *height)
{
    const char *by = value ? strchr(value, 'x') : NULL;
    if (!value)
        return true;
    if (by &&
        measure_length(inv->arena, arena_copy(inv->arena, value, (size_t)(by - value)), width) &&
        measure_length(inv->arena, by + 1, height))
        return true;
    return refuse(option, value, "a width and a height such as 8.5in x 11in");
}

/* As many labels as go between the margin and its like on the other side. */
static uint32_t fitting(length page, length margin, length size, length pitch)
{
    length room = page - 2 * margin - size;
    return room < 0 || pitch <= 0 ? 1 : (uint32_t)(room / pitch) + 1;
}

/* What follows from a new size of page or label where nothing is said: labels without gaps, as many
 * as fit. */
static void fill_in(const struct invocation *inv, struct label_sheet *s)
{
    if (inv->label && !inv->pitch_x)
        s->pitch_x = s->label_width;
    if (inv->label && !inv->pitch_y)
        s->pitch_y = s->label_height;
    if (!inv->page && !inv->label)
        return;
    if (!inv->columns)
        s->columns = fitting(s->page_width, s->left, s->label_width, s->pitch_x);
    if (!inv->rows)
        s->rows = fitting(s->page_height, s->top, s->label_height, s->pitch_y);
}

bool cmd_read_label_sheet(const struct invocation *inv, struct label_sheet *s)
{
    const struct label_sheet *like = inv->sheet ? labels_grid_named(inv->sheet) : &labels_grids[0];
    if (!like) {
        const char **names = arena_array(inv->arena, const char *, labels_grid_count);
        for (uint32_t i = 0; i < labels_grid_count; i++)
            names[i] = labels_grids[i].name;
        cmd_complain_unknown("label sheet", inv->sheet, names, labels_grid_count);
        return false;
    }
    *s = *like;
    s->outline = inv->outline;
    s->qr = inv->qr;
    bool read = read_size(inv, "page", inv->page, &s->page_width, &s->page_height) &&
                read_size(inv, "label", inv->label, &s->label_width, &s->label_height) &&
                read_length(inv, "margin-left", inv->margin_left, &s->left) &&
                read_length(inv, "margin-top", inv->margin_top, &s->top) &&
                read_length(inv, "pitch-x", inv->pitch_x, &s->pitch_x) &&
                read_length(inv, "pitch-y", inv->pitch_y, &s->pitch_y) &&
                read_count("columns", inv->columns, &s->columns) &&
                read_count("rows", inv->rows, &s->rows) &&
                read_count("start", inv->start, &s->start);
    if (!read)
        return false;
    fill_in(inv, s);
    const char *fault = labels_grid_fault(inv->arena, s);
    if (fault)
        cmd_complain("%s", fault);
    return !fault;
}
