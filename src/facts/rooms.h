/* What the places of a plan are: the kinds of a room where a box stands, how far it is from sinks
 * and tubs, and which rooms a door joins. Distances are measured on the floor plan, in feet. */
#ifndef STUDBAY_FACTS_ROOMS_H
#define STUDBAY_FACTS_ROOMS_H

#include "base/arena.h"
#include "resolve/book.h"
#include "resolve/written.h"

struct box;
struct model;
struct panel;
struct rule;

/* The kinds of a place: those of the areas that it lies in, else those of its room. */
struct use {
    const struct kind_def *const *kinds;
    uint32_t count;
};

struct plan_spot {
    double x, y; /* feet */
};

/* A door or opening that says what it leads to, seen from one of its two rooms. */
struct doorway {
    const struct room *other;     /* NULL: outside */
    struct plan_spot left, right; /* its two sides */
};

typedef VEC(struct doorway) doorway_list;

struct rooms {
    doorway_list *of_room; /* by room id */
};

typedef VEC(const struct room *) room_list;

/* The rooms of each dwelling: at 0 those outside all units, then by unit id + 1. Linear. */
const room_list *rooms_of_dwellings(struct arena *arena, const struct model *m);

/* Finds the doorways. Linear. */
struct rooms *rooms_find(struct arena *arena, struct model *m);

struct use facts_use_of_box(const struct box *box);
struct use facts_use_of_panel(const struct panel *panel); /* its room is known */
struct use facts_use_of_room(const struct room *room);
bool facts_use_in_list(struct model *m, struct use use, enum book_table list);

/* Whether the room, or an area in it, is of a kind of the list, which the edition may lack. */
bool room_used_as(struct model *m, const struct room *room, enum book_table list);
/* Whether the room is of the kind that the edition names for a rule (table rule-places). */
bool room_is_for(struct model *m, const struct room *room, const struct rule *rule);
bool room_sleeps(const struct room *room);

/* Whether walls and ceiling stay open: as the room says, or its kind. */
bool facts_stays_open(const struct room *room);

/* Whether a receptacle in this box serves a counter: it stands on the counter's wall, over its top,
 * or in an island or peninsula. */
bool facts_serves_counter(struct model *m, const struct box *box);
/* Whether a box stands on the floor plan in an island or peninsula, its edge with it. */
bool facts_stands_in_island(const struct box *box);
bool facts_has_counter(const struct room *room);

/* The wall cabinet that hides a box; NULL: none. */
const struct fixture *facts_cabinet_before(const struct box *box);

/* Whether it stands in the cabinet under a counter or a sink: no receptacle of the wall and none of
 * the counter, but one for what is built in there (210.52(A), (C)). */
bool facts_in_base_cabinet(struct model *m, const struct box *box);

struct plan_spot facts_spot_of(const struct box *box);
double facts_spots_apart(struct plan_spot a, struct plan_spot b);

/* From a spot to a line between two spots. */
double facts_spot_to_line(struct plan_spot p, struct plan_spot a, struct plan_spot b);

/* The way from a box to the nearest thing of that form, a negative number where there is none in
 * its room: through doors too, where `doors`. */
double facts_way_to_fixture(const struct rooms *p, const struct box *box, enum form_id form,
                            bool doors);

/* "4'-6\"", for messages. */
const char *facts_feet_words(struct arena *arena, double feet);

#endif
