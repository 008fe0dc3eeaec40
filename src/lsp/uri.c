#include "lsp/uri.h"

#include "base/arena.h"

#include <limits.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static int digit(char c)
{
    return c >= '0' && c <= '9'   ? c - '0'
           : c >= 'a' && c <= 'f' ? c - 'a' + 10
           : c >= 'A' && c <= 'F' ? c - 'A' + 10
                                  : -1;
}

const char *uri_path(struct arena *arena, const char *uri)
{
    static const char scheme[] = "file://", here[] = "localhost";
    if (strncasecmp(uri, scheme, sizeof scheme - 1))
        return NULL;
    uri += sizeof scheme - 1;
    if (!strncasecmp(uri, here, sizeof here - 1))
        uri += sizeof here - 1;
    if (*uri != '/')
        return NULL;
    size_t n = strcspn(uri, "?#");
    char *path = arena_copy(arena, uri, n), *out = path;
    for (const char *p = path, *end = path + n; p < end; p++) {
        bool escaped = *p == '%' && end - p > 2 && digit(p[1]) >= 0 && digit(p[2]) >= 0;
        *out++ = escaped ? (char)(digit(p[1]) * 16 + digit(p[2])) : *p;
        p += escaped ? 2 : 0;
    }
    *out = 0;
    return strlen(path) == (size_t)(out - path) ? path : NULL; /* a path holds no NUL */
}

const char *uri_of_path(struct arena *arena, const char *path)
{
    static const char plain[] =
        "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~/";
    static const char digits[] = "0123456789ABCDEF", scheme[] = "file://";
    char *uri = arena_array(arena, char, sizeof scheme + 3 * strlen(path)), *out = uri;
    memcpy(out, scheme, sizeof scheme - 1);
    out += sizeof scheme - 1;
    for (; *path; path++) {
        unsigned char c = (unsigned char)*path;
        if (strchr(plain, (char)c)) {
            *out++ = (char)c;
            continue;
        }
        *out++ = '%';
        *out++ = digits[c / 16];
        *out++ = digits[c % 16];
    }
    return uri;
}

const char *uri_real_path(struct arena *arena, const char *path)
{
    char real[PATH_MAX];
    const char *slash = strrchr(path, '/');
    if (realpath(path, real))
        return arena_copy(arena, real, strlen(real));
    const char *folder = slash ? arena_copy(arena, path, (size_t)(slash - path) + 1) : NULL;
    if (folder && realpath(folder, real))
        return arena_printf(arena, "%s/%s", real[1] ? real : "", slash + 1);
    return path;
}

const char *uri_real(struct arena *arena, const char *uri)
{
    const char *path = uri_path(arena, uri);
    if (path)
        return uri_real_path(arena, path);
    char *name = arena_printf(arena, "/%s", uri);
    for (char *p = name + 1; (p = strchr(p, '/'));)
        *p = ':';
    return name;
}
