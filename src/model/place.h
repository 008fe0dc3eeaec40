/* Where things stand: x to the east, y to the north, z up from the datum, exact lengths. */
#ifndef STUDBAY_MODEL_PLACE_H
#define STUDBAY_MODEL_PLACE_H

#include "base/length.h"

#include <stdbool.h>
#include <stdint.h>

struct point {
    length x, y;
};

struct place3 {
    length x, y, z;
};

enum where { ON_WALL, OVERHEAD, ON_FLOOR };

/* A place of a box or panel. */
struct place {
    bool known; /* false: its statement does not say it in a form that could be read */
    enum where where;
    uint32_t wall; /* ON_WALL: index in the room's walls */
    length from_left,
        up; /* ON_WALL: to the centre, from the wall's left end on site and from the floor */
    bool up_written;
    struct place3 at; /* the centre, on the face of the framing */
    bool on_island;   /* ON_FLOOR: on a side of an island, `up` from the floor */
};

#endif
