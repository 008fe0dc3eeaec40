/* What was meant by a name that is not known. First what the trade means by it, by the table of the
 * library; then the one of those that are known from which a letter differs; then the one that has
 * the same words, or stems of words; then the nearest by edits that is near enough to be a slip.
 *
 * Where many are asked for, names are kept in lists, in groups of the same letters: of most groups
 * a glance tells that they are too far, and only names of the others are compared letter by letter.
 */
#ifndef STUDBAY_DIAG_NEAR_H
#define STUDBAY_DIAG_NEAR_H

#include "base/arena.h"

#include <stdbool.h>

struct map;

/* A name, and what a glance at it tells; small letters and capitals are alike here. */
struct near_name {
    const char *text;
    uint64_t once,
        twice; /* letters that are in it, and those that are in it more than once, a bit each */
    uint32_t len;
    uint32_t group; /* of the first of a group: how many it has */
};

typedef struct near_list {
    VEC(struct near_name) names;
    bool grouped; /* sorted into groups since the last one was added */
} near_list;

void near_add(struct arena *arena, near_list *list, const char *text);

/* What the trade means by a word, the first choice first: "can" is a recessed luminaire. */
struct near_word {
    const char *word;
    const char *const *means;
    uint32_t count;
};

typedef VEC(struct near_word) near_words;

/* What is meant by a word or phrase, in small letters or capitals, or NULL. */
const struct near_word *near_meaning(const near_words *words, const char *written);

/* How well the words of a name fit those of what was written: less is better. */
struct near_stem {
    uint8_t level; /* 1: the same words, in any order; 2: some of those written; 3: those written
                      and more; 4: some in common; 0: none */
    uint8_t missed, extra, place; /* words that only the one has, or the other; where the first of
                                     them stands */
};

/* How many names are told where several are equally near. */
enum { NEAR_NAMED = 3 };

/* A search: begun with what was written, then shown names in any order and any number of times. */
struct nearest {
    struct near_name written;
    const struct near_word *meant; /* what the trade means by it, or NULL */
    uint32_t rank;                 /* of what it means: which was found; meant->count: none */
    unsigned best;                 /* edits to what is found; none found: the most that is a slip */
    const char *by_edit; /* NULL: none; of those that are equally near the first by the alphabet */
    const char *as_near[NEAR_NAMED]; /* these, in the order of the alphabet: by_edit is the first */
    uint8_t as_near_count;
    bool more_as_near; /* and others */
    struct near_stem stem;
    const char *by_stem;
    const char *found; /* of all these, or NULL */
};

struct nearest nearest_to(const char *written);

/* The same, where words of the trade may stand. */
struct nearest nearest_meant(const near_words *words, const char *written);
void nearest_try(struct nearest *n, const char *name);
void nearest_among(struct nearest *n, near_list *list);

/* What was found, in quotes, with what is equally near: "'R1'", "'l11' or 'l12'", "'R1', 'R2', 'R3'
 * or another like them". NULL where nothing was found. `is_one`, where
 * it is not NULL, tells whether that is one name. */
const char *nearest_in_words(struct arena *arena, const struct nearest *n, bool *is_one);

/* Whether one letter made the one of the other, left out, put in, changed or changed places with
 * the next, and both are words of four letters or more: what is written cannot well be another
 * name. Figures are no letters: R11 is no slip for R1. */
bool near_is_slip(const char *written, const char *meant);

/* The keys of a map of (scope, name) as a list. `lists` holds those that were made; they are made
 * anew where the map has grown. */
near_list *near_of_map(struct arena *arena, struct map *lists, const struct map *m,
                       uintptr_t scope);

#endif
