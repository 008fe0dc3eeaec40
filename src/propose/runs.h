/* Runs of one circuit while they are proposed: the places that they join, the way of each pair,
 * what a cable costs by what it carries, and trees of them.
 *
 * Every tree that counts is judged by compiling the plan with it (string_judge). What is reckoned
 * here without that is a bound: no tree costs less, for the real way of each pair is known, and the
 * nets that must cross a run hang on the places behind it alone. */
#ifndef STUDBAY_PROPOSE_RUNS_H
#define STUDBAY_PROPOSE_RUNS_H

#include "framing/routes.h"
#include "propose/propose.h"
#include "resolve/edit.h"

struct box;
struct cable_def;
struct circuit;
struct run;
struct unit;

/* Costs are lengths: so much of the circuit's cable of two conductors costs as much. */
typedef int64_t string_cost;
#define STRING_NO_WAY (INT64_MAX / 4)

/* Sets of places, a bit each; place 0, where the circuit begins, is the lowest. */
typedef uint64_t place_set;

enum {
    STRING_MOST_PLACES = 64,  /* of a set */
    STRING_EXACT_PLACES = 14, /* up to which trees are searched through, the first left out */
    STRING_MOST_CONDUCTORS = 8,
    STRING_MOST_SWITCHES = 4, /* of a leg, whose orders are tried */
    STRING_MOST_ORDERS = 64   /* of all legs together */
};

/* The way between two places, as the real framing has it. */
struct string_way {
    bool open;     /* there is one */
    length length; /* that its cable is cut to */
    length price;  /* of its holes, as a length */
};

/* A leg of the circuit: where its switches and what they work are. */
struct string_leg {
    place_set switches, loads;
    bool two_pole, by_line; /* two conductors; fed by the line, not by another leg */
    uint8_t pole;
    bool neutral_at_one;                /* one of its switches gets a neutral, whichever */
    uint8_t count;                      /* switches */
    place_set at[STRING_MOST_SWITCHES]; /* the place of each, in an order that is tried: the fed one
                                           first, the one that drives what they work last */
    bool ordered;                       /* the order counts; else what is sure of any */
};

/* What ends where of the nets of the circuit: a net crosses a run where it has ends on both sides.
 */
struct string_nets {
    uint8_t poles;
    place_set line[2], neutral, interconnect;
    place_set bare; /* boxes without a device: as the last of a chain both ends are capped */
    place_set lights, other; /* boxes that pass what is for lights alone; with something else in */
    VEC(struct string_leg) legs;
};

/* A tree: by place the one that feeds it. */
struct string_tree {
    uint32_t *parent;
    string_cost bound; /* that it costs at least */
};

/* A circuit whose boxes are to be strung together. Place 0 is where it begins: its panel, or the
 * box that carries it already; the others follow by where they stand, so that neither names nor
 * their order decide. */
struct string_job {
    struct compilation *c;
    const struct compilation *library;
    struct circuit *circuit;
    bool anew;        /* runs that may be written otherwise are not kept */
    edit_list beside; /* what is proposed already for circuits that share a box with it */
    struct map stays; /* (statement of runs, 1) -> anything: it is kept */
    struct end *places;
    uint32_t count;
    struct string_way *ways; /* of a and b: ways[a * count + b] */
    uint32_t *parent;        /* by place: the one that feeds it, of those that are kept */
    bool *kept;              /* by place: the run that feeds it is there and stays */
    struct string_nets nets;
    double ratio[STRING_MOST_CONDUCTORS + 1]; /* price of the least cable with so many conductors,
                                                 against that of two; 0: there is none */
    double base;                              /* what a foot of the cable of two costs */
    double metal; /* what so much metal costs where a cable has no price of its own */
    bool money;   /* prices are the plan's; else conductors by their section */
};

/* The places of a circuit, the boxes that its runs reach and those that it serves, the ways between
 * them, its nets and prices; the first four fields are set. False, with the reason told, where
 * there is nothing to string. */
bool string_begin(struct string_job *job, struct proposal *out);

/* adopt: boxes that nothing feeds and no circuit serves become boxes of the circuit that they must
 * be of, which is told as assumed, and those that may be of any are told; string_release leaves the
 * plan as it was. `only`: of that circuit alone, or NULL. */
void string_adopt(struct compilation *c, const struct circuit *only, struct proposal *out);
bool string_is_unrun(const struct compilation *c, const struct box *b);
void string_release(struct compilation *c);

/* Whether a run stays as it is: it is there, hangs by the site log, or says more than its ends. */
bool string_run_stays(const struct compilation *c, const struct run *run);

/* nets: the nets of the circuit by place, and the conductors that must cross a run with a set of
 * places behind it. */
void string_find_nets(struct string_job *job);
unsigned string_conductors(const struct string_nets *nets, place_set behind);

/* How many orders the switches of its legs can have together, as far as they are tried, and sets
 * one of them by its number. */
uint32_t string_order_count(const struct string_nets *nets);
void string_set_order(struct string_nets *nets, uint32_t order);

/* cost: what cables cost against each other. */
void string_find_prices(struct string_job *job);
double string_price_of(const struct string_job *job, const struct cable_def *cable);

/* What a run from one place to another with so many conductors costs at least; STRING_NO_WAY: it
 * cannot be. */
string_cost string_weight(const struct string_job *job, uint32_t from, uint32_t to,
                          unsigned conductors);

/* Whether a box of which others hang lets them: what is the compartment of a luminaire passes what
 * is for lights alone. */
bool string_may_pass(const struct string_job *job, uint32_t at, place_set behind);

/* What a tree costs at least; `behind` is filled with the places behind each. */
string_cost string_bound_of(const struct string_job *job, const uint32_t *parent,
                            place_set *behind);

/* How a tree that was compiled came out. */
struct string_verdict {
    uint32_t errors, warnings; /* that the plan with the boxes unfed does not have */
    string_cost cost;          /* of all its runs */
    double money;              /* of their cables, where these have prices */
};
bool string_is_better(const struct string_verdict *a, const struct string_verdict *b);

/* judge: compiles the plan with the runs of this circuit, and of those that share a box with it. */
struct string_judge;
struct string_judge *string_judge_new(struct string_job *job, struct proposal *out);
struct string_verdict string_judge_tree(struct string_judge *judge, const uint32_t *parent);
/* The same of the runs that the plan has. */
struct string_verdict string_judge_plan(struct string_judge *judge);
void string_judge_free(struct string_judge *judge);

/* What a search came to. */
struct string_found {
    bool any; /* there is an open way to all places */
    uint32_t *parent;
    struct string_verdict verdict;
    string_cost least; /* no tree that checks as clean costs less */
    uint32_t tried;
};

/* subsets: of few places; exchange: of many. */
struct string_found string_search_all(struct string_job *job, struct string_judge *judge);
struct string_found string_search_near(struct string_job *job, struct string_judge *judge);

/* chains: a box as it is typed in a circuit of a unit, or of none: "room.R1". */
const char *string_box_words(struct arena *a, const struct box *b, const struct unit *here);

/* Takes the runs out that are not kept, for a proposal to write them anew. */
void string_take_out(const struct string_job *job, struct editing e);

/* Writes the runs of a tree that are not kept into the circuit, and takes out what `serves`
 * says where all of it is run. */
void string_write(const struct string_job *job, const uint32_t *parent, struct proposal *out);

#endif
