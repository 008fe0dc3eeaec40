/* Tables of the editions: a later edition says only what changed, amendments of a plan change rows.
 */
#include "resolve/library.h"
#include "resolve/node.h"

#include <limits.h>
#include <string.h>

/* The key of a row as text: "14", "1/0", "15 A", "3/4 in". */
static const char *key_of(struct library *lib, const struct value *v)
{
    static const char *const units[] = {"",      "in", "A",  "V", "VA",  "in3",   "ft2",
                                        "kcmil", "%",  "lb", "C", "ohm", "VA/ft2"};
    struct arena *a = lib->diag->arena;
    switch (v->kind) {
    case V_NAME:
    case V_SLASHED:
    case V_LUMBER:
    case V_TEXT:
        return names_of(lib->names, v->name);
    case V_INTEGER:
        return names_of(lib->names, arena_printf(a, "%lld", (long long)v->n));
    case V_NUMBER:
        return names_of(lib->names, arena_printf(a, "%g", (double)v->n / MILLION));
    case V_QUANTITY:
        return names_of(lib->names,
                        arena_printf(a, "%g %s", (double)v->n / MILLION, units[v->dimension]));
    case V_LENGTH:
        return names_of(lib->names, arena_printf(a, "%g in", length_inches(v->n)));
    default:
        return names_of(lib->names, "");
    }
}

static void put_row(struct library *lib, struct table *t, const struct node *n)
{
    const char *key = key_of(lib, &n->values[0]);
    void **at = map_at(lib->diag->arena, &t->row_of, 0, (uintptr_t)key);
    struct table_row row = {key, n, n->values, n->value_count};
    if (*at) {
        t->rows.at[(uintptr_t)*at - 1] = row;
    } else {
        *vec_push(lib->diag->arena, &t->rows) = row;
        *at = (void *)(uintptr_t)t->rows.n;
    }
}

static void take_row(struct library *lib, struct table *t, const char *key)
{
    void **at = map_at(lib->diag->arena, &t->row_of, 0, (uintptr_t)key);
    if (!*at)
        return;
    uint32_t i = (uint32_t)(uintptr_t)*at - 1;
    *at = NULL;
    memmove(&t->rows.at[i], &t->rows.at[i + 1], (t->rows.n - i - 1) * sizeof *t->rows.at);
    t->rows.n--;
    for (; i < t->rows.n; i++)
        map_put(lib->diag->arena, &t->row_of, 0, (uintptr_t)t->rows.at[i].key,
                (void *)(uintptr_t)(i + 1));
}

static void apply(struct library *lib, struct table *t, const struct node *n)
{
    struct arena *a = lib->diag->arena;
    const struct node *source = node_child(n, F_SOURCE);
    if (source && source->value_count) {
        t->source = source->values[0].name;
        t->recalled = node_flag(n, F_RECALLED);
    }
    for (const struct node *c = n->child; c; c = c->next) {
        if (c->broken || !c->value_count)
            continue;
        if (c->form == F_COLUMNS) {
            const char **columns = arena_array(a, const char *, c->value_count);
            for (unsigned i = 0; i < c->value_count; i++)
                columns[i] = c->values[i].kind == V_NAME ? c->values[i].name : "";
            t->columns = columns;
            t->column_count = c->value_count;
        } else if (c->form == F_ROW && c->alt == 1) {
            map_put(a, &t->settings, 0, (uintptr_t)c->values[0].name, (void *)&c->values[1]);
        } else if (c->form == F_ROW) {
            put_row(lib, t, c);
        } else if (c->form == F_ROW_WITHOUT) {
            take_row(lib, t, key_of(lib, &c->values[0]));
        }
    }
}

typedef VEC(const struct node *) said_list;

/* Files the statements of the block of an edition or amendment by the table that they speak of. */
static void index_block(struct library *lib, struct edition *e, const struct node *block)
{
    for (const struct node *c = block->child; c; c = c->next) {
        const char *name = c->form == F_ED_WITHOUT || c->form == F_TABLE || c->form == F_LIST
                               ? node_name(c, 0)
                               : NULL;
        if (!name)
            continue;
        said_list **list = (said_list **)map_at(lib->diag->arena, &e->said, 0, (uintptr_t)name);
        if (!*list)
            *list = arena_new(lib->diag->arena, said_list);
        *vec_push(lib->diag->arena, *list) = c;
    }
}

/* What an edition with its amendments says of a table, in their order; NULL: nothing. */
static const said_list *said_of(struct library *lib, struct edition *e, const char *name)
{
    if (!e->indexed) {
        index_block(lib, e, e->node);
        for (uint32_t i = 0; i < e->amendments.n; i++)
            index_block(lib, e, e->amendments.at[i]);
        e->indexed = true;
    }
    return map_find(&e->said, 0, name);
}

static struct table *apply_statement(struct library *lib, struct table *t, const struct node *n,
                                     const char *name)
{
    if (n->form == F_ED_WITHOUT)
        return NULL;
    if (!t) {
        t = arena_new(lib->diag->arena, struct table);
        t->name = name;
        t->is_list = n->form == F_LIST;
        t->place_of = arena_array(lib->diag->arena, uint16_t, BOOK_COLUMNS);
    }
    apply(lib, t, n);
    return t;
}

