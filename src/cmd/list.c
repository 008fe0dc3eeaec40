/* studbay list: what there is to write, by sort: forms of the language, devices, kinds of room, box
 * types, cables of the library; rules, reports, drawings and commands. Editors and shells are told
 * from it too, as CSV or JSON. */
#include "cmd/cmd.h"

#include "base/json.h"
#include "cmd/topics.h"
#include "emit/reports/reports.h"
#include "propose/propose.h"
#include "emit/table.h"
#include "facts/facts.h"
#include "log/log.h"
#include "model/address.h"
#include "resolve/library.h"
#include "resolve/value_reader.h"
#include "settle/settle.h"
#include "sheets/labels.h"
#include "sheets/sheets.h"

#include <string.h>

enum { LIST_WIDTH = 80 };

struct list {
    struct compilation *c;
    const char *word; /* those alone that have it; NULL: all */
    struct grid rows;
};

/* A row, where it is wanted: its first two cells are filled. */
static struct cell *add(struct list *l, const char *name, const char *says)
{
    if (l->word && !topics_has(&l->c->diag.words, name, says, l->word))
        return NULL;
    struct cell *row = table_row(&l->rows);
    row[0] = cell_text(name);
    row[1] = cell_text(says);
    return row;
}

/* The words of the forms in whose block, or on whose line, one may stand: the table has their
 * names. */
static struct cell owners_of(struct list *l, const char *names)
{
    static const struct {
        const char *name, *word;
    } forms[] = {
        {"FILE", "file"},
#define FORM(id, owners, place, word, pattern, flags, doc) {#id, word},
#include "statements.def"
#undef FORM
    };
    VEC(const char *) words = {0};
    for (size_t n; *names; names += n + (names[n] == ' ')) {
        n = strcspn(names, " ");
        for (size_t i = 0; i < sizeof forms / sizeof *forms; i++)
            if (strlen(forms[i].name) == n && !memcmp(forms[i].name, names, n))
                *vec_push(&l->c->arena, &words) = forms[i].word;
    }
    return cell_list(words.at, words.n);
}

/* Where a form may stand, as the table says it by letters. */
static const char *stands_in(const char *place)
{
    return !strcmp(place, "B") ? "block" : !strcmp(place, "L") ? "line" : "block or line";
}

static void list_forms(struct list *l)
{
    static const struct {
        const char *word, *owners, *place, *pattern, *doc;
    } forms[] = {
#define FORM(id, owners, place, word, pattern, flags, doc) {word, owners, #place, pattern, doc},
#include "statements.def"
#undef FORM
    };
    for (size_t i = 0; i < sizeof forms / sizeof *forms; i++) {
        struct cell *row = add(l, forms[i].word, forms[i].doc);
        if (!row)
            continue;
        row[2] = cell_text(forms[i].pattern);
        row[3] = owners_of(l, forms[i].owners);
        row[4] = cell_text(stands_in(forms[i].place));
    }
}

