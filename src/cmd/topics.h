/* Finding things by a word: in their names and in what is said of them, and by what the trade means
 * by the word. */
#ifndef STUDBAY_CMD_TOPICS_H
#define STUDBAY_CMD_TOPICS_H

#include "diag/near.h"

/* Whether a name, or the words on it (NULL: none), has the word, in small letters or capitals, or
 * one of those that the trade means by it. */
bool topics_has(const near_words *words, const char *name, const char *says, const char *word);

#endif
