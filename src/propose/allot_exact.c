/* All sets of a few pieces. A set is a mask of bits, by the place of a piece in the part. */
#include "propose/allot_work.h"

#include <math.h>

struct sets {
    const struct allot_part *part;
    uint32_t all;  /* the set of all pieces */
    double *cost;  /* by set: as one group; infinite where it may be none */
    uint8_t *few;  /* by set: the fewest groups */
    double *best;  /* by set: the cheapest of so many groups */
    uint32_t *cut; /* [groups * (all + 1) + set]: the group with its first piece */
};

static uint32_t members(const struct allot_part *part, uint32_t set, uint32_t *pieces)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < part->n; i++)
        if (set >> i & 1)
            pieces[n++] = part->pieces[i];
    return n;
}

static void weigh_sets(struct sets *s)
{
    const struct allot_asked *asked = s->part->asked;
    uint32_t pieces[MOST_EXACT];
    for (uint32_t set = 1; set <= s->all; set++) {
        uint32_t n = members(s->part, set, pieces);
        bool may = n == 1 || asked->may(asked->of, pieces, n);
        s->cost[set] = may ? asked->cost(asked->of, pieces, n) : INFINITY;
    }
}

/* The next smaller subset of `set` that has its lowest piece; 0: there is none. */
static uint32_t next_subset(uint32_t set, uint32_t sub)
{
    uint32_t lowest = set & -set, rest = set ^ lowest, below = sub ^ lowest;
    return below ? ((below - 1) & rest) | lowest : 0;
}

static void count_fewest(struct sets *s)
{
    for (uint32_t set = 1; set <= s->all; set++) {
        s->few[set] = UINT8_MAX;
        for (uint32_t sub = set; sub; sub = next_subset(set, sub))
            if (s->cost[sub] < INFINITY && s->few[set ^ sub] + 1 < s->few[set])
                s->few[set] = (uint8_t)(s->few[set ^ sub] + 1);
    }
}

/* The cheapest of exactly so many groups, from that of one group fewer. */
static void add_group(struct sets *s, const double *before, uint32_t groups)
{
    uint32_t *cut = &s->cut[(size_t)groups * (s->all + 1)];
    s->best[0] = INFINITY;
    for (uint32_t set = 1; set <= s->all; set++) {
        s->best[set] = INFINITY;
        for (uint32_t sub = set; sub; sub = next_subset(set, sub)) {
            double cost = s->cost[sub] + before[set ^ sub];
            if (cost < s->best[set] - 1e-9) {
                s->best[set] = cost;
                cut[set] = sub;
            }
        }
    }
}

struct allot_groups *propose_exactly(struct allot_part *part)
{
    struct arena *a = part->scratch;
    size_t sets = (size_t)1 << part->n;
    struct sets s = {.part = part,
                     .all = (uint32_t)sets - 1,
                     .cost = arena_array(a, double, sets),
                     .few = arena_array(a, uint8_t, sets),
                     .best = arena_array(a, double, sets),
                     .cut = arena_array(a, uint32_t, sets * (part->n + 1))};
    double *before = arena_array(a, double, sets);
    weigh_sets(&s);
    count_fewest(&s);
    uint32_t wanted = allot_wanted(part->asked, part->pieces, part->n),
             groups = s.few[s.all] > wanted ? s.few[s.all] : wanted;
    for (size_t set = 1; set < sets; set++)
        before[set] = INFINITY;
    for (uint32_t g = 1; g <= groups; g++) {
        double *now = s.best;
        add_group(&s, before, g);
        s.best = before;
        before = now;
    }
    struct allot_groups *out = allot_no_groups(part);
    for (uint32_t set = s.all, g = groups; set; g--) {
        uint32_t sub = s.cut[(size_t)g * sets + set];
        struct allot_group *group = &out->of[out->count++];
        group->n = members(part, sub, group->at);
        group->cost = s.cost[sub];
        out->cost += group->cost;
        set ^= sub;
    }
    return out;
}
