/* Counting what the compiler does: steps, not seconds, so that the count is the same on every
 * machine and a loop in a loop shows in a small plan.
 *
 * A program that includes this is linked with the library's objects of the folder `counted` (see
 * the Makefile). They call __sanitizer_cov_trace_pc at the beginning of each stretch of code
 * without a branch: a step. Functions of the C library that go over bytes are called through the
 * wrappers below; each eight bytes are a step too, so that no copying hides. Steps are counted in
 * all and by the place in the code. */
#ifndef STUDBAY_TESTS_STEPS_H
#define STUDBAY_TESTS_STEPS_H

#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/personality.h>
#include <unistd.h>

enum { BYTES_A_STEP = 8 };

extern char __executable_start, etext; /* where the program's code lies: the linker knows */

static uint64_t steps; /* since the program began */
static uint32_t
    *steps_of_place; /* by distance from the beginning of the code; NULL: these are not wanted */

static inline size_t place_count(void)
{
    return (size_t)(&etext - &__executable_start);
}

static inline __attribute__((always_inline)) void count_steps(const void *place, uint32_t more)
{
    steps += more;
    if (steps_of_place)
        steps_of_place[(const char *)place - &__executable_start] += more;
}

void __sanitizer_cov_trace_pc(void)
{
    count_steps(__builtin_return_address(0), 1);
}

/* Begins the program anew with its memory always in the same place: how maps of pointers fill
 * depends on it. Where the system does not allow that, counts are a little different from run to
 * run; under valgrind (RUN_WITH) the program stays where it is. */
static inline void settle_addresses(char **argv)
{
    if (getenv("RUN_WITH"))
        return;
    int now = personality(0xffffffff);
    if (now != -1 && !(now & ADDR_NO_RANDOMIZE) &&
        personality((unsigned long)now | ADDR_NO_RANDOMIZE) != -1)
        execv(argv[0], argv);
}

/* --- functions that go over bytes --------------------------------------------------------- */

#define OVER_BYTES(type, name, parameters, arguments, bytes)                                       \
    type __real_##name parameters;                                                                 \
    type __wrap_##name parameters                                                                  \
    {                                                                                              \
        type result = __real_##name arguments;                                                     \
        count_steps(__builtin_return_address(0), (uint32_t)((size_t)(bytes) / BYTES_A_STEP));      \
        return result;                                                                             \
    }

/* Bytes that two texts begin with alike, at most n. */
static inline size_t alike(const char *a, const char *b, size_t n, int text)
{
    size_t i = 0;
    while (i < n && a[i] == b[i] && !(text && !a[i]))
        i++;
    return i;
}

OVER_BYTES(void *, memcpy, (void *to, const void *from, size_t n), (to, from, n), n)
OVER_BYTES(void *, memmove, (void *to, const void *from, size_t n), (to, from, n), n)
OVER_BYTES(void *, memset, (void *to, int byte, size_t n), (to, byte, n), n)
OVER_BYTES(void *, memchr, (const void *in, int byte, size_t n), (in, byte, n),
           result ? (size_t)((char *)result - (const char *)in) : n)
OVER_BYTES(int, memcmp, (const void *a, const void *b, size_t n), (a, b, n), alike(a, b, n, 0))
OVER_BYTES(size_t, strlen, (const char *text), (text), result)
OVER_BYTES(int, strcmp, (const char *a, const char *b), (a, b), alike(a, b, SIZE_MAX, 1))
OVER_BYTES(int, strncmp, (const char *a, const char *b, size_t n), (a, b, n), alike(a, b, n, 1))
OVER_BYTES(char *, strchr, (const char *text, int byte), (text, byte),
           result ? (size_t)(result - text) : __real_strlen(text))
OVER_BYTES(char *, strrchr, (const char *text, int byte), (text, byte), __real_strlen(text))
OVER_BYTES(char *, strstr, (const char *text, const char *part), (text, part),
           result ? (size_t)(result - text) : __real_strlen(text))
OVER_BYTES(size_t, strspn, (const char *text, const char *of), (text, of), result)
OVER_BYTES(size_t, strcspn, (const char *text, const char *of), (text, of), result)
OVER_BYTES(void *, realloc, (void *block, size_t n), (block, n), n)
OVER_BYTES(int, vsnprintf, (char *to, size_t n, const char *format, va_list arguments),
           (to, n, format, arguments), result)

#endif
