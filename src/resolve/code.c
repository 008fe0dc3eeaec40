/* What C asks of the tables of the editions, by the schema: what is read of them is noted, for what
 * is recalled or not known. */
#include "base/names.h"
#include "diag/diag.h"
#include "resolve/library.h"
#include "resolve/node.h"
#include "resolve/tables.h"
#include "resolve/value.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

static const struct value *some(const struct value *v)
{
    return v && v->kind == V_NAME && !strcmp(v->name, "none") ? NULL : v;
}

const struct table_row *row_named(const struct table *t, const char *name)
{
    uintptr_t i = (uintptr_t)map_get(&t->row_of, 0, (uintptr_t)name);
    return i ? &t->rows.at[i - 1] : NULL;
}

/* The place of a column whose name ends with `tail`; NOWHERE where the table has none. */
enum { NOWHERE = UINT16_MAX };

static uint16_t column_place(const struct table *t, const char *name, const char *tail)
{
    size_t size = strlen(name);
    for (uint16_t i = 0; i < t->column_count; i++)
        if (!strncmp(t->columns[i], name, size) && !strcmp(t->columns[i] + size, tail))
            return i;
    return NOWHERE;
}

static const struct value *cell_at(const struct table_row *row, uint16_t place)
{
    return row && place < row->count ? some(&row->cells[place]) : NULL;
}

/* Whether any figure of a table is recalled. */
static bool has_recalled(const struct table *t)
{
    bool any = t->recalled;
    for (uint32_t i = 0; i < t->rows.n; i++)
        any |= t->rows.at[i].recalled != 0;
    for (uint32_t i = 0; i < t->recalled_settings.cap; i++)
        any |= t->recalled_settings.slot[i].value != NULL;
    return any;
}

/* The row, column or setting of a table that alone is not known of the edition, interned; NULL: no
 * part of it is told apart. */
static const char *unsure_part(struct code *c, const char *table)
{
    const char *name = names_of(c->lib->names, book_tables[TABLE_UNKNOWN].name);
    const struct table *t = c->electrical ? edition_table(c->lib, c->electrical, name) : NULL;
    const struct value *part =
        t ? cell_at(row_named(t, table), column_place(t, COL_UNKNOWN_PART->is.name, "")) : NULL;
    return part ? tables_key(c->lib, part) : NULL;
}

static void seek_table(struct code *c, enum book_table table)
{
    struct known_table *k = &c->tables[table];
    const char *name = names_of(c->lib->names, book_tables[table].name);
    k->table = c->electrical ? edition_table(c->lib, c->electrical, name) : NULL;
    if (!k->table && c->residential)
        k->table = edition_table(c->lib, c->residential, name);
    k->unsure = k->table ? unsure_part(c, name) : NULL;
    k->recalled = k->table && has_recalled(k->table);
    k->sought = true;
}

/* Keeps that a figure was read by its names, its row's and its column's or the setting's (interned;
 * NULL: it has no such): whether it is recalled, or of the part that is not known. */
static void note_read(struct known_table *k, const char *row, const char *name, bool recalled)
{
    k->read_recalled |= recalled;
    k->read_unsure |= k->unsure && (row == k->unsure || name == k->unsure);
}

/* The same of a cell; where there is none, that there is none was read. */
static const struct value *read_cell(struct code *c, enum book_table table, const char *key,
                                     const struct table_row *row, uint16_t place)
{
    struct known_table *k = &c->tables[table];
    if (k->recalled || k->unsure) {
        bool named = k->unsure && place < k->table->column_count;
        note_read(k, key, named ? names_of(c->lib->names, k->table->columns[place]) : NULL,
                  row ? row->recalled & tables_mark(place) : k->table->recalled);
    }
    return cell_at(row, place);
}

/* Keeps who asked for a table; readers are told apart by the place of their names. */
static void note_reader(struct code *c, enum book_table table)
{
    c->tables[table].reader = c->reader;
    map_put(c->lib->diag->arena, &c->readers, table, (uintptr_t)c->reader, (void *)c->reader);
}

/* The table, for whoever keeps what he reads of it (read_cell). */
static struct table *open_table(struct code *c, enum book_table table)
{
    struct known_table *k = &c->tables[table];
    if (!k->sought)
        seek_table(c, table);
    if (k->reader != c->reader)
        note_reader(c, table);
    return k->table;
}

