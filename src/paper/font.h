/* The two faces that are built in, Liberation Sans, regular and bold, by its own tables.
 *
 * Its widths are those of Helvetica and Arial, so that a text which a browser sets in one of these
 * is as wide. The OpenType specification (ISO/IEC 14496-22) has the tables. */
#ifndef STUDBAY_PAPER_FONT_H
#define STUDBAY_PAPER_FONT_H

#include "base/arena.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A face's file, as it is embedded. */
struct font_file {
    const uint8_t *at;
    size_t size;
};

struct fonts;

/* The tables of both faces, read for one document. */
const struct fonts *fonts_read(struct arena *arena);

struct font_file fonts_file(bool bold);

/* The size of the font whose capitals are `caps` high, in the same unit. */
int64_t fonts_size(const struct fonts *fonts, bool bold, int64_t caps);

/* How wide a text is at that size of the font, in the same unit, rounded once. What the face has no
 * letter for is as wide as its empty box. */
int64_t fonts_width(const struct fonts *fonts, bool bold, int64_t size, const char *text);

/* The same of one letter. */
int64_t fonts_letter_width(const struct fonts *fonts, bool bold, int64_t size, uint32_t letter);

/* Whether so many units of the face, of letters of that size, are wider than a width; the units of
 * a text of `len` bytes. */
bool fonts_exceed(const struct fonts *fonts, bool bold, int64_t size, int64_t units, int64_t width);
int64_t fonts_units(const struct fonts *fonts, bool bold, const char *text, size_t len);

/* The bytes of `text` that fit into `width`, at the end of a character. */
size_t fonts_fitting(const struct fonts *fonts, bool bold, int64_t size, int64_t width,
                     const char *text);

/* Whether the face has a letter for it. */
bool fonts_has(const struct fonts *fonts, bool bold, uint32_t letter);

#endif
