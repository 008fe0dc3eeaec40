/* cut-too-long: a cut for which no coil is long enough. cut-too-short: a cable in the wall, by the
 * site log, that no longer reaches. cable-pulled-differs: one of another sort. */
#include "cuts/cuts.h"
#include "framing/routes.h"
#include "log/log.h"
#include "model/orders.h"
#include "rules/check.h"
#include "wiring/wiring.h"

#include <string.h>

static length longest_coil(const struct model *m, const struct cable_def *cable)
{
    length longest = 0;
    bool bought = false;
    for (uint32_t i = 0; i < m->coils.n; i++) {
        const struct coil *coil = m->coils.at[i];
        if (!cuts_is_coil_of(coil, cable))
            continue;
        bought = bought || !coil->on_hand;
        if (coil->length > longest)
            longest = coil->length;
    }
    for (uint32_t i = 0; i < cable->stock_count && !bought; i++)
        if (cable->stock[i] > longest)
            longest = cable->stock[i];
    return longest;
}

RULE(cut_too_long, "cut-too-long", ERROR, WAIVABLE, "every cut comes off a coil in one piece");

/* Whether an end of it stands where its room has no place for it, which is told: how long it is,
 * nobody knows then. */
static bool ends_anywhere(const struct run *r)
{
    return (r->from.box && !facts_known(r->from.box, ITS_PLACE)) ||
           (r->to.box && !facts_known(r->to.box, ITS_PLACE));
}

/* That no coil is left is said only where it is proven that no other allotment leaves one. Of a
 * cable that is sold in no known length nothing is said. */
static void say_too_long(const struct checked *c, const struct cable_cuts *cuts,
                         const struct run *run)
{
    const struct cable_def *cable = cuts->cable;
    struct model *m = c->model;
    const char *subject = rules_run_subject(c, run);
    length cut = c->routes->of_run[run->id].cut, longest = longest_coil(m, cable);
    const char *address = address_of_run(m->arena, run, true);
    if (!longest || ends_anywhere(run))
        return;
    struct finding *f = NULL;
    if (cut > longest)
        f = model_finding(m, &rule_cut_too_long, node_span(run->node), facts_unit_of_run(run),
                          subject, "run %s is cut %s long, and the longest coil of %s has %s",
                          address, rules_feet(c, cut), cable->name, rules_feet(c, longest));
    else if (cuts->none_left)
        f = model_finding(m, &rule_cut_too_long, node_span(run->node), facts_unit_of_run(run),
                          subject, "run %s is cut %s long, and no coil of %s has so much left",
                          address, rules_feet(c, cut), cable->name);
    if (f)
        diag_mend(m->diag, f,
                  "'coil %s' and its length, where one of %s or more is to be had; or a box on the "
                  "way, and two runs",
                  cable->name, rules_feet(c, cut));
}

/* A length that the allotment cannot count with: said of the coil, else of the run. */
static void say_refused(const struct checked *c, const struct cable_cuts *cuts)
{
    struct model *m = c->model;
    struct finding *f = NULL;
    const char *most = rules_feet(c, PACK_LENGTH_MAX / FOOT * FOOT);
    for (uint32_t i = 0; i < m->coils.n && !f; i++) {
        const struct coil *coil = m->coils.at[i];
        if (cuts_is_coil_of(coil, cuts->cable) && coil->length > PACK_LENGTH_MAX)
            f = diag_add(m->diag, &rule_limit, node_span(coil->node),
                         "a coil of %s is longer than the %s that cuts are reckoned with",
                         rules_feet(c, coil->length), most);
    }
    for (uint32_t i = 0; i < cuts->too_long_count && !f; i++) {
        const struct run *run = cuts->too_long[i];
        if (c->routes->of_run[run->id].cut > PACK_LENGTH_MAX)
            f = model_finding(m, &rule_limit, node_span(run->node), facts_unit_of_run(run),
                              rules_run_subject(c, run),
                              "run %s is cut longer than the %s that can be reckoned with",
                              address_of_run(m->arena, run, true), most);
    }
}

/* By cable: whether a run of it may be of another length, so that another piece of a coil is left
 * for the others. */
