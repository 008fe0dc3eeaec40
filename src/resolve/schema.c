#include "resolve/schema.h"

#include "base/date.h"
#include "diag/diag.h"
#include "diag/near.h"
#include "diag/rule.h"
#include "resolve/mention.h"
#include "resolve/node.h"
#include "resolve/value_reader.h"

#include <ctype.h>
#include <string.h>

/* --- what the schema has ------------------------------------------------------------------ */

static uintptr_t scope_of(uint16_t table, bool column)
{
    return table * 2u + column;
}

struct schema schema_of(struct library *lib)
{
    struct schema s = {.lib = lib};
    struct arena *a = lib->diag->arena;
    for (uintptr_t i = NO_TABLE + 1; i < BOOK_TABLES; i++)
        map_put(a, &s.tables, 0, (uintptr_t)names_of(lib->names, book_tables[i].name), (void *)i);
    for (int i = 0; i < BOOK_ITEMS; i++) {
        const struct book_item *item = book_items[i];
        map_put(a, &s.items, scope_of(item->table, item->part != PART_SETTING),
                (uintptr_t)names_of(lib->names, item->name), (void *)item);
    }
    return s;
}

static enum book_table table_named(const struct schema *s, const char *name)
{
    return (enum book_table)(uintptr_t)map_get(&s->tables, 0, (uintptr_t)name);
}

static bool is_size(const char *tail)
{
    return library_gauge_of(tail) != ANY_GAUGE;
}

/* The item of that name, or the one that it begins as and ends with a size or a temperature. */
static const struct book_item *item_named(const struct schema *s, enum book_table table,
                                          bool column, const char *name)
{
    const struct book_item *found =
        map_get(&s->items, scope_of((uint16_t)table, column), (uintptr_t)name);
    if (found)
        return found->by ? NULL : found;
    for (int i = 0; i < BOOK_ITEMS; i++) {
        const struct book_item *item = book_items[i];
        size_t head = strlen(item->name);
        if (item->by && item->table == table && (item->part != PART_SETTING) == column &&
            !strncmp(name, item->name, head) && is_size(name + head))
            return item;
    }
    return NULL;
}

static const struct book_item *key_of_table(enum book_table table)
{
    for (int i = 0; i < BOOK_ITEMS; i++)
        if (book_items[i]->table == table && book_items[i]->part == PART_KEY)
            return book_items[i];
    return NULL;
}

/* --- words -------------------------------------------------------------------------------- */

static bool is_one_of(const char *words, const char *word)
{
    size_t size = strlen(word);
    for (const char *at = words; at && *at; at += strcspn(at, " "), at += *at == ' ')
        if (strcspn(at, " ") == size && !strncmp(at, word, size))
            return true;
    return false;
}

static bool is_family(const struct library *lib, const char *word)
{
    for (uint32_t i = 0; i < lib->cable_list.n; i++)
        if (lib->cable_list.at[i]->family == word)
            return true;
    for (uint32_t i = 0; i < lib->raceway_list.n; i++)
        if (lib->raceway_list.at[i]->family == word)
            return true;
    return false;
}

/* Whether a word is of the sort; lumber and free words are any. */
static bool is_of_sort(const struct library *lib, const struct book_item *item, const char *word)
{
    if (is_one_of(item->words, word))
        return true;
    switch (item->measure) {
    case MEASURE_kind:
        return library_kind(lib, word);
    case MEASURE_device:
        return library_device(lib, word);
    case MEASURE_family:
        return is_family(lib, word);
    case MEASURE_rule:
        return rule_named(word);
    case MEASURE_yes_no:
        return is_one_of("yes no", word);
    default:
        return !item->words;
    }
}

static struct nearest nearest_of_sort(struct schema *s, const struct book_item *item,
                                      const char *word)
{
    struct nearest near = nearest_to(word);
    struct arena *a = s->lib->diag->arena;
    const char *words = item->measure == MEASURE_yes_no ? "yes no" : item->words;
    for (const char *at = words; at && *at; at += strcspn(at, " "), at += *at == ' ')
        nearest_try(&near, arena_printf(a, "%.*s", (int)strcspn(at, " "), at));
    if (item->measure == MEASURE_kind || item->measure == MEASURE_device)
        nearest_among(&near,
                      near_of_map(a, &s->near,
                                  item->measure == MEASURE_kind ? &s->lib->kinds : &s->lib->devices,
                                  0));
    return near;
}

/* What the table has in the place, for messages. */
static const char *sort_words(const struct schema *s, const struct book_item *item)
{
    static const char *const words[] = {
        [MEASURE_kind] = "a kind of room",       [MEASURE_device] = "a device",
        [MEASURE_family] = "a family of cables", [MEASURE_rule] = "a rule",
        [MEASURE_yes_no] = "yes or no",          [MEASURE_size] = "a size of conductors",
        [MEASURE_cite] = "an article in quotes", [MEASURE_text] = "a text in quotes",
        [MEASURE_lumber] = "a size of lumber",   [MEASURE_date] = "a date in quotes, year first"};
    if (item->measure == MEASURE_word)
        return item->words ? arena_printf(s->lib->diag->arena, "one of: %s", item->words)
                           : "a word";
    return words[item->measure];
}

