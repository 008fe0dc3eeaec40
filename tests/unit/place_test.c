/* The placing of words (place.h): what holds of every answer is looked for on pages made at random,
 * by geometry of the test's own; the choice is held against the best there is on small pages; the
 * work is held to grow as the page does; symbols along a line against every other arrangement.
 *
 * What words must keep to (no words on words or lines, nearer to their own thing than to any other,
 * in their room, a leader after 6 mm) is common drafting practice. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "place_pages.h"

#include <math.h>
#include <string.h>

static struct arena arena;

static int forget(void **state)
{
    (void)state;
    arena_free(&arena);
    return 0;
}

/* --- what holds of every answer ----------------------------------------------------------------
 */

/* How much of a line lies inside an area, from 0 to 1: by its parameter, border by border. */
static double part_inside(struct spot a, struct spot b, struct area in)
{
    double from = 0, to = 1, d[2] = {(double)(b.x - a.x), (double)(b.y - a.y)};
    double at[2] = {(double)a.x, (double)a.y}, low[2] = {(double)in.left, (double)in.top},
           high[2] = {(double)in.right, (double)in.bottom};
    for (int i = 0; i < 2; i++) {
        if (fabs(d[i]) < 0.5) {
            if (at[i] <= low[i] || at[i] >= high[i])
                return 0;
            continue;
        }
        double t = (low[i] - at[i]) / d[i], u = (high[i] - at[i]) / d[i];
        from = fmax(from, fmin(t, u));
        to = fmin(to, fmax(t, u));
    }
    return to > from ? to - from : 0;
}

/* Whether two lines cross, both beyond a micrometre or so from their ends. */
static bool cross(struct spot a, struct spot b, struct spot c, struct spot d)
{
    double x1 = (double)(b.x - a.x), y1 = (double)(b.y - a.y), x2 = (double)(d.x - c.x),
           y2 = (double)(d.y - c.y), det = x1 * y2 - y1 * x2;
    if (fabs(det) < 1)
        return false;
    double x = (double)(c.x - a.x), y = (double)(c.y - a.y);
    double t = (x * y2 - y * x2) / det, u = (x * y1 - y * x1) / det;
    double e1 = 2 / hypot(x1, y1), e2 = 2 / hypot(x2, y2);
    return t > e1 && t < 1 - e1 && u > e2 && u < 1 - e2;
}

static double apart(struct area a, struct area b)
{
    double x = fmax(0, fmax((double)(b.left - a.right), (double)(a.left - b.right)));
    double y = fmax(0, fmax((double)(b.top - a.bottom), (double)(a.top - b.bottom)));
    return hypot(x, y);
}

static bool stands(const struct placed *p)
{
    return p->how != PLACED_NOWHERE;
}

/* What is written alone. */
static void check_words(const struct page *page, const struct place_label *l,
                        const struct placed *at, bool trusted)
{
    struct place_shape s = at->how == PLACED_KEY ? l->key : l->shapes[at->shape];
    struct area b = at->box, halo = area_grown(b, PLACE_HALO);
    const struct spot *room = l->region;
    assert_int_equal(b.right - b.left, s.width);
    assert_int_equal(b.bottom - b.top, s.height);
    assert_true(b.left >= room[0].x && b.right <= room[1].x && b.top >= room[0].y &&
                b.bottom <= room[2].y);
    for (uint32_t i = 0; i < page->walls.n; i++) {
        const struct line *w = &page->walls.at[i];
        assert_true(part_inside(w->a, w->b, area_grown(halo, w->width / 2)) == 0);
        for (uint32_t k = 0; k + 1 < at->leader_count; k++)
            assert_false(cross(w->a, w->b, at->leader[k], at->leader[k + 1]));
    }
    for (uint32_t i = 0; i < page->cables.n; i++) {
        const struct line *c = &page->cables.at[i];
        assert_true(part_inside(c->a, c->b, area_grown(halo, c->width / 2)) == 0);
    }
    double own = apart(b, l->thing);
    for (uint32_t i = 0; i < page->things.n; i++) {
        const struct place_thing *t = &page->things.at[i];
        assert_false(area_meets(halo, t->area));
        if (t->group == l->group)
            continue;
        assert_true(apart(b, t->area) >= own + PLACE_HALO - 2 ||
                    (at->leader_count && (trusted || at->how == PLACED_KEY)));
        for (uint32_t k = 0; k + 1 < at->leader_count; k++)
            assert_true(part_inside(at->leader[k], at->leader[k + 1], t->area) == 0);
    }
}

