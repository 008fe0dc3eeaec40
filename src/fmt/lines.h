/* Which tokens and comments share a line of the canonical layout. */
#ifndef STUDBAY_FMT_LINES_H
#define STUDBAY_FMT_LINES_H

#include "base/arena.h"

#include <stdbool.h>

struct source;

enum line_place {
    LINE_INNER, /* in a block, or a further line of a statement */
    LINE_TOP,   /* begins a statement at the top */
    LINE_LOOSE, /* a comment between two statements at the top */
};

struct line {
    uint32_t first, end; /* tokens first..end-1; equal where the line is a comment only */
    uint32_t comment,
        comment_len; /* its bytes, blanks at its end left out; comment_len 0: there is none */
    uint16_t indent; /* blanks before it */
    uint8_t name_pad, place_pad; /* blanks behind the second and third token of a `box` line, beside
                                    the usual one */
    uint8_t place;               /* enum line_place */
    bool blank;                  /* an empty line stands before it */
    bool semi;                   /* its `;` has to stay: what follows would be read as part of it */
};

typedef VEC(struct line) line_list;

/* The lines of a source whose braces balance, in order; they live in the arena. Every token but `;`
 * and every comment is in one of them. */
line_list lines_of(struct arena *arena, const struct source *source);

#endif
