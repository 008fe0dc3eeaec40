#include "cuts/pack_strands.h"

#include <stdlib.h>
#include <string.h>

/* What is made least, the first first: length left out; length and coils bought without a price
 * where there are prices; money, or length where there are none; coils. */
enum { LEFT_OUT, UNPRICED, UNPRICED_COILS, FIGURE, COILS, FIGURES };

struct figures {
    int64_t of[FIGURES];
};

/* Work on a question beside what pack_plan counts, for each piece. */
enum { STEPS_A_PIECE = 100 };

struct strand_search {
    struct arena *scratch;
    const struct pack_strands_asked *asked;
    bool priced;
    bool simple; /* nothing is left out and no coil counted apart: pack_plan is exact in one step */
    bool *joined;               /* by piece: pulled as one with the next of its strand */
    struct pack_piece *segment; /* what is packed: joined pieces as one */
    uint32_t *first_of;         /* by segment: its first piece; one more behind the last */
    uint32_t *order;            /* strands that may stay whole, the longest first */
    uint32_t count;
    uint32_t *coil_apart; /* by piece: its coil, + 1, where all are apart; 0: it is left out */
    uint64_t steps;
    bool in_doubt; /* some question was not answered */
    struct figures target;
    struct best {
        struct arena arena; /* of what follows */
        bool *joined;
        struct pack_result pack;
        uint32_t *first_of;
        uint32_t broken, parts;
    } best;
};

/* --- what a packing costs ----------------------------------------------------------------- */

static struct figures figures_of(const struct strand_search *s, const struct pack_result *r,
                                 const struct pack_piece *pieces)
{
    struct figures f = {{0}};
    for (uint32_t i = 0; i < r->too_long_count; i++)
        f.of[LEFT_OUT] += pieces[r->too_long[i]].length;
    for (uint32_t i = 0; i < r->missing_count; i++)
        f.of[LEFT_OUT] += pieces[r->missing[i]].length;
    for (uint32_t i = 0; i < r->coil_count; i++) {
        const struct pack_coil *coil = &r->coils[i];
        const struct pack_stock *stock = &s->asked->stocks[coil->stock];
        bool unpriced = s->priced && stock->price < 0;
        if (coil->on_hand && !(s->asked->counted && s->asked->counted[coil->stock]))
            continue;
        f.of[unpriced ? UNPRICED_COILS : COILS]++;
        f.of[unpriced ? UNPRICED : FIGURE] += unpriced || !s->priced ? stock->length : stock->price;
    }
    return f;
}

static int compare_figures(const struct figures *a, const struct figures *b)
{
    for (int i = 0; i < FIGURES; i++)
        if (a->of[i] != b->of[i])
            return a->of[i] < b->of[i] ? -1 : 1;
    return 0;
}

/* Whether no more of a coil is bought than there are. */
static bool is_to_be_had(const struct strand_search *s, struct arena *arena,
                         const struct pack_result *r)
{
    if (!s->asked->most)
        return true;
    uint32_t *bought = arena_array(arena, uint32_t, s->asked->stock_count + 1);
    for (uint32_t i = 0; i < r->coil_count; i++)
        if (!r->coils[i].on_hand && ++bought[r->coils[i].stock] > s->asked->most[r->coils[i].stock])
            return false;
    return true;
}

/* --- parts -------------------------------------------------------------------------------- */

static void cut_segments(struct strand_search *s, const bool *joined, uint32_t *count)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < s->asked->piece_count; i++) {
        if (i && joined[i - 1]) {
            s->segment[n - 1].length += s->asked->pieces[i].length;
            continue;
        }
        s->first_of[n] = i;
        s->segment[n++] = s->asked->pieces[i];
    }
    s->first_of[n] = s->asked->piece_count;
    *count = n;
}

/* Pieces of one strand that follow each other and lie on one coil are one part. */
static bool *joined_by(const struct strand_search *s, struct arena *arena,
                       const struct pack_result *r, const uint32_t *first_of)
{
    uint32_t n = s->asked->piece_count;
    uint32_t *coil_of = arena_array(arena, uint32_t, n + 1);
    bool *joined = arena_array(arena, bool, n + 1);
    for (uint32_t b = 0; b < r->coil_count; b++)
        for (uint32_t i = 0; i < r->coils[b].count; i++) {
            uint32_t segment = r->order[r->coils[b].first + i];
            for (uint32_t k = first_of[segment]; k < first_of[segment + 1]; k++)
                coil_of[k] = b + 1;
        }
    for (uint32_t i = 0; i < s->asked->strand_count; i++) {
        const struct pack_strand *strand = &s->asked->strands[i];
        for (uint32_t k = strand->first; k + 1 < strand->first + strand->count; k++)
            joined[k] = coil_of[k] && coil_of[k] == coil_of[k + 1];
    }
    return joined;
}

