/* What takes up room on a sheet: areas in a grid, so that who looks for a free place sees what is
 * near alone. */
#ifndef STUDBAY_SHEETS_PLANS_TAKEN_H
#define STUDBAY_SHEETS_PLANS_TAKEN_H

#include "base/map.h"
#include "paper/paper.h"

/* What an area is taken by: a set of these is asked for. */
enum plan_by {
    BY_WALL = 1,
    BY_SIGN = 2,
    BY_LINE = 4,
    BY_DOOR = 8,
    BY_WORDS = 16,
    BY_THING = 32,
    BY_EDGE = 64, /* of a fixed thing or beam */
    BY_FOOT = 128 /* where a box stands, so that other signs leave it free */
};

struct plan_taken {
    struct arena *arena;
    struct map cells; /* (column, row) -> list of areas */
};

void plan_take(struct plan_taken *t, struct area a, enum plan_by by);

/* A line as wide as that, as a row of squares. */
void plan_take_line(struct plan_taken *t, struct spot a, struct spot b, um width, enum plan_by by);

/* How much of an area is taken by those: the number of areas that it meets, each once or, where it
 * lies in several cells, more. 0: it is free. */
uint32_t plan_meets(const struct plan_taken *t, struct area a, unsigned by);
/* Whether it is taken by those, but for what lies about a place. */
bool plan_meets_elsewhere(const struct plan_taken *t, struct area a, unsigned by,
                          struct spot place);

/* The same along a line: how many of its squares are taken. */
uint32_t plan_line_meets(const struct plan_taken *t, struct spot a, struct spot b, um width,
                         unsigned by);

#endif