static void check_leader(const struct place_label *l, const struct placed *at)
{
    double own = apart(at->box, l->thing);
    assert_int_equal(at->leader_count > 0, own > (double)PLACE_UNLED + 0.5);
    um reach = l->reach > PLACE_UNLED ? l->reach : PLACE_UNLED;
    assert_true(own <= (double)(at->how == PLACED_KEY && reach < 20 * MM ? 20 * MM : reach));
    if (!at->leader_count)
        return;
    struct spot from = at->leader[0], to = at->leader[at->leader_count - 1];
    assert_true(apart((struct area){from.x, from.y, from.x, from.y}, at->box) <= PLACE_HALO);
    assert_true(apart((struct area){to.x, to.y, to.x, to.y}, l->thing) <= 1);
    double x = (double)(l->thing.left + l->thing.right) / 2 - (double)to.x,
           y = (double)(l->thing.top + l->thing.bottom) / 2 - (double)to.y,
           radius = (double)(l->thing.right - l->thing.left) / 2;
    if (l->round)
        assert_true(fabs(hypot(x, y) - radius) < 20);
    else
        assert_true(fabs(fmax(fabs(x), fabs(y)) - radius) < 20);
}

static void check_pair(const struct placed *a, const struct placed *b)
{
    assert_false(area_meets(area_grown(a->box, PLACE_HALO), b->box));
    for (uint32_t i = 0; i + 1 < a->leader_count; i++) {
        assert_true(part_inside(a->leader[i], a->leader[i + 1], b->box) == 0);
        for (uint32_t k = 0; k + 1 < b->leader_count; k++)
            assert_false(cross(a->leader[i], a->leader[i + 1], b->leader[k], b->leader[k + 1]));
    }
}

/* Keys of a list are numbered from 1 without a gap. */
static void check_numbers(const struct page *page, const struct placed *at)
{
    uint32_t keys = 0;
    uint64_t sums = 0, wanted = 0;
    for (uint32_t list = 0; list < page->rooms.n; list++, keys = 0)
        for (uint32_t i = 0; i < page->labels.n; i++)
            if (page->labels.at[i].list == list && at[i].how == PLACED_KEY) {
                sums += at[i].number * at[i].number;
                keys++;
                wanted += keys * keys;
            }
    assert_int_equal(sums, wanted);
}

struct tally {
    uint32_t labels, words, led, keys, nowhere;
};

static void check_page(const struct page *page, const struct placed *at, bool trusted,
                       struct tally *t)
{
    for (uint32_t i = 0; i < page->labels.n; i++) {
        t->labels++;
        t->words += at[i].how == PLACED_WORDS;
        t->keys += at[i].how == PLACED_KEY;
        t->led += at[i].how == PLACED_WORDS && at[i].leader_count > 0;
        t->nowhere += at[i].how == PLACED_NOWHERE;
        if (!stands(&at[i]))
            continue;
        check_words(page, &page->labels.at[i], &at[i], trusted);
        check_leader(&page->labels.at[i], &at[i]);
        for (uint32_t k = 0; k < page->labels.n; k++)
            if (k != i && stands(&at[k]))
                check_pair(&at[i], &at[k]);
    }
    check_numbers(page, at);
}

static struct tally ask_pages(uint32_t crowd, bool trusted)
{
    struct tally t = {0};
    for (uint64_t seed = 1; seed <= 10; seed++) {
        struct page page = make_page(&arena, seed * 7 + crowd, 3, 2, crowd);
        struct placer *p = say(&page, false);
        if (trusted)
            place_trust_leaders(p);
        check_page(&page, place_solve(p), trusted, &t);
        arena_free(&arena);
    }
    print_message("%2u in a room of 60 mm%s: %u labels, %u with a leader, %u keys, %u nowhere\n",
                  crowd, trusted ? ", leaders trusted" : "", t.labels, t.led, t.keys, t.nowhere);
    return t;
}

