/* Statements and clauses as places of the text: where something was written, for findings. What
 * they say is in the model; their values are in the tree (node.h), which the rooms behind the model
 * do not see. */
#ifndef STUDBAY_RESOLVE_WRITTEN_H
#define STUDBAY_RESOLVE_WRITTEN_H

#include <stdbool.h>

enum form_id {
    F_FILE,
#define FORM(id, owners, place, word, pattern, flags, doc) F_##id,
#include "statements.def"
#undef FORM
    FORM_COUNT
};

struct node;

/* The first child of that form, or NULL. */
struct node *node_child(const struct node *n, enum form_id form);

/* Cause to say nothing of a thing: a finding of the form lies in its statement, or a line of its
 * block was read as nothing. */
bool node_broken(const struct node *n);

/* Spans of the line of a node, and of its name (the first value). */
struct span node_span(const struct node *n);
struct span node_name_span(const struct node *n);

/* The span of the word that it begins with. */
struct span node_word_span(const struct node *n);

/* The span of its title in quotes, else of its name. */
struct span node_title_span(const struct node *n);

#endif
