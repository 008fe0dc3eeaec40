/* Receptacles that a place must have somewhere: each finding of the rules that ask for one is
 * answered by the first place, of those that come into question, with which the rules no longer
 * find it. */
#ifndef STUDBAY_PROPOSE_REQUIRED_H
#define STUDBAY_PROPOSE_REQUIRED_H

#include "propose/siting.h"

/* The rules of which something may be left: what feeds the boxes, and what no place was found for,
 * which a rule tells in other words when less of it is missing. */
extern const char required_leaves[];

/* Adds what is missing; the plan is compiled with it. One box at a time: each answers a finding, or
 * brings it nearer to its end, and breaks nothing. */
void required_add(struct siting *p);

/* The room that such a finding is about, NULL: not known. */
const struct room *required_room(const struct siting *p, const struct finding *f);

/* Whether a finding says that a receptacle is missing somewhere. */
bool required_is_missing(const struct finding *f);

#endif