struct table *code_find_table(struct code *c, enum book_table table)
{
    struct table *t = open_table(c, table);
    c->tables[table].read_whole = true;
    return t;
}

RULE(library_incomplete, "library-incomplete", ERROR, FIRM,
     "the library has the tables that the work needs");

static bool is_called(const struct node *n, const char *name)
{
    return node_name(n, 0) && !strcmp(node_name(n, 0), name);
}

/* The line of an edition or amendment of the plan that takes a table away, or one of its settings;
 * NULL: none does. */
static const struct node *line_taking(const struct node *book, const char *table,
                                      const char *setting)
{
    const struct node *found = NULL;
    for (const struct node *n = book->child; n; n = n->next) {
        if (n->form == F_ED_WITHOUT && is_called(n, table))
            found = n;
        for (const struct node *row = n->form == F_TABLE && is_called(n, table) ? n->child : NULL;
             setting && row; row = row->next)
            if (row->form == F_ROW_WITHOUT && is_called(row, setting))
                found = row;
    }
    return found;
}

/* The same in what the plan says of the editions that it is checked by. */
static const struct node *taken_away(const struct code *c, const char *table, const char *setting)
{
    const struct edition *books[] = {c->electrical, c->residential};
    const struct node *found = NULL;
    for (int i = 0; i < 2; i++)
        for (const struct edition *e = books[i]; e && !found; e = e->base) {
            for (uint32_t k = e->amendments.n; k-- > 0 && !found;)
                found = line_taking(e->amendments.at[k], table, setting);
            if (!found && e->of_plan)
                found = line_taking(e->node, table, setting);
        }
    return found;
}

/* Once for each table and setting (NULL: the table itself), when it is asked for; at the line of
 * the plan that takes it away, where one does. */
static void report_missing(struct code *c, bool *told, const char *table, const char *setting)
{
    struct diag *d = c->lib->diag;
    if (!c->electrical || *told)
        return;
    *told = true;
    const char *what = setting ? arena_printf(d->arena, "setting '%s %s'", table, setting)
                               : arena_printf(d->arena, "table '%s'", table);
    const struct node *line = taken_away(c, table, setting);
    if (line)
        diag_mend(d,
                  diag_add(d, &rule_library_incomplete, node_span(line),
                           "this takes the %s away; nothing that needs it could be worked out",
                           what),
                  "leave it, or change the rows that your place amends");
    else
        diag_mend(d,
                  diag_add(d, &rule_library_incomplete, (struct span){0},
                           "the library's edition %s has no %s; nothing that needs it could be "
                           "worked out",
                           c->electrical->name, what),
                  "put it into the library, or into the plan with 'amend'; or name an edition that "
                  "has it");
}

static void report_table(struct code *c, enum book_table table)
{
    report_missing(c, &c->tables[table].told, book_tables[table].name, NULL);
}

static struct table *need_table(struct code *c, enum book_table table)
{
    struct table *t = open_table(c, table);
    if (!t)
        report_table(c, table);
    return t;
}

struct table *code_table(struct code *c, enum book_table table)
{
    struct table *t = need_table(c, table);
    c->tables[table].read_whole = true;
    return t;
}

static int by_number(const void *a, const void *b)
{
    double x = *(const double *)a, y = *(const double *)b;
    return (x > y) - (x < y);
}

const double *code_keys_in_order(struct code *c, enum book_table list, uint32_t *count)
{
    const struct table *t = code_table(c, list);
    if (t && c->in_order.of != t) {
        c->in_order.of = t;
        c->in_order.count = 0;
        c->in_order.numbers = arena_array(c->lib->diag->arena, double, t->rows.n + 1);
        for (uint32_t i = 0; i < t->rows.n; i++) {
            double number = value_amount(&t->rows.at[i].cells[0], 0);
            if (number > 0)
                c->in_order.numbers[c->in_order.count++] = number;
        }
        qsort(c->in_order.numbers, c->in_order.count, sizeof(double), by_number);
    }
    *count = t ? c->in_order.count : 0;
    return c->in_order.numbers;
}

const struct table_row *code_find_row(struct code *c, enum book_table table, const char *key)
{
    const struct table *t = need_table(c, table);
    const struct table_row *row = t ? row_named(t, key) : NULL;
    if (t)
        read_cell(c, table, key, row, 0);
    return row;
}

