/* Amendments: what the plan changes of the books that it is checked by, and slips in them. A table,
 * setting or row that no edition has changes nothing, and that is said: an amendment that is not
 * heard would let something stand, or forbid it, without a word. */
#include "model/build.h"
#include "resolve/schema.h"

#include <string.h>

/* What all editions of the library have: tables, their settings and rows. */
struct known {
    struct map things;  /* (table, 0), (table, setting), (table, row) */
    struct map columns; /* (0, table) -> the node that names its columns */
    near_list names;    /* of the tables */
    struct schema schema;
};

/* A row's key as one word: equal keys are equal. */
static uintptr_t row_key(const struct value *v)
{
    bool named =
        v->kind == V_NAME || v->kind == V_SLASHED || v->kind == V_LUMBER || v->kind == V_TEXT;
    return named ? (uintptr_t)v->name : (uintptr_t)v->n * 2 + 1; /* names are even */
}

static void gather_table(struct builder *b, struct known *k, const struct node *table)
{
    uintptr_t name = (uintptr_t)node_name(table, 0);
    if (!map_get(&k->things, name, 0)) {
        map_put(b->arena, &k->things, name, 0, (void *)table);
        near_add(b->arena, &k->names, node_name(table, 0));
    }
    for (const struct node *c = table->child; c; c = c->next) {
        if (c->form == F_COLUMNS && !map_get(&k->columns, 0, name))
            map_put(b->arena, &k->columns, 0, name, (void *)c);
        if (c->form == F_ROW && c->value_count)
            map_put(b->arena, &k->things, name, row_key(&c->values[0]), (void *)c);
    }
}

static void gather(struct builder *b, struct known *k)
{
    const struct library *lib = b->m->lib;
    k->schema = schema_of(b->m->lib);
    for (uint32_t i = 0; i < lib->edition_list.n; i++)
        for (const struct node *c = lib->edition_list.at[i]->node->child;
             c && !lib->edition_list.at[i]->of_plan; c = c->next)
            if ((c->form == F_TABLE || c->form == F_LIST) && node_name(c, 0))
                gather_table(b, k, c);
}

static bool same_columns(const struct node *a, const struct node *b)
{
    bool same = a->value_count == b->value_count;
    for (unsigned i = 0; same && i < a->value_count; i++)
        same = a->values[i].kind == V_NAME && b->values[i].kind == V_NAME &&
               a->values[i].name == b->values[i].name;
    return same;
}

static const char *column_words(struct builder *b, const struct node *columns)
{
    const char *words = "";
    for (unsigned i = 0; i < columns->value_count; i++)
        words = arena_printf(b->arena, "%s%s%s", words, i ? ", " : "",
                             columns->values[i].kind == V_NAME ? columns->values[i].name : "?");
    return words;
}

/* A setting, or a row to take away, that no edition has; the nearest that one has is what was
 * meant. */
static void say_absent(struct builder *b, const struct node *table, const struct node *c,
                       bool setting)
{
    const char *name = node_name(table, 0);
    const struct value *key = &c->values[0];
    struct nearest near = nearest_to(key->kind == V_NAME ? key->name : "");
    const struct library *lib = b->m->lib;
    for (uint32_t i = 0; i < lib->edition_list.n; i++)
        for (const struct node *t = lib->edition_list.at[i]->node->child; t; t = t->next)
            for (const struct node *line = node_name(t, 0) == name ? t->child : NULL; line;
                 line = line->next)
                if (line->form == F_ROW && line->value_count && line->values[0].kind == V_NAME &&
                    setting == (line->alt == 1))
                    nearest_try(&near, line->values[0].name);
    struct finding *f =
        diag_add(b->diag, &rule_unknown_name, value_span(c, key),
                 setting ? "table '%s' has no such setting in any edition; it would change nothing"
                         : "'%s' has no such row in any edition; nothing is taken away",
                 name);
    bool one;
    const char *meant = nearest_in_words(b->arena, &near, &one);
    diag_mend_nearest(b->diag, f, &near);
    if (meant && !setting && one)
        diag_mend_words(b->diag, f, "write 'without %s'", near.found);
    else if (meant && !setting)
        diag_mend_words(b->diag, f, "after 'without' write %s", meant);
    else if (!meant)
        diag_mend(b->diag, f, "write it as the library's table does, in stdlib/editions");
}

