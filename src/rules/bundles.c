/* bundled-cables: cables that lie together without spacing carry less. */
#include "rules/check.h"

#include "wiring/bores.h"

/* Conductors of a cable that warm it: lines, legs, and the neutral unless it carries only the difference of two lines. Of each pair of travelers one. */
static uint32_t current_carrying(const struct checked *c, const struct run *run)
{
    const struct run_wiring *w = &c->wiring->of_run[run->id];
    uint32_t lines = 0, neutrals = 0, travelers = 0;
    for (uint8_t i = 0; w->conductors && i < w->count; i++) {
        const struct net *net = w->conductors[i].net;
        if (!net || net->sort == N_GROUND || net->sort == N_INTERCONNECT)
            continue;
        if (net->sort == N_NEUTRAL)
            neutrals++;
        else if (net->sort == N_TRAVELER)
            travelers++;
        else
            lines++;
    }
    bool shared = run->circuit && (run->circuit->multiwire || run->circuit->two_pole) && neutrals == 1 && lines >= 2;
    return lines + (travelers + 1) / 2 + (shared ? 0 : neutrals);
}

static double factor_for(const struct checked *c, uint32_t conductors)
{
    struct code *code = &c->model->code;
    struct table *t = code_table(code, "adjustment");
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double from = value_amount(row_cell(code, t, &t->rows.at[i], "from"), 0), to = value_amount(row_cell(code, t, &t->rows.at[i], "to"), 1e9);
        if (conductors >= from && conductors <= to)
            return value_amount(row_cell(code, t, &t->rows.at[i], "factor"), 1);
    }
    return 1;
}

static uint32_t receptacles_on(const struct circuit *circuit)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < circuit->parts.n; i++)
        count += receptacles_in(circuit->parts.at[i]);
    return count;
}

/* The breaker that an ampacity allows on a circuit: the next standard rating where that is allowed. */
static double allowed(const struct checked *c, const struct circuit *circuit, double ampacity)
{
    struct code *code = &c->model->code;
    const char *several = code_word(code, "next-size-up", "several-receptacles");
    double next = rating_at_least(c, ampacity);
    bool barred = receptacles_on(circuit) > 1 && several && several[0] == 'n';
    return next > 0 && next <= code_setting(code, "next-size-up", "up-to", 0) && !barred ? next : ampacity;
}

static void check_run(const struct checked *c, const struct run *run)
{
    struct model *m = c->model;
    const struct bundle *bundle = &c->bores->of_run[run->id];
    const struct cable_def *cable = c->wiring->of_run[run->id].cable;
    const struct circuit *circuit = run->circuit;
    if (!bundle->bore || !cable || !cable->size || !circuit || circuit->broken || circuit->breaker <= 0 || node_broken(run->node))
        return;
    uint32_t conductors = 0;
    for (uint32_t i = 0; i < bundle->bore->run_count; i++)
        conductors += current_carrying(c, bundle->bore->runs[i]);
    double factor = factor_for(c, conductors), full = code_ampacity(&m->code, cable->metal, cable->size, cable->rated);
    double adjusted = factor * code_ampacity(&m->code, cable->metal, cable->size, cable->adjusted_from);
    if (full <= 0 || adjusted <= 0 || adjusted >= full || !conductors_serve(c, circuit))
        return;
    bool fails = allowed(c, circuit, adjusted) < circuit->breaker;
    const char *where = bundle->sealed ? bundle->bore->passed->member == MEMBER_PLATE ? "through one plate" : "in insulation" : arena_printf(m->arena, "for %s ft without spacing", amount_words(c, length_feet(bundle->length), 1));
    struct finding *f = model_finding(m, R_BUNDLED, run->from_span, circuit->unit, run_address(m->arena, run, false),
                                      "run %s lies with %u other cable%s %s: %u current-carrying conductors leave its %s good for %s A%s", run_address(m->arena, run, true),
                                      bundle->bore->run_count - 1, bundle->bore->run_count == 2 ? "" : "s", where, conductors, conductor_words(c, cable),
                                      amount_words(c, adjusted, 1), fails ? arena_printf(m->arena, ", and the breaker is %g A", circuit->breaker) : "");
    f->severity = fails ? ERROR : NOTE;
    if (fails)
        diag_mend(m->diag, f, "another way for one of them, 'via overhead' say, so that fewer lie together, or a larger cable");
}

void check_bundles(const struct checked *c)
{
    for (uint32_t i = 0; i < c->model->runs.n; i++)
        check_run(c, c->model->runs.at[i]);
}
