/* Where statements end, and which brace is missing or too many.
 *
 * Braces that balance are left alone, however they are laid out. Only where they do not, the layout
 * decides: a statement no deeper than the one whose block is open closes that block, deeper lines
 * without a brace open one, and a brace that closes nothing of its own is dropped. */
#include "syntax/tree.h"

#include "base/utf8.h"
#include "diag/diag.h"
#include "syntax/token.h"

#include <string.h>

static const char NO_CLOSE[] = "this '{' has no '}' of its own";

struct opened {
    uint32_t token;  /* the open brace, or the token it is missed behind */
    uint32_t line;   /* first token of its line */
    uint32_t indent; /* column of the statement whose block it opens */
};

struct mender {
    struct diag *diag;
    struct source *source;
    struct opened stack[2 * DEEPEST_BLOCK];
    uint32_t depth;
    uint32_t missing; /* closing braces still to be found missing */
    uint32_t excess;  /* closing braces without an opening one, still to be found */
    uint32_t line;    /* first token of the line at hand */
    uint32_t column;  /* its column in cells, from 0 */
    uint32_t indent;  /* column of the statement at hand */
    uint32_t joined;  /* first token of the line that the statement goes on in, or 0 */
    uint32_t joined_column;
    bool opens; /* a brace was opened on the statement's lines */
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
        struct source_token *t = &s->tokens[i];
        if ((t->flags & TOKEN_NEWLINE || t->kind == T_EOF) &&
            !continues_after(s->tokens[i - 1].kind) && !continues_before(t->kind))
            t->flags |= TOKEN_ENDS;
    }
}