/* The words of the values that are words; sizes are written as numbers too. */
static const char *word_of(struct code *c, const struct value *v)
{
    if (!v)
        return NULL;
    if (v->kind == V_INTEGER)
        return arena_printf(c->lib->diag->arena, "%lld", (long long)v->n);
    bool is_word =
        v->kind == V_NAME || v->kind == V_LUMBER || v->kind == V_SLASHED || v->kind == V_TEXT;
    return is_word ? v->name : NULL;
}

static length length_of(const struct value *v, length missing)
{
    return v && v->kind == V_LENGTH ? v->n : missing;
}

static bool says(const struct value *v, const char *word)
{
    return v && v->kind == V_NAME && !strcmp(v->name, word);
}

const char *code_key(struct code *c, const char *key)
{
    return names_of(c->lib->names, key);
}

void code_take_usual(struct code *c, struct edition *newest)
{
    c->electrical = newest;
    struct edition *usual = library_edition(c->lib, code_word(c, SET_PLAN_DEFAULTS_EDITION));
    c->tables[TABLE_PLAN_DEFAULTS].sought = false; /* it was the newest one's */
    c->electrical = usual ? usual : newest;
}

/* --- rows and cells */

static const struct value *cell_in(struct code *c, const struct book_item *column,
                                   const struct table *t, const char *key,
                                   const struct table_row *row)
{
    struct known_item *k = &c->items[column->id];
    if (!k->sought)
        k->place = column_place(t, column->name, "");
    k->sought = true;
    return read_cell(c, column->table, key, row, k->place);
}

static const struct value *cell_of(struct code *c, const struct book_item *column, const char *key)
{
    const struct table *t = need_table(c, column->table);
    return t && key ? cell_in(c, column, t, key, row_named(t, key)) : NULL;
}

static const struct value *row_of(struct code *c, const struct book_item *column, uint32_t row)
{
    const struct table *t = need_table(c, column->table);
    return t && row < t->rows.n ? cell_in(c, column, t, t->rows.at[row].key, &t->rows.at[row])
                                : NULL;
}

#define NUMBER(m)                                                                                  \
    double code_cell_##m(struct code *c, const struct m##_column *column, const char *key,         \
                         double missing)                                                           \
    {                                                                                              \
        return value_amount(cell_of(c, &column->is, key), missing);                                \
    }                                                                                              \
    double code_row_##m(struct code *c, const struct m##_column *column, uint32_t row,             \
                        double missing)                                                            \
    {                                                                                              \
        return value_amount(row_of(c, &column->is, row), missing);                                 \
    }
#define WORD(m)                                                                                    \
    const char *code_cell_##m(struct code *c, const struct m##_column *column, const char *key)    \
    {                                                                                              \
        return word_of(c, cell_of(c, &column->is, key));                                           \
    }                                                                                              \
    const char *code_row_##m(struct code *c, const struct m##_column *column, uint32_t row)        \
    {                                                                                              \
        return word_of(c, row_of(c, &column->is, row));                                            \
    }
NUMBER_MEASURES(NUMBER)
WORD_MEASURES(WORD)
#undef NUMBER
#undef WORD

length code_cell_length(struct code *c, const struct length_column *column, const char *key,
                        length missing)
{
    return length_of(cell_of(c, &column->is, key), missing);
}

length code_row_length(struct code *c, const struct length_column *column, uint32_t row,
                       length missing)
{
    return length_of(row_of(c, &column->is, row), missing);
}

bool code_cell_yes(struct code *c, const struct yes_no_column *column, const char *key)
{
    return says(cell_of(c, &column->is, key), "yes");
}

uint32_t code_sizes(struct code *c, const struct count_column *column, const char **sizes,
                    uint32_t most)
{
    const struct table *t = code_table(c, column->is.table);
    size_t head = strlen(column->is.name);
    uint32_t count = 0;
    for (uint16_t i = 0; t && i < t->column_count && count < most; i++)
        if (!strncmp(t->columns[i], column->is.name, head))
            sizes[count++] = code_key(c, t->columns[i] + head);
    return count;
}

double code_row_count_by(struct code *c, const struct count_column *column, uint32_t row,
                         const char *size, double missing)
{
    const struct table *t = need_table(c, column->is.table);
    if (!t || row >= t->rows.n)
        return missing;
    const struct table_row *r = &t->rows.at[row];
    uint16_t place = column_place(t, column->is.name, size);
    return value_amount(read_cell(c, column->is.table, r->key, r, place), missing);
}

/* --- settings */

