/* Boxes that a proposal adds to rooms: their names, and their statements in the text. */
#ifndef STUDBAY_PROPOSE_ADDED_H
#define STUDBAY_PROPOSE_ADDED_H

#include "compile.h"
#include "model/place.h"
#include "model/power.h"
#include "resolve/edit.h"

/* A box that is not in the plan yet. */
struct added {
    uint32_t room; /* id */
    struct place place;
    const char *name;  /* free in its room, and in all that are like it */
    const char *where; /* "north at 5'-2\"", "overhead at 4', 6'" */
    const char *holds; /* "receptacle-wr; cover in-use" */
    uint32_t of;       /* whoever adds it: which of its questions it answers */
};

typedef VEC(struct added) added_list;

/* Where a box stands, as it is written: on a wall in the hand of the plan's text, without a height
 * where it is the usual one; overhead and on the floor from the south-west corner of its room. */
const char *added_where(struct arena *arena, const struct room *r, const struct place *p,
                        bool usual_height);

/* A name for one more box: the letters of most of the boxes of the room that are `alike`, else
 * `letters`, with the next number that neither they nor those of the list have. */
typedef bool alike_fn(const struct box *b);
const char *added_name(struct arena *arena, const struct compilation *c, const struct room *r,
                       const added_list *list, alike_fn *alike, const char *letters);

/* Whether two rooms have one text, or one is based on that of the other. */
bool added_shares_text(const struct room *a, const struct room *b);

/* Whether the text of a room is written in this room first: it is no copy, and none is before it.
 * What is added to it is added to all that are like it. */
bool added_is_first(const struct model *m, const struct room *r);

/* Writes them into the plan: behind the last box of the room that is `alike`, else at the end of
 * its block. */
void added_write(struct editing e, const struct compilation *c, const added_list *list,
                 alike_fn *alike);

#endif
