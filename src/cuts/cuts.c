#include "cuts/pack_strands.h"
#include "cuts/work.h"

#include "facts/pulls.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/address.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* --- what there is of each cable ---------------------------------------------------------- */

static struct batch *batch_of(struct arena *arena, struct map *batches,
                              const struct cable_def *cable)
{
    void **at = map_at(arena, batches, (uintptr_t)cable, 0);
    if (!*at) {
        struct batch *batch = arena_new(arena, struct batch);
        batch->cable = cable;
        *at = batch;
    }
    return *at;
}

/* What the order of the text may not decide: runs and coils go by their names. */
struct named {
    const char *name;
    const void *thing;
    uint32_t id;
};

static int by_name(const void *a, const void *b)
{
    const struct named *x = a, *y = b;
    int order = strcmp(x->name, y->name);
    return order ? order : x->id < y->id ? -1 : x->id > y->id;
}

/* The ends, what tells two cables between them apart, and the circuit. */
static const char *name_of_run(struct arena *arena, const struct run *run)
{
    const char of_two[] = {run->of_two ? run->of_two : ' ', 0};
    return arena_join(arena, address_of_run(arena, run, false), "\n", run->label ? run->label : "",
                      "\n", of_two, "\n",
                      run->circuit ? address_of_circuit(arena, run->circuit, false) : "", NULL);
}

static struct named *runs_by_name(struct arena *scratch, const struct model *m)
{
    struct named *order = arena_array(scratch, struct named, m->runs.n + 1);
    for (uint32_t i = 0; i < m->runs.n; i++)
        order[i] = (struct named){name_of_run(scratch, m->runs.at[i]), m->runs.at[i], i};
    qsort(order, m->runs.n, sizeof *order, by_name);
    return order;
}

static struct named *coils_by_name(struct arena *scratch, const struct model *m)
{
    struct named *order = arena_array(scratch, struct named, m->coils.n + 1);
    for (uint32_t i = 0; i < m->coils.n; i++) {
        const struct coil *coil = m->coils.at[i];
        const char *name = arena_printf(scratch, "%s\n%020lld\n%g", coil->name ? coil->name : "",
                                        (long long)coil->length, coil->price);
        order[i] = (struct named){name, coil, i};
    }
    qsort(order, m->coils.n, sizeof *order, by_name);
    return order;
}

struct filing {
    const struct cutting *x;
    struct map *batches;
    bool to_cut;
};

static void file_piece(void *context, const struct cable_def *cable, struct piece piece)
{
    const struct filing *f = context;
    struct batch *batch = batch_of(f->x->arena, f->batches, cable);
    *vec_push(f->x->arena, &batch->all) = piece;
    if (f->to_cut)
        *vec_push(f->x->arena, &batch->runs) = piece;
}

static int by_cable_name(const void *a, const void *b)
{
    return strcmp((*(const struct cable_def *const *)a)->name,
                  (*(const struct cable_def *const *)b)->name);
}

/* The coils of what is cut for raceways. */
static void sort_goods(const struct cutting *x, struct map *batches, const struct named *coils)
{
    struct goods *g = x->goods;
    if (g->list.n)
        qsort(g->list.at, g->list.n, sizeof *g->list.at, by_cable_name);
    for (uint32_t i = 0; i < g->list.n; i++) {
        struct batch *batch = batch_of(x->arena, batches, g->list.at[i]);
        for (uint32_t k = 0; k < x->m->coils.n; k++)
            if (cuts_is_coil_of(coils[k].thing, batch->cable))
                *vec_push(x->arena, &batch->coils) = coils[k].thing;
    }
}

