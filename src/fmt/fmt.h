/* The canonical layout of a plan, made from its tokens and the gaps between them. The tree is never
 * asked, so no comment can be lost. */
#ifndef STUDBAY_FMT_FMT_H
#define STUDBAY_FMT_FMT_H

#include <stdbool.h>

struct arena;
struct buf;
struct diag;
struct source;

/* Appends the canonical text of a source to `out`. The source is lexed and laid out (layout() in
 * syntax/tree.h). Tokens keep their order and their values; only `;` comes and goes. Linear in the
 * size of the file. False, with a finding, where a token is at fault or braces do not balance: such
 * a file is not touched. No `diag`: nobody is told, and nothing of the scratch arena stays in the
 * source. */
bool fmt_source(struct diag *diag, struct arena *scratch, struct source *source, struct buf *out);

#endif
