#include "cuts/pack_model.h"

#include <string.h>

/* The most multiples of the coils' common step that pack_cover goes through. */
enum { MULTIPLES_MAX = 1000000 };

const struct pack_kind *pack_least_by_length(const struct pack_model *model)
{
    const struct pack_kind *least = NULL;
    for (uint32_t k = 0; k < model->kinds; k++) {
        const struct pack_kind *kind = &model->kind[k];
        if (kind->cost &&
            (!least || (__int128)kind->cost * least->cap < (__int128)least->cost * kind->cap))
            least = kind;
    }
    return least;
}

length pack_common_step(length a, length b)
{
    while (b) {
        length rest = a % b;
        a = b;
        b = rest;
    }
    return a;
}

int64_t pack_length_to_buy(const struct pack_model *model, const uint32_t *rem,
                           const uint32_t *limit)
{
    /* a length times a count of cuts stays below 2^63, and the sum is cut off at each kind */
    int64_t left = 0;
    for (uint32_t i = 0; i < model->sizes; i++)
        left += model->size[i] * rem[i];
    for (uint32_t k = 0; k < model->kinds; k++) {
        int64_t holds = model->kind[k].cost ? 0 : model->kind[k].cap * limit[k];
        left = holds < left ? left - holds : 0;
    }
    return left;
}

/* The least cost of coils that come to n steps or more, for each n, and in `last` one of these
 * coils. */
static void fill_cover(const struct pack_model *model, length step, uint64_t multiples,
                       int64_t *least, uint32_t *last)
{
    for (uint64_t n = 1; n <= multiples; n++) {
        least[n] = INT64_MAX;
        for (uint32_t k = 0; k < model->kinds; k++) {
            uint64_t holds = (uint64_t)(model->kind[k].cap / step);
            int64_t cost = model->kind[k].cost + least[n > holds ? n - holds : 0];
            if (model->kind[k].cost && cost < least[n]) {
                least[n] = cost;
                last[n] = k;
            }
        }
    }
}

/* The same by the least cost by length alone. */
static int64_t cover_by_length(const struct pack_model *model, int64_t left, uint32_t *count)
{
    const struct pack_kind *least = pack_least_by_length(model);
    if (!least)
        return 0;
    count[least - model->kind] = (uint32_t)((left + least->cap - 1) / least->cap);
    return (int64_t)(((__int128)left * least->cost + least->cap - 1) / least->cap);
}

int64_t pack_cover(struct arena *arena, const struct pack_model *model, int64_t left,
                   uint32_t *count, uint64_t *steps)
{
    memset(count, 0, model->kinds * sizeof *count);
    if (left <= 0)
        return 0;
    length step = 0;
    for (uint32_t k = 0; k < model->kinds; k++)
        if (model->kind[k].cost)
            step = pack_common_step(model->kind[k].cap, step);
    if (!step || left / step >= MULTIPLES_MAX)
        return cover_by_length(model, left, count);
    uint64_t multiples = (uint64_t)((left + step - 1) / step), work = multiples * model->kinds;
    if (work >= *steps)
        return cover_by_length(model, left, count);
    *steps -= work;

    struct arena scratch = {.out_of_memory = arena->out_of_memory};
    int64_t *least = arena_array(&scratch, int64_t, multiples + 1);
    uint32_t *last = arena_array(&scratch, uint32_t, multiples + 1);
    fill_cover(model, step, multiples, least, last);
    for (uint64_t n = multiples, holds; n; n = n > holds ? n - holds : 0) {
        holds = (uint64_t)(model->kind[last[n]].cap / step);
        count[last[n]]++;
    }
    int64_t bound = least[multiples];
    arena_free(&scratch);
    return bound;
}
