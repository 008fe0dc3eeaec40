/* The air that runs lie in. */
#ifndef STUDBAY_FRAMING_AIRS_H
#define STUDBAY_FRAMING_AIRS_H

#include "base/length.h"

struct arena;
struct circuit;
struct lying;
struct model;
struct routes;

/* By run id, in the arena: the hottest air that the run passes (`ambient` of rooms and levels, with
 * their walls and the joists over and under them) and the room it belongs to; nothing lies beside
 * it yet. Ways come from `routes->of_run`. */
struct lying *airs_find(struct arena *arena, struct model *m, const struct routes *routes);

/* How long parts of a circuit in which less of its ampacity is left may be together and not count,
 * by the length of all of it (table mixed-ampacities). */
double airs_exempt(struct model *m, length whole);

/* How long all runs of a circuit are together, as far as the voltage drop goes; longer than any
 * where the way of one is not known. */
length airs_circuit_length(const struct routes *routes, const struct circuit *c);

#endif
