/* What a circuit asks of its conductors, and whether a conductor, its ground and the terminals it
 * lands on serve: one answer for choosing a cable, for judging one that the plan names, and for
 * what would mend it. Currents in A, temperatures in C. */
#ifndef STUDBAY_FACTS_CONDUCTORS_H
#define STUDBAY_FACTS_CONDUCTORS_H

#include "facts/facts.h"
#include "resolve/library.h"

/* What a circuit asks of its conductors (worked out with the loads). */
struct conductor_asks {
    double breaker; /* one of no standard rating counts as the one below it, for that is said
                       elsewhere; 0 not given */
    double load;    /* continuous loads at the edition's factor, of a feeder what its load
                       calculation makes of it; 0 where it is more than the breaker, which is said
                       elsewhere */
    double neutral; /* what the neutral must be good for where it is thinner than the lines */
    bool several_receptacles, whole_dwelling;
    const struct part *nameplate; /* the one load of the circuit, where its nameplate says what it
                                     wants; else NULL */
    int thinnest, thickest; /* gauges between which all terminals of its devices take a conductor */
};

/* How a cable lies, as far as its conductors cool (310.15). What is said of no air is taken for
 * that of the tables. */
struct lying {
    double beside; /* the share of its ampacity that is left for what lies against it: 1 alone */
    double air;    /* C; counts where `where` says of what place */
    const char *where; /* "attic", or NULL */
};

/* The same without what lies beside it. */
struct lying facts_lying_alone(const struct lying *lying);

/* What a conductor is good for: the breaker that it allows, or its ampacity where that is what the
 * load exceeds. */
struct conductor_good {
    double amps;
    bool for_load;
};

/* The standard rating next to a current: the largest not above it, or the smallest not below it; 0
 * where there is none. */
double facts_standard_rating(struct code *code, double amps, bool above);

/* Whether a current is more than another: half a thousandth of an ampere is no more than the way it
 * was reckoned, 24 A at 125 % on 30 A. */
bool facts_amps_exceed(double amps, double limit);

/* The largest breaker of a small conductor whatever its ampacity (240.4(D)); 0 where the size has
 * none. */
double facts_small_limit(struct code *code, enum metal metal, const char *size);

/* The column of small terminals, which counts where nothing is known of a cable. */
int facts_small_terminals(struct code *code);

/* The ampacity of a cable in the place of a run: by the column that its sheath and the terminals at
 * both ends allow (110.14(C)(1)), or what its lie leaves of the column that adjustment and
 * correction start from where that is less (310.15(B), (C)); 0 where the tables do not know it,
 * below 0 where the air is too hot for its insulation. Cold air makes nothing larger: not all of
 * its way lies in it. */
double facts_ampacity(struct model *m, const struct run *r, const struct cable_def *cable,
                      const struct lying *lying);

/* The column that counts for a cable in the place of a run: its own, or a higher one that it may
 * have where all its terminals are marked for that, C. Of one cable on one circuit the answers
 * below, but that on taps, are the same for all runs of one column that lie alike. */
int facts_column(struct model *m, const struct run *r, const struct cable_def *cable);
bool facts_lie_alike(const struct lying *a, const struct lying *b);

/* The same by a column of one's own, C. */
double facts_ampacity_at(struct model *m, const struct cable_def *cable, int column,
                         const struct lying *lying);

/* Whether a conductor of an ampacity serves the circuit, and what it is good for: 240.4, with the
 * next standard rating where the circuit allows it, 310.12 for a whole dwelling, nameplates. */
bool facts_ampacity_serves(struct model *m, const struct conductor_asks *asks, enum metal metal,
                           const char *size, double ampacity, struct conductor_good *good);

/* The same of a cable in the place of a run; without a table of ampacities nothing can be said, and
 * it does. */
bool facts_cable_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                        const struct cable_def *cable, const struct lying *lying,
                        struct conductor_good *good);

/* Whether a run is a tap of a circuit for cooking appliances that carries what hangs behind it: its
 * ampacity need not be that of the circuit (210.19, exception 1; table cooking-taps). */
bool facts_tap_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                      const struct cable_def *cable, const struct lying *lying);

/* The smallest conductor in the place of a run's cable that would serve its circuit, NULL where the
 * tables have none. A nameplate's smaller conductor is not taken for the least: the ground of its
 * breaker is that of any circuit. */
const char *facts_least_conductor(struct model *m, const struct conductor_asks *asks,
                                  const struct run *r, const struct cable_def *cable,
                                  const struct lying *lying);

/* The ground that a cable must have in the place of a run, NULL where the tables have none or it
 * has no ground: never larger than its conductors, and larger with conductors that are larger than
 * the least (250.122(A), (B)). `base`: by the breaker alone. */
const char *facts_ground_asked(struct model *m, const struct conductor_asks *asks,
                               const struct run *r, const struct cable_def *cable,
                               const struct lying *lying, const char **base);

/* Whether a cable's ground is not thinner than that. */
bool facts_ground_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                         const struct cable_def *cable, const struct lying *lying);

/* What the neutral of a cable is good for in the place of a run; that of its lines where it is as
 * thick. */
double facts_neutral_ampacity(struct model *m, const struct run *r, const struct cable_def *cable,
                              const struct lying *lying);

/* The least neutral beside its load: of a feeder the ground of the table (215.2(A)(2)), of another
 * circuit what the edition says of ranges; NULL: none. */
const char *facts_least_neutral(struct model *m, const struct run *r,
                                const struct cable_def *cable);

/* Whether the neutral of a cable serves, where it is thinner than the lines: for its load
 * (220.61), and no thinner than the least. */
bool facts_neutral_serves(struct model *m, const struct conductor_asks *asks, const struct run *r,
                          const struct cable_def *cable, const struct lying *lying);

/* Narrows the gauges of a circuit to what the terminals of a device take. */
void facts_ask_terminals(struct conductor_asks *asks, const struct device_def *def);

/* The first device at an end of a run, on its circuit, whose terminals do not take the cable's
 * conductors; NULL: none. A wire from a splice to a device is as thick as what it is joined to. */
const struct device *facts_terminal_refuses(const struct run *r, const struct cable_def *cable);

/* The first receptacle or switch at an end of a run, on its circuit, whose terminals do not take
 * the metal of the cable (404.14(C), 406.3(C)); NULL: none. */
const struct device *facts_terminal_refuses_metal(struct model *m, const struct run *r,
                                                  const struct cable_def *cable);

#endif