static void every_answer_keeps_the_promises(void **state)
{
    static const struct {
        uint32_t crowd, keys, nowhere; /* the most in a hundred */
    } pages[] = {{3, 3, 0}, {6, 8, 0}, {9, 18, 0}, {14, 40, 2}, {20, 60, 10}};
    (void)state;
    for (size_t i = 0; i < sizeof pages / sizeof *pages; i++) {
        struct tally t = ask_pages(pages[i].crowd, false), u = ask_pages(pages[i].crowd, true);
        assert_true(t.keys * 100 <= pages[i].keys * t.labels);
        assert_true(t.nowhere * 100 <= pages[i].nowhere * t.labels);
        assert_true(u.nowhere * 100 <= pages[i].nowhere * u.labels && u.words >= t.words);
    }
}

static bool same(const struct placed *a, const struct placed *b)
{
    return a->how == b->how && a->shape == b->shape && a->number == b->number &&
           a->box.left == b->box.left && a->box.top == b->box.top && a->box.right == b->box.right &&
           a->leader_count == b->leader_count &&
           !memcmp(a->leader, b->leader, a->leader_count * sizeof *a->leader);
}

static void the_order_of_what_was_said_decides_nothing(void **state)
{
    (void)state;
    for (uint64_t seed = 1; seed <= 10; seed++) {
        struct page page = make_page(&arena, seed, 3, 3, 10);
        const struct placed *a = place_solve(say(&page, false)),
                            *b = place_solve(say(&page, false)), *c = place_solve(say(&page, true));
        for (uint32_t i = 0; i < page.labels.n; i++) {
            assert_true(same(&a[i], &b[i]));
            assert_true(same(&a[i], &c[page.labels.n - 1 - i]));
        }
        arena_free(&arena);
    }
}

/* --- against the best there is -----------------------------------------------------------------
 */

enum { MOST_STEPS = 1000000 };

struct best {
    struct placer *p;
    uint32_t taken[16], steps;
    int64_t least, rest[17]; /* the cheapest that labels from there on could cost */
};

/* Tries each offer of each label in turn, as long as it could still be cheaper. */
static void try_all(struct best *b, uint32_t i, int64_t sum)
{
    if (sum + b->rest[i] >= b->least)
        return;
    if (i == b->p->labels.n) {
        b->least = sum;
        return;
    }
    const struct place_choice *c = &b->p->choices[i];
    for (uint32_t k = 0; k < c->count && sum + c->offers[k].cost + b->rest[i + 1] < b->least; k++) {
        bool free = true;
        if (b->steps++ > MOST_STEPS)
            return;
        for (uint32_t j = 0; j < i && free; j++) {
            const struct place_choice *d = &b->p->choices[j];
            free = !place_conflict(b->p, c, &c->offers[k], d, &d->offers[b->taken[j]]);
        }
        b->taken[i] = k;
        if (free)
            try_all(b, i + 1, sum + c->offers[k].cost);
    }
}

/* The labels of one crowded room, against all choices there are among their offers. */
static void small_pages_come_near_to_the_best(void **state)
{
    int64_t found = 0, least = 0, cheapest = 0;
    uint32_t exact = 0, pages = 0, given_up = 0;
    (void)state;
    for (uint64_t seed = 1; seed <= 100; seed++) {
        struct page page = make_page(&arena, seed * 31, 1, 1, 6 + (uint32_t)(seed % 6));
        struct placer *p = say(&page, false);
        place_solve(p);
        struct best b = {.p = p, .least = INT64_MAX};
        for (uint32_t i = p->labels.n; i--;)
            b.rest[i] = b.rest[i + 1] + p->choices[i].offers[0].cost;
        try_all(&b, 0, 0);
        if (b.steps > MOST_STEPS) {
            given_up++;
        } else {
            assert_true(place_sum(p) >= b.least);
            pages++;
            exact += place_sum(p) == b.least;
            found += place_sum(p), least += b.least, cheapest += b.rest[0];
        }
        arena_free(&arena);
    }
    print_message("best of all: %u of %u pages (%u left); %.3f times its cost; what labels could "
                  "cost alone: %.3f times\n",
                  exact, pages, given_up, (double)found / (double)least,
                  (double)cheapest / (double)least);
    assert_true(pages >= 70);
    assert_true(exact * 20 >= pages * 19);
    assert_true(found * 100 <= least * 101);
}

