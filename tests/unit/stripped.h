/* For tests: a plan's text without what proposals write. */
#ifndef STUDBAY_TESTS_STRIPPED_H
#define STUDBAY_TESTS_STRIPPED_H

#include "base/buf.h"

#include <stdbool.h>
#include <string.h>

/* Whether the statement that begins at `at` is a circuit; `end` is where its block closes. */
static inline bool is_circuit_at(const char *at, const char **end)
{
    const char *word = at + strspn(at, " \t");
    if (strncmp(word, "circuit ", 8) != 0)
        return false;
    int depth = 0;
    bool quoted = false, comment = false;
    for (const char *p = word; *p; p++) {
        comment = (comment || (*p == '#' && !quoted)) && *p != '\n';
        quoted = comment ? false : quoted ^ (*p == '"' && p[-1] == ' ');
        quoted = quoted && !(*p == '"' && p[-1] != ' ');
        if (quoted || comment)
            continue;
        depth += (*p == '{') - (*p == '}');
        if (*p == '}' && !depth) {
            *end = p + 1;
            return true;
        }
    }
    return false;
}

/* Appends a text without its circuits, but for those that are there already; lines of its own are
 * all that a circuit may stand on. */
static inline void strip_circuits(const char *text, struct buf *out)
{
    while (*text) {
        const char *line_end = strchr(text, '\n'), *end = NULL;
        size_t line = line_end ? (size_t)(line_end + 1 - text) : strlen(text);
        bool circuit = is_circuit_at(text, &end), old = false;
        for (const char *p = text; circuit && p < end; p++)
            old |= !strncmp(p, "existing\n", 9) || !strncmp(p, "{ existing", 10);
        if (circuit && !old) {
            text = end + (*end == '\n');
            continue;
        }
        buf_add(out, text, line);
        text += line;
    }
}

#endif
