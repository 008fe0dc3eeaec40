/* Where the tree of a circuit is cut, so that it fits the paper. */
#include "sheets/circuits/tree.h"

bool tree_goes_on(const struct tree *t, const struct node *n, uint32_t column)
{
    return column + 1 < t->columns && !n->cut;
}

/* No deeper than the paper has columns. */
um tree_reach(const struct tree *t, uint32_t node, uint32_t column)
{
    const struct node *n = &t->nodes.at[node];
    um high = 0;
    for (uint32_t i = 0; i < n->count && tree_goes_on(t, n, column); i++)
        high += (i ? TREE_APART : 0) + tree_reach(t, t->behind[n->first + i], column + 1);
    return high > n->room ? high : n->room;
}

/* What is behind the node goes on in a strip of its own. */
static void cut(struct tree *t, uint32_t node)
{
    struct node *n = &t->nodes.at[node];
    n->cut = ++t->cuts;
    *vec_push(t->set->r->arena, &t->strips) = (struct strip){.root = node, .from = n->cut};
}

static void cut_last_column(struct tree *t, uint32_t node, uint32_t column)
{
    const struct node *n = &t->nodes.at[node];
    if (!n->cut && column + 1 == t->columns && n->count)
        cut(t, node);
    for (uint32_t i = 0; i < n->count && tree_goes_on(t, n, column); i++)
        cut_last_column(t, t->behind[n->first + i], column + 1);
}

/* A root that stands there again has a circle over it, one that goes on has one below. */
static um room_of_root(const struct node *n, const struct strip *s)
{
    um high = s->from ? 2 * TREE_PAD + CAPS_WORDS : n->high;
    return high + (s->from || s->on ? 4 * TREE_ROUND + 4 * MM : 0);
}

/* As many of the nodes behind its root as the paper is high; the others begin another strip. */
static void fill(struct tree *t, uint32_t at)
{
    struct strip s = t->strips.at[at];
    const struct node *root = &t->nodes.at[s.root];
    for (uint32_t i = s.first; i < root->count; i++) {
        uint32_t node = t->behind[root->first + i];
        um more = tree_reach(t, node, 1);
        if (more > t->high && t->nodes.at[node].count) {
            cut(t, node);
            more = t->nodes.at[node].room;
        }
        more += s.high ? TREE_APART : 0;
        if (s.count && s.high + more > t->high)
            break;
        s.high += more;
        s.count++;
        cut_last_column(t, node, 1);
    }
    if (s.first + s.count < root->count) {
        s.on = ++t->cuts;
        *vec_push(t->set->r->arena, &t->strips) =
            (struct strip){.root = s.root, .first = s.first + s.count, .from = s.on};
    }
    um least = room_of_root(root, &s);
    s.high = s.high > least ? s.high : least;
    t->strips.at[at] = s;
}

void tree_part(struct tree *t, uint32_t columns, um high)
{
    t->columns = columns > 1 ? columns : 2;
    t->high = high;
    for (uint32_t i = 0; i < t->strips.n; i++)
        fill(t, i);
}
