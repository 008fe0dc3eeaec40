#include "base/buf.h"

#include "base/utf8.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

void buf_reserve(struct buf *b, size_t more)
{
    if (b->n + more + 1 <= b->cap)
        return;
    size_t cap = b->cap ? b->cap * 2 : 256;
    if (cap < b->n + more + 1)
        cap = b->n + more + 1;
    char *at = realloc(b->at, cap);
    if (!at)
        abort();
    b->at = at;
    b->cap = cap;
}

void buf_add(struct buf *b, const void *bytes, size_t len)
{
    buf_reserve(b, len);
    if (len)
        memcpy(b->at + b->n, bytes, len);
    b->n += len;
}

void buf_puts(struct buf *b, const char *text)
{
    buf_add(b, text, strlen(text));
}

void buf_putc(struct buf *b, char c)
{
    buf_add(b, &c, 1);
}

void buf_fill(struct buf *b, char c, size_t count)
{
    buf_reserve(b, count);
    memset(b->at + b->n, c, count);
    b->n += count;
}

void buf_printf(struct buf *b, const char *format, ...)
{
    va_list args, again;
    va_start(args, format);
    va_copy(again, args);
    size_t room = b->cap - b->n;
    int n = vsnprintf(room ? b->at + b->n : NULL, room, format, args); /* mostly it fits */
    va_end(args);
    if (n > 0 && (size_t)n >= room) {
        buf_reserve(b, (size_t)n);
        vsnprintf(b->at + b->n, (size_t)n + 1, format, again);
    }
    b->n += n > 0 ? (size_t)n : 0;
    va_end(again);
}

void buf_json(struct buf *b, const char *text)
{
    buf_putc(b, '"');
    const char *end = text + strlen(text);
    while (text < end) {
        size_t len;
        uint32_t c = utf8_next(text, end, &len);
        if (c == '"' || c == '\\')
            buf_printf(b, "\\%c", (char)c);
        else if (c == '\n')
            buf_puts(b, "\\n");
        else if (c == '\t')
            buf_puts(b, "\\t");
        else if (c < 0x20 || c == 0x7f)
            buf_printf(b, "\\u%04x", (unsigned)c);
        else if (c == UTF8_BAD)
            buf_puts(b, "\xef\xbf\xbd");
        else
            buf_add(b, text, len);
        text += len;
    }
    buf_putc(b, '"');
}

void buf_xml(struct buf *b, const char *text)
{
    const char *end = text + strlen(text);
    while (text < end) {
        size_t len;
        uint32_t c = utf8_next(text, end, &len);
        switch (c) {
        case '&':
            buf_puts(b, "&amp;");
            break;
        case '<':
            buf_puts(b, "&lt;");
            break;
        case '>':
            buf_puts(b, "&gt;");
            break;
        case '"':
            buf_puts(b, "&quot;");
            break;
        case '\'':
            buf_puts(b, "&#39;");
            break;
        default:
            if (c == UTF8_BAD || (c < 0x20 && c != '\n' && c != '\t') || c == 0xfffe || c == 0xffff)
                buf_puts(b, "\xef\xbf\xbd");
            else
                buf_add(b, text, len);
        }
        text += len;
    }
}

const char *buf_text(struct buf *b)
{
    buf_reserve(b, 0);
    b->at[b->n] = 0;
    return b->at;
}

void buf_free(struct buf *b)
{
    free(b->at);
    memset(b, 0, sizeof *b);
}

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

/* Writes beside the file and renames. */
static bool replace_file(const struct buf *b, const char *path, mode_t mode, bool synced)
{
    char name[PATH_MAX];
    if (snprintf(name, sizeof name, "%s.XXXXXX", path) >= (int)sizeof name) {
        errno = ENAMETOOLONG;
        return false;
    }
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

static bool write_file(const struct buf *b, const char *path, bool synced)
{
    struct stat old;
    if (stat(path, &old) != 0)
        return replace_file(b, path, 0644, synced);
    if (!S_ISREG(old.st_mode))
        return write_through(b, path);
    char real[PATH_MAX]; /* a link goes on leading to the file that it leads to */
    return realpath(path, real) && access(real, W_OK) == 0 &&
           replace_file(b, real, old.st_mode & 0777, synced);
}

bool buf_write_file(const struct buf *b, const char *path)
{
    return write_file(b, path, false);
}

bool buf_save_file(const struct buf *b, const char *path)
{
    return write_file(b, path, true);
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

bool buf_read_file(struct buf *b, const char *path, size_t limit)
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
    if (buf_read_file(&b, path, limit)) {
        bytes = arena_copy(arena, b.n ? b.at : "", b.n);
        *size = b.n;
    }
    int why = errno;
    buf_free(&b);
    errno = why;
    return bytes;
}

char *arena_read_file(struct arena *arena, const char *path, size_t limit, size_t *size)
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
