/* conductor-undersized: the breaker protects every conductor behind it, and each carries the load.
 *
 * A conductor is good for its ampacity at its cable's column. Its breaker may be the next standard
 * rating above that where the circuit allows it, and never more than the limit of small conductors;
 * the load may not be above the ampacity itself. Equipment with a nameplate has limits of its own:
 * its minimum circuit ampacity and its largest breaker. Conductors that carry all of a dwelling may
 * be smaller. */
#include "rules/conductors/conductors.h"

#include "facts/devices.h"
#include "loads/loads.h"
#include "resolve/value.h"
#include "wiring/wiring.h"

#include <string.h>

const char *conductor_words(const struct checked *c, const struct cable_def *cable)
{
    return arena_printf(c->model->arena, "%s AWG %s", cable->size,
                        cable->metal == ALUMINIUM ? "aluminium" : "copper");
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
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *other = c->model->lib->cable_list.at[i];
        if (other->size && alike(cable, other) && other->gauge < cable->gauge &&
            (!best || other->gauge > best->gauge))
            best = other;
    }
    return best;
}

/* What a circuit asks of its conductors. */
struct demand {
    const struct circuit *circuit;
    double breaker; /* A; a breaker of no standard rating counts as the one below it, for that is
                       said elsewhere */
    double
        load; /* A, continuous loads at the edition's factor; 0 where another rule speaks of it */
    bool several_receptacles, whole_dwelling;
    const struct part *nameplate; /* the one load of the circuit, where its nameplate says what it
                                     wants; else NULL */
};

/* What a conductor is good for: the breaker that it allows, or its ampacity where that is what the
 * load exceeds. */
struct good {
    double amps;
    bool for_load;
};

/* The largest breaker of a small conductor whatever its ampacity; 0 where the size has none. */
static double small_limit(const struct checked *c, enum metal metal, const char *size)
{
    return code_cell_current(
        &c->model->code,
        metal == ALUMINIUM ? COL_SMALL_CONDUCTORS_ALUMINIUM : COL_SMALL_CONDUCTORS_COPPER, size, 0);
}

/* The largest standard rating of which an ampacity is the share that the edition asks where all of
 * a dwelling hangs on the conductors; 0 outside its range. */
static double dwelling_rating(const struct checked *c, double ampacity)
{
    struct code *code = &c->model->code;
    double share = code_share(code, SET_DWELLING_SERVICE_SHARE, 1),
           rating = rules_rating_at_most(c, ampacity / share + 1e-9);
    double from = code_current(code, SET_DWELLING_SERVICE_FROM, 0),
           to = code_current(code, SET_DWELLING_SERVICE_UP_TO, 0);
    return rating < from ? 0 : rating > to ? to : rating;
}

/* The breaker that an ampacity of a conductor allows on a circuit. */
static double breaker_for(const struct checked *c, const struct demand *d, enum metal metal,
                          const char *size, double ampacity)
{
    struct code *code = &c->model->code;
    double good = ampacity, small = small_limit(c, metal, size),
           next = rules_rating_at_least(c, ampacity);
    bool barred = d->several_receptacles && code_no(code, SET_NEXT_SIZE_UP_SEVERAL_RECEPTACLES);
    if (next > 0 && next <= code_current(code, SET_NEXT_SIZE_UP_UP_TO, 0) && !barred)
        good = next;
    double whole = d->whole_dwelling ? dwelling_rating(c, ampacity) : 0;
    good = whole > good ? whole : good;
    return small > 0 && small < good ? small : good;
}

/* Whether a conductor of an ampacity serves the circuit, and what it is good for. */
static bool ampacity_serves(const struct checked *c, const struct demand *d, enum metal metal,
                            const char *size, double ampacity, struct good *good)
{
    *good = (struct good){.amps = ampacity};
    if (d->nameplate)
        return ampacity > 0 && ampacity >= d->nameplate->mca;
    good->amps =
        ampacity > 0 ? breaker_for(c, d, metal, size, ampacity) : small_limit(c, metal, size);
    if (good->amps <= 0 || d->breaker > good->amps)
        return false;
    if (ampacity > 0 && rules_amps_exceed(d->load, ampacity))
        *good = (struct good){.amps = ampacity, .for_load = true};
    return !good->for_load;
}

