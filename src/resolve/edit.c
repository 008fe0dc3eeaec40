#include "resolve/edit.h"

#include "base/buf.h"
#include "resolve/node.h"
#include "resolve/value.h"
#include "syntax/token.h"

#include <string.h>

struct editing edit_of_way(struct diag *d, struct mend *way)
{
    return (struct editing){d->arena, way ? &way->edits : NULL};
}

void edit_put(struct editing e, struct source *source, uint32_t off, uint32_t gone,
              const char *text)
{
    if (e.to)
        *vec_push(e.arena, e.to) =
            (struct edit){source, off, gone, arena_copy(e.arena, text, strlen(text))};
}

void edit_replace(struct editing e, struct span span, const char *text)
{
    edit_put(e, span.source, span.off, span.len, text);
}

static void put_in(struct editing e, const struct node *n, uint32_t off, const char *text)
{
    edit_put(e, n->source, off, 0, text);
}

/* --- tokens ------------------------------------------------------------------------------- */

static const struct source_token *token_of(const struct node *n, uint32_t token)
{
    return &n->source->tokens[token];
}

static enum token_kind kind_of(const struct node *n, uint32_t token)
{
    return (enum token_kind)token_of(n, token)->kind;
}

static uint32_t end_of(const struct node *n, uint32_t token)
{
    return token_of(n, token)->off + token_of(n, token)->len;
}

/* The bytes before the token on its line; NULL where another token stands there. */
static const char *indent_of(struct arena *arena, const struct node *n, uint32_t token)
{
    const char *bytes = n->source->bytes;
    uint32_t off = token_of(n, token)->off, from = off;
    while (from && (bytes[from - 1] == ' ' || bytes[from - 1] == '\t'))
        from--;
    return !from || bytes[from - 1] == '\n' ? arena_copy(arena, bytes + from, off - from) : NULL;
}

