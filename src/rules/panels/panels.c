/* Rules about panels: their spaces, their protection and the place where they hang. */
#include "facts/devices.h"
#include "facts/rooms.h"
#include "loads/panel.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/mends.h"

#include <math.h>
#include <string.h>

/* At a clause of its block, or at its name. */
static struct span at_clause(const struct panel *p, const struct node *clause)
{
    return clause ? node_span(clause) : node_name_span(p->node);
}

static const char *panel_words(const struct checked *c, const struct panel *p)
{
    return arena_printf(c->model->arena, "panel %s", address_of_panel(c->model->arena, p, true));
}

/* --- panel-full --------------------------------------------------------------------------- */

RULE(panel_full, "panel-full", ERROR, FIRM, "a panel has a space for every breaker");

/* Breakers that found no space: those that the plan does not place. */
struct left_over {
    uint32_t count, singles;
    const char *names;
};

enum { NAMED_LEFT_OVER = 4 };

static struct left_over find_left_over(const struct checked *c, const struct panel *p)
{
    struct left_over left = {.names = ""};
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *circuit = p->circuits.at[i];
        const struct circuit_space *s = &c->panels->of_circuit[circuit->id];
        if (circuit->existing || !facts_known(circuit, ITS_TEXT) || s->space)
            continue;
        if (left.count < NAMED_LEFT_OVER)
            left.names = arena_printf(c->model->arena, "%s%s%s", left.names, left.count ? ", " : "",
                                      rules_circuit_words(c, circuit));
        left.count++;
        left.singles += s->poles == 1;
    }
    return left;
}

/* "2 poles of existing circuits stand where the plan does not say"; NULL where it says all. */
static const char *unknown_words(const struct checked *c, const struct panel *p)
{
    uint32_t poles = c->panels->of_panel[p->id].unknown;
    return poles
               ? arena_printf(c->model->arena,
                              "%u pole%s of existing circuits stand%s where the plan does not say",
                              poles, poles == 1 ? "" : "s", poles == 1 ? "s" : "")
               : NULL;
}

/* How many spaces existing circuits want beyond what is free, where all others have theirs. */
static uint32_t lacking(const struct checked *c, const struct panel *p)
{
    const uint8_t *used = panel_used_spaces(c->model->arena, c->panels, p);
    uint32_t free = 0, unknown = c->panels->of_panel[p->id].unknown;
    for (uint32_t n = 1; n <= p->spaces; n++)
        free += used[n] != WHOLE_SPACE ? p->half_size && !used[n] ? 2 : 1 : 0;
    return unknown > free ? unknown - free : 0;
}

static bool adds_breaker(const struct panel *p)
{
    for (uint32_t i = 0; i < p->circuits.n; i++)
        if (!p->circuits.at[i]->existing)
            return true;
    return false;
}

static void check_room(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    struct left_over left = find_left_over(c, p);
    const char *unknown = unknown_words(c, p), *what;
    if (!p->spaces || (!left.count && !(unknown && adds_breaker(p) && lacking(c, p))))
        return;
    if (!left.count)
        what = "no space is left for them";
    else
        what = arena_printf(m->arena, "%s for %s%s",
                            left.singles ? "no space is left"
                                         : "no two free spaces, one above the other, are left",
                            left.names, left.count > NAMED_LEFT_OVER ? " and others" : "");
    struct finding *f =
        panel_finding(c, &rule_panel_full, p, at_clause(p, node_child(p->node, F_SPACES)),
                      "%s has %u space%s%s%s%s, and %s", panel_words(c, p), p->spaces,
                      p->spaces == 1 ? "" : "s", p->half_size ? " for half-size breakers" : "",
                      unknown ? ", " : "", unknown ? unknown : "", what);
    diag_mend(m->diag, f,
              unknown
                  ? "look where the existing breakers are, and write 'space' in their circuits; "
                    "a larger panel, or a second one"
              : left.singles || !left.count
                  ? "a larger panel, or a second one"
                  : "other spaces for the others, a larger panel, or a second one");
}
CHECK(panel_full, .panel = {check_room, ITS_TEXT});

/* --- space-conflict ----------------------------------------------------------------------- */

/* Where it is written which space a circuit has: in its name, else in its `space`. */
static struct span space_span(const struct circuit *circuit)
{
    const struct node *clause = circuit->number ? NULL : node_child(circuit->node, F_SPACE);
    return clause ? node_span(clause) : rules_circuit_span(circuit);
}

