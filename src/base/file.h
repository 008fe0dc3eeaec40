/* Whole files, read and written. */
#ifndef STUDBAY_BASE_FILE_H
#define STUDBAY_BASE_FILE_H

#include "base/buf.h"

/* Writes the buffer to `path` under a temporary name beside it and renames it, so that a file is
 * whole or untouched; what a link leads to is written, not the link, and a device or pipe as it is.
 * A file that has other names too, that is another's or lies in a folder where nothing can be made
 * is written over, so that it keeps names and owner. What a program that was killed meanwhile left
 * beside files of the folder is removed. False with errno set where it fails. */
bool file_write(const struct buf *b, const char *path);

/* The same for what cannot be made again: the disk has it before the old file goes. */
bool file_save(const struct buf *b, const char *path);

struct file_text {
    const char *path;
    const struct buf *text;
    bool runs;   /* a program: a new file may be run */
    bool synced; /* it cannot be made again: the disk has it before the old file goes */
};

/* Writes several files: all are written beside their places before the first is put in its own, and
 * where one cannot be put there those before it are taken back, so that all are changed or none.
 * False with errno set, `failed` the index of the file that could not be written. */
bool file_write_all(const struct file_text *files, size_t count, size_t *failed);

/* Removes what a program that was killed while it wrote files of the same folder left beside them.
 * Who writes does so by itself; for who has nothing to write this time. */
void file_clear(const char *path);

/* Reads a whole file, at most `limit` bytes. False with errno set; EFBIG where it is larger. A
 * directory is EISDIR. "-" is standard input. */
bool file_read(struct buf *b, const char *path, size_t limit);

/* The same straight into the arena, with a NUL behind the bytes; NULL with errno set. */
char *file_read_into(struct arena *arena, const char *path, size_t limit, size_t *size);

#endif
