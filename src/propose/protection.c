/* propose protection: for each circuit whose outlets want protection that they have not, of the
 * ways to give it the cheapest that holds: on the breaker, by a device that protects onward, by
 * devices where they are wanted. Each way is compiled and judged by the rules. */
#include "emit/words/circuits.h"
#include "model/address.h"
#include "model/model.h"
#include "model/orders.h"
#include "propose/propose.h"
#include "propose/trial.h"
#include "resolve/edit.h"
#include "rules/mends.h"
#include "rules/protection/protection.h"
#include "wiring/protect.h"

#include <string.h>

/* A receptacle that makes way for one that protects, or that has but to protect onward. */
struct exchange {
    const struct device *device;
    const struct device_def *def; /* NULL: it stays */
    bool onward;
};

/* A way to protect a circuit. */
struct way {
    bool gfci, afci; /* what its breaker is to do besides what it does */
    VEC(struct exchange) devices;
    const char *words;
};

typedef VEC(struct way) way_list;
typedef VEC(const struct box *) box_list;

struct protecting {
    const struct compilation *of;
    struct checked checked;
    struct trial trial;
    struct proposal *out;
    const struct circuit *circuit;
    box_list unguarded; /* boxes of it with an outlet that wants GFCI and has none */
    bool wants_gfci, wants_afci, unpriced;
    way_list ways;
};

/* What a way costs. */
struct way_cost {
    uint32_t parts; /* of which another is bought */
    double money;
    bool known; /* all their prices are */
};

/* --- what is wanted ----------------------------------------------------------------------- */

/* What of a circuit lacks protection, in any compilation of the plan. */
static bool lacks(const struct checked *c, const struct circuit *circuit, bool gfci)
{
    for (uint32_t i = 0; i < circuit->parts.n; i++) {
        const struct part *part = circuit->parts.at[i];
        if (rules_is_new_outlet(part->device) &&
            (gfci ? rules_lacks_gfci(c, part) : rules_lacks_afci(c, part)))
            return true;
    }
    return false;
}

static void find_unguarded(struct protecting *p)
{
    p->unguarded.n = 0;
    for (uint32_t i = 0; i < p->circuit->parts.n; i++) {
        const struct part *part = p->circuit->parts.at[i];
        bool known = false;
        for (uint32_t k = 0; k < p->unguarded.n; k++)
            known |= p->unguarded.at[k] == part->device->box;
        if (!known && rules_is_new_outlet(part->device) && rules_lacks_gfci(&p->checked, part))
            *vec_push(p->out->arena, &p->unguarded) = part->device->box;
    }
}

/* --- the ways ----------------------------------------------------------------------------- */

static const struct box *box_up(const struct protecting *p, const struct box *box)
{
    return wiring_box_up(p->checked.protected, p->circuit, box);
}

/* A device of a box that protects, and has but to do so onward. */
static const struct device *idle_protector(const struct protecting *p, const struct box *box)
{
    const struct device *d = wiring_protector_in_box(box, p->circuit);
    return d && d->def->protects & PROTECTS_GFCI && !d->onward && !d->existing ? d : NULL;
}

/* What would protect all behind a box, itself with it: `def` NULL where a device that is there has
 * but to hand it on; `device` NULL where nothing would. */
static struct exchange onward_in(const struct protecting *p, const struct box *box,
                                 const char *middle)
{
    const struct device *d = idle_protector(p, box);
    if (d)
        return (struct exchange){.device = d, .onward = true};
    d = rules_exchangeable(&p->checked, box, p->circuit, true);
    struct exchange x = {.device = d, .onward = true};
    x.def = d ? mends_receptacle_type(&p->checked, d, middle, "") : NULL;
    return x.def ? x : (struct exchange){0};
}

static void add_exchange(const struct protecting *p, struct way *w, struct exchange x)
{
    for (uint32_t i = 0; i < w->devices.n; i++)
        if (w->devices.at[i].device == x.device)
            return;
    *vec_push(p->out->arena, &w->devices) = x;
}

