/* For tests: carries a mend of a finding out, and holds what is found then against what was. */
#ifndef STUDBAY_TESTS_MENDED_H
#define STUDBAY_TESTS_MENDED_H

#include "compile.h"

/* What a mend is held to. */
struct mended {
    bool gone;     /* its finding is found less often than before */
    bool no_other; /* nothing worse than a note is found that was not there */
    bool comments; /* every comment stays, in its order */
    bool laid_out; /* a text that was laid out is so again */
};

/* Compiles the plan of `path` with the mend done (the files stay as they are); one line in `why` on
 * what does not hold. `log` may be NULL. The mend is laid out by this. */
struct mended mended_by(struct compilation *c, const char *path, const char *log,
                        const struct finding *f, struct mend *way, struct buf *why);

#endif
