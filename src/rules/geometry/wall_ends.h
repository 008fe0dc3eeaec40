/* A part of openings-disagree, which rooms.c has: openings in which the end of another wall stands.
 */
#ifndef STUDBAY_RULES_WALL_ENDS_H
#define STUDBAY_RULES_WALL_ENDS_H

struct checked;
struct map;

extern const struct rule rule_openings_disagree;

/* Says so of each door, window and opening where a wall of the room behind meets its wall, but of
 * those in `told`, (0, fixture) -> anything, of which another fault is told. In n log n. */
void wall_ends_check(const struct checked *c, const struct map *told);

#endif