/* For each box the first on the way from the panel, or the last before it, that would protect it
 * and all behind; false where one has none. */
static bool by_onward(const struct protecting *p, bool first, struct way *w)
{
    for (uint32_t i = 0; i < p->unguarded.n; i++) {
        struct exchange found = {0};
        for (const struct box *at = p->unguarded.at[i]; at && (first || !found.device);
             at = box_up(p, at)) {
            struct exchange x = onward_in(p, at, "-gfci");
            found = x.device ? x : found;
        }
        if (!found.device)
            return false;
        add_exchange(p, w, found);
    }
    return true;
}

/* A device in each box that wants one, for itself. */
static bool by_each(const struct protecting *p, struct way *w)
{
    for (uint32_t i = 0; i < p->unguarded.n; i++) {
        const struct device *d =
            rules_exchangeable(&p->checked, p->unguarded.at[i], p->circuit, false);
        const struct device_def *def =
            d ? mends_receptacle_type(&p->checked, d, "-gfci", "") : NULL;
        if (!def)
            return false;
        add_exchange(p, w, (struct exchange){.device = d, .def = def});
    }
    return true;
}

/* A device in the first box from the panel that protects the rest from both or from arc faults. */
static bool by_first_box(const struct protecting *p, struct way *w)
{
    const struct box *box = p->circuit->parts.n ? p->circuit->parts.at[0]->device->box : NULL;
    for (const struct box *up = box; up; up = box_up(p, up))
        box = up;
    struct exchange x =
        box ? onward_in(p, box, p->wants_gfci ? "-dual" : "-afci") : (struct exchange){0};
    if (!x.def)
        return false;
    add_exchange(p, w, x);
    return true;
}

static void add_way(struct protecting *p, struct way w, const char *words)
{
    w.words = words;
    *vec_push(p->out->arena, &p->ways) = w;
}

/* All that come into question; of two as cheap the first is taken. */
static void find_ways(struct protecting *p)
{
    struct way onward = {.afci = p->wants_afci}, before = onward, each = onward, box = {0};
    const struct circuit *c = p->circuit;
    bool breaker = c->breaker_node && !c->dual_function && (!c->multiwire || c->two_pole);
    p->ways.n = 0;
    if (breaker)
        add_way(p, (struct way){.gfci = p->wants_gfci, .afci = p->wants_afci}, "on the breaker");
    if (p->wants_afci && by_first_box(p, &box))
        add_way(p, box, "by the device in the first box");
    if (!p->wants_gfci || c->multiwire || (p->wants_afci && !breaker))
        return;
    if (by_each(p, &each))
        add_way(p, each, "by a device in each box that wants it");
    if (by_onward(p, false, &before))
        add_way(p, before, "by devices that protect onward");
    if (by_onward(p, true, &onward))
        add_way(p, onward, "by devices that protect onward");
}

/* --- as edits ----------------------------------------------------------------------------- */

/* An old breaker stays unless a new one takes its place. */
static void write_breaker(struct editing e, const struct protecting *p, const struct way *w)
{
    const struct node *breaker = p->circuit->breaker_node;
    bool gfci = w->gfci || p->circuit->gfci, afci = w->afci || p->circuit->afci;
    if (!w->gfci && !w->afci)
        return;
    if (p->circuit->existing && !p->circuit->breaker_new)
        edit_on_line(e, breaker, "new");
    edit_clause(e, breaker, p->circuit->gfci ? F_GFCI : F_AFCI,
                gfci && afci ? "dual-function"
                : gfci       ? "gfci"
                             : "afci");
}

static void write_way(struct editing e, const struct protecting *p, const struct way *w)
{
    write_breaker(e, p, w);
    for (uint32_t i = 0; i < w->devices.n; i++) {
        const struct exchange *x = &w->devices.at[i];
        if (x->def)
            edit_word(e, x->device->node, x->def->name);
        if (x->onward)
            edit_clause(e, x->device->node, F_ONWARD, "onward");
    }
}

/* --- what they cost ----------------------------------------------------------------------- */

