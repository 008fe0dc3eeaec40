/* One pass over the tokens. A line ends where a statement ends, behind a `{` whose block does not
 * stay on its line, and behind every comment. What is decided depends on the tokens, the comments,
 * the empty lines and on which blocks hold a newline, and all of these are the same in the text
 * that comes out: laying it out again changes nothing. */
#include "fmt/lines.h"

#include "base/source.h"
#include "fmt/spell.h"
#include "syntax/token.h"

#include <string.h>

enum { WIDTH = 100, BLOCK_INDENT = 2, MORE_INDENT = 4, NAME_WIDTH = 3, PLACE_WIDTH = 5 };

#define NONE UINT32_MAX

struct breaker {
    struct arena *arena;
    const struct source *source;
    uint32_t
        *close; /* of an open brace: its closing one where the block may stay on one line, else 0 */
    line_list lines;
    uint32_t line;      /* the line that the next token joins, or NONE */
    uint32_t last_line; /* the line of the last token, or NONE */
    uint32_t last;      /* the last token that was no `;`, or NONE */
    uint32_t depth;
    uint32_t flat_end; /* the brace that closes the block being written on one line, or 0 */
    size_t column;     /* width of the line so far */
    bool ended;        /* the statement of the last token has ended */
    bool by_semi;      /* by a `;` */
    bool fresh;  /* a newline stands behind the last token: a comment has its line for itself */
    bool empty;  /* an empty line stands behind the last token or comment */
    bool opened; /* the last line opens a block */
    bool run;    /* the statement is a run */
};

static enum token_kind kind_of(const struct breaker *b, uint32_t token)
{
    return (enum token_kind)b->source->tokens[token].kind;
}

static uint32_t end_of(const struct breaker *b, uint32_t token)
{
    return b->source->tokens[token].off + b->source->tokens[token].len;
}

/* --- blocks ------------------------------------------------------------------------------- */

/* Nothing but blanks, newlines and `;` between the braces. */
static bool hollow(const struct breaker *b, uint32_t open, uint32_t close)
{
    for (uint32_t i = open + 1; i < close; i++)
        if (kind_of(b, i) != T_SEMI)
            return false;
    uint32_t from = end_of(b, open);
    return !memchr(b->source->bytes + from, '#', b->source->tokens[close].off - from);
}

/* Until a block is closed its place in `close` holds the block around it. A comment is always
 * followed by a newline, so one test serves for both. */
static void find_blocks(struct breaker *b)
{
    uint32_t top = NONE, newline = 0;
    for (uint32_t i = 0; i < b->source->token_count; i++) {
        if (b->source->tokens[i].flags & TOKEN_NEWLINE)
            newline = i;
        if (kind_of(b, i) == T_OPEN) {
            b->close[i] = top;
            top = i;
        } else if (kind_of(b, i) == T_CLOSE) {
            uint32_t open = top;
            top = b->close[open];
            b->close[open] = newline > open && !hollow(b, open, i) ? 0 : i;
        }
    }
}

/* The column behind tokens first..last when they go on the line at hand; stops at the first one
 * beyond the width. */
static size_t column_behind(const struct breaker *b, uint32_t first, uint32_t last)
{
    size_t column = b->column;
    bool begun = b->line != NONE && b->lines.at[b->line].end > b->lines.at[b->line].first;
    uint32_t before = begun ? b->last : NONE;
    for (uint32_t i = first; i <= last && column <= WIDTH; i++) {
        if (kind_of(b, i) == T_SEMI)
            continue;
        if (before != NONE)
            column += spell_between(b->source, before, i);
        column += spell_width(b->source, i);
        before = i;
    }
    return column;
}

/* --- lines -------------------------------------------------------------------------------- */

static struct line *add_line(struct breaker *b, bool inside)
{
    bool blank = b->empty && !inside && !b->opened && b->lines.n;
    struct line *l = vec_push(b->arena, &b->lines);
    *l = (struct line){.blank = blank,
                       .indent = (uint16_t)(BLOCK_INDENT * b->depth + (inside ? MORE_INDENT : 0))};
    b->empty = b->opened = false;
    return l;
}

