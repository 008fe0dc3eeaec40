#include "emit/drawings/sheet.h"

#include <stdlib.h>

static const coord least_cell = 18 * POINT; /* about two lines of text */
enum { MOST_CELLS = 1 << 18 };
static const int64_t most_high = 2000000000; /* a picture's height is a coord */

coord sheet_scaled(struct scale s, length l)
{
    return canvas_length(l * s.num / (12 * s.den));
}

const char *sheet_scale_words(struct arena *arena, struct scale s)
{
    return arena_printf(arena, "%d/%d\" = 1'-0\"", s.num, s.den);
}

const char *sheet_fixture_words(const struct fixture *f)
{
    static const char *const words[FORM_COUNT] = {
#define FORM(id, owners, place, word, pattern, flags, doc) [F_##id] = word,
#include "statements.def"
#undef FORM
    };
    return f->title ? f->title : words[f->form];
}

/* --- sheets ------------------------------------------------------------------------------- */

void sheet_stack_begin(struct stack *k, struct arena *arena)
{
    *k = (struct stack){.arena = arena, .passing = {.out_of_memory = arena->out_of_memory}};
    k->c.out = &k->body;
}

bool sheet_stack_open(struct stack *k, struct sheet *s, coord width, coord height,
                      const char *title)
{
    if (k->cut || k->height + height > most_high) {
        k->cut = true;
        return false;
    }
    *s = (struct sheet){
        .c = &k->c, .arena = &k->passing, .width = width, .height = height, .cell = least_cell};
    while (((int64_t)width / s->cell + 1) * (height / s->cell + 1) > MOST_CELLS)
        s->cell *= 2;
    s->columns = width / s->cell + 1;
    s->rows = height / s->cell + 1;
    s->taken = arena_array(s->arena, area_list *, (size_t)s->columns * (size_t)s->rows);
    canvas_open(&k->c, 0, (coord)k->height, 0, title);
    canvas_rect(&k->c, 0, 0, width, height, 0, (struct pen){.fill = "white"});
    k->height += height;
    k->width = width > k->width ? width : k->width;
    k->sheets++;
    return true;
}

void sheet_stack_close(struct stack *k)
{
    canvas_close(&k->c);
    arena_reset(&k->passing);
}

void sheet_stack_end(struct stack *k, struct buf *out, const char *title, const char *doc)
{
    struct canvas c;
    coord least = CANVAS_INCH;
    canvas_begin(
        &c, out, k->width ? k->width : 6 * CANVAS_INCH, k->height ? (coord)k->height : least, title,
        k->cut
            ? arena_printf(k->arena, "%s The first %u sheets: there are more than a picture holds.",
                           doc, k->sheets)
            : doc);
    buf_add(out, k->body.at, k->body.n);
    if (!k->sheets)
        canvas_text(&c, 36 * POINT, 36 * POINT, (struct lettering){.size = 10 * POINT},
                    "The plan has nothing to draw here.");
    canvas_end(&c);
    buf_free(&k->body);
    arena_free(&k->passing);
}

/* --- places ------------------------------------------------------------------------------- */

/* The cells that an area reaches into: columns left to right, rows top to bottom, both included;
 * none for one beside the sheet. */
static struct area cells_of(const struct sheet *s, struct area a)
{
    struct area c = {a.left > 0 ? a.left / s->cell : 0, a.top > 0 ? a.top / s->cell : 0,
                     a.right / s->cell, a.bottom / s->cell};
    c.right = a.right < 0 ? -1 : c.right < s->columns ? c.right : s->columns - 1;
    c.bottom = a.bottom < 0 ? -1 : c.bottom < s->rows ? c.bottom : s->rows - 1;
    return c;
}

/* Whether one of them holds all of it, as where things are drawn in one place. */
static bool is_held(const area_list *list, struct area a)
{
    for (uint32_t i = 0; i < list->n; i++) {
        struct area o = list->at[i];
        if (o.left <= a.left && a.right <= o.right && o.top <= a.top && a.bottom <= o.bottom)
            return true;
    }
    return false;
}

