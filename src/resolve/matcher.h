/* Inside the matcher: line.c reads a line against its pattern and options, match.c statements and
 * blocks, mend.c guesses at what is broken, slip.c finds the word of a line that is a slip. */
#ifndef STUDBAY_RESOLVE_MATCHER_H
#define STUDBAY_RESOLVE_MATCHER_H

#include "resolve/value_reader.h"

#include <stdint.h>

struct stmt;

enum { MOST_VALUES = 512, DEEPEST_LINE = 8, DEEPEST_NODE = 48 };

/* The first clause of a form that an owner has; of every owner that has passed, the last one at its
 * depth is kept. */
struct first_clause {
    const struct node *owner;
    const struct node *clause;
    uint32_t part; /* an owner in another part may have lain in the same place */
};

struct matcher {
    struct diag *diag;
    struct arena *nodes; /* nodes and what is theirs */
    const struct language *language;
    struct names *names;
    struct source *source;
    uint32_t part;       /* of the file, as it comes from the parser: counted */
    struct value *spare; /* values of the line at hand, before they are copied to its node */
    const char *
        *words; /* interned words of the items from `words_of` on, as far as they were asked for */
    uint32_t words_cap, words_count;
    const struct item *words_of;
    struct value_reader reader;
    uint32_t at;               /* item to be matched next */
    const struct step *failed; /* of the pattern that was read last: what did not fit */
    uint32_t value_count;
    uint32_t
        repeated; /* values of a repetition beyond its first: those behind it come so much later */
    struct node *on_line[DEEPEST_LINE]; /* the statement and the clauses that are open on the line,
                                           outermost first */
    unsigned depth;
    unsigned level; /* blocks round the statement at hand */
    bool guessed;   /* in the block of a statement whose word was guessed: unknown words are passed
                       over */
    struct first_clause *first[DEEPEST_NODE]; /* by depth of the owner, then by form */
};

static inline const struct form *form_of(const struct matcher *m, enum form_id id)
{
    return &m->language->forms[id];
}

/* Appends a node to its parent. */
void match_attach(struct node *parent, struct node *n);

/* Reads the items of `s` from `at` on as a line of n's form: its values and clauses. False, with a
 * finding unless quiet, where they do not fit; m->at is the item that does not. */
bool match_line_as(struct matcher *m, struct node *n, const struct stmt *s, uint32_t at,
                   bool quiet);

/* Of a line of n's form that does not fit, which was read last: the item that is a slip of a word
 * which stands in the form, and that word, with which the line would fit. False: there is none. */
bool match_find_slip(struct matcher *m, struct node *n, const struct stmt *s, uint32_t at,
                     uint32_t *where, const char **meant);

/* Reports a clause that stands twice where once is meant. `depth` is that of the owner in the tree.
 */
void match_once(struct matcher *m, unsigned depth, struct node *owner, struct node *n);

/* The statement of a row or a grid, the last of its owner, becomes the boxes that it names. */
void rows_spread(struct matcher *m, struct node *owner);

/* A reader of the items of a statement. */
struct value_reader match_reader(struct matcher *m, const struct stmt *s);

/* How many of the first statements in the block of `s` may stand in a block of `form`, less those
 * that may not. */
int match_block_votes(struct matcher *m, enum form_id form, const struct stmt *s);

/* The form that a statement whose word is unknown was most likely meant to be, or FORM_COUNT, and
 * the item its values begin at. */
enum form_id match_guess(struct matcher *m, enum form_id owner, const struct stmt *s,
                         uint32_t *from);

/* A statement that seems to go on in the next line, because it ends in a comma or the like or the
 * next one begins so, but does not: takes what stands from there on out of `s` into `rest`, if that
 * begins a statement of `owner`. `fault` is the item at which `s` does not fit. */
bool match_split(struct matcher *m, enum form_id owner, struct stmt *s, uint32_t fault,
                 struct stmt *rest);

#endif
