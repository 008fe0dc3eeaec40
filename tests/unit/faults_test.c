/* Each call of the system fails in turn, each allocation, each write is met by a signal or by the
 * end: what is written is whole or as it was, nothing lies beside it, it is said what failed, and
 * the same line typed again comes to what it would have come to.
 *
 *   faults_test                a spread of all faults
 *   faults_test --all          all of them
 *   faults_test --line 'report runs' [--fault 'write 2 ENOSPC']     those alone, with what is said
 */
#define _GNU_SOURCE
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/file.h"
#include "cmd/cmd.h"
#include "fail.h"
#include "trace.h"

#include <dirent.h>
#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/syscall.h>
#include <unistd.h>

enum ending { ENDS, WAITS };

static const struct line {
    const char *command, *words, *input;
    enum ending ending;
} lines[] = {
#define LINE(...) {__VA_ARGS__},
#include "lines.def"
#undef LINE
};
enum { LINES = sizeof lines / sizeof *lines };

static struct {
    bool all;
    const char *line, *fault;
} asked;

/* --- folders -------------------------------------------------------------------------------- */

/* Where all of it is: `work`, where studbay runs; `repo`, which is git's; what it prints. */
static char base[] = "/dev/shm/studbay-faults-XXXXXX";

enum { MOST_FILES = 128, MOST_BYTES = 16 << 20 };

struct file {
    char path[512]; /* of a folder it ends in / */
    struct buf text;
};

struct tree {
    unsigned count;
    struct file files[MOST_FILES];
};

static const char *in_base(const char *name)
{
    static char paths[4][256];
    static unsigned turn;
    char *path = paths[turn++ % 4];
    snprintf(path, sizeof *paths, "%s/%s", base, name);
    return path;
}

static void read_tree(struct tree *t, const char *root, const char *below)
{
    char path[1024];
    snprintf(path, sizeof path, "%s/%s", root, below);
    DIR *d = opendir(path);
    assert_non_null(d);
    for (struct dirent *e; (e = readdir(d));) {
        if (!strcmp(e->d_name, ".") || !strcmp(e->d_name, ".."))
            continue;
        assert_true(t->count < MOST_FILES);
        struct file *f = &t->files[t->count++];
        bool folder = e->d_type == DT_DIR;
        snprintf(f->path, sizeof f->path, "%s%s%s", below, e->d_name, folder ? "/" : "");
        f->text.n = 0;
        snprintf(path, sizeof path, "%s/%s", root, f->path);
        if (folder)
            read_tree(t, root, f->path);
        else
            assert_true(file_read(&f->text, path, MOST_BYTES));
    }
    closedir(d);
}

static const struct file *find(const struct tree *t, const char *path)
{
    for (unsigned i = 0; i < t->count; i++)
        if (!strcmp(t->files[i].path, path))
            return &t->files[i];
    return NULL;
}

static bool same(const struct buf *a, const struct buf *b)
{
    return a->n == b->n && (!a->n || !memcmp(a->at, b->at, a->n));
}

/* What lies there now. */
static void look(struct tree *t)
{
    t->count = 0;
    read_tree(t, in_base("work"), "");
}

/* A file that has another name too, which it keeps. */
static void link_again(void)
{
    unlink(in_base("other-name"));
    assert_int_equal(link(in_base("work/linked.txt"), in_base("other-name")), 0);
}

/* Puts back what was there at first. */
static void restore(const struct tree *site)
{
    static struct tree now;
    look(&now);
    for (unsigned i = now.count; i--;) {
        const struct file *f = find(site, now.files[i].path);
        char path[1024];
        snprintf(path, sizeof path, "%s/work/%s", base, now.files[i].path);
        if (!f || !same(&f->text, &now.files[i].text))
            assert_int_equal(remove(path), 0);
    }
    for (unsigned i = 0; i < site->count; i++) {
        const struct file *was = find(&now, site->files[i].path);
        char path[1024];
        snprintf(path, sizeof path, "%s/work/%s", base, site->files[i].path);
        if (!was || !same(&was->text, &site->files[i].text))
            assert_true(file_write(&site->files[i].text, path));
    }
    link_again();
}

/* --- runs ----------------------------------------------------------------------------------- */

struct result {
    struct outcome o;
    struct buf out, err;
    struct tree after;
};

static struct tree site;
static int closed_stream;        /* 1 or 2; 0: none */
static bool reached[CALL_KINDS]; /* what some line asks of the system */

static void read_printed(struct buf *b, const char *name)
{
    b->n = 0;
    file_read(b, in_base(name), MOST_BYTES);
    unlink(in_base(name));
    buf_text(b);
}

