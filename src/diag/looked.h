/* What the rules have looked at, beside what they found: that nothing was found says something only
 * of the things that were judged. */
#ifndef STUDBAY_DIAG_LOOKED_H
#define STUDBAY_DIAG_LOOKED_H

#include "base/arena.h"
#include "diag/rule.h"

/* The things of one blind spot, each once, in the order of the plan. */
typedef VEC(const char *) blind_things;

/* By the places of rules and of blind spots; NULL: nothing yet. */
struct looked {
    uint32_t *judged;     /* things that a rule has judged */
    uint32_t *kept;       /* those of them that are judged once and for all */
    blind_things *passed; /* and what it could not see */
};

struct diag;

/* What was judged so far stands, whatever is judged anew. */
void diag_keep_looked(struct diag *d);

/* What was judged since is judged anew: the counts begin again. */
void diag_forget_looked(struct diag *d);

/* Notes that the rule has judged a thing: what it asks was asked of it, and answered. */
void diag_looked(struct diag *d, const struct rule *rule);

/* Notes that a rule could not judge something about the thing of that name. */
void diag_passed(struct diag *d, const struct blind_spot *spot, const char *thing);

/* How many things a rule has judged; what it could not see of a blind spot. */
uint32_t diag_judged(const struct diag *d, const struct rule *rule);
blind_things diag_blind_things(const struct diag *d, const struct blind_spot *spot);

#endif
