/* Allots strands to coils: pieces that are pulled as one where they come off one coil one behind
 * the other, and pulled apart where breaking the strand buys less.
 *
 * It is decided in this order: no more is left out, paid or bought than where all pieces are apart;
 * then the fewest strands are broken; then, as far as is found at little cost, the broken ones into
 * the fewest parts. That fewer cannot be broken is found out by asking pack_plan what the strands
 * cost where just these are broken: whatever costs too much with some broken does so with fewer. */
#ifndef STUDBAY_CUTS_PACK_STRANDS_H
#define STUDBAY_CUTS_PACK_STRANDS_H

#include "cuts/pack.h"

/* The work that may be spent on a cable beside its cost: a fifth of a second at most. */
#define PACK_STRAND_STEPS ((uint64_t)100000000)

struct pack_strand {
    uint32_t first, count; /* of the pieces, in pulling order */
};

struct pack_strands_asked {
    const struct pack_stock *stocks;
    uint32_t stock_count;
    const struct pack_piece *pieces;
    uint32_t piece_count;
    const struct pack_strand *strands; /* each piece is of one of them */
    uint32_t strand_count;
    const uint32_t *most; /* by stock: how many may be bought; NULL: any number of all */
    const bool *counted; /* by stock: what lies there is bought all the same; NULL: nothing is so */
};

struct pack_strands_result {
    struct pack_result pack; /* on each coil the longest part first, the pieces of a part behind
                                each other in pulling order */
    uint32_t long_ones;      /* strands of more pieces than one */
    uint32_t broken;         /* how many of them come in several parts */
    uint32_t least;          /* no plan that costs as little breaks fewer */
};

/* `apart` is what pack_plan made of the pieces; its bounds hold for the result too. Fills `out`,
 * whose arrays live in `arena`. With no steps the strands are those that `apart` happens to leave
 * whole. Equal input gives equal output. */
void pack_strands(struct arena *arena, const struct pack_strands_asked *asked,
                  const struct pack_result *apart, uint64_t step_limit,
                  struct pack_strands_result *out);

#endif
