/* Widths of letters, in thousandths of the font's size: the metrics of Helvetica and Helvetica-Bold
 * from the core fonts' AFM files, which Arial, Liberation Sans and Nimbus Sans keep. */
#include "emit/canvas.h"

#include "base/utf8.h"

#include <string.h>

enum { FIRST = 0x20, LAST = 0x7e, OTHER = 1000 };

static const uint16_t regular[LAST - FIRST + 1] = {
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333,  278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667,
    611, 778, 722, 278, 500, 667, 556, 833, 722, 778, 667, 778, 722, 667,  611, 722, 667, 944, 667,
    667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556, 556, 278,  556, 556, 222, 222, 500,
    222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500,  500, 334, 260, 334, 584,
};

static const uint16_t bold_face[LAST - FIRST + 1] = {
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556,
    556, 556, 556, 556, 556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667,
    611, 778, 722, 278, 556, 722, 611, 833, 722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667,
    667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556,
    278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389, 280, 389, 584,
};

static coord letter_width(uint32_t letter, coord size, bool bold)
{
    unsigned width = letter >= FIRST && letter <= LAST
                         ? (bold ? bold_face : regular)[letter - FIRST]
                         : OTHER * (letter == UTF8_BAD ? 1 : utf8_width(letter));
    return (coord)((int64_t)size * width / 1000);
}

size_t text_fitting(const char *text, coord size, bool bold, coord width)
{
    const char *p = text, *end = text + strlen(text);
    coord used = 0;
    while (p < end) {
        size_t len;
        used += letter_width(utf8_next(p, end, &len), size, bold);
        if (used > width)
            break;
        p += len;
    }
    return (size_t)(p - text);
}

coord text_width(const char *text, coord size, bool bold)
{
    const char *p = text, *end = text + strlen(text);
    coord width = 0;
    while (p < end) {
        size_t len;
        width += letter_width(utf8_next(p, end, &len), size, bold);
        p += len;
    }
    return width;
}
