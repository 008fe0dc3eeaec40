/* Sorting by whole numbers, held against the C library's qsort. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/sort.h"

#include <stdlib.h>
#include <string.h>

static uint64_t seed = 20261130;

static uint64_t next(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

/* What is listed first is first among those with the same key: `item` is the place in the list. */
static int by_key_then_place(const void *va, const void *vb)
{
    const struct sorted *a = va, *b = vb;
    if (a->key.first != b->key.first)
        return a->key.first < b->key.first ? -1 : 1;
    if (a->key.second != b->key.second)
        return a->key.second < b->key.second ? -1 : 1;
    return (a->item > b->item) - (a->item < b->item);
}

/* Keys that differ in many bytes, in few, in none; lists from nothing on. */
static void sorts_like_qsort(void **state)
{
    (void)state;
    enum { MOST = 700 };
    static const uint64_t masks[][2] = {{UINT64_MAX, UINT64_MAX}, {0, 0}, {0xff, 0}, {0, 0x3}, {0xf00000000000000f, 0xff0000}, {1, 0x8000000000000000}, {0x30, 0x7}};
    struct arena arena = {0};
    unsigned moved = 0;
    for (size_t i = 0; i < sizeof masks / sizeof *masks; i++)
        for (uint32_t n = 0; n < MOST; n += 1 + n / 3) {
            struct sorted list[MOST], want[MOST];
            for (uint32_t k = 0; k < n; k++)
                list[k] = (struct sorted){{next() & masks[i][0], next() & masks[i][1]}, (uint32_t)next(), k};
            memcpy(want, list, n * sizeof *list);
            qsort(want, n, sizeof *want, by_key_then_place);
            moved += n && memcmp(want, list, n * sizeof *list) != 0;
            sort_by_key(&arena, list, n);
            assert_memory_equal(list, want, n * sizeof *list);
        }
    assert_true(moved > 50);
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(sorts_like_qsort)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
