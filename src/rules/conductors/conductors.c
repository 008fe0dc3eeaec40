/* conductor-undersized: the breaker protects every conductor behind it, and each carries the load.
 *
 * A conductor is good for its ampacity at its cable's column. Its breaker may be the next standard
 * rating above that where the circuit allows it, and never more than the limit of small conductors;
 * the load may not be above the ampacity itself. Equipment with a nameplate has limits of its own:
 * its minimum circuit ampacity and its largest breaker. Conductors that carry all of a dwelling may
 * be smaller. */
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

#include "facts/conductors.h"
#include "framing/routes.h"
#include "loads/loads.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <string.h>

const char *conductor_words(const struct checked *c, const struct cable_def *cable)
{
    static const char *const metals[] = {
        [COPPER] = "copper", [ALUMINIUM] = "aluminium", [COPPER_CLAD] = "copper-clad aluminium"};
    return arena_printf(c->model->arena, "%s AWG %s", cable->size, metals[cable->metal]);
}

const struct cable_def *rules_cable_of(const struct checked *c, const struct run *run)
{
    return c->wiring->of_run[run->id].cable;
}

static bool alike(const struct cable_def *a, const struct cable_def *b)
{
    bool family =
        a->family == b->family || (a->family && b->family && !strcmp(a->family, b->family));
    return family && a->metal == b->metal && a->conductors == b->conductors &&
           a->whites == b->whites && a->power == b->power;
}

const struct cable_def *rules_next_larger_cable(const struct checked *c,
                                                const struct cable_def *cable)
{
    const struct cable_def *best = NULL;
    cable = library_as_written(cable);
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *other = c->model->lib->cable_list.at[i];
        if (other->size && alike(cable, other) && other->gauge < cable->gauge &&
            (!best || other->gauge > best->gauge))
            best = other;
    }
    return best;
}

/* What a circuit asks of its conductors, as it is judged here: the load of a feeder is judged by
 * feeder-undersized. */
struct demand {
    const struct circuit *circuit;
    struct conductor_asks asks;
};

static bool cable_serves(const struct checked *c, const struct demand *d, const struct run *run,
                         const struct cable_def *cable, struct conductor_good *good)
{
    struct lying alone = facts_lying_alone(&c->routes->lying[run->id]);
    return facts_cable_serves(c->model, &d->asks, run, cable, &alone, good) ||
           facts_tap_serves(c->model, &d->asks, run, cable, &alone);
}

struct conductor_place conductor_place_of(const struct checked *c, const struct run *run,
                                          bool alone)
{
    const struct lying *lying = &c->routes->lying[run->id];
    struct conductor_place p = {.cable = rules_cable_of(c, run),
                                .lying = alone ? facts_lying_alone(lying) : *lying};
    p.column = p.cable ? facts_column(c->model, run, p.cable) : 0;
    return p;
}

bool conductor_places_are_alike(const struct conductor_place *a, const struct conductor_place *b)
{
    return a->cable && a->cable == b->cable && a->column == b->column &&
           facts_lie_alike(&a->lying, &b->lying);
}

/* "good for 15 A". */
static const char *good_words(const struct checked *c, struct conductor_good good)
{
    return good.amps > 0   ? arena_printf(c->model->arena, "good for %g A", good.amps)
           : good.amps < 0 ? "good for nothing"
                           : "a size that the table of ampacities does not have";
}

/* " in the air of attic, 49 C (120 F)" where that is what leaves it less than it has elsewhere. */
static const char *air_words(const struct checked *c, const struct run *run,
                             const struct cable_def *cable)
{
    const struct lying *lying = &c->routes->lying[run->id];
    struct lying here = facts_lying_alone(lying), elsewhere = {.beside = 1};
    if (!lying->where || facts_ampacity(c->model, run, cable, &here) >=
                             facts_ampacity(c->model, run, cable, &elsewhere))
        return "";
    return arena_printf(c->model->arena, " in the air of %s, %s", lying->where,
                        rules_degrees_words(c, lying->air));
}

