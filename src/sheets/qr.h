/* QR codes (ISO/IEC 18004), by libqrencode. */
#ifndef STUDBAY_SHEETS_QR_H
#define STUDBAY_SHEETS_QR_H

#include "paper/paper.h"

struct qr {
    uint32_t side;        /* modules; 0: the text is too long for a code */
    const uint8_t *black; /* side * side, row by row: 1 where a module is black */
};

/* What a reader asks for as white round a code, in modules. */
enum { QR_QUIET = 4 };

/* The code of a text, its bytes as they are, which is read with up to 15 % of it lost. */
struct qr qr_of(struct arena *arena, const char *text);

/* Draws it as shapes, a row at a time, its upper left corner at (x, y). */
void qr_draw(struct sheet *s, um x, um y, um module, struct qr code);

#endif
