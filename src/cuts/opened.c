/* What came off which coil already, by the site log. */
#include "cuts/work.h"

#include "facts/pulls.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/model.h"
#include "model/orders.h"
#include "model/power.h"
#include "wiring/wiring.h"

#include <stdlib.h>
#include <string.h>

/* --- the pieces --------------------------------------------------------------------------- */

static const struct cable_def *cable_named(const struct model *m, const char *name)
{
    for (uint32_t i = 0; name && i < m->lib->cable_list.n; i++)
        if (!strcmp(m->lib->cable_list.at[i]->name, name))
            return m->lib->cable_list.at[i];
    return NULL;
}

/* The number of "NAME-7" behind a name; 0 where it is none. */
static uint32_t number_behind(const char *text, const char *name)
{
    size_t len = strlen(name);
    if (strncmp(text, name, len) != 0 || text[len] != '-')
        return 0;
    char *end;
    unsigned long n = strtoul(text + len + 1, &end, 10);
    return *end || n > PACK_COUNT_MAX ? 0 : (uint32_t)n;
}

/* Whether a coil of the plan bears that name, or is the second or a further one of it. */
static bool bears(const struct coil *coil, const char *name)
{
    if (!coil->name)
        return false;
    uint32_t n = number_behind(name, coil->name);
    return !strcmp(coil->name, name) || (n > 1 && (!coil->on_hand || n <= coil->count));
}

/* The cable of an event: as it says, else that of its run, else what its coil holds. */
static const struct cable_def *cable_of(const struct cutting *x, const struct log_event *e,
                                        const struct run *run)
{
    const struct cable_def *cable = cable_named(x->m, e->cable);
    if (!cable && run)
        cable = wiring_cable_of_run(run, x->wiring);
    for (uint32_t i = 0; !cable && e->coil && i < x->m->coils.n; i++)
        if (bears(x->m->coils.at[i], e->coil))
            cable = x->m->coils.at[i]->cable;
    const char *dash = e->coil ? strrchr(e->coil, '-') : NULL;
    if (!cable && dash)
        cable = cable_named(x->m, arena_copy(x->arena, e->coil, (size_t)(dash - e->coil)));
    return cable;
}

static int compare_texts(const char *a, const char *b)
{
    return strcmp(a ? a : "", b ? b : "");
}

static int compare_pulls(const void *pa, const void *pb)
{
    const struct pull *a = pa, *b = pb;
    int order = (a->event != NULL) - (b->event != NULL);
    if (!order && a->event)
        order = strcmp(a->event->date, b->event->date);
    if (!order && a->event)
        order = compare_texts(a->event->words, b->event->words);
    uint32_t m = a->run ? a->run->id : 0, n = b->run ? b->run->id : 0;
    return order ? order : m < n ? -1 : m > n;
}

/* Of several events that name no length the latest counts. */
static bool counts_more(const struct log_event *e, const struct log_event *than)
{
    int later = than ? strcmp(e->date, than->date) : 1;
    return later > 0 || (!later && strcmp(e->words, than->words) > 0);
}

static void add_measured(const struct cutting *x, pull_list *list, const struct log_event *e)
{
    static const struct end none;
    const struct run *run = e->about.runs.n ? e->about.runs.at[0] : NULL;
    *vec_push(x->arena, list) =
        (struct pull){.run = run,
                      .event = e,
                      .cable = cable_of(x, e, run),
                      .coil = e->coil,
                      .length = e->length,
                      .ends = {run ? facts_pull_from(run) : none, run ? facts_pull_to(run) : none},
                      .measured = true};
}

