/* Runs of one circuit while they are proposed: the places that they join, the way of each pair, and
 * a tree of them. */
#ifndef STUDBAY_PROPOSE_RUNS_H
#define STUDBAY_PROPOSE_RUNS_H

#include "framing/routes.h"
#include "propose/propose.h"

/* The way between two places, as the real framing has it. */
struct string_way {
    bool open;     /* there is one */
    length length; /* that its cable is cut to */
    length price;  /* of its holes, as a length */
};

/* A circuit whose boxes are to be strung together. Place 0 is where it begins: its panel, or the
 * box that carries it already; the others follow by where they stand, so that neither names nor
 * their order decide. */
struct string_job {
    struct compilation *c;
    struct circuit *circuit;
    struct end *places;
    uint32_t count;
    struct string_way *ways; /* of a and b: ways[a * count + b] */
    uint32_t *parent;        /* by place: the one that feeds it; of place 0 itself */
    bool *kept;              /* by place: the run that feeds it is there and stays */
};

/* The places of a circuit and the ways between them: the boxes that its runs reach, with these, and
 * those that it serves. False, with the reason told, where there is nothing to string. */
bool string_begin(struct compilation *c, struct circuit *circuit, struct string_job *job,
                  struct proposal *out);

/* What it costs to go from one place to another, as a length. */
length string_weight(const struct string_job *job, uint32_t a, uint32_t b);

/* Writes the runs of the tree that are not kept into the circuit, as chains, and takes out what
 * `serves` says where all of it is run. */
void string_write(const struct string_job *job, struct proposal *out);

#endif
