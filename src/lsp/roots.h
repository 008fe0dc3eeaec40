/* Which plans a file belongs to, before any of them was compiled. An include leads never out of the
 * folder of its plan, so the plan lies in the folder of the file or above it. */
#ifndef STUDBAY_LSP_ROOTS_H
#define STUDBAY_LSP_ROOTS_H

#include "lsp/server.h"

/* Paths without links, in the scratch of the message. */
struct root_list {
    VEC(const char *) paths;
};

/* The files that include the one at `real`, directly or round a corner, and are included by none of
 * those; itself, where there is none. Looked through are the texts that are open, and folders up to
 * that of the workspace, else one above. */
struct root_list roots_of(struct server *s, const char *real);

#endif
