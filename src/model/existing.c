/* What is there already: how the word on a circuit carries to its runs, and from runs to the boxes
 * and devices that they alone reach. */
#include "model/build.h"
#include "resolve/edit.h"

/* Whether the statement of a thing says `existing`, or `existing no`. */
static const struct node *own_word(const struct node *n)
{
    return clause(n, F_EXISTING);
}

/* What the runs of an old circuit say of themselves. */
struct said {
    bool old, new_work, at_panel;
};

static struct said said_of_runs(const struct circuit *c)
{
    struct said s = {0};
    for (uint32_t i = 0; i < c->runs.n; i++) {
        const struct run *r = c->runs.at[i];
        const struct node *word = own_word(r->node);
        s.old |= word && !word->no;
        s.new_work |= word && word->no;
        s.at_panel |= r->from.panel || r->to.panel;
    }
    return s;
}

/* An old circuit that is drawn from its panel on is old in all its runs. Where some of them say
 * that they are old, the others are new; and what begins at a box that is there already, with the
 * way to the panel left out, is new work on it. */
static void spread_to_runs(const struct circuit *c)
{
    struct said s = said_of_runs(c);
    if (!c->existing || c->feeds || !(s.new_work || (s.at_panel && !s.old)))
        return;
    for (uint32_t i = 0; i < c->runs.n; i++)
        if (!own_word(c->runs.at[i]->node))
            c->runs.at[i]->existing = true;
}

/* Whether a box that does not say it itself is reached by old runs of old circuits, and by no other
 * run. */
static bool only_old_runs(const struct box *x)
{
    for (uint32_t i = 0; i < x->runs.n; i++)
        if (!x->runs.at[i]->existing || !x->runs.at[i]->circuit->existing)
            return false;
    for (uint32_t i = 0; i < x->low_voltage.n; i++)
        if (!x->low_voltage.at[i]->existing)
            return false;
    return x->runs.n > 0;
}

static void spread_to_box(struct box *x)
{
    if (own_word(x->node) || !only_old_runs(x))
        return;
    x->existing = true;
    for (uint32_t i = 0; i < x->device_count; i++)
        if (!own_word(x->devices[i]->node))
            x->devices[i]->existing = true;
}

/* `unknown` of a thing that is bought says nothing: what it is to be is written or chosen. */
static void check_unknown(struct builder *b, const struct node *n, bool old, const char *thing)
{
    if (!n || n->value_count || old)
        return;
    struct finding *f =
        diag_add(b->diag, &rule_missing_clause, node_span(n),
                 "'%s unknown' is for what is there already; this %s is new", n->word, thing);
    diag_mend(b->diag, f, "leave it out and one is chosen, or write 'existing' on the %s", thing);
    edit_remove(edit_way(b->diag, f, false, "leave it out, and one is chosen"), n);
}

static void check_runs(struct builder *b)
{
    const struct node *last = NULL;
    for (uint32_t i = 0; i < b->m->runs.n; i++) {
        const struct run *r = b->m->runs.at[i];
        if (r->node != last)
            check_unknown(b, r->circuit && r->circuit->feeds ? NULL : clause(r->node, F_CABLE),
                          r->existing, "run");
        last = r->node;
    }
}

static void check_circuit(struct builder *b, const struct circuit *c)
{
    const struct node *breaker = clause(c->node, F_BREAKER);
    if (breaker && !breaker->value_count && !c->existing) {
        struct finding *f = diag_add(b->diag, &rule_missing_clause, node_span(breaker),
                                     "the breaker of a new circuit is not unknown");
        diag_mend(b->diag, f, "its rating, or 'existing' on the circuit");
        edit_clause(edit_way(b->diag, f, false, "'existing' on the circuit"), c->node, F_EXISTING,
                    "existing");
    }
    for (uint32_t i = 0; i < c->runs.n && c->existing && c->breaker_unsaid; i++) {
        const struct run *r = c->runs.at[i];
        if (r->existing || r->declared || r->single || c->in_doubt & ITS_CABLE)
            continue;
        struct finding *f =
            diag_add(b->diag, &rule_missing_clause, node_span(r->node),
                     "this run says no cable, and by a breaker that is unknown none is chosen");
        diag_mend(b->diag, f, "its 'cable', or the rating of the breaker");
        return;
    }
}

void build_spread_existing(struct builder *b)
{
    for (uint32_t i = 0; i < b->m->circuits.n; i++)
        spread_to_runs(b->m->circuits.at[i]);
    for (uint32_t i = 0; i < b->m->boxes.n; i++)
        spread_to_box(b->m->boxes.at[i]);
    check_runs(b);
    for (uint32_t i = 0; i < b->m->circuits.n; i++)
        check_circuit(b, b->m->circuits.at[i]);
    for (uint32_t i = 0; i < b->m->boxes.n; i++)
        check_unknown(b, clause(b->m->boxes.at[i]->node, F_BOX_TYPE), b->m->boxes.at[i]->existing,
                      "box");
}
