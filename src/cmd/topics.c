#include "cmd/topics.h"

#include <string.h>
#include <strings.h>

/* Whether the text has the word, in any letters: "smoke" in "Smoke alarm". */
static bool holds(const char *text, const char *word)
{
    size_t len = strlen(word);
    for (; text && *text; text++)
        if (!strncasecmp(text, word, len))
            return true;
    return false;
}

bool topics_has(const near_words *words, const char *name, const char *says, const char *word)
{
    if (holds(name, word) || holds(says, word))
        return true;
    const struct near_word *meant = near_meaning(words, word);
    for (uint32_t i = 0; meant && i < meant->count; i++)
        if (holds(name, meant->means[i]))
            return true;
    return false;
}
