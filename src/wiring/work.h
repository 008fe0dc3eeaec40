/* What the files of the wiring stage share: one circuit at a time, as a tree of parts of boxes. */
#ifndef STUDBAY_WIRING_WORK_H
#define STUDBAY_WIRING_WORK_H

#include "facts/facts.h"
#include "facts/rooms.h"
#include "model/address.h"
#include "model/model.h"
#include "model/power.h"
#include "wiring/wiring.h"

enum { NO_VERTEX = -1, EXACT_SWITCHES = 8 };

/* A part of a box in a circuit (or its panel): where conductors of one feed meet. */
struct vertex {
    struct box *box;  /* NULL: the panel */
    struct run *feed; /* the run towards the source; NULL at the root */
    int parent;
    uint32_t depth;
    uint32_t enter;   /* order of a walk through the tree */
    double feet;      /* from the root */
    uint32_t stamp;   /* of the walk that passed it last */
    struct box *side; /* what arrives has passed the protecting device of this box; NULL: none */
};

/* Where a net ends: a terminal of a device, a cap, the panel. */
struct net_end {
    struct net *net;
    int vertex;
};

/* A leg on the circuit, while the order of its switches is chosen. */
struct leg_work {
    struct leg *leg;
    struct part **switches;
    int *at; /* vertices of the switches, in the same order */
    uint32_t count;
    int *loads; /* vertices of what it works, and of caps */
    uint32_t load_count;
    bool two_pole;
    bool wants_neutral; /* the edition wants a neutral at its switch locations */
    bool one_is_enough; /* all that it lights is seen from them */
    int neutral_at;     /* index of the switch that gets it where one is enough; -1 none */
};

struct circuit_work {
    struct wiring *w;
    struct model *m;
    const struct routes *routes;
    struct arena *arena, *scratch;
    struct arena *tree;    /* of the tree and its legs: emptied when they are built anew */
    struct arena *passing; /* emptied between one leg and the next */
    struct circuit *circuit;
    struct vertex *vertices;
    uint32_t vertex_count;
    struct map vertex_of; /* (box, label of the parallel run or 0) -> vertex + 1 */
    struct leg_work *legs;
    uint32_t leg_count;
    struct map work_of;             /* (leg, 1) -> struct leg_work */
    const struct leg_work *skipped; /* the leg whose order is being chosen: left out of the ends */
    uint32_t stamp;
    bool as_written; /* orders are chosen by the cables that are written; else as if all were open
                      */
    VEC(struct net_end) ends;
    struct map nets;          /* (kind of net, its thing) -> struct net */
    struct feeds **fed_twice; /* the same, by the names of their boxes */
    uint32_t fed_twice_count;
    struct map feeds; /* (box, 1) -> struct feeds, where several runs of the circuit feed a box */
};

/* Several runs of one circuit that feed one box, each a part of it, and what stands on which part.
 */
struct feeds {
    struct box *box;
    VEC(struct run *) runs;
    VEC(const void *) things; /* parts of devices in the box, and runs that leave it */
    uint32_t *chosen;         /* index in runs, for each thing */
    bool *fixed;              /* the plan says it: `by LABEL` */
    struct map index;         /* (thing, 1) -> index in things + 1 */
};

/* What the runs of a circuit cost together, compared in the order of the fields. */
struct cost {
    int short_runs,
        missing; /* runs whose declared cable is short, and the conductors that they lack */
    double price;
    int whites;
    double feet;
};
bool wiring_cost_less(const struct cost *a, const struct cost *b);

/* parts.c: which of several runs that feed a box feeds what. wiring_find_feeds gathers such boxes;
 * wiring_choose_parts settles them, and leaves the tree built and the legs gathered and ordered. It
 * may be called again. */
void wiring_find_feeds(struct circuit_work *c);
bool wiring_choose_parts(struct circuit_work *c);
/* The run that feeds a thing in a box with several feeds; NULL where the box has one. */
struct run *wiring_feed_of_thing(const struct circuit_work *c, const struct box *box,
                                 const void *thing);

