/* The marks of a sheet as the operators of a PDF page. */
#include "paper/bidi.h"
#include "paper/dashes.h"
#include "paper/pdf_inside.h"

#include "base/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

struct drawing {
    const struct sheet *s;
    struct pdf_faces *faces;
    struct buf *out;
    struct pen now;        /* how lines and fills are drawn */
    VEC(struct pen) outer; /* the same where each clip that is open began */
};

mpt pdf_points(um length)
{
    /* 72 points are 25,400 micrometres: a micrometre is 360/127 thousandths of a point */
    return (length * 360 + (length < 0 ? -63 : 63)) / 127;
}

void pdf_number(struct buf *out, int64_t value)
{
    int64_t whole = llabs(value) / 1000, rest = llabs(value) % 1000;
    buf_printf(out, "%s%lld", value < 0 ? "-" : "", (long long)whole);
    if (rest % 10)
        buf_printf(out, ".%03d", (int)rest);
    else if (rest % 100)
        buf_printf(out, ".%02d", (int)rest / 10);
    else if (rest)
        buf_printf(out, ".%d", (int)rest / 100);
    buf_putc(out, ' ');
}

/* A length, to a hundredth of a point, which is 3.5 micrometres. */
static void span(struct drawing *d, um length)
{
    mpt points = pdf_points(length);
    pdf_number(d->out, (points + (points < 0 ? -5 : 5)) / 10 * 10);
}

/* A place: a page's origin is its lower left corner. */
static void place(struct drawing *d, um x, um y)
{
    span(d, x);
    span(d, d->s->height - y);
}

/* --- pens ------------------------------------------------------------------------------------ */

static void colour(struct drawing *d, ink value, const char *operator)
{
    for (int shift = 16; shift >= 0; shift -= 8)
        pdf_number(d->out, ((value >> shift & 0xff) * 1000 + 127) / 255);
    buf_puts(d->out, operator);
}

static bool strokes(struct pen pen)
{
    return pen.stroke != NO_INK && pen.width;
}

static void set_dash(struct drawing *d, enum dash dash)
{
    buf_putc(d->out, '[');
    for (const um *part = dash_lengths[dash]; *part; part++)
        span(d, *part);
    buf_puts(d->out, "]0 d\n");
}

/* Says of the pen what is not so already. */
static void take(struct drawing *d, struct pen pen)
{
    struct pen *now = &d->now;
    if (pen.fill != NO_INK && pen.fill != now->fill) {
        colour(d, pen.fill, "rg\n");
        now->fill = pen.fill;
    }
    if (!strokes(pen))
        return;
    if (pen.stroke != now->stroke)
        colour(d, pen.stroke, "RG\n");
    if (pen.width != now->width) {
        span(d, pen.width);
        buf_puts(d->out, "w\n");
    }
    if (pen.dash != now->dash)
        set_dash(d, pen.dash);
    now->stroke = pen.stroke;
    now->width = pen.width;
    now->dash = pen.dash;
}

/* Paints the path that was made. */
static void paint(struct drawing *d, struct pen pen)
{
    bool fill = pen.fill != NO_INK;
    buf_puts(d->out, strokes(pen) ? fill ? "B\n" : "S\n" : fill ? "f\n" : "n\n");
}

/* --- shapes ---------------------------------------------------------------------------------- */

static void move(struct drawing *d, um x, um y)
{
    place(d, x, y);
    buf_puts(d->out, "m ");
}

static void draw_points(struct drawing *d, const struct mark *m)
{
    for (uint32_t i = 0; i < m->count; i++) {
        place(d, m->points[i].x, m->points[i].y);
        buf_puts(d->out, i ? "l " : "m ");
    }
    if (m->kind == MARK_SHAPE)
        buf_puts(d->out, "h ");
}

static void draw_curve(struct drawing *d, const struct mark *m)
{
    move(d, m->points[0].x, m->points[0].y);
    for (uint32_t i = 1; i < m->count; i++) {
        place(d, m->points[i].x, m->points[i].y);
        if (i % 3 == 0)
            buf_puts(d->out, "c ");
    }
}

static struct spot round_point(struct spot at, double x, double y)
{
    return (struct spot){at.x + llround(x), at.y + llround(y)};
}

/* From where the path ends to the other end of a piece of a circle that is no longer than a
 * quarter: its Bezier curve, whose handles are 4/3 tan(a/4) of the radius long, is off by less than
 * 0.03 % of the radius. */
