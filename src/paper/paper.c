#include "paper/paper.h"

#include "base/map.h"
#include "base/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double degree = 3.14159265358979323846 / 180;

/* Where a group stands: a point of it lies at (x, y) + the point turned. */
struct standing {
    um x, y;
    int degrees;
};

struct place_stack {
    VEC(struct standing) at;
};

struct paper *paper_new(struct arena *arena, const char *title, const char *author)
{
    struct paper *p = arena_new(arena, struct paper);
    *p = (struct paper){
        .arena = arena, .fonts = fonts_read(arena), .title = title, .author = author};
    return p;
}

struct sheet *paper_sheet(struct paper *paper, const char *number, const char *series,
                          const char *title, um width, um height)
{
    struct sheet *s = arena_new(paper->arena, struct sheet);
    *s = (struct sheet){.paper = paper,
                        .number = number,
                        .series = series,
                        .title = title,
                        .width = width,
                        .height = height,
                        .stack = arena_new(paper->arena, struct place_stack)};
    *vec_push(paper->arena, &s->stack->at) = (struct standing){0};
    *vec_push(paper->arena, &paper->sheets) = s;
    return s;
}

um paper_scaled(length l, int64_t ratio)
{
    int64_t per = MILLIMETRE / MM * ratio; /* what of a length is a micrometre of paper */
    return (l + (l < 0 ? -per : per) / 2) / per;
}

/* --- groups ---------------------------------------------------------------------------------- */

void paper_begin(struct sheet *s, enum role role, const char *subject, const char *title)
{
    struct group *g = arena_new(s->paper->arena, struct group);
    *g = (struct group){role, subject, title, s->group};
    s->group = g;
}

void paper_end(struct sheet *s)
{
    s->group = s->group->outer;
}

static struct standing *standing(const struct sheet *s)
{
    return &s->stack->at.at[s->stack->at.n - 1];
}

/* A point turned by what is no quarter is rounded to the micrometre. */
static struct spot turned(int degrees, um x, um y)
{
    switch (((degrees % 360) + 360) % 360) {
    case 0:
        return (struct spot){x, y};
    case 90:
        return (struct spot){-y, x};
    case 180:
        return (struct spot){-x, -y};
    case 270:
        return (struct spot){y, -x};
    }
    double c = cos(degrees * degree), n = sin(degrees * degree);
    return (struct spot){llround((double)x * c - (double)y * n),
                         llround((double)x * n + (double)y * c)};
}

static struct spot on_sheet(const struct sheet *s, um x, um y)
{
    const struct standing *g = standing(s);
    struct spot p = turned(g->degrees, x, y);
    return (struct spot){g->x + p.x, g->y + p.y};
}

void paper_turn(struct sheet *s, um x, um y, int degrees)
{
    struct spot at = on_sheet(s, x, y);
    int now = (standing(s)->degrees + degrees) % 360;
    *vec_push(s->paper->arena, &s->stack->at) = (struct standing){at.x, at.y, now};
}

void paper_unturn(struct sheet *s)
{
    s->stack->at.n--;
}

/* --- marks ----------------------------------------------------------------------------------- */

static struct mark *add(struct sheet *s, enum mark_kind kind)
{
    struct mark *m = vec_push(s->paper->arena, &s->marks);
    *m = (struct mark){.kind = kind, .group = s->group};
    return m;
}

static struct mark *add_points(struct sheet *s, enum mark_kind kind, const struct spot *points,
                               uint32_t count, struct pen pen)
{
    struct spot *own = arena_array(s->paper->arena, struct spot, count);
    for (uint32_t i = 0; i < count; i++)
        own[i] = on_sheet(s, points[i].x, points[i].y);
    struct mark *m = add(s, kind);
    m->pen = pen;
    m->points = own;
    m->count = count;
    return m;
}

void paper_line(struct sheet *s, um x1, um y1, um x2, um y2, struct pen pen)
{
    pen.fill = NO_INK;
    add_points(s, MARK_LINE, (struct spot[]){{x1, y1}, {x2, y2}}, 2, pen);
}

void paper_path(struct sheet *s, const struct spot *points, uint32_t count, bool closed,
                struct pen pen)
{
    if (count < 2)
        return;
    if (!closed)
        pen.fill = NO_INK;
    add_points(s, closed ? MARK_SHAPE : MARK_LINE, points, count, pen);
}

