/* What the floor plan draws, for reports that speak of it. */
#ifndef STUDBAY_EMIT_DRAWINGS_PLAN_H
#define STUDBAY_EMIT_DRAWINGS_PLAN_H

#include <stdbool.h>

struct box;
struct level;
struct results;
struct scale;

/* Whether the box stands on the sheet of a level: its room must have walls. */
bool plan_is_drawn(const struct box *b);

/* The scale that the sheet of a level is drawn to; false where no room of it has walls. */
bool plan_scale(const struct results *r, const struct level *level, struct scale *scale);

#endif
