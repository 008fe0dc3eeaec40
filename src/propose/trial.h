/* A plan with edits tried in place of its texts, compiled for its findings: nothing is written. */
#ifndef STUDBAY_PROPOSE_TRIAL_H
#define STUDBAY_PROPOSE_TRIAL_H

#include "compile.h"

struct trial_text {
    const char *real; /* where its file lies */
    struct buf text;
};

struct trial {
    struct arena arena;
    struct compilation *c; /* of the plan as it is */
    const struct compilation *library;
    VEC(struct trial_text) texts; /* by source */
};

/* Where a file lies that a compilation names so; of standard input what the compiler takes for it.
 * NULL with errno set where that cannot be found out. */
const char *trial_real_path(struct arena *a, const char *path);

/* For trials of one compilation, with a library that is read already, or NULL. */
void trial_begin(struct trial *t, struct compilation *c, const struct compilation *library);

/* Compiles the plan with these edits of the sources of its compilation done, findings alone; give
 * it back with compile_free. They are put in order; false, and nothing compiled, where one lies in
 * another. Where the machine cannot compile it, `untried` of the plan says why: what rests on
 * trials is not to be told then. */
bool trial_compile(struct trial *t, edit_list *edits, struct compilation *after);

void trial_free(struct trial *t);

/* The first error of a plan with edits that it did not have before, but for the rules that `leaves`
 * names, which may be NULL; NULL: there is none. */
const struct finding *trial_new_error(const struct compilation *before,
                                      const struct compilation *after, const char *leaves);

/* A finding by its rule, words and thing: alike for those that say the same. Whether a compilation
 * has one that does. */
uint64_t trial_finding_key(const struct finding *f);
bool trial_has_finding(const struct compilation *c, const struct finding *f);

/* How many findings of a compilation that are not waived have that key. */
uint32_t trial_count_like(const struct compilation *c, uint64_t key);

#endif
