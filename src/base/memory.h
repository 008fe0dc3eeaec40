/* Blocks of memory, and whose they are.
 *
 * By itself a block is of the system, and where that has none memory_ended ends the program. Who
 * calls us as a library brings memory of his own: during `memory_call` this thread takes
 * all it wants from there, each block is on a list, and where there is none left the call is left
 * by a jump, and its blocks are given back at once. Nothing else in the program knows of this but
 * the arenas, the buffers and what is lent. */
#ifndef STUDBAY_BASE_MEMORY_H
#define STUDBAY_BASE_MEMORY_H

#include <setjmp.h>
#include <stdbool.h>
#include <stddef.h>

/* Ends the program where the system has no more memory: the program that is linked with it says
 * how; else it aborts. */
_Noreturn void memory_ended(void);

struct memory_block;

/* Where the blocks of one owner come from, and those that he has. `take` gives memory for any type,
 * or NULL; without it they are the system's. */
struct memory {
    void *(*take)(void *of, size_t size);
    void (*give)(void *of, void *block);
    void *of;
    struct memory_block *blocks;
    jmp_buf *ended; /* during memory_call: where to go when there is none */
    bool missed;    /* during memory_call: there was none for memory_take_noted */
    struct memory
        *outer; /* during memory_call: whose call this one is in, in this thread; or NULL */
};

/* Does the step; what this thread takes meanwhile comes from there. False where there was not
 * enough: the step was left, and all that was on the list has been given back. */
typedef void memory_step(void *with);
bool memory_call(struct memory *m, memory_step *step, void *with);

/* A zeroed block; NULL where there is none. With `large`, whatever the system has of large pages,
 * and `size` becomes what it holds. */
void *memory_take(size_t size);
void *memory_take_large(size_t *size);

/* As memory_take, for a library of others that must return before the call may be left: where there
 * is none that is noted, and memory_check leaves the call. Outside of a call the program ends. */
void *memory_take_noted(size_t size);
void memory_check(void);

/* The block with room for `size` bytes, what is in it kept; NULL where there is none, and it is as
 * it was. `block` may be NULL. */
void *memory_grow(void *block, size_t size);

/* Gives it back to whom it is from; NULL does nothing. */
void memory_give(void *block);

/* Takes it off its owner's list: it stays until it is given back. */
void memory_keep(void *block);

/* Lets nobody write into a block of large pages any more, and takes it off its owner's list; others
 * are left as they are. It can still be given back. */
void memory_seal(void *block);

/* Gives back all that is on the list. */
void memory_release(struct memory *m);

/* There is none: leaves the call that was entered, else ends the program. */
_Noreturn void memory_missing(void);

#endif
