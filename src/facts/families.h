/* Circuits that a dwelling has for a use of its own: which receptacles are theirs, what else may be
 * on them, and what wants a circuit to itself. For judging circuits and for proposing them. */
#ifndef STUDBAY_FACTS_FAMILIES_H
#define STUDBAY_FACTS_FAMILIES_H

#include "facts/rooms.h"
#include "model/power.h"
#include "resolve/library.h"

/* One sort of required circuit, by the rooms it serves. */
struct family {
    const struct current_setting *rating; /* the breaker */
    const struct cite_setting *alone;     /* the article by which nothing else may be on it */
    enum book_table list;                 /* of rooms */
    const char *rooms;                    /* what they are, in words */
};

enum { FAMILY_KITCHENS, FAMILY_BATHS, FAMILY_LAUNDRIES, FAMILY_GARAGES, FAMILIES };

extern const struct family facts_families[FAMILIES];

/* Parts that are on one circuit, or would be. */
struct parts_of {
    struct part *const *at;
    uint32_t n;
};

/* A receptacle that anyone may plug into, of 120 V, always live: not one that lights a room by its
 * switch, nor an appliance's own. */
bool facts_is_plain_receptacle(const struct model *m, const struct part *part);

/* Whether a receptacle in this box is certainly the family's. A bathroom, laundry or garage is that
 * as a whole, whatever else it is; of a kitchen that is a living room too those that serve a
 * counter are certain. */
bool facts_family_has(struct model *m, const struct rooms *rooms, const struct family *family,
                      const struct box *box);

/* Whether a basin is drawn in it: without one nobody knows which receptacle is the basin's. */
bool facts_has_basin(const struct room *room);

/* Whether it may be: what is certain, and the rest of such a kitchen. */
bool facts_family_may_have(struct model *m, const struct family *family, const struct box *box);

/* Whether a part is no business of a circuit of the family. A switch takes nothing, and its load is
 * looked at by itself. A receptacle that a switch works is a light (210.70(A)(1)), and those of a
 * kitchen's circuits are not. */
bool facts_is_stranger(struct model *m, const struct rooms *rooms, const struct family *family,
                       const struct part *part);

/* Whether one of the parts is; none is where they are all in one bathroom, whose circuit may serve
 * the rest of it. */
bool facts_has_strangers(struct model *m, const struct rooms *rooms, const struct family *family,
                         struct parts_of parts);

/* How many circuits of the rating a laundry asks for that is another room too, and not parted by
 * areas: one for it, and more for each other use that wants its own. 1: no other does. */
uint32_t facts_laundry_circuits(struct model *m, const struct room *room);

/* --- circuits of their own ------------------------------------------------------------------ */

/* The article by which a device is the hood of the range below it, and asks a circuit of its own;
 * NULL: it is none. `name`: its row in the table individual-circuits. */
const char *facts_hood_article(struct model *m, const struct device *d, const char *name);

/* Its row in the table individual-circuits, of what wants a circuit of its own; NULL: it does not.
 * Asked by the book, else by its maker. */
const char *facts_individual_row(struct model *m, const struct device *d);
bool facts_individual_is_asked(struct model *m, const struct device *d, const char *name);

/* Whether a part is something else that takes current on the circuit of a device which wants it
 * alone: no switch, nothing that only hands it on, such as a disconnect or surge protector, and
 * nothing that may share it. Each line of a multiwire circuit is a circuit of its own. */
bool facts_shares_with(struct model *m, const struct part *part, const struct device *alone);

#endif
