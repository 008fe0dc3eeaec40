/* The site log: what has been done on site, one event a line, in a plain text file beside the plan.
 *
 *     2026-03-14 pulled studio.S1 -> L1 cable 14/3 24'-6" from tail-end
 *
 * The log only grows. The order of its lines means nothing and a line that stands twice counts
 * once, so that logs of two people merge line by line. A last line without its end was torn by a
 * crash and is passed over; the next event that is written marks it so. See docs/site-log.md. */
#ifndef STUDBAY_LOG_LOG_H
#define STUDBAY_LOG_LOG_H

#include "base/length.h"
#include "base/map.h"
#include "base/source.h"

struct bore;
struct bores;
struct model;
struct passed;
struct routes;
struct wiring;

/* In the order of the work. */
enum log_state {
    LOG_SET, /* a box or panel: it hangs in its place */
    LOG_BORED,
    LOG_PULLED,
    LOG_STAPLED,
    LOG_MADE_UP,
    LOG_INSPECTED,
    LOG_TRIMMED, /* a box or panel: its devices, plates and breakers are in */
    LOG_TESTED,
    LOG_CLOSED,  /* a room, wall or ceiling: its finish is on */
    LOG_REMOVED, /* what goes by the plan: it was taken out, an abandoned cable was capped */
    LOG_PHOTO,   /* of a room, wall or ceiling: a photograph, a file beside the log */
    LOG_STATES
};

/* Things that an event is about. */
struct log_subject {
    VEC(const struct run *) runs;
    VEC(const struct box *) boxes;
    VEC(const struct panel *) panels;
    const struct wall *wall;    /* all its studs and plates, or NULL */
    const struct level *joists; /* all joists over or under it, or NULL */
    const struct room *closed;  /* closed, photo: `wall` of it, its ceiling, or all where neither is
                                   said */
    bool ceiling;
    VEC(const void *) gone; /* removed: boxes, devices, runs, circuits and panels that go */
};

struct log_event {
    const char *date; /* "2026-03-14" */
    enum log_state state;
    bool undoes; /* takes the event back that has the same words, from this date backwards */
    bool taken_back;
    const char *words; /* all but the date and the note, one blank between: what makes two lines the
                          same event */
    const char *subject;            /* as written: "studio.S1 -> L1"; a label with its quotes */
    const char *cable;              /* of a run: the cable, or NULL */
    length length;                  /* pulled: as measured on site, ends included; 0 not said */
    const char *coil;               /* pulled: the coil it came from, or NULL */
    const char *photo;              /* photo: the file, as the log names it; else NULL */
    const char *photo_path;         /* where it lies; NULL: it cannot be shown */
    const char *note;               /* "# tight", or NULL */
    struct log_event *again;        /* the same words of the same day, with another note */
    struct span span;               /* its line in the log */
    struct log_subject about;       /* empty where the plan has no such thing */
    const struct log_event *shares; /* a length pulled through several boxes in one: by run of
                                       `about` the event with that run's share; else NULL */
    const struct log_event *whole;  /* a share: of what; else NULL */
};

/* What an event says of one of its runs: of a strand that was pulled in one its share of the
 * length.
 */
static inline const struct log_event *log_share(const struct log_event *e, uint32_t run)
{
    return e->shares ? &e->shares[run] : e;
}

typedef uint16_t log_states; /* bits by enum log_state */

/* By state the first day by which it was reached; NULL: never. */
struct log_dates {
    const char *on[LOG_STATES];
};

struct run_log {
    log_states states; /* as logged; what must have come before is set too */
    log_states done;   /* what of it still holds: nothing where `again`, save holes that were bored
                          after that cable was pulled */
    const struct log_event *pulled; /* the pull that counts: the latest with a length, of one day
                                       the longest; one without, of this run alone, where it has
                                       none or what was measured does not serve; NULL: none */
    const struct log_event *unmeasured; /* the latest pull of this run alone without a length */
    const char *bored_on;               /* the last day of boring for it alone; NULL: none */
    length in_wall; /* of the cable that hangs there, ends included: as measured, else the planned
                       cut; 0: none, or not known */
    bool again;     /* that cable does not reach, or is not the one that the plan asks for: another
                       must be pulled */
};

