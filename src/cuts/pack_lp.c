#include "cuts/pack_lp.h"

#include "cuts/pack_model.h"

#include <math.h>
#include <string.h>

/* The finest grid for which the knapsack is exact, the coarser one where that is too fine, and the
 * most rows for a dense inverse. */
enum { GRID_EXACT = 16384, GRID_COARSE = 4096, ROWS_MAX = 1200 };

/* About how many fillings are added beside the best of a kind. */
enum { MORE_FILLINGS = 30 };

/* The part of the centre in the prices, as a rule. */
static const double usual_mix = 0.7;

/* How near the bound must be to the solution's cost, and a number of coils from whole, for the
 * bound to be left at that. */
static const double near_enough = 0.997, clearly_broken = 0.05;

/* --- the grid and the memory -------------------------------------------------------------- */

static length common_step(const struct pack_model *model)
{
    length step = 0;
    for (uint32_t i = 0; i < model->sizes; i++)
        step = pack_common_step(model->size[i], step);
    return step;
}

static length most_held(const struct pack_model *model)
{
    length total = 0, longest = 0;
    for (uint32_t i = 0; i < model->sizes; i++)
        total += model->size[i] * model->demand[i];
    for (uint32_t k = 0; k < model->kinds; k++)
        if (model->kind[k].cap > longest)
            longest = model->kind[k].cap;
    return longest < total ? longest : total;
}

/* Cuts and coils in whole steps of the grid, rounded down: whatever fits a coil fits it on the
 * grid, so bounds on the grid hold. */
static void make_grid(struct arena *arena, struct pack_lp *lp)
{
    const struct pack_model *model = lp->model;
    length most = most_held(model), step = common_step(model);
    if (most / step > GRID_EXACT)
        step = most / GRID_COARSE + 1;
    lp->unit = arena_array(arena, uint32_t, model->sizes);
    lp->cap_unit = arena_array(arena, uint32_t, model->kinds);
    lp->cap_max = (uint32_t)(most / step);
    for (uint32_t i = 0; i < model->sizes; i++)
        lp->unit[i] = (uint32_t)(model->size[i] / step);
    for (uint32_t k = 0; k < model->kinds; k++) {
        length cap = model->kind[k].cap < most ? model->kind[k].cap : most;
        lp->cap_unit[k] = (uint32_t)(cap / step);
    }
}

/* How many cuts of a size one coil may hold on the grid. */
static uint32_t most_of(const struct pack_lp *lp, uint32_t size, uint32_t wanted)
{
    uint32_t fit = lp->unit[size] ? lp->cap_max / lp->unit[size] : wanted;
    return fit < wanted ? fit : wanted;
}

/* The most different sizes one coil may hold on the grid. */
static uint32_t most_entries(const struct pack_lp *lp)
{
    uint64_t sum = 0;
    uint32_t n = 0;
    for (uint32_t i = lp->model->sizes; i-- > 0 && (sum += lp->unit[i]) <= lp->cap_max;)
        n++;
    return n;
}

static void make_knapsack(struct arena *arena, struct pack_lp *lp)
{
    uint32_t most = 0;
    for (uint32_t i = 0; i < lp->model->sizes; i++)
        for (uint32_t left = most_of(lp, i, lp->model->demand[i]); left; left /= 2)
            most++;
    lp->worth = arena_array(arena, int64_t, lp->model->sizes);
    lp->table = arena_array(arena, int64_t, lp->cap_max + 1);
    lp->table_before = arena_array(arena, int64_t, lp->cap_max + 1);
    lp->take = arena_array(arena, uint8_t, (size_t)most * (lp->cap_max + 1));
    lp->item_size = arena_array(arena, uint32_t, most);
    lp->item_count = arena_array(arena, uint32_t, most);
}

static void make_columns(struct arena *arena, struct pack_lp *lp)
{
    uint32_t entries = most_entries(lp);
    lp->column_max = 30 * lp->rows + 1000;
    lp->column = arena_array(arena, struct pack_column, lp->column_max);
    uint32_t *room = arena_array(arena, uint32_t, (size_t)lp->column_max * entries * 2);
    for (uint32_t j = 0; j < lp->column_max; j++, room += 2 * entries) {
        lp->column[j].size = room;
        lp->column[j].count = room + entries;
    }
}

struct pack_lp *pack_lp_new(struct arena *arena, const struct pack_model *model)
{
    if (!model->sizes || model->sizes + model->kinds > ROWS_MAX)
        return NULL;
    struct pack_lp *lp = arena_new(arena, struct pack_lp);
    lp->model = model;
    lp->rows = model->sizes + model->kinds;
    make_grid(arena, lp);
    make_knapsack(arena, lp);
    make_columns(arena, lp);
    lp->inverse = arena_array(arena, double, (size_t)lp->rows * lp->rows);
    lp->x = arena_array(arena, double, lp->rows);
    lp->price = arena_array(arena, double, lp->rows);
    lp->step = arena_array(arena, double, lp->rows);
    lp->basic = arena_array(arena, uint32_t, lp->rows);
    lp->in_basis = arena_array(arena, bool, lp->rows + 2 * model->sizes + lp->column_max);

