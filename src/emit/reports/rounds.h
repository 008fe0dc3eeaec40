/* A way through the house that comes into each room once: through doors and openings, on one level
 * as long as it goes on there, then over the stairs. */
#ifndef STUDBAY_EMIT_REPORTS_ROUNDS_H
#define STUDBAY_EMIT_REPORTS_ROUNDS_H

#include "emit/results.h"

/* The place of each room on the way, by its id. It begins in a room with a door to the outside, on
 * the lowest level that has one; rooms to which no door leads come behind those that the way
 * reached, by level and place. The order of the text decides nothing. Linear but for sorting. */
const uint32_t *rounds_find(const struct results *r);

#endif
