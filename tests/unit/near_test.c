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

/* Twice the edits; of letters that differ only as small ones and capitals, one edit: they are the
 * nearest of all. INT32_MAX: no slip at all. */
static int plain_distance(const char *written, const char *name)
{
    int len = (int)strlen(written), n = (int)strlen(name), longer = n > len ? n : len,
        most = len <= 2   ? 1
               : len <= 5 ? 2
                          : 3;
    bool capitals = !strcasecmp(written, name),
         too_long = len > LONGEST_COMPARED || n > LONGEST_COMPARED;
    if (!strcmp(written, name) || (too_long && !capitals))
        return INT32_MAX;
    int d = capitals ? 1 : table_distance(written, name);
    return d > most || d >= longer ? INT32_MAX : 2 * d - capitals;
}

/* What is nearest by edits, in the order of the alphabet: how many, each once. A slip is one edit
 * in two letters, two in five, three in more; never all letters of both. */
static unsigned plain_search(const char *written, char names[][LONGEST + 1], unsigned count,
                             const char *found[NAMES])
{
    int best = INT32_MAX;
    unsigned n = 0;
    for (unsigned i = 0; i < count; i++) {
        int d = plain_distance(written, names[i]);
        best = d < best ? d : best;
    }
    for (unsigned i = 0; i < count && best < INT32_MAX; i++) {
        unsigned at = 0;
        while (at < n && strcmp(found[at], names[i]) < 0)
            at++;
        if (plain_distance(written, names[i]) != best || (at < n && !strcmp(found[at], names[i])))
            continue;
        memmove(&found[at + 1], &found[at], (n - at) * sizeof *found);
        found[at] = names[i];
        n++;
    }
    return n;
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

static void assert_same(const char *written, const struct nearest *s, const char *const *wanted,
                        unsigned count)
{
    bool same = s->as_near_count == (count < NEAR_NAMED ? count : NEAR_NAMED) &&
                s->more_as_near == (count > NEAR_NAMED) &&
                (count ? s->by_edit == s->as_near[0] : !s->by_edit);
    for (unsigned i = 0; same && i < s->as_near_count; i++)
        same = !strcmp(s->as_near[i], wanted[i]);
    if (!same)
        fail_msg("for '%s' '%s' and %u more are found, '%s' and %u more are nearest", written,
                 s->by_edit ? s->by_edit : "nothing", s->as_near_count,
                 count ? wanted[0] : "nothing", count);
}

/* One list, the same names in three lists, and name by name: all find what the plain search finds.
 */
static void finds_what_a_plain_search_finds(void **unused)
{
    (void)unused;
    static char names[NAMES][LONGEST + 1];
    uint64_t state = 1;
    unsigned found = 0, several = 0;
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
            const char *wanted[NAMES + 1];
            unsigned wants = plain_search(written, names, count, wanted);
            struct nearest a = nearest_to(written), b = nearest_to(written);
            nearest_among(&a, &one);
            for (int i = 0; i < 3; i++)
                nearest_among(&b, &three[i]);
            assert_same(written, &a, wanted, wants);
            assert_same(written, &b, wanted, wants);
            struct nearest each = nearest_to(written);
            for (unsigned i = 0; i < count; i++)
                nearest_try(&each, all[i]);
            assert_same(written, &each, wanted, wants);
            found += wants != 0;
            several += wants > 1;
        }
        arena_free(&arena);
    }
    assert_true(found > ROUNDS * QUERIES / 2);
    assert_true(several > ROUNDS);
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
