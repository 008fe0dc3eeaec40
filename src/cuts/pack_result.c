#include "cuts/pack.h"
#include "cuts/pack_plan.h"

#include <stdlib.h>
#include <string.h>

/* --- leftovers first ---------------------------------------------------------------------- */

/* A coil on hand with room. */
struct leftover {
    length room;
    uint32_t filled; /* index in the draft, UINT32_MAX while it is unused */
    uint32_t stock;
};
typedef VEC(struct leftover) leftover_list;

static int compare_leftovers(const void *pa, const void *pb)
{
    const struct leftover *a = pa, *b = pb;
    if (a->room != b->room)
        return a->room < b->room ? -1 : 1;
    if (a->stock != b->stock)
        return a->stock < b->stock ? -1 : 1;
    return a->filled < b->filled ? -1 : a->filled > b->filled;
}

int pack_compare_positions(const void *pa, const void *pb)
{
    const uint32_t *a = pa, *b = pb;
    return *a < *b ? -1 : *a > *b;
}

static length remainder_of(const struct pack_draft *plan, const struct pack_filled *filled)
{
    length room = plan->stocks[filled->stock].length;
    for (uint32_t i = 0; i < filled->cut.n; i++)
        room -= plan->cut[filled->cut.at[i]].length;
    return room;
}

/* The coils on hand, used and unused, least room first; of each stock no more than there are cuts.
 */
static leftover_list find_leftovers(struct pack_draft *plan)
{
    leftover_list list = {0};
    uint32_t *used = arena_array(plan->scratch, uint32_t, plan->stock_count);
    for (uint32_t b = 0; b < plan->filled.n; b++) {
        const struct pack_filled *filled = &plan->filled.at[b];
        if (!filled->on_hand)
            continue;
        used[filled->stock]++;
        *vec_push(plan->scratch, &list) = (struct leftover){
            .room = remainder_of(plan, filled), .filled = b, .stock = filled->stock};
    }
    for (uint32_t k = 0; k < plan->stock_count; k++) {
        uint32_t most = plan->stocks[k].on_hand < plan->cuts ? plan->stocks[k].on_hand : plan->cuts;
        for (uint32_t n = used[k]; n < most; n++)
            *vec_push(plan->scratch, &list) =
                (struct leftover){.room = plan->stocks[k].length, .filled = UINT32_MAX, .stock = k};
    }
    if (list.n)
        qsort(list.at, list.n, sizeof *list.at, compare_leftovers);
    return list;
}

