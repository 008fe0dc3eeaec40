/* What reports and drawings read: the finished plan. They change nothing and find nothing. */
#ifndef STUDBAY_EMIT_RESULTS_H
#define STUDBAY_EMIT_RESULTS_H

#include "base/map.h"
#include "facts/facts.h"
#include "loads/demand.h"

struct label_sheet;

/* Runs and boxes in words, by their ids; NULL: not asked for yet. */
struct views {
    const struct run_view **runs;
    const struct box_view **boxes;
};

struct results {
    struct arena *arena; /* for what is written */
    struct diag *diag;   /* sorted and counted */
    struct model *model;
    const struct routes *routes;
    const struct wiring *wiring;
    const struct bores *bores;
    const struct makeup *makeup;
    const struct verdict *verdict; /* of the make-up: it holds, but for what is left out */
    const struct loads *loads;
    const struct cuts *cuts;
    const struct site_log *log; /* NULL: there is none beside the plan */
    bool whole; /* what is cut and bought is told of the whole job, not of what the log leaves */
    const struct panels *panels;
    const struct run
        *explained;   /* the report of the runs tells the way of this one; NULL: it lists all */
    int64_t day;      /* of the report todo: a working day, in hundredths of a minute; 0: the work
                         is not shared out to days */
    bool method_told; /* the load calculation by `method`, else as the plan asks */
    enum demand_method method;
    const struct circuit *only_circuit; /* a drawing of one circuit or box; NULL: all */
    const struct box *only_box;
    const struct room *only_room; /* a drawing to scale of one room, level or wall; NULL: all */
    const struct level *only_level;
    const char *only_wall;           /* by its name on site */
    const struct label_sheet *sheet; /* the grid of the sheets `labels`; NULL: the usual one */
    unsigned width;                  /* of text, in cells; 0: REPORT_WIDTH */
    unsigned page_lines;             /* text for paper: of a page; 0: it is not parted into pages */
    struct map circuits;             /* (0, address) -> the circuit */
    struct views *views;             /* emit/views.h: made when asked for */
    struct map switch_kinds; /* (0, part) -> const char *, "three-way": each switch of a leg */
};

/* Works out what several reports share, the kinds of the switches, from the results that are set
 * already. */
void results_prepare(struct results *r);

#endif