static bool is_whole(const struct pack_strand *strand, const bool *joined)
{
    for (uint32_t k = strand->first; k + 1 < strand->first + strand->count; k++)
        if (!joined[k])
            return false;
    return true;
}

/* Keeps a packing, with the arena that it lies in, where it breaks fewer strands, or as many into
 * fewer parts; one that costs less than all before whatever it breaks. */
static void keep(struct strand_search *s, struct arena *arena, const struct pack_result *r,
                 uint32_t segments, bool cheaper)
{
    struct best found = {.joined = joined_by(s, arena, r, s->first_of), .pack = *r};
    for (uint32_t i = 0; i < s->asked->strand_count; i++)
        found.broken += !is_whole(&s->asked->strands[i], found.joined);
    for (uint32_t i = 0; i < s->asked->piece_count; i++)
        found.parts += !found.joined[i];
    if (s->best.joined && !cheaper &&
        (found.broken > s->best.broken ||
         (found.broken == s->best.broken && found.parts >= s->best.parts))) {
        arena_free(arena);
        return;
    }
    found.first_of = arena_array(arena, uint32_t, segments + 1);
    memcpy(found.first_of, s->first_of, (segments + 1) * sizeof *found.first_of);
    found.arena = *arena;
    arena_free(&s->best.arena);
    s->best = found;
}

/* --- laid into the coils that all apart come to ------------------------------------------- */

/* What is laid as one: a strand, or a piece of one that is broken. */
struct laid {
    length length;
    uint32_t first, count;
};

static int compare_laid(const void *pa, const void *pb)
{
    const struct laid *a = pa, *b = pb;
    if (a->length != b->length)
        return a->length > b->length ? -1 : 1;
    return a->first < b->first ? -1 : a->first > b->first;
}

/* Coils while they are filled. */
struct bins {
    const struct pack_result *apart;
    length *room;
    uint32_t *coil_of; /* by piece, + 1; 0: it is left out */
};

/* Into the coil with the least room that holds it. */
static bool lay(struct bins *bins, const struct laid *piece)
{
    uint32_t best = UINT32_MAX;
    for (uint32_t b = 0; b < bins->apart->coil_count; b++)
        if (bins->room[b] >= piece->length &&
            (best == UINT32_MAX || bins->room[b] < bins->room[best]))
            best = b;
    if (best == UINT32_MAX)
        return false;
    bins->room[best] -= piece->length;
    for (uint32_t k = 0; k < piece->count; k++)
        bins->coil_of[piece->first + k] = best + 1;
    return true;
}

/* Strands whole, the longest first, but for the `broken` shortest of several pieces and those that
 * find no coil; the pieces of these then, where they do. */
static bool lay_all(const struct strand_search *s, struct arena *arena, struct bins *bins,
                    uint32_t broken)
{
    const struct pack_strands_asked *asked = s->asked;
    struct laid *list = arena_array(arena, struct laid, asked->strand_count + 1),
                *pieces = arena_array(arena, struct laid, asked->piece_count + 1);
    bool *breaks = arena_array(arena, bool, asked->strand_count + 1);
    uint32_t n = 0, later = 0;
    for (uint32_t i = s->count - broken; i < s->count; i++)
        breaks[s->order[i]] = true;
    for (uint32_t b = 0; b < bins->apart->coil_count; b++)
        bins->room[b] = asked->stocks[bins->apart->coils[b].stock].length;
    for (uint32_t i = 0; i < asked->strand_count; i++) {
        struct laid strand = {0, asked->strands[i].first, asked->strands[i].count};
        bool left_out = false;
        for (uint32_t k = strand.first; k < strand.first + strand.count; k++) {
            strand.length += asked->pieces[k].length;
            left_out |= !s->coil_apart[k];
        }
        if (!breaks[i] && !left_out)
            list[n++] = strand;
        for (uint32_t k = 0; k < strand.count && (breaks[i] || left_out); k++)
            if (s->coil_apart[strand.first + k])
                pieces[later++] =
                    (struct laid){asked->pieces[strand.first + k].length, strand.first + k, 1};
    }
    if (n)
        qsort(list, n, sizeof *list, compare_laid);
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = 0; !lay(bins, &list[i]) && k < list[i].count; k++)
            pieces[later++] =
                (struct laid){asked->pieces[list[i].first + k].length, list[i].first + k, 1};
    if (later)
        qsort(pieces, later, sizeof *pieces, compare_laid);
    for (uint32_t i = 0; i < later; i++)
        if (!lay(bins, &pieces[i]))
            return false;
    return true;
}

