/* Rules about where a cable lies and what it is made of: cable-not-suited, burial-depth,
 * mixed-sizes. */
#include "rules/conductors/conductors.h"
#include "rules/mends.h"

#include "facts/conductors.h"
#include "facts/places.h"
#include "facts/raceways.h"
#include "loads/loads.h"
#include "model/site.h"
#include "wiring/wiring.h"

#include <math.h>
#include <string.h>

/* The cable clause of a run, else its second name in the chain. */
static struct span run_place(const struct run *r)
{
    const struct node *clause = r->own_cable ? node_child(r->node, F_CABLE) : NULL;
    return clause ? node_span(clause) : r->to_span.source ? r->to_span : node_span(r->node);
}

/* Depths are said in inches. */
static const char *depth_words(const struct checked *c, length l)
{
    return arena_printf(c->model->arena, "%s\"", rules_amount_words(c, length_inches(l), 2));
}

/* Whether a run is a further hop of the statement of another one: what its clause says is said
 * once. */
static bool same_statement(const struct run *r, const struct run *said)
{
    return said && r->node == said->node && facts_unit_of_run(r) == facts_unit_of_run(said);
}

static bool is_new(const struct run *r)
{
    return !r->existing && facts_known(r, ITS_TEXT);
}

/* --- cable-not-suited --------------------------------------------------------------------- */

RULE(cable_not_suited, "cable-not-suited", ERROR, FIRM,
     "a cable is made for the place where it lies");

/* A raceway that could lie where this one may not, and is as wide at least; NULL. */
static const struct raceway_def *suited_raceway(struct model *m, const struct places *places,
                                                const struct raceway_def *like)
{
    const struct raceway_def *best = NULL;
    for (uint32_t i = 0; i < m->lib->raceway_list.n; i++) {
        const struct raceway_def *w = m->lib->raceway_list.at[i];
        bool suits = w->inside >= like->inside && w->stick == like->stick;
        for (uint8_t k = 0; k < places->count; k++)
            suits &= facts_raceway_suits(w, places->word[k]);
        if (suits && (!best || w->inside < best->inside))
            best = w;
    }
    return best;
}

/* Where it is wet outside, it is wet in the raceway (300.5(B), 300.9). */
static bool is_wet_inside(const struct places *places)
{
    for (uint8_t i = 0; i < places->count; i++)
        if (!strcmp(places->word[i], "underground") || !strcmp(places->word[i], "wet"))
            return true;
    return false;
}

/* False where the raceway does not suit its place, or what is in it the wet: which is said. */
static bool check_raceway(const struct checked *c, const struct run *r, const struct places *places)
{
    struct model *m = c->model;
    const struct cable_def *cable = c->wiring->of_run[r->id].cable;
    for (uint8_t i = 0; i < places->count; i++) {
        if (facts_raceway_suits(r->raceway, places->word[i]) ||
            !strcmp(places->word[i], "overhead")) /* raceway-support says it */
            continue;
        struct finding *f =
            run_finding(c, &rule_cable_not_suited, r, run_place(r),
                        "run %s is %s, but %s is not for such a place",
                        address_of_run(m->arena, r, true), places->why[i], r->raceway->name);
        const char *article = facts_raceway_article(m, COL_RACEWAY_ARTICLES_USES, r->raceway);
        if (article)
            rules_set_article(c, f, article);
        const struct raceway_def *other = suited_raceway(m, places, r->raceway);
        diag_mend(m->diag, f, other ? "in %s" : "another way, or a raceway made for it",
                  other ? other->name : "");
        if (other)
            model_mend_run(m, f, r, F_IN, arena_printf(m->arena, "in %s", other->name));
        return false;
    }
    if (!cable || !is_wet_inside(places) || facts_cable_suits(cable, "wet"))
        return true;
    struct finding *f =
        run_finding(c, &rule_cable_not_suited, r, run_place(r),
                    "run %s is %s, and it is wet in its raceway: %s is not for that",
                    address_of_run(m->arena, r, true),
                    r->underground ? "laid underground" : "in a wet place", cable->name);
    f->article = code_case_article(&m->code, "raceway-inside");
    diag_mend(m->diag, f, "leave 'cable' out: then single conductors are pulled in");
    mends_leave_out(c, f, false, r->node, F_CABLE);
    return false;
}

