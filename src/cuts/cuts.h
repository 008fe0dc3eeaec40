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

/* Why a cable is not pulled on into the next box; all but the first two are said where its chain
 * goes on there. */
enum strand_end {
    STRAND_GOES_ON, /* it is: a loop is left */
    STRAND_ENDS,    /* nothing follows that it could be pulled into */
    STRAND_CORNERS, /* it would go round more corners than is common practice */
    STRAND_HOLES,   /* through more holes */
    STRAND_LENGTH,  /* or be longer */
    STRAND_FISHED,  /* it was fished into what is closed */
    STRAND_BROKEN   /* what follows comes off another coil, so that less is bought */
};

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
    bool turned;      /* it is pulled from the second of its ends to the first */
    uint32_t strand;  /* the number of its strand; 0: it is pulled already, or not pulled at all */
    enum strand_end end; /* what becomes of it behind its far end */
};

/* What is pulled in one, box after box, and cut at the loops later. */
struct strand {
    const struct cut_coil *coil;
    const struct cut *cuts; /* in pulling order, one behind the other on the coil */
    uint32_t count;
    length length; /* the sum of them */
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
    uint32_t long_strands;   /* that could be pulled through a box or more */
    uint32_t broken;         /* how many of them come off several coils, so that less is bought */
    uint32_t least_broken;   /* as little is not bought where fewer are broken */
    double money;            /* units of the costs in one of the currency */
};

struct cuts {
    struct cable_cuts *cables; /* in the order of the library, those of the plan by name; raceways
                                  and conductors behind them, by name */
    uint32_t cable_count;
    struct cut *unknown; /* pulled, and the log does not say what cable */
    uint32_t unknown_count;
    struct strand *strands; /* all that is still to pull, by number, from 1 on: in the order of the
                               coils, which is that of the work */
    uint32_t strand_count;
};

/* Where the coil stands for a strand, and the boxes that it is pulled through from there: stop 0 to
 * stop `count`. */
struct end cuts_stop(const struct strand *strand, uint32_t stop);

/* Every new run with a known length, power and low voltage alike, and by the log (NULL: none) what
 * was pulled. Hops of a chain are pulled as one strand as far as that costs nothing. `steps` bounds
 * the search for each cable: CUTS_EXACT to print a cut list, CUTS_QUICK where only cuts that no
 * coil holds are of interest. */
enum { CUTS_QUICK = 1000 };
#define CUTS_EXACT PACK_STEPS
/* Whether a coil that the plan writes is of what is cut: of single conductors in that colour, where
 * none is said any that is bought, and black of what lies there. */
bool cuts_is_coil_of(const struct coil *coil, const struct cable_def *cable);

struct cuts *cuts_plan(struct arena *arena, struct model *m, const struct routes *routes,
                       const struct wiring *wiring, const struct site_log *log, uint64_t steps);

#endif
