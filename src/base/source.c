#include "base/source.h"

#include "base/utf8.h"

#include <string.h>

static void find_lines(struct arena *arena, struct source *s)
{
    uint32_t n = 1;
    for (const char *p = s->bytes, *end = p + s->size; (p = memchr(p, '\n', (size_t)(end - p))); p++)
        n++;
    s->lines = arena_array(arena, uint32_t, n);
    uint32_t i = 1;
    for (const char *p = s->bytes, *end = p + s->size; (p = memchr(p, '\n', (size_t)(end - p))); p++)
        s->lines[i++] = (uint32_t)(p + 1 - s->bytes);
    s->line_count = n;
}

/* Lines from 0. */
static uint32_t line_at(struct arena *arena, struct source *s, uint32_t off)
{
    if (!s->lines)
        find_lines(arena, s);
    uint32_t low = 0, high = s->line_count;
    while (high - low > 1) {
        uint32_t middle = (low + high) / 2;
        if (s->lines[middle] <= off)
            low = middle;
        else
            high = middle;
    }
    return low;
}

uint32_t source_line_number(struct arena *arena, struct source *s, uint32_t off)
{
    return line_at(arena, s, off) + 1;
}

struct position source_position(struct arena *arena, struct source *s, uint32_t off)
{
    uint32_t line = line_at(arena, s, off), start = s->lines[line];
    if (line == 0 && off >= 3 && !memcmp(s->bytes, "\xef\xbb\xbf", 3))
        start = 3; /* a byte-order mark takes no column */
    if (line != s->last.line || off < s->last.off || s->last.off < start) {
        s->last.line = line;
        s->last.off = start;
        s->last.column = s->last.cell = 0;
    }
    const char *from = s->bytes + s->last.off;
    size_t len = off - s->last.off;
    uint32_t column = s->last.column + (uint32_t)utf8_count(from, len), cell = s->last.cell + (uint32_t)utf8_cells(from, len, s->last.cell);
    if (off == s->size || ((unsigned char)s->bytes[off] & 0xc0) != 0x80) { /* not within a character */
        s->last.column = column;
        s->last.cell = cell;
        s->last.off = off;
    }
    return (struct position){line + 1, column + 1, cell + 1};
}

const char *source_line(struct arena *arena, struct source *s, uint32_t line, uint32_t *len)
{
    if (!s->lines)
        find_lines(arena, s);
    uint32_t start = s->lines[line - 1];
    uint32_t end = line < s->line_count ? s->lines[line] - 1 : s->size;
    if (end > start && s->bytes[end - 1] == '\r')
        end--;
    if (line == 1 && end - start >= 3 && !memcmp(s->bytes, "\xef\xbb\xbf", 3))
        start += 3;
    *len = end - start;
    return s->bytes + start;
}
