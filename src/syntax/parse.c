#include "syntax/parse.h"

#include "diag/diag.h"
#include "parser.h"

/* What the layout adds before the token at hand and the grammar has not had; T_EOF: nothing more.
 */
static enum token_kind added_before(const struct parser *pp, const struct source_token *t)
{
    if (pp->closes < t->closes)
        return T_CLOSE;
    if (t->flags & TOKEN_OPENS && !pp->opened)
        return T_OPEN;
    return t->flags & TOKEN_ENDS && !pp->opened && !pp->ended ? T_END : T_EOF;
}

static const struct source_token *token_at_hand(struct parser *pp)
{
    const struct source_token *t = &pp->source->tokens[pp->at];
    while (t->flags & TOKEN_DROPPED)
        t = &pp->source->tokens[++pp->at];
    return t;
}

static bool parts_lines(enum token_kind kind)
{
    return kind == T_OPEN || kind == T_CLOSE || kind == T_SEMI || kind == T_END || kind == T_EOF;
}

/* The next token for the grammar, with what the layout adds before it. */
enum token_kind parse_next(struct parser *pp, struct range *where)
{
    const struct source_token *t = token_at_hand(pp);
    enum token_kind added = added_before(pp, t),
                    kind = added != T_EOF ? added : (enum token_kind)t->kind;
    pp->inside = !parts_lines(kind);
    if (added != T_EOF) {
        uint32_t before = pp->at ? pp->at - 1 : 0;
        *where = (struct range){before, before};
        pp->closes += added == T_CLOSE;
        pp->opened |= added == T_OPEN;
        pp->ended |= added == T_END;
        return kind;
    }
    *where = (struct range){pp->at, pp->at};
    pp->closes = 0;
    pp->opened = pp->ended = false;
    if (kind != T_EOF)
        pp->at++;
    return kind;
}

/* --- a line at once ----------------------------------------------------------------------- */

static bool is_given(const struct source_token *t, uint32_t at)
{
    return t[at].kind == T_LPAREN && t[at + 1].kind == T_WORD && t[at + 2].kind == T_RPAREN;
}

/* The token that closes what the parenthesis at `at` opens; `at` where it holds no word or what
 * stands in no line. Given values may stand in it. */
static uint32_t closing(const struct source_token *t, uint32_t at)
{
    uint32_t end = at + 1;
    if (t[end].kind != T_WORD)
        return at;
    while (t[end].kind != T_RPAREN) {
        if (parts_lines((enum token_kind)t[end].kind) ||
            (t[end].kind == T_LPAREN && !is_given(t, end)))
            return at;
        end += is_given(t, end) ? 3 : 1;
    }
    return end;
}

/* The last token of the item that begins at `at`, and its sort; ITEM_BROKEN where it is none that
 * the grammar would take. */
static enum item_kind item_at(const struct source_token *t, uint32_t at, uint32_t *last)
{
    *last = at;
    switch (t[at].kind) {
    case T_WORD:
        while (t[*last + 1].kind == T_DOT &&
               (t[*last + 2].kind == T_WORD || t[*last + 2].kind == T_NUMBER))
            *last += 2;
        return t[*last + 1].kind == T_DOT ? ITEM_BROKEN : ITEM_REF;
    case T_LPAREN:
        *last = closing(t, at);
        return *last == at ? ITEM_BROKEN : *last == at + 2 ? ITEM_GIVEN : ITEM_GROUP;
    case T_NUMBER:
    case T_LENGTH:
    case T_SLASHED:
    case T_LUMBER:
    case T_UNIT:
    case T_TEXT:
    case T_COMMA:
    case T_ARROW:
    case T_PLUS:
    case T_COLON:
        return ITEM_TOKEN;
    default:
        return ITEM_BROKEN;
    }
}

static bool ends_line(const struct source_token *t)
{
    return t->flags & (TOKEN_ENDS | TOKEN_OPENS | TOKEN_DROPPED) || t->closes ||
           parts_lines(t->kind);
}

/* Whether the layout has left the tokens of an item together. */
static bool is_whole(const struct source_token *t, uint32_t first, uint32_t last)
{
    bool whole = true;
    for (uint32_t i = first + 1; i <= last; i++)
        whole &= !ends_line(&t[i]);
    return whole;
}

/* The end of the line that begins at the token at hand, and how many items it has; 0 where one of
 * them is at fault, or what stands behind it. */
static uint32_t count_items(const struct parser *pp, uint32_t *count)
{
    const struct source_token *t = pp->source->tokens;
    uint32_t end = pp->at, last;
    for (*count = 0; end == pp->at || !ends_line(&t[end]); end = last + 1, ++*count)
        if (item_at(t, end, &last) == ITEM_BROKEN || !is_whole(t, end, last))
            return 0;
    return t[end].flags & TOKEN_DROPPED ? 0 : end;
}

uint32_t parse_group(const struct source *s, const struct item *group, struct item *items)
{
    uint32_t n = 0;
    for (uint32_t at = group->first + 1, last; at < group->last; at = last + 1) {
        struct item item = {.kind = item_at(s->tokens, at, &last)};
        item.first = at;
        item.last = last;
        items[n++] = item;
    }
    return n;
}

/* A line with a fault goes to the grammar token by token, which tells what is wrong and where to go
 * on; all others, nearly all, take this way. */
