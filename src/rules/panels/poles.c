/* Rules about the poles of breakers: breaker-poles, multiwire-disconnect, multiwire-same-phase,
 * breaker-two-wires; and disconnect-missing. */
#include "facts/devices.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

/* What of a circuit must be known before these rules speak of it. */
enum { NEEDS = ITS_TEXT | ITS_BREAKER | ITS_CLAUSES };

/* --- breaker-poles ------------------------------------------------------------------------ */

static bool breaks_both_lines(const struct circuit *circuit)
{
    return circuit->two_pole || circuit->tied || circuit->feeds;
}

RULE(breaker_poles, "breaker-poles", ERROR, FIRM,
     "what takes both lines has a breaker of two poles");

static void check_poles(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    if (circuit->breaker <= 0 || breaks_both_lines(circuit))
        return;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (part->volts <= m->volts || !facts_known(part, ITS_TEXT) || part->device->existing)
            continue;
        struct finding *f = circuit_finding(
            c, &rule_breaker_poles, circuit, rules_breaker_span(circuit),
            "%s feeds the %s in %s, which takes both lines; its breaker has one pole",
            rules_circuit_words(c, circuit), part->device->def->name,
            address_of_box(m->arena, part->device->box, true));
        diag_note(m->diag, f, node_span(part->node), "the %g V device", part->volts);
        diag_mend(m->diag, f, "'two-pole'");
        mends_two_pole(c, f, circuit);
        return;
    }
}

/* A load from one line to the neutral. */
static const struct device *on_one_line(const struct checked *c, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (facts_is_outlet(part) && part->volts == c->model->volts &&
            facts_known(part, ITS_TEXT) && !part->device->existing)
            return part->device;
    }
    return NULL;
}

/* Two poles for what takes one line: either they are meant for two lines that share a neutral, or
 * one pole is enough. It can be wired and works, so that it is a warning. */
static void check_multiwire(const struct checked *c, const struct circuit *circuit)
{
    bool two = circuit->two_pole && !circuit->multiwire && !circuit->feeds;
    const struct device *d = two ? on_one_line(c, circuit) : NULL;
    if (!d)
        return;
    struct finding *f =
        circuit_finding(c, &rule_breaker_poles, circuit, rules_breaker_span(circuit),
                        "%s has a breaker of two poles, and its %s in %s takes one line and the "
                        "neutral; that two lines share a neutral is not said",
                        rules_circuit_words(c, circuit), d->def->name,
                        address_of_box(c->model->arena, d->box, true));
    if (f)
        f->severity = WARNING;
    diag_note(c->model->diag, f, node_span(d->node), "the %g V device", c->model->volts);
    diag_mend(c->model->diag, f, "'multiwire' on the circuit, or a circuit of one pole for it");
    edit_clause(rules_way(c, f, false, "'multiwire' on the circuit"), circuit->node, F_MULTIWIRE,
                "multiwire");
}

static void check_all_poles(const struct checked *c, const struct circuit *circuit)
{
    check_poles(c, circuit);
    check_multiwire(c, circuit);
}
CHECK(breaker_poles, .circuit = {check_all_poles, NEEDS});

/* --- multiwire ---------------------------------------------------------------------------- */

RULE(multiwire_disconnect, "multiwire-disconnect", ERROR, FIRM,
     "lines that share a neutral are switched off together");

static void check_ties(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->multiwire && circuit->breaker_node)
        looked(c, multiwire_disconnect);
    if (!circuit->multiwire || circuit->two_pole || circuit->tied || !circuit->breaker_node)
        return;
    struct finding *f = circuit_finding(
        c, &rule_multiwire_disconnect, circuit, rules_breaker_span(circuit),
        "the two lines of %s share a neutral, and its breakers are not switched off together",
        rules_circuit_words(c, circuit));
    bool protects = circuit->afci || circuit->gfci || circuit->dual_function;
    if (protects)
        diag_note(c->model->diag, f, node_span(circuit->breaker_node),
                  "each of two single ones that protect would see the other's current and trip");
    diag_mend(c->model->diag, f,
              protects ? "'two-pole'"
                       : "'two-pole', or 'tied' for two single ones with a handle tie");
    mends_two_pole(c, f, circuit);
    if (!protects)
        edit_clause(rules_way(c, f, false, "'tied'"), circuit->breaker_node, F_TIED, "tied");
}
CHECK(multiwire_disconnect, .circuit = {check_ties, NEEDS});

RULE(multiwire_same_phase, "multiwire-same-phase", ERROR, FIRM,
     "lines that share a neutral are not the same line");

/* A tie joins handles that lie beside each other. Below the upper half of a space that is its lower
 * half, on the same line: then the neutral would carry the sum of both lines, not their difference.
 * Below the lower half it is the upper one of the next space, on the other line. */
static void check_lines(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->multiwire && circuit->panel)
        looked(c, multiwire_same_phase);
    if (!circuit->multiwire || circuit->two_pole || !circuit->tied || !circuit->panel ||
        !circuit->panel->half_size || circuit->half != HALF_UPPER)
        return;
    struct finding *f = circuit_finding(
        c, &rule_multiwire_same_phase, circuit, rules_breaker_span(circuit),
        "the two lines of %s share a neutral, and a tie joins its upper half-size breaker to the "
        "lower one of the same space, on the same line",
        rules_circuit_words(c, circuit));
    diag_mend(
        c->model->diag, f,
        "'half lower', whose neighbour is in the next space, on the other line, or 'two-pole'");
    edit_clause(rules_way(c, f, false, "'half lower'"), circuit->node, F_CIRCUIT_HALF,
                "half lower");
    mends_two_pole(c, f, circuit);
}
CHECK(multiwire_same_phase, .circuit = {check_lines, NEEDS});

