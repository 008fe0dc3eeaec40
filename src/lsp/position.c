#include "lsp/position.h"

#include "base/utf8.h"

#include <string.h>

const char *const encoding_names[ENCODINGS] = {"utf-16", "utf-8", "utf-32"};

enum { FIRST_WITH_SURROGATES = 0x10000 };

static size_t units_of(enum encoding encoding, uint32_t c, size_t bytes)
{
    if (encoding == ENCODE_UTF8)
        return bytes;
    return encoding == ENCODE_UTF16 && c != UTF8_BAD && c >= FIRST_WITH_SURROGATES ? 2 : 1;
}

/* Bytes at `p` that are no more than ASCII, eight at a time. */
static size_t plain_bytes(const char *p, size_t len)
{
    size_t n = 0;
    for (uint64_t eight; n + sizeof eight <= len; n += sizeof eight) {
        memcpy(&eight, p + n, sizeof eight);
        if (eight & 0x8080808080808080u)
            break;
    }
    return n;
}

size_t encoding_units(enum encoding encoding, const char *text, size_t len)
{
    size_t units = 0;
    for (const char *end = text + len; text < end;) {
        size_t n = plain_bytes(text, (size_t)(end - text));
        units += n;
        text += n;
        if (text == end)
            break;
        uint32_t c = utf8_next(text, end, &n);
        units += units_of(encoding, c, n);
        text += n;
    }
    return units;
}

/* --- lines -------------------------------------------------------------------------------- */

static const char *line_break(const char *p, const char *end)
{
    const char *feed = memchr(p, '\n', (size_t)(end - p)),
               *back = memchr(p, '\r', (size_t)((feed ? feed : end) - p));
    return back ? back : feed;
}

void line_table_make(struct line_table *t, struct arena *arena, const char *text, size_t size,
                     enum encoding encoding)
{
    *t = (struct line_table){.text = text, .size = size, .encoding = encoding};
    *vec_push(arena, &t->starts) = 0;
    if (!size)
        return;
    for (const char *end = text + size, *p = text; (p = line_break(p, end));) {
        p += *p == '\r' && p + 1 < end && p[1] == '\n' ? 2 : 1;
        *vec_push(arena, &t->starts) = (uint32_t)(p - text);
    }
}

static uint32_t line_of(const struct line_table *t, size_t off)
{
    uint32_t low = 0, high = t->starts.n;
    while (high - low > 1) {
        uint32_t middle = (low + high) / 2;
        if (t->starts.at[middle] <= off)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* Where the line ends, without what ends it. */
static size_t line_end(const struct line_table *t, uint32_t line)
{
    if (line + 1 >= t->starts.n)
        return t->size;
    size_t end = t->starts.at[line + 1] - 1;
    return t->text[end] == '\n' && end > t->starts.at[line] && t->text[end - 1] == '\r' ? end - 1
                                                                                        : end;
}

struct place_in_text line_table_place(struct line_table *t, size_t off)
{
    if (off > t->size)
        off = t->size;
    uint32_t line = line_of(t, off);
    size_t end = line_end(t, line), from = t->starts.at[line], units = 0;
    if (off > end)
        off = end;
    if (t->known_line == line && t->known_off >= from && t->known_off <= off) {
        from = t->known_off;
        units = t->known_units;
    }
    while (off > from && off < t->size && ((unsigned char)t->text[off] & 0xc0) == 0x80)
        off--;
    units += encoding_units(t->encoding, t->text + from, off - from);
    t->known_off = off;
    t->known_line = line;
    t->known_units = (uint32_t)units;
    return (struct place_in_text){line, (uint32_t)units};
}

size_t line_table_offset(const struct line_table *t, struct place_in_text place)
{
    if (place.line >= t->starts.n)
        return t->size;
    const char *p = t->text + t->starts.at[place.line], *end = t->text + line_end(t, place.line);
    for (size_t left = place.units; left && p < end;) {
        size_t n = plain_bytes(p, (size_t)(end - p));
        if (n > left)
            n = left;
        p += n;
        left -= n;
        if (!left || p == end)
            break;
        uint32_t c = utf8_next(p, end, &n);
        size_t units = units_of(t->encoding, c, n);
        if (units > left)
            break;
        p += n;
        left -= units;
    }
    return (size_t)(p - t->text);
}
