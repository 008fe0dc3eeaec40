/* What follows from a plan, each question answered once, for all that judge or print. An answer is
 * yes, no or unknown: where the text leaves in doubt what it rests on, nothing may be said. */
#ifndef STUDBAY_FACTS_FACTS_H
#define STUDBAY_FACTS_FACTS_H

#include "model/matter.h"
#include "model/power.h"

struct level;
struct model;
struct room;

enum answer { ANSWER_NO, ANSWER_YES, ANSWER_UNKNOWN };

/* Works out the facts of a finished model. Linear. */
void facts_work_out(struct model *m);

/* --- where a thing is --------------------------------------------------------------------- */

/* The unit that a run is built in, or NULL. */
const struct unit *facts_unit_of_run(const struct run *run);

/* False in a pattern that nothing is built from: it is checked, but there is nothing to mark, cut
 * or buy. */
bool facts_is_built(const struct unit *unit);

/* The room where an end of a run is, NULL where it is not known. */
struct room *facts_room_of_end(struct end e);

/* Whether a point lies in a room or on its walls. */
bool facts_is_over(const struct room *room, struct place3 p);

/* --- certainty ---------------------------------------------------------------------------- */

/* Whether all that is needed of a thing is known: `needs` is a set of enum matter. What could not
 * be read puts in doubt what rests on it:
 *
 *            ITS_TEXT              ITS_PLACE          ITS_BOXES        ITS_DEVICES     more
 * level      its height            its rooms' walls   each of its rooms' boxes and devices
 * room       its line and block    its walls          one may be       one of a box    ITS_KINDS
 *                                                     missing          is missing      ITS_FIXED
 * box        it, with its devices  its room's walls,                                  ITS_TYPE
 *                                  or it is ITS_OUTSIDE                               ITS_WOOD
 * device     its line                                 its box's text
 * part       its line                                 its box's text
 * leg        its line                                 one may be on    its switches
 *                                                     their levels
 * panel      its line              its room's walls
 * circuit    it, with its runs                                                         ITS_BREAKER
 *            ITS_FEED: a box or an end of a run on it; ITS_LINES; ITS_CLAUSES; ITS_CABLE
 * run        its line                                 its two ends                    ITS_CABLE
 *                                                                                      ITS_WAY
 *
 * ITS_CABLE of a run, ITS_TYPE of a box and ITS_BREAKER of a circuit are in doubt too where the
 * thing is there already and the plan does not tell what it is (facts/existing.h).
 */
#define facts_known(thing, needs)                                                                  \
    (!(_Generic((thing), FACTS_OF(level), FACTS_OF(room), FACTS_OF(box), FACTS_OF(device),         \
                FACTS_OF(part), FACTS_OF(leg), FACTS_OF(panel), FACTS_OF(circuit),                 \
                FACTS_OF(run))(thing) &                                                            \
       (unsigned)(needs)))
#define FACTS_OF(sort)                                                                             \
    const struct sort * : facts_##sort##_doubts, struct sort * : facts_##sort##_doubts

/* What is in doubt of a thing: a set of enum matter. */
unsigned facts_level_doubts(const struct level *l);
unsigned facts_room_doubts(const struct room *r);
unsigned facts_box_doubts(const struct box *b);
unsigned facts_device_doubts(const struct device *d);
unsigned facts_part_doubts(const struct part *p);
unsigned facts_leg_doubts(const struct leg *l);
unsigned facts_panel_doubts(const struct panel *p);
unsigned facts_circuit_doubts(const struct circuit *c);
unsigned facts_run_doubts(const struct run *r);

#endif
