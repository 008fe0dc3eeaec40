/* Graphs of the wiring as text in the language DOT, for whoever works on with them: Graphviz and
 * others read it. What is printed is drawn by src/sheets. */
#ifndef STUDBAY_EMIT_DOT_DOT_H
#define STUDBAY_EMIT_DOT_DOT_H

#include "emit/results.h"
#include "model/address.h"
#include "model/model.h"

typedef void dot_fn(const struct results *results, struct buf *out);

struct dot_def {
    const char *name, *doc;
    dot_fn *write;
};

extern const struct dot_def dot_table[];
extern const uint32_t dot_count;

/* The graph of that name, or NULL. */
const struct dot_def *dot_named(const char *name);

/* A text inside a quoted string of DOT: neither its end nor one of dot's escapes or entities. */
void dot_text(struct buf *out, const char *text);

/* A field of a record: besides, its signs are not the record's own. */
void dot_field(struct buf *out, const char *text);

#define DOT(name, function, doc) dot_fn function;
#include "emit/dot/dot.def"
#undef DOT

#endif