static void check_line(struct builder *b, struct known *k, const struct node *table,
                       struct map *lines, const struct node *c)
{
    const char *name = node_name(table, 0);
    const struct node *columns = map_get(&k->columns, 0, (uintptr_t)name);
    bool setting = c->form == F_ROW && c->alt == 1, row = c->form == F_ROW && !setting;
    struct diag *d = b->diag;
    if (c->form == F_COLUMNS && columns && !same_columns(c, columns))
        diag_mend(d,
                  diag_add(d, &rule_syntax, node_span(c),
                           "the columns of table '%s' are %s; an amendment does not change them",
                           name, column_words(b, columns)),
                  "leave 'columns' out");
    else if (row && table->form == F_TABLE && columns && c->value_count != columns->value_count)
        diag_mend(d,
                  diag_add(d, &rule_syntax, node_span(c), "a row of table '%s' has %u cells: %s",
                           name, columns->value_count, column_words(b, columns)),
                  "write the whole row, its key first");
    else if ((setting || c->form == F_ROW_WITHOUT) &&
             !map_get(&k->things, (uintptr_t)name, row_key(&c->values[0])))
        say_absent(b, table, c, setting);
    else if (c->form == F_ROW)
        schema_check_line(&k->schema, table, columns, lines, c);
}

/* Of a line that changes or takes away one of the library, which that is. */
static void mention_line(struct builder *b, struct known *k, const struct node *table,
                         const struct node *c)
{
    const struct node *known =
        c->form == F_ROW || c->form == F_ROW_WITHOUT
            ? map_get(&k->things, (uintptr_t)node_name(table, 0), row_key(&c->values[0]))
            : NULL;
    if (known)
        mention_figure(b->m->lib->mentions, c, &c->values[0], known);
}

/* One table of an amendment; whether it is one that the editions have. */
static bool check_table(struct builder *b, struct known *k, const struct node *table)
{
    const char *name = node_name(table, 0);
    const struct node *known = map_get(&k->things, (uintptr_t)name, 0);
    if (known)
        build_mention(b, table, node_value(table, 0), 0, MENTION_TABLE, NULL, known);
    if (!known) {
        build_unknown(b, node_name_span(table),
                      table->form == F_LIST ? "list of the editions called"
                                            : "table of the editions called",
                      name, (struct among){{&k->names}});
        return false;
    }
    struct map lines = {0};
    for (const struct node *c = table->child; c; c = c->next)
        if (!c->broken && c->value_count) {
            check_line(b, k, table, &lines, c);
            mention_line(b, k, table, c);
        }
    return true;
}

static void read_amendment(struct builder *b, struct known *k, const struct edition *e,
                           const struct node *n)
{
    const struct value *because = node_value(n, 1);
    uint32_t count = 0;
    for (const struct node *c = n->child; c; c = c->next)
        count++;
    struct amendment a = {.edition = e,
                          .because = because && because->kind == V_TEXT ? because->name : "",
                          .tables = arena_array(b->arena, const char *, count + 1)};
    for (const struct node *c = n->child; c; c = c->next) {
        bool table = c->form == F_TABLE || c->form == F_LIST || c->form == F_ED_WITHOUT;
        if (!table || c->broken || !node_name(c, 0) || !check_table(b, k, c))
            continue;
        bool twice = false;
        for (uint32_t i = 0; i < a.table_count; i++)
            twice |= a.tables[i] == node_name(c, 0);
        if (!twice)
            a.tables[a.table_count++] = node_name(c, 0);
    }
    *vec_push(b->arena, &b->m->amendments) = a;
}

/* Whether the plan is checked by the edition, or by one that is based on it. */
static bool counts(const struct code *c, const struct edition *e)
{
    const struct edition *books[] = {c->electrical, c->residential};
    for (int i = 0; i < 2; i++)
        for (const struct edition *book = books[i]; book; book = book->base)
            if (book == e)
                return true;
    return false;
}

/* What an edition of the plan says: a book of its own, or tables that it has from its base. */
static void check_edition(struct builder *b, struct known *k, const struct edition *e)
{
    if (!k->names.names.n)
        gather(b, k);
    if (!e->base)
        schema_check_edition(&k->schema, e);
    for (const struct node *c = e->base ? e->node->child : NULL; c; c = c->next)
        if ((c->form == F_TABLE || c->form == F_LIST || c->form == F_ED_WITHOUT) && !c->broken &&
            node_name(c, 0))
            check_table(b, k, c);
}

void build_amendments(struct builder *b)
{
    const struct library *lib = b->m->lib;
    struct known known = {0};
    for (uint32_t i = 0; i < lib->edition_list.n; i++) {
        const struct edition *e = lib->edition_list.at[i];
        if (e->of_plan)
            check_edition(b, &known, e);
        for (uint32_t k = 0; k < e->amendments.n; k++) {
            if (!known.names.names.n)
                gather(b, &known);
            if (counts(&b->m->code, e))
                read_amendment(b, &known, e, e->amendments.at[k]);
            else
                diag_mend(b->diag,
                          diag_add(b->diag, &rule_unused_definition,
                                   node_name_span(e->amendments.at[k]),
                                   "this amends %s, and the plan is not checked by it", e->name),
                          "amend the edition that the plan names");
        }
    }
}
