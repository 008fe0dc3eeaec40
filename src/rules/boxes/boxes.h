/* What the rules of boxes share. */
#ifndef STUDBAY_RULES_BOXES_H
#define STUDBAY_RULES_BOXES_H

#include "rules/check.h"

/* How many gangs the devices of a box take. */
uint32_t yokes_in(const struct box *box);

#endif