/* "-- 12:34:56 shed.bay" */
static void hide_clock(struct buf *b)
{
    for (char *at = b->at; (at = strstr(at, "-- ")); at++)
        for (char *p = at; *p && *p != '\n'; p++)
            *p = *p >= '0' && *p <= '9' ? '0' : *p;
}

static void run_line(const struct line *l, const struct fault *f, struct result *r)
{
    enum { MOST = 14 };
    static char copy[256];
    const char *words[MOST] = {l->command};
    unsigned n = 1;
    char *save = NULL;
    snprintf(copy, sizeof copy, "%s", l->words);
    for (char *w = strtok_r(copy, " ", &save); w; w = strtok_r(NULL, " ", &save))
        words[n++] = w;
    char input[256];
    snprintf(input, sizeof input, "%s/work/%s", base, l->input ? l->input : "");
    struct traced_run run = {.words = words,
                             .folder = in_base("work"),
                             .input = l->input ? input : NULL,
                             .out = closed_stream == 1 ? NULL : in_base("out"),
                             .err = closed_stream == 2 ? NULL : in_base("err"),
                             .waits = l->ending == WAITS};
    if (!trace_run(&run, f, &r->o))
        fail_msg("programs cannot be traced here, or the library of the test is not loaded");
    read_printed(&r->out, "out");
    read_printed(&r->err, "err");
    if (l->ending == WAITS)
        hide_clock(&r->out);
    look(&r->after);
}

/* --- what is asked of each ------------------------------------------------------------------ */

static unsigned failed, tried;

static const char *call_name(long call)
{
    static char text[32];
    snprintf(text, sizeof text, "call %ld", call);
    return text;
}

static void describe(char *text, size_t size, const struct fault *f)
{
    const char *error = f->error == CUT_SHORT ? "short" : strerrorname_np(f->error);
    if (f->sort == CALL_FAILS)
        snprintf(text, size, "%s %u %s%s", call_kinds[f->kind].name, f->at, error,
                 f->on ? " and on" : "");
    else if (f->sort == MEMORY_FAILS)
        snprintf(text, size, "memory %u%s", f->at, f->on ? " and on" : "");
    else if (f->sort == NOTHING)
        snprintf(text, size, "nothing fails");
    else
        snprintf(text, size, "signal %u %s", f->at, sigabbrev_np(f->error));
}

static void complain(const struct line *l, const struct fault *f, const struct result *r,
                     const char *what, const char *more)
{
    char text[64];
    describe(text, sizeof text, f);
    failed++;
    printf("%s %s; %s (%s): %s%s\n", l->command, l->words, text, call_name(r->o.hit_call), what,
           more);
    if (r->err.n)
        printf("    %.*s\n", (int)r->err.n, r->err.at);
}

/* Lines of what is printed that tell of the fault; errors of the plan itself may stand beside them.
 */
static unsigned messages(const struct buf *err, const struct buf *out, const struct buf *usual)
{
    unsigned n = 0;
    for (const char *at = err->at, *end; *at; at = *end ? end + 1 : end) {
        end = at + strcspn(at, "\n");
        const char *next = strstr(at, " [unreadable-file]");
        bool file = memmem(at, (size_t)(end - at), "error: ", 7) && next &&
                    !strstr(at, " [syntax]") == !strstr(next, " [syntax]");
        bool ours = !strncmp(at, "studbay: ", 9) && strncmp(at, "studbay: of ", 12) != 0;
        char *line = strndup(at, (size_t)(end - at));
        n += (ours || (file && *at != ' ')) && !strstr(usual->at, line);
        free(line);
    }
    return n ? n
             : strstr(out->at, "\"unreadable-file\"") ||
                   strstr(out->at, "there is not enough memory");
}

/* Whether all that lies there is as before or as it was to be, and nothing more. */
static void check_files(const struct line *l, const struct fault *f, const struct result *whole,
                        const struct result *r, bool removal_failed)
{
    bool is_log = !strcmp(l->command, "log");
    for (unsigned i = 0; i < r->after.count; i++) {
        const struct file *now = &r->after.files[i], *was = find(&site, now->path),
                          *will = find(&whole->after, now->path);
        bool log = is_log && strstr(now->path, ".log");
        bool over = !strcmp(now->path, "linked.txt") && (f->on || f->error == SIGKILL);
        if (!was && !will && !removal_failed)
            complain(l, f, r, "left behind: ", now->path);
        else if (log && was &&
                 (now->text.n < was->text.n ||
                  memcmp(now->text.at, was->text.at, was->text.n) != 0))
            complain(l, f, r, "lines are lost of ", now->path);
        else if (!log && !over && (was || will) && !(was && same(&was->text, &now->text)) &&
                 !(will && same(&will->text, &now->text)))
            complain(l, f, r, "torn: ", now->path);
    }
    for (unsigned i = 0; i < site.count; i++)
        if (!find(&r->after, site.files[i].path))
            complain(l, f, r, "gone: ", site.files[i].path);
}

