#include "cuts/pack_lp.h"
#include "cuts/pack_model.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The most fillings of one coil that are tried at a node; beyond it the search is no longer
 * complete, and says so. */
enum { CHILDREN_MAX = 2000 };

static const double whole = 1e-4; /* how near a number of coils is taken for whole */

/* A filling of the next coil, as a pair (size, count) for each entry in the level's `entry`. */
struct child {
    uint32_t kind, first, entries;
    double used;   /* by the linear program */
    int64_t bound; /* of a packing that holds it */
};

/* The node under way at one depth of the search. */
struct level {
    uint32_t *rem, *limit;
    VEC(struct child) children;
    VEC(uint32_t) entry;
};

struct search {
    struct arena *arena;
    const struct pack_model *model; /* its kinds that cost come once more as free, for coils that
                                       are certain to be bought */
    uint32_t kinds;                 /* of the original model */
    uint32_t *twin; /* by kind: the free kind for certain coils of it, UINT32_MAX for none */
    struct pack_lp *lp;
    VEC(struct level *) levels;
    struct pack_packing path, best, trial, dived;
    uint32_t *trial_rem;
    int64_t best_cost, root_bound;
    uint64_t *steps;
    bool incomplete;
    uint32_t *chosen; /* while children are enumerated: the count of each size */
};

static bool is_over(const struct search *s)
{
    return s->best_cost <= s->root_bound || !*s->steps;
}

static void spend(struct search *s, uint64_t work)
{
    *s->steps -= work < *s->steps ? work : *s->steps;
}

static struct level *level_at(struct search *s, uint32_t depth)
{
    while (s->levels.n <= depth) {
        struct level *level = arena_new(s->arena, struct level);
        level->rem = arena_array(s->arena, uint32_t, s->model->sizes);
        level->limit = arena_array(s->arena, uint32_t, s->model->kinds);
        *vec_push(s->arena, &s->levels) = level;
    }
    return s->levels.at[depth];
}

static struct level *copy_level(struct search *s, uint32_t depth, const struct level *from)
{
    struct level *to = level_at(s, depth);
    memcpy(to->rem, from->rem, s->model->sizes * sizeof *to->rem);
    memcpy(to->limit, from->limit, s->model->kinds * sizeof *to->limit);
    return to;
}

static bool is_empty(const struct search *s, const uint32_t *rem)
{
    for (uint32_t i = 0; i < s->model->sizes; i++)
        if (rem[i])
            return false;
    return true;
}

/* --- packings found ----------------------------------------------------------------------- */

/* The original kind that a kind stands for. */
static uint32_t real_kind(const struct search *s, uint32_t kind)
{
    for (uint32_t k = 0; kind >= s->kinds && k < s->kinds; k++)
        if (s->twin[k] == kind)
            return k;
    return kind;
}

/* Keeps the packing if it is the best so far. A coil that was certain to be bought but stayed empty
 * is not counted. */
static void keep_if_best(struct search *s, struct pack_packing *packing)
{
    for (uint32_t b = 0; b < packing->coils; b++)
        packing->kind[b] = real_kind(s, packing->kind[b]);
    int64_t cost = pack_packing_cost(s->model, packing);
    if (cost >= s->best_cost)
        return;
    s->best_cost = cost;
    pack_packing_copy(s->model, &s->best, packing);
    if (s->lp)
        pack_lp_learn(s->lp, packing);
}

/* Finishes the packing by first fit, once for each kind to prefer. */
static void finish_by_first_fit(struct search *s, const struct pack_packing *packing,
                                const uint32_t *rem, const uint32_t *limit)
{
    for (uint32_t k = 0; k < s->kinds; k++) {
        if (!s->model->kind[k].cost && k)
            continue;
        pack_packing_copy(s->model, &s->trial, packing);
        memcpy(s->trial_rem, rem, s->model->sizes * sizeof *rem);
        if (pack_first_fit(s->arena, s->model, &s->trial, s->trial_rem, limit, k))
            keep_if_best(s, &s->trial);
        spend(s, (uint64_t)s->model->cuts * 20);
    }
}

/* Adds one coil. The counts are taken as far as they fit, for on a coarse grid a filling may be too
 * long; what still fits is filled up. */
