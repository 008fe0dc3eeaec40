/* How far each run is, along the framing, what it goes through on its way, and how long its cable is cut. */
#ifndef STUDBAY_FRAMING_ROUTES_H
#define STUDBAY_FRAMING_ROUTES_H

#include "model/model.h"

struct skeleton;

enum member { MEMBER_STUD, MEMBER_PLATE, MEMBER_JOIST };

/* What a joist bears on beside a place, measured along it like the place. */
struct joist_span {
    bool known;                  /* a wall that bears stands on both sides, or under the place */
    bool end;                    /* the place is over such a wall */
    length lo, hi;               /* the span: from face to face of those walls */
};

/* A member that a cable is bored through, or notched into. */
struct passed {
    uint8_t member;              /* enum member */
    bool top;                    /* MEMBER_PLATE: over the wall, else under it */
    bool bears;                  /* MEMBER_STUD: in a wall that carries or stands to the open air */
    bool insulated;              /* MEMBER_STUD: between bays with insulation, as the plan says */
    uint32_t index;              /* a stud from the wall's left end, 0: the post in a corner; a joist from the level's south-west corner */
    const struct room *room;     /* MEMBER_STUD, MEMBER_PLATE: the room whose wall it is laid out from */
    uint32_t wall;               /* index in the room's walls */
    length place;                /* from the wall's left end; MEMBER_JOIST: along the joist from the south-west corner */
    const struct level *level;   /* whose walls or joists they are */
    const struct lumber *lumber;
    struct place3 at;
    uint64_t hole[2];            /* alike for cables that pass the member in one place */
    length bit;                  /* for this cable alone; 0: notched */
    length notch;                /* depth of the notch that takes the place of a bore; 0: bored */
    struct joist_span span;         /* MEMBER_JOIST, notched */
};

enum segment_kind { IN_BAY, THROUGH_STUDS, ALONG_JOISTS, ACROSS_JOISTS, IN_CHASE, IN_GROUND };

/* A straight part of a way. */
struct segment {
    enum segment_kind kind;
    const struct room *room;     /* IN_BAY, THROUGH_STUDS: the wall; NULL where it is none */
    uint32_t wall;
    struct place3 from, to;
    length length;
    uint32_t first, count;       /* what it goes through: members of the route's list, the plate or post at its end among them */
    bool held;                   /* the bores hold the cable; else it is stapled */
};

struct route {
    bool known;          /* both ends have a place, or the run is measured */
    bool measured;       /* the plan gives the cable's length; it replaces the computed cut */
    bool blocked;        /* the way that the plan asks for does not exist; the route is one that does */
    const struct fixture *blocker; /* what stands in it, where that can be said */
    length path;         /* along the framing, between the two boxes */
    length cut;          /* with free conductor, box depth, slack and spare, rounded up to the stock step; 0 for existing runs */
    length electrical;   /* the length that the voltage drop uses: the path with both ends, or the measured length */
    uint32_t bores;      /* members passed through a hole: studs, plates and joists */
    uint32_t notches;    /* studs and joists passed in a notch */
    uint32_t supports;   /* staples */
    uint32_t plates;     /* protection plates of the holes that this run is the first to pass */
    const struct segment *segments; /* from `from` to `to` */
    uint32_t segment_count;
    const struct passed *passed;
    uint32_t passed_count;
};

struct routes {
    struct route *of_run; /* by run id */
    struct skeleton *frame; /* the walls and their studs, framing/frame.h */
};

/* Routes every run of the model the cheapest way along its framing. Figures for ends, supports and prices of holes come from the library's tables. What
 * depends on the cable and the box that are chosen later (bits, plates, staples) is put right by bores_work_out. */
struct routes *route_runs(struct arena *arena, struct model *m);

/* Staples of a route, the first within `from_a` and `from_b` of its two boxes. `interval` apart. */
uint32_t route_supports(const struct route *route, length from_a, length from_b, length interval);

/* The bit for a bore of one cable: the smallest that takes its measure; the smallest of all where the cable is not known. Table `bits`. */
length bit_for_cable(struct model *m, const struct cable_def *cable);

/* Protection plates of a bore in the middle of a member: none where both sides keep their wood, one where moving the bore off the middle keeps one
 * side, else two (NFPA 70 300.4(A)(1)). */
uint32_t plates_of_bore(const struct lumber *lumber, length bit, length edge);

/* Protection plates of a notch: `over` on the face that it is cut into, whatever wood is left (300.4(A)(2)), and one on the other where that is near. */
uint32_t plates_of_notch(const struct lumber *lumber, length depth, uint32_t over, length edge);

#endif
