#include "cuts/cuts.h"

#include "framing/routes.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <math.h>

/* The runs to cut and the coils of one cable type. */
struct batch {
    VEC(struct run *) runs;
    VEC(const struct coil *) coils;
};

typedef VEC(struct pack_stock) stock_list;

const struct cable_def *cuts_cable_of_run(const struct run *run, const struct wiring *wiring)
{
    const struct cable_def *cable = wiring->of_run[run->id].cable;
    if (!cable)
        cable = run->declared;
    return cable || !run->low_voltage ? cable : run->low_voltage->cable;
}

static struct batch *batch_of(struct arena *arena, struct map *batches,
                              const struct cable_def *cable)
{
    void **at = map_at(arena, batches, (uintptr_t)cable, 0);
    if (!*at)
        *at = arena_new(arena, struct batch);
    return *at;
}

static void sort_runs_and_coils(struct arena *arena, const struct model *m,
                                const struct routes *routes, const struct wiring *wiring,
                                struct map *batches)
{
    for (uint32_t i = 0; i < m->runs.n; i++) {
        struct run *run = m->runs.at[i];
        const struct route *route = &routes->of_run[run->id];
        const struct cable_def *cable = cuts_cable_of_run(run, wiring);
        if (cable && !run->existing && route->known && route->cut > 0)
            *vec_push(arena, &batch_of(arena, batches, cable)->runs) = run;
    }
    for (uint32_t i = 0; i < m->coils.n; i++)
        if (m->coils.at[i]->cable)
            *vec_push(arena, &batch_of(arena, batches, m->coils.at[i]->cable)->coils) =
                m->coils.at[i];
}

/* The coils that the plan names; where it names none to buy, the lengths that the cable is sold in.
 */
static stock_list stocks_of(struct arena *arena, const struct cable_def *cable,
                            const struct batch *batch)
{
    stock_list stocks = {0};
    bool bought = false;
    for (uint32_t i = 0; i < batch->coils.n; i++) {
        const struct coil *coil = batch->coils.at[i];
        bought = bought || !coil->on_hand;
        *vec_push(arena, &stocks) = (struct pack_stock){
            .length = coil->length,
            .price = coil->price < 0 ? -1 : llround(coil->price * MILLION),
            .on_hand = coil->on_hand ? (coil->count ? coil->count : 1) : 0,
            .buy = !coil->on_hand,
            .name = coil->name,
        };
    }
    for (uint32_t i = 0; i < cable->stock_count && !bought; i++)
        *vec_push(arena, &stocks) =
            (struct pack_stock){.length = cable->stock[i], .price = -1, .buy = true};
    return stocks;
}

/* A coil's name: its own, with a number where several bear it, else the cable's and a number.
 * `used` counts the coils of each stock. */
static const char *coil_name(struct arena *arena, const struct cable_def *cable,
                             const struct pack_stock *stock, uint32_t used, uint32_t *number)
{
    if (!stock->name)
        return arena_printf(arena, "%s-%u", cable->name, ++*number);
    return used == 1 ? stock->name : arena_printf(arena, "%s-%u", stock->name, used);
}

/* Longest first, as they are pulled: a long piece that is spoilt still serves for a short run. */
static void fill_coil(struct arena *arena, const struct batch *batch, const struct routes *routes,
                      const struct pack_result *pack, const struct pack_coil *from,
                      struct cut_coil *coil)
{
    coil->cuts = arena_array(arena, struct cut, from->count + 1);
    coil->cut_count = from->count;
    coil->remainder = coil->stock;
    for (uint32_t i = 0; i < from->count; i++) {
        struct run *run = batch->runs.at[pack->order[from->first + i]];
        length cut = routes->of_run[run->id].cut;
        coil->remainder -= cut;
        coil->cuts[i] = (struct cut){.run = run,
                                     .length = cut,
                                     .remainder = coil->remainder,
                                     .home_run = run->from.panel || run->to.panel};
    }
}

static void take_coils(struct arena *arena, const struct batch *batch, const struct routes *routes,
                       const stock_list *stocks, struct cable_cuts *out)
{
    const struct pack_result *pack = &out->pack;
    uint32_t *used = arena_array(arena, uint32_t, stocks->n + 1), number = 0;
    out->coils = arena_array(arena, struct cut_coil, pack->coil_count + 1);
    out->coil_count = pack->coil_count;
    for (uint32_t i = 0; i < pack->coil_count; i++) {
        const struct pack_coil *from = &pack->coils[i];
        const struct pack_stock *stock = &stocks->at[from->stock];
        struct cut_coil *coil = &out->coils[i];
        coil->name = coil_name(arena, out->cable, stock, ++used[from->stock], &number);
        coil->cable = out->cable;
        coil->stock = stock->length;
        coil->on_hand = from->on_hand;
        coil->price = stock->price < 0 ? -1 : (double)stock->price / MILLION;
        fill_coil(arena, batch, routes, pack, from, coil);
    }
}

/* Runs for which no coil is long enough, or none is left that is. */
static void take_too_long(struct arena *arena, const struct batch *batch, struct cable_cuts *out)
{
    const struct pack_result *pack = &out->pack;
    out->too_long =
        arena_array(arena, struct run *, pack->too_long_count + pack->missing_count + 1);
    for (uint32_t i = 0; i < pack->too_long_count; i++)
        out->too_long[out->too_long_count++] = batch->runs.at[pack->too_long[i]];
    for (uint32_t i = 0; i < pack->missing_count; i++)
        out->too_long[out->too_long_count++] = batch->runs.at[pack->missing[i]];
}

static void cut_cable(struct arena *arena, const struct batch *batch, const struct routes *routes,
                      uint64_t steps, struct cable_cuts *out)
{
    stock_list stocks = stocks_of(arena, out->cable, batch);
    struct pack_piece *pieces = arena_array(arena, struct pack_piece, batch->runs.n);
    for (uint32_t i = 0; i < batch->runs.n; i++)
        pieces[i] = (struct pack_piece){.length = routes->of_run[batch->runs.at[i]->id].cut,
                                        .id = batch->runs.at[i]->id};
    if (pack_plan(arena, stocks.at, stocks.n, pieces, batch->runs.n, steps, &out->pack)) {
        take_coils(arena, batch, routes, &stocks, out);
        take_too_long(arena, batch, out);
        return;
    }
    /* a measure beyond all reason: no coil is that long */
    out->too_long = batch->runs.at;
    out->too_long_count = batch->runs.n;
}

struct cuts *cuts_plan(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, uint64_t steps)
{
    struct cuts *cuts = arena_new(arena, struct cuts);
    struct map batches = {0};
    sort_runs_and_coils(arena, m, routes, wiring, &batches);
    cuts->cables = arena_array(arena, struct cable_cuts, m->lib->cable_list.n + 1);
    for (uint32_t i = 0; i < m->lib->cable_list.n; i++) {
        const struct cable_def *cable = m->lib->cable_list.at[i];
        const struct batch *batch = map_get(&batches, (uintptr_t)cable, 0);
        if (!batch || !batch->runs.n)
            continue;
        struct cable_cuts *out = &cuts->cables[cuts->cable_count++];
        out->cable = cable;
        cut_cable(arena, batch, routes, steps, out);
    }
    return cuts;
}
