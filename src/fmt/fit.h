/* Lays out what edits put into a text: a text that stands in the canonical layout does so with them
 * done, too. */
#ifndef STUDBAY_FMT_FIT_H
#define STUDBAY_FMT_FIT_H

#include "base/map.h"
#include "diag/diag.h"

/* What is known of the sources by now; begins empty but for its arena. */
struct fit {
    struct arena *arena;
    struct map sources;
};

/* Puts the edits of a mend in order and lays them out, where the text is laid out before. A mend
 * whose edits lie in each other is left without any. It costs as much as the statements that are
 * touched, and once for each source what laying it out costs. */
void fit_mend(struct fit *fit, struct mend *way);

/* All mends of a finding; one without edits is none. */
void fit_finding(struct fit *fit, struct finding *f);

#endif