static void push_coil(struct search *s, struct pack_packing *packing, uint32_t kind, uint32_t *rem)
{
    length room = s->model->kind[kind].cap;
    uint32_t item = packing->first[packing->coils];
    packing->kind[packing->coils++] = kind;
    for (int fill = 0; fill < 2; fill++) {
        for (uint32_t i = 0; i < s->model->sizes; i++) {
            uint32_t wanted = fill ? rem[i] : s->chosen[i];
            for (; wanted && rem[i] && s->model->size[i] <= room; wanted--, rem[i]--) {
                packing->item[item++] = i;
                room -= s->model->size[i];
            }
        }
    }
    packing->first[packing->coils] = item;
}

/* Fills coil after coil of the kind as full as can be, as long as there are cuts. */
static void fill_coils(struct search *s, struct pack_packing *packing, struct level *level,
                       uint32_t kind, uint32_t coils)
{
    for (; coils && level->limit[kind] && !is_empty(s, level->rem) && *s->steps; coils--) {
        pack_lp_fill(s->lp, kind, level->rem, s->chosen, s->steps);
        uint32_t before = packing->first[packing->coils];
        push_coil(s, packing, kind, level->rem);
        if (packing->first[packing->coils] == before) {
            packing->coils--;
            return;
        }
        level->limit[kind]--;
    }
}

/* Takes the free coils and the cheapest set of others that is long enough, and fills them one by
 * one. With many short cuts this comes out even, and then it is the best. */
static void fill_cheapest_cover(struct search *s, const struct level *from, uint32_t depth)
{
    struct level *level = copy_level(s, depth, from);
    uint32_t *count = arena_array(s->arena, uint32_t, s->model->kinds);
    pack_cover(s->arena, s->model, pack_length_to_buy(s->model, level->rem, level->limit), count,
               s->steps);
    pack_packing_copy(s->model, &s->dived, &s->path);
    for (uint32_t k = 0; k < s->kinds; k++) {
        if (!s->model->kind[k].cost)
            fill_coils(s, &s->dived, level, k, level->limit[k]);
        else
            fill_coils(s, &s->dived, level, s->twin[k], level->limit[s->twin[k]]);
        fill_coils(s, &s->dived, level, k, count[k]);
    }
    finish_by_first_fit(s, &s->dived, level->rem, level->limit);
}

static void choose_column(struct search *s, const struct pack_column *c)
{
    memset(s->chosen, 0, s->model->sizes * sizeof *s->chosen);
    for (uint32_t e = 0; e < c->entries; e++)
        s->chosen[c->size[e]] = c->count[e];
}

/* Fixes the fillings that the linear program uses a whole number of times, or the one it uses most.
 * False if it uses none. */
static bool fix_columns(struct search *s, struct pack_packing *packing, struct level *level)
{
    const struct pack_column *most = NULL;
    bool fixed = false;
    for (uint32_t j = 0; j < s->lp->columns; j++) {
        const struct pack_column *c = &s->lp->column[j];
        if (c->used > 0 && (!most || c->used > most->used))
            most = c;
    }
    for (uint32_t j = 0; j < s->lp->columns; j++) {
        const struct pack_column *c = &s->lp->column[j];
        uint32_t times = c->used > 0 ? (uint32_t)(c->used + whole) : 0;
        if (!times && c == most && !fixed)
            times = 1;
        choose_column(s, c);
        for (; times && level->limit[c->kind] && !is_empty(s, level->rem); times--) {
            push_coil(s, packing, c->kind, level->rem);
            level->limit[c->kind]--;
            fixed = true;
        }
    }
    return fixed;
}

/* Rounds the linear program's solution, solves it again for what is left, and so on: a packing that
 * is often the best. */
static void dive(struct search *s, const struct level *from, uint32_t depth, int64_t certain)
{
    struct level *level = copy_level(s, depth, from);
    pack_packing_copy(s->model, &s->dived, &s->path);
    int64_t before = pack_packing_cost(s->model, &s->dived);
    while (!is_over(s)) {
        finish_by_first_fit(s, &s->dived, level->rem, level->limit);
        int64_t spent = certain + pack_packing_cost(s->model, &s->dived) - before;
        if (is_empty(s, level->rem) || spent >= s->best_cost)
            break;
        int64_t bound =
            pack_lp_bound(s->lp, level->rem, level->limit, s->best_cost - spent, s->steps);
        if (bound >= s->best_cost - spent || !fix_columns(s, &s->dived, level))
            break;
    }
}

/* --- the fillings of the next coil -------------------------------------------------------- */

/* The enumeration of fillings of one kind that hold the longest cut left. */
struct filling {
    struct level *level;
    uint32_t kind;
    int64_t least_worth; /* with less worth no packing that holds it can beat the best */
    int64_t bound_base;  /* bound of a packing = this less the worth, over scale */
};

