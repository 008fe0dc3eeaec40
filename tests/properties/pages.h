/* For tests: how text reports lie on screens and on paper. */
#ifndef STUDBAY_TESTS_PAGES_H
#define STUDBAY_TESTS_PAGES_H

#include "properties.h"

/* Whether no line of any report is wider than what was asked for, and pages of paper hold what the
 * report holds: none too long, nothing lost, and a page that begins inside a table begins with the
 * table's heads. If not, with one line on why. `read` counts the pages. */
bool pages_hold(struct compilation *c, unsigned *read, struct buf *why);

#endif
