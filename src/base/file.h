/* Whole files, read and written. */
#ifndef STUDBAY_BASE_FILE_H
#define STUDBAY_BASE_FILE_H

#include "base/buf.h"

/* Writes the buffer to `path` under a temporary name beside it and renames it, so that a file is
 * whole or untouched; what a link leads to is written, not the link, and a device or pipe as it is.
 * False with errno set where it fails. */
bool file_write(const struct buf *b, const char *path);

/* The same for what cannot be made again: the disk has it before the old file goes. */
bool file_save(const struct buf *b, const char *path);

/* Reads a whole file, at most `limit` bytes. False with errno set; EFBIG where it is larger. A
 * directory is EISDIR. "-" is standard input. */
bool file_read(struct buf *b, const char *path, size_t limit);

/* The same straight into the arena, with a NUL behind the bytes; NULL with errno set. */
char *file_read_into(struct arena *arena, const char *path, size_t limit, size_t *size);

#endif
