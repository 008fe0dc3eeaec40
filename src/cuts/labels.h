/* What is glued to a cable: its tag, and a label for each of its ends.
 *
 * A label cannot be recompiled. So a tag is made from the run's own names alone, by a fixed rule,
 * and never from a number in some order or from what other runs are called: adding, removing or
 * reordering runs renames no other run. Tags that come out alike are a finding, and a name (`as
 * NAME`) mends it. */
#ifndef STUDBAY_CUTS_LABELS_H
#define STUDBAY_CUTS_LABELS_H

#include "model/power.h"

#include <stdbool.h>

struct model;
struct routes;
struct wiring;

/* The tag of a run, in the arena: "2 stu S1-L1", "2 P-stu S1", "10 stu S1-alc S1"; the run's own
 * name where it has one, in a unit behind the unit's.
 *
 * Circuit and ends, in the order in which the plan writes them. Names are shortened to their first
 * three letters and the figures at their end
 * ("bath2" is "bat2"); the hyphens within them fall away. The room stands before its box, once
 * where both ends are in it; a unit's name stands behind the circuit. A feeder's circuit is "feed".
 */
const char *label_run_tag(struct arena *arena, const struct run *run);

/* The tag without the unit's name: one message serves many copies. */
const char *label_run_tag_in_unit(struct arena *arena, const struct run *run);

/* A tag as a tired eye reads it: O is 0, I and l are 1, S is 5, and small letters are capitals.
 * Tags that fold to the same text are alike. */
const char *label_tag_folded(struct arena *arena, const char *tag);

/* Written runs of a pattern that nothing is built from have no label; neither has a cable that was
 * there before. */
bool label_on_run(const struct run *run);

enum { LABEL_LINES = 3 };

/* A label for one end of a run. */
struct label {
    const struct run *run;
    struct end end, other; /* where it is glued, and where the cable goes */
    const char *tag;
    const char *lines[LABEL_LINES]; /* below the tag: "at studio.S1", "to studio.L1", "14/3,
                                       24'-6\", circuit P.2" */
    bool home_run;
};

typedef VEC(struct label) label_list;

/* Labels of both ends of every run, in the order of the plan. */
label_list labels_make(struct arena *arena, const struct model *m, const struct routes *routes,
                       const struct wiring *wiring);

#endif
