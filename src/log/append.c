/* Adding to the log file: append-only, whole lines in one write, kept by the disk before we say so.
 */
#include "log/log.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

/* Makes the name of a new file survive too; what a file system cannot do is no fault. */
static void keep_folder(struct arena *arena, const char *path)
{
    const char *slash = strrchr(path, '/');
    const char *folder = slash ? arena_copy(arena, path, (size_t)(slash + 1 - path)) : ".";
    int fd = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (fd < 0)
        return;
    (void)fsync(fd);
    close(fd);
}

/* Whether the last line has no end. The lock keeps other writers out between this look and the
 * write. */
static bool is_torn(int fd, off_t size)
{
    char last;
    return size > 0 && pread(fd, &last, 1, size - 1) == 1 && last != '\n';
}

/* A line that was torn may read like a whole one that says something else, so it is marked, not
 * mended. */
static const char *add(struct arena *arena, int fd, const struct buf *lines)
{
    struct stat st;
    while (flock(fd, LOCK_EX) && errno == EINTR)
        ;
    if (fstat(fd, &st))
        return strerror(errno);
    struct buf all = {0};
    if (is_torn(fd, st.st_size))
        buf_puts(&all, " #torn\n");
    buf_add(&all, lines->at, lines->n);
    ssize_t n;
    while ((n = write(fd, all.at, all.n)) < 0 && errno == EINTR)
        ;
    const char *failed = n < 0               ? strerror(errno)
                         : (size_t)n < all.n ? "the disk is full"
                         : fsync(fd)         ? strerror(errno)
                                             : NULL;
    buf_free(&all);
    return failed ? arena_printf(arena, "%s", failed) : NULL;
}

const char *log_append(struct arena *arena, const char *path, const struct buf *lines)
{
    bool is_new = access(path, F_OK) != 0;
    int fd = open(path, O_RDWR | O_APPEND | O_CREAT | O_CLOEXEC, 0644);
    if (fd < 0)
        return arena_printf(arena, "cannot open %s: %s", path, strerror(errno));
    const char *failed = add(arena, fd, lines);
    if (close(fd) && !failed)
        failed = strerror(errno);
    if (failed)
        return arena_printf(arena, "cannot write %s: %s", path, failed);
    if (is_new)
        keep_folder(arena, path);
    return NULL;
}
