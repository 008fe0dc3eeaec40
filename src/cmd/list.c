/* studbay list: what there is to write, by sort: devices, kinds of room, box types, cables of the
 * library; rules and reports. */
#include "cmd/cmd.h"

#include "cmd/topics.h"
#include "emit/reports/reports.h"
#include "emit/table.h"
#include "resolve/library.h"

#include <string.h>

enum { LIST_WIDTH = 80 };

struct list {
    struct compilation *c;
    const char *word; /* those alone that have it; NULL: all */
    struct grid rows;
};

static void add(struct list *l, const char *name, const char *says)
{
    if (l->word && !topics_has(&l->c->diag.words, name, says, l->word))
        return;
    struct cell *row = table_row(&l->rows);
    row[0] = cell_text(name);
    row[1] = cell_text(says);
}

static void list_devices(struct list *l)
{
    for (uint32_t i = 0; i < l->c->lib.device_list.n; i++)
        add(l, l->c->lib.device_list.at[i]->name, l->c->lib.device_list.at[i]->title);
}

static void list_kinds(struct list *l)
{
    for (uint32_t i = 0; i < l->c->lib.kind_list.n; i++)
        add(l, l->c->lib.kind_list.at[i]->name, l->c->lib.kind_list.at[i]->title);
}

static void list_boxes(struct list *l)
{
    for (uint32_t i = 0; i < l->c->lib.box_type_list.n; i++)
        add(l, l->c->lib.box_type_list.at[i]->name, l->c->lib.box_type_list.at[i]->title);
}

static void list_cables(struct list *l)
{
    for (uint32_t i = 0; i < l->c->lib.cable_list.n; i++)
        add(l, l->c->lib.cable_list.at[i]->name, l->c->lib.cable_list.at[i]->title);
}

static void list_raceways(struct list *l)
{
    for (uint32_t i = 0; i < l->c->lib.raceway_list.n; i++)
        add(l, l->c->lib.raceway_list.at[i]->name, l->c->lib.raceway_list.at[i]->title);
}

static void list_rules(struct list *l)
{
    for (uint32_t i = 0; i < rule_count; i++)
        add(l, rule_list[i]->name, rule_list[i]->asks);
}

static void list_reports(struct list *l)
{
    for (uint32_t i = 0; i < report_count; i++)
        add(l, report_table[i].name, report_table[i].doc);
}

static void (*const lists[])(struct list *) = {list_devices,  list_kinds, list_boxes,  list_cables,
                                               list_raceways, list_rules, list_reports};
static const char *const sorts[] = {"devices",  "kinds", "boxes",  "cables",
                                    "raceways", "rules", "reports"};

enum { SORTS = sizeof sorts / sizeof *sorts };

int command_list(const struct invocation *inv)
{
    static const struct column columns[] = {{"name", "Name", 0, 0}, {"says", "Meaning", 0, 0}};
    if (!inv->operand_count || inv->operand_count > 2)
        return cmd_complain("list wants what to list: studbay list "
                            "devices|kinds|boxes|cables|raceways|rules|reports [WORD]");
    uint32_t sort = cmd_find_name(inv->operands[0], sorts, SORTS);
    if (sort == SORTS)
        return cmd_complain_unknown("list", inv->operands[0], sorts, SORTS);
    struct compilation c = {0};
    unsigned width;
    if (!cmd_read_width(inv, LIST_WIDTH, &width))
        return EXIT_USAGE;
    if (!compile_library(&c, inv->stdlib)) {
        compile_free(&c);
        return cmd_complain("the library cannot be read");
    }
    struct list l = {.c = &c, .word = inv->operand_count > 1 ? inv->operands[1] : NULL};
    struct buf out = {0};
    table_begin(&l.rows, &c.arena, columns, sizeof columns / sizeof *columns);
    lists[sort](&l);
    bool any = table_rows(&l.rows);
    if (any)
        table_text(&l.rows, &out, width);
    bool written = any && cmd_write_output(&out, NULL);
    if (!any)
        cmd_complain("no %s have '%s' in their names or descriptions", sorts[sort], l.word);
    buf_free(&out);
    compile_free(&c);
    return written ? EXIT_FINE : EXIT_USAGE;
}
