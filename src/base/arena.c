#include "base/arena.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct arena_chunk {
    struct arena_chunk *before;
    size_t size;
};

enum { ALIGN = 16, FIRST_CHUNK = 64 * 1024, LARGEST_CHUNK = 4 * 1024 * 1024 };

static size_t aligned(size_t size)
{
    return (size + ALIGN - 1) & ~(size_t)(ALIGN - 1);
}

static char *chunk_start(struct arena_chunk *c)
{
    return (char *)(((uintptr_t)(c + 1) + ALIGN - 1) & ~(uintptr_t)(ALIGN - 1));
}

static void no_memory(struct arena *a)
{
    if (a->out_of_memory)
        longjmp(*a->out_of_memory, 1);
    abort();
}

static void add_chunk(struct arena *a, size_t size)
{
    size_t want = a->chunk ? a->chunk->size * 2 : FIRST_CHUNK;
    if (want > LARGEST_CHUNK)
        want = LARGEST_CHUNK;
    if (want < size + ALIGN)
        want = size + ALIGN;
    struct arena_chunk *c = calloc(1, sizeof *c + ALIGN + want);
    if (!c)
        no_memory(a);
    c->before = a->chunk;
    c->size = want;
    a->chunk = c;
    a->total += want;
    a->next = chunk_start(c);
    a->end = a->next + want;
}

void *arena_alloc(struct arena *a, size_t size)
{
    size = aligned(size);
    if (!a->chunk || size > (size_t)(a->end - a->next))
        add_chunk(a, size);
    void *p = a->next;
    a->next += size;
    return p;
}

void arena_free(struct arena *a)
{
    while (a->chunk) {
        struct arena_chunk *before = a->chunk->before;
        free(a->chunk);
        a->chunk = before;
    }
    a->next = a->end = NULL;
    a->total = 0;
}

void arena_reset(struct arena *a)
{
    struct arena_chunk *newest = a->chunk;
    if (!newest)
        return;
    struct arena older = {.chunk = newest->before};
    arena_free(&older);
    newest->before = NULL;
    char *start = chunk_start(newest);
    memset(start, 0, (size_t)(a->next - start));
    a->next = start;
    a->total = newest->size;
}

char *arena_copy(struct arena *a, const char *text, size_t len)
{
    char *p = arena_alloc(a, len + 1);
    if (len)
        memcpy(p, text, len);
    return p;
}

char *arena_vprintf(struct arena *a, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    int n = vsnprintf(NULL, 0, format, args);
    char *p = arena_alloc(a, (size_t)(n < 0 ? 0 : n) + 1);
    if (n >= 0)
        vsnprintf(p, (size_t)n + 1, format, again);
    va_end(again);
    return p;
}

char *arena_printf(struct arena *a, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    char *p = arena_vprintf(a, format, args);
    va_end(args);
    return p;
}

/* What was not used is still zeroed. */
void vec_cut(struct arena *a, void *at, uint32_t n, uint32_t *cap, size_t size)
{
    if (at && (char *)at + aligned(*cap * size) == a->next) {
        a->next = (char *)at + aligned(n * size);
        *cap = n;
    }
}

void *vec_grow(struct arena *a, void *at, uint32_t n, uint32_t *cap, size_t size)
{
    if (n < *cap)
        return at;
    uint32_t bigger = *cap ? *cap * 2 : 4;
    /* The newest block grows in place: a list that is filled alone leaves no copies behind. */
    char *tail = at ? (char *)at + aligned(*cap * size) : NULL;
    size_t more = aligned(bigger * size) - aligned(*cap * size);
    if (at && tail == a->next && more <= (size_t)(a->end - a->next)) {
        a->next += more;
        *cap = bigger;
        return at;
    }
    void *p = arena_alloc(a, (size_t)bigger * size);
    if (n)
        memcpy(p, at, (size_t)n * size);
    *cap = bigger;
    return p;
}
