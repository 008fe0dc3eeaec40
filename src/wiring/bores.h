/* Holes and notches: which cables share one, how large it is, what it needs. Worked out when cables
 * and boxes are chosen. */
#ifndef STUDBAY_WIRING_BORES_H
#define STUDBAY_WIRING_BORES_H

#include "base/length.h"

struct model;
struct routes;
struct wiring;

/* One hole through one member, or one notch in its face. */
struct bore {
    const struct members
        *members; /* of the first cable: the member is the one `at` in it, bore_member() */
    length bit;   /* 0: a notch */
    length notch; /* depth of a notch, the deepest that its runs ask for; 0: a hole */
    length wide;  /* of a notch: its cables side by side */
    const struct run **runs; /* in the order of the plan */
    uint32_t run_count;
    uint32_t at;
    uint32_t plates; /* protection plates over it */
};

enum bundle_sort {
    BUNDLE_HELD,      /* in hole after hole */
    BUNDLE_STAPLED,   /* on one stud or joist */
    BUNDLE_PLATE,     /* through one plate, which will be sealed */
    BUNDLE_INSULATION /* in contact with insulation */
};

/* Cables that lie together without spacing, as one of their runs sees it. */
struct bundle {
    const struct run *const *runs;
    uint32_t run_count; /* 0: it lies alone */
    enum bundle_sort sort;
    length length;       /* for so long; 0 where it counts at any length */
    uint32_t conductors; /* in all of them that carry current: lines, legs, neutrals but those that
                            carry only the difference of two lines, one of each pair of travelers */
};

struct bores {
    const struct skeleton *frame;
    VEC(struct bore) list;        /* by member and place */
    const struct bundle *of_run;  /* by run id: the largest bundle that it lies in */
    const uint32_t *of_passed;    /* the hole of each member of each route, first_passed[run] + its
                                     place: index in the list + 1, 0 for none */
    const uint32_t *first_passed; /* by run id */
};

/* Shares out the holes of all new cables: a bore takes as many as the table `bits` says, further
 * cables get another; a notch takes all that are notched in one place. Cables of low voltage stay
 * apart. Puts the bits, plates and staples of the routes right for the cables and boxes that were
 * chosen. */
struct bores *bores_work_out(struct arena *arena, struct model *m, struct routes *routes,
                             const struct wiring *wiring);

/* The member, as the first cable passes it. */
struct passed bore_member(const struct bores *bores, const struct bore *bore);

/* The hole of a member of a route, by its place there; NULL where it is not bored. */
const struct bore *bore_of_member(const struct bores *bores, const struct run *run, uint32_t at);

/* How thick the wood is that a bore goes through: a top plate is as many plates as the library
 * says. */
length wiring_bored_through(struct model *m, const struct bores *bores, const struct bore *bore);

#endif
