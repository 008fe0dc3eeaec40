/* For tests: the oracle for settling, asked of generated plans and of those of the tree. */
#ifndef STUDBAY_TESTS_SETTLED_H
#define STUDBAY_TESTS_SETTLED_H

#include "properties.h"

#include "settle/settle.h"

/* What of a compiled plan (with its cut list) is written into its text. */
struct settled *settle_compiled(struct compilation *c, unsigned sorts);

/* Settles it into an empty folder, compiles that, and compares the two; true too of a plan that has
 * errors or is not proven, and is not settled. `log` is its site log, or NULL. */
bool settled_is_the_plan(struct compilation *c, const char *log, unsigned sorts, const char *folder,
                         struct buf *why);

#endif
