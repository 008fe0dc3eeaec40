#include "resolve/book.h"

#include <stddef.h>

const struct book_table_def book_tables[BOOK_TABLES] = {
    {NULL, false, ""},
#define TABLE(id, name, readers) {name, false, readers},
#define LIST(id, name, readers)  {name, true, readers},
#include "resolve/book.def"
};

/* What the schema says of an item beside its measure. */
#define OR_NONE  .none = true
#define MAY_LACK .may_lack = true
#define WORDS(w) .words = (w)
#define BY(m)    .by = MEASURE_##m

#define ITEM(place, in, called, which, how, ...)                                                   \
    {                                                                                              \
        {                                                                                          \
            {                                                                                      \
                .id = ITEM_##place, .table = BOOK_##in, .name = called, .part = PART_##which,      \
                .measure = MEASURE_##how, __VA_ARGS__                                              \
            }                                                                                      \
        }                                                                                          \
    }

#define KEY(table, id, name, measure, ...)                                                         \
    const struct measure##_column COL_##table##_##id[1] =                                          \
        ITEM(KEY_##table##_##id, table, name, KEY, measure, __VA_ARGS__);
#define SETTING(table, id, name, measure, ...)                                                     \
    const struct measure##_setting SET_##table##_##id[1] =                                         \
        ITEM(SET_##table##_##id, table, name, SETTING, measure, __VA_ARGS__);
#define COLUMN(table, id, name, measure, ...)                                                      \
    const struct measure##_column COL_##table##_##id[1] =                                          \
        ITEM(COL_##table##_##id, table, name, COLUMN, measure, __VA_ARGS__);
#include "resolve/book.def"

const struct book_item *const book_items[BOOK_ITEMS] = {
#define KEY(table, id, name, measure, ...)     &COL_##table##_##id->is,
#define SETTING(table, id, name, measure, ...) &SET_##table##_##id->is,
#define COLUMN(table, id, name, measure, ...)  &COL_##table##_##id->is,
#include "resolve/book.def"
};
