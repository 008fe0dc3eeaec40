#include "diag/near.h"

#include "diag/diag.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum {
    LONGEST = 48
}; /* of longer names only those are compared that differ in nothing but small letters and capitals
    */

/* --- one name and another ----------------------------------------------------------------- */

/* Edit distance where two neighbouring letters that changed places count once. */
static unsigned distance(const char *a, size_t m, const char *b, size_t n)
{
    unsigned rows[3][LONGEST + 1];
    unsigned *before = rows[0], *last = rows[1], *now = rows[2];
    for (size_t j = 0; j <= n; j++)
        last[j] = (unsigned)j;
    for (size_t i = 1; i <= m; i++) {
        now[0] = (unsigned)i;
        for (size_t j = 1; j <= n; j++) {
            unsigned best = last[j - 1] + (a[i - 1] != b[j - 1]);
            if (last[j] + 1 < best)
                best = last[j] + 1;
            if (now[j - 1] + 1 < best)
                best = now[j - 1] + 1;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] &&
                before[j - 2] + 1 < best)
                best = before[j - 2] + 1;
            now[j] = best;
        }
        unsigned *spare = before;
        before = last;
        last = now;
        now = spare;
    }
    return last[n];
}

static size_t figures_of(const char *name, char *figures)
{
    size_t n = 0;
    for (; *name && n < LONGEST; name++)
        if (*name >= '0' && *name <= '9')
            figures[n++] = *name;
    return n;
}

bool near_is_slip(const char *written, const char *meant)
{
    enum { LEAST = 4 };
    char figures[LONGEST], others[LONGEST];
    size_t m = strlen(written), n = strlen(meant);
    if (m < LEAST || n < LEAST || m > LONGEST || n > LONGEST)
        return false;
    size_t count = figures_of(written, figures);
    return count == figures_of(meant, others) && !memcmp(figures, others, count) &&
           distance(written, m, meant, n) == 1;
}

/* --- words and their stems ---------------------------------------------------------------- */

/* In longer lists stems are not looked for: they are boxes, not words. */
enum { MOST_WORDS = 8, LEAST_STEM = 4, LEAST_IN_COMMON = 5, MOST_BY_STEM = 512 };

struct words {
    const char *at[MOST_WORDS];
    uint8_t len[MOST_WORDS], n;
};

static struct words split(const char *name)
{
    struct words w = {0};
    while (*name && w.n < MOST_WORDS) {
        size_t len = strcspn(name, "-_ ");
        w.at[w.n] = name;
        w.len[w.n++] = (uint8_t)(len < UINT8_MAX ? len : UINT8_MAX);
        name += len + (name[len] != 0);
    }
    return w;
}

static bool is_letters(const char *word, size_t len)
{
    for (size_t i = 0; i < len; i++)
        if ((word[i] | 32) < 'a' || (word[i] | 32) > 'z')
            return false;
    return true;
}

/* "bath" and "bathroom", "receptacles" and "receptacle": the shorter begins the longer. */
static bool same_stem(const char *a, size_t m, const char *b, size_t n)
{
    size_t shorter = m < n ? m : n;
    if (strncasecmp(a, b, shorter))
        return false;
    return m == n || (shorter >= LEAST_STEM && is_letters(m < n ? a : b, shorter));
}

static struct near_stem stem_of(const char *written, const char *name)
{
    struct words a = split(written), b = split(name);
    bool met[MOST_WORDS] = {false};
    struct near_stem s = {.missed = a.n, .extra = b.n, .place = MOST_WORDS};
    bool long_enough = false;
    for (uint8_t i = 0; i < a.n; i++)
        for (uint8_t k = 0; k < b.n; k++) {
            if (met[k] || !same_stem(a.at[i], a.len[i], b.at[k], b.len[k]))
                continue;
            met[k] = true;
            s.missed--;
            s.extra--;
            s.place = s.place == MOST_WORDS ? i : s.place;
            long_enough |= b.len[k] >= LEAST_IN_COMMON;
            break;
        }
    if (s.extra == b.n)
        return s;
    s.level = !s.missed && !s.extra ? 1 : !s.extra ? 2 : !s.missed ? 3 : long_enough ? 4 : 0;
    return s;
}

static bool is_better(const struct near_stem *a, const char *name, const struct nearest *than)
{
    const struct near_stem *b = &than->stem;
    if (!than->by_stem || a->level != b->level)
        return !than->by_stem || a->level < b->level;
    if (a->missed != b->missed)
        return a->missed < b->missed;
    if (a->extra != b->extra)
        return a->extra < b->extra;
    if (a->place != b->place)
        return a->place < b->place;
    return strcmp(name, than->by_stem) < 0;
}

static void compare_stems(struct nearest *s, const char *name)
{
    struct near_stem stem = stem_of(s->written.text, name);
    if (!stem.level || !strcmp(name, s->written.text) || !is_better(&stem, name, s))
        return;
    s->stem = stem;
    s->by_stem = name;
}

