/* Dwellings, for the rules that judge one as a whole. */
#ifndef STUDBAY_RULES_DWELLING_H
#define STUDBAY_RULES_DWELLING_H

#include "facts/rooms.h"

/* The rooms of one unit, or those of the plan outside all units. */
struct dwelling {
    const struct checked *c;
    room_list rooms;
};

/* Calls a function for each dwelling. */
void rules_each_dwelling(const struct checked *c, void (*check)(const struct dwelling *d));

#endif
