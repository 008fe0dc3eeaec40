/* How far each run is, along the framing, what it goes through on its way, and how long its cable
 * is cut. */
#ifndef STUDBAY_FRAMING_ROUTES_H
#define STUDBAY_FRAMING_ROUTES_H

#include "model/place.h"

struct model;
struct run;

struct known_ways;
struct mountings;
struct skeleton;
struct upright;

enum member { MEMBER_STUD, MEMBER_PLATE, MEMBER_JOIST };

/* What a joist bears on beside a place, measured along it like the place. */
struct joist_span {
    bool known;    /* a wall that bears stands on both sides, or under the place */
    bool end;      /* the place is over such a wall */
    length lo, hi; /* the span: from face to face of those walls */
};

/* What a cable goes through one behind the other in one way: studs of a line, joists of a space,
 * or one plate. Routes are kept so, for one by one they are ten times as many. */
struct members {
    uint8_t member;  /* enum member */
    bool top;        /* MEMBER_PLATE: over the wall, else under it */
    bool down;       /* from its highest number to its lowest */
    bool north;      /* MEMBER_JOIST: they run north, and lie one east of the other */
    uint32_t before; /* members of the route before these */
    uint32_t count;
    uint32_t line; /* MEMBER_STUD, MEMBER_PLATE: of the frame */
    int64_t first; /* number of the first that is passed: a stud in the frame, a joist from the
                      level's corner; MEMBER_PLATE: the bay */
    length place;  /* MEMBER_JOIST: along them from the level's corner; MEMBER_PLATE: on the line */
    struct place3 at;               /* of the first; of studs only the height counts */
    length spacing;                 /* MEMBER_JOIST */
    const struct level *level;      /* MEMBER_JOIST */
    const struct lumber *lumber;    /* MEMBER_JOIST */
    const struct joist_span *spans; /* MEMBER_JOIST, of each where they are notched; else NULL */
};

/* A member that a cable is bored through, or notched into. */
struct passed {
    uint8_t member;             /* enum member */
    bool top;                   /* MEMBER_PLATE: over the wall, else under it */
    const struct upright *stud; /* MEMBER_STUD: of the frame */
    int32_t index; /* a joist from the level's south-west corner, negative where a storey above
                      reaches beyond it */
    uint32_t wall; /* index in the room's walls */
    const struct room
        *room;      /* MEMBER_STUD, MEMBER_PLATE: the room whose wall it is laid out from */
    uint32_t line;  /* MEMBER_STUD, MEMBER_PLATE: of the frame */
    length on_line; /* its place there */
    length place;   /* from the wall's left end; MEMBER_JOIST: along the joist from the south-west
                       corner */
    const struct level *level; /* whose walls or joists they are */
    const struct lumber *lumber;
    struct place3 at;
    struct joist_span span; /* MEMBER_JOIST, notched */
};

enum segment_kind {
    IN_BAY,
    THROUGH_STUDS,
    ALONG_JOISTS,
    ACROSS_JOISTS,
    ON_SLAB,
    IN_CHASE,
    IN_GROUND,
    IN_AIR
};

/* A straight part of a way. */
struct segment {
    uint8_t kind;      /* enum segment_kind */
    bool closed;       /* its finish is on: the cable is fished there */
    bool closed_later; /* by the site log: the plan leaves it open */
    bool held;         /* the bores hold the cable, or the flooring over it; else it is stapled */
    uint32_t wall;
    const struct room *room; /* IN_BAY, THROUGH_STUDS: the wall; NULL where it is none */
    struct place3 from, to;
    length length;
    uint32_t first, count; /* what it goes through: members of the route, the plate or post at its
                              end among them */
};

