/* Where a run lies, as far as the plan shows it, and whether a cable is made for such a place. */
#ifndef STUDBAY_WIRING_PLACES_H
#define STUDBAY_WIRING_PLACES_H

#include "model/model.h"

/* What a run asks of its cable: words of `suits`, and what is said of the run ("laid underground").
 */
struct places {
    const char *word[4], *why[4];
    uint8_t count;
};

/* A run is in a wet or damp place (the edition's lists) where it is exposed and one of its ends is
 * there, or where both ends are: a cable that comes from a dry room to the back of a box outside
 * lies in the wall. Words are of the library: underground, wet, damp, exposed. */
struct places run_places(struct model *m, const struct run *r);

bool cable_suits(const struct cable_def *cable, const char *word);

/* Whether a cable suits all that a run asks. */
bool cable_suits_all(const struct cable_def *cable, const struct places *places);

/* A cable with the conductors and the size of this one that suits the run; NULL where the library
 * has none. */
const struct cable_def *suited_cable(struct model *m, const struct run *r,
                                     const struct cable_def *cable);

#endif
