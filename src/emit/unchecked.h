/* What no rule could decide from a plan, and why: said after every check, and the ground of the
 * walk-round list. */
#ifndef STUDBAY_EMIT_UNCHECKED_H
#define STUDBAY_EMIT_UNCHECKED_H

struct arena;
struct model;
struct protected;
struct verdict;

/* Two lines, each with its newline: what this plan does not show, and what is seen on site only.
 * Linear. */
const char *unchecked_words(struct arena *arena, struct model *m, const struct protected *protected,
                            const struct verdict *verdict);

#endif
