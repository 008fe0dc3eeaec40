/* The make-up of a plan: which conductor ends, pigtails and device terminals meet in each box and
 * panel. It holds all that a person needs to join the wires, and all that the proof reads: not the
 * nets that produced it. */
#ifndef STUDBAY_MODEL_MAKEUP_H
#define STUDBAY_MODEL_MAKEUP_H

#include "base/arena.h"

#include <stdbool.h>

/* One thing that meets others in a joint. */
enum lead_kind {
    LEAD_CONDUCTOR, /* an end of a conductor of a cable */
    LEAD_TERMINAL, /* a terminal of a device: by a pigtail in a splice, by the conductor itself in a
                      landing */
    LEAD_BOX,      /* the metal box itself: its bonding pigtail */
    LEAD_LINE,     /* the breaker of a circuit: its line, or line a or b. In a box that carries an
                      existing circuit: that circuit's line as it comes */
    LEAD_NEUTRAL_BAR, /* the neutral of the panel (or of the existing circuit) */
    LEAD_GROUND_BAR,  /* the ground of the panel (or of the existing circuit) */
};

enum { CONDUCTOR_GROUND = -1 };

struct lead {
    enum lead_kind kind;
    struct run *run;         /* LEAD_CONDUCTOR */
    int16_t conductor;       /* LEAD_CONDUCTOR: index in the cable's colours, or CONDUCTOR_GROUND */
    bool at_to;              /* LEAD_CONDUCTOR: the end at run->to, else at run->from */
    bool reidentified;       /* LEAD_CONDUCTOR: a white that is marked as no neutral */
    bool over_tab;           /* LEAD_TERMINAL: no wire leads to it, but a tab from one that a wire
                                leads to */
    struct part *part;       /* LEAD_TERMINAL */
    uint8_t terminal;        /* LEAD_TERMINAL: index in the part's form */
    struct circuit *circuit; /* LEAD_LINE, LEAD_NEUTRAL_BAR, LEAD_GROUND_BAR */
    char pole;               /* LEAD_LINE: 'a', 'b' or 0 */
};

enum joint_kind {
    JOINT_SPLICE,  /* conductor ends and pigtails under a connector */
    JOINT_LANDING, /* one conductor end on one terminal */
    JOINT_CAP,     /* conductor ends that go no further: spare, or for later */
    JOINT_PASS,    /* one conductor that goes through the box uncut: its two parts */
    JOINT_PANEL,   /* conductor ends in a panel on their breaker or bar */
};

struct joint {
    enum joint_kind kind;
    struct box *box; /* NULL: in the panel */
    struct panel *panel;
    const char *net; /* what it is, for people; the proof does not read it */
    const char
        *connector; /* JOINT_SPLICE: from the library's table; NULL: none there is large enough, or
                       a wire in it is of an old cable of which nobody says what it is */
    bool
        by_box; /* metal raceways meet on the metal box by their own connectors, and no two wires */
    bool old_wire; /* such a wire is in it */
    struct lead *leads;
    uint32_t lead_count;
};

/* What a part of a device is once the plan is made up: a plain switch has become single-pole,
 * three-way or four-way. */
struct part_form {
    const struct part *part;
    const struct device_def *def; /* the form: library device whose contacts it has, or its own */
    const struct body *body;      /* leads name terminals by their place here */
};

/* A tab between terminals of two parts that stand beside each other: whether it is broken off. */
struct made_tab {
    struct part *part, *beside;
    uint8_t terminal, to; /* their places in the forms of the two parts */
    bool broken;
};

struct makeup {
    VEC(struct joint) joints; /* box by box in the order of the model, panels after them */
    uint32_t *first_of_box; /* by box id: its joints are [first_of_box[id], first_of_box[id + 1]) */
    bool *metal;            /* by box id: it is of metal, as the plan says or as it was chosen */
    struct part_form **forms;  /* by device id: one for each of its parts */
    VEC(struct made_tab) tabs; /* device by device */
    uint32_t *first_tab;       /* by device id, with one behind the last */
    bool *torn;                /* by device id: a terminal that its parts share lies on two nets */
    const struct part **misfits; /* by leg id: a switch or load for which the plan cannot have what
                                    it asks of the leg; NULL */
    const bool *through_panel;   /* by circuit id: a net of it would have to pass a panel */
    /* Per run id: its insulated conductors with their colours, and whether it is made up at all
     * (its circuit is a tree and its cable serves). Of an old cable that the plan does not tell no
     * colour is known: it has a conductor for each net that crosses it, and a ground. */
    struct made_run {
        struct cable_def *cable;   /* NULL: none, or not told */
        const char *const *colors; /* NULL where they are not known */
        uint8_t count;
        bool ground, made;
    } * runs;
    double pigtail_feet; /* length of all pigtails together */
};

#endif
