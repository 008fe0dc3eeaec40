/* What stands where in a plan: the names of its text with all their places, what they mean, what is
 * told of them, and what changes where one is given another name. For editors; nothing here knows
 * of a protocol.
 *
 * It asks of a finished compilation that was made with `mentions`, whose arena and sources must
 * live as long. */
#ifndef STUDBAY_WHERE_WHERE_H
#define STUDBAY_WHERE_WHERE_H

#include "base/arena.h"
#include "base/source.h"
#include "resolve/mention.h"
#include "resolve/written.h"

struct compilation;
struct run;

/* One place of a name. */
struct where_place {
    struct span span; /* in a file of the plan, or in its site log */
    bool defines;     /* the thing gets its name here */
    bool in_row;      /* "R1 to R4": one of the boxes that are counted out here */
    bool in_log;
    bool given;  /* a value that stands for the name: `given where studio` */
    bool handle; /* in the log: the panel's part of a circuit's handle, "P" of "P14" or "Q1-" of
                    "Q1-14" */
};

/* A name with all its places; as it means one thing, or one in each copy of a unit. */
struct where_name {
    uint32_t id; /* in the order of the text */
    enum mention_sort sort;
    const char *text; /* as it is written */
    bool of_library;  /* it is defined in the library, or in the program */
    VEC(const void *)
    things; /* what it means, by its sort (mention.h); none where its statement is
               all there is */
    VEC(const struct node *) statements; /* that give it its name; of the plan and of the library */
    VEC(struct where_place) places;      /* by file, then by place */
};

struct whereabouts;

/* Gathers the names of a compilation. Linear, save that places are sorted. */
struct whereabouts *where_make(struct arena *arena, struct compilation *c);

/* The name at a byte of a file of the plan or of its log: the one that begins there or holds it,
 * else the one that ends there. NULL: no name that means anything. `place`, if it is not NULL, is
 * set to its place. */
const struct where_name *where_name_at(const struct whereabouts *w, const struct source *source,
                                       uint32_t off, const struct where_place **place);

/* The name of a thing of the model or library, NULL where the text has none of it. */
const struct where_name *where_name_of(const struct whereabouts *w, const void *thing);

/* The run of the hop whose arrow, or whose word `run`, stands at a byte; `at` is set to its hop,
 * from one name to the next. NULL: there is none. Linear. */
const struct run *where_run_at(const struct whereabouts *w, const struct source *source,
                               uint32_t off, struct span *at);

uint32_t where_name_count(const struct whereabouts *w);
const struct where_name *where_name_by_id(const struct whereabouts *w, uint32_t id);

/* The places where a name is defined; of the library too. */
struct where_spans {
    VEC(struct span) spans;
};
struct where_spans where_definitions(struct arena *arena, const struct where_name *name);

/* "box", "room", "kind of room": what a name is, for people. */
const char *where_sort_words(enum mention_sort sort);

/* --- another name ------------------------------------------------------------------------- */

struct where_edit {
    struct span span;
    const char *text;
};

/* What changes where a name becomes another one, by file and place; or why it may not. */
struct where_edits {
    VEC(struct where_edit) edits;
    const char *refused; /* NULL: it may, as far as the name itself tells (where_renamed_well) */
};

/* Why a name cannot be changed at all: NULL where it can. */
const char *where_fixed(const struct whereabouts *w, const struct where_name *name);

/* The edits by which a name becomes `to`, in all files and in the site log. */
struct where_edits where_rename(const struct whereabouts *w, const struct where_name *name,
                                const char *to);

/* A file with those of the edits that are in it. */
const char *where_edited(struct arena *arena, const struct source *source,
                         const struct where_edits *edits, size_t *size);

/* Whether the plan says the same with the edits as before, up to that name: `after` is compiled
 * from the edited files. False, with the reason in `why`, where a finding is there that was not, or
 * a name means something else: the new name was taken, or stands nearer than the one that was
 * meant. */
bool where_renamed_well(const struct whereabouts *before, const struct whereabouts *after,
                        const struct where_edits *edits, const char **why);

#endif
