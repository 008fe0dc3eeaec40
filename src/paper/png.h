/* A sheet as a picture of points: its page of the PDF, by poppler's program pdftoppm. */
#ifndef STUDBAY_PAPER_PNG_H
#define STUDBAY_PAPER_PNG_H

#include "base/buf.h"
#include "paper/paper.h"

enum { PNG_DPI = 150, PNG_LEAST_DPI = 20, PNG_MOST_DPI = 1200 };

/* `dpi`: points to the inch. NULL, or why there is none, in the document's arena. */
const char *png_write(const struct sheet *s, unsigned dpi, struct buf *out);

#endif
