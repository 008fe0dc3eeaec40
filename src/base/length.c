#include "base/length.h"

void length_print(struct buf *b, length l)
{
    const length part = INCH / 64;
    if (l < 0) {
        buf_putc(b, '-');
        l = -l;
    }
    int64_t n = (l + part / 2) / part, feet = n / (12 * 64), inches = n / 64 % 12, over = n % 64;
    int64_t under = 64;
    while (over && over % 2 == 0) {
        over /= 2;
        under /= 2;
    }
    if (feet)
        buf_printf(b, "%lld'", (long long)feet);
    if (!feet && !inches && !over) {
        buf_puts(b, "0'");
        return;
    }
    if (!inches && !over)
        return;
    if (feet)
        buf_putc(b, '-');
    if (inches || (feet && over))
        buf_printf(b, "%lld%s", (long long)inches, over ? " " : "");
    if (over)
        buf_printf(b, "%lld/%lld", (long long)over, (long long)under);
    buf_putc(b, '"');
}

void length_print_inches(struct buf *b, length l)
{
    const length step = INCH / 64;
    length n = (l < 0 ? -l : l) + step / 2;
    length whole = n / INCH, part = n % INCH / step * step;
    buf_puts(b, l < 0 ? "-" : "");
    if (!part || whole)
        buf_printf(b, "%lld%s", (long long)whole, part ? " " : "\"");
    if (part)
        length_print(b, part);
}

length length_eighths(length l)
{
    return (l < 0 ? l - EIGHTH / 2 : l + EIGHTH / 2) / EIGHTH * EIGHTH;
}

static const char *words(struct arena *arena, length l, void (*print)(struct buf *, length))
{
    struct buf b = {0};
    print(&b, l);
    const char *text = arena_copy(arena, b.at, b.n);
    buf_free(&b);
    return text;
}

const char *length_words(struct arena *arena, length l)
{
    return words(arena, l, length_print);
}

const char *length_inch_words(struct arena *arena, length l)
{
    return words(arena, l, length_print_inches);
}
