/* What the files of the placing of words share (place.h), and its tests. */
#ifndef STUDBAY_PAPER_PLACE_WORK_H
#define STUDBAY_PAPER_PLACE_WORK_H

#include "paper/place.h"
#include "paper/place_geometry.h"

/* --- the page, by cells ------------------------------------------------------------------------
 */

typedef VEC(uint32_t) place_numbers;

/* Files numbers by where what they stand for lies. */
struct place_grid {
    struct area page;
    um cell;
    int32_t columns, rows;
    place_numbers *cells; /* row by row: numbers of what reaches into it */
    uint32_t *asked;      /* by number: the last question that it was an answer to */
    uint32_t question;
};

/* A rectangle of cells, the last ones left out. */
struct place_cells {
    int32_t left, top, right, bottom;
};

/* For numbers below `count`. */
void place_grid_begin(struct arena *arena, struct place_grid *g, struct area page, uint32_t count);
/* Files a number in the cells of an area, or of a line with that much about it. What lies beyond
 * the page is filed at its edge. */
void place_grid_add(struct arena *arena, struct place_grid *g, struct area a, uint32_t number);
void place_grid_add_line(struct arena *arena, struct place_grid *g, struct place_line l, um about,
                         uint32_t number);
void place_grid_remove(struct place_grid *g, struct area a, uint32_t number);

/* What is filed in the cells of an area, each once: place_look_next gives one after the other. One
 * look at a time in one grid. */
struct place_look {
    struct place_grid *grid;
    struct place_cells cells;
    int32_t column, row;
    uint32_t at;
};
struct place_look place_look_at(struct place_grid *g, struct area a);
bool place_look_next(struct place_look *l, uint32_t *number);

/* --- what lies on it ---------------------------------------------------------------------------
 */

enum place_block_kind { BLOCK_AREA, BLOCK_LINE, BLOCK_DISC, BLOCK_SHAPE };

struct place_block {
    enum place_block_kind kind;
    struct area area; /* in which it lies; of a line: without its width */
    struct place_line line;
    um radius; /* half the width of a line */
    const struct spot *points;
    uint32_t count;
    struct place_cost cost;
};

struct place_thing {
    struct area area;
    uint32_t group;
};

/* --- offers: where a label could go ------------------------------------------------------------
 */

/* One of the places of a label. `leader` leads from the words to the thing also where it is not
 * drawn (leader_count 0): then it has two points. */
struct place_offer {
    int64_t cost;
    struct area box;
    struct area extent; /* of box and leader */
    struct spot leader[PLACE_BENDS];
    uint8_t leader_count, how, shape;
};

/* A label with its offers, the cheapest first; the last one is to place it nowhere. */
struct place_choice {
    const struct place_label *label;
    uint32_t number; /* that place_label gave it */
    struct place_offer *offers;
    uint32_t count;
    uint32_t chosen; /* an index of `offers` */
};

struct placer {
    struct arena *arena;
    struct area page;
    um clear;
    bool trust_leaders;
    VEC(struct place_block) blocks;
    VEC(struct place_block) walls; /* lines */
    VEC(struct place_thing) things;
    VEC(struct place_label) labels;
    struct place_grid block_grid, wall_grid, thing_grid;
    struct place_choice *choices; /* one a label, in an order that depends on labels alone */
};

/* Files what lies on the page, sorts the labels and makes their offers. */
void place_prepare(struct placer *p);
/* Makes the offers of one label. */
void place_make_offers(struct placer *p, struct place_choice *c);
/* Whether two offers of different labels cannot both be taken. */
bool place_conflict(const struct placer *p, const struct place_choice *a,
                    const struct place_offer *x, const struct place_choice *b,
                    const struct place_offer *y);
/* Chooses an offer for each label. */
void place_search(struct placer *p);

#endif