static bool is_taken(const struct panel *p, uint32_t space)
{
    for (uint32_t i = 0; i < p->taken.n; i++)
        if (space >= p->taken.at[i].first && space <= p->taken.at[i].last)
            return true;
    return false;
}

RULE(space_conflict, "space-conflict", ERROR, FIRM, "no two breakers want one space");

/* Who has the halves of a space: (panel, 2 n) the upper one, (panel, 2 n + 1) the lower one. */
static const struct circuit *owner_of(struct map *owners, const struct panel *p, uint32_t space,
                                      uint8_t halves)
{
    for (unsigned k = 0; k < 2; k++) {
        const struct circuit *owner = halves & (k ? LOWER_HALF : UPPER_HALF)
                                          ? map_get(owners, (uintptr_t)p, 2 * (uintptr_t)space + k)
                                          : NULL;
        if (owner)
            return owner;
    }
    return NULL;
}

static void own(struct arena *arena, struct map *owners, const struct circuit *circuit,
                uint32_t space, uint8_t halves)
{
    for (unsigned k = 0; k < 2; k++)
        if (halves & (k ? LOWER_HALF : UPPER_HALF))
            map_put(arena, owners, (uintptr_t)circuit->panel, 2 * (uintptr_t)space + k,
                    (void *)circuit);
}

/* Which spaces would do, and how sure that is. */
static void mend_with_free(const struct checked *c, struct finding *f,
                           const struct circuit *circuit)
{
    struct model *m = c->model;
    const struct panel *p = circuit->panel;
    uint8_t poles = circuit_poles(circuit);
    const char *free = panel_free_words(m->arena, c->panels, p, poles,
                                        p->half_size ? circuit->half : HALF_NONE),
               *unknown = unknown_words(c, p);
    if (!p->spaces)
        diag_mend(m->diag, f, "another space");
    else if (!free)
        diag_mend(m->diag, f, "a larger panel, or a second one: no %s of %s %s free",
                  poles == 2 ? "two spaces, one above the other," : "space", panel_words(c, p),
                  poles == 2 ? "are" : "is");
    else
        diag_mend(m->diag, f, "another space; free%s%s: %s", unknown ? ", though " : "",
                  unknown ? unknown : "", free);
    if (free)
        mends_leave_out(c, f, false, circuit->node, F_SPACE);
}

static void in_conflict(const struct checked *c, const struct circuit *circuit, uint32_t space,
                        const char *why, const struct circuit *owner)
{
    struct finding *f = circuit_finding(
        c, &rule_space_conflict, circuit, space_span(circuit), "%s wants space %u, but %s %s",
        rules_circuit_words(c, circuit), space, panel_words(c, circuit->panel), why);
    if (owner)
        diag_note(c->model->diag, f, space_span(owner), "written here");
    if (!diag_is_full(c->model->diag, &rule_space_conflict))
        mend_with_free(c, f, circuit);
}

static void check_space(const struct checked *c, const struct circuit *circuit, struct map *owners)
{
    struct model *m = c->model;
    const struct panel *p = circuit->panel;
    for (uint32_t k = 0; k < circuit_poles(circuit); k++) {
        uint32_t space = circuit->space + 2 * k;
        uint8_t halves = panel_half(circuit->half, k);
        const struct circuit *owner = owner_of(owners, p, space, halves);
        const char *why = NULL;
        if (p->spaces && space > p->spaces)
            why = arena_printf(m->arena, "has %u space%s", p->spaces, p->spaces == 1 ? "" : "s");
        else if (!circuit->existing && is_taken(p, space))
            why = "has that space taken";
        else if (owner)
            why = arena_printf(m->arena, "has %s there", rules_circuit_words(c, owner));
        if (why) {
            in_conflict(c, circuit, space, why, owner);
            return;
        }
    }
    for (uint32_t k = 0; k < circuit_poles(circuit); k++)
        own(m->arena, owners, circuit, circuit->space + 2 * k, panel_half(circuit->half, k));
}

/* A circuit whose name is a number sits there, whatever its `space` says. */
static void check_number(const struct checked *c, const struct circuit *circuit)
{
    if (!circuit->number || !circuit->space_written || circuit->space_written == circuit->number)
        return;
    struct finding *f = circuit_finding(
        c, &rule_space_conflict, circuit, node_span(node_child(circuit->node, F_SPACE)),
        "%s is in space %u by its number, and its 'space' says %u", rules_circuit_words(c, circuit),
        circuit->number, circuit->space_written);
    diag_mend(c->model->diag, f, "leave 'space' out, or give the circuit the number of its space");
    mends_leave_out(c, f, false, circuit->node, F_SPACE);
}

