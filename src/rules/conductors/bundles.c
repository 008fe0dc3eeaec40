/* bundled-cables: cables that lie together without spacing carry less. */
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

#include "facts/conductors.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "wiring/bores.h"
#include "wiring/wiring.h"

/* Conductors of a run that warm it. */
static uint32_t current_carrying(const struct checked *c, const struct run *run)
{
    const struct run_wiring *w = &c->wiring->of_run[run->id];
    struct net *nets[UINT8_MAX];
    for (uint8_t i = 0; w->conductors && i < w->count; i++)
        nets[i] = w->conductors[i].net;
    return w->conductors ? wiring_current_carrying(nets, w->count) : 0;
}

/* "through one plate". */
static const char *bundle_words(const struct checked *c, const struct bundle *bundle)
{
    const char *feet = rules_amount_words(c, length_feet(bundle->length), 1);
    switch (bundle->sort) {
    case BUNDLE_PLATE:
        return "through one plate";
    case BUNDLE_INSULATION:
        return "in insulation";
    case BUNDLE_STAPLED:
        return arena_printf(c->model->arena, "for %s ft on one stud or joist", feet);
    case BUNDLE_HELD:
        break;
    }
    return arena_printf(c->model->arena, "for %s ft without spacing", feet);
}

/* Whether a thinner cable of its kind would do if nothing lay beside it, but not as it lies. */
static bool is_enlarged(const struct checked *c, const struct run *run,
                        const struct cable_def *cable)
{
    const struct conductor_asks *asks = &c->loads->asks[run->circuit->id];
    const struct lying *lying = &c->routes->lying[run->id];
    struct lying alone = facts_lying_alone(lying);
    return facts_least_conductor(c->model, asks, run, cable, &alone) !=
           facts_least_conductor(c->model, asks, run, cable, lying);
}

RULE(bundled_cables, "bundled-cables", ERROR, FIRM,
     "cables that lie together are large enough to do so");

/* What lies in one raceway. A chosen conductor is large enough; the plan may name a smaller one. */
static void check_raceway(const struct checked *c, const struct run *run,
                          const struct cable_def *cable)
{
    struct model *m = c->model;
    const struct lying *lying = &c->routes->lying[run->id];
    double adjusted = facts_ampacity(m, run, cable, lying);
    const char *asked = NULL;
    if (lying->beside >= 1 || !conductors_serve(c, run->circuit) ||
        rules_adjusted_serves(c, run, cable, &asked))
        return;
    struct finding *f = model_finding(
        m, &rule_bundled_cables, run->from_span, run->circuit->unit,
        address_of_run(m->arena, run, false),
        "run %s has %u current-carrying conductors in one raceway, which leave its %s good for %s "
        "A, and %s",
        address_of_run(m->arena, run, true), current_carrying(c, run), conductor_words(c, cable),
        rules_amount_words(c, adjusted, 1), asked);
    rules_set_article(c, f, code_table(&m->code, TABLE_ADJUSTMENT)->source);
    diag_mend(m->diag, f, "larger conductors, or fewer circuits in one raceway");
}

/* The next larger cable that is good for its circuit as it lies; NULL where there is none. */
static const struct cable_def *larger_that_serves(const struct checked *c, const struct run *run,
                                                  const struct cable_def *cable)
{
    const char *asked;
    do
        cable = rules_next_larger_cable(c, cable);
    while (cable && !rules_adjusted_serves(c, run, cable, &asked));
    return cable;
}

/* `said`: by the list of runs of each bundle on a stud or joist, the run that it was told of; it is
 * one fault, and mended for all at once. */
static void check_bundle(const struct checked *c, const struct run *run, struct map *said)
{
    struct model *m = c->model;
    const struct bundle *bundle = &c->bores->of_run[run->id];
    const struct cable_def *cable = c->wiring->of_run[run->id].cable;
    const struct circuit *circuit = run->circuit;
    if (!cable || !cable->size || !circuit || !facts_known(run, ITS_TEXT) ||
        !facts_known(circuit, ITS_TEXT) || circuit->breaker <= 0)
        return;
    looked(c, bundled_cables);
    if (run->raceway)
        check_raceway(c, run, cable);
    if (!bundle->run_count || run->raceway)
        return;
    const struct lying *lying = &c->routes->lying[run->id];
    struct lying alone = facts_lying_alone(lying);
    double adjusted = facts_ampacity(m, run, cable, lying);
    if (adjusted <= 0 || adjusted >= facts_ampacity(m, run, cable, &alone))
        return;
    void **told =
        bundle->sort == BUNDLE_STAPLED ? map_at(m->arena, said, (uintptr_t)bundle->runs, 0) : NULL;
    if (told && *told)
        return;
    const char *asked = NULL;
    bool fails = !rules_adjusted_serves(c, run, cable, &asked);
    if (!fails && (run != bundle->runs[0] || !is_enlarged(c, run, cable)))
        return; /* what is no fault is told once, and where it asked for a larger cable */
    if (told)
        *told = (void *)run;
    struct finding *f = model_finding(
        m, &rule_bundled_cables, run->from_span, circuit->unit,
        address_of_run(m->arena, run, false),
        "run %s lies with %u other cable%s %s: %u current-carrying conductors leave its %s good "
        "for %s A%s",
        address_of_run(m->arena, run, true), bundle->run_count - 1,
        bundle->run_count == 2 ? "" : "s", bundle_words(c, bundle), bundle->conductors,
        conductor_words(c, cable), rules_amount_words(c, adjusted, 1),
        fails ? arena_printf(m->arena, ", and %s", asked) : "");
    f->severity = fails ? ERROR : NOTE;
    if (!bundle->length)
        rules_set_article(c, f,
                          arena_printf(m->arena, "%s, %s",
                                       code_table(&m->code, TABLE_SEALED_OPENING)->source,
                                       code_table(&m->code, TABLE_ADJUSTMENT)->source));
    if (fails)
        diag_mend(m->diag, f,
                  bundle->sort == BUNDLE_STAPLED
                      ? "another bay for some of them, 'spaced' on their runs, which holds them "
                        "apart, or a larger cable"
                      : "another way for one of them%s, so that fewer lie together, or a larger "
                        "cable",
                  run->via == VIA_OVERHEAD ? "" : ", 'via overhead' say");
    if (fails && run->declared)
        model_mend_cable(m, f, run, larger_that_serves(c, run, cable));
}

static bool has_bundle(const struct checked *c, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->runs.n; i++)
        if (c->bores->of_run[circuit->runs.at[i]->id].run_count)
            return true;
    return false;
}

/* Where a cable of the circuit does not suit it even alone, that is said and no more. */
static void check_bundles(const struct checked *c)
{
    struct map said = {0};
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        bool serve = !has_bundle(c, circuit) || conductors_serve(c, circuit);
        for (uint32_t k = 0; k < circuit->runs.n; k++)
            if (serve && circuit->runs.at[k]->circuit == circuit &&
                facts_known(circuit->runs.at[k], ITS_WAY))
                check_bundle(c, circuit->runs.at[k], &said);
    }
}

CHECK(bundled_cables, .plan = check_bundles);
