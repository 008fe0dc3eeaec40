/* Breaker spaces: which circuit stands where in its panel, and what each of the two lines carries.
 */
#ifndef STUDBAY_LOADS_PANEL_H
#define STUDBAY_LOADS_PANEL_H

#include "model/power.h"

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct loads;
struct model;

/* Spaces are counted as panels number them: odd ones down the left, even ones down the right, so 1
 * and 2 are the first row, on line A, 3 and 4 the second, on line B, and so on. A breaker of two
 * poles takes n and n + 2. */
struct circuit_space {
    uint32_t space; /* the first; 0 where it has none: an existing circuit that does not say, or a
                       full panel */
    uint8_t poles;  /* 1 or 2; a multiwire circuit is one circuit of 2 */
    enum half half; /* its breaker is half-size: which half it has */
    bool found;     /* the plan does not say it: another plan may give it another space */
    double
        line_va[2]; /* what it puts on line A and line B; both 0 where it has no space on a line */
    double line_continuous[2];
};

struct panel_lines {
    double va[2], continuous_va[2]; /* on line A and B, of the circuits that have a space */
    bool proven;      /* no other choice of the spaces that were free has a smaller difference */
    uint32_t unknown; /* poles of existing circuits that stand somewhere among the free spaces: the
                         plan does not say where, and more than its taken spaces hold */
};

struct panels {
    struct circuit_space *of_circuit; /* by circuit id */
    struct panel_lines *of_panel;     /* by panel id */
};

/* A circuit whose name is a number sits in that space, another one where its `space` says; `taken`
 * ones are left alone. Then the rest are placed, those of two poles first, so that the lines carry
 * as nearly the same as can be; what is left over in a full panel are the smallest. A circuit whose
 * load the plan does not say goes where the breakers add up to less. Existing circuits without a
 * space get none, and as many spaces are left free for them as they have poles beyond what is
 * taken. The same circuits get the same spaces in whatever order the plan has them. */
struct panels *panels_lay_out(struct arena *arena, const struct model *m,
                              const struct loads *loads);

/* What a person reads of a circuit: its handle, with its word where it has one (address_called). */
const char *panel_circuit_called(struct arena *arena, const struct panels *panels,
                                 const struct circuit *c, bool short_form);

/* The halves of a space that are in use, a set. */
enum { UPPER_HALF = 1, LOWER_HALF = 2, WHOLE_SPACE = UPPER_HALF | LOWER_HALF };

/* What a breaker has of its first space (pole 0) or its other one (pole 1). */
uint8_t panel_half(enum half half, uint32_t pole);

/* By number, what of each space is in use or taken; p->spaces + 1 of them. */
uint8_t *panel_used_spaces(struct arena *arena, const struct panels *panels, const struct panel *p);

/* Where a breaker could stand: its first space and half. "5, 7 to 9", of two poles "5/7, 6/8"; NULL
 * where there is none, or the panel does not say how many spaces it has. */
const char *panel_free_words(struct arena *arena, const struct panels *panels,
                             const struct panel *p, uint8_t poles, enum half half);

/* One circuit that would go into another space. */
struct panel_move {
    const struct circuit *circuit, *with; /* with: they change places; NULL: to a free space */
    uint32_t space;                       /* where it would go */
};

enum { MOST_MOVES = 4 };

/* An order of the spaces in which the lines carry more nearly the same: the fewest moves that come
 * near to it, each the best one at its turn. Of new breakers of one pole that have a whole space.
 */
struct better_order {
    struct panel_move move[MOST_MOVES];
    uint32_t moves; /* 0: there is none */
    double va[2];   /* what the lines would carry */
};

struct better_order panel_better_order(struct arena *arena, const struct panels *panels,
                                       const struct panel *p);

/* Whether its lines differ by more than the edition's share of the larger one, and of `than` VA. */
bool panel_is_uneven(struct model *m, const struct panel_lines *lines, double than);

/* Of how many circuits of a panel the plan does not say the load, so that they count for nothing in
 * its balance: new ones with receptacles or something else on them, whose sum is 0 VA. */
uint32_t panel_loads_unsaid(const struct panels *panels, const struct panel *p);

/* 0 for line A, 1 for line B. */
static inline unsigned space_line(uint32_t space)
{
    return (space - 1) / 2 % 2;
}

#endif
