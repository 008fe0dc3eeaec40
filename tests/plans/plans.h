/* For tests: plans made at random, always the same for a seed, of everything that the language has.
 * How a new feature joins is told at the top of features.c. */
#ifndef STUDBAY_TESTS_PLANS_H
#define STUDBAY_TESTS_PLANS_H

#include "base/buf.h"

#include <stdbool.h>
#include <stdint.h>

enum plan_sort {
    PLAN_CLEAN,   /* meant to be without an error: what rules ask for is written */
    PLAN_BOLD,    /* whatever can be said: legs across the whole circuit, loads as they come */
    PLAN_DAMAGED, /* one of the others with slips of the pen in it */
    PLAN_SORT_COUNT
};

/* A plan with the files that lie beside it. */
struct plan_text {
    struct buf plan;
    struct buf include; /* "more.bay"; empty: there is none */
    struct buf log;     /* the site log; empty: there is none */
};

enum { MOST_PLAN_BOXES = 300 };

/* Writes the plan of a seed into `out`, which holds empty buffers; about `boxes` boxes, or 0 for a
 * size by the seed. */
void plan_make(struct plan_text *out, enum plan_sort sort, uint64_t seed, unsigned boxes);

/* Puts slips into a text: words misspelt, dropped, swapped and doubled, statements moved, numbers
 * out of bounds, statements of other places put in. */
void plan_damage(struct buf *text, uint64_t seed);

/* Writes the files into a folder: plan.bay, with plan.log and more.bay where there are any; takes
 * away those that there are not. False where that fails. */
bool plan_write(const struct plan_text *t, const char *folder);

void plan_free(struct plan_text *t);

const char *plan_sort_word(enum plan_sort sort);

/* The library that is built in, read once for all plans that a test program compiles. */
struct compilation;
const struct compilation *plan_library(void);

/* For how long, in a test that is not about it, the allotment of cuts is searched (cut_steps): a
 * tenth of a second. Where more is wanted the list is one of many as good, which is as good for
 * what is asked. */
#define SOME_CUT_STEPS ((uint64_t)50000000)

#endif
