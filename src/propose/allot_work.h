/* A part of the pieces while it is allotted, and its two ways: of allot.c alone. */
#ifndef STUDBAY_PROPOSE_ALLOT_WORK_H
#define STUDBAY_PROPOSE_ALLOT_WORK_H

#include "base/arena.h"
#include "propose/allot.h"

struct allot_part {
    const struct allot_asked *asked;
    struct arena *scratch;
    const uint32_t *pieces;
    uint32_t n;
};

struct allot_group {
    uint32_t *at, n;
    double cost;
};

/* Room for a group of each piece, each with room for all of them. */
struct allot_groups {
    struct allot_group *of;
    uint32_t count;
    double cost;
};

/* The fewest groups, and of these the cheapest: by dynamic programming over all sets of pieces, of
 * which there are MOST_EXACT at most. */
struct allot_groups *propose_exactly(struct allot_part *work);

/* Good groups of many pieces. */
struct allot_groups *allot_search(struct allot_part *work);

/* How many groups these pieces have at the least, by what may be together, what a group holds and
 * what is wanted; how many are wanted, as far as there are pieces. */
uint32_t allot_least(const struct allot_asked *asked, struct arena *scratch, const uint32_t *pieces,
                     uint32_t n);
uint32_t allot_wanted(const struct allot_asked *asked, const uint32_t *pieces, uint32_t n);

/* Groups without any piece yet. */
struct allot_groups *allot_no_groups(const struct allot_part *work);

#endif
