/* The parts of the allotment that see each other: what was pulled, and the stocks of one cable. */
#ifndef STUDBAY_CUTS_WORK_H
#define STUDBAY_CUTS_WORK_H

#include "base/map.h"
#include "cuts/cuts.h"

#include "model/power.h"

struct coil;
struct log_event;

/* A piece that was pulled. */
struct pull {
    const struct run *run;         /* NULL: the plan has it no more */
    const struct log_event *event; /* NULL: another event says that it must have been pulled */
    const struct cable_def *cable; /* NULL: not known */
    const char *coil;              /* NULL: not said */
    length length;
    struct end ends[2]; /* as of the piece; none where the plan has the run no more */
    bool measured;
};

typedef VEC(struct pull) pull_list;
typedef VEC(const struct pull *) pull_refs;

/* What is cut for a run. */
struct piece {
    const struct run *run;
    length length;
    struct end ends[2]; /* from where to where it goes, be it through several raceways */
    uint32_t strand;    /* pieces of one number may be pulled as one (strands_sort) */
    bool turned;        /* it is pulled from the second end to the first */
    enum strand_end end;
};

typedef VEC(struct piece) piece_list;

/* The pieces to cut, the pulled pieces and the coils of one cable type. */
struct batch {
    const struct cable_def *cable;
    piece_list runs;                /* to cut */
    piece_list all;                 /* all that are ever cut: those above and those that hang */
    VEC(const struct coil *) coils; /* by name; their places are the stocks' */
    pull_refs pulls;                /* by day and words */
};

#define NO_STOCK UINT32_MAX

/* A coil that something came off. */
struct opened {
    const char *name;
    uint32_t stock; /* its place among the stocks; NO_STOCK: the log alone names it */
    length length, used;
    bool guessed; /* nobody knows how long it was: `length` is one that is sold */
    pull_refs pulls;
};

typedef VEC(struct opened *) opened_list;
typedef VEC(struct pack_stock) stock_list;

/* Spools of single conductors by colour, and raceways, which are cut like cables: (single, colour)
 * and (raceway, 0) -> struct cable_def. */
struct goods {
    struct map found;
    VEC(const struct cable_def *) list;
};

struct cutting {
    struct goods *goods;
    struct arena *arena;
    struct model *m;
    const struct routes *routes;
    const struct wiring *wiring;
    const struct site_log *log;
    uint64_t steps;
};

/* goods.c: calls `add` for each piece that a run in a raceway takes: its conductors and its ground
 * wire, as long as was measured (0: as planned), then its raceway, in sticks where it is sold in
 * such. What goes on uncut into other raceways is one piece, of the run nearest the source. */
void goods_each(const struct cutting *x, const struct run *run, length measured,
                void (*add)(void *context, const struct cable_def *of, struct piece piece),
                void *context);

/* strands.c: sorts the pieces of a cable so that those of a strand follow each other, in pulling
 * order, and numbers the strands from 1. Strands are in the order in which their first pieces came.
 * Linear. */
void strands_sort(const struct cutting *x, piece_list *list);

/* Every piece that the log says or implies was pulled, by day and words. Linear, but for sorting.
 */
pull_list opened_pulls(const struct cutting *x);

/* The coils that the pieces of a batch came off, in the order of the stocks: those that the log
 * names; where it names none, the one that `list`, the cut list of the whole job, gave the run, or
 * the one with the least room that holds it. Pieces that fit none go to `loose`. */
opened_list opened_coils(const struct cutting *x, const struct batch *batch,
                         const struct cable_cuts *list, const stock_list *stocks, pull_refs *loose);

#endif