static void sort_runs_and_coils(const struct cutting *x, struct map *batches)
{
    const struct model *m = x->m;
    struct arena scratch = {.out_of_memory = x->arena->out_of_memory};
    const struct named *runs = runs_by_name(&scratch, m), *coils = coils_by_name(&scratch, m);
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *run = runs[i].thing;
        const struct route *route = &x->routes->of_run[run->id];
        const struct cable_def *cable = wiring_cable_of_run(run, x->wiring);
        if (!cable || run->existing || !route->known)
            continue;
        struct filing f = {x, batches, !log_hangs(x->log, run->id)};
        if (!cable->of && route->cut > 0)
            file_piece(&f, cable,
                       (struct piece){.run = run,
                                      .length = route->cut,
                                      .ends = {facts_pull_from(run), facts_pull_to(run)}});
        if (run->raceway)
            goods_each(x, run, 0, file_piece, &f);
    }
    for (uint32_t i = 0; i < m->coils.n; i++) {
        const struct coil *coil = coils[i].thing;
        if (coil->cable)
            *vec_push(x->arena, &batch_of(x->arena, batches, coil->cable)->coils) = coil;
    }
    sort_goods(x, batches, coils);
    arena_free(&scratch);
}

static struct cut piece_of(const struct pull *pull, const struct opened *coil)
{
    const struct run *run = pull->run;
    return (struct cut){.run = run,
                        .ends = {pull->ends[0], pull->ends[1]},
                        .subject = pull->event ? pull->event->subject : NULL,
                        .length = pull->length,
                        .home_run = pull->ends[0].panel || pull->ends[1].panel,
                        .pulled = true,
                        .measured = pull->measured,
                        .said = coil && pull->coil && !strcmp(pull->coil, coil->name)};
}

static struct cut *pieces_of(struct arena *arena, const pull_refs *pulls)
{
    struct cut *cuts = arena_array(arena, struct cut, pulls->n + 1);
    for (uint32_t i = 0; i < pulls->n; i++)
        cuts[i] = piece_of(pulls->at[i], NULL);
    return cuts;
}

struct pulling {
    const struct cutting *x;
    struct map *batches;
    const struct pull *like;
};

static void file_pull(void *context, const struct cable_def *cable, struct piece piece)
{
    const struct pulling *p = context;
    struct pull *pull = arena_new(p->x->arena, struct pull);
    *pull = *p->like;
    pull->cable = cable;
    pull->length = piece.length;
    pull->ends[0] = piece.ends[0];
    pull->ends[1] = piece.ends[1];
    pull->coil = NULL; /* one word cannot tell the spool of each colour */
    *vec_push(p->x->arena, &batch_of(p->x->arena, p->batches, cable)->pulls) = pull;
}

static void pull_goods(const struct cutting *x, struct map *batches, const struct pull *pull)
{
    struct pulling p = {x, batches, pull};
    goods_each(x, pull->run, pull->measured ? pull->length : 0, file_pull, &p);
}

/* Whether a run is of conductors that are cut one by one. */
static bool is_pulled_singly(const struct cutting *x, const struct run *run)
{
    const struct cable_def *cable = run ? wiring_cable_of_run(run, x->wiring) : NULL;
    return cable && cable->of;
}

static void sort_pulls(const struct cutting *x, struct map *batches, struct cuts *cuts)
{
    pull_list pulls = opened_pulls(x);
    pull_refs unknown = {0};
    for (uint32_t i = 0; i < pulls.n; i++)
        if (pulls.at[i].run && pulls.at[i].run->raceway) /* each conductor is a pull of its own */
            pull_goods(x, batches, &pulls.at[i]);
    for (uint32_t i = 0; i < pulls.n; i++)
        if (!is_pulled_singly(x, pulls.at[i].run))
            *vec_push(x->arena, pulls.at[i].cable
                                    ? &batch_of(x->arena, batches, pulls.at[i].cable)->pulls
                                    : &unknown) = &pulls.at[i];
    cuts->unknown = pieces_of(x->arena, &unknown);
    cuts->unknown_count = unknown.n;
}

/* --- stocks ------------------------------------------------------------------------------- */

/* Units of the costs in one of the currency: millionths, or larger ones where a coil is so dear
 * that the packing could not count in millionths. */
static double money_of(const struct batch *batch)
{
    double money = MILLION, dearest = 0;
    for (uint32_t i = 0; i < batch->coils.n; i++)
        dearest = fmax(dearest, batch->coils.at[i]->price);
    while (dearest * money > (double)PACK_PRICE_MAX)
        money /= 10;
    return money;
}

