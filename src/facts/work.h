/* What the files of the facts share. */
#ifndef STUDBAY_FACTS_WORK_H
#define STUDBAY_FACTS_WORK_H

#include "facts/facts.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

/* known.c: what the text leaves in doubt, carried on to what rests on it. */
void facts_carry_doubts(struct model *m);

/* passing.c: the devices of each box that may pass current on, for facts_passing. */
void facts_find_passing(struct model *m);

/* Which runs are one pull. Linear. */
void facts_find_pulls(struct model *m);

#endif
