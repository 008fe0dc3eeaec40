/* Where in the text of a statement something is put in: on its line, or on a line of its own where
 * its clauses stand so. Nothing of the text is taken away. */
#include "settle/work.h"

#include "base/buf.h"
#include "resolve/value.h"
#include "syntax/token.h"

#include <string.h>

const char *settle_length(struct arena *arena, length l)
{
    const length finest = INCH / 64;
    return length_words(arena, (l + finest - 1) / finest * finest);
}

/* --- the text ----------------------------------------------------------------------------- */

static const struct source_token *token_of(const struct node *n, uint32_t token)
{
    return &n->source->tokens[token];
}

static uint32_t end_of(const struct node *n, uint32_t token)
{
    return token_of(n, token)->off + token_of(n, token)->len;
}

/* The bytes before the token on its line; NULL where another token stands there. */
static const char *indent_of(struct settling *s, const struct node *n, uint32_t token)
{
    const char *bytes = n->source->bytes;
    uint32_t off = token_of(n, token)->off, from = off;
    while (from && (bytes[from - 1] == ' ' || bytes[from - 1] == '\t'))
        from--;
    return !from || bytes[from - 1] == '\n' ? arena_copy(s->arena, bytes + from, off - from) : NULL;
}

static bool ends_line(const struct node *n, uint32_t token)
{
    const struct source_token *next = token_of(n, token + 1);
    return next->kind != T_EOF && next->flags & TOKEN_NEWLINE;
}

/* The end of the line of a token that ends its line: before the newline, and behind it. */
static uint32_t line_end(const struct node *n, uint32_t token, const char **newline)
{
    uint32_t off = end_of(n, token);
    while (off < n->source->size && n->source->bytes[off] != '\n')
        off++;
    bool two = off && n->source->bytes[off - 1] == '\r';
    *newline = two ? "\r\n" : "\n";
    return off - two;
}

/* The brace that closes the block behind the line of a statement, or its last token where it has
 * no block. */
static uint32_t block_end(const struct node *n)
{
    const struct source_token *t = n->source->tokens;
    uint32_t at = n->last + 1, depth = 0;
    if (t[at].kind != T_OPEN)
        return n->last;
    for (;; at++) {
        depth += t[at].kind == T_OPEN;
        depth -= t[at].kind == T_CLOSE;
        if (!depth || t[at].kind == T_EOF)
            return at;
    }
}

/* --- boxes and circuits ------------------------------------------------------------------- */

static void put_on_line(struct settling *s, const struct node *n, const char *text)
{
    settle_put(s, n, end_of(n, n->last), 0, arena_printf(s->arena, " %s", text));
}

/* The first line of its block where that has lines of its own, else behind what stands on its line.
 */
static void put_in_box(struct settling *s, const struct node *n, const char *text)
{
    const char *indent = indent_of(s, n, n->first);
    uint32_t open = n->last + 1;
    if (!indent || token_of(n, open)->kind != T_OPEN || !ends_line(n, open)) {
        put_on_line(s, n, text);
        return;
    }
    const char *newline, *inner = indent_of(s, n, open + 1);
    uint32_t off = line_end(n, open, &newline);
    inner = inner && token_of(n, open + 1)->kind != T_CLOSE
                ? inner
                : arena_printf(s->arena, "%s  ", indent);
    settle_put(s, n, off, 0, arena_printf(s->arena, "%s%s%s", newline, inner, text));
}

/* Behind its breaker. */
static void put_in_circuit(struct settling *s, const struct node *n, const char *text)
{
    const struct node *breaker = node_child(n, F_BREAKER);
    bool in_block = breaker && breaker->source == n->source && breaker->first > n->last &&
                    breaker->first < block_end(n);
    if (!in_block) { /* clauses of a line follow one another without a sign */
        const char *more = strchr(text, ';');
        put_on_line(s, n,
                    more ? arena_printf(s->arena, "%.*s%s", (int)(more - text), text, more + 1)
                         : text);
        return;
    }
    const char *indent = indent_of(s, n, breaker->first), *newline;
    if (!indent || !ends_line(n, breaker->last)) {
        settle_put(s, n, end_of(n, breaker->last), 0, arena_printf(s->arena, "; %s", text));
        return;
    }
    uint32_t off = line_end(n, breaker->last, &newline);
    settle_put(s, n, off, 0, arena_printf(s->arena, "%s%s%s", newline, indent, text));
}

const char *settle_source_text(struct settling *s, const struct node *n, unsigned value)
{
    struct span at = value_span(n, &n->values[value]);
    return arena_copy(s->arena, at.source->bytes + at.off, at.len);
}