/* nets.c: the tree, and where every net ends under the orders chosen. */
bool wiring_build_vertices(struct circuit_work *c);
void wiring_gather_legs(struct circuit_work *c);
int wiring_vertex_of_part(struct circuit_work *c, const struct part *p);
struct box *wiring_side_of_part(struct circuit_work *c, const struct part *p, int vertex);
/* Ends of all nets but those of the skipped leg; wiring_add_soft_ends adds the neutrals that the
 * rule for switch locations wants. */
void wiring_gather_ends(struct circuit_work *c);
void wiring_add_soft_ends(struct circuit_work *c);
/* The net that the first switch of a leg takes, were it switch `first`; the neutral at switch `i`.
 */
struct net *wiring_leg_source(struct circuit_work *c, const struct leg_work *l, uint32_t first);
struct net *wiring_switch_neutral(struct circuit_work *c, const struct leg_work *l, uint32_t i);
/* Where the ways of two vertices to the source meet. */
int wiring_meet_vertices(const struct circuit_work *c, int a, int b);
/* Calls `mark` once for each run of the tree that joins the vertices, with the vertex below it.
 * Gives the vertex where they meet; NO_VERTEX of none. */
int wiring_join_vertices(struct circuit_work *c, const int *vertices, uint32_t count,
                         void (*mark)(struct circuit_work *c, int vertex, void *context),
                         void *context);
/* wiring_join_vertices for every net of the gathered ends, which are sorted by net; *at holds the
 * net while its runs are marked. */
void wiring_each_net(struct circuit_work *c,
                     void (*mark)(struct circuit_work *c, int vertex, void *context), void *context,
                     struct net **at);

/* terminals.c: the form of every part and the net of each of its terminals, under the orders
 * chosen. */
void wiring_record_terminals(struct circuit_work *c);
uint8_t wiring_hands_on(const struct device_def *def);
struct net *net_of(struct circuit_work *c, enum net_sort sort, const void *thing, unsigned index,
                   char pole);
const struct leg_work *wiring_work_of_leg(const struct circuit_work *c, const struct leg *leg);
char wiring_pole_of(const struct circuit_work *c, const struct part *p);
struct box *wiring_side_of_leg(struct circuit_work *c, const struct leg_work *l);

/* order.c: the order of the switches of each leg, and where the neutral of its locations goes. */
void wiring_choose_orders(struct circuit_work *c);
/* The cost of all runs of the circuit under the orders chosen. */
struct cost wiring_circuit_cost(struct circuit_work *c);

/* cables.c: the cable of each run and the colours in it. `crossing` by run id: the nets that cross
 * it. */
typedef VEC(struct net *) net_list;
struct crossing {
    net_list nets;
    net_list soft; /* those among them that only the rule for switch locations wants */
};
extern const struct rule rule_neutral_missing_at_switch;
void wiring_choose_cables(struct wiring *w, struct model *m, const struct routes *routes,
                          struct crossing *crossing, const struct conductor_asks *asks,
                          const int *gauges);

/* What is pulled into the raceway of a run. */
struct pulled {
    struct run *run;
    net_list nets;
};

/* In the order in which they are told: lines, legs, travelers, neutrals. Compares two nets for
 * qsort. */
int wiring_by_rank(const void *a, const void *b);

/* passing.c: what meets in the boxes that are passed, found when all nets and what crosses each run
 * are known; then which runs one conductor goes through, so that they have it of one sort, by run
 * id a run of the same set (the same for all of them); and when it is chosen what is not cut. */
void wiring_find_meetings(struct wiring *w, struct model *m, const struct crossing *crossing);
uint32_t *wiring_find_pulls(struct arena *scratch, const struct wiring *w, const struct model *m);
void wiring_settle_passing(struct wiring *w);

/* raceways.c: the conductors that are pulled one by one into the raceway of a run, or through those
 * of several, each in a colour of its own, with the least size that serves, and the ground wire
 * where a raceway is not the ground. wiring_shade_nets first, once. */
void wiring_shade_nets(struct wiring *w, const struct model *m);
void wiring_pull_conductors(struct wiring *w, struct model *m, const struct routes *routes,
                            const struct conductor_asks *asks, const int *gauges,
                            const struct pulled *pulled, uint32_t count);

/* fill.c */
void fill_boxes(struct wiring *w, struct model *m);

#endif
