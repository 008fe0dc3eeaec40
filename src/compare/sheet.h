/* The change sheet of a comparison. */
#ifndef STUDBAY_COMPARE_SHEET_H
#define STUDBAY_COMPARE_SHEET_H

#include "compare/compare.h"
#include "sheets/sheets.h"

/* Sheets, ...: boxes and cables by room, in the order of the new plan, then holes, what
 * goes, breakers, labels, purchases and findings; one sheet at least. */
struct paper *compare_sheets(const struct comparison *c, enum paper_size size);

#endif
