/* Memory that is given back all at once.
 *
 * One arena lives as long as a compilation, a scratch arena as long as a stage. Blocks come zeroed
 * and aligned to 16 bytes. When the system has no more memory, arena_alloc jumps to `out_of_memory`
 * if it is set (the pipeline sets it), else calls memory_missing: nothing returns NULL, so no
 * caller checks. */
#ifndef STUDBAY_BASE_ARENA_H
#define STUDBAY_BASE_ARENA_H

#include "base/memory.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

struct arena_chunk;

/* Large chunks that were given back, for whoever does the same work again: fresh ones cost a fault
 * for each of their pages, and are all cleared, used or not. Zeroed to begin with. */
struct arena_pool {
    struct arena_chunk *chunk;
    size_t size;
};

/* Where to go when there is no memory, and where large chunks come from and go to; `pool` may be
 * NULL. */
struct arena_way_out {
    jmp_buf to;
    struct arena_pool *pool;
};

struct arena {
    struct arena_chunk *chunk;
    char *next, *end;
    size_t total;                        /* bytes taken from the system */
    struct arena_way_out *out_of_memory; /* may be NULL */
};

/* Zeroed memory of `size` bytes that lives as long as the arena, for what wants to lie at a
 * multiple of ARENA_ALIGN; at twice that. */
enum { ARENA_ALIGN = 8 };
void *arena_alloc(struct arena *a, size_t size);
void *arena_alloc_wide(struct arena *a, size_t size);

/* Takes room for `size` bytes more at once: a large block is of large pages, which cost a fault
 * each. */
void arena_reserve(struct arena *a, size_t size);

/* Bytes that were handed out, with what was left over at the ends of full blocks. */
size_t arena_used(const struct arena *a);

/* Frees everything; the arena may be used again. */
void arena_free(struct arena *a);

/* The same, of an arena that has no way out any more; its large chunks go to a pool, or to the
 * system where that is NULL. A pool is for who uses memory of the system (base/memory.h). */
void arena_free_into(struct arena *a, struct arena_pool *pool);

/* Gives back to the system what a pool holds. */
void arena_pool_free(struct arena_pool *pool);

/* Lets nobody write any more what the arena holds, as far as it lies in large chunks: what several
 * share is not changed by mistake. It can still be freed. */
void arena_seal(struct arena *a);

/* Makes the arena empty and keeps its newest chunk for what comes next: a scratch arena is emptied,
 * not freed, between one small thing and the next. */
void arena_reset(struct arena *a);

/* A copy of `len` bytes with a NUL behind them. */
char *arena_copy(struct arena *a, const char *text, size_t len);

/* printf into the arena. */
char *arena_printf(struct arena *a, const char *format, ...) __attribute__((format(printf, 2, 3)));
char *arena_vprintf(struct arena *a, const char *format, va_list args);

/* The texts one behind the other, the last one NULL: for what is made of names again and again. */
char *arena_join(struct arena *a, const char *first, ...) __attribute__((sentinel));

/* "1 staple", "3 staples", "no" never: a number with its noun, for all that is said to people. Who
 * knows no number of its noun writes it otherwise. */
const char *arena_counted(struct arena *a, uint64_t n, const char *one, const char *many);

/* A list for people with the next word behind it, the one at place `i` of `n`: "a", "a, b", "a, b
 * and c". Who tells fewer than there are ends it himself. */
const char *arena_listed(struct arena *a, const char *list, uint32_t i, uint32_t n,
                         const char *word);

#define arena_new(a, T) arena_array(a, T, 1)
#define arena_array(a, T, n)                                                                       \
    ((T *)(_Alignof(T) > ARENA_ALIGN ? arena_alloc_wide : arena_alloc)((a),                        \
                                                                       (size_t)(n) * sizeof(T)))

/* A growing array in an arena, of what lies at multiples of ARENA_ALIGN: VEC(struct box) boxes;
 * *vec_push(a, &boxes) = b; a struct type that is passed on is named once with typedef. */
#define VEC(T)                                                                                     \
    struct {                                                                                       \
        T *at;                                                                                     \
        uint32_t n, cap;                                                                           \
    }
/* The size of an element; does not compile for what would lie askew. */
#define vec_size(v) (sizeof *(v)->at * sizeof(char[__alignof__(*(v)->at) <= ARENA_ALIGN ? 1 : -1]))
void *vec_grow_to(struct arena *a, void *at, uint32_t n, uint32_t *cap, uint32_t wanted,
                  size_t size);
void *vec_grow(struct arena *a, void *at, uint32_t n, uint32_t *cap, size_t size);

/* Room for `wanted` elements in all, where their number is known beforehand. */
#define vec_reserve(a, v, wanted)                                                                  \
    ((v)->at = vec_grow_to((a), (v)->at, (v)->n, &(v)->cap, (wanted), vec_size(v)))

/* Gives back the room behind the last element, if the array is the newest block of the arena. */
void vec_cut(struct arena *a, void *at, uint32_t n, uint32_t *cap, size_t size);
#define vec_trim(a, v) vec_cut((a), (v)->at, (v)->n, &(v)->cap, vec_size(v))
/* The same elements for who has another arena: they are shared, and copied before one is added. */
#define vec_share(v, of) ((v)->at = (of)->at, (v)->n = (v)->cap = (of)->n)
#define vec_push(a, v)                                                                             \
    ((v)->at = vec_grow((a), (v)->at, (v)->n, &(v)->cap, vec_size(v)), &(v)->at[(v)->n++])

#endif