static void draw_piece(struct drawing *d, struct spot at, double radius, double from, double to)
{
    double handle = radius * 4 / 3 * tan((to - from) / 4);
    struct spot a = round_point(at, radius * cos(from) - handle * sin(from),
                                radius * sin(from) + handle * cos(from)),
                b = round_point(at, radius * cos(to) + handle * sin(to),
                                radius * sin(to) - handle * cos(to)),
                end = round_point(at, radius * cos(to), radius * sin(to));
    place(d, a.x, a.y);
    place(d, b.x, b.y);
    place(d, end.x, end.y);
    buf_puts(d->out, "c ");
}

static const double degree = 3.14159265358979323846 / 180;

static void draw_arc(struct drawing *d, struct spot at, um radius, int from, int to)
{
    double r = (double)radius;
    int pieces = (to - from + 89) / 90;
    struct spot start = round_point(at, r * cos(from * degree), r * sin(from * degree));
    move(d, start.x, start.y);
    for (int i = 0; i < pieces; i++) {
        double part = (double)(to - from) / pieces;
        draw_piece(d, at, r, (from + i * part) * degree, (from + (i + 1) * part) * degree);
    }
}

/* A corner of a rectangle that is rounded, after a line to where it begins. */
static void draw_corner(struct drawing *d, um x, um y, um radius, int from)
{
    struct spot at = {x, y};
    struct spot start =
        round_point(at, (double)radius * cos(from * degree), (double)radius * sin(from * degree));
    place(d, start.x, start.y);
    buf_puts(d->out, "l ");
    draw_piece(d, at, (double)radius, from * degree, (from + 90) * degree);
}

static void draw_box(struct drawing *d, struct area box)
{
    place(d, box.left, box.bottom);
    span(d, box.right - box.left);
    span(d, box.bottom - box.top);
    buf_puts(d->out, "re ");
}

static void draw_rect(struct drawing *d, struct area box, um r)
{
    if (r <= 0) {
        draw_box(d, box);
        return;
    }
    move(d, box.left + r, box.top);
    draw_corner(d, box.right - r, box.top + r, r, 270);
    draw_corner(d, box.right - r, box.bottom - r, r, 0);
    draw_corner(d, box.left + r, box.bottom - r, r, 90);
    draw_corner(d, box.left + r, box.top + r, r, 180);
    buf_puts(d->out, "h ");
}

/* --- clips ----------------------------------------------------------------------------------- */

static void open_clip(struct drawing *d, const struct mark *m)
{
    *vec_push(d->faces->arena, &d->outer) = d->now;
    buf_puts(d->out, "q ");
    draw_box(d, m->box);
    buf_puts(d->out, "W n\n");
}

static void close_clip(struct drawing *d)
{
    if (!d->outer.n)
        return;
    d->now = d->outer.at[--d->outer.n];
    buf_puts(d->out, "Q\n");
}

/* --- texts ----------------------------------------------------------------------------------- */

unsigned pdf_code(struct pdf_faces *faces, bool bold, uint32_t letter)
{
    struct pdf_face *f = &faces->face[bold];
    if (letter < PDF_ASCII && f->ascii[letter])
        return f->ascii[letter];
    void **known = map_at(faces->arena, &f->codes, 0, letter);
    if (!*known) {
        if (f->letters.n == PDF_MOST_CODES)
            return 0; /* the empty box */
        *vec_push(faces->arena, &f->letters) = letter;
        *known = (void *)(uintptr_t)f->letters.n;
        if (letter < PDF_ASCII)
            f->ascii[letter] = (uint16_t)f->letters.n;
    }
    return (unsigned)(uintptr_t)*known;
}

static void put_code(struct drawing *d, const struct mark *m, uint32_t letter)
{
    static const char digits[] = "0123456789abcdef";
    unsigned code = pdf_code(d->faces, m->lettering.bold, letter == UTF8_BAD ? 0xfffd : letter);
    for (int shift = 12; shift >= 0; shift -= 4)
        buf_putc(d->out, digits[code >> shift & 15]);
}

static void put_codes(struct drawing *d, const struct mark *m)
{
    const char *p = m->text, *end = p + strlen(p);
    buf_putc(d->out, '<');
    if (bidi_is_needed(m->text)) {
        struct bidi_line line = bidi_line_of(d->faces->arena, m->text);
        for (uint32_t i = 0; i < line.count; i++)
            put_code(d, m, line.letters[i]);
        p = end;
    }
    for (size_t len; p < end; p += len)
        put_code(d, m, utf8_next(p, end, &len));
    buf_puts(d->out, ">Tj ");
}

/* Sines of quarters are exact. */
static double sine(int degrees)
{
    static const double of_quarter[] = {0, 1, 0, -1};
    int turned = ((degrees % 360) + 360) % 360;
    return turned % 90 ? sin(turned * degree) : of_quarter[turned / 90];
}