void sheet_take(struct sheet *s, struct area a)
{
    struct area c = cells_of(s, a);
    for (coord y = c.top; y <= c.bottom; y++)
        for (coord x = c.left; x <= c.right; x++) {
            area_list **at = &s->taken[(size_t)y * (size_t)s->columns + (size_t)x];
            if (!*at)
                *at = arena_new(s->arena, area_list);
            if (!is_held(*at, a))
                *vec_push(s->arena, *at) = a;
        }
}

static bool overlap(struct area a, struct area b)
{
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/* Whether it is free; else `last` is what lies in the way. That mostly lies in the way of the next
 * place that is tried too, and is asked first. */
static bool is_free(const struct sheet *s, struct area a, struct area *last)
{
    if (a.left < 0 || a.top < 0 || a.right > s->width || a.bottom > s->height || overlap(a, *last))
        return false;
    struct area c = cells_of(s, a);
    for (coord y = c.top; y <= c.bottom; y++)
        for (coord x = c.left; x <= c.right; x++) {
            const area_list *list = s->taken[(size_t)y * (size_t)s->columns + (size_t)x];
            for (uint32_t i = 0; list && i < list->n; i++)
                if (overlap(a, list->at[i])) {
                    *last = list->at[i];
                    return false;
                }
        }
    return true;
}

bool sheet_is_free(const struct sheet *s, struct area a)
{
    struct area last = {0};
    return is_free(s, a, &last);
}

/* A capital is about three quarters of its size high, a descender a quarter deep. */
static struct area line_area(coord left, coord y, coord width, coord size)
{
    return (struct area){left, y - size * 3 / 4, left + width, y + size / 4};
}

struct area sheet_text_area(coord x, coord y, struct lettering l, const char *text)
{
    coord width = text_width(text, l.size, l.bold);
    if (l.widest && width > l.widest)
        width = l.widest;
    coord left = l.anchor == AT_START ? x : l.anchor == AT_END ? x - width : x - width / 2;
    return line_area(left, y, width, l.size);
}

static void write_on_white(struct sheet *s, coord x, coord y, struct lettering l, const char *text)
{
    struct area a = sheet_text_area(x, y, l, text);
    canvas_rect(s->c, a.left - POINT / 2, a.top, a.right - a.left + POINT, a.bottom - a.top, 0,
                (struct pen){.fill = "white"});
    canvas_text(s->c, x, y, l, text);
}

void sheet_write(struct sheet *s, coord x, coord y, struct lettering l, const char *text)
{
    sheet_take(s, sheet_text_area(x, y, l, text));
    write_on_white(s, x, y, l, text);
}

/* A text on its way to a free place, round an area. */
struct trial {
    const struct sheet *s;
    struct area round;
    coord width, size; /* of the text */
    coord full;        /* its width before it is pressed together */
};

static const coord step = 2 * POINT;

enum { SIDES = 4, RAYS = 2 * SIDES };

/* Places for a text in a row: beside one side of the area, from its middle to one of its ends. */
struct ray {
    coord left, bottom; /* of the first */
    coord dx, dy;       /* to the next, in steps */
};

/* The rays in the order in which places as far along them are taken: above, right, below, left; up
 * and to the left first. */
static struct ray ray_of(const struct trial *t, coord away, int ray)
{
    coord middle_x = (t->round.left + t->round.right - t->full) / 2,
          middle_y = (t->round.top + t->round.bottom) / 2 + t->size * 3 / 8;
    coord way = ray < SIDES ? -1 : 1;
    switch (ray % SIDES) {
    case 0:
        return (struct ray){middle_x, t->round.top - away - t->size / 4, way, 0};
    case 1:
        return (struct ray){t->round.right + away, middle_y, 0, way};
    case 2:
        return (struct ray){middle_x, t->round.bottom + away + t->size * 3 / 4, way, 0};
    default:
        return (struct ray){t->round.left - away - t->full, middle_y, 0, way};
    }
}

/* How far along a ray a text at `a` is behind what lies in its way. */
static coord behind(const struct ray *r, struct area a, struct area in_way)
{
    coord far = r->dx > 0   ? in_way.right - a.left
                : r->dx < 0 ? a.right - in_way.left
                : r->dy > 0 ? in_way.bottom - a.top
                            : a.bottom - in_way.top;
    return far > step ? (far + step - 1) / step * step : step;
}

/* The nearest free place of a ray: how far along it; more than `most` where there is none. What
 * lies in the way is gone round, not tried point by point. */
static coord first_free(const struct trial *t, const struct ray *r, coord most, struct area *last)
{
    coord shift = 0;
    while (shift <= most) {
        struct area a =
            line_area(r->left + r->dx * shift, r->bottom + r->dy * shift, t->width, t->size);
        if (is_free(t->s, a, last))
            return shift;
        shift += overlap(a, *last) ? behind(r, a, *last) : step;
    }
    return shift;
}

bool sheet_write_near(struct sheet *s, struct area round, coord reach, struct lettering l,
                      const char *text)
{
    coord full = text_width(text, l.size, l.bold);
    struct trial t = {s, round, l.widest && full > l.widest ? l.widest : full, l.size, full};
    struct area last[RAYS] = {0};
    l.anchor = AT_START;
    for (coord away = POINT; away <= reach; away += step) {
        coord most = away + l.size, best = most + 1;
        struct ray at = {0};
        for (int i = 0; i < RAYS; i++) {
            struct ray r = ray_of(&t, away, i);
            coord shift = first_free(&t, &r, best - 1, &last[i]);
            if (shift < best) {
                best = shift;
                at = r;
            }
        }
        if (best <= most) {
            sheet_write(s, at.left + at.dx * best, at.bottom + at.dy * best, l, text);
            return true;
        }
    }
    return false;
}

void sheet_line(struct sheet *s, coord x, coord y, coord width, struct lettering l,
                const char *text)
{
    enum { LEAST_PRESSED = 85 }; /* per cent */
    coord most = (coord)((int64_t)width * 100 / LEAST_PRESSED);
    if (text_width(text, l.size, l.bold) > most)
        text = arena_printf(s->arena, "%.*s\xe2\x80\xa6",
                            (int)text_fitting(text, l.size, l.bold, most - l.size), text);
    l.widest = width;
    canvas_text(s->c, x, y, l, text);
}

/* --- scale -------------------------------------------------------------------------------- */

/* How many feet a part of the bar is: about half an inch of paper. */
static int part_feet(struct scale s)
{
    static const int steps[] = {1, 2, 5, 10, 20, 50, 100, 200, 500};
    size_t i = 0;
    while (i + 1 < sizeof steps / sizeof *steps && (int64_t)s.num * steps[i] * 2 < s.den)
        i++;
    return steps[i];
}

void sheet_scale(struct sheet *s, coord x, coord y, struct scale scale)
{
    enum { PARTS = 5 };
    struct lettering small = {.size = 6 * POINT, .anchor = AT_MIDDLE}, beside = {.size = 6 * POINT};
    struct pen black = {.stroke = "black", .width = POINT / 2},
               solid = {.stroke = "black", .fill = "black", .width = POINT / 2};
    int feet = part_feet(scale);
    for (int i = 0; i <= PARTS; i++) {
        coord at = x + sheet_scaled(scale, i * feet * FOOT),
              next = x + sheet_scaled(scale, (i + 1) * feet * FOOT);
        if (i < PARTS)
            canvas_rect(s->c, at, y + 8 * POINT, next - at, 4 * POINT, 0, i % 2 ? black : solid);
        canvas_text(s->c, at, y + 6 * POINT, small, arena_printf(s->arena, "%d'", i * feet));
    }
    coord end = x + 4 * CANVAS_INCH, line = y + 30 * POINT;
    canvas_text(s->c, x, y + 24 * POINT, beside,
                arena_printf(s->arena, "%s. Scale valid only if this line measures 4 in:",
                             sheet_scale_words(s->arena, scale)));
    canvas_line(s->c, x, line, end, line, black);
    canvas_line(s->c, x, line - 3 * POINT, x, line + 3 * POINT, black);
    canvas_line(s->c, end, line - 3 * POINT, end, line + 3 * POINT, black);
}
