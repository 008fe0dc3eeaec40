/* breaker-nonstandard, breaker-overloaded */
#include "rules/check.h"

static bool is_standard(const struct checked *c, double amps)
{
    return rating_at_most(c, amps) == amps;
}

static void say_nearest(const struct checked *c, struct finding *f, double amps)
{
    double below = rating_at_most(c, amps), above = rating_at_least(c, amps);
    if (below > 0 && above > 0)
        diag_mend(c->model->diag, f, "%g A or %g A", below, above);
    else if (below > 0 || above > 0)
        diag_mend(c->model->diag, f, "%g A", below > 0 ? below : above);
}

static void check_main(const struct checked *c, const struct panel *p)
{
    if (p->existing || p->main <= 0 || node_broken(p->node) || is_standard(c, p->main))
        return;
    const struct node *clause = node_child(p->node, F_MAIN);
    struct span span = clause ? node_span(clause) : node_name_span(p->node);
    struct finding *f = model_finding(c->model, R_BREAKER_NONSTANDARD, span, p->unit, panel_address(c->model->arena, p, false),
                                      "the main breaker of panel %s is %g A, which is no standard rating", panel_address(c->model->arena, p, true), p->main);
    say_nearest(c, f, p->main);
}

void check_breaker_ratings(const struct checked *c)
{
    const struct model *m = c->model;
    if (!code_table(&c->model->code, "breaker-sizes"))
        return;
    for (uint32_t i = 0; i < m->panels.n; i++)
        check_main(c, m->panels.at[i]);
    for (uint32_t i = 0; i < m->circuits.n; i++) {
        const struct circuit *circuit = m->circuits.at[i];
        if (circuit->breaker <= 0 || node_broken(circuit->breaker_node) || is_standard(c, circuit->breaker))
            continue;
        struct finding *f = circuit_finding(c, R_BREAKER_NONSTANDARD, circuit, breaker_span(circuit), "the breaker of %s is %g A, which is no standard rating",
                                            circuit_words(c, circuit), circuit->breaker);
        say_nearest(c, f, circuit->breaker);
    }
}

static void overloaded(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct circuit_load *load = &c->loads->of_circuit[circuit->id];
    const char *words = circuit_words(c, circuit), *amps = amount_words(c, load->amps, 1), *needed = amount_words(c, load->needed_amps, 1);
    struct finding *f;
    if (load->continuous_va > 0 && load->needed_amps > load->amps)
        f = circuit_finding(c, R_BREAKER_OVERLOADED, circuit, circuit_span(circuit),
                            "%s has %s A connected, which counts as %s A with its continuous load at %g %%; its breaker is %g A", words, amps, needed,
                            100 * code_setting(&m->code, "continuous-load", "factor", 1), circuit->breaker);
    else
        f = circuit_finding(c, R_BREAKER_OVERLOADED, circuit, circuit_span(circuit), "%s has %s A connected; its breaker is %g A", words, needed,
                            circuit->breaker);
    if (circuit->breaker_node)
        diag_note(m->diag, f, breaker_span(circuit), "breaker given here");
    double enough = rating_at_least(c, load->needed_amps);
    if (enough > 0)
        diag_mend(m->diag, f, "less load, or a %g A breaker with conductors that suit it", enough);
    else
        diag_mend(m->diag, f, "less load, or a second circuit");
}

/* Half a thousandth of an ampere is no overload: 24 A at 125 % on 30 A. */
bool is_overloaded(const struct checked *c, const struct circuit *circuit)
{
    bool certain = !circuit->feeds && !circuit->broken && circuit->breaker > 0 && !node_broken(circuit->breaker_node);
    return certain && c->loads->of_circuit[circuit->id].needed_amps > circuit->breaker + 0.0005;
}

void check_breaker_loads(const struct checked *c)
{
    const struct model *m = c->model;
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (is_overloaded(c, m->circuits.at[i]))
            overloaded(c, m->circuits.at[i]);
}
