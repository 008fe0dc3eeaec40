/* The parts of a plan that a drawing is to show alone. */
#ifndef STUDBAY_LIBSTUDBAY_CHOOSE_H
#define STUDBAY_LIBSTUDBAY_CHOOSE_H

#include "libstudbay/handle.h"

/* Notes those that are wanted in the results; false, with the reason, where the plan has none of
 * that name. */
bool choose_things(struct studbay_plan *plan, const struct studbay_wants *wants, struct results *r);

#endif
