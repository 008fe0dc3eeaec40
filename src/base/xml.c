#include "base/xml.h"

#include "base/utf8.h"

#include <stdint.h>
#include <string.h>
#include <stdlib.h>

void xml_text(struct buf *b, const char *text)
{
    const char *end = text + strlen(text);
    while (text < end) {
        size_t len;
        uint32_t c = utf8_next(text, end, &len);
        switch (c) {
        case '&':
            buf_puts(b, "&amp;");
            break;
        case '<':
            buf_puts(b, "&lt;");
            break;
        case '>':
            buf_puts(b, "&gt;");
            break;
        case '"':
            buf_puts(b, "&quot;");
            break;
        case '\'':
            buf_puts(b, "&#39;");
            break;
        default:
            if (c == UTF8_BAD || (c < 0x20 && c != '\n' && c != '\t') || c == 0xfffe || c == 0xffff)
                buf_puts(b, "\xef\xbf\xbd");
            else
                buf_add(b, text, len);
        }
        text += len;
    }
}

void xml_thousandths(struct buf *out, int64_t value)
{
    buf_printf(out, "%s%lld", value < 0 ? "-" : "", (long long)(llabs(value) / 1000));
    int rest = (int)(llabs(value) % 1000);
    if (!rest)
        return;
    char text[8];
    int places = 3;
    while (rest % 10 == 0) {
        rest /= 10;
        places--;
    }
    text[places] = '\0';
    for (int i = places; i-- > 0; rest /= 10)
        text[i] = (char)('0' + rest % 10);
    buf_printf(out, ".%s", text);
}
