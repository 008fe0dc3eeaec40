/* For tests: the oracle for another name, asked of generated plans and of those of the tree. */
#ifndef STUDBAY_TESTS_RENAMED_H
#define STUDBAY_TESTS_RENAMED_H

#include "properties.h"

/* Gives up to `most` names of a plan, by the seed, another name each, writes that into an empty
 * folder, and compiles it: the plan must say the same up to that name, every place of the name and
 * no other must have changed, and given back its name it must be the same bytes. `log` is its site
 * log, or NULL. */
bool renamed_is_the_plan(const char *path, const char *log, uint64_t seed, unsigned most,
                         const char *folder, struct buf *why);

#endif
