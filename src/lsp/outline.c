/* The shape of a text: what can be folded, what is selected when a selection grows, and what stands
 * in it by name. */
#include "lsp/documents.h"
#include "lsp/forms.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/symbols.h"
#include "resolve/language.h"
#include "resolve/value.h"

#include <string.h>

/* --- folding ------------------------------------------------------------------------------ */

static void put_fold(struct server *s, struct line_table *lines, size_t from, size_t to,
                     const char *kind)
{
    struct place_in_text first = line_table_place(lines, from), last = line_table_place(lines, to);
    if (last.line <= first.line)
        return;
    json_begin_object(&s->json, JSON_ROW);
    json_integer_member(&s->json, "startLine", first.line);
    json_integer_member(&s->json, "endLine", last.line);
    if (kind)
        json_string_member(&s->json, "kind", kind);
    json_end(&s->json);
}

/* From a brace to the line before the one that closes it, so that this stays in sight. */
static void fold_blocks(struct server *s, struct line_table *lines, const struct source *source)
{
    VEC(uint32_t) open = {0};
    for (uint32_t i = 0; i < source->token_count; i++) {
        if (source->tokens[i].kind == T_OPEN)
            *vec_push(&s->scratch, &open) = i;
        if (source->tokens[i].kind != T_CLOSE || !open.n)
            continue;
        uint32_t line = line_table_place(lines, form_start(source, i)).line;
        if (line)
            put_fold(s, lines, form_start(source, open.at[--open.n]), lines->starts.at[line] - 1,
                     NULL);
    }
}

/* Where a comment of the line begins that holds nothing else; NULL. */
static const char *comment_line(const struct line_table *lines, uint32_t line)
{
    const char *p = lines->text + lines->starts.at[line], *end = lines->text + lines->size;
    while (p < end && (*p == ' ' || *p == '\t'))
        p++;
    return p < end && *p == '#' ? p : NULL;
}

static void fold_comments(struct server *s, struct line_table *lines)
{
    for (uint32_t line = 0; line < lines->starts.n; line++) {
        uint32_t first = line;
        while (line < lines->starts.n && comment_line(lines, line))
            line++;
        if (line > first + 1)
            put_fold(s, lines, lines->starts.at[first], lines->starts.at[line - 1], "comment");
    }
}

/* Includes that follow each other. */
static void fold_includes(struct server *s, struct line_table *lines, const struct form_of *form)
{
    for (const struct node *n = form->file->child, *first = NULL, *last = NULL; n; n = n->next) {
        bool include = n->form == F_INCLUDE;
        first = include && !first ? n : first;
        last = include ? n : last;
        if (first && (!include || !n->next)) {
            put_fold(s, lines, form_start(form->source, first->first),
                     form_start(form->source, last->last), "imports");
            first = NULL;
        }
    }
}

void outline_folds(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct form_of *form = form_get(s, d);
    struct line_table *lines = document_lines(s, d);
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    if (form->file) {
        fold_blocks(s, lines, form->source);
        fold_includes(s, lines, form);
    }
    fold_comments(s, lines);
    message_send(s);
}

/* --- selections --------------------------------------------------------------------------- */

struct stretch {
    size_t from, to;
};

typedef VEC(struct stretch) stretch_list;

/* Adds a stretch round the one before, where it is larger. */
static void grow(struct server *s, stretch_list *list, size_t from, size_t to)
{
    const struct stretch *in = list->n ? &list->at[list->n - 1] : NULL;
    if (!in || (from <= in->from && to >= in->to && to - from > in->to - in->from))
        *vec_push(&s->scratch, list) = (struct stretch){from, to};
}

/* The word, its value, its clause, its statement, the block, and so on to the file. */
static void grow_to_file(struct server *s, const struct form_of *form, size_t off,
                         stretch_list *list)
{
    const struct source *source = form->source;
    uint32_t token = form_token_at(source, off);
    bool on_word = token + 1 < source->token_count && form_start(source, token) <= off;
    const struct node *n = form_node_at(form, token);
    if (on_word)
        grow(s, list, form_start(source, token), form_end(source, token));
    for (unsigned v = 0; on_word && v < n->value_count; v++)
        if (n->values[v].kind != V_NONE && n->values[v].first <= token &&
            token <= n->values[v].last)
            grow(s, list, form_start(source, n->values[v].first),
                 form_end(source, n->values[v].last));
    for (; n && n->form != F_FILE; n = n->parent) {
        uint32_t open, last = form_last(source, n, &open);
        if (open && off > form_start(source, open) && off <= form_start(source, last))
            grow(s, list, form_end(source, open), form_start(source, last));
        else
            grow(s, list, form_start(source, n->first), form_end(source, n->last));
        grow(s, list, form_start(source, n->first), form_end(source, last));
    }
    grow(s, list, 0, source->size);
}

