/* terminal-size: a terminal takes conductors of some sizes and no others (110.14(A)). */
#include "facts/conductors.h"
#include "loads/loads.h"
#include "rules/conductors/conductors.h"
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
    return true;
}

/* Once for each clause and cable: a wire that is undersized is told first. */
static void check_terminals(const struct checked *c, const struct circuit *circuit)
{
    const struct node *clause = NULL, *of_circuit = node_child(circuit->node, F_CABLE);
    const struct cable_def *said = NULL;
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