struct area area_round(const struct spot *points, uint32_t count)
{
    struct area a = {points[0].x, points[0].y, points[0].x, points[0].y};
    for (uint32_t i = 1; i < count; i++) {
        a.left = points[i].x < a.left ? points[i].x : a.left;
        a.right = points[i].x > a.right ? points[i].x : a.right;
        a.top = points[i].y < a.top ? points[i].y : a.top;
        a.bottom = points[i].y > a.bottom ? points[i].y : a.bottom;
    }
    return a;
}

/* The area on the sheet that a box of a group takes. */
static struct area box_on_sheet(const struct sheet *s, struct area b)
{
    struct spot corners[] = {on_sheet(s, b.left, b.top), on_sheet(s, b.right, b.top),
                             on_sheet(s, b.right, b.bottom), on_sheet(s, b.left, b.bottom)};
    return area_round(corners, 4);
}

void paper_rect(struct sheet *s, struct area box, um radius, struct pen pen)
{
    if (standing(s)->degrees % 90) {
        struct spot corners[] = {{box.left, box.top},
                                 {box.right, box.top},
                                 {box.right, box.bottom},
                                 {box.left, box.bottom}};
        paper_path(s, corners, 4, true, pen);
        return;
    }
    struct area at = box_on_sheet(s, box);
    struct mark *m = add(s, MARK_RECT);
    um across = at.right - at.left, down = at.bottom - at.top,
       least = across < down ? across : down;
    m->pen = pen;
    m->box = at;
    m->radius = 2 * radius > least ? least / 2 : radius;
}

void paper_circle(struct sheet *s, um x, um y, um radius, struct pen pen)
{
    struct spot at = on_sheet(s, x, y);
    struct mark *m = add(s, MARK_CIRCLE);
    m->pen = pen;
    m->at = at;
    m->radius = radius;
}

void paper_arc(struct sheet *s, um x, um y, um radius, int from, int to, struct pen pen)
{
    struct spot at = on_sheet(s, x, y);
    struct mark *m = add(s, MARK_ARC);
    m->pen = pen;
    m->pen.fill = NO_INK;
    m->at = at;
    m->radius = radius;
    m->from = from + standing(s)->degrees;
    m->to = to + standing(s)->degrees;
    while (m->to < m->from)
        m->to += 360;
}

void paper_curve(struct sheet *s, const struct spot *points, uint32_t count, struct pen pen)
{
    pen.fill = NO_INK;
    if (count >= 4)
        add_points(s, MARK_CURVE, points, count - (count - 1) % 3, pen);
}

void paper_clip(struct sheet *s, struct area box)
{
    struct area at = box_on_sheet(s, box);
    add(s, MARK_CLIP)->box = at;
}

void paper_unclip(struct sheet *s)
{
    add(s, MARK_UNCLIP);
}

void paper_link(struct sheet *s, struct area box, const char *target)
{
    struct area at = box_on_sheet(s, box);
    struct mark *m = add(s, MARK_LINK);
    m->box = at;
    m->text = target;
}

void paper_anchor(struct sheet *s, um x, um y, const char *name)
{
    struct spot at = on_sheet(s, x, y);
    struct mark *m = add(s, MARK_ANCHOR);
    m->at = at;
    m->text = name;
}

/* --- hatches --------------------------------------------------------------------------------- */

static int by_x(const void *va, const void *vb)
{
    const struct spot *a = va, *b = vb;
    return a->x < b->x ? -1 : a->x > b->x;
}

/* Where the level line at `y` crosses the outline, from the left. */
static uint32_t crossings(const struct spot *p, uint32_t count, um y, struct spot *out)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < count; i++) {
        struct spot a = p[i], b = p[(i + 1) % count];
        if ((a.y <= y) != (b.y <= y))
            out[n++] = (struct spot){
                a.x + llround((double)(b.x - a.x) * (double)(y - a.y) / (double)(b.y - a.y)), y};
    }
    qsort(out, n, sizeof *out, by_x);
    return n;
}

/* The shape is turned until the lines lie level, and they are turned back. */
void paper_hatch(struct sheet *s, const struct spot *points, uint32_t count, um apart, int degrees,
                 struct pen pen)
{
    if (count < 3 || apart <= 0)
        return;
    struct spot *level = arena_array(s->paper->arena, struct spot, 2 * (size_t)count),
                *cross = level + count;
    for (uint32_t i = 0; i < count; i++)
        level[i] = turned(degrees, points[i].x, points[i].y);
    struct area all = area_round(level, count);
    um first = all.top - all.top % apart + (all.top % apart < 0 ? 0 : apart);
    for (um y = first; y < all.bottom; y += apart) {
        uint32_t n = crossings(level, count, y, cross);
        for (uint32_t i = 0; i + 1 < n; i += 2) {
            struct spot a = turned(-degrees, cross[i].x, y),
                        b = turned(-degrees, cross[i + 1].x, y);
            paper_line(s, a.x, a.y, b.x, b.y, pen);
        }
    }
}

