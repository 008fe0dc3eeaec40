/* Sorting in linear time by whole numbers. */
#ifndef STUDBAY_BASE_SORT_H
#define STUDBAY_BASE_SORT_H

#include "base/arena.h"

#include <stdbool.h>

/* By the first number, then by the second. */
struct sort_key {
    uint64_t first, second;
};

struct sorted {
    struct sort_key key;
    uint32_t owner, item; /* what it stands for */
};

/* Sorts by key; what has the same key keeps its order. Linear: a pass for each byte in which the
 * keys differ. `scratch` takes as much room again. */
void sort_by_key(struct arena *scratch, struct sorted *list, uint32_t n);

#endif
