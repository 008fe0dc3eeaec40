/* For tests: reports whatever the order in which they list things. */
#ifndef STUDBAY_TESTS_SORTED_H
#define STUDBAY_TESTS_SORTED_H

#include "compile.h"

/* The rows of a report as CSV in the order of their text, and the words of a cell in order too;
 * empty where the plan gives no results. The caller frees it. */
char *sorted_report(struct compilation *c, const char *report);

#endif
