/* What stands in editions and amendments, held against the schema (book.def): unknown names, cells
 * of another measure, keys of another sort, rows that stand twice. */
#ifndef STUDBAY_RESOLVE_SCHEMA_H
#define STUDBAY_RESOLVE_SCHEMA_H

#include "resolve/library.h"

struct schema {
    struct library *lib;
    struct map items;   /* (table * 2 + whether a column, name) -> const struct book_item */
    struct map tables;  /* (0, name) -> enum book_table */
    struct map columns; /* (0, name of a table) -> the node that names its columns */
    struct map near;    /* names, for what was meant */
};

/* The schema for a library whose definitions are read. */
struct schema schema_of(struct library *lib);

/* A line of a table or list, its columns as the library names them (NULL for a list): its cells,
 * and whether it stands twice among `lines`, those before it. */
void schema_check_line(struct schema *s, const struct node *table, const struct node *columns,
                       struct map *lines, const struct node *line);

/* All that an edition says. */
void schema_check_edition(struct schema *s, const struct edition *e);

/* All editions of the library that stand in no plan. */
void schema_check_library(struct library *lib);

#endif
