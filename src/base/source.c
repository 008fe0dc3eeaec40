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

struct position source_position(struct arena *arena, struct source *s, uint32_t off)
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
    const char *start = s->bytes + s->lines[low];
    size_t len = off - s->lines[low];
    if (low == 0 && len >= 3 && !memcmp(start, "\xef\xbb\xbf", 3)) {
        start += 3; /* a byte-order mark takes no column */
        len -= 3;
    }
    return (struct position){low + 1, (uint32_t)utf8_count(start, len) + 1, (uint32_t)utf8_cells(start, len, 0) + 1};
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
