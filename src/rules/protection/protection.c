/* gfci-missing, afci-missing, tamper-resistant, gfci-not-reachable */
#include "rules/protection/protection.h"
#include "rules/mends.h"

#include "facts/rooms.h"
#include "model/site.h"
#include "resolve/value.h"
#include "wiring/protect.h"

#include <math.h>
#include <string.h>

bool rules_is_replacement(const struct device *d)
{
    return d->box->existing && !d->existing;
}

bool rules_is_new_outlet(const struct device *d)
{
    return !d->existing && !rules_is_replacement(d) && facts_known(d, ITS_TEXT | ITS_BOXES);
}

/* --- what can be reached ------------------------------------------------------------------ */

/* Up to what height a thing on a wall hides what is behind it; 0: it hides nothing. How high a
 * built-in thing is the plan does not say. */
static length hides_up_to(const struct checked *c, const struct fixture *f)
{
    struct code *code = &c->model->code;
    if (f->form == F_FIXED || f->form == F_RANGE)
        return code_length(code, SET_COUNTER_TOP_HEIGHT, 0);
    return f->form == F_TUB ? code_cell_length(code, COL_FIXED_THINGS_RIM, code_key(code, "tub"), 0)
                            : 0;
}

/* Whether something drawn stands before a box: a built-in thing or a range, up to the height of a
 * counter; a tub, up to its rim. */
static bool behind_fixture(const struct checked *c, const struct box *box)
{
    const struct place *p = &box->place;
    for (uint32_t i = 0; p->where == ON_WALL && i < box->room->fixtures.n; i++) {
        const struct fixture *f = &box->room->fixtures.at[i];
        bool covers = f->wall == p->wall && p->from_left > f->from_left &&
                      p->from_left < f->from_left + f->wide;
        if (covers && p->up >= f->sill && p->up < hides_up_to(c, f))
            return true;
    }
    return false;
}

static bool too_high(const struct checked *c, const struct box *box)
{
    return box->place.up > code_length(&c->model->code, SET_HANDLE_HEIGHT_UP_TO, INT64_MAX);
}

/* Why a device in this box could not be tested and reset, in words; NULL: it could. */
static const char *out_of_reach(const struct checked *c, const struct box *box)
{
    struct model *m = c->model;
    if (box->place.where == OVERHEAD)
        return "hangs overhead, where it is reached from a ladder only";
    if (too_high(c, box))
        return arena_printf(m->arena, "stands higher than %s",
                            facts_feet_words(m->arena, length_feet(code_length(
                                                           &m->code, SET_HANDLE_HEIGHT_UP_TO, 0))));
    return behind_fixture(c, box) ? "stands behind something that is fastened in place" : NULL;
}

/* --- gfci-missing ------------------------------------------------------------------------- */

const struct device *rules_exchangeable(const struct checked *c, const struct box *box,
                                        const struct circuit *circuit, bool onward)
{
    for (uint32_t i = 0; i < box->device_count && !out_of_reach(c, box); i++) {
        const struct device *d = box->devices[i];
        const struct part *part =
            d->part_count == 1 && d->def->sort == SORT_RECEPTACLE && !d->def->protects
                ? &d->parts[0]
                : NULL;
        if (part && part->circuit == circuit && part->volts == c->model->volts &&
            !(onward && part->leg))
            return d;
    }
    return NULL;
}

/* The nearest box before this one where a device would protect it; NULL where there is none. Filed
 * for every box on the way, so that all ways up together are walked once. */
