/* Bytes to tokens. The scanner fills the token array of a source; it knows no words of the language and never stops: a byte that belongs nowhere is reported
 * once and left in the gap, a text without its closing quote becomes a text. */
#include "syntax/lexer.h"

#include "base/utf8.h"

#include <string.h>

enum { LONGEST_TOKEN = 4096, MOST_TOKENS = 1 << 26 };

struct lexer {
    struct diag *diag;
    struct source *source;
    VEC(struct source_token) tokens;
    uint8_t gap;          /* flags of the gap since the last token */
    bool too_long;
};

static struct span here(struct lexer *l, const char *from, const char *to)
{
    return (struct span){l->source, (uint32_t)(from - l->source->bytes), (uint32_t)(to - from)};
}

static struct source_token *add(struct lexer *l, enum token_kind kind, const char *from, const char *to)
{
    struct source_token *t = vec_push(l->diag->arena, &l->tokens);
    *t = (struct source_token){.off = (uint32_t)(from - l->source->bytes), .len = (uint32_t)(to - from), .kind = (uint8_t)kind, .flags = l->gap};
    l->gap = 0;
    if (t->len > LONGEST_TOKEN && kind != T_EOF) {
        diag_add(l->diag, &rule_limit, here(l, from, from + 1), "this is %u bytes long, more than the %d that one word may have", t->len, (int)LONGEST_TOKEN);
        t->flags |= TOKEN_BAD;
    }
    return t;
}

/* Room for the tokens of a common plan at once, so that they are not copied while the array grows; what is not used goes back. */
static void reserve(struct lexer *l)
{
    l->tokens.cap = l->source->size / 4 + 16;
    l->tokens.at = arena_array(l->diag->arena, struct source_token, l->tokens.cap);
}

/* The "x14" of 18'x14', where the mark at `from` belongs to it; else NULL. */
static const struct source_token *length_behind_x(const struct lexer *l, const char *from)
{
    const struct source_token *t = l->tokens.n > 1 ? &l->tokens.at[l->tokens.n - 1] : NULL;
    const char *p = t ? l->source->bytes + t->off : NULL;
    bool follows = t && t->kind == T_WORD && t[-1].kind == T_LENGTH && p + t->len == from && (*p == 'x' || *p == 'X');
    for (uint32_t i = 1; follows && i < t->len; i++)
        follows = p[i] >= '0' && p[i] <= '9';
    return follows && t->len > 1 ? t : NULL;
}

static bool is_of_word(char c)
{
    return (c >= '0' && c <= '9') || ((c | 32) >= 'a' && (c | 32) <= 'z') || c == '-';
}

/* "3-way", "2-pole": what the trade means by the letters and figures round a sign. */
static void refuse_sign(struct lexer *l, const char *from, struct span span)
{
    const char *first = from, *behind = from, *begin = (const char *)l->source->bytes;
    while (first > begin && is_of_word(first[-1]))
        first--;
    while (is_of_word(*behind))
        behind++;
    const char *word = arena_printf(l->diag->arena, "%.*s", (int)(behind - first), first);
    const struct near_word *meant = near_meaning(&l->diag->words, word);
    struct finding *f =
        meant && meant->count
            ? diag_syntax(l->diag, &rule_syntax, span, "'%s' is no word of a plan", word)
            : diag_syntax(l->diag, &rule_syntax, span, "'%c' has no meaning here", *from);
    if (meant && meant->count)
        diag_mend(l->diag, f, "write '%s'", meant->means[0]);
}

/* A square bracket is meant for a brace. */
static void add_bracket(struct lexer *l, enum token_kind kind, const char *from, const char *to)
{
    diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, here(l, from, to), "'%c' has no meaning here", *from), "write '%c'", kind == T_OPEN ? '{' : '}');
    add(l, kind, from, to);
}