    int64_t dearest = 1;
    for (uint32_t k = 0; k < model->kinds; k++)
        if (model->kind[k].cost > dearest)
            dearest = model->kind[k].cost;
    lp->cost_scale = (double)dearest;
    lp->mixed = arena_array(arena, double, model->sizes);
    lp->centre = arena_array(arena, double, model->sizes);
    const struct pack_kind *least = pack_least_by_length(model);
    for (uint32_t i = 0; i < model->sizes && least; i++)
        lp->centre[i] =
            (double)model->size[i] / (double)least->cap * (double)least->cost / lp->cost_scale;
    lp->scale = (int64_t)1 << 30;
    while (lp->scale > 1 &&
           (double)lp->scale * lp->cost_scale * PACK_MISSING_COST * model->cuts > 0x1p60)
        lp->scale /= 2;
    return lp;
}

/* --- the knapsack ------------------------------------------------------------------------- */

/* The worths that the mixed prices come to. */
static void set_worths(struct pack_lp *lp)
{
    double most = 0x1p61 / lp->model->cuts;
    for (uint32_t i = 0; i < lp->model->sizes; i++) {
        double worth =
            lp->mixed[i] > 0 ? floor(lp->mixed[i] * lp->cost_scale * (double)lp->scale) : 0;
        lp->worth[i] = (int64_t)(worth < most ? worth : most);
    }
}

/* Cuts that are worth something, in bundles: any count up to the wanted one is a sum of some of
 * these. */
static void make_items(struct pack_lp *lp, const uint32_t *rem)
{
    lp->items = 0;
    for (uint32_t i = 0; i < lp->model->sizes; i++) {
        uint32_t left = lp->worth[i] > 0 ? most_of(lp, i, rem[i]) : 0;
        for (uint32_t n = 1; left; n *= 2) {
            n = n < left ? n : left;
            lp->item_size[lp->items] = i;
            lp->item_count[lp->items++] = n;
            left -= n;
        }
    }
}

/* One item more: the best of each room that holds it, with it or without. */
static void add_item(const int64_t *restrict before, int64_t *restrict now, uint8_t *restrict take,
                     uint32_t wide, int64_t worth, uint32_t cap_max)
{
    for (uint32_t c = wide; c <= cap_max; c++) {
        int64_t with = before[c - wide] + worth;
        take[c] = with > before[c];
        now[c] = with > before[c] ? with : before[c];
    }
}

static void fill_table(struct pack_lp *lp, uint64_t *work)
{
    memset(lp->table, 0, ((size_t)lp->cap_max + 1) * sizeof *lp->table);
    for (uint32_t t = 0; t < lp->items; t++) {
        int64_t *before = lp->table, *now = lp->table_before;
        uint8_t *take = &lp->take[(size_t)t * (lp->cap_max + 1)];
        uint32_t size = lp->item_size[t], wide = lp->unit[size] * lp->item_count[t];
        memcpy(now, before, wide * sizeof *now);
        memset(take, 0, wide);
        add_item(before, now, take, wide, lp->worth[size] * lp->item_count[t], lp->cap_max);
        lp->table = now;
        lp->table_before = before;
    }
    *work += ((uint64_t)lp->items + 1) * (lp->cap_max + 1);
}

/* The bound of the prices in use: the worth of the cuts, less what the coils may hold of it above
 * their cost. */
static void find_bound(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit)
{
    lp->bound = 0;
    for (uint32_t i = 0; i < lp->model->sizes; i++)
        lp->bound += (__int128)lp->worth[i] * rem[i];
    for (uint32_t k = 0; k < lp->model->kinds; k++) {
        int64_t over = lp->table[lp->cap_unit[k]] - lp->model->kind[k].cost * lp->scale;
        if (over > 0)
            lp->bound -= (__int128)over * limit[k];
    }
}

static int64_t rounded_up(__int128 bound, int64_t scale)
{
    return bound <= 0 ? 0 : (int64_t)((bound + scale - 1) / scale);
}

/* The bound when all prices are `num / den` times as high. The worth of every filling is so too, so
 * this takes no other knapsack. */