static struct table *copy_table(struct library *lib, const struct table *base)
{
    struct table *t = arena_new(lib->diag->arena, struct table);
    *t = *base;
    memset(&t->rows, 0, sizeof t->rows);
    memset(&t->row_of, 0, sizeof t->row_of);
    memset(&t->settings, 0, sizeof t->settings);
    t->place_of = arena_array(lib->diag->arena, uint16_t, BOOK_COLUMNS);
    for (uint32_t i = 0; i < base->rows.n; i++) {
        *vec_push(lib->diag->arena, &t->rows) = base->rows.at[i];
        map_put(lib->diag->arena, &t->row_of, 0, (uintptr_t)base->rows.at[i].key,
                (void *)(uintptr_t)(i + 1));
    }
    for (uint32_t i = 0; i < base->settings.cap; i++)
        if (base->settings.slot[i].value)
            map_put(lib->diag->arena, &t->settings, 0, base->settings.slot[i].b,
                    base->settings.slot[i].value);
    return t;
}

static const char absent;

struct table *edition_table(struct library *lib, struct edition *e, const char *name)
{
    void **at = map_at(lib->diag->arena, &e->tables, 0, (uintptr_t)name);
    if (*at)
        return *at == (void *)&absent ? NULL : *at;
    struct table *base = e->base ? edition_table(lib, (struct edition *)e->base, name) : NULL;
    const said_list *said = said_of(lib, e, name);
    struct table *t = base && said ? copy_table(lib, base)
                                   : base; /* one that nothing is said of is the base's own */
    for (uint32_t i = 0; said && i < said->n; i++)
        t = apply_statement(lib, t, said->at[i], name);
    map_put(lib->diag->arena, &e->tables, 0, (uintptr_t)name, t ? (void *)t : (void *)&absent);
    return t;
}

/* --- what C asks for ---------------------------------------------------------------------- */

struct table *code_find_table(struct code *c, enum book_table table)
{
    struct known_table *k = &c->tables[table];
    if (!k->sought) {
        const char *name = names_of(c->lib->names, book_tables[table].name);
        k->table = c->electrical ? edition_table(c->lib, c->electrical, name) : NULL;
        if (!k->table && c->residential)
            k->table = edition_table(c->lib, c->residential, name);
        k->sought = true;
    }
    return k->table;
}

RULE(library_incomplete, "library-incomplete", ERROR, FIRM,
     "the library has the tables that the work needs");

/* Once for each table and setting, when it is asked for. */
static void report_missing(struct code *c, bool *told, const char *what, const char *name)
{
    if (!c->electrical || *told)
        return;
    *told = true;
    struct span none = {0};
    diag_mend(
        c->lib->diag,
        diag_add(
            c->lib->diag, &rule_library_incomplete, none,
            "the library's edition %s has no %s '%s'; nothing that needs it could be worked out",
            c->electrical->name, what, name),
        "put it into the library, or into the plan with 'amend'; or name an edition that has it");
}

static void report_table(struct code *c, enum book_table table)
{
    report_missing(c, &c->tables[table].told, "table", book_tables[table].name);
}

struct table *code_table(struct code *c, enum book_table table)
{
    struct table *t = code_find_table(c, table);
    if (!t)
        report_table(c, table);
    return t;
}

static const struct value *some(const struct value *v)
{
    return v && v->kind == V_NAME && !strcmp(v->name, "none") ? NULL : v;
}

/* --- rows and cells */

const struct table_row *row_named(const struct table *t, const char *name)
{
    uintptr_t i = (uintptr_t)map_get(&t->row_of, 0, (uintptr_t)name);
    return i ? &t->rows.at[i - 1] : NULL;
}

const struct value *row_cell_at(const struct table_row *row, uint16_t place)
{
    return place < row->count ? some(&row->cells[place]) : NULL;
}

/* The place of a column in the table, found when it is first asked for; NOWHERE where the table has
 * none of the name. */
enum { NOWHERE = UINT16_MAX };

static uint16_t column_place(const struct table *t, enum book_column column)
{
    uint16_t *known = &t->place_of[column]; /* its place + 1 */
    if (!*known) {
        uint16_t i = 0;
        while (i < t->column_count && strcmp(t->columns[i], book_columns[column]) != 0)
            i++;
        *known = i < t->column_count ? (uint16_t)(i + 1) : NOWHERE;
    }
    return *known == NOWHERE ? NOWHERE : (uint16_t)(*known - 1);
}

const struct value *row_cell(const struct table *t, const struct table_row *row,
                             enum book_column column)
{
    return row_cell_at(row, column_place(t, column));
}

const struct value *table_cell(const struct table *t, const char *name, enum book_column column)
{
    const struct table_row *row = row_named(t, name);
    return row ? row_cell(t, row, column) : NULL;
}