typedef VEC(const struct log_event *) log_closings;

struct site_log {
    const char *path;
    VEC(struct log_event *)
    events;              /* each once, in the order of the file; those that take back among them */
    struct map closings; /* (0, room) -> log_closings: what closed something of it, and stands */
    struct run_log *of_run;                  /* by run id */
    struct log_dates *run_dates, *box_dates; /* by id */
    log_states *of_box, *of_panel; /* by id; a box that a cable is pulled anew to is not made up */
    struct map removed;            /* (0, a thing that goes) -> the event that took it out */
    struct map bored;              /* (0, wall or level) -> the latest event: all its members */
    struct log_index *index;       /* names of the plan */
};

static inline bool log_has(log_states states, enum log_state state)
{
    return states >> state & 1;
}

/* Whether an event of that state is said of cables. */
static inline bool log_is_of_cables(enum log_state state)
{
    return state == LOG_BORED || state == LOG_PULLED || state == LOG_STAPLED;
}

/* The states of a cable that an event brings with it: what must have come before is done too. */
log_states log_cable_states(enum log_state state);

/* "made-up". */
const char *log_state_word(enum log_state state);
bool log_is_state_word(const char *word);

/* The first day on which the finish was on what an event is about; NULL: by the log it is open. */
const char *log_closed_on(const struct site_log *log, const struct log_event *e);

enum { MOST_PHOTO_MB = 8 };

/* Where the log of a plan lies: its path with .log in place of .bay; NULL for standard input. */
const char *log_path(struct arena *arena, const char *plan);

/* Reads a log against a plan. Lines that name nothing, or are no event, and a torn end are
 * findings; nothing else in the log is read of them. An empty source is an empty log. Linear in
 * plan and log, save that an event of a room looks through all runs. */
struct site_log *log_read(struct arena *arena, struct model *m, const struct routes *routes,
                          const struct wiring *wiring, struct source *source);

/* Whether a cable hangs in the wall that serves as it is: nothing is to be cut or bought for it. */
static inline bool log_hangs(const struct site_log *log, uint32_t run_id)
{
    return log && log_has(log->of_run[run_id].done, LOG_PULLED);
}

/* Notes in the model what the log says of finishes: the day on which a wall or ceiling was closed,
 * and by which each cable hung and each box was set. True where something that is new was not done
 * by then: it is fished, or set for old work, so ways and cables are to be worked out anew and the
 * log read again. What did not reach, or is not the cable that is asked for, never hung. */
bool log_note_closed(struct arena *arena, const struct site_log *log, struct model *m,
                     const struct routes *routes, const struct wiring *wiring);

/* Whether a box, device, run or panel that goes was taken out, or a circuit's breaker. */
bool log_is_removed(const struct site_log *log, const void *thing);

/* Whether a hole or notch is there: one of its cables was bored for, or all of its wall or joists
 * was. */
bool log_is_bored(const struct site_log *log, const struct bores *bores, const struct bore *bore);

/* "undo": takes the last line back that stands, by one more line. */
extern const char log_undo[];

/* Checks one event, as a person types it, against the plan and the log: [DATE] EVENT. Gives the
 * line to be written, with its newline; NULL with the reason in `why` where it names nothing. The
 * line is empty where the log says so already. */
const char *log_accept(struct site_log *log, struct arena *arena, const char *today,
                       const char *event, const char **why);

/* Adds whole lines to the end of the log file in one write and has the disk keep them; makes the
 * file where there is none, and marks a torn end. Several processes may do so at once. NULL where
 * it went well, else what went wrong, in the arena. */
const char *log_append(struct arena *arena, const char *path, const struct buf *lines);

/* The shortest cable that still reaches for a run: its way and what the code wants free at both
 * ends, without the slack and the spare that the plan adds. The length that the plan gives as
 * measured, where it does. 0 where the way is not known, and for what is cut with another run
 * (facts/pulls.h). */
length log_least_length(const struct model *m, const struct routes *routes, const struct run *run);

#endif
