/* Sheets of paper and what is drawn on them: the one interface under every drawing.
 *
 * A document is a list of sheets; a sheet is a list of marks (lines, outlines, texts) in the order
 * in which they are drawn. Nothing is written while one draws: svg.h and pdf.h write a finished
 * document, and tests read its marks.
 *
 * Places and sizes are whole micrometres of paper, x to the right and y down from the upper left
 * corner. Marks are kept where they come to lie, whatever group they were drawn in. Widths of texts
 * are those of the font that is built in (font.h), so that what is laid out is the same everywhere.
 * What was typed in a plan may be anything: writers escape it. */
#ifndef STUDBAY_PAPER_PAPER_H
#define STUDBAY_PAPER_PAPER_H

#include "base/arena.h"
#include "base/length.h"
#include "paper/font.h"

#include <stdbool.h>
#include <stdint.h>

/* Micrometres of paper. */
typedef int64_t um;

#define MM         ((um)1000)
#define PAPER_INCH ((um)25400)

struct spot {
    um x, y;
};

struct area {
    um left, top, right, bottom;
};

/* --- how a mark looks ---------------------------------------------------------------------- */

/* A colour, 0xRRGGBB; NO_INK: not drawn. */
typedef int32_t ink;

enum { NO_INK = -1, BLACK = 0x000000, WHITE = 0xffffff };

/* Lengths in millimetres of what is drawn and left out, by what it says of the line. */
enum dash {
    DASH_NONE,
    DASH_EXISTING, /* 5-3: existing cable */
    DASH_LEG,      /* 2-1.5: switch leg */
    DASH_BEHIND,   /* 1.5-1.5: on the other side of the wall */
    DASH_OVERHEAD, /* 4-1-1-1: overhead */
    DASH_OUTDOORS, /* 6-1.5-0.5-1.5: edge of what lies outdoors */
    DASH_GROUND,   /* 1-1: a ground */
    DASH_GOES,     /* 0.6-1.4: what is taken out */
    DASH_COUNT
};

struct pen {
    ink stroke, fill;
    um width; /* of the stroke */
    enum dash dash;
};

/* The widths of lines (millimetres / 1000), by what they mean. */
enum {
    LINE_CUT = 700,     /* cut walls, floor line, border */
    LINE_NEW = 500,     /* new cable, new box */
    LINE_EDGE = 350,    /* openings, door leaves, fixed things */
    LINE_THIN = 250,    /* leaders, dimensions, existing devices, legs */
    LINE_FRAMING = 180, /* studs, joists, plates */
};

/* Heights of capitals. */
enum {
    CAPS_NUMBER = 7000, /* of a sheet */
    CAPS_TITLE = 4500,
    CAPS_NAME = 3500,  /* rooms, boxes, figures that are marked on site */
    CAPS_WORDS = 2500, /* all other words and dimensions */
    CAPS_NOTE = 1800   /* legend and notes: the least anywhere */
};

enum anchor { AT_START, AT_MIDDLE, AT_END };

struct lettering {
    um caps; /* the height of capitals */
    bool bold;
    enum anchor anchor;
    ink fill;    /* 0: black */
    um halo;     /* of white round the letters; 0: none */
    int degrees; /* turned clockwise about its place: 0, 90, -90 or any other */
    um widest;   /* pressed together where it would be wider; 0: as wide as it is */
};

/* --- documents ------------------------------------------------------------------------------ */

/* What a group of marks shows: what tests count by, and a class in SVG. */
enum role {
    ROLE_PLAIN,
    ROLE_FRAME,     /* title strip, border, scale */
    ROLE_ROOM,      /* a room's walls and their fill */
    ROLE_FRAMING,   /* studs, joists, plates */
    ROLE_FIXED,     /* openings and fixed things */
    ROLE_SYMBOL,    /* of one device or panel */
    ROLE_BOX,       /* the outline of a box */
    ROLE_CABLE,     /* a cable, leg, arrow or conductor */
    ROLE_LABEL,     /* words that belong to a box, panel or cable */
    ROLE_LEADER,    /* the line from a label to its thing */
    ROLE_ROOM_NAME, /* words that belong to a room */
    ROLE_DIMENSION,
    ROLE_NOTE, /* legend, lists, all other words */
    ROLE_COUNT
};

struct group {
    enum role role;
    const char *subject; /* what it shows, an address: "studio.S1"; or NULL */
    const char *title;   /* shown for it, or NULL */
    const struct group *outer;
};

enum mark_kind {
    MARK_LINE,   /* points: two or more, open */
    MARK_SHAPE,  /* points, closed */
    MARK_RECT,   /* box, radius */
    MARK_CIRCLE, /* at, radius */
    MARK_ARC,    /* at, radius, from and to, to >= from, in degrees clockwise from the x axis */
    MARK_CURVE,  /* points: one, and three for each Bezier curve that follows */
    MARK_TEXT,   /* at, text, lettering, width */
    MARK_CLIP,   /* box: what follows up to its MARK_UNCLIP shows inside alone */
    MARK_UNCLIP,
    MARK_LINK,   /* box, text: "#studio.S1", or the address of a page */
    MARK_ANCHOR, /* at, text: the name that links lead to */
};

struct mark {
    enum mark_kind kind;
    const struct group *group; /* the innermost one */
    struct pen pen;
    struct spot at;
    struct area box;
    um radius;
    int from, to;
    const struct spot *points;
    uint32_t count;
    const char *text;
    struct lettering lettering;
    um width; /* of the text as it is drawn */
};

typedef VEC(struct mark) mark_list;