/* --- one label ---------------------------------------------------------------------------------
 */

static const struct area letter = {0, 0, 100000, 80000};
static const struct place_cost never = {PLACE_NEVER, PLACE_NEVER};

/* A symbol of 3.5 mm about a point, with words of 12 by 3 mm. */
static struct place_label words_at(um x, um y, uint32_t group)
{
    return (struct place_label){.thing = area_grown((struct area){x, y, x, y}, 1750),
                                .round = true,
                                .group = group,
                                .shape_count = 1,
                                .shapes = {{12000, 3000, 0}},
                                .reach = 40 * MM,
                                .key = {4000, 4000, 0}};
}

static struct placed solved(struct placer *p, um x, um y)
{
    struct place_label l = words_at(x, y, 0);
    place_thing(p, l.thing, 0);
    uint32_t at = place_label(p, &l);
    return place_solve(p)[at];
}

static void words_stand_beside_their_thing_or_where_there_is_room(void **state)
{
    (void)state;
    struct placer *p = place_new(&arena, letter);
    struct placed at = solved(p, 50000, 40000);
    assert_int_equal(at.box.left, 50000 + 1750 + 800); /* to the right, level with it */
    assert_int_equal((at.box.top + at.box.bottom) / 2, 40000);
    assert_int_equal(at.leader_count, 0);

    p = place_new(&arena, letter); /* the page ends there: to the left */
    at = solved(p, 95000, 40000);
    assert_true(at.box.right < 95000 - 1750 && at.box.right > 95000 - 4000);

    p = place_new(&arena, letter); /* lines on both sides: above */
    place_block_line(p, (struct spot){56000, 39000}, (struct spot){56000, 41000}, 500, never);
    place_block_line(p, (struct spot){44000, 39000}, (struct spot){44000, 41000}, 500, never);
    at = solved(p, 50000, 40000);
    assert_true(at.how == PLACED_WORDS && at.box.bottom <= 40000 - 1750 - 800);

    p = place_new(&arena, letter); /* all about it is taken: further off, with a leader */
    place_block(p, area_grown((struct area){50000, 40000, 50000, 40000}, 12000),
                (struct place_cost){PLACE_NEVER, 1});
    at = solved(p, 50000, 40000);
    assert_true(at.how == PLACED_WORDS && at.leader_count == 2);
    assert_true(at.box.left >= 62600 || at.box.right <= 37400 || at.box.top >= 52600 ||
                at.box.bottom <= 27400);

    p = place_new(&arena, letter); /* room for a key alone */
    place_block(p, (struct area){0, 0, 100000, 37000}, never);
    place_block(p, (struct area){0, 43000, 100000, 80000}, never);
    place_block(p, (struct area){0, 37000, 44000, 43000}, never);
    place_block(p, (struct area){60000, 37000, 100000, 43000}, never);
    at = solved(p, 50000, 40000);
    assert_true(at.how == PLACED_KEY && at.number == 1);

    p = place_new(&arena, letter); /* no room at all */
    place_block(p, letter, never);
    at = solved(p, 50000, 40000);
    assert_true(at.how == PLACED_NOWHERE && at.number == 0);
}

/* As far off as a label may go, and no farther. */
static void words_go_as_far_as_they_reach(void **state)
{
    static const struct area wide = {0, 0, 200000, 80000};
    (void)state;
    for (um reach = 40 * MM; reach <= 120 * MM; reach += 20 * MM)
        for (int short_of = 0; short_of < 2; short_of++) {
            struct placer *p = place_new(&arena, wide);
            struct place_label l = words_at(10000, 40000, 0);
            um free_from = l.thing.right + reach * 3 / 4 + short_of * reach / 2;
            l.reach = reach;
            l.key = (struct place_shape){0, 0, 0};
            place_thing(p, l.thing, 0);
            place_block(p, (struct area){0, 0, free_from, 80000},
                        (struct place_cost){PLACE_NEVER, 1});
            uint32_t at = place_label(p, &l);
            enum place_how how = place_solve(p)[at].how;
            assert_int_equal(how, short_of ? PLACED_NOWHERE : PLACED_WORDS);
        }
}

