/* What the rules of conductors and breakers share. */
#ifndef STUDBAY_RULES_CONDUCTORS_H
#define STUDBAY_RULES_CONDUCTORS_H

#include "rules/check.h"

/* The standard ratings of the edition next to a current: the largest not above it, the smallest not
 * below it; 0 where there is none. */
double rules_rating_at_most(const struct checked *c, double amps);
double rules_rating_at_least(const struct checked *c, double amps);

/* Whether a current is more than another: half a thousandth of an ampere is no more than the way it
 * was reckoned, 24 A at 125 % on 30 A. */
bool rules_amps_exceed(double amps, double limit);

/* Whether the connected load of a branch circuit is more than its breaker; feeders are judged by
 * their load calculation. */
bool rules_is_overloaded(const struct checked *c, const struct circuit *circuit);

/* "14 AWG copper". */
const char *conductor_words(const struct checked *c, const struct cable_def *cable);

/* Whether every cable that the plan names on a circuit suits its breaker; where one does not,
 * conductor-undersized says so and what follows from it is not said. */
bool conductors_serve(const struct checked *c, const struct circuit *circuit);

/* Whether a cable still serves its circuit where it lies so that its ampacity is only so many
 * amperes; if not, `asked` tells what the circuit asks, as in "the breaker is 20 A". */
bool rules_adjusted_serves(const struct checked *c, const struct circuit *circuit,
                           const struct cable_def *cable, double ampacity, const char **asked);

/* The ampacity of a run's cable where it lies: of its column, or less for the cables beside it; 0
 * where the tables do not know it. */
double rules_ampacity_of_run(const struct checked *c, const struct run *run,
                             const struct cable_def *cable);

/* The smallest conductor in the place of a run's cable that would serve its circuit, NULL where the
 * tables have none. */
const char *rules_least_conductor(const struct checked *c, const struct run *run,
                                  const struct cable_def *cable);

/* The cable like this one with the next larger conductors: of its family and metal, with as many
 * conductors and whites. NULL where the library has none. */
const struct cable_def *rules_next_larger_cable(const struct checked *c,
                                                const struct cable_def *cable);

#endif
