/* What the rules of the framing share: members in words, and what the residential code says of
 * them. */
#ifndef STUDBAY_RULES_MEMBERS_H
#define STUDBAY_RULES_MEMBERS_H

#include "rules/check.h"

struct bore;
struct passed;

extern const struct rule rule_engineered_member_bored, rule_run_blocked;

/* A share of the depth, from a table of limits; 0 where it gives none. */
double rules_member_share(const struct checked *c, const struct share_column *column,
                          const char *row);

/* "joist", "stud of a partition". */
const char *rules_member_word(const struct checked *c, const struct passed *p);

/* " (4 of them)" where there are more than one; in a unit how many stays open, since a mirrored
 * copy may have another number: one finding serves all copies. */
const char *rules_member_count(const struct checked *c, const struct unit *unit, uint32_t count);

/* A limit in words: the most that is allowed, rounded down to what a rule shows, never
 * up. */
const char *rules_member_limit(const struct checked *c, double limit);

/* Whether it is certain which cables go through a hole or notch, and where. */
bool rules_bore_is_certain(const struct bore *bore);

/* Names the article for what is done to a member: the column for boring or for notching. */
void rules_name_member_article(const struct checked *c, struct finding *f, const struct passed *p,
                               const struct cite_column *work);

#endif
