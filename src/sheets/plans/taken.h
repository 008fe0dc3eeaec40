/* What takes up room on a sheet: areas in a grid, so that who looks for a free place sees what is
 * near alone. */
#ifndef STUDBAY_SHEETS_PLANS_TAKEN_H
#define STUDBAY_SHEETS_PLANS_TAKEN_H

#include "paper/paper.h"

/* What an area is taken by: a set of these is asked for. */
enum plan_by {
    BY_WALL = 1,
    BY_SIGN = 2,
    BY_LINE = 4, /* a cable or leg */
    BY_DOOR = 8,
    BY_WORDS = 16,
    BY_THING = 32,
    BY_EDGE = 64,  /* of a fixed thing or beam */
    BY_FOOT = 128, /* where a box stands, so that other signs leave it free */
    BY_STEM = 256
};

struct plan_area {
    struct area a;
    enum plan_by by;
};

typedef VEC(struct plan_area) plan_areas;

/* What lies beyond the sheet is not kept. */
struct plan_taken {
    struct arena *arena;
    struct area sheet;
    um columns, rows;
    plan_areas *cells; /* row by row: what reaches into each */
};

/* Nothing is taken on a sheet of that size. */
struct plan_taken *plan_taken_new(struct arena *arena, um width, um height);

void plan_take(struct plan_taken *t, struct area a, enum plan_by by);
/* A line as wide as that. */
void plan_take_line(struct plan_taken *t, struct spot a, struct spot b, um width, enum plan_by by);

/* Whether an area is taken by those. */
bool plan_meets(const struct plan_taken *t, struct area a, unsigned by);
/* Whether a line as wide as that meets what is taken by those. */
bool plan_line_meets(const struct plan_taken *t, struct spot a, struct spot b, um width,
                     unsigned by);

/* The same, but for what lies about a place. */
bool plan_meets_elsewhere(const struct plan_taken *t, struct area a, unsigned by,
                          struct spot place);
bool plan_line_meets_elsewhere(const struct plan_taken *t, struct spot a, struct spot b, um width,
                               unsigned by, struct spot place);

#endif
