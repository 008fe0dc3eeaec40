#define _GNU_SOURCE /* memmem */
#include "lsp/read.h"

#include "base/buf.h"

#include <jansson.h>
#include <string.h>

/* --- surrogates --------------------------------------------------------------------------- */

/* The unit of \uXXXX at `p`, or -1. */
static int unit_at(const char *p, const char *end)
{
    int unit = 0;
    if (end - p < 6 || p[0] != '\\' || p[1] != 'u')
        return -1;
    for (int i = 2; i < 6; i++) {
        const char *digits = "0123456789abcdef0123456789ABCDEF",
                   *at = p[i] ? strchr(digits, p[i]) : NULL;
        if (!at)
            return -1;
        unit = unit * 16 + (int)(at - digits) % 16;
    }
    return unit;
}

static bool is_high(int unit)
{
    return unit >= 0xd800 && unit < 0xdc00;
}

static bool is_low(int unit)
{
    return unit >= 0xdc00 && unit < 0xe000;
}

/* Copies the text, U+FFFD for each surrogate that stands alone. */
static void put_whole_pairs(struct buf *out, const char *p, const char *end)
{
    buf_reserve(out, (size_t)(end - p));
    while (p < end) {
        const char *next = memchr(p, '\\', (size_t)(end - p));
        buf_add(out, p, (size_t)((next ? next : end) - p));
        if (!next)
            return;
        int unit = unit_at(next, end);
        size_t taken = unit >= 0 ? 6 : end - next > 1 ? 2 : 1;
        if (is_high(unit) && is_low(unit_at(next + 6, end)))
            taken = 12;
        else if (is_high(unit) || is_low(unit)) {
            buf_puts(out, "\\ufffd");
            p = next + taken;
            continue;
        }
        buf_add(out, next, taken);
        p = next + taken;
    }
}

static bool may_have_surrogates(const char *text, size_t size)
{
    return memmem(text, size, "\\ud", 3) || memmem(text, size, "\\uD", 3);
}

json_in read_json(const char *text, size_t size)
{
    static const size_t flags = JSON_ALLOW_NUL | JSON_DECODE_ANY;
    if (!may_have_surrogates(text, size))
        return json_loadb(text, size, flags, NULL);
    struct buf whole = {0};
    put_whole_pairs(&whole, text, text + size);
    json_in value = json_loadb(whole.at, whole.n, flags, NULL);
    buf_free(&whole);
    return value;
}

void read_free(json_in value)
{
    json_decref((json_t *)value);
}

/* --- values ------------------------------------------------------------------------------- */

json_in read_member(json_in object, const char *name)
{
    return json_object_get(object, name);
}

json_in read_path(json_in object, const char *path)
{
    while (*path) {
        size_t n = strcspn(path, ".");
        object = json_object_getn(object, path, n);
        path += n + (path[n] == '.');
    }
    return object;
}

uint32_t read_count(json_in array)
{
    return (uint32_t)json_array_size(array);
}

json_in read_at(json_in array, uint32_t i)
{
    return json_array_get(array, i);
}

bool read_is_object(json_in value)
{
    return json_is_object(value);
}

bool read_is_array(json_in value)
{
    return json_is_array(value);
}

bool read_is_null(json_in value)
{
    return json_is_null(value);
}

const char *read_text(json_in value)
{
    return json_string_value(value);
}

size_t read_size(json_in text)
{
    return json_string_length(text);
}

bool read_is_number(json_in value)
{
    return json_is_integer(value);
}

int64_t read_number(json_in value, int64_t otherwise)
{
    return json_is_integer(value) ? json_integer_value(value) : otherwise;
}

bool read_is_true(json_in value)
{
    return json_is_true(value);
}

bool read_is_same(json_in a, json_in b)
{
    return json_equal(a, b);
}
