/* The form of one open text: its tokens and its statements, read by itself. What asks for no more
 * than the text (folding, layout, colours, completion) asks here, and never waits for a plan. */
#ifndef STUDBAY_LSP_FORMS_H
#define STUDBAY_LSP_FORMS_H

#include "lsp/server.h"
#include "resolve/node.h"
#include "syntax/token.h"

struct form_of {
    struct arena home;    /* it lies in there itself */
    struct compilation c; /* its findings are those of the form */
    struct source *source;
    struct node *file; /* the statements of the text */
};

/* Of the text as it is now. */
struct form_of *form_get(struct server *s, struct document *d);

/* The text has changed, or is closed. */
void form_forget(struct document *d);

/* The token that holds the byte at `off`, or the first one behind it. */
uint32_t form_token_at(const struct source *source, size_t off);

/* The innermost statement or clause whose line or block holds the token; the file, where none does.
 */
struct node *form_node_at(struct node *file, uint32_t token);

/* The last token of a statement, with its block. */
uint32_t form_last_token(const struct node *n);

#endif
