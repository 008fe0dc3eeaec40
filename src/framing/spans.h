/* What carries a joist beside a place: the walls that bear, along it. */
#ifndef STUDBAY_FRAMING_SPANS_H
#define STUDBAY_FRAMING_SPANS_H

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct point;
struct skeleton;

struct spans;

/* The straight walls of all storeys in the order in which joists cross them. n log n. */
struct spans *spans_find(struct arena *arena, const struct skeleton *f);

/* The span of a joist that runs north (else east) over the walls of a storey, at a place; eastings
 * or northings of the plan. Walls that bear are those of `bears`; slanted ones are not reckoned
 * with. Not known where one side has none. */
struct joist_span span_of_joist(const struct spans *s, uint32_t storey, bool north, uint32_t world,
                                struct point at);

#endif