static const struct box *box_before(const struct checked *c, struct map *filed,
                                    const struct circuit *circuit, const struct box *box)
{
    const struct box *from = box, *found = NULL;
    static const char nothing;
    while (from) {
        const void *known = map_find(filed, circuit, from);
        const struct box *up = wiring_box_up(c->protected, circuit, from);
        if (known) {
            found = known == &nothing ? NULL : known;
            break;
        }
        if (up &&
            (rules_exchangeable(c, up, circuit, true) || wiring_protector_in_box(up, circuit))) {
            found = up;
            break;
        }
        from = up;
    }
    for (const struct box *at = box; at && !map_find(filed, circuit, at);
         at = wiring_box_up(c->protected, circuit, at)) {
        map_file(c->model->arena, filed, circuit, at,
                 found ? (void *)(uintptr_t)found : (void *)(uintptr_t)&nothing);
        if (at == from)
            break;
    }
    return found;
}

/* What to write in the box before, where a device would protect this part from there on. */
static const char *onward_words(const struct checked *c, const struct box *up,
                                const struct circuit *circuit)
{
    struct arena *arena = c->model->arena;
    const char *address = address_of_box(arena, up, true);
    const struct device *d = wiring_protector_in_box(up, circuit);
    if (!d)
        return arena_printf(arena, "one with 'onward' in %s before it", address);
    if (!(d->def->protects & PROTECTS_GFCI))
        return arena_printf(arena, "'receptacle-dual onward' in place of the %s in %s",
                            d->def->name, address);
    return d->onward ? arena_printf(arena, "no 'line-side' on the way from the %s in %s to it",
                                    d->def->name, address)
                     : arena_printf(arena, "'onward' on the %s in %s", d->def->name, address);
}

/* The same as an edit, where a device stands there that has but to hand it on. */
static void mend_onward(const struct checked *c, struct finding *f, const struct box *up,
                        const struct circuit *circuit)
{
    const struct device *d = wiring_protector_in_box(up, circuit);
    if (d && d->def->protects & PROTECTS_GFCI && !d->onward)
        edit_clause(rules_way(c, f, false, "%s", onward_words(c, up, circuit)), d->node, F_ONWARD,
                    "onward");
}

static void mend_gfci(const struct checked *c, struct map *filed, struct finding *f,
                      const struct part *part)
{
    struct model *m = c->model;
    const struct circuit *circuit = part->circuit;
    const struct box *box = part->device->box;
    const char *breaker = circuit->afci ? "'dual-function' in place of 'afci' on the breaker"
                                        : "'gfci' on the breaker";
    /* A device cannot protect what takes both lines, nor beyond it a neutral that two lines share.
     */
    const struct box *up =
        part->volts == m->volts && !circuit->multiwire ? box_before(c, filed, circuit, box) : NULL;
    const char *onward = up ? onward_words(c, up, circuit) : NULL;
    bool here = part->volts == m->volts && rules_exchangeable(c, box, circuit, false);
    if (here && up)
        diag_mend(m->diag, f, "a GFCI receptacle here, %s, or %s", onward, breaker);
    else if (here)
        diag_mend(m->diag, f, "a GFCI receptacle here, or %s", breaker);
    else if (up && !wiring_protector_in_box(up, circuit))
        diag_mend(m->diag, f, "a GFCI device with 'onward' in %s before it, or %s",
                  address_of_box(m->arena, up, true), breaker);
    else if (up)
        diag_mend(m->diag, f, "%s, or %s", onward, breaker);
    else
        diag_mend(m->diag, f, "%s", breaker);
    if (here && box->device_count == 1)
        mends_receptacle(c, f, part->device, "-gfci", "");
    if (up)
        mend_onward(c, f, up, circuit);
    mends_protection(c, f, circuit, F_GFCI);
}

static bool asks_gfci(const struct checked *c, const struct part *part)
{
    const struct protected_part *s = wiring_protected_part(c->protected, part);
    return s->known && s->gfci_article;
}

static bool lacks_gfci(const struct checked *c, const struct part *part)
{
    return asks_gfci(c, part) && !is_guarded(wiring_protected_part(c->protected, part)->gfci);
}

/* Whether a box before this one could not be read in full: what protects may be in it. */
static bool doubtful_before(const struct checked *c, const struct circuit *circuit,
                            const struct box *box)
{
    const struct box *up =
        facts_known(circuit, ITS_FEED) ? NULL : wiring_box_up(c->protected, circuit, box);
    while (up && facts_known(up, ITS_TEXT))
        up = wiring_box_up(c->protected, circuit, up);
    return up != NULL;
}

