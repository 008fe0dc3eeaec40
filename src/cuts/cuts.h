/* Cut lengths allotted to coils. */
#ifndef STUDBAY_CUTS_CUTS_H
#define STUDBAY_CUTS_CUTS_H

#include "cuts/pack.h"
#include "wiring/wiring.h"

struct cut {
    struct run *run;
    length length;
    length remainder;            /* left on the coil after it */
    bool home_run;               /* one of its ends is a panel */
};

struct cut_coil {
    const char *name;            /* "tail-end", or "14/2-1": cable and number, on-hand coils by their own names */
    const struct cable_def *cable;
    length stock;
    bool on_hand;
    double price;                /* negative: unknown */
    struct cut *cuts;            /* in pulling order */
    uint32_t cut_count;
    length remainder;
};

struct cable_cuts {              /* one cable type */
    const struct cable_def *cable;
    struct cut_coil *coils;
    uint32_t coil_count;
    struct run **too_long;       /* runs longer than every coil */
    uint32_t too_long_count;
    struct pack_result pack;     /* cost, bound, whether proven */
};

struct cuts {
    struct cable_cuts *cables;   /* in the order of the library's list of cables */
    uint32_t cable_count;
};

/* Every new run with a known length, power and low voltage alike. */
struct cuts *cuts_plan(struct arena *arena, struct model *m, const struct routes *routes, const struct wiring *wiring);

#endif
