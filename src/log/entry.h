/* The parts of the site log that see each other: lines to events, names to things of the plan. */
#ifndef STUDBAY_LOG_ENTRY_H
#define STUDBAY_LOG_ENTRY_H

#include "diag/near.h"

#include <stdbool.h>

struct arena;
struct gone_index;
struct log_event;
struct model;
struct passed;
struct room;
struct routes;
struct run;
struct site_log;
struct wiring;

/* Splits a line into an event; `today` is its date where the line has none, NULL: a date must stand
 * there. False with the reason in `why`. `event` is empty (words NULL) for a line without words. */
bool entry_read(struct arena *arena, const char *line, const char *today, struct log_event *event,
                const char **why);

/* The words of an event, made anew from its parts. */
const char *entry_words(struct arena *arena, const struct log_event *event);

/* Names of a plan, to be looked up. */
struct log_index *index_make(struct arena *arena, struct model *m, const struct wiring *wiring);

/* Finds what an event is about. False with the reason in `why`, the nearest name in it. */
bool index_find(struct log_index *index, struct log_event *event, const char **why);

/* Finds what the subject of an event was typed for: the one name that begins so in all its parts,
 * or from which one letter differs. The event has that name then. False where there is none, or,
 * with the reason in `why`, where there are several. */
bool index_guess(struct log_index *index, struct log_event *event, const char **why);

/* The one name of the lists that a text was typed for, as above, or NULL. Linear in the names. */
const char *typed_for(struct arena *arena, const char *text, near_list *const *lists,
                      uint32_t count, const char **why);

/* The subject of an event that was found, in the plan's own words: "studio.S1 -> L1" for "studio.L1
 * to S1"; a pulled run has its cable. */
void index_settle(struct log_index *index, struct log_event *event);

/* Names of what goes by the plan; whether anything does; all of them, for suggestions. */
struct gone_index *gone_make(struct arena *arena, struct model *m);
bool gone_any(const struct gone_index *x);
near_list *gone_names(struct gone_index *x);

/* Finds what of it an event is about, by its subject; `room` where that is the name of one, else
 * NULL. False where nothing of that name goes. */
bool gone_find(struct gone_index *x, const struct room *room, struct log_event *event);

/* Where the file of a photograph lies that the log at `log_path` names; NULL, with the reason in
 * `why`: there is none, it lies outside of the log's folder, is too large, or is no JPEG or PNG. */
const char *photo_find(struct arena *arena, const char *log_path, const char *file,
                       const char **why);

/* Looks for the photographs of the log, and says what is wrong with them. */
void photo_settle(struct site_log *log, struct model *m);

/* What of the log still holds, of runs and boxes, when all its events are known. */
void done_settle(struct site_log *log, const struct model *m, const struct routes *routes,
                 const struct wiring *wiring);

/* Whether the piece of a pull reaches and is of the cable that the plan asks for; one of which no
 * length was logged was cut as planned. */
bool done_serves(const struct log_event *pulled, const struct model *m, const struct routes *routes,
                 const struct wiring *wiring, const struct run *run);

/* The latest event that all of a member's wall or joists was bored; NULL: none. */
const struct log_event *done_member_bored(const struct site_log *log, const struct passed *p);

#endif