/* The filled coils as a result; what nothing lies on is not bought. */
static struct pack_result result_of(const struct strand_search *s, struct arena *arena,
                                    const struct bins *bins)
{
    const struct pack_result *apart = bins->apart;
    struct pack_result r = *apart;
    uint32_t *count = arena_array(arena, uint32_t, apart->coil_count + 1), n = 0, coils = 0;
    r.coils = arena_array(arena, struct pack_coil, apart->coil_count + 1);
    r.order = arena_array(arena, uint32_t, s->asked->piece_count + 1);
    for (uint32_t i = 0; i < s->asked->piece_count; i++)
        count[bins->coil_of[i] ? bins->coil_of[i] - 1 : apart->coil_count]++;
    uint32_t *next = arena_array(arena, uint32_t, apart->coil_count + 1);
    for (uint32_t b = 0; b < apart->coil_count; n += count[b++])
        next[b] = n;
    for (uint32_t i = 0; i < s->asked->piece_count; i++)
        if (bins->coil_of[i])
            r.order[next[bins->coil_of[i] - 1]++] = i;
    for (uint32_t b = 0; b < apart->coil_count; b++) {
        const struct pack_coil *coil = &apart->coils[b];
        const struct pack_stock *stock = &s->asked->stocks[coil->stock];
        if (count[b])
            r.coils[coils++] = (struct pack_coil){coil->stock, coil->on_hand, next[b] - count[b],
                                                  count[b], bins->room[b]};
        if (count[b] || coil->on_hand)
            continue;
        r.bought_coils--;
        r.bought -= stock->length;
        r.cost -= stock->price > 0 ? stock->price : 0;
    }
    r.coil_count = coils;
    return r;
}

/* Lays the strands into the coils of all apart, as few broken as it comes: a good beginning, and
 * where there are very many the end. */
static void lay_strands(struct strand_search *s, const struct pack_result *apart)
{
    uint32_t n = s->asked->piece_count;
    uint64_t work = (uint64_t)n * (apart->coil_count + STEPS_A_PIECE);
    bool laid = false;
    for (uint32_t broken = 0; !laid && broken <= s->count && s->steps > work;
         broken = broken ? 2 * broken : 1) {
        struct arena arena = {.out_of_memory = s->scratch->out_of_memory};
        struct bins bins = {.apart = apart,
                            .room = arena_array(&arena, length, apart->coil_count + 1),
                            .coil_of = arena_array(&arena, uint32_t, n + 1)};
        s->steps -= work;
        laid = lay_all(s, &arena, &bins, broken);
        if (!laid) {
            arena_free(&arena);
            continue;
        }
        uint32_t segments;
        memset(s->joined, 0, n * sizeof *s->joined);
        cut_segments(s, s->joined, &segments);
        struct pack_result r = result_of(s, &arena, &bins);
        struct figures f = figures_of(s, &r, s->asked->pieces);
        int order = compare_figures(&f, &s->target);
        s->target = f;
        keep(s, &arena, &r, segments, order < 0);
    }
}

/* --- one question ------------------------------------------------------------------------- */

enum answer { NO, YES, DOUBT };

/* Whether it is proven that nothing as good as the target is cut so. */
static bool is_refuted(const struct strand_search *s, const struct pack_result *r,
                       const struct figures *f)
{
    if (!s->simple)
        return false;
    if (f->of[LEFT_OUT] || r->proven)
        return true;
    return (s->priced ? r->bound_cost : r->bound_bought) > s->target.of[FIGURE];
}

