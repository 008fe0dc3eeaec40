/* Between loads.c and drops.c: the currents of a circuit, line by line, and the order of the
 * panels.
 */
#ifndef STUDBAY_LOADS_DROPS_H
#define STUDBAY_LOADS_DROPS_H

#include "model/model.h"
#include "model/power.h"

/* What a circuit carries, in VA and in A of line a and line b. A circuit of one pole has line a
 * alone. */
struct circuit_sum {
    double va, continuous_va;
    double amps[2];   /* continuous loads once */
    double needed[2]; /* continuous loads at the edition's factor, nameplates at their minimum
                         circuit ampacity */
};

typedef VEC(struct panel *) panel_list;

/* Whether a part takes its load between the two lines. */
static inline bool part_on_both_lines(const struct model *m, const struct part *part)
{
    return part->volts > m->volts;
}

/* Volts over which the load of a circuit hangs that is not said part by part: between its lines
 * where it has two poles or feeds a panel, else (multiwire too) from a line to the neutral. */
double drop_circuit_volts(const struct model *m, const struct circuit *c);

/* Ohm for 1000 ft of one conductor of a size at 75 C: solid up to the size that the table says,
 * stranded above; 0 where it has none. */
double resistance_of_size(struct model *m, enum metal metal, const char *size);

/* Panels in an order in which each comes before those it feeds; those that feed each other in a
 * ring are left out. */
panel_list loads_panels_from_service(struct arena *arena, const struct model *m);

#endif
