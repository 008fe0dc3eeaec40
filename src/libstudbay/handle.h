/* What stands behind the names of studbay.h. Commands see it too: some of them work on the
 * compilation itself. */
#ifndef STUDBAY_LIBSTUDBAY_HANDLE_H
#define STUDBAY_LIBSTUDBAY_HANDLE_H

#include "compile.h"
#include "emit/results.h"
#include "libstudbay/studbay.h"

#ifndef STUDBAY_VERSION
#define STUDBAY_VERSION "0.1.0"
#endif

struct label_sheet;
struct paper;
struct targets;

struct studbay_library {
    struct memory memory;
    struct compilation c;
};

/* A list that was asked for, and is kept. */
struct handle_list {
    const void *const *at; /* NULL: not asked for yet */
    size_t n;
};

struct studbay_plan {
    struct memory memory;
    struct compilation c;
    struct results results; /* its arena is NULL until it is asked for */
    struct arena kept;      /* what was copied of the opening */
    const char *only;
    struct map texts;    /* (0, hash of a name) -> the texts that stand for files */
    struct source *form; /* STUDBAY_FORM: what was read */
    const char *error;   /* of the last call; "" for none */
    bool ended;          /* there was no memory: nothing is left of it */
    bool exact;          /* cuts are allotted to coils as well as it goes */
    bool fitted;         /* the edits of mends are laid out */
    struct studbay_counts counts;
    struct studbay_sheets
        *drawn; /* the last; they stay until the plan is closed, even where it ended */
    struct handle_list sources, findings, rooms, boxes, circuits, runs, cables;
};

struct studbay_sheets {
    struct studbay_plan *plan;     /* whose memory is used; NULL: that of the program */
    struct studbay_sheets *before; /* of the same plan, or NULL */
    struct arena *arena;
    struct paper *paper;
    struct targets *targets;
    const struct studbay_sheet *const *list;
    size_t count;
};

/* Does the step with the plan's memory, and gives what it makes to the writer, or to nobody where
 * that is NULL. */
typedef enum studbay_status handle_step(struct studbay_plan *plan, const void *with,
                                        struct buf *out);
enum studbay_status handle_call(struct studbay_plan *plan, handle_step *step, const void *with,
                                const struct studbay_writer *writer);

/* A list that the step makes when it is first asked for; NULL where it cannot. `count` may be NULL.
 */
const void *const *handle_get_list(struct studbay_plan *plan, struct handle_list *list,
                                   handle_step *step, size_t *count);

/* The wants of a caller, of whatever version, as ours; false where they have no size. */
bool handle_read_wants(const struct studbay_wants *given, struct studbay_wants *wants);

/* Notes why; gives NO_SUCH and NOT_MADE. */
enum studbay_status handle_refuse(struct studbay_plan *plan, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
enum studbay_status handle_refuse_unknown(struct studbay_plan *plan, const char *kind,
                                          const char *name, const char *const *names,
                                          uint32_t count);
enum studbay_status handle_not_made(struct studbay_plan *plan, const char *why);

/* What reports and drawings read, for who does not ask whether it is proven; NULL: the plan could
 * not be read that far. Within a step. */
struct results *handle_results(struct studbay_plan *plan);

/* The same of what is to be built from; false with the status that says why not. */
bool handle_proven(struct studbay_plan *plan, bool cuts, struct results **results,
                   enum studbay_status *status);

/* The results of a compilation that was read so far; false: it was not. */
bool handle_fill_results(struct compilation *c, struct results *r);

/* Whether the proof failed although the plan has no error that could be why: a defect of ours. */
bool handle_has_defect(const struct compilation *c);

/* What of the make-up is not proven, and what comes of that. */
void handle_tell_unproven(struct compilation *c, struct buf *out);

/* Lays out what the mends of a plan write. */
void handle_fit_mends(struct studbay_plan *plan);

/* Notes how many findings there are now. */
void handle_count(struct studbay_plan *plan);

/* Findings by rule, with their number and places, below what they come to. */
void handle_summary(struct diag *all, unsigned width, struct buf *out);

/* The methods of the load calculation, in the order of enum demand_method; NULL ends them. */
extern const char *const handle_methods[];

/* A grid of labels as it was asked for; NO_SUCH where it makes none. */
enum studbay_status handle_read_labels(struct studbay_plan *plan,
                                       const struct studbay_labels *given,
                                       struct label_sheet *sheet);

/* The sheets of a document. */
void handle_fill_sheets(struct studbay_sheets *s, struct arena *arena, struct paper *paper);

/* Appends one of them, or all, as a format has it; NULL, or why it cannot be made. */
const char *handle_make_sheet(const struct studbay_sheets *s, size_t which,
                              const struct studbay_wants *wants, struct buf *out);

#endif
