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

/* The bytes with a NUL behind them (not counted in n). */
const char *buf_text(struct buf *b);
void buf_free(struct buf *b);

/* Makes room for `more` bytes at once. */
void buf_reserve(struct buf *b, size_t more);

#endif
