/* What a device or a part of one is: by its definition, by what it is based on, and by the lists
 * and tables of the edition. */
#ifndef STUDBAY_FACTS_DEVICES_H
#define STUDBAY_FACTS_DEVICES_H

#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "model/site.h"

/* A luminaire, or a part that gives light, as that of a fan. */
bool facts_is_light(const struct part *part);

/* A light, or a switch that works lights only. */
bool facts_is_for_lights(const struct part *part);

/* A box that is the compartment of a luminaire: what passes it leads to lights alone, where the
 * maker says no more. */
bool facts_passes_lights_only(const struct box *box);

/* Whether a motor is most of its load. */
bool facts_is_motor(const struct part *part);

/* A receptacle, or the one that a cord-and-plug appliance plugs into. */
bool facts_is_receptacle(const struct part *part);

/* How many receptacles a part stands for: each half of a split one is one, and so is the one that a
 * cord-and-plug appliance plugs into. */
uint32_t facts_receptacles_in(const struct part *part);

/* Which of the parts of one name on its device a part is, from 1: half 1 is the upper one. */
uint32_t facts_place_of_part(const struct part *part);

/* The terminal of part `b` that a tab ties to this one of part `a` of the same device, both by
 * their places in the forms that the parts have been made; NO_TERMINAL where there is no tab
 * between them, or they do not stand beside each other. */
uint8_t facts_tied_terminal(const struct part_form *forms, const struct part *a, uint8_t terminal,
                            const struct part *b);

/* Where current is taken: no switch, no low voltage, and nothing that only hands it on. */
bool facts_is_outlet(const struct part *part);

/* Whether a part is a receptacle in the box of an appliance with a plug: the one that it plugs
 * into, written twice (appliance-beside-receptacle says so). */
bool facts_is_receptacle_of(const struct part *part, const struct device *appliance);

/* The devices of a box whose first part is on a circuit that may pass current on to what lies
 * behind them: those that say `onward` first, then as they stand in the text. NULL and 0 where
 * there are none, or no box. */
struct device *const *facts_passing(const struct box *box, const struct circuit *circuit,
                                    uint32_t *count);

/* The row of a table for a device, or for the nearest that it is based on which has one; NULL where
 * none has. An alarm of the library is what its own name says, whatever it is based on. */
const struct table_row *facts_device_row(const struct device_def *def, const struct table *t);

/* The name of that row, or NULL, and whether there is one, of a table of the edition: that row
 * alone counts as read. */
const char *facts_device_key(struct model *m, const struct device_def *def, enum book_table table);
bool facts_device_in_list(struct model *m, const struct device_def *def, enum book_table list);

#endif
