/* An opening that one of two rooms draws, written in the other one. */
#ifndef STUDBAY_LSP_ACROSS_H
#define STUDBAY_LSP_ACROSS_H

#include "compile.h"

/* What would write the opening whose line touches the stretch of the source in the room behind its
 * wall, which does not draw it; `room` is that room's name. NULL where no such opening stands
 * there, or that room says of itself what another one is (a copy). */
const struct mend *across_write(struct compilation *c, const struct source *source, size_t from,
                                size_t to, const char **room);

#endif
