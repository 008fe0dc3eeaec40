/* What no rule could decide from a plan, and why: said after every check, and the ground of the
 * walk-round list. */
#ifndef STUDBAY_EMIT_UNCHECKED_H
#define STUDBAY_EMIT_UNCHECKED_H

struct arena;
struct blind_spot;
struct diag;
struct verdict;

/* Two lines, each with its newline: what this plan does not show, and what is seen on site only.
 * Linear. */
const char *unchecked_words(struct arena *arena, const struct diag *diag,
                            const struct verdict *verdict);

/* "the weight of what hangs from studio.F1": a blind spot with the name of a thing, or of several.
 */
const char *unchecked_spot_words(struct arena *arena, const struct blind_spot *spot,
                                 const char *thing);

#endif
