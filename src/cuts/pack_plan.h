/* A plan of coils while it is made: what pack.c decides and pack_result.c hands out. For pack*.c
 * only. */
#ifndef STUDBAY_CUTS_PACK_PLAN_H
#define STUDBAY_CUTS_PACK_PLAN_H

#include "base/length.h"

struct pack_result;

#define PACK_NO_STOCK UINT32_MAX

/* A coil with cuts; `cut` holds positions in the order by length. */
struct pack_filled {
    uint32_t stock; /* PACK_NO_STOCK for cuts that are left out */
    bool on_hand;
    VEC(uint32_t) cut;
};
typedef VEC(struct pack_filled) pack_filled_list;

/* A cut in the order by length: longest first, then by id. */
struct pack_sorted {
    length length;
    uint32_t id, index;
    bool missing;
};

/* The cuts fall into ranges of the order by length, each ending where the next begins. */
struct pack_draft {
    struct arena *scratch;
    const struct pack_stock *stocks;
    uint32_t stock_count;
    struct pack_sorted *cut;
    uint32_t cuts;
    uint32_t too_long_end;   /* longer than every coil */
    uint32_t hand_end;       /* longer than every coil that can be bought */
    uint32_t unpriced_end;   /* longer than every priced coil, where there are prices */
    uint32_t end;            /* behind it come cuts of no length */
    bool priced;             /* some coil to buy has a price */
    pack_filled_list filled; /* of the last step */
    uint64_t steps;
    bool proven;
    double gap;
};

/* How costs of a step are made: the figure of a coil in units of `unit`, times `times`, plus 1 for
 * the coil itself where there is room for it. */
struct pack_weigh {
    int64_t unit, times;
    bool counts_coils;
};

/* Moves cuts from bought coils to coils on hand with room for them, longest first, each to the
 * least room that holds it; a bought coil left empty goes. */
void pack_use_leftovers(struct pack_draft *plan);

/* Sorts the cuts of a coil by their place in the list of all. */
int pack_compare_positions(const void *a, const void *b);

/* Sorts the coils and fills in the result. `cost` and `bound` are those of the last step, of
 * weights made by `weigh`. */
void pack_fill_result(struct arena *arena, struct pack_draft *plan, const struct pack_weigh *weigh,
                      int64_t cost, int64_t bound, struct pack_result *out);

#endif
