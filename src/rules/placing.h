/* What the rules of placement share: which rooms they may speak of, what counts as a receptacle or
 * a light, and words for places. */
#ifndef STUDBAY_RULES_PLACING_H
#define STUDBAY_RULES_PLACING_H

#include "rules/check.h"
#include "rules/space.h"

struct use_area;

/* What these rules need to know of a room: its walls, its kinds, all that stands in it. */
enum { WHOLE_ROOM = ITS_TEXT | ITS_PLACE | ITS_KINDS | ITS_FIXED | ITS_BOXES | ITS_DEVICES };

/* Whether that is known, of a room that the work reaches: for those that look at several rooms. */
bool placing_room_is_certain(const struct room *r);

/* The kind of room that the edition's table `rule-places` names for a rule, NULL where it names
 * none; whether a room has it itself, and whether it or a part of it has. */
const char *placing_kind_for_rule(const struct checked *c, const struct rule *rule);
bool placing_kind_of_room(const struct checked *c, const struct room *r, const struct rule *rule);
bool placing_room_for_rule(const struct checked *c, const struct room *r, const struct rule *rule);

/* Calls `each` for every kind of a room and of its parts. */
typedef void kind_fn(const struct checked *c, const struct room *r, const struct kind_def *kind,
                     void *data);
void placing_room_kinds(const struct checked *c, const struct room *r, kind_fn *each, void *data);

/* The row of a table for a device or the nearest of its bases that has one; NULL where none has. */

/* A 120 V receptacle of 20 A at most: those that 210.52 asks for. `placing_box_always_live`: one
 * that no switch works wholly, for that one stands for a light (210.52(2)). */
bool placing_device_is_receptacle(const struct device *d);
bool placing_box_has_receptacle(const struct box *b);
bool placing_box_always_live(const struct box *b);

/* Whether a box has a receptacle that is open to anyone: not one that an appliance is plugged into
 * (210.52(C), 210.52(G): receptacles for specific equipment come besides). */
bool placing_box_is_open(const struct box *b);

/* A receptacle that is there and only too high, or too low, to count: box-height, in place of the
 * rule that misses one and with that one's article. */
void placing_say_height(const struct checked *c, const struct rule *missing, const struct box *b,
                        const char *wanted);

extern const struct rule rule_box_height;

/* How far a fixed thing stands out from its wall: as written, else as the trade builds it. */
length placing_fixture_deep(const struct checked *c, const struct fixture *x);

/* The parts of the floor line that lie in an area of the room or along its edge. */
void placing_floor_line_in_area(struct arena *arena, const struct floor_line *line,
                                const struct use_area *a, stretch_list *out);

/* Whether what stands on a wall stands in a kitchen, pantry or dining room, or in the part of a
 * room that is one: counters there have rules of their own (210.52(C)). */
bool placing_counter_has_rules(const struct checked *c, const struct room *r,
                               const struct fixture *x);

/* The height of a counter's top, by the trade. */
length placing_top_of_counter(const struct checked *c);

/* "room 'studio'"; "the north and east walls", "the east wall from 2' to 5'"; "between 5'
 * and 9' from the left end of the east wall". */
const char *placing_room_words(const struct checked *c, const struct room *r);
const char *placing_walls_words(const struct checked *c, const struct floor_line *line,
                                struct stretch s);
const char *placing_window_words(const struct checked *c, const struct floor_line *line,
                                 struct stretch window);

#endif
