/* The drawings: each writes from the results of the stages, DOT that Graphviz's dot lays out, or to
 * scale an SVG picture of its own. */
#ifndef STUDBAY_EMIT_DRAWINGS_DRAWINGS_H
#define STUDBAY_EMIT_DRAWINGS_DRAWINGS_H

#include "base/program.h"
#include "emit/results.h"
#include "model/address.h"
#include "model/model.h"

typedef void drawing_fn(const struct results *results, struct buf *out);

struct drawing_def {
    const char *name, *doc;
    drawing_fn *draw;
    bool svg; /* it writes SVG, not DOT */
};

extern const struct drawing_def drawing_table[];
extern const uint32_t drawing_count;

/* The drawing of that name, or NULL. */
const struct drawing_def *drawing_named(const char *name);

/* Lays out `dot` with Graphviz and appends the picture to `out`; format is "svg", "png" or "pdf".
 * No shell is run. NULL where it went well, else what went wrong, in the arena. */
const char *dot_picture(struct arena *arena, const struct buf *dot, const char *format,
                        struct program_limits limits, struct buf *out);

#define DRAWING(name, function, doc) drawing_fn function;
#define PICTURE(name, function, doc) drawing_fn function;
#include "emit/drawings/drawings.def"
#undef DRAWING
#undef PICTURE

#endif
