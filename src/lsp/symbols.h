/* What of a plan is known by a name, for outlines and for finding it. */
#ifndef STUDBAY_LSP_SYMBOLS_H
#define STUDBAY_LSP_SYMBOLS_H

#include "resolve/node.h"

struct arena;

/* The kind by which an editor draws it (LSP 3.17, "SymbolKind"); 0: it is none. */
int symbol_kind(enum form_id form);

/* "R1", "P.2", "P -> studio.R1 -> R2"; its title, or what it is. */
const char *symbol_name(struct arena *arena, const struct node *n);
const char *symbol_detail(struct arena *arena, const struct node *n);

#endif
