/* What the two files that settle a plan share. */
#ifndef STUDBAY_SETTLE_WORK_H
#define STUDBAY_SETTLE_WORK_H

#include "settle/settle.h"

#include "base/length.h"
#include "base/map.h"
#include "resolve/edit.h"
#include "resolve/node.h"

enum { PLACE_AT = 2 }; /* the value behind `at` of a box on a wall */

/* A statement of the text and what its things come to; each hop of a chain is one for itself. */
struct statement {
    const struct node *node; /* with the base merged in, where there is one */
    struct statement *base;
    struct statement **hops;        /* of a run: as many as it has boxes behind the first */
    unsigned hop;                   /* counted from 1; 0: it is none */
    const char *text[SETTLE_SORTS]; /* NULL: nothing is wanted */
    bool blocked[SETTLE_SORTS], written[SETTLE_SORTS];
};

struct settling {
    struct arena *arena, scratch;
    struct model *m;
    const struct routes *routes;
    const struct wiring *wiring;
    const struct panels *panels;
    const struct site_log *log;
    unsigned sorts;
    struct map statements; /* (source, 1 + its first token, of a hop that of its box) -> struct
                              statement */
    VEC(struct statement *) list;
    struct settled *out;
};

/* A value of a statement as its text writes it. */
const char *settle_source_text(struct settling *s, const struct node *n, unsigned value);

/* Puts in what is to be written of a statement. */
void settle_put_in(struct settling *s, struct statement *t);

/* A length as the plan writes it; what is no 64th of an inch is rounded up to the next. */
const char *settle_length(struct arena *arena, length l);

#endif
