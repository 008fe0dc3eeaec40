/* A growing byte buffer for output. Free it with buf_free. */
#ifndef STUDBAY_BASE_BUF_H
#define STUDBAY_BASE_BUF_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>

struct buf {
    char *at;
    size_t n, cap;
};

void buf_add(struct buf *b, const void *bytes, size_t len);
void buf_puts(struct buf *b, const char *text);
void buf_putc(struct buf *b, char c);
void buf_fill(struct buf *b, char c, size_t count);
void buf_printf(struct buf *b, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* `text` as a JSON string with its quotes; bytes that are no UTF-8 become U+FFFD. */
void buf_json(struct buf *b, const char *text);

/* `text` escaped for XML and HTML, in elements and quoted attributes; control characters become
 * U+FFFD. */
void buf_xml(struct buf *b, const char *text);

/* The bytes with a NUL behind them (not counted in n). */
const char *buf_text(struct buf *b);
void buf_free(struct buf *b);

/* Makes room for `more` bytes at once. */
void buf_reserve(struct buf *b, size_t more);

/* Writes the buffer to `path` under a temporary name beside it and renames it, so that a file is
 * whole or untouched; what a link leads to is written, not the link, and a device or pipe as it is.
 * False with errno set where it fails. */
bool buf_write_file(const struct buf *b, const char *path);

/* The same for what cannot be made again: the disk has it before the old file goes. */
bool buf_save_file(const struct buf *b, const char *path);

/* Reads a whole file, at most `limit` bytes. False with errno set; EFBIG where it is larger. A
 * directory is EISDIR. "-" is standard input. */
bool buf_read_file(struct buf *b, const char *path, size_t limit);

/* The same straight into the arena, with a NUL behind the bytes; NULL with errno set. */
char *arena_read_file(struct arena *arena, const char *path, size_t limit, size_t *size);

#endif
