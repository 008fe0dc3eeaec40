#include "base/utf8.h"

#include "base/buf.h"

#include <string.h>

uint32_t utf8_next(const char *text, const char *end, size_t *len)
{
    const unsigned char *p = (const unsigned char *)text;
    size_t left = (size_t)(end - text);
    *len = 1;
    if (p[0] < 0x80)
        return p[0];
    size_t n = p[0] >= 0xc2 && p[0] <= 0xdf   ? 2
               : (p[0] & 0xf0) == 0xe0        ? 3
               : p[0] >= 0xf0 && p[0] <= 0xf4 ? 4
                                              : 0;
    if (!n || n > left)
        return UTF8_BAD;
    uint32_t c = p[0] & (0x7fu >> n);
    for (size_t i = 1; i < n; i++) {
        if ((p[i] & 0xc0) != 0x80)
            return UTF8_BAD;
        c = c << 6 | (p[i] & 0x3fu);
    }
    if ((n == 3 && c < 0x800) || (n == 4 && c < 0x10000) || c > 0x10ffff ||
        (c >= 0xd800 && c <= 0xdfff))
        return UTF8_BAD;
    *len = n;
    return c;
}

struct range {
    uint32_t first, last;
};

/* Ranges of Unicode's East Asian Width W and F, and of general category Mn/Me/Cf, coarse: enough to
 * put a caret under a character. */
static const struct range wide[] = {
    {0x1100, 0x115f},   {0x231a, 0x231b},   {0x2329, 0x232a},   {0x23e9, 0x23ec},
    {0x2e80, 0x303e},   {0x3041, 0xa4cf},   {0xa960, 0xa97f},   {0xac00, 0xd7a3},
    {0xf900, 0xfaff},   {0xfe30, 0xfe6f},   {0xff00, 0xff60},   {0xffe0, 0xffe6},
    {0x17000, 0x18cff}, {0x1b000, 0x1b2ff}, {0x1f200, 0x1f64f}, {0x1f680, 0x1f6ff},
    {0x1f900, 0x1faff}, {0x20000, 0x3fffd},
};
static const struct range none[] = {
    {0x0300, 0x036f}, {0x0483, 0x0489}, {0x0591, 0x05bd}, {0x0610, 0x061a}, {0x064b, 0x065f},
    {0x1ab0, 0x1aff}, {0x1dc0, 0x1dff}, {0x200b, 0x200f}, {0x202a, 0x202e}, {0x2060, 0x2064},
    {0x20d0, 0x20ff}, {0xfe00, 0xfe0f}, {0xfe20, 0xfe2f}, {0xfeff, 0xfeff}, {0xe0100, 0xe01ef},
};

static int within(const struct range *r, size_t n, uint32_t c)
{
    for (size_t i = 0; i < n && c >= r[i].first; i++)
        if (c <= r[i].last)
            return 1;
    return 0;
}

void utf8_put_masked(struct buf *out, const char *text)
{
    size_t len = strlen(text);
    buf_reserve(out, UTF8_MASKED(len) + 1);
    out->n = (size_t)(utf8_mask(out->at + out->n, text, len) - out->at);
}

unsigned utf8_width(uint32_t c)
{
    if (c < 0x300)
        return 1;
    if (within(none, sizeof none / sizeof *none, c))
        return 0;
    return within(wide, sizeof wide / sizeof *wide, c) ? 2 : 1;
}

/* How many bytes from `p` on are letters of one cell each: no tab, nothing beyond ASCII. Eight are
 * looked at together. */
static size_t plain(const char *p, size_t len)
{
    static const uint64_t each = 0x0101010101010101u;
    size_t n = 0;
    for (uint64_t word; n + sizeof word <= len; n += sizeof word) {
        memcpy(&word, p + n, sizeof word);
        uint64_t tab = word ^ each * '\t'; /* a zero byte where there is a tab */
        if ((word | ((tab - each) & ~tab)) & each << 7)
            break;
    }
    while (n < len && (unsigned char)p[n] < 0x80 && p[n] != '\t')
        n++;
    return n;
}

size_t utf8_cells(const char *p, size_t len, size_t from)
{
    const char *end = p + len;
    size_t easy = plain(p, len), cell = from + easy;
    for (p += easy; p < end;) {
        size_t n;
        uint32_t c = utf8_next(p, end, &n);
        cell += c == '\t' ? 8 - cell % 8 : c == UTF8_BAD ? 1 : utf8_width(c);
        p += n;
    }
    return cell - from;
}

size_t utf8_count(const char *p, size_t len)
{
    size_t count = 0;
    for (const char *end = p + len; p < end; count++) {
        size_t n;
        utf8_next(p, end, &n);
        p += n;
    }
    return count;
}

bool utf8_is_hidden(uint32_t c)
{
    return (c < 0x20 && c != '\t' && c != '\n') || (c >= 0x7f && c <= 0x9f) ||
           (c >= 0x202a && c <= 0x202e) || (c >= 0x2066 && c <= 0x2069) || c == 0x2028 ||
           c == 0x2029 || c == 0xfffe || c == 0xffff;
}

char *utf8_mask(char *out, const char *p, size_t len)
{
    static const char instead[] = "\xef\xbf\xbd";
    size_t n;
    for (const char *end = p + len; p < end; p += n) {
        uint32_t c = utf8_next(p, end, &n);
        bool masked = c == UTF8_BAD || utf8_is_hidden(c);
        memcpy(out, masked ? instead : p, masked ? 3 : n);
        out += masked ? 3 : n;
    }
    *out = '\0';
    return out;
}
