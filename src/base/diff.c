#include "base/diff.h"

#include "base/map.h"

#include <string.h>

enum { MOST_CHANGES = 1000, CONTEXT = 3 };

struct text_line {
    const char *at;
    size_t len; /* with its newline */
    uint64_t hash;
};

struct text {
    struct text_line *line;
    int32_t count;
};

/* A stretch of lines that go and of lines that come. */
struct change {
    int32_t old, new, gone, come;
};

struct differ {
    struct arena arena;
    struct text old, new;
    int32_t before; /* lines that are alike at the start */
    VEC(struct change) changes;
};

static struct text lines_of(struct arena *arena, const char *bytes, size_t size)
{
    int32_t count = 0;
    for (size_t i = 0; i < size; i++)
        count += bytes[i] == '\n';
    count += size && bytes[size - 1] != '\n';
    struct text t = {arena_array(arena, struct text_line, (size_t)count + 1), count};
    const char *at = bytes;
    for (int32_t i = 0; i < count; i++) {
        const char *newline = memchr(at, '\n', size - (size_t)(at - bytes));
        size_t len = newline ? (size_t)(newline + 1 - at) : size - (size_t)(at - bytes);
        t.line[i] = (struct text_line){at, len, map_hash_bytes(at, len)};
        at += len;
    }
    return t;
}

static bool alike(const struct differ *d, int32_t i, int32_t k)
{
    const struct text_line *a = &d->old.line[i], *b = &d->new.line[k];
    return a->hash == b->hash && a->len == b->len && !memcmp(a->at, b->at, a->len);
}

/* --- the way ------------------------------------------------------------------------------ */

/* One line that goes or comes, found from the end to the start. */
static void put_change(struct differ *d, int32_t old, int32_t new, bool gone)
{
    struct change *last = d->changes.n ? &d->changes.at[d->changes.n - 1] : NULL;
    if (last && last->old == old + gone && last->new == new + !gone) {
        last->old = old;
        last->new = new;
        last->gone += gone;
        last->come += !gone;
        return;
    }
    *vec_push(&d->arena, &d->changes) = (struct change){old, new, gone, !gone};
}

/* How far one comes on diagonal k (old line less new line) with so many changes. */
static int32_t furthest(const int32_t *far, int32_t changes, int32_t k)
{
    return k < -changes || k > changes || (k + changes) % 2 ? -1 : far[(k + changes) / 2];
}

static bool comes_from_new(const int32_t *far, int32_t changes, int32_t k)
{
    int32_t by_old = furthest(far, changes - 1, k - 1), by_new = furthest(far, changes - 1, k + 1);
    return k == -changes || (k != changes && by_old < by_new);
}

static void walk_back(struct differ *d, int32_t *const *far, int32_t changes, int32_t m, int32_t n)
{
    int32_t x = m, y = n;
    for (int32_t c = changes; c > 0; c--) {
        int32_t k = x - y;
        bool down = comes_from_new(far[c - 1], c, k);
        int32_t from = down ? k + 1 : k - 1;
        x = furthest(far[c - 1], c - 1, from);
        y = x - from;
        put_change(d, d->before + x, d->before + y, !down);
    }
}

/* False where there are too many. */
static bool find_changes(struct differ *d, int32_t m, int32_t n)
{
    int32_t **far = arena_array(&d->arena, int32_t *, MOST_CHANGES + 1);
    for (int32_t c = 0; c <= MOST_CHANGES; c++) {
        far[c] = arena_array(&d->arena, int32_t, c + 1);
        for (int32_t k = -c; k <= c; k += 2) {
            int32_t x = !c                                 ? 0
                        : comes_from_new(far[c - 1], c, k) ? furthest(far[c - 1], c - 1, k + 1)
                                                           : furthest(far[c - 1], c - 1, k - 1) + 1;
            while (x < m && x - k < n && x >= k && x - k >= 0 &&
                   alike(d, d->before + x, d->before + x - k))
                x++;
            far[c][(k + c) / 2] = x;
            if (x >= m && x - k >= n) {
                walk_back(d, far, c, m, n);
                return true;
            }
        }
    }
    return false;
}

static void compare(struct differ *d)
{
    int32_t m = d->old.count, n = d->new.count, behind = 0;
    while (d->before < m && d->before < n && alike(d, d->before, d->before))
        d->before++;
    while (behind < m - d->before && behind < n - d->before &&
           alike(d, m - 1 - behind, n - 1 - behind))
        behind++;
    m -= d->before + behind;
    n -= d->before + behind;
    if (!find_changes(d, m, n))
        *vec_push(&d->arena, &d->changes) = (struct change){d->before, d->before, m, n};
}

/* --- writing ------------------------------------------------------------------------------ */

static void put_lines(struct buf *out, char sign, const struct text *t, int32_t from, int32_t to)
{
    for (int32_t i = from; i < to; i++) {
        buf_putc(out, sign);
        buf_add(out, t->line[i].at, t->line[i].len);
        if (t->line[i].at[t->line[i].len - 1] != '\n')
            buf_puts(out, "\n\\ No newline at end of file\n");
    }
}

static void put_range(struct buf *out, char sign, int32_t from, int32_t count)
{
    buf_printf(out, "%c%d", sign, count ? from + 1 : from);
    if (count != 1)
        buf_printf(out, ",%d", count);
}

/* The changes first..last, which lie close together; they stand from the end to the start. */
static void put_hunk(struct buf *out, const struct differ *d, uint32_t first, uint32_t last)
{
    const struct change *a = &d->changes.at[first], *z = &d->changes.at[last];
    int32_t lead = a->old < CONTEXT ? a->old : CONTEXT, end = z->old + z->gone + CONTEXT;
    end = end < d->old.count ? end : d->old.count;
    int32_t new_end = z->new + z->come + (end - z->old - z->gone);
    buf_puts(out, "@@ ");
    put_range(out, '-', a->old - lead, end - a->old + lead);
    buf_putc(out, ' ');
    put_range(out, '+', a->new - lead, new_end - a->new + lead);
    buf_puts(out, " @@\n");
    int32_t at = a->old - lead;
    for (uint32_t i = first + 1; i-- > last;) {
        const struct change *c = &d->changes.at[i];
        put_lines(out, ' ', &d->old, at, c->old);
        put_lines(out, '-', &d->old, c->old, c->old + c->gone);
        put_lines(out, '+', &d->new, c->new, c->new + c->come);
        at = c->old + c->gone;
    }
    put_lines(out, ' ', &d->old, at, end);
}

void diff_unified(struct buf *out, const char *path, const char *old, size_t old_size,
                  const char *new, size_t new_size)
{
    if (old_size == new_size && !memcmp(old, new, new_size))
        return;
    struct differ d = {0};
    d.old = lines_of(&d.arena, old, old_size);
    d.new = lines_of(&d.arena, new, new_size);
    compare(&d);
    buf_printf(out, "--- %s\n+++ %s\n", path, path);
    for (uint32_t i = d.changes.n; i-- > 0;) {
        uint32_t first = i;
        while (i &&
               d.changes.at[i - 1].old - d.changes.at[i].old - d.changes.at[i].gone <= 2 * CONTEXT)
            i--;
        put_hunk(out, &d, first, i);
    }
    arena_free(&d.arena);
}
