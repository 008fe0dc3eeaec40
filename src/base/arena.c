#include "base/arena.h"

#include <stdio.h>
#include <string.h>

struct arena_chunk {
    struct arena_chunk *before;
    size_t size;
    size_t mapped; /* bytes, of a large chunk; 0: it is none */
    size_t used;   /* in a pool: bytes that are to be cleared */
};

enum {
    WIDE = 2 * ARENA_ALIGN,
    FIRST_CHUNK = 8 << 10,
    LARGEST_CHUNK = 32 << 20,
    LARGEST_POOL = 128 << 20 /* bytes: what goes beyond goes back to the system */
};

/* From this size on a chunk is of large pages. Under the address sanitizer none is, so
 * that it sees what is never freed, and bytes that nobody may touch lie behind each block. */
#ifndef __has_feature
#define __has_feature(feature) 0
#endif
#if defined __SANITIZE_ADDRESS__ || __has_feature(address_sanitizer)
#include <sanitizer/asan_interface.h>
enum { RED_ZONE = 16 };
static const size_t large_chunk = SIZE_MAX;
#else
#define ASAN_POISON_MEMORY_REGION(at, size)   ((void)(at), (void)(size))
#define ASAN_UNPOISON_MEMORY_REGION(at, size) ((void)(at), (void)(size))
enum { RED_ZONE = 0 };
static const size_t large_chunk = 256 << 10;
#endif

static size_t aligned(size_t size)
{
    return (size + ARENA_ALIGN - 1) & ~(size_t)(ARENA_ALIGN - 1);
}

/* What a block takes of its chunk. */
static size_t room_for(size_t size)
{
    return aligned(size) + RED_ZONE;
}

/* The newest block begins at `at` and has `size` bytes; what lies behind them is nobody's. */
static void end_block(struct arena *a, char *at, size_t size)
{
    a->next = at + room_for(size);
    ASAN_UNPOISON_MEMORY_REGION(at, size);
    ASAN_POISON_MEMORY_REGION(at + size, (size_t)(a->next - at) - size);
}

static char *chunk_start(struct arena_chunk *c)
{
    return (char *)(c + 1);
}

static void no_memory(struct arena *a)
{
    if (a->out_of_memory)
        longjmp(a->out_of_memory->to, 1);
    memory_missing();
}

static struct arena_pool *pool_of(const struct arena *a)
{
    return a->out_of_memory ? a->out_of_memory->pool : NULL;
}

/* The smallest chunk of a pool that has so many bytes, cleared; NULL where there is none. */
static struct arena_chunk *take_from(struct arena_pool *pool, size_t size)
{
    struct arena_chunk **best = NULL;
    for (struct arena_chunk **at = &pool->chunk; *at; at = &(*at)->before)
        if ((*at)->mapped >= size && (!best || (*at)->mapped < (*best)->mapped))
            best = at;
    if (!best)
        return NULL;
    struct arena_chunk *c = *best;
    *best = c->before;
    pool->size -= c->mapped;
    memset(chunk_start(c), 0, c->used);
    return c;
}

static void give_to(struct arena_pool *pool, struct arena_chunk *c, size_t used)
{
    if (!pool || !c->mapped || pool->size + c->mapped > LARGEST_POOL) {
        memory_give(c);
        return;
    }
    c->used = used;
    c->before = pool->chunk;
    pool->chunk = c;
    pool->size += c->mapped;
}

/* `size` becomes what it has. */
static struct arena_chunk *large_one(const struct arena *a, size_t *size)
{
    struct arena_chunk *c = pool_of(a) ? take_from(pool_of(a), *size) : NULL;
    if (c) {
        *size = c->mapped;
        return c;
    }
    c = memory_take_large(size);
    if (c)
        c->mapped = *size;
    return c;
}

static void add_chunk(struct arena *a, size_t size)
{
    static const size_t head = sizeof(struct arena_chunk);
    size_t want = a->chunk ? a->chunk->size * 2 : FIRST_CHUNK;
    if (want > LARGEST_CHUNK)
        want = LARGEST_CHUNK;
    if (want < size)
        want = size;
    size_t all = head + want;
    struct arena_chunk *c = want < large_chunk ? memory_take(all) : large_one(a, &all);
    if (!c)
        no_memory(a);
    want = all - head;
    c->before = a->chunk;
    c->size = want;
    a->chunk = c;
    a->total += want;
    a->next = chunk_start(c);
    a->end = a->next + want;
    ASAN_POISON_MEMORY_REGION(a->next, want);
}

void arena_reserve(struct arena *a, size_t size)
{
    if (!a->chunk || size > (size_t)(a->end - a->next))
        add_chunk(a, size);
}

size_t arena_used(const struct arena *a)
{
    return a->chunk ? a->total - (size_t)(a->end - a->next) : 0;
}

void *arena_alloc(struct arena *a, size_t size)
{
    arena_reserve(a, room_for(size));
    char *p = a->next;
    end_block(a, p, size);
    return p;
}

