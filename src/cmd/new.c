/* studbay new: a folder with a plan to begin with, and what git wants beside it. */
#include "cmd/cmd.h"

#include "base/file.h"
#include "resolve/embedded.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/* Where the files of src/cmd/new go; the plan is the one that was asked for. */
static const struct {
    const char *from, *to;
    bool runs;
} files[] = {{NULL, "plan.bay", false},
             {"gitattributes", ".gitattributes", false},
             {"pre-commit", ".githooks/pre-commit", true},
             {"workflow.yml", ".github/workflows/plan.yml", false}};

enum { FILES = sizeof files / sizeof *files };

static const struct embedded_file *embedded(const char *path)
{
    const struct embedded_file *f = embedded_new;
    while (f->path && strcmp(f->path, path) != 0)
        f++;
    return f;
}

/* The plan that the options ask for; NULL, with a message, where they ask for two. */
static const char *plan_asked(const struct invocation *inv)
{
    const char *const asked[] = {inv->cellar, inv->kitchen, inv->garage, inv->shed};
    static const char *const plans[] = {"cellar.bay", "kitchen.bay", "garage.bay", "shed.bay"};
    const char *plan = NULL;
    for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
        if (asked[i] && plan) {
            cmd_complain("new begins one job at a time: --cellar, --kitchen, --garage or --shed");
            return NULL;
        }
        if (asked[i])
            plan = plans[i];
    }
    return plan ? plan : "plan.bay";
}

typedef VEC(const char *) path_list;

/* Makes the folders on the way to a file, and notes them. False with errno set. */
static bool make_folders(struct arena *arena, const char *path, path_list *made)
{
    for (const char *slash = strchr(path + 1, '/'); slash; slash = strchr(slash + 1, '/')) {
        const char *folder = arena_copy(arena, path, (size_t)(slash - path));
        if (mkdir(folder, 0777) == 0)
            *vec_push(arena, made) = folder;
        else if (errno != EEXIST)
            return false;
    }
    return true;
}

/* All of them, or none. */
static bool make_files(struct arena *arena, const struct file_text *texts)
{
    path_list made = {0};
    bool fine = true;
    for (int i = 0; i < FILES && fine; i++)
        if (!(fine = make_folders(arena, texts[i].path, &made)))
            cmd_complain("cannot make the folders of %s: %s", texts[i].path, strerror(errno));
    fine = fine && cmd_write_files(texts, FILES);
    while (!fine && made.n)
        rmdir(made.at[--made.n]);
    return fine;
}

/* Nothing of anybody's is written over. */
static bool is_free(const char *path)
{
    struct stat st;
    if (lstat(path, &st) != 0)
        return true;
    cmd_complain("%s is there already, and is left as it is: nothing was written", path);
    return false;
}

static bool write_files(const struct invocation *inv, const char *plan, struct file_text *texts,
                        struct buf *bufs)
{
    for (int i = 0; i < FILES; i++) {
        const struct embedded_file *f = embedded(files[i].from ? files[i].from : plan);
        buf_add(&bufs[i], (const char *)f->bytes, f->size);
        texts[i].path = arena_printf(inv->arena, "%s/%s", inv->operands[0], files[i].to);
        texts[i].text = &bufs[i];
        texts[i].runs = files[i].runs;
    }
    for (int i = 0; i < FILES; i++)
        if (!is_free(texts[i].path))
            return false;
    return make_files(inv->arena, texts);
}

static bool tell_next(const struct file_text *texts)
{
    struct buf out = {0};
    for (int i = 0; i < FILES; i++) {
        cmd_put_path(&out, texts[i].path);
        buf_putc(&out, '\n');
    }
    buf_puts(&out, "\nWhat comes next:\n  studbay check ");
    cmd_put_path(&out, texts[0].path);
    buf_puts(&out, "\n  git config core.hooksPath .githooks    where the folder is git's: checks "
                   "before each commit\n");
    bool written = cmd_write_output(&out, NULL);
    buf_free(&out);
    return written;
}

int command_new(const struct invocation *inv)
{
    if (inv->operand_count != 1)
        return cmd_complain("new wants a folder to begin in: studbay new loft");
    const char *plan = plan_asked(inv);
    if (!plan)
        return EXIT_USAGE;
    struct file_text texts[FILES];
    struct buf bufs[FILES] = {0};
    bool done = write_files(inv, plan, texts, bufs) && tell_next(texts);
    for (int i = 0; i < FILES; i++)
        buf_free(&bufs[i]);
    return done ? EXIT_FINE : EXIT_USAGE;
}