static void bad_bytes(struct lexer *l, const char *from, const char *to)
{
    unsigned char c = (unsigned char)*from;
    struct span span = here(l, from, to);
    const struct source_token *side = c == '\'' ? length_behind_x(l, from) : NULL;
    if (side)
        diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, (struct span){l->source, side->off, 1}, "'x' has no meaning between two lengths"),
                  "write 'by' between them, with a blank before and behind");
    else if (c == '\r')
        diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, span, "lines end in a carriage return alone here"), "save the plan with newlines at the ends of its lines");
    else if (c < 0x20 || c == 0x7f)
        diag_syntax(l->diag, &rule_syntax, span, "a control character (byte %u) does not belong in a plan", c);
    else if (to - from >= 2 && c == 0xc3 && (unsigned char)from[1] == 0x97)
        diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, span, "this character has no meaning outside a text in quotes"),
                  "write 'by' between two lengths, 'x' in lumber such as 2x4");
    else if (to - from >= 3 && c == 0xe2 && (unsigned char)from[1] == 0x80 && ((unsigned char)from[2] == 0x9c || (unsigned char)from[2] == 0x9d))
        diag_syntax(l->diag, &rule_syntax, span, "typographic quotes do not hold a text; write it in plain double quotes");
    else if (c >= 0x80)
        diag_syntax(l->diag, &rule_syntax, span, "this character has no meaning outside a text in quotes");
    else if (c == '\'' && l->tokens.n && l->tokens.at[l->tokens.n - 1].kind == T_SLASHED && !l->gap)
        diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, span, "feet are whole or have a point"), "write a part of a foot in inches, as in 4\" or 1'-6\"");
    else if (c == '/')
        diag_syntax(l->diag, &rule_syntax, span, "'/' has no meaning here; a comment begins with '#'");
    else
        refuse_sign(l, from, span);
}

static bool is_control(char c)
{
    return ((unsigned char)c < 0x20 && c != '\t') || c == 0x7f;
}

/* Says of the first byte that does not belong in a text or a comment; false where there is none. */
static bool check_byte(struct lexer *l, const char *p, const char *end, const char *where, size_t *len)
{
    *len = 1;
    uint32_t c = (unsigned char)*p < 0x80 ? (unsigned char)*p : utf8_next(p, end, len);
    if (is_control(*p))
        diag_syntax(l->diag, &rule_syntax, here(l, p, p + 1), "a control character (byte %u) does not belong in a %s", (unsigned char)*p, where);
    else if (c == UTF8_BAD)
        diag_syntax(l->diag, &rule_syntax, here(l, p, p + 1), "this byte is no UTF-8: save the plan as UTF-8");
    else if (c >= 0x80 && utf8_is_hidden(c))
        diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, here(l, p, p + *len), "a hidden character (U+%04X) does not belong in a %s: what one reads would be another text than what is there", c, where),
                  "take it out");
    else
        return false;
    return true;
}

static void check_comment(struct lexer *l, const char *from, const char *to)
{
    size_t len;
    to -= to[-1] == '\r';
    for (const char *p = from; p < to && !check_byte(l, p, to, "comment", &len); p += len) {
    }
}

static void check_text(struct lexer *l, const char *from, const char *to)
{
    size_t len;
    for (const char *p = from + 1; p < to - 1; p++) {
        if (*p == '\\') {
            p++;
            if (*p != '"' && *p != '\\' && *p != 'n') {
                diag_syntax(l->diag, &rule_syntax, here(l, p - 1, p + 1), "a backslash in a text stands before '\"', '\\' or 'n' only");
                l->tokens.at[l->tokens.n - 1].flags |= TOKEN_BAD;
                return;
            }
        } else if (check_byte(l, p, to, "text", &len)) {
            l->tokens.at[l->tokens.n - 1].flags |= TOKEN_BAD;
            return;
        } else {
            p += len - 1;
        }
    }
}

/* The text on the line at hand that an inch mark has ended too early, or NULL: "a 12" shelf" is read as a text, a word and an open quote. */
static const struct source_token *cut_text(const struct lexer *l)
{
    for (uint32_t i = l->tokens.n; i-- > 0;) {
        const struct source_token *t = &l->tokens.at[i];
        if (t->kind == T_TEXT)
            return t->len > 2 && strchr("0123456789", l->source->bytes[t->off + t->len - 2]) ? t : NULL;
        if (t->flags & TOKEN_NEWLINE)
            break;
    }
    return NULL;
}

