/* Cut lengths allotted to coils. */
#ifndef STUDBAY_CUTS_CUTS_H
#define STUDBAY_CUTS_CUTS_H

#include "cuts/pack.h"

struct model;
struct routes;
struct wiring;

struct cut {
    struct run *run;
    length length;
    length remainder; /* left on the coil after it */
    bool home_run;    /* one of its ends is a panel */
};

struct cut_coil {
    const char
        *name; /* "tail-end", or "14/2-1": cable and number, on-hand coils by their own names */
    const struct cable_def *cable;
    length stock;
    bool on_hand;
    double price;     /* negative: unknown */
    struct cut *cuts; /* in pulling order */
    uint32_t cut_count;
    length remainder;
};

struct cable_cuts { /* one cable type */
    const struct cable_def *cable;
    struct cut_coil *coils;
    uint32_t coil_count;
    struct run **too_long; /* runs longer than every coil */
    uint32_t too_long_count;
    struct pack_result pack; /* cost, bound, whether proven */
};

struct cuts {
    struct cable_cuts *cables; /* in the order of the library's list of cables */
    uint32_t cable_count;
};

/* The cable of a run: as it was worked out, else as it is declared; NULL where neither is known. */
const struct cable_def *cuts_cable_of_run(const struct run *run, const struct wiring *wiring);

/* Every new run with a known length, power and low voltage alike. `steps` bounds the search for
 * each cable: CUTS_EXACT to print a cut list, CUTS_QUICK where only cuts that no coil holds are of
 * interest. */
enum { CUTS_QUICK = 1000 };
#define CUTS_EXACT PACK_STEPS
struct cuts *cuts_plan(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, uint64_t steps);

#endif
