/* A make-up as points that are joined: what the proof and the netlist both read. Nothing here knows
 * a net.
 *
 * Elements: joints, both ends of every conductor, terminals of devices, supplies (of each circuit
 * its lines and its neutral; one ground), metal boxes. What meets in a joint is one knot; knots
 * that conductors join are one node. Contacts of switches and protecting devices join neither. */
#ifndef STUDBAY_PROVE_GRAPH_H
#define STUDBAY_PROVE_GRAPH_H

#include "base/arena.h"

#include <stdbool.h>

struct circuit;
struct joint;
struct lead;

enum { NO_ELEMENT = UINT32_MAX };

/* What a point may be joined to: of a circuit its line (or lines a and b) or neutral; ground;
 * nothing. */
enum supply_sort {
    SUPPLY_LINE,
    SUPPLY_LINE_A,
    SUPPLY_LINE_B,
    SUPPLY_NEUTRAL,
    SUPPLY_GROUND,
    SUPPLY_NONE
};

/* A device that protects or disconnects hands its line or neutral on from `in` to `out`. */
struct link {
    struct part *part;
    uint32_t in, out; /* elements */
};

/* A part with contacts: for each position pairs of elements that touch. */
struct switch_part {
    struct part *part;
    const struct switch_position *positions;
    uint8_t position_count;
    uint32_t (*contacts)[4]; /* by position: two pairs; NO_ELEMENT where there is none */
    uint32_t gives[2]; /* terminals by which it gives its leg; NO_ELEMENT where there is none */
};

struct wire {
    struct run *run;
    int16_t index;  /* in the cable's colours, or CONDUCTOR_GROUND */
    bool marked[2]; /* re-identified at the `from` and at the `to` end */
};

struct graph {
    struct arena *arena;
    const struct model *m;
    const struct makeup *k;
    struct wire *wires;
    uint32_t wire_count;
    uint32_t *first_wire; /* by run id, with one behind the last; insulated conductors in order,
                             then the ground */
    uint32_t *first_part; /* by device id */
    uint32_t *first_slot; /* by part, in the order of first_part: its terminals in `slots` */
    uint32_t *slots;      /* element of each terminal; parts of a device share some */
    uint32_t joints, ends, terminals, supplies, boxes,
        count;      /* where each sort of element begins; joints begin at 0 */
    uint32_t *knot; /* by element: a small number for each knot */
    uint32_t *node; /* by element: a small number for each node */
    uint32_t knot_count, node_count;
    VEC(struct link) links;
    VEC(struct switch_part) switches;
};

struct graph *graph_of(struct arena *arena, const struct model *m, const struct makeup *k);

/* The form of a part, or NULL where it is not made up. */
const struct part_form *graph_form_of(const struct makeup *k, const struct part *p);

/* The colour of a conductor, "ground", or "old wire" where nobody says what the old cable is. */
const char *graph_wire_color(const struct graph *g, const struct wire *w);

/* Elements. */
uint32_t graph_terminal_element(const struct graph *g, const struct part *p, uint8_t terminal);
uint32_t graph_end_element(const struct graph *g, uint32_t wire, bool at_to);
uint32_t graph_supply_element(const struct graph *g, const struct circuit *c,
                              enum supply_sort sort);
uint32_t graph_lead_element(const struct graph *g, const struct joint *j, const struct lead *l);

/* Small sets that merge; `parent` holds for each its parent. */
uint32_t graph_set_of(uint32_t *parent, uint32_t x);
void graph_set_merge(uint32_t *parent, uint32_t a, uint32_t b);

#endif
