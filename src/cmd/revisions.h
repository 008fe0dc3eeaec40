/* Plans as git has them at a revision, read without touching the folder that one works in. */
#ifndef STUDBAY_CMD_REVISIONS_H
#define STUDBAY_CMD_REVISIONS_H

#include "compile.h"

struct revision;

/* Takes "HEAD~1:plan.bay" apart where there is no file of that name: the plan's path, the revision
 * in `name`. NULL where it is no such word. */
const char *revision_split(struct arena *arena, const char *word, const char **name);

/* The revision of the folder in which `plan` lies. NULL, with what is wrong in `why`, where git
 * cannot be run, the folder is no work of git's or there is no such revision. */
struct revision *revision_open(struct arena *arena, const char *plan, const char *name,
                               const char **why);

/* What the compiler reads in place of the files on the disk: those that the revision has. */
struct unsaved revision_texts(const struct revision *r);

/* Why git did not give a file of the revision that was asked for; NULL: it gave all. */
const char *revision_failed(const struct revision *r);

/* Whether the revision has the file. */
bool revision_has(const struct revision *r, const char *plan);

#endif
