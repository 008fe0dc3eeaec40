/* Whether a box type serves a box: one answer for choosing a type, for judging one that the plan
 * names, and for what would mend it. */
#ifndef STUDBAY_FACTS_BOXES_H
#define STUDBAY_FACTS_BOXES_H

#include "facts/facts.h"
#include "resolve/library.h"

/* Why a type does not serve a box. */
enum misfit {
    MISFIT_GANGS = 1 << 0,   /* fewer than the box is to have */
    MISFIT_MOUNT = 1 << 1,   /* made for another place: wall, ceiling, floor */
    MISFIT_WET = 1 << 2,     /* not made for a wet place */
    MISFIT_FAN = 1 << 3,     /* not listed for fans */
    MISFIT_WEIGHT = 1 << 4,  /* carries too little for a luminaire on the ceiling */
    MISFIT_BRACKET = 1 << 5, /* for low voltage alone, and the box holds power */
    MISFIT_DIVIDER = 1 << 6, /* no divider between power and low voltage */
    MISFIT_OWN = 1 << 7,     /* the compartment of a thing itself takes no yoke */
    MISFIT_ROOM = 1 << 8,    /* too little room; found with the wiring, see box_misfits there */
    MISFIT_STAND = 1 << 10,  /* its fastening has nothing to hold to there, or wood is in its way */
    MISFIT_DEPTH = 1 << 11,  /* deeper than its wall */
    MISFIT_CONCRETE = 1 << 12, /* held by studs or a finish, and there is concrete */
    MISFIT_METAL = 1 << 13,    /* of plastic, and a metal raceway is to be grounded by it */
    MISFIT_CLOSED = 1 << 14,   /* fastened to wood, and a finish covers that */
    MISFIT_UNSAID = 1 << 9 /* must carry a luminaire and does not say what it carries: unknown */
};

/* Why a box must be listed for a fan though none hangs from it (314.27(C)). */
enum fan_ready {
    FAN_READY_NO,
    FAN_READY_LEG, /* a switched leg ends in it that nothing uses yet */
    FAN_READY_ROOM /* a ceiling box of a habitable room where a fan can hang, by edition */
};

/* How a box stands to the studs of its wall, or to the joists over it. */
enum stand {
    STAND_FREE,    /* nothing is known of them, or it is not fastened to them */
    STAND_BESIDE,  /* its side against one */
    STAND_BETWEEN, /* further from them than a nail reaches */
    STAND_ON       /* one is behind it */
};

/* What the place and the contents of a box ask of its type. */
struct box_asks {
    uint8_t gangs; /* as written, else what its devices take */
    uint32_t yokes;
    enum mount mount;
    enum answer wet;
    enum stand stand; /* STAND_FREE: who knows the framing sets it, framing/mountings.h */
    length deepest; /* from the face of the finish to the back of the wall; 0: it does not matter */
    bool bare;      /* it stands on concrete */
    bool closed;    /* the finish before it is on when it is set */
    bool power, low_voltage;
    bool metal; /* it is still to be chosen, and a metal raceway ends in it */
    enum fan_ready fan_ready;
    const struct device_def *fan, *luminaire; /* the first that hangs from it; NULL: none */
    double weight; /* lb that a ceiling box for a luminaire carries, 0 elsewhere */
};

struct box_asks facts_box_asks(struct model *m, const struct box *b);

/* The wall that it stands on; NULL: on none. */
const struct wall *facts_wall_of_box(const struct box *b);

/* How deep a box may be that comes flush with the finish of its wall; 0: its wall stays open, or it
 * is on none. */
length facts_deepest_box(const struct box *b);

/* A set of enum misfit; 0: it serves. All but the room in it, which the cables decide. */
unsigned facts_misfits(const struct box_asks *asks, const struct box_type *type);

/* Whether a type has what this box has no use for: a choice leaves it for one that needs it. */
bool facts_is_needless(const struct box_asks *asks, const struct box_type *type);

/* The cover that is bought for a box, beside the holes for its devices: the written one; in a wet
 * or damp place (406.9, 404.4(A)) a weatherproof one where nothing or a blank is written. NULL: an
 * ordinary plate. */
const char *facts_cover(struct model *m, const struct box *box);

/* The cross-section of a conduit body, in2; 0 of what is none. */
double facts_body_area(const struct box_type *type);

/* How many gangs the devices of a box take. */
uint32_t facts_yokes(const struct box *box);

#endif
