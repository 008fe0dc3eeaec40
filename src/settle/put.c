/* Where in the text of a statement something is put in: on its line, or on a line of its own where
 * its clauses stand so. Nothing of the text is taken away. */
#include "settle/work.h"

#include "resolve/value.h"
#include "syntax/token.h"

#include <string.h>

const char *settle_length(struct arena *arena, length l)
{
    const length finest = INCH / 64;
    return length_words(arena, (l + finest - 1) / finest * finest);
}

static struct editing editing_of(struct settling *s)
{
    return (struct editing){s->arena, &s->out->edits};
}

const char *settle_source_text(struct settling *s, const struct node *n, unsigned value)
{
    struct span at = value_span(n, &n->values[value]);
    return arena_copy(s->arena, at.source->bytes + at.off, at.len);
}

/* --- chains ------------------------------------------------------------------------------- */

/* What is written of a hop, each word behind a blank. */
static const char *words_of_hop(struct settling *s, const struct statement *hop)
{
    const char *words = "";
    for (int sort = 0; sort < SETTLE_SORTS; sort++)
        if (hop->written[sort])
            words = arena_printf(s->arena, "%s %s", words, hop->text[sort]);
    return words;
}

static uint32_t end_of(const struct node *n, uint32_t token)
{
    return n->source->tokens[token].off + n->source->tokens[token].len;
}

/* Words of single hops stand in parentheses behind their boxes: so do those that are added. */
static void put_in_groups(struct settling *s, const struct statement *t)
{
    const struct node *n = t->node, *group = node_child(n, F_HOP);
    for (unsigned i = 1; i < n->value_count; i++) {
        const char *words = words_of_hop(s, t->hops[i - 1]);
        while (group && (group->form != F_HOP || group->values[0].n < i))
            group = group->next;
        bool there = group && group->values[0].n == i;
        if (!*words)
            continue;
        if (there)
            edit_put(editing_of(s), n->source, n->source->tokens[group->last].off, 0, words);
        else
            edit_put(editing_of(s), n->source, end_of(n, n->values[i].last), 0,
                     arena_printf(s->arena, " (%s)", words + 1));
    }
}

/* A length is of one hop: the chain stays one, which is pulled as one (cuts). */
static bool has_words_of_hops(const struct statement *t)
{
    const struct node *n = t->node;
    bool has = node_child(n, F_HOP);
    for (unsigned i = 1; i < n->value_count && n->value_count > 2; i++)
        has |= t->hops[i - 1]->written[SETTLE_LENGTHS];
    return has;
}

/* One run says of all its hops what stands behind it. */
static void put_in_chain(struct settling *s, const struct statement *t)
{
    const struct node *n = t->node;
    unsigned hops = n->value_count - 1u;
    const char *of_all = hops > 1 ? edit_chain_words(s->arena, n) : "",
               *words = words_of_hop(s, t->hops[0]);
    for (unsigned i = 1; i < hops; i++) {
        const char *next = words_of_hop(s, t->hops[i]);
        if (strcmp(words, next) != 0)
            edit_part_chain(editing_of(s), n, i, arena_printf(s->arena, "%s%s", words, of_all));
        words = next;
    }
    if (*words)
        edit_on_line(editing_of(s), n, words + 1);
}

/* ------------------------------------------------------------------------------------------ */

void settle_put_in(struct settling *s, struct statement *t)
{
    const struct node *n = t->node;
    if (t->hops && has_words_of_hops(t))
        put_in_groups(s, t);
    else if (t->hops)
        put_in_chain(s, t);
    for (int sort = 0; sort < SETTLE_SORTS; sort++) {
        s->out->counts[sort] += t->written[sort];
        if (!t->written[sort] || t->hop)
            continue;
        if (sort == SETTLE_PLACES)
            edit_value(editing_of(s), n, PLACE_AT, t->text[sort]);
        else if (n->form == F_BOX)
            edit_in_box(editing_of(s), n, t->text[sort]);
        else if (n->form == F_CIRCUIT)
            edit_in_circuit(editing_of(s), n, t->text[sort]);
        else
            edit_on_line(editing_of(s), n, t->text[sort]);
    }
}
