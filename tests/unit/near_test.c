/* The nearest name, against a search of our own that compares every name letter by letter. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "diag/diag.h"
#include "diag/near.h"
#include "generate.h"

#include <ctype.h>
#include <stdio.h>
#include <stdlib.h>
#include <strings.h>

enum { LONGEST = 60, NAMES = 250, QUERIES = 150, ROUNDS = 40, LONGEST_COMPARED = 48 };

/* --- the plain search --------------------------------------------------------------------- */

static int least(int a, int b)
{
    return a < b ? a : b;
}

/* Insertions, deletions, changes and neighbours that changed places, each letter edited once: the
 * whole table. */
static int table_distance(const char *a, const char *b)
{
    static int t[LONGEST + 1][LONGEST + 1];
    int m = (int)strlen(a), n = (int)strlen(b);
    for (int i = 0; i <= m; i++)
        for (int j = 0; j <= n; j++) {
            t[i][j] = i && j ? t[i - 1][j - 1] + (a[i - 1] != b[j - 1]) : i + j;
            if (i)
                t[i][j] = least(t[i][j], t[i - 1][j] + 1);
            if (j)
                t[i][j] = least(t[i][j], t[i][j - 1] + 1);
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1])
                t[i][j] = least(t[i][j], t[i - 2][j - 2] + 1);
        }
    return t[m][n];
}

/* What is nearest by edits; of equally near ones the first by the alphabet. A slip is one edit in
 * two letters, two in five, three in more; never all letters of both. */
static const char *plain_search(const char *written, char names[][LONGEST + 1], unsigned count)
{
    int len = (int)strlen(written), best = len <= 2 ? 1 : len <= 5 ? 2 : 3;
    const char *found = NULL;
    for (unsigned i = 0; i < count; i++) {
        bool capitals = !strcasecmp(written, names[i]),
             too_long = len > LONGEST_COMPARED || strlen(names[i]) > LONGEST_COMPARED;
        int d = !strcmp(written, names[i]) ? 0
                : capitals                 ? 1
                : too_long                 ? INT32_MAX
                                           : table_distance(written, names[i]);
        int longer = (int)strlen(names[i]) > len ? (int)strlen(names[i]) : len;
        if (d && d < longer &&
            (d < best || (d == best && (!found || strcmp(names[i], found) < 0)))) {
            best = d;
            found = names[i];
        }
    }
    return found;
}

/* --- random names ------------------------------------------------------------------------- */

static const char *const alphabets[] = {"01",        "0123456789",
                                        "aAbB",      "abcdefghijklmnopqrstuvwxyz",
                                        "ABab01-_.", "aB\xc3\xa9\xe4-> :/@[`{",
                                        "R1"};
enum { ALPHABETS = sizeof alphabets / sizeof *alphabets };

static void random_name(uint64_t *state, const char *alphabet, char *out)
{
    unsigned len = chance(state, 90) ? pick(state, 9) : pick(state, LONGEST + 1);
    for (unsigned i = 0; i < len; i++)
        out[i] = alphabet[pick(state, (unsigned)strlen(alphabet))];
    out[len] = 0;
}

/* The name with up to four slips in it. */
static void slip(uint64_t *state, const char *alphabet, const char *name, char *out)
{
    snprintf(out, LONGEST + 1, "%s", name);
    for (unsigned slips = pick(state, 5); slips--;) {
        size_t len = strlen(out), at = len ? pick(state, (unsigned)len) : 0;
        char letter = alphabet[pick(state, (unsigned)strlen(alphabet))];
        unsigned sort = pick(state, 5);
        if (sort == 0 && len) {
            memmove(out + at, out + at + 1, len - at);
        } else if (sort == 1 && len < LONGEST) {
            memmove(out + at + 1, out + at, len - at + 1);
            out[at] = letter;
        } else if (sort == 2 && len) {
            out[at] = letter;
        } else if (sort == 3 && at + 1 < len) {
            letter = out[at];
            out[at] = out[at + 1];
            out[at + 1] = letter;
        } else if (sort == 4) {
            for (char *p = out; *p; p++)
                *p = (char)toupper((unsigned char)*p);
        }
    }
}

static void assert_same(const char *written, const char *found, const char *wanted)
{
    if ((found && wanted) ? strcmp(found, wanted) : found != wanted)
        fail_msg("for '%s' '%s' is found, '%s' is nearest", written, found ? found : "nothing",
                 wanted ? wanted : "nothing");
}

/* One list, the same names in three lists, and name by name: all find what the plain search finds.
 */
static void finds_what_a_plain_search_finds(void **unused)
{
    (void)unused;
    static char names[NAMES][LONGEST + 1];
    uint64_t state = 1;
    unsigned found = 0;
    for (unsigned round = 0; round < ROUNDS; round++) {
        const char *alphabet = alphabets[round % ALPHABETS], *all[NAMES];
        struct arena arena = {0};
        near_list one = {0}, three[3];
        unsigned count = 1 + pick(&state, NAMES);
        memset(three, 0, sizeof three);
        for (unsigned i = 0; i < count; i++) {
            random_name(&state, alphabet, names[i]);
            near_add(&arena, &one, names[i]);
            near_add(&arena, &three[pick(&state, 3)], names[i]);
            all[i] = names[i];
        }
        for (unsigned q = 0; q < QUERIES; q++) {
            char written[LONGEST + 1];
            slip(&state, alphabet, names[pick(&state, count)], written);
            if (chance(&state, 20))
                random_name(&state, alphabet, written);
            const char *wanted = plain_search(written, names, count);
            struct nearest a = nearest_to(written), b = nearest_to(written);
            nearest_among(&a, &one);
            for (int i = 0; i < 3; i++)
                nearest_among(&b, &three[i]);
            assert_same(written, a.by_edit, wanted);
            assert_same(written, b.by_edit, wanted);
            struct nearest each = nearest_to(written);
            for (unsigned i = 0; i < count; i++)
                nearest_try(&each, all[i]);
            assert_same(written, each.by_edit, wanted);
            found += wanted != NULL;
        }
        arena_free(&arena);
    }
    assert_true(found > ROUNDS * QUERIES / 2);
    printf("%d searches, %u names found\n", ROUNDS * QUERIES, found);
}

/* The names of each scope by themselves, and those that were filed since the last search too. */
static void lists_of_a_map_grow_with_it(void **unused)
{
    (void)unused;
    struct arena arena = {0};
    struct map things = {0}, lists = {0};
    static const char *const names[] = {"kitchen", "bath", "bedroom"};
    int thing;
    for (unsigned i = 0; i < 3; i++) {
        map_put(&arena, &things, 7, (uintptr_t)names[i], &thing);
        for (unsigned k = 0; k < 3; k++) {
            struct nearest here = nearest_to(names[k] + 1), there = here;
            nearest_among(&here, near_of_map(&arena, &lists, &things, 7));
            nearest_among(&there, near_of_map(&arena, &lists, &things, 8));
            assert_ptr_equal(here.found, k <= i ? names[k] : NULL);
            assert_null(there.found);
        }
    }
    arena_free(&arena);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(finds_what_a_plain_search_finds),
                                       cmocka_unit_test(lists_of_a_map_grow_with_it)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
