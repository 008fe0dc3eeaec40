#include "fmt/fmt.h"

#include "base/buf.h"
#include "diag/diag.h"
#include "fmt/lines.h"
#include "fmt/spell.h"
#include "syntax/token.h"
#include "syntax/tree.h"

static void write_tokens(struct buf *out, const struct source *s, const struct line *l)
{
    uint32_t before = l->first;
    for (uint32_t i = l->first; i < l->end; i++) {
        if (s->tokens[i].kind == T_SEMI)
            continue;
        if (i > l->first)
            spell_gap(out, spell_between(s, before, i));
        spell_token(out, s, i);
        if (i == l->first + 1)
            buf_fill(out, ' ', l->name_pad);
        else if (i == l->first + 2)
            buf_fill(out, ' ', l->place_pad);
        before = i;
    }
}

static void write_line(struct buf *out, const struct source *s, const struct line *l)
{
    if (l->blank)
        buf_putc(out, '\n');
    buf_fill(out, ' ', l->indent);
    write_tokens(out, s, l);
    if (l->semi)
        buf_putc(out, ';');
    if (l->comment_len) {
        buf_puts(out, l->first == l->end ? "" : "  ");
        buf_add(out, s->bytes + l->comment, l->comment_len);
    }
    buf_putc(out, '\n');
}

/* The first token that is at fault, or stands behind bytes that belong nowhere (they would be
 * lost), or where the braces do not balance or blocks lie too deep; token_count where there is
 * none. */
static uint32_t first_fault(const struct source *s)
{
    uint32_t depth = 0;
    for (uint32_t i = 0; i < s->token_count; i++) {
        const struct source_token *t = &s->tokens[i];
        if (t->flags & (TOKEN_BAD | TOKEN_STRAY) || (t->kind == T_CLOSE && !depth) ||
            (t->kind == T_EOF && depth))
            return i;
        depth += t->kind == T_OPEN;
        if (depth > DEEPEST_BLOCK)
            return i;
        depth -= t->kind == T_CLOSE;
    }
    return s->token_count;
}

bool fmt_source(struct diag *diag, struct arena *scratch, struct source *source, struct buf *out)
{
    uint32_t fault = first_fault(source);
    if (fault < source->token_count) {
        if (diag)
            diag_syntax(diag, &rule_syntax, token_span(source, fault, fault),
                        "a file that cannot be read without a fault is not laid out");
        return false;
    }
    buf_reserve(out, source->size + source->size / 16);
    line_list lines = lines_of(scratch, source);
    for (uint32_t i = 0; i < lines.n; i++)
        write_line(out, source, &lines.at[i]);
    return true;
}
