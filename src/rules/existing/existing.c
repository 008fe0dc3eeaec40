/* extension-afci, replacement-receptacle, no-ground-to-extend: new work on wiring that is there
 * already. */
#include "facts/devices.h"
#include "facts/places.h"
#include "facts/rooms.h"
#include "framing/routes.h"
#include "model/site.h"
#include "rules/protection/protection.h"
#include "rules/mends.h"
#include "wiring/protect.h"

#include <string.h>

/* --- extension-afci ----------------------------------------------------------------------- */

static bool in_afci_place(const struct checked *c, const struct box *box)
{
    return box && facts_use_in_list(c->model, facts_use_of_box(box), LIST_AFCI_PLACES);
}

/* New cable that ends in a listed room, unprotected where no new outlet says so. */
static length new_cable(const struct checked *c, const struct circuit *circuit)
{
    length sum = 0;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *run = circuit->runs.at[i];
        if (!run->existing && (in_afci_place(c, run->from.box) || in_afci_place(c, run->to.box)) &&
            c->routes->of_run[run->id].known)
            sum += c->routes->of_run[run->id].path;
    }
    return sum;
}

static bool wants_afci(const struct checked *c, const struct circuit *circuit)
{
    return circuit->breaker > 0 && !circuit->two_pole && !circuit->afci &&
           !circuit->dual_function &&
           code_list_has(&c->model->code, LIST_AFCI_RATINGS,
                         arena_printf(c->model->arena, "%g A", circuit->breaker));
}

RULE(extension_afci, "extension-afci", ERROR, FIRM,
     "an old circuit that is extended into listed rooms is protected from arc faults");

static void check_extension(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    struct finding *f = NULL;
    const struct device *last = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct device *d = circuit->parts.at[i]->device;
        if (d == last || !rules_is_new_outlet(d) || !rules_lacks_afci(c, circuit->parts.at[i]))
            continue;
        last = d;
        if (!f)
            f = circuit_finding(
                c, &rule_extension_afci, circuit, rules_circuit_span(circuit),
                "%s is there already and now serves the %s in %s too, and no AFCI protects it",
                rules_circuit_words(c, circuit), d->def->name,
                address_of_box(m->arena, d->box, true));
        diag_note(m->diag, f, node_span(d->node), "%s in %s", d->def->name,
                  address_of_box(m->arena, d->box, true));
    }
    length free = code_length(&m->code, SET_AFCI_EXTENSION_FREE, 0),
           cable = f ? 0 : new_cable(c, circuit);
    if (!f && cable > free && wants_afci(c, circuit))
        f = circuit_finding(
            c, &rule_extension_afci, circuit, rules_circuit_span(circuit),
            "%s is there already and is lengthened by %s, more than %s, and no AFCI protects it",
            rules_circuit_words(c, circuit), facts_feet_words(m->arena, length_feet(cable)),
            facts_feet_words(m->arena, length_feet(free)));
    if (!f)
        return;
    diag_mend(m->diag, f,
              "a new AFCI breaker, written 'afci new', or an AFCI receptacle with 'onward' in the "
              "first new box");
    if (circuit->breaker_node && !circuit->breaker_new && !circuit->gfci)
        edit_clause(rules_way(c, f, false, "'afci new' on the breaker"), circuit->breaker_node,
                    F_AFCI, "afci new");
}

static void check_tree(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->existing && circuit->is_tree) {
        looked(c, extension_afci);
        check_extension(c, circuit);
    }
}
CHECK(extension_afci, .circuit = {check_tree, ITS_TEXT});

/* --- no-ground-to-extend, replacement-receptacle ------------------------------------------ */

/* Whether an old box has no ground: the plan says what it holds, or by what cable the circuit comes
 * to it, and there is none among it. Where it says neither it is not known. */
static bool without_ground(const struct checked *c, const struct circuit *circuit,
                           const struct box *box)
{
    if (!box->existing || box->held_grounds)
        return false;
    const struct run *feed = map_get(&c->protected->feeds, (uintptr_t)circuit, (uintptr_t)box);
    return box->held.n || (feed && feed->declared && feed->declared->ground == GROUND_NONE);
}

/* What new cable brings is known, written or chosen. */
static bool tells_ground(const struct checked *c, const struct circuit *circuit,
                         const struct box *box)
{
    const struct run *feed = map_get(&c->protected->feeds, (uintptr_t)circuit, (uintptr_t)box);
    return box->held.n || (feed && (feed->declared || !feed->existing));
}

RULE(no_ground_to_extend, "no-ground-to-extend", ERROR, FIRM,
     "new cable begins where there is a ground");

static void check_ground(const struct checked *c, const struct box *box)
{
    struct model *m = c->model;
    const struct run *run = NULL;
    for (uint32_t k = 0; k < box->runs.n && !run && box->existing; k++)
        run =
            !box->runs.at[k]->existing && box->runs.at[k]->from.box == box ? box->runs.at[k] : NULL;
    if (!run || !tells_ground(c, run->circuit, box))
        return;
    looked(c, no_ground_to_extend);
    if (!without_ground(c, run->circuit, box))
        return;
    struct finding *f = box_finding(c, &rule_no_ground_to_extend, box,
                                    "new cable begins in %s, which has no ground to give it",
                                    address_of_box(m->arena, box, true));
    diag_note(m->diag, f, node_span(run->node), "this cable");
    diag_mend(m->diag, f,
              "begin where there is a ground, or bring one; where the box has one, write "
              "'grounds' and how many");
}
CHECK(no_ground_to_extend, .box = {check_ground, ITS_TEXT});