static bool is_placed(const struct circuit *circuit)
{
    return circuit->space && circuit->panel && facts_known(circuit, ITS_TEXT) &&
           facts_known(circuit->panel, ITS_TEXT);
}

static void check_spaces(const struct checked *c)
{
    struct map owners = {0};
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        if (is_placed(circuit)) {
            check_number(c, circuit);
            check_space(c, circuit, &owners);
        }
    }
}
/* A panel that takes no half-size breakers, and circuits that say they are: said once, at the first
 * that wants the other half of a space, else at the first of all. */
static void check_halves(const struct checked *c, const struct panel *p)
{
    const struct circuit *first = NULL, *second = NULL;
    struct map owners = {0};
    for (uint32_t i = 0; i < p->circuits.n && !p->half_size; i++) {
        const struct circuit *circuit = p->circuits.at[i];
        if (!circuit->half || !facts_known(circuit, ITS_TEXT))
            continue;
        first = first ? first : circuit;
        if (!circuit->space)
            continue;
        second = !second && map_get(&owners, 0, circuit->space) ? circuit : second;
        map_put(c->model->arena, &owners, 0, circuit->space, (void *)circuit);
    }
    const struct circuit *at = second ? second : first;
    if (!at)
        return;
    struct finding *f = circuit_finding(c, &rule_space_conflict, at,
                                        node_span(node_child(at->node, F_CIRCUIT_HALF)),
                                        "%s is half-size, and %s takes no such breakers",
                                        rules_circuit_words(c, at), panel_words(c, p));
    diag_note(c->model->diag, f, node_name_span(p->node), "the panel");
    diag_mend(c->model->diag, f,
              "'half-size' in the panel where it is marked for them, else a space of its own");
    edit_clause(rules_way(c, f, false, "'half-size' in the panel"), p->node, F_HALF_SIZE,
                "half-size");
}
CHECK(space_conflict, .plan = check_spaces, .panel = {check_halves, ITS_TEXT});

/* --- phase-imbalance ---------------------------------------------------------------------- */

RULE(phase_imbalance, "phase-imbalance", NOTE, WAIVABLE,
     "the two lines of a panel carry much the same");

/* Spaces that are found balance the lines as well as can be; said is what those cost that the plan
 * gives. Where it does not say all loads, nobody knows what each line carries. */
static void check_balance(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    const struct panel_lines *lines = &c->panels->of_panel[p->id];
    double carries = (p->main > 0 ? p->main : p->bus) * m->volts; /* a few lamps are nothing */
    if (!panel_is_uneven(m, lines, carries) || panel_loads_unsaid(c->panels, p))
        return;
    struct better_order better = panel_better_order(m->arena, c->panels, p);
    if (!better.moves)
        return;
    struct finding *f = panel_finding(c, &rule_phase_imbalance, p, node_name_span(p->node),
                                      "%s carries %.0f VA on line A and %.0f VA on line B",
                                      panel_words(c, p), lines->va[0], lines->va[1]);
    diag_mend(m->diag, f,
              "another order of its circuits comes to %.0f VA and %.0f VA: 'report panel' names it",
              better.va[0], better.va[1]);
}
CHECK(phase_imbalance, .panel = {check_balance, ITS_TEXT, NEW_WORK});

/* --- main-missing ------------------------------------------------------------------------- */

RULE(main_missing, "main-missing", ERROR, FIRM, "a breaker protects the bus of every panel");

/* A main breaker that its bus carries. */
static void mend_main(const struct checked *c, struct finding *f, const struct panel *p)
{
    const char *text = arena_printf(c->model->arena, "main %g A", p->bus);
    edit_clause(rules_way(c, f, false, "%s", text), p->node, F_MAIN, text);
}

