/* Items of a line to typed values: lengths to whole units, quantities to millionths of the unit of
 * their dimension. */
#ifndef STUDBAY_RESOLVE_VALUE_READER_H
#define STUDBAY_RESOLVE_VALUE_READER_H

#include "resolve/language.h"
#include "resolve/value.h"

struct value_reader {
    struct diag *diag;
    struct arena *arena; /* addresses and texts of values */
    struct names *names;
    struct source *source;
    const struct item *items;
    uint32_t count;
    bool quiet;         /* a trial: record nothing */
    bool counting;      /* a number or a name is read, and no measure: "in" may be the next word */
    const char **words; /* room for the interned word of each item, NULL until it is asked for; may
                           itself be NULL */
    const char *wanted_by; /* the word whose value is read, for messages; may be NULL */
};

/* Reads a value of the wanted sort at item *at and moves *at behind it. False, with a finding
 * unless quiet, where the items are of another sort. C_CHAIN, C_REFS, C_WHERE, C_WHAT and C_CELLS
 * are lists and are read by the matcher. */
bool value_read(struct value_reader *r, enum capture wanted, uint32_t *at, struct value *value);

/* Whether a value is of the wanted sort, where it stands in the text as where a given name stands
 * for it. A 0 becomes a length where one is wanted: it needs no unit. */
bool value_serves(enum capture wanted, struct value *value);

/* What is wrong with a value of the wanted sort that lies beyond what can be; NULL: nothing. */
const char *value_out_of_bounds(enum capture wanted, const struct value *value);

/* The word of an item that is one plain word, interned; else NULL. */
const char *item_word(const struct value_reader *r, uint32_t at);

/* The sign of an item (T_COMMA ...), or T_EOF. */
enum token_kind item_sign(const struct value_reader *r, uint32_t at);

/* What stands at the item, for messages: "'south'", "a text in quotes", "the end of the line". */
const char *item_text(const struct value_reader *r, uint32_t at);

/* The span of an item; behind the last one, the end of the last. */
struct span item_span(const struct value_reader *r, uint32_t at);

/* "a current", with its article. */
const char *value_dimension_words(enum dimension d);

#endif
