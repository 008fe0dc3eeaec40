/* For tests: whether a page is whole markup of our own and nothing else. */
#ifndef STUDBAY_TESTS_MARKUP_H
#define STUDBAY_TESTS_MARKUP_H

#include "base/buf.h"

#include <stdbool.h>

/* Whether every element and attribute of the page is one that the book writes, each is closed in
 * its place, no id is there twice, every address is an anchor of the page, nothing is styled or
 * scripted but in the two elements for it, and no character does something to what is read. If not,
 * one line on why. The HTML standard (WHATWG, "The HTML syntax") has the rules of the syntax. */
bool markup_holds(const struct buf *page, struct buf *why);

/* Whether the page has that id. */
bool markup_has_id(const struct buf *page, const char *id);

#endif
