#define _GNU_SOURCE
#include "base/file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <signal.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <sys/syscall.h>
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

/* Behind the name of a file, before six letters: what lies beside it while it is written. */
static const char mark[] = ".studbay-";
enum { LETTERS = 6 };

/* A name beside the file that is no longer than a name may be; false where the path is too long. */
static bool name_beside(char *name, size_t size, const char *path)
{
    enum { SHOWN = 200 };
    const char *slash = strrchr(path, '/'), *own = slash ? slash + 1 : path;
    int n = snprintf(name, size, "%.*s%.*s%s%.*s", (int)(own - path), path, (int)SHOWN, own, mark,
                     LETTERS, "XXXXXXXX");
    errno = ENAMETOOLONG;
    return n >= 0 && n < (int)size;
}

static bool is_beside(const char *name)
{
    size_t len = strlen(name), end = sizeof mark - 1 + LETTERS;
    return len > end && !strncmp(name + len - end, mark, sizeof mark - 1);
}

/* Removes it unless somebody is at it, who has it locked. */
static void remove_left(int folder, const char *name)
{
    struct stat st;
    int fd = openat(folder, name, O_RDONLY | O_NOFOLLOW | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return;
    if (fstat(fd, &st) == 0 && S_ISREG(st.st_mode) && flock(fd, LOCK_EX | LOCK_NB) == 0)
        unlinkat(folder, name, 0);
    close(fd);
}

void file_clear(const char *path)
{
    char folder[PATH_MAX] = ".";
    const char *slash = strrchr(path, '/');
    if (slash && (size_t)(slash - path) + 2 < sizeof folder)
        snprintf(folder, sizeof folder, "%.*s", (int)(slash + 1 - path), path);
    DIR *d = opendir(folder);
    if (!d)
        return;
    for (const struct dirent *e; (e = readdir(d));)
        if (is_beside(e->d_name))
            remove_left(dirfd(d), e->d_name);
    closedir(d);
}

/* A file that is to be: written under a name beside it, then renamed. */
struct staged {
    char path[PATH_MAX], beside[PATH_MAX];
    int lock;     /* of what lies beside, -1: none */
    bool lies;    /* something lies beside */
    bool is_new;  /* the path has no file yet */
    bool swapped; /* in its place; the old file lies beside */
    bool placed;  /* in its place; the old file is gone */
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

/* Makes what lies beside, locked. Who removes what is left may be quicker than the lock; then there
 * is another. */
static int make_beside(struct staged *s)
{
    enum { TRIES = 16 };
    for (int i = 0; i < TRIES && name_beside(s->beside, sizeof s->beside, s->path); i++) {
        struct stat st;
        int fd = mkostemp(s->beside, O_CLOEXEC);
        if (fd < 0)
            return -1;
        bool locked = flock(fd, LOCK_EX | LOCK_NB) == 0 || errno != EWOULDBLOCK;
        if (locked && (fstat(fd, &st) != 0 || st.st_nlink))
            return fd;
        close(fd);
        errno = EAGAIN;
    }
    return -1;
}

/* Writes beside the file. `locked`: nobody takes it for left, however long the others take. */
static bool stage(struct staged *s, const struct buf *b, const struct nature *n, bool synced,
                  bool locked)
{
    int fd = make_beside(s);
    if (fd < 0)
        return false;
    s->lies = write_all(fd, b->at, b->n) && keep_nature(fd, n) && (!synced || fsync(fd) == 0);
    int why = errno;
    s->lock = s->lies && locked ? fcntl(fd, F_DUPFD_CLOEXEC, 0) : -1;
    if (close(fd) != 0 && s->lies) { /* what the system could not keep it may tell only now */
        s->lies = false;
        why = errno;
    }
    if (!s->lies)
        unlink(s->beside);
    errno = why;
    return s->lies;
}

/* Each other's names, where the system can do that. */
static bool swap(const struct staged *s)
{
#if defined SYS_renameat2 && defined RENAME_EXCHANGE
    return syscall(SYS_renameat2, AT_FDCWD, s->beside, AT_FDCWD, s->path, RENAME_EXCHANGE) == 0;
#else
    (void)s;
    return false;
#endif
}

/* Puts what lies beside in its place. `back`: so that it can be taken back. */
static bool put(struct staged *s, bool back)
{
    if (!s->lies)
        return true;
    s->swapped = back && !s->is_new && swap(s);
    s->placed = !s->swapped && rename(s->beside, s->path) == 0;
    s->lies = !s->placed;
    return s->swapped || s->placed;
}

/* The old file is where it was again, if it is still there. */
static void take_back(struct staged *s)
{
    if (s->swapped)
        s->swapped = !swap(s);
    else if (s->placed && s->is_new)
        unlink(s->path);
}

/* Nothing lies beside any more. */
static void clear(struct staged *s)
{
    if (s->lies)
        unlink(s->beside);
    if (s->lock >= 0)
        close(s->lock);
    s->lies = false;
    s->lock = -1;
}

/* Signals that end the program wait until nothing lies beside a file. */
static void hold_signals(sigset_t *before)
{
    static const int ending[] = {SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGPIPE, SIGXCPU, SIGALRM};
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

/* What the file holds, to be freed; NULL with errno set. */
static char *old_text(int fd, size_t size)
{
    char *text = malloc(size + 1);
    ssize_t n = 0;
    for (size_t at = 0; text && at < size; at += (size_t)n) {
        while ((n = pread(fd, text + at, size - at, (off_t)at)) < 0 && errno == EINTR)
            ;
        if (n <= 0) {
            int why = n ? errno : EIO;
            free(text);
            errno = why;
            return NULL;
        }
    }
    return text;
}

static bool put_text(int fd, const char *text, size_t size)
{
    return lseek(fd, 0, SEEK_SET) == 0 && write_all(fd, text, size) &&
           ftruncate(fd, (off_t)size) == 0 && fsync(fd) == 0;
}

/* Over the old text, for a file that has other names too, that is another's or lies where nothing
 * can be made: the room that it takes is had before, and where it cannot be written the old text is
 * put back, so only who is killed in between leaves it torn. */
static bool write_over(const struct buf *b, const char *path, off_t old)
{
    int fd = open(path, O_RDWR | O_CLOEXEC), why = 0;
    char *was = fd >= 0 ? old_text(fd, (size_t)old) : NULL;
    if (!was)
        why = errno;
    else if ((off_t)b->n > old && (why = posix_fallocate(fd, 0, (off_t)b->n)) != 0)
        (void)!ftruncate(fd, old);
    else if (!put_text(fd, b->at, b->n)) {
        why = errno;
        put_text(fd, was, (size_t)old);
    }
    free(was);
    if (fd >= 0 && close(fd) != 0 && !why)
        why = errno;
    errno = why;
    return !why;
}

/* What a new file may be: as the person's umask says. */
static mode_t new_mode(bool runs)
{
    mode_t mask = umask(0);
    umask(mask);
    return (runs ? 0777 : 0666) & ~mask;
}

/* Where a new file goes: a link that leads to nothing yet goes on leading there. */
static bool follow_links(char *at, size_t size, const char *path)
{
    enum { MOST_LINKS = 40 };
    int n = snprintf(at, size, "%s", path);
    for (int i = 0; i < MOST_LINKS && n < (int)size; i++) {
        char to[PATH_MAX], here[PATH_MAX];
        ssize_t len = readlink(at, to, sizeof to - 1);
        if (len < 0)
            return true;
        to[len] = 0;
        const char *slash = *to == '/' ? NULL : strrchr(at, '/');
        n = snprintf(here, sizeof here, "%.*s%s", slash ? (int)(slash + 1 - at) : 0, at, to);
        if (n < (int)sizeof here)
            n = snprintf(at, size, "%s", here);
    }
    errno = n < (int)size ? ELOOP : ENAMETOOLONG;
    return false;
}

/* How a file is written. */
struct manner {
    bool synced, locked, runs;
};

/* Stages what goes to a path; what is written at once there (a device, a file with other names)
 * is written. */
static bool begin_whole(struct staged *s, const struct buf *b, const char *path, struct manner how)
{
    struct stat old;
    s->lock = -1;
    if (stat(path, &old) != 0) {
        const struct nature n = {.mode = new_mode(how.runs), .is_new = true};
        s->is_new = true;
        return follow_links(s->path, sizeof s->path, path) &&
               stage(s, b, &n, how.synced, how.locked);
    }
    if (!S_ISREG(old.st_mode))
        return write_through(b, path);
    /* a link goes on leading to the file that it leads to */
    if (!realpath(path, s->path) || access(s->path, W_OK) != 0)
        return false;
    const struct nature n = {old.st_mode & 0777, old.st_uid, old.st_gid, false};
    if (old.st_nlink == 1 && stage(s, b, &n, how.synced, how.locked))
        return true;
    return (old.st_nlink > 1 || errno == EACCES || errno == EPERM) &&
           write_over(b, s->path, old.st_size);
}

static bool write_whole(const struct buf *b, const char *path, bool synced)
{
    struct staged s = {.lock = -1};
    sigset_t before;
    file_clear(path);
    hold_signals(&before);
    bool ok = begin_whole(&s, b, path, (struct manner){.synced = synced, .locked = true}) &&
              put(&s, false);
    int why = errno;
    clear(&s);
    errno = why;
    release_signals(&before);
    return ok;
}

static bool same_folder(const char *a, const char *b)
{
    const char *slash = strrchr(a, '/');
    size_t n = slash ? (size_t)(slash + 1 - a) : 0;
    return !strncmp(a, b, n) && !strchr(b + n, '/');
}

/* Of many files only so many are kept open. */
enum { KEPT_OPEN = 128 };

/* Writes all beside their places. */
static bool begin_all(struct staged *list, const struct file_text *files, size_t count,
                      size_t *failed)
{
    for (size_t i = 0; i < count; i++) {
        const struct file_text *f = &files[i];
        *failed = i;
        if (!i || !same_folder(files[i - 1].path, f->path))
            file_clear(f->path);
        if (!begin_whole(&list[i], f->text, f->path,
                         (struct manner){f->synced, i < KEPT_OPEN, f->runs}))
            return false;
    }
    return true;
}

/* Puts all in their places; where one cannot be those before it are taken back. */
static bool put_all(struct staged *list, size_t count, size_t *failed)
{
    size_t n = 0;
    while (n < count && put(&list[n], true))
        n++;
    if (n == count)
        return true;
    int why = errno;
    *failed = n;
    while (n--)
        take_back(&list[n]);
    errno = why;
    return false;
}

bool file_write_all(const struct file_text *files, size_t count, size_t *failed)
{
    *failed = 0;
    struct staged *list = calloc(count ? count : 1, sizeof *list);
    if (!list)
        return false;
    for (size_t i = 0; i < count; i++)
        list[i].lock = -1;
    sigset_t before;
    hold_signals(&before);
    bool ok = begin_all(list, files, count, failed) && put_all(list, count, failed);
    int why = errno;
    for (size_t i = 0; i < count; i++)
        clear(&list[i]);
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
