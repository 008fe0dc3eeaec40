/* For tests: the sheets of a kind as text, all that is drawn of them and where. */
#ifndef STUDBAY_TESTS_DRAWN_H
#define STUDBAY_TESTS_DRAWN_H

#include "paper/svg.h"
#include "sheets/sheets.h"

static inline void draw_kind(const struct results *r, const struct sheet_kind *kind,
                             struct buf *out)
{
    const struct paper *p = sheets_make(r, PAPER_BY_USE, false, &kind, 1);
    for (uint32_t i = 0; i < p->sheets.n; i++)
        svg_write(p->sheets.at[i], (struct svg_use){.alone = true}, out);
}

#endif
