/* The grid of a label sheet, as it is asked for. */
#include "libstudbay/handle.h"

#include "sheets/labels.h"
#include "resolve/measure.h"

#include <stdlib.h>
#include <string.h>

/* What is asked for, and whether it makes sense so far. */
struct reading {
    struct studbay_plan *plan;
    const struct studbay_labels *asked;
    bool good;
};

static void refuse(struct reading *r, const char *option, const char *value, const char *wanted)
{
    if (r->good)
        handle_refuse(r->plan, "--%s wants %s, not '%s'", option, wanted, value);
    r->good = false;
}

static void read_count(struct reading *r, const char *option, const char *value, uint32_t *out)
{
    char *end;
    if (!value)
        return;
    unsigned long n = strtoul(value, &end, 10);
    if (*end || end == value || *value == '-' || n < 1 || n > 100000)
        refuse(r, option, value, "a number such as 3");
    else
        *out = (uint32_t)n;
}

static void read_length(struct reading *r, const char *option, const char *value, length *out)
{
    if (value && !measure_length(&r->plan->c.arena, value, out))
        refuse(r, option, value, "a length such as 0.5in or 4.7mm");
}

/* "8.5in x 11in". */
static void read_size(struct reading *r, const char *option, const char *value, length *width,
                      length *height)
{
    struct arena *a = &r->plan->c.arena;
    const char *by = value ? strchr(value, 'x') : NULL;
    if (value && (!by || !measure_length(a, arena_copy(a, value, (size_t)(by - value)), width) ||
                  !measure_length(a, by + 1, height)))
        refuse(r, option, value, "a width and a height such as 8.5in x 11in");
}

/* As many labels as go between the margin and its like on the other side. */
static uint32_t fitting(length page, length margin, length size, length pitch)
{
    length room = page - 2 * margin - size;
    return room < 0 || pitch <= 0 ? 1 : (uint32_t)(room / pitch) + 1;
}

/* What follows from a new size of page or label where nothing is said: labels without gaps, as many
 * as fit. */
static void fill_in(const struct studbay_labels *asked, struct label_sheet *s)
{
    if (asked->label && !asked->pitch_x)
        s->pitch_x = s->label_width;
    if (asked->label && !asked->pitch_y)
        s->pitch_y = s->label_height;
    if (!asked->page && !asked->label)
        return;
    if (!asked->columns)
        s->columns = fitting(s->page_width, s->left, s->label_width, s->pitch_x);
    if (!asked->rows)
        s->rows = fitting(s->page_height, s->top, s->label_height, s->pitch_y);
}

static enum studbay_status refuse_grid(struct studbay_plan *plan, const char *name)
{
    const char **names = arena_array(&plan->c.arena, const char *, labels_grid_count);
    for (uint32_t i = 0; i < labels_grid_count; i++)
        names[i] = labels_grids[i].name;
    return handle_refuse_unknown(plan, "label sheet", name, names, labels_grid_count);
}

enum studbay_status handle_read_labels(struct studbay_plan *plan,
                                       const struct studbay_labels *given, struct label_sheet *s)
{
    struct studbay_labels asked = {0};
    if (given)
        memcpy(&asked, given, given->size < sizeof asked ? given->size : sizeof asked);
    const struct label_sheet *like = asked.like ? labels_grid_named(asked.like) : &labels_grids[0];
    if (!like)
        return refuse_grid(plan, asked.like);
    *s = *like;
    s->outline = asked.outline;
    s->qr = asked.qr;
    struct reading r = {plan, &asked, true};
    read_size(&r, "page", asked.page, &s->page_width, &s->page_height);
    read_size(&r, "label", asked.label, &s->label_width, &s->label_height);
    read_length(&r, "margin-left", asked.margin_left, &s->left);
    read_length(&r, "margin-top", asked.margin_top, &s->top);
    read_length(&r, "pitch-x", asked.pitch_x, &s->pitch_x);
    read_length(&r, "pitch-y", asked.pitch_y, &s->pitch_y);
    read_count(&r, "columns", asked.columns, &s->columns);
    read_count(&r, "rows", asked.rows, &s->rows);
    read_count(&r, "start", asked.start, &s->start);
    if (!r.good)
        return STUDBAY_NO_SUCH;
    fill_in(&asked, s);
    const char *fault = labels_grid_fault(&plan->c.arena, s);
    return fault ? handle_refuse(plan, "%s", fault) : STUDBAY_DONE;
}