/* The same at a temperature column. Without a table of ampacities nothing can be said. */
static bool serves(const struct checked *c, const struct demand *d, enum metal metal,
                   const char *size, int column, struct good *good)
{
    if (!code_table(&c->model->code,
                    metal == ALUMINIUM ? TABLE_AMPACITY_ALUMINIUM : TABLE_AMPACITY_COPPER))
        return true;
    return ampacity_serves(c, d, metal, size, code_ampacity(&c->model->code, metal, size, column),
                           good);
}

/* The column that counts for a cable: its own, else that of small terminals. */
static int column_of(const struct checked *c, const struct cable_def *cable)
{
    return cable && cable->rated > 0
               ? cable->rated
               : (int)code_temperature(&c->model->code, SET_TERMINALS_SMALL_AT, 0);
}

static bool cable_serves(const struct checked *c, const struct demand *d,
                         const struct cable_def *cable, struct good *good)
{
    return serves(c, d, cable->metal, cable->size, column_of(c, cable), good);
}

/* "good for 15 A". */
static const char *good_words(const struct checked *c, struct good good)
{
    return good.amps > 0 ? arena_printf(c->model->arena, "good for %g A", good.amps)
                         : "a size that the table of ampacities does not have";
}

static uint32_t receptacles_on(const struct circuit *circuit)
{
    uint32_t count = 0;
    for (uint32_t i = 0; i < circuit->parts.n; i++)
        count += facts_receptacles_in(circuit->parts.at[i]);
    return count;
}

/* The only load of a circuit, where its nameplate names both the conductor and the breaker. */
static const struct part *nameplate_of(const struct circuit *circuit)
{
    const struct part *only = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (part->load <= 0 && part->mca <= 0)
            continue;
        if (only)
            return NULL;
        only = part;
    }
    return only && only->mca > 0 && only->max_breaker > 0 ? only : NULL;
}

/* "60 A, its continuous load at 125 %". */
static const char *load_words(const struct checked *c, const struct demand *d)
{
    const struct circuit_load *load = &c->loads->of_circuit[d->circuit->id];
    const char *amps = rules_amount_words(c, d->load, 1);
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
        small_limit(c, metal, size) > 0
            ? code_cell_cite(&m->code,
                             metal == ALUMINIUM ? COL_SMALL_CONDUCTOR_ARTICLES_ALUMINIUM
                                                : COL_SMALL_CONDUCTOR_ARTICLES_COPPER,
                             size)
            : NULL;
    if (d->nameplate)
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
                                           const struct cable_def *cable)
{
    const struct cable_def *best = NULL;
    struct good good;
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *other = c->model->lib->cable_list.at[i];
        bool like = other->power && other->size && other->family == cable->family &&
                    other->metal == cable->metal && other->whites >= cable->whites;
        if (like && other->conductors > cable->conductors && cable_serves(c, d, other, &good) &&
            (!best || other->gauge > best->gauge))
            best = other;
    }
    return best;
}

/* The next larger cable of the kind that serves; NULL where there is none. */
static const struct cable_def *cable_that_serves(const struct checked *c, const struct demand *d,
                                                 const struct cable_def *cable)
{
    const struct cable_def *larger = cable;
    struct good good;
    do
        larger = rules_next_larger_cable(c, larger);
    while (larger && !cable_serves(c, d, larger, &good));
    return larger ? larger : wider_cable(c, d, cable);
}