/* "60 A, its continuous load at 125 %". */
static const char *load_words(const struct checked *c, const struct demand *d)
{
    const struct circuit_load *load = &c->loads->of_circuit[d->circuit->id];
    const char *amps = rules_amount_words(c, d->asks.load, 1);
    if (load->continuous_va <= 0)
        return arena_printf(c->model->arena, "%s A", amps);
    return arena_printf(c->model->arena, "%s A, its continuous load at %g %%", amps,
                        100 * code_share(&c->model->code, SET_CONTINUOUS_LOAD_FACTOR, 1));
}

/* The article that a finding names: of the small conductor, else of ampacities at large, of loads
 * or of nameplates; none where the library has none. */
static void name_article(const struct checked *c, const struct demand *d, struct finding *f,
                         enum metal metal, const char *size, bool for_load)
{
    struct model *m = c->model;
    const char *cell =
        facts_small_limit(&m->code, metal, size) > 0
            ? code_cell_cite(&m->code,
                             metal == COPPER      ? COL_SMALL_CONDUCTOR_ARTICLES_COPPER
                             : metal == ALUMINIUM ? COL_SMALL_CONDUCTOR_ARTICLES_ALUMINIUM
                                                  : COL_SMALL_CONDUCTOR_ARTICLES_COPPER_CLAD,
                             size)
            : NULL;
    if (d->asks.nameplate)
        f->article = code_case_article(&m->code, "conductor-nameplate");
    else if (for_load)
        f->article = code_case_article(&m->code, "conductor-load");
    else if (cell)
        rules_set_article(c, f, cell);
    else
        f->article = code_case_article(&m->code, "conductor-ampacity");
}

/* A cable of the same family with more conductors that serves, the smallest; a spare conductor is
 * capped. */
static const struct cable_def *wider_cable(const struct checked *c, const struct demand *d,
                                           const struct run *run, const struct cable_def *cable)
{
    const struct cable_def *best = NULL;
    struct conductor_good good;
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *other = c->model->lib->cable_list.at[i];
        bool like = other->power && other->size && other->family == cable->family &&
                    other->metal == cable->metal && other->whites >= cable->whites;
        if (like && other->conductors > cable->conductors &&
            cable_serves(c, d, run, other, &good) && (!best || other->gauge > best->gauge))
            best = other;
    }
    return best;
}

/* The next larger cable of the kind that serves; NULL where there is none. */
static const struct cable_def *cable_that_serves(const struct checked *c, const struct demand *d,
                                                 const struct run *run,
                                                 const struct cable_def *cable)
{
    const struct cable_def *larger = cable;
    struct conductor_good good;
    do
        larger = rules_next_larger_cable(c, larger);
    while (larger && !cable_serves(c, d, run, larger, &good));
    return larger ? larger : wider_cable(c, d, run, cable);
}

/* Whether the cable would serve if the terminals at both its ends were marked for what it may go
 * by. */
static bool serves_at_marked(const struct checked *c, const struct demand *d, const struct run *run,
                             const struct cable_def *cable)
{
    struct lying alone = facts_lying_alone(&c->routes->lying[run->id]);
    struct conductor_good good;
    return cable->terminals > cable->rated &&
           facts_ampacity_serves(c->model, &d->asks, cable->metal, cable->size,
                                 facts_ampacity_at(c->model, cable, cable->terminals, &alone),
                                 &good);
}

/* "6/3", "6/3-mc, or 'terminals 75 C' ...": what would serve in place of a cable, or NULL. */
static const char *serving_words(const struct checked *c, const struct demand *d,
                                 const struct run *run, const struct cable_def *cable,
                                 const struct cable_def *larger)
{
    const char *marked =
        serves_at_marked(c, d, run, cable)
            ? arena_printf(c->model->arena,
                           "'terminals %d C' on the breaker and the device, where they are so "
                           "marked",
                           cable->terminals)
            : NULL;
    if (larger && marked)
        return arena_printf(c->model->arena, "%s, or %s", larger->name, marked);
    return larger ? larger->name : marked;
}

