/* terminal-size: a terminal takes conductors of some sizes and no others (110.14(A)). */
#include "facts/conductors.h"
#include "loads/loads.h"
#include "rules/conductors/conductors.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

RULE(terminal_size, "terminal-size", ERROR, FIRM,
     "a terminal takes the conductor that lands on it");

static struct span place_of(const struct run *run)
{
    const struct node *clause =
        node_child(run->own_cable ? run->node : run->circuit->node, F_CABLE);
    return (run->declared || run->single) && clause ? node_span(clause) : node_span(run->node);
}

static void say_refused(const struct checked *c, const struct run *run,
                        const struct cable_def *cable, const struct device *d)
{
    struct arena *a = c->model->arena;
    const struct device_def *def = d->def;
    bool thick = cable->gauge < library_gauge_of(def->takes_to);
    struct finding *f =
        run_finding(c, &rule_terminal_size, run, place_of(run),
                    "run %s is %s, and the terminals of the %s in %s take %s to %s AWG",
                    address_of_run(a, run, true), cable->name, def->name,
                    address_of_box(a, d->box, true), def->takes_from, def->takes_to);
    diag_note(c->model->diag, f, node_span(d->node), "the device");
    diag_mend(c->model->diag, f,
              thick ? "%s AWG from a box before it on: splice down there" : "%s AWG or thicker",
              thick ? def->takes_to : def->takes_from);
}

/* Whether the metal of a cable is one that an end does not take, which is said. */
static bool refuses_metal(const struct checked *c, const struct run *run,
                          const struct cable_def *cable)
{
    struct model *m = c->model;
    const struct device *d = facts_terminal_refuses_metal(m, run, cable);
    if (!d || !facts_known(d, ITS_TEXT))
        return false;
    struct finding *f = run_finding(
        c, &rule_terminal_size, run, place_of(run),
        "run %s is aluminium, and the terminals of the %s in %s are for copper and "
        "copper-clad aluminium",
        address_of_run(m->arena, run, true), d->def->name, address_of_box(m->arena, d->box, true));
    rules_set_article(c, f, code_table(&m->code, TABLE_ALUMINIUM_TERMINALS)->source);
    diag_note(m->diag, f, node_span(d->node), "the device");
    diag_mend(m->diag, f, "one that is marked CO/ALR, and 'co-alr' on it; or a copper cable");
    edit_clause(rules_way(c, f, false, "'co-alr' on it"), d->node, F_CO_ALR, "co-alr");
    return true;
}

/* --- marks for aluminium ------------------------------------------------------------------ */

BLIND_SPOT(aluminium_mark, terminal_size, "the AL-CU mark of", "");

static void ask_mark(const struct checked *c, const char *what, const char *of)
{
    diag_passed(c->model->diag, &blind_aluminium_mark,
                arena_printf(c->model->arena, "%s %s", what, of));
}

/* The breaker that a run begins at, or the lugs of a panel that it feeds. */
static void ask_panel_mark(const struct checked *c, const struct run *run, const struct panel *p)
{
    const struct circuit *circuit = run->circuit;
    bool breaker = p == circuit->panel;
    if (p->al_cu || (breaker && circuit->al_cu) || (p->existing && circuit->existing))
        return;
    if (breaker)
        ask_mark(c, "the breaker of circuit",
                 address_called_as_written(c->model->arena, circuit, true));
    else
        ask_mark(c, "the lugs of panel", address_of_panel(c->model->arena, p, true));
}

/* Devices with terminals for more than those that CO/ALR is for. */
static void ask_box_marks(const struct checked *c, const struct run *run, const struct box *box)
{
    double small = code_current(&c->model->code, SET_ALUMINIUM_TERMINALS_UP_TO, 0);
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device *d = box->devices[i];
        bool lands = false;
        for (uint32_t k = 0; k < d->part_count; k++)
            lands |= d->parts[k].circuit == run->circuit;
        if (lands && d->def->takes_from && d->def->rating > small && !d->al_cu && !d->co_alr &&
            !d->existing)
            ask_mark(c, arena_printf(c->model->arena, "the %s in", d->def->name),
                     address_of_box(c->model->arena, box, true));
    }
}

/* Wherever aluminium lands: plans seldom say how terminals are marked, so it is looked at on site.
 */
static void ask_marks(const struct checked *c, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        const struct cable_def *cable = rules_cable_of(c, run);
        if (!cable || cable->metal != ALUMINIUM || run->existing || run->circuit != circuit ||
            !facts_known(run, ITS_TEXT | ITS_BOXES))
            continue;
        const struct end ends[] = {run->from, run->to};
        for (int k = 0; k < 2; k++)
            if (ends[k].panel)
                ask_panel_mark(c, run, ends[k].panel);
            else if (ends[k].box)
                ask_box_marks(c, run, ends[k].box);
    }
}

/* Once for each clause and cable: a wire that is undersized is told first. */
static void check_terminals(const struct checked *c, const struct circuit *circuit)
{
    const struct node *clause = NULL, *of_circuit = node_child(circuit->node, F_CABLE);
    const struct cable_def *said = NULL;
    ask_marks(c, circuit);
    if (!conductors_serve(c, circuit))
        return;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        const struct cable_def *cable = rules_cable_of(c, run);
        const struct conductor_asks *asks = &c->loads->asks[circuit->id];
        const struct node *own = run->own_cable ? node_child(run->node, F_CABLE) : of_circuit;
        if (!cable || !cable->size || run->existing || (cable == said && own == clause) ||
            !facts_known(run, ITS_TEXT | ITS_BOXES) || asks->thickest == -ANY_GAUGE)
            continue;
        looked(c, terminal_size);
        if (refuses_metal(c, run, cable)) {
            said = cable;
            clause = own;
            continue;
        }
        if (cable->gauge >= asks->thickest && cable->gauge <= asks->thinnest)
            continue;
        const struct device *d = facts_terminal_refuses(run, cable);
        if (!d || !facts_known(d, ITS_TEXT))
            continue;
        say_refused(c, run, cable, d);
        said = cable;
        clause = own;
    }
}
CHECK(terminal_size, .circuit = {check_terminals, ITS_TEXT | ITS_CLAUSES, NEW_WORK});