static bool same_statement(const struct breaker *b, uint32_t first, uint32_t last)
{
    for (uint32_t i = first + 1; i <= last; i++)
        if (i >= b->source->token_count || b->source->tokens[i].flags & TOKEN_ENDS ||
            kind_of(b, i) == T_SEMI || kind_of(b, i) == T_CLOSE)
            return false;
    return true;
}

static uint8_t pad(const struct breaker *b, uint32_t token, uint32_t width)
{
    uint32_t len = b->source->tokens[token].len;
    return len < width ? (uint8_t)(width - len) : 0;
}

/* A `box` line has its name and its wall in columns of fixed width, where a place is written. */
static void set_box_columns(const struct breaker *b, struct line *l)
{
    uint32_t name = l->first + 1, wall = l->first + 2, at = l->first + 3;
    if (!b->depth || !spell_is(b->source, l->first, "box") || !same_statement(b, l->first, at) ||
        kind_of(b, name) != T_WORD || kind_of(b, wall) != T_WORD)
        return;
    bool from_walls =
        spell_is(b->source, wall, "overhead") &&
        (kind_of(b, at) == T_LENGTH || kind_of(b, at) == T_NUMBER || kind_of(b, at) == T_LPAREN);
    if (!spell_is(b->source, at, "at") && !from_walls)
        return;
    l->name_pad = pad(b, name, NAME_WIDTH);
    l->place_pad = pad(b, wall, PLACE_WIDTH);
}

/* `inside`: the line goes on with a statement begun above. */
static void begin_line(struct breaker *b, uint32_t token, bool inside)
{
    enum token_kind kind = kind_of(b, token);
    if (inside || kind == T_CLOSE)
        b->empty = false;
    struct line *l = add_line(b, inside && kind != T_OPEN);
    l->first = l->end = token;
    b->line = b->lines.n - 1;
    b->column = l->indent;
    if (inside || kind == T_CLOSE)
        return;
    if (!b->depth)
        l->place = LINE_TOP;
    b->run = spell_is(b->source, token, "run");
    set_box_columns(b, l);
}

static void join_line(struct breaker *b, uint32_t token)
{
    struct line *l = &b->lines.at[b->line];
    b->column = column_behind(b, token, token);
    b->column += token == l->first + 1 ? l->name_pad : token == l->first + 2 ? l->place_pad : 0;
    l->end = token + 1;
    b->last = token;
    b->last_line = b->line;
    b->ended = b->by_semi = b->fresh = b->empty = false;
}

/* --- gaps --------------------------------------------------------------------------------- */

/* A comment keeps its side: behind the line before it, or on a line of its own. */
static void take_comment(struct breaker *b, const char *from, const char *to, bool inside)
{
    while (to > from && (to[-1] == ' ' || to[-1] == '\t' || to[-1] == '\r'))
        to--;
    struct line *l;
    if (b->fresh) {
        l = add_line(b, inside);
        if (!b->depth && !inside)
            l->place = LINE_LOOSE;
    } else {
        l = &b->lines.at[b->last_line];
    }
    l->comment = (uint32_t)(from - b->source->bytes);
    l->comment_len = (uint32_t)(to - from);
    b->line = NONE;
}

/* The gap before a token: its comments, and whether it holds an empty line. */
static void read_gap(struct breaker *b, uint32_t token, bool inside)
{
    const char *p = b->source->bytes + (token ? end_of(b, token - 1) : 0),
               *end = b->source->bytes + b->source->tokens[token].off;
    uint32_t newlines = 0;
    for (; p < end; p++) {
        if (*p == '\n') {
            b->fresh = true;
            b->empty |= ++newlines > 1;
        } else if (*p == '#') {
            const char *newline = memchr(p, '\n', (size_t)(end - p));
            const char *to = newline ? newline : end;
            take_comment(b, p, to, inside);
            newlines = 0;
            p = to - 1;
        }
    }
}

/* --- statements --------------------------------------------------------------------------- */

