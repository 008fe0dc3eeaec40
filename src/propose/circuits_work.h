/* Between the files that propose circuits. */
#ifndef STUDBAY_PROPOSE_CIRCUITS_WORK_H
#define STUDBAY_PROPOSE_CIRCUITS_WORK_H

#include "facts/families.h"
#include "model/model.h"
#include "model/site.h"
#include "propose/trial.h"

typedef VEC(struct box *) box_refs;
typedef VEC(struct part *) part_refs;

/* Boxes that one circuit feeds whatever becomes of the rest: joined by their legs, as alarms that
 * sound together, as all of a building that one circuit supplies. */
struct piece {
    box_refs boxes;  /* that are to be fed, in the order of their places */
    box_refs all;    /* these, and those that its circuit feeds already */
    part_refs parts; /* of all of them */
    struct unit *unit;
    struct panel *panel;     /* that its circuit begins at */
    struct circuit *circuit; /* a circuit that is there, with what is on it; else NULL */
    uint32_t nth_panel;      /* 0: the nearest one */
    uint8_t has, strangers; /* sets of families: it has their receptacles, what is none of theirs */
    const struct device *individual; /* wants a circuit of its own */
    const struct room *kitchen;      /* whose small-appliance circuit it would be on */
    uint32_t counters;               /* receptacles over the counters of that kitchen */
    bool receptacles, two_pole, heat, alone;
    double fill;    /* share of the receptacles and lights that a circuit has */
    double amps;    /* as its breaker counts them */
    double breaker; /* A, the least that it wants */
};

/* What is reckoned with: the settings of the table circuit-proposals. */
struct circuit_settings {
    bool apart; /* lights on circuits without receptacles */
    double receptacles, lights, receptacle_breaker, light_breaker, heat_breaker, range_breaker,
        fill, room_feet;
};

/* A circuit as it is proposed. */
struct proposed_circuit {
    uint32_t *pieces, count;
    box_refs boxes;  /* that are to be fed, in the order of rooms and places */
    const char *ref; /* "P.proposed-3" while it is tried */
    const char *title;
    double breaker;
    bool two_pole;
    uint32_t space; /* 0: there is none left */
};

struct circuit_work {
    struct compilation *c;
    struct arena *arena;
    struct trial trial;
    struct circuit_settings set;
    VEC(struct piece) pieces;
    VEC(struct proposed_circuit) circuits;
    uint32_t *group, groups, least; /* by piece */
    uint32_t kitchens_by, kitchens_at_least;
    bool one_kitchen;
    uint32_t on_existing; /* boxes whose legs are on circuits that are there already */
    uint32_t homeless;    /* boxes that no panel is for */
    bool *follows;        /* by unit id: it has its circuits in the block where another has
                             them */
    uint32_t following;   /* how many do */
};

/* The boxes that no circuit feeds or serves, as pieces, in the order of their places; and the
 * circuits that may take more. */
void propose_find_pieces(struct circuit_work *w);

/* Shares the pieces out: group by piece. */
void propose_share_out(struct circuit_work *w);

/* The panel of each piece anew: the nearest, or the next ones where that has no space left. */
void propose_choose_panels(struct circuit_work *w);

/* For qsort: boxes by level, room, wall and place. */
int propose_by_place(const void *a, const void *b);

/* Feet of cable that join boxes to their panel, by the straight ways along east, north and up. */
double propose_feet(const struct panel *panel, struct box *const *boxes, uint32_t n);

/* Gives each circuit a text for the directory of its panel that the rules do not find vague and no
 * other circuit of the panel has. */
void propose_titles(struct circuit_work *w);

#endif
