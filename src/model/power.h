/* What is wired: boxes with their devices, panels, circuits, and the runs between them. */
#ifndef STUDBAY_MODEL_POWER_H
#define STUDBAY_MODEL_POWER_H

#include "base/map.h"
#include "base/source.h"
#include "model/place.h"

struct body;
struct box_type;
struct cable_def;
struct device_def;
struct node;
struct part_def;
struct raceway_def;
struct room;
struct unit;

struct held { /* conductors that an existing box already holds */
    const char *size;
    uint32_t count;
};

struct box {
    uint32_t id;
    uint8_t gangs;     /* declared; 0 not */
    uint16_t in_doubt; /* ITS_TEXT */
    bool existing;
    bool type_told;           /* its type is written, if in a name that the library does not have */
    bool type_unsaid;         /* `type unknown`: nobody looked, and the plan says so */
    bool goes;                /* it is taken out */
    bool loses;               /* it stays, and something in it goes: it is opened */
    bool bared;               /* its last device goes: it gets a blank cover */
    uint8_t bared_gangs;      /* of the devices on yokes that went; 0: a round cover */
    const struct run *buried; /* it goes, and this cable stays and ends there; NULL: none */
    bool pulled_through;      /* a pull box, as the plan says: see facts/pulls.h */
    bool compartment;         /* every device in it has its own wiring compartment: no bought box */
    const char *name, *title;
    struct room *room;
    const struct node *node;
    struct place place;
    uint32_t set_on; /* the day by which it hung, by the site log (log_note_closed): 20260314; 0: it
                        does not */
    const struct box_type *set_as; /* the type that was chosen, where it is wider than was reckoned
                                      with; NULL: it is not */
    struct box_type *declared;     /* NULL: the smallest that serves, see facts/boxes.h */
    const char *cover;             /* "blank", "weatherproof", "in-use" or NULL */
    struct device **devices;
    VEC(struct held) held;
    struct device **passing; /* of its devices, see facts_passing */
    uint32_t device_count, passing_count, held_grounds, terminal_blocks;
    VEC(struct leg *) capped;        /* legs reserved here for later */
    VEC(struct run *) runs;          /* power runs that end here, in source order */
    VEC(struct circuit *) served_by; /* circuits that say `serves` of it, each once */
    VEC(struct run *) low_voltage;
};

/* One part of a device: what has a leg, a circuit and a load of its own. A plain device has one
 * part. */
struct part {
    struct device *device;
    const struct part_def *def; /* NULL: the device as a whole */
    const struct node *node;
    struct leg *leg;      /* a control works it, a load is worked by it; NULL: none written */
    struct leg *from_leg; /* a control fed by another leg */
    struct circuit
        *circuit;   /* resolved, NULL where nothing reaches the box or the plan is in doubt */
    const char *by; /* label of the parallel run that feeds it, or NULL */
    const struct box *backup_of; /* it only heats when what is in this box cannot, or NULL */
    double load;                 /* VA, written or its type's */
    double volts; /* the voltage at which it takes its load: 120 or 240, by its terminals and the
                     supply */
    double mca, max_breaker; /* A, 0 where not written */
    const struct body *body; /* its terminals and contacts */
    char pole;               /* 'a', 'b' or 0 */
    bool load_written, continuous, line_side, load_side;
    bool control; /* it works a leg */
};

struct device {
    uint32_t id;
    struct device_def *def;
    struct box *box;
    const struct node *node;
    const char *title;
    bool onward, existing, line_side, load_side;
    bool goes;       /* it is taken out */
    bool fuel_fired; /* as the plan says, or its type */
    bool co_alr;     /* its terminals are marked for aluminium, in the plan or by its type */
    bool al_cu;      /* the same of terminals for more than 20 A */
    int terminals; /* C: its terminals are marked for it, in the plan or by its type; 0 not said */
    bool general;  /* a receptacle of the sort that the edition places along walls and counters */
    struct part *parts;
    uint32_t part_count;
};

/* How many legs may feed one another in a row: more is not followed, and not proven. */
enum { MOST_LEGS_IN_SERIES = 6 };

struct leg {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;     /* the leg statement, or NULL where devices alone name it */
    VEC(struct part *) controls; /* the switches that work it, in source order */
    VEC(struct part *) loads;
    VEC(struct box *) capped;
    double limit;            /* VA, the largest load that its statement allows; 0 not written */
    struct circuit *circuit; /* of its controls, or NULL */
};

struct space_range {
    uint32_t first, last;
};

struct panel {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;
    struct room *room; /* NULL where it could not be found */
    struct place place;
    double main, bus; /* A; 0 not given */
    int terminals;    /* C: its lugs and breakers are marked for it; 0 not said */
    bool al_cu;       /* its lugs and breakers are marked for aluminium */
    uint32_t spaces;
    bool existing, half_size, goes;
    bool fed; /* it has a feeder, be it one that could not be read */
    VEC(struct space_range) taken;
    struct circuit *feeder; /* NULL: the service, or not said */
    VEC(struct circuit *)
    circuits; /* that begin here, feeders of other panels among them, in source order */
    struct map circuit_names;
};

/* Half of a space: of a half-size breaker. Of one with two poles, or of two that are tied, the
 * upper one has the upper half of its first space and the lower half of the other, the lower one
 * the halves between these. */
enum half { HALF_NONE, HALF_UPPER, HALF_LOWER };

