/* What was worked out, written into the text of the plan where the text leaves it out. */
#ifndef STUDBAY_SETTLE_SETTLE_H
#define STUDBAY_SETTLE_SETTLE_H

#include "diag/diag.h"

struct buf;
struct model;
struct node;
struct panels;
struct routes;
struct site_log;
struct wiring;

/* What can be written, in the order in which it stands on a line. */
enum settle_sort {
    SETTLE_TYPES,    /* of boxes */
    SETTLE_CABLES,   /* of runs and feeders */
    SETTLE_BREAKERS, /* of feeders */
    SETTLE_SPACES,   /* of circuits that are named by a word, and of feeders */
    SETTLE_PLACES,   /* of boxes that are set beside the wood that stands where they are written */
    SETTLE_LENGTHS,  /* of runs and feeders: a plan that changes no longer changes them */
    SETTLE_SORTS
};

/* What is written where nothing else is asked for: what the text leaves out, but no lengths. */
enum { SETTLE_USUAL = (1 << SETTLE_PLACES) - 1 };

/* "types", "cables", ... in the order of enum settle_sort. */
extern const char *const settle_words[SETTLE_SORTS];

/* A statement that stays as it is: it stands for several things, which come to different results.
 */
struct settle_left {
    enum settle_sort sort;
    struct span span;
};

struct settled {
    edit_list edits;               /* by source order, then by place */
    uint32_t counts[SETTLE_SORTS]; /* how many of each sort are written */
    VEC(struct settle_left) left;
};

/* What of a compiled plan is to be written into its text: of the sorts asked for (a set of bits of
 * enum settle_sort), what the text leaves out and what is no existing thing. A statement that
 * stands for several things, in a pattern or a base, gets what all of them come to; where they
 * differ it is left. A run that the log says is pulled gets no length: the log has it. `log` may be
 * NULL. Linear. */
struct settled *settle(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct panels *panels,
                       const struct site_log *log, unsigned sorts);

/* How many edits are in the source, and its text with them. */
uint32_t settle_count(const struct settled *s, const struct source *source);
void settle_write(const struct settled *s, const struct source *source, struct buf *out);

#endif