static __int128 bound_at_multiple(const struct pack_lp *lp, __int128 worth, const uint32_t *limit,
                                  int64_t num, int64_t den)
{
    __int128 bound = worth * num / den;
    for (uint32_t k = 0; k < lp->model->kinds; k++) {
        __int128 held = ((__int128)lp->table[lp->cap_unit[k]] * num + den - 1) / den;
        __int128 over = held - (__int128)lp->model->kind[k].cost * lp->scale;
        if (over > 0)
            bound -= over * limit[k];
    }
    return bound;
}

/* The best bound over all multiples of the prices in use, which lies where a kind's best filling is
 * worth just what it costs. Where the cuts are worth more than all coils together can hold, no
 * multiple is the best: the cuts do not fit, and the bound is INT64_MAX. */
static int64_t best_multiple(const struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit)
{
    __int128 worth = 0, held = 0, best = lp->bound;
    for (uint32_t i = 0; i < lp->model->sizes; i++)
        worth += (__int128)lp->worth[i] * rem[i];
    for (uint32_t k = 0; k < lp->model->kinds; k++)
        held += (__int128)lp->table[lp->cap_unit[k]] * limit[k];
    if (worth > held)
        return INT64_MAX;
    for (uint32_t k = 0; k < lp->model->kinds; k++) {
        int64_t num = lp->model->kind[k].cost * lp->scale, den = lp->table[lp->cap_unit[k]];
        __int128 bound = limit[k] && num && den ? bound_at_multiple(lp, worth, limit, num, den) : 0;
        best = bound > best ? bound : best;
    }
    return rounded_up(best, lp->scale);
}

static bool same_column(const struct pack_column *a, const struct pack_column *b)
{
    return a->kind == b->kind && a->entries == b->entries &&
           memcmp(a->size, b->size, a->entries * sizeof *a->size) == 0 &&
           memcmp(a->count, b->count, a->entries * sizeof *a->count) == 0;
}

static void add_entry(struct pack_column *c, uint32_t size, uint32_t count)
{
    if (c->entries && c->size[c->entries - 1] == size) {
        c->count[c->entries - 1] += count;
    } else {
        c->size[c->entries] = size;
        c->count[c->entries++] = count;
    }
}

/* Behind the other columns, the filling of most worth for the kind, read back from the table; with
 * one cut more of the size `with` (UINT32_MAX for none) in what room that leaves. False if there
 * are not so many cuts. */
static bool read_back(struct pack_lp *lp, uint32_t kind, uint32_t with, const uint32_t *rem)
{
    struct pack_column *c = &lp->column[lp->columns];
    uint32_t room = lp->cap_unit[kind] - (with == UINT32_MAX ? 0 : lp->unit[with]);
    bool added = with == UINT32_MAX;
    *c = (struct pack_column){.kind = kind, .size = c->size, .count = c->count, .active = true};
    for (uint32_t t = lp->items; t-- > 0;) {
        uint32_t size = lp->item_size[t];
        if (!added && size <= with) {
            add_entry(c, with, 1);
            added = true;
        }
        if (!lp->take[(size_t)t * (lp->cap_max + 1) + room])
            continue;
        room -= lp->unit[size] * lp->item_count[t];
        add_entry(c, size, lp->item_count[t]);
    }
    for (uint32_t e = 0; e < c->entries && with != UINT32_MAX; e++)
        if (c->size[e] == with)
            return c->count[e] <= rem[with];
    return true;
}

/* Keeps the column behind the others unless it is among those from `first` on. */
static void keep_column(struct pack_lp *lp, uint32_t first)
{
    for (uint32_t j = first; j < lp->columns; j++)
        if (same_column(&lp->column[j], &lp->column[lp->columns]))
            return;
    lp->in_basis[pack_filling_number(lp, lp->columns++)] = false;
}

/* Adds each kind's best filling if it lowers the cost, and for some sizes the best with such a cut
 * if it is half as good: many at once, for a knapsack is dear and these come nearly for nothing.
 * False if there is none. */
static bool add_columns(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit)
{
    uint32_t first = lp->columns, stride = lp->model->sizes / MORE_FILLINGS + 1;
    for (uint32_t k = 0; k < lp->model->kinds; k++) {
        uint32_t room = lp->cap_unit[k];
        int64_t least =
            lp->table[room] - (lp->table[room] - lp->model->kind[k].cost * lp->scale) / 2;
        if (!limit[k] || lp->columns == lp->column_max)
            continue;
        read_back(lp, k, UINT32_MAX, rem);
        if (pack_reduced_cost(lp, &lp->column[lp->columns]) < -PACK_TOLERANCE)
            keep_column(lp, first);
        for (uint32_t i = lp->columns % stride;
             i < lp->model->sizes && lp->columns < lp->column_max; i += stride) {
            if (!rem[i] || !lp->worth[i] || lp->unit[i] > room ||
                lp->worth[i] + lp->table[room - lp->unit[i]] < least)
                continue;
            if (read_back(lp, k, i, rem) &&
                pack_reduced_cost(lp, &lp->column[lp->columns]) < -PACK_TOLERANCE)
                keep_column(lp, first);
        }
    }
    return lp->columns > first;
}