/* A setting by its name (interned); NULL where the table has none. */
static const struct value *read_setting(struct code *c, enum book_table table, const char *name)
{
    const struct table *t = c->tables[table].table;
    const struct value *v = map_find(&t->settings, 0, name);
    note_read(&c->tables[table], NULL, name,
              v ? map_find(&t->recalled_settings, 0, name) != NULL : t->recalled);
    return v;
}

static void seek_setting(struct code *c, const struct book_item *setting)
{
    struct known_item *k = &c->items[setting->id];
    const struct value *v = open_table(c, setting->table)
                                ? read_setting(c, setting->table, code_key(c, setting->name))
                                : NULL;
    k->value = some(v);
    k->missing = !v;
    k->sought = true;
}

static struct known_item *sought_setting(struct code *c, const struct book_item *setting)
{
    if (!c->items[setting->id].sought)
        seek_setting(c, setting);
    if (c->tables[setting->table].reader != c->reader)
        note_reader(c, setting->table);
    return &c->items[setting->id];
}

static const struct value *setting_of(struct code *c, const struct book_item *setting)
{
    struct known_item *k = sought_setting(c, setting);
    bool wanted = k->missing && !setting->may_lack;
    const struct table *t = wanted ? need_table(c, setting->table) : NULL;
    if (t && !k->told)
        report_missing(c, &k->told, t->name, setting->name);
    return k->value;
}

#define NUMBER(m)                                                                                  \
    double code_##m(struct code *c, const struct m##_setting *setting, double missing)             \
    {                                                                                              \
        return value_amount(setting_of(c, &setting->is), missing);                                 \
    }
#define WORD(m)                                                                                    \
    const char *code_##m(struct code *c, const struct m##_setting *setting)                        \
    {                                                                                              \
        return setting_word(c, &setting->is);                                                      \
    }

static const char *setting_word(struct code *c, const struct book_item *setting)
{
    const struct value *v = setting_of(c, setting);
    struct known_item *k = &c->items[setting->id];
    if (!k->text)
        k->text = word_of(c, v);
    return k->text;
}

NUMBER_MEASURES(NUMBER)
WORD_MEASURES(WORD)
#undef NUMBER
#undef WORD

length code_length(struct code *c, const struct length_setting *setting, length missing)
{
    return length_of(setting_of(c, &setting->is), missing);
}

bool code_yes(struct code *c, const struct yes_no_setting *setting)
{
    return says(setting_of(c, &setting->is), "yes");
}

bool code_no(struct code *c, const struct yes_no_setting *setting)
{
    return says(setting_of(c, &setting->is), "no");
}

bool code_says(struct code *c, const struct word_setting *setting, const char *word)
{
    return says(setting_of(c, &setting->is), word);
}

length code_length_by(struct code *c, const struct length_setting *setting, const char *size,
                      length missing)
{
    const struct table *t = need_table(c, setting->is.table);
    const char *name = arena_printf(c->lib->diag->arena, "%s%s", setting->is.name, size);
    return t ? length_of(some(read_setting(c, setting->is.table, code_key(c, name))), missing)
             : missing;
}

double code_low_voltage(struct code *c, const struct voltage_setting *setting, double missing)
{
    const struct value *v = setting_of(c, &setting->is);
    return v && v->low ? v->low : value_amount(v, missing);
}

/* --- lists */

bool code_list_has_name(struct code *c, enum book_table list, const char *name)
{
    return code_find_row(c, list, name);
}

bool code_list_has(struct code *c, enum book_table list, const char *word)
{
    return code_list_has_name(c, list, names_of(c->lib->names, word));
}

bool code_list_has_value(struct code *c, enum book_table list, const struct value *v)
{
    return code_list_has_name(c, list, tables_key(c->lib, v));
}

const char *code_list_words(struct code *c, enum book_table list)
{
    const struct table *t = code_table(c, list);
    const char *words = "";
    for (uint32_t i = 0; t && i < t->rows.n; i++)
        words =
            arena_printf(c->lib->diag->arena, "%s%s%s", words, i ? " or " : "", t->rows.at[i].key);
    return words;
}

const char *table_kind(const struct table *t, const struct kind_def *kind)
{
    for (; kind; kind = kind->base)
        if (row_named(t, kind->name))
            return kind->name;
    return NULL;
}

bool code_list_has_kind(struct code *c, enum book_table list, const struct kind_def *kind)
{
    for (; kind; kind = kind->base)
        if (code_find_row(c, list, kind->name))
            return true;
    return false;
}