bool rules_lacks_gfci(const struct checked *c, const struct part *part)
{
    return lacks_gfci(c, part) && !doubtful_before(c, part->circuit, part->device->box);
}

RULE(gfci_missing, "gfci-missing", ERROR, FIRM,
     "what the edition lists is protected from ground faults");

/* A box with an outlet of a circuit that lacks protection: the first of them. */
struct unguarded {
    const struct part *part;
    const struct box *box;
};

typedef VEC(struct unguarded) unguarded_list;

static const char *outlet_words(const struct checked *c, const struct part *part)
{
    return arena_printf(c->model->arena, "the %s in %s %s", part->device->def->name,
                        address_of_box(c->model->arena, part->device->box, true),
                        wiring_protected_part(c->protected, part)->gfci_why);
}

BLIND_SPOT(before_the_end, gfci_missing,
           "whether the job is of a day when the edition still exempted", "");

/* Where an exemption has ended: to which day it held, and what the plan's date has to do with it.
 */
static void note_exemption(const struct checked *c, struct finding *f, const struct part *part)
{
    struct model *m = c->model;
    const char *until = wiring_protected_part(c->protected, part)->exempt_until,
               *rest = "; a plan with an earlier 'date' keeps the exemption";
    if (!until)
        return;
    if (m->dated)
        rest = "";
    else if (m->date)
        rest = arena_printf(m->arena,
                            "; the plan's date, '%s', does not count, as it is not written as "
                            "this one",
                            m->date);
    diag_note(m->diag, f, node_span(part->device->node), "the edition exempted it until %s%s",
              until, rest);
    if (!m->dated)
        box_passed(c, before_the_end, part->device->box);
}

/* The other outlets of the box that lack it, on the same circuit. */
static void note_others(const struct checked *c, struct finding *f, const struct unguarded *u)
{
    for (uint32_t i = 0; i < u->box->device_count; i++) {
        const struct device *d = u->box->devices[i];
        for (uint32_t k = 0; d != u->part->device && k < d->part_count; k++)
            if (rules_is_new_outlet(d) && d->parts[k].circuit == u->part->circuit &&
                lacks_gfci(c, &d->parts[k])) {
                diag_note(c->model->diag, f, node_span(d->node), "and this one");
                break;
            }
    }
}

/* The first of the boxes, where all the others lie behind it, so that a device there could protect
 * them; else NULL. Each box on the ways up is looked at once. */
static const struct box *box_before_all(const struct checked *c, const struct circuit *circuit,
                                        const unguarded_list *list)
{
    struct map behind = {0}, lacks = {0};
    const struct box *first = list->at[0].box;
    for (uint32_t i = 0; i < list->n; i++)
        map_put(c->model->arena, &lacks, (uintptr_t)list->at[i].box, 1, (void *)list->at[i].box);
    for (const struct box *at = first; at; at = wiring_box_up(c->protected, circuit, at))
        first = map_get(&lacks, (uintptr_t)at, 1) ? at : first;
    if (circuit->multiwire)
        return NULL;
    *map_at(c->model->arena, &behind, (uintptr_t)first, 1) = (void *)first;
    for (uint32_t i = 0; i < list->n; i++) {
        const struct box *at = list->at[i].box;
        while (at && !map_get(&behind, (uintptr_t)at, 1))
            at = wiring_box_up(c->protected, circuit, at);
        if (!at || list->at[i].part->volts != c->model->volts)
            return NULL;
        for (at = list->at[i].box; !map_get(&behind, (uintptr_t)at, 1);
             at = wiring_box_up(c->protected, circuit, at))
            map_put(c->model->arena, &behind, (uintptr_t)at, 1, (void *)at);
    }
    return first;
}