static void put_selection(struct server *s, struct line_table *lines, const stretch_list *list)
{
    enum { DEEPEST = 24 }; /* of objects in objects that the writer takes */
    uint32_t n = list->n < DEEPEST ? list->n : DEEPEST;
    for (uint32_t i = 0; i < n; i++) {
        uint32_t at = i + 1 == n ? list->n - 1 : i;
        if (i)
            json_key(&s->json, "parent");
        json_begin_object(&s->json, JSON_ROW);
        message_range(s, "range", lines, list->at[at].from, list->at[at].to);
    }
    for (uint32_t i = 0; i < n; i++)
        json_end(&s->json);
}

void outline_selections(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct form_of *form = form_get(s, d);
    json_in positions = read_member(params, "positions");
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (uint32_t i = 0; form->file && i < read_count(positions); i++) {
        stretch_list list = {0};
        grow_to_file(s, form, document_offset(s, d, read_at(positions, i)), &list);
        put_selection(s, document_lines(s, d), &list);
    }
    message_send(s);
}

/* --- symbols ------------------------------------------------------------------------------ */

static void put_symbol(struct server *s, struct document *d, const struct form_of *form,
                       const struct node *n)
{
    const struct source *source = form->source;
    struct line_table *lines = document_lines(s, d);
    uint32_t open, last = form_last(source, n, &open);
    struct span name = node_name_span(n);
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "name", symbol_name(&s->scratch, n));
    json_string_member(&s->json, "detail", symbol_detail(&s->scratch, n));
    json_integer_member(&s->json, "kind", symbol_kind(n->form));
    message_range(s, "range", lines, form_start(source, n->first), form_end(source, last));
    message_range(s, "selectionRange", lines, name.off, name.off + name.len);
}

static void put_symbols(struct server *s, struct document *d, const struct form_of *form,
                        const struct node *of, unsigned depth)
{
    enum { DEEPEST = 8 };
    for (const struct node *n = of->child; n && depth < DEEPEST; n = n->next) {
        if (!symbol_kind(n->form) || !n->value_count)
            continue;
        put_symbol(s, d, form, n);
        if (n->child) {
            json_key(&s->json, "children");
            json_begin_array(&s->json, JSON_ROW);
            put_symbols(s, d, form, n, depth + 1);
            json_end(&s->json);
        }
        json_end(&s->json);
    }
}

/* For an editor that shows no tree: each with the name of what it stands in. */
static void put_flat_symbols(struct server *s, struct document *d, const struct form_of *form,
                             const struct node *of)
{
    for (const struct node *n = of->child; n; n = n->next) {
        if (!symbol_kind(n->form) || !n->value_count)
            continue;
        uint32_t open, last = form_last(form->source, n, &open);
        json_begin_object(&s->json, JSON_ROW);
        json_string_member(&s->json, "name", symbol_name(&s->scratch, n));
        json_integer_member(&s->json, "kind", symbol_kind(n->form));
        json_key(&s->json, "location");
        json_begin_object(&s->json, JSON_ROW);
        json_string_member(&s->json, "uri", d->uri);
        message_range(s, "range", document_lines(s, d), form_start(form->source, n->first),
                      form_end(form->source, last));
        json_end(&s->json);
        if (of->form != F_FILE)
            json_string_member(&s->json, "containerName", symbol_name(&s->scratch, of));
        json_end(&s->json);
        put_flat_symbols(s, d, form, n);
    }
}

void outline_symbols(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct form_of *form = form_get(s, d);
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    if (form->file && s->client.symbols_nested)
        put_symbols(s, d, form, form->file, 0);
    else if (form->file)
        put_flat_symbols(s, d, form, form->file);
    message_send(s);
}
