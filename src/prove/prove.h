/* The proof: from a make-up alone, that the circuits do what the plan says in every position of the
 * switches.
 *
 * It reads which conductor ends and terminals meet, the colours of the cables, the contacts of the
 * devices, and the plan's own words: what works what, which circuit and which side of a protecting
 * device a thing belongs to. It reads no net and shares no code with what made them. */
#ifndef STUDBAY_PROVE_PROVE_H
#define STUDBAY_PROVE_PROVE_H

#include "base/arena.h"

#include <stdbool.h>

struct buf;
struct makeup;
struct model;

/* What is shown of a make-up; the numbers are those of the documentation. */
enum statement {
    STATES_NO_SHORT = 1, /* no position joins two supplies without a load between */
    STATES_NEUTRAL, /* the neutral side of every load reaches its own circuit's neutral and is not
                       switched */
    STATES_LEGS, /* loads of a leg are on in half of its positions; any one switch changes them */
    STATES_LIVE, /* what is not switched is live; boxes kept for later have their line; alarms hear
                    each other */
    STATES_PROTECTED, /* a device with a load side is the only way from the line side to the load
                         side, for line and neutral alike */
    STATES_GROUND, /* what has a ground terminal and every metal box reaches ground; the currents in
                      every cable add to zero */
    STATES_COLORS, /* no white where the colour rules forbid it; line on hot terminals, neutral on
                      neutral terminals only */
    STATEMENT_COUNT,
};

/* Where a statement does not hold. */
struct proof_failure {
    enum statement statement;
    const struct circuit *circuit; /* NULL where none can be named */
    const struct leg *leg;         /* STATES_LEGS */
    const struct box *box;         /* NULL: in the panel */
    const struct device *defined;  /* of a sort that the plan itself defines, of the leg, of the box
                                      or else of the circuit: it may be why; NULL: none */
    const char *what;
    const char *position; /* "studio.S1 up, studio.S2 down"; NULL: in every position */
    const char *
        path; /* how current goes there, or how far it comes; NULL where there is no path to tell */
};

struct proven_leg {
    const struct leg *leg;
    uint32_t switches, loads;
    uint64_t positions; /* of its own switches and those that feed it */
};

struct proven_circuit {
    const struct circuit *circuit;
    const char *left_out; /* why nothing is said of it; NULL: it is in the proof */
    bool beyond_limit;    /* left out as it is too much, which is no fault of the plan */
    uint32_t boxes, loads, switches, legs;
    uint64_t positions;               /* looked at one by one, all groups of switches together */
    uint32_t claims[STATEMENT_COUNT]; /* by statement: how many were shown */
};

struct verdict {
    bool holds; /* no statement failed; what is left out is not said to hold */
    VEC(struct proof_failure) failures; /* the first few */
    struct proven_circuit *circuits;    /* by circuit id */
    uint32_t circuit_count;
    VEC(struct proven_leg) legs;
    uint32_t left_out; /* circuits */
    uint64_t positions;
    uint32_t claims[STATEMENT_COUNT];
};

/* Groups of ALWAYS_TOGETHER switches are gone through in any case; of more, as long as the
 * positions of all groups up to that size are no more than MOST_GONE_THROUGH. */
enum {
    MOST_FAILURES = 8,
    ALWAYS_TOGETHER = 8,
    MOST_SWITCHES_TOGETHER = 16,
    MOST_GONE_THROUGH = 1 << 17
};

/* Linear in the make-up, times the positions of the switches that can affect one another. Left out,
 * and named, is a circuit that is broken or no tree, that has a run which is not made up, more
 * switches in one group than are gone through, a leg that does not fit what it works, a leg without
 * a switch or on two circuits or fed in a ring, a device with one neutral on two circuits, one
 * whose load side is asked for and not made up, or a circuit of which one line is wanted behind a
 * device that hands on the other. */
struct verdict *prove(struct arena *arena, const struct model *m, const struct makeup *makeup);

/* "every neutral side reaches its own circuit's neutral, unswitched". */
const char *prove_statement_words(enum statement s);

/* The failures as lines for a person: the statement, box, position and path of each. */
void prove_verdict_print_failures(const struct verdict *v, struct arena *arena, struct buf *out);

#endif
