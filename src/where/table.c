#include "where/table.h"

#include "resolve/node.h"
#include "resolve/value.h"

#include <stddef.h>

struct where_table where_table_of(const struct node *line)
{
    const struct node *n = line;
    while (n && n->form != F_TABLE && n->form != F_LIST)
        n = n->parent;
    const struct value *source = node_value(node_child(n, F_SOURCE), 0);
    return (struct where_table){.name = n ? node_name(n, 0) : NULL,
                                .source = source && source->kind == V_TEXT ? source->name : NULL,
                                .recalled = n && node_flag(n, F_RECALLED),
                                .columns = node_child(n, F_COLUMNS)};
}
