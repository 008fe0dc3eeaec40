/* The plan as plain structs: what is built, where it stands and how it is joined. No tree is needed
 * any more; nodes are kept for the places of findings, and nothing else can be read from them here
 * (resolve/written.h).
 *
 * Things have ids, their index in the model's array of their sort. Coordinates: x to the east, y to
 * the north, z up from the datum, exact lengths. Walls are walked clockwise seen from above, so a
 * wall's left end is where one enters it. Copies (units, rooms made after rooms) are built out:
 * walls and distances are those on site. Later stages put their results in arrays of their own,
 * indexed by id. */
#ifndef STUDBAY_MODEL_MODEL_H
#define STUDBAY_MODEL_MODEL_H

#include "resolve/library.h"
#include "resolve/written.h"

struct point {
    length x, y;
};

struct place3 {
    length x, y, z;
};

struct origin {
    const struct node *node; /* the statement that would mend it */
    const struct unit *unit; /* the unit it was built in, or NULL */
};

struct unit {
    uint32_t id;
    const char *name, *title;
    const struct node *node;
    bool built; /* false: a pattern that nothing is built from, only checked */
};

struct lumber {
    const char *name;
    length thickness, depth;
    bool engineered; /* truss, i-joist, laminated: not bored by eye */
    bool open;       /* engineered, but cables go between its webs or through its knockouts */
};

struct framing {
    struct lumber lumber;
    length spacing;
    bool running_north; /* joists: their long way */
};

/* What of a thing may be in doubt where the text could not be read in full. Which of it a thing has
 * tells facts/facts.h, which alone reads what is noted here and says what rests on it. */
enum matter {
    ITS_TEXT = 1 << 0,    /* what its statement and its block say */
    ITS_PLACE = 1 << 1,   /* where it stands */
    ITS_LEVEL = 1 << 2,   /* the level it is on */
    ITS_KINDS = 1 << 3,   /* of a room: every kind that it has */
    ITS_FIXED = 1 << 4,   /* of a room: what is fixed in it, and so what its walls leave free */
    ITS_BOXES = 1 << 5,   /* the boxes it has, or ends in */
    ITS_DEVICES = 1 << 6, /* what is in these boxes */
    ITS_FEED = 1 << 7,    /* which runs feed it */
    ITS_NAMES = 1 << 8,   /* which names there are in it */
    ITS_BREAKER = 1 << 9, /* of a circuit: its breaker */
    ITS_LINES = 1 << 10,  /* of a circuit: a device on it takes both lines, its breaker gives one;
                             breaker-poles says it */
    ITS_CLAUSES = 1 << 11 /* of a circuit: a line of its block may have been any clause */
};

struct level {
    uint32_t id;
    const char *name, *title;
    const struct node *node;
    length floor, ceiling; /* finished floor above the datum; ceiling above the floor */
    struct framing walls, joists, floor_joists;
    length bore; /* height of the bores through studs, above the floor */
    bool below_grade;
    struct {
        bool floor, ceiling, walls, joists, bore;
    } written;         /* what its statement says; the rest is the edition's */
    uint16_t in_doubt; /* ITS_TEXT: its height */
};

struct wall {
    const char *name;         /* as it stands on site */
    const char *written;      /* as the plan's text calls it */
    struct point left, right; /* on the inside face */
    length length;
    bool mirrored;                    /* `at` of the text counts from the right end */
    bool bearing, outside, insulated; /* as the plan says */
};

enum fixture_sort { FIXTURE_DOOR, FIXTURE_WINDOW, FIXTURE_OPENING, FIXTURE_OTHER };

/* A door, window, opening or fixed thing on a wall. */
struct fixture {
    enum fixture_sort sort;
    enum form_id form; /* F_DOOR, F_COUNTER, ... */
    const char *word;  /* "door", "counter": its form's, interned */
    const char *title;
    const struct node *node;
    uint32_t wall;          /* index in the room's walls */
    length from_left, wide; /* nearer edge from the wall's left end on site */
    length sill;            /* height of its lower edge above the floor; negative: not written */
    length deep;            /* how far it stands out from the wall; 0: not written */
    bool hinge_right, swings_out; /* a door, on site, seen from inside its room */
    bool swing_told;              /* the plan says one of the two */
    length out;                   /* a peninsula: how far it stands out from the wall */
    bool sliding, to_outside;
    struct room *to; /* a door or opening: the room on its other side, where the plan names it */
};

/* A counter that stands apart from the walls. */
struct island {
    const struct node *node;
    const char *title;
    struct point low, high;
};

/* A stair: it stands in the statement of one room and joins two. */
struct stairs {
    const struct node *node;
    uint32_t risers;
    struct room *from, *to; /* NULL: not written, or unknown */
};

/* A part of a room with a use of its own. */
struct use_area {
    const struct node *node;
    const struct kind_def *kind;
    struct point low, high;
};

