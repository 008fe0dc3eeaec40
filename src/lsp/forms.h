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
    struct node
        *file; /* the statements of the text; NULL, and no source, where it is none of a plan */
};

/* Of the text as it is now. */
struct form_of *form_get(struct server *s, struct document *d);

/* The text has changed, or is closed. */
void form_forget(struct document *d);

/* The token that holds the byte at `off`, or the first one behind it. */
uint32_t form_token_at(const struct source *source, size_t off);

/* Tokens as places of the text; the end of the last one that stands before a byte. */
size_t form_start(const struct source *source, uint32_t token);
size_t form_end(const struct source *source, uint32_t token);

/* The brace that closes the one at `open`, which is a T_OPEN; the last token where none does. */
uint32_t form_close(const struct source *source, uint32_t open);

/* The brace that opens the block of a statement, and the last token of the statement with its
 * block; without a block in braces `open` is 0 and that is the last one of its line. */
uint32_t form_last(const struct source *source, const struct node *n, uint32_t *open);

/* The innermost statement or clause that holds the token, in its line or in its block; the file
 * where none does. */
const struct node *form_node_at(const struct form_of *form, uint32_t token);

/* The bytes of a token. */
const char *form_text(struct arena *arena, const struct source *source, uint32_t token);

#endif