/* A device that protects all of the boxes: in the first, or before it where one stands already. */
static void mend_circuit_gfci(const struct checked *c, struct map *filed, struct finding *f,
                              const struct box *first, const struct circuit *circuit)
{
    struct model *m = c->model;
    const char *breaker = circuit->afci ? "'dual-function' in place of 'afci' on the breaker"
                                        : "'gfci' on the breaker";
    const struct box *up = first ? box_before(c, filed, circuit, first) : NULL;
    if (first && wiring_protector_in_box(first, circuit))
        diag_mend(m->diag, f, "%s, or %s", onward_words(c, first, circuit), breaker);
    else if (up && wiring_protector_in_box(up, circuit))
        diag_mend(m->diag, f, "%s, or %s", onward_words(c, up, circuit), breaker);
    else if (first && rules_exchangeable(c, first, circuit, true))
        diag_mend(m->diag, f, "%s, or a GFCI receptacle with 'onward' in %s", breaker,
                  address_of_box(m->arena, first, true));
    else
        diag_mend(m->diag, f, "%s", breaker);
    if (first && wiring_protector_in_box(first, circuit))
        mend_onward(c, f, first, circuit);
    else if (up && wiring_protector_in_box(up, circuit))
        mend_onward(c, f, up, circuit);
    mends_protection(c, f, circuit, F_GFCI);
}

/* Where several boxes of a circuit lack protection, it is the circuit that lacks it. */
static void say_circuit_gfci(const struct checked *c, struct map *filed,
                             const struct circuit *circuit, const unguarded_list *list)
{
    struct model *m = c->model;
    const struct part *part = list->at[0].part;
    struct finding *f =
        circuit_finding(c, &rule_gfci_missing, circuit, rules_circuit_span(circuit),
                        "%s feeds %u boxes that no GFCI protects: %s",
                        rules_circuit_words(c, circuit), list->n, outlet_words(c, part));
    rules_set_article(c, f, wiring_protected_part(c->protected, part)->gfci_article);
    for (uint32_t i = 0; f && i < list->n; i++) {
        const struct part *each = list->at[i].part;
        const char *own = wiring_protected_part(c->protected, each)->gfci_article;
        bool other = strcmp(own, wiring_protected_part(c->protected, part)->gfci_article);
        diag_note(m->diag, f, node_span(each->device->node), "%s%s%s%s", outlet_words(c, each),
                  other ? " (" : "", other ? own : "", other ? ")" : "");
        note_exemption(c, f, each);
    }
    mend_circuit_gfci(c, filed, f, box_before_all(c, circuit, list), circuit);
}

static void say_box_gfci(const struct checked *c, struct map *filed, const struct unguarded *u)
{
    struct finding *f = box_finding(c, &rule_gfci_missing, u->box, "%s, and no GFCI protects it",
                                    outlet_words(c, u->part));
    rules_set_article(c, f, wiring_protected_part(c->protected, u->part)->gfci_article);
    note_exemption(c, f, u->part);
    note_others(c, f, u);
    mend_gfci(c, filed, f, u->part);
}

/* Files the boxes of each circuit that have an outlet without protection. */
static void file_unguarded(const struct checked *c, unguarded_list *of_circuit,
                           const struct box *box)
{
    for (uint32_t i = 0; i < box->device_count; i++) {
        const struct device *d = box->devices[i];
        for (uint32_t k = 0; k < d->part_count && rules_is_new_outlet(d); k++) {
            const struct part *part = &d->parts[k];
            if (asks_gfci(c, part))
                looked(c, gfci_missing);
            if (!rules_lacks_gfci(c, part))
                continue;
            unguarded_list *list = &of_circuit[part->circuit->id];
            if (!list->n || list->at[list->n - 1].box != box)
                *vec_push(c->model->arena, list) = (struct unguarded){part, box};
        }
    }
}

BLIND_SPOT(stands_apart, gfci_missing, "whether", "stands apart from a dwelling, on the ground");

