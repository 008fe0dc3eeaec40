/* What is to be done, stage by stage: the one list of the work that the reports todo and estimate
 * read. By the site log what is done is left out, save where the whole job is asked for. */
#ifndef STUDBAY_EMIT_REPORTS_TASKS_H
#define STUDBAY_EMIT_REPORTS_TASKS_H

#include "emit/results.h"
#include "model/orders.h"
#include "model/power.h"

struct bore;

/* In the order of the work: what goes is made dead and taken out first, nothing is covered before
 * it is inspected and nothing energised before it is trimmed out. A raceway is laid and strapped
 * before anything is pulled into it. */
enum stage {
    MAKE_DEAD,
    TAKE_OUT,
    SET,
    BORE,
    LAY,
    PULL,
    STAPLE,
    MAKE_UP,
    INSPECT,
    COVER,
    TRIM,
    TEST,
    STAGES
};

/* Each by its name, at the head of its list, and what is counted of it. */
struct stage_words {
    const char *name, *head, *one, *many;
};

extern const struct stage_words tasks_stages[STAGES];

/* So much of one kind of work. */
struct effort {
    enum work_kind work;
    length feet;    /* of what is counted in feet */
    uint32_t count; /* of all else */
};

enum { MOST_EFFORTS = 3 };

/* One thing that is to be done; `count` is of what its detail counts. */
struct task {
    enum stage stage;
    const struct room *room; /* it is filed under; NULL: none */
    const struct room *at;   /* where one stands for it; NULL: not known */
    const char *thing, *label, *detail;
    uint32_t count;
    const char *called, *told; /* thing and detail as people read them; NULL: as they are */
    struct effort efforts[MOST_EFFORTS]; /* the others are of nothing */
    uint32_t strand;       /* the number of the strand that it is pulled in; 0: it is in none */
    const struct run *run; /* that is laid, pulled or stapled; else NULL */
    VEC(const struct box *) boxes;  /* that are set, made up or trimmed out */
    const struct panel *panel;      /* that is hung; else NULL */
    VEC(const struct bore *) bores; /* that are bored */
    bool ladder;                    /* it is done from a ladder */
};

struct tasks {
    VEC(struct task) list; /* stage by stage, in each by the rooms of the plan */
    uint32_t all[STAGES], left[STAGES];
};

/* The list; `apart`: what is done from the floor and what from a ladder are tasks by themselves.
 * Linear. */
struct tasks tasks_find(const struct results *r, bool apart);

/* What people call it; what does not name its room itself has it behind its name, but for a
 * circuit.
 */
const char *tasks_called(const struct results *r, const struct task *task);

/* "studio", "u101.bath"; NULL for no room. */
const char *tasks_room(const struct results *r, const struct room *room);

#endif
