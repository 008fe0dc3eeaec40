/* The fewest places that reach all of a stretch or ring, held against all subsets of the places. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "propose/cover.h"
#include "random.h"

#include <stdbool.h>

enum { MOST_PLACES = 10, MOST_GAPS = 3, CASES = 3000 };

struct drawn {
    length long_, reach, at[MOST_PLACES];
    struct stretch gaps[MOST_GAPS];
    uint32_t places, gap_count;
    bool closed;
};

/* How far a point is from a place: along the stretch, or the shorter way round the ring. */
static length apart(const struct drawn *d, length point, length place)
{
    length way = point > place ? point - place : place - point;
    way %= d->closed ? d->long_ : INT64_MAX;
    return d->closed && d->long_ - way < way ? d->long_ - way : way;
}

/* The nearest of the places of a set, of a point in the middle of each unit of length: all that is
 * drawn is even, so that nothing changes within one. */
static length nearest(const struct drawn *d, unsigned set, length point)
{
    length best = INT64_MAX;
    for (uint32_t i = 0; i < d->places; i++)
        if (set & 1U << i && apart(d, point, d->at[i]) < best)
            best = apart(d, point, d->at[i]);
    return best;
}

/* How far the farthest point of the gaps is that any place reaches at all. */
static length farthest(const struct drawn *d, unsigned set)
{
    length worst = 0;
    for (uint32_t i = 0; i < d->gap_count; i++)
        for (length p = d->gaps[i].from + 1; p < d->gaps[i].to; p += 2) {
            length point = d->closed ? p % d->long_ : p;
            if (nearest(d, (1U << d->places) - 1, point) <= d->reach &&
                nearest(d, set, point) > worst)
                worst = nearest(d, set, point);
        }
    return worst;
}

static uint32_t size_of(unsigned set)
{
    uint32_t n = 0;
    for (; set; set &= set - 1)
        n++;
    return n;
}

/* The fewest by trying all, and how far the farthest point is from the best of these. */
static uint32_t by_all(const struct drawn *d, length *worst)
{
    uint32_t fewest = UINT32_MAX;
    *worst = INT64_MAX;
    for (unsigned set = 0; set < 1U << d->places; set++) {
        length own = farthest(d, set);
        if (own > d->reach || size_of(set) > fewest)
            continue;
        if (size_of(set) < fewest || own < *worst)
            *worst = own;
        fewest = size_of(set);
    }
    return fewest;
}

/* Even numbers, in order. */
static struct drawn draw(uint64_t *state)
{
    struct drawn d = {.long_ = 2 * (length)(10 + pick(state, 40)),
                      .reach = 2 * (length)(1 + pick(state, 12)),
                      .places = pick(state, MOST_PLACES + 1),
                      .closed = pick(state, 2)};
    length at = 0;
    for (uint32_t i = 0; i < d.places; i++) {
        d.at[i] = 2 * (length)pick(state, (unsigned)(d.long_ / 2));
        for (uint32_t k = i; k && d.at[k] < d.at[k - 1]; k--) {
            length other = d.at[k];
            d.at[k] = d.at[k - 1];
            d.at[k - 1] = other;
        }
    }
    while (d.gap_count < MOST_GAPS && at < d.long_ - 2) {
        struct stretch s = {at + 2 * (length)pick(state, 10), 0};
        s.to = s.from + 2 + 2 * (length)pick(state, 20);
        if (s.from >= d.long_)
            break;
        /* of a ring the last may run over its start, where nothing begins before its end */
        length most = d.closed && d.gap_count ? d.long_ + d.gaps[0].from : d.long_;
        s.to = s.to > most ? most : s.to;
        d.gaps[d.gap_count++] = s;
        at = s.to + 2;
    }
    return d;
}

static void all_subsets_say_the_same(void **state)
{
    uint64_t random = 7;
    (void)state;
    for (int i = 0; i < CASES; i++) {
        struct arena arena = {0};
        struct drawn d = draw(&random);
        stretch_list gaps = {0};
        point_list places = {0};
        chosen_list chosen = {0};
        unsigned set = 0;
        length worst;
        for (uint32_t k = 0; k < d.gap_count; k++)
            *vec_push(&arena, &gaps) = d.gaps[k];
        for (uint32_t k = 0; k < d.places; k++)
            *vec_push(&arena, &places) = d.at[k];
        struct cover c = {d.long_, d.reach, d.closed, &gaps, &places};
        cover_fewest(&arena, &c, &chosen);
        for (uint32_t k = 0; k < chosen.n; k++)
            set |= 1U << chosen.at[k];
        assert_int_equal(size_of(set), chosen.n);
        assert_int_equal(chosen.n, by_all(&d, &worst));
        assert_true(farthest(&d, set) <= d.reach);
        /* the middles of units are half a unit from the farthest points */
        assert_in_range(farthest(&d, set), worst, worst + 1);
        arena_free(&arena);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(all_subsets_say_the_same)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