static bool ends_line(const struct node *n, uint32_t token)
{
    const struct source_token *next = token_of(n, token + 1);
    return next->kind == T_EOF || next->flags & TOKEN_NEWLINE;
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

/* As the first line of the file ends. */
static const char *newline_of(const struct node *n)
{
    const char *at = memchr(n->source->bytes, '\n', n->source->size);
    return at && at > n->source->bytes && at[-1] == '\r' ? "\r\n" : "\n";
}

static bool has_block(const struct node *n)
{
    return kind_of(n, n->last + 1) == T_OPEN && !(token_of(n, n->last + 1)->flags & TOKEN_DROPPED);
}

/* The brace that closes the block behind the line of a statement, or its last token where it has
 * no block. */
static uint32_t block_end(const struct node *n)
{
    const struct source_token *t = n->source->tokens;
    uint32_t at = n->last + 1, depth = 0;
    if (!has_block(n))
        return n->last;
    for (;; at++) {
        depth += t[at].kind == T_OPEN;
        depth -= t[at].kind == T_CLOSE;
        if (!depth || t[at].kind == T_EOF)
            return at;
    }
}

/* Whether its braces are those that stand there: where the layout had to mend some, what is put
 * beside them may come to stand elsewhere. */
static bool is_well_braced(const struct node *n)
{
    const struct source_token *t = n->source->tokens;
    for (uint32_t at = n->first, end = block_end(n); at <= end; at++)
        if (t[at].flags & (TOKEN_DROPPED | TOKEN_DOUBT | TOKEN_OPENS) ||
            (at > n->first && t[at].closes) || t[at].kind == T_EOF)
            return false;
    return true;
}

/* Whether the tokens are a part of the statement's own text. */
static bool lies_in(const struct node *n, const struct node *c)
{
    return c->source == n->source && c->first > n->first && c->last <= block_end(n);
}

static const struct node *own_child(const struct node *n, enum form_id form)
{
    const struct node *c = node_child(n, form);
    while (c && (c->form != form || !lies_in(n, c)))
        c = c->next;
    return c;
}

bool edit_is_written(const struct node *n, enum form_id form)
{
    return own_child(n, form) != NULL;
}

/* --- statements --------------------------------------------------------------------------- */

void edit_on_line(struct editing e, const struct node *n, const char *text)
{
    put_in(e, n, end_of(n, n->last), arena_printf(e.arena, " %s", text));
}

void edit_in_box(struct editing e, const struct node *n, const char *text)
{
    const char *indent = indent_of(e.arena, n, n->first);
    uint32_t open = n->last + 1;
    if (!is_well_braced(n))
        return;
    if (!indent || !has_block(n) || !ends_line(n, open)) {
        edit_on_line(e, n, text);
        return;
    }
    const char *newline, *inner = indent_of(e.arena, n, open + 1);
    uint32_t off = line_end(n, open, &newline);
    inner =
        inner && kind_of(n, open + 1) != T_CLOSE ? inner : arena_printf(e.arena, "%s  ", indent);
    put_in(e, n, off, arena_printf(e.arena, "%s%s%s", newline, inner, text));
}

/* The token behind a statement and its block. */
static uint32_t behind(const struct node *n)
{
    return block_end(n) + 1;
}

void edit_behind(struct editing e, const struct node *n, const char *text)
{
    uint32_t last = behind(n) - 1;
    const char *indent = indent_of(e.arena, n, n->first), *newline;
    bool semi = kind_of(n, last + 1) == T_SEMI && !(token_of(n, last + 1)->flags & TOKEN_NEWLINE);
    last += semi && ends_line(n, last + 1);
    if (!indent || !ends_line(n, last)) {
        put_in(e, n, end_of(n, last), arena_printf(e.arena, "; %s", text));
        return;
    }
    uint32_t off = line_end(n, last, &newline);
    if (off == n->source->size)
        newline = newline_of(n);
    put_in(e, n, off, arena_printf(e.arena, "%s%s%s", newline, indent, text));
}

void edit_before(struct editing e, const struct node *n, const char *text)
{
    const char *indent = indent_of(e.arena, n, n->first);
    put_in(e, n, token_of(n, n->first)->off,
           indent ? arena_printf(e.arena, "%s%s%s", text, newline_of(n), indent)
                  : arena_printf(e.arena, "%s; ", text));
}

void edit_in_block(struct editing e, const struct node *n, const char *text)
{
    if (!is_well_braced(n))
        return;
    if (!has_block(n)) {
        put_in(e, n, end_of(n, n->last), arena_printf(e.arena, " { %s }", text));
        return;
    }
    uint32_t close = block_end(n), last = close - 1;
    const char *indent = indent_of(e.arena, n, close), *head = indent_of(e.arena, n, n->first);
    if (kind_of(n, close) != T_CLOSE)
        return;
    if (!indent) {
        bool parted = last == n->last + 1 || kind_of(n, last) == T_SEMI;
        put_in(e, n, end_of(n, last), arena_printf(e.arena, "%s %s", parted ? "" : ";", text));
        return;
    }
    const char *inner = last > n->last + 1 ? indent_of(e.arena, n, n->last + 2) : NULL;
    if (!inner)
        inner = arena_printf(e.arena, "%s  ", head ? head : indent);
    put_in(e, n, token_of(n, close)->off - (uint32_t)strlen(indent),
           arena_printf(e.arena, "%s%s%s", inner, text, newline_of(n)));
}

void edit_first(struct editing e, const struct node *n, const char *text)
{
    uint32_t open = n->last + 1;
    if (!is_well_braced(n))
        return;
    if (!has_block(n) || block_end(n) == open + 1) {
        edit_in_block(e, n, text);
        return;
    }
    const char *inner = indent_of(e.arena, n, open + 1);
    put_in(e, n, token_of(n, open + 1)->off,
           inner ? arena_printf(e.arena, "%s%s%s", text, newline_of(n), inner)
                 : arena_printf(e.arena, "%s; ", text));
}

void edit_at_top(struct editing e, struct source *source, const char *text)
{
    const char *at = memchr(source->bytes, '\n', source->size);
    bool two = at && at > source->bytes && at[-1] == '\r';
    edit_put(e, source, source->tokens[0].off, 0,
             arena_printf(e.arena, two ? "%s\r\n\r\n" : "%s\n\n", text));
}

void edit_in_circuit(struct editing e, const struct node *n, const char *text)
{
    const struct node *breaker = own_child(n, F_BREAKER);
    if (!breaker || breaker->first < n->last) { /* clauses of a line follow one another without a
                                                   sign */
        const char *more = strchr(text, ';');
        edit_on_line(e, n,
                     more ? arena_printf(e.arena, "%.*s%s", (int)(more - text), text, more + 1)
                          : text);
        return;
    }
    edit_behind(e, breaker, text);
}

/* --- clauses ------------------------------------------------------------------------------ */

enum { PLACE_B = 1, PLACE_L = 2, PLACE_BL = PLACE_B | PLACE_L };

static const uint8_t places[FORM_COUNT] = {
#define FORM(id, owners, place, word, pattern, flags, doc) [F_##id] = PLACE_##place,
#include "statements.def"
#undef FORM
};

/* What says of a room what it is stands before what is in it. */
void edit_in_room(struct editing e, const struct node *n, const char *text)
{
    static const enum form_id heads[] = {F_KIND, F_SIZE, F_OUTLINE, F_CORNER, F_ON};
    const struct node *last = NULL;
    for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
        const struct node *c = own_child(n, heads[i]);
        last = c && (!last || c->first > last->first) ? c : last;
    }
    if (last) {
        edit_behind(e, last, text);
        return;
    }
    if (has_block(n) && block_end(n) > n->last + 2)
        put_in(e, n, token_of(n, n->last + 2)->off,
               indent_of(e.arena, n, n->last + 2)
                   ? arena_printf(e.arena, "%s%s%s", text, newline_of(n),
                                  indent_of(e.arena, n, n->last + 2))
                   : arena_printf(e.arena, "%s; ", text));
    else
        edit_in_block(e, n, text);
}

