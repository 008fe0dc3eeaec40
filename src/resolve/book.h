/* The schema of the code books (book.def) as C has it. Each setting and column is an object of a
 * type of its measure: what is misspelt, or read as another measure, does not compile, and a column
 * is one of its own table. */
#ifndef STUDBAY_RESOLVE_BOOK_H
#define STUDBAY_RESOLVE_BOOK_H

#include <stdbool.h>
#include <stdint.h>

/* Numbers are read as double in the unit of library.h, words as interned names. */
#define NUMBER_MEASURES(M)                                                                         \
    M(current)                                                                                     \
    M(voltage)                                                                                     \
    M(load)                                                                                        \
    M(volume)                                                                                      \
    M(area)                                                                                        \
    M(section)                                                                                     \
    M(share)                                                                                       \
    M(weight)                                                                                      \
    M(temperature)                                                                                 \
    M(resistance)                                                                                  \
    M(area_load)                                                                                   \
    M(time)                                                                                        \
    M(count)

/* cite: an article of the book; word: one of those that the schema lists; size: of a conductor;
 * date: 2026-03-14, which sorts as text. */
#define WORD_MEASURES(M)                                                                           \
    M(cite)                                                                                        \
    M(text)                                                                                        \
    M(date)                                                                                        \
    M(word)                                                                                        \
    M(kind)                                                                                        \
    M(lumber)                                                                                      \
    M(size)                                                                                        \
    M(device)                                                                                      \
    M(family)                                                                                      \
    M(rule)

#define MEASURES(M) NUMBER_MEASURES(M) WORD_MEASURES(M) M(length) M(yes_no)

enum measure {
    MEASURE_NONE,
#define MEASURE(m) MEASURE_##m,
    MEASURES(MEASURE)
#undef MEASURE
};

/* In each of these 0 is none, so that no word passes for a NULL pointer. A table and a list are
 * called TABLE_ and LIST_ for those who read; they are one set. */
enum book_table {
    NO_TABLE,
#define TABLE(id, name, readers) BOOK_##id, TABLE_##id = BOOK_##id,
#define LIST(id, name, readers)  BOOK_##id, LIST_##id = BOOK_##id,
#include "resolve/book.def"
    BOOK_TABLES
};

/* The places of settings, columns and keys among book_items. */
enum book_item_id {
#define KEY(table, id, name, measure, ...)     ITEM_KEY_##table##_##id,
#define SETTING(table, id, name, measure, ...) ITEM_SET_##table##_##id,
#define COLUMN(table, id, name, measure, ...)  ITEM_COL_##table##_##id,
#include "resolve/book.def"
    BOOK_ITEMS
};

enum book_part { PART_KEY, PART_SETTING, PART_COLUMN };

struct book_item {
    uint16_t id; /* enum book_item_id */
    uint16_t table;
    const char *name;
    uint8_t part, measure; /* enum book_part, enum measure */
    uint8_t by;            /* the measure that ends its name; MEASURE_NONE: the name is whole */
    bool none, may_lack;
    const char *words; /* the words that it may be, with a space between */
};

#define MEASURE(m)                                                                                 \
    struct m##_setting {                                                                           \
        struct book_item is;                                                                       \
    };                                                                                             \
    struct m##_column {                                                                            \
        struct book_item is;                                                                       \
    };
MEASURES(MEASURE)
#undef MEASURE

/* Arrays of one, so that each is given by its name alone. */
#define KEY(table, id, name, measure, ...)                                                         \
    extern const struct measure##_column COL_##table##_##id[1];
#define SETTING(table, id, name, measure, ...)                                                     \
    extern const struct measure##_setting SET_##table##_##id[1];
#define COLUMN(table, id, name, measure, ...)                                                      \
    extern const struct measure##_column COL_##table##_##id[1];
#include "resolve/book.def"

struct book_table_def {
    const char *name;
    bool is_list;
    const char *readers; /* names, with a space between; ">" before those that rest on a stage's */
};

extern const struct book_table_def book_tables[BOOK_TABLES];
extern const struct book_item *const book_items[BOOK_ITEMS];

#endif
