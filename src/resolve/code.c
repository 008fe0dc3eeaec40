/* Tables of the editions: a later edition says only what changed, amendments of a plan change rows. */
#include "resolve/library.h"

#include <stdlib.h>
#include <string.h>

/* The key of a row as text: "14", "1/0", "15 A", "3/4 in". */
static const char *key_of(struct library *lib, const struct value *v)
{
    static const char *const units[] = {"", "in", "A", "V", "VA", "in3", "ft2", "kcmil", "%", "lb", "C", "ohm", "VA/ft2"};
    struct arena *a = lib->diag->arena;
    switch (v->kind) {
    case V_NAME: case V_SLASHED: case V_LUMBER: case V_TEXT: return names_of(lib->names, v->name);
    case V_INTEGER: return names_of(lib->names, arena_printf(a, "%lld", (long long)v->n));
    case V_NUMBER: return names_of(lib->names, arena_printf(a, "%g", (double)v->n / MILLION));
    case V_QUANTITY: return names_of(lib->names, arena_printf(a, "%g %s", (double)v->n / MILLION, units[v->dimension]));
    case V_LENGTH: return names_of(lib->names, arena_printf(a, "%g in", length_inches(v->n)));
    default: return names_of(lib->names, "");
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
        map_put(lib->diag->arena, &t->row_of, 0, (uintptr_t)t->rows.at[i].key, (void *)(uintptr_t)(i + 1));
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

/* Applies what the block of an edition or amendment says of the table. */
static struct table *apply_block(struct library *lib, struct table *t, const struct node *block, const char *name)
{
    for (const struct node *c = block->child; c; c = c->next) {
        const char *named = node_name(c, 0);
        if (named != name)
            continue;
        if (c->form == F_ED_WITHOUT) {
            t = NULL;
        } else if (c->form == F_TABLE || c->form == F_LIST) {
            if (!t) {
                t = arena_new(lib->diag->arena, struct table);
                t->name = name;
                t->is_list = c->form == F_LIST;
            }
            apply(lib, t, c);
        }
    }
    return t;
}

static struct table *copy_table(struct library *lib, const struct table *base)
{
    struct table *t = arena_new(lib->diag->arena, struct table);
    *t = *base;
    memset(&t->rows, 0, sizeof t->rows);
    memset(&t->row_of, 0, sizeof t->row_of);
    memset(&t->settings, 0, sizeof t->settings);
    for (uint32_t i = 0; i < base->rows.n; i++) {
        *vec_push(lib->diag->arena, &t->rows) = base->rows.at[i];
        map_put(lib->diag->arena, &t->row_of, 0, (uintptr_t)base->rows.at[i].key, (void *)(uintptr_t)(i + 1));
    }
    for (uint32_t i = 0; i < base->settings.cap; i++)
        if (base->settings.slot[i].value)
            map_put(lib->diag->arena, &t->settings, 0, base->settings.slot[i].b, base->settings.slot[i].value);
    return t;
}

static const char absent;

static struct table *edition_table(struct library *lib, struct edition *e, const char *name)
{
    void **at = map_at(lib->diag->arena, &e->tables, 0, (uintptr_t)name);
    if (*at)
        return *at == (void *)&absent ? NULL : *at;
    struct table *base = e->base ? edition_table(lib, (struct edition *)e->base, name) : NULL;
    struct table *t = apply_block(lib, base ? copy_table(lib, base) : NULL, e->node, name);
    for (uint32_t i = 0; i < e->amendments.n; i++)
        t = apply_block(lib, t, e->amendments.at[i], name);
    map_put(lib->diag->arena, &e->tables, 0, (uintptr_t)name, t ? (void *)t : (void *)&absent);
    return t;
}

struct table *code_find_table(struct code *c, const char *name)
{
    const char *interned = names_of(c->lib->names, name);
    struct table *t = c->electrical ? edition_table(c->lib, c->electrical, interned) : NULL;
    return t || !c->residential ? t : edition_table(c->lib, c->residential, interned);
}

static void report_missing(struct code *c, const char *name, const char *what)
{
    if (!c->electrical)
        return;
    void **seen = map_at(c->lib->diag->arena, &c->missing, 0, (uintptr_t)names_of(c->lib->names, name));
    if (*seen)
        return;
    *seen = c;
    struct span none = {0};
    diag_mend(c->lib->diag, diag_add(c->lib->diag, R_LIBRARY, none, "the library's edition %s has no %s '%s'; nothing that needs it could be worked out", c->electrical->name, what, name),
              "put it into the library, or into the plan with 'amend'; or name an edition that has it");
}

struct table *code_table(struct code *c, const char *name)
{
    struct table *t = code_find_table(c, name);
    if (!t)
        report_missing(c, name, "table");
    return t;
}

static const struct value *some(const struct value *v)
{
    return v && v->kind == V_NAME && !strcmp(v->name, "none") ? NULL : v;
}

const struct value *row_cell(struct code *c, const struct table *t, const struct table_row *row, const char *column)
{
    const char *interned = names_of(c->lib->names, column);
    for (uint16_t i = 0; i < t->column_count && i < row->count; i++)
        if (t->columns[i] == interned)
            return some(&row->cells[i]);
    return NULL;
}

const struct value *table_cell(struct code *c, const struct table *t, const char *key, const char *column)
{
    uintptr_t i = (uintptr_t)map_get(&t->row_of, 0, (uintptr_t)names_of(c->lib->names, key));
    return i ? row_cell(c, t, &t->rows.at[i - 1], column) : NULL;
}

const struct value *table_setting(struct code *c, const struct table *t, const char *name)
{
    return some(map_get(&t->settings, 0, (uintptr_t)names_of(c->lib->names, name)));
}

static const struct value *setting_of(struct code *c, const char *table, const char *setting)
{
    struct table *t = code_table(c, table);
    if (!t)
        return NULL;
    if (!map_get(&t->settings, 0, (uintptr_t)names_of(c->lib->names, setting)))
        report_missing(c, arena_printf(c->lib->diag->arena, "%s %s", table, setting), "setting");
    return table_setting(c, t, setting);
}

double code_setting(struct code *c, const char *table, const char *setting, double missing)
{
    return value_amount(setting_of(c, table, setting), missing);
}

length code_length(struct code *c, const char *table, const char *setting, length missing)
{
    const struct value *v = setting_of(c, table, setting);
    return v && v->kind == V_LENGTH ? v->n : missing;
}

const char *code_word(struct code *c, const char *table, const char *setting)
{
    const struct value *v = setting_of(c, table, setting);
    return v && (v->kind == V_NAME || v->kind == V_LUMBER || v->kind == V_SLASHED || v->kind == V_TEXT) ? v->name : NULL;
}

bool code_list_has(struct code *c, const char *list, const char *word)
{
    struct table *t = code_table(c, list);
    return t && map_get(&t->row_of, 0, (uintptr_t)names_of(c->lib->names, word));
}

const char *table_kind(struct code *c, const struct table *t, const struct kind_def *kind)
{
    for (; kind; kind = kind->base)
        if (map_get(&t->row_of, 0, (uintptr_t)names_of(c->lib->names, kind->name)))
            return kind->name;
    return NULL;
}

bool code_list_has_kind(struct code *c, const char *list, const struct kind_def *kind)
{
    struct table *t = code_table(c, list);
    return t && table_kind(c, t, kind);
}

const char *code_article(struct code *c, const char *rule)
{
    static const char articles[] = "articles";
    struct edition *both[] = {c->electrical, c->residential};
    for (int i = 0; i < 2; i++) {
        struct table *t = both[i] ? edition_table(c->lib, both[i], names_of(c->lib->names, articles)) : NULL;
        if (!t)
            report_missing(c, articles, "table");
        const struct value *v = t ? table_cell(c, t, rule, "article") : NULL;
        if (v && v->kind == V_TEXT)
            return arena_printf(c->lib->diag->arena, "%s %s", both[i]->label, v->name);
    }
    return NULL;
}

const char *code_row_article(struct code *c, const char *table, const char *row)
{
    const struct table *t = code_table(c, table);
    const struct value *v = t && row ? table_cell(c, t, row, "article") : NULL;
    return v && v->kind == V_TEXT ? v->name : NULL;
}

/* The column of the highest temperature that is not above the insulation's: columns are called "at-" and their temperature. NULL where all are above it. */
static const char *temperature_column(const struct table *t, int degrees)
{
    const char *best = NULL;
    int highest = 0;
    for (uint16_t i = 0; i < t->column_count; i++) {
        static const char mark[] = "at-";
        int at = strncmp(t->columns[i], mark, sizeof mark - 1) ? 0 : atoi(t->columns[i] + sizeof mark - 1);
        if (at > highest && at <= degrees) {
            highest = at;
            best = t->columns[i];
        }
    }
    return best;
}

double code_ampacity(struct code *c, enum metal metal, const char *size, int degrees)
{
    struct table *t = code_table(c, metal == COPPER ? "ampacity-copper" : "ampacity-aluminium");
    const char *column = t ? temperature_column(t, degrees > 0 ? degrees : (int)code_setting(c, "terminals", "small-at", 0)) : NULL;
    return column && size ? value_amount(table_cell(c, t, size, column), 0) : 0;
}
