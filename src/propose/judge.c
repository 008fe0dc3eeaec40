/* Trees of runs, judged by the compiler itself: the plan with them is compiled, without the runs of
 * circuits that share no box with theirs, and what is found that was not there counts before what
 * they cost. */
#include "propose/runs.h"

#include "diag/edits.h"
#include "model/address.h"
#include "model/orders.h"
#include "model/power.h"
#include "model/site.h"
#include "propose/trial.h"
#include "resolve/edit.h"
#include "resolve/node.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

struct string_judge {
    struct arena arena;
    struct string_job *job;
    struct trial trial;
    const char *address; /* of the circuit */
    edit_list without; /* the runs of other circuits are taken out, those beside are as proposed */
    struct map before; /* (finding, 1) -> how often it is there without the runs */
};

/* --- what is left out --------------------------------------------------------------------- */

/* Marks circuits that a box of the circuit has to do with, or a cable that it shares. */
static void mark_beside(const struct string_job *job, bool *beside)
{
    const struct circuit *c = job->circuit;
    for (uint32_t i = 0; i < job->count; i++) {
        const struct box *b = job->places[i].box;
        for (uint32_t k = 0; b && k < b->runs.n; k++) {
            beside[b->runs.at[k]->circuit->id] = true;
            for (uint32_t m = 0; m < b->runs.at[k]->also.n; m++)
                beside[b->runs.at[k]->also.at[m]->id] = true;
        }
        for (uint32_t k = 0; b && k < b->served_by.n; k++)
            beside[b->served_by.at[k]->id] = true;
    }
    for (uint32_t i = 0; i < c->runs.n; i++)
        beside[c->runs.at[i]->circuit->id] = true;
}

/* Statements by where they stand: each copy of a unit has nodes of its own. */
static void mark_statement(struct arena *a, struct map *marked, const struct node *n)
{
    map_put(a, marked, (uintptr_t)n->source, n->first, (void *)n);
}

static bool is_marked(const struct map *marked, const struct node *n)
{
    return map_get(marked, (uintptr_t)n->source, n->first);
}

/* Its boxes stay its own: what the edition asks of them is the same. */
static void serve_instead(struct string_judge *j, const struct circuit *c)
{
    struct editing e = {&j->arena, &j->without};
    struct buf text = {0};
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *r = c->runs.at[i];
        const struct box *ends[] = {r->from.box, r->to.box};
        if (r->chain && (!i || r->chain != c->runs.at[i - 1]->chain))
            edit_remove(e, r->chain);
        for (int k = 0; k < 2; k++)
            if (ends[k] && r->chain)
                buf_printf(&text, " %s", string_box_words(&j->arena, ends[k], c->unit));
    }
    if (text.n)
        edit_in_block(e, c->node, arena_printf(&j->arena, "serves%s", buf_text(&text)));
    buf_free(&text);
}

/* Circuits that have nothing to do with this one are not run, but serve their boxes. A statement
 * stands for circuits in each copy of its unit: it stays where one of them is beside. */
static void leave_out(struct string_judge *j)
{
    struct model *m = j->job->c->model;
    struct arena *a = &j->arena;
    struct map stays = {0};
    bool *beside = arena_array(a, bool, m->circuits.n + 1);
    mark_beside(j->job, beside);
    beside[j->job->circuit->id] = true;
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (beside[i])
            mark_statement(a, &stays, m->circuits.at[i]->node);
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *c = m->circuits.at[i];
        if (c->feeds || c->existing || is_marked(&stays, c->node))
            continue;
        mark_statement(a, &stays, c->node);
        serve_instead(j, c);
    }
    edits_join(&j->without);
}

/* --- what is found ------------------------------------------------------------------------ */

static void note_findings(struct string_judge *j, const struct compilation *c)
{
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        void **at =
            map_at(&j->arena, &j->before, (uintptr_t)trial_finding_key(&c->diag.findings.at[i]), 1);
        *at = (void *)((uintptr_t)*at + 1);
    }
}

