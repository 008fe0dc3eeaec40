#include "emit/canvas.h"

#include "base/xml.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double pi = 3.14159265358979323846;

coord canvas_length(length l)
{
    return (coord)((l * CANVAS_INCH + (l < 0 ? -INCH : INCH) / 2) / INCH);
}

static void attribute(struct buf *out, const char *name, coord value)
{
    buf_printf(out, " %s=\"", name);
    xml_thousandths(out, value);
    buf_putc(out, '"');
}

static void word(struct buf *out, const char *name, const char *value)
{
    buf_printf(out, " %s=\"", name);
    xml_text(out, value);
    buf_putc(out, '"');
}

static void draw(struct buf *out, struct pen pen)
{
    word(out, "fill", pen.fill ? pen.fill : "none");
    if (pen.stroke && pen.width) {
        word(out, "stroke", pen.stroke);
        attribute(out, "stroke-width", pen.width);
        if (pen.dash)
            word(out, "stroke-dasharray", pen.dash);
    }
    buf_puts(out, "/>\n");
}

static void element(struct buf *out, const char *name, const char *text)
{
    buf_printf(out, "<%s>", name);
    xml_text(out, text);
    buf_printf(out, "</%s>\n", name);
}

void canvas_begin(struct canvas *c, struct buf *out, coord width, coord height, const char *title,
                  const char *doc)
{
    *c = (struct canvas){.out = out};
    buf_puts(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"");
    xml_thousandths(out, width);
    buf_puts(out, "pt\" height=\"");
    xml_thousandths(out, height);
    buf_puts(out, "pt\" viewBox=\"0 0 ");
    xml_thousandths(out, width);
    buf_putc(out, ' ');
    xml_thousandths(out, height);
    buf_puts(out,
             "\" role=\"img\" font-family=\"Helvetica, Arial, 'Liberation Sans', sans-serif\">\n");
    element(out, "title", title);
    element(out, "desc", doc);
}

void canvas_end(struct canvas *c)
{
    while (c->open)
        canvas_close(c);
    buf_puts(c->out, "</svg>\n");
}

void canvas_open(struct canvas *c, coord x, coord y, int degrees, const char *title)
{
    buf_puts(c->out, "<g transform=\"translate(");
    xml_thousandths(c->out, x);
    buf_putc(c->out, ' ');
    xml_thousandths(c->out, y);
    buf_putc(c->out, ')');
    if (degrees)
        buf_printf(c->out, " rotate(%d)", degrees);
    buf_puts(c->out, "\">\n");
    if (title)
        element(c->out, "title", title);
    c->open++;
}

void canvas_close(struct canvas *c)
{
    buf_puts(c->out, "</g>\n");
    c->open--;
}

void canvas_line(struct canvas *c, coord x1, coord y1, coord x2, coord y2, struct pen pen)
{
    buf_puts(c->out, "<line");
    attribute(c->out, "x1", x1);
    attribute(c->out, "y1", y1);
    attribute(c->out, "x2", x2);
    attribute(c->out, "y2", y2);
    draw(c->out, pen);
}

void canvas_rect(struct canvas *c, coord x, coord y, coord width, coord height, coord radius,
                 struct pen pen)
{
    buf_puts(c->out, "<rect");
    attribute(c->out, "x", x);
    attribute(c->out, "y", y);
    attribute(c->out, "width", width);
    attribute(c->out, "height", height);
    if (radius)
        attribute(c->out, "rx", radius);
    draw(c->out, pen);
}

void canvas_circle(struct canvas *c, coord x, coord y, coord radius, struct pen pen)
{
    buf_puts(c->out, "<circle");
    attribute(c->out, "cx", x);
    attribute(c->out, "cy", y);
    attribute(c->out, "r", radius);
    draw(c->out, pen);
}

static coord along(coord radius, double part)
{
    return (coord)lround((double)radius * part);
}

void canvas_arc(struct canvas *c, coord x, coord y, coord radius, int from, int to, struct pen pen)
{
    double a = from * pi / 180, b = to * pi / 180;
    buf_puts(c->out, "<path d=\"M");
    xml_thousandths(c->out, x + along(radius, cos(a)));
    buf_putc(c->out, ' ');
    xml_thousandths(c->out, y + along(radius, sin(a)));
    buf_puts(c->out, "A");
    xml_thousandths(c->out, radius);
    buf_putc(c->out, ' ');
    xml_thousandths(c->out, radius);
    buf_printf(c->out, " 0 %d 1 ", to - from > 180);
    xml_thousandths(c->out, x + along(radius, cos(b)));
    buf_putc(c->out, ' ');
    xml_thousandths(c->out, y + along(radius, sin(b)));
    buf_putc(c->out, '"');
    draw(c->out, pen);
}

void canvas_polygon(struct canvas *c, const coord *points, uint32_t count, bool closed,
                    struct pen pen)
{
    buf_printf(c->out, "<%s points=\"", closed ? "polygon" : "polyline");
    for (uint32_t i = 0; i < count; i++) {
        buf_puts(c->out, i ? " " : "");
        xml_thousandths(c->out, points[2 * i]);
        buf_putc(c->out, ',');
        xml_thousandths(c->out, points[2 * i + 1]);
    }
    buf_putc(c->out, '"');
    draw(c->out, pen);
}

void canvas_text(struct canvas *c, coord x, coord y, struct lettering l, const char *text)
{
    static const char *const anchors[] = {NULL, "middle", "end"};
    coord width = text_width(text, l.size, l.bold);
    if (l.widest && width > l.widest)
        width = l.widest;
    buf_puts(c->out, "<text");
    attribute(c->out, "x", x);
    attribute(c->out, "y", y);
    attribute(c->out, "font-size", l.size);
    if (l.bold)
        word(c->out, "font-weight", "bold");
    if (anchors[l.anchor])
        word(c->out, "text-anchor", anchors[l.anchor]);
    if (l.fill)
        word(c->out, "fill", l.fill);
    attribute(c->out, "textLength", width);
    buf_puts(c->out, " lengthAdjust=\"spacingAndGlyphs\">");
    xml_text(c->out, text);
    buf_puts(c->out, "</text>\n");
}
