/* For tests: a plan while it is drawn up at random (plans.h). */
#ifndef STUDBAY_TESTS_DRAFT_H
#define STUDBAY_TESTS_DRAFT_H

#include "plans.h"
#include "random.h"

enum draft_side { NORTH, EAST, SOUTH, WEST, SIDES };

enum {
    MOST_ROOMS = 40,
    MOST_FEET = 64, /* of a wall */
    MOST_CIRCUITS = 80,
    MOST_PANELS = 6,
    MOST_OF_CIRCUIT = 40, /* boxes */
    NO_BOX = -1,          /* the panel, as the end of a run */
};

struct draft_room {
    char name[16];
    const char *kind;
    unsigned level;
    int east, north;                /* of its south-west corner, in eighths of an inch */
    int wide, deep;                 /* east-west and north-south, in feet */
    uint8_t used[SIDES][MOST_FEET]; /* by foot of the grid along the wall */
    unsigned overhead;              /* places taken in the ceiling */
    int beside[SIDES];              /* the room on the other side of that wall, or -1 */
    bool outlined;                  /* written wall by wall */
    struct buf words;               /* its clauses but kind, corner and size */
};

struct draft_box {
    unsigned room;
    char name[12];
    char place[48];
    struct buf words;   /* clauses of the box, a line each */
    struct buf devices; /* a line each; parts stand on the line of their device */
    int circuit;        /* by which runs reach it first, or -1 */
    bool shared;        /* a second circuit reaches it: devices name theirs */
    bool closed;        /* no run leaves it again: it is behind a device that must be last */
};

struct draft_run {
    int from, to; /* boxes, or NO_BOX */
    char words[64];
};

/* What a circuit is for. */
enum draft_use {
    USE_LIGHTS = 1,
    USE_RECEPTACLES = 2,
    USE_MULTIWIRE = 4,
    USE_TWO_POLE = 8,
    USE_ALARMS = 16,
    USE_OWN = 32, /* one appliance, 120 V */
};

struct draft_circuit {
    unsigned panel, number, amps;
    char name[12];    /* its number, or a word */
    const char *half; /* "upper", "lower" or NULL */
    bool seated;      /* a word that says its space */
    enum draft_use use;
    unsigned room;
    struct buf words; /* clauses behind its breaker, a line each */
    char breaker[32]; /* words behind the current */
    int boxes[MOST_OF_CIRCUIT];
    unsigned box_count;
    struct draft_run runs[2 * MOST_OF_CIRCUIT];
    unsigned run_count;
    bool existing;
};

struct draft_panel {
    char name[12];
    unsigned room, spaces, main;
    bool taken[128];     /* by space */
    unsigned half_taken; /* a space whose lower half is free, 0 for none */
    bool half_size;
    struct buf words;
};

struct draft {
    uint64_t state;
    bool bold;
    unsigned budget; /* boxes that are still to be drawn */
    unsigned legs, levels, names;
    struct draft_room rooms[MOST_ROOMS];
    unsigned room_count;
    struct draft_box boxes[MOST_PLAN_BOXES + 100];
    unsigned box_count;
    struct draft_circuit circuits[MOST_CIRCUITS];
    unsigned circuit_count;
    struct draft_panel panels[MOST_PANELS];
    unsigned panel_count;
    struct buf plan;                                      /* clauses of the plan */
    struct buf level_words;                               /* clauses of each level */
    struct buf definitions, legs_said, low_voltage, ends; /* statements at the top */
    struct buf more_rooms;                                /* rooms without boxes */
    struct buf log;
    bool defined;  /* the plan has definitions of its own */
    bool in_units; /* rooms, panels and circuits stand in a pattern, and units follow */
    bool apart;    /* some rooms stand in a second file */
    bool slab;     /* the lowest level stands on the ground */
};

/* --- what features use --------------------------------------------------------------------- */

/* Where a box is wanted. */
enum draft_where { LOW, SWITCH_HIGH, COUNTER_HIGH, OVERHEAD, AT_FLOOR };

/* A new box in a room, or an old one of the circuit where there is no place left; the circuit has
 * no run to it yet. */
int draft_box(struct draft *d, unsigned room, enum draft_where where);

/* A new box at the end of a new run of the circuit, from one of its boxes (or the panel). */
int draft_next(struct draft *d, struct draft_circuit *c, int from, enum draft_where where);

/* The same in the circuit's room, where there is place for it. */
int draft_next_in(struct draft *d, struct draft_circuit *c, int from, enum draft_where where);

/* A box of the circuit that a run may leave, most often the last; NO_BOX where there is none. */
int draft_tail(struct draft *d, const struct draft_circuit *c);

/* A run between two boxes (NO_BOX: the panel), with words behind it. */
struct draft_run *draft_run(struct draft_circuit *c, int from, int to, const char *words);

/* A device in a box; says its circuit where several reach the box. */
void draft_device(struct draft *d, int box, const struct draft_circuit *c, const char *form, ...)
    __attribute__((format(printf, 4, 5)));

/* A free place of so many feet on a wall, which is taken; false where there is none. `at` is from
 * the wall's left end, in inches, to the near edge. */
bool draft_wall(struct draft *d, unsigned room, enum draft_side side, unsigned feet, unsigned *at);

const char *draft_side_word(enum draft_side side);

/* The address of a box as seen from everywhere: "room3.B7". */
const char *draft_address(const struct draft *d, int box, char *out, size_t room);

/* The next free number of a panel for so many poles (a two-pole takes the one behind the next
 * too); 0 where the panel is full. */
unsigned draft_number(struct draft_panel *p, unsigned poles);

/* One of several words. */
#define ONE_OF(d, ...)                                                                             \
    (((const char *const[]){__VA_ARGS__})[pick(                                                    \
        &(d)->state, sizeof((const char *const[]){__VA_ARGS__}) / sizeof(const char *))])

/* Features in other files than their table; each is given the number of its thing. */
typedef void draft_feature(struct draft *d, unsigned thing);
draft_feature feature_room_words, feature_bold_room_words, feature_walls, feature_window,
    feature_outside_door, feature_furniture, feature_cabinet, feature_pipe, feature_bulk,
    feature_fixture, feature_on_floor, feature_outline, feature_kind, feature_copies,
    feature_definitions, feature_amendment;

/* --- the parts of the generator ------------------------------------------------------------ */

/* Rooms for so many boxes, with the doors between them (house.c). */
void draft_house(struct draft *d, unsigned boxes);

/* A switch and its light in a room. */
void draft_light_room(struct draft *d, struct draft_circuit *c, unsigned room);

/* One more piece of a circuit: a light with its switches, receptacles (wirings.c). */
void draft_wiring(struct draft *d, struct draft_circuit *c);

/* Rooms, panels, circuits with their runs and boxes, then all that stands on them (features.c). */
void draft_draw_up(struct draft *d, unsigned boxes);

/* The text of a whole house (dwelling.c). */
void draft_dwelling(struct draft *d, struct buf *out);

/* The text of it (write.c). */
void draft_write(struct draft *d, struct plan_text *out);

#endif
