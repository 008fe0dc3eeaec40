#include "emit/drawings/sheet.h"

#include <stdlib.h>

static const coord cell_size = 18 * POINT; /* about two lines of text */
static const int64_t most_high = 2000000000; /* a picture's height is a coord */

typedef VEC(struct area) area_list;

coord scaled(struct scale s, length l)
{
    return canvas_length(l * s.num / (12 * s.den));
}

const char *scale_words(struct arena *arena, struct scale s)
{
    return arena_printf(arena, "%d/%d\" = 1'-0\"", s.num, s.den);
}

const char *drawn_length(struct arena *arena, length l)
{
    struct buf b = {0};
    length_print(&b, l);
    const char *words = arena_copy(arena, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

const char *fixture_words(const struct fixture *f)
{
    static const char *const words[FORM_COUNT] = {
#define FORM(id, owners, place, word, pattern, flags, doc) [F_##id] = word,
#include "statements.def"
#undef FORM
    };
    return f->title ? f->title : words[f->form];
}

/* --- sheets --------------------------------------------------------------------------------------------------------- */

void stack_begin(struct stack *k, struct arena *arena)
{
    *k = (struct stack){.arena = arena};
    k->c.out = &k->body;
}

bool stack_open(struct stack *k, struct sheet *s, coord width, coord height, const char *title)
{
    if (k->cut || k->height + height > most_high) {
        k->cut = true;
        return false;
    }
    *s = (struct sheet){.c = &k->c, .arena = k->arena, .width = width, .height = height};
    canvas_open(&k->c, 0, (coord)k->height, 0, title);
    canvas_rect(&k->c, 0, 0, width, height, 0, (struct pen){.fill = "white"});
    k->height += height;
    k->width = width > k->width ? width : k->width;
    k->sheets++;
    return true;
}

void stack_close(struct stack *k)
{
    canvas_close(&k->c);
}

void stack_end(struct stack *k, struct buf *out, const char *title, const char *doc)
{
    struct canvas c;
    coord least = CANVAS_INCH;
    canvas_begin(&c, out, k->width ? k->width : 6 * CANVAS_INCH, k->height ? (coord)k->height : least, title,
                 k->cut ? arena_printf(k->arena, "%s The first %u sheets: there are more than a picture holds.", doc, k->sheets) : doc);
    buf_add(out, k->body.at, k->body.n);
    if (!k->sheets)
        canvas_text(&c, 36 * POINT, 36 * POINT, (struct lettering){.size = 10 * POINT}, "The plan has nothing to draw here.");
    canvas_end(&c);
    buf_free(&k->body);
}

/* --- places --------------------------------------------------------------------------------------------------------- */

static coord cell_of(coord at)
{
    return (at < 0 ? at - cell_size + 1 : at) / cell_size;
}

void sheet_take(struct sheet *s, struct area a)
{
    for (coord x = cell_of(a.left); x <= cell_of(a.right); x++)
        for (coord y = cell_of(a.top); y <= cell_of(a.bottom); y++) {
            area_list **at = (area_list **)map_at(s->arena, &s->taken, (uintptr_t)(uint32_t)x, (uintptr_t)(uint32_t)y);
            if (!*at)
                *at = arena_new(s->arena, area_list);
            *vec_push(s->arena, *at) = a;
        }
}

static bool overlap(struct area a, struct area b)
{
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

/* Whether it is free; else `last` is what lies in the way. That mostly lies in the way of the next place that is tried too, and is asked first. */
static bool is_free(const struct sheet *s, struct area a, struct area *last)
{
    if (a.left < 0 || a.top < 0 || a.right > s->width || a.bottom > s->height || overlap(a, *last))
        return false;
    for (coord x = cell_of(a.left); x <= cell_of(a.right); x++)
        for (coord y = cell_of(a.top); y <= cell_of(a.bottom); y++) {
            const area_list *list = map_get(&s->taken, (uintptr_t)(uint32_t)x, (uintptr_t)(uint32_t)y);
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

struct area text_area(coord x, coord y, struct lettering l, const char *text)
{
    coord width = text_width(text, l.size, l.bold);
    if (l.widest && width > l.widest)
        width = l.widest;
    coord left = l.anchor == AT_START ? x : l.anchor == AT_END ? x - width : x - width / 2;
    return line_area(left, y, width, l.size);
}

static void write_on_white(struct sheet *s, coord x, coord y, struct lettering l, const char *text)
{
    struct area a = text_area(x, y, l, text);
    canvas_rect(s->c, a.left - POINT / 2, a.top, a.right - a.left + POINT, a.bottom - a.top, 0, (struct pen){.fill = "white"});
    canvas_text(s->c, x, y, l, text);
}

void sheet_write(struct sheet *s, coord x, coord y, struct lettering l, const char *text)
{
    sheet_take(s, text_area(x, y, l, text));
    write_on_white(s, x, y, l, text);
}

/* A text on its way to a free place: thousands may be tried, and it is as wide at each. */
struct trial {
    struct sheet *s;
    struct lettering l;
    const char *text;
    coord width;
};

static bool write_if_free(const struct trial *t, coord left, coord bottom, struct area *last)
{
    if (!is_free(t->s, line_area(left, bottom, t->width, t->l.size), last))
        return false;
    sheet_write(t->s, left, bottom, t->l, t->text);
    return true;
}

bool sheet_write_near(struct sheet *s, struct area round, coord reach, struct lettering l, const char *text)
{
    coord width = text_width(text, l.size, l.bold), half = l.size * 3 / 8, middle_x = (round.left + round.right - width) / 2;
    coord middle_y = (round.top + round.bottom) / 2 + half;
    l.anchor = AT_START;
    struct trial t = {s, l, text, l.widest && width > l.widest ? l.widest : width};
    struct area last[2][4] = {0}; /* each side of the area, to the left and to the right of its middle */
    for (coord away = POINT; away <= reach; away += 2 * POINT)
        for (coord shift = 0; shift <= away + l.size; shift += 2 * POINT)
            for (int way = 0; way < 2; way++) {
                coord by = way ? shift : -shift;
                if (write_if_free(&t, middle_x + by, round.top - away - l.size / 4, &last[way][0]) ||
                    write_if_free(&t, round.right + away, middle_y + by, &last[way][1]) ||
                    write_if_free(&t, middle_x + by, round.bottom + away + l.size * 3 / 4, &last[way][2]) ||
                    write_if_free(&t, round.left - away - width, middle_y + by, &last[way][3]))
                    return true;
            }
    return false;
}

void sheet_line(struct sheet *s, coord x, coord y, coord width, struct lettering l, const char *text)
{
    enum { LEAST_PRESSED = 85 }; /* per cent */
    coord most = (coord)((int64_t)width * 100 / LEAST_PRESSED);
    if (text_width(text, l.size, l.bold) > most)
        text = arena_printf(s->arena, "%.*s\xe2\x80\xa6", (int)text_fitting(text, l.size, l.bold, most - l.size), text);
    l.widest = width;
    canvas_text(s->c, x, y, l, text);
}

/* --- scale ---------------------------------------------------------------------------------------------------------- */

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
    struct pen black = {.stroke = "black", .width = POINT / 2}, solid = {.stroke = "black", .fill = "black", .width = POINT / 2};
    int feet = part_feet(scale);
    for (int i = 0; i <= PARTS; i++) {
        coord at = x + scaled(scale, i * feet * FOOT), next = x + scaled(scale, (i + 1) * feet * FOOT);
        if (i < PARTS)
            canvas_rect(s->c, at, y + 8 * POINT, next - at, 4 * POINT, 0, i % 2 ? black : solid);
        canvas_text(s->c, at, y + 6 * POINT, small, arena_printf(s->arena, "%d'", i * feet));
    }
    coord end = x + 4 * CANVAS_INCH, line = y + 30 * POINT;
    canvas_text(s->c, x, y + 24 * POINT, beside,
                arena_printf(s->arena, "%s. Scale valid only if this line measures 4 in:", scale_words(s->arena, scale)));
    canvas_line(s->c, x, line, end, line, black);
    canvas_line(s->c, x, line - 3 * POINT, x, line + 3 * POINT, black);
    canvas_line(s->c, end, line - 3 * POINT, end, line + 3 * POINT, black);
}