/* Cables that hang there and of which no length was logged: at the planned cut. */
static void add_planned(const struct cutting *x, pull_list *list,
                        const struct log_event *const *plain)
{
    for (uint32_t i = 0; i < x->m->runs.n; i++) {
        const struct run *run = x->m->runs.at[i];
        const struct run_log *r = &x->log->of_run[i];
        if (run->existing || (r->pulled && r->pulled->length) ||
            !(r->in_wall || (run->passage && log_hangs(x->log, run->id))))
            continue;
        const struct log_event *e = plain[i];
        *vec_push(x->arena, list) =
            (struct pull){.run = run,
                          .event = e,
                          .cable = e ? cable_of(x, e, run) : wiring_cable_of_run(run, x->wiring),
                          .coil = e ? e->coil : NULL,
                          .length = r->in_wall,
                          .ends = {facts_pull_from(run), facts_pull_to(run)}};
    }
}

pull_list opened_pulls(const struct cutting *x)
{
    pull_list list = {0};
    const struct log_event **plain =
        arena_array(x->arena, const struct log_event *, x->m->runs.n + 1);
    for (uint32_t i = 0; i < x->log->events.n; i++) {
        const struct log_event *e = x->log->events.at[i];
        if (e->undoes || e->taken_back || e->state != LOG_PULLED)
            continue;
        if (e->length && e->shares)
            for (uint32_t k = 0; k < e->about.runs.n; k++)
                add_measured(x, &list, &e->shares[k]);
        else if (e->length)
            add_measured(x, &list, e);
        for (uint32_t k = 0; !e->length && k < e->about.runs.n; k++)
            if (counts_more(e, plain[e->about.runs.at[k]->id]))
                plain[e->about.runs.at[k]->id] = e;
    }
    add_planned(x, &list, plain);
    if (list.n)
        qsort(list.at, list.n, sizeof *list.at, compare_pulls);
    return list;
}

/* --- the coils ---------------------------------------------------------------------------- */

struct opening {
    const struct cutting *x;
    const struct batch *batch;
    const stock_list *stocks;
    struct map listed; /* (0, interned name) -> struct cut_coil of the list of the whole job */
    struct map of_run; /* (0, run) -> the same */
    struct map found;  /* (0, interned name) -> struct opened */
    opened_list list;
};

static const char *key(const struct opening *o, const char *name)
{
    return names_of(o->x->m->names, name);
}

static uint32_t stock_of(const struct opening *o, const char *name)
{
    for (uint32_t i = 0; i < o->batch->coils.n; i++)
        if (bears(o->batch->coils.at[i], name))
            return i;
    return NO_STOCK;
}

/* The shortest length to be bought that holds so much, else the longest; what it is where none is
 * known. */
static length bought_length(const struct opening *o, length used)
{
    length best = 0, longest = 0;
    for (uint32_t i = 0; i < o->stocks->n; i++) {
        const struct pack_stock *s = &o->stocks->at[i];
        if (!s->buy)
            continue;
        longest = s->length > longest ? s->length : longest;
        if (s->length >= used && (!best || s->length < best))
            best = s->length;
    }
    return best ? best : longest ? longest : used;
}

static struct opened *open_coil(struct opening *o, const char *name)
{
    void **at = map_at(o->x->arena, &o->found, 0, (uintptr_t)key(o, name));
    if (*at)
        return *at;
    const struct cut_coil *listed = map_find(&o->listed, 0, key(o, name));
    struct opened *coil = arena_new(o->x->arena, struct opened);
    *coil = (struct opened){.name = name, .stock = stock_of(o, name)};
    if (coil->stock == NO_STOCK && listed)
        coil->stock = listed->sort;
    if (coil->stock != NO_STOCK)
        coil->length = o->stocks->at[coil->stock].length;
    *vec_push(o->x->arena, &o->list) = coil;
    return *at = coil;
}

static void take(struct opening *o, struct opened *coil, const struct pull *pull)
{
    coil->used += pull->length;
    *vec_push(o->x->arena, &coil->pulls) = pull;
}

/* A coil that the plan names, or one of the cut list. */
static bool is_coil(const struct opening *o, const char *name)
{
    return name && (stock_of(o, name) != NO_STOCK || number_behind(name, o->batch->cable->name));
}