static void check_main(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    double feeder = p->feeder ? p->feeder->breaker : 0;
    const char *panel = panel_words(c, p);
    struct finding *f;
    if (p->bus > 0 && p->main > p->bus) {
        f = panel_finding(c, &rule_main_missing, p, at_clause(p, node_child(p->node, F_MAIN)),
                          "the main breaker of %s is %g A, and its bus carries %g A", panel,
                          p->main, p->bus);
        diag_mend(m->diag, f, "a main breaker of %g A or less", p->bus);
        mend_main(c, f, p);
    } else if (p->main <= 0 && p->bus > 0 && !p->fed) {
        f = panel_finding(c, &rule_main_missing, p, at_clause(p, node_child(p->node, F_BUS)),
                          "%s has lugs only, and no feeder with a breaker before it: "
                          "nothing protects its bus",
                          panel);
        diag_mend(m->diag, f, "'main %g A', or the feeder that feeds it", p->bus);
        mend_main(c, f, p);
    } else if (p->main <= 0 && p->bus > 0 && feeder > p->bus &&
               facts_known(p->feeder, ITS_BREAKER)) {
        f = panel_finding(
            c, &rule_main_missing, p, at_clause(p, node_child(p->node, F_BUS)),
            "%s has lugs only and a bus of %g A, and the breaker of its feeder is %g A", panel,
            p->bus, feeder);
        diag_note(m->diag, f, rules_breaker_span(p->feeder), "the breaker of the feeder");
        diag_mend(m->diag, f, "'main %g A', or a feeder breaker of %g A or less", p->bus, p->bus);
        mend_main(c, f, p);
        mends_breaker(c, f, p->feeder, p->bus);
    }
}

CHECK(main_missing, .panel = {check_main, ITS_TEXT, NEW_WORK});

/* --- panel-place -------------------------------------------------------------------------- */

RULE(panel_place, "panel-place", ERROR, WAIVABLE, "a panel hangs where one may hang");

static void check_place(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    struct table *t = code_table(&m->code, TABLE_PANEL_NOT_IN);
    struct use use = p->room ? facts_use_of_panel(p) : (struct use){0};
    if (t && use.count)
        looked(c, panel_place);
    for (uint32_t i = 0; t && i < use.count; i++) {
        const char *kind = table_kind(t, use.kinds[i]);
        const char *article =
            kind ? code_cell_cite(&m->code, COL_PANEL_NOT_IN_ARTICLE, kind) : NULL;
        if (!article)
            continue;
        struct finding *f =
            panel_finding(c, &rule_panel_place, p, at_clause(p, node_child(p->node, F_PANEL_IN)),
                          "%s hangs in room '%s', and none may hang in a %s", panel_words(c, p),
                          p->room->name, kind);
        rules_set_article(c, f, article);
        diag_mend(m->diag, f, "a wall of another room, with clear floor before it");
        return;
    }
}

CHECK(panel_place, .panel = {check_place, ITS_TEXT, NEW_WORK});

/* --- surge-protection --------------------------------------------------------------------- */

/* Whether a panel has a protector, or may have one: what hangs on it is not known in full. */
static bool has_protector(const struct checked *c, const struct panel *p)
{
    for (uint32_t i = 0; i < p->circuits.n; i++)
        if (!facts_known(p->circuits.at[i], ITS_TEXT | ITS_FEED))
            return true;
    for (uint32_t i = 0; i < p->circuits.n; i++)
        for (uint32_t k = 0; k < p->circuits.at[i]->parts.n; k++)
            if (facts_device_in_list(c->model, p->circuits.at[i]->parts.at[k]->device->def,
                                     LIST_SURGE_DEVICES))
                return true;
    return false;
}

/* Panels that a panel feeds: whether one of them is a dwelling unit's, and whether each has a
 * protector. */
static void look_at_fed(const struct checked *c, const struct panel *p, bool *dwelling, bool *each)
{
    uint32_t fed = 0;
    *each = true;
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct panel *next = p->circuits.at[i]->feeds;
        if (!next)
            continue;
        fed++;
        *dwelling = *dwelling || next->unit;
        *each = *each && has_protector(c, next);
    }
    *each = *each && fed;
}

RULE(surge_protection, "surge-protection", ERROR, FIRM, "a dwelling is protected against surges");

static void check_surge(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    bool dwelling = m->calculate == CALCULATE_DWELLING, each;
    look_at_fed(c, p, &dwelling, &each);
    bool feeder = p->feeder && p->unit && code_yes(&c->model->code, SET_SURGE_PROTECTION_FEEDERS);
    bool service = !p->feeder && p->main > 0 && dwelling && !each &&
                   code_yes(&c->model->code, SET_SURGE_PROTECTION_SERVICES);
    if ((!feeder && !service) || has_protector(c, p))
        return;
    struct finding *f = panel_finding(
        c, &rule_surge_protection, p, node_name_span(p->node),
        "%s serves a dwelling, and nothing in it protects against surges", panel_words(c, p));
    rules_set_article(
        c, f,
        code_row_article(&m->code, COL_SURGE_ARTICLES_ARTICLE, feeder ? "feeder" : "service"));
    diag_mend(m->diag, f, "a box beside it with a 'surge-protector', on a two-pole circuit");
}

CHECK(surge_protection, .panel = {check_surge, ITS_TEXT, NEW_WORK});
