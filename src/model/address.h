/* What the things of a plan are called, as findings and reports say it. */
#ifndef STUDBAY_MODEL_ADDRESS_H
#define STUDBAY_MODEL_ADDRESS_H

#include "model/power.h"

#include <stdbool.h>

struct arena;
struct leg;
struct room;

/* "studio.R1", "u101.living.R1" ; without the unit where `short_form` (messages: one finding serves
 * many copies). */
const char *address_of_box(struct arena *arena, const struct box *b, bool short_form);
const char *address_of_panel(struct arena *arena, const struct panel *p, bool short_form);
const char *address_of_end(struct arena *arena, struct end e, bool short_form);

/* As it is typed: "P.1", "u101.P.2"; feeders are named for the panel they feed: "feeder P". */
const char *address_of_circuit(struct arena *arena, const struct circuit *c, bool short_form);

/* Where a breaker sits: its first space (0: that is not known), and which half of it. */
struct seat {
    uint32_t space;
    enum half half;
};

/* What is written on the panel beside the breaker, and what a person reads: "P14", "P14/16" of two
 * poles, "P14 upper", "u101.P14"; "P1-4" where the panel's name ends in a figure. NULL without a
 * space or a panel. */
const char *address_handle(struct arena *arena, const struct circuit *c, struct seat at,
                           bool short_form);

/* The handle with the word that the plan has for the circuit: "P14", "P7 (bath)", "feeder Q
 * (P2/4)"; as it is typed where it has no space. */
const char *address_called(struct arena *arena, const struct circuit *c, struct seat at,
                           bool short_form);

/* The same before spaces are given out: by what the plan says. */
const char *address_called_as_written(struct arena *arena, const struct circuit *c,
                                      bool short_form);

/* "studio.S1 -> L1": the second name without its room where it is the same. */
const char *address_of_run(struct arena *arena, const struct run *r, bool short_form);
/* The same of what goes from one end to another, be it through several raceways. */
const char *address_between(struct arena *a, struct end from, struct end to, bool short_form);
const char *address_of_room(struct arena *arena, const struct room *r, bool short_form);
const char *address_of_leg(struct arena *arena, const struct leg *l, bool short_form);

#endif