static void list_units(struct list *l)
{
    static const struct {
        const char *name;
        enum dimension dimension;
    } units[] = {
#define UNIT(name, dimension, scale) {name, dimension},
#define LENGTH_UNIT(name, length)    {name, D_LENGTH},
#include "resolve/units.def"
#undef UNIT
#undef LENGTH_UNIT
    };
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        add(l, units[i].name, value_dimension_words(units[i].dimension));
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

static void list_drawings(struct list *l)
{
    for (uint32_t i = 0; i < sheet_drawing_count; i++)
        add(l, sheet_drawings[i].name, sheet_drawings[i].doc);
    for (uint32_t i = 0; i < sheet_kind_count; i++)
        add(l, sheet_kinds[i].name, sheet_kinds[i].doc);
}

static void list_commands(struct list *l)
{
    for (uint32_t i = 0; i < command_count; i++)
        add(l, command_table[i].name, command_table[i].doc);
}

/* Options, with what their values are called and the commands that take them. */
static void list_options(struct list *l)
{
    static const struct {
        const char *name, *value, *doc;
    } options[] = {
#define OPTION(name, letter, value, member, doc) {name, value, doc},
#include "cmd/options.def"
#undef OPTION
    };
    for (size_t i = 0; i < sizeof options / sizeof *options; i++) {
        struct cell *row = add(l, options[i].name, options[i].doc);
        if (!row)
            continue;
        VEC(const char *) commands = {0};
        for (uint32_t k = 0; k < command_count; k++)
            if (cmd_takes(&command_table[k], options[i].name))
                *vec_push(&l->c->arena, &commands) = command_table[k].name;
        row[2] = options[i].value ? cell_text(options[i].value) : (struct cell){0};
        row[3] = cell_list(commands.at, commands.n);
    }
}

/* In the order of the functions below; the names of a plan, which is read for them, come last. */
static const char *const list_sorts[] = {"forms",    "units",    "devices", "kinds",   "boxes",
                                         "cables",   "raceways", "rules",   "reports", "drawings",
                                         "commands", "options",  "values",  "names"};
enum { SORTS = sizeof list_sorts / sizeof *list_sorts - 1 };

/* Words that options and events take, each with what it is. */
static void list_values(struct list *l)
{
    for (int i = 0; i < LOG_STATES; i++)
        add(l, log_state_word((enum log_state)i), "event");
    for (int i = 0; i < SETTLE_SORTS; i++)
        add(l, settle_words[i], "sort");
    for (int i = PAPER_BY_USE + 1; i < PAPER_SIZES; i++)
        add(l, sheets_paper_names[i], "paper");
    for (uint32_t i = 0; i < labels_grid_count; i++)
        add(l, labels_grids[i].name, "grid");
    for (uint32_t i = 0; handle_methods[i]; i++)
        add(l, handle_methods[i], "method");
    for (uint32_t i = 0; i < propose_count; i++)
        add(l, propose_table[i].name, "proposal");
    for (int i = 0; i <= SORTS; i++)
        add(l, list_sorts[i], "list");
}

static void (*const lists[])(struct list *) = {
    list_forms,    list_units,    list_devices, list_kinds,   list_boxes,
    list_cables,   list_raceways, list_rules,   list_reports, list_drawings,
    list_commands, list_options,  list_values};

/* Writes the rows; false where they cannot be written. */
static bool write_rows(const struct list *l, const char *format, unsigned width)
{
    struct buf out = {0};
    if (!strcmp(format, "csv")) {
        table_csv(&l->rows, &out);
    } else if (!strcmp(format, "json")) {
        struct json j = json_begin(&out);
        table_json(&l->rows, &j);
        buf_puts(&out, "\n");
    } else {
        table_text(&l->rows, &out, width);
    }
    bool written = cmd_write_output(&out, NULL);
    buf_free(&out);
    return written;
}

/* What a plan calls its things, by sort. */
static int list_names(const struct invocation *inv, const char *format)
{
    static const struct column columns[] = {{"sort", "Sort", 0, 0}, {"name", "Name", 0, 0}};
    struct compilation c = {0};
    compile(&c, inv->operands[1],
            (struct compile_options){.stdlib = inv->stdlib, .only_findings = true});
    bool read = !c.io_failed && c.model;
    if (!read) {
        cmd_show_findings(&c.diag);
        compile_free(&c);
        return EXIT_USAGE;
    }
    struct list l = {.c = &c};
    const struct model *m = c.model;
    table_begin(&l.rows, &c.arena, columns, sizeof columns / sizeof *columns);
    for (uint32_t i = 0; i < m->levels.n; i++)
        add(&l, "level", m->levels.at[i]->name);
    for (uint32_t i = 0; i < m->rooms.n; i++)
        if (facts_is_built(m->rooms.at[i]->unit))
            add(&l, "room", address_of_room(&c.arena, m->rooms.at[i], false));
    for (uint32_t i = 0; i < m->panels.n; i++)
        if (facts_is_built(m->panels.at[i]->unit))
            add(&l, "panel", address_of_panel(&c.arena, m->panels.at[i], false));
    for (uint32_t i = 0; i < m->boxes.n; i++)
        if (facts_is_built(m->boxes.at[i]->room->unit))
            add(&l, "box", address_of_box(&c.arena, m->boxes.at[i], false));
    for (uint32_t i = 0; i < m->circuits.n; i++)
        if (facts_is_built(m->circuits.at[i]->unit))
            add(&l, "circuit", address_of_circuit(&c.arena, m->circuits.at[i], false));
    for (uint32_t i = 0; i < m->runs.n; i++)
        if (facts_is_built(facts_unit_of_run(m->runs.at[i])))
            add(&l, "run", address_of_run(&c.arena, m->runs.at[i], false));
    bool written = write_rows(&l, format, LIST_WIDTH);
    compile_free(&c);
    return written ? EXIT_FINE : EXIT_USAGE;
}

int command_list(const struct invocation *inv)
{
    static const struct column columns[] = {{"name", "Name", 0, 0},
                                            {"says", "Meaning", 0, 0},
                                            {"pattern", "Pattern", 0, COLUMN_IF_USED},
                                            {"of", "Of", 0, COLUMN_IF_USED},
                                            {"stands", "Stands in", 0, COLUMN_IF_USED}};
    static const char *const formats[] = {"text", "csv", "json"};
    if (!inv->operand_count || inv->operand_count > 2)
        return cmd_complain("list wants what to list: studbay list %s", inv->command->usage);
    const char *format = "text";
    if (!cmd_read_format(inv, formats, sizeof formats / sizeof *formats, &format))
        return EXIT_USAGE;
    if (!strcmp(inv->operands[0], list_sorts[SORTS]))
        return inv->operand_count > 1
                   ? list_names(inv, format ? format : "text")
                   : cmd_complain("list names wants a plan: studbay list names PLAN");
    uint32_t sort = cmd_find_name(inv->operands[0], list_sorts, SORTS);
    if (sort == SORTS)
        return cmd_complain_unknown("list", inv->operands[0], list_sorts, SORTS);
    struct compilation c = {0};
    unsigned width;
    if (!cmd_read_width(inv, LIST_WIDTH, &width))
        return EXIT_USAGE;
    if (!compile_library(&c, inv->stdlib)) {
        compile_free(&c);
        return cmd_complain("the library cannot be read");
    }
    struct list l = {.c = &c, .word = inv->operand_count > 1 ? inv->operands[1] : NULL};
    table_begin(&l.rows, &c.arena, columns, sizeof columns / sizeof *columns);
    lists[sort](&l);
    bool any = table_rows(&l.rows);
    bool written = any && write_rows(&l, format ? format : "text", width);
    if (!any)
        cmd_complain("no %s have '%s' in their names or descriptions", list_sorts[sort], l.word);
    compile_free(&c);
    return written ? EXIT_FINE : EXIT_USAGE;
}
