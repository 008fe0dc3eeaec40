/* Laid before the C library: the n-th allocation of a program fails, or each from there on. What is
 * to fail and what was counted lies in a file that the test shares. */
#define _GNU_SOURCE
#include "fail.h"

#include <dlfcn.h>
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

static struct fail_shared *shared;

static void *(*real_malloc)(size_t);
static void *(*real_calloc)(size_t, size_t);
static void *(*real_realloc)(void *, size_t);
static int (*real_posix_memalign)(void **, size_t, size_t);

/* What dlsym itself asks for before there is a calloc to be called. */
static char early[4096];
static size_t early_used;

static void *take_early(size_t size)
{
    size_t at = (early_used + 15) & ~(size_t)15;
    if (at + size > sizeof early)
        return NULL;
    early_used = at + size;
    return early + at;
}

static bool is_early(const void *at)
{
    return (const char *)at >= early && (const char *)at < early + sizeof early;
}

/* False while dlsym itself asks. */
static bool find_real(void)
{
    static bool asked;
    if (asked)
        return real_calloc;
    asked = true;
    real_malloc = (void *(*)(size_t))dlsym(RTLD_NEXT, "malloc");
    real_realloc = (void *(*)(void *, size_t))dlsym(RTLD_NEXT, "realloc");
    real_posix_memalign = (int (*)(void **, size_t, size_t))dlsym(RTLD_NEXT, "posix_memalign");
    real_calloc = (void *(*)(size_t, size_t))dlsym(RTLD_NEXT, "calloc");
    return true;
}

/* The program's own calls begin here: the test sees a close that is none. Programs that it starts
 * are left alone. */
__attribute__((constructor)) static void begin(void)
{
    const char *path = getenv(FAIL_SHARED);
    int fd = path ? open(path, O_RDWR | O_CLOEXEC) : -1;
    unsetenv("LD_PRELOAD");
    unsetenv(FAIL_SHARED);
    if (fd >= 0) {
        void *at = mmap(NULL, sizeof *shared, PROT_READ | PROT_WRITE, MAP_SHARED, fd, 0);
        close(fd);
        shared = at == MAP_FAILED ? NULL : at;
    }
    (void)close(FAIL_BEGINS);
}

static bool fails(void)
{
    if (!shared)
        return false;
    unsigned n = ++shared->allocations;
    bool now = shared->fail_at && (n == shared->fail_at || (shared->on && n > shared->fail_at));
    if (now)
        shared->hit = 1;
    if (now)
        errno = ENOMEM;
    return now;
}

void *malloc(size_t size)
{
    if (!real_calloc && !find_real())
        return take_early(size);
    return fails() ? NULL : real_malloc(size);
}

void *calloc(size_t n, size_t size)
{
    if (!real_calloc && !find_real())
        return take_early(n * size);
    return fails() ? NULL : real_calloc(n, size);
}

void *realloc(void *at, size_t size)
{
    if (!real_calloc && !find_real())
        return take_early(size);
    if (fails())
        return NULL;
    if (!is_early(at))
        return real_realloc(at, size);
    size_t most = (size_t)(early + sizeof early - (char *)at);
    void *p = real_malloc(size);
    return p ? memcpy(p, at, size < most ? size : most) : NULL;
}

int posix_memalign(void **at, size_t align, size_t size)
{
    if (!real_calloc)
        find_real();
    return fails() ? ENOMEM : real_posix_memalign(at, align, size);
}

void free(void *at)
{
    static void (*real_free)(void *);
    if (is_early(at))
        return;
    if (!real_free)
        real_free = (void (*)(void *))dlsym(RTLD_NEXT, "free");
    real_free(at);
}