/* False where the cable does not suit, which is said. */
static bool check_suits(const struct checked *c, const struct run *r)
{
    struct model *m = c->model;
    const struct cable_def *cable = c->wiring->of_run[r->id].cable;
    struct places places = facts_run_places(m, r);
    if ((!cable && !r->raceway) || !r->circuit)
        return true;
    if (places.count)
        looked(c, cable_not_suited);
    if (r->raceway)
        return check_raceway(c, r, &places);
    for (uint8_t i = 0; i < places.count; i++) {
        if (facts_cable_suits(cable, places.word[i]))
            continue;
        struct finding *f =
            run_finding(c, &rule_cable_not_suited, r, run_place(r),
                        "run %s is %s, but %s is not for such a place",
                        address_of_run(m->arena, r, true), places.why[i], cable->name);
        rules_set_article(c, f,
                          code_row_article(&m->code, COL_CABLE_ARTICLES_ARTICLE, cable->family));
        const struct cable_def *other = facts_suited_cable(m, r, cable);
        if (other)
            diag_mend(m->diag, f, "cable %s", other->name);
        else
            diag_mend(m->diag, f, "another way, or a cable made for it");
        model_mend_cable(m, f, r, other);
        return false;
    }
    return true;
}

BLIND_SPOT(exposed_damage, cable_not_suited, "what could damage the exposed run", "");

static void check_cable_places(const struct checked *c)
{
    const struct run *said = NULL;
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct run *r = c->model->runs.at[i];
        if (is_new(r) && r->exposed)
            diag_passed(c->model->diag, &blind_exposed_damage,
                        address_of_run(c->model->arena, r, true));
        if (is_new(r) && !same_statement(r, said) && !check_suits(c, r))
            said = r;
    }
}
CHECK(cable_not_suited, .plan = check_cable_places);

/* --- burial-depth ------------------------------------------------------------------------- */

/* Whether what a run carries has passed a ground-fault device, or its breaker is one. */
static bool ground_fault_protected(const struct checked *c, const struct run *r)
{
    if (r->circuit->gfci || r->circuit->dual_function)
        return true;
    const struct run_wiring *w = &c->wiring->of_run[r->id];
    for (uint8_t i = 0; i < w->used && w->conductors; i++) {
        const struct box *box = w->conductors[i].net ? w->conductors[i].net->beyond : NULL;
        for (uint32_t k = 0; box && k < box->device_count; k++)
            if (box->devices[k]->def->protects & PROTECTS_GFCI)
                return true;
    }
    return false;
}

/* What lies over a run in the ground, as the edition has it: a word of burial-places; NULL: earth.
 * The drive of more dwellings than the edition says is no drive of a dwelling. */
static const char *over_trench(const struct checked *c, const struct run *r)
{
    struct code *code = &c->model->code;
    uint32_t dwellings = 0;
    if (!r->under || !code_table(code, TABLE_BURIAL_PLACES))
        return NULL;
    for (uint32_t i = 0; i < c->model->units.n; i++)
        dwellings += c->model->units.at[i]->built;
    bool many = dwellings > code_count(code, SET_BURIAL_DRIVES_DWELLINGS, INFINITY);
    return many && !strcmp(r->under, "drive") ? code_word(code, SET_BURIAL_DRIVES_BEYOND)
                                              : r->under;
}

/* The depth of a cable, or of the raceway that a run lies in. A raceway that the edition does not
 * know in the ground lies as deep as a cable. */
static length depth_of_kind(const struct checked *c, const struct run *r, const char *over)
{
    struct code *code = &c->model->code;
    const char *family =
        r->raceway && r->raceway->family ? code_key(code, r->raceway->family) : NULL;
    length in_earth = family && code_table(code, TABLE_BURIAL_RACEWAYS)
                          ? code_cell_length(code, COL_BURIAL_RACEWAYS_DEPTH, family, -1)
                          : -1;
    if (over)
        return code_cell_length(code,
                                in_earth < 0        ? COL_BURIAL_PLACES_CABLE
                                : r->raceway->metal ? COL_BURIAL_PLACES_METAL
                                                    : COL_BURIAL_PLACES_PLASTIC,
                                over, 0);
    return in_earth < 0 ? code_length(code, SET_BURIAL_DEPTH_DIRECT, 0) : in_earth;
}

