/* The walk of a circuit, from its panel to its last box and back: what is fed from a thing, and
 * what feeds it. */
#ifndef STUDBAY_WHERE_WALK_H
#define STUDBAY_WHERE_WALK_H

#include "where/where.h"

struct model;
struct run;

/* A panel, circuit or box (struct panel, struct circuit, struct box by the sort). */
struct where_step {
    enum mention_sort sort;
    const void *thing;
    const struct run *by; /* the run that leads there; NULL: none does */
};

struct where_steps {
    VEC(struct where_step) steps;
};

/* What a thing feeds: of a panel its circuits, of a circuit the panel that it feeds or the boxes
 * that its runs come to first, of a box those that its runs lead on to. Each once, in the order of
 * the text. */
struct where_steps where_onward(struct arena *arena, struct where_step at);

/* What feeds it: of a box the boxes before it, or the circuit where a run comes from the panel; of
 * a circuit its panel, of a panel its feeder. */
struct where_steps where_back(struct arena *arena, struct where_step at);

/* The step of a name that means such a thing, in the first of its copies; thing NULL: it means
 * none.
 */
struct where_step where_step_of(const struct where_name *name);

/* Its address, and in a few words what it is. */
const char *where_step_address(struct arena *arena, struct where_step at);
const char *where_step_words(struct arena *arena, struct where_step at);

/* The statement that it stands in. */
const struct node *where_step_statement(struct where_step at);

/* The n-th panel, circuit or box of a model; thing NULL where there are not so many. */
struct where_step where_step_number(const struct model *m, enum mention_sort sort, int64_t n);
uint32_t where_step_id(struct where_step at);

#endif
