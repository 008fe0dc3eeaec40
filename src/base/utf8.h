/* UTF-8 read one character at a time, and how wide a character is on a terminal. */
#ifndef STUDBAY_BASE_UTF8_H
#define STUDBAY_BASE_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf;

#define UTF8_BAD 0xffffffffu

/* The character at `p` (p < end) and its length in bytes; UTF8_BAD and length 1 where the bytes are
 * no UTF-8 (overlong forms and surrogates included). */
uint32_t utf8_next(const char *p, const char *end, size_t *len);

/* Whether a character is nothing that one reads but does something to what is read: controls (C0
 * but tab and newline, DEL, C1), marks that turn the direction of what follows (Unicode Standard
 * Annex 9: U+202A to U+202E, U+2066 to U+2069), separators of lines and paragraphs, and what is no
 * character (U+FFFE, U+FFFF). */
bool utf8_is_hidden(uint32_t c);

/* The most bytes that utf8_mask writes for `len` bytes, without the NUL. */
#define UTF8_MASKED(len) (3 * (size_t)(len))

/* Copies `len` bytes with a NUL behind them; for each hidden character and each byte that is no
 * UTF-8 stands U+FFFD. Gives the end. */
char *utf8_mask(char *out, const char *p, size_t len);

/* The same of a text, appended. */
void utf8_put_masked(struct buf *out, const char *text);

/* Display cells of a character: 0 for combining marks, 2 for wide East Asian characters and emoji,
 * else 1. */
unsigned utf8_width(uint32_t c);

/* Display cells of `len` bytes, a bad byte counting one; tabs go to the next multiple of eight,
 * counted from cell `from` (from 0). */
size_t utf8_cells(const char *p, size_t len, size_t from);

/* Characters in `len` bytes, a bad byte counting one. */
size_t utf8_count(const char *p, size_t len);

#endif
