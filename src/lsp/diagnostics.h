/* Findings as the editor shows them: pushed for every file of a plan, an empty list where there are
 * none any more. */
#ifndef STUDBAY_LSP_DIAGNOSTICS_H
#define STUDBAY_LSP_DIAGNOSTICS_H

#include "lsp/plans.h"

/* Sends what was found in a plan, for each of its files together with what other plans found there.
 */
void diagnostics_tell(struct server *s, struct plan *p);

/* Sends what is found in the files of a plan that was only read, `as`, in place of the plan. */
void diagnostics_tell_read(struct server *s, struct plan *p, struct plan *as);

/* One of the findings of a plan that stand in a file of it, as it is sent. */
void diagnostics_write(struct server *s, struct plan *p, struct plan_file *file,
                       const struct finding *f);

/* Sends what is left of it for the files of a plan that is open no more. */
void diagnostics_withdraw(struct server *s, struct plan *p);

#endif
