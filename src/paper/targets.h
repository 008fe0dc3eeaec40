/* Where the links of a document lead. */
#ifndef STUDBAY_PAPER_TARGETS_H
#define STUDBAY_PAPER_TARGETS_H

#include "paper/paper.h"

struct target {
    const struct sheet *sheet;
    uint32_t page; /* of the document, from 0 */
    struct spot at;
};

struct targets;

/* What links of the document may lead to: its anchors, what groups of marks show, and sheets by
 * their numbers; the first of a name, and an anchor before the others. */
struct targets *targets_of(struct arena *arena, const struct paper *paper);

/* The place that is called so, without "#"; NULL where there is none. */
const struct target *targets_find(struct targets *targets, const char *name);

/* Whether a link may lead there: a page by http or https, a letter by mailto, or a file beside the
 * one that holds the link. What a plan's author typed may be anything, and an address can be a
 * program. */
bool target_is_page(const char *address);

#endif