static void finish(const struct checked *c, const struct demand *d, struct finding *f,
                   const char *serving, struct conductor_good good)
{
    struct model *m = c->model;
    if (d->circuit->breaker_node)
        diag_note(m->diag, f, rules_breaker_span(d->circuit), "breaker given here");
    double lower = d->asks.nameplate || good.for_load || good.amps <= 0
                       ? 0
                       : rules_rating_at_most(c, good.amps);
    if (facts_amps_exceed(d->asks.load, lower))
        lower = 0; /* the load would trip it */
    const char * or = serving ? ", or " : "", *first = serving ? serving : "";
    if (good.for_load)
        diag_mend(m->diag, f, "%s%sless load", first, or);
    else if (lower > 0)
        diag_mend(m->diag, f, "%s%sa %g A breaker", first, or, lower);
    else if (serving)
        diag_mend(m->diag, f, "%s", serving);
    if (lower > 0 && !good.for_load)
        mends_breaker(c, f, d->circuit, lower);
}

RULE(conductor_undersized, "conductor-undersized", ERROR, FIRM,
     "the breaker protects every conductor behind it");

/* A cable of a run: at its clause on the run, or on the circuit for all runs that have
 * none of their own. */
static void undersized_cable(const struct checked *c, const struct demand *d, const struct run *run,
                             struct conductor_good good)
{
    struct model *m = c->model;
    const struct cable_def *cable = rules_cable_of(c, run);
    const struct node *clause =
        node_child(run->own_cable ? run->node : run->circuit->node, F_CABLE);
    struct span span = clause ? node_span(clause) : node_span(run->node);
    const char *words = rules_circuit_words(c, d->circuit), *conductor = conductor_words(c, cable);
    const char *subject = run->own_cable || d->circuit->feeds
                              ? rules_run_subject(c, run)
                              : rules_circuit_subject(c, d->circuit);
    const char *which = run->own_cable
                            ? arena_printf(m->arena, "run %s", address_of_run(m->arena, run, true))
                            : "cable";
    const char *air = air_words(c, run, cable);
    struct finding *f;
    if (d->asks.nameplate)
        f = model_finding(m, &rule_conductor_undersized, span, d->circuit->unit, subject,
                          "%s feeds the %s whose nameplate asks for %g A, but its %s is %s, %s%s",
                          words, d->asks.nameplate->device->def->name, d->asks.nameplate->mca,
                          which, conductor, good_words(c, good), air);
    else if (good.for_load)
        f = model_finding(m, &rule_conductor_undersized, span, d->circuit->unit, subject,
                          "%s carries %s, but its %s is %s, %s%s", words, load_words(c, d), which,
                          conductor, good_words(c, good), air);
    else
        f = model_finding(m, &rule_conductor_undersized, span, d->circuit->unit, subject,
                          "%s breaker is %g A, but its %s is %s, %s%s", words, d->circuit->breaker,
                          which, conductor, good_words(c, good), air);
    name_article(c, d, f, cable->metal, cable->size, good.for_load);
    if (*air)
        rules_set_article(c, f, code_table(&m->code, TABLE_AMBIENT)->source);
    if (good.amps < 0 && !cable_that_serves(c, d, run, cable))
        diag_mend(m->diag, f, "another way, or a cable whose insulation is made for such air");
    const struct cable_def *serving = cable_that_serves(c, d, run, cable);
    finish(c, d, f, serving_words(c, d, run, cable, serving), good);
    if (run->own_cable)
        model_mend_cable(m, f, run, serving);
    else if (serving && d->circuit->cable_clause && !run->raceway)
        edit_clause(rules_way(c, f, false, "cable %s", serving->name), d->circuit->node, F_CABLE,
                    arena_printf(m->arena, "cable %s", serving->name));
}

static void check_runs(const struct checked *c, const struct demand *d)
{
    bool default_said = false;
    for (uint32_t i = 0; i < d->circuit->runs.n; i++) {
        const struct run *run = d->circuit->runs.at[i];
        const struct cable_def *cable = rules_cable_of(c, run);
        struct conductor_good good;
        if (!cable || !cable->size || !facts_known(run, ITS_TEXT | ITS_BOXES) ||
            cable_serves(c, d, run, cable, &good))
            continue;
        if (run->own_cable || !default_said)
            undersized_cable(c, d, run, good);
        default_said = default_said || !run->own_cable;
    }
}

