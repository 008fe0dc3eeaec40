/* What is written in the door of a panel, for the rules and for who writes it. */
#ifndef STUDBAY_RULES_PANELS_DIRECTORY_H
#define STUDBAY_RULES_PANELS_DIRECTORY_H

#include "rules/check.h"

/* Whether a text for a breaker that serves something says too little of what. */
bool rules_title_is_vague(const struct checked *c, const char *title);

/* What a reader keeps of a text, interned: its words and numbers in one order, without those that
 * only join, one blank after each. Texts of which he keeps the same are not told apart. */
const char *rules_title_folded(const struct checked *c, const char *title);

#endif
