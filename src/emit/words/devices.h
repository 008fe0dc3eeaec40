/* Devices in a builder's words. */
#ifndef STUDBAY_EMIT_WORDS_DEVICES_H
#define STUDBAY_EMIT_WORDS_DEVICES_H

#include "emit/table.h"

struct device;
struct device_def;
struct part;
struct results;

/* What an application counts as openings, by sort; OPEN_COUNT for what is none. */
enum opening {
    OPEN_RECEPTACLES,
    OPEN_SWITCHES,
    OPEN_LIGHTS,
    OPEN_ALARMS,
    OPEN_APPLIANCES,
    OPEN_COUNT
};
enum opening words_opening_of(const struct device_def *def);

/* The same words as the beginning of a sentence. */
const char *words_upper_first(struct arena *arena, const char *text);

/* And inside a sentence, where they begin with a plain word. */
const char *words_lower_first(struct arena *arena, const char *text);

/* What kind of switch a part is by the wiring of its leg: "three-way", "single-pole"; NULL for what
 * is no switch of a leg. */
const char *words_switch_kind(const struct results *r, const struct part *p);

/* A device by the names of the library, with its legs: "receptacle-gfci", "three-way switch leg
 * cans". */
const char *device_words(const struct results *r, const struct device *d);

/* The same as people call it: "GFCI receptacle, 20 A", "three-way switch, leg cans". */
const char *device_told_words(const struct results *r, const struct device *d);

/* What is asked for at the counter: "three-way", "three-way dimmer", or the device's own name, that
 * very pointer, where the wiring adds nothing to it. */
const char *device_item(const struct results *r, const struct device *d);

/* The same as it is told to a clerk: "Three-way switch, 15 A", "Duplex receptacle,
 * 15 A, tamper-resistant (TR)".
 */
const char *device_counter_words(const struct results *r, const struct device *d);

/* What the library calls it, up to its sizes and ratings, as it stands inside a sentence: "GFCI
 * receptacle", "fan speed control". */
const char *device_title_words(const struct results *r, const struct device_def *def);

/* What it is called on site: "three-way switch", "GFCI receptacle", "fan speed control". */
const char *device_trade_words(const struct results *r, const struct device *d);

/* What an appliance with a plug is plugged into and is bought with it, as an item of the lists;
 * NULL: it has no plug. */
const char *device_outlet_item(const struct results *r, const struct device *d);

#endif
