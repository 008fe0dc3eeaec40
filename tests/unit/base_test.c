/* Memory from arenas, and sorting by whole numbers, held against the C library's qsort. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "base/buf.h"
#include "base/map.h"
#include "base/names.h"
#include "base/sort.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

static uint64_t seed = 20261130;

static uint64_t next(void)
{
    seed ^= seed << 13;
    seed ^= seed >> 7;
    seed ^= seed << 17;
    return seed;
}

/* --- arenas ------------------------------------------------------------------------------- */

struct wide {
    char before;
    __int128 number;
};

static void assert_zeroed(const void *at, size_t size)
{
    for (size_t i = 0; i < size; i++)
        assert_int_equal(((const char *)at)[i], 0);
}

/* Blocks of all sizes, small chunks and large ones: zeroed, aligned for what lies in them, none
 * over another. */
static void blocks(void **state)
{
    (void)state;
    enum { COUNT = 600 };
    struct arena arena = {0};
    for (int round = 0; round < 3; round++) {
        struct {
            unsigned char *at;
            size_t size;
        } block[COUNT];
        for (unsigned i = 0; i < COUNT; i++) {
            size_t size = 1 + next() % (i % 50 ? 300 : 400000);
            bool wide = next() % 4 == 0;
            unsigned char *p = wide ? (unsigned char *)arena_array(&arena, struct wide,
                                                                   size / sizeof(struct wide) + 1)
                                    : arena_alloc(&arena, size);
            assert_int_equal((uintptr_t)p % (wide ? _Alignof(struct wide) : ARENA_ALIGN), 0);
            assert_zeroed(p, size);
            memset(p, (int)(i % 255 + 1), size);
            block[i].at = p;
            block[i].size = size;
        }
        size_t sum = 0;
        for (unsigned i = 0; i < COUNT; i++) {
            sum += block[i].size;
            for (size_t k = 0; k < block[i].size; k += 7)
                assert_int_equal(block[i].at[k], i % 255 + 1);
        }
        assert_true(arena_used(&arena) >= (round ? 0 : sum));
        arena_reset(&arena); /* what is kept of it is zeroed for the next round */
    }
    arena_free(&arena);
    assert_int_equal(arena_used(&arena), 0);
}

/* Texts are written where they will lie; those that do not fit there go to the next chunk, and what
 * was begun of them lies in nobody's way. */
static void texts_over_the_ends_of_chunks(void **state)
{
    (void)state;
    struct arena arena = {0};
    struct buf want = {0};
    for (unsigned i = 0; i < 3000; i++) {
        int width = (int)(next() % (i % 100 ? 90 : 20000));
        const char *text = arena_printf(&arena, "%u:%*u", i, width, i);
        want.n = 0;
        buf_printf(&want, "%u:%*u", i, width, i);
        assert_string_equal(text, buf_text(&want));
        assert_zeroed(arena_alloc(&arena, 1 + i % 40), 1 + i % 40);
    }
    buf_free(&want);
    arena_free(&arena);
}

/* Room that is taken beforehand is not left when it is filled, and what is filed is found. */
static void rooms_of_known_size(void **state)
{
    (void)state;
    enum { COUNT = 5000 };
    struct arena arena = {0};
    struct map map = {0};
    VEC(uint32_t) list = {0};
    map_reserve(&arena, &map, COUNT);
    vec_reserve(&arena, &list, COUNT);
    const void *slots = map.slot, *at = list.at;
    for (uintptr_t i = 1; i <= COUNT; i++) {
        map_put(&arena, &map, i % 7, i, &list);
        *vec_push(&arena, &list) = (uint32_t)i;
    }
    assert_ptr_equal(map.slot, slots);
    assert_ptr_equal(list.at, at);
    for (uintptr_t i = 1; i <= COUNT; i++) {
        assert_ptr_equal(map_get(&map, i % 7, i), &list);
        assert_null(map_get(&map, (i + 1) % 7, i));
        assert_int_equal(list.at[i - 1], i);
    }
    map_reserve(&arena, &map, 8 * COUNT); /* grown while it is filled */
    assert_ptr_equal(map_get(&map, 1, 1), &list);
    arena_free(&arena);
}

/* --- what several share ------------------------------------------------------------------- */