static void add_child(struct search *s, const struct filling *f, length room, int64_t worth)
{
    for (uint32_t i = 0; i < s->model->sizes; i++)
        if (s->chosen[i] < f->level->rem[i] && s->model->size[i] <= room)
            return; /* one that holds this cut besides is as good or better */
    struct child child = {
        .kind = f->kind, .first = f->level->entry.n, .bound = f->bound_base - worth};
    for (uint32_t i = 0; i < s->model->sizes; i++) {
        if (!s->chosen[i])
            continue;
        *vec_push(s->arena, &f->level->entry) = i;
        *vec_push(s->arena, &f->level->entry) = s->chosen[i];
        child.entries++;
    }
    *vec_push(s->arena, &f->level->children) = child;
}

static void extend_filling(struct search *s, const struct filling *f, uint32_t size, length room,
                           uint32_t room_units, int64_t worth)
{
    spend(s, 1);
    if (worth + s->lp->table[room_units] < f->least_worth || !*s->steps)
        return;
    if (f->level->children.n == CHILDREN_MAX) {
        s->incomplete = true;
        return;
    }
    while (size < s->model->sizes && (!f->level->rem[size] || s->model->size[size] > room))
        size++;
    if (size == s->model->sizes) {
        spend(s, s->model->sizes);
        add_child(s, f, room, worth);
        return;
    }
    length fit = room / s->model->size[size];
    uint32_t free = f->level->rem[size] - s->chosen[size];
    uint32_t more = fit < free ? (uint32_t)fit : free;
    uint32_t before = s->chosen[size];
    for (uint32_t n = more + 1; n-- > 0;) {
        s->chosen[size] = before + n;
        extend_filling(s, f, size + 1, room - n * s->model->size[size],
                       room_units - n * s->lp->unit[size], worth + n * s->lp->worth[size]);
    }
    s->chosen[size] = before;
}

/* Whether an earlier kind is as long and costs no more, so that this one need not be tried. */
static bool is_same_or_worse(const struct search *s, const uint32_t *limit, uint32_t kind)
{
    const struct pack_kind *a = &s->model->kind[kind];
    for (uint32_t k = 0; k < s->model->kinds; k++) {
        const struct pack_kind *b = &s->model->kind[k];
        if (limit[k] && b->cap == a->cap && (b->cost < a->cost || (b->cost == a->cost && k < kind)))
            return true;
    }
    return false;
}

/* The worth that a filling of the kind needs: a packing with it costs at least the bound, plus what
 * it falls short of the kind's best. */
static void set_least_worth(const struct search *s, struct filling *f, int64_t cost_left)
{
    const struct pack_lp *lp = s->lp;
    int64_t cost = s->model->kind[f->kind].cost * lp->scale;
    int64_t over = lp->table[lp->cap_unit[f->kind]] - cost;
    __int128 base = lp->bound + cost + (over > 0 ? over : 0);
    __int128 least = base - (__int128)(cost_left - 1) * lp->scale;
    f->bound_base = base > INT64_MAX ? INT64_MAX : (int64_t)base;
    f->least_worth = least > INT64_MAX ? INT64_MAX : least < 0 ? 0 : (int64_t)least;
}

static double times_used(const struct search *s, const struct level *level,
                         const struct child *child)
{
    for (uint32_t j = 0; j < s->lp->columns; j++) {
        const struct pack_column *c = &s->lp->column[j];
        if (c->used <= 0 || c->kind != child->kind || c->entries != child->entries)
            continue;
        /* the entries of a column run from short cuts to long ones, those of a child the other way
         */
        uint32_t same = 0;
        for (uint32_t e = 0; e < c->entries; e++) {
            const uint32_t *pair = &level->entry.at[child->first + 2 * (c->entries - 1 - e)];
            same += c->size[e] == pair[0] && c->count[e] == pair[1];
        }
        if (same == c->entries)
            return c->used;
    }
    return 0;
}

/* What the linear program uses most first, then the least bound, then the order of enumeration:
 * longest cuts first. */
static int compare_children(const void *pa, const void *pb)
{
    const struct child *a = pa, *b = pb;
    if (a->used != b->used)
        return a->used > b->used ? -1 : 1;
    if (a->bound != b->bound)
        return a->bound < b->bound ? -1 : 1;
    return a->first < b->first ? -1 : a->first > b->first;
}