static void add_part(const struct model *m, struct way_cost *cost, const char *now, const char *was)
{
    double more = model_price(m, now), less = was ? model_price(m, was) : 0;
    cost->parts++;
    cost->known = cost->known && more >= 0 && less >= 0;
    cost->money += more - less;
}

/* What is bought more than for the plan as it is; what is there already is not given back. */
static struct way_cost cost_of(const struct protecting *p, const struct way *w)
{
    const struct model *m = p->of->model;
    struct arena *a = p->out->arena;
    struct way_cost cost = {.known = true};
    struct circuit after = *p->circuit;
    after.dual_function = (w->gfci || after.gfci) && (w->afci || after.afci);
    after.gfci = (w->gfci || after.gfci) && !after.dual_function;
    after.afci = (w->afci || after.afci) && !after.dual_function;
    bool old = after.existing && !after.breaker_new;
    if (w->gfci || w->afci)
        add_part(m, &cost, arena_printf(a, "breaker %s", words_breaker(a, &after)),
                 old ? NULL : arena_printf(a, "breaker %s", words_breaker(a, p->circuit)));
    for (uint32_t i = 0; i < w->devices.n; i++)
        if (w->devices.at[i].def)
            add_part(m, &cost, w->devices.at[i].def->name, w->devices.at[i].device->def->name);
    return cost;
}

/* Whether the plan with it, and with what is proposed so far, has all the protection of the
 * circuit, and nothing else is wrong. */
static bool holds(struct protecting *p, const struct way *w)
{
    edit_list edits = {0};
    struct compilation tried;
    for (uint32_t i = 0; i < p->out->edits.n; i++)
        *vec_push(p->out->arena, &edits) = p->out->edits.at[i];
    write_way((struct editing){p->out->arena, &edits}, p, w);
    if (!trial_compile(&p->trial, &edits, &tried))
        return false;
    bool good = tried.routes && tried.model->circuits.n == p->of->model->circuits.n;
    if (good) {
        struct checked checked = compile_checked(&tried);
        const struct circuit *circuit = tried.model->circuits.at[p->circuit->id];
        good = !lacks(&checked, circuit, true) && !lacks(&checked, circuit, false);
    }
    for (uint32_t i = 0; i < tried.diag.findings.n && good; i++) {
        const struct finding *f = &tried.diag.findings.at[i];
        good = f->severity == NOTE || f->waived || trial_has_finding(p->of, f);
    }
    compile_free(&tried);
    return good;
}

static bool is_cheaper(const struct way_cost *a, const struct way_cost *b, bool by_money)
{
    return by_money && a->money != b->money ? a->money < b->money : a->parts < b->parts;
}

/* The ways from the cheapest on, by money where all prices are known; those as cheap stay in their
 * order. Whether it was by money. */
static bool put_in_order(struct protecting *p, struct way_cost *costs)
{
    bool by_money = true;
    for (uint32_t i = 0; i < p->ways.n; i++) {
        costs[i] = cost_of(p, &p->ways.at[i]);
        by_money = by_money && costs[i].known;
    }
    for (uint32_t i = 1; i < p->ways.n; i++)
        for (uint32_t k = i; k && is_cheaper(&costs[k], &costs[k - 1], by_money); k--) {
            struct way way = p->ways.at[k];
            struct way_cost cost = costs[k];
            p->ways.at[k] = p->ways.at[k - 1];
            costs[k] = costs[k - 1];
            p->ways.at[k - 1] = way;
            costs[k - 1] = cost;
        }
    return by_money;
}

/* The cheapest that holds; NULL: none does. */
static const struct way *choose(struct protecting *p, struct way_cost *cost, bool *by_money)
{
    struct way_cost *costs = arena_array(p->out->arena, struct way_cost, p->ways.n + 1);
    *by_money = put_in_order(p, costs);
    for (uint32_t i = 0; i < p->ways.n; i++) {
        *cost = costs[i];
        if (holds(p, &p->ways.at[i]))
            return &p->ways.at[i];
    }
    return NULL;
}

/* --- all circuits ------------------------------------------------------------------------- */

