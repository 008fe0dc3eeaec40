/* Where statements end, and which brace is missing or too many.
 *
 * Braces that balance are left alone, however they are laid out. Only where they do not, the layout decides: a statement no deeper than the one whose block
 * is open closes that block, deeper lines without a brace open one, and a brace that closes nothing of its own is dropped. */
#include "syntax/tree.h"

enum { DEEPEST = 32 };

struct opened {
    uint32_t token, line;   /* the open brace, and the number of its line */
    uint32_t indent;        /* column of the first token of its line */
};

struct mender {
    struct diag *diag;
    struct source *source;
    struct opened stack[DEEPEST];
    uint32_t depth;
    uint32_t excess;        /* closing braces without an opening one, still to be found */
};

static bool continues_after(enum token_kind k)
{
    return k == T_OPEN || k == T_COMMA || k == T_ARROW || k == T_PLUS || k == T_COLON;
}

static bool continues_before(enum token_kind k)
{
    return k == T_ARROW || k == T_OPEN || k == T_COMMA;
}

static void mark_ends(struct source *s)
{
    for (uint32_t i = 1; i < s->token_count; i++) {
        struct token *t = &s->tokens[i];
        if ((t->flags & TOKEN_NEWLINE || t->kind == T_EOF) && !continues_after(s->tokens[i - 1].kind) && !continues_before(t->kind))
            t->flags |= TOKEN_ENDS;
    }
}

/* Counts what does not balance; false where blocks lie too deep. */
static bool balance(struct diag *diag, struct source *s, uint32_t *missing, uint32_t *excess)
{
    uint32_t depth = 0;
    *excess = 0;
    for (uint32_t i = 0; i < s->token_count; i++) {
        if (s->tokens[i].kind == T_OPEN && ++depth > DEEPEST) {
            diag_add(diag, R_LIMIT, token_span(s, i, i), "blocks are nested deeper than %d", (int)DEEPEST);
            return false;
        }
        if (s->tokens[i].kind == T_CLOSE) {
            if (depth)
                depth--;
            else
                ++*excess;
        }
    }
    *missing = depth;
    return true;
}

static uint32_t column(struct mender *m, uint32_t token)
{
    return source_position(m->diag->arena, m->source, m->source->tokens[token].off).cell;
}

static uint32_t line(struct mender *m, uint32_t token)
{
    return source_position(m->diag->arena, m->source, m->source->tokens[token].off).line;
}

static void close_top(struct mender *m, uint32_t before)
{
    struct opened *o = &m->stack[--m->depth];
    diag_syntax(m->diag, R_SYNTAX, token_span(m->source, o->token, o->token), "this '{' has no '}' of its own");
    m->source->tokens[before].closes++;
}

static void drop(struct mender *m, uint32_t token)
{
    m->source->tokens[token].flags |= TOKEN_DROPPED;
    if (m->excess)
        m->excess--;
    diag_syntax(m->diag, R_SYNTAX, token_span(m->source, token, token), "this '}' closes nothing");
}

static void push(struct mender *m, uint32_t token, uint32_t indent)
{
    if (m->depth < DEEPEST)
        m->stack[m->depth++] = (struct opened){token, line(m, token), indent};
}

/* A closing brace that begins its line belongs to the statement of its own column; within a line, to a block opened on that line. */
static void meet_close(struct mender *m, uint32_t token, bool first_of_line)
{
    uint32_t here = column(m, token);
    while (first_of_line && m->depth > 1 && m->stack[m->depth - 1].indent > here && m->stack[m->depth - 2].indent >= here)
        close_top(m, token);
    if (!m->depth) {
        drop(m, token);
        return;
    }
    struct opened *top = &m->stack[m->depth - 1];
    bool own = first_of_line ? top->indent >= here : top->line == line(m, token);
    if (!own && m->excess)
        drop(m, token);
    else
        m->depth--;
}

static void mend(struct mender *m)
{
    struct source *s = m->source;
    uint32_t first_column = 1;       /* of the line at hand */
    bool line_opens = false;
    for (uint32_t i = 0; i < s->token_count; i++) {
        struct token *t = &s->tokens[i];
        bool first = t->flags & TOKEN_NEWLINE;
        if (t->kind == T_EOF) {
            while (m->depth)
                close_top(m, i);
            break;
        }
        if (first && t->kind != T_CLOSE) {
            uint32_t c = column(m, i);
            if (m->excess && i && t->flags & TOKEN_ENDS && c > first_column && !line_opens && s->tokens[i - 1].kind != T_CLOSE) {
                diag_syntax(m->diag, R_SYNTAX, token_span(s, i - 1, i - 1), "a '{' is missing behind this: the lines below are deeper");
                t->flags |= TOKEN_OPENS;
                m->excess--;
                push(m, i - 1, first_column);
            }
            while (m->depth && c <= m->stack[m->depth - 1].indent && t->flags & TOKEN_ENDS)
                close_top(m, i);
        }
        if (first) {
            if (t->flags & TOKEN_ENDS || t->kind == T_CLOSE)
                first_column = column(m, i);
            line_opens = false;
        }
        if (t->kind == T_OPEN) {
            push(m, i, first_column);
            line_opens = true;
        } else if (t->kind == T_CLOSE) {
            meet_close(m, i, first);
        }
    }
}

bool layout(struct diag *diag, struct arena *scratch, struct source *source)
{
    uint32_t missing, excess;
    mark_ends(source);
    if (!balance(diag, source, &missing, &excess))
        return false;
    if (missing || excess) {
        struct mender *m = arena_new(scratch, struct mender);
        *m = (struct mender){.diag = diag, .source = source, .excess = excess};
        mend(m);
    }
    return true;
}