static bool same_trees(const struct tree *a, const struct tree *b)
{
    for (unsigned i = 0; i < a->count; i++) {
        const struct file *other = find(b, a->files[i].path);
        if (!other || !same(&a->files[i].text, &other->text))
            return false;
    }
    return a->count == b->count;
}

static bool tells_why(const struct fault *f, const struct result *r)
{
    const char *why = f->error == CUT_SHORT ? "the disk is full" : strerror(f->error);
    if (f->kind == CALL_look && strstr(r->err.at, strerror(ENOENT)))
        return true; /* what could not be looked at was looked for elsewhere */
    bool other_side = f->kind == CALL_send && f->error == EPIPE; /* it says what it did */
    bool no_program = f->kind == CALL_exec && f->error == ENOENT && strstr(r->err.at, "installed");
    return other_side || no_program || strstr(r->err.at, why) || strstr(r->out.at, why) ||
           strstr(r->err.at, "memory") || strstr(r->out.at, "not enough memory");
}

static void check_end(const struct line *l, const struct fault *f, const struct result *whole,
                      const struct result *r)
{
    const struct outcome *o = &r->o;
    if (o->hung)
        complain(l, f, r, "it hangs", "");
    else if (o->status < 0 && !o->waited && !(f->sort == SIGNAL_COMES && o->signal == f->error))
        complain(l, f, r, "ended by signal ", sigabbrev_np(o->signal));
    else if (o->status > 2 && o->status != whole->o.status)
        complain(l, f, r, "a status that says something else", "");
}

/* Of the language server: whole messages, the last one perhaps cut off where it ended before its
 * time; and where it did not, an answer to each request. */
static void check_answers(const struct line *l, const struct fault *f, const struct result *r)
{
    enum { REQUESTS = 7 };
    unsigned answers = 0;
    const char *at = r->out.at, *end = at + r->out.n;
    for (size_t size; at < end; at += size) {
        int head = 0;
        if (sscanf(at, "Content-Length: %zu %n", &size, &head) != 1 ||
            size > (size_t)(end - at - head))
            break;
        answers += strstr(at + head, "\"id\": ") && strstr(at + head, "\"id\": ") < at + head + 30;
        size += (size_t)head;
    }
    if (r->o.status == EXIT_FINE && (at < end || answers < REQUESTS))
        complain(l, f, r, "status 0, and not all was answered", "");
}

/* What was printed, and whether it is said that something is missing. */
static void check_printed(const struct line *l, const struct fault *f, const struct result *whole,
                          const struct result *r)
{
    const struct outcome *o = &r->o;
    if (o->hung || (o->status < 0 && !o->waited))
        return;
    bool server = !strcmp(l->command, "lsp");
    bool as_usual = o->status == whole->o.status && o->waited == whole->o.waited;
    unsigned said = messages(&r->err, &r->out, &whole->err);
    bool unheard = f->sort == CALL_FAILS && f->kind == CALL_write &&
                   (f->on || r->err.n < whole->err.n); /* what it says fails too */
    if (server) {
        check_answers(l, f, r);
        return;
    }
    if (l->ending == WAITS && as_usual && !said)
        return; /* it may look once more */
    if (as_usual && !said && !unheard) {
        if (!same(&r->out, &whole->out))
            complain(l, f, r, "status as usual, and other output", "");
        else if (!same_trees(&r->after, &whole->after) && f->kind != CALL_remove)
            complain(l, f, r, "status as usual, and other files", "");
        else if (!same(&r->err, &whole->err) && strcmp(l->command, "log") != 0)
            complain(l, f, r, "status as usual, and other words", ""); /* what is next, of a log */
        return;
    }
    if (unheard && o->status == EXIT_FINE)
        complain(l, f, r, "status 0, and not all was said", "");
    else if (!unheard && !said)
        complain(l, f, r, "nothing is said", "");
    else if (said > 1 && !f->on) /* of several files each is told */
        complain(l, f, r, "more than one message", "");
    else if (!as_usual && o->status != EXIT_USAGE)
        complain(l, f, r, "the status is not 2", "");
    else if (said && f->sort == CALL_FAILS && !tells_why(f, r))
        complain(l, f, r, "not said why", "");
}

