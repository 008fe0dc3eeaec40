/* Symbols of a floor plan. The shapes follow the vocabulary of the published drafting standard for
 * electrical plans (ANSI Y32.9): a circle with two bars for a duplex receptacle, S with a figure
 * for switches, a circle for an outlet overhead. What varies between offices stands in the legend
 * of each sheet. */
#ifndef STUDBAY_EMIT_DRAWINGS_PLAN_SYMBOLS_H
#define STUDBAY_EMIT_DRAWINGS_PLAN_SYMBOLS_H

#include "emit/canvas.h"

struct device;
struct results;

enum shape {
    SHAPE_SINGLE,
    SHAPE_DUPLEX,
    SHAPE_SPLIT,
    SHAPE_240,
    SHAPE_SWITCH,
    SHAPE_LUMINAIRE,
    SHAPE_ROUND,
    SHAPE_LINEAR,
    SHAPE_FAN,
    SHAPE_SQUARE,
    SHAPE_JOINED, /* round another one */
    SHAPE_GOES,   /* a cross */
    SHAPE_GOING_CABLE
};

struct symbol {
    enum shape shape;
    const char *letters; /* in it or beside it */
    const char *words;   /* in the legend */
};

/* The symbol of a device; of NULL, that of a box without one. */
struct symbol symbol_of(const struct results *r, const struct device *d);

/* Draws it at the origin of the open group: a wall lies along y = 0, the room above it (y below
 * zero). `loose`: away from any wall. */
void symbol_draw(struct canvas *c, struct symbol s, bool loose);

/* How a cable is drawn that goes. */
extern const struct pen symbol_going_cable;

/* Half the room it takes along a wall, and how far its middle stands off the wall. */
#define SYMBOL_RADIUS (5 * POINT)
#define SYMBOL_OFF    (9 * POINT)
#define JOINED_RADIUS (8 * POINT)

#endif
