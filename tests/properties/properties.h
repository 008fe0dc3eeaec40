/* For tests: what is promised of every plan, asked of plans made at random (tests/plans). A new
 * property is a file of this folder with its function and a line of properties.def. */
#ifndef STUDBAY_TESTS_PROPERTIES_H
#define STUDBAY_TESTS_PROPERTIES_H

#include "compile.h"
#include "plans.h"

struct subject {
    struct compilation *c; /* compiled as for reports, with the cut list; c->model may be NULL */
    const struct plan_text *text;
    const char *path;    /* of the plan, in a folder of its own with what lies beside it */
    const char *scratch; /* an empty folder, for the property's own use; it is emptied again */
    uint64_t seed;       /* for what is tried at random */
};

/* Whether it holds; if not, one line on why in `why`. Must leave the compilation as it is. */
typedef bool property_function(const struct subject *s, struct buf *why);

struct property {
    const char *name, *says;
    unsigned every;
    property_function *holds;
};

extern const struct property properties[];
extern const unsigned property_count;

/* What came of asking. */
struct asked {
    unsigned plans, without_error, clean, clean_without_error; /* clean: of the sort PLAN_CLEAN */
    unsigned *asked, *failed;                                  /* by property */
};

/* What is asked. */
struct asking {
    uint64_t seed; /* the first; further ones follow in steps of `step` */
    unsigned step;
    unsigned plans; /* how many; 0: until `seconds` are over */
    unsigned seconds;
    const char *only; /* one property, or NULL */
    const char *keep; /* folder in which plans that failed are kept, or NULL */
    int sort;         /* one sort of plan, or -1 */
    unsigned boxes;   /* of each plan, or 0: by the seed */
    const char *from; /* a folder with a plan that was written: that one is asked, not the seed's;
                         or NULL */
};

/* Asks, prints each failure with its seed, and the plan as short as it can be made while it fails.
 */
void ask_properties(const struct asking *a, struct asked *out);

#endif
