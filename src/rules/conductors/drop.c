/* voltage-drop: once a circuit, at the box that loses most. A warning where the circuit asks a
 * `drop` and cannot have it, else advice. */
#include "facts/conductors.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "rules/conductors/conductors.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

#include <string.h>

/* The limits in per cent; a circuit's own target stands in place of what is advised. */
struct limits {
    double branch, total;
    bool own; /* the branch's is the circuit's own target */
};

static struct limits limits_of(const struct checked *c, const struct circuit *circuit)
{
    struct limits l = {
        .branch = 100 * code_share(&c->model->code, SET_VOLTAGE_DROP_BRANCH, 0),
        .total = 100 * code_share(&c->model->code, SET_VOLTAGE_DROP_TOTAL, 0),
    };
    l.own = circuit->drop_target > 0;
    if (l.own)
        l.branch = 100 * circuit->drop_target;
    return l;
}

static double branch_percent(const struct drop *d)
{
    return d->design_percent > d->percent ? d->design_percent : d->percent;
}

/* The smallest resistance among the circuit's cables: what larger conductors save is never reckoned
 * above the truth by it. */
static double least_resistance(const struct checked *c, const struct circuit *circuit)
{
    double least = 0;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct cable_def *cable = rules_cable_of(c, circuit->runs.at[i]);
        double ohm = cable ? resistance_of_cable(c->model, cable) : 0;
        if (ohm > 0 && (least == 0 || ohm < least))
            least = ohm;
    }
    return least;
}

/* Why a cable cannot be pulled on all of a circuit: "no terminal of it takes 8 AWG"; NULL: it can.
 */
static const char *why_not(const struct checked *c, const struct circuit *circuit,
                           const struct cable_def *cable)
{
    const struct conductor_asks *asks = &c->loads->asks[circuit->id];
    const struct run *run = circuit->runs.at[0];
    struct arena *a = c->model->arena;
    if (cable->gauge < asks->thickest)
        return arena_printf(a, "its terminals do not take %s AWG", cable->size);
    if (!facts_ground_serves(c->model, asks, run, cable, &c->routes->lying[run->id]))
        return arena_printf(
            a, "the ground of %s is too small beside such conductors on its breaker", cable->name);
    return NULL;
}

/* With the target written and no cable: they are chosen to keep it. */
static void mend_larger(const struct checked *c, struct finding *f, const struct circuit *circuit,
                        double percent)
{
    if (circuit->drop_target > 0) {
        mends_cables_left_out(c, f, circuit);
        return;
    }
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *r = circuit->runs.at[i];
        bool old = r->existing || (r->from.box && r->from.box->existing) ||
                   (r->to.box && r->to.box->existing);
        if (r->declared || r->raceway || old)
            return;
    }
    if (circuit_poles(circuit) > 1) /* the lines of one may not come to the same */
        return;
    const char *text =
        arena_printf(c->model->arena, "drop %s %%", rules_amount_words(c, percent, 2));
    edit_clause(rules_way(c, f, false, "%s", text), circuit->node, F_DROP, text);
}

/* The first size that keeps the limits if all of the circuit is pulled in it and may be; else what
 * a builder does where thicker wire is no way out. */
static void say_larger(const struct checked *c, const struct circuit *circuit, const struct drop *d,
                       struct limits l, struct finding *f)
{
    const struct cable_def *cable = circuit->runs.n ? rules_cable_of(c, circuit->runs.at[0]) : NULL;
    double now = branch_percent(d), least = least_resistance(c, circuit);
    const char *why = NULL;
    if (circuit->upstream > 0 || least <= 0)
        cable = NULL; /* what is in the wall cannot be enlarged */
    while (cable && !why && (cable = rules_next_larger_cable(c, cable))) {
        double then = now * resistance_of_cable(c->model, cable) / least;
        if (then <= 0 || then > l.branch || d->feeder_percent + then > l.total)
            continue;
        why = why_not(c, circuit, cable);
        if (why)
            break;
        diag_mend(c->model->diag, f, "%s AWG all the way loses %s %%", cable->size,
                  rules_amount_words(c, then, 1));
        mend_larger(c, f, circuit, l.branch);
        return;
    }
    diag_mend(c->model->diag, f, "%s%s%s, or less load%s", why ? why : "", why ? "; " : "",
              circuit->runs.n > 1
                  ? "feed the chain in its middle instead of at its end, share what is on "
                    "it among two circuits"
                  : "a panel that is nearer",
              d->feeder_percent > 0 ? "; larger conductors in the feeder help too" : "");
}

/* A share with as many places as set it apart from its limit. */
static const char *share_words(const struct checked *c, double share, double limit)
{
    int places = 1;
    while (places < 3 &&
           !strcmp(rules_amount_words(c, share, places), rules_amount_words(c, limit, places)))
        places++;
    return rules_amount_words(c, share, places);
}

/* Whether nobody knows how long its runs are, as a box of it stands where its room has no place for
 * it, say. */
static bool is_somewhere(const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->runs.n; i++)
        if (!facts_known(circuit->runs.at[i], ITS_WAY))
            return true;
    return false;
}

RULE(voltage_drop, "voltage-drop", WARNING, WAIVABLE,
     "the voltage at the last outlet stays close to the panel's");

static void check_circuit(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct drop *d = c->loads->worst[circuit->id];
    if (!d || is_somewhere(circuit))
        return;
    struct limits l = limits_of(c, circuit);
    double branch = branch_percent(d), total = branch + d->feeder_percent;
    bool far = d->feeder_percent > 0 && total > l.total;
    if (l.branch <= 0 || (branch <= l.branch && !far) || !conductors_serve(c, circuit))
        return;
    bool feeder = branch <= l.branch;
    const char *load =
        d->design_percent > d->percent
            ? arena_printf(
                  m->arena, "%s A drawn there",
                  rules_amount_words(
                      c, circuit->breaker * code_share(&m->code, SET_VOLTAGE_DROP_DESIGN_LOAD, 0),
                      1))
            : "the connected load";
    struct finding *f = circuit_finding(
        c, &rule_voltage_drop, circuit, rules_circuit_span(circuit),
        "at %s, %s ft from the panel, %s loses %s %% with %s%s; %s %% is %s",
        address_of_box(m->arena, d->box, true), rules_amount_words(c, d->feet, 0),
        rules_circuit_words(c, circuit),
        share_words(c, feeder ? total : branch, feeder ? l.total : l.branch), load,
        feeder ? ", feeder included" : "", rules_amount_words(c, feeder ? l.total : l.branch, 1),
        l.own && !feeder ? "its target" : "advised");
    if (!l.own || feeder)
        f->severity = NOTE;
    diag_note(m->diag, f, node_name_span(d->box->node), "the box that loses most");
    say_larger(c, circuit, d, l, f);
}

CHECK(voltage_drop, .circuit = {check_circuit, ITS_TEXT | ITS_CABLE});
