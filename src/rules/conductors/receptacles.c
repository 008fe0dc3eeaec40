/* receptacle-rating */
#include "facts/devices.h"
#include "model/site.h"
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

/* The receptacles of a circuit, a duplex counted as two, and whether anything else is on it. */
struct receptacles {
    uint32_t count;
    bool others;
};

static struct receptacles count_receptacles(const struct circuit *circuit)
{
    struct receptacles r = {0};
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        uint32_t in = facts_receptacles_in(circuit->parts.at[i]);
        r.count += in;
        r.others = r.others || in == 0;
    }
    return r;
}

/* Ratings that a receptacle on a breaker of so many A may have. `single`: it is alone on its
 * circuit, so that only the smallest counts. False where the table is silent. */
static bool allowed(const struct checked *c, double breaker, bool single, double *smallest,
                    double *largest)
{
    struct code *code = &c->model->code;
    struct table *t = code_table(code, TABLE_RECEPTACLE_RATINGS);
    if (!t)
        return false;
    *largest = 0;
    if (single) {
        *smallest = breaker * code_share(code, SET_RECEPTACLE_RATINGS_SINGLE_AT_LEAST, 0);
        return true;
    }
    const char *key = code_key(code, arena_printf(c->model->arena, "%g A", breaker));
    *smallest = code_cell_current(code, COL_RECEPTACLE_RATINGS_SMALLEST, key, 0);
    *largest = code_cell_current(code, COL_RECEPTACLE_RATINGS_LARGEST, key, 0);
    return *largest > 0;
}

bool rules_receptacles_suit(const struct checked *c, const struct circuit *circuit, double breaker)
{
    struct receptacles r = count_receptacles(circuit);
    double smallest, largest;
    if (r.count == 0)
        return true;
    if (!allowed(c, breaker, r.count == 1 && !r.others, &smallest, &largest))
        return false;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct device_def *def = circuit->parts.at[i]->device->def;
        if (facts_receptacles_in(circuit->parts.at[i]) && def->rating > 0 &&
            (def->rating < smallest || (largest > 0 && def->rating > largest)))
            return false;
    }
    return true;
}

RULE(receptacle_rating, "receptacle-rating", ERROR, FIRM, "receptacles suit their breaker");

/* One finding a circuit, at the first receptacle that does not suit it: breaker and receptacles
 * disagree, and the plan cannot tell which is meant. */
static struct finding *report(const struct checked *c, const struct circuit *circuit,
                              const struct part *part, double smallest, double largest)
{
    struct model *m = c->model;
    const char *want = largest <= 0 || largest == smallest
                           ? arena_printf(m->arena, "%g A", smallest)
                           : arena_printf(m->arena, "%g A to %g A", smallest, largest);
    if (largest <= 0)
        want = arena_printf(m->arena, "%s or more", want);
    struct box *box = part->device->box;
    struct finding *f = box_finding_at(
        c, &rule_receptacle_rating, box, node_span(part->device->node),
        "the %s in %s is rated %g A; %s with its %g A breaker takes %s", part->device->def->name,
        address_of_box(m->arena, box, true), part->device->def->rating,
        rules_circuit_words(c, circuit), circuit->breaker, want);
    if (largest <= 0)
        f->article = code_case_article(&m->code, "receptacle-single");
    if (circuit->breaker_node)
        diag_note(m->diag, f, rules_breaker_span(circuit), "breaker given here");
    double breaker = rules_rating_at_least(c, part->device->def->rating);
    if (largest > 0 && breaker > 0 && breaker == part->device->def->rating)
        diag_mend(m->diag, f, "a receptacle of %s, or a %g A breaker with conductors that suit it",
                  want, breaker);
    else
        diag_mend(m->diag, f, "a receptacle of %s", want);
    mends_rating(c, f, part->device, circuit->breaker);
    if (largest > 0 && breaker > 0 && breaker == part->device->def->rating)
        mends_breaker(c, f, circuit, breaker);
    return f;
}

/* Whether the edition wants this receptacle, alone on its circuit, to have the circuit's rating. */
static bool rated_as_circuit(const struct checked *c, const struct device_def *def)
{
    return facts_device_in_list(c->model, def, LIST_CIRCUIT_RATED_RECEPTACLES);
}

/* A circuit so small that the book lets it feed no receptacles: one finding, at the first. */
static bool feeds_none(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    double up_to = code_current(&m->code, SET_NO_RECEPTACLES_UP_TO, 0);
    if (circuit->breaker > up_to + 1e-9)
        return false;
    struct finding *f = NULL;
    const struct device *last = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        const struct box *box = part->device->box;
        if (!facts_receptacles_in(part) || part->device == last ||
            !facts_known(part->device, ITS_TEXT))
            continue;
        last = part->device;
        looked(c, receptacle_rating);
        if (f) {
            diag_note(m->diag, f, node_span(part->device->node), "and this one");
            continue;
        }
        f = box_finding_at(
            c, &rule_receptacle_rating, box, node_span(part->device->node),
            "the %s in %s is on %s, whose breaker is %g A: a circuit of %g A feeds no receptacles",
            part->device->def->name, address_of_box(m->arena, box, true),
            rules_circuit_words(c, circuit), circuit->breaker, up_to);
        rules_set_article(c, f, code_table(&m->code, TABLE_NO_RECEPTACLES)->source);
        diag_note(m->diag, f, rules_breaker_span(circuit), "breaker given here");
        double larger = rules_rating_at_least(c, up_to + 1);
        diag_mend(m->diag, f, "a breaker of %g A with conductors that suit it, or another circuit",
                  larger);
        mends_breaker(c, f, circuit, larger);
    }
    return true;
}

/* Such a receptacle is not made in every rating, so that it is the breaker that gives way. */
static void say_exact(const struct checked *c, struct finding *f, const struct device_def *def)
{
    double breaker = rules_rating_at_least(c, def->rating);
    rules_set_article(c, f, code_table(&c->model->code, LIST_CIRCUIT_RATED_RECEPTACLES)->source);
    if (breaker == def->rating)
        diag_mend(c->model->diag, f, "a %g A breaker with conductors that suit it", breaker);
}

static void check_circuit(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->breaker <= 0 || feeds_none(c, circuit))
        return;
    struct receptacles r = count_receptacles(circuit);
    double smallest, largest;
    bool single = r.count == 1 && !r.others;
    if (r.count == 0 || (r.count == 1 && !single) ||
        !allowed(c, circuit->breaker, single, &smallest, &largest))
        return;
    struct finding *f = NULL;
    const struct device *last = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        const struct device_def *def = part->device->def;
        if (!facts_receptacles_in(part) || def->sort != SORT_RECEPTACLE || def->rating <= 0 ||
            part->device == last || !facts_known(part->device, ITS_TEXT))
            continue;
        last = part->device;
        looked(c, receptacle_rating);
        bool exact = rated_as_circuit(c, def);
        double from = exact ? circuit->breaker : smallest, to = exact ? circuit->breaker : largest;
        if (def->rating >= from && (to <= 0 || def->rating <= to))
            continue;
        if (f) {
            diag_note(c->model->diag, f, node_span(part->device->node), "and this one");
            continue;
        }
        f = report(c, circuit, part, from, to);
        if (exact)
            say_exact(c, f, def);
    }
}

CHECK(receptacle_rating, .circuit = {check_circuit, ITS_TEXT | ITS_BREAKER});
