/* A circuit as a tree, from its breaker to its last box, and the strips that it is drawn in: a
 * column for each box on the way from the breaker. What is longer than the paper is wide goes on in
 * a strip below, and where these fill the paper, on the next one: the box where it is cut stands at
 * the end of one strip and again at the beginning of the other, with the same figure in a circle.
 */
#ifndef STUDBAY_SHEETS_CIRCUITS_TREE_H
#define STUDBAY_SHEETS_CIRCUITS_TREE_H

#include "model/power.h"
#include "sheets/sheets.h"

enum {
    TREE_WIDE = 48000,    /* of a box */
    TREE_BETWEEN = 46000, /* two boxes along a cable: room for its words */
    TREE_PAD = 1500,
    TREE_ROW = 2700,
    TREE_APART = 5000,
    TREE_STRIPS = 6000, /* between two strips */
    TREE_TICK = 1500,   /* a tick reaches so far over its cable: words begin beyond it */
    TREE_CUT = 4000,    /* from a box to the circle where its strip is cut */
    TREE_ROUND = 2400   /* that circle's radius */
};

typedef VEC(const char *) line_list;

/* A breaker, box or panel of a tree. */
struct node {
    struct end end;
    const struct circuit *breaker; /* the root: its breaker */
    const char *name;
    line_list lines;
    um high, room;         /* room: kept free for it and the words of what comes to it */
    um y;                  /* its middle, where it was drawn last */
    uint32_t joined;       /* towards the first node of those that it hangs together with */
    uint32_t first, count; /* of tree.behind: the nodes behind it */
    uint32_t way;          /* the first edge that comes to it, + 1; 0: none */
    uint32_t cut;          /* the figure under which its tree goes on elsewhere; 0: it does not */
    bool again;            /* it stands elsewhere: here a cable closes a ring */
    bool reached;
};

/* A cable, or what is there between the panel and the box where new work begins. */
struct edge {
    uint32_t from, to; /* nodes */
    const struct run *run;
    const char *title;
    const char *length; /* to be cut, or that it is a part of another; NULL: nothing of it is */
    line_list lines;
    um off; /* below the middle of the box that it comes to */
    bool existing, home_run;
    uint32_t next; /* another edge between the same nodes, + 1; 0: none */
    bool filed;
};

/* A box and some of what is behind it, as far as the paper is wide. */
struct strip {
    uint32_t root, first, count; /* of the nodes behind the root */
    uint32_t from, on; /* figures: where it comes from, and where more of its root is; 0: nowhere */
    um high;
};

struct tree {
    struct set *set;
    const struct circuit *circuit;
    VEC(struct node) nodes;
    VEC(struct edge) edges;
    uint32_t *behind; /* nodes by the node that they are behind */
    struct map seen;  /* (0, box or panel) -> its place among the nodes + 1 */
    struct map pairs; /* (from, to) -> not NULL: an edge is drawn that way */
    VEC(struct strip) strips;
    uint32_t cuts;    /* figures that are given */
    uint32_t columns; /* that the paper has room for */
    um high;          /* the paper's */
};

/* The tree of a circuit; without nodes where nothing of it is known. */
struct tree tree_of(struct set *set, const struct circuit *c);

/* What a cable's words take above it and below it. */
um tree_words_above(void);
um tree_words_below(const struct edge *e);

/* Parts it into strips for paper of that many columns and that height. One strip alone may be
 * higher: a box with more cables beside each other than the paper holds. */
void tree_part(struct tree *t, uint32_t columns, um high);

/* The height of a node in a column of a strip, not the first one, with what is drawn behind it. */
um tree_reach(const struct tree *t, uint32_t node, uint32_t column);

/* Whether what is behind such a node stands there too. */
bool tree_goes_on(const struct tree *t, const struct node *n, uint32_t column);

#endif
