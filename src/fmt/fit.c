/* The lines that an edit touches are laid out anew between stand-ins for what stands round them:
 * the blocks that they lie in, and the statements before and behind, of which the layout asks no
 * more than whether they have several lines. */
#include "fmt/fit.h"

#include "base/buf.h"
#include "base/source.h"
#include "diag/edits.h"
#include "fmt/fmt.h"
#include "syntax/lexer.h"
#include "syntax/token.h"
#include "syntax/tree.h"

#include <string.h>

struct known_source {
    bool laid_out;
    uint8_t *depth; /* of each token: blocks that are open before it */
};

/* Tokens first..end-1 of a source, with all of the gaps round them, and the lines in which they
 * lie. */
struct region {
    struct source *source;
    const struct known_source *known;
    uint32_t first, end;
    uint32_t from, to; /* bytes */
};

static struct known_source *known_of(struct fit *fit, struct source *s)
{
    void **at = map_at(fit->arena, &fit->sources, (uintptr_t)s, 1);
    if (*at)
        return *at;
    struct known_source *known = *at = arena_new(fit->arena, struct known_source);
    struct arena scratch = {.out_of_memory = fit->arena->out_of_memory};
    struct buf text = {0};
    known->laid_out = fmt_source(NULL, &scratch, s, &text) && text.n == s->size &&
                      !memcmp(buf_text(&text), s->bytes, s->size);
    buf_free(&text);
    arena_free(&scratch);
    known->depth = arena_array(fit->arena, uint8_t, s->token_count);
    uint8_t depth = 0;
    for (uint32_t i = 0; known->laid_out && i < s->token_count; i++) {
        known->depth[i] = depth;
        depth = (uint8_t)(depth + (s->tokens[i].kind == T_OPEN));
        depth = (uint8_t)(depth - (s->tokens[i].kind == T_CLOSE));
    }
    return known;
}

/* --- the region --------------------------------------------------------------------------- */

