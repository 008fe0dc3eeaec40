/* existing-unknown: what is there, what new work hangs on, and what the plan does not tell. Each
 * says what has to be looked for. */
#include "base/map.h"
#include "facts/existing.h"
#include "loads/panel.h"
#include "model/site.h"
#include "rules/check.h"
#include "wiring/wiring.h"

RULE(existing_unknown, "existing-unknown", WARNING, WAIVABLE,
     "what new work needs of old wiring is known before it is begun");

BLIND_SPOT(old_cable, existing_unknown, "the cable of the old run", "");
BLIND_SPOT(old_box, existing_unknown, "what is marked in the old box", "");
BLIND_SPOT(old_breaker, existing_unknown, "the breaker of the old circuit", "");

/* Something new goes into a panel: a breaker, or one whose space studbay has to find. */
static bool gets_breaker(const struct checked *c, const struct panel *p, bool found)
{
    for (uint32_t i = 0; p && i < p->circuits.n; i++)
        if (!p->circuits.at[i]->existing &&
            (!found || c->panels->of_circuit[p->circuits.at[i]->id].found))
            return true;
    return false;
}

/* An old feeder on which a new circuit hangs: what it carries is judged by its cable and its
 * breaker. */
static bool is_loaded_anew(const struct checked *c, const struct circuit *circuit)
{
    return circuit->feeds && circuit->feeds->feeder == circuit &&
           gets_breaker(c, circuit->feeds, false);
}

/* --- cables ------------------------------------------------------------------------------- */

/* Whether new work has brought a conductor into an old run: a leg or traveler with a new switch or
 * load on it, what joins alarms. */
static bool carries_new(const struct run_wiring *w)
{
    for (uint8_t i = 0; i < w->count; i++) {
        const struct net *n = w->conductors[i].net;
        if (n->leg ? facts_leg_is_worked_on(n->leg)
                   : n->sort == N_INTERCONNECT && facts_is_worked_on(n->circuit))
            return true;
    }
    return false;
}

static bool needs_looking_at(const struct checked *c, const struct run *run,
                             const struct run_wiring *w)
{
    enum { ANY_CABLE_HAS = 2 };
    return is_loaded_anew(c, run->circuit) || facts_gets_cable(run->from.box, run->circuit) ||
           facts_gets_cable(run->to.box, run->circuit) ||
           (w->used > ANY_CABLE_HAS && carries_new(w));
}

static const char *nets(const struct checked *c, const struct run_wiring *w)
{
    const char *text = "";
    for (uint8_t i = 0; i < w->count; i++)
        text = arena_printf(c->model->arena, "%s%s%s", text, i ? ", " : "",
                            w->conductors[i].net->name);
    return text;
}

static void check_cable(const struct checked *c, const struct run *run)
{
    const struct run_wiring *w = &c->wiring->of_run[run->id];
    if (!run->existing || !run->circuit || !w->used || !needs_looking_at(c, run, w))
        return;
    looked(c, existing_unknown);
    if (run->cable_unsaid)
        diag_passed(c->model->diag, &blind_old_cable, address_of_run(c->model->arena, run, true));
    if (!facts_cable_untold(run) || run->cable_unsaid)
        return;
    struct finding *f = run_finding(
        c, &rule_existing_unknown, run,
        run->circuit->feeds   ? node_word_span(run->node)
        : run->to_span.source ? run->to_span
                              : node_span(run->node),
        "%s is there already and its cable is not told; it needs %u insulated conductor%s and a "
        "ground (%s)%s",
        run->circuit->feeds
            ? rules_circuit_words(c, run->circuit)
            : arena_printf(c->model->arena, "run %s", address_of_run(c->model->arena, run, true)),
        w->used, w->used == 1 ? "" : "s", nets(c, w),
        run->circuit->feeds ? "; a new circuit hangs on it" : "");
    diag_mend(c->model->diag, f,
              "look how many conductors there are, of what size, and whether one is a ground; "
              "write its 'cable'");
}

