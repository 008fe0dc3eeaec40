/* Runs and boxes as people read them, for all that is printed or drawn: worked out once, when first
 * asked for, and kept with the results. */
#ifndef STUDBAY_EMIT_VIEWS_H
#define STUDBAY_EMIT_VIEWS_H

#include "emit/results.h"

struct run_view {
    const struct run *run;
    const struct unit *unit; /* it is built in, or NULL */
    const char *address;     /* "studio.S1 -> L1" */
    const char *tag;         /* "2 stu S1-L1" */
    const char *label;       /* the tag, where its ends are labelled; else NULL */
    const char *from, *to;   /* addresses of its ends; NULL: not known */
    const char *work;        /* "P.2", "feeder P", the name of its low voltage; NULL: neither */
    const char *cable;       /* with the raceway that it lies in; NULL: not known */
    const char *written;     /* its cable as a plan and a log name it; NULL: not known */
    const char *pulled;      /* what is pulled into it, by its own two ends: "P -> shed.R1" */
    const char *cut;         /* "24'-6\""; NULL: not known */
    const char *hangs;       /* the length of the cable that hangs there and serves; NULL: none */
    const struct route *route;
    const struct run_wiring *wiring;
    const struct room *room; /* of the end away from the source, else of the other, or NULL */
    bool built;              /* false in a pattern that nothing is built from */
    bool home_run;           /* a panel is at an end */
};

struct box_view {
    const struct box *box;
    const struct unit *unit;
    const char *address, *room; /* "studio.R1", "studio" */
    const char *wall;           /* of its wall, "overhead", "floor" or "island"; NULL: not known */
    const char *type, *ring;    /* of the box that is nailed up; NULL: none */
    const char *type_words; /* "octagon-4, ring 5/8\", existing", "its own compartment"; or NULL */
    const char *const *devices; /* each by the names of the library, in the order of the box */
    const char *const *told;    /* the same as people call them */
    const struct fill *fill;
    const char *unproven; /* why nothing is proven of its make-up, which then is neither printed nor
                             drawn; NULL: it is proven */
    bool built, on_wall;
    bool on_plan; /* its room has walls, and its place in it is known: floor plans show it */
};

/* Floor plans are drawn to 1 to so much at least: what then is larger than the paper is stands on
 * several sheets. */
enum { VIEW_LEAST_SCALE = 48 };

const struct run_view *view_of_run(const struct results *r, const struct run *run);
const struct box_view *view_of_box(const struct results *r, const struct box *b);

/* Where a box or panel is set, beside its stud or joist: the one place of it that is printed and
 * drawn. */
const struct place *view_place_of_box(const struct results *r, const struct box *b);
const struct place *view_place_of_panel(const struct results *r, const struct panel *p);

/* "circuit P.1: run a.S1 -> S2 is not made up": why its make-up is not proven; NULL: it is. */
const char *view_unproven(const struct results *r, const struct circuit *c);

/* The view of the i-th run or box, where it is built; else NULL. */
const struct run_view *view_built_run(const struct results *r, uint32_t i);
const struct box_view *view_built_box(const struct results *r, uint32_t i);

#endif
