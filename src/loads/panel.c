/* Breaker spaces. Written ones first; then breakers of two poles in free pairs, then single ones,
 * so that the lines carry as nearly the same as can be. */
#include "loads/panel.h"

#include "loads/balance.h"
#include "loads/loads.h"
#include "model/address.h"
#include "model/model.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A breaker without a written space. */
struct waiting {
    const struct circuit *circuit;
    const char *address;
    int64_t va; /* a single one: its load; a pair: how much more it puts on its first line */
    double load;
    uint8_t poles;
};

/* Consecutive free spaces of one column: first, first + 2, ... */
struct stretch {
    uint32_t first, count;
    uint32_t same,
        other; /* pairs that begin on the line of its first space, and on the other one */
};

/* A panel while its spaces are given out. */
struct layout {
    struct arena *arena;
    const struct loads *loads;
    const struct panel *panel;
    struct circuit_space *of_circuit;
    struct panel_lines *lines;
    bool *used;      /* by space, from 1 */
    uint8_t *halves; /* by space: which of its halves are in use */
    uint32_t spaces;
    double amps[2];   /* of the breakers on each line */
    uint32_t next[2]; /* the first space of each line that may be free */
    uint32_t
        next_half[2]; /* the first of each line that may have room for a second half-size breaker */
    uint32_t next_pair; /* the first that may be free together with the one below it */
};

/* Parts of a two-pole circuit that say on which pole they are; the rest of the load is on both
 * alike. */
static void split_poles(const struct loads *loads, const struct circuit *c, struct circuit_space *s)
{
    const struct circuit_load *load = &loads->of_circuit[c->id];
    double rest = load->va, rest_continuous = load->continuous_va;
    for (uint32_t i = 0; i < c->parts.n; i++) {
        const struct part *p = c->parts.at[i];
        if (!p->pole || p->control)
            continue;
        unsigned line = p->pole == 'b';
        s->line_va[line] += p->load;
        rest -= p->load;
        if (p->continuous) {
            s->line_continuous[line] += p->load;
            rest_continuous -= p->load;
        }
    }
    for (unsigned line = 0; line < 2; line++) {
        s->line_va[line] += rest / 2;
        s->line_continuous[line] += rest_continuous / 2;
    }
}

/* Line b of a breaker whose first space is on line B is line A. */
static void swap_lines(struct circuit_space *s)
{
    double va = s->line_va[0], continuous = s->line_continuous[0];
    s->line_va[0] = s->line_va[1];
    s->line_va[1] = va;
    s->line_continuous[0] = s->line_continuous[1];
    s->line_continuous[1] = continuous;
}

/* 1, 2, 5, 6, ... on line A; 3, 4, 7, 8, ... on line B. */
static uint32_t next_on_line(uint32_t space)
{
    return space + (space % 2 ? 1 : 3);
}

uint8_t panel_half(enum half half, uint32_t pole)
{
    return half == HALF_NONE               ? WHOLE_SPACE
           : (half == HALF_UPPER) == !pole ? UPPER_HALF
                                           : LOWER_HALF;
}

static void place(struct layout *l, const struct circuit *c, uint32_t space, enum half half)
{
    struct circuit_space *s = &l->of_circuit[c->id];
    const struct circuit_load *load = &l->loads->of_circuit[c->id];
    unsigned line = space_line(space);
    s->space = space;
    s->half = half;
    s->found = !c->space;
    if (s->poles == 2) {
        split_poles(l->loads, c, s);
        if (line)
            swap_lines(s);
    } else {
        s->line_va[line] = load->va;
        s->line_continuous[line] = load->continuous_va;
    }
    for (unsigned i = 0; i < 2; i++) {
        l->amps[i] += s->poles == 2 || i == line ? c->breaker : 0;
        l->lines->va[i] += s->line_va[i];
        l->lines->continuous_va[i] += s->line_continuous[i];
    }
    for (uint32_t pole = 0; pole < s->poles && space + 2 * pole <= l->spaces; pole++) {
        l->used[space + 2 * pole] = true;
        l->halves[space + 2 * pole] |= panel_half(half, pole);
    }
}

/* Whether a space has room for one half-size breaker beside another. */
static bool half_free(const struct layout *l, uint32_t space)
{
    return l->halves[space] == UPPER_HALF || l->halves[space] == LOWER_HALF;
}

