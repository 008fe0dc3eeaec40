/* Places, members and units in words and cells. */
#ifndef STUDBAY_EMIT_WORDS_PLACES_H
#define STUDBAY_EMIT_WORDS_PLACES_H

#include "emit/table.h"

struct box_type;
struct mounting;
struct passed;
struct results;
struct room;
struct route;
struct run;
struct unit;
struct upright;

/* Words and addresses as people read them, those of one room as a plan writes a chain: "shop.R1,
 * R2; store.S1". An address may follow what is said of it: "a ground on: shop.R1". */
void words_print_places(const char *const *item, uint32_t count, struct buf *out);
struct cell places_cell(const struct results *r, const char *const *item, uint32_t count);

/* A room as people call it, with its unit: "Flat 101, Living room"; its address where the plan
 * gives it no title. */
const char *words_room(struct arena *arena, const struct room *room);

struct strand;

/* The boxes that a strand goes through, as a plan and a log write a chain: "P -> studio.R1 -> R2".
 */
const char *words_strand(struct arena *arena, const struct strand *strand);

/* The unit's name, or an empty cell. */
struct cell words_unit_cell(const struct unit *unit);

/* A stud: "stud 3", "end stud", "king stud". */
const char *words_stud(struct arena *arena, const struct upright *stud);

/* What a box is fastened to: "9" of a stud that is laid out, "king stud" of another, "joist 4". */
const char *words_mounted_on(struct arena *arena, const struct mounting *mounting);

/* "right", "west": the side of it on which the box stands. */
const char *words_mounted_side(const struct mounting *mounting);

/* How a box stands to the nearest stud or joist: "right of 9", "3\" north of joist 4"; NULL of one
 * that is fastened to neither. */
const char *words_stand(struct arena *arena, const struct mounting *mounting);

/* The same beside no heading: "right of stud 9". */
const char *words_stand_by(struct arena *arena, const struct mounting *mounting);

/* A member in a builder's words: "studio north wall, stud 3", "joist 5 over upper". */
const char *words_member(struct arena *arena, const struct passed *p);

/* "3 holes", "3 holes, 2 notches": what a run goes through. */
const char *words_bored(struct arena *arena, const struct route *route);

/* "3 staples", "2 straps into concrete and 1 staple": what holds a run. */
const char *words_supports(struct arena *arena, const struct run *run, const struct route *route);

/* Where on its member a hole is: "5'-4\" from the left", "3'-2\" from the west". */
const char *words_member_place(struct arena *arena, const struct passed *p);

/* The same to the eighth of an inch, as it is found with a tape. */
const char *words_member_told(struct arena *arena, const struct passed *p);

/* What a member stands in line with: "studio north wall", "joists over upper". */
const char *words_members_line(struct arena *arena, const struct passed *p);

/* The ring of a box type for a wall finish, "5/8\"": the shallowest that reaches its face; NULL
 * where the type has none. */
const char *words_ring(struct arena *arena, const struct box_type *type, length finish);

struct box;

/* What closes a conduit body: "body cover", in a wet or damp place "body cover with gasket". */
const char *words_body_cover(const struct results *r, const struct box *b);

#endif
