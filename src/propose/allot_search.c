/* Groups of many pieces: begun in two ways, bettered by moving pieces, and by taking whole groups
 * apart. Nothing is drawn at random. */
#include "propose/allot_work.h"

#include <math.h>
#include <string.h>

/* What is no more than this is no gain: steps come to an end. */
static const double no_gain = 1e-6;

static void copy_groups(struct allot_groups *to, const struct allot_groups *from)
{
    to->count = from->count;
    to->cost = from->cost;
    for (uint32_t g = 0; g < from->count; g++) {
        memcpy(to->of[g].at, from->of[g].at, from->of[g].n * sizeof *from->of[g].at);
        to->of[g].n = from->of[g].n;
        to->of[g].cost = from->of[g].cost;
    }
}

static bool may(const struct allot_part *w, const uint32_t *pieces, uint32_t n)
{
    return n <= 1 || w->asked->may(w->asked->of, pieces, n);
}

static double cost(const struct allot_part *w, const uint32_t *pieces, uint32_t n)
{
    return n ? w->asked->cost(w->asked->of, pieces, n) : 0;
}

static bool is_better(const struct allot_groups *a, const struct allot_groups *b)
{
    return a->count < b->count || (a->count == b->count && a->cost < b->cost - no_gain);
}

static void drop_group(struct allot_groups *s, uint32_t g)
{
    struct allot_group gone = s->of[g];
    s->cost -= gone.cost;
    gone.n = 0;
    gone.cost = 0;
    memmove(&s->of[g], &s->of[g + 1], (s->count - g - 1) * sizeof *s->of);
    s->of[--s->count] = gone;
}

/* A group by its pieces in the order of the part: of the same pieces always the same. */
static void set_group(const struct allot_part *w, struct allot_groups *s, struct allot_group *g,
                      const uint32_t *pieces, uint32_t n)
{
    for (uint32_t i = 0; i < n; i++) {
        uint32_t k = i;
        for (; k && g->at[k - 1] > pieces[i]; k--)
            g->at[k] = g->at[k - 1];
        g->at[k] = pieces[i];
    }
    g->n = n;
    s->cost -= g->cost;
    g->cost = cost(w, g->at, n);
    s->cost += g->cost;
}

/* The pieces of a group without one of them (its place; n: none), and with one more (UINT32_MAX:
 * none). */
static uint32_t changed(const struct allot_group *g, uint32_t without, uint32_t more, uint32_t *out)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < g->n; i++)
        if (i != without)
            out[n++] = g->at[i];
    if (more != UINT32_MAX)
        out[n++] = more;
    return n;
}

/* --- how it begins ------------------------------------------------------------------------ */

struct merger {
    uint32_t a, b;
    double gain;
};

/* The two groups that gain most as one; of equals the first. */
static struct merger best_merger(const struct allot_part *w, const struct allot_groups *s,
                                 double *gains, uint32_t *both)
{
    struct merger best = {.gain = -INFINITY};
    for (uint32_t a = 0; a < s->count; a++)
        for (uint32_t b = a + 1; b < s->count; b++) {
            double *gain = &gains[a * (w->n + 1) + b];
            if (isnan(*gain)) {
                memcpy(both, s->of[a].at, s->of[a].n * sizeof *both);
                memcpy(both + s->of[a].n, s->of[b].at, s->of[b].n * sizeof *both);
                uint32_t n = s->of[a].n + s->of[b].n;
                *gain =
                    may(w, both, n) ? s->of[a].cost + s->of[b].cost - cost(w, both, n) : -INFINITY;
            }
            if (*gain > best.gain + no_gain)
                best = (struct merger){a, b, *gain};
        }
    return best;
}

/* What is known of the gains when group b has gone into group a, and the last one took its place
 * in the row: those behind b move up. */
static void forget_gains(const struct allot_part *w, double *gains, uint32_t count, uint32_t a,
                         uint32_t b)
{
    uint32_t wide = w->n + 1;
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = i + 1; k < count; k++) {
            uint32_t from_i = i >= b ? i + 1 : i, from_k = k >= b ? k + 1 : k;
            gains[i * wide + k] = gains[from_i * wide + from_k];
        }
    for (uint32_t i = 0; i < count; i++)
        gains[(i < a ? i : a) * wide + (i < a ? a : i)] = NAN;
}

