/* What lies behind a finish: from when on, and for which work. The plan says it of walls and
 * ceilings that are never opened, the site log of those that were closed on a day. What hung by
 * then is as it was built; what comes later is fished, and its boxes are for old work. */
#ifndef STUDBAY_FACTS_CLOSED_H
#define STUDBAY_FACTS_CLOSED_H

#include "facts/facts.h"

struct wall;

/* The day from which a finish is on, as 20260314: 0 as the plan says, UINT32_MAX never. */
uint32_t facts_wall_closed_from(const struct wall *w);
uint32_t facts_ceiling_closed_from(const struct room *room);

/* The day by which a cable hung or a box was set, as the site log says; UINT32_MAX: it is not yet.
 * What is closed from a day before it was closed when that work was done. */
uint32_t facts_hung_by(const struct run *r);
uint32_t facts_set_by(const struct box *b);

/* Whether the finish of a box's wall or ceiling is on when it is set. */
bool facts_is_in_closed(const struct box *b);

/* The same, whatever the site log says of it: the plan says that it stays on. */
bool facts_stays_closed(const struct box *b);

/* Whether all cables of a box are fished to it or there already, one at least. */
bool facts_is_fished_to(const struct box *b);

#endif