/* An upright shaft in a room: cables go from level to level in it without a hole. */
struct chase {
    const struct node *node;
    struct point low, high;
};

struct room {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;
    struct level *level;
    const struct kind_def *const *kinds;
    uint8_t kind_count;
    const struct wall *walls;
    uint32_t wall_count;
    struct point low, high; /* bounding box */
    length ceiling;         /* above the floor */
    length finish;
    struct framing wall_framing, joists;
    bool unfinished;
    bool kind_guessed; /* it says no kind, and is no copy that has its base's */
    uint16_t in_doubt; /* ITS_BOXES: a broken statement may have declared one; ITS_LEVEL; ITS_FEED:
                          a run names a box in it that is not there, and any may be meant;
                          ITS_KINDS; ITS_FIXED */
    VEC(struct box *) boxes;
    VEC(struct fixture) fixtures;
    VEC(struct chase) chases;
    VEC(struct island) islands;
    VEC(struct stairs) stairs;
    VEC(struct use_area) areas;
    uint32_t bays; /* vehicle bays of a garage; 0: not written */
    bool attached,
        detached; /* a garage that joins the dwelling, or stands apart, as the plan says */
    bool insulated_ceiling;
    struct map box_names; /* (0, name) -> struct box */
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
};

struct held { /* conductors that an existing box already holds */
    const char *size;
    uint32_t count;
};

struct box {
    uint32_t id;
    uint8_t gangs;     /* declared; 0 not */
    uint16_t in_doubt; /* ITS_TEXT */
    bool existing;
    bool compartment; /* every device in it has its own wiring compartment: no bought box */
    const char *name, *title;
    struct room *room;
    const struct node *node;
    struct place place;
    struct box_type *declared; /* NULL: the smallest that serves, see boxes.h of the wiring stage */
    const char *cover;         /* "blank", "in-use" or NULL */
    struct device **devices;
    VEC(struct held) held;
    uint32_t device_count, held_grounds, terminal_blocks;
    VEC(struct leg *) capped; /* legs reserved here for later */
    VEC(struct run *) runs;   /* power runs that end here, in source order */
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
    bool fuel_fired; /* as the plan says, or its type */
    bool general;    /* a receptacle of the sort that the edition places along walls and counters */
    struct part *parts;
    uint32_t part_count;
};

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
    uint32_t spaces;
    bool existing, half_size;
    VEC(struct space_range) taken;
    struct circuit *feeder; /* NULL: the service, or not said */
    VEC(struct circuit *)
    circuits; /* that begin here, feeders of other panels among them, in source order */
    struct map circuit_names;
};