/* A neutral that is thinner than its lines: once for a circuit. */
static void check_neutral(const struct checked *c, const struct demand *d)
{
    struct model *m = c->model;
    for (uint32_t i = 0; i < d->circuit->runs.n; i++) {
        const struct run *run = d->circuit->runs.at[i];
        const struct cable_def *cable = rules_cable_of(c, run);
        struct lying alone = facts_lying_alone(&c->routes->lying[run->id]);
        if (!cable || !cable->neutral_size || run->existing ||
            !facts_known(run, ITS_TEXT | ITS_BOXES) ||
            facts_neutral_serves(m, &d->asks, run, cable, &alone))
            continue;
        const struct node *clause =
            node_child(run->own_cable ? run->node : d->circuit->node, F_CABLE);
        struct finding *f = model_finding(
            m, &rule_conductor_undersized, clause ? node_span(clause) : node_span(run->node),
            d->circuit->unit, rules_circuit_subject(c, d->circuit),
            "the neutral of %s must be good for %s A and no thinner than %s AWG; that of %s is %s "
            "AWG, good for %s A",
            rules_circuit_words(c, d->circuit), rules_amount_words(c, d->asks.neutral, 1),
            facts_least_neutral(m, run, cable), cable->name, cable->neutral_size,
            rules_amount_words(c, facts_neutral_ampacity(m, run, cable, &alone), 1));
        f->article = code_case_article(&m->code, "conductor-neutral");
        diag_mend(m->diag, f, "a cable whose neutral is as thick as its lines, or a larger one");
        return;
    }
}

static bool some_cable_serves(const struct checked *c, const struct demand *d,
                              const struct run *run)
{
    struct conductor_good good;
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *cable = c->model->lib->cable_list.at[i];
        if (cable->power && cable->size && cable_serves(c, d, run, cable, &good))
            return true;
    }
    return false;
}

static const struct run *run_without_cable(const struct checked *c, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        if (!run->declared && !run->existing && run->in_tree && !c->wiring->of_run[run->id].cable)
            return run;
    }
    return NULL;
}

/* A run whose cable is left to the compiler, and no cable that there is serves: by its breaker, or
 * by that and what has to pass through it. Where the conductors alone are too many that is said. */
static void check_left_out(const struct checked *c, const struct demand *d)
{
    const struct circuit *circuit = d->circuit;
    const struct run *run = run_without_cable(c, circuit);
    if (!run || !circuit->is_tree || !facts_known(circuit, ITS_LINES | ITS_FEED))
        return;
    bool some = some_cable_serves(c, d, run);
    if (some && !circuit->feeds)
        return;
    struct finding *f =
        circuit_finding(c, &rule_conductor_undersized, circuit, rules_breaker_span(circuit),
                        "no cable of the library suits the %g A breaker of %s%s", circuit->breaker,
                        rules_circuit_words(c, circuit),
                        d->asks.load > 0 && some
                            ? arena_printf(c->model->arena, ", which carries %s", load_words(c, d))
                            : "");
    f->article = code_case_article(&c->model->code, "conductor-ampacity");
    diag_mend(c->model->diag, f, "a smaller breaker, or a cable that the plan defines");
}

/* The cable between the panel and the old box: its sheath is not known, so the column of small
 * terminals counts. */
static void check_upstream(const struct checked *c, const struct demand *d)
{
    const struct circuit *circuit = d->circuit;
    struct code *code = &c->model->code;
    struct conductor_good good;
    if (!circuit->upstream_size || !code_table(code, TABLE_AMPACITY_COPPER) ||
        facts_ampacity_serves(
            c->model, &d->asks, COPPER, circuit->upstream_size,
            code_ampacity(code, COPPER, circuit->upstream_size, facts_small_terminals(code)),
            &good))
        return;
    const struct node *clause = node_child(circuit->node, F_UPSTREAM);
    const char *asked = good.for_load
                            ? arena_printf(c->model->arena, "carries %s", load_words(c, d))
                            : arena_printf(c->model->arena, "breaker is %g A", circuit->breaker);
    struct finding *f = circuit_finding(c, &rule_conductor_undersized, circuit,
                                        clause ? node_span(clause) : rules_circuit_span(circuit),
                                        "%s %s, but the cable upstream is %s AWG copper, %s",
                                        rules_circuit_words(c, circuit), asked,
                                        circuit->upstream_size, good_words(c, good));
    name_article(c, d, f, COPPER, circuit->upstream_size, good.for_load);
    finish(c, d, f, NULL, good);
}

