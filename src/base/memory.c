#include "base/memory.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#ifndef __wasi__
#include <sys/mman.h>
#endif

/* What stands before each block. It begins where any type may. */
struct memory_block {
    _Alignas(max_align_t) struct memory_block *before;
    struct memory_block *after;
    struct memory *owner; /* NULL: nobody's list has it */
    size_t size, mapped;  /* bytes behind this; those to give back to the system, 0: it is of calloc
                             or of the owner */
    void (*give)(void *of, void *block); /* NULL: it is the system's */
    void *of;
};

enum { LARGE_PAGE = 2 << 20 };

/* The one thing that is known of a thread: whose call it runs. */
static _Thread_local struct memory *entered;

/* Stands where the program has none of its own. */
__attribute__((weak)) void memory_ended(void)
{
    abort();
}

void memory_missing(void)
{
    if (entered && entered->ended)
        longjmp(*entered->ended, 1);
    memory_ended();
}

static void list_block(struct memory_block *b, struct memory *owner)
{
    b->owner = owner;
    b->before = NULL;
    b->after = owner->blocks;
    if (b->after)
        b->after->before = b;
    owner->blocks = b;
}

static void unlist_block(struct memory_block *b)
{
    if (!b->owner)
        return;
    if (b->before)
        b->before->after = b->after;
    else
        b->owner->blocks = b->after;
    if (b->after)
        b->after->before = b->before;
    b->owner = NULL;
    b->before = b->after = NULL;
}

static void *hand_out(struct memory_block *b, size_t size)
{
    if (!b)
        return NULL;
    b->size = size;
    if (entered)
        list_block(b, entered);
    return b + 1;
}

static bool is_lent(void)
{
    return entered && entered->take;
}

static struct memory_block *take_lent(size_t size)
{
    struct memory_block *b = entered->take(entered->of, size);
    if (!b)
        return NULL;
    memset(b, 0, size);
    b->give = entered->give;
    b->of = entered->of;
    return b;
}

void *memory_take(size_t size)
{
    size_t all = sizeof(struct memory_block) + size;
    if (all < size)
        return NULL;
    return hand_out(is_lent() ? take_lent(all) : calloc(1, all), size);
}

void *memory_take_noted(size_t size)
{
    void *block = memory_take(size);
    if (!block && !entered)
        memory_missing();
    if (!block)
        entered->missed = true;
    return block;
}

void memory_check(void)
{
    if (entered && entered->missed)
        memory_missing();
}

/* Zeroed memory that begins and ends with a large page: where the system has them a fault brings 2
 * MB, not 4 kB, and where it has none small ones come by themselves. What is never touched is never
 * taken. */
#ifdef __wasi__ /* it has no pages to ask for */
static struct memory_block *map_block(size_t size)
{
    struct memory_block *b = calloc(1, size);
    if (b)
        b->mapped = size;
    return b;
}

static void unmap_block(struct memory_block *b)
{
    free(b);
}

static void lock_block(struct memory_block *b)
{
    (void)b;
}
#else
static struct memory_block *map_block(size_t size)
{
    size_t mapped = (size + LARGE_PAGE - 1) & ~(size_t)(LARGE_PAGE - 1);
    char *room = mapped < size ? MAP_FAILED
                               : mmap(NULL, mapped + LARGE_PAGE, PROT_READ | PROT_WRITE,
                                      MAP_PRIVATE | MAP_ANONYMOUS | MAP_NORESERVE, -1, 0);
    if (room == MAP_FAILED)
        return NULL;
    size_t before = -(uintptr_t)room & (LARGE_PAGE - 1);
    if (before)
        munmap(room, before);
    munmap(room + before + mapped, LARGE_PAGE - before);
    struct memory_block *b = (struct memory_block *)(room + before);
    madvise(b, mapped, MADV_HUGEPAGE);
    b->mapped = mapped;
    return b;
}

static void unmap_block(struct memory_block *b)
{
    munmap(b, b->mapped);
}

static void lock_block(struct memory_block *b)
{
    mprotect(b, b->mapped, PROT_READ);
}
#endif

void *memory_take_large(size_t *size)
{
    size_t all = sizeof(struct memory_block) + *size;
    if (is_lent() || all < *size)
        return memory_take(*size);
    struct memory_block *b = map_block(all);
    if (b)
        *size = b->mapped - sizeof *b;
    return hand_out(b, *size);
}

/* What of the system can be made longer where it lies. */
static void *grow_own(struct memory_block *b, size_t size)
{
    struct memory *owner = b->owner;
    size_t all = sizeof *b + size;
    unlist_block(b);
    struct memory_block *more = all < size ? NULL : realloc(b, all);
    if (more)
        more->size = size;
    if (owner)
        list_block(more ? more : b, owner);
    return more ? more + 1 : NULL;
}

void *memory_grow(void *block, size_t size)
{
    struct memory_block *b = block ? (struct memory_block *)block - 1 : NULL;
    if (b && !b->mapped && !b->give)
        return grow_own(b, size);
    void *more = memory_take(size);
    if (more && b) {
        memcpy(more, block, b->size < size ? b->size : size);
        memory_give(block);
    }
    return more;
}

void memory_give(void *block)
{
    if (!block)
        return;
    struct memory_block *b = (struct memory_block *)block - 1;
    unlist_block(b);
    if (b->give)
        b->give(b->of, b);
    else if (b->mapped)
        unmap_block(b);
    else
        free(b);
}

void memory_keep(void *block)
{
    unlist_block((struct memory_block *)block - 1);
}

void memory_seal(void *block)
{
    struct memory_block *b = (struct memory_block *)block - 1;
    if (!b->mapped)
        return;
    unlist_block(b);
    lock_block(b);
}

void memory_release(struct memory *m)
{
    while (m->blocks)
        memory_give(m->blocks + 1);
}

bool memory_call(struct memory *m, memory_step *step, void *with)
{
    jmp_buf out;
    if (setjmp(out)) {
        entered = m->outer;
        m->outer = NULL;
        m->ended = NULL;
        memory_release(m);
        return false;
    }
    m->outer = entered;
    m->ended = &out;
    m->missed = false;
    entered = m;
    step(with);
    entered = m->outer;
    m->outer = NULL;
    m->ended = NULL;
    return true;
}