/* --- cells -------------------------------------------------------------------------------- */

/* The dimension of a measure that is a number or a length; false for words. */
static bool dimension_of(enum measure measure, enum dimension *d)
{
    static const enum dimension dimensions[] = {[MEASURE_current] = D_CURRENT,
                                                [MEASURE_voltage] = D_VOLTAGE,
                                                [MEASURE_load] = D_LOAD,
                                                [MEASURE_volume] = D_VOLUME,
                                                [MEASURE_area] = D_AREA,
                                                [MEASURE_section] = D_SECTION,
                                                [MEASURE_share] = D_PERCENT,
                                                [MEASURE_weight] = D_WEIGHT,
                                                [MEASURE_temperature] = D_TEMPERATURE,
                                                [MEASURE_resistance] = D_RESISTANCE,
                                                [MEASURE_area_load] = D_AREA_LOAD,
                                                [MEASURE_time] = D_TIME,
                                                [MEASURE_length] = D_LENGTH};
    *d = measure < sizeof dimensions / sizeof *dimensions ? dimensions[measure] : D_NONE;
    return *d || measure == MEASURE_count;
}

static bool is_measure(const struct value *v)
{
    return v->kind == V_INTEGER || v->kind == V_NUMBER || v->kind == V_QUANTITY ||
           v->kind == V_LENGTH;
}

static bool is_article(const char *text)
{
    while (*text && !isdigit((unsigned char)*text))
        text++;
    return *text;
}

/* Whether a value that is no measure stands rightly where a word or text does. */
static bool is_word_of(const struct schema *s, const struct book_item *item, const struct value *v)
{
    switch (item->measure) {
    case MEASURE_cite:
        return v->kind == V_TEXT && is_article(v->name);
    case MEASURE_text:
        return v->kind == V_TEXT;
    case MEASURE_date:
        return v->kind == V_TEXT && date_is(v->name);
    case MEASURE_size:
        return v->kind == V_INTEGER || (v->kind == V_SLASHED && is_size(v->name));
    case MEASURE_lumber:
        return v->kind == V_LUMBER || v->kind == V_NAME;
    default:
        return (v->kind == V_NAME || v->kind == V_TEXT) && is_of_sort(s->lib, item, v->name);
    }
}

static void say_wrong_word(struct schema *s, const struct node *n, const struct value *v,
                           const struct book_item *item)
{
    struct diag *d = s->lib->diag;
    bool name = v->kind == V_NAME || v->kind == V_TEXT;
    struct finding *f = name ? diag_add(d, &rule_unknown_name, value_span(n, v),
                                        "'%s' cannot stand here: %s", v->name, sort_words(s, item))
                             : diag_add(d, &rule_wrong_unit, value_span(n, v),
                                        "this cannot stand here: %s", sort_words(s, item));
    struct nearest near = name ? nearest_of_sort(s, item, v->name) : nearest_to("");
    diag_mend_nearest(d, f, &near);
}

/* What a plan names in a table: a kind, a device, a family by the cable or raceway that begins it,
 * a rule. */
static void mention_cell(struct schema *s, const struct node *n, const struct value *v,
                         const struct book_item *item)
{
    struct library *lib = s->lib;
    const char *name = lib->mentions && v->kind == V_NAME ? v->name : NULL;
    struct kind_def *kind = library_kind(lib, name);
    struct device_def *device = library_device(lib, name);
    struct cable_def *cable = library_cable(lib, name);
    struct raceway_def *raceway = library_raceway(lib, name);
    if (item->measure == MEASURE_kind && kind)
        mention_value(lib->mentions, n, v, 0, MENTION_KIND, kind, kind->node);
    else if (item->measure == MEASURE_device && device)
        mention_value(lib->mentions, n, v, 0, MENTION_DEVICE, device, device->node);
    else if (item->measure == MEASURE_family && cable)
        mention_value(lib->mentions, n, v, 0, MENTION_CABLE, cable, cable->node);
    else if (item->measure == MEASURE_family && raceway)
        mention_value(lib->mentions, n, v, 0, MENTION_RACEWAY, raceway, raceway->node);
    else if (item->measure == MEASURE_rule && name)
        mention_value(lib->mentions, n, v, 0, MENTION_RULE, rule_named(name), NULL);
}

