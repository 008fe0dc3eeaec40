/* Which runs a person means: by the names of their ends, "studio.S1 -> L1" or a whole chain, by
 * what stands on their labels, or by the name that the plan gives them. The site log, the commands
 * and whoever else is told of a run in words ask here. */
#ifndef STUDBAY_FACTS_MEANT_H
#define STUDBAY_FACTS_MEANT_H

#include "model/power.h"

struct model;

/* Runs between the same two ends, or of the same name, in source order. */
struct run_group {
    VEC(const struct run *) runs;
};

/* The runs, boxes and panels of what is built, by their names. */
struct run_names;

/* Files the names. Linear. */
struct run_names *facts_name_runs(struct arena *arena, const struct model *m);

/* The box or panel of that address; both NULL where there is none. */
struct end facts_end_called(const struct run_names *names, const char *address);

/* The runs between two ends, in whatever order; NULL: none. */
const struct run_group *facts_runs_between(const struct run_names *names, struct end a,
                                           struct end b);

/* A run's own name, in a unit with the unit's in front: "u101.feed". */
const char *facts_own_name(struct arena *arena, const struct run *run);

/* The runs of that own name, with that tag on their labels, or, in the copies of a unit, of that
 * address without the unit's name, as findings say it; NULL: none. */
const struct run_group *facts_runs_called(const struct run_names *names, const char *name);

/* What words were found to mean: the runs of each hop; or what there is none of, and its name as
 * it was understood. */
struct meant_runs {
    VEC(const struct run_group *) hops;
    const char *missing; /* "box or panel", "run"; NULL: all was found */
    const char *name;
};

/* The runs that "A -> B -> C" means. A bare name is a box of the room of the end before it, else a
 * panel. */
struct meant_runs facts_runs_of_chain(struct run_names *names, const char *chain);

#endif