/* The coils that the plan names; where it names none to buy, the lengths that the cable is sold in.
 */
static stock_list stocks_of(struct arena *arena, const struct batch *batch, double money)
{
    stock_list stocks = {0};
    bool bought = false;
    for (uint32_t i = 0; i < batch->coils.n; i++) {
        const struct coil *coil = batch->coils.at[i];
        bought = bought || !coil->on_hand;
        *vec_push(arena, &stocks) = (struct pack_stock){
            .length = coil->length,
            .price = coil->price < 0 ? -1 : llround(coil->price * money),
            .on_hand = coil->on_hand ? (coil->count ? coil->count : 1) : 0,
            .buy = !coil->on_hand,
            .name = coil->name,
        };
    }
    for (uint32_t i = 0; i < batch->cable->stock_count && !bought; i++)
        *vec_push(arena, &stocks) =
            (struct pack_stock){.length = batch->cable->stock[i], .price = -1, .buy = true};
    return stocks;
}

/* How many of a coil that is bought are to be had; UINT32_MAX: any number. */
static uint32_t limit_of(const struct batch *batch, uint32_t stock)
{
    const struct coil *coil = stock < batch->coils.n ? batch->coils.at[stock] : NULL;
    return coil && !coil->on_hand && coil->counted ? coil->count : UINT32_MAX;
}

/* --- packing ------------------------------------------------------------------------------ */

struct packing {
    const struct cutting *x;
    const struct batch *batch;
    const piece_list *runs; /* strand by strand */
    stock_list stocks;      /* the batch's, then the rests of opened coils */
    uint32_t *left;         /* by stock: how many may still be bought */
    uint32_t own;           /* how many stocks are the batch's */
    const opened_list *opened;
    struct cable_cuts *out;
};

/* Bought coils of each stock in the result. */
static uint32_t *bought_of_each(const struct packing *p)
{
    uint32_t *bought = arena_array(p->x->arena, uint32_t, p->stocks.n + 1);
    for (uint32_t i = 0; i < p->out->pack.coil_count; i++)
        bought[p->out->pack.coils[i].stock] += !p->out->pack.coils[i].on_hand;
    return bought;
}

/* Coils of which fewer are to be had than were taken are taken as if they lay there, and the rest
 * is allotted anew. */
static bool take_limited(struct packing *p, bool *limited)
{
    const uint32_t *bought = bought_of_each(p);
    bool more = false;
    for (uint32_t i = 0; i < p->own; i++) {
        if (bought[i] <= p->left[i])
            continue;
        p->stocks.at[i].on_hand = p->left[i];
        p->stocks.at[i].buy = false;
        limited[i] = more = true;
    }
    return more;
}

/* What is taken of a coil with a limit is bought all the same. */
static void count_limited(struct packing *p, const bool *limited, int64_t bound, length least)
{
    struct pack_result *pack = &p->out->pack;
    for (uint32_t i = 0; i < pack->coil_count; i++) {
        const struct pack_stock *stock = &p->stocks.at[pack->coils[i].stock];
        if (!limited[pack->coils[i].stock])
            continue;
        pack->coils[i].on_hand = false;
        pack->bought_coils++;
        pack->bought += stock->length;
        pack->cost += stock->price > 0 ? stock->price : 0;
    }
    if (pack->missing_count) { /* the bound is of all cuts */
        bound = pack->cost;
        least = pack->bought;
    }
    pack->bound_cost = bound;
    pack->bound_bought = least;
    double is = pack->cost > 0 ? (double)pack->cost : (double)pack->bought,
           may = pack->cost > 0 ? (double)bound : (double)least;
    pack->proven = is <= may;
    pack->gap = is > may ? (is - may) / is : 0;
}