struct place_stack; /* where groups stand, while one draws */

struct sheet {
    struct paper *paper;
    const char *number; /* "W-17", unlike any other in the document */
    const char *title;  /* "Studio, north wall" */
    const char *series; /* "Walls": what an outline gathers sheets under */
    const char *doc;    /* what it shows, for those who cannot see it */
    um width, height;
    mark_list marks;
    const struct group *group;
    struct place_stack *stack;
};

typedef VEC(struct sheet *) sheet_list;

struct paper {
    struct arena *arena;
    const struct fonts *fonts;
    const char *title, *author; /* author: or NULL */
    sheet_list sheets;
};

/* A document without sheets; what is drawn is kept in the arena. */
struct paper *paper_new(struct arena *arena, const char *title, const char *author);

/* A new sheet at the end of it, white and empty. */
struct sheet *paper_sheet(struct paper *paper, const char *number, const char *series,
                          const char *title, um width, um height);

/* --- drawing --------------------------------------------------------------------------------- */

/* A length on paper at the scale of 1 to `ratio` (48: 1/4" to the foot), exact to the nearest
 * micrometre. */
um paper_scaled(length l, int64_t ratio);

/* What is drawn until paper_end belongs to the group; groups may lie in groups. */
void paper_begin(struct sheet *s, enum role role, const char *subject, const char *title);
void paper_end(struct sheet *s);

/* What is drawn until paper_unturn stands about (x, y), turned clockwise by `degrees`. */
void paper_turn(struct sheet *s, um x, um y, int degrees);
void paper_unturn(struct sheet *s);

void paper_line(struct sheet *s, um x1, um y1, um x2, um y2, struct pen pen);
/* Straight lines through the points; closed: the outline of a shape. */
void paper_path(struct sheet *s, const struct spot *points, uint32_t count, bool closed,
                struct pen pen);
/* Corners are rounded by `radius`, half of the shorter side at most. */
void paper_rect(struct sheet *s, struct area box, um radius, struct pen pen);
void paper_circle(struct sheet *s, um x, um y, um radius, struct pen pen);
/* Clockwise from one angle to the other, in degrees from the x axis; 0 to 360 is a whole circle. */
void paper_arc(struct sheet *s, um x, um y, um radius, int from, int to, struct pen pen);
/* A Bezier curve through `count` points, one and three for each curve. */
void paper_curve(struct sheet *s, const struct spot *points, uint32_t count, struct pen pen);
/* Fills a shape with lines `apart` from each other that rise by `degrees`. */
void paper_hatch(struct sheet *s, const struct spot *points, uint32_t count, um apart, int degrees,
                 struct pen pen);

/* A text on its base line at (x, y), on one line: what breaks lines in it is a blank. */
void paper_text(struct sheet *s, um x, um y, struct lettering l, const char *text);
/* As wide as the sheet's font makes it. */
um paper_text_width(const struct sheet *s, struct lettering l, const char *text);
/* Where it comes to lie: from a little below the base line to the capitals' height, as wide as it
 * is; in the sheet's own places. */
struct area paper_text_area(const struct sheet *s, um x, um y, struct lettering l,
                            const char *text);
/* The text cut to that width with three dots, or itself. */
const char *paper_cut(const struct sheet *s, struct lettering l, um width, const char *text);
/* Writes it in lines no wider than that, the first with its base line on y, `row` apart; the number
 * of lines. Words that are wider are broken. */
uint32_t paper_write(struct sheet *s, um x, um y, um width, um row, struct lettering l,
                     const char *text);
/* The lines that it makes, in the arena of the document; their number. */
uint32_t paper_lines(const struct sheet *s, um width, struct lettering l, const char *text,
                     const char *const **lines);
/* The same in so many lines at most: what does not fit ends with three dots. */
uint32_t paper_write_within(struct sheet *s, um x, um y, um width, um row, uint32_t most,
                            struct lettering l, const char *text);
/* Text that grows, in rows of a width: how many rows it takes so far, as paper_rows has it, and how
 * much of the last one. */
struct paper_growing {
    um width;
    uint32_t rows;
    int64_t used; /* in units of the face */
};

/* Puts more text behind it; only that is looked at. */
void paper_grow(const struct sheet *s, struct lettering l, struct paper_growing *g,
                const char *text);

/* How many lines that takes. */
uint32_t paper_rows(const struct sheet *s, um width, struct lettering l, const char *text);

/* What is drawn until paper_unclip shows inside the box alone; groups lie wholly in it or round it.
 */
void paper_clip(struct sheet *s, struct area box);
void paper_unclip(struct sheet *s);

/* Who follows the area comes to what is called `target`: "#studio.S1" is an anchor of the document,
 * all else the address of a page. */
void paper_link(struct sheet *s, struct area box, const char *target);
void paper_anchor(struct sheet *s, um x, um y, const char *name);

/* The letters of a sheet's texts that the face has none for, each once, as "U+0639 U+0631", so many
 * at most and then "..."; NULL: it has all. They are drawn as empty boxes. */
const char *paper_unknown_letters(const struct sheet *s, uint32_t most);

/* --- areas ------------------------------------------------------------------------------------ */

static inline bool area_meets(struct area a, struct area b)
{
    return a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom;
}

static inline struct area area_grown(struct area a, um by)
{
    return (struct area){a.left - by, a.top - by, a.right + by, a.bottom + by};
}

/* The area that holds the points, one at least. */
struct area area_round(const struct spot *points, uint32_t count);

/* Where a mark lies, its pen's width included; a clip, link or anchor has its box. */
struct area paper_mark_area(const struct mark *m);

#endif
