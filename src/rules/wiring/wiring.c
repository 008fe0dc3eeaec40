/* Rules about which wires belong together: circuit-in-two-cables, borrowed-neutral,
 * yoke-disconnect, shared-neutral-protection. Which conductors cross each cable, and in which
 * colours, is judged where the cables are chosen, in src/wiring/cables.c: conductors-missing,
 * white-as-return. */
#include "model/makeup.h"
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/protect.h"
#include "wiring/wiring.h"

#include <string.h>

static const char *device_words(const struct checked *c, const struct device *d)
{
    return arena_printf(c->model->arena, "the %s in %s", d->def->name,
                        address_of_box(c->model->arena, d->box, true));
}

/* --- parts of a device that share a neutral ----------------------------------------------- */

/* Two parts that meet on one neutral terminal of their device, with a difference that `differ`
 * finds; false where there are none. */
static bool find_pair(const struct device *d,
                      bool (*differ)(const struct part *a, const struct part *b),
                      const struct part **a, const struct part **b)
{
    for (uint32_t i = 0; i < d->part_count; i++)
        for (uint32_t k = i + 1; k < d->part_count; k++)
            if (parts_share_terminal(&d->parts[i], &d->parts[k], NET_NEUTRAL) &&
                differ(&d->parts[i], &d->parts[k])) {
                *a = &d->parts[i];
                *b = &d->parts[k];
                return true;
            }
    return false;
}

static bool two_circuits(const struct part *a, const struct part *b)
{
    return a->circuit && b->circuit && a->circuit != b->circuit;
}

static bool two_cables(const struct part *a, const struct part *b)
{
    return a->circuit && a->circuit == b->circuit && a->by && b->by && a->by != b->by;
}

RULE(borrowed_neutral, "borrowed-neutral", ERROR, FIRM, "no circuit uses the neutral of another");

static void check_neutral(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    const struct part *a, *b;
    if (d->part_count > 1)
        looked(c, borrowed_neutral);
    if (!find_pair(d, two_circuits, &a, &b))
        return;
    struct finding *f =
        device_finding(c, &rule_borrowed_neutral, d,
                       "%s has one neutral for its %s on %s and its %s on %s: the "
                       "neutrals of two circuits would be joined",
                       device_words(c, d), a->def->name, rules_circuit_words(c, a->circuit),
                       b->def->name, rules_circuit_words(c, b->circuit));
    diag_mend(m->diag, f, "both on one circuit, or a device whose parts have a neutral each");
}
CHECK(borrowed_neutral, .device = {check_neutral, ITS_TEXT | ITS_BOXES, NEW_WORK});

RULE(circuit_in_two_cables, "circuit-in-two-cables", ERROR, FIRM,
     "what goes out in a cable comes back in the same cable");

static void check_feeds(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    const struct part *a, *b;
    if (!find_pair(d, two_cables, &a, &b))
        return;
    struct finding *f =
        device_finding(c, &rule_circuit_in_two_cables, d,
                       "%s has one neutral, but its %s is fed by %s and its %s by %s: "
                       "what goes out in one cable would return in both",
                       device_words(c, d), a->def->name, a->by, b->def->name, b->by);
    diag_mend(m->diag, f, "feed both by the same cable");
}
CHECK(circuit_in_two_cables, .device = {check_feeds, ITS_TEXT | ITS_BOXES, NEW_WORK});

/* --- yoke-disconnect ---------------------------------------------------------------------- */

/* Breakers that are switched off together: tied ones, as far as the plan says. */
static bool off_together(const struct circuit *a, const struct circuit *b)
{
    unsigned needs = ITS_TEXT | ITS_BREAKER;
    return !facts_known(a, needs) || !facts_known(b, needs) || (a->tied && b->tied);
}

RULE(yoke_disconnect, "yoke-disconnect", ERROR, FIRM,
     "what stands on one yoke is switched off together");

static void check_yoke(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    const struct circuit *first = d->part_count ? d->parts[0].circuit : NULL;
    for (uint32_t i = 1; i < d->part_count && d->def->yokes; i++) {
        const struct circuit *other = d->parts[i].circuit;
        if (!first || !other || first == other || off_together(first, other))
            continue;
        struct finding *f = device_finding(
            c, &rule_yoke_disconnect, d,
            "%s stands on one yoke and is fed by %s and %s, whose breakers are not "
            "switched off together",
            device_words(c, d), rules_circuit_words(c, first), rules_circuit_words(c, other));
        if (first->breaker_node)
            diag_note(m->diag, f, rules_breaker_span(first), "the one breaker");
        if (other->breaker_node)
            diag_note(m->diag, f, rules_breaker_span(other), "the other");
        diag_mend(m->diag, f,
                  "breakers side by side with a handle tie, 'tied' on both, or both parts on one "
                  "circuit");
        if (first->breaker_node && other->breaker_node) {
            struct editing e = rules_way(c, f, false, "'tied' on both");
            if (!first->tied)
                edit_clause(e, first->breaker_node, F_TIED, "tied");
            if (!other->tied)
                edit_clause(e, other->breaker_node, F_TIED, "tied");
        }
        return;
    }
}
CHECK(yoke_disconnect, .device = {check_yoke, ITS_TEXT | ITS_BOXES, NEW_WORK});

