/* The parts of a comparison, one file each. */
#ifndef STUDBAY_COMPARE_WORK_H
#define STUDBAY_COMPARE_WORK_H

#include "base/length.h"
#include "compare/compare.h"
#include "emit/views.h"

/* A run of the one plan and its like in the other; one of them may be NULL. */
struct pair {
    const struct run_view *old, *now;
};

typedef VEC(struct pair) pair_list;

/* Matches the runs that are built. */
pair_list compare_match_runs(struct arena *arena, const struct results *old,
                             const struct results *now);

void compare_runs(struct comparison *c, const pair_list *pairs);
void compare_labels(struct comparison *c, const pair_list *pairs);
void compare_bores(struct comparison *c, const pair_list *pairs);
void compare_breakers(struct comparison *c);
void compare_removals(struct comparison *c);

/* How the note of a run begins whose cable is long enough. */
extern const char compare_still_reaches[];

/* "runs: 3 kept, 1 moved, ...". */
const char *compare_counts(const struct comparison *c);

/* Whether there is something to do about the run of that row. */
bool compare_is_listed(const struct comparison *c, uint32_t row);

extern const char compare_without_log[], compare_caution[];

#endif
