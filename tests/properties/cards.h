/* For tests: a reader of printed make-up cards. */
#ifndef STUDBAY_TESTS_CARDS_H
#define STUDBAY_TESTS_CARDS_H

#include "properties.h"

/* What was read so far. */
struct cards_read {
    unsigned boxes, unproven, lines, labels, tabs; /* unproven: boxes whose card is not printed */
};

/* Makes up each box of the plan by its printed card, and holds that against what is proven. False,
 * with a line on why, where a line of a card leads to no conductor or to several, or joins what the
 * make-up does not. */
bool cards_hold(struct compilation *c, struct cards_read *read, struct buf *why);

#endif
