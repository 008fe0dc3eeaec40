/* What protects every outlet from ground and arc faults, found through the wiring, and what the
 * edition asks for it. */
#ifndef STUDBAY_WIRING_PROTECT_H
#define STUDBAY_WIRING_PROTECT_H

#include "model/power.h"
#include "resolve/library.h"

struct model;
struct routes;
struct wiring;

/* What protects a part against one sort of fault; both NULL: nothing does. */
struct guard {
    const struct circuit
        *breaker; /* the circuit, or the feeder before it, whose breaker protects it */
    const struct device *device; /* the device that protects it: it itself, or the nearest before it
                                    that works onward */
};

struct protected_part {
    bool known; /* its circuit is a tree, so that what stands before it is certain */
    struct guard gfci, afci;
    const char *gfci_article;  /* "210.8(A)(1)": the edition asks for ground-fault protection; NULL:
                                  it does not */
    const char *gfci_why;      /* what asks it, in words: "stands in a place of kind bath" */
    const char *exempt_until;  /* the day, in the form of base/date.h, to which the edition exempted
                                  it from what it asks; NULL: it never did */
    bool afci_asked;           /* the edition asks for arc-fault protection */
    const char *afci_too_late; /* why the arc-fault device that protects it does not stand for one
                                  on the breaker, in words; NULL: it does */
};

struct protected
{
    struct rooms *rooms;
    struct protected_part **of_device; /* by device id, one for each part */
    struct map feeds;                  /* (circuit, box) -> the run that brings the circuit to it */
    VEC(const struct room *)
    undecided; /* with bare receptacles, and the plan does not say whether they stand in an
                  accessory building on the ground */
    VEC(const struct part *)
    wired_inside; /* bare outlets that are wired in, in a garage or a building apart, of which the
                     edition can be read to ask what it asks outdoors */
};

/* Follows every circuit from its breaker through the devices that protect onward. Linear. Places
 * and articles from the tables gfci*, afci* of the edition. */
struct protected *protect(struct arena *arena, struct model *m, const struct routes *routes,
                          const struct wiring *wiring);

/* Sets what protects each part, and the runs that feed each box of a circuit. A part of protect. */
void wiring_find_guards(struct arena *arena, struct protected *p, struct model *m,
                        const struct routes *routes, const struct wiring *wiring);

/* What is being found of a part. A part of protect. */
struct protected_part *wiring_protection_of(const struct protected *p, const struct part *part);

/* The box before this one on the way to the panel, or NULL. */
const struct box *wiring_box_up(const struct protected *p, const struct circuit *circuit,
                                const struct box *box);

const struct protected_part *wiring_protected_part(const struct protected *p,
                                                   const struct part *part);

static inline bool is_guarded(struct guard g)
{
    return g.breaker || g.device;
}

/* The protecting device of a box on a circuit, or NULL. */
const struct device *wiring_protector_in_box(const struct box *box, const struct circuit *circuit);

#endif
