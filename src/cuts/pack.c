#include "cuts/pack.h"

#include "cuts/pack_model.h"
#include "cuts/pack_plan.h"

#include <stdlib.h>
#include <string.h>

typedef VEC(struct pack_kind) kind_list;

/* --- the order of the cuts and of the coils ----------------------------------------------- */

static int compare_sorted(const void *pa, const void *pb)
{
    const struct pack_sorted *a = pa, *b = pb;
    if (a->length != b->length)
        return a->length > b->length ? -1 : 1;
    if (a->id != b->id)
        return a->id < b->id ? -1 : 1;
    return a->index < b->index ? -1 : a->index > b->index;
}

/* Longest first; what is there before what costs. */
static int compare_kinds(const void *pa, const void *pb)
{
    const struct pack_kind *a = pa, *b = pb;
    if (a->cap != b->cap)
        return a->cap > b->cap ? -1 : 1;
    if (a->cost != b->cost)
        return a->cost < b->cost ? -1 : 1;
    return a->stock < b->stock ? -1 : a->stock > b->stock;
}

static bool has_price(const struct pack_stock *stock)
{
    return stock->buy && stock->price >= 0;
}

static bool is_valid(const struct pack_stock *stocks, uint32_t stock_count,
                     const struct pack_piece *pieces, uint32_t piece_count)
{
    if (piece_count > PACK_COUNT_MAX || stock_count > PACK_COUNT_MAX)
        return false;
    for (uint32_t k = 0; k < stock_count; k++)
        if (stocks[k].length < 0 || stocks[k].length > PACK_LENGTH_MAX || stocks[k].price < -1 ||
            stocks[k].price > PACK_PRICE_MAX)
            return false;
    for (uint32_t i = 0; i < piece_count; i++)
        if (pieces[i].length < 0 || pieces[i].length > PACK_LENGTH_MAX)
            return false;
    return true;
}