const struct near_word *near_meaning(const near_words *words, const char *written)
{
    for (uint32_t i = 0; words && written && i < words->n; i++)
        if (!strcasecmp(words->at[i].word, written))
            return &words->at[i];
    return NULL;
}

/* --- what is found ------------------------------------------------------------------------ */

static void settle(struct nearest *s)
{
    if (s->meant && s->rank < s->meant->count)
        s->found = s->meant->means[s->rank];
    else
        s->found = s->by_edit && (s->best <= 1 || !s->by_stem) ? s->by_edit : s->by_stem;
}

static void compare_meaning(struct nearest *s, const char *name)
{
    for (uint32_t i = 0; s->meant && i < s->rank; i++)
        if (!strcmp(s->meant->means[i], name))
            s->rank = i;
}

/* Another name of the same distance; the same one may be shown again. */
static void join_near(struct nearest *s, const char *name)
{
    uint8_t at = 0;
    while (at < s->as_near_count && strcmp(s->as_near[at], name) < 0)
        at++;
    if (at < s->as_near_count && !strcmp(s->as_near[at], name))
        return;
    s->more_as_near |= s->as_near_count == NEAR_NAMED;
    if (at == NEAR_NAMED)
        return;
    s->as_near_count += s->as_near_count < NEAR_NAMED;
    for (uint8_t i = s->as_near_count - 1; i > at; i--)
        s->as_near[i] = s->as_near[i - 1];
    s->as_near[at] = name;
    s->by_edit = s->as_near[0];
}

/* `alike`: they may be the same but for capitals: then no other is as near. */
static void compare(struct nearest *s, const char *name, size_t len, bool alike)
{
    const char *written = s->written.text;
    size_t m = s->written.len;
    unsigned d = s->best + 1;
    bool capitals = alike && !strcasecmp(written, name);
    if (capitals) /* AFCI for afci is one slip, not four */
        d = strcmp(written, name) != 0;
    else if (m <= LONGEST && len <= LONGEST && (m > len ? m - len : len - m) <= s->best)
        d = distance(written, m, name, len);
    if (d > s->best || d == 0 || d >= (m > len ? m : len)) /* they have a letter in common */
        return;
    bool had_capitals = s->by_edit && !strcasecmp(written, s->by_edit);
    if (d == s->best && had_capitals && !capitals)
        return;
    if (d < s->best || capitals != had_capitals) {
        s->as_near_count = 0;
        s->more_as_near = false;
    }
    s->best = d;
    join_near(s, name);
}

void nearest_try(struct nearest *s, const char *name)
{
    size_t len = strlen(name);
    compare_meaning(s, name);
    compare(s, name, len, len == s->written.len);
    compare_stems(s, name);
    settle(s);
}

const char *diag_meant(const struct diag *d, const char *name, const char *const *names,
                       uint32_t count)
{
    struct nearest s = nearest_meant(&d->words, name);
    for (uint32_t i = 0; i < count; i++)
        nearest_try(&s, names[i]);
    return s.found;
}

const char *diag_nearest(const char *name, const char *const *names, uint32_t count)
{
    struct nearest s = nearest_to(name);
    for (uint32_t i = 0; i < count; i++)
        nearest_try(&s, names[i]);
    return s.found;
}

const char *nearest_in_words(struct arena *arena, const struct nearest *n, bool *is_one)
{
    bool one = !n->found || n->found != n->by_edit || n->as_near_count < 2;
    if (is_one)
        *is_one = one;
    if (one)
        return n->found ? arena_printf(arena, "'%s'", n->found) : NULL;
    const char *words = arena_printf(arena, "'%s'", n->as_near[0]);
    for (uint8_t i = 1; i < n->as_near_count; i++) {
        bool last = i + 1 == n->as_near_count && !n->more_as_near;
        words = arena_printf(arena, "%s%s'%s'", words, last ? " or " : ", ", n->as_near[i]);
    }
    return n->more_as_near ? arena_printf(arena, "%s or another like them", words) : words;
}

/* --- at a glance -------------------------------------------------------------------------- */

/* Letters that share a bit only make the glance less sure. */
static uint64_t bit_of(unsigned char c)
{
    enum { DIGITS = 26, OTHERS = 36, OTHER_BITS = 64 - OTHERS };
    if (c >= '0' && c <= '9')
        return 1ull << (DIGITS + c - '0');
    unsigned letter = (c | 32u) - 'a';
    return 1ull << (c < 128 && letter < DIGITS ? letter : OTHERS + c % (unsigned)OTHER_BITS);
}

static struct near_name glance(const char *text)
{
    struct near_name g = {.text = text};
    for (; text[g.len]; g.len++) {
        uint64_t bit = bit_of((unsigned char)text[g.len]);
        g.twice |= g.once & bit;
        g.once |= bit;
    }
    return g;
}

static int by_letters(const void *va, const void *vb)
{
    const struct near_name *a = va, *b = vb;
    if (a->once != b->once)
        return a->once < b->once ? -1 : 1;
    if (a->twice != b->twice)
        return a->twice < b->twice ? -1 : 1;
    return a->len < b->len ? -1 : a->len > b->len;
}

