/* Git is asked for the bytes, by its own name of the commit, so that neither its index nor the
 * folder changes. */
#define _GNU_SOURCE
#include "cmd/revisions.h"

#include "base/map.h"
#include "base/names.h"
#include "base/program.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

enum { SECONDS = 30, LARGEST = 64 << 20 };

struct revision {
    struct arena *arena;
    struct names *names;
    const char
        *folder; /* where git is run: that of the plan, links resolved, with a slash behind it */
    const char *name; /* of the commit, all its figures */
    struct map files; /* path from the folder, a name -> struct text */
    struct failure *failure;
};

/* Of what was asked for when it was too late to say so. */
struct failure {
    const char *why; /* NULL: there was none */
};

/* A file of the revision. */
struct text {
    const char *path;
    const char *bytes; /* NULL: not asked for yet */
    size_t size;
};

/* Runs git in the folder; NULL where it went well, else what it could not do. Git's own words stand
 * on standard error. */
static const char *run_git(const struct revision *r, const char *const *words, const struct buf *in,
                           struct buf *out)
{
    enum { MOST = 10 };
    const char *all[MOST] = {"git", "-C", r->folder};
    for (unsigned n = 3; n + 1 < MOST && *words; words++)
        all[n++] = *words;
    const struct program git = {.words = (char *const *)all,
                                .needs = "a plan of a revision needs git",
                                .instead = "name two files",
                                .limits = {SECONDS, LARGEST}};
    return program_run(r->arena, &git, in, out);
}

const char *revision_split(struct arena *arena, const char *word, const char **name)
{
    struct stat st;
    const char *colon = strchr(word, ':');
    if (!colon || colon == word || !colon[1] || stat(word, &st) == 0)
        return NULL;
    *name = arena_copy(arena, word, (size_t)(colon - word));
    return colon + 1;
}

/* The folder of the plan, links resolved; that of a plan which is gone from the disk too. */
static const char *folder_of(struct arena *arena, const char *plan)
{
    char real[PATH_MAX];
    const char *slash = strrchr(plan, '/'),
               *folder = slash ? arena_copy(arena, plan, (size_t)(slash + 1 - plan)) : ".";
    return realpath(folder, real) ? arena_printf(arena, "%s%s", real, real[1] ? "/" : "") : NULL;
}

/* The commit that the name stands for, by all its figures: "NAME^{commit}" in, "FIGURES commit
 * SIZE" out, or "... missing". */
static const char *find_commit(struct revision *r, const char *name, const char **why)
{
    struct buf in = {0}, out = {0};
    buf_printf(&in, "%s^{commit}\n", name);
    *why = strchr(name, '\n')
               ? "it has two lines"
               : run_git(r, (const char *[]){"cat-file", "--batch-check", NULL}, &in, &out);
    const char *kind = strstr(buf_text(&out), " commit "), *found = NULL;
    if (*why)
        *why = arena_printf(r->arena, "'%s' is no file; as a revision: %s", name, *why);
    else if (!kind)
        *why = arena_printf(r->arena, "'%s' is no file, and no revision that git knows in %s", name,
                            r->folder);
    else
        found = arena_copy(r->arena, out.at, (size_t)(kind - out.at));
    buf_free(&in);
    buf_free(&out);
    return found;
}

/* The paths of what the revision has in the folder and below it. */
static const char *list_files(struct revision *r)
{
    struct buf out = {0};
    const char *why =
        run_git(r, (const char *[]){"ls-tree", "-r", "-z", "--name-only", r->name, NULL},
                &(struct buf){0}, &out);
    for (const char *at = buf_text(&out), *end = at + out.n; !why && at < end;
         at += strlen(at) + 1) {
        struct text *file = arena_alloc(r->arena, sizeof *file);
        file->path = names_of(r->names, at);
        map_file(r->arena, &r->files, NULL, file->path, file);
    }
    buf_free(&out);
    return why;
}

struct revision *revision_open(struct arena *arena, const char *plan, const char *name,
                               const char **why)
{
    struct revision *r = arena_alloc(arena, sizeof *r);
    r->arena = arena;
    r->names = arena_alloc(arena, sizeof *r->names);
    r->names->arena = arena;
    r->failure = arena_alloc(arena, sizeof *r->failure);
    r->folder = folder_of(arena, plan);
    if (!r->folder) {
        *why = arena_printf(arena, "there is no folder that %s could lie in: %s", plan,
                            strerror(errno));
        return NULL;
    }
    r->name = find_commit(r, name, why);
    if (r->name)
        *why = list_files(r);
    return *why ? NULL : r;
}

/* Asks git for the bytes: "COMMIT:./PATH" in, a line of its own, the bytes and a newline out. */
static void fetch(const struct revision *r, struct text *file)
{
    struct buf in = {0}, out = {0};
    buf_printf(&in, "%s:./%s\n", r->name, file->path);
    const char *why = run_git(r, (const char *[]){"cat-file", "--batch", NULL}, &in, &out);
    const char *line = strchr(buf_text(&out), '\n');
    const char *size = line ? memrchr(out.at, ' ', (size_t)(line - out.at)) : NULL;
    size_t n = size ? strtoul(size, NULL, 10) : 0;
    if (!why && size && (size_t)(out.at + out.n - line) == n + 2) {
        file->bytes = arena_copy(r->arena, line + 1, n);
        file->size = n;
    } else {
        r->failure->why = arena_printf(r->arena, "%s cannot be read of the revision: %s",
                                       file->path, why ? why : "git gave something else");
    }
    buf_free(&in);
    buf_free(&out);
}

/* The file of the revision that lies there; NULL: it has none. */
static struct text *file_at(const struct revision *r, const char *real)
{
    size_t n = strlen(r->folder);
    const char *path = strncmp(real, r->folder, n) ? NULL : real + n;
    return path ? map_find(&r->files, NULL, names_of(r->names, path)) : NULL;
}

/* The site log is never that of the revision: what hangs in the wall hangs there today. */
static const char *text_at(const void *of, const char *real, size_t *size)
{
    const struct revision *r = of;
    size_t n = strlen(real);
    struct text *file = n > 4 && !strcmp(real + n - 4, ".log") ? NULL : file_at(r, real);
    if (file && !file->bytes)
        fetch(r, file);
    if (file)
        *size = file->size;
    return file ? file->bytes : NULL;
}

struct unsaved revision_texts(const struct revision *r)
{
    return (struct unsaved){.text = text_at, .of = r};
}

const char *revision_failed(const struct revision *r)
{
    return r->failure->why;
}

bool revision_has(const struct revision *r, const char *plan)
{
    const char *slash = strrchr(plan, '/');
    return file_at(r, arena_printf(r->arena, "%s%s", r->folder, slash ? slash + 1 : plan));
}
