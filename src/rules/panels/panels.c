/* Rules about panels: their spaces, their protection and the place where they hang. */
#include "facts/devices.h"
#include "facts/rooms.h"
#include "loads/panel.h"
#include "model/site.h"
#include "resolve/value.h"
#include "rules/check.h"

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

static bool writes_spaces(const struct panel *p)
{
    for (uint32_t i = 0; i < p->circuits.n; i++)
        if (p->circuits.at[i]->space && !p->circuits.at[i]->existing)
            return true;
    return false;
}

/* --- panel-full --------------------------------------------------------------------------- */

RULE(panel_full, "panel-full", ERROR, FIRM, "a panel has a space for every breaker");

static void check_room(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    const struct circuit_space *spaces = c->panels->of_circuit;
    uint32_t without = 0, singles = 0;
    const char *names = "";
    for (uint32_t i = 0; i < p->circuits.n; i++) {
        const struct circuit *circuit = p->circuits.at[i];
        if (circuit->existing || !facts_known(circuit, ITS_TEXT) || spaces[circuit->id].space)
            continue;
        if (without < 4)
            names = arena_printf(m->arena, "%s%s%s", names, without ? ", " : "",
                                 rules_circuit_words(c, circuit));
        without++;
        singles += spaces[circuit->id].poles == 1;
    }
    if (!without || !p->spaces)
        return;
    const char *what =
        singles ? "no space is left" : "no two free spaces, one above the other, are left";
    struct finding *f =
        panel_finding(c, &rule_panel_full, p, at_clause(p, node_child(p->node, F_SPACES)),
                      "%s has %u space%s%s, and %s for %s%s", panel_words(c, p), p->spaces,
                      p->spaces == 1 ? "" : "s", p->half_size ? " for half-size breakers" : "",
                      what, names, without > 4 ? " and others" : "");
    diag_mend(m->diag, f,
              singles || !writes_spaces(p)
                  ? "a larger panel, or a second one"
                  : "other written spaces or none, a larger panel, or a second one");
}
CHECK(panel_full, .panel = {check_room, ITS_TEXT});

/* --- space-conflict ----------------------------------------------------------------------- */

static struct span space_span(const struct circuit *circuit)
{
    const struct node *clause = node_child(circuit->node, F_SPACE);
    return clause ? node_span(clause) : rules_circuit_span(circuit);
}

static bool is_taken(const struct panel *p, uint32_t space)
{
    for (uint32_t i = 0; i < p->taken.n; i++)
        if (space >= p->taken.at[i].first && space <= p->taken.at[i].last)
            return true;
    return false;
}

/* Two single breakers share a space where the panel takes half-size ones. */
static bool clashes(const struct panel *p, const struct circuit *before, uint8_t poles,
                    uint8_t poles_before, bool third)
{
    bool halves = p->half_size && poles == 1 && poles_before == 1 && !third;
    return before && !halves;
}

RULE(space_conflict, "space-conflict", ERROR, FIRM, "no two breakers want one space");

static void check_space(const struct checked *c, const struct circuit *circuit, struct map *owners)
{
    struct model *m = c->model;
    const struct panels *panels = c->panels;
    const struct panel *p = circuit->panel;
    uint8_t poles = panels->of_circuit[circuit->id].poles;
    for (uint32_t k = 0; k < poles; k++) {
        uint32_t space = circuit->space + 2 * k;
        uintptr_t second =
            (uintptr_t)space + UINT32_MAX; /* the other half of a space of half-size breakers */
        const struct circuit *before = map_get(owners, (uintptr_t)p, space);
        const char *why = NULL;
        if (p->spaces && space > p->spaces)
            why = arena_printf(m->arena, "has %u space%s", p->spaces, p->spaces == 1 ? "" : "s");
        else if (!circuit->existing && is_taken(p, space))
            why = "has that space taken";
        else if (clashes(p, before, poles, before ? panels->of_circuit[before->id].poles : 0,
                         map_get(owners, (uintptr_t)p, second) != NULL))
            why = arena_printf(m->arena, "has %s there", rules_circuit_words(c, before));
        if (!why) {
            map_put(m->arena, owners, (uintptr_t)p, before ? second : space, (void *)circuit);
            continue;
        }
        struct finding *f = circuit_finding(
            c, &rule_space_conflict, circuit, space_span(circuit), "%s wants space %u, but %s %s",
            rules_circuit_words(c, circuit), space, panel_words(c, p), why);
        if (before)
            diag_note(m->diag, f, space_span(before), "written here");
        diag_mend(m->diag, f, "another space, or none: then one is found");
        return;
    }
}

static void check_spaces(const struct checked *c)
{
    struct map owners = {0};
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        if (circuit->space && circuit->panel && facts_known(circuit, ITS_TEXT) &&
            facts_known(circuit->panel, ITS_TEXT))
            check_space(c, circuit, &owners);
    }
}
CHECK(space_conflict, .plan = check_spaces);

/* --- phase-imbalance ---------------------------------------------------------------------- */

static double difference(const struct panel_lines *l)
{
    return fabs(l->va[0] - l->va[1]);
}

RULE(phase_imbalance, "phase-imbalance", NOTE, WAIVABLE,
     "the two lines of a panel carry much the same");

/* Spaces that are found balance the lines as well as can be; said is what written ones cost. */
static void check_balance(const struct checked *c, const struct panel *p)
{
    struct model *m = c->model;
    const struct panel_lines *lines = &c->panels->of_panel[p->id];
    double larger = lines->va[0] > lines->va[1] ? lines->va[0] : lines->va[1];
    if (!writes_spaces(p) ||
        difference(lines) <= larger * code_share(&m->code, SET_PANEL_BALANCE_NOTE_ABOVE, 1))
        return;
    struct panel_lines freed = panel_without_written_spaces(m->arena, m, c->loads, p);
    if (difference(&freed) + 1 >= difference(lines))
        return;
    struct finding *f =
        panel_finding(c, &rule_phase_imbalance, p, node_name_span(p->node),
                      "the written spaces of %s put %.0f VA on line A and %.0f VA on line B",
                      panel_words(c, p), lines->va[0], lines->va[1]);
    diag_mend(m->diag, f, "left out, the spaces come to %.0f VA and %.0f VA", freed.va[0],
              freed.va[1]);
}
CHECK(phase_imbalance, .panel = {check_balance, ITS_TEXT, NEW_WORK});

/* --- main-missing ------------------------------------------------------------------------- */

RULE(main_missing, "main-missing", ERROR, FIRM, "a breaker protects the bus of every panel");

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
    } else if (p->main <= 0 && p->bus > 0 && !p->fed) {
        f = panel_finding(c, &rule_main_missing, p, at_clause(p, node_child(p->node, F_BUS)),
                          "%s has lugs only, and no feeder with a breaker before it: "
                          "nothing protects its bus",
                          panel);
        diag_mend(m->diag, f, "'main %g A', or the feeder that feeds it", p->bus);
    } else if (p->main <= 0 && p->bus > 0 && feeder > p->bus &&
               facts_known(p->feeder, ITS_BREAKER)) {
        f = panel_finding(
            c, &rule_main_missing, p, at_clause(p, node_child(p->node, F_BUS)),
            "%s has lugs only and a bus of %g A, and the breaker of its feeder is %g A", panel,
            p->bus, feeder);
        diag_note(m->diag, f, rules_breaker_span(p->feeder), "the breaker of the feeder");
        diag_mend(m->diag, f, "'main %g A', or a feeder breaker of %g A or less", p->bus, p->bus);
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
