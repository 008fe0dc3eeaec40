#include "syntax/parse.h"

#include "parser.h"

/* The next token for the grammar, with what the layout adds before it. */
enum token_kind parse_next(struct parser *pp, struct range *where)
{
    struct token *t = &pp->source->tokens[pp->at];
    while (t->flags & TOKEN_DROPPED)
        t = &pp->source->tokens[++pp->at];
    uint32_t before = pp->at ? pp->at - 1 : 0;
    *where = (struct range){before, before};
    if (pp->closes < t->closes) {
        pp->closes++;
        return T_CLOSE;
    }
    if (t->flags & TOKEN_OPENS && !pp->opened) {
        pp->opened = true;
        return T_OPEN;
    }
    if (t->flags & TOKEN_ENDS && !pp->opened && !pp->ended) {
        pp->ended = true;
        return T_END;
    }
    *where = (struct range){pp->at, pp->at};
    pp->closes = 0;
    pp->opened = pp->ended = false;
    if (t->kind != T_EOF)
        pp->at++;
    return t->kind;
}

void parse_fault(struct parser *pp, struct range where, const char *message)
{
    diag_syntax(pp->diag, R_LIMIT, token_span(pp->source, where.first, where.last), "the plan cannot be read on from here: %s", message);
}

void parse_unexpected(struct parser *pp, struct range where, enum parse_wants wants)
{
    struct source *s = pp->source;
    struct span span = token_span(s, where.first, where.last);
    enum token_kind kind = (enum token_kind)s->tokens[where.first].kind;
    if (wants == WANTS_NAME || kind == T_DOT)
        diag_syntax(pp->diag, R_SYNTAX, span, "a dot stands between two names, as in studio.R1");
    else if (wants == WANTS_GIVEN || kind == T_RPAREN || kind == T_LPAREN)
        diag_syntax(pp->diag, R_SYNTAX, span, "a parenthesis holds one name, as in (lamp), and stands for a given value");
    else if (kind == T_OPEN)
        diag_syntax(pp->diag, R_SYNTAX, span, "a '{' stands behind the line whose block it opens");
    else
        diag_syntax(pp->diag, R_SYNTAX, span, "%s cannot stand here", token_words(kind));
}

struct stmt *parse_more(struct parser *pp, struct stmt *head, struct item item)
{
    if (item.kind == ITEM_BROKEN) {
        head->broken = true;
    } else {
        head->items = vec_grow(pp->diag->arena, head->items, head->item_count, &head->item_cap, sizeof item);
        head->items[head->item_count++] = item;
    }
    if (item.last > head->last)
        head->last = item.last;
    return head;
}

struct stmt *parse_head(struct parser *pp, struct item item)
{
    struct stmt *head = arena_new(pp->diag->arena, struct stmt);
    head->first = head->last = item.first;
    return parse_more(pp, head, item);
}

struct stmt *parse_block(struct stmt *head, struct stmt_list list, struct range braces)
{
    head->has_block = true;
    head->open = braces.first;
    head->close = braces.last;
    head->child = list.first;
    head->last_child = list.last;
    return head;
}

struct stmt_list parse_add(struct stmt_list list, struct stmt *more)
{
    if (!more)
        return list;
    if (list.last)
        list.last->next = more;
    else
        list.first = more;
    list.last = more;
    return list;
}

void parse_done(struct parser *pp, struct stmt_list list)
{
    pp->all = list;
}

struct tree parse(struct diag *diag, struct arena *scratch, struct source *source)
{
    struct tree tree = {.source = source};
    if (!layout(diag, scratch, source))
        return tree;
    struct parser parser = {.diag = diag, .source = source};
    bay_parse(&parser);
    tree.first = parser.all.first;
    return tree;
}
