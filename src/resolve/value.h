/* Values of a statement or of a row of a table, with their units. */
#ifndef STUDBAY_RESOLVE_VALUE_H
#define STUDBAY_RESOLVE_VALUE_H

#include <stdint.h>

/* Dimensions of quantities, with the unit in which value.n counts millionths. */
enum dimension {
    D_NONE,
    D_LENGTH,      /* value.n is an exact length, no millionths */
    D_CURRENT,     /* A */
    D_VOLTAGE,     /* V */
    D_LOAD,        /* VA; W counts the same */
    D_VOLUME,      /* in3 */
    D_AREA,        /* ft2 */
    D_SECTION,     /* kcmil; mm2 and in2 converted */
    D_PERCENT,     /* % */
    D_WEIGHT,      /* lb */
    D_TEMPERATURE, /* C */
    D_RESISTANCE,  /* ohm, or ohm for 1000 ft */
    D_AREA_LOAD,   /* VA for a square foot */
    D_TIME,        /* min */
};

enum value_kind {
    V_NONE,     /* an optional value that was left out */
    V_NAME,     /* name: one interned word */
    V_REF,      /* ref: an address of two parts or more */
    V_INTEGER,  /* n */
    V_NUMBER,   /* n in millionths */
    V_QUANTITY, /* n in millionths of the dimension's unit; a voltage such as 120/240 V has the
                   first figure in `low` */
    V_LENGTH,   /* n */
    V_SLASHED,  /* name: a cable or size such as 12/2 or 1/0 */
    V_LUMBER,   /* name: 2x4 */
    V_TEXT,     /* name: the text without its quotes, escapes replaced; not interned */
    V_GIVEN,    /* name: stands for a given value */
};

/* An address: up to four parts, unit.room.box. */
struct ref {
    uint8_t count;
    const char *part[4];
};

struct value {
    uint8_t kind, dimension;
    uint16_t low;
    uint32_t first, last; /* tokens */
    union {
        int64_t n;
        const char *name;
        struct ref *ref;
    };
};

#define MILLION 1000000

/* Degrees F of so many C. */
double value_fahrenheit(double celsius);

#endif
