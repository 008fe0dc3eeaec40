/* breaker-nonstandard, breaker-overloaded */
#include "facts/conductors.h"
#include "facts/devices.h"
#include "loads/demand.h"
#include "loads/demand_parts.h"
#include "loads/loads.h"
#include "resolve/value.h"
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

double rules_rating_at_most(const struct checked *c, double amps)
{
    return facts_standard_rating(&c->model->code, amps, false);
}

double rules_rating_at_least(const struct checked *c, double amps)
{
    return facts_standard_rating(&c->model->code, amps, true);
}

static bool is_standard(const struct checked *c, double amps)
{
    return rules_rating_at_most(c, amps) == amps;
}

static void say_either(const struct checked *c, struct finding *f, double below, double above)
{
    if (below > 0 && above > 0)
        diag_mend(c->model->diag, f, "%g A or %g A", below, above);
    else if (below > 0 || above > 0)
        diag_mend(c->model->diag, f, "%g A", below > 0 ? below : above);
}

/* The same of the breaker of a circuit, written. */
static void mend_either(const struct checked *c, struct finding *f, const struct circuit *circuit,
                        double below, double above)
{
    say_either(c, f, below, above);
    if (below > 0)
        mends_breaker(c, f, circuit, below);
    if (above > 0)
        mends_breaker(c, f, circuit, above);
}

RULE(breaker_nonstandard, "breaker-nonstandard", ERROR, FIRM, "a breaker has a standard rating");

static void check_main(const struct checked *c, const struct panel *p)
{
    if (p->main <= 0 || !code_table(&c->model->code, LIST_BREAKER_SIZES) || is_standard(c, p->main))
        return;
    const struct node *clause = node_child(p->node, F_MAIN);
    struct span span = clause ? node_span(clause) : node_name_span(p->node);
    struct finding *f =
        panel_finding(c, &rule_breaker_nonstandard, p, span,
                      "the main breaker of panel %s is %g A, which is no standard rating",
                      address_of_panel(c->model->arena, p, true), p->main);
    double below = rules_rating_at_most(c, p->main), above = rules_rating_at_least(c, p->main);
    say_either(c, f, below, above);
    if (clause && below > 0)
        edit_value(rules_way(c, f, false, "main %g A", below), clause, 0,
                   arena_printf(c->model->arena, "%g A", below));
    if (clause && above > 0)
        edit_value(rules_way(c, f, false, "main %g A", above), clause, 0,
                   arena_printf(c->model->arena, "%g A", above));
}

/* What takes current: receptacles, and things with a load; a device of several parts once. */
static uint32_t outlets_on(const struct circuit *circuit, bool *all_heaters)
{
    uint32_t count = 0;
    const struct device *last = NULL;
    *all_heaters = true;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (part->control || part->device == last ||
            (part->load <= 0 && !facts_receptacles_in(part)))
            continue;
        last = part->device;
        count++;
        *all_heaters &=
            demand_class_of(part) == DEMAND_HEAT || demand_class_of(part) == DEMAND_STORAGE_HEAT;
    }
    return count;
}

/* A circuit of more than one outlet has one of a few ratings; of heaters alone, of others too. */
static void check_branch_rating(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct table *t = code_table(&m->code, LIST_BRANCH_RATINGS);
    const char *rating = arena_printf(m->arena, "%g A", circuit->breaker);
    bool heaters;
    if (!t || circuit->feeds || circuit->existing || !facts_known(circuit, ITS_TEXT) ||
        outlets_on(circuit, &heaters) < 2 || code_list_has(&m->code, LIST_BRANCH_RATINGS, rating) ||
        (heaters && code_list_has(&m->code, LIST_HEATING_RATINGS, rating)))
        return;
    double below = 0, above = 0;
    for (uint32_t i = 0; i < t->rows.n; i++) {
        double amps = value_amount(&t->rows.at[i].cells[0], 0);
        below = amps < circuit->breaker && amps > below ? amps : below;
        above = amps > circuit->breaker && (above == 0 || amps < above) ? amps : above;
    }
    struct finding *f =
        circuit_finding(c, &rule_breaker_nonstandard, circuit, rules_breaker_span(circuit),
                        "the breaker of %s is %s, and a circuit that serves more "
                        "than one outlet has no such rating",
                        rules_circuit_words(c, circuit), rating);
    rules_set_article(c, f, t->source);
    mend_either(c, f, circuit, below, above);
}

