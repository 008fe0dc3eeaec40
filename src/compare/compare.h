/* What a change of the plan does to the work: two plans held against each other, run by run, with
 * the site log saying what hangs in the wall already.
 */
#ifndef STUDBAY_COMPARE_COMPARE_H
#define STUDBAY_COMPARE_COMPARE_H

#include "emit/table.h"

#include <stdint.h>

enum run_change { RUN_KEPT, RUN_MOVED, RUN_RECABLED, RUN_ADDED, RUN_ABANDONED, RUN_CHANGES };

struct comparison {
    struct arena *arena;
    const struct results *old, *now;
    uint32_t runs_by_change[RUN_CHANGES];
    uint32_t unused_bores, new_bores;
    struct grid
        runs; /* every run of either plan: the new plan's in its order, then the abandoned ones */
    struct grid boxes;                      /* boxes that move, come or go */
    VEC(const char *) run_rooms, box_rooms; /* row by row, the address of the room; "": none */
    struct grid bores; /* holes that the old plan has, the new one has not, and no cable hangs in */
    struct grid new_bore_rows; /* holes that the new plan has, the old one has not, for cables that
                                  do not hang elsewhere */
    struct grid buy;           /* what is bought more or less of */
    struct grid breakers;      /* those that come, go or stand in another space */
    struct grid goes;          /* what is there and goes now, or goes no more; boxes are above */
    struct grid findings;      /* those that appear and those that go */
    struct grid labels;        /* labels that vanish, change or come to mean another cable */
};

/* Compares; both results stay as they are. A run is the same where it joins the same two ends,
 * whatever way round; of several between them, those of the same name, circuit and cable. Lengths
 * of cables in the wall come from the logs of the results. Linear in the plans. */
void compare_plans(struct arena *arena, const struct results *old, const struct results *now,
                   struct comparison *out);

/* For people, `width` display cells wide. */
void compare_text(const struct comparison *c, unsigned width, struct buf *out);
void compare_json(const struct comparison *c, struct buf *out);

/* The same as Markdown, for those who look at a change before it is taken. */
void compare_markdown(const struct comparison *c, struct buf *out);

#endif
