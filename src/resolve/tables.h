/* What the two files that know the tables of editions share. */
#ifndef STUDBAY_RESOLVE_TABLES_H
#define STUDBAY_RESOLVE_TABLES_H

#include <stdint.h>

struct library;
struct value;

/* The key of a row as text: "14", "1/0", "15 A", "120/240 V", "3/4 in". */
const char *tables_key(struct library *lib, const struct value *v);

/* The mark of a cell among those of its row that are recalled; those beyond the last share one. */
uint64_t tables_mark(uint16_t place);

#endif