/* Behind ground-fault protection. */
static length depth_protected(const struct checked *c, const char *over)
{
    struct code *code = &c->model->code;
    return over ? code_cell_length(code, COL_BURIAL_PLACES_PROTECTED, over, 0)
                : code_length(code, SET_BURIAL_DEPTH_PROTECTED, 0);
}

static length depth_low_voltage(const struct checked *c, const char *over)
{
    struct code *code = &c->model->code;
    return over ? code_cell_length(code, COL_BURIAL_PLACES_LOW_VOLTAGE, over, 0)
                : code_length(code, SET_BURIAL_DEPTH_LOW_VOLTAGE, 0);
}

/* The depth that the edition asks, and why where it is not the usual one. */
static length depth_asked(const struct checked *c, const struct run *r, const char **why)
{
    struct code *code = &c->model->code;
    const char *over = over_trench(c, r);
    length usual = depth_of_kind(c, r, over), protected = depth_protected(c, over);
    if (r->low_voltage) {
        length low = depth_low_voltage(c, over);
        return low < usual ? low : usual;
    }
    if (usual <= protected)
        return usual;
    const struct circuit *k = r->circuit;
    double most = code_current(code, SET_BURIAL_DEPTH_PROTECTED_UP_TO, 0);
    if (k->two_pole || k->multiwire || k->breaker <= 0 || k->breaker > most ||
        !ground_fault_protected(c, r))
        return usual;
    *why = arena_printf(c->model->arena, " for %s V, %s A, with GFCI protection",
                        rules_amount_words(c, c->model->volts, 0), rules_amount_words(c, most, 0));
    return protected;
}

/* " under the drive": what is said to lie over a trench. */
static const char *over_words(const struct checked *c, const struct run *r)
{
    return r->under ? arena_printf(c->model->arena, " under the %s", r->under) : "";
}

/* " there": and why, where it counts as another place. */
static const char *there_words(const struct checked *c, const struct run *r)
{
    const char *over = over_trench(c, r);
    if (!over || over == r->under)
        return r->under ? " there" : "";
    return arena_printf(c->model->arena, " there, as under a %s: it is the %s of several dwellings",
                        over, r->under);
}

RULE(burial_depth, "burial-depth", ERROR, FIRM, "a buried cable lies deep enough");

/* False where a cable lies under a building without a raceway and may not, which is said. */
static bool check_bare(const struct checked *c, const struct run *r, const struct node *clause)
{
    struct model *m = c->model;
    const struct cable_def *cable = c->wiring->of_run[r->id].cable;
    const char *over = r->circuit && !r->raceway && cable ? over_trench(c, r) : NULL;
    if (!over || !code_cell_yes(&m->code, COL_BURIAL_PLACES_IN_RACEWAY, over) ||
        (cable->family && code_list_has_name(&m->code, LIST_UNDER_BUILDINGS, cable->family)))
        return true;
    struct finding *f =
        run_finding(c, &rule_burial_depth, r, node_span(clause),
                    "run %s lies%s as a cable (%s); what lies there lies in a raceway",
                    address_of_run(m->arena, r, true), over_words(c, r), cable->name);
    f->article = code_case_article(&m->code, "cable-under-building");
    diag_mend(m->diag, f, "a raceway that is made for the ground: 'in' and its name");
    return false;
}

