/* What the things of a plan are called, as findings and reports say it. */
#ifndef STUDBAY_MODEL_ADDRESS_H
#define STUDBAY_MODEL_ADDRESS_H

#include <stdbool.h>

struct box;
struct circuit;
struct end;
struct panel;
struct run;

struct arena;
struct leg;
struct room;

/* "studio.R1", "u101.living.R1" ; without the unit where `short_form` (messages: one finding serves
 * many copies). */
const char *address_of_box(struct arena *arena, const struct box *b, bool short_form);
const char *address_of_panel(struct arena *arena, const struct panel *p, bool short_form);
const char *address_of_end(struct arena *arena, struct end e, bool short_form);

/* "P.1", "u101.P.2"; feeders are named for the panel they feed: "feeder P". */
const char *address_of_circuit(struct arena *arena, const struct circuit *c, bool short_form);

/* "studio.S1 -> L1": the second name without its room where it is the same. */
const char *address_of_run(struct arena *arena, const struct run *r, bool short_form);
const char *address_of_room(struct arena *arena, const struct room *r, bool short_form);
const char *address_of_leg(struct arena *arena, const struct leg *l, bool short_form);

#endif
