/* Sheets of labels: their grids, and the labels of a plan printed on them. */
#ifndef STUDBAY_SHEETS_LABELS_H
#define STUDBAY_SHEETS_LABELS_H

#include "base/arena.h"
#include "base/length.h"

#include <stdbool.h>
#include <stdint.h>

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
    bool qr;                 /* a code to scan on the back of each */
    uint32_t start;          /* the first free label, from 1, row by row */
};

extern const struct label_sheet labels_grids[];
extern const uint32_t labels_grid_count;

/* The grid of that name, or NULL. */
const struct label_sheet *labels_grid_named(const char *name);

/* What is wrong with a grid, or NULL: labels that overlap or leave the page, that are too small for
 * a tag and a code or to close round a cable. In the arena. */
const char *labels_grid_fault(struct arena *arena, const struct label_sheet *sheet);

#endif