static void check_burial(const struct checked *c)
{
    struct model *m = c->model;
    const struct run *said = NULL;
    for (uint32_t i = 0; i < m->runs.n; i++) {
        const struct run *r = m->runs.at[i];
        const struct node *clause = r->underground ? node_child(r->node, F_UNDERGROUND) : NULL;
        const char *why = "";
        bool known = clause && is_new(r) && !node_broken(clause) &&
                     (!r->circuit || facts_known(r->circuit, ITS_TEXT | ITS_BREAKER | ITS_FEED));
        length asked = known ? depth_asked(c, r, &why) : 0;
        if (known)
            looked(c, burial_depth);
        if (same_statement(r, said) || (known && !check_bare(c, r, clause)) || r->burial >= asked)
            continue;
        said = r;
        struct finding *f = run_finding(
            c, &rule_burial_depth, r, node_span(clause),
            "run %s lies %s deep%s; a buried %s lies %s deep%s%s",
            address_of_run(m->arena, r, true), depth_words(c, r->burial), over_words(c, r),
            r->raceway ? r->raceway->name : "cable", depth_words(c, asked), there_words(c, r), why);
        length protected = depth_protected(c, over_trench(c, r));
        bool may =
            r->circuit && !*why && protected < asked && r->burial >= protected &&
            !r->circuit->two_pole &&
            r->circuit->breaker <= code_current(&m->code, SET_BURIAL_DEPTH_PROTECTED_UP_TO, 0);
        diag_mend(m->diag, f, "underground %s%s%s", depth_words(c, asked),
                  r->under ? arena_printf(m->arena, " under %s", r->under) : "",
                  may ? ", or GFCI protection of the whole circuit ('gfci' on its breaker)" : "");
        model_mend_run(m, f, r, F_UNDERGROUND,
                       arena_printf(m->arena, "underground %s%s", depth_words(c, asked),
                                    r->under ? arena_printf(m->arena, " under %s", r->under) : ""));
        if (may)
            mends_protection(c, f, r->circuit, F_GFCI);
    }
}
CHECK(burial_depth, .plan = check_burial);

/* --- low-voltage-cable -------------------------------------------------------------------- */

RULE(low_voltage_cable, "low-voltage-cable", ERROR, FIRM,
     "a low-voltage run has a cable, written or told by what it ends at");

static void check_low_voltage(const struct checked *c, const struct run *r)
{
    if (!r->low_voltage || !run_is_whole(r) || !facts_known(r, ITS_BOXES))
        return;
    looked(c, low_voltage_cable);
    if (wiring_cable_of_run(r, c->wiring))
        return;
    struct finding *f =
        run_finding(c, &rule_low_voltage_cable, r, run_place(r),
                    "run %s says no cable, and what is at its ends does not tell which one it is",
                    address_of_run(c->model->arena, r, true));
    diag_mend(c->model->diag, f, "'cable' on the run or on '%s'", r->low_voltage->name);
    for (uint32_t i = 0, offered = 0; i < c->model->lib->cable_list.n && offered < MOST_OFFERED;
         i++) {
        const struct cable_def *cable = c->model->lib->cable_list.at[i];
        if (cable->power || cable->single || cable->of)
            continue;
        model_mend_cable(c->model, f, r, cable);
        offered++;
    }
}
CHECK(low_voltage_cable, .run = {check_low_voltage, ITS_TEXT, NEW_WORK});

/* --- mixed-sizes -------------------------------------------------------------------------- */

/* What is thicker than the terminals of the circuit take has to be spliced down. */

RULE(mixed_sizes, "mixed-sizes", NOTE, FIRM, "the conductors of a circuit have one size");

static void check_sizes(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct run *first = NULL;
    if (!conductors_serve(c, circuit)) /* conductor-undersized says more */
        return;
    for (uint32_t i = 0; i < circuit->runs.n; i++) {
        const struct run *r = circuit->runs.at[i];
        const struct cable_def *cable = c->wiring->of_run[r->id].cable,
                               *before = first ? c->wiring->of_run[first->id].cable : NULL;
        if (!cable || !cable->size || r->circuit != circuit || !is_new(r) ||
            rules_is_tap(c, r, cable))
            continue;
        if (!first) {
            first = r;
        } else if (cable->gauge != before->gauge &&
                   before->gauge >= c->loads->asks[circuit->id].thickest) {
            struct finding *f =
                circuit_finding(c, &rule_mixed_sizes, circuit, run_place(r),
                                "%s is %s here and %s in run %s: its breaker goes by the thinner",
                                rules_circuit_words(c, circuit), conductor_words(c, cable),
                                conductor_words(c, before), address_of_run(m->arena, first, true));
            diag_mend(m->diag, f,
                      "one size throughout, so that nobody later takes the whole circuit for the "
                      "thicker");
            mends_cables_left_out(c, f, circuit);
            return;
        }
    }
}

CHECK(mixed_sizes, .circuit = {check_sizes, ITS_TEXT | ITS_FEED});
