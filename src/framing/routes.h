/* How far each run is, along the framing, and how long its cable is cut. */
#ifndef STUDBAY_FRAMING_ROUTES_H
#define STUDBAY_FRAMING_ROUTES_H

#include "model/model.h"

struct route {
    bool known;          /* both ends have a place, or the run is measured */
    bool measured;       /* the plan gives the cable's length; it replaces the computed cut */
    length path;         /* along the framing, between the two boxes */
    length cut;          /* with free conductor, box depth, slack and spare, rounded up to the stock step; 0 for existing runs */
    length electrical;   /* the length that the voltage drop uses: the path with both ends, or the measured length */
    uint32_t bores;      /* holes bored in studs, plates and joists */
    uint32_t supports;   /* staples */
    uint32_t plates;     /* protection plates */
};

struct routes {
    struct route *of_run; /* by run id */
};

/* Routes every run of the model: up (or down) from the box to the joists, across along the plan's grid, and down again, or through the studs where both ends
 * share a wall. Figures for ends and supports come from the editions' tables. */
struct routes *route_runs(struct arena *arena, struct model *m);

#endif
