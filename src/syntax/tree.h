/* The tree of statements: a statement is a line of items with an optional block. No names are
 * looked up here and no word has a meaning yet. */
#ifndef STUDBAY_SYNTAX_TREE_H
#define STUDBAY_SYNTAX_TREE_H

#include <stdbool.h>
#include <stdint.h>

struct arena;
struct diag;

enum item_kind {
    ITEM_TOKEN,  /* one token */
    ITEM_REF,    /* a name, or several parted by dots: studio.R1 */
    ITEM_GIVEN,  /* (NAME): stands for the value of a `given` */
    ITEM_GROUP,  /* (WORD ...): words that belong to what stands before them */
    ITEM_BROKEN, /* what the parser skipped */
};

struct item {
    uint32_t first, last; /* tokens, both included */
    enum item_kind kind;
};

struct stmt {
    uint32_t first, last; /* tokens of its line */
    uint32_t open, close; /* tokens of the braces; equal where there is no block */
    struct item *items;
    uint32_t item_count, item_cap;
    bool has_block, broken; /* broken: a finding of the form lies in it */
    struct stmt *next;
    struct stmt *child, *last_child;
};

struct tree {
    struct source *source;
    struct stmt *first;
    bool refused; /* the blocks are nested too deep: nothing was read */
};

/* Reads the tokens of a source into a tree; what does not fit is reported, repaired and marked
 * broken. Always gives a tree, save that it is empty where the blocks are nested deeper than the
 * language allows. Statements live in `scratch`: they are wanted until they are matched. */
struct tree parse(struct diag *diag, struct arena *scratch, struct source *source);

/* The same, the statements of the file given to `take` as soon as they are whole and their last
 * line is at its end (what is at fault in a line is told once, and the grammar goes first), and
 * gone when that comes back: `scratch` is emptied then. False where the blocks are nested too deep:
 * nothing was read. */
typedef void take_statements(void *data, struct stmt *first);
bool parse_each(struct diag *diag, struct arena *scratch, struct source *source,
                take_statements *take, void *data);

/* The items between the parentheses of a group, of which there are at most as many as tokens. */
uint32_t parse_group(const struct source *s, const struct item *group, struct item *items);

/* Blocks in blocks: deeper ones are refused, and not read. */
enum { DEEPEST_BLOCK = 32 };

/* Decides where statements end and mends braces that do not balance by the layout; sets the flags
 * of the tokens. False: nested too deep, and reported. */
bool layout(struct diag *diag, struct arena *scratch, struct source *source);

#endif