/* --- breaker-two-wires -------------------------------------------------------------------- */

static bool at_panel(const struct run *run, const struct panel *p)
{
    return run->from.panel == p || run->to.panel == p;
}

/* The second cable that leaves the panel for a circuit, or NULL. The cables of one hop (`cable A +
 * B`) are one. */
static const struct run *second_home_run(const struct circuit *circuit)
{
    const struct run *first = NULL;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        bool wrong = !run->in_tree || (run->circuit != circuit && !circuit->is_tree);
        if (wrong || !at_panel(run, circuit->panel)) /* what closes a loop is told already */
            continue;
        bool same_hop =
            first && first->node == run->node && first->from_span.off == run->from_span.off;
        if (first && !same_hop)
            return run;
        first = first ? first : run;
    }
    return NULL;
}

RULE(breaker_two_wires, "breaker-two-wires", WARNING, FIRM, "a breaker holds one wire");

static void check_wires(const struct checked *c, const struct circuit *circuit)
{
    const struct run *second = circuit->panel && !circuit->feeds ? second_home_run(circuit) : NULL;
    if (!second || c->wiring->through_panel[circuit->id]) /* leg-through-panel says it */
        return;
    struct finding *f = circuit_finding(
        c, &rule_breaker_two_wires, circuit, node_span(second->node),
        "%s leaves the panel in more than one cable: its breaker would hold two wires",
        rules_circuit_words(c, circuit));
    diag_mend(c->model->diag, f,
              "splice them in the first box, or read whether the breaker is marked for two wires");
}
CHECK(breaker_two_wires, .circuit = {check_wires, NEEDS, NEW_WORK});

/* --- disconnect-missing ------------------------------------------------------------------- */

static double feet_between(struct place3 a, struct place3 b)
{
    double x = length_feet(a.x - b.x), y = length_feet(a.y - b.y), z = length_feet(a.z - b.z);
    return sqrt(x * x + y * y + z * z);
}

/* In sight: in the same room, within the distance of the book. A switch on its circuit, or the
 * panel. */
static bool in_sight(const struct checked *c, const struct part *part, double within)
{
    const struct box *box = part->device->box;
    const struct circuit *circuit = part->circuit;
    if (circuit->panel && circuit->panel->room == box->room &&
        feet_between(circuit->panel->place.at, box->place.at) <= within)
        return true;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct box *other = circuit->parts.at[i]->device->box;
        if (other->room == box->room &&
            facts_device_in_list(c->model, circuit->parts.at[i]->device->def,
                                 LIST_DISCONNECT_DEVICES) &&
            feet_between(other->place.at, box->place.at) <= within)
            return true;
    }
    return false;
}

RULE(disconnect_missing, "disconnect-missing", ERROR, WAIVABLE,
     "what must be switched off in sight has a disconnect there");

BLIND_SPOT(breaker_lock, disconnect_missing,
           "a lock on the breaker, or another means of disconnection, for what is in", "");

static void check_disconnect(const struct checked *c, const struct table *t,
                             const struct part *part, double within)
{
    struct model *m = c->model;
    const struct table_row *row = facts_device_row(part->device->def, t);
    const char *how = row ? code_cell_word(&m->code, COL_DISCONNECTS_BREAKER, row->key) : NULL,
               *article = row ? code_cell_cite(&m->code, COL_DISCONNECTS_ARTICLE, row->key) : NULL;
    const struct box *box = part->device->box;
    if (!how || in_sight(c, part, within)) {
        if (how)
            looked(c, disconnect_missing);
        return;
    }
    if (strcmp(how, "in-sight") != 0) {
        box_passed(c, breaker_lock, box);
        return;
    }
    looked(c, disconnect_missing);
    struct finding *f =
        box_finding_at(c, &rule_disconnect_missing, box, node_span(part->node),
                       "the %s in %s has no disconnect in sight, within %s ft in the same room",
                       part->device->def->name, address_of_box(m->arena, box, true),
                       rules_amount_words(c, within, 1));
    rules_set_article(c, f, article);
    diag_mend(m->diag, f, "a box with 'disconnect onward' beside it, on the run that feeds it");
}

static void check_disconnects(const struct checked *c, const struct device *d)
{
    const struct table *t = code_table(&c->model->code, TABLE_DISCONNECTS);
    double within = length_feet(code_length(&c->model->code, SET_DISCONNECTS_IN_SIGHT, 0));
    for (uint32_t k = 0; t && k < d->part_count; k++)
        if (d->parts[k].circuit && !d->parts[k].control &&
            facts_known(d->parts[k].circuit, ITS_FEED)) /* else a disconnect may be among it */
            check_disconnect(c, t, &d->parts[k], within);
}
CHECK(disconnect_missing, .device = {check_disconnects, ITS_TEXT, NEW_WORK});
