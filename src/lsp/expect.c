#include "lsp/expect.h"

#include <string.h>

/* A line being read against the table, up to the word that is being written. */
struct reading {
    struct server *s;
    struct form_of *form;
    const struct language *language;
    const struct source_token *tokens;
    struct expecting *out;
    uint32_t end; /* tokens before it are read */
};

static const char *word_at(struct reading *r, uint32_t token)
{
    const struct source_token *t = &r->tokens[token];
    return names_intern(&r->form->c.names, r->form->source->bytes + t->off, t->len);
}

static enum token_kind kind_at(const struct reading *r, uint32_t token)
{
    return token < r->end ? (enum token_kind)r->tokens[token].kind : T_EOF;
}

/* --- where the line stands ---------------------------------------------------------------- */

static bool parts_lines(enum token_kind kind)
{
    return kind == T_OPEN || kind == T_CLOSE || kind == T_SEMI;
}

/* The first token of the line that the token stands in. */
static uint32_t line_start(const struct reading *r, uint32_t token)
{
    while (token > 0 && !(r->tokens[token].flags & TOKEN_ENDS) &&
           !parts_lines(r->tokens[token - 1].kind))
        token--;
    return token;
}

/* The brace of the block that a token stands in; UINT32_MAX at the top. */
static uint32_t block_of(const struct reading *r, uint32_t token)
{
    for (uint32_t depth = 0; token-- > 0;) {
        if (r->tokens[token].kind == T_CLOSE)
            depth++;
        else if (r->tokens[token].kind == T_OPEN && depth-- == 0)
            return token;
    }
    return UINT32_MAX;
}

static enum form_id form_in(const struct language *l, enum form_id owner, const char *word)
{
    enum form_id form = language_in_block(l, owner, word);
    return form != FORM_COUNT ? form : language_in_block(l, owner, l->any);
}

/* The form of the statement that has the block; a clause that has one of its own stands last on its
 * line, as in `paddle-fan { fan leg x }`. */
static enum form_id owner_of(struct reading *r, uint32_t brace, unsigned depth)
{
    enum { DEEPEST = 32 };
    if (brace == UINT32_MAX)
        return F_FILE;
    if (!brace || depth > DEEPEST)
        return FORM_COUNT;
    uint32_t first = line_start(r, brace - 1);
    enum form_id above = owner_of(r, block_of(r, first), depth + 1);
    return above == FORM_COUNT ? FORM_COUNT : form_in(r->language, above, word_at(r, first));
}

/* --- what a pattern takes ----------------------------------------------------------------- */

static bool is_name(enum token_kind kind)
{
    return kind == T_WORD || kind == T_NUMBER;
}

/* Behind a name with its dots; `open` where a name is still to come behind the last one. */
static uint32_t take_ref(const struct reading *r, uint32_t at, bool *open)
{
    *open = false;
    if (kind_at(r, at) == T_LPAREN) {
        while (at < r->end && kind_at(r, at) != T_RPAREN)
            at++;
        return at + 1;
    }
    if (!is_name(kind_at(r, at)))
        return at;
    for (at++; kind_at(r, at) == T_DOT; at++) {
        *open = at + 1 == r->end;
        at += is_name(kind_at(r, at + 1));
    }
    return at;
}

/* The same of several, with signs between them. */
static uint32_t take_refs(const struct reading *r, uint32_t at, enum token_kind sign, bool *open)
{
    uint32_t start = at;
    at = take_ref(r, at, open);
    while (at > start && kind_at(r, at) == sign) {
        *open = at + 1 == r->end;
        start = at + 1;
        at = take_ref(r, start, open);
        *open |= at == start && at == r->end;
        if (at == start)
            break;
        while (kind_at(r, at) == T_LPAREN) /* words of one hop */
            while (at < r->end && r->tokens[at++].kind != T_RPAREN)
                continue;
    }
    return at;
}

/* Figures with their units. */
static uint32_t take_value(const struct reading *r, uint32_t at)
{
    while (kind_at(r, at) == T_NUMBER || kind_at(r, at) == T_LENGTH || kind_at(r, at) == T_UNIT ||
           kind_at(r, at) == T_SLASHED || kind_at(r, at) == T_LUMBER)
        at++;
    return at;
}

/* Behind what the step takes; where it takes nothing, where it began. `open`: it takes more. */
static uint32_t take(const struct reading *r, const struct step *step, uint32_t at, bool *open)
{
    *open = false;
    switch (step->capture) {
    case C_NAME:
        return at + (kind_at(r, at) == T_WORD);
    case C_REF:
    case C_WHERE:
        return take_ref(r, at, open);
    case C_CHAIN:
        return take_refs(r, at, T_ARROW, open);
    case C_REFS:
        return take_refs(r, at, T_COMMA, open);
    case C_TEXT:
        return at + (kind_at(r, at) == T_TEXT);
    case C_CABLE:
        return at + (kind_at(r, at) == T_WORD || kind_at(r, at) == T_SLASHED);
    default: {
        uint32_t value = take_value(r, at);
        return value > at ? value : at + (kind_at(r, at) == T_WORD && step->capture == C_LUMBER);
    }
    }
}

static bool takes_word(struct reading *r, const struct step *step, uint32_t at)
{
    for (unsigned i = 0; kind_at(r, at) == T_WORD && i < step->choice_count; i++)
        if (step->choices[i] == word_at(r, at))
            return true;
    return false;
}

/* --- reading the line --------------------------------------------------------------------- */

/* Where a pattern is being read. */
struct cursor {
    enum form_id form;
    unsigned alternative, place;
};

