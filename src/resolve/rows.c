/* Rows and grids of boxes alike: one statement becomes as many as it names, before anything reads
 * them. */
#include "diag/diag.h"
#include "resolve/matcher.h"
#include "resolve/node.h"

#include <stdlib.h>
#include <string.h>

/* What a row says: its boxes are called `stem` and a number, from `from` to `to`. */
struct row {
    const struct node *node;
    const char *stem;
    size_t stem_length;
    long from, to;
    bool grid;
    int64_t east, north; /* boxes of a grid in the two directions */
};

enum { MOST_IN_ROW = 400, MOST_DIGITS = 6 };

/* The number that a name ends in, and where it begins; -1 where it ends in none, or in one that
 * counting would not give. */
static long number_behind(const char *name, size_t *stem)
{
    size_t length = strlen(name), at = length;
    while (at && name[at - 1] >= '0' && name[at - 1] <= '9')
        at--;
    *stem = at;
    bool plain =
        at && at < length && length - at <= MOST_DIGITS && (name[at] != '0' || length - at == 1);
    return plain ? strtol(name + at, NULL, 10) : -1;
}

static struct finding *refuse(struct matcher *m, const struct node *n, unsigned from, unsigned to,
                              const char *message)
{
    struct span span = token_span(n->source, n->values[from].first, n->values[to].last);
    return diag_syntax(m->diag, &rule_syntax, span, "%s", message);
}

static bool read_names(struct matcher *m, struct row *row)
{
    const struct node *n = row->node;
    const char *first = node_name(n, 0), *last = node_name(n, 1);
    if (!first || !last)
        return false;
    size_t stem;
    row->from = number_behind(first, &row->stem_length);
    row->to = number_behind(last, &stem);
    row->stem = first;
    bool alike =
        row->from >= 0 && row->to >= 0 && stem == row->stem_length && !memcmp(first, last, stem);
    if (alike && row->to > row->from && row->to - row->from < MOST_IN_ROW)
        return true;
    bool too_many = alike && row->to > row->from, turned = alike && row->to < row->from;
    struct finding *f =
        too_many ? refuse(m, n, 0, 1, "a row has at most 400 boxes")
                 : refuse(m, n, 0, 1, "the boxes of a row are numbered upward behind one name");
    diag_mend(m->diag, f, "%s",
              too_many ? "write more rows than one"
              : turned ? arena_printf(m->diag->arena, "write '%s to %s'", last, first)
                       : "write the first and the last, as in R1 to R4");
    return false;
}

static bool count_grid(struct matcher *m, struct row *row)
{
    const struct node *n = row->node;
    if (!node_value(n, 3) || !node_value(n, 4))
        return false;
    row->east = n->values[3].n;
    row->north = n->values[4].n;
    int64_t all = row->to - row->from + 1;
    bool small =
        row->east >= 1 && row->north >= 1 && row->east <= MOST_IN_ROW && row->north <= MOST_IN_ROW;
    if (small && row->east * row->north == all)
        return true;
    struct finding *f = refuse(
        m, n, 0, 4,
        arena_printf(m->diag->arena, "%s to %s are %ld boxes, and %lld by %lld are %lld",
                     node_name(n, 0), node_name(n, 1), (long)all, (long long)row->east,
                     (long long)row->north, small ? (long long)(row->east * row->north) : 0LL));
    if (small)
        diag_mend(m->diag, f, "write '%s to %.*s%lld'", node_name(n, 0), (int)row->stem_length,
                  row->stem, (long long)(row->from + row->east * row->north - 1));
    return false;
}

static struct value counted(const struct value *like, int64_t n)
{
    return (struct value){.kind = V_INTEGER, .first = like->first, .last = like->last, .n = n};
}

/* The values that a box of its own would have, then how far it lies from the first: on a wall the
 * spacing and its number; overhead or on the floor two spacings and two numbers. */
static void give_values(struct matcher *m, struct node *box, const struct row *row, int64_t i)
{
    const struct value *v = row->node->values;
    struct value *to = box->values = arena_array(m->nodes, struct value, ROW_VALUES_GRID);
    to[0] = v[0];
    to[0].last = v[1].last;
    to[0].name = names_of(m->names, arena_printf(m->diag->arena, "%.*s%ld", (int)row->stem_length,
                                                 row->stem, row->from + (long)i));
    to[1] = v[2];
    if (!row->grid) {
        box->alt = PLACE_ON_WALL;
        box->value_count = ROW_VALUES_WALL;
        to[2] = v[3];
        to[3] = row->node->value_count > 5 ? v[5] : (struct value){0};
        to[4] = v[4];
        to[5] = counted(&v[4], i);
        return;
    }
    box->alt = PLACE_AT_POINT;
    box->value_count = ROW_VALUES_GRID;
    to[2] = v[5];
    to[3] = v[6];
    to[4] = v[7];
    to[5] = row->node->value_count > 8 && v[8].kind != V_NONE ? v[8] : v[7];
    to[6] = counted(&v[7], i % row->east);
    to[7] = counted(&v[7], i / row->east);
}

/* What stands in the block of a statement, in that of another: each node knows its own owner. */
static void copy_block(struct matcher *m, struct node *to, const struct node *from)
{
    for (const struct node *c = from->child; c; c = c->next) {
        struct node *copy = arena_new(m->nodes, struct node);
        *copy = *c;
        copy->parent = to;
        copy->next = copy->child = copy->last_child = NULL;
        copy_block(m, copy, c);
        match_attach(to, copy);
    }
}

/* A further box of the row: it has what stands in the block of the first. */
static void add_box(struct matcher *m, struct node *owner, const struct node *first)
{
    struct node *box = arena_new(m->nodes, struct node);
    *box = *first;
    box->next = box->child = box->last_child = NULL;
    copy_block(m, box, first);
    match_attach(owner, box);
}

void rows_spread(struct matcher *m, struct node *owner)
{
    struct node *first = owner->last_child, whole = *first;
    struct row row = {.node = &whole, .grid = whole.alt == 0};
    bool known = !whole.broken && read_names(m, &row) && (!row.grid || count_grid(m, &row));
    first->form = F_BOX;
    if (!known) { /* one that is in doubt stands for them all */
        first->broken = true;
        first->value_count = whole.value_count ? 1 : 0;
        return;
    }
    give_values(m, first, &row, 0);
    for (long i = 1; i <= row.to - row.from; i++) {
        add_box(m, owner, first);
        give_values(m, owner->last_child, &row, i);
    }
}