/* Where the plan or the list knows no length for a coil, or one that is too short for what came off
 * it, it is one of the lengths that are sold. */
static void guess_lengths(struct opening *o)
{
    for (uint32_t i = 0; i < o->list.n; i++) {
        struct opened *coil = o->list.at[i];
        if (coil->used <= coil->length || stock_of(o, coil->name) != NO_STOCK)
            continue;
        coil->stock = NO_STOCK;
        coil->length = bought_length(o, coil->used);
        coil->guessed = true;
    }
}

static bool holds(const struct opened *coil, length piece)
{
    return coil->length - coil->used >= piece;
}

/* The coil that a piece came off of which the log says none. */
static struct opened *likely_coil(struct opening *o, const struct cable_cuts *list,
                                  const struct pull *pull)
{
    const struct cut_coil *listed = pull->run ? map_find(&o->of_run, 0, pull->run) : NULL;
    struct opened *coil = listed ? open_coil(o, listed->name) : NULL, *best = NULL;
    if (coil && holds(coil, pull->length))
        return coil;
    for (uint32_t i = 0; i < o->list.n; i++) {
        coil = o->list.at[i];
        if (holds(coil, pull->length) &&
            (!best || coil->length - coil->used < best->length - best->used))
            best = coil;
    }
    for (uint32_t i = 0; !best && i < list->coil_count; i++)
        if (!map_find(&o->found, 0, key(o, list->coils[i].name)) &&
            list->coils[i].stock >= pull->length)
            best = open_coil(o, list->coils[i].name);
    return best;
}

static int compare_opened(const void *pa, const void *pb)
{
    const struct opened *a = *(struct opened *const *)pa, *b = *(struct opened *const *)pb;
    if (a->stock != b->stock)
        return a->stock < b->stock ? -1 : 1;
    size_t m = strlen(a->name), n = strlen(b->name);
    return m != n ? (m < n ? -1 : 1) : strcmp(a->name, b->name);
}

static void file_list(struct opening *o, const struct cable_cuts *list)
{
    for (uint32_t i = 0; i < list->coil_count; i++) {
        const struct cut_coil *coil = &list->coils[i];
        map_file(o->x->arena, &o->listed, 0, key(o, coil->name), (void *)coil);
        for (uint32_t k = 0; k < coil->cut_count; k++)
            map_file(o->x->arena, &o->of_run, 0, coil->cuts[k].run, (void *)coil);
    }
}

/* A coil that was looked at and held nothing stays closed. */
static void leave_closed(struct opening *o)
{
    uint32_t n = 0;
    for (uint32_t i = 0; i < o->list.n; i++)
        if (o->list.at[i]->pulls.n)
            o->list.at[n++] = o->list.at[i];
    o->list.n = n;
}

opened_list opened_coils(const struct cutting *x, const struct batch *batch,
                         const struct cable_cuts *list, const stock_list *stocks, pull_refs *loose)
{
    struct opening o = {.x = x, .batch = batch, .stocks = stocks};
    file_list(&o, list);
    for (uint32_t i = 0; i < batch->pulls.n; i++)
        if (is_coil(&o, batch->pulls.at[i]->coil))
            take(&o, open_coil(&o, batch->pulls.at[i]->coil), batch->pulls.at[i]);
    guess_lengths(&o);
    for (uint32_t i = 0; i < batch->pulls.n; i++) {
        const struct pull *pull = batch->pulls.at[i];
        if (is_coil(&o, pull->coil))
            continue;
        struct opened *coil = likely_coil(&o, list, pull);
        if (coil)
            take(&o, coil, pull);
        else
            *vec_push(x->arena, loose) = pull;
    }
    leave_closed(&o);
    if (o.list.n)
        qsort(o.list.at, o.list.n, sizeof *o.list.at, compare_opened);
    return o.list;
}