/* The first token at or behind the place; the one at the end of the file is behind all. */
static uint32_t token_from(const struct source *s, uint32_t off)
{
    uint32_t low = 0, high = s->token_count - 1;
    while (low < high) {
        uint32_t middle = low + (high - low) / 2;
        if (s->tokens[middle].off < off)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Whether a statement or the end of a block begins a line with it. */
static bool begins_line(const struct source *s, uint32_t token)
{
    const struct source_token *t = &s->tokens[token];
    uint8_t before = token ? t[-1].kind : T_OPEN;
    return !token || t->kind == T_EOF ||
           (t->flags & TOKEN_NEWLINE &&
            (t->kind == T_CLOSE || t->flags & TOKEN_ENDS || before == T_OPEN || before == T_CLOSE));
}

static void widen(struct region *r)
{
    const struct source *s = r->source;
    while (!begins_line(s, r->first))
        r->first--;
    while (!begins_line(s, r->end))
        r->end++;
    r->from = 0;
    if (r->first) {
        const struct source_token *t = &s->tokens[r->first - 1];
        const char *newline = memchr(s->bytes + t->off + t->len, '\n', s->size - t->off - t->len);
        r->from = newline ? (uint32_t)(newline + 1 - s->bytes) : s->size;
    }
    r->to = s->size;
    if (s->tokens[r->end].kind != T_EOF)
        for (r->to = s->tokens[r->end].off; r->to && s->bytes[r->to - 1] != '\n';)
            r->to--;
}

static struct region region_of(struct fit *fit, const struct edit *e)
{
    struct region r = {.source = e->source, .known = known_of(fit, e->source)};
    uint32_t at = token_from(e->source, e->off + 1);
    r.first = at ? at - 1 : 0;
    r.end = token_from(e->source, e->off + e->gone + 1);
    widen(&r);
    return r;
}

/* With the statement whose block it is, which has nothing else in it. */
static void widen_to_owner(struct region *r)
{
    r->first -= r->first > 0;
    r->end += r->source->tokens[r->end].kind == T_CLOSE;
    widen(r);
}

/* --- stand-ins ---------------------------------------------------------------------------- */

/* Whether the statement that ends with the token, or begins with it, has several lines. */
static bool is_tall_before(const struct source *s, uint32_t last)
{
    while (last && !(s->tokens[last].flags & TOKEN_NEWLINE))
        last--;
    return !begins_line(s, last) || s->tokens[last].kind == T_CLOSE;
}

static bool is_tall_behind(const struct source *s, uint32_t first)
{
    do
        first++;
    while (s->tokens[first].kind != T_EOF && !(s->tokens[first].flags & TOKEN_NEWLINE));
    return s->tokens[first].kind != T_EOF &&
           (!begins_line(s, first) || s->tokens[first - 1].kind == T_OPEN);
}

static uint32_t put_stand_in(struct buf *b, bool tall)
{
    buf_puts(b, tall ? "a {\n  a\n}\n" : "a\n");
    return tall ? 3 : 1;
}

/* What stands round the region, as far as the layout asks for it; gives the lines of it before the
 * region, and behind. */
static void surround(const struct region *r, const struct buf *inner, struct buf *b,
                     uint32_t *before, uint32_t *behind)
{
    const struct source *s = r->source;
    uint32_t outer = r->known->depth[r->first], left = r->known->depth[r->end];
    for (uint32_t i = 0; i < outer; i++)
        buf_puts(b, "a {\n");
    *before = outer;
    if (r->first && s->tokens[r->first - 1].kind != T_OPEN)
        *before += put_stand_in(b, !outer && is_tall_before(s, r->first - 1));
    buf_add(b, inner->at, inner->n);
    if (inner->n && inner->at[inner->n - 1] != '\n')
        buf_putc(b, '\n');
    *behind = left;
    if (s->tokens[r->end].kind != T_EOF && s->tokens[r->end].kind != T_CLOSE)
        *behind += put_stand_in(b, !left && is_tall_behind(s, r->end));
    for (uint32_t i = 0; i < left; i++)
        buf_puts(b, "}\n");
}

/* --- laying out --------------------------------------------------------------------------- */

/* Takes whole lines from both ends of a text. */
static void drop_lines(struct buf *b, uint32_t before, uint32_t behind)
{
    size_t from = 0, to = b->n;
    for (; before && from < b->n; before--)
        from = (size_t)((char *)memchr(b->at + from, '\n', b->n - from) + 1 - b->at);
    for (; behind && to > from; behind--)
        for (to--; to > from && b->at[to - 1] != '\n';)
            to--;
    memmove(b->at, b->at + from, to - from);
    b->n = to - from;
}

/* False where it cannot be read without a fault; `empty`: it holds no statement and no comment. */
static bool lay_out(struct fit *fit, const struct region *r, struct buf *inner, bool *empty)
{
    struct arena scratch = {.out_of_memory = fit->arena->out_of_memory};
    struct diag nobody = {.arena = &scratch};
    struct buf whole = {0};
    uint32_t before, behind;
    surround(r, inner, &whole, &before, &behind);
    struct source s = {.path = "", .bytes = buf_text(&whole), .size = (uint32_t)whole.n};
    inner->n = 0;
    bool done = lex(&nobody, &s) && layout(&nobody, &scratch, &s) &&
                fmt_source(&nobody, &scratch, &s, inner);
    if (done)
        drop_lines(inner, before, behind);
    *empty = true;
    for (size_t i = 0; i < inner->n; i++)
        *empty &= inner->at[i] == '\n';
    arena_free(&scratch);
    buf_free(&whole);
    return done;
}

/* The bytes of a region with the edits that lie in it. */
static void write_region(const struct region *r, const struct edit *edits, uint32_t count,
                         struct buf *out)
{
    uint32_t at = r->from;
    out->n = 0;
    for (uint32_t i = 0; i < count; i++) {
        buf_add(out, r->source->bytes + at, edits[i].off - at);
        buf_puts(out, edits[i].text);
        at = edits[i].off + edits[i].gone;
    }
    buf_add(out, r->source->bytes + at, r->to - at);
}

static bool inside_letter(char c)
{
    return ((unsigned char)c & 0xc0) == 0x80;
}

/* One edit that makes the text of the region from what stands there: what both have alike at the
 * ends stays. */
static void add_difference(struct fit *fit, const struct region *r, const struct buf *text,
                           edit_list *out)
{
    const char *old = r->source->bytes + r->from;
    size_t size = r->to - r->from, from = 0, last = 0;
    while (from < size && from < text->n && old[from] == text->at[from])
        from++;
    while (from && ((from < size && inside_letter(old[from])) ||
                    (from < text->n && inside_letter(text->at[from]))))
        from--;
    while (last < size - from && last < text->n - from &&
           old[size - 1 - last] == text->at[text->n - 1 - last])
        last++;
    while (last && inside_letter(old[size - last]))
        last--;
    if (from + last < size || from + last < text->n)
        *vec_push(fit->arena, out) =
            (struct edit){r->source, r->from + (uint32_t)from, (uint32_t)(size - from - last),
                          arena_copy(fit->arena, text->at + from, text->n - from - last)};
}

/* The edits from `i` on that lie in the lines of one region; gives the first behind them. Where
 * these cannot be laid out they stay as they are. */
static uint32_t fit_region(struct fit *fit, const edit_list *edits, uint32_t i, edit_list *out)
{
    struct region r = region_of(fit, &edits->at[i]);
    uint32_t end = i + 1;
    for (; end < edits->n && edits->at[end].source == r.source; end++) {
        struct region next = region_of(fit, &edits->at[end]);
        if (next.first > r.end)
            break;
        r.end = next.end > r.end ? next.end : r.end;
        r.first = next.first < r.first ? next.first : r.first;
        widen(&r);
    }
    struct buf text = {0};
    bool empty = true, done = r.known->laid_out;
    for (int wider = 0; done && empty && wider < 3; wider++) {
        if (wider)
            widen_to_owner(&r);
        write_region(&r, edits->at + i, end - i, &text);
        done = lay_out(fit, &r, &text, &empty);
    }
    if (done)
        add_difference(fit, &r, &text, out);
    for (uint32_t k = i; !done && k < end; k++)
        *vec_push(fit->arena, out) = edits->at[k];
    buf_free(&text);
    return end;
}

void fit_mend(struct fit *fit, struct mend *way)
{
    edit_list fitted = {0};
    if (!edits_sort(&way->edits))
        way->edits.n = 0;
    for (uint32_t i = 0; i < way->edits.n;)
        i = fit_region(fit, &way->edits, i, &fitted);
    way->edits = fitted;
}

void fit_finding(struct fit *fit, struct finding *f)
{
    uint32_t kept = 0;
    for (uint32_t i = 0; i < f->mends.n; i++) {
        fit_mend(fit, &f->mends.at[i]);
        if (f->mends.at[i].edits.n)
            f->mends.at[kept++] = f->mends.at[i];
    }
    f->mends.n = kept;
}