/* The same line again, with nothing failing: what lies there then is what should. */
static void check_again(const struct line *l, const struct fault *f, const struct result *whole,
                        const struct result *r)
{
    static struct result again;
    static const struct fault nothing = {.sort = NOTHING};
    if (same_trees(&r->after, &whole->after))
        return;
    bool torn_log = !strcmp(l->command, "log") && !same_trees(&r->after, &site);
    if ((f->sort == CALL_FAILS && f->kind == CALL_remove) ||
        (!strcmp(l->command, "new") && r->after.count != site.count))
        return; /* it writes over nothing that is there */
    run_line(l, &nothing, &again);
    if (!torn_log && !same_trees(&again.after, &whole->after))
        complain(l, f, &again, "typed again it comes to something else", "");
    if (torn_log && again.o.status != EXIT_FINE)
        complain(l, f, &again, "typed again it fails", "");
}

static void try(const struct line *l, const struct fault *f, const struct result *whole)
{
    static struct result r;
    char text[64];
    describe(text, sizeof text, f);
    if (asked.fault && strcmp(asked.fault, text) != 0)
        return;
    restore(&site);
    run_line(l, f, &r);
    tried++;
    if (asked.fault)
        printf("status %d signal %d\n--- out\n%s\n--- err\n%s\n", r.o.status, r.o.signal, r.out.at,
               r.err.at);
    if (!r.o.hit)
        return;
    bool killed = f->sort == SIGNAL_COMES && f->error == SIGKILL;
    check_end(l, f, whole, &r);
    check_files(l, f, whole, &r, killed || (f->sort == CALL_FAILS && f->kind == CALL_remove));
    check_printed(l, f, whole, &r);
    check_again(l, f, whole, &r);
}

/* --- all of them ---------------------------------------------------------------------------- */

static bool goes_on(int error)
{
    return error != EINTR && error != CUT_SHORT && error != ECHILD;
}

/* How far those that are tried lie apart: all of them, or about `most`. */
static unsigned step(unsigned count, unsigned most)
{
    return asked.all || asked.fault || count <= most ? 1 : (count + most - 1) / most;
}

/* Of the errors of a kind all at each call, or one at each in turn. */
static void fail_calls(const struct line *l, const struct result *whole)
{
    enum { MOST = 2 };
    static unsigned turn; /* the next line goes on where this one ended */
    for (int k = 0; k < CALL_KINDS; k++) {
        const int *errors = call_kinds[k].errors;
        unsigned count = whole->o.calls[k], by = step(count, MOST), ways = 0;
        while (errors[ways])
            ways++;
        for (unsigned n = 1; ways && n <= count; n += by)
            for (unsigned i = 0; i < (asked.all || asked.fault ? ways : 1); i++) {
                struct fault f = {CALL_FAILS, (enum call_kind)k, n, errors[turn++ % ways], false};
                try(l, &f, whole);
                f.on = true;
                if (goes_on(f.error) && asked.all)
                    try(l, &f, whole);
            }
    }
}

static void fail_memory(const struct line *l, const struct result *whole)
{
    unsigned count = whole->o.allocations, by = step(count, 2);
    for (unsigned n = 1; n <= count; n += by)
        for (int on = 0; on < 2; on++)
            try(l, &(struct fault){.sort = MEMORY_FAILS, .at = n, .on = on}, whole);
}

/* Where files are written a signal or the end comes at each call. */
static void come_signals(const struct line *l, const struct result *whole)
{
    static const int signals[] = {SIGKILL, SIGINT, SIGTERM, SIGHUP};
    unsigned count = whole->o.all, by = step(count, 3);
    for (unsigned s = 0; s < sizeof signals / sizeof *signals; s++)
        for (unsigned n = 1 + s * by / 4; n <= count; n += by)
            try(l, &(struct fault){.sort = SIGNAL_COMES, .at = n, .error = signals[s]}, whole);
}

static void try_line(const struct line *l)
{
    static struct result whole;
    static const struct fault nothing = {.sort = NOTHING};
    restore(&site);
    run_line(l, &nothing, &whole);
    if (whole.o.unknown >= 0)
        complain(l, &nothing, &whole, "a call of no kind: ", call_name(whole.o.unknown));
    if (whole.o.status == EXIT_USAGE || (whole.o.status < 0 && !whole.o.waited))
        complain(l, &nothing, &whole, "it does not work by itself", "");
    printf("%s %s: %u calls, %u allocations\n", l->command, l->words, whole.o.all,
           whole.o.allocations);
    fflush(stdout);
    for (int k = 0; k < CALL_KINDS; k++)
        reached[k] |= whole.o.calls[k] > 0;
    if (asked.fault)
        printf("status %d\n--- out\n%s\n--- err\n%s\n", whole.o.status, whole.out.at, whole.err.at);
    fail_calls(l, &whole);
    fail_memory(l, &whole);
    if (!same_trees(&site, &whole.after))
        come_signals(l, &whole);
}

