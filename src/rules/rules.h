/* The rules that are checked on the finished plan. They record findings and change nothing; one
 * never stops another. Rules about names and shape are recorded where the plan is read, by
 * src/model and src/resolve. */
#ifndef STUDBAY_RULES_RULES_H
#define STUDBAY_RULES_RULES_H

#include "facts/rooms.h"

struct checked {
    struct model *model;
    const struct routes *routes;
    const struct wiring *wiring;
    const struct bores *bores;
    const struct loads *loads;
    const struct cuts *cuts;
    const struct site_log *log; /* NULL: there is none beside the plan */
    const struct protected *protected;
    const struct openings *openings;
    const struct panels *panels;
    const room_list *dwellings;    /* see facts/rooms.h */
    const struct verdict *verdict; /* of the make-up */
};

/* Runs the checks of all rules. */
void rules_run(const struct checked *c);

#endif
