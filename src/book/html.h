/* Markup with what the author of a plan typed in it: every text is escaped where it is written, so
 * that nothing typed becomes markup, leaves its attribute or turns the text beside it round. */
#ifndef STUDBAY_BOOK_HTML_H
#define STUDBAY_BOOK_HTML_H

#include "base/buf.h"

/* Appends our own markup `form` with what follows in its places:
 *
 *     %t   const char *, a text of ours or a name; NULL is nothing
 *     %a   const char *, a text that the author typed: where it may run from the right, in an
 *          element that keeps its direction to itself
 *     %i   const char *, the value of an id: what html_anchor made
 *     %h   const char *, the same behind the '#' of an address
 *     %m   const char *, markup that is finished; NULL is nothing
 *     %u   uint32_t
 *
 * Texts are written without control characters and what turns the direction of text; a line's end
 * becomes a blank. */
void html_put(struct buf *out, const char *form, ...);

/* A name that may be an id: what is no letter, figure or one of ".:-_~" becomes "_". In the arena.
 */
const char *html_anchor(struct arena *arena, const char *name);

/* The address of an anchor within the page: "#studio.S1". In the arena. */
const char *html_address(struct arena *arena, const char *name);

#endif
