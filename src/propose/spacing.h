/* Receptacles along walls and counters: the fewest that the spacing rules accept. */
#ifndef STUDBAY_PROPOSE_SPACING_H
#define STUDBAY_PROPOSE_SPACING_H

#include "propose/siting.h"

/* Adds what the walls and counters of the rooms that are asked about are short of; whether it was
 * any. What cannot be reached from any place stays as it is. Of each stretch the fewest, by
 * cover.h; `first`: the number of boxes that were added before. */
bool spacing_add(struct siting *p, uint32_t first);

/* How much of the walls and counters of the plan is out of reach by now. */
length spacing_bare(struct siting *p);

#endif
