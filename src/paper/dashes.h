/* The lengths of dashes, for the writers. */
#ifndef STUDBAY_PAPER_DASHES_H
#define STUDBAY_PAPER_DASHES_H

#include "paper/paper.h"

enum { DASH_PARTS = 4 };

/* What is drawn and left out in turn, in micrometres; 0 ends it. */
static const um dash_lengths[DASH_COUNT][DASH_PARTS + 1] = {
    [DASH_EXISTING] = {5000, 3000},
    [DASH_LEG] = {2000, 1500},
    [DASH_BEHIND] = {1500, 1500},
    [DASH_OVERHEAD] = {4000, 1000, 1000, 1000},
    [DASH_OUTDOORS] = {6000, 1500, 500, 1500},
    [DASH_GROUND] = {1000, 1000},
    [DASH_GOES] = {600, 1400},
};

#endif