void edit_clause(struct editing e, const struct node *n, enum form_id form, const char *text)
{
    const struct node *c = own_child(n, form);
    if (c)
        edit_replace(e, node_span(c), text);
    else if (n->form == F_BOX && places[form] == PLACE_BL)
        edit_in_box(e, n, text);
    else if (n->form == F_CIRCUIT && (places[form] & PLACE_L || own_child(n, F_BREAKER)))
        edit_in_circuit(e, n, text);
    else if (n->form == F_ROOM)
        edit_in_room(e, n, text);
    else if (places[form] & PLACE_L)
        edit_on_line(e, n, text);
    else
        edit_in_block(e, n, text);
}

void edit_value(struct editing e, const struct node *n, unsigned value, const char *text)
{
    const struct value *v = node_value(n, value);
    if (v && v->first >= n->first && v->last <= n->last)
        edit_replace(e, value_span(n, v), text);
}

enum { AT = 2, UP }; /* values of a box on a wall */

static const struct value *own_at(const struct node *box)
{
    const struct value *at = node_value(box, AT);
    bool own = box->form == F_BOX && box->alt == PLACE_ON_WALL && !node_in_row(box) && at &&
               at->first >= box->first && at->last <= box->last;
    return own ? at : NULL;
}

void edit_at(struct editing e, const struct node *box, const char *text)
{
    const struct value *at = own_at(box);
    if (at)
        edit_replace(e, value_span(box, at), text);
}

