/* The texts that are open. */
#ifndef STUDBAY_LSP_DOCUMENTS_H
#define STUDBAY_LSP_DOCUMENTS_H

#include "lsp/server.h"

/* By its address, or where the file lies; NULL: it is not open. */
struct document *document_named(struct server *s, const char *uri);
struct document *document_lying(const struct server *s, const char *real);

/* Opens a text; where that is open already the text is the new one. */
struct document *document_open(struct server *s, const char *uri, const char *text, size_t size,
                               int64_t version);

/* Applies the changes of a didChange, one after the other. False where one has no text: the rest is
 * not applied. */
bool document_change(struct server *s, struct document *d, json_in changes, int64_t version);

void document_close(struct server *s, struct document *d);

/* Where the lines of its text begin, until it changes. */
struct line_table *document_lines(struct server *s, struct document *d);

/* The byte at a "position" of a message. */
size_t document_offset(struct server *s, struct document *d, json_in position);

/* unsaved_text of compile.h; `of` is the server. */
const char *document_unsaved(const void *of, const char *real, size_t *size);

#endif
