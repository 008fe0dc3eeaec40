/* The text of a file of a plan and where its lines begin; places are byte offsets, all else is
 * worked out from them. */
#ifndef STUDBAY_BASE_SOURCE_H
#define STUDBAY_BASE_SOURCE_H

#include "base/arena.h"

#include <stdbool.h>

struct source_token; /* what the lexer makes of it; to the base a name alone */

struct source {
    const char *path; /* as it was given, or as the include that named it resolves from the first
                         file's folder */
    const char *bytes;
    uint32_t size;
    struct source_token *tokens; /* the last one is T_EOF */
    uint32_t token_count;
    uint32_t *lines; /* offsets of the starts of lines, made when first asked for */
    uint32_t line_count;
    uint32_t order;            /* place in source order: the file that holds it comes first */
    struct source_mark *marks; /* columns at regular steps through the file, made when a long line
                                  is first asked for */
    bool off_disk;             /* it is a text of the memory: no file lies beside it */
};

/* A stretch of a source. `source` NULL: the command line or the plan as a whole. */
struct span {
    struct source *source;
    uint32_t off, len;
};

struct position {
    uint32_t line;   /* from 1 */
    uint32_t column; /* from 1, in characters (code points) */
    uint32_t cell;   /* from 1, in display cells, tabs every eight */
};

/* The line (from 1) of the byte at `off`; cheaper than its position where lines are long. */
uint32_t source_line_number(struct arena *arena, struct source *source, uint32_t off);

/* Where the byte at `off` stands. Cheap on very long lines too. */
struct position source_position(struct arena *arena, struct source *source, uint32_t off);

/* Start and length of line `line` (from 1) without its newline. */
const char *source_line(struct arena *arena, struct source *source, uint32_t line, uint32_t *len);

/* Works out beforehand what the functions above would: they only read the source from then on. */
void source_index(struct arena *arena, struct source *source);

#endif