static struct pack_piece *pieces_to_pack(const struct packing *p)
{
    uint32_t n = p->runs->n;
    struct pack_piece *pieces = arena_array(p->x->arena, struct pack_piece, n + 1);
    for (uint32_t i = 0; i < n; i++)
        pieces[i] = (struct pack_piece){.length = p->runs->at[i].length, .id = i};
    return pieces;
}

/* Each piece by itself. */
static bool pack_once(struct packing *p)
{
    bool fits = pack_plan(p->x->arena, p->stocks.at, p->stocks.n, pieces_to_pack(p), p->runs->n,
                          p->x->steps, &p->out->pack);
    p->out->none_left = fits && p->out->pack.proven;
    return fits;
}

/* The strands as they lie in the list of pieces. */
static struct pack_strand *strands_in(struct arena *arena, const piece_list *runs, uint32_t *count)
{
    struct pack_strand *strands = arena_array(arena, struct pack_strand, runs->n + 1);
    for (uint32_t i = 0; i < runs->n; i++) {
        if (!i || runs->at[i].strand != runs->at[i - 1].strand)
            strands[(*count)++].first = i;
        strands[*count - 1].count++;
    }
    return strands;
}

/* Whether some coil is to be had only so often. */
static bool any_limit(const struct packing *p)
{
    for (uint32_t i = 0; i < p->own; i++)
        if (p->left[i] != UINT32_MAX)
            return true;
    return false;
}

/* Allots strands in place of pieces, as whole as may be. */
static void pack_whole(struct packing *p, const bool *limited)
{
    struct arena *arena = p->x->arena;
    uint32_t strands = 0;
    uint32_t *most = arena_array(arena, uint32_t, p->stocks.n + 1);
    for (uint32_t i = 0; i < p->stocks.n; i++)
        most[i] = i < p->own ? p->left[i] : UINT32_MAX;
    const struct pack_piece *pieces = pieces_to_pack(p);
    const struct pack_strand *list = strands_in(arena, p->runs, &strands);
    struct pack_strands_asked asked = {.stocks = p->stocks.at,
                                       .stock_count = p->stocks.n,
                                       .pieces = pieces,
                                       .piece_count = p->runs->n,
                                       .strands = list,
                                       .strand_count = strands};
    if (any_limit(p)) {
        asked.most = most;
        asked.counted = limited;
    }
    uint64_t steps = p->x->steps <= CUTS_QUICK         ? 0
                     : p->x->steps < PACK_STRAND_STEPS ? p->x->steps
                                                       : PACK_STRAND_STEPS;
    struct pack_strands_result r;
    pack_strands(arena, &asked, &p->out->pack, steps, &r);
    p->out->pack = r.pack;
    p->out->long_strands = r.long_ones;
    p->out->broken = r.broken;
    p->out->least_broken = r.least;
}

/* Allots the runs; false where a length is beyond what can be reckoned with. */
static bool pack_runs(struct packing *p)
{
    bool *limited = arena_array(p->x->arena, bool, p->own + p->opened->n + 1);
    if (!pack_once(p))
        return false;
    int64_t bound = p->out->pack.bound_cost;
    length least = p->out->pack.bound_bought;
    bool any = false;
    while (take_limited(p, limited)) {
        any = true;
        if (!pack_once(p))
            return false;
    }
    pack_whole(p, limited);
    if (any)
        count_limited(p, limited, bound, least);
    return true;
}

/* --- the list ----------------------------------------------------------------------------- */

struct numbering {
    struct map taken; /* (0, interned name) -> itself: names of opened coils */
    uint32_t *used;   /* by stock */
    uint32_t number;  /* of those without a name */
};

/* A coil's name: its own, with a number where several bear it, else the cable's and a number. One
 * that was opened keeps its name. */
static const char *coil_name(const struct packing *p, struct numbering *n, uint32_t stock)
{
    struct arena *arena = p->x->arena;
    const char *own = p->stocks.at[stock].name, *name;
    do {
        if (!own)
            name = arena_printf(arena, "%s-%u", p->batch->cable->name, ++n->number);
        else if (++n->used[stock] == 1)
            name = own;
        else
            name = arena_printf(arena, "%s-%u", own, n->used[stock]);
    } while (map_find(&n->taken, 0, names_of(p->x->m->names, name)));
    return name;
}

