/* What the rules about places, protection, circuits and alarms share. */
#ifndef STUDBAY_RULES_DWELLING_H
#define STUDBAY_RULES_DWELLING_H

#include "rules/check.h"

/* A new device in an existing box: it replaces what was there. */
bool is_replacement(const struct device *d);

/* New, in a new box, and nothing in its statement is in doubt. */
bool is_new_outlet(const struct device *d);

/* The article of one row in place of the rule's own, with the label of the electrical edition. */
void set_article(const struct checked *c, struct finding *f, const char *article);

/* A finding at the name of a box. */
struct finding *say_of_box(const struct checked *c, enum rule_id rule, const struct box *box,
                           const char *message);

/* protection.c: whether the edition asks for AFCI at this part and nothing gives it. */
bool lacks_afci(const struct checked *c, const struct part *part);

/* Whether a receptacle should have shutters in its place and has none. */
bool wants_shutters(const struct checked *c, const struct device *d);

/* Whether something drawn stands before a box: a built-in thing or a range, up to the height of a
 * counter; a tub, up to its rim. */
bool behind_fixture(const struct checked *c, const struct box *box);

#endif
