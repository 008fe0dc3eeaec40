#include "fmt/spell.h"

#include "base/buf.h"
#include "base/source.h"
#include "base/utf8.h"
#include "syntax/token.h"

#include <string.h>

static enum token_kind kind_of(const struct source *s, uint32_t token)
{
    return (enum token_kind)s->tokens[token].kind;
}

bool spell_is(const struct source *s, uint32_t token, const char *word)
{
    const struct source_token *t = &s->tokens[token];
    return t->kind == T_WORD && t->len == strlen(word) && !memcmp(s->bytes + t->off, word, t->len);
}

/* --- lengths ------------------------------------------------------------------------------ */

/* The plain mark that stands at `p`, ' or ", and how many bytes it takes there; 0 where there is
 * none. Typographic marks have three. */
static char mark_at(const char *p, const char *end, size_t *len)
{
    *len = 1;
    if (*p == '\'' || *p == '"')
        return *p;
    *len = 3;
    if (end - p < 3 || memcmp(p, "\xe2\x80", 2))
        return 0;
    unsigned char last = (unsigned char)p[2];
    return last == 0xb2 || last == 0x99 ? '\'' : last == 0xb3 || last == 0x9d ? '"' : 0;
}

static bool joins(char c)
{
    return c == ' ' || c == '\t' || c == '-';
}

/* Writes a length to `out` (room for one byte more than it has), or counts only where `out` is
 * NULL. Feet and inches are joined by a hyphen, and then the fraction by a blank: 4'-6 1/2".
 * Without feet the hyphen holds the fraction, 16-1/2", so that no number before it is taken for its
 * inches. */
static size_t write_length(const struct source *s, uint32_t token, char *out)
{
    const char *p = s->bytes + s->tokens[token].off, *end = p + s->tokens[token].len;
    size_t n = 0, len;
    bool feet = false;
    for (const char *start = p; p < end; p += len) {
        char c = mark_at(p, end, &len);
        bool joint = !c && p > start && joins(*p);
        if (!c)
            len = 1;
        while (joint && p + len < end && joins(p[len]))
            len++;
        char written = c ? c : joint ? (feet ? ' ' : '-') : *p;
        if (out)
            out[n] = written;
        n++;
        if (c != '\'')
            continue;
        feet = true;
        while (p + len < end && joins(p[len]))
            len++;
        if (p + len < end) {
            if (out)
                out[n] = '-';
            n++;
        }
    }
    return n;
}

/* --- any token ---------------------------------------------------------------------------- */

void spell_token(struct buf *out, const struct source *s, uint32_t token)
{
    const struct source_token *t = &s->tokens[token];
    size_t before = out->n;
    buf_add(out, s->bytes + t->off, t->len);
    if (t->kind != T_LENGTH)
        return;
    buf_putc(out, ' ');
    out->n = before + write_length(s, token, out->at + before);
}

size_t spell_width(const struct source *s, uint32_t token)
{
    const struct source_token *t = &s->tokens[token];
    return t->kind == T_LENGTH ? write_length(s, token, NULL)
                               : utf8_cells(s->bytes + t->off, t->len, 0);
}

/* --- between two tokens ------------------------------------------------------------------- */

/* The token behind this one in the same statement, or T_SEMI. */
static enum token_kind next_kind(const struct source *s, uint32_t token)
{
    return s->tokens[token + 1].flags & TOKEN_ENDS ? T_SEMI : kind_of(s, token + 1);
}

/* 450mm, 2.4m, 4ft, 16in: these units touch their number, all others keep a blank. A number behind
 * a dot is part of a name, and so is a word before one. */
static bool touching_unit(const struct source *s, uint32_t number, uint32_t word)
{
    if (kind_of(s, number) != T_NUMBER)
        return false;
    bool behind_dot =
        number && kind_of(s, number - 1) == T_DOT && next_kind(s, number - 1) == T_NUMBER;
    if (behind_dot || next_kind(s, word) == T_DOT)
        return false;
    return spell_is(s, word, "mm") || spell_is(s, word, "m") || spell_is(s, word, "ft") ||
           spell_is(s, word, "in");
}

enum gap spell_between(const struct source *s, uint32_t before, uint32_t after)
{
    enum token_kind a = kind_of(s, before), b = kind_of(s, after);
    if (a == T_OPEN || b == T_CLOSE)
        return GAP_BLANK;
    if (after - before > 1 || a == T_CLOSE)
        return GAP_STATEMENT;
    if (b == T_DOT && a == T_NUMBER && next_kind(s, after) != T_WORD)
        return GAP_BLANK; /* 1 .5 is not 1.5 */
    if (b == T_COMMA || b == T_DOT || a == T_DOT || a == T_LPAREN || b == T_RPAREN)
        return GAP_NONE;
    return touching_unit(s, before, after) ? GAP_NONE : GAP_BLANK;
}

void spell_gap(struct buf *out, enum gap gap)
{
    buf_add(out, &"; "[gap == GAP_BLANK], gap);
}