BLIND_SPOT(wired_inside, gfci_missing, "whether what is wired in at",
           "wants GFCI as an outlet outdoors does");

static void pass_wired_inside(const struct checked *c)
{
    for (uint32_t i = 0; i < c->protected->wired_inside.n; i++) {
        const struct part *part = c->protected->wired_inside.at[i];
        if (rules_is_new_outlet(part->device) && !asks_gfci(c, part))
            box_passed(c, wired_inside, part->device->box);
    }
}

static void check_gfci_missing(const struct checked *c)
{
    struct map filed = {0};
    pass_wired_inside(c);
    for (uint32_t i = 0; i < c->protected->undecided.n; i++)
        room_passed(c, stands_apart, c->protected->undecided.at[i]);
    unguarded_list *of_circuit =
        arena_array(c->model->arena, unguarded_list, c->model->circuits.n + 1);
    for (uint32_t i = 0; i < c->model->boxes.n; i++)
        file_unguarded(c, of_circuit, c->model->boxes.at[i]);
    for (uint32_t i = 0; i < c->model->circuits.n; i++)
        if (of_circuit[i].n == 1)
            say_box_gfci(c, &filed, &of_circuit[i].at[0]);
        else if (of_circuit[i].n)
            say_circuit_gfci(c, &filed, c->model->circuits.at[i], &of_circuit[i]);
}
CHECK(gfci_missing, .plan = check_gfci_missing);

/* --- afci-missing ------------------------------------------------------------------------- */

bool rules_lacks_afci(const struct checked *c, const struct part *part)
{
    const struct protected_part *s = wiring_protected_part(c->protected, part);
    return s->known && s->afci_asked && (!is_guarded(s->afci) || s->afci_too_late);
}

static const char *afci_words(const struct circuit *circuit)
{
    return circuit->gfci ? "'dual-function' in place of 'gfci' on the breaker"
                         : "'afci' on the breaker";
}

static const char *place_words(const struct checked *c, const struct box *box)
{
    struct use use = facts_use_of_box(box);
    for (uint32_t i = 0; i < use.count; i++)
        if (code_list_has_kind(&c->model->code, LIST_AFCI_PLACES, use.kinds[i]))
            return use.kinds[i]->name;
    return use.count ? use.kinds[0]->name : "room";
}

RULE(afci_missing, "afci-missing", ERROR, FIRM,
     "circuits of the rooms that the edition lists are protected from arc faults");

static void check_circuit_afci(const struct checked *c, const struct circuit *circuit)
{
    struct model *m = c->model;
    struct finding *f = NULL;
    const struct device *last = NULL;
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        const struct device *d = part->device;
        if (d == last || !rules_is_new_outlet(d))
            continue;
        if (wiring_protected_part(c->protected, part)->afci_asked)
            looked(c, afci_missing);
        if (!rules_lacks_afci(c, part))
            continue;
        last = d;
        if (!f) {
            const char *late = wiring_protected_part(c->protected, part)->afci_too_late;
            f = circuit_finding(c, &rule_afci_missing, circuit, rules_circuit_span(circuit),
                                "%s serves the %s in %s (kind %s), and %s",
                                rules_circuit_words(c, circuit), d->def->name,
                                address_of_box(m->arena, d->box, true), place_words(c, d->box),
                                late ? late : "no AFCI protects it");
            diag_mend(
                m->diag, f,
                late ? "%s, or the AFCI device in the first box from the panel, near enough to it"
                     : "%s",
                afci_words(circuit));
            mends_protection(c, f, circuit, F_AFCI);
        }
        diag_note(m->diag, f, node_span(d->node), "%s in %s", d->def->name,
                  address_of_box(m->arena, d->box, true));
    }
}

CHECK(afci_missing, .circuit = {check_circuit_afci, ITS_TEXT | ITS_BREAKER, NEW_WORK});

/* --- tamper-resistant --------------------------------------------------------------------- */

