/* Which drill: holes of large bits, and much wood, ask for one with a cord. Common trade practice,
 * by the table `drills`. */
#ifndef STUDBAY_EMIT_DRILLS_H
#define STUDBAY_EMIT_DRILLS_H

#include "emit/results.h"

/* Whether a hole of that bit asks for one. */
bool drills_bit_wants_cord(const struct results *r, length bit);

/* Whether so much wood in all does. */
bool drills_wood_wants_cord(const struct results *r, length wood);

#endif
