/* Where in a room a receptacle may stand, as far as can be told before the rules have looked at it.
 */
#ifndef STUDBAY_PROPOSE_SITES_H
#define STUDBAY_PROPOSE_SITES_H

#include "propose/siting.h"

/* The places of all walls of a room at a height where a box may stand, but those that were refused.
 * Of a place outdoors the walls of the house alone, where there are any: nothing stands round the
 * rest of it. */
void sites_of_room(const struct siting *p, const struct room *r, length up, place_list *out);

/* What a box there is to hold: a receptacle, where the weather comes to it a resistant one, under a
 * cover that the rules ask for. */
const char *sites_receptacle(const struct siting *p, const struct room *r,
                             const struct place *place);

/* The usual heights of a receptacle, and of one over a counter or basin. */
length sites_usual_height(const struct siting *p);
length sites_counter_height(const struct siting *p);

/* Adds a receptacle. */
void sites_add(struct siting *p, const struct room *r, const struct place *place);

bool sites_has_receptacle(const struct box *b);

#endif
