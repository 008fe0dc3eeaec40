/* What is glued to a cable: its tag.
 *
 * A label cannot be recompiled. So a tag is made from the run's own names alone, by a fixed rule,
 * and never from a number in some order or from what other runs are called: adding, removing or
 * reordering runs renames no other run. Tags that come out alike are a finding, and a name (`as
 * NAME`) mends it. */
#ifndef STUDBAY_FACTS_TAGS_H
#define STUDBAY_FACTS_TAGS_H

#include "model/power.h"

/* The tag of a run, in the arena: "P2 stu S1-L1", "P2/4 P-stu S1", "P10 stu S1-alc S1"; the run's
 * own name where it has one, in a unit behind the unit's.
 *
 * The handle of the circuit, as the plan says it, and the ends; of a circuit named by a word
 * without a written space panel and name, "P bat stu S1-L1", for a space that was found may be
 * found anew. The panel's name is whole, so that no two panels share a tag. The ends stand in the
 * order in which the plan writes them; of raceways that are one pull (facts/pulls.h) they are its
 * two ends, and all have one tag. Names are shortened to their first three letters and the
 * figures at their end
 * ("bath2" is "bat2"); the hyphens within them fall away. The room stands before its box, once
 * where both ends are in it; a unit's name stands behind the circuit. A feeder's circuit is "feed".
 */
const char *facts_run_tag(struct arena *arena, const struct run *run);

/* The tag that it had before the space of its circuit, which is named by a word, was written; NULL
 * where there was no other. */
const char *facts_run_tag_by_word(struct arena *arena, const struct run *run);

/* The tag without the unit's name: one message serves many copies. */
const char *facts_run_tag_in_unit(struct arena *arena, const struct run *run);

/* The part of a run's tag behind the panel's name, "14 fam S1-S3", as one says it where there is
 * but one panel; NULL where the tag does not begin with a handle. */
const char *facts_tag_without_panel(const char *tag, const struct run *run);

/* A tag as a tired eye reads it: O is 0, I and l are 1, S is 5, and small letters are capitals.
 * Tags that fold to the same text are alike. */
const char *facts_tag_folded(struct arena *arena, const char *tag);

#endif
