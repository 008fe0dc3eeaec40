/* The files that a text includes, as links. */
#include "lsp/documents.h"
#include "lsp/forms.h"
#include "lsp/message.h"
#include "lsp/methods.h"
#include "lsp/uri.h"
#include "resolve/value.h"

#include <string.h>

/* Where an include leads: from the folder of the file that it stands in. */
static const char *target_of(struct server *s, const struct document *d, const char *name)
{
    const char *slash = strrchr(d->real, '/');
    const char *real = uri_real_path(
        &s->scratch,
        arena_printf(&s->scratch, "%.*s%s", slash ? (int)(slash + 1 - d->real) : 0, d->real, name));
    struct document *open = document_lying(s, real);
    return open ? open->uri : uri_of_path(&s->scratch, real);
}

void links_all(struct server *s, json_in id, json_in params)
{
    struct document *d = method_document(s, id, params);
    if (!d)
        return;
    struct form_of *form = form_get(s, d);
    message_begin_answer(s, id);
    json_begin_array(&s->json, JSON_ROW);
    for (const struct node *n = form->file ? form->file->child : NULL; n; n = n->next) {
        if (n->form != F_INCLUDE || n->broken)
            continue;
        const struct value *name = node_value(n, 0);
        struct span text = value_span(n, name);
        json_begin_object(&s->json, JSON_ROW);
        message_range(s, "range", document_lines(s, d), text.off, text.off + text.len);
        json_string_member(&s->json, "target", target_of(s, d, name->name));
        json_end(&s->json);
    }
    message_send(s);
}

void announce_links(struct server *s)
{
    json_begin_object(&s->json, JSON_ROW);
    json_bool_member(&s->json, "resolveProvider", false);
    json_end(&s->json);
}