/* Whether it stands in the weather and is not made for it. */
static bool wants_resistant(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    bool plain = !facts_device_in_list(m, d->def, LIST_WEATHER_RESISTANT),
         asked = code_yes(&m->code, SET_WEATHER_PROTECTION_RESISTANT),
         weathered = facts_is_weathered(m, d->box) == ANSWER_YES;
    return plain && asked && weathered;
}

/* What the old receptacle did without and the new one may not; `row` is its row in the table of
 * articles. */
static const char *wanted_of(const struct checked *c, const struct device *d, const char **row)
{
    const struct protected_part *s = wiring_protected_part(c->protected, &d->parts[0]);
    if (!s->known)
        return NULL;
    if (without_ground(c, d->parts[0].circuit, d->box) && !is_guarded(s->gfci)) {
        *row = "no-ground";
        return "its box has no ground, so it wants GFCI protection and the mark 'no equipment "
               "ground'";
    }
    if (s->gfci_article && !is_guarded(s->gfci)) {
        *row = "ground-fault";
        return "it wants GFCI protection in this place";
    }
    if (s->afci_asked && !is_guarded(s->afci)) {
        *row = "arc-fault";
        return "it wants AFCI protection in this place";
    }
    if (rules_wants_shutters(c, d)) {
        *row = "shutters";
        return "it wants shutters";
    }
    if (wants_resistant(c, d)) {
        *row = "weather";
        return "in this place it wants to be weather-resistant";
    }
    return NULL;
}

/* The one receptacle, or the one breaker, that gives all that it lacks. */
static void mend_replacement(const struct checked *c, struct finding *f, const struct device *d)
{
    const struct protected_part *s = wiring_protected_part(c->protected, &d->parts[0]);
    bool asked = without_ground(c, d->parts[0].circuit, d->box) || s->gfci_article,
         ground = asked && !is_guarded(s->gfci), arc = s->afci_asked && !is_guarded(s->afci);
    bool keeps_gfci = asked && s->gfci.device == d, /* it would be lost with the device */
        keeps_afci = s->afci_asked && s->afci.device == d;
    const struct circuit *circuit = d->parts[0].circuit;
    if (wants_resistant(c, d)) {
        diag_mend(c->model->diag, f,
                  ground || keeps_gfci
                      ? "'receptacle-gfci-wr' in its place, or 'receptacle-wr' and "
                        "'gfci' on the breaker"
                      : "a weather-resistant one, such as 'receptacle-wr'");
        mends_device(c, f, d, ground || keeps_gfci ? "receptacle-gfci-wr" : "receptacle-wr");
    } else if (ground && arc) {
        diag_mend(c->model->diag, f,
                  "'receptacle-dual' in its place, or 'dual-function' on the breaker");
        mends_device(c, f, d, "receptacle-dual");
    } else if ((ground && keeps_afci) || (arc && keeps_gfci)) {
        diag_mend(c->model->diag, f, "'receptacle-dual' in its place, or '%s' on the breaker",
                  arc ? "afci" : "gfci");
        mends_device(c, f, d, "receptacle-dual");
        mends_protection(c, f, circuit, arc ? F_AFCI : F_GFCI);
    } else if (ground) {
        diag_mend(c->model->diag, f,
                  "'receptacle-gfci' in its place, or 'gfci' on the breaker ('dual-function' "
                  "beside 'afci')");
        mends_device(c, f, d, "receptacle-gfci");
        mends_protection(c, f, circuit, F_GFCI);
    } else if (arc) {
        diag_mend(c->model->diag, f,
                  "'receptacle-afci' in its place, or 'afci' on the breaker ('dual-function' "
                  "beside 'gfci')");
        mends_device(c, f, d, "receptacle-afci");
        mends_protection(c, f, circuit, F_AFCI);
    } else {
        diag_mend(c->model->diag, f, "a tamper-resistant one, such as 'receptacle'");
        mends_device(c, f, d, "receptacle");
    }
}

RULE(replacement_receptacle, "replacement-receptacle", ERROR, FIRM,
     "a receptacle that replaces an old one has what its place asks today");

static void check_replacement(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    const char *row = NULL;
    if (!rules_is_replacement(d) || d->def->sort != SORT_RECEPTACLE || !d->part_count ||
        !d->parts[0].circuit)
        return;
    looked(c, replacement_receptacle);
    const char *wanted = wanted_of(c, d, &row);
    if (!wanted)
        return;
    struct finding *f =
        device_finding(c, &rule_replacement_receptacle, d, "the %s in %s replaces an old one: %s",
                       d->def->name, address_of_box(m->arena, d->box, true), wanted);
    rules_set_article(c, f, code_row_article(&m->code, COL_REPLACEMENT_ARTICLES_ARTICLE, row));
    mend_replacement(c, f, d);
}
CHECK(replacement_receptacle, .device = {check_replacement, ITS_TEXT});