/* The first with room enough; list->n if none has. */
static uint32_t find_room(const leftover_list *list, length size)
{
    uint32_t low = 0, high = list->n;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (list->at[middle].room < size)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Puts the cut on the leftover, and the leftover where it belongs with less room. */
static void use_leftover(struct pack_draft *plan, leftover_list *list, uint32_t at,
                         uint32_t position)
{
    struct leftover leftover = list->at[at];
    if (leftover.filled == UINT32_MAX) {
        leftover.filled = plan->filled.n;
        *vec_push(plan->scratch, &plan->filled) =
            (struct pack_filled){.stock = leftover.stock, .on_hand = true};
    }
    struct pack_filled *filled = &plan->filled.at[leftover.filled];
    *vec_push(plan->scratch, &filled->cut) = position;
    leftover.room -= plan->cut[position].length;
    uint32_t to = find_room(list, leftover.room);
    memmove(&list->at[to + 1], &list->at[to], (at - to) * sizeof *list->at);
    list->at[to] = leftover;
}

static void drop_empty_coils(struct pack_draft *plan)
{
    uint32_t kept = 0;
    for (uint32_t b = 0; b < plan->filled.n; b++) {
        if (plan->filled.at[b].cut.n)
            plan->filled.at[kept++] = plan->filled.at[b];
    }
    plan->filled.n = kept;
}

void pack_use_leftovers(struct pack_draft *plan)
{
    leftover_list list = find_leftovers(plan);
    /* where each cut lies, to go through the bought ones longest first */
    uint32_t *coil_of = arena_array(plan->scratch, uint32_t, plan->cuts);
    memset(coil_of, 0xff, plan->cuts * sizeof *coil_of);
    for (uint32_t b = 0; b < plan->filled.n; b++)
        for (uint32_t i = 0; i < plan->filled.at[b].cut.n && !plan->filled.at[b].on_hand; i++)
            coil_of[plan->filled.at[b].cut.at[i]] = b;
    uint32_t bought = plan->filled.n;
    bool *moved = arena_array(plan->scratch, bool, plan->cuts);
    for (uint32_t i = 0; i < plan->cuts; i++) {
        uint32_t at = coil_of[i] == UINT32_MAX ? list.n : find_room(&list, plan->cut[i].length);
        if (at == list.n)
            continue;
        use_leftover(plan, &list, at, i);
        moved[i] = true;
    }
    for (uint32_t b = 0; b < bought; b++) {
        struct pack_filled *filled = &plan->filled.at[b];
        uint32_t kept = 0;
        for (uint32_t i = 0; i < filled->cut.n && !filled->on_hand; i++)
            if (!moved[filled->cut.at[i]])
                filled->cut.at[kept++] = filled->cut.at[i];
        filled->cut.n = filled->on_hand ? filled->cut.n : kept;
    }
    drop_empty_coils(plan);
}

/* --- the result --------------------------------------------------------------------------- */

/* A coil's place in the list: on hand first, by stock, then the longest cuts first. */
static int compare_filled(const void *pa, const void *pb)
{
    const struct pack_filled *a = pa, *b = pb;
    if (a->on_hand != b->on_hand)
        return a->on_hand ? -1 : 1;
    if (a->stock != b->stock)
        return a->stock < b->stock ? -1 : 1;
    return a->cut.at[0] < b->cut.at[0] ? -1 : a->cut.at[0] > b->cut.at[0];
}

static void sort_result(struct pack_draft *plan)
{
    for (uint32_t b = 0; b < plan->filled.n; b++) {
        struct pack_filled *filled = &plan->filled.at[b];
        qsort(filled->cut.at, filled->cut.n, sizeof *filled->cut.at, pack_compare_positions);
    }
    if (plan->filled.n)
        qsort(plan->filled.at, plan->filled.n, sizeof *plan->filled.at, compare_filled);
}

static void list_coils(struct arena *arena, const struct pack_draft *plan, struct pack_result *out)
{
    uint32_t n = 0;
    out->coils = arena_array(arena, struct pack_coil, plan->filled.n);
    out->order = arena_array(arena, uint32_t, plan->cuts);
    for (uint32_t b = 0; b < plan->filled.n; b++) {
        const struct pack_filled *filled = &plan->filled.at[b];
        struct pack_coil *coil = &out->coils[out->coil_count++];
        *coil = (struct pack_coil){.stock = filled->stock,
                                   .on_hand = filled->on_hand,
                                   .first = n,
                                   .remainder = remainder_of(plan, filled)};
        for (uint32_t i = 0; i < filled->cut.n; i++)
            out->order[n++] = plan->cut[filled->cut.at[i]].index;
        for (uint32_t i = plan->end; b == 0 && i < plan->cuts; i++)
            out->order[n++] = plan->cut[i].index;
        coil->count = n - coil->first;
    }
}

static void list_unplaced(struct arena *arena, const struct pack_draft *plan,
                          struct pack_result *out)
{
    out->too_long = arena_array(arena, uint32_t, plan->too_long_end);
    for (uint32_t i = 0; i < plan->too_long_end; i++)
        out->too_long[out->too_long_count++] = plan->cut[i].index;
    out->missing = arena_array(arena, uint32_t, plan->cuts);
    for (uint32_t i = 0; i < plan->cuts; i++)
        if (plan->cut[i].missing)
            out->missing[out->missing_count++] = plan->cut[i].index;
}

static void add_up(const struct pack_draft *plan, struct pack_result *out)
{
    for (uint32_t b = 0; b < out->coil_count; b++) {
        const struct pack_stock *stock = &plan->stocks[out->coils[b].stock];
        if (out->coils[b].on_hand)
            continue;
        out->bought += stock->length;
        out->bought_coils++;
        out->cost += stock->price > 0 ? stock->price : 0;
    }
}

/* What must be bought by length alone, and in how many coils of the longest kind. */
static void bound_by_length(const struct pack_draft *plan, struct pack_result *out)
{
    length needed = 0, longest = 0;
    for (uint32_t i = plan->too_long_end; i < plan->end; i++)
        needed += plan->cut[i].missing ? 0 : plan->cut[i].length;
    for (uint32_t k = 0; k < plan->stock_count && needed > 0; k++) {
        const struct pack_stock *stock = &plan->stocks[k];
        /* a product of a length and a count of cuts stays below 2^63 */
        length there = stock->length * (stock->on_hand < plan->cuts ? stock->on_hand : plan->cuts);
        needed = there < needed ? needed - there : 0;
    }
    for (uint32_t k = 0; k < plan->stock_count; k++)
        if (plan->stocks[k].buy && plan->stocks[k].length > longest)
            longest = plan->stocks[k].length;
    out->bound_bought = needed;
    out->bound_coils = needed ? (uint32_t)((needed + longest - 1) / longest) : 0;
}

static void set_bounds(const struct pack_draft *plan, const struct pack_weigh *weigh, int64_t cost,
                       int64_t bound, struct pack_result *out)
{
    bound_by_length(plan, out);
    int64_t figure = bound / weigh->times * weigh->unit;
    if (plan->priced)
        out->bound_cost = figure;
    else if (figure > out->bound_bought)
        out->bound_bought = figure;
    if (plan->proven) {
        out->bound_coils = out->bought_coils;
        return;
    }
    /* where the figure itself is proven, the bound goes on to count the coils at that figure */
    uint32_t coils = (uint32_t)(bound % weigh->times);
    if (weigh->counts_coils && bound / weigh->times == cost / weigh->times &&
        coils > out->bound_coils)
        out->bound_coils = coils;
}

void pack_fill_result(struct arena *arena, struct pack_draft *plan, const struct pack_weigh *weigh,
                      int64_t cost, int64_t bound, struct pack_result *out)
{
    sort_result(plan);
    list_coils(arena, plan, out);
    list_unplaced(arena, plan, out);
    add_up(plan, out);
    set_bounds(plan, weigh, cost, bound, out);
    out->proven = plan->proven;
    out->gap = plan->gap;
}
