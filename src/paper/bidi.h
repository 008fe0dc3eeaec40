/* The order in which the letters of a text stand on paper. */
#ifndef STUDBAY_PAPER_BIDI_H
#define STUDBAY_PAPER_BIDI_H

#include "base/arena.h"

#include <stdbool.h>
#include <stdint.h>

struct bidi_line {
    const uint32_t *letters; /* from the left; U+FFFD for a byte that is no UTF-8 */
    uint32_t count;
};

/* Whether a text may have letters that run from the right: U+0590 and above. */
bool bidi_is_needed(const char *text);

/* A text as it is read from the left: the Unicode bidirectional algorithm (Unicode Standard Annex
 * 9), for a line that runs from left to right, with brackets mirrored. Browsers order the text of
 * an SVG so by themselves; a PDF wants it ordered. Letters are not joined as those of Arabic are:
 * the face has none. */
struct bidi_line bidi_line_of(struct arena *arena, const char *text);

#endif
