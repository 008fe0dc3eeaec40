/* Wall spaces of rooms, and what of them no receptacle reaches: for the rule that judges it, and
 * for who places receptacles. */
#ifndef STUDBAY_RULES_WALL_SPACES_H
#define STUDBAY_RULES_WALL_SPACES_H

#include "rules/check.h"
#include "rules/space.h"

/* What the edition says of wall spaces. */
struct wall_code {
    length reach, smallest, floor_within, up_to;
    bool counters_count, railings_count, sliding_counts;
};

/* A wall space of one room. Where an opening reaches into a corner, the wall beside it runs
 * straight on into the room behind, and so does the space. */
struct wall_space {
    const struct room *room;
    struct stretch at;       /* on the room's floor line */
    struct wall_space *next; /* the space that it runs on into, clockwise */
    length between;          /* the end of the wall between the two rooms */
    bool has_before, told;
};

typedef VEC(struct wall_space) space_list;

/* The spaces of one room, and the receptacles on its walls. */
struct room_spaces {
    struct floor_line line;
    space_list spaces;
    point_list places;
    stretch_list asked; /* the parts of the line that the rule is about */
    bool certain;
};

struct wall_spaces {
    const struct checked *c;
    struct wall_code code;
    struct room_spaces *of_room; /* by room id */
};

struct laid_space {
    const struct wall_space *space;
    length begins; /* on the line of the chain */
};

/* Spaces that run on into each other, laid end to end on a line of their own. `closed`: its end is
 * its beginning. */
struct wall_chain {
    VEC(struct laid_space) laid;
    bool closed;
    length long_;
    point_list points;  /* the receptacles that count, in order */
    stretch_list asked; /* the parts that the rule is about; of a ring a second time, `long_` on */
};

struct wall_code wall_spaces_code(const struct checked *c);

/* Whether a receptacle in a box on a wall counts for it: not too high, in no cabinet. */
bool wall_spaces_box_counts(const struct checked *c, const struct wall_code *w,
                            const struct box *b);

/* The places on the line of the receptacles of its room that count: besides, not too far from the
 * wall, not worked wholly by a switch. */
void wall_spaces_receptacles(const struct checked *c, const struct floor_line *line,
                             const struct wall_code *w, point_list *out);

/* The spaces of all rooms; false where the edition asks nothing of them. */
bool wall_spaces_find(const struct checked *c, struct wall_spaces *all);

/* Calls a function once for each chain of which something is asked. */
typedef void wall_chain_fn(const struct wall_spaces *all, const struct wall_chain *chain,
                           void *data);
void wall_spaces_each_chain(struct wall_spaces *all, wall_chain_fn *each, void *data);

/* What of a chain is asked and out of reach; of a ring places may lie past its start. */
void wall_spaces_gaps(const struct wall_spaces *all, const struct wall_chain *chain,
                      stretch_list *out);

#endif
