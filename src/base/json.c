#include "base/json.h"

#include "base/utf8.h"

#include <string.h>

/* How many of the next bytes stand for themselves. */
static size_t plain_bytes(const char *text, const char *end)
{
    const char *p = text;
    while (p < end && *p >= 0x20 && *p < 0x7f && *p != '"' && *p != '\\')
        p++;
    return (size_t)(p - text);
}

static void quote(struct buf *b, const char *text)
{
    buf_putc(b, '"');
    const char *end = text + strlen(text);
    while (text < end) {
        size_t len = plain_bytes(text, end);
        if (len) {
            buf_add(b, text, len);
            text += len;
            continue;
        }
        uint32_t c = utf8_next(text, end, &len);
        if (c == '"' || c == '\\')
            buf_printf(b, "\\%c", (char)c);
        else if (c == '\n')
            buf_puts(b, "\\n");
        else if (c == '\t')
            buf_puts(b, "\\t");
        else if (c < 0x20 || c == 0x7f)
            buf_printf(b, "\\u%04x", (unsigned)c);
        else if (c == UTF8_BAD)
            buf_puts(b, "\xef\xbf\xbd");
        else
            buf_add(b, text, len);
        text += len;
    }
    buf_putc(b, '"');
}

static uint64_t bit(const struct json *j)
{
    return (uint64_t)1 << (j->depth - 1);
}

static void new_line(struct json *j, unsigned blanks)
{
    buf_putc(j->out, '\n');
    buf_fill(j->out, ' ', blanks);
}

/* What stands before a member of the innermost container. */
static void separate(struct json *j)
{
    if (!j->depth)
        return;
    bool first = !(j->filled & bit(j));
    j->filled |= bit(j);
    buf_puts(j->out, first ? "" : ",");
    if (j->lines & bit(j))
        new_line(j, j->margin);
    else if (j->broken)
        new_line(j, j->margin + 1);
    else
        buf_puts(j->out, first ? "" : " ");
    j->broken = false;
}

struct json json_begin(struct buf *out)
{
    return (struct json){.out = out};
}

struct buf *json_value(struct json *j)
{
    if (!j->keyed)
        separate(j);
    j->keyed = false;
    return j->out;
}

void json_key(struct json *j, const char *name)
{
    separate(j);
    quote(j->out, name);
    buf_puts(j->out, ": ");
    j->keyed = true;
}

static void open_container(struct json *j, enum json_layout layout, bool array)
{
    buf_putc(json_value(j), array ? '[' : '{');
    j->depth++;
    uint64_t at = bit(j);
    j->arrays = array ? j->arrays | at : j->arrays & ~at;
    j->lines = layout == JSON_LINES ? j->lines | at : j->lines & ~at;
    j->filled &= ~at;
    j->margin += layout == JSON_LINES ? 2 : 0;
}

void json_begin_object(struct json *j, enum json_layout layout)
{
    open_container(j, layout, false);
}

void json_begin_array(struct json *j, enum json_layout layout)
{
    open_container(j, layout, true);
}

void json_end(struct json *j)
{
    uint64_t at = bit(j);
    j->margin -= j->lines & at ? 2 : 0;
    if (j->lines & at && j->filled & at)
        new_line(j, j->margin);
    buf_putc(j->out, j->arrays & at ? ']' : '}');
    j->depth--;
}

void json_break(struct json *j)
{
    j->broken = true;
}

void json_text(struct json *j, const char *text)
{
    struct buf *out = json_value(j);
    if (text)
        quote(out, text);
    else
        buf_puts(out, "null");
}

static void write_integer(struct json *j, int64_t n)
{
    buf_printf(json_value(j), "%lld", (long long)n);
}

static void write_bool(struct json *j, bool truth)
{
    buf_puts(json_value(j), truth ? "true" : "false");
}

void json_string_member(struct json *j, const char *name, const char *text)
{
    json_key(j, name);
    json_text(j, text);
}

void json_integer_member(struct json *j, const char *name, int64_t n)
{
    json_key(j, name);
    write_integer(j, n);
}

void json_bool_member(struct json *j, const char *name, bool truth)
{
    json_key(j, name);
    write_bool(j, truth);
}

void json_texts_member(struct json *j, const char *name, const char *const *texts, uint32_t count)
{
    json_key(j, name);
    json_begin_array(j, JSON_ROW);
    for (uint32_t i = 0; i < count; i++)
        json_text(j, texts[i]);
    json_end(j);
}