/* --- texts ----------------------------------------------------------------------------------- */

/* What is drawn of a text: nothing hidden, one line. */
static const char *tame(struct arena *arena, const char *text)
{
    size_t len = strlen(text);
    char *out = arena_alloc(arena, UTF8_MASKED(len) + 1);
    utf8_mask(out, text, len);
    for (char *p = out; *p; p++)
        if (*p == '\n' || *p == '\t')
            *p = ' ';
    return out;
}

static um size_of(const struct sheet *s, struct lettering l)
{
    return fonts_size(s->paper->fonts, l.bold, l.caps);
}

um paper_text_width(const struct sheet *s, struct lettering l, const char *text)
{
    um width = fonts_width(s->paper->fonts, l.bold, size_of(s, l), text);
    return l.widest && width > l.widest ? l.widest : width;
}

static um start_of(struct lettering l, um width)
{
    return l.anchor == AT_MIDDLE ? -width / 2 : l.anchor == AT_END ? -width : 0;
}

/* Letters hang below the base line by about a third of the capitals' height. */
static struct area extent(struct lettering l, um width)
{
    um left = start_of(l, width);
    return (struct area){left, -l.caps, left + width, l.caps / 3};
}

struct area paper_text_area(const struct sheet *s, um x, um y, struct lettering l, const char *text)
{
    struct area e = extent(l, paper_text_width(s, l, text));
    struct spot corners[] = {turned(l.degrees, e.left, e.top), turned(l.degrees, e.right, e.top),
                             turned(l.degrees, e.right, e.bottom),
                             turned(l.degrees, e.left, e.bottom)};
    struct area a = area_round(corners, 4);
    return (struct area){x + a.left, y + a.top, x + a.right, y + a.bottom};
}

void paper_text(struct sheet *s, um x, um y, struct lettering l, const char *text)
{
    struct spot at = on_sheet(s, x, y);
    l.degrees = (l.degrees + standing(s)->degrees) % 360;
    const char *tamed = tame(s->paper->arena, text);
    um width = paper_text_width(s, l, tamed);
    struct mark *m = add(s, MARK_TEXT);
    m->at = at;
    m->text = tamed;
    m->lettering = l;
    m->width = width;
}

const char *paper_cut(const struct sheet *s, struct lettering l, um width, const char *text)
{
    static const char dots[] = "\xe2\x80\xa6";
    const struct fonts *f = s->paper->fonts;
    um size = size_of(s, l);
    text = tame(s->paper->arena, text);
    if (fonts_width(f, l.bold, size, text) <= width)
        return text;
    um left = width - fonts_width(f, l.bold, size, dots);
    size_t fits = left > 0 ? fonts_fitting(f, l.bold, size, left, text) : 0;
    return arena_printf(s->paper->arena, "%.*s%s", (int)fits, text, dots);
}

/* The bytes of a text that stand on its next line, up to a blank where one fits; `*next` is where
 * the line after it begins. */
static size_t line_of(const struct sheet *s, um width, struct lettering l, const char *text,
                      const char **next)
{
    size_t all = strlen(text),
           fits = fonts_fitting(s->paper->fonts, l.bold, size_of(s, l), width, text);
    size_t end = fits;
    if (fits < all) {
        while (end && text[end] != ' ')
            end--;
        if (!end) { /* a word that is wider than the line: one letter at least */
            size_t first;
            utf8_next(text, text + all, &first);
            end = fits ? fits : first;
        }
    }
    *next = text + end;
    while (**next == ' ')
        ++*next;
    return end;
}

/* A word that is wider than a row goes on in further ones. */
static void grow_by_word(const struct fonts *f, struct lettering l, int64_t size,
                         struct paper_growing *g, const char *word, size_t len, int64_t units)
{
    while (fonts_exceed(f, l.bold, size, units, g->width)) {
        size_t fits = fonts_fitting(f, l.bold, size, g->width, word), first;
        utf8_next(word, word + len, &first);
        fits = fits > first ? fits : first;
        if (fits >= len)
            break;
        word += fits;
        len -= fits;
        units = fonts_units(f, l.bold, word, len);
        g->rows++;
    }
    g->used = units;
}