/* A single breaker that the plan does not place: in a panel that takes half-size ones it may have
 * to share its space, and has one half until another comes. */
static void place_single(struct layout *l, const struct circuit *c, uint32_t space)
{
    enum half half = !l->panel->half_size             ? HALF_NONE
                     : l->halves[space] == UPPER_HALF ? HALF_LOWER
                                                      : HALF_UPPER;
    place(l, c, space, half);
}

/* The first space of a line that is free whole, or 0. */
static uint32_t free_whole(struct layout *l, unsigned line)
{
    uint32_t *n = &l->next[line];
    while (*n <= l->spaces && l->used[*n])
        *n = next_on_line(*n);
    return *n <= l->spaces ? *n : 0;
}

/* The first free space of a line, or in a panel that takes half-size breakers the first with one
 * breaker in it; 0 where there is none. */
static uint32_t free_space(struct layout *l, unsigned line)
{
    uint32_t whole = free_whole(l, line), *n = &l->next_half[line];
    if (whole || !l->panel->half_size)
        return whole;
    while (*n <= l->spaces && !half_free(l, *n))
        *n = next_on_line(*n);
    return *n <= l->spaces ? *n : 0;
}

static uint32_t free_pair(struct layout *l)
{
    while (l->next_pair + 2 <= l->spaces && (l->used[l->next_pair] || l->used[l->next_pair + 2]))
        l->next_pair++;
    return l->next_pair + 2 <= l->spaces ? l->next_pair : 0;
}

/* --- pairs that load the lines unlike ----------------------------------------------------- */

typedef VEC(struct stretch) stretches;

static stretches find_stretches(struct layout *l)
{
    stretches list = {0};
    for (uint32_t column = 1; column <= 2; column++)
        for (uint32_t n = column; n <= l->spaces; n += 2) {
            if (l->used[n])
                continue;
            struct stretch s = {.first = n};
            for (; n <= l->spaces && !l->used[n]; n += 2)
                s.count++;
            *vec_push(l->arena, &list) = s;
        }
    return list;
}

/* How many pairs may begin on the other line beside `same` that begin on the first space's: going
 * over costs a space. */
static uint32_t others_beside(const struct stretch *s, uint32_t same)
{
    uint32_t left = s->count - 2 * same;
    return left > 2 ? (left - 1) / 2 : 0;
}

enum { NO_WAY = -1 };

/* Pairs that begin on line A (index) against the most that begin on line B beside them, stretch by
 * stretch. */
struct ways {
    int32_t *most; /* (stretch + 1) x (pairs + 1) */
    uint32_t width;
};

static int32_t *way(const struct ways *w, uint32_t stretch, uint32_t on_a)
{
    return &w->most[(size_t)stretch * w->width + on_a];
}

/* What a stretch takes: `same` and `other` of its pairs begin on line A and B, by the line of its
 * first space. */
static void sides(const struct stretch *s, uint32_t same, uint32_t other, uint32_t on[2])
{
    unsigned line = space_line(s->first);
    on[line] = same;
    on[!line] = other;
}

static struct ways find_ways(struct layout *l, const stretches *list, uint32_t pairs)
{
    struct ways w = {.width = pairs + 1};
    w.most = arena_array(l->arena, int32_t, (size_t)(list->n + 1) * w.width);
    for (size_t i = 0; i < (size_t)(list->n + 1) * w.width; i++)
        w.most[i] = NO_WAY;
    *way(&w, 0, 0) = 0;
    for (uint32_t k = 0; k < list->n; k++)
        for (uint32_t same = 0; same <= list->at[k].count / 2 && same <= pairs; same++)
            for (uint32_t other = 0; other <= others_beside(&list->at[k], same) && other <= pairs;
                 other++) {
                uint32_t on[2];
                sides(&list->at[k], same, other, on);
                for (uint32_t before = 0; before + on[0] <= pairs; before++) {
                    int32_t have = *way(&w, k, before);
                    int32_t *most = way(&w, k + 1, before + on[0]);
                    if (have != NO_WAY && have + (int32_t)on[1] > *most)
                        *most = have + (int32_t)on[1];
                }
            }
    return w;
}

