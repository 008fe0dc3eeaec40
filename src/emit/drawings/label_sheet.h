/* Sheets of labels: their grids, and the labels of a plan printed on them. */
#ifndef STUDBAY_EMIT_DRAWINGS_LABEL_SHEET_H
#define STUDBAY_EMIT_DRAWINGS_LABEL_SHEET_H

#include "base/length.h"

struct results;

/* The grid of a sheet. */
struct label_sheet {
    const char *name;
    length page_width, page_height;
    length label_width, label_height;
    uint32_t columns, rows;
    length top, left;        /* of the first label */
    length pitch_x, pitch_y; /* from one label to the next */
    bool cut;                /* plain paper: dashed lines to cut along */
    bool outline;            /* shows the labels' edges, to be held against a sheet */
    uint32_t start;          /* the first free label, from 1, row by row */
    uint32_t only;           /* this sheet alone, from 1; 0: all, one below the other */
};

extern const struct label_sheet label_sheet_grids[];
extern const uint32_t label_sheet_count;

/* The grid of that name, or NULL. */
const struct label_sheet *label_sheet_named(const char *name);

/* What is wrong with a grid, or NULL: labels that overlap or leave the page, or that are too small
 * for a tag. In the arena. */
const char *label_sheet_fault(struct arena *arena, const struct label_sheet *sheet);

/* Labels of both ends of every run, as SVG. Each bears its tag twice, the second time upside down,
 * so that it is read from both sides when it is folded round the cable; home runs have a solid
 * triangle and the word. Nothing leaves its label. Gives the count of sheets that the plan fills.
 */
uint32_t label_sheet_draw(const struct results *r, const struct label_sheet *sheet,
                          struct buf *svg);

#endif
