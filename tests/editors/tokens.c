/* What the compiler makes of each word of plans, for the editors' colours to be held against:
 *
 *   tokens PLAN...    a line a token: FILE LINE COLUMN LENGTH CLASS, line and column from 1, in
 * bytes
 *
 * Classes: comment, text, length, cable, lumber, number, unit; statement (the word that a form of a
 * block begins with), device (a name in its place), key (of a row of a table), option (the word of
 * a form on a line, or a word that a pattern asks for), name. */
#include "compile.h"
#include "resolve/match.h"
#include "resolve/node.h"
#include "resolve/value.h"
#include "syntax/token.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

struct classed {
    struct source *source;
    const char **of; /* by token */
};

static const char *by_kind(enum token_kind kind)
{
    switch (kind) {
    case T_TEXT:
        return "text";
    case T_LENGTH:
        return "length";
    case T_SLASHED:
        return "cable";
    case T_LUMBER:
        return "lumber";
    case T_NUMBER:
        return "number";
    case T_UNIT:
        return "unit";
    default:
        return NULL;
    }
}

/* The words of a value: names and addresses, and the unit behind a number. */
static void class_value(struct classed *c, const struct value *v)
{
    for (uint32_t t = v->first; t <= v->last; t++)
        if (c->source->tokens[t].kind == T_WORD)
            c->of[t] = v->kind == V_QUANTITY || v->kind == V_LENGTH ? "unit" : "name";
}

/* Whether a statement begins with a name. */
static bool is_free(const struct node *n)
{
    return n->form == F_DEVICE || n->form == F_PART || n->form == F_OUTLINE_WALL;
}

static void class_node(struct classed *c, const struct node *n)
{
    bool on_line = n->parent->parent && n->parent->last >= n->first;
    const struct source_token *head = &c->source->tokens[n->first];
    for (uint32_t t = n->first; t <= n->last; t++)
        if (c->source->tokens[t].kind == T_WORD && !c->of[t])
            c->of[t] = "option";
    for (uint32_t i = 0; i < n->value_count; i++)
        if (n->values[i].kind != V_NONE)
            class_value(c, &n->values[i]);
    if (!on_line && head->kind == T_WORD)
        c->of[n->first] = n->form == F_ROW ? "key" : is_free(n) ? "device" : "statement";
    else if (n->word && head->kind == T_WORD)
        c->of[n->first] = "option";
    for (uint32_t t = n->first; t <= n->last && (n->broken || n->form == F_PRICE); t++)
        c->of[t] = NULL; /* what is no statement, and what a price is for, which is free words */
    for (const struct node *child = n->child; child; child = child->next)
        class_node(c, child);
}

static void put(const struct source *s, struct arena *arena, uint32_t off, uint32_t len,
                const char *class)
{
    uint32_t line = source_line_number(arena, (struct source *)s, off), unused;
    const char *start = source_line(arena, (struct source *)s, line, &unused);
    printf("%s %u %u %u %s\n", s->path, line, off - (uint32_t)(start - s->bytes) + 1, len, class);
}

/* The comments between two tokens. */
static void put_comments(const struct source *s, struct arena *arena, uint32_t from, uint32_t to)
{
    for (uint32_t at = from; at < to; at++) {
        if (s->bytes[at] != '#')
            continue;
        uint32_t end = at;
        while (end < to && s->bytes[end] != '\n' && s->bytes[end] != '\r')
            end++;
        put(s, arena, at, end - at, "comment");
        at = end;
    }
}

static bool tell(const char *path)
{
    struct compilation c = {0};
    struct source *s = compile_form(&c, path, (struct unsaved){0});
    if (!s)
        return false;
    struct classed classed = {s, calloc(s->token_count, sizeof *classed.of)};
    if (!classed.of)
        return false;
    const struct node *file = match_source(&c.diag, &c.names, &c.scratch, c.language, s, true);
    for (const struct node *n = file->child; n; n = n->next)
        class_node(&classed, n);
    uint32_t from = 0;
    for (uint32_t t = 0; t < s->token_count; t++) {
        const struct source_token *token = &s->tokens[t];
        put_comments(s, &c.arena, from, token->off);
        from = token->off + token->len;
        const char *class = token->kind == T_WORD ? classed.of[t] : by_kind(token->kind);
        if (class && token->len)
            put(s, &c.arena, token->off, token->len, class);
    }
    free(classed.of);
    compile_free(&c);
    return true;
}

int main(int argc, char **argv)
{
    for (int i = 1; i < argc; i++)
        if (!tell(argv[i])) {
            fprintf(stderr, "tokens: %s cannot be read\n", argv[i]);
            return 1;
        }
    return 0;
}