/* Whether the strands can be cut as `joined` says at the target. */
static enum answer ask(struct strand_search *s)
{
    uint32_t count;
    uint64_t fixed = (uint64_t)STEPS_A_PIECE * (s->asked->piece_count + s->asked->stock_count),
             most = PACK_STRAND_STEPS / 10;
    if (s->steps <= fixed) {
        s->steps = 0;
        s->in_doubt = true;
        return DOUBT;
    }
    s->steps -= fixed;
    struct arena arena = {.out_of_memory = s->scratch->out_of_memory};
    struct pack_result r;
    cut_segments(s, s->joined, &count);
    if (!pack_plan(&arena, s->asked->stocks, s->asked->stock_count, s->segment, count,
                   s->steps < most ? s->steps : most, &r))
        return NO; /* a strand is longer than can be reckoned with */
    s->steps -= r.steps < s->steps ? r.steps : s->steps;
    struct figures f = figures_of(s, &r, s->segment);
    int order = compare_figures(&f, &s->target);
    if (order <= 0 && is_to_be_had(s, &arena, &r)) {
        s->target = f;
        keep(s, &arena, &r, count, order < 0);
        return YES;
    }
    bool refuted = order > 0 && is_refuted(s, &r, &f);
    arena_free(&arena);
    s->in_doubt |= !refuted;
    return refuted ? NO : DOUBT;
}

static void set_whole(struct strand_search *s, uint32_t at, bool whole)
{
    const struct pack_strand *strand = &s->asked->strands[s->order[at]];
    for (uint32_t k = strand->first; k + 1 < strand->first + strand->count; k++)
        s->joined[k] = whole;
}

static void set_all(struct strand_search *s, uint32_t from, uint32_t to, bool whole)
{
    for (uint32_t i = from; i < to; i++)
        set_whole(s, i, whole);
}

/* --- some that serve ---------------------------------------------------------------------- */

/* Breaks the longest ones, or the shortest, as few as suffice, then makes whole what may be. */
static void break_from(struct strand_search *s, bool longest)
{
    uint32_t low = 0, high = s->count;
    while (high - low > 1 && s->steps) {
        uint32_t middle = low + (high - low) / 2;
        set_all(s, 0, s->count, true);
        set_all(s, longest ? 0 : s->count - middle, longest ? middle : s->count, false);
        *(ask(s) == YES ? &high : &low) = middle;
    }
    uint32_t from = longest ? 0 : s->count - high, to = from + high;
    set_all(s, 0, s->count, true);
    set_all(s, from, to, false);
    for (uint32_t i = from; i < to && s->steps; i++) {
        set_whole(s, i, true);
        if (ask(s) != YES)
            set_whole(s, i, false);
    }
}

/* --- the fewest --------------------------------------------------------------------------- */

static bool are_alike(const struct strand_search *s, uint32_t a, uint32_t b)
{
    const struct pack_strand *x = &s->asked->strands[s->order[a]],
                             *y = &s->asked->strands[s->order[b]];
    if (x->count != y->count)
        return false;
    for (uint32_t i = 0; i < x->count; i++)
        if (s->asked->pieces[x->first + i].length != s->asked->pieces[y->first + i].length)
            return false;
    return true;
}

/* Whether `more` of the strands from `from` on, broken beside those that are, suffice: tries each
 * set of them, save where not even all would do. Which of several alike are broken is all one. */
static bool breaking_serves(struct strand_search *s, uint32_t from, uint32_t more)
{
    for (uint32_t i = from; i < s->count && s->steps; i++) {
        if (i > from && are_alike(s, i - 1, i))
            continue;
        set_all(s, i, s->count, false);
        enum answer all = ask(s);
        set_all(s, i, s->count, true);
        if (all == NO)
            return false;
        set_whole(s, i, false);
        if (ask(s) == YES || (more > 1 && breaking_serves(s, i + 1, more - 1)))
            return true;
        set_whole(s, i, true);
    }
    return false;
}

/* Raises the bound while that is proven, and finds what breaks as many as it says. */
static void search_fewest(struct strand_search *s, uint32_t forced, uint32_t *least)
{
    while (*least < s->best.broken && s->steps) {
        s->in_doubt = false;
        set_all(s, 0, s->count, true);
        if (breaking_serves(s, 0, *least - forced) || s->in_doubt)
            return;
        ++*least;
    }
}

/* Joins what may be joined of those that are broken. */
static void join_parts(struct strand_search *s)
{
    memcpy(s->joined, s->best.joined, s->asked->piece_count * sizeof *s->joined);
    for (uint32_t i = 0; i < s->asked->strand_count; i++) {
        const struct pack_strand *strand = &s->asked->strands[i];
        for (uint32_t k = strand->first; k + 1 < strand->first + strand->count && s->steps; k++) {
            if (s->joined[k])
                continue;
            s->joined[k] = true;
            s->joined[k] = ask(s) == YES;
        }
    }
}

/* --- the result --------------------------------------------------------------------------- */

