/* What is told of the name, or of the word of a form, at a place. */
#include "emit/rule_page.h"
#include "lsp/documents.h"
#include "lsp/forms.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/plans.h"
#include "where/tell.h"

#include <string.h>

enum { WIDTH = 100 };

static void put_told(struct server *s, const char *text)
{
    if (s->client.markdown) {
        message_markup(s, "contents", text);
        return;
    }
    struct buf plain = {0};
    rule_page_plain(&plain, (struct rule_page){text, (uint32_t)strlen(text)}, WIDTH);
    message_markup(s, "contents", buf_text(&plain));
    buf_free(&plain);
}

/* The first word of a statement or clause: what it says, by the table of forms. */
static const char *tell_form(struct server *s, struct document *d, size_t off, struct span *at)
{
    struct form_of *form = form_get(s, d);
    if (!form->file)
        return NULL;
    uint32_t token = form_token_at(form->source, off);
    const struct node *n = form_node_at(form, token);
    if (!n || !n->word || n->form == F_FILE || n->first != token)
        return NULL;
    *at = node_word_span(n);
    return off < at->off ? NULL : where_form_words(&s->scratch, form->c.language, n->form);
}

void hover_at(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    size_t off = document_offset(s, d, read_member(params, "position"));
    struct plan *p = plan_of(s, d);
    struct plan_file *file = p ? plan_file_of(p, d) : NULL;
    const struct where_place *place = NULL;
    const struct where_name *name =
        file ? where_name_at(plan_names(p), file->source, (uint32_t)off, &place) : NULL;
    struct span at = name ? place->span : (struct span){0};
    const struct run *run =
        file && !name ? where_run_at(plan_names(p), file->source, (uint32_t)off, &at) : NULL;
    const char *told = name  ? where_tell_name(plan_teller(p), name)
                       : run ? where_tell_run(plan_teller(p), run)
                             : tell_form(s, d, off, &at);
    if (!told) {
        message_null(s, id);
        return;
    }
    message_begin_answer(s, id);
    json_begin_object(&s->json, JSON_ROW);
    put_told(s, told);
    message_range(s, "range", name || run ? plan_file_lines(s, p, file) : document_lines(s, d),
                  at.off, at.off + at.len);
    message_send(s);
}