void paper_grow(const struct sheet *s, struct lettering l, struct paper_growing *g,
                const char *text)
{
    const struct fonts *f = s->paper->fonts;
    um size = size_of(s, l);
    for (text = tame(s->paper->arena, text); *text;) {
        size_t blanks = strspn(text, " "), len = strcspn(text + blanks, " ");
        const char *word = text + blanks;
        int64_t before = fonts_units(f, l.bold, text, blanks),
                units = fonts_units(f, l.bold, word, len);
        text = word + len;
        if (!len) {
            g->used += before;
        } else if (g->rows && !fonts_exceed(f, l.bold, size, g->used + before + units, g->width)) {
            g->used += before + units;
        } else {
            g->rows++;
            grow_by_word(f, l, size, g, word, len, units);
        }
    }
}

uint32_t paper_rows(const struct sheet *s, um width, struct lettering l, const char *text)
{
    uint32_t rows = 0;
    for (text = tame(s->paper->arena, text); *text; rows++)
        line_of(s, width, l, text, &text);
    return rows;
}

uint32_t paper_lines(const struct sheet *s, um width, struct lettering l, const char *text,
                     const char *const **lines)
{
    struct arena *arena = s->paper->arena;
    VEC(const char *) all = {0};
    for (text = tame(arena, text); *text;) {
        const char *line = text;
        size_t len = line_of(s, width, l, text, &text);
        *vec_push(arena, &all) = arena_copy(arena, line, len);
    }
    *lines = all.at;
    return all.n;
}

uint32_t paper_write_within(struct sheet *s, um x, um y, um width, um row, uint32_t most,
                            struct lettering l, const char *text)
{
    uint32_t rows = 0;
    for (text = tame(s->paper->arena, text); *text && rows < most; rows++) {
        const char *line = text;
        size_t len = line_of(s, width, l, text, &text);
        paper_text(s, x, y + rows * row, l,
                   rows + 1 == most && *text ? paper_cut(s, l, width, line)
                                             : arena_copy(s->paper->arena, line, len));
    }
    return rows;
}

uint32_t paper_write(struct sheet *s, um x, um y, um width, um row, struct lettering l,
                     const char *text)
{
    return paper_write_within(s, x, y, width, row, UINT32_MAX, l, text);
}

/* --- letters -------------------------------------------------------------------------------- */

static bool note_letters(const struct sheet *s, const struct mark *m, struct map *seen,
                         uint32_t most, struct buf *out)
{
    const char *p = m->text, *end = p + strlen(p);
    for (size_t len; p < end; p += len) {
        uint32_t letter = utf8_next(p, end, &len);
        if (len == 1 || fonts_has(s->paper->fonts, m->lettering.bold, letter))
            continue;
        void **at = map_at(s->paper->arena, seen, 0, letter);
        if (*at)
            continue;
        *at = seen;
        if (seen->n > most)
            return false;
        buf_printf(out, "%sU+%04X", out->n ? " " : "", (unsigned)letter);
    }
    return true;
}

const char *paper_unknown_letters(const struct sheet *s, uint32_t most)
{
    struct map seen = {0};
    struct buf b = {0};
    const char *text = NULL;
    for (uint32_t i = 0; i < s->marks.n; i++)
        if (s->marks.at[i].kind == MARK_TEXT &&
            !note_letters(s, &s->marks.at[i], &seen, most, &b)) {
            buf_puts(&b, " ...");
            break;
        }
    if (b.n)
        text = arena_copy(s->paper->arena, buf_text(&b), b.n);
    buf_free(&b);
    return text;
}

/* --- areas ----------------------------------------------------------------------------------- */

static struct area text_mark_area(const struct mark *m)
{
    struct area e = extent(m->lettering, m->width);
    struct spot corners[4] = {
        {e.left, e.top}, {e.right, e.top}, {e.right, e.bottom}, {e.left, e.bottom}};
    for (int i = 0; i < 4; i++) {
        struct spot p = turned(m->lettering.degrees, corners[i].x, corners[i].y);
        corners[i] = (struct spot){m->at.x + p.x, m->at.y + p.y};
    }
    return area_round(corners, 4);
}

struct area paper_mark_area(const struct mark *m)
{
    um half = m->pen.stroke == NO_INK ? 0 : m->pen.width / 2;
    switch (m->kind) {
    case MARK_LINE:
    case MARK_SHAPE:
    case MARK_CURVE:
        return area_grown(area_round(m->points, m->count), half);
    case MARK_CIRCLE:
    case MARK_ARC:
        return area_grown((struct area){m->at.x, m->at.y, m->at.x, m->at.y}, m->radius + half);
    case MARK_TEXT:
        return text_mark_area(m);
    case MARK_ANCHOR:
        return (struct area){m->at.x, m->at.y, m->at.x, m->at.y};
    case MARK_UNCLIP:
        return (struct area){0};
    default:
        return area_grown(m->box, half);
    }
}
