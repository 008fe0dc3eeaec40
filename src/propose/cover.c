#include "propose/cover.h"

/* A cover on a line of its own: a ring is unrolled twice, so that one round from any place is a
 * stretch. */
struct line {
    stretch_list gaps;
    point_list places;
    uint32_t count; /* of the places before they come a second time */
    length long_;
    bool closed;
};

/* Gaps that lie past the start of a ring are brought back to it, cut in two where they run over. */
static void unroll_gaps(struct arena *arena, const struct cover *c, stretch_list *out)
{
    for (uint32_t i = 0; i < c->gaps->n; i++) {
        struct stretch s = c->gaps->at[i];
        length round = c->closed ? s.from / c->long_ * c->long_ : 0;
        s = (struct stretch){s.from - round, s.to - round};
        if (!c->closed || s.to <= c->long_) {
            *vec_push(arena, out) = s;
            continue;
        }
        *vec_push(arena, out) = (struct stretch){s.from, c->long_};
        *vec_push(arena, out) = (struct stretch){0, s.to - c->long_};
    }
    space_stretches_merge(out);
}

static void repeat(struct arena *arena, struct line *l)
{
    for (uint32_t i = 0, n = l->gaps.n; i < n; i++) {
        struct stretch s = l->gaps.at[i];
        *vec_push(arena, &l->gaps) = (struct stretch){s.from + l->long_, s.to + l->long_};
    }
    for (uint32_t i = 0; i < l->count; i++) {
        length again = l->places.at[i] + l->long_;
        *vec_push(arena, &l->places) = again;
    }
    space_stretches_merge(&l->gaps);
}

/* What each place reaches; of a ring once more past its ends. */
static void reached(struct arena *arena, const struct cover *c, stretch_list *out)
{
    for (uint32_t i = 0; i < c->places->n; i++) {
        length at = c->places->at[i];
        for (int round = c->closed ? -1 : 0; round <= (c->closed ? 1 : 0); round++)
            *vec_push(arena, out) = (struct stretch){at + round * c->long_ - c->reach,
                                                     at + round * c->long_ + c->reach};
    }
    space_stretches_merge(out);
}

void cover_left(struct arena *arena, const struct cover *c, stretch_list *out)
{
    stretch_list gaps = {0}, within = {0};
    unroll_gaps(arena, c, &gaps);
    reached(arena, c, &within);
    space_stretches_without(arena, &gaps, &within, out);
}

static struct line line_of(struct arena *arena, const struct cover *c)
{
    struct line l = {.count = c->places->n, .long_ = c->long_, .closed = c->closed};
    stretch_list gaps = {0}, left = {0};
    unroll_gaps(arena, c, &gaps);
    cover_left(arena, c, &left);
    space_stretches_without(arena, &gaps, &left, &l.gaps);
    for (uint32_t i = 0; i < l.count; i++)
        *vec_push(arena, &l.places) = c->places->at[i];
    if (c->closed)
        repeat(arena, &l);
    return l;
}

/* The first bare point at a place or behind it, before `end`; `end` where there is none. */
static length next_bare(const struct line *l, length at, length end)
{
    uint32_t low = 0, high = l->gaps.n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (l->gaps.at[middle].to <= at)
            low = middle + 1;
        else
            high = middle;
    }
    length from = low < l->gaps.n ? l->gaps.at[low].from : end;
    from = from > at ? from : at;
    return from < end ? from : end;
}

/* How many of the places lie at a point or before it. */
static uint32_t places_up_to(const struct line *l, length at)
{
    uint32_t low = 0, high = l->places.n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (l->places.at[middle] <= at)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* From a point on, always the farthest place that reaches what is bare first. False where more than
 * `most` are wanted, or none reaches it. */
static bool walk(struct arena *arena, const struct line *l, struct stretch in, length reach,
                 uint32_t most, chosen_list *out)
{
    for (length at = next_bare(l, in.from, in.to); at < in.to;) {
        uint32_t n = places_up_to(l, at + reach);
        if (!n || l->places.at[n - 1] + reach <= at || out->n >= most)
            return false;
        *vec_push(arena, out) = (n - 1) % l->count;
        at = next_bare(l, l->places.at[n - 1] + reach, in.to);
    }
    return true;
}

/* Round a ring, with each place that reaches its first bare point as the first. */
static bool walk_round(struct arena *arena, const struct line *l, length reach, uint32_t most,
                       chosen_list *out)
{
    length first = l->gaps.at[0].from + l->long_; /* one round on, so that places lie before it */
    bool found = false;
    for (uint32_t i = 0; i < l->count && most; i++) {
        length at = l->places.at[i], place = at;
        while (place + reach <= first)
            place += l->long_;
        if (place - reach > first)
            continue;
        chosen_list chosen = {0};
        struct stretch rest = {at + reach, at + l->long_ - reach};
        *vec_push(arena, &chosen) = i;
        if (!walk(arena, l, rest, reach, most, &chosen) || (found && chosen.n >= out->n))
            continue;
        *out = chosen;
        most = chosen.n;
        found = true;
    }
    return found;
}

static bool cover_within(struct arena *arena, const struct line *l, length reach, uint32_t most,
                         chosen_list *out)
{
    out->n = 0;
    if (!l->gaps.n)
        return true;
    if (l->closed)
        return walk_round(arena, l, reach, most, out);
    return walk(arena, l, (struct stretch){l->gaps.at[0].from, l->gaps.at[l->gaps.n - 1].to}, reach,
                most, out);
}

void cover_fewest(struct arena *arena, const struct cover *c, chosen_list *out)
{
    struct line l = line_of(arena, c);
    chosen_list tried = {0};
    length low = 0, high = c->reach;
    if (!cover_within(arena, &l, high, l.count, out))
        return;
    uint32_t fewest = out->n;
    while (high - low > 1) {
        length middle = low + (high - low) / 2;
        if (cover_within(arena, &l, middle, fewest, &tried)) {
            high = middle;
            chosen_list other = *out;
            *out = tried;
            tried = other;
        } else {
            low = middle;
        }
    }
}
