/* Rules: what is asked of a plan. Each is an object beside the code that records its findings; the
 * list of all is made at the build from the sources (list_rules.sh). A name is a contract. The
 * articles of the rules stand in the library, one table for each edition; a rule's page is
 * docs/rules/NAME.md. */
#ifndef STUDBAY_DIAG_RULE_H
#define STUDBAY_DIAG_RULE_H

#include <stdbool.h>
#include <stdint.h>

enum severity { ERROR, WARNING, NOTE };

/* Whether a plan may waive what it finds. */
enum { FIRM = false, WAIVABLE = true };

struct rule {
    const char *name;
    enum severity severity;
    bool waivable;
    const char *asks;      /* in a line */
    const uint32_t *place; /* in the list of all rules */
};

/* A rule: box_gangs and "box-gangs", its severity, FIRM or WAIVABLE, what it asks. Others know it
 * as rule_box_gangs; where it is used in another file too a header of its room declares it. */
#define RULE(id, name, severity, waivable, asks)                                                   \
    extern const uint32_t place_of_##id;                                                           \
    extern const struct rule rule_##id;                                                            \
    const struct rule rule_##id = {name, severity, waivable, asks, &place_of_##id}

/* What a rule would have to know, and no plan shows: "the weight of" a luminaire. Where a plan has
 * such a thing, `check` and the inspection name it as something to look at on site; the rule's page
 * says so under "Not judged". An object beside the rule, known to others as blind_ID. */
struct blind_spot {
    const struct rule *rule;
    const char *before, *after; /* the words round the name of the thing */
    const uint32_t *place;      /* in the list of all */
};

#define BLIND_SPOT(id, rule_id, before, after)                                                     \
    extern const struct rule rule_##rule_id;                                                       \
    extern const uint32_t place_of_blind_##id;                                                     \
    extern const struct blind_spot blind_##id;                                                     \
    const struct blind_spot blind_##id = {&rule_##rule_id, before, after, &place_of_blind_##id}

extern const struct blind_spot *const blind_spot_list[];
extern const uint32_t blind_spot_count;

/* All rules, and how many there are. */
extern const struct rule *const rule_list[];
extern const uint32_t rule_count;

/* The same, in the order of their names. */
extern const struct rule *const rules_by_name[];

/* The rule of that name, or NULL. */
const struct rule *rule_named(const char *name);

/* The names of all, in the order of the list. */
extern const char *const rule_names[];

/* The family of each: the folder of its file, "protection". */
extern const char *const rule_families[];

#endif
