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

/* A file that is to be: written under a name beside it, then renamed. */
struct staged {
    char path[PATH_MAX], beside[PATH_MAX];
    bool lies; /* something lies beside */
};

/* What a file keeps when it is written anew; of a new one the owner is who runs this. */
struct nature {
    mode_t mode;
    uid_t owner;
    gid_t group;
    bool is_new;
};

/* A file of another's goes on being his, where that can be. */
static bool keep_nature(int fd, const struct nature *n)
{
    struct stat made;
    if (!n->is_new && fstat(fd, &made) == 0 &&
        (made.st_uid != n->owner || made.st_gid != n->group) &&
        fchown(fd, n->owner, n->group) != 0 && made.st_uid != n->owner)
        return false;
    return fchmod(fd, n->mode) == 0;
}

/* Writes beside the file. */
static bool stage(struct staged *s, const struct buf *b, const struct nature *n, bool synced)
{
    if (!name_beside(s->beside, sizeof s->beside, s->path))
        return false;
    int fd = mkstemp(s->beside);
    if (fd < 0)
        return false;
    s->lies = write_all(fd, b->at, b->n) && keep_nature(fd, n) && (!synced || fsync(fd) == 0);
    int why = errno;
    if (close(fd) != 0 && s->lies) {
        s->lies = false;
        why = errno;
    }
    if (!s->lies)
        unlink(s->beside);
    errno = why;
    return s->lies;
}

/* Puts what lies beside in its place. */
static bool put(struct staged *s)
{
    bool ok = !s->lies || rename(s->beside, s->path) == 0;
    int why = errno;
    if (!ok)
        unlink(s->beside);
    s->lies = false;
    errno = why;
    return ok;
}

/* Signals that end the program wait until nothing lies beside a file. */
static void hold_signals(sigset_t *before)
{
    static const int ending[] = {SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGXCPU, SIGALRM};
    sigset_t held;
    sigemptyset(&held);
    for (size_t i = 0; i < sizeof ending / sizeof *ending; i++)
        sigaddset(&held, ending[i]);
    sigprocmask(SIG_BLOCK, &held, before);
}

static void release_signals(const sigset_t *before)
{
    int why = errno;
    sigprocmask(SIG_SETMASK, before, NULL);
    errno = why;
}

/* Over the old text, for a file that has other names too, that is another's or lies where nothing
 * can be made: only a crash of the machine tears it, since the room that it takes is had before. */
static bool write_over(const struct buf *b, const char *path, off_t old)
{
    int fd = open(path, O_WRONLY | O_CLOEXEC), why = 0;
    if (fd < 0)
        return false;
    if ((off_t)b->n > old && (why = posix_fallocate(fd, 0, (off_t)b->n)) != 0) {
        if (ftruncate(fd, old) != 0)
            why = errno;
    } else if (!write_all(fd, b->at, b->n) || ftruncate(fd, (off_t)b->n) != 0 || fsync(fd) != 0) {
        why = errno;
    }
    if (close(fd) != 0 && !why)
        why = errno;
    errno = why;
    return !why;
}

/* What a new file may be: as the person's umask says. */
static mode_t new_mode(void)
{
    mode_t mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

/* Stages what goes to a path; what is written at once there (a device, a file with other names)
 * is written. */
static bool begin_whole(struct staged *s, const struct buf *b, const char *path, bool synced)
{
    struct stat old;
    if (stat(path, &old) != 0) {
        int n = snprintf(s->path, sizeof s->path, "%s", path);
        errno = ENAMETOOLONG;
        return n < (int)sizeof s->path &&
               stage(s, b, &(struct nature){.mode = new_mode(), .is_new = true}, synced);
    }
    if (!S_ISREG(old.st_mode))
        return write_through(b, path);
    /* a link goes on leading to the file that it leads to */
    if (!realpath(path, s->path) || access(s->path, W_OK) != 0)
        return false;
    const struct nature n = {old.st_mode & 0777, old.st_uid, old.st_gid, false};
    if (old.st_nlink == 1 && stage(s, b, &n, synced))
        return true;
    return (old.st_nlink > 1 || errno == EACCES || errno == EPERM) &&
           write_over(b, s->path, old.st_size);
}

static bool write_whole(const struct buf *b, const char *path, bool synced)
{
    struct staged s = {.lies = false};
    sigset_t before;
    hold_signals(&before);
    bool ok = begin_whole(&s, b, path, synced) && put(&s);
    release_signals(&before);
    return ok;
}

bool file_write_all(const struct file_text *files, size_t count, size_t *failed)
{
    struct staged *list = calloc(count ? count : 1, sizeof *list);
    sigset_t before;
    bool ok = list != NULL;
    hold_signals(&before);
    *failed = 0;
    for (size_t i = 0; ok && i < count; i++) {
        *failed = i;
        ok = begin_whole(&list[i], files[i].text, files[i].path, false);
    }
    int why = errno;
    for (size_t i = 0; i < count && list; i++)
        if (!ok && list[i].lies)
            unlink(list[i].beside);
        else if (ok && !put(&list[i])) {
            *failed = i;
            why = errno;
            ok = false;
        }
    free(list);
    errno = why;
    release_signals(&before);
    return ok;
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