/* "GFCI", "AFCI", "AFCI and GFCI". */
static const char *wanted_words(const struct protecting *p)
{
    return p->wants_gfci && p->wants_afci ? "AFCI and GFCI" : p->wants_gfci ? "GFCI" : "AFCI";
}

static void tell(struct protecting *p, const struct way *w, const struct way_cost *cost,
                 bool by_money)
{
    struct arena *a = p->out->arena;
    const char *name = address_called_as_written(a, p->circuit, true), *what = wanted_words(p),
               *parts = arena_counted(a, cost->parts, "part", "parts");
    if (!w)
        propose_tell(p->out, "%s wants %s, and none of the ways that were tried holds", name, what);
    else if (by_money)
        propose_tell(p->out, "%s: %s %s: %s, for %.2f more", name, what, w->words, parts,
                     cost->money);
    else
        propose_tell(p->out, "%s: %s %s: %s", name, what, w->words, parts);
}

/* Circuits of copies share a text: the first is asked. */
static bool is_first_of_text(const struct model *m, const struct circuit *c)
{
    for (uint32_t i = 0; i < c->id; i++) {
        struct span a = node_span(m->circuits.at[i]->node), b = node_span(c->node);
        if (a.source == b.source && a.off == b.off)
            return false;
    }
    return true;
}

/* Writes the cheapest way to protect a circuit that wants it; false where none holds, `last`: which
 * is told then. */
static bool protect_circuit(struct protecting *p, const struct circuit *circuit, bool last)
{
    struct way_cost cost = {0};
    bool by_money;
    p->circuit = circuit;
    p->wants_gfci = lacks(&p->checked, circuit, true);
    p->wants_afci = lacks(&p->checked, circuit, false);
    if (!p->wants_gfci && !p->wants_afci)
        return true;
    find_unguarded(p);
    find_ways(p);
    const struct way *w = choose(p, &cost, &by_money);
    if (w)
        write_way(propose_edits(p->out), p, w);
    if (w || last)
        tell(p, w, &cost, by_money);
    p->unpriced |= w && !by_money;
    return w;
}

/* One circuit may be at fault only until another is protected: those for which nothing holds are
 * tried once more behind the others, and then told. */
static void protect_all(struct protecting *p, const struct circuit *const *circuits, uint32_t n)
{
    bool *done = arena_array(p->out->arena, bool, n + 1);
    for (int round = 0; round < 2; round++)
        for (uint32_t i = 0; i < n; i++)
            done[i] = done[i] || protect_circuit(p, circuits[i], round > 0);
}

static bool is_asked(const struct propose_asked *asked, struct arena *a, const struct circuit *c)
{
    return !asked->circuit || !strcmp(address_of_circuit(a, c, true), asked->circuit) ||
           !strcmp(address_of_circuit(a, c, false), asked->circuit);
}

bool propose_protection(struct compilation *c, const struct propose_asked *asked,
                        struct proposal *out)
{
    struct protecting p = {.of = c, .checked = compile_checked(c), .out = out};
    VEC(const struct circuit *) circuits = {0};
    bool found = false;
    if (asked->word_count)
        return propose_refuse(out, "nothing stands behind the plan: '%s'", asked->words[0]);
    trial_begin(&p.trial, c, asked->library);
    for (uint32_t i = 0; i < c->model->circuits.n; i++) {
        const struct circuit *circuit = c->model->circuits.at[i];
        if (!is_asked(asked, out->arena, circuit))
            continue;
        found = true;
        if (circuit->node && !circuit->feeds && is_first_of_text(c->model, circuit))
            *vec_push(out->arena, &circuits) = circuit;
    }
    protect_all(&p, circuits.at, circuits.n);
    trial_free(&p.trial);
    if (asked->circuit && !found)
        return propose_refuse(out, "there is no circuit '%s'", asked->circuit);
    if (!out->told.n)
        propose_tell(out, "no protection is missing");
    if (p.unpriced)
        propose_assume(out, "prices of what is bought are not all known: the fewest parts count, "
                            "and of as many the breaker first");
    return true;
}
