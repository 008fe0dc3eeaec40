/* What the proposals that place boxes share: the plan as it is with what has been added to it, and
 * what became of each attempt. */
#ifndef STUDBAY_PROPOSE_SITING_H
#define STUDBAY_PROPOSE_SITING_H

#include "framing/mountings.h"
#include "propose/added.h"
#include "propose/propose.h"
#include "propose/trial.h"
#include "rules/rules.h"

/* A place that turned out not to do. */
struct refused {
    uint32_t room;
    struct place place;
};

struct siting {
    const struct compilation *of; /* the plan as it is */
    struct arena *arena;          /* lives as long as the proposal */
    struct trial trial;
    const char *room;           /* the room that is asked about; NULL: all */
    alike_fn *alike;            /* boxes whose names and place in the text the new ones follow */
    struct compilation tried;   /* the plan with what has been added */
    bool has_tried, copies_too; /* rooms that are copies of others may get boxes of their own */
    struct compilation *now;    /* one of the two */
    struct checked checked;
    struct free_places *free; /* of now */
    added_list added;
    VEC(struct refused) refused;
};

/* `of` has a model. To be given back with siting_end. */
void siting_begin(struct siting *p, struct compilation *of, const struct propose_asked *asked,
                  struct arena *arena, alike_fn *alike);
void siting_end(struct siting *p);

/* Compiles the plan with what has been added, which is looked at from then on. False where that
 * cannot be written or read: then it is looked at as it is. */
bool siting_compile(struct siting *p);

/* Adds a box; the plan is not compiled yet. */
void siting_add(struct siting *p, const struct room *r, struct added a);

/* Refuses the place of each box, from the n-th added on, of which an error or warning is found that
 * the plan did not have; whether there was one. */
bool siting_refuse_faulty(struct siting *p, uint32_t first);

bool siting_is_refused(const struct siting *p, const struct room *r, const struct place *place);

/* Whether the proposal is about this room. */
bool siting_asks_room(const struct siting *p, const struct room *r);

/* Whether a finding is an error or a warning that the plan does not have as it is, and no matter of
 * what feeds the new boxes. */
bool siting_is_new_fault(const struct siting *p, const struct finding *f);

/* Whether boxes may be added to this room now: nothing is in doubt of it, and no room of the same
 * text has got one since the n-th was added. */
bool siting_takes_boxes(const struct siting *p, const struct room *r, uint32_t first);

#endif