/* --- boxes -------------------------------------------------------------------------------- */

/* A new fan hangs from it, or a new luminaire. */
static bool carries_weight(const struct box *b)
{
    for (uint32_t i = 0; i < b->device_count; i++) {
        const struct device *d = b->devices[i];
        if (!d->existing && d->def->fan_box)
            return true;
    }
    return false;
}

/* An old circuit comes into the box by a cable that is not drawn, and what of it is in there is not
 * said. */
static bool holds_untold(const struct box *b)
{
    for (uint32_t i = 0; i < b->runs.n; i++)
        if (b->runs.at[i]->circuit->root == b && !b->held.n &&
            facts_known(b->runs.at[i]->circuit, ITS_FEED))
            return true;
    return false;
}

static const char *needs_of_box(const struct checked *c, const struct box *b, bool contents)
{
    const struct fill *fill = &c->wiring->of_box[b->id];
    if (carries_weight(b))
        return "a fan hangs from it";
    return contents || fill->untold || fill->required <= 0
               ? "new cable ends in it"
               : arena_printf(c->model->arena, "with the new cable it needs %s in3",
                              rules_amount_words(c, fill->required, 2));
}

static void check_box(const struct checked *c, const struct box *b)
{
    bool cable = facts_gets_cable(b, NULL), weight = carries_weight(b);
    if (!b->existing || b->compartment || (!cable && !weight))
        return;
    bool type = facts_type_untold(b) && !b->type_unsaid, contents = cable && holds_untold(b);
    looked(c, existing_unknown);
    if (b->type_unsaid)
        box_passed(c, old_box, b);
    if (!type && !contents)
        return;
    struct finding *f =
        box_finding(c, &rule_existing_unknown, b, "box %s is there already and %s not told; %s",
                    address_of_box(c->model->arena, b, true),
                    type && contents ? "its type and what it holds are"
                    : type           ? "its type is"
                                     : "what it holds is",
                    needs_of_box(c, b, contents));
    diag_mend(c->model->diag, f, "look %s%s%s; write %s%s%s",
              type ? weight ? "whether it is listed for a fan" : "what volume is marked in it" : "",
              type && contents ? " and " : "",
              contents ? "what conductors and grounds are in it" : "", type ? "its 'type'" : "",
              type && contents ? ", " : "", contents ? "'holds' and 'grounds'" : "");
}

/* --- breakers and their spaces ------------------------------------------------------------ */

/* Where the old breaker stands is not told, and it matters: it is turned off for new work on its
 * circuit, or a new one must not be put there. A feeder is named by no number: it matters where a
 * space is looked for. */
static bool space_is_wanted(const struct checked *c, const struct circuit *circuit)
{
    return circuit->panel && !circuit->space &&
           ((!circuit->feeds && facts_is_worked_on(circuit)) ||
            gets_breaker(c, circuit->panel, circuit->feeds != NULL));
}

static void say_breaker(const struct checked *c, const struct circuit *circuit, bool breaker,
                        bool space)
{
    struct arena *arena = c->model->arena;
    const char *why = circuit->feeds && breaker ? "a new circuit hangs on it"
                      : facts_is_worked_on(circuit)
                          ? "new work hangs on it"
                          : arena_printf(arena, "a new breaker goes into panel %s",
                                         address_of_panel(arena, circuit->panel, true));
    struct finding *f =
        circuit_finding(c, &rule_existing_unknown, circuit, rules_circuit_span(circuit),
                        "%s is there already and %s not told; %s", rules_circuit_words(c, circuit),
                        breaker && space ? "its breaker and its space are"
                        : breaker        ? "its breaker is"
                                         : "its space is",
                        why);
    diag_mend(c->model->diag, f, "look %s%s%s; write its %s",
              space ? "which handle turns it off" : "", breaker && space ? ", and " : "",
              breaker ? "what stands on its handle, whether it has one pole or two and whether it "
                        "has a test button"
                      : "",
              breaker && space ? "'breaker' and 'space'"
              : breaker        ? "'breaker'"
                               : "'space'");
}

