/* A measure that stands outside a plan: in the site log, on the command line. */
#ifndef STUDBAY_RESOLVE_MEASURE_H
#define STUDBAY_RESOLVE_MEASURE_H

#include "base/length.h"

#include <stdbool.h>

/* Reads a length as a plan writes it (24'-6", 63.5mm); false where the text is anything else. What
 * it takes from the arena is small. */
bool measure_length(struct arena *arena, const char *text, length *out);

#endif