static double price_of(const struct batch *batch, uint32_t stock)
{
    return stock < batch->coils.n ? batch->coils.at[stock]->price : -1;
}

/* How many cuts come off the rest of each opened coil. */
static uint32_t *cuts_of_rests(const struct packing *p)
{
    const struct pack_result *pack = &p->out->pack;
    uint32_t *cuts = arena_array(p->x->arena, uint32_t, p->opened->n + 1);
    for (uint32_t i = 0; i < pack->coil_count; i++)
        if (pack->coils[i].stock >= p->own)
            cuts[pack->coils[i].stock - p->own] += pack->coils[i].count;
    return cuts;
}

static void add_opened(const struct packing *p, struct numbering *n)
{
    struct cable_cuts *out = p->out;
    const uint32_t *more = cuts_of_rests(p);
    for (uint32_t i = 0; i < p->opened->n; i++) {
        const struct opened *from = p->opened->at[i];
        struct cut_coil *coil = &out->coils[out->coil_count++];
        const char *key = names_of(p->x->m->names, from->name);
        map_put(p->x->arena, &n->taken, 0, (uintptr_t)key, (void *)key);
        *coil = (struct cut_coil){.name = from->name,
                                  .cable = p->batch->cable,
                                  .stock = from->length,
                                  .sort = from->stock,
                                  .opened = true,
                                  .guessed = from->guessed,
                                  .on_hand = from->stock < p->batch->coils.n &&
                                             p->batch->coils.at[from->stock]->on_hand,
                                  .price = price_of(p->batch, from->stock),
                                  .pulled_count = from->pulls.n,
                                  .cut_count = from->pulls.n,
                                  .remainder = from->length};
        coil->cuts = arena_array(p->x->arena, struct cut, from->pulls.n + more[i] + 1);
        for (uint32_t k = 0; k < from->pulls.n; k++) {
            coil->cuts[k] = piece_of(from->pulls.at[k], from);
            coil->pulled += coil->cuts[k].length;
            coil->cuts[k].remainder = coil->remainder -= coil->cuts[k].length;
        }
    }
}

/* Whether a piece is pulled on into the next one, which comes behind it on the coil. */
static enum strand_end end_on_coil(const struct packing *p, const struct pack_coil *from,
                                   uint32_t at)
{
    const uint32_t *order = p->out->pack.order + from->first;
    const struct piece *piece = &p->runs->at[order[at]];
    bool next = at + 1 < from->count && order[at + 1] == order[at] + 1;
    return piece->end == STRAND_GOES_ON && !next ? STRAND_BROKEN : piece->end;
}

/* Longest first, as they are pulled: a long one that is spoilt still serves for a short one. */
static void fill_coil(const struct packing *p, const struct pack_coil *from, struct cut_coil *coil)
{
    for (uint32_t i = 0; i < from->count; i++) {
        struct piece piece = p->runs->at[p->out->pack.order[from->first + i]];
        const struct run *run = piece.run;
        length cut = piece.length;
        coil->remainder -= cut;
        coil->cuts[coil->cut_count++] =
            (struct cut){.run = run,
                         .ends = {piece.ends[0], piece.ends[1]},
                         .length = cut,
                         .remainder = coil->remainder,
                         .home_run = piece.ends[0].panel || piece.ends[1].panel,
                         .turned = piece.turned,
                         .end = end_on_coil(p, from, i)};
    }
}