/* 0 needs no unit. */
static void check_cell(struct schema *s, const struct node *n, const struct value *v,
                       const struct book_item *item)
{
    enum dimension wanted;
    bool number = dimension_of(item->measure, &wanted),
         none = v->kind == V_NAME && is_one_of("none", v->name);
    bool nought = v->kind == V_INTEGER && !v->n;
    if (v->kind == V_GIVEN || (none && (item->none || item->may_lack)))
        return;
    if (!number) {
        mention_cell(s, n, v, item);
        if (!is_word_of(s, item, v))
            say_wrong_word(s, n, v, item);
        return;
    }
    if (is_measure(v) && (nought || v->dimension == wanted))
        return;
    diag_add(s->lib->diag, &rule_wrong_unit, value_span(n, v), "this is %s; the table has %s here",
             is_measure(v) ? value_dimension_words((enum dimension)v->dimension) : "no measure",
             value_dimension_words(wanted));
}

/* Settings and rows are known by their first value. */
static void check_twice(struct schema *s, struct map *lines, const struct node *line)
{
    const struct value *v = &line->values[0];
    bool named =
        v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER || v->kind == V_TEXT;
    uint64_t key = named ? (uintptr_t)v->name
                         : ((uint64_t)v->n * 2 + 1) ^ (uint64_t)v->low << 48; /* names are even */
    uintptr_t scope = (line->alt == 1) + ((uintptr_t)(key >> 32) << 1); /* pointers may be short */
    void **at = map_at(s->lib->diag->arena, lines, scope, (uintptr_t)key);
    if (*at)
        diag_note(s->lib->diag,
                  diag_add(s->lib->diag, &rule_duplicate_name, value_span(line, v),
                           "this line stands twice in the table; the last one alone would count"),
                  node_span(*at), "the first one");
    *at = (void *)line;
}

void schema_check_line(struct schema *s, const struct node *table, const struct node *columns,
                       struct map *lines, const struct node *line)
{
    check_twice(s, lines, line);
    enum book_table in = table_named(s, node_name(table, 0));
    const struct book_item *key = key_of_table(in),
                           *setting = line->alt == 1
                                          ? item_named(s, in, false, line->values[0].name)
                                          : NULL;
    if (setting)
        check_cell(s, line, &line->values[1], setting);
    for (unsigned i = 0; line->alt != 1 && i < line->value_count; i++) {
        const char *name = columns && i < columns->value_count ? node_name(columns, i) : NULL;
        const struct book_item *item = !i ? key : name ? item_named(s, in, true, name) : NULL;
        if (item)
            check_cell(s, line, &line->values[i], item);
    }
}

/* --- an edition of the library ------------------------------------------------------------ */

static void say_unknown(struct schema *s, const struct node *n, const struct value *v,
                        const char *what, const struct map *among, uintptr_t scope)
{
    struct diag *d = s->lib->diag;
    struct finding *f =
        diag_add(d, &rule_unknown_name, value_span(n, v),
                 "the program knows no %s '%s'; nothing would read it", what, v->name);
    struct nearest near = nearest_to(v->name);
    nearest_among(&near, near_of_map(d->arena, &s->near, among, scope));
    diag_mend_nearest(d, f, &near);
}

static void check_columns(struct schema *s, enum book_table in, const struct node *columns)
{
    for (unsigned i = 0; i < columns->value_count; i++)
        if (columns->values[i].kind == V_NAME && !item_named(s, in, true, columns->values[i].name))
            say_unknown(s, columns, &columns->values[i], "column", &s->items,
                        scope_of((uint16_t)in, true));
}

static void check_table(struct schema *s, const struct node *table)
{
    enum book_table in = table_named(s, node_name(table, 0));
    struct map lines = {0};
    if (!in || book_tables[in].is_list != (table->form == F_LIST)) {
        say_unknown(s, table, &table->values[0], table->form == F_LIST ? "list" : "table",
                    &s->tables, 0);
        return;
    }
    for (const struct node *c = table->child; c; c = c->next) {
        if (c->broken || !c->value_count)
            continue;
        if (c->form == F_COLUMNS) {
            map_put(s->lib->diag->arena, &s->columns, 0, (uintptr_t)node_name(table, 0), (void *)c);
            check_columns(s, in, c);
        } else if (c->form == F_ROW) {
            if (c->alt == 1 && !item_named(s, in, false, c->values[0].name))
                say_unknown(s, c, &c->values[0], "setting", &s->items,
                            scope_of((uint16_t)in, false));
            schema_check_line(s, table, map_get(&s->columns, 0, (uintptr_t)node_name(table, 0)),
                              &lines, c);
        }
    }
}

void schema_check_edition(struct schema *s, const struct edition *e)
{
    for (const struct node *c = e->node->child; c; c = c->next)
        if ((c->form == F_TABLE || c->form == F_LIST) && !c->broken && node_name(c, 0))
            check_table(s, c);
}

void schema_check_library(struct library *lib)
{
    struct schema s = schema_of(lib);
    for (uint32_t i = 0; i < lib->edition_list.n; i++) /* bases come first */
        if (!lib->edition_list.at[i]->of_plan)
            schema_check_edition(&s, lib->edition_list.at[i]);
}