/* Gives each stretch its pairs, so that `on_a` begin on line A and all fit. */
static void follow_way(const struct ways *w, stretches *list, uint32_t on_a)
{
    for (uint32_t k = list->n; k-- > 0;) {
        struct stretch *s = &list->at[k];
        bool found = false;
        for (uint32_t same = 0; same <= s->count / 2 && !found; same++)
            for (uint32_t other = 0; other <= others_beside(s, same) && !found; other++) {
                uint32_t on[2];
                sides(s, same, other, on);
                if (on[0] > on_a || *way(w, k, on_a - on[0]) == NO_WAY ||
                    *way(w, k, on_a - on[0]) + (int32_t)on[1] != *way(w, k + 1, on_a))
                    continue;
                found = true;
                s->same = same;
                s->other = other;
                on_a -= on[0];
            }
    }
}

struct beginning {
    uint32_t space;
    bool taken;
};

static int by_space(const void *a, const void *b)
{
    const struct beginning *x = a, *y = b;
    return x->space < y->space ? -1 : x->space > y->space;
}

typedef VEC(struct beginning) beginnings;

/* Where the pairs begin, from the top of the panel. */
static beginnings list_beginnings(struct layout *l, const stretches *list)
{
    beginnings all = {0};
    for (uint32_t k = 0; k < list->n; k++) {
        const struct stretch *s = &list->at[k];
        for (uint32_t i = 0; i < s->same + s->other; i++)
            *vec_push(l->arena, &all) =
                (struct beginning){.space = s->first + 4 * i + (i < s->same ? 0 : 2)};
    }
    if (all.n)
        qsort(all.at, all.n, sizeof *all.at, by_space);
    return all;
}

/* The first place not taken that begins on a line (2: on either). */
static uint32_t take_beginning(beginnings *all, unsigned line)
{
    for (uint32_t i = 0; i < all->n; i++)
        if (!all->at[i].taken && (line == 2 || space_line(all->at[i].space) == line)) {
            all->at[i].taken = true;
            return all->at[i].space;
        }
    return 0;
}

/* --- balance ------------------------------------------------------------------------------ */

/* Breakers in the order in which they are placed. */
struct queue {
    struct waiting *at;
    uint32_t pairs, singles; /* pairs first */
    uint32_t unlike;         /* pairs whose poles carry unlike loads, first of all */
};

static uint32_t count_free(struct layout *l, unsigned line)
{
    uint32_t n = 0;
    for (uint32_t space = line ? 3 : 1; space <= l->spaces; space = next_on_line(space))
        n += !l->used[space];
    return n;
}

/* Spaces of a line with one breaker in them, and room for another half-size one. */
static uint32_t count_halves(struct layout *l, unsigned line)
{
    uint32_t n = 0;
    for (uint32_t space = line ? 3 : 1; l->panel->half_size && space <= l->spaces;
         space = next_on_line(space))
        n += half_free(l, space);
    return n;
}

/* The line that carries the less by the breakers, for a load that the plan does not say; a line is
 * left out that is full, or that has no whole space where the other has one. */
static unsigned lighter_by_breakers(struct layout *l)
{
    unsigned line = l->amps[1] < l->amps[0];
    bool whole = free_whole(l, 0) || free_whole(l, 1);
    return (whole ? free_whole(l, line) : free_space(l, line)) ? line : !line;
}

/* The pairs that fit; those that are left over wait in vain. */
static uint32_t pairs_that_fit(const stretches *list, uint32_t pairs)
{
    uint32_t fit = 0;
    for (uint32_t k = 0; k < list->n && fit < pairs; k++)
        fit += list->at[k].count / 2;
    return fit < pairs ? fit : pairs;
}

/* Which numbers of unlike pairs may have their larger side on line A: with all the others the pairs
 * must find places. */
static bool *allowed(struct layout *l, const struct ways *w, uint32_t stretch_count, uint32_t pairs,
                     uint32_t unlike)
{
    bool *may = arena_array(l->arena, bool, unlike + 1);
    for (uint32_t on_a = 0; on_a <= pairs; on_a++) {
        int32_t on_b = *way(w, stretch_count, on_a);
        if (on_b == NO_WAY || (uint32_t)on_b + on_a < pairs)
            continue;
        for (uint32_t u = 0; u <= unlike; u++)
            if (u <= on_a && unlike - u <= pairs - on_a)
                may[u] = true;
    }
    return may;
}

/* How many pairs begin on line A where `u` of the unlike ones do. */
static uint32_t way_for(const struct ways *w, uint32_t stretch_count, uint32_t pairs,
                        uint32_t unlike, uint32_t u)
{
    for (uint32_t on_a = u; on_a + unlike <= pairs + u; on_a++) {
        int32_t on_b = *way(w, stretch_count, on_a);
        if (on_b != NO_WAY && (uint32_t)on_b + on_a >= pairs)
            return on_a;
    }
    return u;
}