static void add_coils(const struct packing *p)
{
    const struct pack_result *pack = &p->out->pack;
    struct cable_cuts *out = p->out;
    struct numbering n = {.used = arena_array(p->x->arena, uint32_t, p->stocks.n + 1)};
    out->coils = arena_array(p->x->arena, struct cut_coil, pack->coil_count + p->opened->n + 1);
    add_opened(p, &n);
    for (uint32_t i = 0; i < pack->coil_count; i++) {
        const struct pack_coil *from = &pack->coils[i];
        if (from->stock >= p->own) {
            fill_coil(p, from, &out->coils[from->stock - p->own]);
            continue;
        }
        struct cut_coil *coil = &out->coils[out->coil_count++];
        *coil = (struct cut_coil){.name = coil_name(p, &n, from->stock),
                                  .cable = p->batch->cable,
                                  .stock = p->stocks.at[from->stock].length,
                                  .sort = from->stock,
                                  .on_hand = from->on_hand,
                                  .price = price_of(p->batch, from->stock),
                                  .remainder = p->stocks.at[from->stock].length,
                                  .cuts = arena_array(p->x->arena, struct cut, from->count + 1)};
        fill_coil(p, from, coil);
    }
}

/* Runs for which no coil is long enough, or none is left that is. */
static void take_too_long(const struct packing *p)
{
    const struct pack_result *pack = &p->out->pack;
    struct cable_cuts *out = p->out;
    out->too_long = arena_array(p->x->arena, const struct run *,
                                pack->too_long_count + pack->missing_count + 1);
    for (uint32_t i = 0; i < pack->too_long_count; i++)
        out->too_long[out->too_long_count++] = p->runs->at[pack->too_long[i]].run;
    for (uint32_t i = 0; i < pack->missing_count; i++)
        out->too_long[out->too_long_count++] = p->runs->at[pack->missing[i]].run;
}

/* An opened coil is no longer one of those that lie there whole; its rest is. */
static void open_stocks(struct packing *p)
{
    p->left = arena_array(p->x->arena, uint32_t, p->own + 1);
    for (uint32_t i = 0; i < p->own; i++)
        p->left[i] = limit_of(p->batch, i);
    for (uint32_t i = 0; i < p->opened->n; i++) {
        const struct opened *coil = p->opened->at[i];
        length rest = coil->length - coil->used;
        if (coil->stock < p->own) {
            struct pack_stock *stock = &p->stocks.at[coil->stock];
            stock->on_hand -= stock->on_hand > 0;
            p->left[coil->stock] -= p->left[coil->stock] > 0 && p->left[coil->stock] != UINT32_MAX;
        }
        *vec_push(p->x->arena, &p->stocks) = (struct pack_stock){
            .length = rest > 0 ? rest : 0, .price = -1, .on_hand = rest > 0, .name = coil->name};
    }
}

static void allot(const struct cutting *x, const struct batch *batch, const piece_list *runs,
                  const opened_list *opened, struct cable_cuts *out)
{
    *out = (struct cable_cuts){.cable = batch->cable, .money = money_of(batch)};
    struct packing p = {.x = x, .batch = batch, .runs = runs, .opened = opened, .out = out};
    p.stocks = stocks_of(x->arena, batch, out->money);
    p.own = p.stocks.n;
    open_stocks(&p);
    out->refused = !pack_runs(&p);
    add_coils(&p);
    take_too_long(&p);
    if (out->refused) {
        const struct run **all = arena_array(x->arena, const struct run *, runs->n + 1);
        for (uint32_t i = 0; i < runs->n; i++)
            all[i] = runs->at[i].run;
        out->too_long = all;
        out->too_long_count = runs->n;
    }
}

/* --- what is pulled in one ----------------------------------------------------------------- */

struct end cuts_stop(const struct strand *strand, uint32_t stop)
{
    const struct cut *cut = &strand->cuts[stop ? stop - 1 : 0];
    return cut->ends[stop ? !cut->turned : cut->turned];
}

/* Numbers the strands of a coil; sticks of raceways are not pulled. */
static void number_strands(struct cuts *cuts, struct cut_coil *coil)
{
    for (uint32_t i = coil->pulled_count; i < coil->cut_count && !coil->cable->raceway; i++) {
        struct cut *cut = &coil->cuts[i];
        bool begins = i == coil->pulled_count || cut[-1].end != STRAND_GOES_ON;
        if (begins)
            cuts->strands[cuts->strand_count++] = (struct strand){.coil = coil, .cuts = cut};
        struct strand *strand = &cuts->strands[cuts->strand_count - 1];
        strand->count++;
        strand->length += cut->length;
        cut->strand = cuts->strand_count;
    }
}

