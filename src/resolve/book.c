#include "resolve/book.h"

#include <stddef.h>

const struct book_table_def book_tables[BOOK_TABLES] = {
    {NULL, false},
#define TABLE(id, name) {name, false},
#define LIST(id, name)  {name, true},
#include "resolve/book.def"
};

const struct book_setting_def book_settings[BOOK_SETTINGS] = {
    {NO_TABLE, NULL},
#define SETTING(table, id, name) {TABLE_##table, name},
#include "resolve/book.def"
};

const char *const book_columns[BOOK_COLUMNS] = {
    NULL,
#define COLUMN(id, name) name,
#include "resolve/book.def"
};