/* A wall that is wider than the page is high, right of the symbol. */
static void no_wall_is_between(void **state)
{
    (void)state;
    for (um wall = 52000; wall < 80000; wall += 700) {
        struct placer *p = place_new(&arena, letter);
        place_block(p, (struct area){0, 0, 50000, 80000}, (struct place_cost){PLACE_NEVER, 0});
        place_wall(p, (struct spot){wall, -1000}, (struct spot){wall, 90000}, 200);
        struct placed at = solved(p, 50000, 40000);
        assert_true(at.how == PLACED_NOWHERE || at.box.right <= wall - 700);
        assert_true(at.how != PLACED_WORDS || wall >= 50600 + 12000 + 700);
        assert_true(at.how == PLACED_WORDS || wall < 50000 + 1750 + 800 + 12000 + 700);
        arena_free(&arena);
    }
}

static void a_leader_bends_round_what_is_in_its_way(void **state)
{
    (void)state;
    struct placer *p = place_new(&arena, letter);
    place_block(p, (struct area){0, 0, 60000, 80000}, (struct place_cost){PLACE_NEVER, 1});
    place_block(p, (struct area){60000, 12000, 100000, 80000}, (struct place_cost){PLACE_NEVER, 1});
    for (um x = 53000; x < 60000; x += 1000) /* what a slanting leader would cross */
        place_block_line(p, (struct spot){x, 5000}, (struct spot){x, 37500}, 200, never);
    struct placed at = solved(p, 50000, 40000);
    assert_true(at.how == PLACED_WORDS && at.leader_count == 3);
    assert_true(at.leader[0].x == at.leader[1].x || at.leader[0].y == at.leader[1].y);
}

static void what_was_drawn_is_kept_clear(void **state)
{
    static const struct place_cost costs[ROLE_COUNT] = {
        [ROLE_CABLE] = {PLACE_NEVER, 10}, [ROLE_FIXED] = {PLACE_NEVER, 10}};
    struct pen pen = {BLACK, NO_INK, LINE_NEW, DASH_NONE}, filled = {NO_INK, BLACK, 0, DASH_NONE};
    (void)state;
    for (int what = 0; what < 9; what++) {
        struct sheet *s = paper_sheet(paper_new(&arena, "A plan", NULL), "W-1", "Walls", "A wall",
                                      letter.right, letter.bottom);
        struct spot shape[] = {{58000, 30000}, {70000, 40000}, {58000, 50000}};
        struct spot bend[] = {{58000, 30000}, {58000, 36000}, {58000, 44000}, {58000, 50000}};
        paper_begin(s, what % 2 ? ROLE_CABLE : ROLE_FIXED, NULL, NULL);
        if (what == 0)
            paper_line(s, 58000, 30000, 58000, 50000, pen);
        else if (what == 1)
            paper_path(s, shape, 3, true, pen);
        else if (what == 2)
            paper_path(s, shape, 3, true, filled);
        else if (what == 3)
            paper_rect(s, (struct area){58000, 30000, 80000, 50000}, 0, pen);
        else if (what == 4)
            paper_circle(s, 62000, 40000, 4000, pen);
        else if (what == 5)
            paper_arc(s, 62000, 40000, 4000, 170, 190, pen);
        else if (what == 6)
            paper_curve(s, bend, 4, pen);
        else if (what == 7)
            paper_text(s, 58000, 41000, (struct lettering){.caps = CAPS_WORDS}, "words");
        paper_end(s);
        if (what == 8) /* of no role that matters */
            paper_line(s, 58000, 30000, 58000, 50000, pen);
        struct placer *p = place_new(&arena, letter);
        place_drawn(p, s, 0, costs);
        struct placed at = solved(p, 50000, 40000);
        assert_int_equal(at.box.left == 50000 + 1750 + 800, what == 8);
        arena_free(&arena);
    }
}

/* --- along a line ------------------------------------------------------------------------------
 */