static void check_rating(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->breaker <= 0 || !code_table(&c->model->code, LIST_BREAKER_SIZES))
        return;
    looked(c, breaker_nonstandard);
    if (is_standard(c, circuit->breaker)) {
        check_branch_rating(c, circuit);
        return;
    }
    struct finding *f =
        circuit_finding(c, &rule_breaker_nonstandard, circuit, rules_breaker_span(circuit),
                        "the breaker of %s is %g A, which is no standard rating",
                        rules_circuit_words(c, circuit), circuit->breaker);
    mend_either(c, f, circuit, rules_rating_at_most(c, circuit->breaker),
                rules_rating_at_least(c, circuit->breaker));
}
CHECK(breaker_nonstandard, .panel = {check_main, ITS_TEXT, NEW_WORK},
      .circuit = {check_rating, ITS_BREAKER});

RULE(breaker_overloaded, "breaker-overloaded", ERROR, FIRM,
     "the connected load stays within the breaker");

/* A range from a size on wants a circuit of a least rating, whatever its demand. */
static void check_range_circuit(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    double from = code_load(&m->code, SET_RANGE_CIRCUIT_FROM, 0),
           least = code_current(&m->code, SET_RANGE_CIRCUIT_AT_LEAST, 0);
    for (uint32_t i = 0; i < circuit->parts.n && circuit->breaker < least; i++) {
        const struct part *part = circuit->parts.at[i];
        if (demand_class_of(part) != DEMAND_RANGE || part->load < from || part->device->existing ||
            !facts_known(part, ITS_TEXT))
            continue;
        struct finding *f = circuit_finding(
            c, &rule_breaker_overloaded, circuit, rules_breaker_span(circuit),
            "%s feeds a range of %s kW, which wants a circuit of %g A or more; its breaker is %g A",
            rules_circuit_words(c, circuit), rules_amount_words(c, part->load / 1000, 2), least,
            circuit->breaker);
        rules_set_article(c, f, code_table(&m->code, TABLE_RANGE_CIRCUIT)->source);
        diag_note(m->diag, f, node_span(part->node), "the range");
        diag_mend(m->diag, f, "a %g A breaker with conductors that suit it", least);
        mends_breaker(c, f, circuit, least);
        return;
    }
}

static void say_overloaded(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct circuit_load *load = &c->loads->of_circuit[circuit->id];
    const char *words = rules_circuit_words(c, circuit),
               *amps = rules_amount_words(c, load->amps, 1),
               *needed = rules_amount_words(c, load->needed_amps, 1);
    struct finding *f;
    if (load->continuous_va > 0 && load->needed_amps > load->amps)
        f = circuit_finding(c, &rule_breaker_overloaded, circuit, rules_circuit_span(circuit),
                            "%s has %s A connected, which counts as %s A with its continuous load "
                            "at %g %%; its breaker is %g A",
                            words, amps, needed,
                            100 * code_share(&m->code, SET_CONTINUOUS_LOAD_FACTOR, 1),
                            circuit->breaker);
    else
        f = circuit_finding(c, &rule_breaker_overloaded, circuit, rules_circuit_span(circuit),
                            "%s has %s A connected; its breaker is %g A", words, needed,
                            circuit->breaker);
    if (circuit->breaker_node)
        diag_note(m->diag, f, rules_breaker_span(circuit), "breaker given here");
    double enough = rules_rating_at_least(c, load->needed_amps);
    if (enough > 0 && rules_receptacles_suit(c, circuit, enough))
        diag_mend(m->diag, f, "less load, or a %g A breaker with conductors that suit it", enough);
    else
        diag_mend(m->diag, f, "less load, or a second circuit");
    if (enough > 0 && rules_receptacles_suit(c, circuit, enough))
        mends_breaker(c, f, circuit, enough);
}

bool rules_is_overloaded(const struct checked *c, const struct circuit *circuit)
{
    bool certain =
        !circuit->feeds && circuit->breaker > 0 && facts_known(circuit, ITS_TEXT | ITS_BREAKER);
    return certain &&
           facts_amps_exceed(c->loads->of_circuit[circuit->id].needed_amps, circuit->breaker);
}

static void check_load(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->breaker > 0 && !circuit->feeds)
        looked(c, breaker_overloaded);
    if (rules_is_overloaded(c, circuit))
        say_overloaded(c, circuit);
    else if (circuit->breaker > 0)
        check_range_circuit(c, circuit);
}
CHECK(breaker_overloaded, .circuit = {check_load, ITS_TEXT | ITS_BREAKER});