/* Each piece by itself, then always the two groups together that gain most, as long as two may. */
static struct allot_groups *merge_up(const struct allot_part *w)
{
    struct allot_groups *s = allot_no_groups(w);
    uint32_t *both = arena_array(w->scratch, uint32_t, w->n + 1),
             wanted = allot_wanted(w->asked, w->pieces, w->n);
    double *gains = arena_array(w->scratch, double, (size_t)(w->n + 1) * (w->n + 1));
    for (size_t i = 0; i < (size_t)(w->n + 1) * (w->n + 1); i++)
        gains[i] = NAN;
    for (uint32_t i = 0; i < w->n; i++)
        set_group(w, s, &s->of[s->count++], &w->pieces[i], 1);
    while (s->count > wanted) {
        struct merger m = best_merger(w, s, gains, both);
        if (m.gain == -INFINITY)
            break;
        struct allot_group *a = &s->of[m.a], *b = &s->of[m.b];
        memcpy(both, a->at, a->n * sizeof *both);
        memcpy(both + a->n, b->at, b->n * sizeof *both);
        set_group(w, s, a, both, a->n + b->n);
        drop_group(s, m.b);
        forget_gains(w, gains, s->count, m.a, m.b);
    }
    return s;
}

/* The pieces from the farthest on, each behind its nearest. */
static uint32_t *along(const struct allot_part *w)
{
    uint32_t *order = arena_array(w->scratch, uint32_t, w->n + 1);
    memcpy(order, w->pieces, w->n * sizeof *order);
    for (uint32_t i = 0; i < w->n; i++) {
        uint32_t best = i;
        double least = INFINITY;
        for (uint32_t k = i; k < w->n; k++) {
            double far = cost(w, &order[k], 1),
                   value = i ? cost(w, (uint32_t[]){order[i - 1], order[k]}, 2) - far : -far;
            if (value < least - no_gain) {
                least = value;
                best = k;
            }
        }
        uint32_t chosen = order[best];
        memmove(&order[i + 1], &order[i], (best - i) * sizeof *order);
        order[i] = chosen;
    }
    return order;
}

/* That row cut into the fewest groups, and of these the cheapest. */
static struct allot_groups *cut_up(const struct allot_part *w)
{
    const uint32_t *row = along(w);
    uint32_t *few = arena_array(w->scratch, uint32_t, w->n + 1),
             *from = arena_array(w->scratch, uint32_t, w->n + 1);
    double *best = arena_array(w->scratch, double, w->n + 1);
    for (uint32_t end = 1; end <= w->n; end++) {
        few[end] = UINT32_MAX;
        for (uint32_t start = end; start-- > 0 && may(w, &row[start], end - start);) {
            double all = best[start] + cost(w, &row[start], end - start);
            if (few[start] + 1 < few[end] ||
                (few[start] + 1 == few[end] && all < best[end] - no_gain)) {
                few[end] = few[start] + 1;
                best[end] = all;
                from[end] = start;
            }
        }
    }
    struct allot_groups *s = allot_no_groups(w);
    for (uint32_t end = w->n; end; end = from[end])
        set_group(w, s, &s->of[s->count++], &row[from[end]], end - from[end]);
    return s;
}

/* --- how it is bettered ------------------------------------------------------------------- */

/* Two lists of pieces for groups that are tried. */
struct trial {
    uint32_t *a, *b, in_a, in_b;
};

static double gain_of(const struct allot_part *w, const struct allot_groups *s, uint32_t a,
                      uint32_t b, const struct trial *t)
{
    if (!may(w, t->b, t->in_b) || !may(w, t->a, t->in_a))
        return -INFINITY;
    return s->of[a].cost + s->of[b].cost - cost(w, t->a, t->in_a) - cost(w, t->b, t->in_b);
}

static void take(const struct allot_part *w, struct allot_groups *s, uint32_t a, uint32_t b,
                 const struct trial *t)
{
    set_group(w, s, &s->of[a], t->a, t->in_a);
    set_group(w, s, &s->of[b], t->b, t->in_b);
}