static bool *cables_in_doubt(const struct checked *c, struct arena *scratch)
{
    bool *in_doubt = arena_array(scratch, bool, c->cuts->cable_count + 1);
    struct map of = {0};
    for (uint32_t i = 0; i < c->cuts->cable_count; i++)
        map_put(scratch, &of, 0, (uintptr_t)c->cuts->cables[i].cable, &in_doubt[i]);
    for (uint32_t i = 0; i < c->model->runs.n; i++) {
        const struct run *run = c->model->runs.at[i];
        bool *its = facts_known(run, ITS_WAY)
                        ? NULL
                        : map_get(&of, 0, (uintptr_t)wiring_cable_of_run(run, c->wiring));
        if (its)
            *its = true;
    }
    return in_doubt;
}

static void check_cut_too_long(const struct checked *c)
{
    struct arena scratch = {.out_of_memory = c->model->arena->out_of_memory};
    bool *in_doubt = cables_in_doubt(c, &scratch);
    for (uint32_t i = 0; i < c->cuts->cable_count; i++) {
        const struct cable_cuts *cuts = &c->cuts->cables[i];
        if (cuts->refused)
            say_refused(c, cuts);
        for (uint32_t k = 0; k < cuts->too_long_count && !cuts->refused && !in_doubt[i]; k++)
            say_too_long(c, cuts, cuts->too_long[k]);
    }
    arena_free(&scratch);
}
CHECK(cut_too_long, .plan = check_cut_too_long, .with = {&rule_limit});

RULE(cut_too_short, "cut-too-short", ERROR, WAIVABLE,
     "a cable that is in the wall reaches both of its boxes");

/* Of a strand nobody measured the hops: it is too short as one, which is said of its first. */
static void say_short_strand(const struct checked *c, const struct run *run,
                             const struct log_event *whole)
{
    struct model *m = c->model;
    length least = 0;
    for (uint32_t i = 0; i < whole->about.runs.n; i++)
        least += log_least_length(m, c->routes, whole->about.runs.at[i]);
    if (run != whole->about.runs.at[0])
        return;
    struct finding *f = run_finding(c, &rule_cut_too_short, run, node_span(run->node),
                                    "%s was pulled in one, %s long, and now needs %s: %s short",
                                    whole->subject, rules_feet(c, whole->length),
                                    rules_feet(c, least), rules_feet(c, least - whole->length));
    diag_note(m->diag, f, whole->span, "pulled here");
    diag_mend(m->diag, f,
              "log how far it went: the boxes that it reaches and their length; pull what is left "
              "anew");
}

static void check_length(const struct checked *c, const struct run *run)
{
    struct model *m = c->model;
    const struct log_event *pulled = c->log ? c->log->of_run[run->id].pulled : NULL;
    length least = log_least_length(m, c->routes, run);
    if (!pulled || !pulled->length || pulled->length >= least)
        return;
    if (pulled->whole) {
        say_short_strand(c, run, pulled->whole);
        return;
    }
    const char *subject = rules_run_subject(c, run);
    struct finding *f = model_finding(
        m, &rule_cut_too_short, node_span(run->node), facts_unit_of_run(run), subject,
        "run %s was pulled %s long and now needs %s: %s short", address_of_run(m->arena, run, true),
        rules_feet(c, pulled->length), rules_feet(c, least), rules_feet(c, least - pulled->length));
    diag_note(m->diag, f, pulled->span, "pulled here");
    diag_mend(m->diag, f,
              "pull a new piece and log it; or a box with a cover where the old one ends, and "
              "two runs");
}
CHECK(cut_too_short, .run = {check_length});

RULE(cable_pulled_differs, "cable-pulled-differs", ERROR, WAIVABLE,
     "a cable that is in the wall is the one that the plan asks for");

static void check_cable_pulled(const struct checked *c, const struct run *run)
{
    struct model *m = c->model;
    const struct log_event *pulled = c->log ? c->log->of_run[run->id].pulled : NULL;
    const struct cable_def *cable = library_as_written(wiring_cable_of_run(run, c->wiring));
    if (!pulled || run->existing || !pulled->cable || !cable || !strcmp(cable->name, pulled->cable))
        return;
    struct finding *f =
        run_finding(c, &rule_cable_pulled_differs, run, node_span(run->node),
                    "run %s was pulled in %s, and the plan asks for %s",
                    address_of_run(m->arena, run, true), pulled->cable, cable->name);
    diag_note(m->diag, f, pulled->span, "pulled here");
    diag_mend(m->diag, f,
              "pull %s and log it; or write 'cable %s' on the run, where nothing speaks against it",
              cable->name, pulled->cable);
}
CHECK(cable_pulled_differs, .run = {check_cable_pulled});
