/* The places that the runs of a circuit join, in an order that geometry alone decides, and the ways
 * between them. */
#include "propose/runs.h"

#include "facts/facts.h"
#include "log/log.h"
#include "model/address.h"
#include "model/site.h"
#include "resolve/node.h"

#include <stdlib.h>
#include <string.h>

static struct place3 place_of(struct end e)
{
    return address_end_position(e);
}

/* West before east, south before north, low before high. */
static int compare_places(const void *a, const void *b)
{
    struct place3 p = place_of(*(const struct end *)a), q = place_of(*(const struct end *)b);
    length apart = p.x != q.x ? p.x - q.x : p.y != q.y ? p.y - q.y : p.z - q.z;
    return apart < 0 ? -1 : apart > 0;
}

static bool is_placed(struct end e)
{
    const struct room *room = facts_room_of_end(e);
    const struct place *p = e.box ? &e.box->place : &e.panel->place;
    return room && p->known && (e.panel || facts_known(e.box, ITS_TEXT | ITS_PLACE));
}

static bool has_place(const struct string_job *job, const struct box *box)
{
    for (uint32_t i = 0; i < job->count; i++)
        if (job->places[i].box == box)
            return true;
    return false;
}

static void add_place(struct string_job *job, struct box *box)
{
    if (!has_place(job, box))
        job->places[job->count++] = (struct end){.box = box};
}

/* Where the circuit begins: its panel, or the box that it is in already. */
static struct end source_of(const struct circuit *c)
{
    if (c->root)
        return (struct end){.box = c->root};
    for (uint32_t i = 0; i < c->serves.n && c->existing; i++)
        if (c->serves.at[i]->existing)
            return (struct end){.box = c->serves.at[i]};
    return (struct end){.panel = c->panel};
}

static void find_places(struct string_job *job)
{
    const struct circuit *c = job->circuit;
    job->places = arena_array(&job->c->arena, struct end, 1 + c->unrun.n + c->runs.n);
    job->places[job->count++] = source_of(c);
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (c->runs.at[i]->in_tree && c->runs.at[i]->to.box)
            add_place(job, c->runs.at[i]->to.box);
    for (uint32_t i = 0; i < c->unrun.n; i++)
        add_place(job, c->unrun.at[i]);
    qsort(job->places + 1, job->count - 1, sizeof *job->places, compare_places);
}

static uint32_t place_of_end(const struct string_job *job, struct end e)
{
    uint32_t i = 0;
    while (i < job->count && (job->places[i].box != e.box || job->places[i].panel != e.panel))
        i++;
    return i;
}

bool string_run_stays(const struct compilation *c, const struct run *run)
{
    log_states done = c->log ? c->log->of_run[run->id].states : 0;
    return run->existing || !run->chain || run->chain->child || run->chain->text || run->also.n ||
           log_has(done, LOG_PULLED);
}

/* The statements of which a run stays: they are kept whole. */
static struct map staying(const struct string_job *job)
{
    struct map stays = {0};
    const struct circuit *c = job->circuit;
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (!job->anew || string_run_stays(job->c, c->runs.at[i]))
            map_put(&job->c->arena, &stays, (uintptr_t)c->runs.at[i]->chain, 1, (void *)c);
    return stays;
}

/* The runs that are kept feed what they feed. */
static void keep_runs(struct string_job *job)
{
    struct arena *a = &job->c->arena;
    job->parent = arena_array(a, uint32_t, job->count);
    job->kept = arena_array(a, bool, job->count);
    job->kept[0] = true;
    job->stays = staying(job);
    for (uint32_t i = 0; i < job->circuit->runs.n; i++) {
        const struct run *r = job->circuit->runs.at[i];
        uint32_t from = place_of_end(job, r->from), to = place_of_end(job, r->to);
        if (!r->in_tree || from == job->count || to == job->count ||
            !map_get(&job->stays, (uintptr_t)r->chain, 1))
            continue;
        job->parent[to] = from;
        job->kept[to] = true;
    }
}

static void find_ways(struct string_job *job)
{
    struct arena *a = &job->c->arena;
    uint32_t n = job->count, pairs = n * (n - 1) / 2, at = 0;
    struct run *runs = arena_array(a, struct run, pairs + 1);
    struct route *routes = arena_array(a, struct route, pairs + 1);
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = i + 1; k < n; k++)
            runs[at++] = (struct run){.circuit = job->circuit,
                                      .from = job->places[i],
                                      .to = job->places[k],
                                      .node = job->circuit->node};
    route_others(a, job->c->model, job->c->routes, runs, pairs, routes);
    job->ways = arena_array(a, struct string_way, (size_t)n * n);
    at = 0;
    for (uint32_t i = 0; i < n; i++)
        for (uint32_t k = i + 1; k < n; k++, at++) {
            const struct route *r = &routes[at];
            job->ways[i * n + k] = job->ways[k * n + i] = (struct string_way){
                .open = r->known && !r->blocked && !r->shut, .length = r->cut, .price = r->price};
        }
}

bool string_begin(struct string_job *job, struct proposal *out)
{
    const struct circuit *circuit = job->circuit;
    const char *called = address_called_as_written(out->arena, circuit, true);
    if (!circuit->panel || !facts_known(circuit, ITS_TEXT)) {
        propose_tell(out, "circuit %s: what it is or where it begins could not be read", called);
        return false;
    }
    find_places(job);
    for (uint32_t i = 0; i < job->count; i++)
        if (!is_placed(job->places[i])) {
            propose_tell(out, "circuit %s: where %s stands could not be read", called,
                         address_of_end(out->arena, job->places[i], true));
            return false;
        }
    if (job->count < 2)
        return false;
    if (job->count > STRING_MOST_PLACES) {
        propose_tell(out,
                     "circuit %s: %u boxes are more than are strung together at once; %d are the "
                     "most",
                     called, job->count - 1, STRING_MOST_PLACES - 1);
        return false;
    }
    keep_runs(job);
    find_ways(job);
    string_find_prices(job);
    string_find_nets(job);
    return true;
}
