/* The labels of the cables: a tag, and what stands below it, for each end of a run. */
#ifndef STUDBAY_CUTS_LABELS_H
#define STUDBAY_CUTS_LABELS_H

#include "model/power.h"

#include <stdbool.h>

struct model;
struct panels;
struct routes;
struct site_log;
struct wiring;

/* Whether a run is to be laid and pulled: it is built, and was not there before. */
bool label_is_new(const struct run *run);

/* Written runs of a pattern that nothing is built from have no label; neither has a cable that was
 * there before. What is pulled through several raceways has one at each of its two ends, that of
 * the first of them. */
bool label_on_run(const struct run *run);

enum { LABEL_LINES = 3 };

/* A label for one end of a run. */
struct label {
    const struct run *run;
    struct end end, other; /* where it is glued, and where the cable goes */
    const char *tag;
    const char *lines[LABEL_LINES]; /* below the tag: "at studio.S1", "to studio.L1", "14/3,
                                       24'-6\", circuit P2" */
    bool home_run;
};

typedef VEC(struct label) label_list;

/* Labels of both ends of every run, in the order of the plan. Of a cable that hangs there by the
 * log (NULL: none) and serves, they tell the length that it has. */
label_list labels_make(struct arena *arena, const struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct site_log *log,
                       const struct panels *panels);

#endif