static void say_open(struct lexer *l, const char *from, const char *end)
{
    const struct source_token *cut = l->gap & TOKEN_NEWLINE ? NULL : cut_text(l);
    if (cut)
        diag_mend(l->diag, diag_syntax(l->diag, &rule_syntax, (struct span){l->source, cut->off + cut->len - 1, 1}, "this quote ends the text"),
                  "an inch mark inside a text is written \\\"");
    else
        diag_syntax(l->diag, &rule_syntax, here(l, from, end), "this text has no closing quote on its line");
}

/* What is missing at the end of the text may stand in it: nothing that hangs on the statement is sure. */
static void doubt_statement(struct lexer *l)
{
    uint32_t i = l->tokens.n - 1;
    while (i && !(l->tokens.at[i].flags & TOKEN_NEWLINE) && l->tokens.at[i - 1].kind != T_SEMI && l->tokens.at[i - 1].kind != T_OPEN)
        i--;
    l->tokens.at[i].flags |= TOKEN_DOUBT;
}

static void open_text(struct lexer *l, const char *from, const char *to)
{
    while (to > from + 1 && (to[-1] == '\r' || to[-1] == ' '))
        to--;
    /* A brace that ends the line is more likely the block's than the text's. */
    const char *end = to;
    if (end > from + 2 && end[-1] == '{' && end[-2] == ' ')
        end -= 2;
    say_open(l, from, end);
    add(l, T_TEXT, from, end)->flags |= TOKEN_BAD;
    doubt_statement(l);
    if (end != to) {
        l->gap |= TOKEN_SPACED;
        add(l, T_OPEN, to - 1, to);
    }
}

/* By its byte-order mark, or by every other byte of its beginning. */
static bool is_utf16(const struct source *s)
{
    enum { LOOKED_AT = 64 };
    uint32_t zeros = 0, n = s->size < LOOKED_AT ? s->size : LOOKED_AT;
    for (uint32_t i = 0; i < n; i++)
        zeros += !s->bytes[i];
    return s->size >= 2 && (!memcmp(s->bytes, "\xff\xfe", 2) || !memcmp(s->bytes, "\xfe\xff", 2) || zeros >= (n + 2) / 3);
}

/* As files of very old machines do: all of it would be one line, or one comment. */
static bool ends_in_returns(const struct source *s)
{
    return s->size > 1 && !memchr(s->bytes, '\n', s->size) && memchr(s->bytes, '\r', s->size - 1);
}

