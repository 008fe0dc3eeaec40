#include "sheets/qr.h"

#include <qrencode.h>
#include <string.h>

struct qr qr_of(struct arena *arena, const char *text)
{
    enum { SMALLEST = 0, BLACK_BIT = 1 };
    struct qr code = {0};
    size_t len = strlen(text);
    QRcode *made =
        len ? QRcode_encodeData((int)len, (const unsigned char *)text, SMALLEST, QR_ECLEVEL_M)
            : NULL;
    if (!made)
        return code;
    uint32_t side = (uint32_t)made->width;
    uint8_t *black = arena_array(arena, uint8_t, (size_t)side * side);
    for (uint32_t i = 0; i < side * side; i++)
        black[i] = made->data[i] & BLACK_BIT;
    QRcode_free(made);
    code = (struct qr){side, black};
    return code;
}

/* Modules beside each other are one shape, so that no seam shows between them. */
void qr_draw(struct sheet *s, um x, um y, um module, struct qr code)
{
    struct pen black = {NO_INK, BLACK, 0, DASH_NONE};
    for (uint32_t row = 0; row < code.side; row++)
        for (uint32_t i = 0, n; i < code.side; i += n ? n : 1) {
            const uint8_t *at = code.black + (size_t)row * code.side;
            for (n = 0; i + n < code.side && at[i + n]; n++)
                ;
            um left = x + (um)i * module, top = y + (um)row * module;
            if (n)
                paper_rect(s, (struct area){left, top, left + (um)n * module, top + module}, 0,
                           black);
        }
}