/* The first position of a cut no longer than `most`. */
static uint32_t range_end(const struct pack_draft *plan, length most)
{
    uint32_t low = 0, high = plan->cuts;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (plan->cut[middle].length > most)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

static void sort_cuts(struct pack_draft *plan, const struct pack_piece *pieces,
                      uint32_t piece_count)
{
    plan->cuts = piece_count;
    plan->cut = arena_array(plan->scratch, struct pack_sorted, piece_count);
    for (uint32_t i = 0; i < piece_count; i++)
        plan->cut[i] =
            (struct pack_sorted){.length = pieces[i].length, .id = pieces[i].id, .index = i};
    if (piece_count)
        qsort(plan->cut, piece_count, sizeof *plan->cut, compare_sorted);

    length on_hand = 0, to_buy = 0, priced = 0;
    for (uint32_t k = 0; k < plan->stock_count; k++) {
        const struct pack_stock *stock = &plan->stocks[k];
        if (stock->on_hand && stock->length > on_hand)
            on_hand = stock->length;
        if (stock->buy && stock->length > to_buy)
            to_buy = stock->length;
        if (has_price(stock) && stock->length > priced)
            priced = stock->length;
    }
    plan->priced = priced > 0;
    plan->too_long_end = range_end(plan, on_hand > to_buy ? on_hand : to_buy);
    plan->hand_end = range_end(plan, to_buy);
    plan->hand_end = plan->hand_end < plan->too_long_end ? plan->too_long_end : plan->hand_end;
    plan->unpriced_end = plan->priced ? range_end(plan, priced) : plan->hand_end;
    plan->unpriced_end = plan->unpriced_end < plan->hand_end ? plan->hand_end : plan->unpriced_end;
    plan->end = range_end(plan, 0);
}

/* --- one step ----------------------------------------------------------------------------- */

static struct pack_weigh weigh_figures(const int64_t *figure, uint32_t figures, uint32_t cuts,
                                       bool counts_coils)
{
    struct pack_weigh weigh = {.times = 1};
    int64_t largest = 0;
    for (uint32_t i = 0; i < figures; i++) {
        largest = figure[i] > largest ? figure[i] : largest;
        weigh.unit = pack_common_step(figure[i], weigh.unit);
    }
    weigh.unit = weigh.unit ? weigh.unit : 1;
    /* no plan has more coils than cuts, so the count never outweighs a unit; it is left out where
     * the sums might not fit 62 bits */
    weigh.counts_coils =
        counts_coils && ((__int128)(largest / weigh.unit) * (cuts + 1) + 1) * cuts < (__int128)1
                                                                                         << 62;
    if (weigh.counts_coils)
        weigh.times = (int64_t)cuts + 1;
    return weigh;
}

static int64_t weight(const struct pack_weigh *weigh, int64_t figure)
{
    return figure / weigh->unit * weigh->times + weigh->counts_coils;
}

static void add_on_hand(struct pack_draft *plan, kind_list *kinds)
{
    for (uint32_t k = 0; k < plan->stock_count; k++) {
        const struct pack_stock *stock = &plan->stocks[k];
        if (stock->on_hand && stock->length)
            *vec_push(plan->scratch, kinds) = (struct pack_kind){
                .cap = stock->length, .limit = stock->on_hand, .stock = k, .on_hand = true};
    }
}

/* The coils to buy with a price or those without one; costs are weights of the price or of the
 * length. */
static struct pack_weigh add_to_buy(struct pack_draft *plan, kind_list *kinds, bool priced,
                                    uint32_t cuts)
{
    VEC(int64_t) figure = {0};
    uint32_t first = kinds->n;
    for (uint32_t k = 0; k < plan->stock_count; k++) {
        const struct pack_stock *stock = &plan->stocks[k];
        if (!stock->buy || !stock->length || has_price(stock) != priced)
            continue;
        *vec_push(plan->scratch, kinds) =
            (struct pack_kind){.cap = stock->length, .limit = cuts, .stock = k};
        *vec_push(plan->scratch, &figure) = priced ? stock->price : stock->length;
    }
    struct pack_weigh weigh = weigh_figures(figure.at, figure.n, cuts, true);
    for (uint32_t i = 0; i < figure.n; i++)
        kinds->at[first + i].cost = weight(&weigh, figure.at[i]);
    return weigh;
}

/* Groups the cuts from..to that are not missing. Kinds too short for all of them are left out. */
static struct pack_model group_cuts(struct pack_draft *plan, uint32_t from, uint32_t to,
                                    const kind_list *kinds)
{
    struct pack_model model = {.kind = kinds->at};
    model.size = arena_array(plan->scratch, length, to - from);
    model.demand = arena_array(plan->scratch, uint32_t, to - from);
    for (uint32_t i = from; i < to; i++) {
        if (plan->cut[i].missing)
            continue;
        if (!model.sizes || model.size[model.sizes - 1] != plan->cut[i].length)
            model.size[model.sizes++] = plan->cut[i].length;
        model.demand[model.sizes - 1]++;
        model.cuts++;
    }
    for (uint32_t k = 0; k < kinds->n && model.sizes; k++) {
        if (kinds->at[k].cap < model.size[model.sizes - 1])
            continue;
        model.kind[model.kinds] = kinds->at[k];
        if (model.kind[model.kinds].limit > model.cuts)
            model.kind[model.kinds].limit = model.cuts;
        model.kinds++;
    }
    if (model.kinds)
        qsort(model.kind, model.kinds, sizeof *model.kind, compare_kinds);
    return model;
}

static uint32_t size_index(const struct pack_model *model, length size)
{
    uint32_t low = 0, high = model->sizes;
    while (high - low > 1) {
        uint32_t middle = low + (high - low) / 2;
        if (model->size[middle] >= size)
            low = middle;
        else
            high = middle;
    }
    return low;
}

/* The coils of the step before as a packing of this step's model. */
static struct pack_packing seed_of(struct pack_draft *plan, const struct pack_model *model)
{
    struct pack_packing seed = pack_packing_new(plan->scratch, model);
    uint32_t *kind_of = arena_array(plan->scratch, uint32_t, 2 * (size_t)plan->stock_count),
             item = 0;
    for (uint32_t k = 0; k < model->kinds; k++)
        if (model->kind[k].stock != PACK_NO_STOCK)
            kind_of[2 * model->kind[k].stock + model->kind[k].on_hand] = k;
    for (uint32_t b = 0; b < plan->filled.n; b++) {
        const struct pack_filled *filled = &plan->filled.at[b];
        if (filled->stock == PACK_NO_STOCK)
            continue;
        seed.kind[seed.coils++] = kind_of[2 * filled->stock + filled->on_hand];
        for (uint32_t i = 0; i < filled->cut.n; i++)
            seed.item[item++] = size_index(model, plan->cut[filled->cut.at[i]].length);
        seed.first[seed.coils] = item;
    }
    return seed;
}

/* A coil's place in the list: on hand first, by stock, then the longest cuts first. */
static int compare_filled(const void *pa, const void *pb)
{
    const struct pack_filled *a = pa, *b = pb;
    if (a->on_hand != b->on_hand)
        return a->on_hand ? -1 : 1;
    if (a->stock != b->stock)
        return a->stock < b->stock ? -1 : 1;
    for (uint32_t i = 0; i < a->cut.n && i < b->cut.n; i++)
        if (a->cut.at[i] != b->cut.at[i])
            return a->cut.at[i] < b->cut.at[i] ? -1 : 1;
    return a->cut.n > b->cut.n ? -1 : a->cut.n < b->cut.n;
}

/* The coils of the packing with the sizes still in place of the cuts, in order. */
static pack_filled_list sorted_coils(struct pack_draft *plan, const struct pack_model *model,
                                     const struct pack_packing *packing)
{
    pack_filled_list list = {0};
    for (uint32_t b = 0; b < packing->coils; b++) {
        const struct pack_kind *kind = &model->kind[packing->kind[b]];
        struct pack_filled filled = {.stock = kind->stock, .on_hand = kind->on_hand};
        for (uint32_t i = packing->first[b]; i < packing->first[b + 1]; i++)
            *vec_push(plan->scratch, &filled.cut) = packing->item[i];
        if (filled.cut.n)
            qsort(filled.cut.at, filled.cut.n, sizeof *filled.cut.at, pack_compare_positions);
        *vec_push(plan->scratch, &list) = filled;
    }
    if (list.n)
        qsort(list.at, list.n, sizeof *list.at, compare_filled);
    return list;
}

/* Turns sizes into cuts: of equal ones the first by id goes to the first coil. */
static void name_cuts(struct pack_draft *plan, uint32_t from, uint32_t to,
                      const struct pack_model *model, const struct pack_packing *packing)
{
    plan->filled = sorted_coils(plan, model, packing);
    uint32_t *next = arena_array(plan->scratch, uint32_t, model->sizes), size = 0;
    uint32_t *after = arena_array(plan->scratch, uint32_t, plan->cuts);
    for (uint32_t i = to; i-- > from;)
        after[i] = i + 1 < to && plan->cut[i + 1].missing ? after[i + 1] : i + 1;
    for (uint32_t i = from; i < to; i++) {
        if (plan->cut[i].missing)
            continue;
        while (model->size[size] != plan->cut[i].length)
            size++;
        if (!next[size])
            next[size] = i + 1; /* 1 is added so that 0 means none yet */
    }
    for (uint32_t b = 0; b < plan->filled.n; b++) {
        for (uint32_t i = 0; i < plan->filled.at[b].cut.n; i++) {
            uint32_t *at = &plan->filled.at[b].cut.at[i], position = next[*at] - 1;
            next[*at] = after[position] + 1;
            *at = position;
        }
    }
}

/* Packs the cuts from..to into the kinds, going on from the coils of the step before. */
static struct pack_answer run_step(struct pack_draft *plan, uint32_t from, uint32_t to,
                                   const kind_list *kinds)
{
    struct pack_model model = group_cuts(plan, from, to, kinds);
    struct pack_answer answer = {0};
    if (!model.cuts) {
        plan->filled.n = 0;
        return answer;
    }
    struct pack_packing seed = seed_of(plan, &model);
    pack_solve(plan->scratch, &model, &seed, &plan->steps, &answer);
    name_cuts(plan, from, to, &model, &answer.best);
    if (answer.bound < answer.cost) {
        double gap = (double)(answer.cost - answer.bound) / (double)answer.cost;
        plan->proven = false;
        plan->gap = gap > plan->gap ? gap : plan->gap;
    }
    return answer;
}

/* --- the three steps ---------------------------------------------------------------------- */

/* Cuts that must come off coils on hand. A cut left out is a coil of its length at a cost of its
 * length. */
static void place_on_hand_only(struct pack_draft *plan)
{
    uint32_t from = plan->too_long_end,
             to = plan->hand_end < plan->end ? plan->hand_end : plan->end;
    if (from >= to)
        return;
    kind_list kinds = {0};
    VEC(int64_t) figure = {0};
    add_on_hand(plan, &kinds);
    uint32_t first = kinds.n;
    for (uint32_t i = from; i < to; i++) {
        length size = plan->cut[i].length;
        if (figure.n && figure.at[figure.n - 1] == size)
            continue;
        *vec_push(plan->scratch, &kinds) =
            (struct pack_kind){.cap = size, .limit = to - from, .stock = PACK_NO_STOCK};
        *vec_push(plan->scratch, &figure) = size;
    }
    struct pack_weigh weigh = weigh_figures(figure.at, figure.n, to - from, false);
    for (uint32_t i = 0; i < figure.n; i++)
        kinds.at[first + i].cost = weight(&weigh, figure.at[i]);
    run_step(plan, from, to, &kinds);
    for (uint32_t b = 0; b < plan->filled.n; b++)
        for (uint32_t i = 0;
             i < plan->filled.at[b].cut.n && plan->filled.at[b].stock == PACK_NO_STOCK; i++)
            plan->cut[plan->filled.at[b].cut.at[i]].missing = true;
}

/* Cuts that no priced coil can hold. */
static void buy_without_price(struct pack_draft *plan)
{
    if (plan->unpriced_end <= plan->hand_end)
        return;
    kind_list kinds = {0};
    add_on_hand(plan, &kinds);
    add_to_buy(plan, &kinds, false, plan->unpriced_end - plan->too_long_end);
    run_step(plan, plan->too_long_end, plan->unpriced_end, &kinds);
}

/* The coils that the step before bought are there now. */
static void add_bought(struct pack_draft *plan, kind_list *kinds)
{
    uint32_t *count = arena_array(plan->scratch, uint32_t, plan->stock_count);
    for (uint32_t b = 0; b < plan->filled.n; b++)
        if (plan->filled.at[b].stock != PACK_NO_STOCK && !plan->filled.at[b].on_hand)
            count[plan->filled.at[b].stock]++;
    for (uint32_t k = 0; k < plan->stock_count; k++)
        if (count[k])
            *vec_push(plan->scratch, kinds) =
                (struct pack_kind){.cap = plan->stocks[k].length, .limit = count[k], .stock = k};
}

static struct pack_answer place_all(struct pack_draft *plan, struct pack_weigh *weigh)
{
    kind_list kinds = {0};
    add_on_hand(plan, &kinds);
    add_bought(plan, &kinds);
    *weigh = add_to_buy(plan, &kinds, plan->priced, plan->end - plan->too_long_end);
    return run_step(plan, plan->too_long_end, plan->end, &kinds);
}

bool pack_plan(struct arena *arena, const struct pack_stock *stocks, uint32_t stock_count,
               const struct pack_piece *pieces, uint32_t piece_count, uint64_t step_limit,
               struct pack_result *out)
{
    *out = (struct pack_result){0};
    if (!is_valid(stocks, stock_count, pieces, piece_count))
        return false;
    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    struct pack_draft plan = {.scratch = &scratch,
                              .stocks = stocks,
                              .stock_count = stock_count,
                              .steps = step_limit,
                              .proven = true};
    struct pack_weigh weigh;
    sort_cuts(&plan, pieces, piece_count);
    place_on_hand_only(&plan);
    buy_without_price(&plan);
    struct pack_answer answer = place_all(&plan, &weigh);
    pack_use_leftovers(&plan);
    pack_fill_result(arena, &plan, &weigh, answer.cost, answer.bound, out);
    out->steps = step_limit - plan.steps;
    arena_free(&scratch);
    return true;
}