void edit_up(struct editing e, const struct node *box, const char *text)
{
    const struct value *at = own_at(box), *up = node_value(box, UP);
    if (!at)
        return;
    if (up)
        edit_replace(e, value_span(box, up), text);
    else
        put_in(e, box, end_of(box, at->last), arena_printf(e.arena, " up %s", text));
}

void edit_word(struct editing e, const struct node *n, const char *text)
{
    edit_replace(e, node_word_span(n), text);
}

/* --- what goes ---------------------------------------------------------------------------- */

static bool begins_statement(const struct node *n, uint32_t token)
{
    enum token_kind before = token ? kind_of(n, token - 1) : T_OPEN;
    return before == T_OPEN || before == T_CLOSE || before == T_SEMI ||
           token_of(n, token)->flags & TOKEN_ENDS;
}

static bool holds_comment(const struct node *n, uint32_t from, uint32_t to)
{
    for (uint32_t t = from; t < to; t++)
        if (memchr(n->source->bytes + end_of(n, t), '#', token_of(n, t + 1)->off - end_of(n, t)))
            return true;
    return false;
}

static void take_away(struct editing e, const struct node *n, uint32_t from, uint32_t to)
{
    edit_put(e, n->source, from, to - from, "");
}

/* The whole line; a comment behind it gets the line. */
static void take_lines(struct editing e, const struct node *n, uint32_t last, const char *indent)
{
    const char *newline, *bytes = n->source->bytes;
    uint32_t from = token_of(n, n->first)->off, end = line_end(n, last, &newline),
             to = end_of(n, last);
    while (to < end && (bytes[to] == ' ' || bytes[to] == '\t'))
        to++;
    if (to < end) {
        take_away(e, n, from, to);
        return;
    }
    to = end;
    to += to < n->source->size && bytes[to] == '\r';
    to += to < n->source->size && bytes[to] == '\n';
    take_away(e, n, from - (uint32_t)strlen(indent), to);
}

void edit_remove(struct editing e, const struct node *n)
{
    uint32_t last = block_end(n);
    const char *indent = indent_of(e.arena, n, n->first);
    if (holds_comment(n, n->first, last))
        return;
    if (!n->first || !begins_statement(n, n->first)) {
        bool alone = n->first > 1 && kind_of(n, n->first - 1) == T_LPAREN &&
                     kind_of(n, last + 1) == T_RPAREN;
        if (n->first)
            take_away(e, n, end_of(n, n->first - 1 - alone), end_of(n, last + alone));
        return;
    }
    bool semi = kind_of(n, last + 1) == T_SEMI && !holds_comment(n, last, last + 1);
    if (indent && ends_line(n, last + semi)) {
        take_lines(e, n, last + semi, indent);
        return;
    }
    uint32_t next = last + 1 + semi;
    if (!ends_line(n, next - 1) && kind_of(n, next) != T_CLOSE) {
        take_away(e, n, token_of(n, n->first)->off, token_of(n, next)->off);
        return;
    }
    uint32_t before = n->first - 1;
    before -= before && kind_of(n, before) == T_SEMI;
    take_away(e, n, end_of(n, before), end_of(n, last + semi));
}

/* --- chains ------------------------------------------------------------------------------- */

/* The words of the tokens, each behind a blank where the text has one. */
static const char *words_between(struct arena *arena, const struct node *n, uint32_t from,
                                 uint32_t to)
{
    struct buf b = {0};
    for (uint32_t t = from; t < to; t++) {
        const struct source_token *token = token_of(n, t);
        if (token->flags & (TOKEN_SPACED | TOKEN_NEWLINE))
            buf_putc(&b, ' ');
        buf_add(&b, n->source->bytes + token->off, token->len);
    }
    const char *text = arena_copy(arena, b.n ? b.at : "", b.n);
    buf_free(&b);
    return text;
}

const char *edit_chain_words(struct arena *arena, const struct node *n)
{
    return words_between(arena, n, n->values[n->value_count - 1].last + 1, n->last + 1);
}

