/* What every conductor does: nets, the cable of each run, the conductors in it with their colours,
 * the order of the switches of each leg. */
#ifndef STUDBAY_WIRING_WIRING_H
#define STUDBAY_WIRING_WIRING_H

#include "resolve/library.h"

struct conductor_asks;
struct model;
struct routes;
struct run;

enum net_sort { N_LINE, N_NEUTRAL, N_GROUND, N_LEG, N_TRAVELER, N_INTERCONNECT };

/* A net of a circuit. Equal nets are equal pointers. */
struct net {
    uint32_t id;
    enum net_sort sort;
    struct circuit *circuit;
    struct leg *leg; /* N_LEG, N_TRAVELER */
    uint32_t index;  /* N_TRAVELER: between switch index and index + 1, from 1 */
    char pole;       /* 'a', 'b': lines and legs of two poles, travelers a and b; 0 */
    uint8_t shade;   /* its place among the nets of its sort in its circuit: of single conductors it
                        tells the colour */
    struct box
        *beyond; /* line and neutral on the load side of the protecting device of this box; NULL */
    const char
        *name; /* "line", "neutral", "leg cans", "traveler cans.1 a", "line a", "line/living.R1" */
};

struct conductor {
    struct net *net;   /* NULL: spare */
    const char *color; /* as in the cable: black, white, red ...; NULL: not known */
    bool reidentified; /* a white that is no neutral: marked wherever it shows */
};

struct run_wiring {
    struct cable_def *cable;      /* declared, else the least that serves; NULL where none could be
                                     found, and of an      old run that does not tell it */
    struct conductor *conductors; /* one for each insulated conductor of the cable, in the order of
                                     its colours; of an old run that does not tell its cable one for
                                     each net, without a colour; else NULL where cable is NULL */
    uint8_t count;
    uint8_t used;    /* conductors with a net; count - used are spare */
    uint32_t needed; /* nets that must cross; more than count where conductors are missing */
};

struct leg_wiring {
    struct part **switches; /* in the order of the travelers: the fed one first, the one that drives
                               the loads last */
    enum switch_kind *kinds;
    uint32_t count;
    const struct part *misfit; /* a switch or load for which the leg cannot be made up; NULL */
};

/* Box fill, in allowances and volume. Counts are of things, required is in3. */
struct fill {
    const struct box_type *type; /* declared, else the smallest in the library that mounts there and
                                    holds it; NULL: none holds it, or no bought box is needed */
    bool inferred;
    bool untold; /* what is in it is not known: an old cable that the plan does not tell; the counts
                    leave it out */
    uint16_t misfits; /* why a declared one does not serve: a set of enum misfit (facts/boxes.h) */
    uint8_t gangs;
    double volume; /* in3, of a divided box the side for power; 0 where no bought box is needed */
    uint32_t conductors, grounds, clamps, fittings, devices, terminal_blocks;
    double required; /* in3 */
};

/* The net of one terminal of a part. */
struct terminal_net {
    struct part *part;
    uint8_t terminal; /* index in the part's form */
    struct net *net;
    const struct run
        *feed; /* the run that feeds its part of the box, where parallel runs do; else NULL */
};

/* What comes together of a net in a box that what only goes through it passes uncut. */
struct meeting {
    struct box *box;
    struct net *net;
    struct run *runs[2]; /* the first two that carry it there */
    uint32_t conductors;
    bool ends;   /* it ends there too: at a device, or where the circuit begins */
    bool passes; /* it is not cut there: it goes from one of the two into the other */
};

struct wiring {
    struct run_wiring *of_run; /* by run id */
    struct leg_wiring *of_leg; /* by leg id */
    struct fill *of_box;       /* by box id */
    VEC(struct net *) nets;
    VEC(struct terminal_net) terminals;
    /* Where several runs of a circuit feed a box, each feeds a part of it: by (run, circuit), the
     * feed of the part that the run leaves at its `from` end, and the run itself where it feeds
     * such a part at its `to` end. None: the box has one part for that circuit. */
    struct map left_part, fed_part;
    struct part_form **forms; /* by device id, one for each part; see model/makeup.h */
    bool *swapped; /* by device id: an old switch that must be of another kind than it was, so that
                      a new one is bought */
    const struct mountings *mountings; /* of the routes: where boxes are set */
    const struct lying *lying;         /* of the routes: by run id, how it lies */
    VEC(struct meeting *) all_meetings;
    struct map
        meetings;    /* (box, net) -> struct meeting, of boxes that are passed (facts/pulls.h) */
    struct map sets; /* (0, interned words) -> struct cable_def: conductors of a raceway */
    bool *through_panel; /* by circuit id: a net of it would have to pass a panel */
};