/* A waiver that nothing needs any more is no fault of a tree. */
static void count_findings(struct string_judge *j, struct compilation *c,
                           struct string_verdict *verdict)
{
    extern const struct rule rule_stale_waiver;
    struct map met = {0};
    for (uint32_t i = 0; i < c->diag.findings.n; i++) {
        const struct finding *f = &c->diag.findings.at[i];
        uintptr_t key = (uintptr_t)trial_finding_key(f);
        void **at = map_at(&c->arena, &met, key, 1);
        *at = (void *)((uintptr_t)*at + 1);
        if (f->waived || f->rule == &rule_stale_waiver ||
            (uintptr_t)*at <= (uintptr_t)map_get(&j->before, key, 1))
            continue;
        verdict->errors += f->severity == ERROR;
        verdict->warnings += f->severity == WARNING;
    }
    verdict->errors += c->io_failed || !c->routes;
}

/* --- what it costs ------------------------------------------------------------------------ */

/* The price of a box that is chosen, where the plan has one for its type. */
static double box_price(const struct string_judge *j, const struct compilation *c,
                        const struct box *b)
{
    const struct box_type *type = c->wiring->of_box[b->id].type;
    double price = type && !b->existing && j->job->money ? model_price(c->model, type->name) : 0;
    return price > 0 ? price : 0;
}

static void add_costs(const struct string_judge *j, struct compilation *c,
                      const struct circuit *circuit, struct string_verdict *verdict)
{
    struct map boxes = {0};
    double cost = 0;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *r = circuit->runs.at[i];
        const struct route *route = &c->routes->of_run[r->id];
        const struct cable_def *cable = c->wiring->of_run[r->id].cable;
        if (r->existing)
            continue;
        double price = cable ? string_price_of(j->job, cable) : j->job->base;
        verdict->cost += llround((double)route->cut * price / j->job->base) + route->price;
        cost += price * length_feet(route->cut);
        struct box *b = r->to.box;
        void **at = b ? map_at(&c->arena, &boxes, (uintptr_t)b, 1) : NULL;
        if (!at || *at)
            continue;
        *at = b;
        verdict->cost += llround(box_price(j, c, b) / j->job->base * (double)FOOT);
        cost += box_price(j, c, b);
    }
    verdict->money = j->job->money ? cost : 0;
}

static struct string_verdict judge(struct string_judge *j, const edit_list *edits)
{
    struct compilation after;
    edit_list all = {0};
    struct string_verdict verdict = {0};
    for (uint32_t i = 0; i < j->without.n; i++)
        *vec_push(&j->arena, &all) = j->without.at[i];
    for (uint32_t i = 0; i < edits->n; i++)
        *vec_push(&j->arena, &all) = edits->at[i];
    if (!trial_compile(&j->trial, &all, &after))
        return (struct string_verdict){.errors = UINT32_MAX};
    count_findings(j, &after, &verdict);
    for (uint32_t i = 0; after.wiring && i < after.model->circuits.n; i++)
        if (!strcmp(address_of_circuit(&after.arena, after.model->circuits.at[i], false),
                    j->address))
            add_costs(j, &after, after.model->circuits.at[i], &verdict);
    compile_free(&after);
    return verdict;
}

struct string_judge *string_judge_new(struct string_job *job, struct proposal *out)
{
    struct string_judge *j = arena_new(out->arena, struct string_judge);
    struct compilation before;
    edit_list without = {0};
    *j = (struct string_judge){.job = job,
                               .address = address_of_circuit(out->arena, job->circuit, false)};
    trial_begin(&j->trial, job->c, job->library);
    leave_out(j);
    for (uint32_t i = 0; i < job->beside.n; i++)
        *vec_push(&j->arena, &j->without) = job->beside.at[i];
    for (uint32_t i = 0; i < j->without.n; i++)
        *vec_push(&j->arena, &without) = j->without.at[i];
    string_take_out(job, (struct editing){&j->arena, &without});
    edits_join(&without);
    if (trial_compile(&j->trial, &without, &before)) {
        note_findings(j, &before);
        compile_free(&before);
    }
    return j;
}

struct string_verdict string_judge_tree(struct string_judge *j, const uint32_t *parent)
{
    struct proposal tried = {.arena = &j->arena};
    string_write(j->job, parent, &tried);
    return judge(j, &tried.edits);
}

struct string_verdict string_judge_plan(struct string_judge *j)
{
    return judge(j, &(edit_list){0});
}

void string_judge_free(struct string_judge *j)
{
    trial_free(&j->trial);
    arena_free(&j->arena);
}

bool string_is_better(const struct string_verdict *a, const struct string_verdict *b)
{
    if (a->errors != b->errors)
        return a->errors < b->errors;
    return a->warnings != b->warnings ? a->warnings < b->warnings : a->cost < b->cost;
}