/* The box at a value of a chain with its room, as a chain of its own would begin with it. */
static const char *start_at(struct arena *arena, const struct node *n, unsigned i)
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
    const char *text = arena_copy(arena, b.at, b.n);
    buf_free(&b);
    return text;
}

/* What stands at a box is the end of one run and the start of the next. */
void edit_part_chain(struct editing e, const struct node *n, unsigned i, const char *words)
{
    const struct value *v = &n->values[i];
    const char *indent = indent_of(e.arena, n, n->first), *start = start_at(e.arena, n, i);
    if (ends_line(n, v->last)) {
        put_in(e, n, end_of(n, v->last), words);
        put_in(e, n, token_of(n, v->last + 1)->off, arena_printf(e.arena, "run %s ", start));
        return;
    }
    put_in(e, n, end_of(n, v->last),
           arena_printf(e.arena, "%s%s%srun %s", words, indent ? newline_of(n) : "; ",
                        indent ? indent : "", start));
}

static const struct node *group_of(const struct node *n, unsigned hop)
{
    const struct node *group = node_child(n, F_HOP);
    while (group && (group->form != F_HOP || group->values[0].n != hop))
        group = group->next;
    return group;
}

bool edit_split_chain(struct editing e, const struct node *n)
{
    unsigned hops = n->value_count - 1u;
    if (hops < 2 || holds_comment(n, n->first, n->last))
        return false;
    const char *of_all = "", *text = "";
    uint32_t behind_all = n->values[hops].last + 1;
    const struct node *last = group_of(n, hops);
    behind_all = last ? last->last + 1 : behind_all;
    of_all = words_between(e.arena, n, behind_all, n->last + 1);
    const char *indent = indent_of(e.arena, n, n->first);
    for (unsigned i = 1; i <= hops; i++) {
        const struct node *group = group_of(n, i);
        const char *own = group ? words_between(e.arena, n, group->first + 1, group->last) : "";
        struct span to = value_span(n, &n->values[i]);
        text = arena_printf(e.arena, "%s%srun %s -> %.*s%s%s%s", text,
                            i == 1   ? ""
                            : indent ? arena_printf(e.arena, "%s%s", newline_of(n), indent)
                                     : "; ",
                            start_at(e.arena, n, i - 1), (int)to.len, to.source->bytes + to.off,
                            *own && *own != ' ' ? " " : "", own, of_all);
    }
    edit_replace(e, node_span(n), text);
    return true;
}

void edit_remove_hop(struct editing e, const struct node *n, struct span to)
{
    unsigned last = n->value_count - 1u;
    bool is_last =
        last && to.source == n->source && token_of(n, n->values[last].first)->off == to.off;
    if (!is_last)
        return;
    if (last == 1) {
        edit_remove(e, n);
        return;
    }
    const struct node *group = group_of(n, last), *before = group_of(n, last - 1);
    uint32_t from = before ? before->last : n->values[last - 1].last,
             end = group ? group->last : n->values[last].last;
    if (!holds_comment(n, from, end))
        take_away(e, n, end_of(n, from), end_of(n, end));
}

void edit_hop_clause(struct editing e, const struct node *n, struct span to, enum form_id form,
                     const char *text)
{
    unsigned i = 1;
    while (i < n->value_count &&
           (to.source != n->source || token_of(n, n->values[i].first)->off != to.off))
        i++;
    const struct node *group = group_of(n, i), *c = group ? own_child(group, form) : NULL;
    if (i == n->value_count || (n->value_count == 2 && !group)) {
        edit_clause(e, n, form, text);
    } else if (c) {
        edit_replace(e, node_span(c), text);
    } else if (group) {
        put_in(e, n, token_of(n, group->last)->off, arena_printf(e.arena, " %s", text));
    } else {
        put_in(e, n, end_of(n, n->values[i].last), arena_printf(e.arena, " (%s)", text));
    }
}
