/* What differs between two texts, line by line, in the unified form. */
#ifndef STUDBAY_BASE_DIFF_H
#define STUDBAY_BASE_DIFF_H

#include "base/buf.h"

/* Appends the difference, with three lines round each place and `path` at its head; nothing where
 * the texts are alike. The way by Myers (An O(ND) difference algorithm, Algorithmica 1986): as few
 * lines as can be, up to a number of changes beyond which what lies between the first and the last
 * is taken as one. */
void diff_unified(struct buf *out, const char *path, const char *old, size_t old_size,
                  const char *new, size_t new_size);

#endif