void pack_lp_fill(struct pack_lp *lp, uint32_t kind, const uint32_t *rem, uint32_t *chosen,
                  uint64_t *steps)
{
    uint64_t work = 0;
    for (uint32_t i = 0; i < lp->model->sizes; i++)
        lp->worth[i] = (int64_t)lp->unit[i] * (lp->model->cuts + 1) - 1;
    make_items(lp, rem);
    fill_table(lp, &work);
    *steps -= work < *steps ? work : *steps;
    memset(chosen, 0, lp->model->sizes * sizeof *chosen);
    uint32_t room = lp->cap_unit[kind];
    for (uint32_t t = lp->items; t-- > 0;) {
        if (!lp->take[(size_t)t * (lp->cap_max + 1) + room])
            continue;
        room -= lp->unit[lp->item_size[t]] * lp->item_count[t];
        chosen[lp->item_size[t]] += lp->item_count[t];
    }
}

void pack_lp_learn(struct pack_lp *lp, const struct pack_packing *packing)
{
    uint32_t first = lp->columns;
    for (uint32_t b = 0; b < packing->coils && lp->columns < lp->column_max; b++) {
        struct pack_column *c = &lp->column[lp->columns];
        *c = (struct pack_column){.kind = packing->kind[b], .size = c->size, .count = c->count};
        /* first fit lays cuts longest first; elsewhere a size may come in two places, and is then
         * no entry of its own */
        bool ordered = true;
        for (uint32_t i = packing->first[b + 1]; i-- > packing->first[b];) {
            ordered = ordered && (!c->entries || packing->item[i] <= c->size[c->entries - 1]);
            if (ordered)
                add_entry(c, packing->item[i], 1);
        }
        if (ordered)
            keep_column(lp, first);
    }
}

/* Whether some number of bought coils is clearly broken in the solution, so that one can branch on
 * it. */
static bool has_broken_count(const struct pack_lp *lp)
{
    memset(lp->step, 0, lp->rows * sizeof *lp->step);
    for (uint32_t i = 0; i < lp->rows; i++)
        if (lp->basic[i] >= pack_filling_number(lp, 0))
            lp->step[lp->column[lp->basic[i] - pack_filling_number(lp, 0)].kind] += lp->x[i];
    for (uint32_t k = 0; k < lp->model->kinds; k++)
        if (lp->model->kind[k].cost && fabs(lp->step[k] - nearbyint(lp->step[k])) > clearly_broken)
            return true;
    return false;
}

/* Prices, rounded to worths, and the bound they give; better prices than any before become the
 * centre. `mix` is the part of the centre in them, which keeps prices from swinging (Wentges 1997).
 */
static int64_t bound_at(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit, double mix,
                        int64_t best, uint64_t *steps)
{
    uint64_t work = 0;
    for (uint32_t i = 0; i < lp->model->sizes; i++)
        lp->mixed[i] = mix * lp->centre[i] + (1 - mix) * lp->price[i];
    set_worths(lp);
    make_items(lp, rem);
    fill_table(lp, &work);
    find_bound(lp, rem, limit);
    *steps -= work < *steps ? work : *steps;
    int64_t bound = best_multiple(lp, rem, limit);
    if (bound > best)
        memcpy(lp->centre, lp->mixed, lp->model->sizes * sizeof *lp->centre);
    return bound > best ? bound : best;
}

int64_t pack_lp_bound(struct pack_lp *lp, const uint32_t *rem, const uint32_t *limit,
                      int64_t enough, uint64_t *steps)
{
    pack_simplex_start(lp, rem, limit);
    int64_t bound = bound_at(lp, rem, limit, 1, 0, steps);
    for (double mix = usual_mix; bound < enough && *steps;) {
        pack_simplex(lp, steps);
        int64_t before = bound;
        bound = bound_at(lp, rem, limit, mix, bound, steps);
        /* rounded up, it cannot get better than the linear program's own value */
        double cost = pack_solution_cost(lp);
        if ((double)bound >= cost - 1e-4 ||
            ((double)bound >= cost * near_enough && has_broken_count(lp)))
            break;
        if (add_columns(lp, rem, limit) || bound > before)
            mix = usual_mix;
        else if (mix == 0)
            break;
        else
            mix = mix > 0.2 ? mix / 2 : 0;
    }
    for (uint32_t i = 0; i < lp->rows; i++)
        if (lp->basic[i] >= pack_filling_number(lp, 0))
            lp->column[lp->basic[i] - pack_filling_number(lp, 0)].used = lp->x[i];
    return bound;
}