static void put_place(struct settling *s, const struct node *n, const char *text)
{
    struct span at = value_span(n, &n->values[2]);
    settle_put(s, n, at.off, at.len, text);
}

/* --- chains ------------------------------------------------------------------------------- */

/* What each hop of the chain says: the words behind its boxes. */
static const char *words_of_chain(struct settling *s, const struct node *n)
{
    struct buf b = {0};
    for (uint32_t t = n->values[n->value_count - 1].last + 1; t <= n->last; t++) {
        const struct source_token *token = token_of(n, t);
        if (token->flags & (TOKEN_SPACED | TOKEN_NEWLINE))
            buf_putc(&b, ' ');
        buf_add(&b, n->source->bytes + token->off, token->len);
    }
    const char *text = arena_copy(s->arena, b.n ? b.at : "", b.n);
    buf_free(&b);
    return text;
}

/* The box at a value of a chain with its room, as a chain of its own would begin with it. */
static const char *start_at(struct settling *s, const struct node *n, unsigned i)
{
    unsigned named = i;
    while (named && n->values[named].kind != V_REF)
        named--;
    const struct value *v = &n->values[named];
    struct buf b = {0};
    for (unsigned k = 0; v->kind == V_REF && k + (named < i) < v->ref->count; k++)
        buf_printf(&b, "%s%s", k ? "." : "", v->ref->part[k]);
    if (named < i || v->kind != V_REF)
        buf_printf(&b, "%s%s", b.n ? "." : "", n->values[i].name);
    const char *text = arena_copy(s->arena, b.at, b.n);
    buf_free(&b);
    return text;
}

/* Parts the chain behind a box: what stands there is the end of one run and the start of the next.
 */
static void part_chain(struct settling *s, const struct node *n, unsigned i, const char *words)
{
    const struct value *v = &n->values[i];
    const char *indent = indent_of(s, n, n->first), *start = start_at(s, n, i), *newline;
    if (ends_line(n, v->last)) {
        settle_put(s, n, end_of(n, v->last), 0, words);
        settle_put(s, n, token_of(n, v->last + 1)->off, 0,
                   arena_printf(s->arena, "run %s ", start));
        return;
    }
    line_end(n, v->last, &newline);
    settle_put(s, n, end_of(n, v->last), 0,
               arena_printf(s->arena, "%s%s%srun %s", words, indent ? newline : "; ",
                            indent ? indent : "", start));
}

/* What is written of a hop, each word behind a blank. */
static const char *words_of_hop(struct settling *s, const struct statement *hop)
{
    const char *words = "";
    for (int sort = 0; sort < SETTLE_SORTS; sort++)
        if (hop->written[sort])
            words = arena_printf(s->arena, "%s %s", words, hop->text[sort]);
    return words;
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
            settle_put(s, n, token_of(n, group->last)->off, 0, words);
        else
            settle_put(s, n, end_of(n, n->values[i].last), 0,
                       arena_printf(s->arena, " (%s)", words + 1));
    }
}

/* One run says of all its hops what stands behind it; a length is that of one hop. */
static void put_in_chain(struct settling *s, const struct statement *t)
{
    const struct node *n = t->node;
    unsigned hops = n->value_count - 1u;
    const char *of_all = hops > 1 ? words_of_chain(s, n) : "", *words = words_of_hop(s, t->hops[0]);
    for (unsigned i = 1; i < hops; i++) {
        const char *next = words_of_hop(s, t->hops[i]);
        if (strcmp(words, next) != 0 || t->hops[i]->written[SETTLE_LENGTHS])
            part_chain(s, n, i, arena_printf(s->arena, "%s%s", words, of_all));
        words = next;
    }
    if (*words)
        settle_put(s, n, end_of(n, n->last), 0, words);
}

/* ------------------------------------------------------------------------------------------ */

void settle_put_in(struct settling *s, struct statement *t)
{
    const struct node *n = t->node;
    if (t->hops && node_child(n, F_HOP))
        put_in_groups(s, t);
    else if (t->hops)
        put_in_chain(s, t);
    for (int sort = 0; sort < SETTLE_SORTS; sort++) {
        s->out->counts[sort] += t->written[sort];
        if (!t->written[sort] || t->hop)
            continue;
        if (sort == SETTLE_PLACES)
            put_place(s, n, t->text[sort]);
        else if (n->form == F_BOX)
            put_in_box(s, n, t->text[sort]);
        else if (n->form == F_CIRCUIT)
            put_in_circuit(s, n, t->text[sort]);
        else
            put_on_line(s, n, t->text[sort]);
    }
}
