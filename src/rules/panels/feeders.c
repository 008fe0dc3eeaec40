/* Rules about what feeds a panel, and about grounds: feeder-undersized, feeder-four-wire,
 * sub-panel-bonding, ground-undersized. */
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

#include "facts/conductors.h"
#include "framing/routes.h"
#include "loads/demand.h"
#include "loads/loads.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <math.h>

static struct span cable_span(const struct run *run)
{
    const struct node *clause =
        node_child(run->own_cable ? run->node : run->circuit->node, F_CABLE);
    return clause ? node_span(clause) : node_span(run->node);
}

/* --- feeder-undersized -------------------------------------------------------------------- */

/* The least ampacity of a feeder's cables; 0 where one is not known. */
static double feeder_ampacity(const struct checked *c, const struct circuit *feeder)
{
    double least = 0;
    for (uint32_t i = 0; i < feeder->runs.n; i++) {
        const struct run *run = feeder->runs.at[i];
        const struct cable_def *cable = rules_cable_of(c, run);
        struct lying alone = facts_lying_alone(&c->routes->lying[run->id]);
        double amps = cable ? facts_ampacity(c->model, run, cable, &alone) : 0;
        if (amps <= 0)
            return 0;
        least = least == 0 || amps < least ? amps : least;
    }
    return least;
}

/* A circuit of the panel that is overloaded itself, or that could not be read: then that is said,
 * not what follows from it. */
static bool follows(const struct checked *c, const struct panel *p)
{
    for (uint32_t i = 0; i < p->circuits.n; i++)
        if (!facts_known(p->circuits.at[i], ITS_TEXT) || rules_is_overloaded(c, p->circuits.at[i]))
            return true;
    return false;
}

RULE(feeder_undersized, "feeder-undersized", ERROR, FIRM,
     "a feeder carries what hangs on it, by the load calculation");

static void check_feeder_load(const struct checked *c, const struct circuit *feeder)
{
    struct model *m = c->model;
    double amps = c->loads->of_circuit[feeder->id].calculated_amps,
           ampacity = feeder_ampacity(c, feeder);
    double whole = demand_rounded(&m->code, amps);
    bool thin = ampacity > 0 && whole > ampacity, weak = whole > feeder->breaker;
    if ((!thin && !weak) || !conductors_serve(c, feeder) || follows(c, feeder->feeds))
        return;
    const char *what = weak ? arena_printf(m->arena, "its breaker is %g A", feeder->breaker)
                            : arena_printf(m->arena, "its cable is good for %g A", ampacity);
    struct finding *f =
        circuit_finding(c, &rule_feeder_undersized, feeder,
                        weak ? rules_breaker_span(feeder) : rules_circuit_span(feeder),
                        "%s carries %s A by the load calculation of what hangs on it; %s",
                        rules_circuit_words(c, feeder), rules_amount_words(c, amps, 1), what);
    double enough = rules_rating_at_least(c, whole);
    if (enough > 0)
        diag_mend(m->diag, f,
                  "a feeder of %g A; `studbay report load` with `calculate feeder` shows the steps",
                  enough);
    else
        diag_mend(m->diag, f, "less load");
    if (enough > 0 && enough != feeder->breaker)
        mends_breaker(c, f, feeder, enough);
}

BLIND_SPOT(old_feed, feeder_undersized, "what feeds the old panel", "");
BLIND_SPOT(bonding_screw, sub_panel_bonding, "the bonding screw or strap of panel", "");

static void check_feeder_loads(const struct checked *c)
{
    for (uint32_t i = 0; i < c->model->panels.n; i++) {
        const struct panel *p = c->model->panels.at[i];
        const struct circuit *feeder = p->feeder;
        if (p->existing && !feeder)
            panel_passed(c, old_feed, p);
        if (!p->existing && feeder)
            panel_passed(c, bonding_screw, p);
        if (feeder && c->loads->of_circuit[feeder->id].calculated) {
            looked(c, feeder_undersized);
            check_feeder_load(c, feeder);
        }
    }
}
CHECK(feeder_undersized, .plan = check_feeder_loads);

/* Whether it is the one that its panel goes by: another is an error of its own. */
static bool feeds_panel(const struct circuit *circuit)
{
    return circuit->feeds && circuit->feeds->feeder == circuit;
}

/* --- feeder-four-wire, sub-panel-bonding -------------------------------------------------- */

RULE(feeder_four_wire, "feeder-four-wire", ERROR, FIRM,
     "a feeder brings a neutral beside its two lines");
RULE(sub_panel_bonding, "sub-panel-bonding", ERROR, FIRM,
     "a fed panel has a ground of its own, apart from its neutral");

