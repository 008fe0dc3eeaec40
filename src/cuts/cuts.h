/* Cut lengths allotted to coils: what hangs in the wall came off its coil, what is still to cut
 * comes off the rests, the coils on hand and those to be bought. */
#ifndef STUDBAY_CUTS_CUTS_H
#define STUDBAY_CUTS_CUTS_H

#include "cuts/pack.h"
#include "model/power.h"

struct cable_def;
struct coil;
struct model;
struct routes;
struct site_log;
struct wiring;

/* A piece of cable. */
struct cut {
    const struct run *run; /* NULL: it was pulled for a run that the plan has no more */
    struct end ends[2];    /* from where to where it goes, be it through several raceways */
    const char *subject;   /* the run as the log names it, where `run` is NULL */
    length length;
    length remainder; /* left on the coil after it */
    bool home_run;    /* one of its ends is a panel */
    bool pulled;      /* it came off its coil already */
    bool measured;    /* pulled: its length was logged; else it is the planned one */
    bool said;        /* pulled: the log says which coil; else it is the one of the cut list */
};

struct cut_coil {
    const char
        *name; /* "tail-end", or "14/2-1": cable and number, on-hand coils by their own names */
    const struct cable_def *cable;
    length stock;
    uint32_t sort; /* its place among the coils that the plan writes for the cable, or the lengths
                      that are sold */
    bool on_hand;  /* the plan says that it lies there */
    bool opened;   /* something came off it: if it was bought, it is bought */
    bool guessed;  /* the log alone names it: `stock` is a length that the cable is sold in */
    double price;  /* negative: unknown */
    struct cut *cuts; /* what was pulled first, then in pulling order */
    uint32_t cut_count, pulled_count;
    length pulled;    /* of those */
    length remainder; /* when all is cut; negative where more came off it than it had */
};

struct cable_cuts { /* one cable type, conductors of one colour, or one raceway */
    const struct cable_def *cable;
    struct cut_coil *coils; /* opened ones first */
    uint32_t coil_count;
    struct cut *loose; /* pulled, and no coil is known that they can have come off */
    uint32_t loose_count;
    const struct run **too_long; /* runs longer than every coil */
    uint32_t too_long_count;
    bool refused;            /* a length is beyond what can be reckoned with: nothing is allotted */
    bool none_left;          /* what is too long is so however the cuts are allotted */
    struct pack_result pack; /* of what is still to cut: cost, bound, whether proven */
    double money;            /* units of the costs in one of the currency */
};

struct cuts {
    struct cable_cuts *cables; /* in the order of the library's list of cables; raceways and
                                  conductors behind them, by name */
    uint32_t cable_count;
    struct cut *unknown; /* pulled, and the log does not say what cable */
    uint32_t unknown_count;
};

/* Every new run with a known length, power and low voltage alike, and by the log (NULL: none) what
 * was pulled. `steps` bounds the search for each cable: CUTS_EXACT to print a cut list, CUTS_QUICK
 * where only cuts that no coil holds are of interest. */
enum { CUTS_QUICK = 1000 };
#define CUTS_EXACT PACK_STEPS
/* Whether a coil that the plan writes is of what is cut: of single conductors in that colour, where
 * none is said any that is bought, and black of what lies there. */
bool cuts_is_coil_of(const struct coil *coil, const struct cable_def *cable);

struct cuts *cuts_plan(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct site_log *log, uint64_t steps);

#endif