/* The least sum of squares of what symbols are moved, over all whole places: by the first symbols
 * and the farthest place that the last of them may have. */
static int64_t least_moved(const struct place_stem *s, uint32_t count, um low, um high)
{
    enum { PLACES = 64 };
    int64_t least[PLACES + 1] = {0}, next[PLACES + 1];
    for (uint32_t i = 0; i < count; i++) {
        um apart = i ? (s[i - 1].width + s[i].width + 1) / 2 : 0;
        for (um at = 0; at <= PLACES; at++) {
            int64_t moved = at - s[i].at, before = i ? INT64_MAX / 2 : 0;
            if (i && at - apart >= 0)
                before = least[at - apart];
            bool fits = at - (s[i].width + 1) / 2 >= low && at + (s[i].width + 1) / 2 <= high;
            int64_t sum = fits ? before + moved * moved : INT64_MAX / 2;
            next[at] = at && next[at - 1] < sum ? next[at - 1] : sum;
        }
        memcpy(least, next, sizeof least);
    }
    return least[PLACES];
}

static void symbols_are_moved_as_little_as_can_be(void **state)
{
    uint64_t r = 3;
    unsigned fitted = 0;
    (void)state;
    for (int round = 0; round < 20000; round++) {
        struct place_stem s[7];
        uint32_t count = 1 + pick(&r, 7);
        um low = pick(&r, 12), high = 64 - (um)pick(&r, 24), at = 0;
        for (uint32_t i = 0; i < count; i++)
            s[i] = (struct place_stem){.at = at += pick(&r, 14), .width = pick(&r, 12)};
        int64_t least = least_moved(s, count, low, high), moved = 0;
        bool fits = place_stems(&arena, s, count, low, high);
        assert_int_equal(fits, least < INT64_MAX / 4);
        for (uint32_t i = 0; i < count; i++) {
            moved += (s[i].placed - s[i].at) * (s[i].placed - s[i].at);
            if (i && fits)
                assert_true(s[i].placed - s[i - 1].placed >= (s[i].width + s[i - 1].width + 1) / 2);
            if (s[i].placed != s[i].at)
                assert_true(s[i].pulled);
        }
        if (fits)
            assert_int_equal(moved, least);
        fitted += fits;
        arena_free(&arena);
    }
    assert_true(fitted > 10000);
}

static void symbols_stand_in_order_whoever_was_said_first(void **state)
{
    struct place_stem s[] = {{.at = 30000, .width = 4500},
                             {.at = 10000, .width = 4500},
                             {.at = 11000, .width = 4500},
                             {.at = 12000, .width = 4500},
                             {.at = -50000, .width = 4500}};
    (void)state;
    assert_true(place_stems(&arena, s, 5, -60000, 60000));
    assert_int_equal(s[0].placed, 30000);
    assert_int_equal(s[1].placed, 6500);
    assert_int_equal(s[2].placed, 11000);
    assert_int_equal(s[3].placed, 15500);
    assert_int_equal(s[4].placed, -50000);
    assert_false(s[0].pulled || s[4].pulled);
    assert_true(s[1].pulled && s[2].pulled && s[3].pulled);
    assert_false(place_stems(&arena, s, 5, 0, 20000));
    assert_int_equal(s[4].placed, 2250);
    assert_int_equal(s[0].placed, 17750);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_teardown(every_answer_keeps_the_promises, forget),
        cmocka_unit_test_teardown(the_order_of_what_was_said_decides_nothing, forget),
        cmocka_unit_test_teardown(small_pages_come_near_to_the_best, forget),
        cmocka_unit_test_teardown(words_stand_beside_their_thing_or_where_there_is_room, forget),
        cmocka_unit_test_teardown(words_go_as_far_as_they_reach, forget),
        cmocka_unit_test_teardown(no_wall_is_between, forget),
        cmocka_unit_test_teardown(a_leader_bends_round_what_is_in_its_way, forget),
        cmocka_unit_test_teardown(what_was_drawn_is_kept_clear, forget),
        cmocka_unit_test_teardown(symbols_are_moved_as_little_as_can_be, forget),
        cmocka_unit_test_teardown(symbols_stand_in_order_whoever_was_said_first, forget),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
