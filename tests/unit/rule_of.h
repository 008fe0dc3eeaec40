/* Rules by their names, in tests. A name that no rule has fails the test that asks for it. */
#ifndef STUDBAY_TESTS_RULE_OF_H
#define STUDBAY_TESTS_RULE_OF_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "diag/diag.h"

#include <string.h>

static inline const struct rule *rule_of(const char *name)
{
    const struct rule *rule = rule_named(name);
    if (!rule)
        print_error("there is no rule %s\n", name);
    assert_non_null(rule);
    return rule;
}

static inline bool finding_is(const struct finding *f, const char *rule)
{
    return f->rule == rule_of(rule);
}

/* An error of the plan's form or names: whoever made the plan meant another case. */
static inline bool is_misspelt(const struct finding *f)
{
    return f->severity == ERROR && *f->rule->place <= *rule_of("log-line-torn")->place;
}

#endif
