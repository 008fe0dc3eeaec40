/* The parts of the book that see each other. */
#ifndef STUDBAY_BOOK_WORK_H
#define STUDBAY_BOOK_WORK_H

#include "book/html.h"
#include "emit/reports/reports.h"

struct box_view;
struct left;
struct run_view;
struct wall;
struct wall_pictures;

/* The ids of the page, by those of the plan; NULL of what is not built. */
struct anchors {
    const char **boxes, **runs, **circuits, **rooms, **panels,
        **cables;     /* of the groups of low voltage */
    struct map walls; /* (0, struct wall) -> const char *: walls with something on them */
    struct map given; /* (0, interned id) -> anything: all of them */
};

struct panel_list {
    VEC(const struct panel *) list;
};

typedef VEC(const struct log_event *) photo_list;

struct book {
    const struct results *r;
    struct arena *arena;
    struct buf *out;
    struct anchors ids;
    struct report places, todo;   /* the reports `boxes` and `todo` */
    const struct cell **rows;     /* by box id, its row of `boxes` */
    struct left *left;            /* by room id, one more for what is in none */
    struct panel_list *panels_of; /* by room id */
    struct map photos;            /* (room, wall or NULL) -> photo_list: those that can be shown */
    struct wall_pictures *walls;  /* what draws them */
    bool *run_put;                /* by run id: its anchor stands in the page already */
    const char *band;             /* markup: not to be built from; NULL where there is no error */
};

/* Anchors of all that is built: each once, whatever it is called. */
void anchors_make(struct book *b);

/* The id of a wall; NULL: nothing stands on it. */
const char *anchors_wall(const struct book *b, const struct wall *wall);

/* Counts what is left, from the report `todo`; then writes it, of a room and of all: the first
 * thing that one reads. */
void left_count(struct book *b);
void left_put_in_room(struct book *b, const struct room *room);
void left_put_in_all(struct book *b);
const char *left_in_room_short(const struct book *b, const struct room *room); /* "31 left" */

/* The parts of the page, in their order. */
void book_put_head(struct book *b);
void book_put_top(struct book *b);
void book_put_rooms(struct book *b);
void book_put_panels(struct book *b);
void book_put_findings(struct book *b);
void book_put_index(struct book *b);
void book_put_foot(struct book *b);

/* Finds the photographs of the site log that show what lies behind a finish; then writes those of a
 * wall of the room, or those of its ceiling and of all of it, where `wall` is NULL. */
void photos_find(struct book *b);
bool photos_are_of(const struct book *b, const struct room *room, const struct wall *wall);
void photos_put(struct book *b, const struct room *room, const struct wall *wall);

/* The card of a box, and where it leads on to; `next` NULL: it is the last. */
void card_put(struct book *b, const struct box *box, const struct box *next);

/* What is done or not by the site log. `name` is kept for what a script remembers: what has the
 * same name is one and the same work. */
struct tick {
    const char *name;
    const char *words, *detail;    /* detail: NULL for none */
    const char *link, *link_words; /* where more of it stands; NULL for none */
    const char *done; /* the day by the log, or "" where it does not say one; NULL: not done */
};
void book_put_tick(struct book *b, const struct tick *tick);

/* What is there already: nothing to tick. */
void book_put_there(struct book *b, const struct tick *tick);

/* A title that the author typed; NULL where the name stands for it. */
const char *book_typed(const char *title, const char *name);

/* Its title, else its name. */
const char *book_room_words(const struct book *b, const struct room *room);

/* "north wall", "overhead". */
const char *book_side_words(const struct book *b, const struct box_view *v);

#endif
