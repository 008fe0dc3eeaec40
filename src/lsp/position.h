/* Places of a text as the protocol counts them (LSP 3.17, "Position"): lines from 0, which end with
 * \n, \r\n or \r, and in the line units of the encoding that was agreed on. All else counts bytes.
 */
#ifndef STUDBAY_LSP_POSITION_H
#define STUDBAY_LSP_POSITION_H

#include "base/arena.h"

enum encoding { ENCODE_UTF16, ENCODE_UTF8, ENCODE_UTF32, ENCODINGS };

/* "utf-16", ... in the order of enum encoding. */
extern const char *const encoding_names[ENCODINGS];

/* A text and where its lines begin. */
struct line_table {
    const char *text;
    size_t size;
    enum encoding encoding;
    VEC(uint32_t) starts;
    size_t
        known_off; /* of the last place asked for: the next one on its line is reckoned from it */
    uint32_t known_line, known_units;
};

struct place_in_text {
    uint32_t line, units;
};

/* The text must stay where it is as long as the table is used. */
void line_table_make(struct line_table *t, struct arena *arena, const char *text, size_t size,
                     enum encoding encoding);

/* Where the byte at `off` stands; what lies behind the end is the end. A byte inside a character
 * stands where the character does, one of the end of a line where that begins. */
struct place_in_text line_table_place(struct line_table *t, size_t off);

/* The byte at a place; behind the end of a line is its end, behind the last line the end of the
 * text. Inside a character (between surrogates) is its start. */
size_t line_table_offset(const struct line_table *t, struct place_in_text place);

/* Units of `len` bytes, which begin and end with characters; a byte that is no UTF-8 is one. */
size_t encoding_units(enum encoding encoding, const char *text, size_t len);

#endif
