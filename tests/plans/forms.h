/* For tests: every line of statements.def, and text that fits it. */
#ifndef STUDBAY_TESTS_FORMS_H
#define STUDBAY_TESTS_FORMS_H

#include "base/buf.h"

#include <stdbool.h>
#include <stdint.h>

struct plan_form {
    const char *id, *owners, *place, *word, *pattern, *flags;
};

extern const struct plan_form plan_forms[];
extern const unsigned plan_form_count;

/* Whether the form may stand in or on one whose word is `owner`, as a line of its block (`line`
 * false) or on its line. */
bool plan_form_fits(const struct plan_form *f, const char *owner, bool line);

/* Writes the form with values made up: "door b7 at 3' wide 30\"". */
void plan_form_write(const struct plan_form *f, uint64_t *state, struct buf *out);

#endif
