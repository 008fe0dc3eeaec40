/* studbay watch: checks a plan again whenever one of its files is saved, and runs another command
 * where it has no errors. What that command writes is whole or stays as it was, so the last good
 * book is there all the time. */
#include "cmd/cmd.h"

#include "log/log.h"
#include "model/orders.h"

#include <errno.h>
#include <poll.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>
#ifdef __linux__
#include <sys/inotify.h>
#endif

/* An editor writes a file in several steps: they are over when nothing has happened for so long. */
enum { QUIET_MS = 60, POLL_MS = 400 };

/* What a file was when it was looked at. */
struct seen {
    bool there;
    uint64_t device, number, size;
    struct timespec changed;
};

struct watched {
    struct arena arena; /* of what one round needs */
    const char *plan;
    VEC(const char *) paths;
    VEC(struct seen) seen;
    int events; /* of inotify; below 0: the files are looked at again and again */
};

static struct seen look_at(const char *path)
{
    struct stat st;
    if (stat(path, &st) != 0)
        return (struct seen){0};
    return (struct seen){true, st.st_dev, st.st_ino, (uint64_t)st.st_size, st.st_mtim};
}

static bool is_same(const struct seen *a, const struct seen *b)
{
    return a->there == b->there && a->device == b->device && a->number == b->number &&
           a->size == b->size && a->changed.tv_sec == b->changed.tv_sec &&
           a->changed.tv_nsec == b->changed.tv_nsec;
}

static bool has_changed(const struct watched *w)
{
    for (uint32_t i = 0; i < w->paths.n; i++) {
        struct seen now = look_at(w->paths.at[i]);
        if (!is_same(&now, &w->seen.at[i]))
            return true;
    }
    return false;
}

/* Folders are watched, not files: an editor that saves puts a new file in the place of the old one.
 */
static void watch_folder(struct watched *w, const char *path)
{
#ifdef __linux__
    const char *slash = strrchr(path, '/');
    const char *folder = slash ? arena_copy(&w->arena, path, (size_t)(slash + 1 - path)) : ".";
    if (w->events >= 0 && inotify_add_watch(w->events, folder,
                                            IN_CLOSE_WRITE | IN_MOVED_TO | IN_MOVED_FROM |
                                                IN_CREATE | IN_DELETE | IN_ATTRIB) < 0) {
        close(w->events); /* there are no more watches: the files are looked at instead */
        w->events = -1;
    }
#else
    (void)w, (void)path;
#endif
}

static void add_file(struct watched *w, const char *path)
{
    *vec_push(&w->arena, &w->paths) = arena_copy(&w->arena, path, strlen(path));
    watch_folder(w, path);
    *vec_push(&w->arena, &w->seen) = look_at(path);
}

/* The files that the plan is made of now, its log and its price lists too, be they there or not.
 * They are looked at before the plan is checked, so that what is saved meanwhile is not missed. */
static void list_files(struct watched *w, const struct invocation *inv)
{
    struct compilation c = {0};
    arena_free(&w->arena);
    w->arena = (struct arena){0};
    memset(&w->paths, 0, sizeof w->paths);
    memset(&w->seen, 0, sizeof w->seen);
    compile(&c, w->plan, (struct compile_options){.stdlib = inv->stdlib, .only_findings = true});
    add_file(w, w->plan);
    for (uint32_t i = 1; i < c.source_count; i++)
        add_file(w, c.sources[i]->path);
    for (uint32_t i = 0; i < c.missing.n; i++)
        add_file(w, c.missing.at[i]);
    const char *log = log_path(&c.arena, w->plan);
    if (log)
        add_file(w, log);
    for (int own = 0; own < 2; own++)
        add_file(w, model_price_list(&c.arena, w->plan, own));
    compile_free(&c);
}

/* Waits until something happened, and then until nothing happens any more. */
static void wait_for_events(const struct watched *w)
{
    char events[4096];
    struct pollfd p = {.fd = w->events, .events = POLLIN};
    if (w->events < 0) {
        poll(NULL, 0, POLL_MS);
        return;
    }
    for (int wait = -1; poll(&p, 1, wait) > 0; wait = QUIET_MS)
        if (read(w->events, events, sizeof events) < 0 && errno != EINTR && errno != EAGAIN)
            return;
}

static bool say_when(const struct watched *w)
{
    time_t now = time(NULL);
    struct tm day;
    char clock[16] = "";
    if (localtime_r(&now, &day))
        strftime(clock, sizeof clock, "%H:%M:%S ", &day);
    struct buf out = {0};
    buf_printf(&out, "-- %s", clock);
    cmd_put_path(&out, w->plan);
    buf_puts(&out, "\n");
    bool written = cmd_write_output(&out, NULL);
    buf_free(&out);
    return written;
}

/* The check of each round. */
static int check_plan(struct watched *w, const struct invocation *inv)
{
    enum { MOST = 7 };
    const char *words[MOST] = {"studbay", "check"};
    int n = 2;
    if (inv->strict)
        words[n++] = "--strict";
    if (inv->stdlib) {
        words[n++] = "--stdlib";
        words[n++] = inv->stdlib;
    }
    words[n++] = "--";
    words[n++] = w->plan;
    return command_main(n, (char **)words);
}

/* The words behind the plan are a command, which is given the plan too where they do not name it.
 */
static void run_behind(struct watched *w, const struct invocation *inv)
{
    const char **words = arena_array(&w->arena, const char *, inv->operand_count + 2);
    int n = 0;
    bool named = false;
    words[n++] = "studbay";
    for (uint32_t i = 1; i < inv->operand_count; i++) {
        words[n++] = inv->operands[i];
        named |= !strcmp(inv->operands[i], w->plan);
    }
    if (!named)
        words[n++] = w->plan;
    command_main(n, (char **)words);
}

int command_watch(const struct invocation *inv)
{
    if (!inv->operand_count || !strcmp(inv->operands[0], "-"))
        return cmd_complain("watch wants a plan in a file: studbay watch PLAN [COMMAND...]");
    if (inv->operand_count > 1 && !strcmp(inv->operands[1], inv->command->name))
        return cmd_complain("watch runs another command than itself");
    struct watched w = {.plan = inv->operands[0], .events = -1};
#ifdef __linux__
    w.events = inotify_init1(IN_CLOEXEC | IN_NONBLOCK);
#endif
    while (list_files(&w, inv), say_when(&w)) {
        if (check_plan(&w, inv) == EXIT_FINE && inv->operand_count > 1)
            run_behind(&w, inv);
        while (!has_changed(&w))
            wait_for_events(&w);
    }
    arena_free(&w.arena); /* nobody reads any more what it says */
    if (w.events >= 0)
        close(w.events);
    return EXIT_USAGE;
}
