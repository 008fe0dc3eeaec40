/* What the rules of protection and of existing wiring share. */
#ifndef STUDBAY_RULES_PROTECTION_H
#define STUDBAY_RULES_PROTECTION_H

#include "rules/check.h"

/* A new device in an existing box: it replaces what was there. */
bool rules_is_replacement(const struct device *d);

/* New, in a new box, and nothing in its statement is in doubt. */
bool rules_is_new_outlet(const struct device *d);

/* A receptacle that a protecting device may stand in place of: of 120 V, not split, within reach.
 * Where it is to protect what comes after it, always live too. NULL: the box has none. */
const struct device *rules_exchangeable(const struct checked *c, const struct box *box,
                                        const struct circuit *circuit, bool onward);

/* Whether the edition asks for GFCI at this part, nothing gives it, and nothing that could is in
 * doubt. */
bool rules_lacks_gfci(const struct checked *c, const struct part *part);

/* Whether the edition asks for AFCI at this part and nothing gives it. */
bool rules_lacks_afci(const struct checked *c, const struct part *part);

/* Whether a receptacle should have shutters in its place and has none. */
bool rules_wants_shutters(const struct checked *c, const struct device *d);

#endif
