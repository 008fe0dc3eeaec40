/* The floor line of a room: its walls laid end to end, clockwise, so that what stands along them is
 * a matter of stretches and points on one line.
 *
 * A place on the line is its distance from the left end of the room's first wall. The line is a
 * ring: a stretch that goes round past its start has a `to` above `whole`, and a point may be met
 * again one `whole` further on. All lengths are exact. */
#ifndef STUDBAY_RULES_SPACE_H
#define STUDBAY_RULES_SPACE_H

#include "model/place.h"

struct fixture;
struct wall;

struct stretch {
    length from, to;
};

typedef VEC(struct stretch) stretch_list;
typedef VEC(length) point_list;

struct floor_line {
    const struct room *room;
    length *start; /* of each wall, and of the whole behind the last */
    length whole;
};

struct floor_line space_floor_line_of(struct arena *arena, const struct room *r);

/* The place on the line of a place on a wall, the wall at a place, and how far that is from the
 * wall's left end. */
length space_floor_place(const struct floor_line *line, uint32_t wall, length from_left);
uint32_t space_floor_wall(const struct floor_line *line, length at);
length space_floor_from_left(const struct floor_line *line, length at);

/* A fixed thing on the line, cut off at the ends of its wall. */
struct stretch space_floor_fixture(const struct floor_line *line, const struct fixture *x);

/* Whether a wall and the next one meet at a right angle that is open to the room: an inner corner,
 * where things stand. */
bool space_floor_square_corner(const struct room *r, uint32_t wall);

/* Sorts stretches and joins those that touch or overlap. */
void space_stretches_merge(stretch_list *list);

/* What is left of `all` without `holes`; both as space_stretches_merge leaves them. */
void space_stretches_without(struct arena *arena, const stretch_list *all,
                             const stretch_list *holes, stretch_list *out);

/* What the breaks leave of the ring, in the order of the line; the one that runs over the start of
 * the line comes last. Without a break the whole ring is one stretch from 0 to `whole`, closed in
 * itself. `breaks` as space_stretches_merge leaves it. */
void space_ring_without(struct arena *arena, length whole, const stretch_list *breaks,
                        stretch_list *out);

/* The points of the ring that lie in a stretch, its ends with it, sorted and moved to where the
 * stretch runs. */
void space_points_in(struct arena *arena, length whole, struct stretch in, const point_list *points,
                     point_list *out);

/* The parts of a stretch that are farther than `reach` from every point; `points` as
 * space_points_in gives them. `closed`: the stretch is a whole ring. */
void space_stretch_gaps(struct arena *arena, struct stretch in, bool closed,
                        const point_list *points, length reach, stretch_list *out);

/* How many points a stretch wants at least so that no place in it is farther than `reach` from one:
 * its length over twice the reach, rounded up, whether its ends are open or meet. NFPA 70
 * 210.52(A)(1). */
uint32_t space_points_wanted(length long_, length reach);

/* Where the first of the least number of points may stand that reach all of a gap, kept within the
 * stretch that the gap lies in. */
struct stretch space_first_point_window(struct stretch in, struct stretch gap, length reach);

/* --- distances in the plane --------------------------------------------------------------- */

struct rectangle {
    struct point corner[4]; /* round its edge */
};

/* The place on the floor that a fixed thing takes: its width along the wall, `deep` into the room.
 */
struct rectangle space_fixture_rectangle(const struct room *r, const struct fixture *x,
                                         length deep);

/* From a point to a wall's line between its ends, and to a rectangle (0 inside it). */
double space_distance_to_wall(const struct wall *w, struct point p);
double space_distance_to_rectangle(const struct rectangle *q, struct point p);

/* The spot of a rectangle that is nearest to a point; the point itself where it lies within. */
struct point space_nearest_in_rectangle(const struct rectangle *q, struct point p);

/* The length of a corridor along its middle: of a plan that is as wide everywhere, however it
 * bends, width and length follow from its area and its outline; a plan that is no corridor has the
 * longer side of its bounding box. */
length space_corridor_length(const struct room *r);

/* Square feet between the walls. */
double space_room_square_feet(const struct room *r);

#endif