static void place_pairs(struct layout *l, const struct queue *q, uint32_t pairs, beginnings *places,
                        const struct balanced *best)
{
    for (uint32_t i = 0; i < q->unlike; i++) {
        place(l, q->at[i].circuit, take_beginning(places, !best->pair_on_a[i]), HALF_NONE);
    }
    for (uint32_t i = q->unlike; i < pairs; i++)
        place(l, q->at[i].circuit, take_beginning(places, 2), HALF_NONE);
}

/* Single breakers: those with a load as the balance has it, then the others by what the breakers
 * add up to. */
static void place_singles(struct layout *l, const struct waiting *at, uint32_t count,
                          const struct balanced *best)
{
    for (uint32_t i = 0; i < count; i++) {
        uint32_t space =
            free_space(l, at[i].va > 0 ? !best->single_on_a[i] : lighter_by_breakers(l));
        if (space)
            place_single(l, at[i].circuit, space);
    }
}

/* Only pairs that load both lines alike: the first free ones from the top. */
static void place_like_pairs(struct layout *l, const struct queue *q)
{
    for (uint32_t i = 0; i < q->pairs; i++) {
        uint32_t space = free_pair(l);
        if (space)
            place(l, q->at[i].circuit, space, HALF_NONE);
    }
}

/* How many single breakers each line takes: its whole spaces, and beside them half-size breakers,
 * no more than there must be. */
static uint32_t find_room(struct layout *l, uint32_t pairs, uint32_t singles, uint32_t room[2])
{
    uint32_t whole[2] = {count_free(l, 0) - pairs, count_free(l, 1) - pairs};
    uint32_t lacking = singles > whole[0] + whole[1] ? singles - whole[0] - whole[1] : 0;
    for (unsigned line = 0; line < 2; line++) {
        uint32_t halves = l->panel->half_size ? whole[line] + count_halves(l, line) : 0;
        room[line] = whole[line] + (halves < lacking ? halves : lacking);
    }
    return room[0] + room[1];
}

/* What the balance is asked: the lines as they are, and what waits. */
static struct balance ask(struct layout *l, const struct queue *q, uint32_t pairs, uint32_t *placed)
{
    struct balance b = {.pairs = q->unlike,
                        .start = llround(l->lines->va[0]) - llround(l->lines->va[1])};
    const struct waiting *singles = q->at + q->pairs;
    uint32_t room = find_room(l, pairs, q->singles, b.room);
    *placed = q->singles < room ? q->singles : room;
    int64_t *single = arena_array(l->arena, int64_t, *placed + 1),
            *pair = arena_array(l->arena, int64_t, q->unlike + 1);
    for (; b.singles < *placed && singles[b.singles].va > 0; b.singles++)
        single[b.singles] = singles[b.singles].va;
    for (uint32_t i = 0; i < q->unlike; i++)
        pair[i] = q->at[i].va;
    b.single = single;
    b.pair = pair;
    return b;
}

static uint32_t count_true(const bool *at, uint32_t n)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < n; i++)
        count += at[i];
    return count;
}

static void lay_out_waiting(struct layout *l, struct queue *q)
{
    stretches list = find_stretches(l);
    uint32_t pairs = pairs_that_fit(&list, q->pairs), placed;
    if (q->unlike > pairs)
        q->unlike = pairs;
    struct ways ways = find_ways(l, &list, q->unlike ? pairs : 0);
    struct balance b = ask(l, q, pairs, &placed);
    b.may = q->unlike ? allowed(l, &ways, list.n, pairs, q->unlike) : (const bool[]){true};
    struct balanced best = balance_lines(l->arena, &b);
    l->lines->proven = best.proven;
    if (q->unlike) {
        follow_way(&ways, &list,
                   way_for(&ways, list.n, pairs, q->unlike, count_true(best.pair_on_a, q->unlike)));
        beginnings places = list_beginnings(l, &list);
        place_pairs(l, q, pairs, &places, &best);
    } else {
        place_like_pairs(l, q);
    }
    place_singles(l, q->at + q->pairs, placed, &best);
}

/* --- a panel ------------------------------------------------------------------------------ */

