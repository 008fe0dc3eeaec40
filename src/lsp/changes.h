/* Edits of the files of a plan as the editor takes them (LSP 3.17, "WorkspaceEdit"). */
#ifndef STUDBAY_LSP_CHANGES_H
#define STUDBAY_LSP_CHANGES_H

#include "diag/diag.h"
#include "lsp/plans.h"

/* The value of a "WorkspaceEdit"; the edits are in order (diag/edits.h) and of files of the plan.
 * An editor that can takes them only while its texts are still those that they were made of. */
void changes_write(struct server *s, struct plan *p, const edit_list *edits);

#endif
