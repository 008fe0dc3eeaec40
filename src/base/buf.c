#include "base/buf.h"
#include "base/arena.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

void buf_reserve(struct buf *b, size_t more)
{
    if (b->n + more + 1 <= b->cap)
        return;
    size_t cap = b->cap ? b->cap * 2 : 256;
    if (cap < b->n + more + 1)
        cap = b->n + more + 1;
    char *at = memory_grow(b->at, cap);
    if (!at)
        memory_missing();
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

const char *buf_text(struct buf *b)
{
    buf_reserve(b, 0);
    b->at[b->n] = 0;
    return b->at;
}

void buf_free(struct buf *b)
{
    memory_give(b->at);
    memset(b, 0, sizeof *b);
}