static int by_weight(const void *a, const void *b)
{
    const struct waiting *x = a, *y = b;
    bool unlike[2] = {x->poles == 2 && x->va, y->poles == 2 && y->va};
    if (x->poles != y->poles)
        return x->poles > y->poles ? -1 : 1;
    if (unlike[0] != unlike[1])
        return unlike[0] ? -1 : 1;
    if (x->load != y->load)
        return x->load > y->load ? -1 : 1;
    return strcmp(x->address, y->address); /* and not the order of the text */
}

static struct waiting wait_for_space(const struct layout *l, const struct circuit *c)
{
    struct waiting w = {.circuit = c,
                        .address = address_of_circuit(l->arena, c, false),
                        .load = l->loads->of_circuit[c->id].va,
                        .poles = circuit_poles(c)};
    struct circuit_space s = {0};
    if (w.poles == 2)
        split_poles(l->loads, c, &s);
    w.va = w.poles == 2 ? llround(s.line_va[0]) - llround(s.line_va[1]) : llround(w.load);
    return w;
}

/* More spaces than any panel has: a figure beyond it is a slip, and not worth the memory. */
enum { MOST_SPACES = 10000 };

/* A panel that does not say how many spaces it has is as large as its circuits want. */
static uint32_t spaces_of(const struct panel *p)
{
    if (p->spaces)
        return p->spaces < MOST_SPACES ? p->spaces : MOST_SPACES;
    uint32_t most = 0;
    for (uint32_t i = 0; i < p->circuits.n; i++)
        if (p->circuits.at[i]->space > most)
            most = p->circuits.at[i]->space;
    for (uint32_t i = 0; i < p->taken.n; i++)
        if (p->taken.at[i].last > most)
            most = p->taken.at[i].last;
    return (most < MOST_SPACES ? most : MOST_SPACES) + 4 * p->circuits.n + 4;
}

/* Single breakers that need not share their space are bought whole. */
static void make_whole(struct layout *l)
{
    for (uint32_t i = 0; i < l->panel->circuits.n && l->panel->half_size; i++) {
        const struct circuit *c = l->panel->circuits.at[i];
        struct circuit_space *s = &l->of_circuit[c->id];
        if (s->found && !c->half && s->poles == 1 && s->space && half_free(l, s->space)) {
            s->half = HALF_NONE;
            l->halves[s->space] = WHOLE_SPACE;
        }
    }
}

/* Poles of existing circuits that do not say where they stand, beyond what is taken and nothing is
 * known to stand in: that is where they would be. */
static uint32_t count_unknown(const struct layout *l, const bool *taken)
{
    uint32_t poles = 0, held = 0;
    bool *known = arena_array(l->arena, bool, (size_t)l->spaces + 1);
    for (uint32_t i = 0; i < l->panel->circuits.n; i++) {
        const struct circuit *c = l->panel->circuits.at[i];
        poles += c->existing && !c->space ? circuit_poles(c) : 0;
        for (uint32_t k = 0; c->space && k < circuit_poles(c) && c->space + 2 * k <= l->spaces; k++)
            known[c->space + 2 * k] = true;
    }
    for (uint32_t n = 1; n <= l->spaces; n++)
        held += taken[n] && !known[n];
    return poles > held ? poles - held : 0;
}

/* A free space without which the fewest pairs lose their place: the last of a column of an odd
 * number, else the last of any. 0 where none is free. */
static uint32_t least_missed(const stretches *list)
{
    struct stretch *any = NULL;
    for (uint32_t k = list->n; k-- > 0;) {
        struct stretch *s = &list->at[k];
        if (s->count % 2)
            return s->first + 2 * --s->count;
        any = !any && s->count ? s : any;
    }
    return any ? any->first + 2 * --any->count : 0;
}

/* Whether a half-size breaker fits at a space; `beside` another one there. */
static bool half_fits(const struct layout *l, const struct circuit *c, uint32_t space, bool *beside)
{
    *beside = false;
    for (uint32_t pole = 0; pole < circuit_poles(c); pole++) {
        uint32_t n = space + 2 * pole;
        if (n > l->spaces || l->halves[n] & panel_half(c->half, pole))
            return false;
        *beside |= l->halves[n] != 0;
    }
    return true;
}

/* A half-size breaker that says which half, and not where: beside another one, else in a space of
 * its own. */
