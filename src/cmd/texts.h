/* The files of a plan while edits of them are tried: what they were, what they become, and the plan
 * compiled with that in place of the disk. */
#ifndef STUDBAY_CMD_TEXTS_H
#define STUDBAY_CMD_TEXTS_H

#include "cmd/cmd.h"

/* A file of the plan and what it becomes. */
struct text_file {
    const char *path, *real; /* as the plan's files name it; where it lies */
    struct buf old, text, tried;
};

struct texts {
    struct arena arena;
    const char *path, *stdlib; /* of the plan; the folder of the library or NULL */
    const struct compilation *library;
    VEC(struct text_file *) files;
    bool trying; /* what is tried counts, not what is kept */
    bool unread; /* a file could not be read, which is told: nothing is known of what holds */
};

/* Compiles the plan with its texts as they stand, findings alone, and notes files that are new. */
void texts_compile(struct texts *t, struct compilation *c);

/* The texts of a compilation with edits of them done, to be tried; what was tried is kept. */
void texts_try(struct texts *t, struct compilation *c, const edit_list *edits);
void texts_keep(struct texts *t);

/* Writes the files that changed, all or none, where the disk still has what was read: EXIT_FINE, or
 * EXIT_USAGE with a message. */
int texts_write(struct texts *t);

/* The changes as a unified diff on standard output: EXIT_PLAN where there are any, EXIT_FINE where
 * there are none, EXIT_USAGE where it cannot be written. */
int texts_show_difference(struct texts *t);

void texts_free(struct texts *t);

#endif
