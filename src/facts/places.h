/* Where a run lies, as far as the plan shows it, and whether a cable is made for such a place. */
#ifndef STUDBAY_FACTS_PLACES_H
#define STUDBAY_FACTS_PLACES_H

#include "facts/facts.h"

#include <stdbool.h>
#include <stdint.h>

struct cable_def;

/* Whether a box stands in a wet place (the edition's list), or where water is used or the damp
 * comes in (its list of damp places, and kinds that say so themselves). Unknown where the kinds of
 * its room are in doubt. */
enum answer facts_is_wet(struct model *m, const struct box *b);
enum answer facts_gets_damp(struct model *m, const struct box *b);

/* Whether rain, dew or damp comes to what stands open in the face of a box: the edition's wet and
 * damp places. Its plate is a weatherproof one. */
enum answer facts_is_weathered(struct model *m, const struct box *b);

/* What a run asks of its cable: words of `suits`, and what is said of the run ("laid underground").
 */
struct places {
    const char *word[4], *why[4];
    uint8_t count;
};

/* A run is in a wet or damp place where it is exposed and one of its ends is
 * there, or where both ends are: a cable that comes from a dry room to the back of a box outside
 * lies in the wall. Words are of the library: underground, wet, damp, exposed. */
struct places facts_run_places(struct model *m, const struct run *r);

bool facts_cable_suits(const struct cable_def *cable, const char *word);

/* Whether a cable suits all that a run asks. */
bool facts_cable_suits_all(const struct cable_def *cable, const struct places *places);

/* A cable with the conductors and the size of this one that suits the run; NULL where the library
 * has none. */
const struct cable_def *facts_suited_cable(struct model *m, const struct run *r,
                                           const struct cable_def *cable);

#endif
