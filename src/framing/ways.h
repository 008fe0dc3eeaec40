/* Ways that were found before, for who routes one plan again and again: of two texts that differ in
 * a word nearly all ways are the same.
 *
 * A way is taken over where everything is alike that the search read when it found it: what was
 * asked, and each wall that it came to, with its studs, openings and joints. These are compared
 * byte by byte as they are, whatever was changed in the text; so a way that is taken over is the
 * one that would be found. What was not asked for in one routing of the plan is forgotten after
 * the next. Ways through storeys that are only passed are not kept. */
#ifndef STUDBAY_FRAMING_WAYS_H
#define STUDBAY_FRAMING_WAYS_H

#include "base/buf.h"
#include "base/map.h"

struct question;
struct search;
struct skeleton;
struct way;

/* What one compilation came to. */
struct ways_met {
    struct arena arena;
    struct map texts; /* (hash, 1) -> struct met_text */
    struct map ways;  /* (hash, 1) -> struct known_way */
};

/* Zeroed to begin with; belongs to whoever compiles one plan again. */
struct known_ways {
    struct ways_met now, before;
    uint64_t numbers; /* given so far: each text that was met has its own */
    struct buf text;  /* that is being compared */
    /* of the frame at hand */
    const struct skeleton *frame;
    uint64_t common;     /* what all of it has in common */
    uint64_t *number_of; /* by line; 0: there is another one like it, and it is not told apart */
    struct map line_of;  /* (number, 1) -> line + 1 */
};

/* A compilation begins, which goes that way out when there is no memory: what the last but one came
 * to is forgotten. */
void ways_turn(struct known_ways *k, struct arena_way_out *out);

/* The ways that are asked for from here on lie in a frame, which lives as long as `scratch`. */
void ways_begin_frame(struct known_ways *k, struct arena *scratch, const struct skeleton *f);

/* The way that a question had before, written into `way` as search_way does, `arena` being that of
 * its hops; false where it is to be sought. */
bool ways_recall(struct known_ways *k, struct arena *arena, const struct question *q,
                 struct way *way);

/* Keeps what search_way found just now. */
void ways_keep(struct known_ways *k, const struct search *s, const struct question *q,
               const struct way *way);

void ways_free(struct known_ways *k);

#endif
