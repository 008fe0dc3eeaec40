/* What was meant by a name that is not known: of those that are known the one that is nearest by
 * edits and near enough to be a slip.
 *
 * Where many are asked for, names are kept in lists, in groups of the same letters: of most groups
 * a glance tells that they are too far, and only names of the others are compared letter by letter.
 */
#ifndef STUDBAY_DIAG_NEAR_H
#define STUDBAY_DIAG_NEAR_H

#include "base/arena.h"

#include <stdbool.h>

struct map;

/* A name, and what a glance at it tells; small letters and capitals are alike here. */
struct near_name {
    const char *text;
    uint64_t once,
        twice; /* letters that are in it, and those that are in it more than once, a bit each */
    uint32_t len;
    uint32_t group; /* of the first of a group: how many it has */
};

typedef struct near_list {
    VEC(struct near_name) names;
    bool grouped; /* sorted into groups since the last one was added */
} near_list;

void near_add(struct arena *arena, near_list *list, const char *text);

/* A search: begun with what was written, then shown names in any order and any number of times. */
struct nearest {
    struct near_name written;
    unsigned best;     /* edits to what is found; none found: the most that is a slip */
    const char *found; /* NULL: none; of those that are equally near the first by the alphabet */
};

struct nearest nearest_to(const char *written);
void nearest_try(struct nearest *n, const char *name);
void nearest_among(struct nearest *n, near_list *list);

/* The keys of a map of (scope, name) as a list. `lists` holds those that were made; they are made
 * anew where the map has grown. */
near_list *near_of_map(struct arena *arena, struct map *lists, const struct map *m,
                       uintptr_t scope);

#endif