/* --- articles */

/* Keeps of an article that is cited whether it is recalled: of the finding that it goes with. */
static const char *cited(struct code *c, const char *article, const char *row, bool recalled)
{
    note_read(&c->tables[TABLE_ARTICLES], row, NULL, recalled);
    if (recalled)
        map_file(c->lib->diag->arena, &c->recalled_articles, 0, article, (void *)article);
    return article;
}

/* Each book has articles of its own: the electrical code's come first. */
static const char *article_of(struct code *c, const char *name)
{
    const char *articles = names_of(c->lib->names, book_tables[TABLE_ARTICLES].name);
    struct edition *both[] = {c->electrical, c->residential};
    open_table(c, TABLE_ARTICLES);
    for (int i = 0; i < 2; i++) {
        const struct table *t = both[i] ? edition_table(c->lib, both[i], articles) : NULL;
        if (!t)
            report_table(c, TABLE_ARTICLES);
        const struct table_row *row = t ? row_named(t, name) : NULL;
        const uint16_t place = t ? column_place(t, COL_ARTICLES_ARTICLE->is.name, "") : NOWHERE;
        const struct value *v = cell_at(row, place);
        if (v && v->kind == V_TEXT)
            return cited(c, arena_printf(c->lib->diag->arena, "%s %s", both[i]->label, v->name),
                         name, row->recalled & tables_mark(place));
    }
    return NULL;
}

static struct known_rule *known_rule(struct code *c, const struct rule *rule)
{
    if (!c->rules)
        c->rules = arena_array(c->lib->diag->arena, struct known_rule, rule_count);
    return &c->rules[*rule->place];
}

const char *code_rule_name(struct code *c, const struct rule *rule)
{
    struct known_rule *k = known_rule(c, rule);
    if (!k->name)
        k->name = names_of(c->lib->names, rule->name);
    return k->name;
}

const char *code_article(struct code *c, const struct rule *rule)
{
    struct known_rule *k = known_rule(c, rule);
    if (!k->sought)
        k->article = article_of(c, code_rule_name(c, rule));
    k->sought = true;
    return k->article;
}

const char *code_case_article(struct code *c, const char *row)
{
    return article_of(c, names_of(c->lib->names, row));
}

const char *code_row_article(struct code *c, const struct cite_column *column, const char *row)
{
    return row ? code_cell_cite(c, column, code_key(c, row)) : NULL;
}

/* --- what is recalled */

static bool is_reader(const char *readers, const char *name, bool cites)
{
    size_t size = strlen(name);
    for (const char *at = readers; *at; at += strcspn(at, " "), at += *at == ' ') {
        size_t word = strcspn(at, " ");
        if ((word == size && !strncmp(at, name, size)) || (cites && *at == '*'))
            return true;
    }
    return false;
}

const char *const *code_recalled(struct code *c, const char *name, bool cites, uint32_t *count)
{
    const char **list = arena_array(c->lib->diag->arena, const char *, BOOK_TABLES);
    *count = 0;
    for (int i = NO_TABLE + 1; i < BOOK_TABLES; i++) {
        const struct known_table *k = &c->tables[i];
        bool recalled = k->read_whole ? k->recalled : k->read_recalled;
        if (recalled && (!name || is_reader(book_tables[i].readers, name, cites)))
            list[(*count)++] = book_tables[i].name;
    }
    return list;
}

/* Who asks for what is unknown is no reader: it is told of what others read. */
static struct table *unknown_of(struct code *c)
{
    if (!c->tables[TABLE_UNKNOWN].sought)
        seek_table(c, TABLE_UNKNOWN);
    if (!c->tables[TABLE_UNKNOWN].table)
        report_table(c, TABLE_UNKNOWN);
    return c->tables[TABLE_UNKNOWN].table;
}

const char *const *code_unknown(struct code *c, const char *name, bool cites, uint32_t *count)
{
    const char **list = arena_array(c->lib->diag->arena, const char *, BOOK_TABLES);
    const struct table *unknown = unknown_of(c);
    *count = 0;
    for (int i = NO_TABLE + 1; i < BOOK_TABLES && unknown && unknown->rows.n; i++) {
        const struct known_table *k = &c->tables[i];
        const char *table = book_tables[i].name, *key = code_key(c, table);
        bool was_read = k->table && (!k->unsure || k->read_whole || k->read_unsure);
        const char *what = k->sought && was_read
                               ? word_of(c, cell_in(c, &COL_UNKNOWN_WHAT->is, unknown, key,
                                                    row_named(unknown, key)))
                               : NULL;
        if (what && (!name || is_reader(book_tables[i].readers, name, cites)))
            list[(*count)++] = arena_printf(c->lib->diag->arena, "%s (%s)", table, what);
    }
    return list;
}

