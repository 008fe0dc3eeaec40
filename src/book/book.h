/* The job book: all that is done and looked up on site, as one file of HTML that needs nothing
 * beside it. Each box, run, circuit, panel, room and wall has an anchor: "#studio.S1",
 * "#studio.S1:L1", "#P.8", "#studio:north". */
#ifndef STUDBAY_BOOK_BOOK_H
#define STUDBAY_BOOK_BOOK_H

#include "emit/results.h"

/* Appends the book. The cuts have to be allotted for what it says is left. Linear in the plan, but
 * for the sorting of its index. */
void book_write_html(const struct results *r, struct buf *out);

#endif
