/* What the rules of conductors and breakers share. */
#ifndef STUDBAY_RULES_CONDUCTORS_H
#define STUDBAY_RULES_CONDUCTORS_H

#include "facts/conductors.h"
#include "rules/check.h"

/* The standard ratings of the edition next to a current: the largest not above it, the smallest not
 * below it; 0 where there is none. */
double rules_rating_at_most(const struct checked *c, double amps);
double rules_rating_at_least(const struct checked *c, double amps);

/* Whether the connected load of a branch circuit is more than its breaker; feeders are judged by
 * their load calculation. */
bool rules_is_overloaded(const struct checked *c, const struct circuit *circuit);

/* Whether the receptacles of a circuit may stand on a breaker of so many A. */
bool rules_receptacles_suit(const struct checked *c, const struct circuit *circuit, double breaker);

/* The cable of a run, written or chosen; NULL where it is not known. */
const struct cable_def *rules_cable_of(const struct checked *c, const struct run *run);

/* "14 AWG copper". */
const char *conductor_words(const struct checked *c, const struct cable_def *cable);

/* Whether every cable of a circuit suits its breaker; where one does not,
 * conductor-undersized says so and what follows from it is not said. */
bool conductors_serve(const struct checked *c, const struct circuit *circuit);

/* What answers on a run's conductors rest on, of the runs of one circuit; `alone`: without what
 * lies beside it. */
struct conductor_place {
    const struct cable_def *cable; /* NULL: none */
    struct lying lying;
    int column;
};

struct conductor_place conductor_place_of(const struct checked *c, const struct run *run,
                                          bool alone);
bool conductor_places_are_alike(const struct conductor_place *a, const struct conductor_place *b);

/* Whether a cable still serves its circuit as it lies, beside others too; if not, `asked` tells
 * what the circuit asks, as in "the breaker is 20 A". */
bool rules_adjusted_serves(const struct checked *c, const struct run *run,
                           const struct cable_def *cable, const char **asked);

/* Whether a run is a tap that does not suit the breaker itself and need not. */
bool rules_is_tap(const struct checked *c, const struct run *run, const struct cable_def *cable);

/* The cable like this one with the next larger conductors: of its family and metal, with as many
 * conductors and whites. NULL where the library has none. */
const struct cable_def *rules_next_larger_cable(const struct checked *c,
                                                const struct cable_def *cable);

#endif
