/* Text that is written for people, with the places where a page of paper may end: behind a row,
 * never inside one that fits on a page. */
#ifndef STUDBAY_EMIT_PAGES_H
#define STUDBAY_EMIT_PAGES_H

#include "base/arena.h"
#include "base/buf.h"

#include <stddef.h>

/* What begins at a place of the text. */
enum page_mark_kind {
    PAGE_HEAD, /* lines that stand above what follows, again on each page that goes on with it */
    PAGE_ROW,  /* what is kept together where a page holds it */
    PAGE_FREE  /* text without a head */
};

struct page_mark {
    size_t at; /* byte of the text */
    enum page_mark_kind kind;
};

/* Text as it grows, `width` display cells wide. */
struct page_text {
    struct arena *arena; /* for the marks */
    struct buf *out;
    unsigned width;
    VEC(struct page_mark) marks; /* in the order of the text */
};

/* What is written next begins something. */
void pages_mark(struct page_text *text, enum page_mark_kind kind);

/* The text in pages of at most `lines` lines, a form feed between them. Each but the first begins
 * with `title`, cut where it is wider than the text, and its number of all, then the heads that
 * hold where it goes on. A row longer than a page is broken anywhere. */
void pages_print(const struct page_text *text, const char *title, unsigned lines, struct buf *out);

#endif
