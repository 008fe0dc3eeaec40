/* Pieces to groups: as few groups as can be, and of these the cheapest. What may be in one group,
 * and what a group costs, is told by who asks. */
#ifndef STUDBAY_PROPOSE_ALLOT_H
#define STUDBAY_PROPOSE_ALLOT_H

#include <stdbool.h>
#include <stdint.h>

struct arena;

/* Pieces are numbers from 0, in an order that the answer may hang on where nothing else decides.
 *
 *   may     whether pieces may be in one group; fewer of them may then be too, and one by itself
 *           always is
 *   cost    of a group, in whatever order its pieces come
 *   least   a number of groups that such pieces have at the least, by what a group holds
 *   wanted  a number of groups that must not be fallen below, as far as there are pieces */
struct allot_asked {
    uint32_t count;
    const void *of;
    bool (*may)(const void *of, const uint32_t *pieces, uint32_t n);
    double (*cost)(const void *of, const uint32_t *pieces, uint32_t n);
    uint32_t (*least)(const void *of, const uint32_t *pieces, uint32_t n);
    uint32_t (*wanted)(const void *of, const uint32_t *pieces, uint32_t n);
};

struct allotted {
    uint32_t *group; /* by piece: from 0, in the order of their first pieces */
    uint32_t groups;
    uint32_t least; /* no allotment has fewer */
    double cost;
    bool exact; /* none of as many groups is cheaper: all of them were gone through */
};

/* Pieces of which no two may be in one group, nor any by way of others, are allotted by themselves:
 * up to MOST_EXACT exactly, more by a search that begins at several allotments and betters each. */
enum { MOST_EXACT = 12 };

struct allotted allot(struct arena *arena, const struct allot_asked *asked);

#endif