/* Counts what does not balance; false where blocks lie too deep. */
static bool balance(struct diag *diag, struct source *s, uint32_t *missing, uint32_t *excess)
{
    uint32_t depth = 0;
    *excess = 0;
    for (uint32_t i = 0; i < s->token_count; i++) {
        if (s->tokens[i].kind == T_OPEN && ++depth > DEEPEST_BLOCK) {
            diag_syntax(diag, &rule_limit, token_span(s, i, i), "blocks are nested deeper than %d",
                        (int)DEEPEST_BLOCK);
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

/* The column of the first token of a line, in cells from 0: what stands before it on the line is
 * blank, or a byte-order mark. */
static uint32_t column_of(const struct source *s, const struct source_token *t)
{
    const char *p = s->bytes + t->off;
    while (p > s->bytes && p[-1] != '\n')
        p--;
    return (uint32_t)utf8_cells(p, (size_t)(s->bytes + t->off - p), 0);
}

/* The top block ends before `before`, for all that the layout shows. */
static struct finding *close_top(struct mender *m, uint32_t before)
{
    struct opened *o = &m->stack[--m->depth];
    if (m->missing)
        m->missing--;
    m->source->tokens[before].closes++;
    return diag_syntax(m->diag, &rule_syntax, token_span(m->source, o->token, o->token), NO_CLOSE);
}

/* The grammar never sees the token; a statement that ended before it ends all the same. */
static void hide(struct source *s, uint32_t token)
{
    s->tokens[token].flags |= TOKEN_DROPPED;
    s->tokens[token + 1].flags |= s->tokens[token].flags & TOKEN_ENDS;
}

static void drop(struct mender *m, uint32_t token, uint32_t *counter, const char *message)
{
    hide(m->source, token);
    if (*counter)
        --*counter;
    diag_syntax(m->diag, &rule_syntax, token_span(m->source, token, token), "%s", message);
}

/* Something stands alone where the top block should be closed: it is taken for the closing brace.
 */
static void close_instead(struct mender *m, uint32_t token)
{
    struct finding *f = close_top(m, token + 1);
    hide(m->source, token);
    m->source->tokens[token + 1].flags |= TOKEN_ENDS;
    diag_note(m->diag, f, token_span(m->source, token, token), "this stands where its '}' belongs");
}

static void push(struct mender *m, uint32_t token)
{
    if (m->depth < sizeof m->stack / sizeof *m->stack)
        m->stack[m->depth++] = (struct opened){token, m->line, m->indent};
    m->opens = true;
}

/* What comes next on the line at hand is a statement of its column. */
static void stand_here(struct mender *m)
{
    m->indent = m->column;
    m->joined = 0;
    m->opens = false;
}

/* An opening brace needs a statement before it. One that begins a line left of the statement before
 * it does not belong to that. */
static void meet_open(struct mender *m, uint32_t token, bool first)
{
    const struct source_token *before = token ? &m->source->tokens[token - 1] : NULL;
    bool headless =
        !before || before->kind == T_OPEN || before->kind == T_CLOSE || before->kind == T_SEMI;
    bool outside = first && m->column < m->indent;
    if (outside && m->missing > 1 && m->depth && m->column == m->stack[m->depth - 1].indent) {
        m->missing--;
        close_instead(m, token);
    } else if (m->missing && (headless || outside)) {
        drop(m, token, &m->missing, NO_CLOSE);
        if (first) {
            m->source->tokens[token + 1].flags |= TOKEN_ENDS;
            stand_here(m);
        }
    } else {
        push(m, token);
    }
}

/* No line is laid out with two blocks open at its end: the first brace is too many. */
static void end_line(struct mender *m)
{
    if (!m->missing || m->depth < 2 || m->stack[m->depth - 1].line != m->stack[m->depth - 2].line)
        return;
    drop(m, m->stack[m->depth - 2].token, &m->missing, NO_CLOSE);
    m->stack[m->depth - 2] = m->stack[m->depth - 1];
    m->depth--;
}

/* Where the '{' of a block that ends on its line is missing nobody can tell: what stands before the
 * '}' may be of that block. */
static void doubt_line(struct source *s, uint32_t token)
{
    for (uint32_t i = token; i-- > 0;) {
        s->tokens[i].flags |= TOKEN_DOUBT;
        if (s->tokens[i].flags & TOKEN_NEWLINE)
            return;
    }
}

/* A closing brace that begins its line belongs to the statement of its own column; within a line,
 * to a block opened on that line. */
static void meet_close(struct mender *m, uint32_t token, bool first)
{
    while (first && m->depth > 1 && m->stack[m->depth - 1].indent > m->column &&
           m->stack[m->depth - 2].indent >= m->column)
        close_top(m, token);
    bool own = m->depth && (first ? m->stack[m->depth - 1].indent >= m->column
                                  : m->stack[m->depth - 1].line == m->line);
    if (!m->depth || (!own && m->excess)) {
        drop(m, token, &m->excess, "this '}' closes nothing");
        if (!first)
            doubt_line(m->source, token);
    } else {
        m->depth--;
    }
    if (first)
        stand_here(m);
}

/* Whether the line that begins at `token` holds that token alone. */
static bool alone(const struct source *s, uint32_t token)
{
    return s->tokens[token].kind != T_EOF &&
           s->tokens[token + 1].flags & (TOKEN_NEWLINE | TOKEN_ENDS);
}

/* Lines deeper than their statement, which has no brace, are its block. Where the statement seems
 * to go on in the first of them, it does not. */
static void open_missing(struct mender *m, uint32_t token)
{
    struct source *s = m->source;
    uint32_t at = m->joined && m->joined_column == m->column ? m->joined : token;
    diag_syntax(m->diag, &rule_syntax, token_span(s, at - 1, at - 1),
                "a '{' is missing behind this: the lines below are deeper");
    s->tokens[at].flags |= TOKEN_OPENS;
    if (s->tokens[at - 1].kind == T_SEMI)
        s->tokens[at - 1].flags |= TOKEN_DROPPED;
    m->excess--;
    push(m, at - 1);
}

/* A statement begins a line: blocks of statements that stand no further left are over. */
static void begin_statement(struct mender *m, uint32_t token)
{
    struct source *s = m->source;
    const struct source_token *before = token ? &s->tokens[token - 1] : NULL;
    bool may_open = before && (before->kind != T_CLOSE || before->flags & TOKEN_DROPPED) &&
                    s->tokens[token].flags & TOKEN_ENDS && !m->opens;
    if (m->excess && may_open && m->column > m->indent)
        open_missing(m, token);
    while (m->depth && m->column <= m->stack[m->depth - 1].indent &&
           m->stack[m->depth - 1].line != token)
        close_top(m, token);
    stand_here(m);
}

/* Whether a line that seems to go on the one before it stands too far left for the block that is
 * open there. */
static bool falls_out(const struct mender *m, const struct source_token *t)
{
    return m->missing && m->depth && m->column <= m->stack[m->depth - 1].indent &&
           !continues_before(t->kind);
}

static void begin_line(struct mender *m, uint32_t token)
{
    struct source *s = m->source;
    struct source_token *t = &s->tokens[token];
    end_line(m);
    m->line = token;
    m->column = column_of(s, t);
    if (t->kind == T_CLOSE)
        return;
    const struct opened *top = m->depth ? &m->stack[m->depth - 1] : NULL;
    if (m->missing && top && m->column == top->indent && t->kind != T_OPEN && alone(s, token)) {
        close_instead(m, token);
        return;
    }
    if (token && s->tokens[token - 1].kind != T_OPEN && !(t->flags & TOKEN_ENDS) && falls_out(m, t))
        t->flags |= TOKEN_ENDS;
    if (t->flags & TOKEN_ENDS || !token ||
        (s->tokens[token - 1].kind == T_OPEN && t->kind != T_OPEN)) {
        begin_statement(m, token);
    } else if (!m->joined) {
        m->joined = token;
        m->joined_column = m->column;
    }
}

static void mend(struct mender *m)
{
    struct source *s = m->source;
    for (uint32_t i = 0; i + 1 < s->token_count; i++) {
        const struct source_token *t = &s->tokens[i];
        bool first = t->flags & TOKEN_NEWLINE;
        if (first)
            begin_line(m, i);
        if (t->flags & TOKEN_DROPPED)
            continue;
        if (t->kind == T_OPEN)
            meet_open(m, i, first);
        else if (t->kind == T_CLOSE)
            meet_close(m, i, first);
    }
    while (m->depth)
        close_top(m, s->token_count - 1);
}

/* "room den; {": the block is the statement's all the same. Only where braces balance, else the
 * brace may be the fault. */
static void mend_semicolons(struct diag *diag, struct source *s)
{
    for (uint32_t i = 2; i < s->token_count; i++) {
        enum token_kind before = (enum token_kind)s->tokens[i - 2].kind;
        if (s->tokens[i].kind != T_OPEN || s->tokens[i - 1].kind != T_SEMI || before == T_SEMI ||
            before == T_OPEN || before == T_CLOSE)
            continue;
        struct finding *f = diag_syntax(diag, &rule_syntax, token_span(s, i - 1, i - 1),
                                        "this ';' parts a statement from its block");
        diag_mend(diag, f, "leave it out");
        s->tokens[i - 1].flags |= TOKEN_DROPPED;
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
        *m = (struct mender){.diag = diag, .source = source, .missing = missing, .excess = excess};
        mend(m);
    } else {
        mend_semicolons(diag, source);
    }
    return true;
}
