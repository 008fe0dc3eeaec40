/* A large plan takes a while to be checked, and much of what is wrong while one types is wrong with
 * the text: that is told at once. What the last check found stays as it was, moved with the text;
 * the check follows as soon as nothing else has come. */
#ifndef STUDBAY_LSP_READING_H
#define STUDBAY_LSP_READING_H

#include "lsp/server.h"

/* Whether a plan is so large that it is read first. */
bool reading_is_worth(const struct plan *p);

/* Reads the texts of the plan and tells what is wrong with them, where that is not what was told
 * before. That nothing is wrong is never told so: it was not checked. */
void reading_tell(struct server *s, struct plan *p);

#endif
