/* Between the files of the proof. */
#ifndef STUDBAY_PROVE_PROOF_H
#define STUDBAY_PROVE_PROOF_H

#include "model/address.h"
#include "model/makeup.h"
#include "model/model.h"
#include "model/power.h"
#include "prove/graph.h"
#include "prove/prove.h"

/* A supply of a node: of a circuit by its element's place among the supplies, behind them the load
 * sides of protecting devices. */
enum { NO_SUPPLY = UINT32_MAX };

/* What a supply comes to. */
struct potential {
    enum supply_sort sort; /* SUPPLY_NONE: nothing feeds it */
    const struct circuit *circuit;
    const struct device
        *beyond; /* the device with a load side that it has passed last; NULL: none */
    const struct device *neutral_beyond; /* the last of them that its neutral runs through too */
};

struct proof {
    struct graph *g;
    struct arena *arena; /* of the proof alone */
    struct arena *kept;  /* of the verdict */
    const struct model *m;
    struct verdict *v;
    bool *proven;                 /* by circuit id: it is in the proof */
    uint32_t *supply;             /* by node: its supply, or NO_SUPPLY */
    struct potential *potentials; /* by supply */
    uint32_t supply_count;
    uint8_t *takes; /* by node: net_bit of all terminals on it, those that give left out */
    uint8_t *gives; /* by node: net_bit of the terminals that give */
    bool *contact;  /* by node: a contact of a switch lies on it */
    struct path_finder *finder; /* of path.c; NULL until a way is asked for */
};

static inline uint32_t node_of(const struct proof *p, uint32_t element)
{
    return p->g->node[element];
}

/* The potential of a node that holds in every position; sort SUPPLY_NONE where a supply does not
 * lie on it. */
struct potential prove_potential_of(const struct proof *p, uint32_t node);

/* Whether a part is spoken of: made up, on a circuit that is in the proof. */
bool prove_part_proven(const struct proof *p, const struct part *part);

/* Counts a claim of a circuit that is about to be checked. */
void prove_claim(struct proof *p, const struct circuit *c, enum statement s);

/* Records a failure; `path` may be NULL. Nothing is recorded beyond MOST_FAILURES. */
struct proof_failure *prove_fail(struct proof *p, enum statement s, const struct circuit *c,
                                 const struct box *box, const char *path, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

/* "line of circuit P.1", "line of circuit P.1 behind the receptacle-gfci in shed.R1". */
const char *prove_potential_words(const struct proof *p, struct potential at);
/* Two supplies met: records which statement that breaks. */
void prove_fail_meeting(struct proof *p, uint32_t supply, uint32_t other, uint32_t at_node,
                        const char *position, const uint8_t *at);

/* sides.c: what the plan says of sides. By part: the protecting device that feeds it, NULL for
 * none. */
struct sides {
    const struct device **of_run; /* by run id; valid for runs of the circuit that was asked last */
    const struct run **feed;      /* by box id: the first run of the circuit that feeds it */
};
bool prove_has_load_side(const struct device_def *def);
/* The device of a box on a circuit whose load side the plan's words speak of; NULL: there is none.
 */
const struct device *prove_protector(const struct box *box, const struct circuit *c);
void sides_of_circuit(const struct proof *p, struct sides *s, const struct circuit *c);
const struct device *side_of(const struct sides *s, const struct part *part);
/* The same of its neutral, which goes past what only disconnects the hots. */
const struct device *side_of_neutral(const struct sides *s, const struct part *part);
/* Whether the neutral of what lies beyond a device with a load side runs through it: not where it
 * protects nothing and hands on hots alone. */
bool prove_hands_on_neutral(const struct device_def *def);

/* The leg that feeds a leg, by the plan's word on one of its switches; NULL: a line does. Legs of
 * circuits in the proof are fed in no ring. */
const struct leg *prove_feeding_leg(const struct leg *l);

/* Each file its statements. */
void prove_parts(struct proof *p);    /* 2, 4, 5, 6 */
void prove_legs(struct proof *p);     /* 1 through switches, 3, 5 of what is switched */
void prove_currents(struct proof *p); /* 6: cables */

/* path.c: the way from one element to another, or as far as it goes where `to` is NO_ELEMENT,
 * through the contacts that `at` (by switch in g->switches, its position; NULL: none) closes. NULL
 * where there is no way. */
const char *path_words(struct proof *p, uint32_t from, uint32_t to, const uint8_t *at);

#endif
