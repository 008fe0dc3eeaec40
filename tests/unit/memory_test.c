/* Memory that ends: each command is run on a small plan, once for each allocation that it makes,
 * and that one fails. It says so, once, and ends with status 2; a file is whole or not there. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/file.h"
#include "cmd/cmd.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

/* How many allocations are left before one fails; what comes behind it succeeds again. */
static unsigned left;

static bool fails(void)
{
    return left && !--left;
}

void *__real_calloc(size_t n, size_t size);
void *__real_realloc(void *at, size_t size);
void *__real_mmap(void *at, size_t size, int protection, int flags, int fd, off_t offset);
void *__wrap_calloc(size_t n, size_t size);
void *__wrap_realloc(void *at, size_t size);
void *__wrap_mmap(void *at, size_t size, int protection, int flags, int fd, off_t offset);

void *__wrap_calloc(size_t n, size_t size)
{
    return fails() ? NULL : __real_calloc(n, size);
}

void *__wrap_realloc(void *at, size_t size)
{
    return fails() ? NULL : __real_realloc(at, size);
}

void *__wrap_mmap(void *at, size_t size, int protection, int flags, int fd, off_t offset)
{
    return fails() ? MAP_FAILED : __real_mmap(at, size, protection, flags, fd, offset);
}

/* As main.c has it. */
void memory_ended(void)
{
    static const char words[] = "studbay: error: there is not enough memory\n";
    (void)!write(STDERR_FILENO, words, sizeof words - 1);
    _exit(EXIT_USAGE);
}

/* A folder for what is written, and what a child printed and gave. */
static char folder[] = "/tmp/studbay-memory-XXXXXX";

struct outcome {
    int status;
    bool reached; /* the allocation that fails was made */
    struct buf out, err, file;
};

static const char *in_folder(const char *name)
{
    static char path[256];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    return path;
}

enum { MOST_WORDS = 8, REACHED = 64 };

static void run_child(char **words, int count, unsigned failing)
{
    if (!freopen(in_folder("out"), "w", stdout) || !freopen(in_folder("err"), "w", stderr))
        _exit(99);
    left = failing;
    int status = command_main(count, words);
    fflush(NULL);
    _exit(status | (failing && !left ? REACHED : 0));
}

static void read_back(struct buf *b, const char *name)
{
    if (!file_read(b, in_folder(name), 1 << 24))
        b->n = 0;
}

/* Runs a command whose allocation of this number fails; 0: none. */
static struct outcome run(const char *line, unsigned failing)
{
    char copy[256], *words[MOST_WORDS] = {"studbay"}, *save;
    int count = 1;
    snprintf(copy, sizeof copy, "%s", line);
    for (char *w = strtok_r(copy, " ", &save); w; w = strtok_r(NULL, " ", &save))
        words[count++] = !strcmp(w, "FILE") ? strdup(in_folder("file")) : w;
    unlink(in_folder("file"));
    pid_t child = fork();
    assert_true(child >= 0);
    if (!child)
        run_child(words, count, failing);
    int wait;
    struct outcome o = {0};
    assert_int_equal(waitpid(child, &wait, 0), child);
    assert_true(WIFEXITED(wait));
    o.status = WEXITSTATUS(wait) & ~REACHED;
    o.reached = WEXITSTATUS(wait) & REACHED || o.status == 2;
    read_back(&o.out, "out");
    read_back(&o.err, "err");
    read_back(&o.file, "file");
    for (int i = 1; i < count; i++)
        if (words[i] < copy || words[i] >= copy + sizeof copy)
            free(words[i]);
    return o;
}

static void done(struct outcome *o)
{
    buf_free(&o->out);
    buf_free(&o->err);
    buf_free(&o->file);
}

static bool same(const struct buf *a, const struct buf *b)
{
    return a->n == b->n && (!a->n || !memcmp(a->at, b->at, a->n));
}

static unsigned times(const struct buf *b, const char *words)
{
    unsigned n = 0;
    for (const char *at = b->n ? strstr(b->at, words) : NULL; at; at = strstr(at + 1, words))
        n++;
    return n;
}

#define SAID "there is not enough memory"

/* Each allocation of a command fails in turn, until none is left to fail. */
static void fail_each(const char *line)
{
    enum { MOST = 5000 };
    struct outcome whole = run(line, 0);
    assert_true(whole.status != 2);
    unsigned n = 1;
    for (bool more = true; more && n < MOST; n++) {
        struct outcome o = run(line, n);
        buf_text(&o.err);
        buf_text(&o.out);
        more = o.reached;
        bool right = more ? o.status == 2 && times(&o.err, SAID) + times(&o.out, SAID) == 1
                          : o.status == whole.status && same(&o.out, &whole.out);
        if (!right || (o.file.n && !same(&o.file, &whole.file)))
            fail_msg("%s, allocation %u: status %d, %s", line, n, o.status, buf_text(&o.err));
        done(&o);
    }
    assert_true(n > 5 && n < MOST);
    done(&whole);
}

#define PLAN "tests/rules/box-gangs.good.bay"

static void each_allocation_may_fail(void **state)
{
    (void)state;
    static const char *const lines[] = {
        "check " PLAN,
        "check --format json " PLAN,
        "check --format sarif " PLAN,
        "report runs " PLAN,
        "report makeup --format json -o FILE " PLAN,
        "draw circuits --format dot -o FILE " PLAN,
        "draw plan --format svg " PLAN,
        "draw wiring --format pdf -o FILE " PLAN,
        "draw directory --sheet 1 -o FILE " PLAN,
        "draw directory --format pdf -o FILE " PLAN,
        "prove " PLAN,
        "prove --netlist -o FILE " PLAN,
        "fmt " PLAN,
        "compare tests/rules/box-gangs.bad.bay " PLAN,
        "explain box-gangs",
    };
    for (size_t i = 0; i < sizeof lines / sizeof *lines; i++)
        fail_each(lines[i]);
}

static int set_up(void **state)
{
    (void)state;
    return mkdtemp(folder) ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    static const char *const names[] = {"out", "err", "file"};
    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        unlink(in_folder(names[i]));
    return rmdir(folder);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(each_allocation_may_fail)};
    return cmocka_run_group_tests(tests, set_up, tear_down);
}
