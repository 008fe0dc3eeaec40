/* What each name of the text was found to mean, noted where it is looked up, so that nobody who
 * asks can find anything else than the compiler did. Kept only where it is asked for
 * (compile_options.mentions).
 *
 * One place may mean several things: what stands in a unit or pattern means one in each copy. And
 * one thing has several places that give it its name: a copy that changes a box of its base names
 * that box again. */
#ifndef STUDBAY_RESOLVE_MENTION_H
#define STUDBAY_RESOLVE_MENTION_H

#include "base/map.h"
#include "base/source.h"

#include <stdbool.h>

struct node;
struct value;

enum mention_sort {
    MENTION_LEVEL, /* struct level */
    MENTION_ROOM,  /* struct room */
    MENTION_WALL,  /* struct wall of an outline; of the four sides nothing is noted */
    MENTION_ISLAND,
    MENTION_BOX,         /* struct box */
    MENTION_PANEL,       /* struct panel */
    MENTION_CIRCUIT,     /* struct circuit */
    MENTION_LEG,         /* struct leg */
    MENTION_LOW_VOLTAGE, /* struct low_voltage */
    MENTION_RUN,         /* struct run, by its own name */
    MENTION_COIL,        /* struct coil, by its own name */
    MENTION_UNIT,        /* struct unit; a pattern has none */
    MENTION_BUILDING,    /* struct building */
    MENTION_GIVEN,
    MENTION_DEVICE, /* struct device_def */
    MENTION_PART,
    MENTION_TERMINAL,
    MENTION_CABLE,    /* struct cable_def */
    MENTION_RACEWAY,  /* struct raceway_def */
    MENTION_BOX_TYPE, /* struct box_type */
    MENTION_KIND,     /* struct kind_def */
    MENTION_EDITION,  /* struct edition */
    MENTION_LUMBER,
    MENTION_TABLE,
    MENTION_FIGURE, /* a row or setting of a table */
    MENTION_RULE,   /* struct rule */
    MENTION_FILE,   /* struct source */
    MENTION_SORTS
};

struct mention {
    struct span span; /* of the name alone */
    enum mention_sort sort;
    bool in_row; /* a place that counts out the names of several boxes: it gives none by itself */
    const void *thing;        /* what it means, by its sort; NULL: its statement is all there is */
    const struct node *where; /* the statement that gives the thing its name, or NULL */
    const void *key;          /* equal for mentions of one thing */
};

/* Two places that name the same, whatever it is: a statement of a copy, and what it changes. */
struct mention_pair {
    struct span a, b;
};

struct mentions {
    struct arena *arena;
    VEC(struct mention) all;
    VEC(struct mention_pair) alike;
    struct map met; /* (first byte, key) -> anything */
    bool patterns;  /* patterns are read by themselves: what is noted now is no thing of the plan */
};

struct mentions *mention_begin(struct arena *arena);

/* Notes which line of the library the key of a line of a table means, whatever it is. */
void mention_figure(struct mentions *m, const struct node *n, const struct value *key,
                    const struct node *where);

/* Notes that a text in quotes names a file of the plan. */
void mention_file(struct mentions *m, const struct node *n, const struct value *v,
                  const struct source *file);

/* Notes that a place means a thing, or (`thing` NULL) what a statement declares; `m` NULL does
 * nothing. `name` is what must stand there: where another word does (it was put in by a given
 * value, or counted out), nothing is noted. */
void mention_note(struct mentions *m, struct span at, const char *name, enum mention_sort sort,
                  const void *thing, const struct node *where);

/* The same for a part of a value that is a name or an address; of a name part 0. */
void mention_value(struct mentions *m, const struct node *n, const struct value *v, unsigned part,
                   enum mention_sort sort, const void *thing, const struct node *where);

/* The same for the word that a statement begins with, and for the name that it declares: its first
 * value, of an address the last part. */
void mention_word(struct mentions *m, const struct node *n, enum mention_sort sort,
                  const void *thing, const struct node *where);
void mention_name(struct mentions *m, const struct node *n, enum mention_sort sort,
                  const void *thing);

/* Notes that a part of the value x and the last part of the value y name the same. */
enum { MENTION_LAST = UINT8_MAX };
void mention_alike(struct mentions *m, const struct node *a, const struct value *x, unsigned part,
                   const struct node *b, const struct value *y);

/* The span of one part of a value that is a name or an address. */
struct span mention_span(const struct node *n, const struct value *v, unsigned part);

#endif