/* All fillings worth trying of a coil that holds the longest cut left, the most promising first. */
static void find_children(struct search *s, struct level *level, int64_t cost_left)
{
    uint32_t longest = 0;
    while (!level->rem[longest])
        longest++;
    level->children.n = level->entry.n = 0;
    for (uint32_t k = 0; k < s->model->kinds; k++) {
        length room = s->model->kind[k].cap - s->model->size[longest];
        if (!level->limit[k] || room < 0 || is_same_or_worse(s, level->limit, k))
            continue;
        struct filling f = {.level = level, .kind = k};
        set_least_worth(s, &f, cost_left);
        memset(s->chosen, 0, s->model->sizes * sizeof *s->chosen);
        s->chosen[longest] = 1;
        uint32_t units = s->lp->cap_unit[k] - s->lp->unit[longest];
        extend_filling(s, &f, longest, room, units, s->lp->worth[longest]);
    }
    for (uint32_t c = 0; c < level->children.n; c++) {
        struct child *child = &level->children.at[c];
        child->used = times_used(s, level, child);
        spend(s, s->lp->columns);
    }
    if (level->children.n)
        qsort(level->children.at, level->children.n, sizeof *level->children.at, compare_children);
}

/* --- branch and bound --------------------------------------------------------------------- */

static void explore(struct search *s, uint32_t depth, int64_t certain, bool filling);

/* The kind whose number of bought coils is farthest from whole in the linear program's solution,
 * and that number. */
static uint32_t find_broken_count(const struct search *s, double *number)
{
    uint32_t broken = UINT32_MAX;
    double worst = whole;
    for (uint32_t k = 0; k < s->kinds; k++) {
        double sum = 0;
        for (uint32_t j = 0; j < s->lp->columns; j++)
            sum += s->lp->column[j].kind == k ? s->lp->column[j].used : 0;
        double off = fabs(sum - nearbyint(sum));
        if (s->model->kind[k].cost && off > worst) {
            worst = off;
            broken = k;
            *number = sum;
        }
    }
    return broken;
}

/* Either more coils of the kind than the broken number are bought, which makes them certain and
 * free from here, or fewer. */
static void branch_on_count(struct search *s, uint32_t depth, int64_t certain, uint32_t kind,
                            uint32_t fewer, bool filling)
{
    const struct level *level = level_at(s, depth);
    if (level->limit[kind] > fewer) {
        struct level *more = copy_level(s, depth + 1, level);
        more->limit[kind] -= fewer + 1;
        more->limit[s->twin[kind]] += fewer + 1;
        explore(s, depth + 1, certain + (fewer + 1) * s->model->kind[kind].cost, filling);
    }
    struct level *less = copy_level(s, depth + 1, level_at(s, depth));
    less->limit[kind] = fewer;
    explore(s, depth + 1, certain, filling);
}

/* Each filling of the coil that the longest cut comes off. */
static void branch_on_filling(struct search *s, uint32_t depth, int64_t certain)
{
    struct level *level = level_at(s, depth);
    find_children(s, level, s->best_cost - certain);
    uint32_t coils = s->path.coils;
    for (uint32_t c = 0; c < level->children.n && !is_over(s); c++) {
        const struct child *child = &level->children.at[c];
        if (child->bound >= (__int128)(s->best_cost - certain - 1) * s->lp->scale + 1)
            continue;
        struct level *next = copy_level(s, depth + 1, level);
        memset(s->chosen, 0, s->model->sizes * sizeof *s->chosen);
        for (uint32_t e = 0; e < child->entries; e++)
            s->chosen[level->entry.at[child->first + 2 * e]] =
                level->entry.at[child->first + 2 * e + 1];
        push_coil(s, &s->path, child->kind, next->rem);
        next->limit[child->kind]--;
        explore(s, depth + 1, certain + s->model->kind[child->kind].cost, true);
        s->path.coils = coils;
    }
}

/* All packings of what is left at this depth, behind the coils of the path; `certain` is what those
 * and the coils certain to be bought cost, `filling` whether single coils are being filled already.
 */
