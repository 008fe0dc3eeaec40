/* The lower bound of the packer: column generation over the fillings of single coils. For pack*.c
 * only.
 *
 * The linear program is solved in floating point; the bound is not taken from it but from its
 * prices, rounded to whole numbers, with an exact knapsack: for any prices, worth of the cuts less
 * what the fillings of the coils may be worth above their cost is a lower bound. */
#ifndef STUDBAY_CUTS_PACK_LP_H
#define STUDBAY_CUTS_PACK_LP_H

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct pack_packing;

/* A filling of one coil that the linear program knows: `count[e]` cuts of size `size[e]`. */
struct pack_column {
    uint32_t kind, entries;
    uint32_t *size, *count;
    bool active; /* fits the cuts and coils that are left */
    double used; /* how often the last solution uses it */
};

struct pack_lp {
    const struct pack_model *model;
    /* the grid of the knapsack: exact where the lengths have a step, else cuts and coils rounded
     * down, which keeps the bound a bound */
    uint32_t *unit, *cap_unit;
    uint32_t cap_max;
    /* the columns, oldest first */
    struct pack_column *column;
    uint32_t columns, column_max;
    /* the simplex method: rows are the sizes, then the kinds; the columns of the basis and its
     * dense inverse */
    uint32_t rows;
    double *inverse, *x, *price, *step;
    uint32_t *basic;
    bool *in_basis;
    double cost_scale; /* costs are divided by it */
    /* prices of the sizes: those the knapsack takes, and the best ones for a bound so far */
    double *mixed, *centre;
    /* the knapsack */
    int64_t scale;  /* worths are costs times this */
    int64_t *worth; /* of a cut, by size */
    int64_t *table; /* the most worth that fits, by grid length */
    int64_t *table_before;
    uint8_t *take;
    uint32_t *item_size, *item_count, items;
    __int128 bound; /* of the last prices, times scale */
};

/* What a cut costs that no coil holds, in the dearest coil's cost: so much that the linear program
 * avoids it where it can. */
#define PACK_MISSING_COST 1000.0

/* Costs, in the dearest coil's, that are nearer than this are the same to the linear program. */
#define PACK_TOLERANCE 1e-7

/* --- pack_simplex.c: the simplex method over the columns there are --- */

/* Starts anew for the cuts of `rem` and the coils within `limit`, from a basis in which all cuts
 * are missing. Old columns are dropped if there are too many. */
void pack_simplex_start(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit);

/* Goes on to the optimum, or until the steps are used up. */
void pack_simplex(struct pack_lp *lp, uint64_t *steps);

/* The cost of the solution, in the model's costs. */
double pack_solution_cost(const struct pack_lp *lp);

/* The cost of a filling less the worth of its cuts at the current prices, in the dearest coil's
 * cost. A coil's own price is never above 0. */
double pack_reduced_cost(const struct pack_lp *lp, const struct pack_column *c);

/* The number under which a filling stands in `basic` and `in_basis`; fillings are the last. */
uint32_t pack_filling_number(const struct pack_lp *lp, uint32_t column);

/* --- pack_lp.c --- */

/* For models of a size the method can carry; else NULL. */
struct pack_lp *pack_lp_new(struct arena *arena, const struct pack_model *model);

/* The least cost, rounded up, at which the cuts of `rem` could be held by coils within `limit`.
 * INT64_MAX where they do not fit. It stops early when the bound has reached `enough`, or when some
 * number of bought coils is broken anyway. After it, column[].used, worth, table and bound are
 * those of the last prices. */
int64_t pack_lp_bound(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit,
                      int64_t enough, uint64_t *steps);

/* The cuts of `rem` that fill a coil of the kind best, and the fewest of these; on a coarse grid
 * they may be a little too long. */
void pack_lp_fill(struct pack_lp *lp, uint32_t kind, const uint32_t *rem, uint32_t *chosen,
                  uint64_t *steps);

/* Adds the coils of a packing to the columns, which speeds up the bounds that follow. */
void pack_lp_learn(struct pack_lp *lp, const struct pack_packing *packing);

#endif