void code_vouch(struct code *c)
{
    unknown_of(c);
    struct diag *d = c->lib->diag;
    struct map of_rule = {0}; /* (rule, what article it has) -> a finding that has its list */
    for (uint32_t i = 0; i < d->findings.n; i++) {
        struct finding *f = &d->findings.at[i];
        bool cites_recalled = f->article && map_find(&c->recalled_articles, 0, f->article);
        void **at = map_at(d->arena, &of_rule, (uintptr_t)f->rule,
                           1 + (f->article != NULL) + cites_recalled);
        const struct finding *same = *at;
        if (same) {
            f->recalled_count = same->recalled_count;
            f->unknown_count = same->unknown_count;
        }
        f->recalled = same ? same->recalled
                           : code_recalled(c, f->rule->name, cites_recalled, &f->recalled_count);
        f->unknown =
            same ? same->unknown : code_unknown(c, f->rule->name, f->article, &f->unknown_count);
        *at = f;
    }
}

/* --- ampacity */

/* The temperature that ends the name of a column; 0 where it does not begin with `head`. */
static int degrees_of(const char *column, const char *head)
{
    int degrees = 0;
    for (; *head; head++, column++)
        if (*column != *head)
            return 0;
    for (const char *p = column; *p >= '0' && *p <= '9' && degrees <= INT_MAX / 10 - 1; p++)
        degrees = 10 * degrees + *p - '0';
    return degrees;
}

/* The place of the column of the highest temperature that is not above the insulation's; NOWHERE
 * where all are above it. */
static uint16_t temperature_column(const struct table *t, const char *head, int degrees)
{
    uint16_t best = NOWHERE;
    int highest = 0;
    for (uint16_t i = 0; i < t->column_count; i++) {
        int at = degrees_of(t->columns[i], head);
        if (at > highest && at <= degrees) {
            highest = at;
            best = i;
        }
    }
    return best;
}

/* The same of a table of ampacities: a plan asks for few columns of it, again and again. */
static uint16_t ampacity_column(struct code *c, bool as_aluminium, const struct table *t,
                                const char *head, int degrees)
{
    for (int i = 0; i < 2; i++)
        if (c->ampacity[as_aluminium][i].place && c->ampacity[as_aluminium][i].degrees == degrees)
            return (uint16_t)(c->ampacity[as_aluminium][i].place - 1);
    uint16_t place = temperature_column(t, head, degrees);
    c->ampacity[as_aluminium][1] = c->ampacity[as_aluminium][0];
    c->ampacity[as_aluminium][0].degrees = degrees;
    c->ampacity[as_aluminium][0].place = (uint16_t)(place + 1);
    return place;
}

double code_ampacity(struct code *c, enum metal metal, const char *size, int degrees)
{
    bool as_aluminium = metal != COPPER;
    const struct current_column *columns =
        !as_aluminium ? COL_AMPACITY_COPPER_AT : COL_AMPACITY_ALUMINIUM_AT;
    const struct table *t = need_table(c, columns->is.table);
    if (!t || !size)
        return 0;
    int most = degrees > 0 ? degrees : (int)code_temperature(c, SET_TERMINALS_SMALL_AT, 0);
    uint16_t place = ampacity_column(c, as_aluminium, t, columns->is.name, most);
    return value_amount(read_cell(c, columns->is.table, size, row_named(t, size), place), 0);
}

double code_ambient_share(struct code *c, double air, int degrees)
{
    const struct table *t = need_table(c, TABLE_AMBIENT);
    int most = degrees > 0 ? degrees : (int)code_temperature(c, SET_TERMINALS_SMALL_AT, 0);
    uint16_t place = t ? temperature_column(t, COL_AMBIENT_AT->is.name, most) : NOWHERE;
    for (uint32_t i = 0; t && i < t->rows.n; i++)
        if (air <= value_amount(&t->rows.at[i].cells[0], 0))
            return value_amount(
                read_cell(c, TABLE_AMBIENT, t->rows.at[i].key, &t->rows.at[i], place), 0);
    return t ? 0 : 1;
}
