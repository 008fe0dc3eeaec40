/* Connected loads and voltage drop. */
#ifndef STUDBAY_LOADS_LOADS_H
#define STUDBAY_LOADS_LOADS_H

#include "base/arena.h"

#include <stdbool.h>

struct cable_def;
struct conductor_asks;
struct model;
struct panels;
struct routes;
struct wiring;

struct circuit_load {
    double va, continuous_va; /* connected, what an existing circuit carries and what a fed panel
                                 carries among it */
    double amps;              /* of the fuller line: va over its voltage, continuous loads once */
    double needed_amps; /* with continuous loads at the edition's factor, and cooking appliances at
                           their demand */
    double calculated_amps;    /* a new feeder by the load calculation of what hangs on it, not
                                  rounded; else 0 */
    double calculated_neutral; /* A on its neutral by the same (220.61), not rounded */
    bool calculated;           /* that it was worked out */
    bool whole_dwelling;       /* a feeder on which all of one dwelling hangs */
};

/* One way from the panel to a box of a circuit. */
struct drop {
    struct circuit *circuit;
    struct box *box;
    double feet, amps; /* amps in the run that feeds the box */
    double volts;      /* lost, there and back */
    double percent;    /* of the circuit's voltage */
    double feeder_percent, total_percent;
    double design_percent; /* with the design load at this box: see drops.c */
};

/* Panels one behind another below a panel whose feeder is calculated: each calculation is of all
 * that hangs on the panel, so a longer chain of them is told and not calculated. */
enum { MOST_BELOW = 10 };

struct loads {
    struct circuit_load *of_circuit; /* by circuit id */
    struct conductor_asks *asks;     /* by circuit id: facts/conductors.h */
    uint32_t *below; /* by panel id: how many panels hang one behind another below it */
    VEC(struct drop)
    drops; /* circuits in source order, boxes from the panel on in the order of the tree */
    struct drop *
        *worst; /* by circuit id: the box with the largest drop, NULL where there is none */
};

/* Before the wiring: by circuit id the gauge (cable_def.gauge) that the cables which the plan
 * leaves open must not be thinner than, so that the circuit keeps its `drop` target, by the same
 * reckoning as below and with copper throughout; ANY_GAUGE where it has none, the thickest where
 * none can keep it. */
int *drop_gauges(struct arena *arena, struct model *m, const struct routes *routes);

/* Connected loads of every circuit, panels' feeders from what hangs on them, and what follows from
 * them for conductors. Before the wiring; drops are found behind it. */
struct loads *loads_work_out(struct arena *arena, struct model *m);

/* The drop at every box by the loads beyond each run, resistances from the edition's table (Chapter
 * 9, Table 8), lengths from the routes. Of a feeder each line carries what stands on it in the
 * panel, and the neutral the difference. Design load: on a circuit with receptacles that anything
 * may be plugged into, the edition's share of the breaker at the box; else the connected load.
 * Fills loads->drops and loads->worst. Linear in the runs and boxes. */
void loads_find_drops(struct arena *arena, struct model *m, const struct routes *routes,
                      const struct wiring *wiring, const struct panels *panels,
                      struct loads *loads);

/* Ohm for 1000 ft of one conductor of a cable at 75 C; solid or stranded as its size is made. 0
 * where the tables have none. */
double resistance_of_cable(struct model *m, const struct cable_def *cable);

#endif