void *arena_alloc_wide(struct arena *a, size_t size)
{
    size_t askew = -(uintptr_t)a->next & (WIDE - 1);
    if (!a->chunk || room_for(size + askew) > (size_t)(a->end - a->next))
        askew = WIDE - 1; /* in a new chunk, wherever that begins */
    char *p = arena_alloc(a, size + askew);
    return p + (-(uintptr_t)p & (WIDE - 1));
}

void arena_free_into(struct arena *a, struct arena_pool *pool)
{
    size_t used = a->chunk ? (size_t)(a->next - chunk_start(a->chunk)) : 0;
    while (a->chunk) {
        struct arena_chunk *before = a->chunk->before;
        give_to(pool, a->chunk, used);
        a->chunk = before;
        used = before ? before->size : 0; /* full, or written into where it did not suffice */
    }
    a->next = a->end = NULL;
    a->total = 0;
}

void arena_free(struct arena *a)
{
    arena_free_into(a, pool_of(a));
}

void arena_pool_free(struct arena_pool *pool)
{
    while (pool->chunk) {
        struct arena_chunk *before = pool->chunk->before;
        memory_give(pool->chunk);
        pool->chunk = before;
    }
    pool->size = 0;
}

void arena_seal(struct arena *a)
{
    for (struct arena_chunk *c = a->chunk; c; c = c->before)
        memory_seal(c);
    a->next = a->end; /* nothing more is handed out of it */
}

void arena_reset(struct arena *a)
{
    struct arena_chunk *newest = a->chunk;
    if (!newest)
        return;
    for (struct arena_chunk *c = newest->before; c;) {
        struct arena_chunk *before = c->before;
        give_to(pool_of(a), c, c->size);
        c = before;
    }
    newest->before = NULL;
    char *start = chunk_start(newest);
    ASAN_UNPOISON_MEMORY_REGION(start, (size_t)(a->next - start));
    memset(start, 0, (size_t)(a->next - start));
    ASAN_POISON_MEMORY_REGION(start, (size_t)(a->next - start));
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

char *arena_join(struct arena *a, const char *first, ...)
{
    va_list args, again;
    size_t size = 0, at = 0;
    va_start(args, first);
    va_copy(again, args);
    for (const char *text = first; text; text = va_arg(args, const char *))
        size += strlen(text);
    char *whole = arena_alloc(a, size + 1);
    for (const char *text = first; text; text = va_arg(again, const char *))
        for (; *text; text++)
            whole[at++] = *text;
    va_end(again);
    va_end(args);
    return whole;
}

char *arena_vprintf(struct arena *a, const char *format, va_list args)
{
    va_list again;
    va_copy(again, args);
    char *p = a->next; /* mostly it fits where the next block begins; what is cut off there lies in
                          a chunk that is left */
    size_t room = RED_ZONE ? 0 : (size_t)(a->end - a->next);
    int n = vsnprintf(p, room, format, args);
    size_t size = n < 0 ? 1 : (size_t)n + 1;
    if (size <= room && room_for(size) <= room) {
        end_block(a, p, size);
    } else {
        p = arena_alloc(a, size);
        n = vsnprintf(p, size, format, again);
    }
    if (n < 0)
        *p = 0;
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
    if (at && (char *)at + room_for(*cap * size) == a->next) {
        ASAN_POISON_MEMORY_REGION(at, *cap * size);
        end_block(a, at, n * size);
        *cap = n;
    }
}

/* Room behind the last element is nobody's before it is pushed. */
static void *close_room(void *at, uint32_t n, uint32_t cap, size_t size)
{
    ASAN_POISON_MEMORY_REGION((char *)at + n * size, (cap - n) * size);
    return at;
}

void *vec_grow_to(struct arena *a, void *at, uint32_t n, uint32_t *cap, uint32_t wanted,
                  size_t size)
{
    if (wanted <= *cap)
        return at;
    /* The newest block grows in place: a list that is filled alone leaves no copies behind. */
    char *tail = at ? (char *)at + room_for(*cap * size) : NULL;
    size_t more = aligned(wanted * size) - aligned(*cap * size);
    if (at && tail == a->next && more <= (size_t)(a->end - a->next)) {
        end_block(a, at, wanted * size);
        *cap = wanted;
        return close_room(at, n, wanted, size);
    }
    void *p = arena_alloc(a, (size_t)wanted * size);
    if (n)
        memcpy(p, at, (size_t)n * size);
    *cap = wanted;
    return close_room(p, n, wanted, size);
}

void *vec_grow(struct arena *a, void *at, uint32_t n, uint32_t *cap, size_t size)
{
    if (n == *cap)
        at = vec_grow_to(a, at, n, cap, *cap ? *cap * 2 : 4, size);
    ASAN_UNPOISON_MEMORY_REGION((char *)at + n * size, size);
    return at;
}

const char *arena_counted(struct arena *a, uint64_t n, const char *one, const char *many)
{
    return arena_printf(a, "%llu %s", (unsigned long long)n, n == 1 ? one : many);
}

const char *arena_listed(struct arena *a, const char *list, uint32_t i, uint32_t n,
                         const char *word)
{
    return arena_join(a, list, !i ? "" : i + 1 == n ? " and " : ", ", word, NULL);
}
