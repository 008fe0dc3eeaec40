/* A document as PDF, a page of its exact size for each sheet.
 *
 * Both faces are embedded, with the letters that are used. Texts are as wide as the marks say; what
 * a face has no letter for is drawn as its empty box and is itself for who copies or looks for it.
 * The same document gives the same bytes, wherever and whenever it is written. */
#ifndef STUDBAY_PAPER_PDF_H
#define STUDBAY_PAPER_PDF_H

#include "base/buf.h"
#include "paper/paper.h"

enum { PDF_NO_DATE = -1 };

struct pdf_use {
    const char *producer; /* the program that writes it */
    int64_t date;         /* seconds since 1970 that it says it was made at, or PDF_NO_DATE */
};

/* NULL, or why there is none, in the document's arena; `out` is then as it was. */
const char *pdf_write(const struct paper *paper, struct pdf_use use, struct buf *out);

#endif
