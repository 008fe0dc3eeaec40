/* bundled-cables: cables that lie together without spacing carry less. */
#include "rules/conductors/conductors.h"

#include "facts/conductors.h"
#include "framing/routes.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

/* Conductors of a cable that warm it: lines, legs, and the neutral unless it carries only the
 * difference of two lines. Of each pair of travelers one. */
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
    bool shared = run->circuit && (run->circuit->multiwire || run->circuit->two_pole) &&
                  neutrals == 1 && lines >= 2;
    return lines + (travelers + 1) / 2 + (shared ? 0 : neutrals);
}

static double factor_for(const struct checked *c, uint32_t conductors)
{
    struct code *code = &c->model->code;
    struct table *t = code_table(code, TABLE_ADJUSTMENT);
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        double from = code_row_count(code, COL_ADJUSTMENT_FROM, i, 0),
               to = code_row_count(code, COL_ADJUSTMENT_TO, i, 1e9);
        if (conductors >= from && conductors <= to)
            return code_row_share(code, COL_ADJUSTMENT_FACTOR, i, 1);
    }
    return 1;
}

/* All conductors in the bundle that a run is part of. */
static uint32_t conductors_beside(const struct checked *c, const struct bore *bore)
{
    uint32_t conductors = 0;
    for (uint32_t i = 0; i < bore->run_count; i++)
        conductors += current_carrying(c, bore->runs[i]);
    return conductors;
}

double rules_factor_of_run(const struct checked *c, const struct run *run)
{
    const struct bore *bore = c->bores->of_run[run->id].bore;
    return bore ? factor_for(c, conductors_beside(c, bore)) : 1;
}

/* "through one plate". */
static const char *bundle_words(const struct checked *c, const struct bundle *bundle)
{
    if (bundle->sealed)
        return bundle->bore->members->member == MEMBER_PLATE ? "through one plate"
                                                             : "in insulation";
    return arena_printf(c->model->arena, "for %s ft without spacing",
                        rules_amount_words(c, length_feet(bundle->length), 1));
}

RULE(bundled_cables, "bundled-cables", ERROR, FIRM,
     "cables that lie together are large enough to do so");

static void check_bundle(const struct checked *c, const struct run *run)
{
    struct model *m = c->model;
    const struct bundle *bundle = &c->bores->of_run[run->id];
    const struct cable_def *cable = c->wiring->of_run[run->id].cable;
    const struct circuit *circuit = run->circuit;
    if (!cable || !cable->size || !circuit || !facts_known(circuit, ITS_TEXT) ||
        circuit->breaker <= 0)
        return;
    looked(c, bundled_cables);
    if (!bundle->bore)
        return;
    double factor = rules_factor_of_run(c, run), adjusted = facts_ampacity(m, run, cable, factor);
    if (adjusted <= 0 || adjusted >= facts_ampacity(m, run, cable, 1) ||
        !conductors_serve(c, circuit))
        return;
    const char *asked = NULL;
    bool fails = !rules_adjusted_serves(c, run, cable, factor, &asked);
    struct finding *f = model_finding(
        m, &rule_bundled_cables, run->from_span, circuit->unit,
        address_of_run(m->arena, run, false),
        "run %s lies with %u other cable%s %s: %u current-carrying conductors leave its %s good "
        "for %s A%s",
        address_of_run(m->arena, run, true), bundle->bore->run_count - 1,
        bundle->bore->run_count == 2 ? "" : "s", bundle_words(c, bundle),
        conductors_beside(c, bundle->bore), conductor_words(c, cable),
        rules_amount_words(c, adjusted, 1), fails ? arena_printf(m->arena, ", and %s", asked) : "");
    f->severity = fails ? ERROR : NOTE;
    if (bundle->sealed)
        rules_set_article(c, f,
                          arena_printf(m->arena, "%s, %s",
                                       code_table(&m->code, TABLE_SEALED_OPENING)->source,
                                       code_table(&m->code, TABLE_ADJUSTMENT)->source));
    if (fails)
        diag_mend(m->diag, f,
                  "another way for one of them%s, so that fewer lie together, or a larger cable",
                  run->via == VIA_OVERHEAD ? "" : ", 'via overhead' say");
}

CHECK(bundled_cables, .run = {check_bundle, ITS_TEXT});