struct circuit {
    uint32_t id;
    const char *name, *title;
    struct unit *unit;
    const struct node *node;
    struct panel *panel; /* where it begins; NULL where that is in doubt */
    struct panel *feeds; /* a feeder: the panel it feeds; else NULL */
    double breaker;      /* A; 0 not given */
    const struct node *breaker_node;
    const char *text; /* the title as it is written, or NULL */
    bool two_pole, afci, gfci, dual_function, tied, multiwire, existing;
    uint32_t space;          /* declared; 0 not */
    struct cable_def *cable; /* default of its runs, or NULL */
    double drop_target;      /* fraction; 0: nothing is enlarged */
    double existing_load;    /* VA that it carries already */
    length upstream; /* of the cable between the panel and the existing box where new work begins */
    const char *upstream_size;
    VEC(struct run *) runs;   /* in source order, one for each hop and cable */
    VEC(struct part *) parts; /* devices' parts on it */
    struct box *root;         /* an existing box that carries it already; NULL: the panel */
    uint16_t in_doubt;        /* ITS_TEXT; ITS_LINES; ITS_FEED: a box of it, or an end of a run,
                                 could not be read in full */
    bool is_tree;             /* rooted, no loop, so that wiring and lengths make sense */
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

/* One cable from one box to another. A chain of n hops is n runs; `cable A + B` makes two runs of
 * each hop. */
struct run {
    uint32_t id;
    char of_two;    /* one of the two cables of `cable X + Y`: 'a' or 'b'; else 0 */
    bool own_cable; /* its own statement names the cable */
    bool existing, line_side, load_side, fished, exposed, underground, measured;
    bool in_tree; /* part of its circuit's tree; false: an end is unknown, it closes a loop, or
                     nothing feeds it */
    enum via via;
    const struct node *node;
    struct span from_span, to_span; /* the two names in the chain */
    struct circuit *circuit;        /* NULL: low voltage */
    struct low_voltage *low_voltage;
    VEC(struct circuit *) also; /* other circuits that the same cable carries (for circuits) */
    struct end from,
        to; /* as written; after the tree is found, `from` is the end nearer the source */
    struct cable_def *declared; /* its own, else the circuit's, else NULL */
    length burial, length, spare;
    length notch;      /* studs and joists on its way are notched this deep; 0: bored */
    const char *label; /* `as NAME`, or NULL */
    const char *title;
};

struct coil {
    uint32_t id;
    struct cable_def *cable;
    length length;
    double price; /* negative: none */
    uint32_t count;
    bool on_hand;
    const char *name, *title;
    const struct node *node;
};

struct price {
    const char *what; /* words as the plan writes them, one blank between */
    double amount;
};

struct waiver {
    const struct node *node;
    struct unit *unit;
    const struct rule *rule;
    const char *subject; /* the address it covers; NULL: the whole plan */
    const char *because, *by, *on;
    uint32_t used; /* findings it lets stand */
};

/* What a plan changes of a book that it is checked by. */
struct amendment {
    const struct edition *edition;
    const char *because;
    const char **tables; /* tables and lists that it changes or takes away, each once */
    uint32_t table_count;
};

/* What a plan says of the load that the house already has. */
struct existing_load {
    double va;
    const char *what; /* NULL: not said */
};

enum calculation { CALCULATE_NOT_SAID, CALCULATE_DWELLING, CALCULATE_ADDITION, CALCULATE_FEEDER };

struct model {
    struct diag *diag;
    struct arena *arena;
    struct names *names;
    struct library *lib;
    struct code code;
    const struct node *plan; /* the plan statement, or NULL */
    const char *title, *site, *owner, *permit, *by, *date, *currency;
    VEC(const char *) notes;
    double volts, line_volts; /* 120 and 240 */
    length slack, stock_step;
    struct {
        bool supply, slack, stock_step;
    } written;   /* what the plan says; the rest is the edition's */
    double area; /* ft2, for the load calculation; 0: by the rooms */
    enum calculation calculate;
    VEC(struct existing_load) existing_loads;
    double measured, service; /* A; 0 not given */
    VEC(struct level *) levels;
    VEC(struct unit *) units;
    VEC(struct room *) rooms;
    VEC(struct box *) boxes;
    VEC(struct device *) devices;
    VEC(struct panel *) panels;
    VEC(struct circuit *) circuits;
    VEC(struct low_voltage *) low_voltages;
    VEC(struct run *) runs;
    VEC(struct leg *) legs;
    VEC(struct coil *) coils;
    VEC(struct price) prices;
    VEC(struct waiver *) waivers;
    VEC(struct amendment) amendments; /* in the order of the library's editions */
    struct map scope;                 /* (unit, name) -> struct named: rooms, units, panels */
    struct map leg_names;             /* (unit, name) -> struct leg */
    bool too_large;                   /* more boxes than are built; the rest is left out */
};

/* Builds the model from the statements of the plan in source order (an F_FILE node; what includes
 * bring stands in their place); every fault is a finding. Linear in what is built. `lib` holds the
 * library and the plan's own definitions. */
struct language;
struct model *model_build(struct arena *arena, struct diag *diag, struct names *names,
                          struct language *language, struct library *lib, const struct node *file);

/* --- addresses ---------------------------------------------------------------------------- */

/* "studio.R1", "u101.living.R1" ; without the unit where `short_form` (messages: one finding serves
 * many copies). */
const char *box_address(struct arena *arena, const struct box *b, bool short_form);
const char *panel_address(struct arena *arena, const struct panel *p, bool short_form);
const char *end_address(struct arena *arena, struct end e, bool short_form);

/* "P.1", "u101.P.2"; feeders are named for the panel they feed: "feeder P". */
const char *circuit_address(struct arena *arena, const struct circuit *c, bool short_form);

/* "studio.S1 -> L1": the second name without its room where it is the same. */
const char *run_address(struct arena *arena, const struct run *r, bool short_form);
const char *room_address(struct arena *arena, const struct room *r, bool short_form);
const char *leg_address(struct arena *arena, const struct leg *l, bool short_form);

struct place3 end_position(struct end e);
struct unit *end_unit(struct end e);

/* Whether both ends of a run are known; else what is wrong has been said. */
static inline bool run_is_whole(const struct run *r)
{
    return (r->from.box || r->from.panel) && (r->to.box || r->to.panel);
}

/* --- findings about the model ------------------------------------------------------------- */

/* Records a finding at `span` of a thing built in `unit` (may be NULL): each unit becomes a related
 * place, and copies of one finding fall together. `subject` is the full address, for waivers. The
 * article is looked up from the editions' table. */
struct finding *model_finding(struct model *m, const struct rule *rule, struct span span,
                              const struct unit *unit, const char *subject, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

/* Lets the findings stand that a waiver covers, and reports waivers that cover none. Once, after
 * all rules have run. */
void model_apply_waivers(struct model *m);

/* The price of a thing, by the words of a price statement; negative where the plan names none. */
double model_price(const struct model *m, const char *what);

#endif
