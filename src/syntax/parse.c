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

struct stmt *parse_more(struct parser *pp, struct stmt *head, uint64_t kind, struct range where)
{
    if (kind == ITEM_BROKEN) {
        head->broken = true;
    } else {
        head->items = vec_grow(pp->scratch, head->items, head->item_count, &head->item_cap, sizeof *head->items);
        head->items[head->item_count++] = (struct item){where.first, where.last, (enum item_kind)kind};
    }
    if (where.last > head->last)
        head->last = where.last;
    return head;
}

struct stmt *parse_head(struct parser *pp, uint64_t kind, struct range where)
{
    struct stmt *head = arena_new(pp->scratch, struct stmt);
    head->first = head->last = where.first;
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

void parse_done(struct parser *pp, struct stmt *list)
{
    pp->all = first_of(list);
}

struct tree parse(struct diag *diag, struct arena *scratch, struct source *source)
{
    struct tree tree = {.source = source};
    if (!layout(diag, scratch, source)) {
        tree.refused = true;
        return tree;
    }
    struct parser parser = {.diag = diag, .scratch = scratch, .source = source};
    bay_parse(&parser);
    tree.first = parser.all;
    return tree;
}