static void explore(struct search *s, uint32_t depth, int64_t certain, bool filling)
{
    struct level *level = level_at(s, depth);
    if (is_over(s) || certain >= s->best_cost)
        return;
    finish_by_first_fit(s, &s->path, level->rem, level->limit);
    if (!filling)
        fill_cheapest_cover(s, level, depth + 1);
    if (is_empty(s, level->rem) || is_over(s))
        return;
    int64_t bound =
        pack_lp_bound(s->lp, level->rem, level->limit, s->best_cost - certain, s->steps);
    if (!depth)
        s->root_bound = bound > s->root_bound ? bound : s->root_bound;
    if (is_over(s) || bound >= s->best_cost - certain)
        return;
    double number = 0;
    uint32_t kind = find_broken_count(s, &number);
    if (!filling && (!depth || kind == UINT32_MAX)) {
        dive(s, level, depth + 1, certain);
        if (is_over(s) || bound >= s->best_cost - certain)
            return;
        /* diving has used the linear program for other things */
        pack_lp_bound(s->lp, level->rem, level->limit, s->best_cost - certain, s->steps);
        kind = find_broken_count(s, &number);
    }
    if (kind != UINT32_MAX)
        branch_on_count(s, depth, certain, kind, (uint32_t)number, filling);
    else
        branch_on_filling(s, depth, certain);
}

/* --- the whole ---------------------------------------------------------------------------- */

/* The model with a free twin, of which there is none yet, for each kind that costs. */
static const struct pack_model *with_twins(struct search *s, const struct pack_model *model)
{
    struct pack_model *more = arena_new(s->arena, struct pack_model);
    *more = *model;
    more->kind = arena_array(s->arena, struct pack_kind, 2 * (size_t)model->kinds);
    s->twin = arena_array(s->arena, uint32_t, model->kinds);
    for (uint32_t k = 0; k < model->kinds; k++) {
        more->kind[k] = model->kind[k];
        s->twin[k] = UINT32_MAX;
        if (!model->kind[k].cost)
            continue;
        s->twin[k] = more->kinds;
        more->kind[more->kinds] = model->kind[k];
        more->kind[more->kinds].cost = 0;
        more->kind[more->kinds++].limit = 0;
    }
    return more;
}

static void start_level(struct search *s)
{
    struct level *level = level_at(s, 0);
    memcpy(level->rem, s->model->demand, s->model->sizes * sizeof *level->rem);
    for (uint32_t k = 0; k < s->model->kinds; k++)
        level->limit[k] = s->model->kind[k].limit;
}

/* What is left once the coils of the seed are filled. */
static void take_seed(struct search *s, const struct pack_packing *seed, uint32_t *rem,
                      uint32_t *limit)
{
    for (uint32_t b = 0; b < seed->coils; b++)
        limit[seed->kind[b]]--;
    for (uint32_t i = 0; i < seed->first[seed->coils]; i++)
        rem[seed->item[i]]--;
    finish_by_first_fit(s, seed, rem, limit);
}

void pack_solve(struct arena *arena, const struct pack_model *model,
                const struct pack_packing *seed, uint64_t *steps, struct pack_answer *out)
{
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct search s = {
        .arena = &scratch, .kinds = model->kinds, .steps = steps, .best_cost = INT64_MAX};
    s.model = with_twins(&s, model);
    s.path = pack_packing_new(&scratch, s.model);
    s.trial = pack_packing_new(&scratch, s.model);
    s.dived = pack_packing_new(&scratch, s.model);
    s.best = pack_packing_new(&scratch, s.model);
    s.chosen = arena_array(&scratch, uint32_t, model->sizes);
    s.trial_rem = arena_array(&scratch, uint32_t, model->sizes);
    start_level(&s);
    int64_t to_buy = pack_length_to_buy(s.model, s.levels.at[0]->rem, s.levels.at[0]->limit);
    s.root_bound = pack_cover(&scratch, s.model, to_buy,
                              arena_array(&scratch, uint32_t, s.model->kinds), steps);
    if (seed) {
        struct level *rest = copy_level(&s, 1, level_at(&s, 0));
        take_seed(&s, seed, rest->rem, rest->limit);
    }
    finish_by_first_fit(&s, &s.path, s.levels.at[0]->rem, s.levels.at[0]->limit);
    s.lp = is_over(&s) ? NULL : pack_lp_new(&scratch, s.model);
    if (s.lp) {
        pack_lp_learn(s.lp, &s.best);
        explore(&s, 0, 0, false);
    }

    bool proven = s.best_cost <= s.root_bound || (s.lp && *steps && !s.incomplete);
    out->cost = s.best_cost;
    out->bound = proven ? s.best_cost : s.root_bound;
    out->best = pack_packing_new(arena, model);
    pack_packing_copy(model, &out->best, &s.best);
    arena_free(&scratch);
}
