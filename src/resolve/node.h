/* The matched tree: every statement and clause with its form from statements.def, its values and
 * its span. */
#ifndef STUDBAY_RESOLVE_NODE_H
#define STUDBAY_RESOLVE_NODE_H

#include "resolve/written.h"

#include <stdint.h>

struct arena;

/* Recorded while statements and the library are read, here and by the model. */
extern const struct rule rule_unknown_name, rule_duplicate_name, rule_wrong_unit,
    rule_duplicate_clause, rule_definition_cycle, rule_library_incomplete;

struct node {
    enum form_id form;
    uint8_t alt; /* which alternative of the pattern, from 0 */
    bool broken; /* a finding of the form lies in its line: say nothing more of it */
    bool no;     /* a flag taken away: "wet no" */
    bool
        lost; /* a line of its block was refused and read as nothing: it may have been any clause */
    uint16_t value_count;
    uint32_t first, last; /* tokens of its line, or of the clause on a line */
    const char *word;     /* the word it begins with, interned; NULL for an option without a word */
    const char *text;     /* its title, or NULL */
    uint32_t text_token;
    struct source *source;
    struct value *values;
    struct node *parent, *next, *child, *last_child;
    const struct node *base; /* merged into this one, where it is "as Y, except" */
};

/* How a box says where it is: the alternatives of its pattern. A box of a row has more values than
 * these: on a wall the spacing and its number from 0, else the spacings and its numbers eastward
 * and northward. */
enum place_said {
    PLACE_AT_POINT,
    PLACE_BETWEEN_WALLS,
    PLACE_ON_WALL,
    PLACE_UNSAID,
    PLACE_ON_ISLAND,
    PLACE_ON_NAMED_ISLAND
};
/* How an island is written. */
enum island_said { ISLAND_UNNAMED, ISLAND_NAMED };
enum {
    ROW_STEP = 4,
    ROW_NUMBER_WALL = 5,
    ROW_VALUES_WALL,
    ROW_NUMBER_GRID = 6,
    ROW_VALUES_GRID = 8
};

/* What a wall is made of: the alternatives of its pattern. */
enum wall_said { WALL_STUDS, WALL_CONCRETE };

/* Whether the place of a box is that of one in a row. */
bool node_in_row(const struct node *n);

/* Whether a flag stands (and is not taken away by "no"). */
bool node_flag(const struct node *n, enum form_id form);

/* Whether a statement plainly lacks a clause: none is there, not even a broken one, and no line was
 * refused that could have been it. */
bool node_lacks(const struct node *n, enum form_id form);

/* The n-th value, or NULL where it was left out. */
const struct value *node_value(const struct node *n, unsigned i);

/* The value at i as an interned name, or NULL. */
const char *node_name(const struct node *n, unsigned i);

/* The span of one value. */
struct span value_span(const struct node *n, const struct value *v);

/* An address as it is written: studio.R1. */
const char *node_ref_text(struct arena *arena, const struct value *v);

#endif