/* A part on a coil. */
struct part {
    uint32_t first, count;
    length length;
};

static int compare_parts(const void *pa, const void *pb)
{
    const struct part *a = pa, *b = pb;
    if (a->length != b->length)
        return a->length > b->length ? -1 : 1;
    return a->first < b->first ? -1 : a->first > b->first;
}

static int compare_pieces(const void *pa, const void *pb)
{
    const uint32_t *a = pa, *b = pb;
    return *a < *b ? -1 : *a > *b;
}

/* Lays the pieces of a coil in the order in which they are pulled; how long the longest part is. */
static length order_coil(struct strand_search *s, uint32_t *order, uint32_t count)
{
    struct part *parts = arena_array(s->scratch, struct part, count + 1);
    uint32_t n = 0, at = 0;
    qsort(order, count, sizeof *order, compare_pieces);
    for (uint32_t i = 0; i < count; i++) {
        bool goes_on = i && order[i] == order[i - 1] + 1 && s->best.joined[order[i - 1]];
        n += !goes_on;
        struct part *part = &parts[n - 1];
        part->first = part->count++ ? part->first : order[i];
        part->length += s->asked->pieces[order[i]].length;
    }
    qsort(parts, n, sizeof *parts, compare_parts);
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = 0; k < parts[i].count; k++)
            order[at++] = parts[i].first + k;
    return n ? parts[0].length : 0;
}

/* The pieces of segments. */
static uint32_t *spread(struct arena *arena, const struct best *best, const uint32_t *segments,
                        uint32_t count, uint32_t *spread_count)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < count; i++)
        n += best->first_of[segments[i] + 1] - best->first_of[segments[i]];
    uint32_t *pieces = arena_array(arena, uint32_t, n + 1);
    *spread_count = n;
    n = 0;
    for (uint32_t i = 0; i < count; i++)
        for (uint32_t k = best->first_of[segments[i]]; k < best->first_of[segments[i] + 1]; k++)
            pieces[n++] = k;
    return pieces;
}

/* A coil with its pieces. */
struct ordered {
    struct pack_coil coil;
    uint32_t *pieces;
    length longest; /* of its parts */
};

/* On hand first; by the order of the stocks, the coil with the longest part first. */
static int compare_coils(const void *pa, const void *pb)
{
    const struct ordered *a = pa, *b = pb;
    if (a->coil.on_hand != b->coil.on_hand)
        return a->coil.on_hand ? -1 : 1;
    if (a->coil.stock != b->coil.stock)
        return a->coil.stock < b->coil.stock ? -1 : 1;
    if (a->longest != b->longest)
        return a->longest > b->longest ? -1 : 1;
    return a->pieces[0] < b->pieces[0] ? -1 : a->pieces[0] > b->pieces[0];
}

static void list_coils(struct arena *arena, const struct strand_search *s, struct ordered *coils,
                       struct pack_result *out)
{
    uint32_t n = 0;
    out->coil_count = s->best.pack.coil_count;
    out->coils = arena_array(arena, struct pack_coil, out->coil_count + 1);
    out->order = arena_array(arena, uint32_t, s->asked->piece_count + 1);
    if (out->coil_count)
        qsort(coils, out->coil_count, sizeof *coils, compare_coils);
    for (uint32_t b = 0; b < out->coil_count; b++) {
        out->coils[b] = coils[b].coil;
        out->coils[b].first = n;
        memcpy(out->order + n, coils[b].pieces, coils[b].coil.count * sizeof *out->order);
        n += coils[b].coil.count;
    }
}

static void fill_result(struct arena *arena, struct strand_search *s,
                        const struct pack_result *apart, struct pack_result *out)
{
    const struct pack_result *best = &s->best.pack;
    struct ordered *coils = arena_array(s->scratch, struct ordered, best->coil_count + 1);
    *out = *apart;
    for (uint32_t b = 0; b < best->coil_count; b++) {
        const struct pack_coil *from = &best->coils[b];
        coils[b] = (struct ordered){.coil = *from};
        coils[b].pieces = spread(s->scratch, &s->best, best->order + from->first, from->count,
                                 &coils[b].coil.count);
        coils[b].longest = order_coil(s, coils[b].pieces, coils[b].coil.count);
    }
    list_coils(arena, s, coils, out);
    out->too_long =
        spread(arena, &s->best, best->too_long, best->too_long_count, &out->too_long_count);
    out->missing = spread(arena, &s->best, best->missing, best->missing_count, &out->missing_count);
    out->cost = best->cost;
    out->bought = best->bought;
    out->bought_coils = best->bought_coils;
    out->steps = apart->steps;
    if (!apart->proven) { /* strands that are whole may be found to cost less */
        if (best->bought_coils < out->bound_coils)
            out->bound_coils = best->bought_coils;
        double is = s->priced ? (double)out->cost : (double)out->bought,
               may = s->priced ? (double)out->bound_cost : (double)out->bound_bought;
        out->gap = is > may ? (is - may) / is : apart->gap;
    }
}