static void check_feeder_wires(const struct checked *c, const struct circuit *feeder)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < feeder->runs.n && feeds_panel(feeder); i++) {
        const struct run *run = feeder->runs.at[i];
        const struct cable_def *cable = rules_cable_of(c, run);
        if (!cable || !facts_known(run, ITS_TEXT))
            continue;
        struct finding *f = NULL;
        looked(c, feeder_four_wire);
        looked(c, sub_panel_bonding);
        if (cable->conductors < 3 || !cable->whites)
            f = circuit_finding(c, &rule_feeder_four_wire, feeder, cable_span(run),
                                "%s is pulled in %s, which has no neutral beside two lines",
                                rules_circuit_words(c, feeder), cable->name);
        else if (cable->ground == GROUND_NONE)
            f = circuit_finding(c, &rule_sub_panel_bonding, feeder, cable_span(run),
                                "%s is pulled in %s, which has no ground: the grounds of the panel "
                                "could only be joined to its neutral",
                                rules_circuit_words(c, feeder), cable->name);
        if (!f)
            continue;
        diag_mend(m->diag, f, "a cable with two lines, a neutral and a ground");
        mends_leave_out(c, f, false, run->node, F_CABLE);
        return;
    }
}

CHECK(feeder_four_wire, .with = {&rule_sub_panel_bonding},
      .circuit = {check_feeder_wires, ITS_TEXT | ITS_CLAUSES, NEW_WORK});

/* --- ground-undersized -------------------------------------------------------------------- */

RULE(ground_undersized, "ground-undersized", ERROR, FIRM,
     "a ground suits its breaker and grows with its conductors");

/* One finding: of the table, or of the proportion where only that falls short; once for each clause
 * and cable that `said` does not hold yet; `served`: of the last one whose ground did. */
static void check_ground(const struct checked *c, const struct run *run, const struct node *clause,
                         struct map *said, struct conductor_place *served)
{
    struct model *m = c->model;
    const struct conductor_asks *asks = &c->loads->asks[run->circuit->id];
    const struct cable_def *cable = rules_cable_of(c, run);
    const struct lying *lying = &c->routes->lying[run->id];
    double breaker = run->circuit->breaker;
    const char *base = NULL;
    if (!cable || !cable->size || cable->ground == GROUND_NONE || !facts_known(run, ITS_TEXT))
        return;
    looked(c, ground_undersized);
    struct conductor_place here = conductor_place_of(c, run, false);
    if (conductor_places_are_alike(&here, served))
        return;
    if (facts_ground_serves(m, asks, run, cable, lying)) {
        *served = here;
        return;
    }
    void **told = map_at(m->arena, said, (uintptr_t)cable, (uintptr_t)clause);
    if (*told)
        return;
    *told = (void *)run;
    const char *wanted = facts_ground_asked(m, asks, run, cable, lying, &base),
               *least = facts_least_conductor(m, asks, run, cable, lying);
    bool thin = library_gauge_of(cable->ground_size) > library_gauge_of(base);
    struct finding *f = run_finding(
        c, &rule_ground_undersized, run, cable_span(run),
        "the ground of %s is %s AWG, and with %s AWG conductors on a %g A breaker %s AWG is "
        "wanted%s",
        cable->name, cable->ground_size, cable->size, breaker, wanted,
        thin ? ""
             : arena_printf(m->arena,
                            ": %s AWG conductors would do, and the ground grows with them", least));
    if (thin) {
        diag_mend(m->diag, f,
                  "a cable whose ground is %s AWG, or conductors no larger than the breaker asks",
                  wanted);
        mends_leave_out(c, f, false, run->node, F_CABLE);
        return;
    }
    f->article = code_case_article(&m->code, "ground-in-proportion");
    diag_mend(m->diag, f, "%s AWG conductors, or a cable whose ground is %s AWG%s", least, wanted,
              code_yes(&c->model->code, SET_GROUND_SIZE_BY_QUALIFIED_PERSON)
                  ? "; a qualified person may find that this ground suffices (the exception)"
                  : "");
}

static void check_grounds(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->breaker <= 0 || !conductors_serve(c, circuit))
        return;
    const struct node *common = node_child(circuit->node, F_CABLE);
    struct map said = {0};
    struct conductor_place served = {0};
    for (uint32_t k = 0; k < circuit->runs.n; k++) {
        const struct run *run = circuit->runs.at[k];
        if (!run->existing)
            check_ground(c, run, run->own_cable ? node_child(run->node, F_CABLE) : common, &said,
                         &served);
    }
}
CHECK(ground_undersized,
      .circuit = {check_grounds, ITS_TEXT | ITS_CLAUSES | ITS_BREAKER, NEW_WORK});
