#include "base/source.h"

#include "base/utf8.h"

#include <string.h>

static void find_lines(struct arena *arena, struct source *s)
{
    uint32_t n = 1;
    for (const char *p = s->bytes, *end = p + s->size; (p = memchr(p, '\n', (size_t)(end - p)));
         p++)
        n++;
    s->lines = arena_array(arena, uint32_t, n);
    uint32_t i = 1;
    for (const char *p = s->bytes, *end = p + s->size; (p = memchr(p, '\n', (size_t)(end - p)));
         p++)
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

/* The columns (from 0) of a character. */
struct source_mark {
    uint32_t off, column, cell;
};

enum { MARK_STEP = 1024 };

static uint32_t skip_mark(const struct source *s)
{
    return s->size >= 3 && !memcmp(s->bytes, "\xef\xbb\xbf", 3)
               ? 3
               : 0; /* a byte-order mark takes no column */
}

/* Mark k is that of the first character at or behind k * MARK_STEP. */
static void find_marks(struct arena *arena, struct source *s)
{
    s->marks = arena_array(arena, struct source_mark, s->size / MARK_STEP + 1);
    const char *end = s->bytes + s->size;
    struct source_mark at = {skip_mark(s), 0, 0};
    uint32_t made = 0;
    for (size_t n; at.off < s->size; at.off += (uint32_t)n) {
        while (at.off >= made * MARK_STEP)
            s->marks[made++] = at;
        uint32_t c = utf8_next(s->bytes + at.off, end, &n);
        at.cell += (uint32_t)utf8_cells(s->bytes + at.off, n, at.cell);
        at.column++;
        if (c == '\n')
            at.column = at.cell = 0;
    }
    while (made <= s->size / MARK_STEP)
        s->marks[made++] = at;
}

struct position source_position(struct arena *arena, struct source *s, uint32_t off)
{
    uint32_t line = line_at(arena, s, off), start = s->lines[line];
    if (line == 0 && off >= skip_mark(s))
        start = skip_mark(s);
    struct source_mark from = {start, 0, 0};
    if (off - start > 2 * MARK_STEP) {
        if (!s->marks)
            find_marks(arena, s);
        const struct source_mark *mark = &s->marks[off / MARK_STEP - 1];
        if (mark->off > start)
            from = *mark;
    }
    const char *p = s->bytes + from.off;
    uint32_t len = off - from.off;
    return (struct position){line + 1, from.column + (uint32_t)utf8_count(p, len) + 1,
                             from.cell + (uint32_t)utf8_cells(p, len, from.cell) + 1};
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

void source_index(struct arena *arena, struct source *s)
{
    if (!s->lines)
        find_lines(arena, s);
    for (uint32_t i = 0; i < s->line_count && !s->marks; i++)
        if ((i + 1 < s->line_count ? s->lines[i + 1] : s->size) - s->lines[i] > 2 * MARK_STEP)
            find_marks(arena, s);
}