static void place_half(struct layout *l, const struct circuit *c)
{
    uint32_t alone = 0;
    bool beside;
    for (uint32_t n = 1; n <= l->spaces; n++) {
        if (!half_fits(l, c, n, &beside))
            continue;
        if (beside) {
            place(l, c, n, c->half);
            return;
        }
        alone = alone ? alone : n;
    }
    stretches list = find_stretches(l);
    uint32_t space = circuit_poles(c) == 2 ? alone : least_missed(&list);
    if (space)
        place(l, c, space, c->half);
}

/* Leaves as many spaces free as existing breakers may stand in; half-size ones two in a space.
 */
static void keep_room(struct layout *l)
{
    uint32_t unknown = l->panel->spaces ? l->lines->unknown : 0,
             left = l->panel->half_size ? unknown / 2 + unknown % 2 : unknown;
    stretches list = find_stretches(l);
    while (left-- > 0) {
        uint32_t space = least_missed(&list);
        l->used[space] = space > 0;
        l->halves[space] = WHOLE_SPACE;
    }
}

/* Those of the queue that say which half go first, from it. */
static void place_halves(struct layout *l, struct queue *q)
{
    struct queue rest = {.at = q->at};
    for (uint32_t i = 0; i < q->pairs + q->singles; i++) {
        struct waiting w = q->at[i];
        if (l->panel->half_size && w.circuit->half) {
            place_half(l, w.circuit);
            continue;
        }
        rest.at[rest.pairs + rest.singles] = w;
        rest.pairs += w.poles == 2;
        rest.singles += w.poles == 1;
        rest.unlike += w.poles == 2 && w.va;
    }
    *q = rest;
}

static void take_spaces(struct layout *l, bool *taken)
{
    const struct panel *p = l->panel;
    for (uint32_t i = 0; i < p->taken.n; i++)
        for (uint64_t n = p->taken.at[i].first; n <= p->taken.at[i].last && n <= l->spaces; n++) {
            l->used[n] = taken[n] = true;
            l->halves[n] = WHOLE_SPACE;
        }
}

/* Breakers that the plan places; the others wait. */
static struct queue place_written(struct layout *l)
{
    const struct panel *p = l->panel;
    struct queue q = {.at = arena_array(l->arena, struct waiting, p->circuits.n + 1)};
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *c = p->circuits.at[i];
        if (c->space) {
            place(l, c, c->space, p->half_size ? c->half : HALF_NONE);
        } else if (!c->existing) {
            struct waiting w = wait_for_space(l, c);
            q.at[q.pairs + q.singles] = w;
            q.pairs += w.poles == 2;
            q.singles += w.poles == 1;
            q.unlike += w.poles == 2 && w.va;
        }
    }
    qsort(q.at, q.pairs + q.singles, sizeof *q.at, by_weight);
    return q;
}

static void lay_out(struct layout *l)
{
    const struct panel *p = l->panel;
    l->spaces = spaces_of(p);
    l->used = arena_array(l->arena, bool, (size_t)l->spaces + 1);
    l->halves = arena_array(l->arena, uint8_t, (size_t)l->spaces + 1);
    l->next[0] = l->next_half[0] = l->next_pair = 1;
    l->next[1] = l->next_half[1] = 3;
    bool *taken = arena_array(l->arena, bool, (size_t)l->spaces + 1);
    take_spaces(l, taken);
    struct queue q = place_written(l);
    place_halves(l, &q);
    l->lines->unknown = count_unknown(l, taken);
    keep_room(l);
    lay_out_waiting(l, &q);
    make_whole(l);
}

struct panels *panels_lay_out(struct arena *arena, const struct model *m, const struct loads *loads)
{
    struct panels *panels = arena_new(arena, struct panels);
    panels->of_circuit = arena_array(arena, struct circuit_space, m->circuits.n);
    panels->of_panel = arena_array(arena, struct panel_lines, m->panels.n);
    for (uint32_t i = 0; i < m->circuits.n; i++)
        panels->of_circuit[i].poles = circuit_poles(m->circuits.at[i]);
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    for (uint32_t i = 0; i < m->panels.n; i++) {
        struct layout l = {.arena = &scratch,
                           .loads = loads,
                           .panel = m->panels.at[i],
                           .of_circuit = panels->of_circuit,
                           .lines = &panels->of_panel[i]};
        lay_out(&l);
        arena_reset(&scratch);
    }
    arena_free(&scratch);
    return panels;
}
