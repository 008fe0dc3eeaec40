/* How a rule is checked: an object beside the function that does it, and what these functions
 * share. */
#ifndef STUDBAY_RULES_CHECK_H
#define STUDBAY_RULES_CHECK_H

#include "rules/rules.h"

enum { CHECK_SPEAKS_OF = 2 };

/* One way of looking at a plan: of the whole plan, or of each thing of a sort. */
struct check {
    const struct rule *rule, *with[CHECK_SPEAKS_OF]; /* the rules that it speaks of */
    void (*plan)(const struct checked *c);
    void (*box)(const struct checked *c, const struct box *box);
    unsigned needs; /* what of the thing must be known, else nothing is said of it: enum matter */
    bool new_work;  /* what is there already is not looked at */
};

/* The check of a rule: its function in the field of the sort of thing, then what it needs. One that
 * speaks of more rules names the others in `with`. */
#define CHECK(id, ...)                                                                             \
    extern const struct check check_of_##id;                                                       \
    const struct check check_of_##id = {.rule = &rule_##id, __VA_ARGS__}

/* All checks, in the order of the list of rules: made with it. */
extern const struct check *const check_list[];
extern const uint32_t check_count;

/* Runs one. */
void check_run(const struct checked *c, const struct check *check);

/* Whether a list of the edition names a device, or one that it is based on. */
bool device_in_list(const struct checked *c, const struct device_def *def, enum book_table list);

/* Where a circuit's breaker is written, and where its name is. */
struct span breaker_span(const struct circuit *circuit);
struct span circuit_span(const struct circuit *circuit);

/* "circuit P.2" or "feeder P", for messages. */
const char *circuit_words(const struct checked *c, const struct circuit *circuit);

/* The subject of a finding about a run: its address and its circuit's, so that a waiver may name
 * either. */
const char *run_subject(const struct checked *c, const struct run *run);

/* The unit that a run is built in, or NULL. */
const struct unit *unit_of_run(const struct run *run);

/* An amount as a builder says it, without needless zeros; `places` behind the point at most. */
const char *amount_words(const struct checked *c, double amount, int places);

/* A finding about a circuit at `span`. */
#define circuit_finding(c, rule, circuit, span, ...)                                               \
    model_finding((c)->model, (rule), (span), (circuit)->unit,                                     \
                  circuit_address((c)->model->arena, (circuit), false), __VA_ARGS__)

/* The article of one row in place of the rule's own, with the label of the electrical edition. */
void set_article(const struct checked *c, struct finding *f, const char *article);

/* A finding at the name of a box. */
struct finding *say_of_box(const struct checked *c, const struct rule *rule, const struct box *box,
                           const char *message);

#endif