struct circuit {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;
    struct panel *panel; /* where it begins; NULL where that is in doubt */
    struct panel *feeds; /* a feeder: the panel it feeds; else NULL */
    double breaker;      /* A; 0 not given */
    int terminals;       /* C: its breaker's terminals are marked for it; 0 not said */
    bool al_cu;          /* they are marked for aluminium */
    const struct node *breaker_node;
    const char *text; /* the title as it is written, or NULL */
    bool two_pole, afci, gfci, dual_function, tied, multiwire, existing;
    bool goes;              /* its breaker and all that is its alone are taken out */
    bool breaker_new;       /* a new breaker on an old circuit */
    bool breaker_unsaid;    /* `breaker unknown` */
    bool cable_unsaid;      /* `cable unknown`: of its runs that say nothing else */
    uint32_t number;        /* its name, where that is a number; else 0 */
    uint32_t space;         /* where it sits: its number, else what `space` says; 0 not said */
    uint32_t space_written; /* what `space` says; 0 where it says nothing */
    enum half half;
    struct cable_def *cable;                          /* default of its runs, or NULL */
    const struct node *cable_clause, *raceway_clause; /* of the circuit itself, or NULL */
    struct raceway_def *raceway;                      /* that of its runs, or NULL */
    uint8_t ground_wire;  /* enum ground_kind; none: raceways of metal are the ground alone */
    double drop_target;   /* fraction; 0: nothing is enlarged */
    double existing_load; /* VA that it carries already */
    length upstream; /* of the cable between the panel and the existing box where new work begins */
    const char *upstream_size;
    VEC(struct run *) runs;           /* in source order, one for each hop and cable */
    VEC(struct part *) parts;         /* devices' parts on it */
    VEC(struct box *) serves;         /* the boxes that it is to feed, each once, in source order */
    VEC(struct box *) unrun;          /* of these, the ones that no path of its runs reaches yet */
    const struct node *serves_clause; /* the first that names boxes, or NULL */
    struct box *root;                 /* an existing box that carries it already; NULL: the panel */
    uint16_t in_doubt; /* ITS_TEXT; ITS_LINES; ITS_CABLE; ITS_FEED: a box of it, or an end of a run,
                          could not be read in full */
    bool is_tree;      /* rooted, no loop, so that wiring and lengths make sense */
};

struct end {
    struct box *box; /* one of the two is set; both NULL where the name is unknown */
    struct panel *panel;
};

enum via { VIA_ANY, VIA_OVERHEAD, VIA_STUDS, VIA_UNDER };

struct low_voltage {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;
    struct cable_def *cable;
    VEC(struct run *) runs;
};

/* Raceways one behind the other that the same conductors are pulled through unbroken, from the
 * source on (facts/pulls.h). */
struct passage {
    struct run **runs;
    uint32_t count;
};

/* One cable from one box to another. A chain of n hops is n runs; `cable A + B` makes two runs of
 * each hop. */
struct run {
    uint32_t id;
    char of_two;       /* one of the two cables of `cable X + Y`: 'a' or 'b'; else 0 */
    bool own_cable;    /* its own statement names the cable */
    bool cable_unsaid; /* `cable unknown`, its own or its circuit's */
    bool existing, line_side, load_side, fished, spaced, exposed, underground, strung, measured,
        boarded, guarded; /* on a running board; beside guard strips */
    bool goes, abandoned; /* it is pulled out; it stays dead, its ends capped */
    bool in_tree; /* part of its circuit's tree; false: an end is unknown, it closes a loop, or
                     nothing feeds it */
    enum via via;
    const struct node *node;  /* what is said of it: of a hop with words of its own, with those */
    const struct node *chain; /* the statement that it is a hop of; NULL: a feeder */
    uint32_t hop;             /* which of it, from 1 */
    struct span from_span, to_span; /* the two names in the chain */
    struct circuit *circuit;        /* NULL: low voltage */
    struct low_voltage *low_voltage;
    VEC(struct circuit *) also; /* other circuits that the same cable carries (for circuits) */
    struct end from,
        to; /* as written; after the tree is found, `from` is the end nearer the source */
    struct cable_def
        *declared; /* its own, else the circuit's, else NULL; never single conductors */
    struct raceway_def *raceway; /* that it lies in, or NULL */
    struct cable_def
        *single; /* the conductors in the raceway, where the plan names them; else NULL */
    const struct passage *passage; /* what is pulled into it goes through other raceways too,
                                unbroken; NULL: through it alone */
    uint8_t ground_wire;           /* enum ground_kind: as written for its raceway */
    int16_t bends;                 /* quarter bends, as written; negative: not said */
    length burial, length, spare;
    length notch;     /* studs and joists on its way are notched this deep; 0: bored */
    uint32_t hung_on; /* the day by which its cable hung, as of a box */
    const char
        *under; /* what lies over it in the ground: a word of the table burial-places; NULL */
    const char *label; /* `as NAME`, or NULL */
    const char *title;
};

/* A multiwire circuit is one circuit of two poles, and so is a feeder. */
static inline uint8_t circuit_poles(const struct circuit *c)
{
    return c->two_pole || c->multiwire || c->feeds ? 2 : 1;
}

/* Whether both ends of a run are known; else what is wrong has been said. */
static inline bool run_is_whole(const struct run *r)
{
    return (r->from.box || r->from.panel) && (r->to.box || r->to.panel);
}

struct place3 address_end_position(struct end e);
struct unit *address_end_unit(struct end e);

#endif