/* Works out the wiring of every circuit that is a tree: exact, linear in its size for legs of few
 * switches. Records conductors-missing, neutral-missing-at-switch and white-as-return. `asks`, by
 * circuit id: what a cable that is chosen must give. `gauges` likewise: it is not thinner, or else
 * as thick as its ground and the terminals of its circuit allow. */
struct wiring *wire(struct arena *arena, struct model *m, const struct routes *routes,
                    const struct conductor_asks *asks, const int *gauges);

/* The device of a box on a circuit that things in the box, and what leaves it, stand behind where
 * the plan says so: the one that says `onward`, else the first that has a load side; NULL: none
 * has one. Of several the others hand on nothing. */
struct device *wiring_handing_on(const struct box *box, const struct circuit *circuit);

/* The cable of a run: as it was worked out, else as it is declared; NULL where neither is known. */
const struct cable_def *wiring_cable_of_run(const struct run *run, const struct wiring *wiring);

/* Whether a net goes through a box without being cut there; the run that it goes on into then, else
 * NULL. */
bool wiring_passes(const struct wiring *w, const struct box *box, const struct net *net);
const struct run *wiring_passes_into(const struct wiring *w, const struct box *box,
                                     const struct net *net);

/* The run that a net goes on into there from another one, uncut; NULL: it is cut. */
const struct run *wiring_passes_from(const struct wiring *w, const struct box *box,
                                     const struct net *net, const struct run *run);

/* The same of the ground wires of two runs: nothing else wants a ground in that box. */
bool wiring_ground_passes(const struct wiring *w, const struct box *box);

/* What the edition asks at the switch locations of a leg, its switches on one circuit: a neutral at
 * each, or at one where all that it lights can be seen from them together. */
bool wiring_asks_neutral(struct model *m, const struct leg *leg, struct part *const *switches,
                         uint32_t count, bool *one_is_enough);

/* The least cable of the usual family with so many conductors, one of them white, that a run of its
 * circuit could be written with, were nothing beside it; NULL where there is none. */
const struct cable_def *wiring_least_cable(struct model *m, const struct conductor_asks *asks,
                                           const struct run *run, unsigned conductors);

/* Notes on each box of which type it is, where that takes other room than its devices let reckon
 * with; whether one takes other room than it was set for: then all is set, routed and wired anew.
 */
bool wiring_widens_boxes(struct model *m, const struct wiring *w);

/* How many of these nets warm what they lie in: lines, legs, and the neutral of a circuit unless it
 * carries only the difference of two lines; of each pair of travelers one (310.15(E)). */
uint32_t wiring_current_carrying(struct net *const *nets, uint32_t count);

/* The share of its ampacity that a conductor keeps among so many (table `adjustment`). */
double wiring_adjustment(struct model *m, uint32_t conductors);

/* The same for what a run carries in its raceway: 1 in a nipple, and where there is none. */
double wiring_raceway_factor(struct model *m, const struct routes *routes, const struct wiring *w,
                             const struct run *run);

const char *wiring_switch_kind_word(enum switch_kind k);

/* Whether two parts of a device meet on one terminal of it that takes one of these nets (net_bit).
 */
bool parts_share_terminal(const struct part *a, const struct part *b, uint8_t nets);

/* Whether a device is bought: it is new, or takes the place of an old switch of another kind. */
bool wiring_buys_device(const struct wiring *w, const struct device *d);

/* Whether an old switch stays that may be of several kinds, and nobody says of which it is. */
bool wiring_kind_untold(const struct wiring *w, const struct part *p);

/* The type that is chosen for a box where the plan names none; NULL: the library has none. */
const struct box_type *wiring_box_that_serves(struct model *m, const struct wiring *w,
                                              const struct box *b);

/* The smallest that serves in place of the written one: of as many gangs as are needed, for the
 * same walls and of the same material. NULL where the library has none. */
const struct box_type *wiring_larger_box(struct model *m, const struct wiring *w,
                                         const struct box *b);

#endif
