/* The table that a line of the library stands in. */
#ifndef STUDBAY_WHERE_TABLE_H
#define STUDBAY_WHERE_TABLE_H

#include "resolve/written.h"

struct where_table {
    const char *name;           /* NULL: the node stands in none */
    const char *source;         /* the article or table of the book; NULL: not said */
    bool recalled;              /* written from memory, not compared with a published copy */
    const struct node *columns; /* NULL: it has settings alone */
};

/* Of a line, or of the statement of the table itself. */
struct where_table where_table_of(const struct node *line);

#endif
