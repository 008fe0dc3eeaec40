/* Boxes that conductors pass unbroken: conduit bodies and pull boxes, and the raceways that are one
 * pull by them. */
#ifndef STUDBAY_FACTS_PULLS_H
#define STUDBAY_FACTS_PULLS_H

#include "model/power.h"

/* Whether the plan says that a box is a conduit body. */
bool facts_is_body(const struct box *b);

/* Whether what neither ends in a box nor parts there is not cut in it: in a conduit body, and in
 * what the plan says is a pull box. */
bool facts_is_passed(const struct box *b);

/* Of the raceways that the same conductors are pulled through, the one nearest the source: there
 * they are counted, cut and labelled. A run by itself: that run. */
const struct run *facts_pulled_with(const struct run *run);

/* The two ends of what is pulled into a run: of its pull, else its own; the one nearer the source
 * first. */
struct end facts_pull_from(const struct run *run);
struct end facts_pull_to(const struct run *run);

/* The name that the plan gives a run, or the first run of its pull that has one; NULL: none. */
const char *facts_pull_name(const struct run *run);

/* Whether the conductors of a run go on unbroken, all of them, at its `to` (else its `from`) end.
 */
bool facts_goes_on(const struct run *run, bool at_to);

#endif
