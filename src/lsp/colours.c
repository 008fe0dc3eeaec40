/* What each word of a text is, for editors that colour by meaning (LSP 3.17, "Semantic Tokens"). */
#include "lsp/documents.h"
#include "lsp/forms.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "resolve/language.h"
#include "resolve/value.h"

#include <string.h>

/* The legend: SORT(id, the word of the protocol). */
#define SORTS                                                                                      \
    SORT(KEYWORD, "keyword")   /* begins a statement */                                            \
    SORT(PROPERTY, "property") /* begins a clause */                                               \
    SORT(MODIFIER, "modifier") /* another word of a pattern: at, wide, overhead */                 \
    SORT(TYPE, "type")         /* of the library, or defined */                                    \
    SORT(VARIABLE, "variable") /* a name of the plan */                                            \
    SORT(NUMBER, "number")                                                                         \
    SORT(STRING, "string")                                                                         \
    SORT(COMMENT, "comment")                                                                       \
    SORT(OPERATOR, "operator")

enum sort {
    SORT_NONE,
#define SORT(id, word) SORT_##id,
    SORTS
#undef SORT
};

static const char *const sort_words[] = {
#define SORT(id, word) word,
    SORTS
#undef SORT
};
static const char *const marks[] = {"declaration"};

struct colouring {
    struct server *s;
    struct line_table *lines;
    const struct form_of *form;
    uint8_t *sort; /* by token */
    bool *declared;
    uint32_t line, units; /* of the last one */
    size_t from, to;
};

/* --- what a word is ----------------------------------------------------------------------- */

/* By its form alone: what a pattern does not say otherwise. */
static enum sort plain_sort(const struct source_token *t)
{
    switch (t->kind) {
    case T_NUMBER:
    case T_LENGTH:
    case T_UNIT:
    case T_LUMBER:
        return SORT_NUMBER;
    case T_SLASHED:
        return SORT_TYPE;
    case T_TEXT:
        return SORT_STRING;
    case T_ARROW:
    case T_PLUS:
        return SORT_OPERATOR;
    case T_WORD:
        return SORT_MODIFIER;
    default:
        return SORT_NONE;
    }
}

/* Whether the names that a form captures are of types, not of things of the plan. */
static bool names_types(enum form_id form)
{
    switch (form) {
    case F_KIND:
    case F_BOX_TYPE:
    case F_CABLE:
    case F_IN:
    case F_EDITION:
    case F_COIL:
    case F_DEVICE_DEF:
    case F_CABLE_DEF:
    case F_RACEWAY_DEF:
    case F_BOX_DEF:
    case F_KIND_DEF:
    case F_EDITION_DEF:
        return true;
    default:
        return false;
    }
}

static void mark_value(struct colouring *c, const struct node *n, unsigned i)
{
    const struct value *v = &n->values[i];
    const struct form *form = &c->form->c.language->forms[n->form];
    bool name = v->kind == V_NAME || v->kind == V_REF || v->kind == V_GIVEN;
    enum capture capture = language_capture(c->form->c.language, n->form, n->alt, i);
    if (!name || capture == C_NONE)
        return;
    for (uint32_t t = v->first; t <= v->last; t++)
        if (c->form->source->tokens[t].kind == T_WORD)
            c->sort[t] = names_types(n->form) ? SORT_TYPE : SORT_VARIABLE;
    c->declared[v->first] |= form->names && i == 0;
}

static void mark_node(struct colouring *c, const struct node *n)
{
    const struct form *form = &c->form->c.language->forms[n->form];
    bool type = !strcmp(form->word, "*") && (n->form == F_DEVICE || n->form == F_PART);
    for (unsigned i = 0; i < n->value_count; i++)
        if (n->values[i].kind != V_NONE)
            mark_value(c, n, i);
    if (n->word && c->form->source->tokens[n->first].kind == T_WORD)
        c->sort[n->first] = type                                       ? SORT_TYPE
                            : !strcmp(form->word, "*")                 ? SORT_VARIABLE
                            : n->parent->form == F_FILE || form->names ? SORT_KEYWORD
                                                                       : SORT_PROPERTY;
    for (const struct node *child = n->child; child; child = child->next)
        mark_node(c, child);
}

/* --- as numbers --------------------------------------------------------------------------- */

static void put_number(struct colouring *c, uint32_t n)
{
    message_integer(c->s, n);
}

/* Five numbers each, by how far it stands from the one before. */
static void put_token(struct colouring *c, size_t from, size_t to, enum sort sort, bool declared)
{
    if (to <= c->from || from >= c->to || sort == SORT_NONE || to == from)
        return;
    struct place_in_text at = line_table_place(c->lines, from);
    put_number(c, at.line - c->line);
    put_number(c, at.line == c->line ? at.units - c->units : at.units);
    put_number(c, (uint32_t)encoding_units(c->lines->encoding, c->lines->text + from, to - from));
    put_number(c, sort - 1);
    put_number(c, declared);
    c->line = at.line;
    c->units = at.units;
}

/* The comments in the gap before a token. */
static void put_comments(struct colouring *c, size_t from, size_t to)
{
    const char *text = c->lines->text;
    while (from < to) {
        const char *mark = memchr(text + from, '#', to - from);
        if (!mark)
            return;
        size_t start = (size_t)(mark - text), end = start;
        while (end < to && text[end] != '\n' && text[end] != '\r')
            end++;
        put_token(c, start, end, SORT_COMMENT, false);
        from = end;
    }
}

static void put_all(struct colouring *c)
{
    const struct source *source = c->form->source;
    size_t end = 0;
    for (uint32_t i = 0; i < source->token_count; i++) {
        put_comments(c, end, form_start(source, i));
        put_token(c, form_start(source, i), form_end(source, i), (enum sort)c->sort[i],
                  c->declared[i]);
        end = form_end(source, i);
    }
}

static void answer_colours(struct server *s, json_in id, struct document *d, size_t from, size_t to)
{
    struct form_of *form = form_get(s, d);
    if (!form->file) {
        message_null(s, id);
        return;
    }
    struct colouring c = {.s = s,
                          .lines = document_lines(s, d),
                          .form = form,
                          .sort = arena_array(&s->scratch, uint8_t, form->source->token_count),
                          .declared = arena_array(&s->scratch, bool, form->source->token_count),
                          .from = from,
                          .to = to};
    for (uint32_t i = 0; i < form->source->token_count; i++)
        c.sort[i] = plain_sort(&form->source->tokens[i]);
    for (const struct node *n = form->file->child; n; n = n->next)
        mark_node(&c, n);
    message_begin_answer(s, id);
    json_begin_object(&s->json, JSON_ROW);
    json_key(&s->json, "data");
    json_begin_array(&s->json, JSON_ROW);
    put_all(&c);
    message_send(s);
}

void colours_all(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (d)
        answer_colours(s, id, d, 0, SIZE_MAX);
}

void colours_range(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (d)
        answer_colours(s, id, d, document_offset(s, d, read_path(params, "range.start")),
                       document_offset(s, d, read_path(params, "range.end")));
}

void announce_colours(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_key(&s->json, "legend");
    json_begin_object(&s->json, JSON_ROW);
    json_texts_member(&s->json, "tokenTypes", sort_words, sizeof sort_words / sizeof *sort_words);
    json_texts_member(&s->json, "tokenModifiers", marks, sizeof marks / sizeof *marks);
    json_end(&s->json);
    json_bool_member(&s->json, "full", true);
    json_bool_member(&s->json, "range", true);
    json_end(&s->json);
}