static void finish(const struct checked *c, const struct demand *d, struct finding *f,
                   const struct cable_def *larger, struct good good)
{
    struct model *m = c->model;
    if (d->circuit->breaker_node)
        diag_note(m->diag, f, rules_breaker_span(d->circuit), "breaker given here");
    double lower = d->nameplate || good.for_load ? 0 : rules_rating_at_most(c, good.amps);
    if (rules_amps_exceed(d->load, lower))
        lower = 0; /* the load would trip it */
    if (good.for_load)
        diag_mend(m->diag, f, "%s%sless load", larger ? larger->name : "", larger ? ", or " : "");
    else if (larger && lower > 0)
        diag_mend(m->diag, f, "%s, or a %g A breaker", larger->name, lower);
    else if (larger)
        diag_mend(m->diag, f, "%s", larger->name);
    else if (lower > 0)
        diag_mend(m->diag, f, "a %g A breaker", lower);
}

RULE(conductor_undersized, "conductor-undersized", ERROR, FIRM,
     "the breaker protects every conductor behind it");

/* A cable that the plan names: at its clause on the run, or on the circuit for all runs that have
 * none of their own. */
static void undersized_cable(const struct checked *c, const struct demand *d, const struct run *run,
                             struct good good)
{
    struct model *m = c->model;
    const struct cable_def *cable = run->declared;
    const struct node *clause =
        node_child(run->own_cable ? run->node : run->circuit->node, F_CABLE);
    struct span span = clause ? node_span(clause) : node_span(run->node);
    const char *words = rules_circuit_words(c, d->circuit), *conductor = conductor_words(c, cable);
    const char *subject = run->own_cable || d->circuit->feeds
                              ? address_of_run(m->arena, run, false)
                              : address_of_circuit(m->arena, d->circuit, false);
    const char *which = run->own_cable
                            ? arena_printf(m->arena, "run %s", address_of_run(m->arena, run, true))
                            : "cable";
    struct finding *f;
    if (d->nameplate)
        f = model_finding(m, &rule_conductor_undersized, span, d->circuit->unit, subject,
                          "%s feeds a %s whose nameplate asks for %g A, but its %s is %s, %s",
                          words, d->nameplate->device->def->name, d->nameplate->mca, which,
                          conductor, good_words(c, good));
    else if (good.for_load)
        f = model_finding(m, &rule_conductor_undersized, span, d->circuit->unit, subject,
                          "%s carries %s, but its %s is %s, %s", words, load_words(c, d), which,
                          conductor, good_words(c, good));
    else
        f = model_finding(m, &rule_conductor_undersized, span, d->circuit->unit, subject,
                          "%s breaker is %g A, but its %s is %s, %s", words, d->circuit->breaker,
                          which, conductor, good_words(c, good));
    name_article(c, d, f, cable->metal, cable->size, good.for_load);
    finish(c, d, f, cable_that_serves(c, d, cable), good);
}

static void check_runs(const struct checked *c, const struct demand *d)
{
    bool default_said = false;
    for (uint32_t i = 0; i < d->circuit->runs.n; i++) {
        const struct run *run = d->circuit->runs.at[i];
        const struct cable_def *cable = run->declared;
        struct good good;
        if (!cable || !cable->size || !facts_known(run, ITS_TEXT | ITS_BOXES) ||
            cable_serves(c, d, cable, &good))
            continue;
        if (run->own_cable || !default_said)
            undersized_cable(c, d, run, good);
        default_said = default_said || !run->own_cable;
    }
}

static bool some_cable_serves(const struct checked *c, const struct demand *d)
{
    struct good good;
    for (uint32_t i = 0; i < c->model->lib->cable_list.n; i++) {
        const struct cable_def *cable = c->model->lib->cable_list.at[i];
        if (cable->power && cable->size && cable_serves(c, d, cable, &good))
            return true;
    }
    return false;
}

/* A run whose cable is left to the compiler, on a breaker that is too large for all cables there
 * are. */
static void check_left_out(const struct checked *c, const struct demand *d)
{
    const struct circuit *circuit = d->circuit;
    bool wanted = false;
    for (uint32_t i = 0; i < circuit->runs.n && !wanted; i++)
        wanted =
            !circuit->runs.at[i]->declared && !c->wiring->of_run[circuit->runs.at[i]->id].cable;
    if (!wanted || !circuit->is_tree || some_cable_serves(c, d))
        return;
    struct finding *f =
        circuit_finding(c, &rule_conductor_undersized, circuit, rules_breaker_span(circuit),
                        "no cable of the library suits the %g A breaker of %s", circuit->breaker,
                        rules_circuit_words(c, circuit));
    f->article = code_case_article(&c->model->code, "conductor-ampacity");
    diag_mend(c->model->diag, f, "a smaller breaker, or a cable that the plan defines");
}

