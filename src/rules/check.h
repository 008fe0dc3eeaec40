/* How a rule is checked: an object beside the function that does it, and what these functions
 * share. */
#ifndef STUDBAY_RULES_CHECK_H
#define STUDBAY_RULES_CHECK_H

#include "facts/facts.h"
#include "model/address.h"
#include "model/finding.h"
#include "model/model.h"
#include "model/power.h"
#include "resolve/written.h"
#include "rules/rules.h"

struct dwelling;
struct wall;

enum { CHECK_SPEAKS_OF = 2 };

/* A function that is called for each thing of a sort, and what must be known of a thing, else
 * nothing is said of it: a set of enum matter. NEW_WORK: what is there already is not looked at. */
#define CHECK_EACH(sort)                                                                           \
    struct {                                                                                       \
        void (*check)(const struct checked *c, const struct sort *sort);                           \
        unsigned needs;                                                                            \
        bool new_work;                                                                             \
    } sort
enum { NEW_WORK = true };

/* One way of looking at a plan: of the whole plan, or of each thing of some sorts. */
struct check {
    const struct rule *rule, *with[CHECK_SPEAKS_OF]; /* the rules that it speaks of */
    void (*plan)(const struct checked *c);
    void (*dwelling)(const struct dwelling *d);
    CHECK_EACH(room);
    CHECK_EACH(box);
    CHECK_EACH(device);
    CHECK_EACH(panel);
    CHECK_EACH(circuit);
    CHECK_EACH(run);
    CHECK_EACH(leg);
};

/* The check of a rule: .box = {function, ITS_TEXT, NEW_WORK}. One that speaks of more rules names
 * the others in `with`. */
#define CHECK(id, ...)                                                                             \
    extern const struct check check_of_##id;                                                       \
    const struct check check_of_##id = {.rule = &rule_##id, __VA_ARGS__}

/* All checks, in the order of the list of rules: made with it. */
extern const struct check *const check_list[];
extern const uint32_t check_count;

/* Whether nothing is asked of a room: it is there and left alone, or all its boxes are there
 * already.
 */
bool rules_room_is_old(const struct room *r);

/* Runs one. */
void rules_run_check(const struct checked *c, const struct check *check);

/* Where a circuit's breaker is written, and where its name is. */
struct span rules_breaker_span(const struct circuit *circuit);
struct span rules_circuit_span(const struct circuit *circuit);

/* "circuit P2", "circuit P7 (bath)" or "feeder Q (P2/4)", for messages: as the panel has it. */
const char *rules_circuit_words(const struct checked *c, const struct circuit *circuit);

/* A circuit as waivers name it: "circuit P.2", "feeder Q". */
const char *rules_circuit_subject(const struct checked *c, const struct circuit *circuit);

/* The subject of a finding about a run: its address and its circuit's, so that a waiver may name
 * either. */
const char *rules_run_subject(const struct checked *c, const struct run *run);

/* Notes that a rule has judged a thing, by its id: where it asks, before it answers. */
#define looked(c, id) diag_looked((c)->model->diag, &rule_##id)

/* Notes by the id of a blind spot that a rule could not judge a box, a room or a panel. */
#define box_passed(c, id, b)                                                                       \
    diag_passed((c)->model->diag, &blind_##id, address_of_box((c)->model->arena, (b), true))
#define room_passed(c, id, r)                                                                      \
    diag_passed((c)->model->diag, &blind_##id, address_of_room((c)->model->arena, (r), true))

#define panel_passed(c, id, p)                                                                     \
    diag_passed((c)->model->diag, &blind_##id, address_of_panel((c)->model->arena, (p), true))

/* "4'-6\"". */
const char *rules_feet(const struct checked *c, length l);

/* What says that a wall, or the ceiling where it is NULL, is opened: in the plan, or in the site
 * log where that has it closed. */
const char *rules_opening(const struct checked *c, const struct wall *wall, bool logged);

/* An amount as a builder says it, without needless zeros; `places` behind the point at most. */
const char *rules_amount_words(const struct checked *c, double amount, int places);

/* "49 C (120 F)". */
const char *rules_degrees_words(const struct checked *c, double celsius);

/* A finding about a circuit at `span`. */
#define circuit_finding(c, rule, circuit, span, ...)                                               \
    model_finding((c)->model, (rule), (span), (circuit)->unit,                                     \
                  rules_circuit_subject((c), (circuit)), __VA_ARGS__)

/* About a run. */
#define run_finding(c, rule, run, span, ...)                                                       \
    model_finding((c)->model, (rule), (span), facts_unit_of_run(run),                              \
                  rules_run_subject((c), (run)), __VA_ARGS__)

/* About a panel. */
#define panel_finding(c, rule, p, span, ...)                                                       \
    model_finding((c)->model, (rule), (span), (p)->unit,                                           \
                  address_of_panel((c)->model->arena, (p), false), __VA_ARGS__)

/* About a room, at its name; about something fixed in it. */
#define room_finding(c, rule, r, ...)                                                              \
    fixed_finding(c, rule, r, node_name_span((r)->node), __VA_ARGS__)
#define fixed_finding(c, rule, r, span, ...)                                                       \
    model_finding((c)->model, (rule), (span), (r)->unit,                                           \
                  address_of_room((c)->model->arena, (r), false), __VA_ARGS__)

/* About a box, at its name or elsewhere; about a device in it, or a part of one, where it stands.
 */
#define box_finding(c, rule, b, ...)                                                               \
    box_finding_at(c, rule, b, node_name_span((b)->node), __VA_ARGS__)
#define box_finding_at(c, rule, b, span, ...)                                                      \
    model_finding((c)->model, (rule), (span), (b)->room->unit,                                     \
                  address_of_box((c)->model->arena, (b), false), __VA_ARGS__)
#define device_finding(c, rule, d, ...)                                                            \
    box_finding_at(c, rule, (d)->box, node_span((d)->node), __VA_ARGS__)
#define part_finding(c, rule, p, ...)                                                              \
    box_finding_at(c, rule, (p)->device->box, node_span((p)->node), __VA_ARGS__)

/* The article of one row in place of the rule's own, with the label of the electrical edition. */
void rules_set_article(const struct checked *c, struct finding *f, const char *article);

#endif
