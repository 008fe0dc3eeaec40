/* Lines, areas and outlines of paper in whole numbers: what who places words, or signs, asks of
 * them. */
#ifndef STUDBAY_PAPER_PLACE_GEOMETRY_H
#define STUDBAY_PAPER_PLACE_GEOMETRY_H

#include "paper/paper.h"

struct place_line {
    struct spot a, b;
};

/* Whether two lines have a point in common. */
bool place_lines_meet(struct place_line k, struct place_line l);
/* Whether a line has a point inside an area, its edge left out. */
bool place_line_in(struct place_line l, struct area a);
/* The longer of width and height of what of the line is inside the area; 0: nothing. */
um place_line_inside(struct place_line l, struct area a);
/* The part of a line that is inside an area; false: there is none. */
bool place_line_cut(struct place_line *l, struct area a);
/* The square of the distance between two areas; 0 where they touch. */
int64_t place_gap(struct area a, struct area b);
/* The square root, rounded down. */
int64_t place_root(int64_t square);
/* Whether a point lies inside an outline, by the even-odd rule. */
bool place_spot_within(struct spot at, const struct spot *outline, uint32_t count);
/* Whether an area lies inside an outline, its edge included. */
bool place_area_within(struct area a, const struct spot *outline, uint32_t count);
/* Whether a disc has a point inside an area. */
bool place_disc_in(struct spot at, um radius, struct area a);
/* The area that holds a line. */
struct area place_line_area(struct place_line l);

#endif
