/* A drawing to scale, written as SVG.
 *
 * Places and sizes are whole thousandths of a point (1/72 in), x to the right and y down; what is
 * written has no locale and no floating-point noise. Fonts differ between machines, so widths of
 * text come from a table and every text is written with its width: it is as wide everywhere as it
 * was laid out here. */
#ifndef STUDBAY_EMIT_CANVAS_H
#define STUDBAY_EMIT_CANVAS_H

#include "base/length.h"

#include <stdint.h>

typedef int64_t coord;

#define POINT       ((coord)1000)
#define CANVAS_INCH (72 * POINT)

struct canvas {
    struct buf *out;
    uint32_t open; /* groups that are open */
};

/* How an outline is drawn and filled; NULL or 0: not. Colours as SVG has them. */
struct pen {
    const char *stroke, *fill;
    coord width;
    const char *dash; /* "3 2", in points */
};

enum anchor { AT_START, AT_MIDDLE, AT_END };

struct lettering {
    coord size; /* of the font */
    bool bold;
    enum anchor anchor;
    const char *fill; /* NULL: black */
    coord widest;     /* pressed together where it would be wider; 0: as wide as it is */
};

/* A length of paper in thousandths of a point, rounded. */
coord canvas_length(length l);

/* Begins a picture of that size; `title` names it for those who cannot see it, `doc` tells what it
 * shows. Ends it and all groups that are open. */
void canvas_begin(struct canvas *c, struct buf *out, coord width, coord height, const char *title,
                  const char *doc);
void canvas_end(struct canvas *c);

/* A group that stands at (x, y), turned clockwise by `degrees`; `title`, if not NULL, is shown for
 * it. */
void canvas_open(struct canvas *c, coord x, coord y, int degrees, const char *title);
void canvas_close(struct canvas *c);

void canvas_line(struct canvas *c, coord x1, coord y1, coord x2, coord y2, struct pen pen);
void canvas_rect(struct canvas *c, coord x, coord y, coord width, coord height, coord radius,
                 struct pen pen);
void canvas_circle(struct canvas *c, coord x, coord y, coord radius, struct pen pen);

/* Part of a circle, clockwise from one angle to the other, in degrees from the x axis. */
void canvas_arc(struct canvas *c, coord x, coord y, coord radius, int from, int to, struct pen pen);

/* Straight lines through `count` points (x and y in turn), closed or not. */
void canvas_polygon(struct canvas *c, const coord *points, uint32_t count, bool closed,
                    struct pen pen);

/* A text on its base line at (x, y). */
void canvas_text(struct canvas *c, coord x, coord y, struct lettering lettering, const char *text);

/* How wide a text is. Letters outside ASCII count as the widest capital. */
coord text_width(const char *text, coord size, bool bold);

/* The bytes of `text` that fit into `width`, at the end of a character. */
size_t text_fitting(const char *text, coord size, bool bold, coord width);

#endif
