/* What the files of this folder share. */
#ifndef STUDBAY_WHERE_WORK_H
#define STUDBAY_WHERE_WORK_H

#include "compile.h"
#include "where/where.h"

/* A place with the name it is one of, for looking up. */
struct where_spot {
    struct where_place place;
    uint32_t name;
};

struct whereabouts {
    struct arena *arena;
    struct compilation *c;
    VEC(struct where_name *) names;
    VEC(struct where_spot) spots; /* by file, then by place */
    struct map of_thing;          /* (0, thing) -> struct where_name */
    VEC(const struct log_event *)
    unread; /* of the log, whose words are no names but what stands on
               labels, made of names */
};

/* Adds the places of the site log, whose subjects the log has looked up; `each` is called for each.
 */
typedef void where_log_place(void *data, struct span at, const void *thing, bool handle);
void where_read_log(struct whereabouts *w, where_log_place *each, void *data);

#endif
