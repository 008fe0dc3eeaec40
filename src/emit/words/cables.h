/* The cables of one box, told apart: on its card each conductor is named by where its cable goes,
 * and where several go to the same place by what is glued on them too. */
#ifndef STUDBAY_EMIT_WORDS_CABLES_H
#define STUDBAY_EMIT_WORDS_CABLES_H

#include "emit/results.h"

struct joint;
struct lead;

struct cables {
    const struct results *r;
    const struct box *box;
    struct map mark_of; /* (run, 1) -> const char *: "1 P-pas S1" */
    bool in_brackets;   /* a cable without a name of its own has a mark */
};

/* The cables of a box. No two of them have the same end and the same mark. */
void cables_of_box(const struct results *r, const struct box *b, struct cables *out);

/* "black from P", "black from P [1 P-pas S1]", "black to S2 travelers": the colour, where the cable
 * comes from or goes to, and its own name or its label where the end alone does not tell it. */
const char *cables_conductor_words(const struct cables *c, const struct lead *l);

/* "black from P to R1": a conductor that is not cut in the box. */
const char *cables_pass_words(const struct cables *c, const struct joint *j);

/* Where a cable of the box goes: "S2" of the same room, "landing.S1", "P". */
const char *cables_far_end(const struct cables *c, const struct run *run);

/* What tells the cable from others of the box that go to the same place: "1 P-pas S1", "travelers",
 * "existing, circuit P.2"; NULL where its end does. */
const char *cables_mark(const struct cables *c, const struct run *run);

#endif