static void note(struct reading *r, struct cursor c, const struct step *step)
{
    *vec_push(&r->s->scratch, &r->out->steps) =
        (struct expected){c.form, c.alternative, step, c.place};
}

static bool wants_filling(const struct step *step)
{
    return step->kind == STEP_CAPTURE || (step->kind == STEP_WORD && step->choice_count > 1);
}

static uint32_t read_repeated(struct reading *r, struct cursor c, const struct step *step,
                              uint32_t at);

/* Reads the rest of a pattern; gives where it ends, the furthest of its ways, or 0 where the line
 * has something else. What may stand at the end of the line is noted. */
static uint32_t read_steps(struct reading *r, struct cursor c, const struct step *step, uint32_t at)
{
    bool open = false;
    if (step->kind == STEP_END)
        return at;
    if (step->kind == STEP_OPTION) {
        uint32_t with = read_steps(r, c, step + 1, at),
                 without = read_steps(r, c, step + step->skip, at);
        return with > without ? with : without;
    }
    if (at >= r->end) {
        note(r, c, step);
        return 0;
    }
    uint32_t next = step->kind == STEP_CAPTURE ? take(r, step, at, &open)
                    : step->kind == STEP_WORD  ? at + takes_word(r, step, at)
                                               : at + (r->tokens[at].kind == step->sign);
    if (open)
        note(r, c, step);
    if (next == at || open)
        return 0;
    if (step->repeats)
        return read_repeated(r, c, step, next);
    c.place += wants_filling(step);
    return read_steps(r, c, step + 1, next);
}

/* As many as there are, or one less, where the last is a word of what follows. */
static uint32_t read_repeated(struct reading *r, struct cursor c, const struct step *step,
                              uint32_t at)
{
    bool open;
    uint32_t before = at;
    for (uint32_t next; (next = take(r, step, at, &open)) > at && !open; at = next)
        before = at;
    if (at >= r->end)
        note(r, c, step);
    c.place++;
    uint32_t end = read_steps(r, c, step + 1, at);
    return end || before == at ? end : read_steps(r, c, step + 1, before);
}

/* All ways to write a form behind its word; the end of the longest that is whole. */
static uint32_t read_form(struct reading *r, enum form_id form, uint32_t at)
{
    const struct form *f = &r->language->forms[form];
    uint32_t furthest = 0;
    for (unsigned i = 0; i < f->pattern_count; i++) {
        uint32_t end = read_steps(r, (struct cursor){form, i, 0}, f->patterns[i].steps, at);
        furthest = end > furthest ? end : furthest;
    }
    return furthest;
}

/* What stands behind the pattern: a title, options with patterns of their own, and theirs. */
static void read_options(struct reading *r, enum form_id form, uint32_t at)
{
    enum form_id last = FORM_COUNT; /* the option before, which may have its own */
    while (at < r->end) {
        const char *word = kind_at(r, at) == T_WORD ? word_at(r, at) : NULL;
        enum form_id option = word ? language_on_line(r->language, form, word) : FORM_COUNT;
        if (word && option == FORM_COUNT && last != FORM_COUNT)
            option = language_on_line(r->language, last, word);
        else if (option != FORM_COUNT)
            last = option;
        uint32_t next = option != FORM_COUNT       ? read_form(r, option, at + 1)
                        : kind_at(r, at) == T_TEXT ? at + 1
                        : take_value(r, at) > at   ? take_value(r, at)
                                                   : 0;
        if (!next)
            return; /* the line ends in it, or holds what is no option */
        at = next;
    }
    *vec_push(&r->s->scratch, &r->out->options) = form;
    if (last != FORM_COUNT && r->language->words_on[last].n)
        *vec_push(&r->s->scratch, &r->out->options) = last;
}

/* The tokens before the word that is being written, and where it begins. */
static void find_word(struct reading *r, size_t off)
{
    const struct source *source = r->form->source;
    uint32_t token = 0;
    while (token + 1 < source->token_count && form_start(source, token) < off)
        token++;
    r->out->from = off;
    if (token > 0 && form_end(source, token - 1) >= off &&
        (is_name((enum token_kind)r->tokens[token - 1].kind) ||
         r->tokens[token - 1].kind == T_SLASHED)) {
        token--;
        r->out->from = form_start(source, token);
    }
    r->out->before = r->end = token;
}

/* Whether a line ends between the last token and the place. */
static bool new_line(const struct reading *r)
{
    if (!r->end || parts_lines(r->tokens[r->end - 1].kind))
        return true;
    enum token_kind before = (enum token_kind)r->tokens[r->end - 1].kind;
    size_t end = form_end(r->form->source, r->end - 1);
    return before != T_ARROW && before != T_COMMA && before != T_PLUS &&
           memchr(r->form->source->bytes + end, '\n', r->out->from - end) != NULL;
}

struct expecting expect_at(struct server *s, struct form_of *form, size_t off)
{
    struct expecting out = {.owner = FORM_COUNT, .form = FORM_COUNT};
    struct reading r = {.s = s,
                        .form = form,
                        .language = form->c.language,
                        .tokens = form->source->tokens,
                        .out = &out};
    find_word(&r, off);
    out.begins = new_line(&r);
    out.first = out.begins ? r.end : line_start(&r, r.end - 1);
    out.owner = owner_of(&r, block_of(&r, out.first), 0);
    if (out.begins || out.owner == FORM_COUNT)
        return out;
    out.form = form_in(r.language, out.owner, word_at(&r, out.first));
    uint32_t at = out.form != FORM_COUNT ? read_form(&r, out.form, out.first + 1) : 0;
    if (at)
        read_options(&r, out.form, at);
    return out;
}
