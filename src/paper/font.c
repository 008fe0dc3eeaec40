#include "paper/font.h"

#include "base/utf8.h"

#include <string.h>

enum { FACES = 2, ASCII = 0x80 };

/* A table of a face's file. */
struct table {
    const uint8_t *at;
    size_t size;
};

struct face {
    struct table letters; /* the subtable of cmap for the Basic Multilingual Plane, format 4 */
    struct table widths;  /* hmtx */
    unsigned em, caps, width_count;
    uint16_t ascii[ASCII]; /* widths of the letters that most texts are made of */
};

struct fonts {
    struct face face[FACES];
};

/* What lies beyond a table's end reads as 0: the files are our own, yet nothing is read outside. */
static unsigned u16(struct table t, size_t at)
{
    return at + 2 <= t.size ? (unsigned)t.at[at] << 8 | t.at[at + 1] : 0;
}

static size_t u32(struct table t, size_t at)
{
    return (size_t)u16(t, at) << 16 | u16(t, at + 2);
}

static struct table part_of(struct table t, size_t from, size_t size)
{
    if (from > t.size)
        return (struct table){t.at, 0};
    return (struct table){t.at + from, size < t.size - from ? size : t.size - from};
}

/* The table of that tag in a file. */
static struct table table_of(struct table file, const char *tag)
{
    enum { HEAD = 12, ENTRY = 16 };
    unsigned count = u16(file, 4);
    for (unsigned i = 0; i < count; i++) {
        size_t at = HEAD + i * (size_t)ENTRY;
        if (at + ENTRY <= file.size && !memcmp(file.at + at, tag, 4))
            return part_of(file, u32(file, at + 8), u32(file, at + 12));
    }
    return (struct table){file.at, 0};
}

/* The Windows Unicode subtable (platform 3, encoding 1), which is of format 4. */
static struct table letters_of(struct table cmap)
{
    unsigned count = u16(cmap, 2);
    for (unsigned i = 0; i < count; i++) {
        size_t at = 4 + i * (size_t)8;
        if (u16(cmap, at) == 3 && u16(cmap, at + 2) == 1) {
            struct table t = part_of(cmap, u32(cmap, at + 4), cmap.size);
            return u16(t, 0) == 4 ? t : part_of(t, 0, 0);
        }
    }
    return part_of(cmap, 0, 0);
}

/* The glyph of a letter, 0 where the face has none: the search of format 4 through its segments. */
static unsigned glyph_of(const struct face *f, uint32_t letter)
{
    if (letter > 0xffff)
        return 0;
    unsigned segments = u16(f->letters, 6) / 2, low = 0, high = segments;
    while (low < high) {
        unsigned middle = (low + high) / 2;
        if (u16(f->letters, 14 + 2 * (size_t)middle) < letter)
            low = middle + 1;
        else
            high = middle;
    }
    size_t ends = 14, starts = ends + 2 * (size_t)segments + 2,
           deltas = starts + 2 * (size_t)segments, offsets = deltas + 2 * (size_t)segments,
           k = 2 * (size_t)low;
    unsigned start = u16(f->letters, starts + k), offset = u16(f->letters, offsets + k);
    if (low == segments || start > letter)
        return 0;
    unsigned delta = u16(f->letters, deltas + k);
    if (!offset)
        return (letter + delta) & 0xffff;
    unsigned glyph = u16(f->letters, offsets + k + offset + 2 * (size_t)(letter - start));
    return glyph ? (glyph + delta) & 0xffff : 0;
}

static unsigned glyph_width(const struct face *f, unsigned glyph)
{
    unsigned last = f->width_count ? f->width_count - 1 : 0;
    return u16(f->widths, 4 * (size_t)(glyph < last ? glyph : last));
}

static void read_face(struct face *f, struct font_file file)
{
    struct table all = {file.at, file.size}, head = table_of(all, "head"),
                 hhea = table_of(all, "hhea"), os2 = table_of(all, "OS/2");
    f->em = u16(head, 18);
    f->caps = u16(os2, 88);
    f->width_count = u16(hhea, 34);
    f->widths = table_of(all, "hmtx");
    f->letters = letters_of(table_of(all, "cmap"));
    for (uint32_t c = 0; c < ASCII; c++)
        f->ascii[c] = (uint16_t)glyph_width(f, glyph_of(f, c));
}

const struct fonts *fonts_read(struct arena *arena)
{
    struct fonts *fonts = arena_new(arena, struct fonts);
    for (int i = 0; i < FACES; i++)
        read_face(&fonts->face[i], fonts_file(i == 1));
    return fonts;
}

int64_t fonts_size(const struct fonts *fonts, bool bold, int64_t caps)
{
    const struct face *f = &fonts->face[bold];
    return (caps * f->em + f->caps / 2) / f->caps;
}

static unsigned letter_width(const struct face *f, uint32_t letter)
{
    return letter < ASCII ? f->ascii[letter] : glyph_width(f, glyph_of(f, letter));
}

int64_t fonts_width(const struct fonts *fonts, bool bold, int64_t size, const char *text)
{
    const struct face *f = &fonts->face[bold];
    const char *p = text, *end = text + strlen(text);
    int64_t units = 0;
    for (size_t len; p < end; p += len)
        units += letter_width(f, utf8_next(p, end, &len));
    return (units * size + f->em / 2) / f->em;
}

int64_t fonts_letter_width(const struct fonts *fonts, bool bold, int64_t size, uint32_t letter)
{
    const struct face *f = &fonts->face[bold];
    return (letter_width(f, letter) * size + f->em / 2) / f->em;
}

size_t fonts_fitting(const struct fonts *fonts, bool bold, int64_t size, int64_t width,
                     const char *text)
{
    const struct face *f = &fonts->face[bold];
    const char *p = text, *end = text + strlen(text);
    int64_t units = 0;
    for (size_t len; p < end; p += len) {
        units += letter_width(f, utf8_next(p, end, &len));
        if (units * size > width * f->em)
            break;
    }
    return (size_t)(p - text);
}

bool fonts_exceed(const struct fonts *fonts, bool bold, int64_t size, int64_t units, int64_t width)
{
    return units * size > width * fonts->face[bold].em;
}

int64_t fonts_units(const struct fonts *fonts, bool bold, const char *text, size_t len)
{
    int64_t units = 0;
    for (size_t n, at = 0; at < len; at += n)
        units += letter_width(&fonts->face[bold], utf8_next(text + at, text + len, &n));
    return units;
}

bool fonts_has(const struct fonts *fonts, bool bold, uint32_t letter)
{
    return glyph_of(&fonts->face[bold], letter) != 0;
}
