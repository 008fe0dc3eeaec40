/* The words of the code books that C asks for, as numbers: what is misspelt does not compile, and a
 * look-up is an index. The table is book.def. An edition or an amendment may hold more: of such
 * words C knows nothing, and they are looked up by none. */
#ifndef STUDBAY_RESOLVE_BOOK_H
#define STUDBAY_RESOLVE_BOOK_H

#include <stdbool.h>

/* In each of these 0 is none, so that no word passes for a NULL pointer. A table and a list are
 * called TABLE_ and LIST_ for those who read; they are one set. */
enum book_table {
    NO_TABLE,
#define TABLE(id, name) TABLE_##id,
#define LIST(id, name)  LIST_##id,
#include "resolve/book.def"
    BOOK_TABLES
};

enum book_setting {
    NO_SETTING,
#define SETTING(table, id, name) SET_##table##_##id,
#include "resolve/book.def"
    BOOK_SETTINGS
};

enum book_column {
    NO_COLUMN,
#define COLUMN(id, name) COL_##id,
#include "resolve/book.def"
    BOOK_COLUMNS
};

struct book_table_def {
    const char *name;
    bool is_list;
};

struct book_setting_def {
    enum book_table table;
    const char *name;
};

extern const struct book_table_def book_tables[BOOK_TABLES];
extern const struct book_setting_def book_settings[BOOK_SETTINGS];
extern const char *const book_columns[BOOK_COLUMNS];

#endif
