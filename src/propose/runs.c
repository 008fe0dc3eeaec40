/* propose runs: boxes that circuits serve, strung together. */
#include "propose/runs.h"

#include "loads/panel.h"
#include "model/address.h"

#include <string.h>

/* From the places that are fed already the nearest that is not, one after another. False where no
 * way leads to one. */
static bool string_nearest(struct string_job *job)
{
    uint32_t n = job->count;
    bool *fed = arena_array(&job->c->arena, bool, n);
    for (uint32_t i = 0; i < n; i++)
        fed[i] = job->kept[i];
    for (uint32_t left = n; left; left--) {
        uint32_t from = n, to = n;
        bool any = false;
        for (uint32_t b = 0; b < n; b++)
            any |= !fed[b];
        if (!any)
            return true;
        for (uint32_t a = 0; a < n; a++)
            for (uint32_t b = 0; b < n; b++)
                if (fed[a] && !fed[b] && job->ways[a * n + b].open &&
                    (to == n || string_weight(job, a, b) < string_weight(job, from, to))) {
                    from = a;
                    to = b;
                }
        if (to == n)
            return false;
        job->parent[to] = from;
        fed[to] = true;
    }
    return true;
}

static void tell_cost(const struct string_job *job, struct proposal *out)
{
    struct buf feet = {0};
    length all = 0;
    uint32_t runs = 0;
    for (uint32_t i = 1; i < job->count; i++)
        if (!job->kept[i]) {
            all += job->ways[i * job->count + job->parent[i]].length;
            runs++;
        }
    length_print(&feet, all);
    propose_tell(out, "circuit %s: %s of cable in %s",
                 address_called_as_written(out->arena, job->circuit, true), buf_text(&feet),
                 arena_counted(out->arena, runs, "run", "runs"));
    buf_free(&feet);
}

static void propose_circuit(struct compilation *c, struct circuit *circuit, struct proposal *out)
{
    struct string_job job;
    if (!string_begin(c, circuit, &job, out))
        return;
    if (!string_nearest(&job)) {
        propose_tell(out, "circuit %s: there is no open way to all of its boxes",
                     address_called_as_written(out->arena, circuit, true));
        return;
    }
    string_write(&job, out);
    tell_cost(&job, out);
}

/* The circuit that --circuit names, as it is typed or as its handle is read; NULL: refused. */
static struct circuit *asked_circuit(struct compilation *c, const char *name, struct proposal *out)
{
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        struct circuit *k = c->model->circuits.at[i];
        if (!k->feeds && (!strcmp(address_of_circuit(out->arena, k, false), name) ||
                          !strcmp(panel_circuit_called(out->arena, c->panels, k, false), name)))
            return k;
    }
    (void)propose_refuse(out, "there is no circuit '%s' in the plan", name);
    return NULL;
}

/* Copies of a unit stand for one statement: it is written once. */
static bool is_written(const struct map *done, const struct circuit *c)
{
    return map_get(done, (uintptr_t)c->node, 0);
}

bool propose_runs(struct compilation *c, const struct propose_asked *asked, struct proposal *out)
{
    struct map done = {0};
    const struct circuit *only = asked->circuit ? asked_circuit(c, asked->circuit, out) : NULL;
    if (asked->circuit && !only)
        return false;
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        struct circuit *circuit = c->model->circuits.at[i];
        if (!circuit->unrun.n || (only && circuit != only) || is_written(&done, circuit))
            continue;
        map_put(out->arena, &done, (uintptr_t)circuit->node, 0, circuit);
        propose_circuit(c, circuit, out);
    }
    if (!out->edits.n && !out->told.n)
        propose_tell(out, "runs lead to every box that a circuit serves");
    return true;
}