/* --- shared-neutral-protection ------------------------------------------------------------ */

static const char *protection_word(const struct circuit *circuit)
{
    return circuit->dual_function ? "dual-function" : circuit->gfci ? "GFCI" : "AFCI";
}

RULE(shared_neutral_protection, "shared-neutral-protection", ERROR, FIRM,
     "lines that share a neutral are protected together");

static void check_breaker(const struct checked *c, const struct circuit *circuit)
{
    if (circuit->multiwire)
        looked(c, shared_neutral_protection);
    if (!circuit->multiwire || circuit->two_pole ||
        !circuit->tied || /* multiwire-disconnect says it */
        !(circuit->afci || circuit->gfci || circuit->dual_function))
        return;
    struct finding *f =
        circuit_finding(c, &rule_shared_neutral_protection, circuit, rules_breaker_span(circuit),
                        "the two lines of %s share a neutral, and its %s breakers are of one pole: "
                        "each would see the other's current and trip",
                        rules_circuit_words(c, circuit), protection_word(circuit));
    diag_mend(c->model->diag, f, "a two-pole %s breaker: 'two-pole'", protection_word(circuit));
    mends_two_pole(c, f, circuit);
}

/* A device that passes one line on: what hangs on the other line behind it, or on both, would
 * return through its neutral, or finds nothing. */
static void check_behind(const struct checked *c, const struct terminal_net *t, struct map *said)
{
    const struct net *n = t->net;
    const struct device *protector = n->beyond && circuit_poles(n->circuit) > 1 && n->sort == N_LINE
                                         ? wiring_protector_in_box(n->beyond, n->circuit)
                                         : NULL;
    if (!protector || t->part->device == protector ||
        !body_has(&protector->def->body, true, NET_LINE) ||
        n->pole == (protector->parts[0].pole ? protector->parts[0].pole : 'a'))
        return;
    void **at = map_at(c->model->arena, said, (uintptr_t)protector, 1);
    if (*at)
        return;
    *at = (void *)protector;
    struct finding *f = device_finding(
        c, &rule_shared_neutral_protection, protector,
        "%s %s one line of %s, but what hangs on the other line stands behind it too",
        device_words(c, protector), protector->def->protects ? "protects" : "hands on",
        rules_circuit_words(c, n->circuit));
    diag_note(c->model->diag, f, node_span(t->part->node), "on the other line");
    diag_mend(c->model->diag, f,
              "a two-pole GFCI breaker, or a device of its own for each line where the shared "
              "neutral ends");
}

/* Parts of a device on one circuit whose one neutral lies before a protecting device and behind it:
 * what returns by the wrong one trips it. */
static void check_both_sides(const struct checked *c, const struct terminal_net *t,
                             struct map *first)
{
    struct device *d = t->part->device;
    const struct body *body = c->wiring->forms[d->id][t->part - d->parts].body;
    if (t->net->sort != N_NEUTRAL || !body->terminals[t->terminal].shared)
        return;
    void **at = map_at(c->model->arena, first, (uintptr_t)d, 1);
    const struct terminal_net *o = *at ? *at : t;
    *at = (void *)o;
    if (o->net == t->net || o->net->circuit != t->net->circuit)
        return;
    const struct terminal_net *behind = t->net->beyond ? t : o, *before = behind == t ? o : t;
    const struct device *protector =
        wiring_protector_in_box(behind->net->beyond, behind->net->circuit);
    struct finding *f = device_finding(
        c, &rule_shared_neutral_protection, d,
        "%s has one neutral for its %s behind %s and its %s before it", device_words(c, d),
        behind->part->def->name,
        protector ? device_words(c, protector)
                  : arena_printf(c->model->arena, "the load side in %s",
                                 address_of_box(c->model->arena, behind->net->beyond, true)),
        before->part->def->name);
    diag_mend(c->model->diag, f,
              "both on one side, by where their switches are fed, or a device whose parts have a "
              "neutral each");
}

static void check_shared_neutrals(const struct checked *c)
{
    struct map said = {0}, first = {0};
    for (uint32_t i = 0; i < c->wiring->terminals.n; i++) {
        check_behind(c, &c->wiring->terminals.at[i], &said);
        check_both_sides(c, &c->wiring->terminals.at[i], &first);
    }
}
CHECK(shared_neutral_protection, .plan = check_shared_neutrals,
      .circuit = {check_breaker, ITS_TEXT});