/* --- all together ------------------------------------------------------------------------- */

struct by_length {
    length length;
    uint32_t strand;
};

static int compare_strands(const void *pa, const void *pb)
{
    const struct by_length *a = pa, *b = pb;
    if (a->length != b->length)
        return a->length > b->length ? -1 : 1;
    return a->strand < b->strand ? -1 : a->strand > b->strand;
}

/* Those of several pieces that some coil can hold whole; counts the others, which are broken
 * whatever is done. */
static void sort_strands(struct strand_search *s, uint32_t *long_ones, uint32_t *forced)
{
    const struct pack_strands_asked *asked = s->asked;
    struct by_length *list = arena_array(s->scratch, struct by_length, asked->strand_count + 1);
    length longest = 0;
    for (uint32_t k = 0; k < asked->stock_count; k++)
        if ((asked->stocks[k].buy || asked->stocks[k].on_hand) && asked->stocks[k].length > longest)
            longest = asked->stocks[k].length;
    for (uint32_t i = 0; i < asked->strand_count; i++) {
        length whole = 0;
        for (uint32_t k = 0; k < asked->strands[i].count; k++)
            whole += asked->pieces[asked->strands[i].first + k].length;
        if (asked->strands[i].count < 2)
            continue;
        ++*long_ones;
        *forced += whole > longest;
        if (whole <= longest)
            list[s->count++] = (struct by_length){whole, i};
    }
    if (s->count)
        qsort(list, s->count, sizeof *list, compare_strands);
    s->order = arena_array(s->scratch, uint32_t, s->count + 1);
    for (uint32_t i = 0; i < s->count; i++)
        s->order[i] = list[i].strand;
}

static void search(struct strand_search *s, const struct pack_result *apart, uint32_t forced,
                   uint32_t *least)
{
    *least = forced;
    if (s->best.broken > forced)
        lay_strands(s, apart);
    if (!s->steps || s->best.broken == forced)
        return;
    set_all(s, 0, s->count, true);
    enum answer whole = ask(s);
    if (whole == NO)
        *least = forced + 1;
    if (whole != YES) {
        break_from(s, true);
        break_from(s, false);
    }
    if (whole == NO)
        search_fewest(s, forced, least);
    join_parts(s);
}

void pack_strands(struct arena *arena, const struct pack_strands_asked *asked,
                  const struct pack_result *apart, uint64_t step_limit,
                  struct pack_strands_result *out)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct strand_search s = {.scratch = &scratch, .asked = asked, .steps = step_limit};
    uint32_t forced = 0, count;
    *out = (struct pack_strands_result){0};
    s.joined = arena_array(&scratch, bool, asked->piece_count + 1);
    s.coil_apart = arena_array(&scratch, uint32_t, asked->piece_count + 1);
    s.segment = arena_array(&scratch, struct pack_piece, asked->piece_count + 1);
    s.first_of = arena_array(&scratch, uint32_t, asked->piece_count + 1);
    for (uint32_t k = 0; k < asked->stock_count; k++)
        s.priced |= asked->stocks[k].buy && asked->stocks[k].price >= 0;
    s.target = figures_of(&s, apart, asked->pieces);
    s.simple = !asked->most && !s.target.of[LEFT_OUT] && !s.target.of[UNPRICED];
    cut_segments(&s, s.joined, &count);
    struct arena first = {.out_of_memory = arena->out_of_memory};
    keep(&s, &first, apart, count, false);
    sort_strands(&s, &out->long_ones, &forced);
    for (uint32_t b = 0; b < apart->coil_count; b++)
        for (uint32_t i = 0; i < apart->coils[b].count; i++)
            s.coil_apart[apart->order[apart->coils[b].first + i]] = b + 1;
    search(&s, apart, forced, &out->least);
    fill_result(arena, &s, apart, &out->pack);
    out->broken = s.best.broken;
    out->pack.steps += step_limit - s.steps;
    arena_free(&s.best.arena);
    arena_free(&scratch);
}
