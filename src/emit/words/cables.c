#include "emit/words/cables.h"

#include "cuts/labels.h"
#include "emit/views.h"
#include "emit/words/circuits.h"
#include "emit/words/leads.h"
#include "facts/tags.h"
#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"

#include <string.h>

/* Cables of a box that go to one place. */
typedef VEC(const struct run *) run_list;

/* A box of the same room by its name, as it stands on the card of its neighbour. */
static const char *far_end(const struct results *r, const struct box *b, const struct run *run)
{
    struct end far = run->to.box == b ? run->from : run->to;
    return far.box && far.box->room == b->room ? far.box->name
                                               : address_of_end(r->arena, far, false);
}

/* Its own name, or what is glued on it. */
static const char *label_words(const struct results *r, const struct run *run)
{
    const struct run_view *v = view_of_run(r, run);
    return run->label || label_is_new(run) ? v->tag : "existing";
}

static const char *label_and_circuit(const struct results *r, const struct run *run)
{
    return run->circuit ? arena_printf(r->arena, "%s, circuit %s", label_words(r, run),
                                       words_circuit(r, run->circuit))
                        : label_words(r, run);
}

/* How many cables of a list have a mark: those met so far, or all. */
struct counted {
    uint32_t met, all;
};

static struct counted *counted(const struct results *r, struct map *m, const char *mark)
{
    void **at = map_at(r->arena, m, 1, (uintptr_t)names_of(r->model->names, mark));
    if (!*at)
        *at = arena_new(r->arena, struct counted);
    return *at;
}

/* Cables with one end are told apart by their labels; by their circuits too, where labels are the
 * same; those that nothing tells by their number in the order of the plan. */
static void mark_alike(struct cables *c, const run_list *list)
{
    const struct results *r = c->r;
    struct map labels = {0}, both = {0};
    if (list->n == 1 && !list->at[0]->label)
        return;
    c->in_brackets |= list->n > 1;
    for (uint32_t i = 0; i < list->n; i++) {
        counted(r, &labels, label_words(r, list->at[i]))->all++;
        counted(r, &both, label_and_circuit(r, list->at[i]))->all++;
    }
    for (uint32_t i = 0; i < list->n; i++) {
        const struct run *run = list->at[i];
        const char *label = label_words(r, run), *circuit = label_and_circuit(r, run);
        struct counted *one = counted(r, &labels, label), *two = counted(r, &both, circuit);
        const char *mark = one->all == two->all ? label : circuit;
        if (two->all > 1)
            mark = arena_printf(r->arena, "%s, no. %u", mark, ++two->met);
        map_put(r->arena, &c->mark_of, (uintptr_t)run, 1, (void *)mark);
    }
}

void cables_of_box(const struct results *r, const struct box *b, struct cables *out)
{
    struct map by_end = {0}; /* name of the far end -> run_list */
    VEC(run_list *) lists = {0};
    *out = (struct cables){.r = r, .box = b};
    for (uint32_t i = 0; i < b->runs.n; i++) {
        const char *end = names_of(r->model->names, far_end(r, b, b->runs.at[i]));
        void **at = map_at(r->arena, &by_end, 1, (uintptr_t)end);
        if (!*at)
            *at = *vec_push(r->arena, &lists) = arena_new(r->arena, run_list);
        *vec_push(r->arena, (run_list *)*at) = b->runs.at[i];
    }
    for (uint32_t i = 0; i < lists.n; i++)
        mark_alike(out, lists.at[i]);
}

const char *cables_far_end(const struct cables *c, const struct run *run)
{
    return far_end(c->r, c->box, run);
}

const char *cables_mark(const struct cables *c, const struct run *run)
{
    return map_get(&c->mark_of, (uintptr_t)run, 1);
}

/* "from P", "to S2 [1 S1-S2]": where its cable comes from or goes to, and what tells it there. */
static const char *way_words(const struct cables *c, const struct lead *l)
{
    struct arena *arena = c->r->arena;
    const char *mark = cables_mark(c, l->run),
               *plain = arena_printf(arena, "%s %s", l->at_to ? "from" : "to",
                                     far_end(c->r, c->box, l->run));
    if (!mark)
        return plain;
    return l->run->label && !strpbrk(mark, ",") ? arena_printf(arena, "%s %s", plain, mark)
                                                : arena_printf(arena, "%s [%s]", plain, mark);
}

const char *cables_conductor_words(const struct cables *c, const struct lead *l)
{
    return arena_printf(c->r->arena, "%s %s", words_lead_color(c->r, l), way_words(c, l));
}

const char *cables_pass_words(const struct cables *c, const struct joint *j)
{
    const struct lead *a = &j->leads[0], *b = &j->leads[1];
    bool turned = b->at_to && !a->at_to;
    return arena_printf(c->r->arena, "%s %s %s", words_lead_color(c->r, a),
                        way_words(c, turned ? b : a), way_words(c, turned ? a : b));
}
