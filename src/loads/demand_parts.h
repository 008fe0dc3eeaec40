/* Between the files of the load calculation: the loads that count, by class. */
#ifndef STUDBAY_LOADS_DEMAND_PARTS_H
#define STUDBAY_LOADS_DEMAND_PARTS_H

#include "resolve/library.h"

struct panel;

enum { DEMAND_CLASSES = DEMAND_VEHICLE + 1 };

struct demand_load {
    const struct part *part;
    double va; /* as written, by the nameplate's minimum circuit ampacity, or its type's */
};

typedef VEC(struct demand_load) demand_list;

struct demand_loads {
    demand_list of[DEMAND_CLASSES];
    VEC(const struct circuit *) carried; /* circuits that carry a load already */
    double area;                         /* ft2 */
    bool area_of_rooms;                  /* the plan does not say it */
    uint32_t small_appliance, laundry;   /* circuits, those that must be there among them */
    uint32_t units; /* dwelling units that are built; 0 for a plan that is one dwelling, or for a
                       panel */
};

typedef VEC(const struct room *) demand_rooms;

struct demand_frame {
    struct arena *arena;
    struct model *m;
    uint8_t *circuit_uses; /* by circuit id: USE_ bits */
    uint32_t *room_stamp, *panel_stamp, stamp;
    uint32_t *unit_feeders;   /* by unit id: panels of the unit that are fed from outside it */
    demand_rooms *unit_rooms; /* by unit id */
};

enum { USE_SMALL_APPLIANCE = 1, USE_LAUNDRY = 2, USE_LIGHTING = 4 };

/* demand_parts.c: what counts for the service (`of` NULL) or for a panel; an addition leaves out
 * what is there already. */
struct demand_loads demand_collect(struct demand_frame *f, const struct panel *of, bool addition);

/* ft2 of a room that count, 0 where its kind does not count. */
double demand_area_of(const struct room *room);

enum demand_class demand_class_of(const struct part *p);

/* Whether that is its nameplate's minimum circuit ampacity. */
bool demand_by_ampacity(const struct part *p);

/* demand_ranges.c: the demand in VA of household cooking appliances, rated above the table's least,
 * with the column and notes in `how`. */
double demand_of_ranges(struct model *m, const double *ratings, uint32_t count, const char **how);

#endif
