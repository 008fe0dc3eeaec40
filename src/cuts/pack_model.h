/* What the parts of the packer share: cuts grouped by length, kinds of coils with costs and limits,
 * and packings. For pack*.c only. */
#ifndef STUDBAY_CUTS_PACK_MODEL_H
#define STUDBAY_CUTS_PACK_MODEL_H

#include "base/length.h"

#include <stdbool.h>
#include <stdint.h>

struct pack_kind {
    length cap;
    int64_t cost; /* of one coil, 0 if it is there already */
    uint32_t
        limit; /* how many may be used; at most the number of cuts, which is as good as no limit */
    uint32_t stock;
    bool on_hand;
};

/* The cuts of one step, grouped: size[i], longest first, is wanted demand[i] times. */
struct pack_model {
    uint32_t sizes, kinds, cuts;
    length *size;
    uint32_t *demand;
    struct pack_kind *kind;
};

/* Filled coils: the coil b is of kind[b] and holds the sizes item[first[b]] .. item[first[b + 1] -
 * 1]. Room for as many coils as cuts. */
struct pack_packing {
    uint32_t coils;
    uint32_t *kind, *first, *item;
};

struct pack_answer {
    struct pack_packing best;
    int64_t cost, bound; /* of the model's costs; bound == cost where proven */
};

/* An empty packing of the model's cuts. */
struct pack_packing pack_packing_new(struct arena *arena, const struct pack_model *model);
void pack_packing_copy(const struct pack_model *model, struct pack_packing *to,
                       const struct pack_packing *from);

/* The cost of the coils. */
int64_t pack_packing_cost(const struct pack_model *model, const struct pack_packing *packing);

/* Lays the cuts of `rem` (counts by size, made 0) into coils behind those of `packing`: longest
 * first into the first coil that fits, the free coils first and shortest first, then coils of the
 * kind `prefer` or, where it is used up or too short, of the least cost by length. Then each coil
 * that costs becomes the cheapest that still holds its cuts. `limit` is by kind. False if a cut
 * finds no coil. */
bool pack_first_fit(struct arena *arena, const struct pack_model *model,
                    struct pack_packing *packing, uint32_t *rem, const uint32_t *limit,
                    uint32_t prefer);

/* The kind of least cost by length among those that cost: at its price by length no coil is worth
 * more than it costs. NULL if none costs. */
const struct pack_kind *pack_least_by_length(const struct pack_model *model);

/* The greatest common divisor. */
length pack_common_step(length a, length b);

/* The length of the cuts that the free coils cannot hold, were they filled to the end. */
int64_t pack_length_to_buy(const struct pack_model *model, const uint32_t *rem,
                           const uint32_t *limit);

/* The least cost of coils that together are `left` long, and in `count` by kind which these are: a
 * lower bound for models of any size. Where the coils' lengths have no step to speak of, it is the
 * length at the least cost by length. */
int64_t pack_cover(struct arena *arena, const struct pack_model *model, int64_t left,
                   uint32_t *count, uint64_t *steps);

/* The packing of least cost. `seed`, a packing of some of the cuts from which first fit can go on,
 * may be NULL where first fit can start from nothing. `steps` is the work that may still be done,
 * and is counted down. */
void pack_solve(struct arena *arena, const struct pack_model *model,
                const struct pack_packing *seed, uint64_t *steps, struct pack_answer *out);

#endif
