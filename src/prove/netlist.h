/* A made-up plan as a SPICE deck, so that a circuit simulator can be asked what the proof was
 * asked. */
#ifndef STUDBAY_PROVE_NETLIST_H
#define STUDBAY_PROVE_NETLIST_H

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct buf;
struct graph;
struct verdict;

struct netlist_options {
    const struct circuit *circuit; /* NULL: all that are made up */
    const struct verdict *verdict; /* what it leaves out stands in no deck; NULL: all is written */
    const double *ohm; /* by run id: one conductor of it from end to end; 0: not known, taken for 1
                          milliohm */
    const uint8_t *at; /* by switch of graph->switches: its position */
    bool constant_current; /* loads take their nameplate current whatever their voltage, as the drop
                              report reckons; else each is a resistance */
};

/* A load of the deck: the simulator prints the voltage on it as v(m0), v(m1) ... in this order. */
struct netlist_load {
    const struct part *part;
    uint32_t hot, other; /* elements: its line side, and its neutral or the other line; of a load
                            that lies on line b alone, which is below its neutral, the other way
                            round */
    bool on;             /* by the contacts alone: its hot side reaches a line */
};

/* The loads of the deck in the order of the model. A receptacle without a load carries a tester of
 * 100 kilohm. */
struct netlist_load *netlist_loads(struct arena *arena, const struct graph *g,
                                   const struct netlist_options *options, uint32_t *count);

/* Writes the deck: a source for each line (120 V DC stands for 120 V effective), each conductor its
 * resistance, each closed contact 10 microohm, each load; grounds too. ngspice -b prints the
 * voltages. The same plan gives the same bytes. */
void netlist_write(struct buf *out, struct arena *arena, const struct graph *g,
                   const struct netlist_options *options);

#endif
