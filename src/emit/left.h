/* What is left to buy and to put in, by the site log; all of it where there is none, or where the
 * whole job is asked for. `materials`, `trim` and `todo` ask here, so that they tell one story. */
#ifndef STUDBAY_EMIT_LEFT_H
#define STUDBAY_EMIT_LEFT_H

#include "emit/results.h"
#include "log/log.h"

/* Whether a stage of a box or panel is still ahead. */
bool left_in_box(const struct results *r, const struct box *b, enum log_state state);
bool left_in_panel(const struct results *r, const struct panel *p, enum log_state state);

/* The same of a run; a cable that is pulled anew has all stages ahead. */
bool left_of_run(const struct results *r, const struct run *run, enum log_state state);

/* Whether its breaker is still to be bought: those of a panel that is trimmed out are in. */
bool left_breaker(const struct results *r, const struct circuit *c);

#endif
