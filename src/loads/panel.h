/* Breaker spaces: which circuit stands where in its panel, and what each of the two lines carries.
 */
#ifndef STUDBAY_LOADS_PANEL_H
#define STUDBAY_LOADS_PANEL_H

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct loads;
struct model;
struct panel;

/* Spaces are counted as panels number them: odd ones down the left, even ones down the right, so 1
 * and 2 are the first row, on line A, 3 and 4 the second, on line B, and so on. A breaker of two
 * poles takes n and n + 2. */
struct circuit_space {
    uint32_t space; /* the first; 0 where it has none: an existing circuit without one, or a full
                       panel */
    uint8_t poles;  /* 1 or 2; a multiwire circuit is one circuit of 2 */
    bool half;      /* its breaker is half-size: another one stands in the same space */
    double
        line_va[2]; /* what it puts on line A and line B; both 0 where it has no space on a line */
    double line_continuous[2];
};

struct panel_lines {
    double va[2], continuous_va[2]; /* on line A and B, of the circuits that have a space */
    bool proven; /* no other choice of the spaces that were free has a smaller difference */
};

struct panels {
    struct circuit_space *of_circuit; /* by circuit id */
    struct panel_lines *of_panel;     /* by panel id */
};

/* Written spaces are kept and `taken` ones left alone; then the rest are placed, those of two poles
 * first, so that the lines carry as nearly the same as can be; what is left over in a full panel
 * are the smallest. A circuit whose load the plan does not say goes where the breakers add up to
 * less. Existing circuits without a space get none. The same plan always gives the same spaces. */
struct panels *panels_lay_out(struct arena *arena, const struct model *m,
                              const struct loads *loads);

/* What the lines would carry if only existing circuits kept their written spaces. */
struct panel_lines panel_without_written_spaces(struct arena *arena, const struct model *m,
                                                const struct loads *loads, const struct panel *p);

/* 0 for line A, 1 for line B. */
static inline unsigned space_line(uint32_t space)
{
    return (space - 1) / 2 % 2;
}

#endif
