/* Running another program without a shell: bytes go in, bytes come out. */
#ifndef STUDBAY_BASE_PROGRAM_H
#define STUDBAY_BASE_PROGRAM_H

#include "base/buf.h"

/* How long a program may take and how much it may write; then it is ended. */
struct program_limits {
    unsigned seconds;
    size_t bytes;
};

struct program {
    char *const *words;  /* its name, looked for as a shell does, and its options; NULL ends them */
    const char *needs;   /* "png needs poppler's program pdftoppm": told where it cannot be run */
    const char *instead; /* "svg and pdf work without it" */
    struct program_limits limits;
};

/* Gives `in` to the program's input and appends what it writes to `out`. NULL where it went well,
 * else what went wrong, in the arena. */
const char *program_run(struct arena *arena, const struct program *program, const struct buf *in,
                        struct buf *out);

#endif
