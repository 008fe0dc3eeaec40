/* Layout by the canonical form (src/fmt): the whole text, a part of it, or what was just typed.
 * Each edit stands for what is between two words, or for one word that is written otherwise, so
 * that the cursor and marks of the editor stay where they are. */
#include "fmt/fmt.h"
#include "lsp/documents.h"
#include "lsp/forms.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "syntax/lexer.h"

#include <string.h>

/* A text and the words that both texts have: `;` comes and goes. */
struct worded {
    const struct source *source;
    uint32_t at; /* the next word */
    size_t end;  /* of the one before it */
};

struct laying {
    struct server *s;
    struct line_table *lines;
    size_t from, to; /* edits lie between them */
};

static const struct source_token *next_word(struct worded *w)
{
    while (w->source->tokens[w->at].kind == T_SEMI)
        w->at++;
    return &w->source->tokens[w->at];
}

/* The bytes of one text from `at` to `end` become those of the other; what both have at their ends
 * is left alone. */
static void put_edit(struct laying *l, const struct worded *old, size_t at, size_t end,
                     const struct worded *is, size_t is_at, size_t is_end)
{
    const char *was = old->source->bytes, *now = is->source->bytes;
    while (at < end && is_at < is_end && was[at] == now[is_at])
        at++, is_at++;
    while (end > at && is_end > is_at && was[end - 1] == now[is_end - 1])
        end--, is_end--;
    if ((at == end && is_at == is_end) || at < l->from || end > l->to)
        return;
    message_edit(l->s, l->lines, at, end, arena_copy(&l->s->scratch, now + is_at, is_end - is_at));
}

/* Word by word, what stands before it and the word itself. */
static void put_edits(struct laying *l, struct source *was, struct source *is)
{
    struct worded old = {.source = was}, new = {.source = is};
    for (bool more = true; more; old.at++, new.at++) {
        const struct source_token *a = next_word(&old), *b = next_word(&new);
        put_edit(l, &old, old.end, a->off, &new, new.end, b->off);
        put_edit(l, &old, a->off, a->off + a->len, &new, b->off, b->off + b->len);
        old.end = a->off + a->len;
        new.end = b->off + b->len;
        more = a->kind != T_EOF && b->kind != T_EOF;
    }
}

/* The canonical text as a source with its tokens; NULL where the text is at fault, and is left
 * alone. */
static struct source *laid_out(struct server *s, struct form_of *form)
{
    struct diag unheard = {.arena = &s->scratch};
    struct buf text = {0};
    struct source *is = NULL;
    if (form->source && fmt_source(&unheard, &s->scratch, form->source, &text)) {
        is = arena_new(&s->scratch, struct source);
        *is = (struct source){.bytes = arena_copy(&s->scratch, text.at ? text.at : "", text.n),
                              .size = (uint32_t)text.n};
        lex(&unheard, is);
    }
    buf_free(&text);
    return is;
}

static void answer_edits(struct server *s, json_in id, struct document *d, size_t from, size_t to)
{
    struct form_of *form = form_get(s, d);
    struct source *is = laid_out(s, form);
    struct laying l = {s, document_lines(s, d), from, to};
    if (!is) {
        message_null(s, id);
        return;
    }
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    put_edits(&l, form->source, is);
    message_send(s);
}

void layout_all(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (d)
        answer_edits(s, id, d, 0, d->text.n);
}

void layout_range(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (d)
        answer_edits(s, id, d, document_offset(s, d, read_path(params, "range.start")),
                     document_offset(s, d, read_path(params, "range.end")));
}

/* Behind a brace that closes, its block and the line that it belongs to; behind the end of a line,
 * that line. */
void layout_typed(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct line_table *lines = document_lines(s, d);
    size_t off = document_offset(s, d, read_member(params, "position"));
    uint32_t line = line_table_place(lines, off).line;
    const char *typed = read_text(read_member(params, "ch"));
    struct form_of *form = form_get(s, d);
    if (typed && *typed == '}' && off && d->text.at[off - 1] == '}' && form->source) {
        const struct node *n = form_node_at(form, form_token_at(form->source, off - 1));
        if (n != form->file)
            line = line_table_place(lines, form_start(form->source, n->first)).line;
    } else {
        line -= line > 0;
        off = line_table_offset(lines, (struct place_in_text){line, UINT32_MAX});
    }
    answer_edits(s, id, d, lines->starts.at[line], off);
}

void announce_typed(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_string_member(&s->json, "firstTriggerCharacter", "}");
    json_texts_member(&s->json, "moreTriggerCharacter", (const char *const[]){"\n"}, 1);
    json_end(&s->json);
}