bool lex(struct diag *diag, struct source *source)
{
    struct lexer lexer = {.diag = diag, .source = source, .gap = TOKEN_NEWLINE}, *l = &lexer;
    const char *YYCURSOR = source->bytes, *YYLIMIT = source->bytes + source->size, *YYMARKER = YYCURSOR, *start;
    if (source->size >= 3 && !memcmp(YYCURSOR, "\xef\xbb\xbf", 3))
        YYCURSOR += 3;
    reserve(l);
    bool utf16 = is_utf16(source), one_line = !utf16 && ends_in_returns(source);
    if (utf16)
        diag_mend(diag, diag_syntax(diag, &rule_syntax, here(l, source->bytes, source->bytes + 1), "this file is not UTF-8 but UTF-16 or UTF-32"), "save the plan as UTF-8");
    if (one_line)
        diag_mend(diag, diag_syntax(diag, &rule_syntax, here(l, source->bytes, source->bytes + 1), "the lines of this file end in a carriage return alone, which ends no line here"), "save the plan with line feeds (LF, or CR LF)");
    if (utf16 || one_line)
        YYCURSOR = YYLIMIT;
    for (;;) {
        start = YYCURSOR;
        if (l->tokens.n >= MOST_TOKENS && !l->too_long) {
            diag_add(diag, &rule_limit, here(l, start, start), "the file has more than %d words", (int)MOST_TOKENS);
            l->too_long = true;
            YYCURSOR = start = YYLIMIT;
        }
        /*!re2c
        re2c:define:YYCTYPE = "unsigned char";
        re2c:yyfill:enable = 0;
        re2c:eof = 0;

        blank   = [ \t];
        newline = "\r"? "\n";
        digits  = [0-9]+;
        decimal = digits ("." digits)?;
        feet    = "'" | "\xe2\x80\xb2" | "\xe2\x80\x99";
        inch    = "\"" | "\xe2\x80\xb3" | "\xe2\x80\x9d";
        frac    = digits "/" digits;
        inches  = (decimal | frac | digits ("-" | blank+) frac) inch;
        name    = [A-Za-z] [A-Za-z0-9_]* ("-" [A-Za-z0-9_]+)*;
        sized   = name "-" frac; // a trade size: emt-3/4, thhn-1/0
        length  = decimal feet (("-" | blank*) inches)? | inches;
        slashed = digits ("/" digits)+ ("-" [A-Za-z][A-Za-z0-9]*)*;

        $                { break; }
        blank+           { l->gap |= TOKEN_SPACED; continue; }
        newline          { l->gap |= TOKEN_NEWLINE; continue; }
        "#" [^\n]*       { check_comment(l, start, YYCURSOR); l->gap |= TOKEN_SPACED; continue; }
        name             { add(l, T_WORD, start, YYCURSOR); continue; }
        'o.c.' / [^A-Za-z0-9_] { add(l, T_WORD, start, YYCURSOR); continue; } // no name; the matcher says what to write
        "-"? length      { add(l, T_LENGTH, start, YYCURSOR); continue; }
        "-"? decimal     { add(l, T_NUMBER, start, YYCURSOR); continue; }
        slashed | sized  { add(l, T_SLASHED, start, YYCURSOR); continue; }
        digits "x" digits { add(l, T_LUMBER, start, YYCURSOR); continue; }
        "%" | "ohm/kft" | "VA/ft2" { add(l, T_UNIT, start, YYCURSOR); continue; }
        "{"              { add(l, T_OPEN, start, YYCURSOR); continue; }
        "}"              { add(l, T_CLOSE, start, YYCURSOR); continue; }
        ";"              { add(l, T_SEMI, start, YYCURSOR); continue; }
        ","              { add(l, T_COMMA, start, YYCURSOR); continue; }
        "->"             { add(l, T_ARROW, start, YYCURSOR); continue; }
        "+"              { add(l, T_PLUS, start, YYCURSOR); continue; }
        ":"              { add(l, T_COLON, start, YYCURSOR); continue; }
        "."              { add(l, T_DOT, start, YYCURSOR); continue; }
        "("              { add(l, T_LPAREN, start, YYCURSOR); continue; }
        ")"              { add(l, T_RPAREN, start, YYCURSOR); continue; }
        "\"" ([^"\\\n] | "\\" [^\n])* "\"" { add(l, T_TEXT, start, YYCURSOR); check_text(l, start, YYCURSOR); continue; }
        "\"" ([^"\\\n] | "\\" [^\n])*  { open_text(l, start, YYCURSOR); continue; }
        "["              { add_bracket(l, T_OPEN, start, YYCURSOR); continue; }
        "]"              { add_bracket(l, T_CLOSE, start, YYCURSOR); continue; }
        [\x80-\xff]+     { bad_bytes(l, start, YYCURSOR); l->gap |= TOKEN_SPACED | TOKEN_STRAY; continue; }
        *                { bad_bytes(l, start, YYCURSOR); l->gap |= TOKEN_SPACED | TOKEN_STRAY; continue; }
        */
    }
    add(l, T_EOF, YYLIMIT, YYLIMIT);
    vec_trim(diag->arena, &l->tokens);
    source->tokens = l->tokens.at;
    source->token_count = l->tokens.n;
    return !l->too_long && !utf16 && !one_line;
}