const struct value *code_cell(struct code *c, const struct table *t, const char *key,
                              enum book_column column)
{
    return table_cell(t, names_of(c->lib->names, key), column);
}

/* --- settings */

const struct value *table_setting(const struct table *t, const char *name)
{
    return some(map_get(&t->settings, 0, (uintptr_t)name));
}

static struct known_setting *sought_setting(struct code *c, enum book_setting setting)
{
    struct known_setting *k = &c->settings[setting];
    if (!k->sought) {
        const struct table *t = code_find_table(c, book_settings[setting].table);
        const char *name = names_of(c->lib->names, book_settings[setting].name);
        const struct value *v = t ? map_get(&t->settings, 0, (uintptr_t)name) : NULL;
        *k = (struct known_setting){.value = some(v), .sought = true, .missing = !v};
    }
    return k;
}

const struct value *code_find_setting(struct code *c, enum book_setting setting)
{
    return sought_setting(c, setting)->value;
}

static const struct value *setting_of(struct code *c, enum book_setting setting)
{
    struct known_setting *k = sought_setting(c, setting);
    const struct table *t = k->missing ? code_table(c, book_settings[setting].table) : NULL;
    if (t && !k->told)
        report_missing(
            c, &k->told, "setting",
            arena_printf(c->lib->diag->arena, "%s %s", t->name, book_settings[setting].name));
    return k->value;
}

double code_setting(struct code *c, enum book_setting setting, double missing)
{
    return value_amount(setting_of(c, setting), missing);
}

length code_length(struct code *c, enum book_setting setting, length missing)
{
    const struct value *v = setting_of(c, setting);
    return v && v->kind == V_LENGTH ? v->n : missing;
}

const char *code_word(struct code *c, enum book_setting setting)
{
    const struct value *v = setting_of(c, setting);
    return v && (v->kind == V_NAME || v->kind == V_LUMBER || v->kind == V_SLASHED ||
                 v->kind == V_TEXT)
               ? v->name
               : NULL;
}

/* --- lists */

bool code_list_has_name(struct code *c, enum book_table list, const char *name)
{
    const struct table *t = code_table(c, list);
    return t && row_named(t, name);
}

bool code_list_has(struct code *c, enum book_table list, const char *word)
{
    return code_list_has_name(c, list, names_of(c->lib->names, word));
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
    const struct table *t = code_table(c, list);
    return t && table_kind(t, kind);
}

/* --- articles */

/* Each book has articles of its own: the electrical code's come first. */
static const char *article_of(struct code *c, const char *name)
{
    const char *articles = names_of(c->lib->names, book_tables[TABLE_ARTICLES].name);
    struct edition *both[] = {c->electrical, c->residential};
    for (int i = 0; i < 2; i++) {
        const struct table *t = both[i] ? edition_table(c->lib, both[i], articles) : NULL;
        if (!t)
            report_table(c, TABLE_ARTICLES);
        const struct value *v = t ? table_cell(t, name, COL_ARTICLE) : NULL;
        if (v && v->kind == V_TEXT)
            return arena_printf(c->lib->diag->arena, "%s %s", both[i]->label, v->name);
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

const char *code_row_article(struct code *c, enum book_table table, const char *row)
{
    const struct table *t = code_table(c, table);
    const struct value *v = t && row ? code_cell(c, t, row, COL_ARTICLE) : NULL;
    return v && v->kind == V_TEXT ? v->name : NULL;
}

/* --- ampacity */

/* The temperature of a column called "at-60"; 0 for all others. Asked for each cable of a plan:
 * cheaper than atoi. */
static int degrees_of(const char *column)
{
    static const char mark[] = "at-";
    int degrees = 0;
    for (size_t i = 0; i < sizeof mark - 1; i++)
        if (column[i] != mark[i])
            return 0;
    for (const char *p = column + sizeof mark - 1;
         *p >= '0' && *p <= '9' && degrees <= INT_MAX / 10 - 1; p++)
        degrees = 10 * degrees + *p - '0';
    return degrees;
}

/* The place of the column of the highest temperature that is not above the insulation's; NOWHERE
 * where all are above it. */
static uint16_t temperature_column(const struct table *t, int degrees)
{
    uint16_t best = NOWHERE;
    int highest = 0;
    for (uint16_t i = 0; i < t->column_count; i++) {
        int at = degrees_of(t->columns[i]);
        if (at > highest && at <= degrees) {
            highest = at;
            best = i;
        }
    }
    return best;
}

double code_ampacity(struct code *c, enum metal metal, const char *size, int degrees)
{
    const struct table *t =
        code_table(c, metal == COPPER ? TABLE_AMPACITY_COPPER : TABLE_AMPACITY_ALUMINIUM);
    uint16_t column =
        t ? temperature_column(t, degrees > 0 ? degrees
                                              : (int)code_setting(c, SET_TERMINALS_SMALL_AT, 0))
          : NOWHERE;
    const struct table_row *row = t && size ? row_named(t, size) : NULL;
    return row ? value_amount(row_cell_at(row, column), 0) : 0;
}