static void list_strands(struct arena *arena, struct cuts *cuts)
{
    uint32_t most = 0;
    for (uint32_t i = 0; i < cuts->cable_count; i++)
        for (uint32_t k = 0; k < cuts->cables[i].coil_count; k++)
            most += cuts->cables[i].coils[k].cut_count - cuts->cables[i].coils[k].pulled_count;
    cuts->strands = arena_array(arena, struct strand, most + 1);
    for (uint32_t i = 0; i < cuts->cable_count; i++)
        for (uint32_t k = 0; k < cuts->cables[i].coil_count; k++)
            number_strands(cuts, &cuts->cables[i].coils[k]);
}

/* --- all of it ---------------------------------------------------------------------------- */

/* The list of the whole job tells what the coils are that the log calls by their numbers there. */
static void cut_cable(const struct cutting *x, struct batch *batch, struct cable_cuts *out)
{
    strands_sort(x, &batch->runs);
    opened_list opened = {0};
    pull_refs loose = {0};
    struct cutting exact = *x;
    exact.steps = CUTS_EXACT;
    if (batch->pulls.n) {
        struct cable_cuts whole;
        strands_sort(x, &batch->all);
        allot(&exact, batch, &batch->all, &opened, &whole);
        stock_list stocks = stocks_of(x->arena, batch, whole.money);
        opened = opened_coils(x, batch, &whole, &stocks, &loose);
    }
    allot(x, batch, &batch->runs, &opened, out);
    if (out->pack.missing_count &&
        x->steps < CUTS_EXACT) /* what is found is what will be printed */
        allot(&exact, batch, &batch->runs, &opened, out);
    out->loose = pieces_of(x->arena, &loose);
    out->loose_count = loose.n;
}

/* Those of the library as it has them, behind them those of the plan by name, for the order of its
 * statements decides nothing; then what is cut for raceways. */
static const struct cable_def **cables_in_order(const struct cutting *x)
{
    const struct library *lib = x->m->lib;
    const struct cable_def **list =
        arena_array(x->arena, const struct cable_def *, lib->cable_list.n + x->goods->list.n + 1);
    uint32_t n = 0;
    for (uint32_t i = 0; i < lib->cable_list.n; i++)
        if (!lib->cable_list.at[i]->of_plan)
            list[n++] = lib->cable_list.at[i];
    uint32_t own = n;
    for (uint32_t i = 0; i < lib->cable_list.n; i++)
        if (lib->cable_list.at[i]->of_plan)
            list[n++] = lib->cable_list.at[i];
    if (n > own)
        qsort(list + own, n - own, sizeof *list, by_cable_name);
    for (uint32_t i = 0; i < x->goods->list.n; i++)
        list[n++] = x->goods->list.at[i];
    return list;
}

struct cuts *cuts_plan(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct site_log *log, uint64_t steps)
{
    struct cuts *cuts = arena_new(arena, struct cuts);
    struct goods goods = {.list = {0}};
    const struct cutting x = {.goods = &goods,
                              .arena = arena,
                              .m = m,
                              .routes = routes,
                              .wiring = wiring,
                              .log = log,
                              .steps = steps};
    struct map batches = {0};
    sort_runs_and_coils(&x, &batches);
    if (log)
        sort_pulls(&x, &batches, cuts);
    const struct cable_def **cables = cables_in_order(&x);
    uint32_t count = m->lib->cable_list.n + goods.list.n;
    cuts->cables = arena_array(arena, struct cable_cuts, count + 1);
    for (uint32_t i = 0; i < count; i++) {
        struct batch *batch = map_get(&batches, (uintptr_t)cables[i], 0);
        if (batch && (batch->runs.n || batch->pulls.n))
            cut_cable(&x, batch, &cuts->cables[cuts->cable_count++]);
    }
    list_strands(arena, cuts);
    return cuts;
}
