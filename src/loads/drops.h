/* Between loads.c and drops.c: the currents of a circuit, line by line, and the walk along its
 * cables. */
#ifndef STUDBAY_LOADS_DROPS_H
#define STUDBAY_LOADS_DROPS_H

#include "model/model.h"
#include "model/power.h"

struct loads;
struct routes;
struct wiring;

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

/* Volts of which a circuit's drop is a share: between its lines where it has two poles or feeds a
 * panel, else (multiwire too) from a line to the neutral. */
double drop_circuit_volts(const struct model *m, const struct circuit *c);

/* Ohm for 1000 ft of one conductor of a size at 75 C: solid up to the size that the table says,
 * stranded above; 0 where it has none. */
double resistance_of_size(struct model *m, enum metal metal, const char *size);

/* Fills loads->drops and loads->worst. `order`: the panels, each before those it feeds. Linear in
 * the runs and boxes. */
void drops_work_out(struct arena *arena, struct model *m, const struct routes *routes,
                    const struct wiring *wiring, const struct circuit_sum *sums,
                    const panel_list *order, struct loads *loads);

#endif
