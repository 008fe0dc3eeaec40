/* The matched tree: every statement and clause with its form from statements.def, its values and
 * its span. */
#ifndef STUDBAY_RESOLVE_NODE_H
#define STUDBAY_RESOLVE_NODE_H

#include "base/length.h"
#include "base/names.h"
#include "diag/diag.h"
#include "syntax/tree.h"

/* Recorded while statements and the library are read, here and by the model. */
extern const struct rule rule_unknown_name, rule_duplicate_name, rule_wrong_unit,
    rule_duplicate_clause, rule_definition_cycle, rule_library_incomplete;

enum form_id {
    F_FILE,
#define FORM(id, owners, place, word, pattern, flags, doc) F_##id,
#include "statements.def"
#undef FORM
    FORM_COUNT
};

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

struct node {
    enum form_id form;
    uint8_t alt; /* which alternative of the pattern, from 0 */
    bool broken; /* a finding of the form lies in its line: say nothing more of it */
    bool no;     /* a flag taken away: "wet no" */
    bool
        lost; /* a line of its block was refused and read as nothing: it may have been any clause */
    uint16_t value_count;
    uint32_t first, last; /* tokens of its line, or of the clause on a line */
    const char *word;     /* the word it begins with, interned; NULL for an option without a word */
    const char *text;     /* its title, or NULL */
    uint32_t text_token;
    struct source *source;
    struct value *values;
    struct node *parent, *next, *child, *last_child;
};

#define MILLION 1000000

/* The first child of that form, or NULL. */
struct node *node_child(const struct node *n, enum form_id form);

/* Whether a flag stands (and is not taken away by "no"). */
bool node_flag(const struct node *n, enum form_id form);

/* Whether a statement plainly lacks a clause: none is there, not even a broken one, and no line was
 * refused that could have been it. */
bool node_lacks(const struct node *n, enum form_id form);

/* The n-th value, or NULL where it was left out. */
const struct value *node_value(const struct node *n, unsigned i);

/* The value at i as an interned name, or NULL. */
const char *node_name(const struct node *n, unsigned i);

/* Spans of the line of a node, of its name (the first value), of one value. */
struct span node_span(const struct node *n);
struct span node_name_span(const struct node *n);
struct span value_span(const struct node *n, const struct value *v);

/* An address as it is written: studio.R1. */
const char *ref_text(struct arena *arena, const struct value *v);

#endif
