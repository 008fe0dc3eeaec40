/* Counter spaces of a room, and what of them no receptacle reaches: for the rule that judges it,
 * and for who places receptacles. */
#ifndef STUDBAY_RULES_COUNTER_SPACES_H
#define STUDBAY_RULES_COUNTER_SPACES_H

#include "rules/check.h"
#include "rules/space.h"

struct fixture;

/* What the edition says of counters, and how high the trade builds them. */
struct counter_code {
    length smallest, reach, above, behind, behind_corner, top;
};

/* A stretch of counter along the floor line that no sink or range parts. */
struct counter_space {
    struct counter_code code;
    struct floor_line line;
    struct stretch at,
        with_ends;     /* the second with the ends of the counter at the walls beside it,
                          where a receptacle serves it too; not before the line's start */
    point_list points; /* the receptacles that count, in order */
    stretch_list gaps; /* what none of them reaches */
};

typedef VEC(struct counter_space) counter_space_list;

/* Those of a room that the edition asks something of. */
void counter_spaces_find(const struct checked *c, const struct room *r, counter_space_list *out);

/* Whether a receptacle in a box would serve a counter by its height: above the top, not too high,
 * in no cabinet. */
bool counter_spaces_box_counts(const struct counter_code *k, const struct box *b);

/* The counter at a place of the line, NULL: none. */
const struct fixture *counter_spaces_counter_at(const struct floor_line *line, length at);

#endif
