/* Tables of the editions: a later edition says only what changed, amendments of a plan change rows.
 */
#include "base/names.h"
#include "diag/diag.h"
#include "resolve/library.h"
#include "resolve/node.h"
#include "resolve/tables.h"
#include "resolve/value.h"

#include <limits.h>
#include <string.h>

/* The key of a row as text: "14", "1/0", "15 A", "120/240 V", "3/4 in". */
const char *tables_key(struct library *lib, const struct value *v)
{
    static const char *const units[] = {"",      "in", "A",  "V", "VA",  "in3",    "ft2",
                                        "kcmil", "%",  "lb", "C", "ohm", "VA/ft2", "min"};
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
        if (v->low)
            return names_of(lib->names, arena_printf(a, "%u/%g %s", v->low, (double)v->n / MILLION,
                                                     units[v->dimension]));
        return names_of(lib->names,
                        arena_printf(a, "%g %s", (double)v->n / MILLION, units[v->dimension]));
    case V_LENGTH:
        return names_of(lib->names, arena_printf(a, "%g in", length_inches(v->n)));
    default:
        return names_of(lib->names, "");
    }
}

enum { LAST_MARK = CHAR_BIT * sizeof(uint64_t) - 1 };
static const uint64_t all_cells = ~(uint64_t)0;

/* The mark of a cell; those beyond the last share one. */
uint64_t tables_mark(uint16_t place)
{
    return (uint64_t)1 << (place < LAST_MARK ? place : LAST_MARK);
}

/* The marks of a row that a recalled statement puts in place of another: of what it changes; it has
 * to repeat the rest, which keeps the marks it had. One that changes nothing is written for its
 * mark. */
static uint64_t marks_over(struct library *lib, const struct table_row *old, const struct node *n)
{
    uint64_t changed = 0, kept = 0;
    for (uint16_t i = 0; i < n->value_count; i++)
        if (i < old->count && tables_key(lib, &old->cells[i]) == tables_key(lib, &n->values[i]))
            kept |= old->recalled & tables_mark(i);
        else
            changed |= tables_mark(i);
    return changed ? changed | kept : all_cells;
}

static void put_row(struct library *lib, struct table *t, const struct node *n, bool recalled)
{
    const char *key = tables_key(lib, &n->values[0]);
    void **at = map_at(lib->diag->arena, &t->row_of, 0, (uintptr_t)key);
    struct table_row row = {key, n, n->values, n->value_count, recalled ? all_cells : 0};
    if (*at && recalled && !node_child(n->parent, F_COLUMNS))
        row.recalled = marks_over(lib, &t->rows.at[(uintptr_t)*at - 1], n);
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

static void mark_setting(struct library *lib, struct table *t, uintptr_t name, bool recalled)
{
    *map_at(lib->diag->arena, &t->recalled_settings, 0, name) = recalled ? t : NULL;
}

static void mark_whole(struct library *lib, struct table *t, bool recalled)
{
    t->recalled = recalled;
    for (uint32_t i = 0; i < t->rows.n; i++)
        t->rows.at[i].recalled = recalled ? all_cells : 0;
    for (uint32_t i = 0; i < t->settings.cap; i++)
        if (t->settings.slot[i].value)
            mark_setting(lib, t, t->settings.slot[i].b, recalled);
}

static bool says_figures(const struct node *n)
{
    for (const struct node *c = n->child; c; c = c->next)
        if (c->form == F_ROW || c->form == F_ROW_WITHOUT)
            return true;
    return false;
}

/* A statement speaks of the whole table where it has no rows; recalled, where it names another
 * source too: then no figure is known to stand there. Else it speaks of its rows alone. */
static void take_source(struct library *lib, struct table *t, const struct node *n)
{
    const struct node *source = node_child(n, F_SOURCE);
    if (!source || !source->value_count)
        return;
    const char *name = source->values[0].name;
    bool recalled = node_flag(n, F_RECALLED), other = !t->source || strcmp(t->source, name);
    t->source = name;
    if (!says_figures(n) || (recalled && other))
        mark_whole(lib, t, recalled);
}

static void apply(struct library *lib, struct table *t, const struct node *n)
{
    struct arena *a = lib->diag->arena;
    bool recalled = node_flag(n, F_RECALLED);
    take_source(lib, t, n);
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
            mark_setting(lib, t, (uintptr_t)c->values[0].name, recalled);
        } else if (c->form == F_ROW) {
            put_row(lib, t, c, recalled);
        } else if (c->form == F_ROW_WITHOUT) {
            take_row(lib, t, tables_key(lib, &c->values[0]));
            t->recalled |= recalled;
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

static void index_edition(struct library *lib, struct edition *e)
{
    if (e->indexed)
        return;
    index_block(lib, e, e->node);
    for (uint32_t i = 0; i < e->amendments.n; i++)
        index_block(lib, e, e->amendments.at[i]);
    e->indexed = true;
}

/* What an edition with its amendments says of a table, in their order; NULL: nothing. */
static const said_list *said_of(struct library *lib, struct edition *e, const char *name)
{
    index_edition(lib, e);
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
    t->settings = map_copy(lib->diag->arena, &base->settings);
    t->recalled_settings = map_copy(lib->diag->arena, &base->recalled_settings);
    for (uint32_t i = 0; i < base->rows.n; i++) {
        *vec_push(lib->diag->arena, &t->rows) = base->rows.at[i];
        map_put(lib->diag->arena, &t->row_of, 0, (uintptr_t)base->rows.at[i].key,
                (void *)(uintptr_t)(i + 1));
    }
    return t;
}

static const char absent;

static struct table *present(void *table)
{
    return table == (void *)&absent ? NULL : table;
}

static bool is_amended(const struct edition *e)
{
    while (e && !e->amendments.n)
        e = e->base;
    return e;
}

struct table *edition_table(struct library *lib, struct edition *e, const char *name)
{
    if (e->shared && !is_amended(e))
        return present(map_find(&e->shared->tables, 0, name));
    void **at = map_at(lib->diag->arena, &e->tables, 0, (uintptr_t)name);
    if (*at)
        return present(*at);
    struct table *base = e->base ? edition_table(lib, (struct edition *)e->base, name) : NULL;
    const said_list *said = said_of(lib, e, name);
    struct table *t = base && said ? copy_table(lib, base)
                                   : base; /* one that nothing is said of is the base's own */
    for (uint32_t i = 0; said && i < said->n; i++)
        t = apply_statement(lib, t, said->at[i], name);
    map_put(lib->diag->arena, &e->tables, 0, (uintptr_t)name, t ? (void *)t : (void *)&absent);
    return t;
}

void library_merge_tables(struct library *lib)
{
    for (uint32_t i = 0; i < lib->edition_list.n; i++) {
        struct edition *e = lib->edition_list.at[i];
        for (struct edition *from = e; from; from = (struct edition *)from->base) {
            index_edition(lib, from);
            for (uint32_t k = 0; k < from->said.cap; k++)
                if (from->said.slot[k].value)
                    edition_table(lib, e, (const char *)from->said.slot[k].b);
        }
    }
}
