/* propose runs: boxes that circuits serve, strung together for what costs least. */
#include "propose/runs.h"

#include "loads/panel.h"
#include "model/address.h"
#include "model/model.h"
#include "propose/trial.h"
#include "resolve/node.h"

#include <string.h>

static const char *feet_words(struct arena *a, length l)
{
    struct buf b = {0};
    length_print(&b, l);
    const char *words = arena_copy(a, buf_text(&b), b.n);
    buf_free(&b);
    return words;
}

static bool is_clean(const struct string_verdict *v)
{
    return !v->errors && !v->warnings;
}

/* "the least that there can be", "within 2.1 % of the least that there can be". */
static const char *gap_words(struct arena *a, const struct string_found *found)
{
    double least = (double)found->least, gap = ((double)found->verdict.cost - least) / least;
    if (found->verdict.cost <= found->least)
        return "the least that there can be";
    return arena_printf(a, "within %.1f %% of the least that there can be", gap * 100 + 0.05);
}

/* What is run: the cable of all its runs, each as long as it is cut. */
static void tell_cost(const struct string_job *job, const struct string_found *found,
                      struct proposal *out)
{
    struct arena *a = out->arena;
    length all = 0;
    uint32_t runs = 0;
    for (uint32_t i = 1; i < job->count; i++)
        if (!job->kept[i]) {
            all += job->ways[i * job->count + found->parent[i]].length;
            runs++;
        }
    const char *money = found->verdict.money > 0
                            ? arena_printf(a, ", %.2f for its cable", found->verdict.money)
                            : "";
    propose_tell(out, "circuit %s: %s in %s%s; with its holes %s",
                 address_called_as_written(a, job->circuit, true), feet_words(a, all),
                 arena_counted(a, runs, "run", "runs"), money, gap_words(a, found));
}

static struct string_found search(struct string_job *job, struct string_judge *judge)
{
    struct string_found near = {0}, all = {0};
    bool few = job->count <= STRING_EXACT_PLACES;
    if (few)
        all = string_search_all(job, judge);
    if (few && all.any && is_clean(&all.verdict))
        return all;
    near = string_search_near(job, judge);
    if (few && near.any && all.any)
        near.least = all.least;
    return near.any && (!all.any || string_is_better(&near.verdict, &all.verdict)) ? near : all;
}

/* What is proposed for one circuit. */
struct strung {
    const struct circuit *circuit;
    edit_list edits;
};

struct stringing {
    struct compilation *c;
    const struct propose_asked *asked;
    struct proposal *out;
    VEC(struct strung) done;
};

static void propose_found(struct stringing *s, struct string_job *job, struct string_judge *judge)
{
    struct proposal *out = s->out;
    const char *called = address_called_as_written(out->arena, job->circuit, true);
    struct string_found found = search(job, judge);
    if (!found.any) {
        propose_tell(out,
                     "circuit %s: no tree of runs leads to all of its boxes: ways are shut, or no "
                     "cable has enough conductors",
                     called);
        return;
    }
    struct string_verdict now = {0};
    bool whole = job->anew && !job->circuit->unrun.n;
    if (whole)
        now = string_judge_plan(judge);
    if (whole && !string_is_better(&found.verdict, &now)) {
        propose_tell(out, "circuit %s: its runs cost no more than the best that was found, %s",
                     called, gap_words(out->arena, &found));
        return;
    }
    struct proposal own = {.arena = out->arena};
    string_write(job, found.parent, &own);
    *vec_push(out->arena, &s->done) = (struct strung){job->circuit, own.edits};
    tell_cost(job, &found, out);
    if (!is_clean(&found.verdict))
        propose_tell(out, "circuit %s: none of the %s tried checks clean; this is the best of them",
                     called, arena_counted(out->arena, found.tried, "tree", "trees"));
}

static bool share_a_box(const struct string_job *job, const struct circuit *other)
{
    for (uint32_t i = 0; i < job->count; i++) {
        const struct box *b = job->places[i].box;
        for (uint32_t k = 0; b && k < b->served_by.n; k++)
            if (b->served_by.at[k] == other)
                return true;
    }
    return false;
}

static void add_edits(struct arena *a, edit_list *to, const edit_list *from)
{
    for (uint32_t i = 0; i < from->n; i++)
        *vec_push(a, to) = from->at[i];
}

static void propose_circuit(struct stringing *s, struct circuit *circuit)
{
    struct string_job job = {.c = s->c,
                             .library = s->asked->library,
                             .circuit = circuit,
                             .anew = s->asked->circuit != NULL};
    if (!string_begin(&job, s->out))
        return;
    for (uint32_t i = 0; i < s->done.n; i++)
        if (share_a_box(&job, s->done.at[i].circuit))
            add_edits(s->out->arena, &job.beside, &s->done.at[i].edits);
    struct string_judge *judge = string_judge_new(&job, s->out);
    propose_found(s, &job, judge);
    string_judge_free(judge);
}

/* The message of the first error that the plan has with edits and not without; NULL: none. */
static const char *new_error(struct stringing *s, const edit_list *edits)
{
    struct trial trial;
    struct compilation after;
    edit_list all = {0};
    const char *message = NULL;
    add_edits(s->out->arena, &all, edits);
    trial_begin(&trial, s->c, s->asked->library);
    if (trial_compile(&trial, &all, &after)) {
        const struct finding *f = trial_new_error(s->c, &after, s->out->leaves);
        message = f ? arena_printf(s->out->arena, "%s [%s]", f->message, f->rule->name) : NULL;
        compile_free(&after);
    }
    trial_free(&trial);
    return message;
}

/* What holds alone may not hold together: then one after another is added, and left where it brings
 * an error. */
static void put_together(struct stringing *s)
{
    struct arena *a = s->out->arena;
    edit_list all = {0};
    for (uint32_t i = 0; i < s->done.n; i++)
        add_edits(a, &all, &s->done.at[i].edits);
    bool hold = !all.n || !new_error(s, &all);
    for (uint32_t i = 0; i < s->done.n; i++) {
        edit_list more = {0};
        add_edits(a, &more, &s->out->edits);
        add_edits(a, &more, &s->done.at[i].edits);
        const char *why = hold ? NULL : new_error(s, &more);
        if (why)
            propose_tell(s->out, "circuit %s is not proposed: the plan would have an error: %s",
                         address_called_as_written(a, s->done.at[i].circuit, true), why);
        else
            s->out->edits = more;
    }
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

bool propose_runs(struct compilation *c, const struct propose_asked *asked, struct proposal *out)
{
    struct stringing s = {.c = c, .asked = asked, .out = out};
    struct map done = {0}; /* copies of a unit stand for one statement: it is written once */
    const struct circuit *only = asked->circuit ? asked_circuit(c, asked->circuit, out) : NULL;
    if (asked->circuit && !only)
        return false;
    out->leaves = "afci-missing gfci-missing"; /* of a circuit with runs they are told otherwise */
    string_adopt(c, only, out);
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        struct circuit *circuit = c->model->circuits.at[i];
        bool wanted = only ? circuit == only : circuit->unrun.n > 0;
        if (!wanted || map_get(&done, (uintptr_t)circuit->node->source, circuit->node->first))
            continue;
        map_put(out->arena, &done, (uintptr_t)circuit->node->source, circuit->node->first, circuit);
        propose_circuit(&s, circuit);
    }
    string_release(c);
    put_together(&s);
    if (!out->edits.n && !out->told.n)
        propose_tell(out, "runs lead to every box already");
    return true;
}
