/* Exact lengths: whole numbers of 1/1,016,000 inch, which hold 64ths and thousandths of an inch,
 * thousandths of a foot and of a millimetre. */
#ifndef STUDBAY_BASE_LENGTH_H
#define STUDBAY_BASE_LENGTH_H

#include "base/arena.h"
#include "base/buf.h"

#include <stdint.h>

typedef int64_t length;

#define INCH       ((length)1016000)
#define FOOT       (12 * INCH)
#define EIGHTH     (INCH / 8) /* as finely as a tape is read on site */
#define MILLIMETRE ((length)40000)

static inline double length_feet(length l)
{
    return (double)l / (double)FOOT;
}

static inline double length_inches(length l)
{
    return (double)l / (double)INCH;
}

/* As a builder writes it: 4'-6 1/2", 16", 0'; what is no 64th is rounded to the nearest. */
void length_print(struct buf *b, length l);

/* In inches alone, as heights and spacings are named: 48 1/2", 16"; rounded as above. */
void length_print_inches(struct buf *b, length l);

/* To the nearest eighth of an inch, as finely as a tape is read on site. */
length length_eighths(length l);

/* The two as texts in the arena. */
const char *length_words(struct arena *arena, length l);
const char *length_inch_words(struct arena *arena, length l);

#endif