struct stmt *parse_whole_line(struct parser *pp, struct range *where)
{
    if (pp->inside || pp->by_tokens)
        return NULL;
    const struct source_token *at_hand = token_at_hand(pp), *t = pp->source->tokens;
    uint32_t count, end = added_before(pp, at_hand) != T_EOF || parts_lines(at_hand->kind)
                              ? 0
                              : count_items(pp, &count);
    if (!end)
        return NULL;
    struct stmt *line = arena_new(pp->scratch, struct stmt);
    *line = (struct stmt){.first = pp->at,
                          .last = end - 1,
                          .broken = t[pp->at].flags & TOKEN_DOUBT,
                          .items = arena_array(pp->scratch, struct item, count),
                          .item_count = count,
                          .item_cap = count};
    for (uint32_t i = 0, at = pp->at; i < count; i++, at = line->items[i - 1].last + 1) {
        line->items[i].first = at;
        line->items[i].kind = item_at(t, at, &line->items[i].last);
    }
    *where = (struct range){line->first, line->last};
    pp->at = end;
    pp->inside = true;
    pp->closes = 0;
    pp->opened = pp->ended = false;
    return line;
}

/* --- token by token ----------------------------------------------------------------------- */

void parse_fault(struct parser *pp, struct range where, const char *message)
{
    diag_syntax(pp->diag, &rule_limit, token_span(pp->source, where.first, where.last),
                "the plan cannot be read on from here: %s", message);
}

void parse_unexpected(struct parser *pp, struct range where, enum parse_wants wants)
{
    struct source *s = pp->source;
    struct span span = token_span(s, where.first, where.last);
    enum token_kind kind = (enum token_kind)s->tokens[where.first].kind;
    if (wants == WANTS_NAME || kind == T_DOT)
        diag_syntax(pp->diag, &rule_syntax, span,
                    "a dot stands between two names, as in studio.R1");
    else if (wants == WANTS_GIVEN || kind == T_RPAREN || kind == T_LPAREN)
        diag_syntax(
            pp->diag, &rule_syntax, span,
            "a parenthesis holds the name of a given value, as in (lamp), or behind a box of a run "
            "the words of its hop, as in (via under)");
    else if (kind == T_OPEN)
        diag_syntax(pp->diag, &rule_syntax, span,
                    "a '{' stands behind the line whose block it opens");
    else
        diag_syntax(pp->diag, &rule_syntax, span, "%s cannot stand here", token_words(kind));
}

struct stmt *parse_more(struct parser *pp, struct stmt *head, uint64_t kind, struct range where)
{
    if (kind == ITEM_BROKEN) {
        head->broken = true;
    } else {
        head->items = vec_grow(pp->scratch, head->items, head->item_count, &head->item_cap,
                               sizeof *head->items);
        head->items[head->item_count++] =
            (struct item){where.first, where.last, (enum item_kind)kind};
    }
    if (where.last > head->last)
        head->last = where.last;
    return head;
}

struct stmt *parse_head(struct parser *pp, uint64_t kind, struct range where)
{
    struct stmt *head = arena_new(pp->scratch, struct stmt);
    head->first = head->last = where.first;
    head->broken = pp->source->tokens[where.first].flags & TOKEN_DOUBT;
    return parse_more(pp, head, kind, where);
}

struct stmt *parse_line(struct parser *pp, struct stmt *head)
{
    vec_cut(pp->scratch, head->items, head->item_count, &head->item_cap, sizeof *head->items);
    return head;
}

struct stmt *parse_add(struct stmt *list, struct stmt *more)
{
    if (!more)
        return list;
    more->next = list ? list->next : more;
    if (list)
        list->next = more;
    return more;
}

/* Opens the ring of a finished list and gives its first statement. */
static struct stmt *first_of(struct stmt *list)
{
    struct stmt *first = list ? list->next : NULL;
    if (list)
        list->next = NULL;
    return first;
}

struct stmt *parse_block(struct stmt *head, struct stmt *list, struct range braces)
{
    head->has_block = true;
    head->open = braces.first;
    head->close = braces.last;
    head->last_child = list;
    head->child = first_of(list);
    return head;
}

void parse_top(struct parser *pp, struct stmt *s, bool emptied)
{
    const struct source_token *next = &pp->source->tokens[pp->at];
    pp->all = parse_add(pp->all, s);
    if (!pp->take || !emptied || !(next->flags & TOKEN_NEWLINE || next->kind == T_EOF))
        return;
    pp->take(pp->data, first_of(pp->all));
    pp->all = NULL;
    arena_reset(pp->scratch);
}

bool parse_each(struct diag *diag, struct arena *scratch, struct source *source,
                take_statements *take, void *data)
{
    if (!layout(diag, scratch, source))
        return false;
    struct parser parser = {
        .diag = diag, .scratch = scratch, .source = source, .take = take, .data = data};
    bay_parse(&parser);
    return true;
}

struct tree parse(struct diag *diag, struct arena *scratch, struct source *source)
{
    struct parser parser = {.diag = diag, .scratch = scratch, .source = source};
    bool refused = !layout(diag, scratch, source);
    if (!refused)
        bay_parse(&parser);
    return (struct tree){.source = source, .first = first_of(parser.all), .refused = refused};
}