static void check_nameplate(const struct checked *c, const struct circuit *circuit)
{
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (part->max_breaker <= 0 || circuit->breaker <= part->max_breaker ||
            !facts_known(part, ITS_TEXT))
            continue;
        struct finding *f =
            circuit_finding(c, &rule_conductor_undersized, circuit, rules_breaker_span(circuit),
                            "the breaker of %s is %g A, but the nameplate of its %s allows %g A",
                            rules_circuit_words(c, circuit), circuit->breaker,
                            part->device->def->name, part->max_breaker);
        f->article = code_case_article(&c->model->code, "conductor-nameplate");
        diag_note(c->model->diag, f, node_span(part->node), "nameplate given here");
        double lower = rules_rating_at_most(c, part->max_breaker);
        if (lower > 0) {
            diag_mend(c->model->diag, f, "a %g A breaker", lower);
            mends_breaker(c, f, circuit, lower);
        }
        return;
    }
}

static struct demand demand_of(const struct checked *c, const struct circuit *circuit)
{
    struct demand d = {circuit, c->loads->asks[circuit->id]};
    if (circuit->feeds)
        d.asks.load = 0;
    return d;
}

bool rules_adjusted_serves(const struct checked *c, const struct run *run,
                           const struct cable_def *cable, const char **asked)
{
    struct demand d = demand_of(c, run->circuit);
    struct conductor_good good;
    if (facts_cable_serves(c->model, &d.asks, run, cable, &c->routes->lying[run->id], &good))
        return true;
    if (d.asks.nameplate)
        *asked =
            arena_printf(c->model->arena, "its nameplate asks for %g A", d.asks.nameplate->mca);
    else if (good.for_load)
        *asked = arena_printf(c->model->arena, "it carries %s", load_words(c, &d));
    else
        *asked = arena_printf(c->model->arena, "the breaker is %g A", run->circuit->breaker);
    return false;
}

bool rules_is_tap(const struct checked *c, const struct run *run, const struct cable_def *cable)
{
    struct demand d = demand_of(c, run->circuit);
    struct lying alone = facts_lying_alone(&c->routes->lying[run->id]);
    struct conductor_good good;
    return !facts_cable_serves(c->model, &d.asks, run, cable, &alone, &good) &&
           facts_tap_serves(c->model, &d.asks, run, cable, &alone);
}

bool conductors_serve(const struct checked *c, const struct circuit *circuit)
{
    struct demand d = demand_of(c, circuit);
    struct conductor_place served = {0}; /* the last that did */
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        struct conductor_place here = conductor_place_of(c, run, true);
        struct conductor_good good;
        if (!here.cable || !here.cable->size || conductor_places_are_alike(&here, &served))
            continue;
        if (facts_cable_serves(c->model, &d.asks, run, here.cable, &here.lying, &good))
            served = here;
        else if (!facts_tap_serves(c->model, &d.asks, run, here.cable, &here.lying))
            return false;
    }
    return true;
}

static void check_conductors(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->breaker <= 0)
        return;
    if (circuit->runs.n || !circuit->unrun.n)
        looked(c, conductor_undersized);
    struct demand d = demand_of(c, circuit);
    check_runs(c, &d);
    check_neutral(c, &d);
    check_left_out(c, &d);
    check_upstream(c, &d);
    check_nameplate(c, circuit);
}

BLIND_SPOT(hot_air, conductor_undersized, "how hot it gets in", "(say so with 'ambient 130 F')");

static void check_air(const struct checked *c, const struct room *room)
{
    bool passed = room->boxes.n || !room->existing;
    for (uint32_t i = 0; passed && i < room->kind_count && !room->air.told; i++)
        if (code_list_has_kind(&c->model->code, LIST_HOT_PLACES, room->kinds[i])) {
            room_passed(c, hot_air, room);
            return;
        }
}
CHECK(conductor_undersized, .circuit = {check_conductors, ITS_TEXT | ITS_BREAKER},
      .room = {check_air, ITS_KINDS});
