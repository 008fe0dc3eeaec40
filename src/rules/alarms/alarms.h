/* Alarms that a dwelling must have and has not: for the rules that miss them, and for who places
 * them. */
#ifndef STUDBAY_RULES_ALARMS_H
#define STUDBAY_RULES_ALARMS_H

#include "rules/check.h"

struct home;

/* Where one must hang: in a place to sleep, outside it and near its door, on a storey, in the room
 * on either side of a step of the ceiling. */
enum alarm_where { ALARM_IN, ALARM_NEAR, ALARM_ON_STOREY, ALARM_AT_STEP };

struct alarm_asked {
    enum alarm_where where;
    bool smoke; /* false: of carbon monoxide */
    const struct room *room;
    const struct room *hall, *high; /* ALARM_AT_STEP: the two */
    const struct device *burner; /* what burns fuel there; NULL: nothing, or it does not matter */
    const struct home *home;
};

typedef VEC(struct alarm_asked) alarm_asked_list;

/* Adds all that are missing in a dwelling; false where none is. What the list rests on lives as
 * long as the model. */
bool alarms_missing(const struct dwelling *dwelling, alarm_asked_list *out);

/* Whether an alarm in a box, which may be one that is not there yet, would be the one that is
 * missing. */
bool alarms_serves(const struct alarm_asked *a, const struct box *box);

/* Whether an alarm of a type in such a box keeps away from steam and cooking as far as is wanted of
 * any. */
bool alarms_keeps_away(const struct checked *c, const struct box *box,
                       const struct device_def *def);

#endif