static bool is_asked(const struct line *l)
{
    char text[256];
    snprintf(text, sizeof text, "%s %s", l->command, l->words);
    return !asked.line || strstr(text, asked.line);
}

static bool has_line(const char *command)
{
    for (unsigned i = 0; i < LINES; i++)
        if (!strcmp(lines[i].command, command))
            return true;
    return false;
}

/* Calls `each` for all lines, and for commands that have none. */
static void for_each_line(void (*each)(const struct line *l))
{
    for (unsigned i = 0; i < LINES; i++)
        if (is_asked(&lines[i]))
            each(&lines[i]);
    for (uint32_t i = 0; i < command_count; i++) {
        const struct line l = {command_table[i].name, "shed.bay", NULL, ENDS};
        if (!has_line(l.command) && is_asked(&l))
            each(&l);
    }
}

static void what_fails_is_told_and_tears_nothing(void **state)
{
    (void)state;
    for_each_line(try_line);
    printf("%u faults\n", tried);
    assert_int_equal(failed, 0);
    for (int k = 0; k < CALL_KINDS && !asked.line; k++)
        if (*call_kinds[k].errors && !reached[k])
            fail_msg("no command makes a call of the kind '%s'", call_kinds[k].name);
}

/* --- streams that are closed ---------------------------------------------------------------- */

static void close_streams(const struct line *l)
{
    static struct result whole, r;
    static const struct fault nothing = {.sort = NOTHING};
    restore(&site);
    run_line(l, &nothing, &whole);
    for (int stream = 1; stream <= 2; stream++) {
        const struct buf *lost = stream == 1 ? &whole.out : &whole.err;
        closed_stream = stream;
        restore(&site);
        run_line(l, &nothing, &r);
        closed_stream = 0;
        bool ends = r.o.status >= 0 || r.o.waited;
        if (!ends || r.o.hung)
            complain(l, &nothing, &r, "it does not end by itself", "");
        else if (lost->n && r.o.status == EXIT_FINE)
            complain(l, &nothing, &r, "status 0, and not all was printed", "");
        else if (stream == 1 && lost->n && strcmp(l->command, "lsp") != 0 &&
                 messages(&r.err, &r.out, &whole.err) != 1)
            complain(l, &nothing, &r, "not said that nothing could be printed", "");
        check_files(l, &nothing, &whole, &r, false);
    }
}

static void a_closed_stream_is_told_and_no_file_takes_its_place(void **state)
{
    (void)state;
    failed = 0;
    for_each_line(close_streams);
    assert_int_equal(failed, 0);
}

static int set_up(void **state)
{
    (void)state;
    static char library[512];
    const char *binary = getenv("STUDBAY");
    if (!binary || !mkdtemp(base))
        return -1;
    snprintf(library, sizeof library, "%.*s/tests/faults/fail.so",
             (int)(strrchr(binary, '/') - binary), binary);
    setenv(FAIL_LIBRARY, library, 1);
    char command[1024];
    snprintf(command, sizeof command,
             "export GIT_CONFIG_GLOBAL=/dev/null GIT_CONFIG_SYSTEM=/dev/null; mkdir %s/work && cp "
             "-r tests/faults/site %s/repo && ln -s $PWD/stdlib %s/stdlib && "
             "cd %s/repo && git init -q && git add . && git -c user.name=a -c user.email=a@b "
             "commit -q -m a && sed -i s/4\\'/5\\'/ shed.bay",
             base, base, base, base);
    if (system(command) != 0)
        return -1;
    read_tree(&site, "tests/faults/site", "");
    return 0;
}

static int tear_down(void **state)
{
    (void)state;
    char command[256];
    snprintf(command, sizeof command, "rm -rf %s", base);
    trace_end();
    return system(command);
}

int main(int argc, char **argv)
{
    for (int i = 1; i < argc; i++) {
        if (!strcmp(argv[i], "--all"))
            asked.all = true;
        else if (!strcmp(argv[i], "--line") && i + 1 < argc)
            asked.line = argv[++i];
        else if (!strcmp(argv[i], "--fault") && i + 1 < argc)
            asked.fault = argv[++i];
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_fails_is_told_and_tears_nothing),
        cmocka_unit_test(a_closed_stream_is_told_and_no_file_takes_its_place)};
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
