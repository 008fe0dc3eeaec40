/* The pattern of the form that is being written, with what is to be filled in next. */
#include "lsp/documents.h"
#include "lsp/expect.h"
#include "lsp/message.h"
#include "lsp/methods.h"

#include <string.h>

/* Whether a part of a pattern, up to a blank or bracket, is to be filled in. */
static bool is_filled(const char *p, size_t n)
{
    return *p == '<' || memchr(p, '|', n);
}

/* Where in the label each part that is to be filled in stands. The table is ASCII, so units are
 * bytes. */
static void put_parameters(struct server *s, const char *label, size_t from)
{
    json_key(&s->json, "parameters");
    json_begin_array(&s->json, JSON_ROW);
    for (const char *p = label + from; *p;) {
        size_t n = strcspn(p, " []");
        if (n && is_filled(p, n)) {
            json_begin_object(&s->json, JSON_ROW);
            json_key(&s->json, "label");
            json_begin_array(&s->json, JSON_ROW);
            message_integer(s, p - label);
            message_integer(s, p - label + (long)n);
            json_end(&s->json);
            json_end(&s->json);
        }
        p += n;
        p += strspn(p, " []");
    }
    json_end(&s->json);
}

/* "box <name> overhead|floor at <len> , <len>": one way to write a form. */
static const char *label_of(struct server *s, const struct form *form, unsigned alternative)
{
    const char *p = form->source;
    for (; alternative; alternative--)
        p = strstr(p, " / ") + strlen(" / ");
    const char *end = strstr(p, " / ");
    return arena_printf(&s->scratch, "%s %.*s", form->word, end ? (int)(end - p) : (int)strlen(p),
                        p);
}

static void put_signatures(struct server *s, const struct language *l, const struct expected *at)
{
    const struct form *form = &l->forms[at->form];
    json_key(&s->json, "signatures");
    json_begin_array(&s->json, JSON_ROW);
    for (unsigned i = 0; i < form->pattern_count; i++) {
        const char *label = label_of(s, form, i);
        json_begin_object(&s->json, JSON_ROW);
        json_string_member(&s->json, "label", label);
        message_markup(s, "documentation", form->doc);
        put_parameters(s, label, strlen(form->word));
        json_end(&s->json);
    }
    json_end(&s->json);
    json_integer_member(&s->json, "activeSignature", at->alternative);
    json_integer_member(&s->json, "activeParameter", at->place);
}

void signature_help(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct form_of *form = form_get(s, d);
    struct expecting e = {0};
    if (form->file)
        e = expect_at(s, form, document_offset(s, d, read_member(params, "position")));
    if (!e.steps.n) {
        message_null(s, id);
        return;
    }
    message_begin_answer(s, id);
    json_begin_object(&s->json, JSON_ROW);
    put_signatures(s, form->c.language, &e.steps.at[0]);
    message_send(s);
}

void announce_signature(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_texts_member(&s->json, "triggerCharacters", (const char *const[]){" "}, 1);
    json_end(&s->json);
}
