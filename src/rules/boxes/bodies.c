/* conduit-body: a conduit body is wide enough for its raceways, and nothing is joined in it where
 * its volume is not marked. Article 314.16(C). */
#include "facts/boxes.h"
#include "facts/pulls.h"
#include "facts/raceways.h"
#include "model/site.h"
#include "rules/mends.h"
#include "wiring/wiring.h"

RULE(conduit_body, "conduit-body", ERROR, FIRM,
     "a conduit body is as wide as its raceways ask, and holds no splice but where its volume is "
     "marked");

BLIND_SPOT(thick_conductors, conduit_body, "the length of what is pulled from, for the size of",
           "");

static struct span type_span(const struct box *box)
{
    const struct node *clause = node_child(box->node, F_BOX_TYPE);
    return clause ? node_span(clause) : node_name_span(box->node);
}

/* --- what ends in it ---------------------------------------------------------------------- */

/* Whether all that comes into a box is known: only then is told what it does there. */
static bool is_certain(const struct checked *c, const struct box *box)
{
    for (uint32_t i = 0; i < box->runs.n; i++) {
        const struct run *run = box->runs.at[i];
        if (!run->circuit || !run->circuit->is_tree || !run->in_tree ||
            !c->wiring->of_run[run->id].cable || !c->wiring->of_run[run->id].conductors)
            return false;
    }
    return box->runs.n > 0;
}

static bool has_ground_wire(const struct checked *c, const struct box *box)
{
    for (uint32_t i = 0; i < box->runs.n; i++) {
        const struct cable_def *d = c->wiring->of_run[box->runs.at[i]->id].cable;
        if (d->ground != GROUND_NONE && d->ground != GROUND_RACEWAY)
            return true;
    }
    return false;
}

/* How many nets are cut in a box; `*first` is the name of one, `*pass` how many are not. */
static uint32_t count_cut(const struct checked *c, const struct box *box, const char **first,
                          uint32_t *pass)
{
    struct map seen = {0};
    struct arena scratch = {.out_of_memory = c->model->arena->out_of_memory};
    uint32_t cut = 0;
    *pass = 0;
    *first = "ground";
    for (uint32_t i = 0; i < box->runs.n; i++) {
        const struct run_wiring *w = &c->wiring->of_run[box->runs.at[i]->id];
        for (uint8_t k = 0; k < w->count; k++) {
            const struct net *net = w->conductors[k].net;
            void **at = net ? map_at(&scratch, &seen, (uintptr_t)net, 1) : NULL;
            if (!at || *at)
                continue;
            *at = (void *)net;
            bool passes = wiring_passes(c->wiring, box, net);
            *first = !passes && !cut ? net->name : *first;
            cut += !passes;
            *pass += passes;
        }
    }
    arena_free(&scratch);
    bool grounds = has_ground_wire(c, box), on = wiring_ground_passes(c->wiring, box);
    *pass += grounds && on;
    return cut + (grounds && !on);
}

/* --- conduit-body ------------------------------------------------------------------------- */

/* A box in its place, which is chosen; whoever has a body that is marked defines that. */
static void mend_splices(const struct checked *c, const struct box *box, struct finding *f)
{
    diag_mend(c->model->diag, f,
              "a box in its place; or read the volume in the body and define it: "
              "box-type NAME : %s { volume VOLUME }",
              box->declared->name);
    mends_type(c, f, box, NULL);
}

/* A body that says no volume is one that nobody marked (314.16(C)(2)). */
static void check_contents(const struct checked *c, const struct box *box)
{
    const char *first;
    uint32_t pass;
    if (box->declared->volume > 0)
        return;
    if (box->device_count) {
        mend_splices(c, box,
                     box_finding_at(c, &rule_conduit_body, box, type_span(box),
                                    "conduit body %s holds a %s, and no volume is marked in %s",
                                    address_of_box(c->model->arena, box, true),
                                    box->devices[0]->def->name, box->declared->name));
        return;
    }
    uint32_t cut = is_certain(c, box) ? count_cut(c, box, &first, &pass) : 0;
    if (!cut)
        return;
    const char *more = cut > 1 ? arena_printf(c->model->arena, " and %u more", cut - 1) : "";
    mend_splices(c, box,
                 box_finding_at(c, &rule_conduit_body, box, type_span(box),
                                "%s%s cannot pass conduit body %s uncut, and no volume for joining "
                                "is marked in %s",
                                first, more, address_of_box(c->model->arena, box, true),
                                box->declared->name));
}

static void check_width(const struct checked *c, const struct box *box)
{
    const struct raceway_def *widest = NULL;
    for (uint32_t i = 0; i < box->runs.n; i++) {
        const struct raceway_def *w = box->runs.at[i]->raceway;
        if (w && (!widest || w->inside > widest->inside))
            widest = w;
    }
    double asked = widest ? facts_raceway_area(widest->inside) *
                                code_share(&c->model->code, SET_CONDUIT_BODIES_RACEWAYS, 0)
                          : 0;
    if (facts_body_area(box->declared) >= asked)
        return;
    struct finding *f =
        box_finding_at(c, &rule_conduit_body, box, type_span(box),
                       "conduit body %s: %s has a cross-section of %s in2; for %s it has %s in2",
                       address_of_box(c->model->arena, box, true), box->declared->name,
                       rules_amount_words(c, facts_body_area(box->declared), 3), widest->name,
                       rules_amount_words(c, asked, 3));
    diag_mend(c->model->diag, f, "a conduit body of the size of %s", widest->name);
}

/* --- what is thick, and what does not pass ------------------------------------------------ */

/* What is thicker asks for a length by the size of its raceway, which is not reckoned here. */
static bool is_thick(const struct checked *c, const struct box *box)
{
    const char *up_to = code_size(&c->model->code, SET_CONDUIT_BODIES_UP_TO);
    for (uint32_t i = 0; i < box->runs.n && up_to; i++) {
        const struct cable_def *d = c->wiring->of_run[box->runs.at[i]->id].cable;
        if (d && box->runs.at[i]->raceway && d->gauge < library_gauge_of(up_to))
            return true;
    }
    return false;
}

static void check_pulled_through(const struct checked *c, const struct box *box)
{
    const char *first;
    uint32_t pass = 1;
    if (box->pulled_through && !facts_is_body(box) && is_certain(c, box))
        count_cut(c, box, &first, &pass);
    if (pass)
        return;
    const struct node *said = node_child(box->node, F_PULLED_THROUGH);
    struct finding *f = box_finding_at(
        c, &rule_no_effect_yet, box, said ? node_span(said) : node_name_span(box->node),
        "nothing passes box %s uncut: 'pulled-through' means nothing there",
        address_of_box(c->model->arena, box, true));
    diag_mend(c->model->diag, f,
              "leave the word out, or lead what passes in raceways, in and out again");
    mends_leave_out(c, f, true, box->node, F_PULLED_THROUGH);
}

static void check_body(const struct checked *c, const struct box *box)
{
    check_pulled_through(c, box);
    if (facts_is_passed(box) && is_thick(c, box))
        box_passed(c, thick_conductors, box);
    if (!facts_is_body(box))
        return;
    looked(c, conduit_body);
    check_contents(c, box);
    check_width(c, box);
}
CHECK(conduit_body, .box = {check_body, ITS_TEXT | ITS_TYPE, NEW_WORK},
      .with = {&rule_no_effect_yet});
