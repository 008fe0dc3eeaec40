/* What is there already: what the plan tells of it, and what is new on it. What it does not tell is
 * unknown: nothing is chosen for it, and no rule takes it for what would be convenient. */
#ifndef STUDBAY_FACTS_EXISTING_H
#define STUDBAY_FACTS_EXISTING_H

#include "facts/facts.h"

/* An old run whose cable the plan does not tell, an old box whose type it does not, an old circuit
 * whose breaker it does not. */
bool facts_cable_untold(const struct run *r);
bool facts_type_untold(const struct box *b);
bool facts_breaker_untold(const struct circuit *c);

/* Whether the breaker of a circuit is bought: it is new, or the circuit is. */
bool facts_buys_breaker(const struct circuit *c);

/* Whether a new run of the circuit, or of any where it is NULL, ends in the box. */
bool facts_gets_cable(const struct box *b, const struct circuit *c);

/* Whether a new device comes into the box. */
bool facts_gets_device(const struct box *b);

/* Whether an old box is opened: new cable ends in it, a new device comes into it, or something in
 * it goes. */
bool facts_is_opened(const struct box *b);

/* Whether a blank cover is bought for the box: it is new and has no device, or its last one goes.
 */
bool facts_gets_blank(const struct box *b);

/* Whether new work hangs on a circuit: a new run, or a new device. */
bool facts_is_worked_on(const struct circuit *c);

/* Whether a leg has something new on it: a switch or a load. */
bool facts_leg_is_worked_on(const struct leg *l);

#endif