/* The cable between the panel and the old box: its sheath is not known, so the column of small
 * terminals counts. */
static void check_upstream(const struct checked *c, const struct demand *d)
{
    const struct circuit *circuit = d->circuit;
    struct good good;
    int column = column_of(c, NULL);
    if (!circuit->upstream_size || serves(c, d, COPPER, circuit->upstream_size, column, &good))
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
        if (lower > 0)
            diag_mend(c->model->diag, f, "a %g A breaker", lower);
        return;
    }
}

static struct demand demand_of(const struct checked *c, const struct circuit *circuit)
{
    double standard = rules_rating_at_most(c, circuit->breaker);
    bool said =
        circuit->feeds || rules_is_overloaded(c, circuit) ||
        standard !=
            circuit->breaker; /* feeder-undersized, breaker-overloaded, breaker-nonstandard */
    return (struct demand){
        .circuit = circuit,
        .breaker = standard > 0 ? standard : circuit->breaker,
        .load = said ? 0 : c->loads->of_circuit[circuit->id].needed_amps,
        .several_receptacles = receptacles_on(circuit) > 1,
        .whole_dwelling = c->loads->of_circuit[circuit->id].whole_dwelling,
        .nameplate = nameplate_of(circuit),
    };
}

bool rules_adjusted_serves(const struct checked *c, const struct circuit *circuit,
                           const struct cable_def *cable, double ampacity, const char **asked)
{
    struct demand d = demand_of(c, circuit);
    struct good good;
    if (ampacity_serves(c, &d, cable->metal, cable->size, ampacity, &good))
        return true;
    if (d.nameplate)
        *asked = arena_printf(c->model->arena, "its nameplate asks for %g A", d.nameplate->mca);
    else if (good.for_load)
        *asked = arena_printf(c->model->arena, "it carries %s", load_words(c, &d));
    else
        *asked = arena_printf(c->model->arena, "the breaker is %g A", circuit->breaker);
    return false;
}

bool conductors_serve(const struct checked *c, const struct circuit *circuit)
{
    struct demand d = demand_of(c, circuit);
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct cable_def *cable = circuit->runs.at[i]->declared;
        struct good good;
        if (cable && cable->size && !cable_serves(c, &d, cable, &good))
            return false;
    }
    return true;
}

/* A nameplate's smaller conductor is not taken for the least: the ground of its breaker is that of
 * any circuit. */
const char *rules_least_conductor(const struct checked *c, const struct run *run,
                                  const struct cable_def *cable)
{
    struct table *t =
        code_table(&c->model->code,
                   cable->metal == ALUMINIUM ? TABLE_AMPACITY_ALUMINIUM : TABLE_AMPACITY_COPPER);
    struct demand d = demand_of(c, run->circuit);
    d.nameplate = NULL;
    const char *best = NULL;
    struct good good;
    for (uint32_t i = 0; t && i < t->rows.n; i++) {
        struct cable_def other = *cable;
        other.size = t->rows.at[i].key;
        bool thinner = !best || library_gauge_of(other.size) > library_gauge_of(best);
        if (thinner && ampacity_serves(c, &d, other.metal, other.size,
                                       rules_ampacity_of_run(c, run, &other), &good))
            best = other.size;
    }
    return best;
}

static void check_conductors(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->breaker <= 0)
        return;
    looked(c, conductor_undersized);
    struct demand d = demand_of(c, circuit);
    check_runs(c, &d);
    check_left_out(c, &d);
    check_upstream(c, &d);
    check_nameplate(c, circuit);
}
CHECK(conductor_undersized, .circuit = {check_conductors, ITS_TEXT | ITS_BREAKER});
