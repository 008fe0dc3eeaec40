/* The drawings: each writes DOT from the results of the stages; pictures are laid out by Graphviz's dot. */
#ifndef STUDBAY_EMIT_DRAWINGS_DRAWINGS_H
#define STUDBAY_EMIT_DRAWINGS_DRAWINGS_H

#include "emit/results.h"

typedef void drawing_fn(const struct results *results, struct buf *dot);

struct drawing_def {
    const char *name, *doc;
    drawing_fn *draw;
};

extern const struct drawing_def drawing_table[];
extern const uint32_t drawing_count;

/* The drawing of that name, or NULL. */
const struct drawing_def *drawing_named(const char *name);

/* Lays out `dot` with Graphviz and appends the picture to `out`; format is "svg", "png" or "pdf". No shell is run. NULL where it went well, else what went wrong,
 * in the arena. */
const char *dot_picture(struct arena *arena, const struct buf *dot, const char *format, struct buf *out);

#define DRAWING(name, function, doc) drawing_fn function;
#include "emit/drawings/drawings.def"
#undef DRAWING

#endif