/* Names, maps and lists that stand on others add nothing to them, and find what is there. */
static void what_is_shared_stays_as_it_is(void **state)
{
    (void)state;
    enum { COUNT = 1000 };
    struct arena arena = {0}, others[2] = {{0}, {0}};
    struct names below = {.arena = &arena};
    struct map map = {0};
    VEC(const char *) list = {0};
    arena_reserve(&arena, 1 << 20);
    for (unsigned i = 0; i < COUNT; i++) {
        const char *name = names_of(&below, arena_printf(&arena, "name-%u", i));
        map_file(&arena, &map, 0, name, &list);
        *vec_push(&arena, &list) = name;
    }
    arena_seal(&arena); /* who writes into it now does not come to the end */
    const char *own[2];
    for (int k = 0; k < 2; k++) {
        struct names names = {.arena = &others[k], .parent = &below};
        struct names above = {.arena = &others[k], .parent = &names};
        struct map copy = map_copy(&others[k], &map);
        VEC(const char *) more;
        vec_share(&more, &list);
        assert_ptr_equal(more.at, list.at);
        assert_ptr_equal(names_of(&names, list.at[COUNT - 1]), list.at[COUNT - 1]);
        assert_ptr_equal(names_of(&above, list.at[0]), list.at[0]);
        own[k] = names_of(&names, "none of those");
        assert_ptr_equal(names_of(&names, "none of those"), own[k]);
        assert_ptr_equal(names_of(&above, "none of those"), own[k]);
        map_file(&others[k], &copy, 0, own[k], &more);
        *vec_push(&others[k], &more) = own[k];
        assert_int_equal(more.n, COUNT + 1);
        assert_ptr_equal(more.at[COUNT - 1], list.at[COUNT - 1]);
        assert_ptr_equal(map_find(&copy, 0, list.at[7]), &list);
        assert_ptr_equal(map_find(&copy, 0, own[k]), &more);
        assert_null(map_find(&map, 0, own[k]));
    }
    assert_ptr_not_equal(own[0], own[1]);
    assert_int_equal(list.n, COUNT);
    assert_int_equal(below.n, COUNT);
    for (int k = 0; k < 2; k++)
        arena_free(&others[k]);
    arena_free(&arena);
}

/* --- what the address sanitizer sees in arenas -------------------------------------------- */

#ifdef __SANITIZE_ADDRESS__
enum touch { IN_RANGE, FAR_BEHIND, JUST_BEHIND, EMPTIED, NOT_PUSHED, TRIMMED };

/* The read or write of a child that the test means to be caught. */
static void touch(enum touch what)
{
    struct arena arena = {0};
    VEC(int) list = {0};
    for (int i = 0; i < 5; i++)
        *vec_push(&arena, &list) = i;
    if (what == TRIMMED)
        vec_trim(&arena, &list);
    int *p = arena_array(&arena, int, 4);
    volatile int *at = what == FAR_BEHIND                      ? p + 40
                       : what == JUST_BEHIND                   ? p + 4
                       : what == NOT_PUSHED || what == TRIMMED ? list.at + 5
                                                               : p + 3;
    if (what == EMPTIED)
        arena_reset(&arena);
    if (what == FAR_BEHIND)
        (void)*at;
    else
        *at = 7;
    arena_free(&arena);
}

/* Whether the sanitizer stopped a child that touched it. */
static bool is_caught(enum touch what)
{
    FILE *report = tmpfile();
    assert_non_null(report);
    pid_t child = fork();
    assert_true(child >= 0);
    if (!child) {
        dup2(fileno(report), STDERR_FILENO);
        touch(what);
        _exit(0);
    }
    int status;
    assert_int_equal(waitpid(child, &status, 0), child);
    char text[4096] = "";
    rewind(report);
    text[fread(text, 1, sizeof text - 1, report)] = 0;
    fclose(report);
    bool told = strstr(text, "use-after-poison") != NULL;
    assert_true(told == (status != 0));
    return told;
}

static void what_is_nobodys_is_seen(void **state)
{
    (void)state;
    assert_false(is_caught(IN_RANGE));
    for (enum touch what = FAR_BEHIND; what <= TRIMMED; what++)
        assert_true(is_caught(what));
}
#endif

/* --- sorting ------------------------------------------------------------------------------ */

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
    static const uint64_t masks[][2] = {
        {UINT64_MAX, UINT64_MAX}, {0, 0},     {0xff, 0}, {0, 0x3}, {0xf00000000000000f, 0xff0000},
        {1, 0x8000000000000000},  {0x30, 0x7}};
    struct arena arena = {0};
    unsigned moved = 0;
    for (size_t i = 0; i < sizeof masks / sizeof *masks; i++)
        for (uint32_t n = 0; n < MOST; n += 1 + n / 3) {
            struct sorted list[MOST], want[MOST];
            for (uint32_t k = 0; k < n; k++)
                list[k] = (struct sorted){
                    {next() & masks[i][0], next() & masks[i][1]}, (uint32_t)next(), k};
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
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(blocks),
        cmocka_unit_test(texts_over_the_ends_of_chunks),
        cmocka_unit_test(rooms_of_known_size),
        cmocka_unit_test(what_is_shared_stays_as_it_is),
        cmocka_unit_test(sorts_like_qsort),
#ifdef __SANITIZE_ADDRESS__
        cmocka_unit_test(what_is_nobodys_is_seen),
#endif
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