bool rules_wants_shutters(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    struct code *code = &m->code;
    if (!code_table(code, TABLE_TAMPER_RESISTANT) || d->def->sort != SORT_RECEPTACLE ||
        d->def->tamper_resistant || !d->part_count)
        return false;
    return d->def->rating <= code_current(code, SET_TAMPER_RESISTANT_AMPS, INFINITY) &&
           d->parts[0].volts <= code_voltage(code, SET_TAMPER_RESISTANT_VOLTS, INFINITY) &&
           d->box->place.up <= code_length(code, SET_TAMPER_RESISTANT_UP_TO, INT64_MAX) &&
           !behind_fixture(c, d->box);
}

RULE(tamper_resistant, "tamper-resistant", ERROR, FIRM,
     "receptacles within a child's reach have shutters");

static void check_shutters(const struct checked *c, const struct device *d)
{
    struct model *m = c->model;
    if (rules_is_replacement(d) || d->def->sort != SORT_RECEPTACLE)
        return;
    looked(c, tamper_resistant);
    if (!rules_wants_shutters(c, d))
        return;
    struct finding *f = device_finding(c, &rule_tamper_resistant, d, "the %s in %s has no shutters",
                                       d->def->name, address_of_box(m->arena, d->box, true));
    diag_mend(m->diag, f, "a tamper-resistant receptacle, such as 'receptacle'");
    mends_device(c, f, d, "receptacle");
}
CHECK(tamper_resistant, .device = {check_shutters, ITS_TEXT | ITS_BOXES, NEW_WORK});

/* --- gfci-not-reachable ------------------------------------------------------------------- */

RULE(gfci_not_reachable, "gfci-not-reachable", ERROR, FIRM,
     "a GFCI device stands where it can be tested and reset");
BLIND_SPOT(before_gfci, gfci_not_reachable, "what will stand before the GFCI device in", "");

/* The same receptacle without its protection, and that on the breaker. */
static void mend_reach(const struct checked *c, struct finding *f, const struct device *d)
{
    static const char gfci[] = "-gfci";
    const struct circuit *circuit = d->parts[0].circuit;
    const char *at = strstr(d->def->name, gfci);
    const char *name = at ? arena_printf(c->model->arena, "%.*s%s", (int)(at - d->def->name),
                                         d->def->name, at + strlen(gfci))
                          : NULL;
    if (!name || !library_device(c->model->lib, names_of(c->model->names, name)) || !circuit ||
        !circuit->breaker_node || circuit->afci || circuit->gfci || circuit->dual_function)
        return;
    struct editing e = rules_way(c, f, false, "'%s' here, and 'gfci' on the breaker", name);
    edit_word(e, d->node, name);
    if (d->onward)
        edit_remove(e, node_child(d->node, F_ONWARD));
    edit_clause(e, circuit->breaker_node, F_GFCI, "gfci");
}

static void check_reach(const struct checked *c, const struct box *box)
{
    struct model *m = c->model;
    bool asked =
        code_table(&m->code, TABLE_GFCI) && code_yes(&m->code, SET_GFCI_READILY_ACCESSIBLE);
    for (uint32_t i = 0; i < box->device_count && asked; i++) {
        const struct device *d = box->devices[i];
        if (!(d->def->protects & PROTECTS_GFCI) || !rules_is_new_outlet(d))
            continue;
        const char *address = address_of_box(m->arena, box, true), *why = out_of_reach(c, box);
        looked(c, gfci_not_reachable);
        box_passed(c, before_gfci, box);
        if (!why)
            continue;
        struct finding *f = box_finding(c, &rule_gfci_not_reachable, box, "the %s in %s %s",
                                        d->def->name, address, why);
        diag_mend(
            m->diag, f,
            "a plain receptacle here, and the protection in a box before it or on the breaker");
        mend_reach(c, f, d);
        return;
    }
}
CHECK(gfci_not_reachable, .box = {check_reach, ITS_TEXT | ITS_PLACE});
