/* Edits of texts: put in order, and done. */
#ifndef STUDBAY_DIAG_EDITS_H
#define STUDBAY_DIAG_EDITS_H

#include "base/buf.h"
#include "diag/diag.h"

/* Puts edits in the order of their sources, then of their places; those of one place stay in their
 * order. False where one lies in another: they cannot all be done. */
bool edits_sort(edit_list *edits);

/* Puts them in order, and makes one of those that take out parts which overlap: of statements
 * beside each other each takes the sign between them. */
void edits_join(edit_list *edits);

/* Whether the edits of two lists in order touch nowhere: each can be done whatever becomes of the
 * other. */
bool edits_apart(const edit_list *a, const edit_list *b);

/* Appends the text of a source with those of the edits done that are its own; they are in order. */
void edits_apply(const edit_list *edits, const struct source *source, struct buf *out);

/* How many of them are of the source. */
uint32_t edits_count(const edit_list *edits, const struct source *source);

#endif