/* The statement before `token` has ended. A `;` that alone keeps the two apart has to stay. */
static void end_statement(struct breaker *b, uint32_t token)
{
    if (b->by_semi && b->last != NONE && kind_of(b, b->last) != T_OPEN &&
        kind_of(b, token) != T_CLOSE) {
        enum token_kind before = kind_of(b, b->last), after = kind_of(b, token);
        bool goes_on =
            before == T_COMMA || before == T_ARROW || before == T_PLUS || before == T_COLON;
        b->lines.at[b->last_line].semi =
            goes_on || after == T_ARROW || after == T_COMMA || after == T_OPEN;
    }
    b->line = NONE;
}

/* The last token of the hop that begins with the arrow; options belong to the last hop. */
static uint32_t hop_end(const struct breaker *b, uint32_t arrow)
{
    uint32_t i = arrow + 1;
    for (; i < arrow + WIDTH; i++) {
        enum token_kind k = kind_of(b, i);
        if (k == T_EOF || k == T_ARROW || k == T_OPEN || k == T_CLOSE || k == T_SEMI ||
            b->source->tokens[i].flags & TOKEN_ENDS)
            break;
    }
    return i - 1;
}

static void open_block(struct breaker *b, uint32_t token)
{
    uint32_t close = b->close[token];
    if (close && column_behind(b, token, close) <= WIDTH) {
        b->flat_end = close;
        join_line(b, token);
        return;
    }
    join_line(b, token);
    b->depth++;
    b->ended = b->opened = true;
}

static void place_token(struct breaker *b, uint32_t token)
{
    enum token_kind kind = kind_of(b, token);
    bool inside = !b->ended && kind != T_CLOSE;
    if (kind == T_CLOSE)
        b->depth--;
    if (!inside)
        end_statement(b, token);
    else if (b->run && kind == T_ARROW && b->line != NONE &&
             column_behind(b, token, hop_end(b, token)) > WIDTH)
        b->line = NONE;
    if (b->line == NONE)
        begin_line(b, token, inside);
    if (kind == T_OPEN) {
        open_block(b, token);
        return;
    }
    join_line(b, token);
    b->ended = kind == T_CLOSE;
}

/* In a block on one line there are no comments and no lines to begin. */
static void place_flat(struct breaker *b, uint32_t token)
{
    if (kind_of(b, token) == T_SEMI)
        return;
    join_line(b, token);
    if (token == b->flat_end) {
        b->flat_end = 0;
        b->ended = true;
    }
}

/* An empty line before and behind each top statement of several lines; comments right above it
 * belong to it. */
static void part_tall_statements(line_list *lines)
{
    for (uint32_t i = 0; i < lines->n; i++) {
        if (lines->at[i].place != LINE_TOP)
            continue;
        uint32_t end = i + 1, first = i;
        while (end < lines->n && lines->at[end].place == LINE_INNER)
            end++;
        if (end - i == 1)
            continue;
        while (first && lines->at[first - 1].place == LINE_LOOSE && !lines->at[first].blank)
            first--;
        lines->at[first].blank = first > 0;
        if (end < lines->n)
            lines->at[end].blank = true;
    }
}

line_list lines_of(struct arena *arena, const struct source *source)
{
    struct breaker b = {.arena = arena,
                        .source = source,
                        .line = NONE,
                        .last_line = NONE,
                        .last = NONE,
                        .ended = true,
                        .fresh = true};
    b.close = arena_array(arena, uint32_t, source->token_count);
    find_blocks(&b);
    for (uint32_t i = 0; i < source->token_count; i++) {
        enum token_kind kind = kind_of(&b, i);
        if (b.flat_end) {
            place_flat(&b, i);
            continue;
        }
        b.ended |= source->tokens[i].flags & TOKEN_ENDS;
        read_gap(&b, i, !b.ended && kind != T_CLOSE && kind != T_SEMI && kind != T_EOF);
        if (kind == T_SEMI)
            b.ended = b.by_semi = true;
        else if (kind != T_EOF)
            place_token(&b, i);
    }
    part_tall_statements(&b.lines);
    return b.lines;
}
