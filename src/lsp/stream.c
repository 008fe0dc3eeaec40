#define _GNU_SOURCE /* memmem */
#include "lsp/stream.h"

#include <string.h>
#include <strings.h>

/* Bytes that were read go when they are half of what is held, so that each is moved but once or
 * twice; a large message leaves no large room behind. */
static void forget_read(struct stream *s)
{
    enum { KEPT = 1 << 20 };
    if (s->read < s->in.n / 2 || !s->read)
        return;
    memmove(s->in.at, s->in.at + s->read, s->in.n - s->read);
    s->in.n -= s->read;
    s->read = 0;
    if (!s->in.n && s->in.cap > KEPT)
        buf_free(&s->in);
}

void stream_add(struct stream *s, const char *bytes, size_t n)
{
    size_t skipped = s->skip < n ? (size_t)s->skip : n;
    s->skip -= skipped;
    forget_read(s);
    buf_add(&s->in, bytes + skipped, n - skipped);
}

static const char *const length_word = "content-length:";

/* The length that a line of the head gives; -1 where it gives none, -2 where it is no number. */
static int64_t line_length(const char *line, const char *end)
{
    size_t word = strlen(length_word);
    if ((size_t)(end - line) < word || strncasecmp(line, length_word, word))
        return -1;
    const char *p = line + word;
    while (p < end && (*p == ' ' || *p == '\t'))
        p++;
    int64_t n = 0;
    const char *first = p;
    for (; p < end && *p >= '0' && *p <= '9' && n < INT64_MAX / 100; p++)
        n = n * 10 + (*p - '0');
    while (p < end && (*p == ' ' || *p == '\t'))
        p++;
    return p == end && p > first && p[-1] ? n : -2;
}

/* The length that a head gives, of `n` bytes without the empty line; negative where there is none
 * in it, or two, or a line that belongs to no head. */
static int64_t head_length(const char *head, size_t n)
{
    int64_t length = -1;
    for (const char *p = head, *end = head + n; p < end;) {
        const char *stop = memchr(p, '\n', (size_t)(end - p)), *last = stop ? stop : end;
        if (last > p && last[-1] == '\r')
            last--;
        int64_t more = line_length(p, last);
        if (more == -2 || (more >= 0 && length >= 0) || !memchr(p, ':', (size_t)(last - p)))
            return -2;
        length = more >= 0 ? more : length;
        p = stop ? stop + 1 : end;
    }
    return length;
}

/* Where a word begins, in small letters or capitals; NULL where it does not. */
static const char *find_word(const char *p, size_t n, const char *word)
{
    size_t len = strlen(word);
    for (const char *end = p + n; (size_t)(end - p) >= len; p++)
        if (!strncasecmp(p, word, len))
            return p;
    return NULL;
}

/* Passes over what is no head, up to where one may begin. */
static bool find_head(struct stream *s)
{
    const char *from = s->in.at + s->read;
    size_t n = s->in.n - s->read;
    const char *at = find_word(from, n, length_word);
    if (at) {
        s->read += (size_t)(at - from);
        s->lost = false;
    } else if (n >= strlen(length_word)) {
        s->read = s->in.n - strlen(length_word) + 1; /* it may have begun */
    }
    return at != NULL;
}

static enum framed lose(struct stream *s, size_t passed)
{
    s->read += passed;
    s->lost = true;
    return FRAMED_BAD_HEAD;
}

static enum framed skip_message(struct stream *s, uint64_t size)
{
    uint64_t here = s->in.n - s->read;
    s->read += here < size ? (size_t)here : (size_t)size;
    s->skip = here < size ? size - here : 0;
    return FRAMED_TOO_LARGE;
}

/* The end of a head: the empty line, with its own \r\n. */
static const char *head_end(const char *p, size_t n, size_t *mark)
{
    const char *ends = memmem(p, n, "\r\n\r\n", 4), *plain = memmem(p, n, "\n\n", 2);
    *mark = ends && (!plain || ends < plain) ? 4 : 2;
    return *mark == 4 ? ends : plain;
}

enum framed stream_next(struct stream *s, const char **message, size_t *size)
{
    size_t n = s->in.n - s->read, mark;
    if (!n || (s->lost && !find_head(s)))
        return FRAMED_NOTHING;
    const char *head = s->in.at + s->read;
    n = s->in.n - s->read;
    const char *end = head_end(head, n < LONGEST_HEAD ? n : LONGEST_HEAD, &mark);
    if (!end)
        return n >= LONGEST_HEAD ? lose(s, 1) : FRAMED_NOTHING;
    size_t head_size = (size_t)(end - head) + mark;
    int64_t length = head_length(head, (size_t)(end - head));
    if (length < 0)
        return lose(s, 1);
    if (length > LARGEST_MESSAGE) {
        s->read += head_size;
        return skip_message(s, (uint64_t)length);
    }
    if (n - head_size < (size_t)length)
        return FRAMED_NOTHING;
    *message = end + mark;
    *size = (size_t)length;
    s->read += head_size + (size_t)length;
    return FRAMED_MESSAGE;
}

void stream_free(struct stream *s)
{
    buf_free(&s->in);
}