static void check_breaker(const struct checked *c, const struct circuit *circuit)
{
    if (!circuit->existing)
        return;
    bool worked_on = circuit->feeds ? is_loaded_anew(c, circuit) : facts_is_worked_on(circuit),
         space = space_is_wanted(c, circuit);
    if (!worked_on && !space)
        return;
    looked(c, existing_unknown);
    if (worked_on && circuit->breaker_unsaid)
        diag_passed(c->model->diag, &blind_old_breaker,
                    address_of_circuit(c->model->arena, circuit, true));
    bool breaker = worked_on && facts_breaker_untold(circuit) && !circuit->breaker_unsaid;
    if (breaker || space)
        say_breaker(c, circuit, breaker, space);
}

/* --- what a target of the voltage drop hangs on -------------------------------------------- */

/* Marks the runs of a circuit, by their place in it, that something new hangs behind. */
static bool *runs_before_new(struct arena *scratch, const struct circuit *circuit)
{
    bool *before = arena_array(scratch, bool, circuit->runs.n + 1);
    struct map into = {0}; /* by box the run that brings it its feed */
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        if (run->in_tree && run->to.box)
            map_put(scratch, &into, run->to.box->id, 1, (void *)&circuit->runs.at[i]);
    }
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        const struct box *b = run->existing ? NULL : run->from.box;
        struct run **at = b ? map_get(&into, b->id, 1) : NULL;
        while (at && !before[at - circuit->runs.at]) {
            before[at - circuit->runs.at] = true;
            at = (*at)->from.box ? map_get(&into, (*at)->from.box->id, 1) : NULL;
        }
    }
    return before;
}

/* A circuit that has a drop to keep: what the new cable may lose hangs on all old cable before it.
 * One finding, at the first run of which nobody else asks; the others are its notes. */
static void check_drop(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->drop_target <= 0 || !circuit->is_tree || !facts_is_worked_on(circuit))
        return;
    struct model *m = c->model;
    struct arena scratch = {.out_of_memory = m->arena->out_of_memory};
    const bool *before = runs_before_new(&scratch, circuit);
    struct finding *f = NULL;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        if (!before[i] || !run->existing || run->cable_unsaid || !facts_cable_untold(run) ||
            !facts_known(run, ITS_TEXT | ITS_BOXES) ||
            needs_looking_at(c, run, &c->wiring->of_run[run->id]))
            continue;
        struct span at = run->to_span.source ? run->to_span : node_span(run->node);
        if (f) {
            diag_note(m->diag, f, at, "and run %s", address_of_run(m->arena, run, true));
            continue;
        }
        f = run_finding(c, &rule_existing_unknown, run, at,
                        "run %s is there already and its cable is not told; %s has a drop to keep, "
                        "and new work hangs behind it",
                        address_of_run(m->arena, run, true), rules_circuit_words(c, circuit));
    }
    diag_mend(m->diag, f, "look of what size its conductors are; write its 'cable'");
    arena_free(&scratch);
    if (!circuit->root || circuit->upstream > 0)
        return;
    f = circuit_finding(c, &rule_existing_unknown, circuit, rules_circuit_span(circuit),
                        "%s has a drop to keep, and the cable from its panel to %s is not told",
                        rules_circuit_words(c, circuit),
                        address_of_box(m->arena, circuit->root, true));
    diag_mend(m->diag, f, "measure it and look of what size it is; write its 'upstream'");
}

static void check_circuit(const struct checked *c, const struct circuit *circuit)
{
    check_breaker(c, circuit);
    check_drop(c, circuit);
}

CHECK(existing_unknown, .run = {check_cable, ITS_TEXT | ITS_BOXES}, .box = {check_box, ITS_TEXT},
      .circuit = {check_circuit, ITS_TEXT | ITS_CLAUSES});
