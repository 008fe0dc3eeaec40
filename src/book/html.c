#include "book/html.h"

#include "base/utf8.h"

#include <stdarg.h>
#include <string.h>

static void put_escaped(struct buf *out, const char *text)
{
    const char *end = text + strlen(text);
    size_t len;
    for (; text < end; text += len) {
        uint32_t c = utf8_next(text, end, &len);
        const char *as = c == '&'                             ? "&amp;"
                         : c == '<'                           ? "&lt;"
                         : c == '>'                           ? "&gt;"
                         : c == '"'                           ? "&quot;"
                         : c == '\''                          ? "&#39;"
                         : c == '\n' || c == '\t'             ? " "
                         : c == UTF8_BAD || utf8_is_hidden(c) ? "\xef\xbf\xbd"
                                                              : NULL;
        if (as)
            buf_puts(out, as);
        else
            buf_add(out, text, len);
    }
}

static bool is_plain(char c)
{
    return (c >= '0' && c <= '9') || ((c | 32) >= 'a' && (c | 32) <= 'z') ||
           (c && strchr(".:-_~", c));
}

const char *html_anchor(struct arena *arena, const char *name)
{
    char *id = arena_copy(arena, name, strlen(name));
    for (char *p = id; *p; p++)
        *p = is_plain(*p) ? *p : '_';
    return id;
}

const char *html_address(struct arena *arena, const char *name)
{
    return arena_printf(arena, "#%s", html_anchor(arena, name));
}

/* Whether a text may run from the right, or turn what stands beside it round: the first letters
 * that do are those of Hebrew, and the marks of direction stand behind them. */
static bool may_turn(const char *text)
{
    const char *end = text + strlen(text);
    size_t len;
    for (; text < end; text += len)
        if (utf8_next(text, end, &len) >= 0x590)
            return true;
    return false;
}

static void put_text(struct buf *out, char form, const char *text)
{
    if (!text)
        return;
    if (form == 'm') {
        buf_puts(out, text);
        return;
    }
    bool apart = form == 'a' && may_turn(text);
    buf_puts(out, apart ? "<bdi>" : form == 'h' ? "#" : "");
    put_escaped(out, text);
    buf_puts(out, apart ? "</bdi>" : "");
}

void html_put(struct buf *out, const char *form, ...)
{
    va_list args;
    va_start(args, form);
    for (const char *p = form; *p;) {
        size_t plain = strcspn(p, "%");
        buf_add(out, p, plain);
        p += plain;
        if (!*p)
            break;
        if (p[1] == 'u')
            buf_printf(out, "%u", va_arg(args, uint32_t));
        else
            put_text(out, p[1], va_arg(args, const char *));
        p += 2;
    }
    va_end(args);
}