struct route {
    bool known;    /* both ends have a place, or the run is measured */
    bool measured; /* the plan gives the cable's length; it replaces the computed cut */
    bool blocked;  /* the way that the plan asks for does not exist; the route is one that does */
    const struct room *shut; /* it would go through wood behind a finish of this room that is on;
                                NULL: it does not */
    bool shut_later; /* by the site log alone, save for what is behind one by the plan too */
    const struct wall *shut_wall;  /* in this wall of it; NULL: over its ceiling */
    const struct fixture *blocker; /* what stands in it, where that can be said */
    const struct level *slab;      /* the level whose concrete floor is in the way; else NULL */
    const struct place *bare;      /* the place of its end that stands on concrete; else NULL */
    const struct bulk *bulk;       /* or a beam or duct that no way leads round */
    length path;                   /* along the framing, between the two boxes */
    length price; /* what the way was chosen by beside its length: its holes, as a length; 0 in the
                     ground and the air */
    length cut; /* with free conductor, box depth, slack and spare, rounded up to the stock step; 0
                   for existing runs. What goes on unbroken through other raceways (facts/pulls.h)
                   is cut in one piece, for the first of them: it has the whole, the others 0 */
    length electrical; /* the length that the voltage drop uses: the path with both ends, or the
                          measured length */
    length ends;       /* what of that lies beyond the way: at both ends, and what is spare */
    length tails[2];   /* at `from` and at `to`: 0 where it goes on unbroken */
    uint32_t bores;    /* members passed through a hole: studs, plates and joists */
    uint32_t notches;  /* studs and joists passed in a notch */
    uint32_t supports; /* staples */
    uint32_t anchors;  /* those of them that are straps into concrete */
    uint32_t plates;   /* protection plates of the holes that this run is the first to pass; counted
                          by bores_work_out */
    length bit;        /* for its cable alone, as far as it is declared; 0: it is there */
    const struct segment *segments; /* from `from` to `to` */
    const struct members *members;
    uint32_t segment_count, members_count;
    uint32_t passed_count; /* of all of them */
};

struct routes {
    struct route *of_run;        /* by run id */
    struct lying *lying;         /* by run id: in which air; what lies beside it is known when holes
                                    are shared out (facts/conductors.h) */
    struct skeleton *frame;      /* the walls and their studs, framing/frame.h */
    struct mountings *mountings; /* where boxes and panels are set, framing/mountings.h */
};

/* Routes every run of the model the cheapest way along its framing. Figures for ends, supports and
 * prices of holes come from the library's tables. What depends on the cable and the box that are
 * chosen later (bits, plates, staples) is put right by bores_work_out. `known`: ways that were
 * found before, framing/ways.h, or NULL. */
struct routes *route_runs(struct arena *arena, struct model *m, struct known_ways *known);

/* The ways that runs would take which the plan does not have, all else being as it is: from and to
 * places that are known. Linear in their number. */
void route_others(struct arena *arena, struct model *m, const struct routes *routes,
                  const struct run *runs, uint32_t count, struct route *out);

/* One of them, by its place among them; the same by its place in the route. */
struct passed passed_at(const struct skeleton *f, const struct members *c, uint32_t at);
struct passed route_member(const struct skeleton *f, const struct route *route, uint32_t at);

/* Those that the member at a place of the route is among; `at` becomes its place there. */
const struct members *route_members(const struct route *route, uint32_t *at);

/* The member and the place where it is passed: alike for cables that pass it in one place, and in
 * the order in which holes are listed. */
struct sort_key route_hole_key(const struct members *c, uint32_t at);

/* MEMBER_STUD: whether it stands in a wall that carries or stands to the open air; between bays
 * with insulation, as the plan says. */
bool passed_bears(const struct skeleton *f, const struct passed *p);
bool passed_insulated(const struct skeleton *f, const struct passed *p);

/* Staples of a route, the first within `from_a` and `from_b` of its two boxes. `interval` apart. */
uint32_t route_supports(const struct route *route, length from_a, length from_b, length interval);

/* Those of them that hold to concrete. */
uint32_t route_anchors(const struct route *route, length from_a, length from_b, length interval);

/* The bit for a bore of one cable or raceway: the smallest that takes its measure; the smallest of
 * all where that is not known (0). Table `bits`. */
length route_bit_for(struct model *m, length across);

/* The fewest quarter bends that a route needs: one for each further direction that it goes into,
 * up, down and along; less than `offset` in a direction is a shift to the side. False where its way
 * is not known. */
bool route_bends(const struct route *route, length offset, uint32_t *bends);

/* How long the raceway of a run is: its way, or what the plan measured without the ends. */
length route_raceway_length(const struct run *run, const struct route *route);

/* Protection plates of a bore in the middle of a member: none where both sides keep their wood, one
 * where moving the bore off the middle keeps one side, else two (NFPA 70 300.4(A)(1)). */
uint32_t route_plates_of_bore(const struct lumber *lumber, length bit, length edge);

/* Protection plates of a notch: `over` on the face that it is cut into, whatever wood is left
 * (300.4(A)(2)), and one on the other where that is near. */
uint32_t route_plates_of_notch(const struct lumber *lumber, length depth, uint32_t over,
                               length edge);

#endif
