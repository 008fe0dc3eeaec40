#include "base/file.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

static bool write_all(int fd, const char *p, size_t n)
{
    while (n) {
        ssize_t w = write(fd, p, n);
        if (w < 0 && errno == EINTR)
            continue;
        if (w < 0)
            return false;
        p += w;
        n -= (size_t)w;
    }
    return true;
}

/* What is no plain file (a device, a pipe) has no content to keep: it is written to as it is. */
static bool write_through(const struct buf *b, const char *path)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC);
    if (fd < 0)
        return false;
    bool ok = write_all(fd, b->at, b->n);
    int why = errno;
    if (close(fd) != 0 && ok) {
        ok = false;
        why = errno;
    }
    errno = why;
    return ok;
}

/* A name beside the file that is no longer than a name may be; false where the path is too long. */
static bool name_beside(char *name, size_t size, const char *path)
{
    enum { SHOWN = 200 };
    const char *slash = strrchr(path, '/'), *own = slash ? slash + 1 : path;
    int n = snprintf(name, size, "%.*s%.*s.XXXXXX", (int)(own - path), path, (int)SHOWN, own);
    errno = ENAMETOOLONG;
    return n >= 0 && n < (int)size;
}

/* Writes beside the file and renames. */
static bool replace_now(const struct buf *b, const char *path, mode_t mode, bool synced)
{
    char name[PATH_MAX];
    if (!name_beside(name, sizeof name, path))
        return false;
    int fd = mkstemp(name);
    if (fd < 0)
        return false;
    bool ok = write_all(fd, b->at, b->n) && fchmod(fd, mode) == 0 && (!synced || fsync(fd) == 0);
    int why = errno;
    if (close(fd) != 0 && ok) {
        ok = false;
        why = errno;
    }
    if (ok && rename(name, path) != 0) {
        ok = false;
        why = errno;
    }
    if (!ok)
        unlink(name);
    errno = why;
    return ok;
}

/* The same; a signal that ends the program waits until nothing lies beside the file. */
static bool replace(const struct buf *b, const char *path, mode_t mode, bool synced)
{
    static const int ending[] = {SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGXCPU, SIGALRM};
    sigset_t held, before;
    sigemptyset(&held);
    for (size_t i = 0; i < sizeof ending / sizeof *ending; i++)
        sigaddset(&held, ending[i]);
    sigprocmask(SIG_BLOCK, &held, &before);
    bool ok = replace_now(b, path, mode, synced);
    int why = errno;
    sigprocmask(SIG_SETMASK, &before, NULL);
    errno = why;
    return ok;
}

/* What a new file may be: as the person's umask says. */
static mode_t new_mode(void)
{
    mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

static bool write_whole(const struct buf *b, const char *path, bool synced)
{
    struct stat old;
    if (stat(path, &old) != 0)
        return replace(b, path, new_mode(), synced);
    if (!S_ISREG(old.st_mode))
        return write_through(b, path);
    char real[PATH_MAX]; /* a link goes on leading to the file that it leads to */
    return realpath(path, real) && access(real, W_OK) == 0 &&
           replace(b, real, old.st_mode & 0777, synced);
}

bool file_write(const struct buf *b, const char *path)
{
    return write_whole(b, path, false);
}

bool file_save(const struct buf *b, const char *path)
{
    return write_whole(b, path, true);
}

static ssize_t read_some(int fd, char *at, size_t room)
{
    ssize_t n;
    while ((n = read(fd, at, room)) < 0 && errno == EINTR)
        ;
    return n;
}

static int open_to_read(const char *path)
{
    return strcmp(path, "-") ? open(path, O_RDONLY | O_CLOEXEC) : STDIN_FILENO;
}

static void close_read(int fd, int why)
{
    if (fd != STDIN_FILENO)
        close(fd);
    errno = why;
}

/* The size of a plain file that is not larger than `limit`; 0 for all else. */
static size_t size_of(int fd, size_t limit)
{
    struct stat st;
    return fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && (uint64_t)st.st_size <= limit
               ? (size_t)st.st_size
               : 0;
}

bool file_read(struct buf *b, const char *path, size_t limit)
{
    int fd = open_to_read(path), why = 0;
    if (fd < 0)
        return false;
    buf_reserve(b, size_of(fd, limit) + 1); /* one more, so that the end is met without growing */
    for (ssize_t n; (n = read_some(fd, b->at + b->n, b->cap - b->n - 1)) != 0 && !why;) {
        why = n < 0 ? errno : (b->n += (size_t)n) > limit ? EFBIG : 0;
        if (b->cap - b->n < 2)
            buf_reserve(b, 65536);
    }
    close_read(fd, why);
    return why == 0;
}

/* What has no size beforehand, as a pipe has none, is gathered first. */
static char *read_gathered(struct arena *arena, const char *path, size_t limit, size_t *size)
{
    struct buf b = {0};
    char *bytes = NULL;
    if (file_read(&b, path, limit)) {
        bytes = arena_copy(arena, b.n ? b.at : "", b.n);
        *size = b.n;
    }
    int why = errno;
    buf_free(&b);
    errno = why;
    return bytes;
}

char *file_read_into(struct arena *arena, const char *path, size_t limit, size_t *size)
{
    int fd = strcmp(path, "-") ? open_to_read(path) : -1;
    size_t room = fd >= 0 ? size_of(fd, limit) : 0;
    if (!room) {
        if (fd >= 0)
            close(fd);
        return read_gathered(arena, path, limit, size);
    }
    char *bytes = arena_alloc(arena, room + 1);
    ssize_t n = 0;
    for (*size = 0; *size < room && (n = read_some(fd, bytes + *size, room - *size)) > 0;
         *size += (size_t)n)
        ;
    close_read(fd, errno);
    return n < 0 ? NULL : bytes;
}