/* A sine, to six places: a text of 1 m is then turned to the micrometre. */
static void put_sine(struct buf *out, double value)
{
    long long millionths = llround(value * 1000000);
    buf_printf(out, "%s%lld.%06lld ", millionths < 0 ? "-" : "", llabs(millionths) / 1000000,
               llabs(millionths) % 1000000);
}

/* The text's matrix: `degrees` clockwise about its place, from where its first letter begins. */
static void put_matrix(struct drawing *d, const struct mark *m)
{
    const struct lettering *l = &m->lettering;
    double c = sine(l->degrees + 90), s = sine(l->degrees);
    double back = l->anchor == AT_MIDDLE ? (double)m->width / 2
                  : l->anchor == AT_END  ? (double)m->width
                                         : 0;
    if (l->degrees)
        for (int i = 0; i < 4; i++)
            put_sine(d->out, i == 1 ? -s : i == 2 ? s : c);
    else
        buf_puts(d->out, "1 0 0 1 ");
    struct spot start = round_point(m->at, -back * c, -back * s);
    place(d, start.x, start.y);
    buf_puts(d->out, "Tm ");
}

/* One text in the way that `mode` says: 0 filled, 1 its outline. */
static void put_text(struct drawing *d, const struct mark *m, int mode)
{
    const struct lettering *l = &m->lettering;
    const struct fonts *fonts = d->faces->fonts;
    um size = fonts_size(fonts, l->bold, l->caps),
       whole = fonts_width(fonts, l->bold, size, m->text);
    bool pressed = m->width && m->width != whole;
    buf_printf(d->out, "BT /F%d ", l->bold);
    pdf_number(d->out, pdf_points(size)); /* to a thousandth: it makes the width */
    buf_puts(d->out, "Tf ");
    if (mode)
        buf_printf(d->out, "%d Tr ", mode);
    if (pressed) {
        pdf_number(d->out, (m->width * 100000 + whole / 2) / whole);
        buf_puts(d->out, "Tz ");
    }
    put_matrix(d, m);
    put_codes(d, m);
    buf_puts(d->out, pressed ? "100 Tz ET\n" : "ET\n");
}

/* White about the letters, which is no text for who reads or copies it. */
static void put_halo(struct drawing *d, const struct mark *m)
{
    buf_puts(d->out, "/Artifact <</ActualText<feff>>> BDC q 1 1 1 RG 1 j []0 d ");
    span(d, 2 * m->lettering.halo);
    buf_puts(d->out, "w ");
    put_text(d, m, 1);
    buf_puts(d->out, "Q EMC\n");
}

static void draw_text(struct drawing *d, const struct mark *m)
{
    if (!*m->text)
        return;
    if (m->lettering.halo)
        put_halo(d, m);
    if (m->lettering.fill == NO_INK)
        return;
    take(d, (struct pen){NO_INK, m->lettering.fill, 0, DASH_NONE});
    put_text(d, m, 0);
}

/* --- pages ----------------------------------------------------------------------------------- */

/* False where the mark is no path that is painted. */
static bool draw_path(struct drawing *d, const struct mark *m)
{
    switch (m->kind) {
    case MARK_LINE:
    case MARK_SHAPE:
        draw_points(d, m);
        return true;
    case MARK_RECT:
        draw_rect(d, m->box, m->radius);
        return true;
    case MARK_CIRCLE:
        draw_arc(d, m->at, m->radius, 0, 360);
        buf_puts(d->out, "h ");
        return true;
    case MARK_ARC:
        draw_arc(d, m->at, m->radius, m->from, m->to);
        return true;
    case MARK_CURVE:
        draw_curve(d, m);
        return true;
    default:
        return false;
    }
}

static void draw_mark(struct drawing *d, const struct mark *m)
{
    bool path = m->kind <= MARK_CURVE;
    if (path && !strokes(m->pen) && m->pen.fill == NO_INK)
        return;
    if (path)
        take(d, m->pen);
    if (draw_path(d, m))
        paint(d, m->pen);
    else if (m->kind == MARK_TEXT)
        draw_text(d, m);
    else if (m->kind == MARK_CLIP)
        open_clip(d, m);
    else if (m->kind == MARK_UNCLIP)
        close_clip(d);
}

/* Corners are mitred up to four times the width, as in SVG. */
void pdf_draw(const struct sheet *s, struct pdf_faces *faces, struct buf *out)
{
    struct drawing d = {.s = s, .faces = faces, .out = out};
    d.now = (struct pen){BLACK, BLACK, 0, DASH_NONE};
    buf_puts(out, "4 M\n");
    for (uint32_t i = 0; i < s->marks.n; i++)
        draw_mark(&d, &s->marks.at[i]);
    while (d.outer.n)
        close_clip(&d);
}