/* A piece of group a into group b, or in exchange for one of it; true where that was a gain. */
static bool better_two(const struct allot_part *w, struct allot_groups *s, uint32_t a, uint32_t b,
                       struct trial *t)
{
    for (uint32_t i = 0; i < s->of[a].n; i++)
        for (uint32_t k = 0; k <= s->of[b].n; k++) {
            bool one_way = k == s->of[b].n;
            if (one_way && s->of[a].n == 1)
                continue;
            t->in_a = changed(&s->of[a], i, one_way ? UINT32_MAX : s->of[b].at[k], t->a);
            t->in_b = changed(&s->of[b], k, s->of[a].at[i], t->b);
            if (gain_of(w, s, a, b, t) > no_gain) {
                take(w, s, a, b, t);
                return true;
            }
        }
    return false;
}

static bool better_any(const struct allot_part *w, struct allot_groups *s, struct trial *t)
{
    bool any = false;
    for (uint32_t a = 0; a < s->count; a++)
        for (uint32_t b = 0; b < s->count; b++)
            while (a != b && better_two(w, s, a, b, t))
                any = true;
    return any;
}

/* The cheapest other group for a piece; UINT32_MAX: none takes it. */
static uint32_t place_for(const struct allot_part *w, const struct allot_groups *s, uint32_t not_in,
                          uint32_t piece, uint32_t *tried)
{
    uint32_t best = UINT32_MAX;
    double least = INFINITY;
    for (uint32_t g = 0; g < s->count; g++) {
        uint32_t n = changed(&s->of[g], UINT32_MAX, piece, tried);
        if (g == not_in || !may(w, tried, n))
            continue;
        double more = cost(w, tried, n) - s->of[g].cost;
        if (more < least - no_gain) {
            least = more;
            best = g;
        }
    }
    return best;
}

/* One group fewer: each piece of it goes where it costs least. False where one finds no place. */
static bool take_apart(const struct allot_part *w, struct allot_groups *s, uint32_t g,
                       uint32_t *tried)
{
    while (s->of[g].n) {
        uint32_t piece = s->of[g].at[s->of[g].n - 1], to = place_for(w, s, g, piece, tried);
        if (to == UINT32_MAX)
            return false;
        uint32_t n = changed(&s->of[to], UINT32_MAX, piece, tried);
        set_group(w, s, &s->of[to], tried, n);
        s->of[g].n--;
    }
    drop_group(s, g);
    return true;
}

/* Fewer groups, as far as taking single ones apart leads. */
static void take_away(const struct allot_part *w, struct allot_groups *s, uint32_t least,
                      struct trial *t)
{
    struct allot_groups *tried = allot_no_groups(w);
    for (uint32_t g = 0; g < s->count && s->count > least; g++) {
        copy_groups(tried, s);
        if (!take_apart(w, tried, g, t->a))
            continue;
        copy_groups(s, tried);
        g = UINT32_MAX; /* begin anew */
    }
}

/* As many groups as are wanted: the piece that costs least by itself leaves its group. */
static void part_more(const struct allot_part *w, struct allot_groups *s, uint32_t wanted,
                      struct trial *t)
{
    while (s->count < wanted) {
        uint32_t from = 0, which = 0;
        double least = INFINITY;
        for (uint32_t g = 0; g < s->count; g++)
            for (uint32_t i = 0; i < s->of[g].n && s->of[g].n > 1; i++) {
                uint32_t n = changed(&s->of[g], i, UINT32_MAX, t->a);
                double more = cost(w, t->a, n) + cost(w, &s->of[g].at[i], 1) - s->of[g].cost;
                if (more < least - no_gain) {
                    least = more;
                    from = g;
                    which = i;
                }
            }
        uint32_t piece = s->of[from].at[which], n = changed(&s->of[from], which, UINT32_MAX, t->a);
        set_group(w, s, &s->of[from], t->a, n);
        set_group(w, s, &s->of[s->count++], &piece, 1);
    }
}

struct allot_groups *allot_search(struct allot_part *w)
{
    struct allot_groups *ways[] = {merge_up(w), cut_up(w)}, *best = NULL;
    uint32_t wanted = allot_wanted(w->asked, w->pieces, w->n),
             least = allot_least(w->asked, w->scratch, w->pieces, w->n);
    struct trial t = {.a = arena_array(w->scratch, uint32_t, w->n + 1),
                      .b = arena_array(w->scratch, uint32_t, w->n + 1)};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++) {
        struct allot_groups *s = ways[i];
        part_more(w, s, wanted, &t);
        do
            take_away(w, s, least, &t);
        while (better_any(w, s, &t));
        best = !best || is_better(s, best) ? s : best;
    }
    return best;
}
