/* A sheet as an SVG picture, in millimetres. */
#ifndef STUDBAY_PAPER_SVG_H
#define STUDBAY_PAPER_SVG_H

#include "base/buf.h"
#include "paper/paper.h"

struct svg_use {
    bool alone; /* a file of its own, black on white, with its size on paper; else a part of a page,
                   which gives it its size, the colour of its text and by --paper its ground */
    bool bare;  /* it is to be small: groups are left out, with their ids and titles, and what marks
                   look like is said by the classes of svg_style */
    const char *prefix; /* of its ids, so that several may stand in one page; "" for none */
    /* What leads to an anchor of the document: NULL for "#name" itself. The text is made in the
     * arena. */
    const char *(*target)(void *context, const char *anchor);
    void *context;
    bool placed; /* it is part of a picture in millimetres, `top` from the top of that */
    um top;
};

/* The rules of the classes of bare pictures, each for what lies in elements that the selector
 * names. */
void svg_style(const struct fonts *fonts, const char *within, struct buf *out);

/* A name as an id of the picture, without the prefix: its blanks are underscores. */
const char *svg_id(struct arena *arena, const char *name);

/* Groups with a subject have it as their id, the first of each alone. */
void svg_write(const struct sheet *s, struct svg_use use, struct buf *out);

/* All sheets of a document in one file, one below the other, whatever `use` says of that. Ids of
 * all but the first have their sheet's number before them. */
void svg_write_column(const struct paper *paper, struct svg_use use, struct buf *out);

/* What stands before the ids of a sheet there, the first being 0. */
const char *svg_prefix(struct arena *arena, uint32_t at, const struct sheet *s);

#endif
