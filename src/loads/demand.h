/* Load calculations of a service or feeder: what the connected load counts for when not all of it
 * runs at once. NFPA 70, Article 220; all figures, and the articles that the steps name, come from
 * the tables of the edition. */
#ifndef STUDBAY_LOADS_DEMAND_H
#define STUDBAY_LOADS_DEMAND_H

#include "base/arena.h"

#include <stdbool.h>

struct circuit;
struct code;
struct model;

enum demand_method {
    METHOD_STANDARD, /* 220, part III */
    METHOD_OPTIONAL, /* 220.82, a dwelling; 220.84, three and more of them */
    METHOD_EXISTING, /* 220.83, an addition to a dwelling whose load is known */
    METHOD_MEASURED, /* 220.87, an addition to what was measured */
    METHOD_COUNT,
};

struct demand_row {
    const char *item;
    double va, factor,
        demand;          /* factor and demand are NAN in a step whose demand a later row gives */
    const char *article; /* without the edition's label; NULL where the library has none */
    const struct unit *unit; /* of a row about one thing in a unit; else NULL */
};

struct demand {
    enum demand_method method;
    const struct panel *panel;       /* the panel whose feeder is calculated; NULL: the service */
    VEC(struct demand_row) rows;     /* the demands add up to va */
    double va, amps;                 /* amps at the line voltage */
    double neutral_va, neutral_amps; /* NAN where the neutral of the old load is not known */
    double minimum; /* A: the smallest standard rating of a service or feeder that serves; 0 where
                       the edition has none so large */
    double area, lighting_va; /* ft2, and what it counts for before any demand factor */
    bool multifamily;         /* the optional method for several dwelling units */
    bool known; /* false: the plan lacks the load that is there already, so that the sums are of the
                   new load alone */
    VEC(const char *) notes;
};

struct demand_frame;

/* What several calculations of a plan share. Linear in the circuits' parts. */
struct demand_frame *demand_prepare(struct arena *arena, struct model *m);

/* The calculation for the whole plan (`of` NULL) or for the feeder of a panel, with what hangs on
 * it. Linear in the loads that count. An addition (`calculate addition`, and the methods for
 * existing dwellings) counts what is new. The standard and optional methods assume the
 * small-appliance and laundry circuits that a dwelling must have even where the plan has fewer. */
struct demand *demand_work_out(struct demand_frame *frame, enum demand_method method,
                               const struct panel *of);

/* What the plan asks for: its method, and the panel whose feeder it is, or NULL. */
enum demand_method demand_method_of(const struct model *m);
const struct panel *demand_panel_of(const struct model *m);

/* The load in VA of a branch circuit that feeds nothing but ranges, cooktops and ovens (Table
 * 220.55, note 4); negative where it feeds other things, or nothing. */
double demand_of_cooking_circuit(struct model *m, const struct circuit *c);

/* A calculated current in whole amperes: the edition says which fractions are dropped (table
 * `load-rounding`); others count in full. */
double demand_rounded(struct code *code, double amps);

#endif