static void make_groups(near_list *list)
{
    struct near_name *at = list->names.at;
    uint32_t n = list->names.n;
    if (n)
        qsort(at, n, sizeof *at, by_letters);
    for (uint32_t first = 0, i = 0; i < n; i++) {
        if (by_letters(&at[first], &at[i]))
            first = i;
        at[first].group = i + 1 - first;
    }
    list->grouped = true;
}

/* Whether more bits are set than so many, which are few. */
static bool more_bits(uint64_t bits, unsigned most)
{
    while (most--)
        bits &= bits - 1;
    return bits;
}

/* Letters of the one that the other lacks; of each the first two are counted. */
static unsigned lacking(const struct near_name *a, const struct near_name *b)
{
    return (unsigned)(__builtin_popcountll(a->once & ~b->once) +
                      __builtin_popcountll(a->twice & ~b->twice));
}

/* An edit takes away one letter at most, and brings one: names differ in no more letters than they
 * are edits apart. */
static bool too_far(const struct near_name *a, const struct near_name *b, unsigned most)
{
    return more_bits(a->once & ~b->once, most) || more_bits(b->once & ~a->once, most) ||
           (a->len > b->len ? a->len - b->len : b->len - a->len) > most || lacking(a, b) > most ||
           lacking(b, a) > most;
}

struct nearest nearest_to(const char *written)
{
    struct nearest s = {.written = glance(written)};
    s.best = s.written.len <= 2 ? 1 : s.written.len <= 5 ? 2 : 3;
    return s;
}

struct nearest nearest_meant(const near_words *words, const char *written)
{
    struct nearest s = nearest_to(written);
    s.meant = near_meaning(words, written);
    s.rank = s.meant ? s.meant->count : 0;
    return s;
}

void near_add(struct arena *arena, near_list *list, const char *text)
{
    *vec_push(arena, &list->names) = glance(text);
    list->grouped = false;
}

static void try_groups(struct nearest *s, const near_list *list, unsigned most)
{
    const struct near_name *end = list->names.at + list->names.n;
    for (const struct near_name *group = list->names.at; group < end; group += group->group) {
        if (too_far(&s->written, group, most < s->best ? most : s->best))
            continue;
        bool alike = !by_letters(&s->written, group);
        for (uint32_t i = 0; i < group->group; i++)
            compare(s, group[i].text, group[i].len, alike);
    }
}

/* Whether a list has a name, to the letter. */
static bool has(const near_list *list, const char *name)
{
    struct near_name like = glance(name);
    const struct near_name *end = list->names.at + list->names.n;
    for (const struct near_name *group = list->names.at; group < end; group += group->group)
        for (uint32_t i = 0; !by_letters(&like, group) && i < group->group; i++)
            if (!strcmp(group[i].text, name))
                return true;
    return false;
}

/* What is one edit away stands in few groups: it is looked for first; what is meant, before all. */
void nearest_among(struct nearest *s, near_list *list)
{
    if (!list->grouped)
        make_groups(list);
    for (uint32_t i = 0; s->meant && i < s->rank; i++)
        if (has(list, s->meant->means[i]))
            s->rank = i;
    try_groups(s, list, 1);
    if (s->best > 1)
        try_groups(s, list, s->best);
    bool few = list->names.n <= MOST_BY_STEM;
    for (uint32_t i = 0; few && s->best > 1 && i < list->names.n; i++)
        compare_stems(s, list->names.at[i].text);
    settle(s);
}

/* --- the names of a map ------------------------------------------------------------------- */

struct map_lists {
    uint32_t n;          /* what the map held when they were made */
    struct map of_scope; /* (scope, 1) -> near_list */
};

static near_list *list_of(struct arena *arena, struct map_lists *lists, uintptr_t scope)
{
    void **at = map_at(arena, &lists->of_scope, scope, 1);
    if (!*at)
        *at = arena_new(arena, near_list);
    return *at;
}

static void fill_lists(struct arena *arena, struct map_lists *lists, const struct map *m)
{
    for (uint32_t i = 0; i < lists->of_scope.cap; i++)
        if (lists->of_scope.slot[i].value)
            ((near_list *)lists->of_scope.slot[i].value)->names.n = 0;
    for (uint32_t i = 0; i < m->cap; i++)
        if (m->slot[i].value)
            near_add(arena, list_of(arena, lists, m->slot[i].a), (const char *)m->slot[i].b);
    lists->n = m->n;
}

near_list *near_of_map(struct arena *arena, struct map *lists, const struct map *m, uintptr_t scope)
{
    void **at = map_at(arena, lists, (uintptr_t)m, 0);
    if (!*at)
        *at = arena_new(arena, struct map_lists);
    struct map_lists *made = *at;
    if (made->n != m->n)
        fill_lists(arena, made, m);
    return list_of(arena, made, scope);
}
